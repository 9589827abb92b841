package calendar

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/teambition/rrule-go"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

// Rule is a recurrence rule of RFC 5545 (section 3.3.10) that counts in days:
// daily or coarser, without hours. It is worked out on dates alone, so no
// change of the clock can move, drop or double a day.
type Rule struct {
	text string // canonical
	opt  rrule.ROption
}

// maxRule is the longest rule taken, in bytes.
const maxRule = 300

// partForm is what the values of a part look like.
type partForm struct {
	form *regexp.Regexp
	most int    // of the whole numbers in it, from 1
	say  string // what is said of a value that is not so, behind NAME=value
}

const weekday = `(?:MO|TU|WE|TH|FR|SA|SU)`

func list(of string) *regexp.Regexp { return regexp.MustCompile("^" + of + "(?:," + of + ")*$") }

func whole(most int) partForm {
	return partForm{list(`\d+`), most, fmt.Sprintf("cannot be; its numbers lie between 1 and %d", most)}
}

func signed(most int) partForm {
	return partForm{list(`[-+]?\d+`), most, whole(most).say + ", or counted from the end with a minus sign"}
}

func single(most int) partForm {
	return partForm{regexp.MustCompile(`^\d+$`), most, fmt.Sprintf("cannot be; it is a whole number from 1 to %d", most)}
}

// partForms are the parts of a rule.
var partForms = sync.OnceValue(func() map[string]partForm {
	return map[string]partForm{
		"FREQ":       {list(`(?:DAILY|WEEKLY|MONTHLY|YEARLY)`), 0, "is not how often; type DAILY, WEEKLY, MONTHLY or YEARLY"},
		"INTERVAL":   single(999),
		"COUNT":      single(99999),
		"UNTIL":      {regexp.MustCompile(`^(?:(?:19|2[01])\d\d|2200)\d{4}$`), 0, "is not a day; a round ends on a day: write it like UNTIL=20261130"},
		"BYDAY":      {list(`(?:[-+]?\d+)?` + weekday), 53, "is not a day of the week; type MO, TU, WE, TH, FR, SA or SU, counted up to 53 if at all"},
		"WKST":       {regexp.MustCompile("^" + weekday + "$"), 0, "is not a day of the week; type MO, TU, WE, TH, FR, SA or SU"},
		"BYMONTH":    whole(12),
		"BYMONTHDAY": signed(31),
		"BYYEARDAY":  signed(366),
		"BYWEEKNO":   signed(53),
		"BYSETPOS":   signed(366),
	}
})

var (
	finer  = lazy.Regexp(`^(?:FREQ=(?:HOURLY|MINUTELY|SECONDLY)$|BY(?:HOUR|MINUTE|SECOND)=)`)
	digits = lazy.Regexp(`\d+`)
)

// holds reports whether a value is of the form.
func (f *partForm) holds(value string) bool {
	ok := f.form.MatchString(value)
	for _, d := range digits().FindAllString(value, -1) {
		n, err := strconv.Atoi(d)
		ok = ok && err == nil && (f.most == 0 || n >= 1 && n <= f.most)
	}
	return ok
}

// ParseRule reads a rule such as FREQ=WEEKLY;BYDAY=MO,TH. Rules finer than a
// day, rules with hours, and parts that RFC 5545 does not allow together are
// refused, each with one sentence.
func ParseRule(s string) (*Rule, error) {
	t := strings.TrimPrefix(strings.ToUpper(strings.TrimSpace(s)), "RRULE:")
	if t == "" {
		return nil, errors.New("the rule is empty; type one like FREQ=DAILY or FREQ=WEEKLY;BYDAY=MO,TH")
	}
	if len(t) > maxRule {
		return nil, fmt.Errorf("the rule is longer than %d characters", maxRule)
	}
	seen := map[string]bool{}
	freq, rest := "", ""
	for _, p := range strings.Split(strings.TrimSuffix(t, ";"), ";") {
		name, value, _ := strings.Cut(p, "=")
		form, known := partForms()[name]
		switch {
		case name == "" || value == "":
			return nil, fmt.Errorf("%q is not part of a rule; parts look like BYDAY=MO, with semicolons between", cut(p))
		case seen[name]:
			return nil, fmt.Errorf("%s is in the rule twice; give it once", cut(name))
		case finer().MatchString(p):
			return nil, fmt.Errorf("%s is finer than a day; a round falls on days: type FREQ=DAILY or coarser, without hours", cut(p))
		case !known:
			return nil, fmt.Errorf("%s is not part of a rule; see RFC 5545, section 3.3.10", cut(name))
		case !form.holds(value):
			return nil, fmt.Errorf("%s=%s %s", name, cut(value), form.say)
		case name == "FREQ":
			freq = p
		default:
			rest += ";" + p
		}
		seen[name] = true
	}
	if freq == "" {
		return nil, errors.New("the rule does not say how often; begin it with FREQ=DAILY, FREQ=WEEKLY, FREQ=MONTHLY or FREQ=YEARLY")
	}
	r := &Rule{text: freq + rest}
	opt, err := rrule.StrToROption(r.text)
	if err != nil { // the rest was looked at above
		return nil, errors.New("UNTIL " + partForms()["UNTIL"].say)
	}
	r.opt = *opt
	if err := r.together(); err != nil {
		return nil, err
	}
	if _, err := rrule.NewRRule(r.opt); err != nil {
		return nil, fmt.Errorf("%q is no rule that can be worked out (%v)", cut(t), err)
	}
	return r, nil
}

// String returns the rule in its canonical form, FREQ first.
func (r *Rule) String() string { return r.text }

// together refuses what RFC 5545 does not allow in one rule.
func (r *Rule) together() error {
	o := &r.opt
	counted, most := false, 0
	for _, d := range o.Byweekday {
		counted = counted || d.N() != 0
		if max(d.N(), -d.N()) > 5 {
			most = d.N()
		}
	}
	yearly, inMonth := o.Freq == rrule.YEARLY, o.Freq == rrule.MONTHLY || len(o.Bymonth) > 0
	weeks := len(o.Byweekno) > 0
	others := len(o.Byweekday) + len(o.Bymonthday) + len(o.Byyearday) + len(o.Byweekno) + len(o.Bymonth)
	for _, wrong := range []struct {
		is   bool
		what string
	}{
		{
			counted && !yearly && o.Freq != rrule.MONTHLY,
			"a counted BYDAY counts weekdays within a month or year; use it with FREQ=MONTHLY or FREQ=YEARLY",
		},
		{o.Count > 0 && !o.Until.IsZero(), "COUNT and UNTIL are both in the rule; give one of them"},
		{weeks && !yearly, "BYWEEKNO goes with FREQ=YEARLY only"},
		{len(o.Byyearday) > 0 && !yearly, "BYYEARDAY goes with FREQ=YEARLY only"},
		{len(o.Bymonthday) > 0 && o.Freq == rrule.WEEKLY, "BYMONTHDAY does not go with FREQ=WEEKLY"},
		{weeks && counted, "a counted BYDAY does not go with BYWEEKNO"},
		{most != 0 && inMonth, fmt.Sprintf("a month has at most five of each day of the week, so BYDAY cannot count to %d; type a number from 1 to 5, or from -1 to -5 counted from the month's end", most)},
		{len(o.Bysetpos) > 0 && others == 0, "BYSETPOS picks from another BY part; give one, such as BYDAY"},
	} {
		if wrong.is {
			return errors.New(wrong.what)
		}
	}
	return nil
}

// cut keeps a refusal readable and clean: at most 40 plain characters of what
// was typed.
func cut(s string) string {
	var b strings.Builder
	for i, r := range s {
		if i >= 40 {
			b.WriteString("...")
			break
		}
		if r < ' ' || r == 0x7f || r >= 0x80 {
			r = '?'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// lookAhead is how far the next day of a round is looked for, in days: a yearly
// round and a leap day are in.
const lookAhead = 8*366 + 2

// Never returns an error that says so if a round that starts on start never
// falls on a day, or cannot be worked out.
func (r *Rule) Never(start fields.Date) error { return r.often(start, 1) }

// Rare returns an error if a round that starts on start comes round so seldom
// that nobody can mean it: never, or on one day in eight years without having
// an end.
func (r *Rule) Rare(start fields.Date) error { return r.often(start, 2) }

func (r *Rule) often(start fields.Date, least int) error {
	days, err := r.days(start, start, start.Add(lookAhead))
	switch {
	case err != nil:
		return err
	case len(days) == 0:
		return fmt.Errorf("%s never comes: it falls on no day within eight years of %s", r.text, start.Words())
	case len(days) < least && r.opt.Count == 0 && r.opt.Until.IsZero():
		return fmt.Errorf("%s hardly ever comes: within eight years of %s it falls on %s alone; for one day alone add COUNT=1", r.text, start.Words(), days[0].Words())
	}
	return nil
}

// Days returns the days on which a round that starts on start falls, from and
// to included, in order. A month or year without the day named is passed over
// (BYMONTHDAY=31, 29-Feb), as RFC 5545 says; -1 is the last day of each. The
// window bounds the work whatever the rule says.
func (r *Rule) Days(start, from, to fields.Date) []fields.Date {
	out, _ := r.days(start, from, to)
	return out
}

// days is Days, and says when the rule cannot be worked out. The library looks
// for a day that never comes until the year 9999, and its end of the window is
// looked at only when a day is found. Since the calendar repeats itself every
// 400 years to the day of the week, the rule is worked out as near to that year
// as whole cycles go.
func (r *Rule) days(start, from, to fields.Date) (out []fields.Date, err error) {
	if to < from || to < start {
		return nil, nil
	}
	defer func() {
		if bad := recover(); bad != nil {
			out, err = nil, fmt.Errorf("%s cannot be worked out", r.text)
		}
	}()
	const cycle = 400
	later := (9990 - to.Year()) / cycle * cycle
	o := r.opt
	o.Dtstart = midnight(start).AddDate(later, 0, 0)
	if end := midnight(to); o.Until.IsZero() || o.Until.After(end) {
		o.Until = end
	}
	o.Until = o.Until.AddDate(later, 0, 0)
	rule, err := rrule.NewRRule(o)
	if err != nil {
		return nil, err
	}
	next := rule.Iterator()
	for t, ok := next(); ok; t, ok = next() {
		d := fields.MakeDate(t.Year()-later, t.Month(), t.Day())
		if d > to {
			break
		}
		if d >= from {
			out = append(out, d)
		}
	}
	return out, nil
}

func midnight(d fields.Date) time.Time { return d.At(0, 0, time.UTC) }
