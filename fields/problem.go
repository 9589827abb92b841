package fields

import (
	"fmt"
	"strings"
)

// Problem is one thing wrong with something typed or read: what is wrong,
// where (file, line and field, each may be empty) and what to type instead.
type Problem struct {
	File  string // name of the file, "" where it is plain
	Line  int    // line of the file, 0 for none
	Field string // name of the field or flag, "" for none
	What  string // one plain clause: what is wrong
	Type  string // what to type instead, "" when What says it
}

func (p Problem) Error() string {
	var b strings.Builder
	switch {
	case p.File != "" && p.Line > 0:
		fmt.Fprintf(&b, "%s line %d: ", p.File, p.Line)
	case p.File != "":
		b.WriteString(p.File + ": ")
	case p.Line > 0:
		fmt.Fprintf(&b, "line %d: ", p.Line)
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
