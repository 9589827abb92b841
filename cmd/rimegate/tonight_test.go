package main

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

// metarNights writes hourly reports of calm, clear nights that cool from 20:00
// farm time (UTC-6) along a square root to low = 0.8 x temperature + 0.2 x dew
// point - 6.
func metarNights(first time.Time, nights int) string {
	word := func(c float64) string {
		r := int(math.Round(c))
		if r < 0 {
			return fmt.Sprintf("M%02d", -r)
		}
		return fmt.Sprintf("%02d", r)
	}
	tenths := func(c float64) string {
		sign := 0
		if c < 0 {
			sign = 1
		}
		return fmt.Sprintf("%d%03d", sign, int(math.Round(math.Abs(c)*10)))
	}
	var b strings.Builder
	for i := 0; i < nights; i++ {
		t0, dew := 4+float64(i%5), -3+float64(i%3)*2
		low := 0.8*t0 + 0.2*dew - 6
		for h := 0; h < 24; h++ { // from noon
			at := first.AddDate(0, 0, i).Add(time.Duration(h) * time.Hour)
			c := t0 + 10 - 10*float64(h)/8
			if h >= 8 {
				c = t0 + (low-t0)*math.Sqrt(math.Min(float64(h-8), 11)/11)
			}
			if h > 20 {
				c = low + 3*float64(h-20)
			}
			fmt.Fprintf(&b, "METAR XTST %sZ 00000KT 10SM CLR %s/%s A3010 RMK AO2 T%s%s\n", at.UTC().Format("021504"), word(c), word(dew), tenths(c), tenths(dew))
		}
	}
	return b.String()
}

func TestTonightFromTheEvening(t *testing.T) {
	smallFarm(t)
	if err := os.WriteFile("home.metar", []byte(metarNights(time.Date(2026, 9, 20, 18, 0, 0, 0, time.UTC), 15)), 0o600); err != nil {
		t.Fatal(err)
	}
	ask := []string{"tonight", "--station", "home", "--sunset-temp", "5C", "--dew", "-2C", "--history", "home.metar", "--month", "2026-09"}
	status, _, errOut := invoke(t, ask...)
	if status != statusWords || !strings.Contains(errOut, "sunset is not known") {
		t.Fatalf("without a place: status %d, %q", status, errOut)
	}
	if status, _, errOut := invoke(t, "station", "set", "--lat", "50.4", "--lon", "-105.5", "home"); status != statusDone {
		t.Fatalf("%d %q", status, errOut)
	}
	if status, _, errOut := invoke(t, ask[:len(ask)-2]...); status != statusWords || !strings.Contains(errOut, "--history: home.metar: --month: the reports say the day of the month, but no month or year") {
		t.Errorf("without the month: %d %q", status, errOut)
	}
	status, out, errOut := invoke(t, ask...)
	text := strings.Join(strings.Fields(out), " ")
	// Two hours after sunset is nearest to 21:00, when 0.3015 of the way is gone:
	// 5 °C then was 7.37 °C at 20:00, and 0.8 x 7.37 - 0.2 x 2 - 6 = -0.5.
	if status != statusDone || !strings.Contains(text, "Own forecast for home: -0.5 °C (31.1 °F)") || !strings.Contains(text, "calm, clear nights (") || !strings.Contains(text, "each of them forecast from the others, the error is ") || !strings.Contains(text, "in 100 that it reaches 0 °C") || !strings.Contains(text, "The sun sets at 18:2") {
		t.Fatalf("status %d, %q\n%s", status, errOut, out)
	}
	if !strings.Contains(text, "Nothing is stored") {
		t.Errorf("%s", out)
	}
	// 5 nights are too few.
	if err := os.WriteFile("home.metar", []byte(metarNights(time.Date(2026, 9, 28, 18, 0, 0, 0, time.UTC), 5)), 0o600); err != nil {
		t.Fatal(err)
	}
	status, _, errOut = invoke(t, ask...)
	if status != statusWords || !strings.Contains(errOut, "at least 8") {
		t.Errorf("status %d, %q", status, errOut)
	}
}
