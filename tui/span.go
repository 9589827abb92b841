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

func (l line) width() int {
	n := 0
	for _, s := range l.spans {
		n += board.Width(s.text)
	}
	return n
}

// prose is text in whole rows, wrapped at a width.
type prose struct {
	w     int
	lines []line
}

// add wraps text behind an indent, its later rows behind another.
func (p *prose) add(r role, indent, later int, text string) {
	if text = board.Clean(text); text == "" {
		return
	}
	for _, s := range board.Wrap(text, strings.Repeat(" ", indent), strings.Repeat(" ", later), p.w) {
		p.row(keep(r, s))
	}
}

func (p *prose) say(r role, text string) { p.add(r, 1, 3, text) }

func (p *prose) row(spans ...span) { p.lines = append(p.lines, row(spans...)) }

// part begins a part of the page under a name.
func (p *prose) part(name string) {
	p.lines = append(p.lines, row(), row(keep(plain, " "), keep(heading, name)))
}

// labelled is add behind a label in a column that ends at cell at.
func (p *prose) labelled(indent int, label string, at int, text string) {
	from := len(p.lines)
	p.add(plain, at, at, text)
	if from < len(p.lines) {
		pad, l := strings.Repeat(" ", at), &p.lines[from]
		rest := strings.TrimPrefix(l.spans[0].text, pad)
		*l = row(keep(plain, pad[:indent]), col(keycap, label, at-indent), keep(plain, rest))
	}
}

// told adds text that is laid out already, each row in its role.
func (p *prose) told(text string, roleOf func(s string, indent int) role) {
	for _, s := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		rest := strings.TrimLeft(s, " ")
		indent := len(s) - len(rest)
		p.row(keep(plain, strings.Repeat(" ", indent+1)), say(roleOf(rest, indent), rest))
	}
}

// cut shortens the text to n rows; where it does, the last says how.
func (p *prose) cut(n int, how line) []line {
	if n = max(n, 1); len(p.lines) > n {
		p.lines = append(p.lines[:n-1:n-1], how)
	}
	return p.lines
}

func wrapped(r role, indent, later int, text string, w int) []line {
	p := prose{w: w}
	p.add(r, indent, later, text)
	return p.lines
}

func wait(doing string) []line { return []line{row(keep(dim, " "+doing+" ..."))} }

func upper(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return strings.ToUpper(s[:1]) + s[1:]
	}
	return s
}

func fit(lines []line, h int) []line {
	if h <= 0 {
		return nil
	}
	for len(lines) < h {
		lines = append(lines, row())
	}
	return lines[:h]
}
