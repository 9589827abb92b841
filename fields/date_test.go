package fields_test

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
)

func day(t testing.TB, s string) fields.Date {
	t.Helper()
	d, err := fields.ParseISODate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := fields.LoadZone(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// The proleptic Gregorian calendar of the time package is the yardstick.
func TestDateCountsDays(t *testing.T) {
	at := time.Date(1900, 1, 1, 12, 0, 0, 0, time.UTC)
	d := fields.MakeDate(1900, 1, 1)
	for at.Year() <= 2200 {
		y, m, n := d.Civil()
		if y != at.Year() || m != at.Month() || n != at.Day() || d.Weekday() != at.Weekday() || d.Year() != at.Year() {
			t.Fatalf("%s is not %s", d, at)
		}
		if d != fields.NoDate && d.String() != at.Format("2006-01-02") {
			t.Fatalf("%s prints as %s", at, d)
		}
		if fields.DateOf(at, time.UTC) != d || fields.MakeDate(y, m, n) != d {
			t.Fatalf("%s is counted differently the second time", d)
		}
		at, d = at.AddDate(0, 0, 1), d.Add(1)
	}
	if a, b := day(t, "2026-10-06"), day(t, "2026-09-17"); a.Sub(b) != 19 || b.Sub(a) != -19 || b.Add(19) != a {
		t.Error("days between dates")
	}
}

func TestDateInWords(t *testing.T) {
	d := day(t, "2026-09-17")
	if d.Words() != "Thu 17 Sep 2026" || d.Short() != "Thu 17 Sep" || d.Typed() != "17-Sep-2026" || d.IsZero() {
		t.Error(d.Words(), d.Short(), d.Typed())
	}
	if w := d.Beside(day(t, "2026-01-01")); w != "Thu 17 Sep" {
		t.Error(w)
	}
	if w := d.Beside(day(t, "2027-01-01")); w != "Thu 17 Sep 2026" {
		t.Error(w)
	}
	var none fields.Date
	if none.Words() != "no date" || none.Short() != "no date" || none.String() != "" || !none.IsZero() {
		t.Error(none.Words(), none.Short(), none.String())
	}
}

func TestISODateRefused(t *testing.T) {
	for _, s := range []string{
		"", "2026-9-17", "2026-09-1", "26-09-17", "2026/09/17", "2026-09-17 ", " 2026-09-17", "2026-09-17T00:00:00Z", "20260917", "2026-W38-4",
		"2026-02-29", "2100-02-29", "2026-04-31", "2026-00-10", "2026-13-10", "2026-10-00", "2026-10-32", "1899-12-31", "2201-01-01",
		"+026-09-17", "2026-+9-17", "2026-09--1", "1970-01-01", "２０２６-09-17",
	} {
		if d, err := fields.ParseISODate(s); err == nil || d != fields.NoDate || !strings.Contains(err.Error(), "2026-09-17") {
			t.Errorf("%q: %v, %v", s, d, err)
		}
	}
	for _, s := range []string{"1900-01-01", "2200-12-31", "2024-02-29", "2000-02-29", "1970-01-02", "1970-02-01", "1969-12-31", "1971-01-01"} {
		if d, err := fields.ParseISODate(s); err != nil || d.String() != s {
			t.Errorf("%q: %v, %v", s, d, err)
		}
	}
}

func TestTypedDates(t *testing.T) {
	today := day(t, "2026-10-06") // a Tuesday
	for _, c := range []struct{ typed, want string }{
		{"today", "2026-10-06"},
		{" Yesterday ", "2026-10-05"},
		{"TOMORROW", "2026-10-07"},
		{"2026-09-17", "2026-09-17"},
		{"17-Sep-2026", "2026-09-17"},
		{"17 sep 2026", "2026-09-17"},
		{"17/Sep/2026", "2026-09-17"},
		{"17.Sept.2026", "2026-09-17"},
		{"September 17, 2026", "2026-09-17"},
		{"Thu 17-Sep-2026", "2026-09-17"},
		{"thursday 17 september 2026", "2026-09-17"},
		{"Thurs 17-Sep", "2026-09-17"},
		{"1-mar-2024", "2024-03-01"},
		// Without a year: the latest such day that is not after tomorrow.
		{"17-Sep", "2026-09-17"},
		{"Sep 17", "2026-09-17"},
		{"6-Oct", "2026-10-06"},
		{"7-Oct", "2026-10-07"},
		{"20-Mar", "2026-03-20"}, // 200 days back
	} {
		if d, err := fields.ParseDate(c.typed, today); err != nil || d.String() != c.want {
			t.Errorf("%q: %v, %v; want %s", c.typed, d, err, c.want)
		}
	}
	// On New Year's Eve tomorrow is in the next year.
	if d, err := fields.ParseDate("1-Jan", day(t, "2026-12-31")); err != nil || d.String() != "2027-01-01" {
		t.Error(d, err)
	}
	// A leap day looks back over a century year without one.
	if d, err := fields.ParseDate("29-Feb", day(t, "2104-02-01")); err == nil || !strings.Contains(err.Error(), "29-Feb-2096 or 29-Feb-2104") {
		t.Error(d, err)
	}
}

func TestTypedDatesRefused(t *testing.T) {
	today := day(t, "2026-10-06")
	for _, c := range []struct {
		typed string
		want  []string // parts of the words
	}{
		// The month's place flips between countries: both readings are spelled out.
		{"06/10/26", []string{`"06/10/26"`, "Tue 6 Oct 2026", "Wed 10 Jun 2026", "type the month in letters"}},
		{"6.10.2026", []string{"Tue 6 Oct 2026", "Wed 10 Jun 2026"}},
		{"06-10-26", []string{"Tue 6 Oct 2026", "Wed 10 Jun 2026"}},
		{"10 06 2026", []string{"Wed 10 Jun 2026", "Tue 6 Oct 2026"}},
		// Only one reading is a day; numbers are still refused, but it is offered.
		{"25/12/2026", []string{"the month in numbers", "Fri 25 Dec 2026", "type 25-Dec-2026"}},
		{"12/25/26", []string{"type 25-Dec-2026"}},
		{"2026/09/17", []string{"type 17-Sep-2026"}},
		{"06/06/26", []string{"type 6-Jun-2026"}},
		// The weekday is a check on the day.
		{"Fri 17 Sep 2026", []string{"Thu 17 Sep 2026 is a Thursday", "check the day"}},
		{"monday 6-Oct", []string{"Tue 6 Oct 2026 is a Tuesday"}},
		// A day without its year that lies long back may as well be a coming one.
		{"8-Oct", []string{"last Wed 8 Oct 2025, 363 days ago", "next Thu 8 Oct 2026", "type the year too: 8-Oct-2025 or 8-Oct-2026"}},
		{"31-Dec", []string{"31-Dec-2025 or 31-Dec-2026"}},
		{"19-Mar", []string{"19-Mar-2026 or 19-Mar-2027"}},
		{"29-Feb", []string{"type the year too, like 29-Feb-2024"}},
		{"Wed 8-Oct", []string{"type the year too, like 8-Oct-2025"}},
		{"", []string{"no date given"}},
		{"soon", []string{`"soon" is not a date`}},
		{"17", []string{"is not a date"}},
		{"6/10", []string{"is not a date"}},
		{"31-Sep", []string{"is not a date"}},
		{"31-Sep-2026", []string{"is not a date"}},
		{"29-Feb-2026", []string{"is not a date"}},
		{"17-Sep-26", []string{"is not a date"}},
		{"17-Sep-2026-1", []string{"is not a date"}},
		{"Sep-Sep-2026", []string{"is not a date"}},
		{"17-17-2026", []string{"is not a date"}},
		{"99/99/99", []string{"is not a date"}},
		{"-3", []string{"is not a date"}},
		{"thu", []string{"is not a date"}},
		{"th 17-Sep-2026", []string{"is not a date"}},
		{"17-Sep-2026\x1b[31m", []string{`\x1b`}},
	} {
		d, err := fields.ParseDate(c.typed, today)
		if err == nil || d != fields.NoDate {
			t.Errorf("%q was read as %s", c.typed, d)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%q: %q does not say %q", c.typed, err, w)
			}
		}
	}
}

func TestIsRelative(t *testing.T) {
	for in, want := range map[string]bool{
		"today": true, "Yesterday": true, "17-Sep": true, "Thu 17-Sep": true, "29-Feb": true, "17-Sep-2026": false, "2026-09-17": false, "Thu 17-Sep-2026": false,
	} {
		if got := fields.IsRelative(in); got != want {
			t.Errorf("%q: %v", in, got)
		}
	}
}

// What is printed can be typed back.
func TestPrintedDatesAreRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := fields.MakeDate(1971, 1, 1).Add(rapid.IntRange(0, 80_000).Draw(t, "day"))
		for _, s := range []string{d.String(), d.Words(), d.Typed()} {
			if got, err := fields.ParseDate(s, d.Add(rapid.IntRange(-500, 500).Draw(t, "today"))); err != nil || got != d {
				t.Fatalf("%q: %v, %v", s, got, err)
			}
		}
		if got, err := fields.ParseDate(d.Short(), d.Add(rapid.IntRange(-1, 200).Draw(t, "later"))); err != nil || got != d {
			t.Fatalf("%q: %v, %v", d.Short(), got, err)
		}
	})
}

func TestNightBeginsAtNoon(t *testing.T) {
	for _, c := range []struct{ zone, at, want string }{
		{"America/Regina", "2026-09-17T06:40:00-06:00", "2026-09-17"},
		{"America/Regina", "2026-09-17T11:59:59.999999999-06:00", "2026-09-17"},
		{"America/Regina", "2026-09-17T12:00:00-06:00", "2026-09-18"},
		{"America/Regina", "2026-09-17T23:59:59-06:00", "2026-09-18"},
		{"America/Regina", "2026-09-18T00:00:00-06:00", "2026-09-18"},
		// The farm's zone decides, not the zone the instant is written in.
		{"America/Regina", "2026-09-17T18:00:00Z", "2026-09-18"},
		{"America/Regina", "2026-09-17T17:59:59Z", "2026-09-17"},
		{"Australia/Adelaide", "2026-06-17T02:30:00Z", "2026-06-18"}, // 12:00 at UTC+9:30
		{"Australia/Adelaide", "2026-06-17T02:29:59Z", "2026-06-17"},
		{"Pacific/Auckland", "2026-07-01T00:00:00Z", "2026-07-02"},
		{"UTC", "2026-12-31T12:00:00Z", "2027-01-01"},
	} {
		at, err := time.Parse(time.RFC3339Nano, c.at)
		if err != nil {
			t.Fatal(err)
		}
		if got := fields.NightOf(at, zone(t, c.zone)); got.String() != c.want {
			t.Errorf("%s in %s is in the night of %s, want %s", c.at, c.zone, got, c.want)
		}
	}
}

func TestNightsAcrossDaylightSaving(t *testing.T) {
	for _, c := range []struct {
		zone, night string
		hours       float64
	}{
		// 2026: clocks go forward on 8 March and back on 1 November in North
		// America, on 29 March and 25 October in Europe; Lord Howe shifts by
		// half an hour, on 5 April and 4 October; Saskatchewan never does.
		{"America/Chicago", "2026-03-08", 23},
		{"America/Chicago", "2026-03-09", 24},
		{"America/Chicago", "2026-11-01", 25},
		{"America/Chicago", "2026-11-02", 24},
		{"Europe/Berlin", "2026-03-29", 23},
		{"Europe/Berlin", "2026-10-25", 25},
		{"Australia/Lord_Howe", "2026-04-05", 24.5},
		{"Australia/Lord_Howe", "2026-10-04", 23.5},
		{"America/Regina", "2026-03-08", 24},
		{"America/Regina", "2026-11-01", 24},
	} {
		loc, d := zone(t, c.zone), day(t, c.night)
		start, end := fields.NightSpan(d, loc)
		if got := end.Sub(start).Hours(); got != c.hours {
			t.Errorf("the night of %s in %s has %v hours, want %v", c.night, c.zone, got, c.hours)
		}
		for at := start; at.Before(end); at = at.Add(10 * time.Minute) {
			if got := fields.NightOf(at, loc); got != d {
				t.Errorf("%s lies in the night of %s, want %s", at, got, d)
			}
		}
	}
}

// Every instant lies in exactly one night.
func TestNightsTileTime(t *testing.T) {
	var locs []*time.Location
	for _, name := range []string{"America/Regina", "America/Chicago", "America/St_Johns", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"} {
		locs = append(locs, zone(t, name))
	}
	rapid.Check(t, func(t *rapid.T) {
		loc := rapid.SampledFrom(locs).Draw(t, "zone")
		at := time.Unix(rapid.Int64Range(0, 4_000_000_000).Draw(t, "at"), 0)
		d := fields.NightOf(at, loc)
		start, end := fields.NightSpan(d, loc)
		if at.Before(start) || !at.Before(end) {
			t.Fatalf("%s is not in the night of %s, %s to %s", at, d, start, end)
		}
		if _, before := fields.NightSpan(d-1, loc); !before.Equal(start) {
			t.Fatalf("a gap before %s", start)
		}
	})
}

func TestWatch(t *testing.T) {
	md := func(s string) fields.MonthDay {
		m, err := fields.ParseMonthDay(s)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	for _, c := range []struct {
		from, to string
		in, out  []string
		whole    bool
	}{
		{"08-15", "10-31", []string{"2026-08-15", "2026-09-17", "2026-10-31"}, []string{"2026-08-14", "2026-11-01", "2026-01-01"}, false},
		// Over the year's end, as every winter is.
		{"08-15", "06-15", []string{"2026-08-15", "2026-12-31", "2027-01-01", "2027-06-15", "2028-02-29"}, []string{"2026-08-14", "2026-06-16", "2026-07-01"}, false},
		{"09-17", "09-17", []string{"2026-09-17"}, []string{"2026-09-16", "2026-09-18"}, false},
		{"01-01", "12-31", []string{"2026-01-01", "2026-12-31", "2028-02-29"}, nil, true},
		{"06-16", "06-15", []string{"2026-06-15", "2026-06-16"}, nil, true},
		{"03-01", "02-28", []string{"2026-02-28", "2026-03-01"}, []string{"2028-02-29"}, false},
		{"03-01", "02-29", []string{"2026-02-28", "2028-02-29"}, nil, true},
	} {
		w := fields.Watch{From: md(c.from), To: md(c.to)}
		for _, s := range c.in {
			if !w.Covers(day(t, s)) {
				t.Errorf("%s to %s leaves out %s", c.from, c.to, s)
			}
		}
		for _, s := range c.out {
			if w.Covers(day(t, s)) {
				t.Errorf("%s to %s covers %s", c.from, c.to, s)
			}
		}
		if w.WholeYear() != c.whole {
			t.Errorf("%s to %s: whole year %v", c.from, c.to, !c.whole)
		}
	}
	for _, s := range []string{"", "8-15", "08-32", "02-30", "13-01", "00-01", "08/15", "08-15-2026", "aug-15"} {
		if m, err := fields.ParseMonthDay(s); err == nil {
			t.Errorf("%q was read as %s", s, m)
		}
	}
	if m := md("02-29"); m.String() != "02-29" {
		t.Error(m)
	}
}

func TestZonesKnownWithoutAComputer(t *testing.T) {
	t.Setenv("ZONEINFO", "/nowhere")
	for _, s := range []string{"America/Regina", "Europe/Berlin", "UTC"} {
		if loc, err := fields.LoadZone(s); err != nil || loc.String() != s {
			t.Errorf("%s: %v", s, err)
		}
	}
	for _, s := range []string{"", "Local", "Saskatchewan", "../../etc/passwd", "GMT+6"} {
		if _, err := fields.LoadZone(s); err == nil || !strings.Contains(err.Error(), "America/Regina") {
			t.Errorf("%q: %v", s, err)
		}
	}
}

// Days are counted from 1970; a year before it is a slip.
func TestDateBefore1970(t *testing.T) {
	today := fields.MakeDate(2026, 10, 6)
	for _, typed := range []string{"17-Sep-1926", "1969-12-31"} {
		if d, err := fields.ParseDate(typed, today); err == nil || !strings.Contains(err.Error(), "is the year right?") {
			t.Errorf("%s: %v, %v", typed, d, err)
		}
	}
	if d, err := fields.ParseDate("1-Jan-1971", today); err != nil || d != fields.MakeDate(1971, 1, 1) {
		t.Error(d, err)
	}
}
