package fields

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// plainly fails for an error that is not one sentence fit for a terminal.
func plainly(t *testing.T, typed string, err error) {
	t.Helper()
	if s := err.Error(); s == "" || !utf8.ValidString(s) || len(s) > 400+8*len(typed) || strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
	}) {
		t.Fatalf("%q is refused with %q", typed, s)
	}
}

// FuzzTyped: whatever is typed for a number, a quantity, a day or a moment, it is
// refused in one clean sentence, or taken as a value that can be and that reads back
// as itself when it is printed.
func FuzzTyped(f *testing.F) {
	for _, s := range []string{
		"-3C", "26 °F", "26.5F", "4in", "60ac", "1100 lb", "3 T", "5 tons", "12 gal", "0", "-0", "+1", "3,000", "1e3", "0x1p-2", "12mm", "½ in", "١٢ cm",
		"2026-10-06", "6-Oct", "6 Oct 2026", "Tue 6 Oct", "yesterday", "today", "last tuesday", "08-15", "15-Aug", "06/10/26", "05:30", "05:30 yesterday",
		"oats:60", "oats: 60 %", "a:b:c", "0.5 % NO3 dm", "1130 ppm NO3-N dm", "\x1b[31m3C", "3C\x00", "3\u202eC", "\xff3C", strings.Repeat("9", 400), "99999999999999999999-01-01",
	} {
		f.Add(s)
	}
	loc, err := LoadZone("America/Denver")
	if err != nil {
		f.Fatal(err)
	}
	today := MakeDate(2026, time.October, 6)
	f.Fuzz(func(t *testing.T, s string) {
		measures(t, s)
		figures(t, s)
		if d, err := ParseISODate(s); err != nil {
			plainly(t, s, err)
		} else if back, err := ParseISODate(d.String()); err != nil || back != d {
			t.Fatalf("%q: %s, %v", s, d, err)
		}
		if d, err := ParseDate(s, today); err != nil {
			plainly(t, s, err)
		} else if back, err := ParseDate(d.String(), today); err != nil || back != d {
			t.Fatalf("%q: %s, %v", s, d, err)
		}
		if m, err := ParseMonthDay(s); err != nil {
			plainly(t, s, err)
		} else if back, err := ParseMonthDay(m.String()); err != nil || back != m {
			t.Fatalf("%q: %s, %v", s, m, err)
		}
		if d, err := ParseComing(s, today); err != nil {
			plainly(t, s, err)
		} else if back, err := ParseComing(d.String(), today); err != nil || back != d {
			t.Fatalf("%q: %s, %v", s, d, err)
		}
		if at, err := ParseMoment(s, today, loc); err != nil {
			plainly(t, s, err)
		} else if back, err := ParseMoment(at.Format(time.RFC3339Nano), today, loc); err != nil || !back.Equal(at) {
			t.Fatalf("%q: %v, %v, %v", s, at, back, err)
		}
	})
}

func measures(t *testing.T, s string) {
	for _, m := range []*Measure{Temperature, Difference, Height, Elevation, RainDepth, Area, Weight, Tonnage, PerArea, NitrogenRate, Percentage, Hours, Drink} {
		for _, system := range []string{"", "us", "metric"} {
			v, err := m.ParseIn(s, system)
			if err != nil {
				plainly(t, s, err)
				continue
			}
			if !(v >= m.lo && v <= m.hi) || math.Signbit(v) && v == 0 {
				t.Fatalf("%s %q: %v", m.Name, s, v)
			}
			if back, err := m.Parse(m.in(v, 0)); err == nil && math.Abs(back-v) > 0.51*math.Pow(10, -float64(m.places))*m.units[0].factor+1e-5 {
				t.Fatalf("%s %q: %v is printed as %q and read back as %v", m.Name, s, v, m.in(v, 0), back)
			}
		}
	}
}

func figures(t *testing.T, s string) {
	if v, err := ParseNumber(s); err != nil {
		plainly(t, s, err)
	} else if math.IsNaN(v) || math.IsInf(v, 0) || strings.Contains(s, ",") {
		t.Fatalf("%q: %v", s, v)
	}
	if v, err := ParseCount(s); err != nil {
		plainly(t, s, err)
	} else if v < 0 || v != math.Trunc(v) {
		t.Fatalf("%q: %v", s, v)
	}
	if vs, err := ParseFigures(s); err != nil {
		plainly(t, s, err)
	} else if len(vs) == 0 {
		t.Fatalf("%q is no figure and is taken", s)
	}
	if x, err := ParseShare(s); err != nil {
		plainly(t, s, err)
	} else if strings.TrimSpace(x.Species) == "" || x.Share != nil && !(*x.Share >= 0 && *x.Share <= 100) {
		t.Fatalf("%q: %+v", s, x)
	}
	if x, err := ParseNitrateTarget(s); err != nil {
		plainly(t, s, err)
	} else if back, err := ParseNitrateTarget(x.String()); err != nil || *back != *x {
		t.Fatalf("%q: %+v, printed %q, read back as %+v, %v", s, x, x, back, err)
	}
}
