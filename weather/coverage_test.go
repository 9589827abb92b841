package weather

import (
	"math/rand/v2"
	"testing"
	"time"

	"rimegate/fields"
)

// night17 makes a span of the night of 17 September 2026 from hours after the
// midnight that ends 16 September.
func night17(loc *time.Location, from, to float64) fields.Span {
	at := func(h float64) time.Time {
		return time.Date(2026, 9, 17, 0, 0, 0, 0, loc).Add(time.Duration(h * float64(time.Hour)))
	}
	return fields.Span{From: at(from), To: at(to)}
}

func TestCovered(t *testing.T) {
	loc := zone(t, "America/Regina")
	type parts [][2]float64
	for _, c := range []struct {
		name  string
		parts parts
		want  bool
	}{
		{"nothing", nil, false},
		{"the whole night", parts{{-6, 9}}, true},
		{"noon to noon", parts{{-12, 12}}, true},
		{"from 19:00 to 08:00", parts{{-5, 8}}, true},
		{"from 19:01", parts{{-5 + 1./60, 9}}, false},
		{"to 07:59", parts{{-6, 8 - 1./60}}, false},
		{"two month files", parts{{-12, -1}, {0, 12}}, true},
		{"the same, the other way round", parts{{0, 12}, {-12, -1}}, true},
		{"a gap of 2 h 5 min", parts{{-6, 1}, {3 + 5./60, 9}}, true},
		{"a gap of 2 h 6 min", parts{{-6, 1}, {3.1, 9}}, false},
		{"the gap filled by a third", parts{{-6, 1}, {3.1, 9}, {0, 4}}, true},
		{"overlapping, one inside another", parts{{-6, 9}, {-2, 0}, {8, 8.5}}, true},
		{"a long one, then one inside it, then a gap from the long one's end", parts{{-6, 4}, {-5, -4}, {5.5, 9}}, true},
		{"a reading at noon takes nothing from what follows", parts{{-12, -11.5}, {-5.5, 9}}, true},
		{"nor one at the next noon", parts{{-5.5, 8}, {11, 11.9}}, true},
		{"other nights only", parts{{-36, -20}, {14, 30}}, false},
		{"the evening alone", parts{{-6, 0}}, false},
		{"a part that ends before it begins", parts{{9, -6}}, false},
	} {
		var spans []fields.Span
		for _, p := range c.parts {
			spans = append(spans, night17(loc, p[0], p[1]))
		}
		if got := Covered(fields.MakeDate(2026, 9, 17), spans, loc, nil); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A night ends no earlier than sunrise where the farm says where it lies.
func TestCoveredUntilSunrise(t *testing.T) {
	day := func(y int, m time.Month, d int) fields.Date { return fields.MakeDate(y, m, d) }
	for _, c := range []struct {
		name, zone string
		night      fields.Date
		at         *Place
		end        string // local time of the last reading
		want       bool
	}{
		// Fort Nelson, 58.84 N 122.60 W: the sun rises at 09:58 MST in mid December.
		{"december, place not known", "America/Fort_Nelson", day(2026, 12, 15), nil, "08:00", true},
		{"december, before sunrise", "America/Fort_Nelson", day(2026, 12, 15), &Place{58.84, -122.60}, "09:30", false},
		{"december, after sunrise", "America/Fort_Nelson", day(2026, 12, 15), &Place{58.84, -122.60}, "10:00", true},
		{"september, long after it", "America/Fort_Nelson", day(2026, 9, 15), &Place{58.84, -122.60}, "08:00", true},
		{"september, sun up and night not over", "America/Fort_Nelson", day(2026, 9, 15), &Place{58.84, -122.60}, "07:45", false},
		// Utqiagvik: no sunrise in December and in June.
		{"polar night", "America/Anchorage", day(2026, 12, 15), &Place{71.29, -156.79}, "08:00", true},
		{"polar day", "America/Anchorage", day(2026, 6, 15), &Place{71.29, -156.79}, "08:00", true},
		// The sun comes back on about 23 January, at about 13:00: the night ends at noon.
		{"first sun, to 11:00", "America/Anchorage", day(2026, 1, 24), &Place{71.29, -156.79}, "11:00", true},
		{"first sun, to 10:30", "America/Anchorage", day(2026, 1, 24), &Place{71.29, -156.79}, "10:30", false},
		{"a place left empty", "America/Fort_Nelson", day(2026, 12, 15), &Place{}, "08:00", true},
	} {
		loc := zone(t, c.zone)
		clock, err := time.Parse("15:04", c.end)
		if err != nil {
			t.Fatal(err)
		}
		span := fields.Span{From: (c.night - 1).At(18, 0, loc), To: c.night.At(clock.Hour(), clock.Minute(), loc)}
		if got := Covered(c.night, []fields.Span{span}, loc, c.at); got != c.want {
			rise, _, what := Sun(c.night, 58.84, -122.60, loc)
			t.Errorf("%s: %v (%v %v)", c.name, got, rise, what)
		}
	}
}

func TestCoveredAcrossClockChange(t *testing.T) {
	loc := zone(t, "America/Denver")
	for _, d := range []fields.Date{fields.MakeDate(2026, 3, 8), fields.MakeDate(2026, 11, 1)} {
		from, to := (d-1).At(19, 0, loc), d.At(8, 0, loc)
		for _, c := range []struct {
			from, to time.Time
			want     bool
		}{
			{from, to, true},
			{from.Add(time.Minute), to, false},
			{from, to.Add(-time.Minute), false},
		} {
			if got := Covered(d, []fields.Span{{From: c.from, To: c.to}}, loc, nil); got != c.want {
				t.Errorf("night of %s from %s to %s: %v", d, c.from, c.to, got)
			}
		}
	}
}

// The parts of a night read in two files cover it just when the readings of both in
// one file do, and one part more never takes the cover away.
func TestPartsAddUp(t *testing.T) {
	loc := zone(t, "America/Denver")
	farm := &Place{40.6, -105.1}
	r := rand.New(rand.NewPCG(7, 7))
	covered, split := 0, 0
	for range 3000 {
		d := fields.MakeDate(2026, 10, 20).Add(r.IntN(40))
		start, end := fields.NightSpan(d, loc)
		step := time.Duration(20+r.IntN(50)) * time.Minute
		var obs []Observation
		for at := start.Add(time.Duration(r.IntN(420)) * time.Minute); at.Before(end.Add(-time.Duration(r.IntN(60)) * time.Minute)); at = at.Add(step) {
			if r.IntN(12) > 0 {
				obs = append(obs, Observation{At: at, TempC: 4, HasTemp: true})
			}
		}
		if len(obs) < 2 {
			continue
		}
		whole := NightsOf(obs, loc, farm)[0]
		cut := 1 + r.IntN(len(obs)-1)
		a, b := NightsOf(obs[:cut], loc, farm)[0], NightsOf(obs[cut:], loc, farm)[0]
		if a.Covers || b.Covers {
			if !whole.Covers {
				t.Fatalf("more readings take the cover away: %v", obs)
			}
			continue
		}
		split++
		parts := append(b.Spans, a.Spans...)
		got := Covered(d, parts, loc, farm)
		if got != whole.Covers {
			t.Fatalf("night of %s cut at %s: parts %v, whole %v (%s)", d, obs[cut].At, got, whole.Covers, whole.Uncertain)
		}
		if got {
			covered++
			more := append(parts, fields.Span{From: start.Add(-3 * time.Hour), To: start.Add(time.Duration(r.IntN(1500)) * time.Minute)})
			if !Covered(d, more, loc, farm) {
				t.Fatalf("one part more takes the cover away: %v", more)
			}
		}
	}
	if covered < 200 || split-covered < 200 {
		t.Errorf("of %d nights cut in two %d covered: the test says little", split, covered)
	}
}

func TestCoveredAllocatesNothing(t *testing.T) {
	loc := zone(t, "America/Regina")
	spans := []fields.Span{night17(loc, 0, 9), night17(loc, -6, -1)}
	at := &Place{50.4, -104.6}
	d := fields.MakeDate(2026, 9, 17)
	if n := testing.AllocsPerRun(100, func() { Covered(d, spans, loc, at) }); n > 0 {
		t.Errorf("%v allocations", n)
	}
}

// The nights of a file end with the sunrise at the farm too, and say so.
func TestNightsUntilSunrise(t *testing.T) {
	loc := zone(t, "America/Fort_Nelson")
	obs := every(time.Date(2026, 12, 14, 18, 0, 0, 0, loc), 15, time.Hour, func(float64) float64 { return 3 })
	farm := &Place{58.84, -122.60}
	if n := NightsOf(obs, loc, nil)[0]; !n.Covers || n.Spans != nil {
		t.Errorf("place not known: %+v", n)
	}
	n := NightsOf(obs, loc, farm)[0]
	if n.Covers || n.HoursBelow0 != nil || n.Uncertain != "last reading at 09:00, before sunrise at 09:58" {
		t.Errorf("covers %v, %q", n.Covers, n.Uncertain)
	}
	if len(n.Spans) != 1 || !n.Spans[0].From.Equal(obs[0].At) || !n.Spans[0].To.Equal(obs[15].At) {
		t.Errorf("parts %v", n.Spans)
	}
	res, err := CollectNights(Options{Loc: loc, Farm: farm}, func(s Sink) (*Result, error) {
		for _, o := range obs {
			s.Observe(o)
		}
		return &Result{}, nil
	})
	if err != nil || res.Nights[0].Covers {
		t.Errorf("%+v %v", res, err)
	}
	later := append(obs, Observation{At: obs[15].At.Add(time.Hour), TempC: 3, HasTemp: true})
	if n := NightsOf(later, loc, farm)[0]; !n.Covers {
		t.Errorf("to 10:00: %q", n.Uncertain)
	}
}

func BenchmarkCovered(b *testing.B) {
	loc := zone(b, "America/Regina")
	spans := []fields.Span{night17(loc, 0, 8), night17(loc, -6, -1)}
	d := fields.MakeDate(2026, 9, 17)
	for name, at := range map[string]*Place{"no place": nil, "sunrise": {50.4, -104.6}} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if !Covered(d, spans, loc, at) {
					b.Fatal("not covered")
				}
			}
		})
	}
}
