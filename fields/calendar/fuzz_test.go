package calendar

import (
	"strings"
	"testing"
)

// Whatever is typed as a rule, it is either refused in one clean sentence or
// worked out within its window, and its own form reads back as the same rule.
func FuzzParseRule(f *testing.F) {
	for _, s := range []string{
		"FREQ=DAILY", "FREQ=WEEKLY;BYDAY=MO,TH", "FREQ=MONTHLY;BYMONTHDAY=31", "FREQ=YEARLY;BYWEEKNO=53;BYDAY=SU",
		"FREQ=MONTHLY;BYDAY=-1FR", "FREQ=MONTHLY;BYDAY=MO,TU;BYSETPOS=-1", "FREQ=YEARLY;BYYEARDAY=-366", "FREQ=DAILY;COUNT=3;INTERVAL=999", "FREQ=HOURLY",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRule(s)
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\r\x1b\x00") || len(err.Error()) > 300 {
				t.Fatalf("%q: %q", s, err)
			}
			return
		}
		again, err := ParseRule(r.String())
		if err != nil || again.String() != r.String() {
			t.Fatalf("%q: its own form %q reads back as %v, %v", s, r, again, err)
		}
		from, to := day("2026-02-01"), day("2028-03-31")
		days := r.Days(day("2025-12-31"), from, to)
		for i, d := range days {
			if d < from || d > to || i > 0 && d <= days[i-1] {
				t.Fatalf("%q: %s", s, iso(days))
			}
		}
	})
}

// Whatever file is given as the previous export, it is either refused or taken
// as ours, and then the next export holds to the grammar.
func FuzzPreviousExport(f *testing.F) {
	rule, err := ParseRule("FREQ=WEEKLY;BYDAY=MO")
	if err != nil {
		f.Fatal(err)
	}
	first, _, err := Export("Farm", []Event{hold, errand, {UID: "r@x", From: today, To: today, Summary: "round", Rule: rule, Alarm: "round"}}, nil, now, today)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(first)
	f.Add([]byte("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		next, _, err := Export("Farm", []Event{errand}, text, now.AddDate(0, 0, 1), today+1)
		if err != nil {
			if strings.ContainsAny(err.Error(), "\n\r\x1b\x00") {
				t.Fatalf("%q", err)
			}
			return
		}
		if _, err := read(next); err != nil {
			t.Fatalf("%v\n%q", err, next)
		}
		grammar(t, next)
	})
}
