package tui

import (
	"strings"
	"unicode"

	"github.com/rivo/uniseg"

	"rimegate/hazard/board"
)

// input is a line of text that a person types.
type input struct {
	text string
	cur  int // byte offset of the cursor
}

// edit takes a key, and reports whether the text changed.
func (x *input) edit(key string) bool {
	x.cur = min(x.cur, len(x.text))
	was, before, after := x.text, lastCluster(x.text[:x.cur]), firstCluster(x.text[x.cur:])
	switch key {
	case "Left":
		x.cur -= before
	case "Right":
		x.cur += after
	case "Home":
		x.cur = 0
	case "End":
		x.cur = len(x.text)
	case "Backspace":
		x.text = x.text[:x.cur-before] + x.text[x.cur:]
		x.cur -= before
	case "Delete":
		x.text = x.text[:x.cur] + x.text[x.cur+after:]
	case "Ctrl-U":
		*x = input{}
	case "Space":
		x.insert(" ")
	default:
		if len([]rune(key)) == 1 {
			x.insert(key)
		}
	}
	return x.text != was
}

// insert puts typed or pasted text at the cursor; control characters are no part
// of any answer.
func (x *input) insert(s string) {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return -1
		}
		return r
	}, s)
	x.text = x.text[:x.cur] + s + x.text[x.cur:]
	x.cur += len(s)
}

// around is the part of the text that fits with the cursor in it, and the
// cursor's cell. Blanks stay: the person is typing them.
func (x *input) around(cells int) (text string, cur int) {
	from := 0
	for board.Width(x.text[from:x.cur]) >= cells {
		from += max(1, firstCluster(x.text[from:]))
	}
	for rest := x.text[from:]; rest != ""; {
		n := firstCluster(rest)
		if board.Width(text)+board.Width(rest[:n]) > cells {
			break
		}
		text, rest = text+rest[:n], rest[n:]
	}
	return text, board.Width(x.text[from:x.cur])
}

// firstCluster and lastCluster are the bytes of the first and last character
// as a person sees it.
func firstCluster(s string) int {
	c, _, _, _ := uniseg.FirstGraphemeClusterInString(s, -1)
	return len(c)
}

func lastCluster(s string) (n int) {
	for state := -1; s != ""; {
		var c string
		c, s, _, state = uniseg.FirstGraphemeClusterInString(s, state)
		n = len(c)
	}
	return n
}
