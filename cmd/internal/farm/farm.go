// Package farm holds the use cases of the program: open the farm's journal,
// answer for a day with what was known at a moment, log entries and say what
// they changed, bring in readings, write the invented demo farm. Command line
// and screens call it; it knows neither.
package farm

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/fields/share"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// Farm is a journal and what the program needs to answer from it. Nothing is
// held open: every call reads the journal anew.
type Farm struct {
	Clock func() time.Time // the one clock of the program
	By    string           // who signs what is logged
	Zone  *time.Location   // farm time until a farm entry names the zone; UTC if nil

	store *journal.Store
}

// Open returns the farm whose journal is the file at path. The file need not
// exist yet.
func Open(path string) *Farm {
	return &Farm{Clock: time.Now, store: journal.New(path)}
}

// Store returns the farm's journal for copying, checking and merging.
func (f *Farm) Store() *journal.Store { return f.store }

// Question is what is asked: the list of which day, with what was known when.
// The zero value asks for today with everything known now.
type Question struct {
	On      fields.Date
	KnownAt time.Time
}

// View is one reading of the journal: what counts for a question, and the
// rulebook that holds on that day.
type View struct {
	Entries  []fields.Entry // all of the journal, struck or not counting too
	Revision uint64
	Now      time.Time   // in farm time
	Today    fields.Date // the farm's date now
	Loc      *time.Location
	History  *fields.History
	Book     *hazard.Rulebook
	Notes    []string // what a person should know of this reading, such as a wrong clock
	Behind   string   // by how far this computer's clock is behind the journal, if by a day or more: then nobody knows what today is

	farm    *Farm
	asked   Question
	content *journal.Content // as loaded; nil of what is not stored so
	names   names
	answer  *hazard.Assessment
	all     *View // of the whole record, once it was asked for

	facts    map[fields.Kind]map[factKey][]*fields.Entry // what counts, by what it is about; each kind filled when asked for
	readings map[string]*fields.Reading                  // by entry; filled when asked for
}

// Units returns the farm's system of units.
func (v *View) Units() board.Units { return board.UnitsOf(v.History) }

// UnitSystem is Units, for forms.
func (v *View) UnitSystem() string { return string(v.Units()) }

// ClockSlack is how far a journal may be ahead of this computer's clock before
// that is said: two shop computers never agree to the second.
const ClockSlack = 10 * time.Minute

// View reads the journal and folds it for the question.
func (f *Farm) View(q Question) (*View, error) {
	c, err := f.store.Load()
	if err != nil {
		return nil, err
	}
	return f.viewOf(q, c), nil
}

// Lately is the view of today without the entries of closed seasons, which change no answer of
// today or a later day. Who lists or searches the record needs View.
func (f *Farm) Lately() (*View, error) {
	c, err := f.store.LoadLately(fields.DateOf(f.Clock(), time.UTC), rules.Default().EndsWithStand)
	if err != nil {
		return nil, err
	}
	return f.viewOf(Question{}, c), nil
}

// anew is the view of today with what was stored since it was read.
func (v *View) anew() (*View, error) {
	if v.content == nil {
		return v.farm.View(Question{})
	}
	c, more, err := v.farm.store.Since(v.content)
	switch left := v.content.LeftOut > 0; {
	case err != nil:
		return nil, err
	case c != nil && !(left && slices.ContainsFunc(more, v.opens)):
		return v.farm.viewOf(Question{}, c), nil
	case left:
		return v.farm.Lately()
	}
	return v.farm.View(Question{})
}

// opens reports an entry that may change what was left out for today.
func (v *View) opens(e fields.Entry) bool { return !fields.LeavesClosed(&e, v.Today) }

func (f *Farm) viewOf(q Question, c *journal.Content) *View {
	v := f.refold(c.Entries, q)
	v.Revision, v.content = c.Revision, c
	if q.KnownAt.IsZero() {
		v.History.Exchange = f.exchange(c, v.Now)
	}
	if c.Doubt != "" {
		v.Notes = slices.Insert(v.Notes, 0, c.Doubt)
	}
	return v
}

// Whole is the view of the whole record, which is read, once, where this one leaves some of it
// out and entries may change what that leaves open.
func (v *View) Whole(with ...fields.Entry) (*View, error) {
	if v.content == nil || v.content.LeftOut == 0 || len(with) > 0 && !slices.ContainsFunc(with, v.opens) {
		return v, nil
	}
	if v.all == nil {
		whole, err := v.farm.View(v.asked)
		if err != nil {
			return nil, err
		}
		v.all = whole
	}
	return v.all, nil
}

// reaching is Whole for a form that asks while it is typed. Where the record cannot be read
// again, what was read answers: what is stored is checked by all of it.
func (v *View) reaching(e fields.Entry) *View {
	whole, err := v.Whole(e)
	if err != nil {
		return v
	}
	return whole
}

// exchange is how the journal stands with the farm's other seats, nil if nobody ever shared it.
func (f *Farm) exchange(c *journal.Content, now time.Time) *fields.Exchange {
	known, err := share.Load(f.store)
	if known == nil && err == nil && c.Shared == nil {
		return nil
	}
	aside := share.Asides(f.store, c)
	if len(aside) > 0 && c.LeftOut > 0 { // what decided about them may be among what was left out
		if whole, err := f.store.Load(); err == nil {
			aside = share.Asides(f.store, whole)
		}
	}
	x := &fields.Exchange{Now: now, Last: known.Exchanged(c.Shared), Aside: len(aside)}
	if c.Shared != nil {
		x.Unread = c.Shared.Unreads
	}
	return x
}

// Blank is the view of a journal that does not exist yet.
func (f *Farm) Blank() *View { return f.refold(nil, Question{}) }

// with is the view's journal with more entries, folded for another question.
// Entries without an id get one that no journal can hold.
func (v *View) with(more []fields.Entry, q Question) *View {
	all := append(make([]fields.Entry, 0, len(v.Entries)+len(more)), v.Entries...)
	for _, e := range more {
		if e.ID == "" {
			e.ID = fmt.Sprintf("~%06d", len(all))
		}
		all = append(all, e)
	}
	return v.again(all, q)
}

// again is the view of entries for another question, by a journal that stands with the
// farm's other seats as this one does.
func (v *View) again(entries []fields.Entry, q Question) *View {
	out := v.farm.refold(entries, q)
	out.History.Exchange = v.History.Exchange
	return out
}

// Stood is where a herd stood on a day, before anything more is logged of it, and since
// when; "" if nobody said.
func (v *View) Stood(herd string, on fields.Date) (paddock string, since fields.Date) {
	for _, s := range v.with(nil, Question{On: on}).History.Stays() { // the herd may be described later
		if s.Herd == herd && s.Out == fields.NoDate {
			paddock, since = s.Paddock, s.In
		}
	}
	return paddock, since
}

// struck reports whether an entry was struck.
func (v *View) struck(e *fields.Entry) bool {
	_, struck := v.History.Struck[e.ID]
	return struck
}

// foldEntries is fields.Fold; tests count how often a whole journal is folded.
var foldEntries = fields.Fold

// refold makes the view of entries for a question.
func (f *Farm) refold(entries []fields.Entry, q Question) *View {
	v := &View{Entries: entries, farm: f, asked: q}
	now := f.Clock()
	v.Loc = f.zone(v.Entries)
	v.Now = now.In(v.Loc)
	v.Today = fields.DateOf(now, v.Loc)
	known := q.KnownAt
	if known.IsZero() {
		known = now
		// What another seat wrote down by a clock that is ahead of ours is known
		// all the same: leaving it out could leave out a frost.
		for i := range entries {
			if t := entries[i].Recorded; t.After(known) {
				known = t
			}
		}
		if ahead := known.Sub(now); ahead > ClockSlack {
			both := fmt.Sprintf("this computer's clock says %s, but the journal holds an entry recorded %s", clockWords(v.Now), clockWords(known.In(v.Loc)))
			v.Notes = append(v.Notes, both+"; one of the clocks is wrong, and today's date may be too")
			if ahead >= 24*time.Hour {
				v.Behind = both
			}
		}
	}
	on := cmp.Or(q.On, v.Today)
	v.History = foldEntries(v.Entries, fields.View{On: on, KnownAt: known})
	if !v.History.ZoneSet && f.Zone != nil {
		v.History.Loc = f.Zone
	}
	v.names = namesOf(v.History)
	var refused []string
	v.Book, refused = rules.With(rules.Default(), v.History.Facts, on)
	v.Notes = append(v.Notes, refused...)
	return v
}

// Assess answers for the view's day and moment; the answer is kept.
func (v *View) Assess() *hazard.Assessment {
	if v.answer == nil {
		v.answer = hazard.Assess(v.History, v.Book)
	}
	return v.answer
}

// Naming is Assess for a question about lots or paddocks by name: it answers for what is
// used up too.
func (v *View) Naming(ids ...string) (*hazard.Assessment, error) {
	v, err := v.Of(ids...)
	if err != nil {
		return nil, err
	}
	return v.Assess().Naming(ids...), nil
}

// Of is the view for a question about lots or paddocks by name: of the whole record if one of
// them is used up, which may be of any season, or not of this one.
func (v *View) Of(ids ...string) (*View, error) {
	for _, id := range ids {
		_, gone := v.History.UsedUp(id)
		if gone || id != "" && v.History.Paddock(id) == nil && v.History.LotOf(id).Lot == "" {
			return v.Whole()
		}
	}
	return v, nil
}

// zone is the farm's zone by everything the journal knows, whatever day or
// moment is asked about: it decides what "today" is.
func (f *Farm) zone(entries []fields.Entry) *time.Location {
	var says []fields.Entry
	for i := range entries {
		switch entries[i].Body.(type) {
		case *fields.Farm, *fields.Strike:
			says = append(says, entries[i])
		}
	}
	if h := fields.Fold(says, fields.View{On: farFuture}); h.ZoneSet {
		return h.Loc
	}
	return cmp.Or(f.Zone, time.UTC)
}

var farFuture = fields.MakeDate(2200, 12, 31)

func clockWords(t time.Time) string { return t.Format("Mon 2 Jan 2006 15:04 -07:00") }
