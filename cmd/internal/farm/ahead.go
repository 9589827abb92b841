package farm

import (
	"encoding/json"
	"fmt"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// MaxAhead is the most days looked ahead.
const MaxAhead = 120

// Ahead is the farm on the coming days if nothing else happens, and if some
// things do. Nothing of it is stored.
type Ahead struct {
	View  *View
	Days  []*hazard.Assessment // today, then one a day
	If    []fields.Entry       // what was assumed, dated and signed
	With  []*hazard.Assessment // the same days with that, nil without
	Notes []string             // what must be said of the assumed entries
}

// Ahead folds the journal for today and each of the days after it. The moment
// stays now: what nobody knows yet is not known on the coming days either, and
// nights to come are neither unread nor frosty. Hypothetical entries are added
// to the fold only; they may lie in the future. Entries that cannot be are
// fields.Problems.
func (f *Farm) Ahead(days int, hypothetical []fields.Entry) (*Ahead, error) {
	v, err := f.View(Question{})
	if err != nil {
		return nil, err
	}
	return f.ahead(v, days, hypothetical)
}

func (f *Farm) ahead(v *View, days int, hypothetical []fields.Entry) (*Ahead, error) {
	a := &Ahead{View: v}
	if len(hypothetical) > 0 {
		c := newChecker(v)
		c.sure = Sure{Names: true, Figures: true} // nothing is stored: it is said, not asked
		for i := range hypothetical {
			e := hypothetical[i]
			if e.Recorded.IsZero() || e.Recorded.After(v.Now) {
				e.Recorded = v.Now
			}
			if e.By == "" {
				e.By = "nobody"
			}
			if ps := fields.Check(&e); len(ps) > 0 {
				c.problems = append(c.problems, ps...)
				continue
			}
			c.places(&e)
			c.body(&e)
			if d := e.EventDate(v.Loc); d > v.Today.Add(days) {
				c.note("what is assumed for %s lies behind the last day looked at", d.Words())
			}
			a.If = append(a.If, e)
		}
		if err := c.problems.Err(); err != nil {
			return nil, err
		}
		a.Notes = c.notes
	}
	a.Days = f.daysAhead(v, v.Entries, days)
	if len(a.If) > 0 {
		a.With = f.daysAhead(v, append(append([]fields.Entry{}, v.Entries...), numbered(a.If)...), days)
	}
	return a, nil
}

func (f *Farm) daysAhead(v *View, entries []fields.Entry, days int) []*hazard.Assessment {
	out := make([]*hazard.Assessment, days+1)
	for i := range out {
		out[i] = f.refold(entries, Question{On: v.Today.Add(i), KnownAt: v.History.KnownAt}).Assess()
	}
	return out
}

// Assumed reads one hypothetical entry: the journal's own JSON, of which id,
// recorded and by may be left out.
func (v *View) Assumed(text string) (*fields.Entry, error) {
	var given map[string]json.RawMessage
	if err := json.Unmarshal([]byte(text), &given); err != nil || given == nil {
		return nil, fmt.Errorf("%q is not one JSON object", board.Cut(text, 40))
	}
	fill := func(name string, value any) {
		if _, ok := given[name]; !ok {
			given[name], _ = json.Marshal(value)
		}
	}
	_, named := given["id"]
	fill("id", "00000000000000000000000000")
	fill("recorded", v.Now.Format(time.RFC3339Nano))
	fill("by", "nobody")
	full, err := json.Marshal(given)
	if err != nil {
		return nil, err
	}
	e, probs := fields.DecodeEntry(full)
	if err := probs.Err(); err != nil {
		return nil, err
	}
	if !named {
		e.ID = ""
	}
	return e, nil
}

// Assumed are the assumed entries in words.
func (a *Ahead) Assumed() []string {
	var out []string
	for i := range a.If {
		out = append(out, board.EntryWords(&a.If[i], a.With[len(a.With)-1].History, a.View.Units()))
	}
	return out
}

// Strip is the answer for one use day by day, with the earliest day on which a
// CLEAR could come.
func (a *Ahead) Strip(filter board.Filter) *board.Strip {
	s := board.NewStrip(a.Days, a.With, filter)
	if len(a.If) == 0 {
		a.earliest(s)
	}
	return s
}
