package weather

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// frostDays are three clear days at 40 N 105 W with a low of -3 °C and a high of
// 14 °C each: the night between them is the vector of TestLinvillVector, but for
// the sun's own hours.
func frostDays(end float64) *DailyLows {
	var l DailyLows
	d := fields.MakeDate(2025, 10, 14)
	for i, low := range []float64{-1, -3, -2.5} {
		l.Add(Daily{Day: d.Add(i), MinC: low, HasC: true, EndHour: end})
		l.AddMax(d.Add(i), 14, end)
	}
	l.AddMax(d.Add(3), 14, end)
	return &l
}

// lacks is a list without one date.
func lacks[T dated](all []T, day fields.Date) []T {
	return slices.DeleteFunc(all, func(v T) bool { return v.date() == day })
}

func rebuiltAt(t *testing.T, l *DailyLows, night fields.Date, place *Place) (*Rebuilt, *Result) {
	t.Helper()
	var res Result
	l.Into(&res, nil, Options{Place: place, Loc: time.FixedZone("MST", -7*3600)})
	for i := range res.Nights {
		if res.Nights[i].Night == night {
			return res.Nights[i].Rebuilt, &res
		}
	}
	t.Fatalf("the night of %s is not there", night)
	return nil, nil
}

// The hours are those of the curve between the right extremes and the sun's rise
// and set: 06:10.9 and 17:19.8 on 15 October (Meeus, worked out apart from this
// code), a minute or two otherwise on the days beside it.
func TestRebuiltHours(t *testing.T) {
	at := &Place{40, -105}
	night := fields.MakeDate(2025, 10, 15)
	for _, end := range []float64{7, 24, 30} {
		r, res := rebuiltAt(t, frostDays(end), night, at)
		if r == nil {
			t.Fatalf("day ends at %v: no hours; %v", end, res.Notes)
		}
		x := Extremes{MaxC: 14, MinC: -1, NextMinC: -3, NextMaxC: 14, Rise: 6.18, Set: 17.35, NextRise: 6.18}
		want, _ := LinvillHours(x, FreezingC+Tolerance)
		kill, _ := LinvillHours(x, KillC+Tolerance)
		near(t, "hours at 0", r.Below0, want, 0.12)
		near(t, "hours at -2.2", r.BelowKill, kill, 0.12)
		notes := strings.Join(res.Notes, "\n")
		for _, say := range []string{"reconstructed, not measured", "40.00 N 105.00 W as the station or farm is set", "about 3 h on nine of ten nights of a first or last frost", "about 7 h in steady cold", "tell too many", "confirm no kill and change no flag"} {
			if !strings.Contains(notes, say) {
				t.Errorf("%q is not said in %s", say, notes)
			}
		}
		for _, n := range res.Nights {
			if n.HoursBelow0 != nil || n.HoursBelowKill != nil {
				t.Errorf("reconstructed hours stand as measured ones: %+v", n)
			}
		}
		for _, e := range ToReadings(res.Nights, "home", "x.csv") {
			if e.HoursBelow0 != nil || e.HoursBelowKill != nil {
				t.Errorf("the journal would hold them as measured: %+v", e)
			}
			got, ok := FindRebuilt(e.Source)
			if ok != (e.Night == night) && end != 7 {
				t.Errorf("%s: %q", e.Night, e.Source)
			}
			if e.Night == night && (!ok || got != *r) {
				t.Errorf("%q read back as %v, want %v", e.Source, got, *r)
			}
		}
	}
}

// Whatever is not sure of its night, its hours or its neighbours has no hours.
func TestNothingRebuiltOnDoubt(t *testing.T) {
	at := &Place{40, -105}
	d := fields.MakeDate(2025, 10, 14)
	night := d + 1
	change := func(end float64, f func(*Daily)) *DailyLows {
		l := frostDays(end)
		f(&of(l.days, night).Daily)
		return l
	}
	for name, l := range map[string]*DailyLows{
		"lagged":                         change(7, func(x *Daily) { x.Lagged = true }),
		"of part of the day":             change(7, func(x *Daily) { x.Partial = true }),
		"estimated":                      change(7, func(x *Daily) { x.Rough = true }),
		"with a doubt noted":             change(7, func(x *Daily) { x.Note = "odd" }),
		"a sign alone":                   change(7, func(x *Daily) { x.HasC, x.Below = false, true }),
		"hour of observation not said":   frostDays(EndUnknown),
		"read in the afternoon":          frostDays(17),
		"read at six in the evening":     frostDays(18),
		"read at another hour than next": change(8, func(x *Daily) { x.EndHour = 7 }),
		"next low as low, late day":      func() *DailyLows { l := frostDays(24); of(l.days, night+1).MinC = of(l.days, night).MinC; return l }(),
		"night not covered": func() *DailyLows {
			l := frostDays(24)
			of(l.days, d).Daily = Daily{Day: d, MinC: -5, HasC: true, EndHour: 24}
			return l
		}(),
		"day before lagged": func() *DailyLows {
			l := frostDays(7)
			of(l.days, d).Daily = Daily{Day: d, MinC: -1, HasC: true, EndHour: 7, Lagged: true}
			return l
		}(),
		"two lows of one date": func() *DailyLows {
			l := frostDays(7)
			l.Add(Daily{Day: night, MinC: -4, HasC: true, EndHour: 7})
			return l
		}(),
		"two highs of one date":          func() *DailyLows { l := frostDays(7); l.AddMax(night, 15, 7); return l }(),
		"low of the day before missing":  func() *DailyLows { l := frostDays(7); l.days = lacks(l.days, d); return l }(),
		"high of the day before missing": func() *DailyLows { l := frostDays(7); l.maxes = lacks(l.maxes, night); return l }(),
		"high of the day after missing":  func() *DailyLows { l := frostDays(7); l.maxes = lacks(l.maxes, night+1); return l }(),
		"high below its low": func() *DailyLows {
			l := frostDays(7)
			*of(l.maxes, night) = dayMax{day: night, c: -9, end: 7}
			return l
		}(),
		"high of another hour": func() *DailyLows {
			l := frostDays(7)
			*of(l.maxes, night) = dayMax{day: night, c: 14, end: 18}
			return l
		}(),
	} {
		if r, _ := rebuiltAt(t, l, night, at); r != nil {
			t.Errorf("%s: %v", name, *r)
		}
	}
	if r, _ := rebuiltAt(t, frostDays(7), night, at); r == nil {
		t.Fatal("the undoubted night has none either: this test proves nothing")
	}
	for name, p := range map[string]*Place{"no place": nil, "a form left empty": {}, "no place on Earth": {140, 10}, "polar night": {89, -105}} {
		r, res := rebuiltAt(t, frostDays(7), night, p)
		if r != nil {
			t.Errorf("%s: %v", name, *r)
		}
		if len(res.Notes) == 0 {
			t.Errorf("%s: nothing said", name)
		}
	}
	// A mild night has no freezing hours to tell.
	var mild DailyLows
	for i := range 4 {
		mild.Add(Daily{Day: d.Add(i), MinC: 3 + float64(i), HasC: true, EndHour: 7})
		mild.AddMax(d.Add(i), 14, 7)
	}
	if r, res := rebuiltAt(t, &mild, night, at); r != nil || len(res.Notes) > 0 {
		t.Errorf("a mild night: %v %v", r, res.Notes)
	}
}

// What people type into a source is never taken for hours by halves.
func TestFindRebuilt(t *testing.T) {
	r := Rebuilt{6.8, 2.2}
	if got, ok := FindRebuilt("home.csv (ECCC daily); " + r.Words()); !ok || got != r {
		t.Errorf("%v %v", got, ok)
	}
	for _, s := range []string{"", "6.8 hours", "hours reconstructed", strings.ReplaceAll(r.Words(), "6.8", "666.8"), strings.ReplaceAll(r.Words(), "2.2 at", "two at")} {
		if got, ok := FindRebuilt(s); ok {
			t.Errorf("%q: %v", s, got)
		}
	}
}

// The error given for steady cold, on every night of the table that crosses 0 °C.
func TestReconstructedP90All(t *testing.T) {
	var errs []float64
	for _, m := range loadNights(t) {
		if !m.hasPrev || m.h0 <= 0 || m.h0 >= 24 {
			continue
		}
		x := Extremes{MaxC: m.tmax, MinC: m.prevMin, NextMinC: m.tmin, NextMaxC: m.nextMax, Rise: m.rise, Set: m.set, NextRise: m.nextRise}
		if h, ok := LinvillHours(x, 0); ok {
			errs = append(errs, math.Abs(h-m.h0))
		}
	}
	p := quantile(errs, 0.9)
	t.Logf("%d nights that cross 0 °C: nine of ten within %.1f h", len(errs), p)
	if len(errs) < 100 {
		t.Fatalf("only %d nights", len(errs))
	}
	if p > ReconstructedP90All+1e-9 {
		t.Errorf("nine of ten within %.1f h, the constant says %.1f", p, ReconstructedP90All)
	}
}
