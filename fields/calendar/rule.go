package calendar

import (
	"fmt"
	"slices"
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
	r := &Rule{}
	if err := r.freq(parts["FREQ"]); err != nil {
		return nil, err
	}
	for _, name := range order {
		if err := r.part(name, parts[name]); err != nil {
			return nil, err
		}
	}
	if err := r.together(); err != nil {
		return nil, err
	}
	canon := []string{"FREQ=" + parts["FREQ"]}
	for _, name := range order {
		if name != "FREQ" {
			canon = append(canon, name+"="+parts[name])
		}
	}
	r.text = strings.Join(canon, ";")
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

func (r *Rule) part(name, value string) error {
	var err error
	o := &r.opt
	switch name {
	case "FREQ":
	case "INTERVAL":
		o.Interval, err = number(name, value, 1, maxInterval)
	case "COUNT":
		o.Count, err = number(name, value, 1, 99999)
	case "UNTIL":
		t, bad := time.Parse("20060102", value)
		if bad != nil || t.Year() < 1900 || t.Year() > 2200 {
			return fmt.Errorf("UNTIL=%s is no day; a round ends on a day: write it like UNTIL=20261130", cut(value))
		}
		o.Until = t
	case "BYMONTH":
		o.Bymonth, err = numbers(name, value, 1, 12, false)
	case "BYMONTHDAY":
		o.Bymonthday, err = numbers(name, value, 1, 31, true)
	case "BYYEARDAY":
		o.Byyearday, err = numbers(name, value, 1, 366, true)
	case "BYWEEKNO":
		o.Byweekno, err = numbers(name, value, 1, 53, true)
	case "BYSETPOS":
		o.Bysetpos, err = numbers(name, value, 1, 366, true)
	case "BYDAY":
		err = r.weekdays(value)
	case "WKST":
		d, ok := weekdays[value]
		if !ok {
			return fmt.Errorf("WKST=%s is no day of the week; type MO, TU, WE, TH, FR, SA or SU", cut(value))
		}
		o.Wkst = d
	case "BYHOUR", "BYMINUTE", "BYSECOND":
		return fmt.Errorf("%s is finer than a day; leave it out: a round falls on days", name)
	default:
		return fmt.Errorf("%s is no part of a rule; see RFC 5545, section 3.3.10", cut(name))
	}
	return err
}

var weekdays = map[string]rrule.Weekday{
	"MO": rrule.MO, "TU": rrule.TU, "WE": rrule.WE, "TH": rrule.TH, "FR": rrule.FR, "SA": rrule.SA, "SU": rrule.SU,
}

func (r *Rule) weekdays(value string) error {
	for _, w := range strings.Split(value, ",") {
		if len(w) < 2 {
			return fmt.Errorf("BYDAY=%s holds no day of the week; type MO, TU, WE, TH, FR, SA or SU", cut(value))
		}
		d, ok := weekdays[w[len(w)-2:]]
		if !ok {
			return fmt.Errorf("BYDAY=%s holds no day of the week; type MO, TU, WE, TH, FR, SA or SU", cut(value))
		}
		if nth := w[:len(w)-2]; nth != "" {
			if r.opt.Freq != rrule.MONTHLY && r.opt.Freq != rrule.YEARLY {
				return fmt.Errorf("BYDAY=%s counts weekdays within a month or year; use it with FREQ=MONTHLY or FREQ=YEARLY", cut(value))
			}
			n, err := numbers("BYDAY", nth, 1, 53, true)
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
	if o.Count > 0 && !o.Until.IsZero() {
		return fmt.Errorf("COUNT and UNTIL stand in one rule; give one of the two")
	}
	if len(o.Byweekno) > 0 && o.Freq != rrule.YEARLY {
		return fmt.Errorf("BYWEEKNO goes with FREQ=YEARLY only")
	}
	if len(o.Byyearday) > 0 && o.Freq != rrule.YEARLY {
		return fmt.Errorf("BYYEARDAY goes with FREQ=YEARLY only")
	}
	if len(o.Bymonthday) > 0 && o.Freq == rrule.WEEKLY {
		return fmt.Errorf("BYMONTHDAY does not go with FREQ=WEEKLY")
	}
	if len(o.Byweekno) > 0 && slices.ContainsFunc(o.Byweekday, func(d rrule.Weekday) bool { return d.N() != 0 }) {
		return fmt.Errorf("a counted BYDAY does not go with BYWEEKNO")
	}
	if o.Freq == rrule.MONTHLY || len(o.Bymonth) > 0 {
		for _, d := range o.Byweekday {
			if n := d.N(); n < -5 || n > 5 {
				return fmt.Errorf("a month has at most five of each day of the week, so BYDAY cannot count to %d; type a number from 1 to 5, or from -1 to -5 counted from the month's end", n)
			}
		}
	}
	if len(o.Bysetpos) > 0 && len(o.Byweekday)+len(o.Bymonthday)+len(o.Byyearday)+len(o.Byweekno)+len(o.Bymonth) == 0 {
		return fmt.Errorf("BYSETPOS picks from another BY part; give one, such as BYDAY")
	}
	return nil
}

func number(name, value string, lo, hi int) (int, error) {
	n, err := strconv.Atoi(value)
	if err != nil || n < lo || n > hi || value[0] == '+' {
		return 0, fmt.Errorf("%s=%s cannot be; it is a whole number from %d to %d", name, cut(value), lo, hi)
	}
	return n, nil
}

func numbers(name, value string, lo, hi int, negative bool) ([]int, error) {
	var out []int
	for _, s := range strings.Split(value, ",") {
		n, err := strconv.Atoi(s)
		size := n
		if negative && n < 0 {
			size = -n
		}
		if err != nil || size < lo || size > hi {
			also := ""
			if negative {
				also = ", or counted from the end with a minus sign"
			}
			return nil, fmt.Errorf("%s=%s cannot be; its numbers lie between %d and %d%s", name, cut(value), lo, hi, also)
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
func (r *Rule) Never(start fields.Date) error {
	days, err := r.days(start, start, start.Add(lookAhead))
	if err == nil && len(days) == 0 {
		err = fmt.Errorf("%s never comes: it falls on no day within eight years of %s", r.text, start.Words())
	}
	return err
}

// Rare returns an error if a round that starts on start comes round so seldom
// that nobody can mean it: never, or on one day in eight years without having
// an end.
func (r *Rule) Rare(start fields.Date) error {
	if err := r.Never(start); err != nil {
		return err
	}
	days, _ := r.days(start, start, start.Add(lookAhead))
	if len(days) == 1 && r.opt.Count == 0 && r.opt.Until.IsZero() {
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
