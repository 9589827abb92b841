package rules

import (
	"fmt"
	"sort"
	"strings"
)

// Problem is one fault of the rulebook's data: where it stands and what is
// wrong, in words.
type Problem struct {
	File   string // path inside the rulebook
	Line   int    // from 1; 0 when the fault is of the whole file or book
	Column int    // from 1, in bytes
	What   string
}

// Error returns file:line:column: words.
func (p Problem) Error() string {
	switch {
	case p.File == "":
		return p.What
	case p.Line == 0:
		return p.File + ": " + p.What
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.What)
}

// problems gathers faults while the book is read.
type problems []Problem

func (ps *problems) add(d *doc, path, format string, args ...any) {
	p := Problem{File: d.name, What: fmt.Sprintf(format, args...)}
	if at, ok := d.place(path); ok {
		p.Line, p.Column = at.line, at.column
	}
	*ps = append(*ps, p)
}

func (ps problems) sorted() []Problem {
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i], ps[j]
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	return ps
}

// list joins words: "a", "a and b", "a, b and c".
func list(words []string) string { return joined(words, " and ") }

// either joins words: "a", "a or b", "a, b or c".
func either(words []string) string { return joined(words, " or ") }

func joined(words []string, last string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + last + words[n-1]
	}
}
