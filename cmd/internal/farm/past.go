package farm

import (
	"fmt"
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

// Past is one entry of the journal's past.
type Past struct {
	fields.Fact
	Strike  *fields.Fact // the entry that struck it, nil if it counts
	History *fields.History
}

// StruckWords says who struck the entry, when and why.
func (p *Past) StruckWords() string {
	b := p.Strike.Body.(*fields.Strike)
	with := ""
	if b.Batch != "" {
		with = " with its whole import"
	}
	return fmt.Sprintf("by %s on %s%s: %s", board.Clean(p.Strike.By), p.Strike.Date.Words(), with, board.Clean(b.Because))
}

// Past returns entries in order, struck ones and those of coming days too. Of a
// paddock they are those of its land: what it was split or joined from counts.
func (f *Farm) Past(q PastOf) ([]Past, error) {
	v, err := f.View(Question{On: farFuture, KnownAt: q.KnownAt})
	if err != nil {
		return nil, err
	}
	h := v.History
	land := []string{}
	if h.Paddock(q.ID) != nil {
		land = slices.Concat(h.Lines(q.ID)...)
	}
	about := func(e *fields.Entry) bool {
		return e.Lot() == q.ID || slices.ContainsFunc(e.Paddocks(), func(p string) bool { return slices.Contains(land, p) })
	}
	wanted := func(x *fields.Fact) bool {
		if q.From != fields.NoDate && x.Date < q.From || q.To != fields.NoDate && x.Date > q.To {
			return false
		}
		if q.ID == "" || about(x.Entry) {
			return true
		}
		b, ok := x.Body.(*fields.Strike) // of an entry about it, or an import that brought one
		return ok && slices.ContainsFunc(v.Entries, func(e fields.Entry) bool {
			return (e.ID == b.Entry || b.Batch != "" && e.Batch == b.Batch) && about(&e)
		})
	}
	facts := slices.Concat(h.Facts, h.StruckFacts())
	fields.SortFacts(facts)
	var out []Past
	for _, x := range facts {
		if !wanted(&x) {
			continue
		}
		p := Past{Fact: x, History: h}
		if s, ok := h.Struck[x.ID]; ok && x.Kind() != fields.KindStrike {
			p.Strike = &s
		}
		out = append(out, p)
	}
	return out, nil
}
