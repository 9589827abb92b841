package tui

import (
	"strings"
	"unicode"

	"github.com/rivo/uniseg"

	"rimegate/hazard/board"
)

type input struct {
	text string
	cur  int // byte offset of the cursor
}

// edit takes a key, and reports whether the text changed.
func (x *input) edit(key string) bool {
	x.cur = min(x.cur, len(x.text))
	was, back, on := x.text, 0, 0 // bytes of the characters at both sides of the cursor
	for _, c := range clusters(x.text[:x.cur]) {
		back = len(c)
	}
	if after := clusters(x.text[x.cur:]); len(after) > 0 {
		on = len(after[0])
	}
	switch key {
	case "Left":
		x.cur -= back
	case "Right":
		x.cur += on
	case "Home":
		x.cur = 0
	case "End":
		x.cur = len(x.text)
	case "Backspace":
		x.text = x.text[:x.cur-back] + x.text[x.cur:]
		x.cur -= back
	case "Delete":
		x.text = x.text[:x.cur] + x.text[x.cur+on:]
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

// insert puts text at the cursor; control characters are no part of any answer.
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
	before := clusters(x.text[:x.cur])
	from := len(before)
	for ; from > 0 && cur+board.Width(before[from-1]) < cells; from-- {
		cur += board.Width(before[from-1])
	}
	at, wide := x.cur, cur
	for _, c := range clusters(x.text[x.cur:]) {
		if wide += board.Width(c); wide > cells {
			break
		}
		at += len(c)
	}
	return strings.Join(before[from:], "") + x.text[x.cur:at], cur
}

// clusters are the characters of a text as a person sees them.
func clusters(s string) (out []string) {
	for g := uniseg.NewGraphemes(s); g.Next(); {
		out = append(out, g.Str())
	}
	return out
}
