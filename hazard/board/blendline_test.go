package board

import (
	"math"
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
