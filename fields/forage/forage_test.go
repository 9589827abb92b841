package forage_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/fields/forage"
)

const (
	kgPerLb = 0.45359237
	acre    = 0.40468564224 // ha
)

func ptr(v float64) *float64 { return &v }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g (within %g)", what, got, want, tol)
	}
}

// Worked examples. "Published": the source prints this answer. "Derived": the
// method is published, the answer was computed for this test.
func TestWorkedExamples(t *testing.T) {
	// Published: 28 to 29 pairs of 1500 lb at 2.6 % on 2500 lb/ac at 25 %
	// (Kansas State University, Fick,
	// https://www.drovers.com/news/use-stocking-rate-calculations-aid-grassland-management).
	// Its acres and days could not be read; 320 ac and 180 days are inferred to fit.
	s := forage.Standing{KgDM: 2500 * kgPerLb * 320}
	kg, why := s.Usable(forage.Grazing{UtilisationPct: 25}, 0)
	near(t, "pairs"+why, kg/(0.026*1500*kgPerLb*180), 28.49, 0.005)

	// Published: a 1050-lb cow at 3 % eats 31.5 lb a day (NCAT, Rinehart, Grazier's
	// Math, https://attra.ncat.org/product/graziers-math-matching-forage-to-animal-demand/).
	d := forage.HerdDemand(&fields.HerdFacts{Herd: "one", Head: ptr(1), WeightKg: ptr(1050 * kgPerLb), IntakePctBW: ptr(3)}, nil, "")
	near(t, "lb", d.PerDay.High/kgPerLb, 31.5, 1e-9)

	// Published: a 1000-lb cow at 2.6 % eats 9490 lb in a year, an 1100-lb horse at
	// 3.0 % 12,045 lb, 1.27 units (Texas animal unit equivalent chart,
	// https://docslib.org/download/5250279/animal-unit-equivalent-chart-texas-domestic-livestock-native-wildlife-and-exotic-wildlife).
	near(t, "cow a year, lb", forage.UnitDay*365/kgPerLb, 9490, 1e-6)
	horse := 0.03 * 1100 * kgPerLb
	near(t, "horse a year, lb", horse*365/kgPerLb, 12045, 1e-6)
	near(t, "horse in units", horse/forage.UnitDay, 1.27, 0.005)

	// Published: 1000 lb x 2.6 % x 30 days = 780 lb (NRCS, via eXtension, Animal
	// units, 2015, https://articles.extension.org/pages/33665/animal-units); and 26
	// lb about 12 kg (Society for Range Management,
	// https://rangelandsgateway.org/taxonomy/term/24233).
	near(t, "AUM, lb", forage.UnitDay*30/kgPerLb, 780, 1e-9)
	near(t, "unit day, kg", forage.UnitDay, 12, 0.25)

	// Derived (rates of Fick, above): 40 ac, 1500 lb/ac, 25 %, 30 pairs of 1300 lb
	// at 2.6 %: 15,000 lb at 1014 lb a day are 14.793 days, rounded down 14.
	s = forage.Standing{KgDM: 1500 * kgPerLb / acre * 40 * acre}
	d = forage.HerdDemand(&fields.HerdFacts{Herd: "pairs", Head: ptr(30), WeightKg: ptr(1300 * kgPerLb), IntakePctBW: ptr(2.6)}, nil, "")
	near(t, "lb a day", d.PerDay.High/kgPerLb, 1014, 1e-6)
	kg, why = s.Usable(forage.Grazing{}, 0)
	near(t, "usable lb"+why, kg/kgPerLb, 15000, 1e-6)
	near(t, "days", kg/d.PerDay.High, 14.793, 0.0005)
	near(t, "head-days", math.Floor(kg/d.PerHead.High), 443, 0) // 15,000 / 33.8
}

func TestTablesNameTheirSourceAndDisagree(t *testing.T) {
	pairs := map[float64]bool{}
	for _, u := range forage.Units() {
		if u.Source.Publisher == "" || u.Source.Title == "" || !strings.HasPrefix(u.Source.URL, "http") {
			t.Errorf("%s: %+v", u.Kind, u.Source)
		}
		if !(u.AU > 0 && u.AU < 2) || len(u.Classes) == 0 {
			t.Errorf("%+v", u)
		}
		if u.Kind == "cow with calf" || u.Kind == "cow and calf pair" {
			pairs[u.AU] = true
		}
	}
	if len(forage.Units()) != 32 || !pairs[1.00] || !pairs[1.35] {
		t.Error("the two figures for a pair must both be there")
	}
	for _, u := range forage.Utilisations {
		if u.Pct > 30 || u.Source.URL == "" {
			t.Errorf("%+v: only figures that were read", u)
		}
	}
	if forage.Utilisations[0].Pct != forage.DefaultUtilisation {
		t.Error("the default is the cautious published figure")
	}
}

func TestHerdDemand(t *testing.T) {
	herd := func(classes string, head, weight, intake *float64) *fields.HerdFacts {
		return &fields.HerdFacts{Herd: "h", Classes: strings.Split(classes, ","), Head: head, WeightKg: weight, IntakePctBW: intake}
	}
	published := &forage.Range{Low: 9, High: 18}
	for _, c := range []struct {
		name      string
		h         *fields.HerdFacts
		perHead   *forage.Range
		low, high float64 // a head
		how       string
	}{
		{"the farm's own figure first", herd("bred-cattle", ptr(40), ptr(600), ptr(2.5)), published, 15, 15, "as the farm states"},
		{"then the figure handed in", herd("bred-cattle", ptr(40), ptr(600), nil), published, 9, 18, "published intakes"},
		{"no weight: the tables' ends", herd("bred-cattle", ptr(40), nil, nil), nil, 0.80 * forage.UnitDay, 1.50 * forage.UnitDay, "Manitoba"},
		{"sheep", herd("sheep", ptr(200), nil, nil), nil, 0.15 * forage.UnitDay, 0.20 * forage.UnitDay, "Natural Resources"},
		{"sheep of a weight are no cattle", herd("sheep", ptr(200), ptr(70), nil), nil, 0.15 * forage.UnitDay, 0.20 * forage.UnitDay, "Natural Resources"},
		{"a mixed herd has the ends of all", herd("bred-cattle,sheep", ptr(9), nil, nil), nil, 0.15 * forage.UnitDay, 1.50 * forage.UnitDay, "Manitoba"},
	} {
		d := forage.HerdDemand(c.h, c.perHead, "published intakes")
		if d.Why != "" {
			t.Errorf("%s: %s", c.name, d.Why)
			continue
		}
		near(t, c.name+", low", d.PerHead.Low, c.low, 1e-9)
		near(t, c.name+", high", d.PerHead.High, c.high, 1e-9)
		near(t, c.name+", a day", d.PerDay.High, c.high**c.h.Head, 1e-9)
		if !strings.Contains(d.How, c.how) {
			t.Errorf("%s: how %q", c.name, d.How)
		}
	}
	for name, h := range map[string]*fields.HerdFacts{
		"how many head":  herd("bred-cattle", nil, ptr(600), ptr(2.5)),
		"no animal-unit": herd("", ptr(5), nil, nil),
		"no number":      herd("bred-cattle", ptr(5), ptr(math.NaN()), ptr(2)),
	} {
		if d := forage.HerdDemand(h, nil, ""); !strings.Contains(d.Why, name) || d.PerDay.High != 0 {
			t.Errorf("%s: %+v", name, d)
		}
	}
}

// farm writes a journal for a test.
type farm struct {
	t       *testing.T
	entries []fields.Entry
}

func (f *farm) add(on string, body fields.Body) {
	f.t.Helper()
	d, err := fields.ParseISODate(on)
	if err != nil {
		f.t.Fatal(err)
	}
	at, _ := time.Parse(time.RFC3339, on+"T06:00:00Z")
	e := fields.Entry{ID: fmt.Sprintf("01J8ZQ4V7W%016d", len(f.entries)), Recorded: at, By: "sam", On: d, Body: body}
	if ps := fields.Check(&e); len(ps) > 0 {
		f.t.Fatalf("%T: %v", body, ps)
	}
	f.entries = append(f.entries, e)
}

func (f *farm) on(day string) *fields.History {
	d, err := fields.ParseISODate(day)
	if err != nil {
		f.t.Fatal(err)
	}
	return fields.Fold(f.entries, fields.View{On: d})
}

func (f *farm) walk(on, paddock string, kg float64) {
	f.add(on, &fields.Walk{Paddock: paddock, KgDMHa: ptr(kg)})
}

func newFarm(t *testing.T) *farm {
	f := &farm{t: t}
	f.add("2026-05-01", &fields.PaddockFacts{Paddock: "north", Name: "North", AreaHa: ptr(10)})
	f.add("2026-05-01", &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: ptr(20), WeightKg: ptr(600), IntakePctBW: ptr(2.5)})
	return f
}

func demandOf(h *fields.History) func(string) forage.Demand {
	return func(id string) forage.Demand {
		g := h.Herd(id)
		if g == nil {
			return forage.Demand{Why: "nobody said how many head " + id + " has"}
		}
		return forage.HerdDemand(&g.HerdFacts, nil, "")
	}
}

func TestStandingFeed(t *testing.T) {
	known := func(s forage.Standing, kg, eaten float64) {
		t.Helper()
		if s.Why != "" {
			t.Fatalf("unknown: %s", s.Why)
		}
		near(t, "kg", s.KgDM, kg, 1e-6)
		near(t, "eaten", s.Eaten, eaten, 1e-6)
	}
	unknown := func(s forage.Standing, words string) {
		t.Helper()
		if s.Why == "" || !strings.Contains(s.Why, words) || s.KgDM != 0 {
			t.Errorf("want unknown for %q, got %+v", words, s)
		}
		if kg, why := s.Usable(forage.Grazing{}, 0); why != s.Why || kg != 0 {
			t.Errorf("of unknown feed %g kg are usable, %q", kg, why)
		}
	}
	f := newFarm(t)
	h := f.on("2026-08-01")
	unknown(forage.StandingFeed(h, "north", demandOf(h)), "never measured")
	unknown(forage.StandingFeed(h, "south", demandOf(h)), "no paddock")

	f.walk("2026-07-20", "north", 3000)
	f.walk("2026-07-25", "north", 3400)
	f.walk("2026-07-25", "north", 3200) // the smaller of one day
	f.add("2026-07-26", &fields.Walk{Paddock: "north", Part: "swath", KgDMHa: ptr(900)})
	h = f.on("2026-08-01")
	s := forage.StandingFeed(h, "north", demandOf(h))
	known(s, 32000, 0)
	if s.On.String() != "2026-07-25" {
		t.Errorf("%+v", s)
	}

	// 20 head x 15 kg, from 28-Jul on: on 1-Aug four days are over.
	f.add("2026-07-28", &fields.Grazed{Paddock: "north", State: "in", Herd: "pairs"})
	h = f.on("2026-08-01")
	known(forage.StandingFeed(h, "north", demandOf(h)), 32000, 4*300)
	// Out on 30-Jul: three days.
	f.add("2026-07-30", &fields.Grazed{Paddock: "north", State: "out", Herd: "pairs"})
	h = f.on("2026-08-01")
	known(forage.StandingFeed(h, "north", demandOf(h)), 32000, 3*300)
	// A later walk starts anew.
	f.walk("2026-08-02", "north", 2500)
	h = f.on("2026-08-03")
	known(forage.StandingFeed(h, "north", demandOf(h)), 25000, 0)
	// Stock nobody counted.
	f.add("2026-08-04", &fields.Grazed{Paddock: "north", State: "in", Herd: "strays"})
	h = f.on("2026-08-05")
	unknown(forage.StandingFeed(h, "north", demandOf(h)), "nobody said how many head strays has")
	f.walk("2026-08-06", "north", 2400)
	f.add("2026-08-06", &fields.Grazed{Paddock: "north", State: "out", Herd: "strays"})
	f.add("2026-08-07", &fields.Cut{Paddock: "north", Use: "hay"})
	h = f.on("2026-08-08")
	unknown(forage.StandingFeed(h, "north", demandOf(h)), "cut Fri 7 Aug 2026")

	// A cut of the day of the walk may have come after it.
	f.walk("2026-08-20", "north", 900)
	h = f.on("2026-08-21")
	known(forage.StandingFeed(h, "north", demandOf(h)), 9000, 0)
	f.add("2026-08-20", &fields.Cut{Paddock: "north", Use: "silage"})
	h = f.on("2026-08-21")
	unknown(forage.StandingFeed(h, "north", demandOf(h)), "cut Thu 20 Aug 2026")

	// More eaten than there was leaves nothing, not less.
	g := newFarm(t)
	g.walk("2026-06-01", "north", 100)
	g.add("2026-06-01", &fields.Grazed{Paddock: "north", State: "in", Herd: "pairs"})
	h = g.on("2026-06-30")
	s = forage.StandingFeed(h, "north", demandOf(h))
	if kg, why := s.Usable(forage.Grazing{UtilisationPct: 100}, 0); why != "" || kg != 0 {
		t.Errorf("%+v: %g kg, %s", s, kg, why)
	}

	// No area.
	g.add("2026-05-01", &fields.PaddockFacts{Paddock: "east", Name: "East"})
	g.walk("2026-06-01", "east", 2000)
	h = g.on("2026-06-02")
	unknown(forage.StandingFeed(h, "east", demandOf(h)), "area")

	// A joined paddock has the smaller of its lines, and none without both.
	g.add("2026-05-02", &fields.PaddockFacts{Paddock: "west", Name: "West", AreaHa: ptr(5)})
	g.add("2026-06-10", &fields.PaddockFacts{Paddock: "big", Name: "Big", AreaHa: ptr(20)})
	g.add("2026-06-10", &fields.Join{From: []string{"east", "west"}, Into: []string{"big"}})
	h = g.on("2026-06-11")
	unknown(forage.StandingFeed(h, "big", demandOf(h)), "never measured")
	g.walk("2026-06-05", "west", 1500)
	h = g.on("2026-06-11")
	known(forage.StandingFeed(h, "big", demandOf(h)), 1500*20, 0)
	// What was eaten of the one is no less eaten for the other being thinner.
	g.add("2026-06-06", &fields.Grazed{Paddock: "east", State: "in", Herd: "pairs"})
	g.add("2026-06-07", &fields.Grazed{Paddock: "east", State: "out", Herd: "pairs"})
	h = g.on("2026-06-11")
	known(forage.StandingFeed(h, "big", demandOf(h)), 1500*20, 2*300)
}

// Feed asked about on each day that stock stand on it ends on the same day: what
// they ate comes off the share that may be eaten.
func TestFeedEndsOnOneDay(t *testing.T) {
	f := newFarm(t)
	f.walk("2026-07-20", "north", 1000) // 10 ha: 2500 kg of it, 8.3 days of 300 kg
	f.add("2026-07-20", &fields.Grazed{Paddock: "north", State: "in", Herd: "pairs"})
	for day := range 10 {
		h := f.on(fmt.Sprintf("2026-07-%02d", 20+day))
		s := forage.StandingFeed(h, "north", demandOf(h))
		kg, why := s.Usable(forage.Grazing{}, 0)
		near(t, "days left"+why, math.Floor(kg/300), max(0, float64(8-day)), 0)
	}
}

func TestUsable(t *testing.T) {
	s := forage.Standing{KgDM: 32000}
	for _, c := range []struct {
		g      forage.Grazing
		height float64
		want   float64
		why    string
	}{
		{forage.Grazing{}, 0, 8000, ""},
		{forage.Grazing{UtilisationPct: 50}, 0, 16000, ""},
		{forage.Grazing{LeaveCM: 30}, 90, 8000 * 2. / 3, ""}, // two thirds stand above the stubble
		{forage.Grazing{LeaveCM: 30}, 25, 0, ""},
		{forage.Grazing{LeaveCM: 30}, 0, 0, "height is not known"},
		{forage.Grazing{LeaveCM: -1}, 0, 0, "heights"},
		{forage.Grazing{UtilisationPct: 120}, 0, 0, "utilisation"},
		{forage.Grazing{UtilisationPct: math.NaN()}, 0, 0, "utilisation"},
	} {
		kg, why := s.Usable(c.g, c.height)
		near(t, fmt.Sprintf("%+v", c.g), kg, c.want, 1e-9)
		if (why == "") != (c.why == "") || !strings.Contains(why, c.why) {
			t.Errorf("%+v: %q", c.g, why)
		}
	}
	unknown := forage.Standing{KgDM: 10, Why: "nobody knows"}
	if kg, why := unknown.Usable(forage.Grazing{}, 0); kg != 0 || why != "nobody knows" {
		t.Errorf("%g %q", kg, why)
	}
}

// No more is used than is there, and more feed or less stubble never leaves less.
func TestUsableNeverOverspends(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kg, height := rapid.Float64Range(0, 1e6).Draw(t, "kg"), 0.0
		g := forage.Grazing{UtilisationPct: rapid.Float64Range(1, 100).Draw(t, "utilisation")}
		if rapid.Bool().Draw(t, "stubble") {
			g.LeaveCM, height = rapid.Float64Range(1, 60).Draw(t, "leave"), rapid.Float64Range(1, 200).Draw(t, "height")
		}
		at := func(kg, leave float64) float64 {
			s := forage.Standing{KgDM: kg}
			got, why := s.Usable(forage.Grazing{UtilisationPct: g.UtilisationPct, LeaveCM: leave}, height)
			if why != "" {
				t.Fatal(why)
			}
			return got
		}
		used := at(kg, g.LeaveCM)
		if used < 0 || used > kg*g.UtilisationPct/100*(1+1e-9) {
			t.Fatalf("%g of %g kg", used, kg)
		}
		if at(kg+100, g.LeaveCM) < used || at(kg, g.LeaveCM/2) < used {
			t.Fatal("more feed, or less stubble, leaves less")
		}
	})
}

func BenchmarkStandingFeed(b *testing.B) {
	t := &testing.T{}
	f := newFarm(t)
	for i := range 120 {
		f.walk(fmt.Sprintf("2026-%02d-%02d", 5+i/30, 1+i%28), "north", 2000+float64(i))
	}
	h := f.on("2026-09-01")
	for b.Loop() {
		if s := forage.StandingFeed(h, "north", demandOf(h)); s.Why != "" {
			b.Fatal(s.Why)
		}
	}
}
