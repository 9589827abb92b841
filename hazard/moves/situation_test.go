package moves

import (
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

func num(v float64) *float64 { return &v }

type farm struct{ entries []fields.Entry }

var (
	spring = fields.MakeDate(2026, 6, 1)
	today  = fields.MakeDate(2026, 7, 10)
)

func (f *farm) say(on fields.Date, bodies ...fields.Body) {
	for _, b := range bodies {
		id := []byte("01K00000000000000000000000")
		id[24], id[25] = '0'+byte(len(f.entries)/10), '0'+byte(len(f.entries)%10)
		f.entries = append(f.entries, fields.Entry{ID: string(id), Recorded: on.At(9, 0, time.UTC), By: "Ada", On: on, Body: b})
	}
}

// pasture is a brome paddock with weeds checked: clear while nothing happens.
func (f *farm) pasture(id string, ha, kg float64) {
	yes := true
	f.say(spring, &fields.PaddockFacts{Paddock: id, Name: id, AreaHa: &ha},
		&fields.Sown{Paddock: id, Species: []fields.SpeciesShare{{Species: "smooth bromegrass"}}, NewStand: &yes})
	w := &fields.Walk{Paddock: id, FrostDamage: "none", StressFree: &yes, WeedsChecked: &yes}
	if kg > 0 {
		w.KgDMHa = &kg
	}
	f.say(today, w)
}

func newFarm() *farm {
	f := &farm{}
	watch := fields.Watch{From: fields.MonthDay{Month: 9, Day: 1}, To: fields.MonthDay{Month: 5, Day: 31}}
	f.say(spring, &fields.Farm{Name: "Demo", Zone: "UTC", FrostWatch: &watch})
	return f
}

func (f *farm) weigh(days int, set Settings) *Situation {
	var as []*hazard.Assessment
	for i := 0; i <= days; i++ {
		h := fields.Fold(f.entries, fields.View{On: today.Add(i), KnownAt: today.At(12, 0, time.UTC)})
		as = append(as, hazard.Assess(h, rules.Default()))
	}
	return Weigh(as, set)
}

const lbPerKg = 1 / 0.45359237

// Published stocking arithmetic through the whole way from entries to days.
//
//   - 2500 lb an acre, 25 % eaten, pairs of 1500 lb at 2.6 % of body weight: "28
//     to 29 pairs" (Kansas State University (Fick), via Drovers, "Use stocking
//     rate calculations to aid grassland management",
//     https://www.drovers.com/news/use-stocking-rate-calculations-aid-grassland-management ;
//     acres and days are not printed there: 320 acres and 180 days fit).
//   - a 1050-lb cow at 3 % eats 31.5 lb a day (NCAT, Rinehart, "Grazier's Math",
//     https://attra.ncat.org/product/graziers-math-matching-forage-to-animal-demand/).
//   - a 1000-lb animal unit at 2.6 % eats 780 lb in 30 days (NRCS National Range
//     and Pasture Handbook, via eXtension, "Animal units", 2015,
//     https://articles.extension.org/pages/33665/animal-units).
func TestPublishedStocking(t *testing.T) {
	const acre = 0.40468564224
	for _, c := range []struct {
		name                  string
		head, lb, pct         float64
		acres, lbAcre, eaten  float64
		days                  int
		wantPerDay, wantDaily float64
	}{
		{"28 pairs for the 180 days", 28, 1500, 2.6, 320, 2500, 25, 183, 28 * 39, 39},
		{"29 pairs are too many for 180 days", 29, 1500, 2.6, 320, 2500, 25, 176, 29 * 39, 39},
		{"one cow of 1050 lb, 315 lb of feed", 1, 1050, 3, 1, 1260, 25, 10, 31.5, 31.5},
		{"one animal unit month", 1, 1000, 2.6, 1, 3120, 25, 30, 26, 26},
	} {
		f := newFarm()
		kgHa := c.lbAcre / lbPerKg / acre
		f.pasture("big", c.acres*acre, kgHa)
		f.say(spring, &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: num(c.head), WeightKg: num(c.lb / lbPerKg), IntakePctBW: num(c.pct)})
		s := f.weigh(1, Settings{UtilisationPct: c.eaten})
		if got := s.Mobs[0].PerDay.High * lbPerKg; got < c.wantPerDay*0.999999 || got > c.wantPerDay*1.000001 {
			t.Errorf("%s: they eat %.4f lb a day, want %.4f", c.name, got, c.wantPerDay)
		}
		if got := s.Stands[0][0].Days; got != c.days {
			t.Errorf("%s: feed for %d days, want %d", c.name, got, c.days)
		}
	}
}

func TestSituation(t *testing.T) {
	f := newFarm()
	f.pasture("a", 10, 2000) // 5000 kg may be eaten
	f.pasture("b", 10, 1200) // 3000 kg
	f.pasture("c", 10, 0)    // nobody measured it
	f.say(spring, &fields.HerdFacts{Herd: "cows", Classes: []string{"bred-cattle"}, Head: num(50), WeightKg: num(600)},
		&fields.HerdFacts{Herd: "bulls", Classes: []string{"open-cattle"}, Head: num(2), WeightKg: num(900), IntakePctBW: num(2)},
		&fields.HerdFacts{Herd: "ewes", Classes: []string{"sheep"}, Head: num(100), WeightKg: num(70), IntakePctBW: num(3)},
		&fields.HerdFacts{Herd: "strays", Classes: []string{"horses"}, WeightKg: num(500)}) // no head count: nobody can say what they eat
	f.entries[len(f.entries)-1].Body.(*fields.HerdFacts).Head = nil
	f.say(today, &fields.Grazed{Paddock: "a", State: "in", Herd: "cows"}, &fields.Grazed{Paddock: "a", State: "in", Herd: "bulls"})
	s := f.weigh(13, Settings{})
	if len(s.Mobs) != 3 || len(s.Mobs[0].Herds) != 2 {
		t.Fatalf("herds that stand together are one: %+v", s.Mobs)
	}
	// Cows from 1.8 % (Rasby) or 1.5 % (low-quality forage) up to 3 %: both ends
	// are kept; the plan goes by the high one.
	cows := s.Mobs[0]
	if cows.PerDay.Low >= cows.PerDay.High || cows.PerDay.High < 50*600*0.027+36 {
		t.Errorf("cows and bulls eat %+v", cows.PerDay)
	}
	if s.Stands[0][0].Days > s.Stands[0][0].AtMost {
		t.Errorf("days at the ends of intake: %+v", s.Stands[0][0])
	}
	for m := range s.Mobs {
		if st := s.Stands[m][2]; st.Days != 0 || s.Grounds[2].Why == "" {
			t.Errorf("feed nobody measured counts as %d days (%q)", st.Days, s.Grounds[2].Why)
		}
		for _, q := range s.Plan.Place[m] {
			if q == 2 {
				t.Error("the plan counts on feed nobody measured")
			}
		}
	}
	if m := s.Mobs[2]; m.Known() || len(s.Plan.Place[2]) != 0 {
		t.Errorf("a herd without a head count is planned for: %+v", m)
	}
	if got := FeedWithin(s); got != "" {
		t.Error(got)
	}
	// A closed day is not used again.
	first := s.Plan.Place[0][0]
	if first == Nowhere {
		t.Fatal("the cows stand nowhere")
	}
	s.Close(0, 0, first)
	s.Replan()
	if s.Plan.Place[0][0] == first {
		t.Error("a closed day is planned for")
	}
}

// FeedWithin reports a plan that eats more than stands, "" if none does.
func FeedWithin(s *Situation) string {
	for m := range s.Mobs {
		ate := map[int]float64{}
		for _, q := range s.Plan.Place[m] {
			if q != Nowhere {
				ate[q] += s.Mobs[m].PerDay.High
			}
		}
		for q, kg := range ate {
			if kg > s.Grounds[q].UsableKg*(1+1e-9) {
				return "the plan eats more than stands in " + s.Grounds[q].ID
			}
		}
	}
	return ""
}

// A herd that grazes where a swath lies eats of both: the worse answer counts.
func TestASwathIsAskedAboutToo(t *testing.T) {
	class := []hazard.Class{hazard.OpenCattle}
	answer := func(swath hazard.Verdict) *hazard.PaddockAnswer {
		swath.Use, swath.Class = hazard.SwathGraze, hazard.OpenCattle
		return &hazard.PaddockAnswer{Verdicts: []hazard.Verdict{
			{Use: hazard.Graze, Class: hazard.OpenCattle, Flag: hazard.Clear}, swath,
		}}
	}
	if got := Worst(answer(hazard.Verdict{Flag: hazard.Hold}), class); got != hazard.Hold {
		t.Errorf("on a swath on hold: %v", got)
	}
	none := hazard.Verdict{Flag: hazard.Hold}
	none.Hazards[hazard.PrussicAcid].Reasons = []hazard.Reason{{Line: hazard.LineNoSwath, Flag: hazard.Hold}}
	if got := Worst(answer(none), class); got != hazard.Clear {
		t.Errorf("where none lies: %v", got)
	}
}

// What is asked once for mobs of the same classes is what each would be told by itself.
func TestFlagsOfEachMob(t *testing.T) {
	f := newFarm()
	yes := true
	for _, id := range []string{"a", "b", "c"} {
		f.pasture(id, 10, 2000)
	}
	f.say(today, &fields.Sown{Paddock: "b", Species: []fields.SpeciesShare{{Species: "oats"}}, NewStand: &yes, Ended: "tilled"},
		&fields.Vet{Paddock: "c", Advice: fields.AdviceKeepOff, Classes: []string{"sheep"}, Because: "two ewes down", Until: today + 4},
		&fields.Split{From: []string{"a"}, Into: []string{"a1", "a2"}})
	for herd, classes := range map[string][]string{"cows": {"bred-cattle"}, "ewes": {"sheep"}, "mares": {"horses"}, "heifers": {"bred-cattle"}, "all": nil, "lambs": {"sheep"}} {
		f.say(spring, &fields.HerdFacts{Herd: herd, Classes: classes, Head: num(50), WeightKg: num(100)})
	}
	var days []*hazard.Assessment
	for i := range 10 {
		h := fields.Fold(f.entries, fields.View{On: today.Add(i), KnownAt: today.At(12, 0, time.UTC)})
		days = append(days, hazard.Assess(h, rules.Default()))
	}
	s, seen := Weigh(days, Settings{}), map[hazard.Flag]bool{}
	for m := range s.Mobs {
		for q, g := range s.Grounds {
			for d, a := range days {
				want := hazard.Hold
				if p := a.Paddock(g.ID); p != nil {
					want = Worst(p, s.Mobs[m].Classes)
				}
				if got := s.Stands[m][q].Flags[d]; got != want {
					t.Errorf("%v in %s on day %d: %v, want %v", s.Mobs[m].Herds, g.ID, d, got, want)
				}
				seen[want] = true
			}
		}
	}
	if len(seen) < 2 || len(s.Mobs) != 6 {
		t.Errorf("%d mobs are told only %v", len(s.Mobs), seen)
	}
}
