package farm

import (
	"fmt"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Logged is what became of entries given to Log.
type Logged struct {
	Entries []fields.Entry // as stored, or as they would be
	Stored  bool
	Notes   []string // what must be said aloud: unknown plants, the same fact twice, ...
	Before  *hazard.Assessment
	After   *hazard.Assessment
	View    *View // the reading of the journal the entries were judged by
}

// Sure is what a person has been asked about and stands by. What it does not
// hold is refused with the question; what it holds becomes a note.
type Sure struct {
	Names   bool // everyday names that fit several plants
	Figures bool // a laboratory's figures, or a low, that fit another unit better
}

// Log checks entries, stores them in one step and answers for today before and
// after. By and Recorded are filled in where they are empty. With dryRun
// everything is done but the storing. Refused input is a fields.Problems, and
// nothing of it is stored.
func (f *Farm) Log(entries []fields.Entry, dryRun bool, sure ...Sure) (*Logged, error) {
	v, err := f.View(Question{})
	if err != nil {
		return nil, err
	}
	return f.log(v, entries, dryRun, sure...)
}

func (f *Farm) log(v *View, entries []fields.Entry, dryRun bool, sure ...Sure) (*Logged, error) {
	ready, notes, err := f.prepare(v, entries, sure...)
	if err != nil {
		return nil, err
	}
	before := f.refold(v.Entries, Question{On: v.Today})
	out := &Logged{Entries: ready, Notes: notes, View: v, Before: before.Assess()}
	if !dryRun {
		if out.Entries, err = f.store.Append(ready); err != nil {
			return nil, err
		}
		out.Stored = true
	}
	after := f.refold(append(append([]fields.Entry{}, v.Entries...), numbered(out.Entries)...), Question{On: v.Today})
	out.After = after.Assess()
	for i := range ready {
		if t := f.cutCost(v, &ready[i]); t != "" {
			out.Notes = append(out.Notes, t)
		}
	}
	return out, nil
}

// cutCost says what a cut for silage costs the feed made of it, by asking the
// engine about such a lot. The heights and nights of the day are those before
// the cut.
func (f *Farm) cutCost(v *View, e *fields.Entry) string {
	b, ok := e.Body.(*fields.Cut)
	if !ok || b.Use != "silage" {
		return ""
	}
	const id = "this-cut"
	d := e.EventDate(v.Loc)
	with := append(append([]fields.Entry{}, v.Entries...), numbered([]fields.Entry{{
		Recorded: e.Recorded, By: e.By, Body: &fields.LotFacts{Lot: id, LotKind: "silage", MadeOn: d, CutOn: d, From: []string{b.Paddock}},
	}})...)
	ask := func(on fields.Date) *hazard.Assessment { return f.refold(with, Question{On: on}).Assess() }
	return board.CutCost(ask(d), id, b.Paddock, ask)
}

func (f *Farm) refold(entries []fields.Entry, q Question) *View {
	v := &View{Entries: entries}
	f.fold(v, q)
	return v
}

// prepare signs, dates and checks entries.
func (f *Farm) prepare(v *View, entries []fields.Entry, sure ...Sure) ([]fields.Entry, []string, error) {
	ready := append([]fields.Entry{}, entries...)
	c := newChecker(v)
	for _, s := range sure {
		c.sure.Names = c.sure.Names || s.Names
		c.sure.Figures = c.sure.Figures || s.Figures
	}
	for i := range ready {
		e := &ready[i]
		if e.Recorded.IsZero() {
			e.Recorded = f.Clock().In(v.Loc)
		}
		if e.By == "" {
			e.By = f.By
		}
		c.entry(e)
	}
	return ready, c.notes, c.problems.Err()
}

// numbered gives entries without an id one that no journal can hold, so that
// they can be folded before they are stored.
func numbered(entries []fields.Entry) []fields.Entry {
	out := append([]fields.Entry{}, entries...)
	for i := range out {
		if out[i].ID == "" {
			out[i].ID = "~" + string(rune('0'+i/4096)) + string(rune('0'+i/64%64)) + string(rune('0'+i%64))
		}
	}
	return out
}

// Strike strikes the entry that typed names (its id or an unmistakable part).
func (f *Farm) Strike(typed, because string, dryRun bool) (*Logged, error) {
	v, err := f.View(Question{})
	if err != nil {
		return nil, err
	}
	id, err := v.Entry(typed)
	if err != nil {
		if b, berr := v.batch(typed); berr == nil {
			err = fmt.Errorf("%s is the id of an import that brought %d entries; strike all of it with --batch, or name one entry", b.ID, b.Entries)
		}
		return nil, fields.Problems{{Field: "entry", What: err.Error()}}
	}
	return f.log(v, []fields.Entry{{On: v.Today, Body: &fields.Strike{Entry: id, Because: because}}}, dryRun)
}
