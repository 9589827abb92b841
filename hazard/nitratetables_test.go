package hazard_test

import (
	"math"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// Kansas State University, Agronomy eUpdate, "Nitrate toxicity in
// drought-stressed forages",
// https://eupdate.agronomy.ksu.edu/article/nitrate-toxicity-in-drought-stressed-forages-602-1
// prints its bands in ppm NO3: 0-3000, 3000-6000, 6000-9000, 9000 and above.
// Clemson University, "Nitrate level (feed and forage)",
// https://clemson.edu/public/regulatory/ag-srvc-lab/feed-forage/nitrate-level.html
// prints NO3-N: up to 1000 safe for all.
func TestByTablePublishedEdges(t *testing.T) {
	b := rules.Default()
	say := func(ppm float64, form fields.Form, table string, c hazard.Class) hazard.TableSay {
		for _, s := range b.ByTable(ppm, form, c) {
			if s.Table == table {
				return s
			}
		}
		t.Fatalf("no table %s for %s", table, c)
		return hazard.TableSay{}
	}
	for _, c := range []struct {
		ppm    float64
		table  string
		form   string
		flag   hazard.Flag
		share  float64
		from   float64
		onEdge bool
	}{
		{2999, "k-state", "NO3", hazard.Clear, 100, 0, false},
		{3000, "k-state", "NO3", hazard.Caution, 50, 3000, true},
		{3001, "k-state", "NO3", hazard.Caution, 50, 3000, false},
		{999, "clemson", "NO3-N", hazard.Clear, 100, 0, false},
	} {
		s := say(c.ppm, fields.Form(c.form), c.table, hazard.BredCattle)
		if s.Flag != c.flag || s.MaxShare != c.share || s.From != c.from || s.Edge != c.onEdge || string(s.Form) != c.form {
			t.Errorf("%v ppm %s in %s: %+v", c.ppm, c.form, c.table, s)
		}
	}
}

// The rulebook's answer is the worst flag and smallest share of its tables,
// whatever the value.
func TestByTableAgreesWithTheRulebook(t *testing.T) {
	b := rules.Default()
	for _, c := range hazard.Classes {
		for v := 0.0; v < 6000; v += 37.5 {
			want := b.JudgeNitrate(v, c)
			flag, share := hazard.Clear, math.Inf(1)
			for _, s := range b.ByTable(v, "NO3-N", c) {
				flag, share = max(flag, s.Flag), min(share, s.MaxShare)
				if s.Value >= s.UpTo || s.Value < s.From {
					t.Fatalf("%v ppm lies in no band %v..%v of %s", v, s.From, s.UpTo, s.Table)
				}
			}
			if flag != want.Flag || share != want.MaxShare {
				t.Fatalf("%v ppm for %s: tables say %v %v %%, the rulebook %v %v %%", v, c, flag, share, want.Flag, want.MaxShare)
			}
		}
	}
}
