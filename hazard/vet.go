package hazard

import "rimegate/fields"

// mayGraze is a veterinarian's may-graze that turns earlier holds into caution.
type mayGraze struct {
	on   fields.Date
	word VetWord
}

func vetWord(f fields.Fact) *VetWord {
	b := f.Body.(*fields.Vet)
	return &VetWord{Entry: f.ID, Who: b.Who, Because: b.Because, Until: b.Until}
}

func vetSpeaksOf(b *fields.Vet, u Use, c Class) bool {
	return (len(b.Classes) == 0 || in(b.Classes, c.String())) && (len(b.Uses) == 0 || in(b.Uses, u.String()))
}

// veterinary answers for incidents and a veterinarian's word, and returns the
// may-grazes in effect for use and class.
func (g *ground) veterinary(u Use, c Class) (rs []Reason, soft []mayGraze) {
	return vetAnswer(g.incidents, g.vets, u, c, g.x, func(from fields.Date) bool { return g.endsMayGraze(from, u, c) })
}

// vetAnswer is shared by paddocks and lots; ended reports bad news dated on or
// after a may-graze.
func vetAnswer(incidents, vets []fields.Fact, u Use, c Class, x fields.Date, ended func(from fields.Date) bool) (rs []Reason, soft []mayGraze) {
	closedBy := func(d fields.Date) bool {
		for _, f := range vets {
			b := f.Body.(*fields.Vet)
			if b.Advice == "may-graze" && f.Date > d && vetSpeaksOf(b, u, c) {
				return true
			}
		}
		return false
	}
	for _, f := range incidents {
		if !closedBy(f.Date) {
			rs = append(rs, Reason{
				Line: LineIncident, Rule: "incident", Flag: Hold, Through: NoEnd, Need: NeedDecision,
				On: f.Date, Entries: []string{f.ID},
			})
		}
	}
	for _, f := range vets {
		b := f.Body.(*fields.Vet)
		if !vetSpeaksOf(b, u, c) {
			continue
		}
		switch b.Advice {
		case "keep-off":
			if closedBy(f.Date) || b.Until != fields.NoDate && x > b.Until {
				continue
			}
			r := Reason{
				Line: LineKeepOff, Rule: "vet.keep-off", Flag: Hold, Through: NoEnd, Need: NeedDecision,
				On: f.Date, Entries: []string{f.ID}, Vet: vetWord(f),
			}
			if b.Until != fields.NoDate {
				r.Through = b.Until
			}
			rs = append(rs, r)
		case "may-graze":
			if x < f.Date || x > b.Until {
				continue
			}
			word := vetWord(f)
			if word.Over = ended(f.Date); !word.Over {
				soft = append(soft, mayGraze{f.Date, *word})
			}
			rs = append(rs, Reason{
				Line: LineMayGraze, Rule: "vet.may-graze", Flag: Caution, Need: NeedDecision,
				On: f.Date, Entries: []string{f.ID}, Vet: word,
			})
		}
	}
	if len(rs) == 0 {
		rs = append(rs, Reason{Line: LineVetNone, Rule: "vet.none", Flag: Clear})
	}
	return rs, soft
}

// endsMayGraze reports bad news dated from..x that ends a may-graze's effect.
func (g *ground) endsMayGraze(from fields.Date, u Use, c Class) bool {
	for d := max(from, g.nightsFrom); d <= g.x+1; d++ {
		if g.isTrigger(d) {
			return true
		}
	}
	clocks := []*clock{&g.clock}
	if w, ok := g.findSwathUnder(true); ok {
		clocks = append(clocks, &w.clock)
	}
	for _, k := range clocks {
		for _, d := range k.unreads {
			if d >= from {
				return true
			}
		}
	}
	for _, fs := range [][]fields.Fact{g.harm, g.drought, g.incidents} {
		for _, f := range fs {
			if f.Date >= from {
				return true
			}
		}
	}
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if f.Date >= from && w.ShootsCM != nil && *w.ShootsCM > 0 {
			return true
		}
	}
	for _, f := range g.labs {
		if f.Date >= from && g.countsAgainst(f, c) {
			return true
		}
	}
	for _, f := range g.vets {
		b := f.Body.(*fields.Vet)
		if f.Date >= from && b.Advice == "keep-off" && vetSpeaksOf(b, u, c) {
			return true
		}
	}
	return false
}

// countsAgainst reports a result that by itself is no clear one.
func (g *ground) countsAgainst(f fields.Fact, c Class) bool {
	l := f.Body.(*fields.Lab)
	if l.Analyte == "hcn" {
		flag, _ := g.book.hcnFlag(l)
		return flag != Clear || screening(l)
	}
	return g.book.labAnswer(l, c, 0).Flag != Clear
}

// soften turns holds that rest on an event dated before an effective may-graze
// into caution.
func soften(rs []Reason, soft []mayGraze) []Reason {
	if len(soft) == 0 {
		return rs
	}
	out := make([]Reason, len(rs))
	copy(out, rs)
	for i := range out {
		r := &out[i]
		if r.Flag != Hold || r.undated || r.On == fields.NoDate {
			continue
		}
		for _, m := range soft {
			if r.On < m.on {
				r.SoftBy = &Softening{m.word, r.Through}
				r.Flag, r.Through = Caution, fields.NoDate
				break
			}
		}
	}
	return out
}
