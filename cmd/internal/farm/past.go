package farm

import (
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// PastOf says which entries are asked for; empty means all.
type PastOf struct {
	ID       string // paddock or lot
	From, To fields.Date
	KnownAt  time.Time
}

// Past returns entries in order, struck ones and those of coming days too. Of a
// paddock they are those of its land: what it was split or joined from counts.
func (f *Farm) Past(q PastOf) ([]board.Past, error) {
	v, err := f.View(Question{On: farFuture, KnownAt: q.KnownAt})
	if err != nil {
		return nil, err
	}
	h := v.History
	about := v.told(q.ID)
	wanted := func(x *fields.Fact) bool {
		return (q.From == fields.NoDate || x.Date >= q.From) && (q.To == fields.NoDate || x.Date <= q.To) && about(x)
	}
	facts := slices.Concat(h.Facts, h.StruckFacts())
	fields.SortFacts(facts)
	var out []board.Past
	for _, x := range facts {
		if !wanted(&x) {
			continue
		}
		var strike *fields.Fact
		if by, ok := h.Struck[x.ID]; ok && x.Kind() != fields.KindStrike {
			strike = &by
		}
		out = append(out, board.NewPast(x, strike, h))
	}
	return out, nil
}

// told reports the entries that are told of a paddock's land or of a lot, everything of no
// id: those that name it, and strikes of them.
func (v *View) told(id string) func(*fields.Fact) bool {
	land := v.land(id)
	about := func(e *fields.Entry) bool {
		return e.Lot() == id || slices.ContainsFunc(e.Paddocks(), func(p string) bool { return slices.Contains(land, p) })
	}
	return func(x *fields.Fact) bool {
		if id == "" || about(x.Entry) {
			return true
		}
		b, ok := x.Body.(*fields.Strike) // of an entry about it, or an import that brought one
		return ok && slices.ContainsFunc(v.Entries, func(e fields.Entry) bool {
			return (e.ID == b.Entry || b.Batch != "" && e.Batch == b.Batch) && about(&e)
		})
	}
}

// land is the paddock and those that it was split or joined from; nil of what is no paddock.
func (v *View) land(id string) []string {
	if v.History.Paddock(id) == nil {
		return nil
	}
	return slices.Compact(slices.Sorted(slices.Values(slices.Concat(v.History.Lines(id)...))))
}
