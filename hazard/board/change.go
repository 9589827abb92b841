package board

import (
	"sort"

	"rimegate/fields"
	"rimegate/hazard"
)

// Change is an answer that moved between two assessments, the same for all the
// uses and classes it names. Lot says that ID is a lot's.
type Change struct {
	ID, Name   string
	Lot        bool
	Uses       []hazard.Use
	Classes    []hazard.Class
	Was, Now   hazard.Flag // Unknown: not there before, or no longer there
	WasThrough fields.Date
	NowThrough fields.Date
	Worse      bool   // toward HOLD, or a later last day
	Why        string // the worst reason now, "" where it is gone
}

// Changes compares two assessments of one farm: which flags and last days
// moved, for all uses and the classes of the farm's herds unless the filter
// says otherwise. What got worse comes first.
func Changes(before, after *hazard.Assessment, f Filter) []Change {
	was, now := newSpeaker(before, UnitsOf(after.History)), newSpeaker(after, UnitsOf(after.History))
	classes := f.listClasses(after.History)
	if f.Class == nil {
		classes = union(classes, FarmClasses(before.History))
	}
	var out []Change
	for _, x := range pairs(was.paddocks(f), now.paddocks(f)) {
		out = append(out, now.changes(x, f, classes)...)
	}
	for _, x := range pairs(was.lots(f), now.lots(f)) {
		out = append(out, now.changes(x, f, classes)...)
	}
	sort.SliceStable(out, func(i, j int) bool {
		x, y := &out[i], &out[j]
		switch {
		case x.Worse != y.Worse:
			return x.Worse
		case x.Now != y.Now:
			return x.Now > y.Now
		case x.Lot != y.Lot:
			return !x.Lot
		}
		return x.Name < y.Name
	})
	return out
}

// pairs puts what was beside what is, by id; either may be nil.
func pairs(was, now []subject) [][2]*subject {
	var out [][2]*subject
	old := map[string]*subject{}
	for i := range was {
		old[was[i].id] = &was[i]
	}
	for i := range now {
		out = append(out, [2]*subject{old[now[i].id], &now[i]})
		delete(old, now[i].id)
	}
	for i := range was {
		if gone := old[was[i].id]; gone != nil {
			out = append(out, [2]*subject{gone, nil})
		}
	}
	return out
}

func union(a, b []hazard.Class) []hazard.Class {
	var out []hazard.Class
	for _, c := range hazard.Classes {
		if hasClass(a, c) || hasClass(b, c) {
			out = append(out, c)
		}
	}
	return out
}

// changes of one paddock or lot, grouped by what moved alike. One line speaks of
// several uses only if it speaks of the same classes in each.
func (s *speaker) changes(x [2]*subject, f Filter, classes []hazard.Class) []Change {
	p := x[1]
	if p == nil {
		p = x[0]
	}
	type moved struct {
		was, now   hazard.Flag
		from, till Day
		why        string
	}
	index := map[moved]int{}
	var alike [][]Change // one a use, with its classes
	for _, u := range p.uses(f) {
		for _, c := range classes {
			ch, ok := s.change(x, u, c)
			if !ok {
				continue
			}
			key := moved{ch.Was, ch.Now, throughOf(ch.Was, ch.WasThrough), throughOf(ch.Now, ch.NowThrough), ch.Why}
			i, known := index[key]
			if !known {
				i = len(alike)
				index[key] = i
				alike = append(alike, nil)
			}
			if n := len(alike[i]); n > 0 && alike[i][n-1].Uses[0] == u {
				alike[i][n-1].Classes = append(alike[i][n-1].Classes, c)
				continue
			}
			ch.ID, ch.Name, ch.Lot, ch.Uses, ch.Classes = p.id, p.name, p.lot != nil, []hazard.Use{u}, []hazard.Class{c}
			alike[i] = append(alike[i], ch)
		}
	}
	var out []Change
	for _, uses := range alike {
		first := len(out)
	next:
		for _, ch := range uses {
			for i := range out[first:] {
				if have := &out[first+i]; classList(have.Classes) == classList(ch.Classes) {
					have.Uses = append(have.Uses, ch.Uses[0])
					continue next
				}
			}
			out = append(out, ch)
		}
	}
	return out
}

// change compares the two verdicts for a use and class; either may be missing.
func (s *speaker) change(x [2]*subject, u hazard.Use, c hazard.Class) (Change, bool) {
	var ch Change
	var v [2]*hazard.Verdict
	for i, p := range x {
		if p != nil {
			v[i] = p.verdict(u, c)
		}
		if v[i] != nil {
			decided(v[i])
		}
	}
	was, now := v[0], v[1]
	if was != nil {
		ch.Was, ch.WasThrough = was.Flag, was.Through
	}
	if now == nil {
		return ch, was != nil
	}
	ch.Now, ch.NowThrough = now.Flag, now.Through
	from, till := throughOf(ch.Was, ch.WasThrough), throughOf(ch.Now, ch.NowThrough)
	if ch.Was == ch.Now && from == till {
		return ch, false
	}
	ch.Worse = was == nil && ch.Now == hazard.Hold || was != nil && (ch.Now > ch.Was || ch.Now == ch.Was && till > from)
	if r := worstReason(now); r != nil {
		ch.Why = s.short(r, u)
	}
	return ch, true
}

// now is the answer as it stands, "" where it is gone.
func (c *Change) now() string {
	if c.Now == hazard.Unknown {
		return ""
	}
	return flagThrough(c.Now, throughOf(c.Now, c.NowThrough))
}

func (c *Change) was() string { return flagThrough(c.Was, throughOf(c.Was, c.WasThrough)) }

// String is the change as one sentence: "North Slough, graze, bred-cattle: was
// CAUTION, now HOLD through and including Fri 25-Sep-2026. Froze Fri
// 11-Sep-2026; 14 days (longer if it freezes again)."
func (c Change) String() string {
	t := c.Name + ", " + listOf(c.Uses) + ", " + classList(c.Classes) + ": "
	switch {
	case c.Was == hazard.Unknown:
		t += "new, now " + c.now()
	case c.Now == hazard.Unknown:
		return t + "was " + c.was() + ", no longer listed."
	case c.Was == c.Now: // the last day alone moved
		t += "was " + c.was() + ", now " + throughOf(c.Now, c.NowThrough).Words()
	default:
		t += "was " + c.was() + ", now " + c.now()
	}
	if c.Why != "" {
		return t + ". " + c.Why
	}
	return t + "."
}

// ChangeLines are the changes as sentences; "No flag changed." when there are
// none.
func ChangeLines(cs []Change) []string {
	if len(cs) == 0 {
		return []string{"No flag changed."}
	}
	out := make([]string, len(cs))
	for i := range cs {
		out[i] = cs[i].String()
	}
	return out
}
