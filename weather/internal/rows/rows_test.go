package rows

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"pgregory.net/rapid"
)

func TestLines(t *testing.T) {
	long := strings.Repeat("y", MaxLine+1)
	fit := strings.Repeat("z", MaxLine)
	for _, c := range []struct {
		in   string
		want []string // "!" for a line too long
	}{
		{"", nil},
		{"a", []string{"a"}},
		{"a\nb\n", []string{"a", "b"}},
		{"a\r\nb\r\n\r\nc", []string{"a", "b", "", "c"}},
		{"a\rb\rc", []string{"a", "b", "c"}},
		{"\xef\xbb\xbfa\nb", []string{"a", "b"}},
		{"a\n" + long + "\nb\n", []string{"a", "!", "b"}},
		{"a\n" + long + long + long + "\nb", []string{"a", "!", "b"}},
		{fit + "\nb", []string{fit, "b"}},
		{"a\n" + long, []string{"a", "!"}},
	} {
		for _, wrap := range []func(io.Reader) io.Reader{
			func(r io.Reader) io.Reader { return r }, iotest.OneByteReader, iotest.DataErrReader, iotest.HalfReader,
		} {
			l := NewLines(wrap(strings.NewReader(c.in)))
			var got []string
			for {
				b, err := l.Next()
				if err == io.EOF {
					break
				}
				if errors.Is(err, ErrLong) {
					got = append(got, "!")
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				got = append(got, string(b))
			}
			if fmt.Sprint(got) != fmt.Sprint(c.want) || l.Num() != len(c.want) {
				t.Errorf("%.40q: %d lines, want %d", c.in, len(got), len(c.want))
			}
		}
	}
	l := NewLines(iotest.ErrReader(errors.New("broken")))
	if _, err := l.Next(); err == nil || err == io.EOF {
		t.Errorf("a broken input read as %v", err)
	}
}

// A line without odd quotation marks splits as the standard library splits it.
func TestSplitAgainstStandard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(rapid.StringOfN(rapid.RuneFrom([]rune("ab1 ;-\"")), 0, 8, -1), 1, 8).Draw(t, "cells")
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		if err := w.Write(cells); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		line := bytes.TrimSuffix(b.Bytes(), []byte("\n"))
		want, err := csv.NewReader(bytes.NewReader(append(bytes.Clone(line), '\n'))).Read()
		if err == io.EOF { // an empty line is no record there
			want = []string{""}
		} else if err != nil {
			t.Fatal(err)
		}
		got, err := Split(bytes.Clone(line), ',')
		if err != nil || len(got) != len(want) {
			t.Fatalf("%q: %q, %v", line, got, err)
		}
		for i := range got {
			if string(got[i]) != want[i] {
				t.Fatalf("%q: cell %d is %q, want %q", line, i, got[i], want[i])
			}
		}
	})
}

func TestSplitOddQuotes(t *testing.T) {
	if _, err := Split([]byte(`a,"b,c`), ','); !errors.Is(err, ErrQuote) {
		t.Errorf("an unclosed quotation mark: %v", err)
	}
	got, err := Split([]byte(`a, "b" ,5"x,""`), ',')
	if err != nil || len(got) != 4 || string(got[1]) != "b" || string(got[2]) != `5"x` || string(got[3]) != "" {
		t.Errorf("%q, %v", got, err)
	}
}

// Number agrees with strconv to the last bit wherever it takes a number.
func TestNumberAgainstStandard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[-+]?[0-9]{0,18}(\.[0-9]{0,10})?([eE][-+]?[0-9]{1,2})?`).Draw(t, "s")
		got, ok := Number([]byte(s), '.')
		want, err := strconv.ParseFloat(s, 64)
		if ok != (err == nil) || ok && got != want {
			t.Fatalf("%q: %v %v, want %v %v", s, got, ok, want, err)
		}
	})
	for _, s := range []string{"", "-", ".", "1.2.3", "0x10", "1e", "e5", "Inf", "NaN", "1_000", "1,5", "--1", "1 2", "½", "١"} {
		if v, ok := Number([]byte(s), '.'); ok {
			t.Errorf("%q read as %v", s, v)
		}
	}
	if v, ok := Number([]byte(" −2,5 "), ','); !ok || v != -2.5 {
		t.Errorf("typographic minus and decimal comma: %v %v", v, ok)
	}
}

func TestMissing(t *testing.T) {
	for _, s := range []string{"", "NA", "n/a", "NaN", "NULL", "M", "--", "///", "None", "missing"} {
		if !MissingWord([]byte(s)) {
			t.Errorf("%q is taken for a value", s)
		}
	}
	for _, s := range []string{"0", "warm", "-1", "T", "none of them"} {
		if MissingWord([]byte(s)) {
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

func TestDaysAgainstStandard(t *testing.T) {
	for d := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() <= 2200; d = d.AddDate(0, 0, 1) {
		y, m, dd := d.Date()
		if got := Days(y, int(m), dd); got != d.Unix()/86400 {
			t.Fatalf("%v: %d", d, got)
		}
		if !RealDay(y, int(m), dd) {
			t.Fatalf("%v is no day", d)
		}
	}
	for _, d := range [][3]int{{2026, 2, 29}, {2100, 2, 29}, {2026, 4, 31}, {2026, 0, 1}, {2026, 13, 1}, {2026, 1, 0}, {1899, 12, 31}, {2201, 1, 1}} {
		if RealDay(d[0], d[1], d[2]) {
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
		s, ok := ParseStamp([]byte(at.Format(layout)))
		if !ok || !s.HasDate || !s.HasTime || s.InNumbers || s.Zone == ZoneAbbr {
			t.Fatalf("%q: %+v %v", at.Format(layout), s, ok)
		}
		if got := Days(s.Y, s.M, s.D)*86400 + int64(s.Sec) - int64(s.Off); got != at.Unix() {
			t.Fatalf("%q read as %v", at.Format(layout), time.Unix(got, 0).UTC())
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
		"2026-10-06 05:00 MDT":  {HasDate: true, Y: 2026, M: 10, D: 6, HasTime: true, Sec: 5 * 3600, Zone: ZoneAbbr, Abbr: [5]byte{'M', 'D', 'T'}},
		"2026-10-06T05:00-0600": {HasDate: true, Y: 2026, M: 10, D: 6, HasTime: true, Sec: 5 * 3600, Zone: ZoneOffset, Off: -6 * 3600},
		"2026-10-06 5 pm":       {HasDate: true, Y: 2026, M: 10, D: 6, HasTime: true, Sec: 17 * 3600},
		"06-Oct-26":             {HasDate: true, Y: 2026, M: 10, D: 6},
	} {
		got, ok := ParseStamp([]byte(in))
		if !ok || got != want {
			t.Errorf("%q: %+v %v", in, got, ok)
		}
	}
	for _, in := range []string{
		"", "2026", "45936.25", "1759300000", "2026-02-30", "2026-13-01", "2026-10-06 25:00", "2026-10-06 05:60", "24:01", "13:00 PM",
		"0:30 am", "2026-10-06x", "6 Octember 2026", "Oct 2026", "2026-10-06 05:00 +25:00", "06/10", "06/10-26", "2026-1-2-3", "yesterday", "Mon",
		"2026-10-06 05:00 something", "99/99/9999999",
	} {
		if got, ok := ParseStamp([]byte(in)); ok {
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
			s := Stamp{HasDate: true, Y: l.Year(), M: int(l.Month()), D: l.Day(), HasTime: true, Sec: l.Hour()*3600 + l.Minute()*60}
			got, why := c.Unix(&s)
			if why != "" || got != at.Unix() {
				t.Fatalf("%s: %v read as %v %s", name, l, time.Unix(got, 0).In(loc), why)
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
			s := Stamp{HasDate: true, Y: l.Year(), M: int(l.Month()), D: l.Day(), HasTime: true, Sec: l.Hour()*3600 + l.Minute()*60}
			if got, _ := c.Unix(&s); got != at.Unix() {
				t.Errorf("falling %v: %v read as %v", falling, l, time.Unix(got, 0).In(loc))
			}
		}
		if c.Twice != 6 {
			t.Errorf("falling %v: %d stamps in the double hour, want 6", falling, c.Twice)
		}
	}
	c := NewClock(loc, ModeLocal, 0)
	if _, _ = c.Unix(&Stamp{HasDate: true, Y: 2026, M: 3, D: 8, HasTime: true, Sec: 2*3600 + 1800}); c.Skipped != 1 {
		t.Errorf("%d stamps in the skipped hour", c.Skipped)
	}
	std := NewClock(loc, ModeStandard, 0)
	got, _ := std.Unix(&Stamp{HasDate: true, Y: 2026, M: 7, D: 1, HasTime: true, Sec: 0})
	if got != time.Date(2026, 7, 1, 7, 0, 0, 0, time.UTC).Unix() {
		t.Errorf("standard time in July read as %v", time.Unix(got, 0).UTC())
	}
	abbr := Stamp{HasDate: true, Y: 2026, M: 7, D: 1, HasTime: true, Zone: ZoneAbbr, Abbr: [5]byte{'M', 'S', 'T'}}
	if got, why := c.Unix(&abbr); why != "" || got != time.Date(2026, 7, 1, 7, 0, 0, 0, time.UTC).Unix() {
		t.Errorf("MST in July: %v %s", time.Unix(got, 0).UTC(), why)
	}
	abbr.Abbr = [5]byte{'C', 'S', 'T'}
	if _, why := c.Unix(&abbr); why == "" {
		t.Error("CST was taken on a farm in Denver's zone")
	}
}

func TestPick(t *testing.T) {
	p := NewPick("bench")
	var log []string
	for _, n := range []string{"Creek", "Creek", "Bench", "Creek", "Bench"} {
		keep, forget := p.Take([]byte(n))
		log = append(log, fmt.Sprintf("%v/%v", keep, forget))
	}
	if got := strings.Join(log, " "); got != "true/false true/false true/true false/false true/false" {
		t.Error(got)
	}
	if p.Problem(strconv.Quote) != "" || p.Name() != "Bench" {
		t.Errorf("%s %s", p.Problem(strconv.Quote), p.Name())
	}
	one := NewPick("")
	if keep, _ := one.Take([]byte("KTST")); !keep || one.Problem(strconv.Quote) != "" {
		t.Error("a file with one station must be read if none is asked for")
	}
	other := NewPick("Creek")
	other.Take([]byte("KTST"))
	if got := other.Problem(strconv.Quote, "Test field"); !strings.Contains(got, `called "KTST", not "Creek"`) {
		t.Errorf("another station than the one asked for: %q", got)
	}
	if got := other.Problem(strconv.Quote, "creek "); got != "" {
		t.Errorf("the station by its second name: %q", got)
	}
	if got := NewPick("Creek").Problem(strconv.Quote); !strings.Contains(got, "does not name its stations") {
		t.Errorf("a file without stations: %q", got)
	}
}
