package board

import (
	"strconv"
	"strings"
	"testing"

	"rimegate/hazard"
)

// In US units a limit is rounded to the cautious side, and no figure is rounded
// across the line it was held against.
func TestWholeUnitsStayOnTheirSide(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{US.atLeast(60.96), "24 in"}, // 24 in exactly
		{US.atLeast(61), "24 in"},    // 24.02 in, which 24 in meet by the slack
		{US.atLeast(76), "30 in"},
		{Metric.atLeast(61), "61 cm"},
		{US.height(60.96, 61), "24 in"},
		{US.height(63.4, 61), "25 in"}, // 24.96 in passes
		{few(17160.8), "17,200"},
		{few(1150.6), "1,150"},
		{few(999.4), "999"},
		{few(8.04), "8"},
		{US.height(62.3, 61), "25 in"}, // 24.5 in passes, and 24 would not
		{US.height(75.9, 76), "30 in"}, // by the slack
		{US.height(75.6, 76), "29 in"}, // 29.76 in falls short, and 30 would not
		{US.height(15, 76), "6 in"},
		{Metric.height(75.96, 76), "75.96 cm"},
		{Metric.height(40.2, 76), "40.2 cm"},
		{US.cutAt(10), "4 in"}, // as the rule takes it
		{US.lowIn(0.2, 2.2), "33 °F (0.2 °C)"},
		{US.lowIn(0, 2.2), "32 °F (0 °C)"},
		{US.lowIn(-0.2, 0), "32 °F (-0.2 °C)"},
		{US.lowIn(2.19, 2.2), "36 °F (2.2 °C)"},
		{US.lowIn(4.4, 4.4), "40 °F (4.4 °C)"},
		{US.lowIn(-3, 0), "27 °F (-3 °C)"},
		{Metric.lowIn(1.5, 2.2), "1.5 °C (34.7 °F)"},
		{US.line(2.2), "36 °F (2.2 °C)"},
		{US.line(4.4), "40 °F (4.4 °C)"},
		{US.line(0), "32 °F (0 °C)"},
		{US.line(-4.4), "25 °F (-4.4 °C)"},
		{Metric.line(2), "2 °C (35.6 °F)"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
	// The side is kept wherever the two stand.
	for cm := 10.0; cm < 100; cm += 0.05 {
		for _, limit := range []float64{30, 45.72, 46, 60.96, 61, 76, 91} {
			if v, l := inches(t, US.height(cm, limit)), inches(t, US.atLeast(limit)); (v < l) != (cm < limit-hazard.HeightSlack) {
				t.Errorf("%v cm against %v cm reads %v against %v in", cm, limit, v, l)
			}
		}
	}
}

func inches(t *testing.T, s string) float64 {
	t.Helper()
	v, ok := strings.CutSuffix(s, " in")
	n, err := strconv.ParseFloat(v, 64)
	if !ok || err != nil {
		t.Fatal(s)
	}
	return n
}
