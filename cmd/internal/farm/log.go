package farm

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/journal"
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
	Dawns   bool // a look at dawn on more mornings than anybody remembers
	Figures bool // a laboratory's figures, or a low, that fit another unit better
}

// mostReads is how often the journal is read anew because another seat wrote
// between reading and storing, before that is said.
const mostReads = 10

// Log is View.Log on the journal as it stands now.
func (f *Farm) Log(entries []fields.Entry, dryRun bool, sure ...Sure) (*Logged, error) {
	v, err := f.View(Question{})
	if err != nil {
		return nil, err
	}
	return v.Log(entries, dryRun, sure...)
}

// Log checks entries in the light of the view, stores them in one step and answers
// for today before and after from that one reading. If the journal has moved on
// meanwhile, or the view is of another day or moment, it is read anew. By and Recorded are filled in where they are
// empty. With dryRun everything is done but the storing. Refused input is a
// fields.Problems, and nothing of it is stored.
func (v *View) Log(entries []fields.Entry, dryRun bool, sure ...Sure) (*Logged, error) {
	if v.asked != (Question{}) {
		return v.farm.Log(entries, dryRun, sure...)
	}
	v, err := v.Whole(entries...)
	if err != nil {
		return nil, err
	}
	out, err := again(v, func(v *View) (*Logged, error) { return v.log(entries, dryRun, sure...) })
	if err == nil {
		out.answer() // when the next may have its turn
	}
	return out, err
}

// again does what stores into the journal as the view read it, anew for as long as others
// stored meanwhile; from the second time on, one after the other.
func again[T any](v *View, do func(*View) (*T, error)) (*T, error) {
	for reads := 1; ; reads++ {
		out, err := do(v)
		if !errors.Is(err, journal.ErrMoved) || reads == mostReads {
			return out, err
		}
		if reads == 1 {
			defer v.farm.store.Turn()()
		}
		if v, err = v.anew(); err != nil {
			return nil, err
		}
	}
}

func (v *View) log(entries []fields.Entry, dryRun bool, sure ...Sure) (*Logged, error) {
	ready, notes, err := v.prepare(entries, sure...)
	if err != nil {
		return nil, err
	}
	out := &Logged{Entries: ready, Notes: notes, View: v}
	if !dryRun {
		if out.Entries, err = v.farm.store.AppendTo(v.content, ready); err != nil {
			return nil, err
		}
		out.Stored = true
	}
	return out, nil
}

// answer says what the entries changed.
func (out *Logged) answer() {
	v := out.View
	out.Before = v.Assess()
	out.After = v.with(out.Entries, Question{On: v.Today}).Assess()
	for i := range out.Entries {
		e := &out.Entries[i]
		for _, t := range []string{v.cutCost(e), v.asOf(e, out), board.StillCounts(out.After, e)} {
			if t != "" {
				out.Notes = append(out.Notes, t)
			}
		}
	}
	out.Notes = append(out.Notes, board.UsedUp(out.Before, out.After, out.Entries)...)
}

// asOf says what held on a past day for stock that is logged into a paddock only now.
func (v *View) asOf(e *fields.Entry, l *Logged) string {
	if d := e.EventDate(v.Loc); e.Kind() == fields.KindGrazed && d < v.Today {
		return board.AsOf(v.with(l.Entries, Question{On: d}).Assess(), l.After, e)
	}
	return ""
}

// cutCost says what a cut for silage costs the feed made of it, by asking the
// engine about such a lot. The heights and nights of the day are those before
// the cut.
func (v *View) cutCost(e *fields.Entry) string {
	b, ok := e.Body.(*fields.Cut)
	if !ok || b.Use != "silage" {
		return ""
	}
	const id = "this-cut"
	d := e.EventDate(v.Loc)
	lot := []fields.Entry{{
		Recorded: e.Recorded, By: e.By, Body: &fields.LotFacts{Lot: id, LotKind: "silage", MadeOn: d, CutOn: d, From: []string{b.Paddock}},
	}}
	ask := func(on fields.Date) *hazard.Assessment { return v.with(lot, Question{On: on}).Assess() }
	return board.CutCost(ask(d), id, b.Paddock, ask)
}

// prepare signs, dates and checks entries.
func (v *View) prepare(entries []fields.Entry, sure ...Sure) ([]fields.Entry, []string, error) {
	ready := slices.Clone(entries)
	c := newChecker(v, sure...)
	for i := range ready {
		e := &ready[i]
		if e.Recorded.IsZero() {
			e.Recorded = v.farm.Clock().In(v.Loc)
		}
		e.By = cmp.Or(e.By, v.farm.By)
		c.entry(e)
	}
	return ready, c.notes, c.problems.Err()
}

// Strike strikes the entry that typed names (its id or an unmistakable part).
func (v *View) Strike(typed, because string, dryRun bool) (*Logged, error) {
	id, err := v.entry(typed)
	if err != nil {
		if b, berr := v.batch(typed); berr == nil {
			err = fmt.Errorf("%s is the id of an import that brought %d entries; strike all of it with --batch, or name one entry", b.ID, b.Entries)
		}
		return nil, fields.Problems{{Field: "entry", What: err.Error()}}
	}
	return v.Log([]fields.Entry{{On: v.Today, Body: &fields.Strike{Entry: id, Because: because}}}, dryRun)
}

// StrikeBatch strikes by one entry all that the import brought that typed names.
func (v *View) StrikeBatch(typed, because string, dryRun bool) (*Logged, *Batch, error) {
	b, err := v.batch(typed)
	if err != nil {
		if id, eerr := v.entry(typed); eerr == nil {
			err = fmt.Errorf("%s is the id of one entry and no import; leave out --batch", id)
		}
		return nil, nil, fields.Problems{{Field: "batch", What: err.Error()}}
	}
	l, err := v.Log([]fields.Entry{{On: v.Today, Body: &fields.Strike{Batch: b.ID, Because: because}}}, dryRun)
	return l, b, err
}

// withID finds which of the ids of the entries typed means: the whole id, or an
// unmistakable part of at least five characters at its beginning or end.
func (v *View) withID(typed string, of func(*fields.Entry) string, none, several string) (string, error) {
	t := strings.ToUpper(strings.TrimLeft(strings.TrimSpace(typed), ".…"))
	var hits []string
	for i := range v.Entries {
		id := of(&v.Entries[i])
		if id == t && t != "" {
			return id, nil
		}
		if len(t) >= 5 && (strings.HasSuffix(id, t) || strings.HasPrefix(id, t)) && !slices.Contains(hits, id) {
			hits = append(hits, id)
		}
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
		return "", fmt.Errorf(none, board.Clean(typed))
	}
	return "", fmt.Errorf(several, board.Clean(typed), len(hits), hits[0])
}

// entry returns the id of the entry that typed names.
func (v *View) entry(typed string) (string, error) {
	return v.withID(typed, func(e *fields.Entry) string { return e.ID },
		"there is no entry %q; `rimegate history` shows every entry with its id",
		"%q fits %d entries, %s and others; type the whole id")
}

// Batch is what one import brought, as far as a strike of it now would reach. No
// strike is of a batch: its own field of that name is the import it strikes.
type Batch struct {
	ID       string
	Entries  int // that the import brought
	struck   int // of them, struck already
	later    int // of them, recorded by a clock ahead of ours, which stay
	left     map[fields.Kind]int
	from, to fields.Date // of what is left to strike
}

// Words says what a strike of the batch strikes.
func (b *Batch) Words() string {
	var kinds []string
	left := 0
	for _, k := range slices.Sorted(maps.Keys(b.left)) {
		kinds = append(kinds, fmt.Sprintf("%d %s", b.left[k], k))
		left += b.left[k]
	}
	text := fmt.Sprintf("The import %s brought %d entries. Struck by this: %d (%s)", b.ID, b.Entries, left, strings.Join(kinds, ", "))
	switch {
	case b.from == fields.NoDate:
	case b.from == b.to:
		text += ", of " + b.from.Words()
	default:
		text += ", from " + b.from.Words() + " through " + b.to.Words()
	}
	if b.struck > 0 {
		text += fmt.Sprintf("; %d struck already", b.struck)
	}
	if b.later > 0 {
		text += fmt.Sprintf("; %d recorded by a clock that is ahead, which stay", b.later)
	}
	return text + "."
}

// batch finds the import that typed names and gathers what it brought.
func (v *View) batch(typed string) (*Batch, error) {
	id, err := v.withID(typed, func(e *fields.Entry) string { return e.Batch },
		"there is no import %q; `rimegate history` shows the import of every entry that came by one",
		"%q fits %d imports, %s and others; type the whole id")
	if err != nil {
		return nil, err
	}
	return v.brought(id), nil
}

func (v *View) brought(batch string) *Batch {
	b := &Batch{ID: batch, left: map[fields.Kind]int{}}
	for i := range v.Entries {
		e := &v.Entries[i]
		if e.Batch != b.ID {
			continue
		}
		b.Entries++
		switch {
		case v.struck(e):
			b.struck++
		case e.Recorded.After(v.Now):
			b.later++
		default:
			b.left[e.Kind()]++
			d := e.EventDate(v.Loc)
			if b.from == fields.NoDate || d < b.from {
				b.from = d
			}
			b.to = max(b.to, d)
		}
	}
	return b
}
