package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/hazard/board"
)

// logged prints what was understood, what must be said aloud, and what changed.
func (p *program) logged(l *farm.Logged) error {
	if len(l.Entries) > 0 {
		if l.Stored {
			fmt.Fprintln(p.out, "Logged:")
		} else {
			fmt.Fprintln(p.out, "Dry run: nothing is stored. This would be logged:")
		}
	}
	for i := range l.Entries {
		e := &l.Entries[i]
		p.para("  ", "    ", board.EntryEcho(e, l.After.History, board.UnitsOf(l.After.History)))
		if l.Stored {
			fmt.Fprintln(p.out, "    id "+e.ID)
		}
	}
	for _, n := range l.Notes {
		p.para("! ", "  ", n)
	}
	for _, x := range board.NewlyRelaxed(l.Before, l.After) {
		p.para("! ", "  ", x)
	}
	if l.Stored && len(l.Notes) > 0 && len(l.Entries) == 1 {
		p.para("  ", "    ", "If it was a slip: rimegate strike --because \"...\" "+l.Entries[0].ID)
	}
	p.consequences(l)
	return nil
}

// consequences prints what must happen at once, and what moved.
func (p *program) consequences(l *farm.Logged) {
	if alarms := board.Alarms(l.Before, l.After, l.Entries); len(alarms) > 0 {
		fmt.Fprintln(p.out)
		for _, x := range alarms {
			p.para("", "  ", x)
		}
	}
	fmt.Fprintln(p.out)
	p.changes(l)
}

// changes prints the flags and dates that moved.
func (p *program) changes(l *farm.Logged) {
	cs := board.Changes(l.Before, l.After, board.Filter{})
	for _, line := range board.ChangeLines(cs) {
		p.para("", "  ", line)
	}
	if t := board.Unmoved(l.After, l.Entries, cs); t != "" {
		p.para("", "  ", t)
	}
}

// para prints a text in lines of the program's width, nothing of none.
func (p *program) para(first, rest, s string) {
	if s = board.Clean(s); s == "" {
		return
	}
	for _, l := range board.Wrap(s, first, rest, p.width) {
		fmt.Fprintln(p.out, l)
	}
}

// say prints a sentence.
func (p *program) say(format string, args ...any) { p.para("", "  ", fmt.Sprintf(format, args...)) }

// items prints labels and what stands behind each, those without text left out.
func (p *program) items(width int, rows [][2]string) {
	for _, x := range rows {
		if x[1] != "" {
			p.para(fmt.Sprintf("%-*s", width, x[0]), strings.Repeat(" ", width), x[1])
		}
	}
}

// widestCell is the most cells that a column of a table takes, the last apart:
// a longer name is cut, so that it does not push the rest out of sight.
const widestCell = 32

// table prints rows in columns; the last column wraps under itself.
func (p *program) table(head []string, rows [][]string) {
	width := make([]int, len(head))
	for _, r := range append([][]string{head}, rows...) {
		for i, c := range r {
			width[i] = max(width[i], min(widestCell, board.Width(board.Clean(c))))
		}
	}
	line := func(r []string) {
		first := ""
		for i := 0; i < len(r)-1; i++ {
			c := board.Cut(r[i], width[i])
			first += c + strings.Repeat(" ", width[i]-board.Width(c)+2)
		}
		rest := strings.Repeat(" ", board.Width(first))
		if last := r[len(r)-1]; board.Clean(last) != "" {
			p.para(first, rest, last)
		} else {
			fmt.Fprintln(p.out, strings.TrimRight(first, " "))
		}
	}
	line(head)
	for _, r := range rows {
		line(r)
	}
}

// counted is a number of things in words.
var counted = farm.Counted

func quoted(s string) string { return strconv.Quote(board.Clean(s)) }

func words(list []string) string { return strings.Join(list, ", ") }

// maxInput is the most that is read from standard input for one entry, in bytes.
const maxInput = fields.MaxLine

func readAll(r io.Reader) (string, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxInput+1))
	if err != nil {
		return "", err
	}
	if len(b) > maxInput {
		return "", refusef("the entry is longer than %d bytes", maxInput)
	}
	return string(b), nil
}

// thousands writes a count with commas.
func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
