package board

import (
	"strings"
	"testing"

	"rimegate/weather"
)

// Seven nights with differences of -1, -1.5, ..., -4 °C: the middle one is -2.5;
// with seven the whole range holds it (1 - 2/2^7 = 98.4 %).
func TestOffsetWords(t *testing.T) {
	h := farmHistory(t)
	var pairs []weather.Pair
	for i := 0; i < 7; i++ {
		c := float64(i*3%7) + 2
		pairs = append(pairs, weather.Pair{Night: day("2026-09-01").Add(i), StationC: c, PaddockC: c - 1 - float64(i)/2})
	}
	text := func(calm bool, set *float64) string {
		t.Helper()
		x, err := NewOffsetSheet(h, "north-slough", "yard", pairs, calm, set)
		if err != nil {
			t.Fatal(err)
		}
		if x.Cautious() != -4 {
			t.Errorf("to set: %v", x.Cautious())
		}
		var b strings.Builder
		if err := x.Text(&b, 80); err != nil {
			t.Fatal(err)
		}
		return strings.Join(strings.Fields(b.String()), " ")
	}
	got := text(true, nil)
	for _, want := range []string{
		"North Slough against Yard: 7 nights read in both, from Tue 1 Sep through Mon 7 Sep",
		"The middle difference, paddock minus station: -2.5 °C (-4.5 °F); with at least 98.4 % confidence it lies between -4 °C (-7.2 °F) and -1 °C (-1.8 °F).",
		"Calm, clear nights only.", "To set: -4 °C (-7.2 °F), the cold end of the interval and never above 0.",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	colder := -5.0
	got = text(false, &colder)
	if !strings.Contains(got, "ALL nights were taken") || !strings.Contains(got, "In force now: -5 °C (-9 °F). That is colder") {
		t.Errorf("%s", got)
	}
	// A paddock that read warmer is not taken for warmer.
	for i := range pairs {
		pairs[i].PaddockC = pairs[i].StationC + 2 + float64(i)
	}
	x, err := NewOffsetSheet(h, "north-slough", "yard", pairs, true, nil)
	if err != nil || x.Cautious() != 0 {
		t.Errorf("%v %v", x, err)
	}
	if _, err := NewOffsetSheet(h, "north-slough", "yard", pairs[:5], true, nil); err == nil {
		t.Error("an offset from five nights")
	}
}
