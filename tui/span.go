package tui

import (
	"strings"

	"rimegate/hazard/board"
)

// role is what a piece of text is for; the theme decides how it looks.
type role uint8

const (
	plain role = iota
	dim
	title   // first line of a screen
	heading // column heads and names of parts
	flagHold
	flagCaution
	flagClear
	banner // stock that must come out
	warning
	failure // an error, beside what caused it
	keycap
	typed    // text in a form's field
	typedNow // the field that has the cursor
	chosen   // the word chosen among several
	numRoles
)

// span is text in one role. It is made by say alone.
type span struct {
	text string
	role role
}

// line is one row of a screen.
type line struct {
	spans []span
	sel   bool // the selected row of a list
}

// say makes a span of any text, ours or foreign: the one place where text of
// people and files is made fit for a terminal.
func say(r role, text string) span { return span{board.Clean(text), r} }

// keep is say for text of ours whose spaces at both ends matter.
func keep(r role, text string) span { return span{text, r} }

// col cuts text to a column of so many cells and fills it up.
func col(r role, text string, cells int) span {
	s := board.Cut(text, cells)
	if n := cells - board.Width(s); n > 0 {
		s += strings.Repeat(" ", n)
	}
	return span{s, r}
}

func row(spans ...span) line { return line{spans: spans} }

// blank is an empty row.
var blank = line{}

// width is the number of cells of a line.
func (l line) width() int {
	n := 0
	for _, s := range l.spans {
		n += board.Width(s.text)
	}
	return n
}

// wrapped breaks text into rows of one role.
func wrapped(r role, text, first, rest string, width int) []line {
	var out []line
	for _, s := range board.Wrap(board.Clean(text), first, rest, width) {
		out = append(out, row(keep(r, s)))
	}
	return out
}

// labelled is wrapped with a label, indented by so many cells, in a column
// that ends at cell at.
func labelled(indent int, label string, lr role, text string, r role, at, width int) []line {
	pad := strings.Repeat(" ", at)
	var out []line
	for i, s := range board.Wrap(board.Clean(text), pad, pad, width) {
		if i == 0 {
			out = append(out, row(keep(plain, pad[:indent]), col(lr, label, at-indent), keep(r, strings.TrimPrefix(s, pad))))
			continue
		}
		out = append(out, row(keep(r, s)))
	}
	return out
}

// upper gives a clause its capital letter.
func upper(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return strings.ToUpper(s[:1]) + s[1:]
	}
	return s
}

// clip is one row of text behind an indent, cut to the width.
func clip(r role, indent int, text string, width int) line {
	return row(keep(plain, strings.Repeat(" ", indent)), say(r, board.Cut(text, max(width-indent, 1))))
}

// fit makes exactly h rows of lines.
func fit(lines []line, h int) []line {
	if h <= 0 {
		return nil
	}
	for len(lines) < h {
		lines = append(lines, blank)
	}
	return lines[:h]
}
