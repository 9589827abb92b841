package weather

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// handRecord is a record of whole seasons, 10 °C every night but for the given ones
// (YYYY-MM-DD: low).
func handRecord(from, to int, cold map[string]float64) []NightLow {
	at := map[fields.Date]float64{}
	for day, c := range cold {
		d, err := fields.ParseISODate(day)
		if err != nil {
			panic(err)
		}
		at[d] = c
	}
	var out []NightLow
	for d := fields.MakeDate(from, 7, 24); d < fields.MakeDate(to, 7, 24); d++ {
		c, ok := at[d]
		if !ok {
			c = 10
		}
		out = append(out, NightLow{Night: d, LowC: &c, Covers: c > 2.2})
	}
	return out
}

// coldIn gives every season of a record a frost on 20 September and one on 20 May.
func coldIn(from, to int, more map[string]float64) map[string]float64 {
	out := map[string]float64{}
	for y := from; y < to; y++ {
		out[fields.MakeDate(y, 9, 20).String()] = -1
		out[fields.MakeDate(y+1, 5, 20).String()] = -1
	}
	for d, c := range more {
		out[d] = c
	}
	return out
}

func dropped(nights []NightLow, day string, n int) []NightLow {
	from, err := fields.ParseISODate(day)
	if err != nil {
		panic(err)
	}
	var out []NightLow
	for _, x := range nights {
		if x.Night < from || x.Night >= from.Add(n) {
			out = append(out, x)
		}
	}
	return out
}

func TestWatchOf(t *testing.T) {
	lines := []float64{2.2, 4.2, 4.4, 6.4}
	for _, c := range []struct {
		name     string
		nights   []NightLow
		need     float64
		from, to string
		seasons  int
		void     int
		lone     string // days that stand alone
		err      string
	}{
		{"thirty seasons", handRecord(1990, 2020, coldIn(1990, 2020, nil)), 2.2, "09-06", "06-03", 30, 0, "", ""},
		{"twenty-nine", handRecord(1990, 2019, coldIn(1990, 2019, nil)), 2.2, "", "", 0, 0, "", "29 whole seasons"},
		{"nine days missing", dropped(handRecord(1990, 2020, coldIn(1990, 2020, nil)), "2000-01-03", 9), 2.2, "09-06", "06-03", 30, 0, "", ""},
		{"ten days missing", dropped(handRecord(1990, 2020, coldIn(1990, 2020, nil)), "2000-01-03", 10), 2.2, "", "", 0, 0, "", "29 whole seasons from 24 July to 23 July, 1 with ten days or more missing left out"},
		{"one to spare", dropped(handRecord(1989, 2020, coldIn(1989, 2020, nil)), "2000-01-03", 10), 2.2, "09-06", "06-03", 30, 1, "", ""},
		{"a void season was cold early", dropped(handRecord(1989, 2020, coldIn(1989, 2020, map[string]float64{"2000-09-05": 1})), "2000-11-03", 60), 2.2, "08-22", "06-03", 30, 1, "", ""},
		{"an early autumn", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-08-30": 2.2})), 2.2, "08-16", "06-03", 30, 0, "", ""},
		{"21 days before the second", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-08-30": 2.2, "2005-09-20": 1})), 2.2, "08-16", "06-03", 30, 0, "", ""},
		{"22 days before it", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-08-29": 2.2})), 2.2, "08-15", "06-03", 30, 0, "2004-08-29", ""},
		{"a late spring alone", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2011-06-30": 0})), 2.2, "09-06", "07-14", 30, 0, "2011-06-30", ""},
		{"a warmer line", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-09-05": 4.1, "2005-06-02": 4.2})), 4.2, "08-22", "06-16", 30, 0, "", ""},
		{"in tenths of °F", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-09-05": 2.22})), 2.2, "08-22", "06-03", 30, 0, "", ""},
		{"24 July is autumn", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-07-24": 1, "2005-08-10": 1, "2003-08-30": 1})), 2.2, "07-10", "06-03", 30, 0, "", ""},
		{"23 July is spring", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-07-23": 1, "2005-07-10": 1, "2003-06-30": 1})), 2.2, "09-06", "08-06", 30, 0, "", ""},
		{"frost in July and in August", handRecord(1990, 2020, coldIn(1990, 2020, map[string]float64{"2004-07-15": 1, "2005-07-10": 1, "2005-08-05": 1, "2006-08-10": 1})), 2.2, "01-01", "12-31", 30, 0, "", ""},
		{"never", handRecord(1990, 2020, nil), 2.2, "", "", 0, 0, "", "never came down to 2.2 °C"},
		{"nothing", nil, 2.2, "", "", 0, 0, "", "0 whole seasons"},
	} {
		w, err := WatchOf("Home", c.nights, lines, c.need)
		if c.err != "" {
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%s: %v, want %q", c.name, err, c.err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := w.Watch.From.String() + " " + w.Watch.To.String(); got != c.from+" "+c.to {
			t.Errorf("%s: watch %s, want %s %s", c.name, got, c.from, c.to)
		}
		r := w.Watch.Record
		if r.Seasons != c.seasons || len(w.Void) != c.void || r.Station != "Home" || w.Need.LineC != c.need || r.ToYear != 2020 {
			t.Errorf("%s: %+v, void %v", c.name, r, w.Void)
		}
		alone := map[string]bool{}
		for _, d := range []fields.Date{w.Need.LoneEarliest, w.Need.LoneLatest} {
			if d != fields.NoDate {
				alone[d.String()] = true
			}
		}
		if c.lone == "" && len(alone) > 0 || c.lone != "" && (len(alone) != 1 || !alone[c.lone]) {
			t.Errorf("%s: alone %v", c.name, alone)
		}
		if !RecordHolds(w.Watch, c.need) {
			t.Errorf("%s: the watch does not hold for the line it was made for", c.name)
		}
		if e := (&fields.Entry{Body: &fields.Farm{Name: "F", Zone: "UTC", FrostWatch: &w.Watch}, On: 1, By: "Maren", ID: "01K6XQ4T5Q0V3N7R8S9T0V1W2X", Recorded: fields.Date(1).At(0, 0, time.UTC)}); len(fields.Check(e)) > 0 {
			t.Errorf("%s: cannot be stored: %v", c.name, fields.Check(e))
		}
	}
}

func TestRecordHolds(t *testing.T) {
	md := func(s string) fields.MonthDay {
		m, err := fields.ParseMonthDay(s)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	record := func(seasons int, lines ...fields.WatchLine) *fields.WatchRecord {
		return &fields.WatchRecord{Station: "Home", Seasons: seasons, FromYear: 1950, ToYear: 2020, Lines: lines}
	}
	frost := fields.WatchLine{LineC: 2.2, Earliest: md("09-01"), Latest: md("06-01")}
	hollow := fields.WatchLine{LineC: 4.4, Earliest: md("08-10"), Latest: md("06-25")}
	for _, c := range []struct {
		name     string
		from, to string
		record   *fields.WatchRecord
		line     float64
		want     bool
	}{
		{"no record", "08-18", "06-15", nil, 2.2, false},
		{"14 days either side", "08-18", "06-15", record(30, frost), 2.2, true},
		{"13 days before", "08-19", "06-15", record(30, frost), 2.2, false},
		{"13 days after", "08-18", "06-14", record(30, frost), 2.2, false},
		{"29 seasons", "08-18", "06-15", record(29, frost), 2.2, false},
		{"a line that is not recorded", "08-18", "06-15", record(30, frost), 2.3, false},
		{"a lower line", "08-18", "06-15", record(30, frost), 0.6, true},
		{"low-lying ground by the line of other ground", "08-18", "06-15", record(30, frost, hollow), 4.4, false},
		{"low-lying ground", "07-27", "07-09", record(30, frost, hollow), 4.4, true},
		{"all year", "01-01", "12-31", record(30, frost, hollow), 4.4, true},
		{"only winter", "01-01", "06-30", record(30, frost), 2.2, false},
		{"a record that leaves no night out", "01-01", "12-31", record(30, fields.WatchLine{LineC: 2.2, Earliest: md("07-26"), Latest: md("07-20")}), 2.2, true},
		{"and a watch that does", "07-26", "07-20", record(30, fields.WatchLine{LineC: 2.2, Earliest: md("07-26"), Latest: md("07-20")}), 2.2, false},
	} {
		w := fields.Watch{From: md(c.from), To: md(c.to), Record: c.record}
		if got := RecordHolds(w, c.line); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// Four published years are no record to rest on; the same nine times over are, and give
// the dates that the rows themselves give.
func TestWatchOfPublishedLows(t *testing.T) {
	var four []NightLow
	for lat, all := range publishedLows(t) {
		if lat == 40.7 {
			four = all
		}
	}
	if _, err := WatchOf("New York", four, nil, 2.2); err == nil || !strings.Contains(err.Error(), "3 whole seasons") {
		t.Errorf("four years: %v", err)
	}
	var long []NightLow
	for turn := range 9 {
		for _, n := range four { // 2012 is a leap year, and so is every fourth before it
			y, m, day := n.Night.Civil()
			n.Night = fields.MakeDate(y-4*turn, m, day)
			long = append(long, n)
		}
	}
	w, err := WatchOf("New York", long, []float64{4.4}, 2.2)
	if err != nil {
		t.Fatal(err)
	}
	var first, last fields.MonthDay
	for _, n := range four {
		_, m, day := n.Night.Civil()
		at := fields.MonthDay{Month: m, Day: day}
		if *n.LowC > 2.2 {
			continue
		}
		if m >= 8 && (first.Month == 0 || at.String() < first.String()) {
			first = at
		}
		if m < 8 && at.String() > last.String() {
			last = at
		}
	}
	got := w.Watch.Record.Lines[0]
	if w.Watch.Record.Seasons != 35 || got.LineC != 2.2 || got.Earliest != first || got.Latest != last {
		t.Errorf("%+v, want from %s to %s", w.Watch.Record, first, last)
	}
	t.Logf("New York at or below 2.2 °C: %s to %s, watch %s to %s", got.Earliest, got.Latest, w.Watch.From, w.Watch.To)
}
