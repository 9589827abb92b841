package weather

import (
	"testing"
	"time"

	"rimegate/fields"
)

// Meeus, Astronomical Algorithms, 2nd ed. 1998, examples 25.a and 28.b: 13 October
// 1992, 0h TD (JDE 2448908.5).
func TestSolarPosition(t *testing.T) {
	long, decl, eq := solar(2448908.5)
	near(t, "apparent longitude", long, 199.909, 0.0006)
	near(t, "declination", decl, -7.785, 0.0005)
	near(t, "equation of time", eq, 13.711, 0.002)
}

func TestSunriseAndSunset(t *testing.T) {
	mst := time.FixedZone("MST", -7*3600)
	rise, set, ok := Sun(fields.MakeDate(2025, 10, 15), 40, -105, mst)
	if !ok {
		t.Fatal("the sun stays where it is")
	}
	clock := func(x time.Time) float64 { return float64(x.Hour()*60+x.Minute()) + float64(x.Second())/60 }
	near(t, "rise", clock(rise), 6*60+10.9, 0.1)
	near(t, "set", clock(set), 17*60+19.8, 0.1)
	// The nights' table was worked out apart from this code.
	for _, m := range loadNights(t) {
		if m.site != "YKA" {
			continue
		}
		pst := time.FixedZone("PST", -8*3600)
		_, set, _ := Sun(m.evening, 50.70, -120.45, pst)
		rise, _, _ := Sun(m.evening+1, 50.70, -120.45, pst)
		near(t, m.evening.String()+" set", clock(set)/60, m.set, 0.06)
		near(t, m.evening.String()+" rise", clock(rise)/60, m.nextRise, 0.06)
	}
}

func TestSunWhereItStays(t *testing.T) {
	utc := time.UTC
	if _, _, ok := Sun(fields.MakeDate(2025, 6, 21), 75, 20, utc); ok {
		t.Errorf("midsummer at 75 N")
	}
	if _, _, ok := Sun(fields.MakeDate(2025, 12, 21), 75, 20, utc); ok {
		t.Errorf("midwinter at 75 N")
	}
	if _, _, ok := Sun(fields.MakeDate(2025, 12, 21), -75, 20, utc); ok {
		t.Errorf("midsummer at 75 S")
	}
}

// Every sunrise and sunset must be on the date asked, rise before set, whatever
// the zone and longitude.
func TestSunDates(t *testing.T) {
	for _, c := range []struct {
		zone     string
		lat, lon float64
	}{
		{"America/Regina", 50.4, -104.6},
		{"Pacific/Apia", -13.8, -171.8},
		{"Pacific/Auckland", -37, 174.8},
		{"Australia/Perth", -32, 115.9},
		{"America/St_Johns", 47.6, -52.7},
		{"Pacific/Kiritimati", 1.9, -157.4},
	} {
		loc, err := fields.LoadZone(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		for d := fields.MakeDate(2025, 1, 1); d < fields.MakeDate(2026, 1, 1); d += 7 {
			rise, set, ok := Sun(d, c.lat, c.lon, loc)
			if !ok || fields.DateOf(rise, loc) != d || fields.DateOf(set, loc) != d || !rise.Before(set) {
				t.Errorf("%s %s: %v to %v", c.zone, d, rise, set)
			}
		}
	}
}
