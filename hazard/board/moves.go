package board

import (
	"io"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
	"rimegate/hazard/moves"
)

// Moves is where the herds can stand, in words.
type Moves struct {
	S     *moves.Situation
	a     *hazard.Assessment
	s     *speaker
	opens map[[2]int]*ClearDay
}

// NewMoves takes a situation and the assessments it was made of.
func NewMoves(s *moves.Situation, days []*hazard.Assessment) *Moves {
	return &Moves{S: s, a: days[0], s: newSpeaker(days[0], UnitsOf(days[0].History)), opens: map[[2]int]*ClearDay{}}
}

// Opens notes the earliest clear day of a ground for a mob.
func (m *Moves) Opens(mob, ground int, c *ClearDay) { m.opens[[2]int{mob, ground}] = c }

// Text writes where the herds can stand as plain text of at most width cells a
// line.
func (m *Moves) Text(w io.Writer, width int) error {
	t := newText(w, width)
	s := m.S
	name := Clean(m.a.History.Farm.Name)
	if name == "" {
		name = "The farm"
	}
	last := s.Days[len(s.Days)-1]
	for i := range m.a.Paddocks {
		p := &m.a.Paddocks[i]
		for _, in := range standing(m.a, p) {
			if in.flag == hazard.Hold {
				t.para("", "  ", m.s.moveOut(&in, p))
			}
		}
	}
	for _, x := range m.s.stopFeedings("") {
		t.para("", "  ", x)
	}
	t.blank()
	t.para("", "", name+", "+s.Days[0].Words()+": where the herds can stand through "+last.Words()+", if nothing else happens.")
	t.para("", "", "Only paddocks that are CLEAR for all classes of a herd count, one herd in each. A plan is no turn-in: read each morning's list, and the conditions on it.")
	t.para("", "", m.feedWords())
	if len(s.Mobs) == 0 {
		t.blank()
		t.para("", "", "No herd is set up: rimegate herd add --class bred-cattle --head 85 pairs")
	}
	for i := range s.Mobs {
		t.blank()
		m.mob(t, i)
	}
	t.blank()
	var unknown []string
	for q := range s.Grounds {
		if g := &s.Grounds[q]; g.Why != "" {
			unknown = append(unknown, paddockName(m.a.History, g.ID)+": "+Clean(g.Why))
		}
	}
	if len(unknown) > 0 {
		t.para("", "", "Feed not known, so not counted:")
		for _, u := range unknown {
			t.para("  ", "    ", sentence(u))
		}
	}
	if !s.Plan.Proved {
		t.para("", "  ", "The search for the best plan gave up at its limit: this plan breaks no rule, but one with less gap or fewer moves may exist. Ask for fewer days.")
	}
	return t.flush()
}

func (m *Moves) feedWords() string {
	set := m.S.Set
	pct := set.UtilisationPct
	if pct == 0 {
		pct = forage.DefaultUtilisation
	}
	text := "Feed is what walks measured, less what stock ate since; of it " + number(pct, 0) + " % counts as eaten"
	for _, u := range forage.Utilisations {
		if u.Pct == pct {
			text += " (" + u.What + ": " + u.Source.Publisher + ")"
		}
	}
	if set.LeaveCM > 0 {
		text += ", " + m.s.u.in(fields.Height, set.LeaveCM) + " stay standing"
	}
	return text + ". Growth is not counted. Days are whole days."
}

func (m *Moves) mob(t *text, i int) {
	s, mob := m.S, &m.S.Mobs[i]
	herds := make([]string, len(mob.Herds))
	for k, id := range mob.Herds {
		herds[k] = Clean(id)
	}
	head := join(herds)
	if mob.Head > 0 && mob.Known() {
		head += ", " + number(mob.Head, 0) + " head"
	}
	head += " (" + classList(mob.Classes) + ")"
	here := -1
	for q := range s.Grounds {
		if s.Grounds[q].ID == mob.In {
			here = q
		}
	}
	switch {
	case mob.In == "":
		head += ": nobody said where"
	case here < 0:
		head += ": in " + paddockName(m.a.History, mob.In)
	default:
		head += ": in " + paddockName(m.a.History, mob.In) + ", which is " + FlagWord(s.Stands[i][here].Flags[0]) + " today"
	}
	t.para("", "  ", head+".")
	const in, on = "  ", "    "
	if !mob.Known() {
		t.para(in, on, sentence("what they eat is not known, so nothing is planned for them: "+Clean(mob.Why)))
		m.placesToday(t, i)
		return
	}
	t.para(in, on, "They eat "+m.between(mob.PerDay.Low, mob.PerDay.High)+" of dry matter a day: "+Clean(strings.Join(mob.How, "; "))+".")
	f := s.FeedOf(i)
	t.para(in, on, "Head-days of feed: "+headDays(f, hazard.Clear)+" CLEAR, "+headDays(f, hazard.Caution)+" ask first (CAUTION), "+headDays(f, hazard.Hold)+" locked behind HOLD; "+plural(len(f.Unknown), "paddock")+" not measured.")
	m.placesToday(t, i)
	m.plan(t, i)
	for q := range s.Grounds {
		if c := m.opens[[2]int{i, q}]; c != nil && c.On != fields.NoDate {
			t.para(in, on, "Opens: "+paddockName(m.a.History, s.Grounds[q].ID)+", feed for "+daysRange(s.Stands[i][q].Days, s.Stands[i][q].AtMost)+". "+c.ClearWords(s.Days[0]))
		}
	}
}

func (m *Moves) placesToday(t *text, i int) {
	s, mob := m.S, &m.S.Mobs[i]
	var places []string
	for q := range s.Grounds {
		g, st := &s.Grounds[q], &s.Stands[i][q]
		if st.Flags[0] != hazard.Clear {
			continue
		}
		text := paddockName(m.a.History, g.ID)
		until := s.Days[st.ClearFor()-1]
		switch {
		case !mob.Known():
		case g.Why != "":
			text += " (feed not known)"
		case st.Days == 0:
			text += " (not a day's feed)"
		default:
			text += " (feed for " + daysRange(st.Days, st.AtMost) + ")"
		}
		if st.ClearFor() < len(st.Flags) {
			text += ", CLEAR through " + until.Words() + " as things stand"
		}
		if who := m.others(i, g); who != "" {
			text += ", but " + who + " stand there"
		}
		places = append(places, text)
	}
	if len(places) == 0 {
		t.para("  ", "    ", "Today they can stand in no paddock: feed them off the land, or ask first where the list says CAUTION.")
		return
	}
	t.para("  ", "    ", "Today they can stand in: "+strings.Join(places, "; ")+".")
}

// others names who else stands on the ground.
func (m *Moves) others(mob int, g *moves.Ground) string {
	if g.Taken != "" {
		return Clean(g.Taken)
	}
	for k := range m.S.Mobs {
		if k != mob && m.S.Mobs[k].In == g.ID {
			return Clean(strings.Join(m.S.Mobs[k].Herds, ", "))
		}
	}
	return ""
}

func (m *Moves) plan(t *text, i int) {
	s, mob := m.S, &m.S.Mobs[i]
	t.para("  ", "    ", "Plan (high end of intake):")
	was := mob.In
	for _, st := range s.Stretches(&s.Plan, i) {
		days := plural(st.To.Sub(st.From)+1, "day")
		when := st.From.Short() + " through " + st.To.Short() + " (" + days + "): "
		if st.From == st.To {
			when = st.From.Short() + " (1 day): "
		}
		what := "NO CLEAR PADDOCK WITH MEASURED FEED"
		if st.Ground != moves.Nowhere {
			what = "move to "
			if s.Grounds[st.Ground].ID == was {
				what = "stay in "
			}
			what += paddockName(m.a.History, s.Grounds[st.Ground].ID)
			was = s.Grounds[st.Ground].ID
		} else {
			was = ""
		}
		t.para("    ", "      ", when+what)
	}
	days, kg := s.Gap(&s.Plan, i, mob.PerDay.High)
	least, leastKg := s.Gap(&s.Low, i, mob.PerDay.Low)
	switch {
	case days == 0:
		t.para("  ", "    ", "No gap through "+s.Days[len(s.Days)-1].Words()+".")
	default:
		t.para("  ", "    ", "GAP: "+daysRange(least, days)+", "+m.between(leastKg, kg)+" of dry matter to find (low and high end of intake).")
	}
}

func (m *Moves) between(low, high float64) string {
	lo, hi := m.s.u.in(fields.Weight, math.Round(low)), m.s.u.in(fields.Weight, math.Round(high))
	if lo == hi {
		return hi
	}
	return lo + " to " + hi
}

func headDays(f moves.Feed, flag hazard.Flag) string {
	a, b := f.HeadDays[flag], f.AtMost[flag]
	if a == b {
		return number(float64(a), 0)
	}
	return number(float64(a), 0) + " to " + number(float64(b), 0)
}

// daysRange is "3 days" or "3 to 5 days".
func daysRange(a, b int) string {
	if b <= a {
		return plural(a, "day")
	}
	return number(float64(a), 0) + " to " + plural(b, "day")
}
