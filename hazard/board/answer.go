package board

import (
	"cmp"
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// Outcome is what was decided for one use and class, without its reasons.
type Outcome struct {
	Use     hazard.Use   `json:"use"`
	Class   hazard.Class `json:"class"`
	Flag    hazard.Flag  `json:"flag"`
	Through Day          `json:"through"` // of holds
	*Terms               // of lots
	Need    hazard.Need  `json:"needs"`

	Share    string `json:"-"` // of lots: the largest share of the ration, where one is set
	FeedFrom string `json:"-"` // of lots: the first day the waits allow feeding
}

// Terms are the first day the waits allow a lot to be fed, and the largest share
// of the ration in percent.
type Terms struct {
	From     Day      `json:"feed_from"`
	MaxShare *float64 `json:"max_share_pct"`
}

// Answer is an outcome with all that stands behind it.
type Answer struct {
	Outcome
	Hazards    []HazardWords `json:"hazards"`
	Conditions []string      `json:"conditions,omitempty"`
}

// HazardWords is the answer for one hazard.
type HazardWords struct {
	Hazard  hazard.Hazard `json:"hazard"`
	Flag    hazard.Flag   `json:"flag"`
	Through Day           `json:"through"`
	Reasons []ReasonWords `json:"reasons"`
	Lifts   []string      `json:"lifts"`
}

// ReasonWords is one reason in words.
type ReasonWords struct {
	Rule    string      `json:"rule"`
	Flag    hazard.Flag `json:"flag"`
	Through Day         `json:"through"`
	Text    string      `json:"text"`
	Short   string      `json:"-"`       // Text in a few words, for a page
	Entries []string    `json:"entries"` // ids
	Sources []string    `json:"sources"`
	Lifts   string      `json:"-"`

	cause string // Text without what must not be done
}

func (s *speaker) outcome(v *hazard.Verdict) Outcome {
	decided(v)
	o := Outcome{Use: v.Use, Class: v.Class, Flag: v.Flag, Through: throughOf(v.Flag, v.Through), Need: v.Need}
	if v.Use != hazard.Feed {
		return o
	}
	o.Terms = &Terms{From: Day(v.FeedFrom)}
	if share := lotShare(v); share >= 0 {
		o.MaxShare = &share
		if v.Flag != hazard.Hold {
			o.Share = "at most " + number(share, 1) + " % of the ration's dry matter"
		}
	}
	if v.FeedFrom != hazard.NoEnd && v.FeedFrom > s.on {
		o.FeedFrom = "the waits allow feeding from " + s.date(v.FeedFrom)
	}
	return o
}

// lotShare is the share the nitrate of a lot sets, -1 where it sets none.
func lotShare(v *hazard.Verdict) float64 { return v.Hazards[hazard.Nitrate].MaxShare }

// answersFor are the answers for a use by class. Classes that are judged alike rest on the very
// same reasons, whose words are made once.
func (s *speaker) answersFor(p *subject, u hazard.Use, classes []hazard.Class) (out []Answer) {
	var vs []*hazard.Verdict
	for _, c := range classes {
		v := needed(p.verdict(u, c), p.id)
		out = append(out, s.answer(v, func(i int) *HazardWords {
			k := slices.IndexFunc(vs, func(o *hazard.Verdict) bool { return sameReasons(&o.Hazards[i], &v.Hazards[i]) })
			if k < 0 {
				return nil
			}
			return &out[k].Hazards[i]
		}))
		vs = append(vs, v)
	}
	return out
}

// sameReasons reports answers that are one another's copies.
func sameReasons(a, b *hazard.HazardAnswer) bool {
	return a.Hazard == b.Hazard && a.Flag == b.Flag && a.Through == b.Through && len(a.Reasons) == len(b.Reasons) &&
		len(a.Reasons) > 0 && &a.Reasons[0] == &b.Reasons[0]
}

// answer is a verdict in words; said, if not nil, are those of one of its hazards, nil if they
// are still to be made.
func (s *speaker) answer(v *hazard.Verdict, said func(hazard int) *HazardWords) Answer {
	out := Answer{Outcome: s.outcome(v), Hazards: make([]HazardWords, 0, len(v.Hazards))}
	if v.Flag != hazard.Hold {
		out.Conditions = s.conditions(v)
	}
	for i := range v.Hazards {
		h := &v.Hazards[i]
		if said != nil {
			if w := said(i); w != nil {
				out.Hazards = append(out.Hazards, *w)
				continue
			}
		}
		hw := HazardWords{
			Hazard: h.Hazard, Flag: h.Flag, Through: throughOf(h.Flag, h.Through), Reasons: []ReasonWords{},
			Lifts: []string{},
		}
		for j := range h.Reasons {
			r := s.words(&h.Reasons[j], v.Use)
			hw.Reasons = append(hw.Reasons, r)
			if r.Lifts != "" && !contains(hw.Lifts, r.Lifts) {
				hw.Lifts = append(hw.Lifts, r.Lifts)
			}
		}
		out.Hazards = append(out.Hazards, hw)
	}
	return out
}

func (s *speaker) words(r *hazard.Reason, use hazard.Use) ReasonWords {
	w := ReasonWords{
		Rule: Clean(r.Rule), Flag: r.Flag, Through: throughOf(r.Flag, r.Through), Text: s.reason(r, use),
		Short:   s.fill(lines[r.Line].short, r),
		Entries: []string{}, Sources: s.sources(r), Lifts: s.lifts(r), cause: s.short(r, hazard.Graze),
	}
	for _, id := range r.Entries {
		w.Entries = append(w.Entries, Clean(id))
	}
	if r.SoftBy != nil && !contains(r.Entries, r.SoftBy.Entry) {
		w.Entries = append(w.Entries, Clean(r.SoftBy.Entry))
	}
	return w
}

// why is the reason of a verdict in one sentence, without what must not be done,
// and what lifts it; of a CLEAR, what it rests on.
func (s *speaker) why(v *hazard.Verdict) (why, next string) {
	if v.Flag == hazard.Clear {
		return s.clearWhy(v), ""
	}
	r := worstReason(v)
	if r == nil {
		return sentence(lines[hazard.LineNone].says), ""
	}
	return s.short(r, v.Use), s.lifts(r)
}

// grade is what answers and reasons are ordered by: the flag, then the later last
// day, then what needs a decision before what only needs days.
type grade struct {
	flag    hazard.Flag
	through Day
	need    hazard.Need
}

func gradeOf(v *hazard.Verdict) grade { return grade{v.Flag, throughOf(v.Flag, v.Through), v.Need} }

func gradeOfReason(r *hazard.Reason) grade {
	return grade{r.Flag, throughOf(r.Flag, r.Through), r.Need}
}

func (g grade) compare(than grade) int {
	return cmp.Or(cmp.Compare(g.flag, than.flag), cmp.Compare(g.through, than.through), cmp.Compare(g.need, than.need))
}

func (g grade) worse(than grade) bool { return g.compare(than) > 0 }

// worstReason is the reason that makes the verdict, nil where there is none.
func worstReason(v *hazard.Verdict) *hazard.Reason {
	var top *hazard.Reason
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			if r := &v.Hazards[i].Reasons[j]; top == nil || gradeOfReason(r).worse(gradeOfReason(top)) {
				top = r
			}
		}
	}
	return top
}

// reasonsOf are the reasons of all hazards.
func reasonsOf(v *hazard.Verdict) []*hazard.Reason {
	var out []*hazard.Reason
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			out = append(out, &v.Hazards[i].Reasons[j])
		}
	}
	return out
}

// clearWhy names what a CLEAR rests on, prussic acid and nitrate both.
func (s *speaker) clearWhy(v *hazard.Verdict) string {
	t := ""
	for _, h := range []hazard.Hazard{hazard.PrussicAcid, hazard.Nitrate} {
		if rs := v.Hazards[h].Reasons; len(rs) > 0 {
			switch short := s.short(&rs[0], v.Use); t {
			case "":
				t = short
			case short: // of a cut both say the same
			default:
				t += " " + short
			}
		}
	}
	return or(t, sentence(lines[hazard.LineNone].says))
}

// subject is a paddock or a lot as it is asked about.
type subject struct {
	id, name string
	paddock  *hazard.PaddockAnswer // nil for a lot
	lot      *hazard.LotAnswer
	data     hazard.DataThrough
	inside   []inside

	worst *hazard.Verdict // for the use and classes of the list
	move  bool            // stock inside must leave
}

// paddocks and lots are those the filter asks about, in id order.
func (s *speaker) paddocks(f Filter) []subject {
	var out []subject
	for i := range s.a.Paddocks {
		p := &s.a.Paddocks[i]
		if !f.wantsPaddocks() || !f.names(s.id(p)) {
			continue
		}
		x := subject{id: s.id(p), name: s.name(p), paddock: p, data: p.Data, inside: standing(s.a, p)}
		for _, in := range x.inside {
			x.move = x.move || in.flag == hazard.Hold
		}
		out = append(out, x)
	}
	return out
}

func (s *speaker) lots(f Filter) []subject {
	var out []subject
	for i := range s.a.Lots {
		if l := &s.a.Lots[i]; f.wantsLots() && f.names(l.Lot) {
			out = append(out, subject{id: l.Lot, name: s.lotName(l), lot: l, data: l.Data})
		}
	}
	return out
}

func (s *speaker) lotName(l *hazard.LotAnswer) string {
	t := Clean(l.Lot)
	if k := Clean(string(l.Facts.LotKind)); k != "" {
		t += " (" + s.t(k) + ")"
	}
	return t
}

// verdict is the answer for a use, which of a lot is always to feed it, and a
// class; nil where there is none.
func (p *subject) verdict(u hazard.Use, c hazard.Class) *hazard.Verdict {
	if p.lot != nil {
		return p.lot.Verdict(c)
	}
	return p.paddock.Verdict(u, c)
}

// uses are those a full answer speaks of.
func (p *subject) uses(f Filter) []hazard.Use {
	if p.lot != nil {
		return []hazard.Use{hazard.Feed}
	}
	return f.allUses()
}

func (p *subject) worstOf(u hazard.Use, classes []hazard.Class) *hazard.Verdict {
	return worstOf(func(c hazard.Class) *hazard.Verdict { return p.verdict(u, c) }, classes)
}

// herds are the names of the stock inside.
func (p *subject) herds() []string {
	return texts(p.inside, func(in inside) string { return in.herd })
}

// worstFirst orders places for a list: stock that must move, then by flag, the
// later last day, then by name.
func worstFirst(ps []subject, use hazard.Use, classes []hazard.Class) []subject {
	for i := range ps {
		ps[i].worst = needed(ps[i].worstOf(use, classes), ps[i].id)
	}
	slices.SortStableFunc(ps, func(a, b subject) int {
		x, y := gradeOf(a.worst), gradeOf(b.worst)
		c := cmp.Or(asOne(b.move)-asOne(a.move), cmp.Compare(y.flag, x.flag), cmp.Compare(y.through, x.through))
		if c == 0 {
			c = fields.CompareNames(a.name, b.name)
		}
		if c == 0 {
			c = fields.CompareNames(a.id, b.id)
		}
		return c
	})
	return ps
}
