package board

import (
	"math"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard/ration"
)

// The published line in its three forms is one ceiling: Colorado State University prints
// 5000 ppm NO3 = 0.5 %; by atomic weights that is 1129.5 ppm NO3-N and 8152.9 ppm KNO3.
func TestTargetForms(t *testing.T) {
	x := &BlendSheet{Problem: ration.Problem{Feeds: []ration.Feed{{Name: "a", DMPct: 80}, {Name: "b", DMPct: 90}}}}
	for _, c := range []struct {
		text string
		want float64
	}{
		{"0.5 % NO3 dm", 1129.5},
		{"5000 ppm NO3 dm", 1129.5},
		{"5 g/kg NO3 dm", 1129.5},
		{"0.81529 % KNO3 dm", 1129.5},
		{"1129.5 mg/kg NO3-N dm", 1129.5},
		{"0.45 % NO3 as-fed", 1129.5}, // the driest feed has 90 % dry matter
	} {
		target, err := fields.ParseNitrateTarget(c.text)
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := x.targetN(target)
		if err != nil || math.Abs(got-c.want) > 0.1 {
			t.Errorf("%s: %v, %v; want %v", c.text, got, err, c.want)
		}
	}
	x.Problem.Feeds[0].DMPct = 0
	fed := &fields.NitrateTarget{Value: 0.45, Form: "NO3", Unit: "%", AsFed: true}
	if _, _, err := x.targetN(fed); err == nil {
		t.Error("a line as fed was taken without a dry matter")
	}
}

// A 1000-lb cow at 2.6 % eats 9490 lb in a year (Texas animal unit equivalent chart), and
// 780 lb, one animal unit month, in 30 days (NRCS, via eXtension, Animal units). All of a
// herd counts as the class that takes the most; 68 L of a pair: Agriculture and Agri-Food
// Canada.
func TestHerdTime(t *testing.T) {
	const lb = 0.45359237
	head := 1.0
	for days, want := range map[int]string{
		365: "In 365 days 1 head drink at most 6,560 US gal (24,820 L), each day counted as summer, " +
			"with 0.5 lb (0.2 kg) of NO3-N in it; they eat 3.65 short tons (3.31 t) to 4.74 short tons (4.3 t) of dry matter, 12.1 AUM at most",
		30: "they eat 600 lb (272.2 kg) to 780 lb (353.8 kg) of dry matter, 1 AUM at most",
	} {
		x := herdTime{days: days}
		x.add(ration.Range{Low: 20 * lb, High: 26 * lb}, ration.Water{Litres: 68, NMgL: 10, Tested: true})
		x.add(ration.Range{Low: 25 * lb, High: 25 * lb}, ration.Water{Litres: 55, NMgL: 10, Tested: true})
		if says := x.says(US, &head, true); !strings.Contains(says, want) {
			t.Errorf("%s\nwant %s", says, want)
		}
	}
	x := herdTime{days: 30}
	x.add(ration.Range{Low: 9, High: 11}, ration.Water{Litres: 68})
	if says := x.says(Metric, &head, false); !strings.Contains(says, "its nitrate is not known") {
		t.Error(says)
	}
	if says := x.says(Metric, nil, false); !strings.Contains(says, "nobody said how many head") {
		t.Error(says)
	}
	if got := aum(780 * lb); got != "1" {
		t.Errorf("780 lb are %s AUM", got)
	}
}
