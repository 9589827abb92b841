package weather

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"rimegate/fields"
)

// linvillTemp is the night curve of Linvill t hours after sunset.
func linvillTemp(sunsetC, nextMinC, night, t float64) float64 {
	return sunsetC - (sunsetC-nextMinC)/math.Log(night)*math.Log(max(t, 1))
}

// singleSineHours returns the hours of a day below a threshold (°C) by one sine
// wave between the extremes: the yardstick that LinvillHours is measured against.
//
// G. L. Baskerville and P. Emin, "Rapid estimation of heat accumulation from
// maximum and minimum temperatures", Ecology 50:514-517, 1969 (from memory).
func singleSineHours(maxC, minC, threshold float64) float64 {
	switch {
	case threshold >= maxC:
		return 24
	case threshold <= minC:
		return 0
	}
	mean, amp := (maxC+minC)/2, (maxC-minC)/2
	return 24 * (0.5 + math.Asin((threshold-mean)/amp)/math.Pi)
}

// The curve's vector was worked out apart from this code from the equations of
// Linvill (HortScience 25:14-16, 1990).
func TestLinvillVector(t *testing.T) {
	const day = 11.0
	sunset := -3 + 17*math.Sin(math.Pi*day/(day+4))
	near(t, "sunset", sunset, 9.633, 0.0005)
	for i, want := range []float64{9.633, 6.219, 4.222, 2.805, 1.706, 0.808, 0.049, -0.609, -1.189, -1.708, -2.177, -2.606, -3.000} {
		near(t, "hour "+strconv.Itoa(i+1), linvillTemp(sunset, -3, 13, float64(i+1)), want, 0.0006)
	}
	x := Extremes{MaxC: 14, MinC: -3, NextMinC: -3, NextMaxC: 14, Rise: 6.5, Set: 17.5, NextRise: 6.5}
	h0, ok0 := LinvillHours(x, 0)
	hk, okk := LinvillHours(x, KillC)
	if !ok0 || !okk {
		t.Fatal("refused")
	}
	near(t, "hours below 0", h0, 6.777, 0.001)
	near(t, "hours below -2.2", hk, 2.174, 0.001)
}

// Integrating the curve by small steps must give what the closed form gives.
func TestLinvillAgainstSteps(t *testing.T) {
	for i, x := range []Extremes{
		{MaxC: 14, MinC: -3, NextMinC: -3, NextMaxC: 14, Rise: 6.5, Set: 17.5, NextRise: 6.5},
		{MaxC: 3, MinC: -8, NextMinC: -12, NextMaxC: 1, Rise: 8, Set: 16, NextRise: 8.02},
		{MaxC: -1, MinC: -9, NextMinC: -4, NextMaxC: 6, Rise: 7.5, Set: 16.7, NextRise: 7.48},
		{MaxC: 2, MinC: -20, NextMinC: 1.5, NextMaxC: 7, Rise: 7.2, Set: 16.9, NextRise: 7.2}, // a warming night
		{MaxC: 9, MinC: 1, NextMinC: -0.5, NextMaxC: 4, Rise: 5, Set: 20, NextRise: 5},
		{MaxC: 5, MinC: 5, NextMinC: 5, NextMaxC: 5, Rise: 6, Set: 18, NextRise: 6},
	} {
		for _, th := range []float64{-5, KillC, 0, 2} {
			got, ok := LinvillHours(x, th)
			if !ok {
				t.Fatalf("%d refused", i)
			}
			day, night := x.Set-x.Rise, 24-x.Set+x.NextRise
			sunset := x.MinC + (x.MaxC-x.MinC)*math.Sin(math.Pi*day/(day+4))
			steps, below := 48_000, 0
			for k := range steps {
				h := 12 + 24*(float64(k)+0.5)/float64(steps)
				var c float64
				switch {
				case h < x.Set:
					c = x.MinC + (x.MaxC-x.MinC)*math.Sin(math.Pi*(h-x.Rise)/(day+4))
				case h < 24+x.NextRise:
					c = linvillTemp(sunset, x.NextMinC, night, h-x.Set)
				default:
					c = x.NextMinC + (x.NextMaxC-x.NextMinC)*math.Sin(math.Pi*(h-24-x.NextRise)/(day+4))
				}
				if c < th {
					below++
				}
			}
			near(t, "case "+strconv.Itoa(i), got, 24*float64(below)/float64(steps), 0.002)
		}
	}
	for _, x := range []Extremes{
		{},
		{MaxC: 1, MinC: 2, NextMinC: 0, NextMaxC: 5, Rise: 6, Set: 18, NextRise: 6},
		{MaxC: math.NaN(), MinC: 2, NextMinC: 0, NextMaxC: 5, Rise: 6, Set: 18, NextRise: 6},
		{MaxC: 9, MinC: 2, NextMinC: 0, NextMaxC: 5, Rise: 12, Set: 12, NextRise: 12},
	} {
		if _, ok := LinvillHours(x, 0); ok {
			t.Errorf("%+v was taken", x)
		}
	}
}

type measured struct {
	site                          string
	evening                       fields.Date
	tmax, tmin, nextMax, calendar float64
	set, nextRise                 float64
	t0, td, wind                  float64
	h0, hk, h0Other, hkOther      float64
	prevMin, rise                 float64
	hasPrev                       bool
}

func loadNights(t testing.TB) []measured {
	t.Helper()
	f, err := os.Open("testdata/nights.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	var out []measured
	for _, r := range rows[1:] {
		num := func(name string) float64 {
			v, err := strconv.ParseFloat(r[col[name]], 64)
			if err != nil {
				return math.NaN()
			}
			return v
		}
		d, err := fields.ParseISODate(r[col["date_evening"]])
		if err != nil {
			t.Fatal(err)
		}
		m := measured{
			site: r[col["site"]], evening: d,
			tmax: num("tmax_d_c"), tmin: num("tmin_night_c"), calendar: num("tmin_calendar_d1_c"), nextMax: num("tmax_d1_c"),
			set: num("sunset_lst_h"), nextRise: num("sunrise_next_lst_h"),
			t0: num("t_sunset_plus2h_c"), td: num("td_sunset_plus2h_c"), wind: num("mean_night_wind_ms"),
			h0: num("hours_below_0_true"), hk: num("hours_below_m2p2_true"),
			h0Other: num("hours_below_0_linvill"), hkOther: num("hours_below_m2p2_linvill"),
		}
		if k := len(out); k > 0 && out[k-1].site == m.site && out[k-1].evening == d-1 {
			m.prevMin, m.rise, m.hasPrev = out[k-1].tmin, out[k-1].nextRise, true
		}
		out = append(out, m)
	}
	return out
}

// TestLinvillAgainstNights measures the reconstruction on real nights of the
// first- and last-frost type (highest before 7 °C or more, after 5 °C or more,
// lowest -7 °C or more) whose temperature crosses the threshold, and holds it to a
// mean absolute error of 1.5 h at 0 °C, better than the single sine.
func TestLinvillAgainstNights(t *testing.T) {
	all := loadNights(t)
	for _, th := range []float64{0, KillC} {
		var n int
		var ours, sine, other, bias float64
		var errs []float64
		for _, m := range all {
			truth, theirs := m.h0, m.h0Other
			if th != 0 {
				truth, theirs = m.hk, m.hkOther
			}
			if !m.hasPrev || m.tmax < 7 || m.nextMax < 5 || m.tmin < -7 || truth <= 0 || truth >= 24 {
				continue
			}
			x := Extremes{MaxC: m.tmax, MinC: m.prevMin, NextMinC: m.tmin, NextMaxC: m.nextMax, Rise: m.rise, Set: m.set, NextRise: m.nextRise}
			h, ok := LinvillHours(x, th)
			if !ok {
				continue
			}
			n++
			ours += math.Abs(h - truth)
			bias += h - truth
			errs = append(errs, math.Abs(h-truth))
			sine += math.Abs(singleSineHours(m.tmax, m.tmin, th) - truth)
			other += math.Abs(theirs - truth)
		}
		k := float64(n)
		t.Logf("hours below %.1f °C, %d nights: this code MAE %.2f bias %+.2f P90 %.1f | independent working-out MAE %.2f | single sine MAE %.2f",
			th, n, ours/k, bias/k, quantile(errs, 0.9), other/k, sine/k)
		if want := map[float64]int{0: 20, KillC: 5}[th]; n < want {
			t.Fatalf("only %d nights", n)
		}
		if th == 0 {
			if ours/k > 1.5 {
				t.Errorf("mean absolute error %.2f h at 0 °C, want at most 1.5", ours/k)
			}
			if p := quantile(errs, 0.9); p > ReconstructedP90 {
				t.Errorf("nine of ten nights within %.1f h, the constant says %.1f", p, ReconstructedP90)
			}
		}
		if ours >= sine {
			t.Errorf("no better than the single sine: %.2f against %.2f h", ours/k, sine/k)
		}
	}
}

func quantile(v []float64, p float64) float64 {
	s := append([]float64{}, v...)
	for i := range s { // few values: insertion sort
		for j := i; j > 0 && s[j] < s[j-1]; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
	return s[min(len(s)-1, int(p*float64(len(s))))]
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s: got %.6f, want %.6f within %g", what, got, want, tol)
	}
}
