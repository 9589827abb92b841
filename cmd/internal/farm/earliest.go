package farm

import (
	"fmt"
	"runtime"
	"sync"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
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
	var done sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for _, rows := range byPaddock { // paddocks know nothing of each other: in any order, side by side
		done.Add(1)
		free <- struct{}{}
		go func() {
			defer func() { <-free; done.Done() }()
			g := newGround(a, rows[0].ID)
			for _, r := range rows {
				if r.Flags[0] == hazard.Clear {
					a.keeps(r, s.Use)
					continue
				}
				r.First = newSearch(g, r, s.Use).find()
			}
		}()
	}
	done.Wait()
}

// keeps says until when a row that is clear now stays so by itself.
func (a *Ahead) keeps(r *board.StripRow, use hazard.Use) {
	for i, f := range r.Flags {
		if f == hazard.Clear {
			continue
		}
		day := a.Days[i]
		r.After = "CLEAR through " + (day.History.On - 1).Words() + " as things stand."
		if act := worstActs(day, r, use); act != "" {
			r.After += " To go on: " + act
		}
		return
	}
	r.After = "CLEAR on all these days if nothing else happens."
}

func worstActs(day *hazard.Assessment, r *board.StripRow, use hazard.Use) string {
	for i := range day.Paddocks {
		if p := &day.Paddocks[i]; p.Paddock.ID == r.ID {
			for _, c := range r.Classes {
				if re := worstReason(p.Verdict(use, c)); re != nil {
					return board.Lifts(re, day, board.UnitsOf(day.History))
				}
			}
		}
	}
	return ""
}

func worstReason(v *hazard.Verdict) *hazard.Reason {
	if v == nil || v.Flag == hazard.Clear {
		return nil
	}
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			if re := &v.Hazards[i].Reasons[j]; re.Flag == v.Flag && (v.Flag != hazard.Hold || v.Hazards[i].Through == v.Through) {
				return re
			}
		}
	}
	return nil
}

// ground is one paddock as searches ask about it; what was asked once is kept
// for the other classes and herds.
type ground struct {
	a       *Ahead
	id      string
	today   fields.Date
	entries []fields.Entry // of the whole farm, as far as they bear on this paddock
	state   hazard.StandState
	green   fields.Date // the last walk that found growth
	shoots  bool
	swath   bool
	asked   map[string]*asked
}

// asked is an answer of the engine, with the history it rests on.
type asked struct {
	answer  hazard.PaddockAnswer
	history *fields.History
	there   bool
}

func newGround(a *Ahead, id string) *ground {
	g := &ground{a: a, id: id, today: a.View.Today, asked: map[string]*asked{}}
	h := a.Days[0].History
	land, stations := map[string]bool{}, map[string]bool{}
	for _, line := range h.Lines(id) {
		for _, p := range line {
			land[p] = true
		}
		for _, st := range h.StationsOf(line) {
			stations[st] = true
		}
	}
	for i := range a.View.Entries {
		e := &a.View.Entries[i]
		keep := len(e.Paddocks()) == 0
		switch b := e.Body.(type) {
		case *fields.Split, *fields.Join, *fields.Grazed, *fields.PaddockFacts, *fields.Water: // a herd brings its water along
			keep = true
		case *fields.Reading:
			keep = stations[b.Station] || land[b.Paddock]
		case *fields.Forecast:
			keep = stations[b.Station] || land[b.Paddock]
		}
		for _, p := range e.Paddocks() {
			keep = keep || land[p]
		}
		if keep {
			g.entries = append(g.entries, *e)
		}
	}
	g.green = hazard.LastGreen(h, a.Days[0].Book, id)
	for i := range a.Days[0].Paddocks {
		p := &a.Days[0].Paddocks[i]
		if p.Paddock.ID != id {
			continue
		}
		g.state = p.Stand
		for j := range p.Verdicts {
			switch v := &p.Verdicts[j]; v.Use {
			case hazard.SwathGraze:
				g.swath = g.swath || !hasLine(v, hazard.LineNoSwath)
			case hazard.Graze:
				g.shoots = g.shoots || hasLine(v, hazard.LineShoots)
			}
		}
	}
	return g
}

// search looks for the earliest clear day of one paddock, use and set of
// classes.
type search struct {
	*ground
	row  *board.StripRow
	use  hazard.Use
	last *asked // the answer to the last question
}

func newSearch(g *ground, r *board.StripRow, use hazard.Use) *search {
	return &search{ground: g, row: r, use: use}
}

func hasLine(v *hazard.Verdict, l hazard.Line) bool {
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			if v.Hazards[i].Reasons[j].Line == l {
				return true
			}
		}
	}
	return false
}

// brought is evidence a person might bring.
type brought struct {
	nights        bool // nights not read are looked up and had no frost
	dead          bool // what the walks find: a dead dry stand, or sound tall growth
	walks         []fields.Date
	nitrate, acid []fields.Date // samplings whose results are as low as can be
}

func (s *search) find() *board.ClearDay {
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
			b := brought{nights: true, dead: dead, walks: span(s.today, d), nitrate: span(s.today, d.Add(-LabDays)), acid: span(s.today, d.Add(-LabDays))}
			if s.clear(d, b) {
				return s.least(d, b)
			}
		}
	}
	c := &board.ClearDay{}
	for _, cl := range s.row.Classes {
		if re := worstReason(s.last.answer.Verdict(s.use, cl)); re != nil {
			h := s.last.history
			c.Stuck = board.WordsFor(re, s.use, &hazard.Assessment{History: h, Book: s.a.Days[n].Book}, board.UnitsOf(h))
			break
		}
	}
	return c
}

func span(from, to fields.Date) []fields.Date {
	var out []fields.Date
	for d := from; d <= to; d++ {
		out = append(out, d)
	}
	return out
}

// clear asks the engine for day d with what is brought.
func (s *search) clear(d fields.Date, b brought) bool {
	key := fmt.Sprint(d, b)
	q := s.asked[key]
	if q == nil {
		h := fields.Fold(append(append([]fields.Entry{}, s.entries...), s.made(b, d)...), fields.View{On: d, KnownAt: s.a.View.History.KnownAt})
		if !h.ZoneSet {
			h.Loc = s.a.View.Loc
		}
		q = &asked{history: h}
		q.answer, q.there = hazard.AssessPaddock(h, s.a.Days[d.Sub(s.today)].Book, s.id)
		s.asked[key] = q
	}
	s.last = q
	if !q.there {
		return false
	}
	for _, c := range s.row.Classes {
		if v := q.answer.Verdict(s.use, c); v == nil || v.Flag != hazard.Clear {
			return false
		}
	}
	return true
}

// made writes evidence as entries.
func (s *search) made(b brought, upTo fields.Date) []fields.Entry {
	var out []fields.Entry
	say := func(on fields.Date, body fields.Body) {
		out = append(out, fields.Entry{
			ID: fmt.Sprintf("~%05d", len(out)), Recorded: s.a.View.Now, By: "nobody", On: on, Body: body,
		})
	}
	id := s.id
	if b.nights {
		say(fields.NoDate, &fields.NoFrost{Paddocks: []string{id}, From: s.today.Add(-400), To: upTo, Basis: "thermometer-in-paddock"})
	}
	yes, no := true, false
	for _, d := range b.walks {
		w := &fields.Walk{Paddock: id, WeedsChecked: &yes, Wilted: &no}
		if b.dead {
			w.Killed, w.Dry, w.ShootsCM, w.Alive = "all", &yes, num(0), []string{}
		} else {
			w.Killed, w.FrostDamage, w.StressFree = "none", "none", &yes
			if s.state.MinHeight > 0 {
				w.ShortestCM = num(s.state.MinHeight)
			}
			if s.shoots {
				w.ShootsCM = num(s.state.MinHeight)
			}
			if !s.state.HasP {
				w.Killed = ""
			}
		}
		say(d, w)
		if s.swath {
			say(d, &fields.Walk{Paddock: id, Part: "swath", Dry: &yes, Wilted: &no, WeedsChecked: &yes})
		}
	}
	book := s.a.Days[0].Book
	for _, d := range b.nitrate {
		say(d, &fields.Lab{
			Paddock: id, SampledOn: d, Analyte: "nitrate", Values: fields.Values(0), Form: "NO3-N", Unit: "ppm", Basis: "dm", Method: "lab",
			Stems: num(book.V[hazard.NitrateSampleStems]), Spots: num(book.V[hazard.NitrateSampleSpots]), CutCM: num(book.V[hazard.NitrateSampleCutCM]),
		})
	}
	for _, d := range b.acid {
		say(d, &fields.Lab{
			Paddock: id, SampledOn: d, Analyte: "hcn", Values: fields.Values(0), Unit: "ppm", Basis: "dm", Method: "lab", SampleState: "sealed",
		})
	}
	return out
}

// least takes away what day d does not need and finds the days on which the
// rest may be brought.
func (s *search) least(d fields.Date, b brought) *board.ClearDay {
	without := func(change func(*brought)) {
		x := b
		if change(&x); s.clear(d, x) {
			b = x
		}
	}
	without(func(x *brought) { x.acid = nil })
	without(func(x *brought) { x.nitrate = nil })
	without(func(x *brought) { x.nights = false })
	without(func(x *brought) { x.walks = nil })
	c := &board.ClearDay{On: d}
	if b.nights {
		c.Needs = append(c.Needs, board.Wanted{What: "the nights nobody read, or nearly frosty ones, looked up or signed for: no frost"})
	}
	if len(b.walks) > 0 {
		what := "walk it (no frost damage, nothing wilted, weeds checked, stress-free)"
		switch {
		case b.dead:
			what = "walk it (all killed, dry, no shoots, weeds checked)"
		case s.state.MinHeight > 0:
			what = "walk it (" + board.AtLeast(s.state.MinHeight, s.a.View.Units()) + " or more at the shortest, no frost damage, weeds checked)"
		}
		c.Needs = append(c.Needs, s.walks(d, &b, what)...)
	}
	c.Needs = append(c.Needs, s.sample(d, &b, "sample it for nitrate", func(x *brought) *[]fields.Date { return &x.nitrate })...)
	c.Needs = append(c.Needs, s.sample(d, &b, "sample it for HCN, sealed or frozen", func(x *brought) *[]fields.Date { return &x.acid })...)
	return c
}

// walks finds the days on which one walk is enough, or else two.
func (s *search) walks(d fields.Date, b *brought, what string) []board.Wanted {
	if from, by := s.one(d, *b, b.walks, func(x *brought, day fields.Date) { x.walks = []fields.Date{day} }); by != fields.NoDate {
		b.walks = []fields.Date{by}
		return []board.Wanted{{What: what, From: from, By: by}}
	}
	if from, by := s.one(d, *b, span(s.today, d-1), func(x *brought, day fields.Date) { x.walks = []fields.Date{day, d} }); by != fields.NoDate {
		b.walks = []fields.Date{by, d}
		return []board.Wanted{{What: what, From: from, By: by}, {What: "walk it again", From: by + 1, By: d}}
	}
	return []board.Wanted{{What: what + " every day", From: s.today, By: d}}
}

func (s *search) sample(d fields.Date, b *brought, what string, of func(*brought) *[]fields.Date) []board.Wanted {
	if len(*of(b)) == 0 {
		return nil
	}
	from, by := s.one(d, *b, *of(b), func(x *brought, day fields.Date) { *of(x) = []fields.Date{day} })
	if by == fields.NoDate { // several: said as they were tried
		return []board.Wanted{{What: what + " again and again", From: s.today, By: (*of(b))[len(*of(b))-1], Result: d}}
	}
	*of(b) = []fields.Date{by}
	return []board.Wanted{{What: what, From: from, By: by, Result: d}}
}

// one returns the last run of days, of those given, on each of which the one
// act is enough; NoDate if there is none.
func (s *search) one(d fields.Date, b brought, days []fields.Date, put func(*brought, fields.Date)) (from, by fields.Date) {
	for i := len(days) - 1; i >= 0; i-- {
		x := b
		put(&x, days[i])
		if s.clear(d, x) {
			if by == fields.NoDate {
				by = days[i]
			}
			from = days[i]
		} else if by != fields.NoDate {
			break
		}
	}
	return from, by
}

func num(v float64) *float64 { return &v }
