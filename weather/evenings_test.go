package weather

import (
	"math"
	"testing"
	"time"

	"rimegate/fields"
)

// night makes hourly readings of one night that falls from t0, two hours after
// sunset, to low at sunrise.
func nightReadings(d fields.Date, loc *time.Location, t0, dew, low, wind float64) []Observation {
	var out []Observation
	for h := 0; h < 24; h++ {
		at := (d - 1).At(12, 0, loc).Add(time.Duration(h) * time.Hour)
		temp := t0 + 12 - 3*math.Abs(float64(h)-3)
		if h >= 8 { // 20:00 farm time is two hours after an October sunset there
			temp = t0 + (low-t0)*math.Sqrt(math.Min(float64(h-8), 11)/11)
		}
		if h > 20 {
			temp = low + 4*float64(h-20)
		}
		out = append(out, Observation{At: at, TempC: temp, HasTemp: true, DewC: &dew, WindMS: &wind})
	}
	return out
}

// Calm nights are learned from, windy ones and those without dew point are not,
// and the rule they were made by is found again.
func TestEvenings(t *testing.T) {
	loc := time.FixedZone("farm", -6*3600)
	var obs []Observation
	d := fields.MakeDate(2026, 10, 1)
	rule := func(t0, dew float64) float64 { return 0.7*t0 + 0.4*dew - 6 }
	for i := 0; i < 12; i++ {
		t0, dew := 3+float64(i%5), -4+float64(i%3)*1.5
		obs = append(obs, nightReadings(d.Add(i), loc, t0, dew, rule(t0, dew), 0.5)...)
	}
	calm := Evenings(obs, 50.4, -105.5, loc)
	if len(calm) != 12 {
		t.Fatalf("%d of 12 calm nights found", len(calm))
	}
	m, err := FitMinimum(calm)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := m.Low(5, -1), rule(5, -1); math.Abs(got-want) > 0.6 {
		t.Errorf("low %v, the rule says %v", got, want)
	}
	windy := nightReadings(d.Add(20), loc, 4, -2, -3, 6)
	if n := len(Evenings(windy, 50.4, -105.5, loc)); n != 0 {
		t.Errorf("a windy night is learned from")
	}
	dry := nightReadings(d.Add(30), loc, 4, -2, -3, 0.5)
	for i := range dry {
		dry[i].DewC = nil
	}
	if n := len(Evenings(dry, 50.4, -105.5, loc)); n != 0 {
		t.Errorf("a night without dew point is learned from")
	}
	if Evenings(nil, 50.4, -105.5, loc) != nil {
		t.Error("nights out of nothing")
	}
}
