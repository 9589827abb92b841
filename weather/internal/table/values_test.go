package table

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
)

func TestNumber(t *testing.T) {
	for s, want := range map[string]float64{"28": 28, "+1.5": 1.5, "-.5": -0.5, "7.": 7, "1e1": 10, " −2.5 ": -2.5, "37.94": 37.94} {
		if got, ok := Number(s); !ok || got != want {
			t.Errorf("%q: %v %v", s, got, ok)
		}
	}
	for _, s := range []string{"", "-", ".", "1.2.3", "0x10", "1e", "e5", "Inf", "NaN", "1_000", "1,5", "--1", "1 2", "½", "١", "nan", "infinity", "1e999", "0X1P2"} {
		if v, ok := Number(s); ok {
			t.Errorf("%q read as %v", s, v)
		}
	}
}

func TestMissing(t *testing.T) {
	for _, s := range []string{"", "NA", "n/a", "NaN", "NULL", "M", "--", "///", "None", "missing"} {
		if !MissingWord(s) {
			t.Errorf("%q is taken for a value", s)
		}
	}
	for _, s := range []string{"0", "warm", "-1", "T", "none of them"} {
		if MissingWord(s) {
			t.Errorf("%q is taken for missing", s)
		}
	}
	for _, v := range []float64{-9999, 999.9, -99.9, 9999, -999, -99, -88.8, 99.9, -888, 6999, -6999, 32767, -127} {
		if !MissingNumber(v) {
			t.Errorf("%v is taken for a value", v)
		}
	}
	for _, v := range []float64{0, -40, -60, -87.5, 99, 100, 101.5, 45.5} {
		if MissingNumber(v) {
			t.Errorf("%v is taken for missing", v)
		}
	}
}

func TestDayAgainstStandard(t *testing.T) {
	for d := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() <= 2200; d = d.AddDate(0, 0, 1) {
		y, m, dd := d.Date()
		if got, ok := Day(y, int(m), dd); !ok || int64(got) != d.Unix()/86400 {
			t.Fatalf("%v: %d %v", d, got, ok)
		}
	}
	for _, d := range [][3]int{{2026, 2, 29}, {2100, 2, 29}, {2026, 4, 31}, {2026, 0, 1}, {2026, 13, 1}, {2026, 1, 0}, {1899, 12, 31}, {2201, 1, 1}} {
		if _, ok := Day(d[0], d[1], d[2]); ok {
			t.Errorf("%v is a day", d)
		}
	}
}

// Stamps written in many ways read back as what was written.
func TestParseStampForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(-2_000_000_000, 4_000_000_000).Draw(t, "t"), 0).UTC().Truncate(time.Minute)
		layout := rapid.SampledFrom([]string{
			"2006-01-02 15:04", "2006-01-02T15:04:05Z", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05.000Z",
			"2006/01/02 15:04", "20060102T1504", "2 Jan 2006 15:04", "02-Jan-2006 3:04 PM", "Jan 2, 2006 15:04",
			"January 2, 2006 03:04 pm", "Mon 02-Jan-2006 15:04", "Monday, January 2, 2006 15:04", "2006-01-02T15:04:05+00:00",
			"2006-01-02 15:04 UTC", "2006-01-02 15:04 GMT",
		}).Draw(t, "layout")
		s, ok := ParseStamp(at.Format(layout))
		if !ok || !s.Exact() {
			t.Fatalf("%q: %+v %v", at.Format(layout), s, ok)
		}
		if got := s.UTC(); !got.Equal(at) {
			t.Fatalf("%q read as %v", at.Format(layout), got)
		}
	})
}

func TestParseStampOdd(t *testing.T) {
	for in, want := range map[string]Stamp{
		"5:00 AM":               {HasTime: true, Sec: 5 * 3600},
		"12:30 am":              {HasTime: true, Sec: 1800},
		"12:30 PM":              {HasTime: true, Sec: 12*3600 + 1800},
		"24:00":                 {HasTime: true, Sec: 86400},
		"06/10/26":              {HasDate: true, InNumbers: true, A: 6, B: 10, C: 26, CDigits: 2},
		"6.10.2026 5:00":        {HasDate: true, InNumbers: true, A: 6, B: 10, C: 2026, CDigits: 4, HasTime: true, Sec: 5 * 3600},
		"2026-10-06 05:00 MDT":  {HasDate: true, Day: fields.MakeDate(2026, 10, 6), HasTime: true, Sec: 5 * 3600, Abbr: "MDT"},
		"2026-10-06T05:00-0600": {HasDate: true, Day: fields.MakeDate(2026, 10, 6), HasTime: true, Sec: 5 * 3600, Zoned: true, Off: -6 * 3600},
		"2026-10-06 5 pm":       {HasDate: true, Day: fields.MakeDate(2026, 10, 6), HasTime: true, Sec: 17 * 3600},
		"06-Oct-26":             {HasDate: true, Day: fields.MakeDate(2026, 10, 6)},
	} {
		got, ok := ParseStamp(in)
		if !ok || got != want {
			t.Errorf("%q: %+v %v", in, got, ok)
		}
	}
	for _, in := range []string{
		"", "2026", "45936.25", "1759300000", "2026-02-30", "2026-13-01", "2026-10-06 25:00", "2026-10-06 05:60", "24:01", "13:00 PM",
		"0:30 am", "2026-10-06x", "6 Octember 2026", "Oct 2026", "2026-10-06 05:00 +25:00", "06/10", "06/10-26", "2026-1-2-3", "yesterday", "Mon",
		"2026-10-06 05:00 something", "99/99/9999999",
	} {
		if got, ok := ParseStamp(in); ok {
			t.Errorf("%q read as %+v", in, got)
		}
	}
}

// The clock agrees with the standard library wherever a local time is of one
// instant, in zones with every kind of change.
func TestClockAgainstStandard(t *testing.T) {
	for _, name := range []string{"America/Denver", "America/Regina", "America/St_Johns", "Europe/London", "Australia/Lord_Howe", "America/Sao_Paulo", "Pacific/Apia"} {
		loc, err := time.LoadLocation(name)
		if err != nil {
			t.Skip(err)
		}
		c := NewClock(loc, ModeLocal, 0)
		for at := time.Date(2011, 1, 1, 0, 7, 0, 0, time.UTC); at.Year() < 2014; at = at.Add(20 * time.Minute) {
			l := at.In(loc)
			s := Stamp{HasDate: true, Day: fields.MakeDate(l.Date()), HasTime: true, Sec: l.Hour()*3600 + l.Minute()*60}
			got, why := c.Instant(&s)
			if why != "" || !got.Equal(at) {
				t.Fatalf("%s: %v read as %v %s", name, l, got.In(loc), why)
			}
		}
	}
}

// The hour that autumn shows twice, forwards and backwards.
func TestClockTwice(t *testing.T) {
	loc, err := time.LoadLocation("America/Denver")
	if err != nil {
		t.Skip(err)
	}
	var ats []time.Time
	for at := time.Date(2026, 11, 1, 5, 0, 0, 0, time.UTC); len(ats) < 30; at = at.Add(20 * time.Minute) {
		ats = append(ats, at)
	}
	for _, falling := range []bool{false, true} {
		c := NewClock(loc, ModeLocal, 0)
		for i := range ats {
			at := ats[i]
			if falling {
				at = ats[len(ats)-1-i]
			}
			l := at.In(loc)
			s := Stamp{HasDate: true, Day: fields.MakeDate(l.Date()), HasTime: true, Sec: l.Hour()*3600 + l.Minute()*60}
			if got, _ := c.Instant(&s); !got.Equal(at) {
				t.Errorf("falling %v: %v read as %v", falling, l, got.In(loc))
			}
		}
		if c.Twice != 6 {
			t.Errorf("falling %v: %d stamps in the double hour, want 6", falling, c.Twice)
		}
	}
	c := NewClock(loc, ModeLocal, 0)
	if _, _ = c.Instant(&Stamp{HasDate: true, Day: fields.MakeDate(2026, 3, 8), HasTime: true, Sec: 2*3600 + 1800}); c.Skipped != 1 {
		t.Errorf("%d stamps in the skipped hour", c.Skipped)
	}
	std := NewClock(loc, ModeStandard, 0)
	got, _ := std.Instant(&Stamp{HasDate: true, Day: fields.MakeDate(2026, 7, 1), HasTime: true, Sec: 0})
	if !got.Equal(time.Date(2026, 7, 1, 7, 0, 0, 0, time.UTC)) {
		t.Errorf("standard time in July read as %v", got.UTC())
	}
	abbr := Stamp{HasDate: true, Day: fields.MakeDate(2026, 7, 1), HasTime: true, Abbr: "MST"}
	if got, why := c.Instant(&abbr); why != "" || !got.Equal(time.Date(2026, 7, 1, 7, 0, 0, 0, time.UTC)) {
		t.Errorf("MST in July: %v %s", got.UTC(), why)
	}
	abbr.Abbr = "CST"
	if _, why := c.Instant(&abbr); why == "" {
		t.Error("CST was taken on a farm in Denver's zone")
	}
}

// The short way of the commonest stamps reads nothing that the long way does not,
// and reads it alike.
func sameBothWays(t interface{ Errorf(string, ...any) }, text string) (taken bool) {
	short, taken := parseISO(text)
	if !taken {
		return false
	}
	if long, ok := parseForms(text); !ok || long != short {
		t.Errorf("%q: %+v, the long way %+v %v", text, short, long, ok)
	}
	return true
}

var isoSeeds = []string{
	"2026-10-06 05:00", "2026-10-06T05:00Z", "2026-10-06 05:00:30", "2026-10-06 05:00:60", "2026-10-06 24:00", "2026-10-06", "20261006",
	"2026-02-29 05:00", "2024-02-29T23:59:59Z", "2026-10-06 5:00 PM", "2026-10-06 05:00:3", "2026-1-06 05:00", "2026-10-06T05:00:30-06:00",
	"1899-12-31 00:00", "2200-12-31 00:00", "2026-10-06 0/:00", "20:6-10-06 05:00", "2026-10-06t05:00", "2026-10-06 05:00+02", "2026-10-06T05:00+14:30",
}

func FuzzStampShortWay(f *testing.F) {
	for _, s := range isoSeeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) { sameBothWays(t, trim(text)) })
}

// Stamps of every digit and sign at every place.
func TestStampShortWay(t *testing.T) {
	taken := 0
	for _, form := range isoSeeds {
		for i := range form {
			for c := range 256 {
				b := []byte(form)
				b[i] = byte(c)
				if sameBothWays(t, trim(string(b))) {
					taken++
				}
			}
		}
	}
	if taken < 500 {
		t.Errorf("the short way took %d stamps", taken)
	}
}

// The clock remembers a stretch of its zone and a year; stamps that jump about read as a
// clock that remembers nothing reads them, and offsets are those of the standard library.
func TestClockRemembersNothingWrong(t *testing.T) {
	for _, name := range []string{"America/Denver", "America/St_Johns", "Pacific/Auckland", "Africa/Casablanca", "America/Regina", "Pacific/Apia"} {
		loc, err := time.LoadLocation(name)
		if err != nil {
			t.Skip(err)
		}
		for _, mode := range []Mode{ModeLocal, ModeStandard, ModeOffset} {
			rapid.Check(t, func(t *rapid.T) {
				c := NewClock(loc, mode, -3600)
				at := rapid.Int64Range(-2_000_000_000, 4_000_000_000).Draw(t, "t")
				for _, step := range rapid.SliceOfN(rapid.Int64Range(-200*86400, 200*86400), 1, 30).Draw(t, "steps") {
					at += step
					u := time.Unix(at, 0).UTC()
					if _, off := u.In(loc).Zone(); c.offsetAt(at) != int64(off) {
						t.Fatalf("%s at %v: %d, want %d", name, u, c.offsetAt(at), off)
					}
					s := Stamp{HasDate: true, Day: fields.MakeDate(u.Date()), HasTime: true, Sec: u.Hour() * 3600}
					twice := c.Twice
					got, _ := c.Instant(&s)
					want, _ := NewClock(loc, mode, -3600).Instant(&s)
					if !got.Equal(want) && c.Twice == twice {
						t.Fatalf("%s, mode %d, %v: %v, want %v", name, mode, u, got, want)
					}
				}
			})
		}
	}
}
