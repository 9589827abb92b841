package farm

import (
	"cmp"
	"encoding/json"
	"fmt"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
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
	only  Only
}

// Only is what is asked of the coming days.
type Only struct {
	Uses    []hazard.Use
	Classes []hazard.Class
}

// Ahead folds the journal for today and each of the days after it; these for what is asked
// only, if anything is and nothing is assumed, whose changes are told of each. The moment
// stays now: what nobody knows yet is not known on the coming days either, and
// nights to come are neither unread nor frosty. Hypothetical entries are added
// to the fold only; they may lie in the future. Entries that cannot be are
// fields.Problems.
func (v *View) Ahead(days int, hypothetical []fields.Entry, only Only) (*Ahead, error) {
	a := &Ahead{View: v, only: only}
	var err error
	if len(hypothetical) > 0 {
		if a.View, err = v.Whole(hypothetical...); err != nil {
			return nil, err
		}
		v = a.View
	}
	if a.If, a.Notes, err = v.assume(hypothetical, v.Today.Add(days)); err != nil {
		return nil, err
	}
	if len(a.If) == 0 {
		a.Days = v.daysAhead(nil, days, only)
		return a, nil
	}
	a.Days, a.With = v.daysAhead(nil, days, Only{}), v.daysAhead(a.If, days, Only{})
	return a, nil
}

// assume checks hypothetical entries, and dates and signs them; last is the last day
// looked at. It returns what must be said of them.
func (v *View) assume(hypothetical []fields.Entry, last fields.Date) (out []fields.Entry, notes []string, err error) {
	c := newChecker(v, Sure{Names: true, Dawns: true, Figures: true}) // nothing is stored: it is said, not asked
	c.assumed = true
	for _, e := range hypothetical {
		if e.Recorded.IsZero() || e.Recorded.After(v.Now) {
			e.Recorded = v.Now
		}
		e.By = cmp.Or(e.By, "nobody")
		c.entry(&e)
		if d := e.EventDate(v.Loc); d > last {
			c.note("what is assumed for %s lies behind the last day looked at", d.Words())
		}
		out = append(out, e)
	}
	return out, c.notes, c.problems.Err()
}

// daysAhead assesses today and the days after it, these for what is asked only if anything is.
func (v *View) daysAhead(more []fields.Entry, days int, only Only) []*hazard.Assessment {
	day := v.with(more, Question{On: v.Today, KnownAt: v.History.KnownAt})
	out := []*hazard.Assessment{day.Assess()}
	var asked []hazard.Asked
	for i := range days {
		if day = day.onDay(v.Today.Add(i + 1)); len(only.Uses) == 0 {
			out = append(out, day.Assess())
		}
		asked = append(asked, hazard.Asked{History: day.History, Book: day.Book})
	}
	if len(only.Uses) > 0 {
		out = append(out, hazard.AssessDays(asked, only.Uses, only.Classes)...)
	}
	return out
}

// onDay is the view of the same entries for another day, not earlier.
func (v *View) onDay(d fields.Date) *View {
	h, same := v.History.OnDay(d)
	switch {
	case d == v.History.On:
		return v
	case !same:
		return v.again(v.Entries, Question{On: d, KnownAt: v.History.KnownAt})
	}
	day := *v
	day.History, day.answer, day.asked.On = h, nil, d
	day.Book, _ = rules.With(rules.Default(), h.Facts, d)
	return &day
}

// Assumed reads one hypothetical entry: the journal's own JSON, of which id,
// recorded and by may be left out.
func (v *View) Assumed(text string) (*fields.Entry, error) {
	return readEntry(text, v.Now, "nobody")
}

// readEntry reads an entry in the journal's own JSON, of which id, recorded and by
// may be left out.
func readEntry(text string, recorded time.Time, by string) (*fields.Entry, error) {
	var given map[string]json.RawMessage
	if err := json.Unmarshal([]byte(text), &given); err != nil || given == nil {
		return nil, fmt.Errorf("%q is not one JSON object", board.Cut(text, 40))
	}
	_, named := given["id"]
	for name, value := range map[string]string{"id": "00000000000000000000000000", "recorded": recorded.Format(time.RFC3339Nano), "by": by} {
		if _, ok := given[name]; !ok {
			given[name], _ = json.Marshal(value) // a text can always be written
		}
	}
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
		out = append(out, board.EntryEcho(&a.If[i], a.With[len(a.With)-1].History, a.View.Units()))
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
