package hazard

import (
	"slices"

	"rimegate/fields"
)

// mayGraze is a veterinarian's may-graze that turns earlier holds into caution.
type mayGraze struct {
	on   fields.Date
	word VetWord
}

func vetWord(f fields.VetFact) *VetWord {
	return &VetWord{Entry: f.ID, Who: f.Who, Because: f.Because, Until: f.Until}
}

// speaksOf reports a veterinarian's word of some advice for a use and class.
func speaksOf(b *fields.Vet, advice fields.Advice, u Use, c Class) bool {
	return b.Advice == advice && (len(b.Classes) == 0 || slices.Contains(b.Classes, c.String())) &&
		(len(b.Uses) == 0 || slices.Contains(b.Uses, u.String()))
}

// said reports such a word dated from a day through another.
func said(vets []fields.VetFact, advice fields.Advice, u Use, c Class, from, to fields.Date) bool {
	return slices.ContainsFunc(fields.Between(vets, from, to), func(f fields.VetFact) bool {
		return speaksOf(f.Vet, advice, u, c)
	})
}

// veterinary answers for incidents and a veterinarian's word (§12.1), and returns the
// may-grazes in effect for use and class; ended reports bad news dated on or after one.
func veterinary(
	incidents []fields.Fact, vets []fields.VetFact, u Use, c Class, x fields.Date, ended func(from fields.Date) bool,
) (rs []Reason, soft []mayGraze) {
	if len(incidents)+len(vets) == 0 {
		return vetNone, nil
	}
	closed := func(d fields.Date) bool { return said(vets, fields.AdviceMayGraze, u, c, d+1, x) }
	for _, f := range incidents {
		if !closed(f.Date) {
			rs = append(rs, say(LineIncident, Reason{On: f.Date, Entries: []string{f.ID}})...)
		}
	}
	for _, f := range vets {
		word := vetWord(f)
		switch {
		case speaksOf(f.Vet, fields.AdviceKeepOff, u, c) && !closed(f.Date) && (f.Until == fields.NoDate || x <= f.Until):
			rs = append(rs, say(LineKeepOff, Reason{Through: f.Until, On: f.Date, Entries: []string{f.ID}, Vet: word})...)
		case speaksOf(f.Vet, fields.AdviceMayGraze, u, c) && x <= f.Until:
			if word.Over = ended(f.Date); !word.Over {
				soft = append(soft, mayGraze{f.Date, *word})
			}
			rs = append(rs, say(LineMayGraze, Reason{On: f.Date, Entries: []string{f.ID}, Vet: word})...)
		}
	}
	if len(rs) == 0 {
		rs = vetNone
	}
	return rs, soft
}

var vetNone = say(LineVetNone, Reason{})

// endsMayGraze reports bad news dated on or after a day that ends a may-graze's effect
// (§12.3).
func (g *ground) endsMayGraze(from fields.Date, u Use, c Class) bool {
	unread := g.clock.lastUnread()
	if w, ok := g.findSwathUnder(); ok {
		unread = max(unread, w.clock.lastUnread())
	}
	since := func(d fields.Date) bool { return d >= from }
	return g.lastTrigger(from, g.x+1) != fields.NoDate || since(unread) ||
		since(lastDate(g.Harm)) || since(lastDate(g.Droughts)) || since(lastDate(g.Incidents)) ||
		slices.ContainsFunc(fields.Between(g.Walks, from, g.x), func(f fields.WalkFact) bool {
			return f.ShootsCM != nil && *f.ShootsCM > 0
		}) ||
		g.book.againstSince(g.Labs, from, c) || said(g.Vets, fields.AdviceKeepOff, u, c, from, g.x)
}

// againstSince reports a result of a day or later that by itself is no clear one.
func (b *Rulebook) againstSince(labs []fields.LabFact, from fields.Date, c Class) bool {
	return slices.ContainsFunc(labs, func(f fields.LabFact) bool {
		if f.Date < from {
			return false
		}
		if f.Analyte == fields.AnalyteHCN {
			flag, _ := b.hcnFlag(f.Lab)
			return flag != Clear || screening(f.Lab)
		}
		return b.labAnswer(f.Lab, c, 0).Flag != Clear
	})
}

// soften turns holds that rest on an event dated before an effective may-graze
// into caution (§12.2).
func soften(rs []Reason, soft []mayGraze) []Reason {
	if len(soft) == 0 {
		return rs
	}
	out := slices.Clone(rs)
	for i := range out {
		r := &out[i]
		m := slices.IndexFunc(soft, func(m mayGraze) bool { return r.On < m.on })
		if m >= 0 && r.Flag == Hold && !r.undated && r.On != fields.NoDate {
			r.SoftBy = &Softening{soft[m].word, r.Through}
			r.Flag, r.Through = Caution, fields.NoDate
		}
	}
	return out
}
