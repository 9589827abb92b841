package farm

import (
	"fmt"
	"runtime"
	"slices"
	"sync"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/moves"
)

// LabDays is how long a laboratory is taken to need, at the least, from the
// sampling to the result (common practice, no source: ask yours).
const LabDays = 3

// earliest finds, for every row of the strip, the first day on which a CLEAR
// could come, by asking the engine: the best evidence a person could bring by
// that day is added to the fold, and if the answer is CLEAR, what of it is not
// needed is taken away again. Nothing here knows a rule; a new rule of the
// engine is followed of itself. Only people's evidence is assumed (walks,
// samples, nights looked up): frosts, results and incidents stay what they are.
func (a *Ahead) earliest(s *board.Strip) {
	byPaddock := map[string][]*board.StripRow{}
	for i := range s.Rows {
		r := &s.Rows[i]
		byPaddock[r.ID] = append(byPaddock[r.ID], r)
	}
	var wait sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for _, rows := range byPaddock { // paddocks know nothing of each other: in any order, side by side
		free <- struct{}{}
		wait.Go(func() {
			g := newGround(a, rows[0].ID)
			for _, r := range rows {
				if r.Flags[0] == hazard.Clear {
					a.keeps(r, s.Use)
				} else {
					r.First = (&search{ground: g, row: r, use: s.Use}).find()
				}
			}
			<-free
		})
	}
	wait.Wait()
}

// keeps says until when a row that is clear now stays so by itself.
func (a *Ahead) keeps(r *board.StripRow, use hazard.Use) {
	i := slices.IndexFunc(r.Flags, func(f hazard.Flag) bool { return f != hazard.Clear })
	if i < 0 {
		r.After = "CLEAR on all these days if nothing else happens."
		return
	}
	day := a.Days[i]
	r.After = "CLEAR through " + (day.History.On - 1).Beside(a.Days[0].History.On) + " as things stand."
	p, _ := hazard.AssessPaddock(day.History, day.Book, r.ID, use)
	if re := worstReason(&p, use, r.Classes); re != nil {
		if act := board.Lifts(re, day, board.UnitsOf(day.History)); act != "" {
			r.After += " To go on: " + act
		}
	}
}

// clearFor reports whether a paddock is clear for each of the classes.
func clearFor(p *hazard.PaddockAnswer, use hazard.Use, classes []hazard.Class) bool {
	return p != nil && len(classes) > 0 && !slices.ContainsFunc(classes, func(c hazard.Class) bool {
		v := p.Verdict(use, c)
		return v == nil || v.Flag != hazard.Clear
	})
}

// worstReason is what keeps a paddock from being clear for the first class it is
// not clear for, nil if nothing does.
func worstReason(p *hazard.PaddockAnswer, use hazard.Use, classes []hazard.Class) *hazard.Reason {
	for _, c := range classes {
		if v := p.Verdict(use, c); v != nil && v.Flag != hazard.Clear {
			if re := v.Worst(); re != nil {
				return re
			}
		}
	}
	return nil
}

// ground is one paddock as searches ask about it; what was asked once is kept
// for the other classes and herds.
type ground struct {
	a      *Ahead
	id     string
	today  fields.Date
	state  hazard.StandState
	green  fields.Date // the last walk that found growth
	shoots bool
	swath  bool
	frosty fields.Date // the first night whose forecast speaks against it
	doubts fields.Date // the day from which that counts

	asker   hazard.Asker
	asked   map[question]*asked
	written map[evidence][]*fields.Entry
}

// question is what was asked of the engine.
type question struct {
	use hazard.Use
	on  fields.Date
	brought
}

// asked is an answer of the engine.
type asked struct {
	answer hazard.PaddockAnswer
	there  bool
}

func newGround(a *Ahead, id string) *ground {
	h := a.Days[0].History
	g := &ground{a: a, id: id, today: a.View.Today, asker: hazard.Asker{Classes: a.only.Classes}, asked: map[question]*asked{}, written: map[evidence][]*fields.Entry{}}
	g.green = hazard.LastGreen(h, a.Days[0].Book, id)
	p := a.Days[0].Paddock(id)
	if p == nil {
		return g
	}
	g.state = p.Stand
	if d, night := moves.FrostForecast(id, a.Days); d >= 0 {
		g.frosty, g.doubts = night, a.Days[d].History.On
	}
	for j := range p.Verdicts {
		switch v := &p.Verdicts[j]; v.Use {
		case hazard.SwathGraze:
			g.swath = g.swath || !v.Rests(hazard.LineNoSwath)
		case hazard.Graze:
			g.shoots = g.shoots || v.Rests(hazard.LineShoots)
		}
	}
	return g
}

// bearing are the entries of a whole farm that bear on one paddock: to fold thousands of
// others anew for each question would take minutes.
func bearing(all []fields.Entry, h *fields.History, id string) (out []fields.Entry) {
	land, stations, herds := map[string]bool{}, map[string]bool{}, map[string]bool{"": true}
	for _, line := range h.Lines(id) {
		for _, p := range line {
			land[p] = true
		}
		for _, s := range h.StationsOf(line) {
			stations[s] = true
		}
	}
	for i := range all {
		if b, ok := all[i].Body.(*fields.Grazed); ok && land[b.Paddock] {
			herds[b.Herd] = true
		}
	}
	for i := range all {
		keep := false
		switch b := all[i].Body.(type) {
		case *fields.Farm, *fields.Strike, *fields.Override, *fields.Split, *fields.Join, *fields.Water:
			keep = true // a herd brings its water along
		case *fields.Grazed:
			keep = herds[b.Herd] || land[b.Paddock]
		case *fields.HerdFacts:
			keep = herds[b.Herd]
		case *fields.StationFacts:
			keep = stations[b.Station]
		case *fields.Reading:
			keep = stations[b.Station] || land[b.Paddock]
		case *fields.Forecast:
			keep = stations[b.Station] || land[b.Paddock]
		default:
			keep = slices.ContainsFunc(all[i].Paddocks(), func(p string) bool { return land[p] })
		}
		if keep {
			out = append(out, all[i])
		}
	}
	return out
}

// search looks for the earliest clear day of one paddock, use and set of
// classes.
type search struct {
	*ground
	row  *board.StripRow
	use  hazard.Use
	last *asked // the answer to the last question
	on   fields.Date
	with brought
}

// act is what a person might do, in the order in which it is found out whether it
// is needed.
type act int

const (
	sampledAcid act = iota // with results as low as can be
	sampledNitrate
	lookedUp // the nights not read, to that day: they had no frost
	walked
	acts
)

// brought is evidence a person might bring.
type brought struct {
	dead bool       // what the walks find: a dead dry stand, or sound tall growth
	on   [acts]days // the days of each act
}

// evidence is what one act brings on a day.
type evidence struct {
	of   act
	dead bool
	on   fields.Date
}

// days are those from one through another and, unless it is NoDate, one more. None are
// the zero value.
type days struct{ from, to, also fields.Date }

func span(from, to fields.Date) days {
	if to < from {
		return days{}
	}
	return days{from: from, to: to}
}

// each goes through them in order.
func (s days) each(do func(fields.Date)) {
	for d := s.from; d <= s.to && s.to != fields.NoDate; d++ {
		do(d)
	}
	if s.also != fields.NoDate {
		do(s.also)
	}
}

// find is the earliest clear day, how long it lasts by itself, and the frost that is
// forecast before it.
func (s *search) find() *board.ClearDay {
	c := s.first()
	last := s.today.Add(len(s.row.Flags) - 1)
	for d := c.On; c.On != fields.NoDate && len(c.Needs) == 0 && c.Through == fields.NoDate && d < last; d++ {
		if !s.clear(d+1, brought{}) {
			c.Through = d
		}
	}
	if c.On != fields.NoDate && s.frosty != fields.NoDate && c.On >= s.doubts {
		c.Still = "if the frost forecast for the night of " + s.frosty.Beside(s.today) + " does not come"
	}
	return c
}

func (s *search) first() *board.ClearDay {
	n := len(s.row.Flags) - 1
	cases := []bool{false}
	shows := s.a.Days[0].Book.Days(hazard.FrostKillWalkAfter) // days until damage shows
	if s.state.HasP && s.state.LastClock != fields.NoDate && s.green < s.state.LastClock.Add(shows) {
		cases = append(cases, true) // no walk since has shown that the frost left it alive
	}
	if s.state.Dead {
		cases = []bool{true}
	}
	for i := 0; i <= n; i++ {
		d := s.today.Add(i)
		if s.row.Flags[i] == hazard.Clear {
			return &board.ClearDay{On: d}
		}
		for _, dead := range cases {
			samplings := span(s.today, d.Add(-LabDays))
			b := brought{dead, [acts]days{samplings, samplings, span(d, d), span(s.today, d)}}
			if s.clear(d, b) {
				return s.least(d, b)
			}
		}
	}
	c := &board.ClearDay{}
	if re := worstReason(&s.last.answer, s.use, s.row.Classes); re != nil {
		h := s.fold(s.on, s.with)
		c.Stuck = board.WordsFor(re, s.use, &hazard.Assessment{History: h, Book: s.a.Days[n].Book}, board.UnitsOf(h))
	}
	return c
}

// clear asks the engine for day d with what is brought.
func (s *search) clear(d fields.Date, b brought) bool {
	key := question{s.use, d, b}
	q := s.asked[key]
	if q == nil {
		q = &asked{}
		day := s.a.Days[d.Sub(s.today)]
		q.answer, q.there = s.asker.Assess(day.History.Suppose(s.id, s.made(b)), day.Book, s.id, s.use)
		s.asked[key] = q
	}
	s.last, s.on, s.with = q, d, b
	return q.there && clearFor(&q.answer, s.use, s.row.Classes)
}

// fold is the paddock's history on day d with what is brought, to speak of.
func (s *search) fold(d fields.Date, b brought) *fields.History {
	all := bearing(s.a.View.Entries, s.a.Days[0].History, s.id)
	for _, e := range s.made(b) {
		all = append(all, *e)
	}
	h := fields.Fold(all, fields.View{On: d, KnownAt: s.a.View.History.KnownAt})
	if !h.ZoneSet {
		h.Loc = s.a.View.Loc
	}
	return h
}

// made writes evidence as entries.
func (s *search) made(b brought) (out []*fields.Entry) {
	for of, on := range b.on {
		on.each(func(d fields.Date) {
			key := evidence{act(of), b.dead, d}
			if s.written[key] == nil {
				s.written[key] = s.write(key)
			}
			out = append(out, s.written[key]...)
		})
	}
	return out
}

// write writes one piece of evidence as entries. Of one day they count in the order of acts.
func (s *search) write(e evidence) (out []*fields.Entry) {
	order := [acts]int{lookedUp: 1, walked: 2, sampledNitrate: 3, sampledAcid: 4}
	say := func(on fields.Date, body fields.Body) {
		id := fmt.Sprintf("~%d%05d", order[e.of], 2*e.on.Sub(s.today)+len(out))
		out = append(out, &fields.Entry{ID: id, Recorded: s.a.View.Now, By: "nobody", On: on, Body: body})
	}
	yes, no := true, false
	lab := &fields.Lab{Paddock: s.id, SampledOn: e.on, Values: fields.Values(0), Unit: "ppm", Basis: "dm", Method: "lab"}
	switch e.of {
	case lookedUp:
		say(fields.NoDate, &fields.NoFrost{
			Paddocks: []string{s.id}, From: s.today.Add(-400), To: e.on, Basis: "thermometer-in-paddock",
		})
	case walked:
		w := &fields.Walk{Paddock: s.id, WeedsChecked: &yes, Wilted: &no}
		if e.dead {
			w.Killed, w.Dry, w.ShootsCM, w.Alive = "all", &yes, num(0), []string{}
		} else {
			w.FrostDamage, w.StressFree = "none", &yes
			if s.state.HasP {
				w.Killed = "none"
			}
			if s.state.MinHeight > 0 {
				w.ShortestCM = num(s.state.MinHeight)
			}
			if s.shoots {
				w.ShootsCM = num(s.state.MinHeight)
			}
		}
		say(e.on, w)
		if s.swath {
			say(e.on, &fields.Walk{Paddock: s.id, Part: "swath", Dry: &yes, Wilted: &no, WeedsChecked: &yes})
		}
	case sampledNitrate:
		rule := func(k hazard.RuleKey) *float64 { return num(s.a.Days[0].Book.V[k]) }
		lab.Analyte, lab.Form = "nitrate", "NO3-N"
		lab.Stems, lab.Spots = rule(hazard.NitrateSampleStems), rule(hazard.NitrateSampleSpots)
		lab.CutCM = rule(hazard.NitrateSampleCutCM)
		say(e.on, lab)
	case sampledAcid:
		lab.Analyte, lab.SampleState = "hcn", "sealed"
		say(e.on, lab)
	}
	return out
}

// least takes away what day d does not need and finds the days on which the
// rest may be brought.
func (s *search) least(d fields.Date, b brought) *board.ClearDay {
	for of := range b.on {
		x := b
		if x.on[of] = (days{}); s.clear(d, x) {
			b = x
		}
	}
	c := &board.ClearDay{On: d}
	if b.on[lookedUp] != (days{}) {
		c.Needs = append(c.Needs, board.Wanted{What: "the nights nobody read, or nearly frosty ones, looked up or signed for: no frost"})
	}
	walk := "walk it (no frost damage, nothing wilted, weeds checked, stress-free)"
	switch {
	case b.dead:
		walk = "walk it (all killed, dry, no shoots, weeds checked)"
	case s.state.MinHeight > 0:
		walk = "walk it (" + board.AtLeast(s.state.MinHeight, s.a.View.Units()) + " or more at the shortest, no frost damage, weeds checked)"
	}
	c.Needs = append(c.Needs, s.wanted(d, &b, walked, walk)...)
	c.Needs = append(c.Needs, s.wanted(d, &b, sampledNitrate, "sample it for nitrate")...)
	c.Needs = append(c.Needs, s.wanted(d, &b, sampledAcid, "sample it for HCN, sealed or frozen")...)
	return c
}

// wanted finds the days on which doing it once is enough, or walking twice; what
// takes more is said as it was tried.
func (s *search) wanted(d fields.Date, b *brought, of act, what string) []board.Wanted {
	tried := b.on[of]
	if tried == (days{}) {
		return nil
	}
	w := board.Wanted{What: what, Result: d}
	more := " again and again"
	if of == walked {
		w.Result, more = fields.NoDate, " every day"
	}
	if w.From, w.By = s.one(d, *b, of, tried, fields.NoDate); w.By != fields.NoDate {
		b.on[of] = span(w.By, w.By)
		return []board.Wanted{w}
	}
	if of == walked {
		if w.From, w.By = s.one(d, *b, of, span(s.today, d-1), d); w.By != fields.NoDate {
			b.on[of] = days{w.By, w.By, d}
			return []board.Wanted{w, {What: "walk it again", From: w.By + 1, By: d}}
		}
	}
	w.What, w.From, w.By = what+more, s.today, tried.to
	return []board.Wanted{w}
}

// one returns the last run of days, of those given, on each of which the act is
// enough, together with one that follows unless that is NoDate; NoDate if there is none.
func (s *search) one(d fields.Date, b brought, of act, some days, then fields.Date) (from, by fields.Date) {
	for day := some.to; day >= some.from && day != fields.NoDate; day-- {
		b.on[of] = days{day, day, then}
		if s.clear(d, b) {
			from = day
			by = max(by, day)
		} else if by != fields.NoDate {
			break
		}
	}
	return from, by
}

func num(v float64) *float64 { return &v }
