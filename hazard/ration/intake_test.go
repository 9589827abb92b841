package ration_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/ration"
	"rimegate/hazard/rules"
)

// Every figure that ships names where it was read.
func TestPublishedRowsNameTheirSource(t *testing.T) {
	check := func(what string, s hazard.Source) {
		if s.Publisher == "" || s.Title == "" || !strings.HasPrefix(s.URL, "http") || s.ID == "" {
			t.Errorf("%s: %+v", what, s)
		}
	}
	for _, c := range hazard.Classes {
		_, low, high := ration.IntakePct(c)
		for _, r := range []ration.Row{low, high} {
			check(r.Kind, r.Source)
			if !(r.Low > 0 && r.Low <= r.High && r.High < 10) {
				t.Errorf("%s: %+v", c, r)
			}
		}
		if litres, r, err := ration.Litres(c, 500); err == nil {
			check(r.Kind, r.Source)
			if !(litres > 0) {
				t.Errorf("%+v", r)
			}
		}
	}
	for _, l := range ration.WaterLines() {
		check(l.Says, l.Source)
	}
}

func TestIntakeEnds(t *testing.T) {
	for _, c := range []struct {
		class     hazard.Class
		low, high float64 // percent of body weight
	}{
		{hazard.BredCattle, 1.5, 3.0},  // Mullenix, low-quality forage; NCAT, beef
		{hazard.YoungCattle, 1.5, 3.0}, // Mullenix
		{hazard.OpenCattle, 1.5, 3.0},  // the same
		{hazard.Sheep, 2.0, 4.5},       // Schoenian; NCAT, ewe in milk
		{hazard.Goats, 2.0, 3.4 / 60 * 100},
		{hazard.Horses, 1.8, 3.0}, // Equi-Analytical; Texas chart
	} {
		p, lo, hi := ration.IntakePct(c.class)
		near(t, c.class.String(), p.Low, c.low, 1e-9)
		near(t, c.class.String(), p.High, c.high, 1e-9)
		if lo.Source.ID == "" || hi.Source.ID == "" || lo.Kind == "all cattle" || hi.Kind == "all cattle" {
			t.Errorf("%s: ends from %+v and %+v", c.class, lo, hi)
		}
		kg, err := ration.Intake(c.class, 500)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "kg", kg.Low, 5*c.low, 1e-9)
		near(t, "kg", kg.High, 5*c.high, 1e-9)
	}
	for _, w := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := ration.Intake(hazard.BredCattle, w); err == nil || !strings.Contains(err.Error(), "weight") {
			t.Errorf("weight %g: %v", w, err)
		}
		if _, err := ration.IntakeSaid(2.5, w); err == nil {
			t.Errorf("weight %g passes", w)
		}
		if _, err := ration.IntakeSaid(w, 500); err == nil {
			t.Errorf("intake %g passes", w)
		}
	}
	// Alberta's outer figures for cattle, 1.4 to 4.0 %.
	if outer, out := ration.IntakeOutside(hazard.BredCattle, 4.1); !out || outer.Low != 1.4 || outer.High != 4.0 {
		t.Errorf("%+v %v", outer, out)
	}
	if _, out := ration.IntakeOutside(hazard.BredCattle, 1.4); out {
		t.Error("1.4 % is inside")
	}
}

func TestLitres(t *testing.T) {
	for _, c := range []struct {
		class  hazard.Class
		weight float64
		want   float64
	}{
		// Agriculture and Agri-Food Canada, Livestock Watering.
		{hazard.BredCattle, 0, 68},
		{hazard.Sheep, 0, 14},
		{hazard.Horses, 0, 55},
		{hazard.YoungCattle, 0, 86},
		{hazard.YoungCattle, 200, 55}, // too light for the finishing row
		// Kansas State: 1.5 US gallons per 100 lb in summer; a cow of 1400 lb 21
		// gallons, above the pair's 68 L.
		{hazard.BredCattle, 1400 * kgPerLb, 21 * 3.785411784},
		{hazard.BredCattle, 400, 68},
	} {
		got, row, err := ration.Litres(c.class, c.weight)
		if err != nil {
			t.Errorf("%s: %v", c.class, err)
			continue
		}
		near(t, c.class.String()+" "+row.Kind, got, c.want, 1e-9)
	}
	if _, _, err := ration.Litres(hazard.Goats, 60); err == nil || !strings.Contains(err.Error(), "type the litres") {
		t.Errorf("goats: %v", err)
	}
}

func TestJudgeWater(t *testing.T) {
	book := rules.Default()
	for _, c := range []struct {
		v    float64
		form fields.Form
		want hazard.Flag
	}{
		{0, "NO3-N", hazard.Clear},
		{22.5, "NO3-N", hazard.Clear},
		{22.6, "NO3-N", hazard.Caution}, // the line itself belongs to the worse side
		{99.9, "NO3-N", hazard.Caution},
		{100, "NO3-N", hazard.Hold},
		{99, "NO3", hazard.Clear},
		{101, "NO3", hazard.Caution},
		{442, "NO3", hazard.Caution},
		{443, "NO3", hazard.Hold},
	} {
		w, err := ration.JudgeWater(book, hazard.ConvertNitrate(c.v, c.form, "NO3-N"))
		if err != nil || w.Flag != c.want {
			t.Errorf("%g %s: %+v %v", c.v, c.form, w, err)
		}
		if !strings.Contains(w.Text, "NO3-N per litre") || !strings.Contains(w.Text, "mg NO3)") {
			t.Errorf("%q does not give both forms", w.Text)
		}
	}
	for _, v := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := ration.JudgeWater(book, v); err == nil {
			t.Errorf("%g passes", v)
		}
	}
}

// More litres, more nitrate in feed or water, or less dry matter never make the
// diet-equivalent smaller; untested water adds nothing.
func TestDietIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ppm := rapid.Float64Range(0, 9000).Draw(t, "ppm")
		kg := rapid.Float64Range(1, 20).Draw(t, "kg")
		w := ration.Water{Litres: rapid.Float64Range(0, 100).Draw(t, "litres"), NMgL: rapid.Float64Range(0, 300).Draw(t, "mg/L"), Tested: true}
		up := rapid.Float64Range(0, 3).Draw(t, "up")
		d := ration.DietOf(ppm, ration.Range{Low: kg, High: kg + up}, w)
		if d.Low.PPMN < d.High.PPMN*(1-1e-12) || d.Worst() > d.Low.PPMN*(1+1e-12) {
			t.Fatalf("water weighs more in a small eater: %+v", d)
		}
		if d.High.Grams() < d.Low.Grams() {
			t.Fatalf("a big eater takes in more: %+v", d)
		}
		more := w
		more.Litres += up
		if ration.DietOf(ppm, ration.Range{Low: kg, High: kg}, more).Worst() < d.Worst()*(1-1e-12) {
			t.Fatal("more litres made it smaller")
		}
		if ration.DietOf(ppm+up, ration.Range{Low: kg, High: kg}, w).Worst() < d.Worst()*(1-1e-12) {
			t.Fatal("hotter feed made it smaller")
		}
		w.Tested = false
		if ration.DietOf(ppm, ration.Range{Low: kg, High: kg}, w).Low.WaterG != 0 {
			t.Fatal("untested water was added")
		}
	})
	if d := ration.Sum(nil, ration.Water{Litres: 50, NMgL: 100, Tested: true}); d.PPMN != 0 || d.WaterG != 5 {
		t.Errorf("%+v", d)
	}
}

// said reports a step of the plan that says so.
func said(p ration.Plan, words string) bool {
	return slices.ContainsFunc(p.Steps, func(a ration.Advice) bool { return strings.Contains(a.Text, words) })
}

func TestSamplingPlans(t *testing.T) {
	book := rules.Default()
	p, err := ration.StandingPlan(book, "nitrate")
	if err != nil || p.Stems != 20 || p.Spots != 10 || p.MaxCutCM != 10 {
		t.Errorf("%+v %v", p, err)
	}
	h, err := ration.StandingPlan(book, "hcn")
	if err != nil {
		t.Fatal(err)
	}
	bales := map[int]int{0: 20, 5: 5, 19: 19, 20: 20, 60: 20, 100: 20, 101: 21, 230: 46}
	for lot, want := range bales {
		l, err := ration.LotPlan(book, "nitrate", "hay", lot)
		if err != nil || l.Bales != want || l.Cores != want || said(l, "Wait ") {
			t.Errorf("%d bales: %+v %v", lot, l, err)
		}
	}
	s, err := ration.LotPlan(book, "nitrate", "silage", 0)
	if err != nil || s.Bales != 0 || s.Cores != 20 || !said(s, "Wait 28 days") {
		t.Errorf("%+v %v", s, err)
	}
	g, err := ration.LotPlan(book, "hcn", "baleage", 40)
	if err != nil || !said(g, "Wait 28 days") || said(g, "quart") {
		t.Errorf("%+v %v", g, err)
	}
	for _, plan := range []ration.Plan{p, h, s, g} {
		if len(plan.Steps) < 4 {
			t.Errorf("%s of %s: %d steps", plan.Analyte, plan.Steps[0].Text, len(plan.Steps))
		}
		for _, a := range plan.Steps {
			if (a.Basis == "published") != (a.Source.URL != "") || a.Text == "" || strings.ContainsAny(a.Text, "{}") {
				t.Errorf("%+v", a)
			}
		}
	}
	// Freezing is the published conflict; it is shown, and not decided by us.
	for _, plan := range []ration.Plan{h, g} {
		found := false
		for _, c := range plan.Conflicts {
			if strings.Contains(c.Question, "Freeze") {
				found = len(c.Says) == 2 && c.Says[0].Source.ID != c.Says[1].Source.ID && strings.Contains(c.Do, "laboratory")
			}
		}
		if !found {
			t.Errorf("%s of %s does not show the conflict about freezing: %+v", plan.Analyte, plan.Steps[0].Text, plan.Conflicts)
		}
	}
	if _, err := ration.StandingPlan(book, "protein"); err == nil {
		t.Error("a plan for protein")
	}
	if _, err := ration.LotPlan(book, "hcn", "straw", 3); err == nil {
		t.Error("a plan for straw")
	}
	if _, err := ration.LotPlan(book, "protein", "hay", 3); err == nil {
		t.Error("a lot plan for protein")
	}
}
