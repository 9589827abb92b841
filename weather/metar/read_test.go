package metar

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/report"
)

// read reads a file and keeps every reading.
func read(file string, opt weather.Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Format.Stream(strings.NewReader(file), opt, s) })
}

func TestNearest(t *testing.T) {
	near, ok := nearest(&report.Report{Day: 1, Min: 53}, time.Date(2025, 10, 31, 23, 53, 0, 0, time.UTC))
	if !ok || !near.Equal(time.Date(2025, 11, 1, 0, 53, 0, 0, time.UTC)) {
		t.Errorf("%v", near)
	}
}

// The day alone dates nothing: the month is asked for, and the reports behind the
// first follow on, over the month's end and from new to old too.
func TestMonthIsAsked(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	const report = "KTST %s00Z 00000KT 10SM CLR 18/10 A3001\n"
	text := func(days ...string) string {
		var b strings.Builder
		for _, d := range days {
			fmt.Fprintf(&b, report, d)
		}
		return b.String()
	}
	at := func(m time.Month, d, h int) time.Time { return time.Date(2026, m, d, h, 0, 0, 0, time.UTC) }
	for _, c := range []struct {
		name, text, month string
		want              []time.Time
		words             string
	}{
		{"no month", text("0506", "0606"), "", nil, "no month or year"},
		{"july", text("0506", "0606"), "2026-07", []time.Time{at(7, 5, 6), at(7, 6, 6)}, ""},
		{"over the end", text("3006", "3106", "0106"), "2026-07", []time.Time{at(7, 30, 6), at(7, 31, 6), at(8, 1, 6)}, ""},
		{"new to old", text("0106", "3106", "3006"), "2026-08", []time.Time{at(7, 30, 6), at(7, 31, 6), at(8, 1, 6)}, ""},
		{"a jump that fits two months", text("0206", "1806"), "2026-07", nil, "more than ten days apart"},
		{"the month of the last report and not of the first", text("3006", "3106", "0106"), "2026-09", nil, "day 31 follows one taken for that of 30 September 2026"},
		{"no such day", text("3106"), "2026-06", nil, "no day 31"},
		{"a date line behind it", text("0506") + "2026/08/20 06:00\n" + text("2006"), "2026-07", []time.Time{at(7, 5, 6), at(8, 20, 6)}, ""},
		{"a month that is none", text("0506"), "July", nil, "like 2026-10"},
	} {
		res, err := read(c.text, weather.Options{Loc: loc, Month: c.month})
		if c.words != "" {
			if err == nil || !strings.Contains(err.Error(), c.words) {
				t.Errorf("%s: %v, want %q", c.name, err, c.words)
			}
			continue
		}
		if err != nil || len(res.Observations) != len(c.want) {
			t.Errorf("%s: %v %+v", c.name, err, res)
			continue
		}
		for i, w := range c.want {
			if !res.Observations[i].At.Equal(w) {
				t.Errorf("%s: report %d of %v, want %v", c.name, i, res.Observations[i].At, w)
			}
		}
	}
}

// A text over a year's end, dated once, keeps its place.
func TestLongText(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("2025/12/20 00:53\n")
	at := time.Date(2025, 12, 20, 0, 53, 0, 0, time.UTC)
	for range 24 * 40 {
		b.WriteString(at.Format("KTST 021504Z 00000KT 10SM CLR M05/M08 A3001\n"))
		at = at.Add(time.Hour)
	}
	res, err := read(b.String(), weather.Options{Loc: loc})
	if err != nil {
		t.Fatal(err)
	}
	first, last := res.Observations[0].At, res.Observations[len(res.Observations)-1].At
	if res.Kept != 960 || !first.Equal(time.Date(2025, 12, 20, 0, 53, 0, 0, time.UTC)) || !last.Equal(at.Add(-time.Hour)) {
		t.Errorf("%d reports from %v to %v", res.Kept, first, last)
	}
}

// Reports dated on their own lines need no time of receipt.
func TestDatedLines(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	res, err := read("202510141053 KTST 141053Z 00000KT 10SM CLR M00/M03 A3001\n2025-10-14T11:53Z KTST 141153Z 00000KT 10SM CLR 01/M03 A3001\n2025-10-14 12:53 METAR KTST 141253Z 00000KT 10SM CLR 02/M03 A3001\n", weather.Options{Loc: loc})
	if err != nil || len(res.Observations) != 3 {
		t.Fatalf("%+v %v", res, err)
	}
	o := res.Observations[0]
	if o.HasTemp || !o.Below || !o.At.Equal(time.Date(2025, 10, 14, 10, 53, 0, 0, time.UTC)) {
		t.Errorf("M00: %+v", o)
	}
}

// The month of a report is found as by a calendar for each of the months around it.
func TestNearestByCalendar(t *testing.T) {
	for at := time.Date(2023, 12, 1, 5, 0, 0, 0, time.UTC); at.Year() < 2025; at = at.Add(61 * time.Hour) {
		for day := 1; day <= 31; day++ {
			r := report.Report{Day: day, Hour: 11, Min: 53}
			var want time.Time
			for by := -1; by <= 1; by++ {
				first := time.Date(at.Year(), at.Month()+time.Month(by), 1, 0, 0, 0, 0, time.UTC)
				x := time.Date(first.Year(), first.Month(), day, 11, 53, 0, 0, time.UTC)
				if x.Month() == first.Month() && (want.IsZero() || x.Sub(at).Abs() < want.Sub(at).Abs()) {
					want = x
				}
			}
			if got, ok := nearest(&r, at); !ok || !got.Equal(want) {
				t.Fatalf("day %d near %v: %v, want %v", day, at, got, want)
			}
		}
	}
}

// Reports on one line, each with its =, are as many reports.
func TestSeveralOnALine(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	const a, b = "METAR KTST 091053Z 00000KT 10SM CLR M02/M03 A3001 RMK AO2 T10221028=", "KTST 091153Z 00000KT 10SM CLR 01/M03 A3001 RMK AO2 T00111028"
	for _, text := range []string{a + "\n" + b + "=\n", a + " " + b + "=", a + b + "\n", a + "= " + b, a + "\n  " + b, strings.Repeat(a+" ", 60) + b} {
		res, err := read(text, weather.Options{Loc: loc, Month: "2026-10"})
		if err != nil || len(res.Observations) != 2 || res.Observations[0].TempC != -2.2 || res.Observations[1].TempC != 1.1 || res.Rejected > 0 {
			t.Errorf("%q: %+v %v", text, res, err)
		}
	}
}

// Of a report that contradicts itself the colder temperature is kept as one that failed.
func TestContradiction(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	for groups, want := range map[string]float64{"M02/M04 A3001 RMK AO2 T00021040": -2, "12/M04 A3001 RMK AO2 T10281040": -2.8} {
		res, err := read("KTST 091053Z 00000KT 10SM CLR 03/M04 A3001\nKTST 091153Z 00000KT 10SM CLR "+groups+"\n", weather.Options{Loc: loc, Month: "2026-10"})
		if err != nil || res.Kept != 1 || res.Rejected != 1 || len(res.Failed) != 1 || res.Failed[0].TempC != want ||
			!res.Failed[0].At.Equal(time.Date(2026, 10, 9, 11, 53, 0, 0, time.UTC)) {
			t.Errorf("%s: %+v %v", groups, res, err)
		}
	}
}
