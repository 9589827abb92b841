package main

import (
	"bytes"
	"io"
	"strings"
)

type writer = io.Writer

// painted runs print and, on a terminal that wants it, makes the flag words at
// the beginning of its lines bold. Words carry the meaning; paint only helps
// the eye. Pipes and NO_COLOR get the very same bytes without escapes.
func (p *program) painted(print func(io.Writer) error) error {
	if !p.colour {
		return print(p.out)
	}
	var b bytes.Buffer
	if err := print(&b); err != nil {
		return err
	}
	_, err := io.WriteString(p.out, paint(b.String()))
	return err
}

const bold, plain = "\x1b[1m", "\x1b[0m"

// loud are the words worth a second look, as they stand at a line's beginning.
var loud = []string{
	"MOVE OUT NOW:", "MOVE OUT BEFORE", "NOT READ LAST NIGHT:", "ONE STAGGERS,", "STOP FEEDING NOW", "OUT BEFORE DARK:", "OUT NOW, IT IS DARK:", "LAST NIGHT NOT READ", "RELAXED:", "NOTICE:", "DANGER TO PEOPLE:",
	"NO ", "ASK FIRST ", "YES ", "HOLD", "CAUTION", "CLEAR",
}

func paint(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		body := strings.TrimLeft(l, " ")
		for _, w := range loud {
			if strings.HasPrefix(body, w) {
				w = strings.TrimSpace(w)
				lines[i] = l[:len(l)-len(body)] + bold + w + plain + body[len(w):]
				break
			}
		}
	}
	return strings.Join(lines, "\n")
}
