package fields

import (
	"fmt"
	"strings"
)

// Problem is one thing wrong with something typed or read: what is wrong,
// where (file, line and field, each may be empty) and what to type instead.
type Problem struct {
	File   string // name of the file, "" where it is plain
	Line   int    // line of the file, 0 for none
	Column int    // of that line, in bytes from 1; 0 for none
	Field  string // name of the field or flag, "" for none
	What   string // one plain clause: what is wrong
	Type   string // what to type instead, "" when What says it
	Asked  bool   // a person may stand by what was typed
}

// where names file, line and column as far as they are known.
func (p Problem) where() string {
	where := p.File
	if p.Line > 0 {
		where = strings.TrimLeft(fmt.Sprintf("%s line %d", where, p.Line), " ")
		if p.Column > 0 {
			where += fmt.Sprintf(", column %d", p.Column)
		}
	}
	return where
}

func (p Problem) Error() string {
	var b strings.Builder
	if where := p.where(); where != "" {
		b.WriteString(where + ": ")
	}
	if p.Field != "" {
		b.WriteString(p.Field + ": ")
	}
	b.WriteString(p.What)
	if p.Type != "" {
		b.WriteString("; " + p.Type)
	}
	return b.String()
}

// Problems is everything wrong with one input, in order. A nil Problems is no
// error; use Err to hand it on as one.
type Problems []Problem

// Err returns nil when there is no problem.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}
