package main

import (
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
)

// form reads the flags of one command into the farm's terms. It collects every
// problem, so that a person is told all of them at once, and returns harmless
// values meanwhile; nothing may be stored while err is not nil.
type flagReader struct {
	c        *cli.Context
	v        *farm.View
	stores   bool // what is read is to be stored
	problems fields.Problems
}

func newForm(c *cli.Context, v *farm.View) *flagReader { return &flagReader{c: c, v: v} }

func (f *flagReader) err() error { return f.problems.Err() }

// wrong notes a problem with a flag (or with the arguments, if flag is "").
func (f *flagReader) wrong(flag, what, hint string) {
	if flag != "" {
		flag = "--" + flag
	}
	f.problems = append(f.problems, fields.Problem{Field: flag, What: what, Type: hint})
}

func (f *flagReader) failed(flag string, err error) {
	if err != nil {
		f.wrong(flag, err.Error(), "")
	}
}

func (f *flagReader) has(flag string) bool { return f.c.IsSet(flag) }

func (f *flagReader) yes(flag string) bool { return f.c.Bool(flag) }

// text returns a flag's text, "" if not given.
func (f *flagReader) text(flag string) string {
	s, ok := value(f.c, flag)
	if ok && strings.TrimSpace(s) == "" {
		f.wrong(flag, "is empty", "leave the flag away instead")
	}
	return strings.TrimSpace(s)
}

// must is text that has to be there; hint says what to type.
func (f *flagReader) must(flag, hint string) string {
	if !f.has(flag) {
		f.wrong(flag, "is missing", hint)
		return ""
	}
	return f.text(flag)
}

func (f *flagReader) list(flag string) []string { return typed(f.c, flag) }

// quantity reads a number with its unit; nil if the flag is not given.
func (f *flagReader) quantity(flag string, m *fields.Measure) *float64 {
	s, ok := value(f.c, flag)
	if !ok {
		return nil
	}
	v, err := m.Parse(s)
	if err != nil {
		f.failed(flag, err)
		return nil
	}
	return &v
}

func (f *flagReader) mustQuantity(flag string, m *fields.Measure) *float64 {
	if !f.has(flag) {
		f.wrong(flag, "is missing", "type it with its unit, like --"+flag+" "+strings.Split(m.Example, " ")[0])
		return nil
	}
	return f.quantity(flag, m)
}

// count reads a plain number of things, such as stems or head.
func (f *flagReader) count(flag string) *float64 {
	s, ok := value(f.c, flag)
	if !ok {
		return nil
	}
	v, err := fields.ParseCount(s)
	if err != nil {
		f.failed(flag, err)
		return nil
	}
	return &v
}

// number reads a plain decimal number whose unit another flag names, or a
// coordinate.
func (f *flagReader) number(flag string) *float64 {
	s, ok := value(f.c, flag)
	if !ok {
		return nil
	}
	v, err := fields.ParseNumber(s)
	if err != nil {
		f.failed(flag, err)
		return nil
	}
	return &v
}

// date reads a date as people type it; def if the flag is not given.
func (f *flagReader) date(flag string, def fields.Date) fields.Date {
	s, ok := value(f.c, flag)
	if !ok {
		if def != fields.NoDate && def == f.v.Today {
			f.whichDay(flag, "is left out")
		}
		return def
	}
	d, err := fields.ParseDate(s, f.v.Today)
	if err != nil {
		f.failed(flag, err)
		return def
	}
	if fields.IsRelative(s) {
		f.whichDay(flag, quoted(s)+" counts from today")
	}
	return d
}

// whichDay refuses a day that rests on today's date, if it is to be stored and
// the clock is known to be wrong.
func (f *flagReader) whichDay(flag, why string) {
	if f.stores && f.v.Behind != "" {
		f.wrong(flag, why+", and today is in doubt: "+f.v.Behind, "set the clock right, or type the day in full, like 17-Sep-2026")
	}
}

func (f *flagReader) mustDate(flag string) fields.Date {
	if !f.has(flag) {
		f.wrong(flag, "is missing", "type today, yesterday or one like 17-Sep-2026")
		return fields.NoDate
	}
	return f.date(flag, fields.NoDate)
}

// moment reads a day with an hour; the zero time if the flag is not given.
func (f *flagReader) moment(flag string) time.Time {
	s, ok := value(f.c, flag)
	if !ok {
		return time.Time{}
	}
	t, err := fields.ParseMoment(s, f.v.Today, f.v.Loc)
	if err != nil {
		f.failed(flag, err)
	} else if u, err := fields.ParseMoment(s, f.v.Today+1, f.v.Loc); err != nil || !u.Equal(t) {
		f.whichDay(flag, quoted(s)+" counts from today")
	}
	return t
}

// knownAt reads --known-at, a moment that has passed.
func (f *flagReader) knownAt() time.Time {
	t := f.moment("known-at")
	if t.After(f.v.Now) && t.After(f.v.History.KnownAt) {
		f.wrong("known-at", "has not come yet: nobody knows what will be written down by then", `type a moment that has passed, such as "yesterday 06:40"`)
	}
	return t
}

// either reads a pair of flags that say yes and no; nil: not said.
func (f *flagReader) either(yes, no string) *bool {
	y, n := f.has(yes), f.has(no)
	switch {
	case y && n:
		f.wrong(yes, "and --"+no+" contradict each other", "give one of the two, or none for not said")
		return nil
	case y:
		b := f.yes(yes)
		return &b
	case n:
		b := !f.yes(no)
		return &b
	}
	return nil
}

// which reads a pair of flags of which one must be given, and returns its name.
func (f *flagReader) which(one, other string) string {
	switch {
	case f.yes(one) == f.yes(other):
		f.wrong(one, "or --"+other+" is needed", "say which of the two")
		return ""
	case f.yes(one):
		return one
	}
	return other
}

// said reads a flag that says yes; nil: not said.
func (f *flagReader) said(yes string) *bool {
	if !f.has(yes) {
		return nil
	}
	b := f.yes(yes)
	return &b
}

// one reads one of the words allowed, with or without its hyphens.
func (f *flagReader) one(flag string, words ...string) string {
	return f.word(flag, words, true)
}

// exactly is one without a guess: a word of the report such as NO3 or mg/L,
// where the one that looks alike is another number.
func (f *flagReader) exactly(flag string, words ...string) string {
	return f.word(flag, words, false)
}

func (f *flagReader) word(flag string, words []string, guess bool) string {
	s := f.text(flag)
	if s == "" {
		return ""
	}
	bare := strings.NewReplacer("-", "", "_", "", " ", "")
	for _, w := range words {
		if strings.EqualFold(bare.Replace(w), bare.Replace(s)) {
			return w
		}
	}
	hint := "type one of " + strings.Join(words, ", ")
	if !guess {
		hint = "look on the report and " + hint
	} else if c := form.Closest(s, words); c != "" {
		hint = "did you mean " + c + "? It can be " + strings.Join(words, ", ")
	}
	f.wrong(flag, quoted(s)+" is no word for it", hint)
	return ""
}

func (f *flagReader) mustOne(flag string, words ...string) string {
	f.needs(flag, words)
	return f.one(flag, words...)
}

func (f *flagReader) mustExactly(flag string, words ...string) string {
	f.needs(flag, words)
	return f.exactly(flag, words...)
}

func (f *flagReader) needs(flag string, words []string) {
	if !f.has(flag) {
		f.wrong(flag, "is missing", "type one of "+strings.Join(words, ", "))
	}
}

// paddocks reads the arguments as paddocks; at least one must be there.
func (f *flagReader) paddocks() []string {
	args := f.c.Args().Slice()
	if len(fields.SplitList(args)) == 0 {
		f.wrong("", "no paddock named", "type its short name behind the flags; several with commas, `all` for every one")
		return nil
	}
	ids, err := f.v.Paddocks(args)
	f.failed("", err)
	return ids
}

// paddock reads the arguments as exactly one paddock.
func (f *flagReader) paddock() string {
	ids := f.paddocks()
	if len(ids) > 1 {
		f.wrong("", "several paddocks named", "this is said of one at a time")
		return ""
	}
	if len(ids) == 0 {
		return ""
	}
	return ids[0]
}

// paddockOrLot reads either one paddock (argument) or one lot (--lot).
func (f *flagReader) paddockOrLot() (paddock, lot string) {
	if f.has("lot") {
		if f.c.NArg() > 0 {
			f.wrong("lot", "and a paddock are both named", "it is about one of the two")
		}
		return "", f.lot("lot")
	}
	if f.c.NArg() == 0 {
		f.wrong("", "no paddock named", "type its short name behind the flags, or --lot NAME for stored feed")
		return "", ""
	}
	return f.paddock(), ""
}

func (f *flagReader) station(flag string) string {
	s := f.text(flag)
	if s == "" {
		return ""
	}
	id, err := f.v.Station(s)
	f.failed(flag, err)
	return id
}

func (f *flagReader) herd(flag string) string {
	s := f.text(flag)
	if s == "" {
		return ""
	}
	id, err := f.v.Herd(s)
	f.failed(flag, err)
	return id
}

func (f *flagReader) lot(flag string) string {
	s := f.text(flag)
	if s == "" {
		return ""
	}
	id, err := f.v.Lot(s)
	f.failed(flag, err)
	return id
}

// paddockList reads a flag that names paddocks.
func (f *flagReader) paddockList(flag string) []string {
	items := f.list(flag)
	if len(items) == 0 {
		return nil
	}
	ids, err := f.v.Paddocks(items)
	f.failed(flag, err)
	return ids
}

// name reads the one argument of a command that sets something up.
func (f *flagReader) name(what string) string {
	args := fields.SplitList(f.c.Args().Slice())
	switch len(args) {
	case 0:
		f.wrong("", "no short name given for the "+what, "type it behind the flags, such as north-slough")
		return ""
	case 1:
		return args[0]
	}
	f.wrong("", "several names given", "one "+what+" is set up at a time; a short name has no spaces (use --name for the full one)")
	return ""
}

// ahead reads a date that may lie ahead: without a year it is the next such
// day, not the last one.
func (f *flagReader) ahead(flag string) fields.Date {
	s, ok := value(f.c, flag)
	if !ok {
		return fields.NoDate
	}
	d, err := fields.ParseComing(s, f.v.Today)
	f.failed(flag, err)
	if fields.IsRelative(s) && err == nil {
		f.whichDay(flag, quoted(s)+" counts from today")
	}
	return d
}

// day reads the day a question is about: like date, but a day without a year is
// the nearest one, behind or ahead.
func (f *flagReader) day(flag string) fields.Date {
	s, ok := value(f.c, flag)
	if !ok {
		return fields.NoDate
	}
	past, err := fields.ParseDate(s, f.v.Today)
	if next, err2 := fields.ParseComing(s, f.v.Today); err2 == nil && next > f.v.Today && (err != nil || next.Sub(f.v.Today) < f.v.Today.Sub(past)) {
		return next
	}
	f.failed(flag, err)
	return past
}
