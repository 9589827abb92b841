package weather

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
)

func pairs(n int, f func(i int) (station, paddock float64)) []Pair {
	out := make([]Pair, n)
	for i := range out {
		s, p := f(i)
		out[i] = Pair{fields.MakeDate(2026, 8, 1).Add(i), s, p}
	}
	return out
}

// The levels are those of the sign test's table: dropping none of six values
// leaves 96.9 %, one of eight 93.0 % (so none is dropped there: 99.2 %), one of
// nine 96.1 %. They are 1-2*P(X<=k) of a binomial with p = 1/2.
func TestSignRanks(t *testing.T) {
	for n, want := range map[int]struct {
		k     int
		level float64
	}{6: {0, 0.96875}, 8: {0, 0.9921875}, 9: {1, 0.9609375}, 20: {5, 0.9586105}} {
		k, level := signRanks(n)
		if k != want.k {
			t.Errorf("n %d: %d left off, want %d", n, k, want.k)
		}
		near(t, "level", level, want.level, 1e-6)
	}
}

func TestOffsetFromPairs(t *testing.T) {
	// A hollow 3 °C colder, give or take, with one night in seven far off.
	got, err := FitOffset(pairs(21, func(i int) (float64, float64) {
		s := float64(i%9) - 2
		wobble := 0.4 * math.Sin(float64(i)*1.7)
		if i%7 == 3 {
			return s, s + 9
		}
		return s, s - 3 + wobble
	}))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "middle", got.MedianC, -3, 0.25)
	if got.LowC > -3 || got.HighC < -3 || got.HighC > -2.4 {
		t.Errorf("interval %.2f to %.2f", got.LowC, got.HighC)
	}
	near(t, "slope", got.Slope, 1, 0.15)
	if got.Cautious() != got.LowC || got.Level < 0.95 {
		t.Errorf("%+v", got)
	}
	near(t, "line at 2 °C", got.At(2), -3, 0.4)
}

func TestOffsetRefuses(t *testing.T) {
	if _, err := FitOffset(pairs(5, func(i int) (float64, float64) { return float64(i), float64(i) })); err == nil {
		t.Error("five nights were taken")
	}
	if _, err := FitOffset(pairs(20, func(int) (float64, float64) { return math.NaN(), 1 })); err == nil {
		t.Error("nights that are no numbers were taken")
	}
	flat, err := FitOffset(pairs(8, func(i int) (float64, float64) { return 3, float64(i) }))
	if err != nil || flat.Slope != 1 || !math.IsInf(flat.SlopeHigh, 1) {
		t.Errorf("a station that never changes: %+v, %v", flat, err)
	}
	warm, err := FitOffset(pairs(12, func(i int) (float64, float64) { return float64(i), float64(i) + 2 }))
	if err != nil || warm.Cautious() != 0 {
		t.Errorf("a paddock warmer than its station: %+v, %v", warm, err)
	}
}

// Sen's example of the principle: the slope does not move when fewer than some
// 29 % of the nights go wrong, and shifting every paddock low shifts the offset by
// as much.
func TestOffsetProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(10, 40).Draw(t, "n")
		slope := rapid.Float64Range(0.5, 1.5).Draw(t, "slope")
		base := pairs(n, func(i int) (float64, float64) {
			s := float64(i*7%n) / 2
			return s, slope*s - 2
		})
		bad := append([]Pair{}, base...)
		for i := range n / 5 {
			bad[i*4].PaddockC = rapid.Float64Range(-30, 30).Draw(t, "wrong")
		}
		a, err1 := FitOffset(base)
		b, err2 := FitOffset(bad)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if math.Abs(a.Slope-slope) > 1e-9 {
			t.Fatalf("slope %v came back as %v", slope, a.Slope)
		}
		if math.Abs(b.Slope-slope) > 0.5 {
			t.Fatalf("a fifth wrong moved the slope from %v to %v", slope, b.Slope)
		}
		moved := append([]Pair{}, base...)
		for i := range moved {
			moved[i].PaddockC -= 1.5
		}
		c, err := FitOffset(moved)
		if err != nil || math.Abs(c.MedianC-a.MedianC+1.5) > 1e-9 || math.Abs(c.LowC-a.LowC+1.5) > 1e-9 {
			t.Fatalf("shifted: %+v against %+v", c, a)
		}
	})
}

func TestPairsJoin(t *testing.T) {
	d := fields.MakeDate(2026, 9, 1)
	low := func(day int, c float64, covers bool) NightLow {
		return NightLow{Night: d.Add(day), LowC: &c, Covers: covers}
	}
	st := []NightLow{low(0, 4, true), low(1, 2, true), low(2, 1, false), low(3, 0, true)}
	pd := []NightLow{low(0, 2, true), low(1, 0, false), low(2, -2, true), low(3, -3, true), low(4, 0, true)}
	got := Pairs(st, pd, func(x fields.Date) bool { return x != d })
	if len(got) != 1 || got[0].Night != d.Add(3) || got[0].PaddockC != -3 {
		t.Errorf("%+v", got)
	}
	if len(Pairs(st, pd, nil)) != 2 {
		t.Error("without a choice all covered nights count")
	}
}

func TestRadiationNight(t *testing.T) {
	set := time.Date(2026, 9, 15, 1, 0, 0, 0, time.UTC)
	rise := set.Add(11 * time.Hour)
	night := func(wind *float64, lowHour int) []Observation {
		var out []Observation
		for h := -4; h <= 13; h++ {
			c := 15 - 1.2*float64(h+4)
			if h > lowHour {
				c = 15 - 1.2*float64(lowHour+4) + float64(h-lowHour)
			}
			out = append(out, Observation{At: set.Add(time.Duration(h) * time.Hour), TempC: c, HasTemp: true, WindMS: wind})
		}
		return out
	}
	calm, windy := 0.8, 5.0
	for _, c := range []struct {
		name       string
		obs        []Observation
		yes, known bool
	}{
		{"calm, low at dawn", night(&calm, 11), true, true},
		{"windy", night(&windy, 11), false, true},
		{"calm, low at midnight", night(&calm, 4), false, true},
		{"no wind, large fall", night(nil, 11), true, true},
		{"no readings", nil, false, false},
	} {
		yes, known := RadiationNight(c.obs, set, rise)
		if yes != c.yes || known != c.known {
			t.Errorf("%s: %v, %v", c.name, yes, known)
		}
	}
}
