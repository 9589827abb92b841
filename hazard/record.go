package hazard

import "rimegate/fields"

// Record is what the journal holds about one line of a paddock's land on the
// day asked, laid open so that it can be held against any publication's rule.
// It decides nothing.
type Record struct {
	Line     []string // paddocks whose entries it is made of
	On       fields.Date
	Species  []RecordSpecies
	Triggers []fields.Date // nights of frost since the start, in order

	Dead            bool        // kill confirmed
	Base            fields.Date // its base
	DryWalk         fields.Date // last walk that found the stand dry
	ShootsOn        fields.Date // last walk that recorded shoots
	ShootsCM        float64
	HeightOn        fields.Date // last measured shortest growth since the last cut or graze-out
	HeightCM        float64
	HeightAtFrostOn fields.Date // last measured before the last frost
	HeightAtFrostCM float64

	Drought fields.Date // start of a drought still running
	RainOn  fields.Date // last rain that ended one
	Sprayed fields.Date // last spray
	CutOn   fields.Date // last cut, chops apart
	CutUse  fields.CutUse
	Nitrate []fields.Fact // nitrate results since the start
}

// RecordSpecies is one species of the record.
type RecordSpecies struct {
	ID        string   // id of the table, or the name as written
	Row       *Species // nil if the table does not know it
	MinHeight float64  // cm under the rulebook, 0 if none
}

// RecordsOf returns the records of a paddock, one for each line of its land.
func RecordsOf(h *fields.History, book *Rulebook, id string) []Record {
	var out []Record
	r := newReader(h, book, nil)
	for _, line := range h.Lines(id) {
		out = append(out, r.on(line, h.On).record())
	}
	return out
}

func (g *ground) record() Record {
	r := Record{Line: g.line, On: g.x, Dead: g.kill.confirmed, Base: g.kill.base}
	for i := range g.stand.plants {
		p := &g.stand.plants[i]
		r.Species = append(r.Species, RecordSpecies{ID: p.name, Row: p.row, MinHeight: g.book.minimumOf(p)})
	}
	for d := max(g.stand.start, g.nightsFrom); d <= g.x; d++ {
		if g.isTrigger(d) {
			r.Triggers = append(r.Triggers, d)
		}
	}
	for _, f := range fields.Between(g.Walks, g.stand.start, g.x) {
		if yes(f.Dry) {
			r.DryWalk = f.Date
		}
	}
	if f, _ := g.lastShoots(g.x); f.Walk != nil {
		r.ShootsOn, r.ShootsCM = f.Date, *f.ShootsCM
	}
	if m, ok := g.lastMeasured(g.lastReset(), g.x); ok {
		r.HeightOn, r.HeightCM = m.date, m.cm
	}
	if n := len(r.Triggers); n > 0 {
		if m, ok := g.lastMeasured(fields.NoDate, r.Triggers[n-1]); ok {
			r.HeightAtFrostOn, r.HeightAtFrostCM = m.date, m.cm
		}
	}
	dry := g.droughtOf(g.x)
	r.Drought, r.RainOn = dry.first.Date, dry.end.Date
	r.Sprayed = g.lastHarm(g.x)[fields.KindSprayed].Date
	for _, f := range g.Cuts {
		if f.Use != fields.CutGreenChop {
			r.CutOn, r.CutUse = f.Date, f.Use
		}
	}
	for _, f := range fields.Between(g.Labs, g.stand.start, g.x) {
		if f.Analyte == fields.AnalyteNitrate {
			r.Nitrate = append(r.Nitrate, f.Fact)
		}
	}
	return r
}
