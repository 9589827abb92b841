package rules

import (
	"cmp"
	"math"
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
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
	Source    hazard.Source
	Question  Question
	Allows    bool        // on the day asked
	NoNumber  bool        // it speaks of it and gives no number
	From      fields.Date // the day the count starts, NoDate if none is counted
	Days      int         // days counted: the longer end of a printed range
	First     fields.Date // first day it would allow; hazard.NoEnd: no date
	CM        float64     // height asked for, where heights are asked
	Words     string      // its rule in our words
	Note      string      // what the record lacks to follow it
	Strictest bool        // of the rows of this question
	Laxest    bool
}

// Compare holds a record against every publication: one row for each that
// gives a rule for a question the record raises. A printed range counts by its
// longer end, a wait of N days allows the N-th day after its start, as the
// publications count. Of a question the strictest comes first and what gives no
// number last; the strictest and the laxest row are marked.
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
		slices.SortStableFunc(rows, strictestFirst)
		out = append(out, rows...)
	}
	return out
}

// answer is a publication's strictest row for a question.
func answer(rec *hazard.Record, p *Publication, q Question) (Row, bool) {
	var rows []Row
	hay := rec.CutUse == "hay" || rec.CutUse == "swath"
	switch {
	case q == AskFrost:
		rows = frostRows(rec, p, "graze")
	case q == AskChop:
		rows = frostRows(rec, p, "green-chop")
	case q == AskSilage:
		rows = frostRows(rec, p, "cut-silage")
	case q == AskShoots && rec.ShootsCM > 0:
		rows = heightRows(rec, p, rec.ShootsCM, rec.ShootsOn, "shoots", "regrowth", "any")
	case q == AskHeight && rec.CutOn != fields.NoDate:
		rows = heightRows(rec, p, rec.HeightCM, rec.HeightOn, "any", "regrowth")
	case q == AskHeight:
		rows = heightRows(rec, p, rec.HeightCM, rec.HeightOn, "any", "first")
	case q == AskRain:
		rows = waitRows(rec, p, "drought-rain", "graze", rec.RainOn, "")
	case q == AskSpray:
		rows = waitRows(rec, p, "spray", "graze", rec.Sprayed, "")
	case q == AskHayFeed && hay:
		rows = waitRows(rec, p, "baling", "feed-hay", rec.CutOn, "counted from the cut; baling is later")
		if rows == nil {
			rows = waitRows(rec, p, "cutting", "feed-hay", rec.CutOn, "")
		}
	case q == AskSilFeed && rec.CutUse == "silage":
		rows = waitRows(rec, p, "ensiling", "feed-silage", rec.CutOn, "")
	}
	if len(rows) == 0 {
		return Row{}, false
	}
	best := slices.MinFunc(rows, strictestFirst)
	best.Source, best.Question = p.Source, q
	return best, true
}

// frostRows takes the publication's rules for a killing frost when a kill is
// confirmed, and its rules for a light one when not: an unconfirmed kill is
// treated as the frost that did not kill.
func frostRows(rec *hazard.Record, p *Publication, use string) (out []Row) {
	if len(rec.Triggers) == 0 {
		return nil
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
	for i := range p.Waits {
		w := &p.Waits[i]
		event := w.After == kind || w.After == "frost" || w.NeedsKill && w.After == "light-frost"
		note, applies := frostHeight(rec, w)
		if w.Use != use || !event || !applies || !speaksOf(rec, w.Species) {
			continue
		}
		r := count(rec, w, last)
		if w.NeedsKill && !rec.Dead {
			r.Allows, r.First, r.Note = false, hazard.NoEnd, "it asks for a killing frost first"
		}
		r.Note = cmp.Or(r.Note, note)
		out = append(out, r)
	}
	return out
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
	if w.SafeBefore {
		note = "it asks that the stand had its safe height before the frost"
	}
	h := rec.HeightAtFrostCM
	return note, h >= or(w.TallerCM, h) && h < or(w.ShorterCM, math.Inf(1))
}

// count turns one wait into a row.
func count(rec *hazard.Record, w *PublishedWait, start fields.Date) Row {
	r := Row{From: start, Words: w.Words}
	days, numbered := w.Longest()
	r.Days = days
	switch {
	case w.Never:
		r.First = hazard.NoEnd
		return r
	case !numbered && w.Dry == "":
		r.NoNumber = true
		return r
	}
	dry := rec.DryWalk != fields.NoDate && rec.DryWalk >= start
	r.First = start.Add(days)
	switch {
	case !dry && (w.Dry == "also" || w.Dry == "from" || w.Dry == "or" && !numbered):
		r.First, r.Note = hazard.NoEnd, "nobody has yet found it dry"
	case w.Dry == "from":
		r.From, r.First = rec.DryWalk, rec.DryWalk.Add(days)
	case w.Dry == "or" && dry && (!numbered || rec.DryWalk < r.First):
		r.First = rec.DryWalk
	}
	r.Allows = rec.On >= r.First
	return r
}

func waitRows(rec *hazard.Record, p *Publication, after, use string, start fields.Date, note string) (out []Row) {
	for i := range p.Waits {
		w := &p.Waits[i]
		if start != fields.NoDate && w.After == after && w.Use == use && speaksOf(rec, w.Species) {
			r := count(rec, w, start)
			r.Note = cmp.Or(note, r.Note)
			out = append(out, r)
		}
	}
	return out
}

func heightRows(rec *hazard.Record, p *Publication, cm float64, on fields.Date, growth ...string) (out []Row) {
	for i := range p.Heights {
		h := &p.Heights[i]
		if rec.Dead || !slices.Contains(growth, h.Growth) || !speaksOf(rec, h.Species) {
			continue
		}
		want, numbered := h.Highest()
		r := Row{CM: want, Words: h.Words, From: on, First: hazard.NoEnd}
		switch {
		case h.Headed || !numbered:
			r.Note = "it asks that the crop has headed, which no entry records"
		case on == fields.NoDate:
			r.Note = "the height was not measured"
		case cm >= want:
			r.Allows, r.First = true, on
		}
		out = append(out, r)
	}
	return out
}

// speaksOf reports whether a rule for the listed species concerns the stand. A
// rule for the sorghums as a group concerns unknown species and every other
// cyanogenic grass too.
func speaksOf(rec *hazard.Record, ids []string) bool {
	return slices.ContainsFunc(rec.Species, func(s hazard.RecordSpecies) bool {
		if s.Row == nil {
			return len(ids) == 0
		}
		return CoversSpecies(ids, s.Row) || len(ids) == 0 && s.Row.Habit == hazard.HabitPerennial
	})
}

// strictestFirst orders rows of a question; what gives no number comes last.
func strictestFirst(a, b Row) int {
	switch {
	case a.NoNumber == b.NoNumber:
		return cmp.Or(cmp.Compare(b.CM, a.CM), b.First.Sub(a.First))
	case a.NoNumber:
		return 1
	}
	return -1
}

// rank orders rows of a question from lax to strict.
func rank(r Row) int64 {
	switch {
	case r.NoNumber:
		return -1
	case r.CM > 0:
		return int64(r.CM * 100)
	}
	return int64(r.First)
}

// mark marks the strictest and the laxest of a question, where they differ.
func mark(rows []Row) {
	lo, hi := int64(math.MaxInt64), int64(-1)
	for _, r := range rows {
		if n := rank(r); n >= 0 {
			lo, hi = min(lo, n), max(hi, n)
		}
	}
	for i := range rows {
		rows[i].Laxest = lo < hi && rank(rows[i]) == lo
		rows[i].Strictest = lo < hi && rank(rows[i]) == hi
	}
}
