package farm

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/moves"
)

// MaxOpens is for how many paddocks a herd is told when they open: those with
// the most feed.
const MaxOpens = 6

// playUses are what is asked where stock stand.
var playUses = []hazard.Use{hazard.Graze, hazard.SwathGraze}

// Moves works out where, by a view of today, the herds can stand today and on the days after it. The
// plan is played through: its moves are assumed as entries, and each day in it
// is asked for again with them, since stock that go in and out change what is
// known of a stand. What is not CLEAR then is taken out and the plan made anew.
func (v *View) Moves(days int, set moves.Settings) (*board.Moves, error) {
	only := Only{Uses: playUses}
	for _, g := range v.History.Herds {
		only.Classes = append(only.Classes, moves.ClassesOf(g)...)
	}
	slices.Sort(only.Classes)
	only.Classes = slices.Compact(only.Classes)
	a, err := v.Ahead(days, nil, only)
	if err != nil {
		return nil, err
	}
	s := moves.Weigh(a.Days, set)
	asked := make([]*Ahead, len(s.Mobs)) // the days as each mob finds them
	for m := range s.Mobs {
		asked[m] = a
		if names, water := v.ownWater(&s.Mobs[m]); len(water) > 0 {
			asked[m] = &Ahead{View: a.View, Days: a.View.daysAhead(water, days, only), only: only}
			s.Drinks(m, names, asked[m].Days)
		}
	}
	board.Refuges(a.Days[0], s)
	s.Replan()
	for a.play(s, &s.Plan) || a.play(s, &s.Low) {
		s.Replan()
	}
	m := board.NewMoves(s, a.Days)
	type found struct {
		days *Ahead
		q    int
	}
	grounds := map[found]*ground{}
	for i := range s.Mobs {
		for _, q := range s.Awaited(i, MaxOpens) {
			at := found{asked[i], q}
			if grounds[at] == nil {
				grounds[at] = newGround(asked[i], s.Grounds[q].ID)
			}
			row := &board.StripRow{ID: s.Grounds[q].ID, Classes: s.Mobs[i].Classes, Flags: s.Stands[i][q].Flags}
			m.Opens(i, q, (&search{ground: grounds[at], row: row, use: hazard.Graze}).find())
		}
	}
	return m, nil
}

// ownWater are the tested sources that a mob drinks from wherever it stands (§10.2), and
// entries that bring them to every paddock.
func (v *View) ownWater(m *moves.Mob) (names []string, water []fields.Entry) {
	var everywhere []string
	for _, p := range v.History.Standing() {
		everywhere = append(everywhere, p.ID)
	}
	for _, w := range hazard.WaterSources(v.History, v.Today) {
		if slices.ContainsFunc(m.Herds, func(id string) bool { return slices.Contains(w.Herds, id) }) {
			drunk := *w.Fact.Water
			drunk.Paddocks = everywhere
			names = append(names, w.Fact.Source)
			water = append(water, fields.Entry{Recorded: v.Now, By: "nobody", Body: &drunk})
		}
	}
	return names, water
}

// play assumes the moves of the plan and closes every day of it that is not
// clear with them; it reports whether it closed any. Each round closes at least
// one of finitely many days, so playing comes to an end.
func (a *Ahead) play(s *moves.Situation, plan *moves.Plan) bool {
	var assumed []fields.Entry
	for m := range s.Mobs {
		was := s.Mobs[m].In
		for _, st := range s.Stretches(plan, m) {
			for _, herd := range s.Mobs[m].Herds {
				e := fields.Entry{Recorded: a.View.Now, By: "nobody", On: st.From}
				switch {
				case st.Ground != moves.Nowhere && s.Grounds[st.Ground].ID != was:
					e.Body = &fields.Grazed{Paddock: s.Grounds[st.Ground].ID, State: "in", Herd: herd}
				case st.Ground == moves.Nowhere && was != "":
					e.Body = &fields.Grazed{Paddock: was, State: "out", Herd: herd}
				default:
					continue
				}
				assumed = append(assumed, e)
			}
			was = ""
			if st.Ground != moves.Nowhere {
				was = s.Grounds[st.Ground].ID
			}
		}
	}
	if len(assumed) == 0 {
		return false
	}
	closed := false
	day := a.View.with(assumed, Question{On: s.Days[0], KnownAt: a.View.History.KnownAt})
	for d := range s.Days {
		day = day.onDay(s.Days[d])
		for m := range s.Mobs {
			if len(plan.Place[m]) == 0 || plan.Place[m][d] == moves.Nowhere {
				continue
			}
			q := plan.Place[m][d]
			p, there := hazard.AssessPaddock(day.History, day.Book, s.Grounds[q].ID, playUses...)
			stands := there && p.Paddock.Retired == fields.NoDate
			if !stands || moves.Worst(&p, s.Mobs[m].Classes) != hazard.Clear {
				s.Close(m, d, q)
				closed = true
			}
		}
	}
	return closed
}
