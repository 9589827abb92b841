package ration_test

import (
	"errors"
	"math"
	"testing"

	"rimegate/hazard"
	"rimegate/hazard/ration"
	"rimegate/hazard/rules"
)

func ptr(v float64) *float64 { return &v }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g (within %g)", what, got, want, tol)
	}
}

// two feeds, the ceiling at 1500: the mixture of the worked examples.
func twoFeedProblem() ration.Problem {
	return ration.Problem{
		Feeds: []ration.Feed{
			{Name: "hot oats", PPMN: 4500, DMPct: 88, CostPerTonne: ptr(60)},
			{Name: "brome", PPMN: 300, DMPct: 88, CostPerTonne: ptr(180)},
		},
		Intake: ration.Range{Low: 10, High: 12}, CeilingPPMN: 1500,
	}
}

func TestBlendAgreesWithAlgebra(t *testing.T) {
	for _, aim := range []ration.Aim{ration.LeastCost, ration.MostRisky} {
		p := twoFeedProblem()
		p.Aim = aim
		b, err := ration.Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		share, err := ration.TwoFeeds(4500, 300, 1500)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "share", b.Parts[0].SharePct, share*100, 1e-3)
		if b.Low.PPMN >= 1500 || b.High.PPMN >= 1500 {
			t.Errorf("aim %d: diet of %g and %g ppm is not below 1500", aim, b.Low.PPMN, b.High.PPMN)
		}
		if len(b.Binding) != 1 || b.Binding[0].Limit != ration.LimitNitrate {
			t.Errorf("binding: %v", b.Binding)
		}
	}
}

func TestBlendCountsTheWater(t *testing.T) {
	p := twoFeedProblem()
	p.Water = ration.Water{Litres: 55, NMgL: 100, Tested: true} // 5.5 g a day
	b, err := ration.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	// At 10 kg of dry matter the water is 550 ppm, at 12 kg 458: the low end of
	// intake decides.
	share, _ := ration.TwoFeeds(4500, 300, 1500-550)
	near(t, "share", b.Parts[0].SharePct, share*100, 1e-3)
	near(t, "low end", b.Low.PPMN, 1500, 0.01)
	if b.High.PPMN >= b.Low.PPMN {
		t.Errorf("high end %g should be below the low end %g", b.High.PPMN, b.Low.PPMN)
	}
}

func TestBlendKeepsAmountsOnHand(t *testing.T) {
	p := twoFeedProblem()
	p.Head, p.Days = 60, 30
	p.Feeds[0].OnHandKg = ptr(2000)
	b, err := ration.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	used := b.Parts[0].KgAsFed.High * 60 * 30
	near(t, "all of the hot oats", used, 2000, 0.1)
	near(t, "head-days", float64(b.HeadDays), 1800, 0)
	near(t, "days", b.Parts[0].LastsDays, 30, 1e-6)
}

func TestInfeasibleSaysWhatBinds(t *testing.T) {
	p := twoFeedProblem()
	p.CeilingPPMN = 250
	_, err := ration.Solve(p)
	var inf *ration.Infeasible
	if !errors.As(err, &inf) {
		t.Fatalf("want infeasible, got %v", err)
	}
	if len(inf.Alone) != 1 || inf.Alone[0].Limit != ration.LimitNitrate {
		t.Fatalf("alone: %+v", inf.Alone)
	}
	near(t, "least nitrate", inf.Alone[0].Needs, 300, 0.01)
	if len(inf.Together) != 1 || inf.Together[0].Limit != ration.LimitNitrate {
		t.Fatalf("together: %+v", inf.Together)
	}
	near(t, "least nitrate, phase 1", inf.Together[0].Needs, 300, 0.01)
	t.Log(err)

	p = twoFeedProblem()
	p.Head, p.Days = 50, 100
	p.Feeds[1].OnHandKg = ptr(20000) // brome; 100 days need 5/7 of 60,000 kg dry matter
	_, err = ration.Solve(p)
	if !errors.As(err, &inf) {
		t.Fatalf("want infeasible, got %v", err)
	}
	t.Log(err)
	// The nitrate alone: the brome covers 17,600 of 60,000 kg.
	s := 17600.0 / 60000
	for _, a := range inf.Alone {
		switch a.Limit {
		case ration.LimitNitrate:
			near(t, "nitrate", a.Needs, s*300+(1-s)*4500, 0.01)
		case ration.LimitAmount:
			near(t, "brome needed", a.Needs, 60000*5.0/7/0.88, 1)
		default:
			t.Errorf("unexpected %+v", a)
		}
	}
	if len(inf.Alone) != 2 {
		t.Errorf("alone: %+v", inf.Alone)
	}
	// 17,600 kg dry matter are 5/7 of 24,640; at 600 kg a day 41 days.
	if inf.MostDays != 41 {
		t.Errorf("most days: got %d, want 41", inf.MostDays)
	}
}

func TestForClassesTakesTheStrictestLineAndShares(t *testing.T) {
	book := rules.Default()
	p := twoFeedProblem()
	p.Feeds[0].PPMN = 1000
	p.ForClasses(book, hazard.BredCattle, hazard.OpenCattle)
	// Tennessee and North Carolina, 2500 ppm NO3.
	near(t, "ceiling", p.CeilingPPMN, hazard.ConvertNitrate(2500, "NO3", "NO3-N"), 1e-6)
	if p.Feeds[0].MaxShare == nil || *p.Feeds[0].MaxShare != 50 {
		t.Fatalf("share of 1000 ppm NO3-N: %v", p.Feeds[0].MaxShare)
	}
	if p.Feeds[1].MaxShare != nil {
		t.Errorf("brome of 300 ppm is limited to %v", *p.Feeds[1].MaxShare)
	}
	b, err := ration.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if b.Parts[0].SharePct > 50 || b.Low.PPMN >= p.CeilingPPMN {
		t.Errorf("share %g, diet %g", b.Parts[0].SharePct, b.Low.PPMN)
	}
	// A lot that the tables say not to feed is not talked round.
	p = twoFeedProblem()
	p.ForClasses(book, hazard.BredCattle)
	b, err = ration.Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	if b.Parts[0].SharePct != 0 {
		t.Errorf("4500 ppm NO3-N in a ration for bred cattle: %g %%", b.Parts[0].SharePct)
	}
}
