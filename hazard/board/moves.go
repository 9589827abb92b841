package board

import (
	"cmp"
	"io"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
	"rimegate/hazard/moves"
)

// Moves is where the herds can stand, in words and numbers.
type Moves struct {
	S     *moves.Situation
	Below bool // Text stands below what says who must move out now, and does not repeat it
	s     *speaker
	opens map[[2]int]*ClearDay
}

// mobPlan is where one mob can stand. Its texts are as the journal has them.
type mobPlan struct {
	Herds      []string        `doc:"herds"`
	Head       float64         `doc:"head,null"`
	Classes    []hazard.Class  `doc:"classes"`
	In         string          `doc:"in,null"`
	PerDay     *span           `doc:"dm_kg_day"` // nil: what they eat is not known, and nothing is planned
	How        []string        `doc:"how"`
	Missing    string          `doc:"missing,null"`
	HeadDays   map[string]span `doc:"head_days"`
	Unmeasured []string        `doc:"unmeasured"`
	Today      []pasture       `doc:"today"`
	Plan       []stretch       `doc:"plan"`
	Gap        *gap            `doc:"gap"`
	Opens      []opening       `doc:"opens"`
}

// pasture is a ground that a mob may stand on today.
type pasture struct {
	Paddock  string      `doc:"paddock"`
	Through  fields.Date `doc:"clear_through"`
	FeedDays *span       `doc:"feed_days"`         // nil: not known
	Taken    string      `doc:"stands_there,null"` // who else stands there

	ends bool // the days shown hold a worse one
}

type stretch struct {
	From    fields.Date `doc:"from"`
	To      fields.Date `doc:"to"`
	Paddock string      `doc:"paddock,null"` // "": no ground
}

type gap struct {
	Days span `doc:"days"`
	DMKg span `doc:"dm_kg"`
}

type opening struct {
	Paddock  string    `doc:"paddock"`
	FeedDays span      `doc:"feed_days"`
	Clear    *ClearDay `doc:"clear"`
}

// groundFeed is the feed of a paddock.
type groundFeed struct {
	Paddock  string   `doc:"paddock"`
	Name     string   `doc:"name"`
	UsableKg *float64 `doc:"usable_dm_kg"`
	Missing  string   `doc:"missing,null"`
}

// NewMoves takes a situation and the assessments it was made of.
func NewMoves(s *moves.Situation, days []*hazard.Assessment) *Moves {
	return &Moves{S: s, s: newSpeaker(days[0], UnitsOf(days[0].History)), opens: map[[2]int]*ClearDay{}}
}

// Opens notes the earliest clear day of a ground for a mob.
func (m *Moves) Opens(mob, ground int, c *ClearDay) { m.opens[[2]int{mob, ground}] = c }

func (m *Moves) utilisation() float64 {
	return cmp.Or(m.S.Set.UtilisationPct, forage.DefaultUtilisation)
}

func (m *Moves) grounds() []groundFeed {
	var out []groundFeed
	for _, g := range m.S.Grounds {
		out = append(out, groundFeed{g.ID, paddockName(m.s.h, g.ID), nil, g.Why})
		if kg := math.Round(g.UsableKg); g.Why == "" {
			out[len(out)-1].UsableKg = &kg
		}
	}
	return out
}

// mob works out one mob's answer.
func (m *Moves) mob(i int) *mobPlan {
	s, mob := m.S, &m.S.Mobs[i]
	out := &mobPlan{
		Herds: mob.Herds, Head: mob.Head, Classes: mob.Classes, In: mob.In, How: mob.How, Missing: mob.Why, HeadDays: map[string]span{},
	}
	feed := s.FeedOf(i)
	for _, q := range feed.Unknown {
		out.Unmeasured = append(out.Unmeasured, s.Grounds[q].ID)
	}
	days := func(q int) span {
		st := &s.Stands[i][q]
		return span{float64(st.Days), float64(max(st.Days, st.AtMost))}
	}
	for q := range s.Grounds {
		g, st := &s.Grounds[q], &s.Stands[i][q]
		if st.Flags[0] != hazard.Clear {
			continue
		}
		at := pasture{Paddock: g.ID, Through: s.Days[st.ClearFor()-1], Taken: standsThere(s, i, g), ends: st.ClearFor() < len(st.Flags)}
		if mob.Known() && g.Why == "" {
			d := days(q)
			at.FeedDays = &d
		}
		out.Today = append(out.Today, at)
	}
	if !mob.Known() {
		return out
	}
	out.PerDay = &span{math.Round(mob.PerDay.Low), math.Round(mob.PerDay.High)}
	for _, f := range []hazard.Flag{hazard.Clear, hazard.Caution, hazard.Hold} {
		out.HeadDays[f.String()] = span{float64(feed.HeadDays[f]), float64(feed.AtMost[f])}
	}
	for _, st := range s.Stretches(&s.Plan, i) {
		x := stretch{From: st.From, To: st.To}
		if st.Ground != moves.Nowhere {
			x.Paddock = s.Grounds[st.Ground].ID
		}
		out.Plan = append(out.Plan, x)
	}
	most, kg := s.Gap(&s.Plan, i, mob.PerDay.High)
	least, leastKg := s.Gap(&s.Low, i, mob.PerDay.Low)
	// Of mobs that want the same paddock one can do worse where all of them eat less.
	out.Gap = &gap{
		span{float64(min(least, most)), float64(max(least, most))},
		span{math.Round(min(leastKg, kg)), math.Round(max(leastKg, kg))},
	}
	for q := range s.Grounds {
		if c := m.opens[[2]int{i, q}]; c != nil && c.On != fields.NoDate {
			c.Text = c.ClearWords(s.Days[0])
			out.Opens = append(out.Opens, opening{s.Grounds[q].ID, days(q), c})
		}
	}
	return out
}

// standsThere names who else stands on the ground.
func standsThere(s *moves.Situation, mob int, g *moves.Ground) string {
	if g.Taken != "" {
		return g.Taken
	}
	for k := range s.Mobs {
		if k != mob && s.Mobs[k].In == g.ID {
			return strings.Join(s.Mobs[k].Herds, ", ")
		}
	}
	return ""
}

// JSON is where the herds can stand as a document of rimegate/moves/1.
func (m *Moves) JSON() ([]byte, error) {
	doc := struct {
		Head
		MoveOut     []string      `doc:"move_out"`
		Days        []fields.Date `doc:"days"`
		Utilisation float64       `doc:"utilisation_pct"`
		LeaveCM     float64       `doc:"leave_cm,null"`
		Herds       []*mobPlan    `doc:"herds"`
		Paddocks    []groundFeed  `doc:"paddocks"`
		PlanProved  bool          `doc:"plan_proved"`
		Warning     string        `doc:"warning"`
	}{
		m.s.head(MovesSchemaName), m.s.moveOuts(), m.S.Days, m.utilisation(), m.S.Set.LeaveCM, nil, m.grounds(), m.S.Plan.Proved, planWarning,
	}
	for i := range m.S.Mobs {
		doc.Herds = append(doc.Herds, m.mob(i))
	}
	return document(doc)
}

const planWarning = "A plan is not a YES: read each morning's list and what it says to do first."

// Text writes where the herds can stand as plain text of at most width cells a
// line.
func (m *Moves) Text(w io.Writer, width int) error {
	t := newText(w, width)
	s := m.S
	if !m.Below {
		t.paras("", "  ", m.s.moveOuts())
		t.blank()
	}
	t.para("", "", m.s.sheet().Farm+", "+s.Days[0].Words()+": where the herds can be through "+m.last()+
		", if nothing else happens.")
	t.paras("", "  ", m.s.exchangeNotices())
	t.para("", "", "Only paddocks CLEAR for every class of a herd count, one herd in each. "+planWarning)
	t.para("", "", m.feedWords())
	if len(s.Mobs) == 0 {
		t.title("No herd set up: rimegate herd add --class bred-cattle --head 85 pairs")
	}
	for i := range s.Mobs {
		t.blank()
		m.text(t, i, m.mob(i))
	}
	t.blank()
	head := "Feed not known, so not counted:"
	for _, g := range m.grounds() {
		if g.Missing != "" {
			t.para("", "", head)
			t.items(sentence(g.Name + ": " + Clean(g.Missing)))
			head = ""
		}
	}
	t.para("", "  ", provided(!s.Plan.Proved, "The search for the best plan gave up at its limit: this plan breaks no rule, "+
		"but one with less gap or fewer moves may exist. Ask for fewer days."))
	return t.flush()
}

func (m *Moves) last() string { return m.s.date(m.S.Days[len(m.S.Days)-1]) }

func (m *Moves) feedWords() string {
	pct := m.utilisation()
	text := "Of the feed that walks measured " + number(pct, 0) + " % may be eaten"
	for _, u := range forage.Utilisations {
		if u.Pct == pct {
			text += " (" + u.What + ": " + u.Source.Publisher + ")"
		}
	}
	if cm := m.S.Set.LeaveCM; cm > 0 {
		text += ", " + m.s.u.in(fields.Height, cm) + " stay standing"
	}
	return text + "; what stock ate since is taken off. Growth is not counted. Days are whole days; " + aumMeans + "."
}

// text writes one mob's answer.
func (m *Moves) text(t *text, i int, p *mobPlan) {
	head := join(cleanAll(p.Herds)) + provided(p.Head > 0 && p.PerDay != nil, ", "+number(p.Head, 0)+" head") +
		" (" + ClassWords(p.Classes) + ")"
	if p.In == "" {
		head += ": nobody logged where"
	} else {
		head += ": in " + paddockName(m.s.h, p.In)
	}
	for q, g := range m.S.Grounds {
		if p.In != "" && g.ID == p.In {
			head += ", which is " + FlagWord(m.S.Stands[i][q].Flags[0]) + " today"
		}
	}
	t.para("", "  ", head+".")
	if own := cleanAll(m.S.Mobs[i].Water); len(own) > 0 {
		t.items("Their own stock water (" + join(own) + ") is counted in every paddock: nitrate of feed and water adds up.")
	}
	if p.PerDay == nil {
		t.items(sentence("not known what they eat, so nothing is planned for them: "+Clean(p.Missing)), m.today(p))
		return
	}
	days := func(f hazard.Flag) string {
		d := p.HeadDays[f.String()]
		return ends(number(d.Low, 0), number(d.High, 0))
	}
	t.items(
		"They eat "+m.kg(*p.PerDay)+" of dry matter a day: "+Clean(strings.Join(p.How, "; "))+".",
		"Head-days of feed: "+days(hazard.Clear)+" CLEAR, "+days(hazard.Caution)+" ask first (CAUTION), "+days(hazard.Hold)+
			" locked behind HOLD; "+plural(len(p.Unmeasured), "paddock")+" not measured.",
		m.unitMonths(p),
		m.today(p),
		"Plan (high end of intake):",
	)
	was := p.In
	for _, st := range p.Plan {
		what := "move to " + paddockName(m.s.h, st.Paddock)
		switch st.Paddock {
		case "":
			what = "NO CLEAR PADDOCK WITH MEASURED FEED"
		case was:
			what = "stay in " + paddockName(m.s.h, was)
		}
		was = st.Paddock
		t.para("    ", "      ", st.From.Short()+provided(st.To != st.From, " through "+st.To.Short())+" ("+plural(st.To.Sub(st.From)+1, "day")+"): "+what)
	}
	gap := "GAP: " + daysRange(p.Gap.Days) + ", " + m.kg(p.Gap.DMKg) + " of dry matter to find" +
		provided(p.Gap.Days.Low != p.Gap.Days.High || p.Gap.DMKg.Low != p.Gap.DMKg.High, " (low and high end of intake)") + "."
	if p.Gap.Days.High == 0 {
		gap = "No gap through " + m.last() + "."
	}
	t.items(gap)
	for _, x := range p.Opens {
		t.items("Opens: " + paddockName(m.s.h, x.Paddock) + ", feed for " + daysRange(x.FeedDays) + ". " + x.Clear.Text)
	}
}

// today says where a mob can stand today.
func (m *Moves) today(p *mobPlan) string {
	var places []string
	for _, at := range p.Today {
		feed := ""
		switch {
		case p.PerDay == nil:
		case at.FeedDays == nil:
			feed = " (feed not known)"
		case at.FeedDays.Low == 0:
			feed = " (not a day's feed)"
		default:
			feed = " (feed for " + daysRange(*at.FeedDays) + ")"
		}
		places = append(places, paddockName(m.s.h, at.Paddock)+feed+
			provided(at.ends, ", CLEAR through "+m.s.date(at.Through)+" as things stand")+
			provided(at.Taken != "", ", but "+Clean(at.Taken)+" are there"))
	}
	if len(places) == 0 {
		return "No clear paddock for them today: feed them elsewhere, or call where the list says CAUTION."
	}
	return "Today they can go in: " + strings.Join(places, "; ") + "."
}

func (m *Moves) kg(r span) string {
	one := func(kg float64) string {
		if m.s.u == US {
			return few(kg/0.45359237) + " lb"
		}
		return few(kg) + " kg"
	}
	return ends(one(r.Low), one(r.High))
}

// daysRange is "3 days" or "3 to 5 days".
func daysRange(d span) string {
	if d.High <= d.Low {
		return plural(int(d.Low), "day")
	}
	return number(d.Low, 0) + " to " + plural(int(d.High), "day")
}

// unitMonths says the same feed in animal unit months.
func (m *Moves) unitMonths(p *mobPlan) string {
	if !(p.Head > 0) {
		return ""
	}
	in := func(f hazard.Flag) string { return aum(p.HeadDays[f.String()].Low * p.PerDay.High / p.Head) }
	return "That is " + in(hazard.Clear) + " AUM CLEAR, " + in(hazard.Caution) + " ask first, " + in(hazard.Hold) + " behind HOLD."
}
