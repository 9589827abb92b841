package weather

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
)

// Fifteen autumns at Chicago (2001-2015, NOAA daily data as carried by the R
// package modeldata 1.1.0): day of the year, on a 365-day scale, of the first low
// at or below 28 °F. Mean, spread and quantiles were worked out apart from this code.
var chicago = []int{297, 307, 310, 312, 314, 316, 316, 317, 320, 320, 321, 325, 329, 338, 343}

func frosts(daysOfYear []int) []Season {
	out := make([]Season, len(daysOfYear))
	for i, d := range daysOfYear {
		out[i] = Season{Year: 2001 + i, Outcome: Frost, Day: d - 182} // 1 July is day 182
	}
	return out
}

func TestOddsVector(t *testing.T) {
	o, err := FitOdds(frosts(chicago))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", o.Mean+182, 319.0, 0.05)
	near(t, "spread", o.SD, 11.6, 0.05)
	date := func(day float64, ok bool) string {
		if !ok {
			return "never"
		}
		return SeasonDate(2015, int(math.Round(day))).String()[5:]
	}
	for p, want := range map[float64]string{0.1: "10-31", 0.5: "11-15", 0.9: "11-30"} {
		if got := date(o.Quantile(p)); got != want {
			t.Errorf("fitted %.0f %%: %s, want %s", 100*p, got, want)
		}
	}
	for p, want := range map[float64]string{0.1: "10-30", 0.5: "11-13", 0.9: "12-06"} {
		if got := date(o.EmpiricalQuantile(p)); got != want {
			t.Errorf("counted %.0f %%: %s, want %s", 100*p, got, want)
		}
	}
	near(t, "error of the 10 % date", o.QuantileError(0.1), 4, 0.2)
	if _, ok := o.EmpiricalQuantile(0.01); ok {
		t.Error("fifteen seasons cannot say one in a hundred")
	}
}

func TestOddsConditional(t *testing.T) {
	o, err := FitOdds(append(frosts(chicago), Season{Year: 2016, Outcome: NoFrost, Day: 183}))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "never", o.Never, 1.0/16, 1e-12)
	day := 316 - 182
	got, want := o.Within(day, 7), (o.By(day+7)-o.By(day))/(1-o.By(day))
	near(t, "conditional", got, want, 1e-12)
	// Counted: after day 316 nine of sixteen seasons are without frost; 317, 320,
	// 320, 321 fall within seven days: four of nine.
	c, n := o.EmpiricalWithin(day, 7)
	if n != 9 {
		t.Errorf("%d seasons at risk", n)
	}
	near(t, "counted", c, 4.0/9, 1e-12)
	if _, ok := o.Quantile(0.95); ok {
		t.Error("one season in sixteen has no frost, so 95 % never come")
	}
	if _, err := FitOdds(frosts(chicago[:4])); err == nil {
		t.Error("four seasons were taken")
	}
	if c, n := o.EmpiricalWithin(400, 3); n != 1 || c != 0 {
		t.Errorf("past every frost: %v of %d", c, n)
	}
}

// Seasons cut short push the fit later than leaving them out, and one cut before
// any frost could come changes nothing.
func TestOddsCensored(t *testing.T) {
	base, err := FitOdds(frosts(chicago))
	if err != nil {
		t.Fatal(err)
	}
	late, err := FitOdds(append(frosts(chicago), Season{Year: 2020, Outcome: Cut, Day: 325 - 182}))
	if err != nil {
		t.Fatal(err)
	}
	early, err := FitOdds(append(frosts(chicago), Season{Year: 2020, Outcome: Cut, Day: 31}))
	if err != nil {
		t.Fatal(err)
	}
	if late.Mean <= base.Mean+0.3 {
		t.Errorf("a season without frost to day 325 moves the mean from %.2f to %.2f", base.Mean, late.Mean)
	}
	near(t, "a season cut in August", early.Mean, base.Mean, 1e-6)
	near(t, "its spread", early.SD, base.SD, 1e-6)
	// The maximum of the likelihood, by the slope at it.
	ll := func(m, s float64) float64 {
		v := 0.0
		for _, d := range chicago {
			z := (float64(d-182) - m) / s
			v += -math.Log(s) - z*z/2
		}
		return v + math.Log(0.5*math.Erfc((float64(325-182)-m)/s/math.Sqrt2))
	}
	sd := late.SD * math.Sqrt(14.0/15) // without the widening
	at := ll(late.Mean, sd)
	for _, h := range []float64{-0.05, 0.05} {
		if ll(late.Mean+h, sd) > at || ll(late.Mean, sd+h) > at {
			t.Errorf("the likelihood is higher beside the fit (%.3f, %.3f)", late.Mean, late.SD)
		}
	}
}

func TestSeasonsOf(t *testing.T) {
	mk := func(year int, month time.Month, day int, c float64, covers bool) NightLow {
		return NightLow{Night: fields.MakeDate(year, month, day), LowC: &c, Covers: covers}
	}
	var nights []NightLow
	fill := func(year int, from, to fields.Date) {
		for d := from; d <= to; d++ {
			y, m, dd := d.Civil()
			nights = append(nights, mk(y, m, dd, 8, true))
		}
		_ = year
	}
	d := fields.MakeDate
	fill(2001, d(2001, 8, 1), d(2001, 9, 20))
	nights = append(nights, mk(2001, 9, 21, -0.5, false)) // a partial night shows a frost all the same
	fill(2002, d(2002, 8, 1), d(2002, 12, 31))            // complete, none
	fill(2003, d(2003, 8, 1), d(2003, 9, 10))             // breaks off
	nights = append(nights, mk(2003, 11, 1, -3, true))    // a frost long after the gap says nothing of the first
	fill(2004, d(2004, 8, 1), d(2004, 9, 4))
	fill(2004, d(2004, 9, 8), d(2004, 10, 2)) // three nights missing are borne
	nights = append(nights, mk(2004, 10, 3, -1, true))
	nights = append(nights, mk(2005, 10, 3, -1, true)) // nothing before it was read
	for d0 := d(2006, 8, 1); d0 <= d(2006, 12, 31); d0++ {
		y, m, dd := d0.Civil()
		nights = append(nights, mk(y, m, dd, 9, false)) // mild but never read throughout
	}
	got := SeasonsOf(nights, 0)
	want := []Season{
		{2001, Frost, d(2001, 9, 21).Sub(d(2001, 7, 1))},
		{2002, NoFrost, 183},
		{2003, Cut, d(2003, 9, 10).Sub(d(2003, 7, 1))},
		{2004, Frost, d(2004, 10, 3).Sub(d(2004, 7, 1))},
	}
	if len(got) != len(want) {
		t.Fatalf("seasons %+v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("season %+v, want %+v", got[i], want[i])
		}
	}
	y, day := SeasonDay(d(2003, 3, 1))
	if y != 2002 || SeasonDate(y, day) != d(2003, 3, 1) {
		t.Errorf("1 March 2003 is day %d of %d", day, y)
	}
}

// Chances stay chances and grow with the days.
func TestOddsProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s []Season
		for i := range rapid.IntRange(MinSeasons, 40).Draw(t, "n") {
			s = append(s, Season{Year: 1980 + i, Outcome: Frost, Day: rapid.IntRange(40, 200).Draw(t, "day")})
		}
		for range rapid.IntRange(0, 10).Draw(t, "cuts") {
			s = append(s, Season{Outcome: Cut, Day: rapid.IntRange(31, 183).Draw(t, "cut")})
		}
		o, err := FitOdds(s)
		if err != nil {
			t.Fatal(err)
		}
		last := 0.0
		for d := 30; d < 260; d += 3 {
			p := o.By(d)
			w := o.Within(d, 7)
			if !(p >= last-1e-12) || p > 1 || !(w >= 0 && w <= 1) {
				t.Fatalf("day %d: by %v (before %v), within %v", d, p, last, w)
			}
			if c, n := o.EmpiricalWithin(d, 7); n > 0 && !(c >= 0 && c <= 1) {
				t.Fatalf("day %d: counted %v of %d", d, c, n)
			}
			last = p
		}
	})
}
