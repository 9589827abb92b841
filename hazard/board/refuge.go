package board

import (
	"math"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/moves"
)

// Refuges are where the herds that must leave their paddock go, by mob of a
// situation of the day: moves.Nowhere where no paddock will do. The plan is sent
// there too, so that it and the morning's page never differ.
func Refuges(a *hazard.Assessment, s *moves.Situation) map[int]int {
	out := map[int]int{}
	taken := map[int]bool{}
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		for _, in := range standing(a, p) {
			if in.flag != hazard.Hold {
				continue
			}
			m := slices.IndexFunc(s.Mobs, func(m moves.Mob) bool { return slices.Contains(m.Herds, in.id) })
			if m < 0 {
				continue
			}
			if _, known := out[m]; known {
				continue
			}
			q := s.Refuge(m, func(q int) bool { return taken[q] || !staysClear(a, s, m, q) })
			if out[m] = q; q != moves.Nowhere {
				taken[q] = true
				s.Send(m, q)
			}
		}
	}
	return out
}

// staysClear reports whether a paddock is still clear for a mob once it is in there.
func staysClear(a *hazard.Assessment, s *moves.Situation, m, q int) bool {
	ground := s.Grounds[q].ID
	entries := make([]fields.Entry, 0, len(a.History.Facts)+1)
	for _, f := range a.History.Facts {
		entries = append(entries, *f.Entry)
	}
	for _, herd := range s.Mobs[m].Herds {
		entries = append(entries, fields.Entry{
			ID: "~" + herd, By: "nobody", On: a.History.On, Recorded: a.History.KnownAt,
			Body: &fields.Grazed{Paddock: ground, State: "in", Herd: herd},
		})
	}
	p, known := hazard.AssessPaddock(fields.Fold(entries, a.History.View), a.Book, ground)
	return known && moves.Worst(&p, s.Mobs[m].Classes) == hazard.Clear
}

// acts are what must be done before anything else, about one place unless it is "".
func (s *speaker) acts(place string) []Act {
	var out []Act
	var sit *moves.Situation
	var to map[int]int
	for i := range s.a.Paddocks {
		p := &s.a.Paddocks[i]
		for _, in := range standing(s.a, p) {
			if in.flag != hazard.Hold || place != "" && place != s.id(p) {
				continue
			}
			if sit == nil {
				sit = moves.Weigh([]*hazard.Assessment{s.a}, moves.Settings{})
				to = Refuges(s.a, sit)
			}
			what := s.say("{herd} out of {paddock}", "herd", strings.ToUpper(s.stock(&in)), "paddock", strings.ToUpper(s.name(p)))
			if in.swath {
				what += s.t(", unless fenced to the swath")
			}
			what += ": " + s.brief(worstReason(in.worst))
			word := s.say("MOVE OUT {when}", "when", strings.ToUpper(s.nowOr()))
			m := slices.IndexFunc(sit.Mobs, func(m moves.Mob) bool { return slices.Contains(m.Herds, in.id) })
			out = append(out, Act{word, what + ".", s.whereTo(sit, m, to, &in), p.Paddock.ID, in.id})
		}
	}
	for _, f := range s.feedings() {
		if f.worst.Flag == hazard.Hold && (place == "" || place == f.lot.Lot) {
			word := s.say("STOP FEEDING {when}", "when", strings.ToUpper(s.nowOr()))
			what := s.say("{lot} to {herd}", "lot", strings.ToUpper(Clean(f.lot.Lot)), "herd", strings.ToUpper(Clean(f.fed.Herd)))
			if f.fed.Mixed != nil && *f.fed.Mixed {
				what += s.t(", unless the mix was worked out and agreed to")
			}
			out = append(out, Act{word, what + ": " + s.brief(worstReason(f.worst)) + ".", s.say(
				"Instead: {hay}. Tell {whom}; nobody answers: stop all the same.",
				"hay", s.testedFeed(classesOf(s.h, f.fed.Herd)), "whom", s.firstCall()), f.lot.Lot, f.fed.Herd})
		}
	}
	return out
}

// whereTo says where a mob that must leave goes.
func (s *speaker) whereTo(sit *moves.Situation, m int, to map[int]int, in *inside) string {
	if m < 0 {
		return s.say("Out {when}, into a yard or corral (never one that is a NO here): nobody logged which herd it is. Call {whom}; "+
			"nobody answers: move them all the same.", "when", s.nowOr(), "whom", s.firstCall())
	}
	q, known := to[m]
	if !known || q == moves.Nowhere {
		if full := s.fullFor(sit, m); full != "" {
			return s.say("NO FREE CLEAR PADDOCK FOR THEM: out {when}, into a yard or corral (never one that is a NO here). Feed them: {hay}. "+
				"Call {whom}; nobody answers: move them all the same. {full}.", "full", full, "when", s.nowOr(),
				"hay", s.testedFeed(classesOf(s.h, in.id)), "whom", s.firstCall())
		}
		return s.say("NO CLEAR PADDOCK FOR THEM: out {when}, into a yard or corral (never one that is a NO here). Feed them: {hay}. Call {whom}; nobody "+
			"answers: move them all the same.", "when", s.nowOr(), "hay", s.testedFeed(classesOf(s.h, in.id)), "whom", s.firstCall())
	}
	g, st := &sit.Grounds[q], &sit.Stands[m][q]
	feed := s.t("feed not measured")
	switch {
	case !sit.Mobs[m].Known() || g.Why != "":
	case st.Days == 0:
		feed = s.t("not a day's feed there: feed them too")
	case st.Days == 1:
		feed = s.t("feed for 1 day")
	default:
		feed = s.say("feed for {n} days", "n", number(float64(st.Days), 0))
	}
	return s.say("1. Out {when}, into a yard or corral (never one that is a NO here). 2. Feed them: {hay}. 3. At midday, a few head first, "+
		"into {paddock}, YES for them ({feed}). Tell {whom}; nobody answers: do step 1 all the same.", "when", s.nowOr(),
		"hay", s.testedFeed(classesOf(s.h, in.id)), "paddock", strings.ToUpper(paddockName(s.h, g.ID)), "feed", feed, "whom", s.firstCall())
}

// fullFor names the paddocks that are clear for a mob and hold other stock.
func (s *speaker) fullFor(sit *moves.Situation, m int) string {
	var full []string
	for q := range sit.Grounds {
		g := &sit.Grounds[q]
		there := Clean(standsThere(sit, m, g))
		if there == "" || sit.Stands[m][q].Flags[0] != hazard.Clear {
			continue
		}
		if there == moves.Nameless {
			there = s.t("stock")
		}
		full = append(full, s.say("{paddock} is YES but {herd} are there", "paddock", paddockName(s.h, g.ID), "herd", there))
	}
	return strings.Join(full, ", ")
}

// firstCall is whom to tell first.
func (s *speaker) firstCall() string {
	if who := s.inCharge(); len(who) > 0 {
		return who[0]
	}
	return s.t("the manager (NO NUMBER ON FILE)")
}

// inCharge are the manager and who stands in, as far as they are on file.
func (s *speaker) inCharge() []string {
	if c := s.h.Farm.Contacts; c != nil {
		return filled(Clean(c.Manager), Clean(c.Backup))
	}
	return nil
}

// testedFeed names the feed that all of the classes may have: what is clear, else
// what must be asked about, else that there is none.
func (s *speaker) testedFeed(classes []hazard.Class) string {
	var yes, ask []string
	for i := range s.a.Lots {
		l := &s.a.Lots[i]
		v := worstOf(l.Verdict, classes)
		_, gone := s.h.UsedUp(l.Lot) // it may be asked about by name
		switch {
		case v == nil, gone:
		case v.Flag == hazard.Clear:
			yes = append(yes, Clean(l.Lot)+after(", ", s.shareWords(lotShare(v))))
		case v.Flag == hazard.Caution && tested(v):
			ask = append(ask, Clean(l.Lot)+after(", ", s.shareWords(lotShare(v))))
		}
	}
	switch {
	case len(yes) > 0:
		return s.either(yes)
	case len(ask) > 0:
		return s.say("{lots}, ask first", "lots", s.either(ask))
	}
	return s.t("no hay here is a YES, so call first")
}

// tested reports a lot of which a result, not the want of one, is what must be asked about.
func tested(v *hazard.Verdict) bool {
	return !v.Rests(hazard.LineNitrateLotUntested) && !v.Rests(hazard.LineNitrateLotThin) && !v.Rests(hazard.LineSuspect)
}

// shareWords is the largest share of the ration, "" where none is set.
func (s *speaker) shareWords(pct float64) string {
	switch {
	case pct <= 0 || pct >= 100:
		return ""
	case pct == 50:
		return s.t("at most half the ration")
	case pct == 25:
		return s.t("at most a quarter of the ration")
	}
	return s.say("at most {pct} % of the ration", "pct", number(math.Floor(pct), 0))
}

// shares says what share of the ration each herd may have of a lot that must be
// asked about, and how much that is a head.
func (s *speaker) shares(x *subject, p *Page) string {
	type part struct{ words, herd string }
	var parts []part
	for _, c := range p.Columns {
		v := x.worstOf(hazard.Feed, c.Classes)
		pct := lotShare(v)
		words := s.shareWords(pct)
		if v.Flag != hazard.Caution || words == "" {
			continue
		}
		for _, id := range c.Herds {
			parts = append(parts, part{words, Clean(id) + s.aHead(id, pct, x.lot)})
		}
		if len(c.Herds) == 0 {
			parts = append(parts, part{words, c.Head})
		}
	}
	groups := alike(parts, func(x part) string { return x.words })
	return strings.Join(texts(groups, func(ps []part) string {
		of := strings.Join(texts(ps, func(x part) string { return x.herd }), ", ")
		if strings.HasSuffix(of, "kg") || strings.HasSuffix(of, "lb") {
			of = s.say("{amounts} a head a day", "amounts", of)
		}
		return ps[0].words + ": " + of
	}), "; ")
}

// aHead is " 13 lb a head": the share of what the herd eats at least, as fed; "" where
// what it eats, or the lot's dry matter, is not known.
func (s *speaker) aHead(herd string, pct float64, l *hazard.LotAnswer) string {
	g, dm := s.h.Herd(herd), l.Facts.DMPct
	if g == nil || dm == nil || *dm <= 0 {
		return ""
	}
	d := moves.Demand(g)
	if d.Why != "" {
		return ""
	}
	kg := d.PerHead.Low * pct / *dm
	per, unit := kg, "kg"
	if s.u == US {
		per, unit = kg/0.45359237, "lb"
	}
	down := math.Floor(per)
	if per < 10 {
		down = math.Floor(per*10) / 10
	}
	return " " + number(down, 1) + " " + unit
}
