package main

import (
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/fields/form"
)

// Flag values. Everything a person types is kept as text and read by form,
// which knows the farm's date, zone and names and can refuse in one sentence.

// typedText is what was typed behind a flag. One that may be given once refuses to
// be given twice: the library would let the last of two values win in silence.
type typedText struct {
	items []string
	many  bool // may be repeated
	split bool // is a list, with commas too
	field *form.Field
}

func (t *typedText) Set(s string) error {
	switch {
	case t.split:
		t.items = append(t.items, fields.SplitList([]string{s})...)
	case t.many || len(t.items) == 0:
		t.items = append(t.items, s)
	default:
		return errTwice
	}
	return nil
}

func (t *typedText) String() string {
	if t == nil {
		return ""
	}
	return strings.Join(t.items, ",")
}

// text makes the flag of a field; the word in backquotes in its sentence is the
// value's name in the help. Of texts that may be repeated a comma is a part.
func text(f *form.Field) cli.Flag {
	t, use := &typedText{field: f}, f.Use
	switch {
	case f.Type == form.Figures, f.Type == form.Texts:
		t.many = true
	case f.Many():
		t.many, t.split = true, true
		use += " (several: with commas, or repeat the flag)"
	}
	return &cli.GenericFlag{Name: f.Flag, Usage: use, Value: t}
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
	if t := typed(c, name); len(t) > 0 {
		return t[0], true
	}
	return "", false
}

// typed returns the texts of a flag as they were typed; those of a list one by one.
func typed(c *cli.Context, name string) []string {
	if t, ok := c.Generic(name).(*typedText); ok {
		return t.items
	}
	return nil
}
