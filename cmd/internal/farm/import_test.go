package farm

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/formats"
)

// hourly writes an hourly file from one instant through another, lows at 05:00.
func hourly(from, to time.Time) string {
	var b strings.Builder
	b.WriteString("time,temp_c\n")
	for at := from; !at.After(to); at = at.Add(time.Hour) {
		c := 6.0
		if at.Hour() == 5 {
			c = 2.5
		}
		fmt.Fprintf(&b, "%s,%.1f\n", at.Format("2006-01-02 15:04"), c)
	}
	return b.String()
}

// bring reads a file and stores its nights for a station.
func bring(t *testing.T, f *Farm, file string) *Imported {
	t.Helper()
	v := view(t, f, Question{})
	res, err := formats.ReadNights("", strings.NewReader(file), formats.Options{Loc: v.Loc, Clock: "local", Farm: v.FarmPlace()})
	if err != nil {
		t.Fatal(err)
	}
	rs := weather.ToReadings(res.Nights, "home", "x.csv")
	bodies := make([]fields.Body, len(rs))
	for i := range rs {
		bodies[i] = &rs[i]
	}
	l, err := view(t, f, Question{}).Import(bodies, "", false)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// covered lists the nights of the station's record that are covered.
func covered(v *View) map[fields.Date]bool {
	out := map[fields.Date]bool{}
	for _, n := range v.StationNights("home") {
		if n.Covers {
			out[n.Night] = true
		}
	}
	return out
}

// A month's last night lies in two files: each tells its part, and together they
// cover it.
func TestMonthFilesAddUp(t *testing.T) {
	f := smallFarm(t)
	loc := view(t, f, Question{}).Loc
	at := func(m time.Month, d, h int) time.Time { return time.Date(2026, m, d, h, 0, 0, 0, loc) }
	night := date(t, "2026-10-01")
	a := bring(t, f, hourly(at(9, 28, 0), at(9, 30, 23)))
	if covered(view(t, f, Question{}))[night] {
		t.Fatal("the evening alone covers the night")
	}
	b := bring(t, f, hourly(at(10, 1, 0), at(10, 3, 23)))
	if b.Joined != 1 || b.Whole != 1 || b.Changed != 0 {
		t.Errorf("joined %d, whole %d, changed %d", b.Joined, b.Whole, b.Changed)
	}
	if a.Batch == b.Batch || len(a.Batch) != 26 {
		t.Errorf("batches %q and %q", a.Batch, b.Batch)
	}
	v := view(t, f, Question{})
	for d := date(t, "2026-09-29"); d <= date(t, "2026-10-03"); d++ {
		if !covered(v)[d] {
			t.Errorf("the night of %s is not covered", d)
		}
	}
	for i := range v.Entries {
		if e := &v.Entries[i]; e.Kind() == fields.KindReading && e.Batch != "" && e.Batch != a.Batch && e.Batch != b.Batch {
			t.Errorf("entry %s of batch %q", e.ID, e.Batch)
		}
	}
	if again := bring(t, f, hourly(at(10, 1, 0), at(10, 3, 23))); len(again.Entries) != 0 || again.Batch != "" {
		t.Errorf("the same file again brings %d entries in batch %q", len(again.Entries), again.Batch)
	}
}

// A logger emptied at 08:00 each morning, with what it held before or without.
func TestLoggerEmptiedEachMorning(t *testing.T) {
	for _, hours := range []int{23, 24, 40} {
		f := smallFarm(t)
		loc := view(t, f, Question{}).Loc
		for d := 2; d <= 5; d++ {
			end := time.Date(2026, 10, d, 8, 0, 0, 0, loc)
			if hours == 40 {
				end = end.Add(-2 * time.Hour) // emptied at 06:00, but holding the day before
			}
			l := bring(t, f, hourly(end.Add(-time.Duration(hours)*time.Hour), end))
			if l.Changed != 0 {
				t.Errorf("%d hours, day %d: %d changed", hours, d, l.Changed)
			}
		}
		got := covered(view(t, f, Question{}))
		for d := date(t, "2026-10-02"); d <= date(t, "2026-10-04"); d++ {
			if !got[d] {
				t.Errorf("%d hours: the night of %s is not covered", hours, d)
			}
		}
		if last := date(t, "2026-10-05"); got[last] != (hours != 40) {
			t.Errorf("%d hours: the last night covered %v", hours, got[last])
		}
	}
}

// What a part of a night adds: a new part, or a colder low; else nothing.
func TestPartsThatSayNothingNew(t *testing.T) {
	night := date(t, "2026-10-05")
	loc := time.FixedZone("", -6*3600)
	no := false
	part := func(from, to int, low float64) []fields.Body {
		span := fields.Span{From: (night - 1).At(0, 0, loc).Add(time.Duration(from) * time.Hour), To: (night - 1).At(0, 0, loc).Add(time.Duration(to) * time.Hour)}
		return []fields.Body{&fields.Reading{Station: "home", Night: night, LowC: &low, Covers: &no, Spans: []fields.Span{span}}}
	}
	f := smallFarm(t)
	for _, c := range []struct {
		what     string
		bodies   []fields.Body
		stored   int
		joined   int
		together int
	}{
		{"a first part", part(18, 24, 3), 1, 0, 0},
		{"inside it, as mild", part(19, 22, 4), 0, 0, 0},
		{"inside it, colder", part(19, 22, 2.5), 1, 1, 0},
		{"the rest", part(25, 33, 5), 1, 1, 1},
		{"a part of what is covered", part(20, 30, 2.5), 0, 0, 0},
		{"a colder part of what is covered", part(20, 30, 1), 1, 1, 1},
	} {
		l, err := view(t, f, Question{}).Import(c.bodies, "", false)
		if err != nil {
			t.Fatal(err)
		}
		if len(l.Entries) != c.stored || l.Joined != c.joined || l.Whole != c.together || l.Same != 1-c.stored {
			t.Errorf("%s: stored %d, joined %d, whole %d, same %d", c.what, len(l.Entries), l.Joined, l.Whole, l.Same)
		}
	}
}
