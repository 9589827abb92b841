package calendar

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/teambition/rrule-go"

	"rimegate/fields"
)

// Rule is a recurrence rule of RFC 5545 (section 3.3.10) that counts in days:
// daily or coarser, without hours. It is worked out on dates alone, so no
// change of the clock can move, drop or double a day.
type Rule struct {
	text string // canonical
	opt  rrule.ROption
}

// maxRule is the longest rule taken, in bytes; maxInterval the largest INTERVAL.
const (
	maxRule     = 300
	maxInterval = 999
)

// ParseRule reads a rule such as FREQ=WEEKLY;BYDAY=MO,TH. Rules finer than a
// day, rules with hours, and parts that RFC 5545 does not allow together are
// refused, each with one sentence.
func ParseRule(s string) (*Rule, error) {
	t := strings.ToUpper(strings.TrimSpace(s))
	t = strings.TrimPrefix(t, "RRULE:")
	if t == "" {
		return nil, fmt.Errorf("the rule is empty; type one like FREQ=DAILY or FREQ=WEEKLY;BYDAY=MO,TH")
	}
	if len(t) > maxRule {
		return nil, fmt.Errorf("the rule is longer than %d characters", maxRule)
	}
	parts := map[string]string{}
	var order []string
	for _, p := range strings.Split(strings.TrimSuffix(t, ";"), ";") {
		name, value, ok := strings.Cut(p, "=")
		if !ok || name == "" || value == "" {
			return nil, fmt.Errorf("%q is no part of a rule; parts look like BYDAY=MO and stand between semicolons", cut(p))
		}
		if _, twice := parts[name]; twice {
			return nil, fmt.Errorf("%s stands in the rule twice; give it once", cut(name))
		}
		parts[name] = value
		order = append(order, name)
	}
	r := &Rule{text: "FREQ=" + parts["FREQ"]}
	err := r.freq(parts["FREQ"])
	for _, name := range order {
		if err == nil {
			err = r.part(name, parts[name])
		}
		if name != "FREQ" {
			r.text += ";" + name + "=" + parts[name]
		}
	}
	if err == nil {
		err = r.together()
	}
	if err != nil {
		return nil, err
	}
	if _, err := rrule.NewRRule(r.opt); err != nil {
		return nil, fmt.Errorf("%q is no rule that can be worked out (%v)", cut(t), err)
	}
	return r, nil
}

// String returns the rule in its canonical form, FREQ first.
func (r *Rule) String() string { return r.text }

func (r *Rule) freq(word string) error {
	switch word {
	case "":
		return fmt.Errorf("the rule does not say how often; begin it with FREQ=DAILY, FREQ=WEEKLY, FREQ=MONTHLY or FREQ=YEARLY")
	case "HOURLY", "MINUTELY", "SECONDLY":
		return fmt.Errorf("FREQ=%s is finer than a day; a round falls on days: type FREQ=DAILY or coarser", word)
	case "DAILY", "WEEKLY", "MONTHLY", "YEARLY":
	default:
		return fmt.Errorf("FREQ=%s is no word for how often; type DAILY, WEEKLY, MONTHLY or YEARLY", cut(word))
	}
	f, err := rrule.StrToFreq(word)
	r.opt.Freq = f
	return err
}

// lists are the parts of a rule that hold numbers, with the largest; from the end with
// a minus sign but for BYMONTH.
var lists = map[string]struct {
	hi int
	of func(*rrule.ROption) *[]int
}{
	"BYMONTH":    {12, func(o *rrule.ROption) *[]int { return &o.Bymonth }},
	"BYMONTHDAY": {31, func(o *rrule.ROption) *[]int { return &o.Bymonthday }},
	"BYYEARDAY":  {366, func(o *rrule.ROption) *[]int { return &o.Byyearday }},
	"BYWEEKNO":   {53, func(o *rrule.ROption) *[]int { return &o.Byweekno }},
	"BYSETPOS":   {366, func(o *rrule.ROption) *[]int { return &o.Bysetpos }},
}

func (r *Rule) part(name, value string) (err error) {
	o := &r.opt
	if list, ok := lists[name]; ok {
		*list.of(o), err = numbers(name, value, list.hi, name != "BYMONTH")
		return err
	}
	switch name {
	case "FREQ":
	case "INTERVAL":
		o.Interval, err = number(name, value, maxInterval)
	case "COUNT":
		o.Count, err = number(name, value, 99999)
	case "UNTIL":
		if o.Until, err = time.Parse(dayForm, value); err != nil || o.Until.Year() < 1900 || o.Until.Year() > 2200 {
			err = fmt.Errorf("UNTIL=%s is no day; a round ends on a day: write it like UNTIL=20261130", cut(value))
		}
	case "BYDAY":
		err = r.weekdays(value)
	case "WKST":
		var ok bool
		if o.Wkst, ok = weekdays[value]; !ok {
			err = fmt.Errorf("WKST=%s is no day of the week; type MO, TU, WE, TH, FR, SA or SU", cut(value))
		}
	case "BYHOUR", "BYMINUTE", "BYSECOND":
		err = fmt.Errorf("%s is finer than a day; leave it out: a round falls on days", name)
	default:
		err = fmt.Errorf("%s is no part of a rule; see RFC 5545, section 3.3.10", cut(name))
	}
	return err
}

var weekdays = map[string]rrule.Weekday{
	"MO": rrule.MO, "TU": rrule.TU, "WE": rrule.WE, "TH": rrule.TH, "FR": rrule.FR, "SA": rrule.SA, "SU": rrule.SU,
}

func (r *Rule) weekdays(value string) error {
	for _, w := range strings.Split(value, ",") {
		d, ok := weekdays[w[max(0, len(w)-2):]]
		if !ok {
			return fmt.Errorf("BYDAY=%s holds no day of the week; type MO, TU, WE, TH, FR, SA or SU", cut(value))
		}
		if nth := w[:len(w)-2]; nth != "" {
			if r.opt.Freq != rrule.MONTHLY && r.opt.Freq != rrule.YEARLY {
				return fmt.Errorf("BYDAY=%s counts weekdays within a month or year; use it with FREQ=MONTHLY or FREQ=YEARLY", cut(value))
			}
			n, err := numbers("BYDAY", nth, 53, true)
			if err != nil {
				return err
			}
			d = d.Nth(n[0])
		}
		r.opt.Byweekday = append(r.opt.Byweekday, d)
	}
	return nil
}

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
		{o.Count > 0 && !o.Until.IsZero(), "COUNT and UNTIL stand in one rule; give one of the two"},
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

func number(name, value string, hi int) (int, error) {
	n, err := strconv.Atoi(value)
	if err != nil || n < 1 || n > hi || value[0] == '+' {
		return 0, fmt.Errorf("%s=%s cannot be; it is a whole number from 1 to %d", name, cut(value), hi)
	}
	return n, nil
}

func numbers(name, value string, hi int, negative bool) ([]int, error) {
	also := ""
	if negative {
		also = ", or counted from the end with a minus sign"
	}
	var out []int
	for _, s := range strings.Split(value, ",") {
		n, err := strconv.Atoi(s)
		if size := max(n, -n); err != nil || size < 1 || size > hi || n < 0 && !negative {
			return nil, fmt.Errorf("%s=%s cannot be; its numbers lie between 1 and %d%s", name, cut(value), hi, also)
		}
		out = append(out, n)
	}
	return out, nil
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
