package rules

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// Say is what a publication would say of a record on the day asked.
type Say uint8

// What a publication says.
const (
	Silent   Say = iota // it gives no rule for this
	KeepsOff            // through Through, or with no date
	Allows              // since First
	NoNumber            // it speaks of it, without a number
)

// Question is what is asked of every publication.
type Question string

// Questions, in printed order.
const (
	AskFrost   Question = "graze after the frost"
	AskShoots  Question = "graze over shoots"
	AskHeight  Question = "graze at this height"
	AskRain    Question = "graze after the rain that ended a drought"
	AskSpray   Question = "graze after spraying"
	AskChop    Question = "green-chop after the frost"
	AskSilage  Question = "cut for silage after the frost"
	AskHayFeed Question = "feed hay of it"
	AskSilFeed Question = "feed silage of it"
)

// Row is one publication's answer to one question about one record.
type Row struct {
	Publication Publication
	Question    Question
	Say         Say
	From        fields.Date // the day the count starts, NoDate if none is counted
	Days        int         // days counted: the longer end of a printed range
	First       fields.Date // first day it would allow; hazard.NoEnd: no date
	CM          float64     // height asked for, where heights are asked
	Words       string      // its rule in our words
	Note        string      // what the record lacks to follow it
	Strictest   bool        // of the rows of this question
	Laxest      bool
}

// Compare holds a record against every publication: one row for each that
// gives a rule for a question the record raises. A printed range counts by its
// longer end, a wait of N days allows the N-th day after its start, as the
// publications count. The strictest and the laxest row of a question are marked.
func Compare(rec *hazard.Record, pubs []Publication) []Row {
	var out []Row
	for _, q := range []Question{AskFrost, AskShoots, AskHeight, AskRain, AskSpray, AskChop, AskSilage, AskHayFeed, AskSilFeed} {
		var rows []Row
		for i := range pubs {
			if r, ok := answer(rec, &pubs[i], q); ok {
				rows = append(rows, r)
			}
		}
		mark(rows)
		out = append(out, rows...)
	}
	return out
}

func answer(rec *hazard.Record, p *Publication, q Question) (Row, bool) {
	switch q {
	case AskFrost:
		return frostRow(rec, p, q, "graze")
	case AskChop:
		return frostRow(rec, p, q, "green-chop")
	case AskSilage:
		return frostRow(rec, p, q, "cut-silage")
	case AskShoots:
		if rec.ShootsCM <= 0 || rec.Dead {
			return Row{}, false
		}
		return heightRow(rec, p, q, rec.ShootsCM, rec.ShootsOn, "shoots", "regrowth", "any")
	case AskHeight:
		if rec.Dead {
			return Row{}, false
		}
		growth := []string{"any", "first"}
		if rec.CutOn != fields.NoDate {
			growth = []string{"regrowth", "any"}
		}
		return heightRow(rec, p, q, rec.HeightCM, rec.HeightOn, growth...)
	case AskRain:
		return waitRow(rec, p, q, "drought-rain", "graze", rec.RainOn)
	case AskSpray:
		return waitRow(rec, p, q, "spray", "graze", rec.Sprayed)
	case AskHayFeed:
		if rec.CutUse == "hay" || rec.CutUse == "swath" {
			if r, ok := waitRow(rec, p, q, "baling", "feed-hay", rec.CutOn); ok {
				r.Note = "counted from the cut; baling is later"
				return r, true
			}
			return waitRow(rec, p, q, "cutting", "feed-hay", rec.CutOn)
		}
	case AskSilFeed:
		if rec.CutUse == "silage" {
			return waitRow(rec, p, q, "ensiling", "feed-silage", rec.CutOn)
		}
	}
	return Row{}, false
}

// frostRow takes the publication's rule for a killing frost when a kill is
// confirmed, and its rule for a light one when not: an unconfirmed kill is
// treated as the frost that did not kill.
func frostRow(rec *hazard.Record, p *Publication, q Question, use string) (Row, bool) {
	if len(rec.Triggers) == 0 {
		return Row{}, false
	}
	last := rec.Triggers[len(rec.Triggers)-1]
	kind := "light-frost"
	if rec.Dead {
		kind = "killing-frost"
		for _, t := range rec.Triggers {
			if t <= rec.Base {
				last = t
			}
		}
	}
	var best Row
	found := false
	for i := range p.Waits {
		w := &p.Waits[i]
		if w.Use != use || w.After != kind && w.After != "frost" && !(w.NeedsKill && w.After == "light-frost") || !speaksOf(rec, w.Species) {
			continue
		}
		note, applies := frostHeight(rec, w)
		if !applies {
			continue
		}
		r := count(rec, w, last)
		if w.NeedsKill && !rec.Dead {
			r.Say, r.First, r.Note = KeepsOff, hazard.NoEnd, "it asks for a killing frost first"
		}
		if note != "" && r.Note == "" {
			r.Note = note
		}
		if !found || later(r, best) {
			best, found = r, true
		}
	}
	best.Publication, best.Question = *p, q
	return best, found
}

// frostHeight reports whether a wait that depends on the height at the frost
// applies; an unknown height takes every such wait, so that the longer one
// counts.
func frostHeight(rec *hazard.Record, w *PublishedWait) (note string, applies bool) {
	if w.TallerCM == nil && w.ShorterCM == nil && !w.SafeBefore {
		return "", true
	}
	if rec.HeightAtFrostOn == fields.NoDate {
		return "the height at the frost was not recorded", true
	}
	h := rec.HeightAtFrostCM
	if w.TallerCM != nil && h < *w.TallerCM || w.ShorterCM != nil && h >= *w.ShorterCM {
		return "", false
	}
	if w.SafeBefore {
		return "it asks that the stand had its safe height before the frost", true
	}
	return "", true
}

// count turns one wait into a row.
func count(rec *hazard.Record, w *PublishedWait, start fields.Date) Row {
	r := Row{From: start, Words: w.Words}
	days, numbered := w.Longest()
	r.Days = days
	switch {
	case w.Never:
		r.Say, r.First = KeepsOff, hazard.NoEnd
		return r
	case !numbered && w.Dry == "":
		r.Say = NoNumber
		return r
	}
	dry := rec.DryWalk != fields.NoDate && rec.DryWalk >= start
	r.First = start.Add(days)
	switch w.Dry {
	case "also":
		if !dry {
			r.First, r.Note = hazard.NoEnd, "nobody has yet found it dry"
		}
	case "from":
		if !dry {
			r.First, r.Note = hazard.NoEnd, "nobody has yet found it dry"
		} else {
			r.From = rec.DryWalk
			r.First = rec.DryWalk.Add(days)
		}
	case "or":
		switch {
		case dry && (!numbered || rec.DryWalk < r.First):
			r.First = rec.DryWalk
		case !numbered:
			r.First, r.Note = hazard.NoEnd, "nobody has yet found it dry"
		}
	}
	r.Say = Allows
	if rec.On < r.First {
		r.Say = KeepsOff
	}
	return r
}

func waitRow(rec *hazard.Record, p *Publication, q Question, after, use string, start fields.Date) (Row, bool) {
	if start == fields.NoDate {
		return Row{}, false
	}
	var best Row
	found := false
	for i := range p.Waits {
		w := &p.Waits[i]
		if w.After != after || w.Use != use || !speaksOf(rec, w.Species) {
			continue
		}
		if r := count(rec, w, start); !found || later(r, best) {
			best, found = r, true
		}
	}
	best.Publication, best.Question = *p, q
	return best, found
}

func heightRow(rec *hazard.Record, p *Publication, q Question, cm float64, on fields.Date, growth ...string) (Row, bool) {
	var best Row
	found := false
	for i := range p.Heights {
		h := &p.Heights[i]
		if !slices.Contains(growth, h.Growth) || !speaksOf(rec, h.Species) {
			continue
		}
		want, numbered := h.Highest()
		r := Row{CM: want, Words: h.Words, From: on}
		switch {
		case h.Headed || !numbered:
			r.Say, r.First = KeepsOff, hazard.NoEnd
			r.Note = "it asks that the crop has headed, which no entry records"
		case on == fields.NoDate:
			r.Say, r.First, r.Note = KeepsOff, hazard.NoEnd, "the height was not measured"
		case cm < want:
			r.Say, r.First = KeepsOff, hazard.NoEnd
		default:
			r.Say, r.First = Allows, on
		}
		if !found || r.CM > best.CM || later(r, best) && r.CM == best.CM {
			best, found = r, true
		}
	}
	best.Publication, best.Question = *p, q
	return best, found
}

// speaksOf reports whether a rule for the listed species concerns the stand. A
// rule for the sorghums as a group concerns unknown species and every other
// cyanogenic grass too.
func speaksOf(rec *hazard.Record, ids []string) bool {
	for i := range rec.Species {
		s := &rec.Species[i]
		if s.Row == nil {
			if len(ids) == 0 {
				return true
			}
			continue
		}
		if CoversSpecies(ids, s.Row) || len(ids) == 0 && s.Row.Habit == hazard.HabitPerennial {
			return true
		}
	}
	return false
}

func later(a, b Row) bool { return rank(a) > rank(b) }

// rank orders rows of a question from lax to strict.
func rank(r Row) int64 {
	switch r.Say {
	case KeepsOff, Allows:
		if r.CM > 0 {
			return int64(r.CM * 100)
		}
		return int64(r.First)
	}
	return -1
}

func mark(rows []Row) {
	lo, hi := -1, -1
	for i := range rows {
		if rank(rows[i]) < 0 {
			continue
		}
		if lo < 0 || rank(rows[i]) < rank(rows[lo]) {
			lo = i
		}
		if hi < 0 || rank(rows[i]) > rank(rows[hi]) {
			hi = i
		}
	}
	if lo < 0 || rank(rows[lo]) == rank(rows[hi]) {
		return
	}
	for i := range rows {
		rows[i].Laxest = rank(rows[i]) == rank(rows[lo])
		rows[i].Strictest = rank(rows[i]) == rank(rows[hi])
	}
}
