package weather

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"rimegate/fields"
)

// publishedLows are the nightly lows of two places with their latitudes (sources in
// testdata/SOURCE.md and formats/testdata/published/SOURCE.md), in °C.
func publishedLows(t *testing.T) map[float64][]NightLow {
	t.Helper()
	out := map[float64][]NightLow{}
	add := func(lat float64, day, low string, later int) {
		d, err := fields.ParseISODate(day)
		if err != nil {
			t.Fatal(err)
		}
		c, err := strconv.ParseFloat(low, 64)
		if err != nil {
			t.Fatal(err)
		}
		out[lat] = append(out[lat], NightLow{Night: d.Add(later), LowC: &c, Covers: true})
	}
	read := func(name string) [][]string {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[1:]
	}
	for _, r := range read("formats/testdata/published/newyork-daily.csv") {
		add(40.7, r[1], r[3], 0)
	}
	for _, r := range read("testdata/nights.csv") {
		if r[0] == "YKA" {
			add(50.7, r[1], r[3], 1)
		}
	}
	return out
}

// inOtherUnit reads lows in the wrong unit: their numbers in °F taken for °C, or their
// numbers in °C taken for °F.
func inOtherUnit(nights []NightLow, warm bool) []NightLow {
	out := make([]NightLow, len(nights))
	for i, n := range nights {
		c := FtoC(*n.LowC)
		if warm {
			c = *n.LowC*9/5 + 32
		}
		n.LowC = &c
		out[i] = n
	}
	return out
}

// No stretch of the published lows is asked about as it is, of whatever length. With
// its numbers in the other unit every stretch of 10 nights and more is, and at least
// 96 of 100 single nights. Lows in °C taken for °F are noticed in most months.
func TestDoubtUnitOnPublishedLows(t *testing.T) {
	for lat, all := range publishedLows(t) {
		at := &Place{lat, -100}
		for _, n := range []int{1, 3, 10, 30, len(all)} {
			missed, cold, of := 0, 0, 0
			for i := 0; i+n <= len(all); i += max(1, n/3) {
				part := all[i : i+n]
				if d, odd := DoubtUnit(part, false, at, nil); odd {
					t.Errorf("%.1f: %d nights from %s: %s", lat, n, part[0].Night, d.Words())
				}
				of++
				if d, odd := DoubtUnit(inOtherUnit(part, true), false, at, nil); !odd || !d.TooWarm {
					missed++
				}
				if d, odd := DoubtUnit(inOtherUnit(part, false), true, at, nil); odd && !d.TooWarm {
					cold++
				}
			}
			t.Logf("%.1f, %d nights: of %d in the wrong unit %d pass, as °C for °F %d are noticed", lat, n, of, missed, cold)
			if n >= 10 && missed > 0 || float64(missed) > 0.04*float64(of) {
				t.Errorf("%.1f, %d nights: %d of %d in the wrong unit pass", lat, n, missed, of)
			}
			if cold*5 < of {
				t.Errorf("%.1f, %d nights: °C taken for °F is noticed in %d of %d", lat, n, cold, of)
			}
		}
	}
}

func TestDoubtUnit(t *testing.T) {
	oct := fields.MakeDate(2026, 10, 4)
	lows := func(cs ...float64) []NightLow {
		var out []NightLow
		for i, c := range cs {
			out = append(out, NightLow{Night: oct.Add(i), LowC: &c, Covers: true})
		}
		return out
	}
	january := lows(22, 21, 23)
	for i := range january {
		january[i].Night += 110
	}
	evening := lows(28)
	evening[0].Covers = false
	evening[0].Spans = []fields.Span{{From: (oct - 1).At(13, 0, zone(t, "America/Regina")), To: (oct - 1).At(15, 0, zone(t, "America/Regina"))}}
	for _, c := range []struct {
		name   string
		nights []NightLow
		at     *Place
		beside map[fields.Date]float64
		odd    bool
		words  string
	}{
		{"the lows of October in °F", lows(41, 36, 28), nil, nil, true, "3 lows of 3 (41, 36, 28 °C, first in the night of Sun 4 Oct 2026) would be far too warm for the season, and fit °F well (5, 2.2, -2.2 °C)"},
		{"a first frost in °F", lows(30), &Place{40, -100}, nil, true, "1 low of 1 (30 °C in the night of Sun 4 Oct 2026)"},
		{"in °C", lows(5, 2.2, -2.2), nil, nil, false, ""},
		{"one typed in °F", lows(5, 4, 3, 6, 2, 41, 3, 4, 5, 2, 1, 0), nil, nil, true, "1 low of 12 (41 °C in the night of Fri 9 Oct 2026)"},
		{"one warm night", lows(5, 4, 3, 6, 2, 17, 3, 4, 5, 2, 1, 0), nil, nil, false, ""},
		{"a warm night in Texas", lows(24, 23, 25), &Place{29.5, -98}, nil, false, ""},
		{"beside another thermometer", lows(19), nil, map[fields.Date]float64{oct: -6}, true, "19 °C"},
		{"beside one that was as warm", lows(27, 26, 28), nil, map[fields.Date]float64{oct: 25, oct + 1: 24, oct + 2: 25}, false, ""},
		{"the afternoon before", evening, nil, nil, false, ""},
		{"°C read as °F", lows(FtoC(5), FtoC(2), FtoC(-2)), nil, nil, true, "3 lows of 3 (5, 2, -2 °F, first in the night of Sun 4 Oct 2026) would be far too cold for the season, and fit °C well"},
		{"January south of the equator", january, &Place{-43, 172}, nil, false, ""},
		{"the same in the north", january, &Place{43, -100}, nil, true, "3 lows of 3"},
		{"cold in °C", lows(-12, -13, -15), nil, nil, false, ""},
		{"frosts in °F by the header", lows(-4, -5, -6), nil, nil, false, ""},
		{"signs alone", []NightLow{{Night: oct}}, nil, nil, false, ""},
	} {
		beside := func(d fields.Date) (float64, bool) { v, ok := c.beside[d]; return v, ok }
		got, odd := DoubtUnit(c.nights, strings.HasPrefix(c.name, "°C read as °F") || strings.HasSuffix(c.name, "in °F by the header"), c.at, beside)
		if odd != c.odd || odd && !strings.Contains(got.Words(), c.words) {
			t.Errorf("%s: %v", c.name, odd)
			if odd {
				t.Log(got.Words())
			}
		}
	}
}
