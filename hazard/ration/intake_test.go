package ration_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

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
		if len(ration.IntakeRows(c)) == 0 {
			t.Errorf("no intake for %s", c)
		}
		for _, r := range ration.IntakeRows(c) {
			check(r.Kind, r.Source)
			if !(r.Low > 0 && r.Low <= r.High && r.High < 10) {
				t.Errorf("%+v", r)
			}
		}
		for _, r := range ration.WaterRows(c) {
			check(r.Kind, r.Source)
			if !(r.Winter.Low > 0 && r.Winter.Low <= r.Winter.High && r.Summer.Low <= r.Summer.High && r.Winter.High <= r.Summer.High) {
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
		if lo.Source.ID == "" || hi.Source.ID == "" || lo.Bounds || hi.Bounds {
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
		kind   string
		season ration.Season
		weight float64
		want   float64
	}{
		// Agriculture and Agri-Food Canada, Livestock Watering.
		{hazard.BredCattle, "", ration.Summer, 0, 68},
		{hazard.BredCattle, "", ration.Winter, 0, 50},
		{hazard.BredCattle, "dry cow", ration.Summer, 0, 55},
		{hazard.BredCattle, "lactating cow", ration.Summer, 0, 95},
		{hazard.Sheep, "", ration.Summer, 0, 14},
		{hazard.Horses, "", ration.Winter, 0, 36},
		{hazard.YoungCattle, "", ration.Summer, 0, 86},
		{hazard.YoungCattle, "", ration.Summer, 200, 55}, // too light for the finishing row
		// Kansas State: 1.5 US gallons per 100 lb in summer, 0.75 in winter; a cow of
		// 1400 lb 21 and 10.5 gallons.
		{hazard.BredCattle, "cattle, by weight", ration.Summer, 1400 * kgPerLb, 21 * 3.785411784},
		{hazard.BredCattle, "cattle, by weight", ration.Winter, 1400 * kgPerLb, 10.5 * 3.785411784},
		{hazard.BredCattle, "", ration.Summer, 1400 * kgPerLb, 21 * 3.785411784}, // above the pair's 68
		{hazard.BredCattle, "", ration.Summer, 400, 68},
	} {
		got, row, err := ration.Litres(c.class, c.kind, c.season, c.weight)
		if err != nil {
			t.Errorf("%s %q: %v", c.class, c.kind, err)
			continue
		}
		near(t, c.class.String()+" "+row.Kind, got, c.want, 1e-9)
	}
	if _, _, err := ration.Litres(hazard.Goats, "", ration.Summer, 60); err == nil || !strings.Contains(err.Error(), "type the litres") {
		t.Errorf("goats: %v", err)
	}
	if _, _, err := ration.Litres(hazard.Sheep, "dry cow", ration.Summer, 60); err == nil {
		t.Error("a dry cow among sheep")
	}
	if _, _, err := ration.Litres(hazard.BredCattle, "cattle, by weight", ration.Summer, 0); err == nil {
		t.Error("litres by weight without a weight")
	}
}

func TestJudgeWater(t *testing.T) {
	book := rules.Default()
	for _, c := range []struct {
		v    float64
		form string
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
		w, err := ration.JudgeWater(book, c.v, c.form)
		if err != nil || w.Flag != c.want {
			t.Errorf("%g %s: %+v %v", c.v, c.form, w, err)
		}
		if !strings.Contains(w.Text, "NO3-N per litre") || !strings.Contains(w.Text, "mg NO3)") {
			t.Errorf("%q does not give both forms", w.Text)
		}
	}
	for _, c := range []struct {
		v    float64
		form string
	}{{-1, "NO3"}, {math.NaN(), "NO3"}, {math.Inf(1), "NO3"}, {5, "KNO3"}, {5, ""}} {
		if _, err := ration.JudgeWater(book, c.v, c.form); err == nil {
			t.Errorf("%g %q passes", c.v, c.form)
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
		if err != nil || l.Bales != want || l.Cores != want || l.SampleFrom != 0 {
			t.Errorf("%d bales: %+v %v", lot, l, err)
		}
	}
	s, err := ration.LotPlan(book, "nitrate", "silage", 0)
	if err != nil || s.Bales != 0 || s.Cores != 20 || s.SampleFrom != 28 {
		t.Errorf("%+v %v", s, err)
	}
	g, err := ration.LotPlan(book, "hcn", "baleage", 40)
	if err != nil || g.SampleFrom != 28 {
		t.Errorf("%+v %v", g, err)
	}
	for _, plan := range []ration.Plan{p, h, s, g} {
		if len(plan.Steps) < 4 {
			t.Errorf("%s of %s: %d steps", plan.Analyte, plan.Of, len(plan.Steps))
		}
		for _, a := range plan.Steps {
			if (a.Basis == "published") != (a.Source.URL != "") || a.Text == "" {
				t.Errorf("%+v", a)
			}
		}
		for _, id := range plan.Rules {
			if _, ok := hazard.RuleKeyOf(id); !ok {
				t.Errorf("no rule %q", id)
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
			t.Errorf("%s of %s does not show the conflict about freezing: %+v", plan.Analyte, plan.Of, plan.Conflicts)
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

func TestTwoFeedsRefuses(t *testing.T) {
	for _, c := range []struct {
		high, low, target float64
		words             string
	}{
		{300, 4500, 1500, "wrong way round"},
		{4500, 300, 200, "lower feed alone"},
		{1200, 300, 1500, "needs no mixing"},
		{math.NaN(), 300, 1500, "three plain numbers"},
	} {
		if _, err := ration.TwoFeeds(c.high, c.low, c.target); err == nil || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	for target, want := range map[float64]float64{300: 0, 4500: 1} {
		if s, err := ration.TwoFeeds(4500, 300, target); err != nil || s != want {
			t.Errorf("%g: %g %v", target, s, err)
		}
	}
}
