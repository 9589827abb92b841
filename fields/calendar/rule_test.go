package calendar

import (
	"strings"
	"testing"
	"time"

	"github.com/teambition/rrule-go"
	"pgregory.net/rapid"

	"rimegate/fields"
)

func day(s string) fields.Date {
	d, err := fields.ParseISODate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func iso(ds []fields.Date) string {
	out := make([]string, len(ds))
	for i, d := range ds {
		out[i] = d.String()
	}
	return strings.Join(out, " ")
}

// The first six are examples of RFC 5545, section 3.8.5.3
// (https://www.rfc-editor.org/rfc/rfc5545#section-3.8.5.3), on dates alone; the
// rest are month ends, leap days and changes of the clock.
func TestDays(t *testing.T) {
	for _, c := range []struct{ rule, start, from, to, want string }{
		{"FREQ=DAILY;COUNT=4", "1997-09-02", "1997-09-01", "1997-12-31", "1997-09-02 1997-09-03 1997-09-04 1997-09-05"},
		{
			"FREQ=WEEKLY;UNTIL=19971007;WKST=SU;BYDAY=TU,TH", "1997-09-02", "1997-09-01", "1998-01-01",
			"1997-09-02 1997-09-04 1997-09-09 1997-09-11 1997-09-16 1997-09-18 1997-09-23 1997-09-25 1997-09-30 1997-10-02 1997-10-07",
		},
		{
			"FREQ=MONTHLY;BYMONTHDAY=-3", "1997-09-28", "1997-09-01", "1998-02-28",
			"1997-09-28 1997-10-29 1997-11-28 1997-12-29 1998-01-29 1998-02-26",
		},
		{"FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", "1997-09-04", "1997-09-01", "1998-12-31", "1997-09-04 1997-10-07 1997-11-06"},
		{
			"FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "1997-08-05", "1997-08-01", "1998-01-01",
			"1997-08-05 1997-08-10 1997-08-19 1997-08-24",
		},
		{
			"FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8", "1996-11-05", "1996-01-01", "2005-01-01",
			"1996-11-05 2000-11-07 2004-11-02",
		},

		{
			"FREQ=MONTHLY;BYMONTHDAY=31", "2026-01-31", "2026-01-01", "2026-12-31",
			"2026-01-31 2026-03-31 2026-05-31 2026-07-31 2026-08-31 2026-10-31 2026-12-31",
		},
		{"FREQ=MONTHLY;BYMONTHDAY=-1", "2027-12-31", "2028-01-01", "2028-04-30", "2028-01-31 2028-02-29 2028-03-31 2028-04-30"},
		{"FREQ=MONTHLY", "2026-01-30", "2026-01-01", "2026-04-30", "2026-01-30 2026-03-30 2026-04-30"},
		{"FREQ=YEARLY", "2024-02-29", "2024-01-01", "2033-01-01", "2024-02-29 2028-02-29 2032-02-29"},
		{"FREQ=DAILY", "2026-03-07", "2026-03-07", "2026-03-09", "2026-03-07 2026-03-08 2026-03-09"},  // clocks go forward in North America
		{"FREQ=DAILY", "2026-10-31", "2026-10-31", "2026-11-02", "2026-10-31 2026-11-01 2026-11-02"},  // and back
		{"FREQ=WEEKLY", "2026-03-22", "2026-03-22", "2026-04-05", "2026-03-22 2026-03-29 2026-04-05"}, // forward in Europe
		{"FREQ=DAILY", "2026-10-06", "2026-10-01", "2026-10-05", ""},
		{"FREQ=DAILY;UNTIL=20261007", "2026-10-06", "2026-10-01", "2026-10-31", "2026-10-06 2026-10-07"},
		{"FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "2026-01-01", "2026-01-01", "2200-12-31", ""}, // a day that never comes
	} {
		r, err := ParseRule(c.rule)
		if err != nil {
			t.Errorf("%s: %v", c.rule, err)
			continue
		}
		if got := iso(r.Days(day(c.start), day(c.from), day(c.to))); got != c.want {
			t.Errorf("%s from %s: got %s, want %s", c.rule, c.start, got, c.want)
		}
		again, err := ParseRule(r.String())
		if err != nil || again.String() != r.String() {
			t.Errorf("%s: its own form %s reads back as %v, %v", c.rule, r, again, err)
		}
	}
}

func TestRefusedRules(t *testing.T) {
	for rule, want := range map[string]string{
		"":                                  "the rule is empty",
		"FREQ=HOURLY":                       "finer than a day",
		"FREQ=MINUTELY;INTERVAL=5":          "finer than a day",
		"FREQ=SECONDLY":                     "finer than a day",
		"FREQ=DAILY;BYHOUR=6":               "finer than a day",
		"FREQ=DAILY;BYMINUTE=0":             "finer than a day",
		"BYDAY=MO":                          "does not say how often",
		"FREQ=OFTEN":                        "is not how often",
		"every Monday":                      "not part of a rule",
		"FREQ=DAILY;INTERVAL=0":             "from 1 to 999",
		"FREQ=DAILY;INTERVAL=-1":            "from 1 to 999",
		"FREQ=DAILY;COUNT=3;UNTIL=20261130": "one of them",
		"FREQ=DAILY;UNTIL=20261130T000000Z": "like UNTIL=20261130",
		"FREQ=DAILY;UNTIL=20260231":         "is not a day",
		"FREQ=WEEKLY;BYDAY=XX":              "not a day of the week",
		"FREQ=WEEKLY;BYDAY=2MO":             "within a month or year",
		"FREQ=WEEKLY;BYMONTHDAY=1":          "does not go with FREQ=WEEKLY",
		"FREQ=MONTHLY;BYWEEKNO=3":           "FREQ=YEARLY only",
		"FREQ=MONTHLY;BYYEARDAY=3":          "FREQ=YEARLY only",
		"FREQ=MONTHLY;BYSETPOS=1":           "another BY part",
		"FREQ=MONTHLY;BYMONTHDAY=32":        "between 1 and 31",
		"FREQ=MONTHLY;BYMONTHDAY=0":         "between 1 and 31",
		"FREQ=DAILY;FREQ=DAILY":             "twice",
		"FREQ=DAILY;X-ODD=1":                "not part of a rule",
		"FREQ=DAILY;BYDAY=":                 "not part of a rule",
		"FREQ=DAILY;WKST=9":                 "not a day of the week",
		"FREQ=\x1b[31mRED":                  "is not how often",
	} {
		r, err := ParseRule(rule)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, %v; want a refusal with %q", rule, r, err, want)
		}
		if err != nil && strings.ContainsAny(err.Error(), "\x1b\n") {
			t.Errorf("%q: its refusal carries control characters", rule)
		}
	}
}

// Whatever the rule, its days lie in the window, in order, once each, and a
// wider window never takes one away or moves one.
func TestDaysProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		freq := rapid.SampledFrom([]string{"DAILY", "WEEKLY", "MONTHLY", "YEARLY"}).Draw(t, "freq")
		rule := "FREQ=" + freq
		rule += rapid.SampledFrom([]string{"", ";INTERVAL=2", ";INTERVAL=7"}).Draw(t, "interval")
		rule += rapid.SampledFrom([]string{"", ";BYDAY=MO", ";BYDAY=SA,SU", ";BYMONTH=2,11"}).Draw(t, "by")
		rule += rapid.SampledFrom([]string{"", ";COUNT=9", ";UNTIL=20280229"}).Draw(t, "end")
		r, err := ParseRule(rule)
		if err != nil {
			t.Fatal(err)
		}
		start := day("2026-01-01") + fields.Date(rapid.IntRange(0, 800).Draw(t, "start"))
		from := start + fields.Date(rapid.IntRange(-50, 400).Draw(t, "from"))
		to := from + fields.Date(rapid.IntRange(0, 400).Draw(t, "days"))
		in := r.Days(start, from, to)
		for i, d := range in {
			if d < from || d > to || d < start || i > 0 && d <= in[i-1] {
				t.Fatalf("%s: %s out of place in %s", rule, d, iso(in))
			}
		}
		var wide []fields.Date
		for _, d := range r.Days(start, from-100, to+100) {
			if d >= from && d <= to {
				wide = append(wide, d)
			}
		}
		if iso(wide) != iso(in) {
			t.Fatalf("%s: the window decides: %s or %s", rule, iso(in), iso(wide))
		}
	})
}

func round(id, on, name, rule string) fields.Fact {
	d := day(on)
	return fields.Fact{Entry: &fields.Entry{ID: id, Recorded: d.At(8, 0, time.UTC), By: "Ada", On: d, Body: &fields.Round{Name: name, RRule: rule}}, Date: d}
}

func did(id, on, name string) fields.Fact {
	d := day(on)
	return fields.Fact{Entry: &fields.Entry{ID: id, Recorded: d.At(8, 0, time.UTC), By: "Ada", On: d, Body: &fields.Done{Round: name}}, Date: d}
}

func TestRoundStates(t *testing.T) {
	facts := []fields.Fact{
		round("A", "2026-09-01", "Walk the regrowth", "FREQ=WEEKLY;BYDAY=MO,TH"),
		did("B", "2026-09-21", "walk  the regrowth"), // Monday, done on the day
		did("C", "2026-09-25", "Walk the regrowth"),  // for Thursday the 24th
		round("D", "2026-10-10", "Broken", "FREQ=HOURLY"),
	}
	rs := Rounds(facts)
	if len(rs) != 2 || rs[0].Err == nil || rs[1].Name != "Walk the regrowth" {
		t.Fatalf("rounds: %+v", rs)
	}
	if s := rs[0].On(day("2026-10-12"), 60); s.Due != fields.NoDate || s.Next != fields.NoDate {
		t.Errorf("a rule that cannot be is due: %+v", s)
	}
	s := rs[1].On(day("2026-10-01"), 14) // Thursday
	if iso(s.Done) != "2026-09-21 2026-09-24" || iso(s.Missed) != "2026-09-17 2026-09-28" || s.Due != day("2026-10-01") || s.Next != day("2026-10-05") || s.Last != day("2026-09-25") {
		t.Errorf("on Thu 1-Oct: done %s, missed %s, due %s, next %s, last %s", iso(s.Done), iso(s.Missed), s.Due, s.Next, s.Last)
	}
	if s := rs[1].On(day("2026-09-22"), 1); s.Due != fields.NoDate {
		t.Errorf("done on Monday, still due on Tuesday: %s", s.Due)
	}
	// A done of a coming day is not known yet.
	if s := rs[1].On(day("2026-09-21")-1, 5); s.Due != day("2026-09-17") {
		t.Errorf("on the Sunday: due %s", s.Due)
	}
	// A new rule of the same name holds from its own day; the past keeps the old.
	facts = append(facts, round("E", "2026-10-03", "WALK the regrowth", "FREQ=DAILY;UNTIL=20261004"))
	r := Rounds(facts)[1]
	if got := iso(r.Days(day("2026-09-28"), day("2026-10-31"))); got != "2026-09-28 2026-10-01 2026-10-03 2026-10-04" {
		t.Errorf("after the change: %s", got)
	}
}

// What never or hardly ever comes is refused where it is typed, and quickly.
func TestRare(t *testing.T) {
	const start = "2026-10-05"
	for _, c := range []struct{ rule, words string }{
		{"FREQ=MONTHLY;BYDAY=-7FR", "at most five"}, // the library panics on it
		{"FREQ=MONTHLY;BYDAY=7FR", "at most five"},
		{"FREQ=MONTHLY;BYDAY=MO,-6FR", "at most five"},
		{"FREQ=YEARLY;BYMONTH=2;BYDAY=-8MO", "at most five"},
		{"FREQ=DAILY;BYMONTH=2;BYMONTHDAY=31", "never comes"},
		{"FREQ=MONTHLY;BYMONTH=2;BYMONTHDAY=31", "never comes"},
		{"FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "never comes"},
		{"FREQ=WEEKLY;BYDAY=MO;BYSETPOS=366", "never comes"},
		{"FREQ=DAILY;INTERVAL=7;BYDAY=TU", "never comes"},     // it starts on a Monday
		{"FREQ=MONTHLY;INTERVAL=12;BYMONTH=3", "never comes"}, // and in October
		{"FREQ=DAILY;UNTIL=20261001", "never comes"},
		{"FREQ=YEARLY;INTERVAL=999", "hardly ever"},
		{"FREQ=YEARLY;BYDAY=53MO", "hardly ever"},
		{"FREQ=YEARLY;BYDAY=-53MO", "hardly ever"},
		{"FREQ=DAILY;COUNT=1", ""},
		{"FREQ=MONTHLY;BYDAY=-5FR", ""},
		{"FREQ=MONTHLY;BYDAY=5FR", ""},
		{"FREQ=YEARLY;BYDAY=-52MO", ""},
		{"FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29", ""},
		{"FREQ=YEARLY;INTERVAL=8", ""},
	} {
		began := time.Now()
		r, err := ParseRule(c.rule)
		if err == nil {
			err = r.Rare(day(start))
		}
		switch {
		case c.words == "" && err != nil, c.words != "" && (err == nil || !strings.Contains(err.Error(), c.words)):
			t.Errorf("%s: %v", c.rule, err)
		case err != nil && strings.ContainsAny(err.Error(), "\n"):
			t.Errorf("%s: %q is not one sentence", c.rule, err)
		}
		if d := time.Since(began); d > time.Second {
			t.Errorf("%s took %v", c.rule, d)
		}
	}
}

// Whole cycles of the calendar do not change a rule: the same days come out as
// of the library on the dates themselves.
func TestDaysAreThoseOfTheirOwnYear(t *testing.T) {
	for _, text := range []string{
		"FREQ=YEARLY;BYWEEKNO=1,53;BYDAY=MO", "FREQ=YEARLY;BYDAY=53TH", "FREQ=MONTHLY;BYDAY=-1FR,2MO", "FREQ=WEEKLY;INTERVAL=3;WKST=SU;BYDAY=SU,MO",
		"FREQ=DAILY;INTERVAL=11", "FREQ=YEARLY;BYYEARDAY=-1,60,366", "FREQ=MONTHLY;BYMONTHDAY=29,-2", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29",
	} {
		r, err := ParseRule(text)
		if err != nil {
			t.Fatal(err)
		}
		for _, start := range []string{"1999-12-31", "2024-02-29", "2096-03-01"} {
			from, to := day(start), day(start).Add(20*366)
			o := r.opt
			o.Dtstart, o.Until = midnight(from), midnight(to)
			plain, err := rrule.NewRRule(o)
			if err != nil {
				t.Fatal(err)
			}
			var want []fields.Date
			for _, x := range plain.All() {
				want = append(want, fields.MakeDate(x.Year(), x.Month(), x.Day()))
			}
			if got := r.Days(from, from, to); iso(got) != iso(want) || len(want) == 0 {
				t.Errorf("%s from %s: %s, want %s", text, start, iso(got), iso(want))
			}
		}
	}
}

// Rounds with rules that came in by import and cannot be read are kept and named,
// whatever is asked of them.
func TestUnreadableRounds(t *testing.T) {
	bad := []string{"FREQ=MONTHLY;BYDAY=-7FR", "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=31", "every Monday", "FREQ=HOURLY", "\u202e"}
	var facts []fields.Fact
	for i, rule := range append(bad, "FREQ=DAILY") {
		e := &fields.Entry{ID: string(rune('a' + i)), Body: &fields.Round{Name: rule, RRule: rule}}
		facts = append(facts, fields.Fact{Entry: e, Date: day("2026-10-05")})
	}
	began := time.Now()
	rounds := Rounds(facts)
	n := 0
	for _, r := range rounds {
		if r.Err != nil {
			n++
		}
		s := r.On(day("2026-10-20"), 700)
		if _, ok := r.Event("u", "s", "d"); ok != (r.Err == nil) || (r.Rule == nil) != (r.Err != nil) || (s.Due == fields.NoDate) != (r.Err != nil) {
			t.Errorf("%s: %v, %+v", r.Name, r.Err, s)
		}
	}
	if n != len(bad) || len(rounds) != len(bad)+1 {
		t.Errorf("%d of %d rounds unreadable", n, len(rounds))
	}
	if d := time.Since(began); d > 2*time.Second {
		t.Errorf("it took %v", d)
	}
}
