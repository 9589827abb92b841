package farm

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/moves"
)

// pastures adds brome paddocks with measured feed and herds to a random farm,
// so that there is somewhere to go.
func pastures(r *rand.Rand, v *View, known []fields.Entry) []fields.Entry {
	n := 0
	say := func(on fields.Date, b fields.Body) {
		n++
		e := entryOf(fmt.Sprintf("7YYYYYYYYYYYYYYYYYYYYYYY%02d", n), v.Now, b)
		e.On = on
		known = append(known, e)
	}
	yes := true
	for i := range 3 {
		id := fmt.Sprintf("brome-%d", i)
		say(v.Today-300, &fields.PaddockFacts{Paddock: id, Name: id, AreaHa: num(float64(2 + r.IntN(20)))})
		say(v.Today-300, &fields.Sown{Paddock: id, Species: []fields.SpeciesShare{{Species: "smooth bromegrass"}}, NewStand: &yes})
		say(v.Today.Add(-r.IntN(26)), &fields.Walk{Paddock: id, FrostDamage: "none", StressFree: &yes, WeedsChecked: &yes, KgDMHa: num(float64(r.IntN(3000)))})
	}
	for _, p := range v.History.Standing() {
		if r.IntN(3) > 0 {
			say(v.Today, &fields.PaddockFacts{Paddock: p.ID, Name: p.ID, AreaHa: num(float64(1 + r.IntN(30)))})
			say(v.Today, &fields.Walk{Paddock: p.ID, KgDMHa: num(float64(r.IntN(6000)))})
		}
	}
	for i, class := range []string{"bred-cattle", "sheep"} {
		say(v.Today, &fields.HerdFacts{Herd: fmt.Sprintf("herd-%d", i), Classes: []string{class}, Head: num(float64(10 + r.IntN(200))), WeightKg: num(float64(60 + 500*(1-i)))})
		if r.IntN(2) == 0 {
			say(v.Today, &fields.Grazed{Paddock: fmt.Sprintf("brome-%d", i), State: "in", Herd: fmt.Sprintf("herd-%d", i)})
		}
	}
	return known
}

// On random farms no plan ever puts a herd where its list would not say CLEAR
// for each of its classes that day, with the plan's own moves in the record; it
// never mixes herds, never eats more than was measured, and never goes back.
func TestMovesNeverViolateAFlag(t *testing.T) {
	stood, moved := 0, 0
	for seed := range uint64(25) {
		r := rand.New(rand.NewPCG(10, seed))
		f, known, _ := farmAt(r)
		known = pastures(r, f.refold(known, Question{}), known)
		v := f.refold(known, Question{})
		m, err := v.Moves(10, moves.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		s := m.S
		var steps []fields.Entry
		for i := range s.Mobs {
			at := s.Mobs[i].In
			gone := map[string]bool{}
			ate := map[int]float64{}
			for d, q := range s.Plan.Place[i] {
				to := ""
				if q != moves.Nowhere {
					to = s.Grounds[q].ID
					ate[q] += s.Mobs[i].PerDay.High
					if ate[q] > s.Grounds[q].UsableKg*1.000001 || s.Grounds[q].Why != "" {
						t.Fatalf("seed %d: %v eat %v kg in %s, which has %v (%s)", seed, s.Mobs[i].Herds, ate[q], to, s.Grounds[q].UsableKg, s.Grounds[q].Why)
					}
				}
				if to == at {
					continue
				}
				moved++
				gone[at] = true
				if to != "" && gone[to] {
					t.Fatalf("seed %d: %v go back into %s", seed, s.Mobs[i].Herds, to)
				}
				for _, herd := range s.Mobs[i].Herds {
					g := &fields.Grazed{Paddock: to, State: "in", Herd: herd}
					if to == "" {
						g = &fields.Grazed{Paddock: at, State: "out", Herd: herd}
					}
					steps = append(steps, fields.Entry{ID: fmt.Sprintf("7X%024d", len(steps)), Recorded: v.Now, By: "Ada", On: s.Days[d], Body: g})
				}
				at = to
			}
		}
		for d, day := range s.Days {
			a := f.refold(append(append([]fields.Entry{}, known...), steps...), Question{On: day}).Assess()
			in := map[int]int{}
			for i := range s.Mobs {
				if len(s.Plan.Place[i]) == 0 || s.Plan.Place[i][d] == moves.Nowhere {
					continue
				}
				q := s.Plan.Place[i][d]
				if o, ok := in[q]; ok {
					t.Fatalf("seed %d: mobs %d and %d in %s on %s", seed, i, o, s.Grounds[q].ID, day)
				}
				in[q] = i
				stood++
				for j := range a.Paddocks {
					p := &a.Paddocks[j]
					for _, c := range s.Mobs[i].Classes {
						if p.Paddock.ID == s.Grounds[q].ID && p.Verdict(hazard.Graze, c).Flag != hazard.Clear {
							t.Fatalf("seed %d: %v stand in %s on %s, which is %s for %s", seed, s.Mobs[i].Herds, p.Paddock.ID, day, p.Verdict(hazard.Graze, c).Flag, c)
						}
					}
				}
			}
		}
	}
	if stood < 100 || moved < 20 {
		t.Errorf("only %d herd-days stood and %d moves; this test proves little", stood, moved)
	}
	t.Logf("%d herd-days, %d moves", stood, moved)
}

// On random farms the page sends a herd that must leave only where the moves let it
// stand today, and the plan starts in that paddock wherever its feed was measured.
func TestPageAndMovesAgree(t *testing.T) {
	sent, planned := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(11, seed))
		f, known, _ := farmAt(r)
		known = pastures(r, f.refold(known, Question{}), known)
		v := f.refold(known, Question{})
		for i := range 2 { // into the random farm's own paddocks, good and bad
			if ps := v.History.Standing(); r.IntN(4) > 0 {
				e := entryOf(fmt.Sprintf("7ZZZZZZZZZZZZZZZZZZZZZZZ%02d", i), v.Now, &fields.Grazed{Paddock: ps[r.IntN(len(ps))].ID, State: "in", Herd: fmt.Sprintf("herd-%d", i)})
				e.On = v.Today
				known = append(known, e)
			}
		}
		v = f.refold(known, Question{})
		a := v.Assess()
		s := moves.Weigh([]*hazard.Assessment{a}, moves.Settings{})
		to := board.Refuges(a, s)
		m, err := v.Moves(5, moves.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		text := ""
		for _, x := range board.NewPage(a, board.Filter{}, nil).Acts {
			text += x.To + "\n"
		}
		for mob, q := range to {
			if q == moves.Nowhere {
				continue
			}
			sent++
			g, st := &m.S.Grounds[q], &m.S.Stands[mob][q]
			if !strings.Contains(text, strings.ToUpper(g.ID)+", YES for them") || st.Flags[0] != hazard.Clear || g.Taken != "" {
				t.Fatalf("seed %d: %v are sent to %s, flags %v, taken by %q:\n%s", seed, m.S.Mobs[mob].Herds, g.ID, st.Flags, g.Taken, text)
			}
			if place := m.S.Plan.Place[mob]; len(place) > 0 && st.Days > 0 {
				planned++
				if place[0] != q {
					t.Errorf("seed %d: the page sends %v to %s, the plan to %v", seed, m.S.Mobs[mob].Herds, g.ID, place)
				}
			}
		}
	}
	t.Logf("%d mobs sent somewhere, %d of them planned", sent, planned)
	if sent < 15 || planned < 10 {
		t.Errorf("too few: %d sent, %d planned", sent, planned)
	}
}
