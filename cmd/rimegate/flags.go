package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

// Flag values. Everything a person types is kept as text and read by form,
// which knows the farm's date, zone and names and can refuse in one sentence.

// once is text that may be given once: the library would let the last of two
// values win in silence.
type once struct {
	text string
	set  bool
}

func (o *once) Set(s string) error {
	if o.set {
		return errTwice
	}
	o.text, o.set = s, true
	return nil
}

func (o *once) String() string {
	if o == nil {
		return ""
	}
	return o.text
}

// many is a list: with commas, by repeating the flag, or both.
type many struct{ items []string }

func (m *many) Set(s string) error {
	m.items = append(m.items, fields.SplitList([]string{s})...)
	return nil
}

func (m *many) String() string {
	if m == nil {
		return ""
	}
	return strings.Join(m.items, ",")
}

// each is a flag that may be given several times; commas are no separators.
type each struct{ items []string }

func (e *each) Set(s string) error {
	e.items = append(e.items, s)
	return nil
}

func (e *each) String() string {
	if e == nil {
		return ""
	}
	return strings.Join(e.items, " ")
}

// text makes a flag with one value; the word in backquotes in usage is the
// value's name in the help.
func text(name, usage string) cli.Flag {
	return &cli.GenericFlag{Name: name, Usage: usage, Value: &once{}}
}

func list(name, usage string) cli.Flag {
	return &cli.GenericFlag{Name: name, Usage: usage + " (several: with commas, or repeat the flag)", Value: &many{}}
}

func yes(name, usage string) cli.Flag {
	return &cli.BoolFlag{Name: name, Usage: usage, DisableDefaultText: true}
}

// anywhere are the flags that every command takes, before or behind its name.
func anywhere() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{
			Name: "journal", Usage: "the journal is `FILE` (else RIMEGATE_JOURNAL, else farm.journal in your data folder)",
		},
		&cli.StringFlag{
			Name: "by", Usage: "signed by `NAME` (else RIMEGATE_BY, else your login)",
		},
		&cli.StringFlag{
			Name: "zone", Usage: "time `ZONE` such as America/Regina, until the farm names its own",
		},
		&cli.BoolFlag{
			Name: "no-color", Usage: "no colours or bold (NO_COLOR does the same)",
			DisableDefaultText: true,
		},
	}
}

// given returns a flag's text from wherever on the line it stands.
func given(c *cli.Context, name string) (string, bool) {
	for _, ctx := range c.Lineage() {
		if ctx.Command != nil && ctx.IsSet(name) {
			return ctx.String(name), true
		}
	}
	return "", false
}

func value(c *cli.Context, name string) (string, bool) {
	if o, ok := c.Generic(name).(*once); ok && o.set {
		return o.text, true
	}
	return "", false
}

// typed returns the texts of a flag as they were typed; those of a list one by one.
func typed(c *cli.Context, name string) []string {
	switch x := c.Generic(name).(type) {
	case *many:
		return x.items
	case *each:
		return x.items
	case *once:
		if x.set {
			return []string{x.text}
		}
	}
	return nil
}
