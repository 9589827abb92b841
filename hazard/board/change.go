package board

import (
	"cmp"
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// Change is an answer that moved between two assessments, the same for all the
// uses and classes it names. Lot says that ID is a lot's.
type Change struct {
	ID, Name string
	Lot      bool
	Uses     []hazard.Use
	Classes  []hazard.Class
	On       fields.Date // the day asked about
	Moved
}

// Moved is how an answer moved.
type Moved struct {
	Was, Now   hazard.Flag // Unknown: not there before, or no longer there
	WasThrough fields.Date // of holds; hazard.NoEnd where no day ends it
	NowThrough fields.Date
	Worse      bool   // toward HOLD, or a later last day
	Why        string // the worst reason now, "" where it is gone
}

// Changes compares two assessments of one farm: which flags and last days
// moved, for all uses and the classes of the farm's herds unless the filter
// says otherwise. What got worse comes first.
func Changes(before, after *hazard.Assessment, f Filter) []Change {
	was, now := newSpeaker(before, UnitsOf(after.History)), newSpeaker(after, UnitsOf(after.History))
	classes := slices.Concat(f.ListClasses(after.History), f.ListClasses(before.History))
	slices.Sort(classes)
	classes = slices.Compact(classes)
	var out []Change
	for _, x := range append(pairs(was.paddocks(f), now.paddocks(f)), pairs(was.lots(f), now.lots(f))...) {
		out = append(out, now.changes(x, f, classes)...)
	}
	slices.SortStableFunc(out, func(a, b Change) int {
		return cmp.Or(asOne(b.Worse)-asOne(a.Worse), cmp.Compare(b.Now, a.Now), asOne(a.Lot)-asOne(b.Lot),
			fields.CompareNames(a.Name, b.Name))
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

// changes of one paddock or lot, grouped by what moved alike. One line speaks of
// several uses only if it speaks of the same classes in each.
func (s *speaker) changes(x [2]*subject, f Filter, classes []hazard.Class) []Change {
	p := cmp.Or(x[1], x[0])
	type one struct {
		use   hazard.Use
		class hazard.Class
		moved Moved
	}
	var all []one
	for _, u := range p.uses(f) {
		for _, c := range classes {
			if m, ok := s.moved(x, u, c); ok {
				all = append(all, one{u, c, m})
			}
		}
	}
	classesOf := func(of []one) []hazard.Class {
		var out []hazard.Class
		for _, x := range of {
			out = append(out, x.class)
		}
		return out
	}
	var out []Change
	for _, same := range alike(all, func(x one) Moved { return x.moved }) {
		byUse := alike(same, func(x one) hazard.Use { return x.use })
		for _, uses := range alike(byUse, func(of []one) string { return ClassWords(classesOf(of)) }) {
			ch := Change{ID: p.id, Name: p.name, Lot: p.lot != nil, On: s.on, Classes: classesOf(uses[0]), Moved: same[0].moved}
			for _, of := range uses {
				ch.Uses = append(ch.Uses, of[0].use)
			}
			out = append(out, ch)
		}
	}
	return out
}

// moved compares the two verdicts for a use and class; either may be missing.
func (s *speaker) moved(x [2]*subject, u hazard.Use, c hazard.Class) (m Moved, moved bool) {
	var v [2]*hazard.Verdict
	var g [2]grade
	for i, p := range x {
		if p == nil {
			continue
		}
		if v[i] = p.verdict(u, c); v[i] != nil {
			decided(v[i])
			g[i] = grade{flag: v[i].Flag, through: throughOf(v[i].Flag, v[i].Through)}
		}
	}
	was, now := g[0], g[1]
	m = Moved{Was: was.flag, Now: now.flag, WasThrough: fields.Date(was.through), NowThrough: fields.Date(now.through)}
	if v[1] == nil {
		return m, v[0] != nil
	}
	m.Worse = v[0] == nil && m.Now == hazard.Hold || v[0] != nil && now.worse(was)
	if r := worstReason(v[1]); r != nil && now != was {
		m.Why = s.short(r, u)
	}
	return m, now != was
}

// now is the answer as it stands, "" where it is gone.
func (c *Change) now() string {
	if c.Now == hazard.Unknown {
		return ""
	}
	return FlagWord(c.Now) + Day(c.NowThrough).tail(c.On)
}

// String is the change as one sentence: "North Slough, graze (cattle not bred): was
// CAUTION, now HOLD through Fri 25 Sep. Froze Fri 11 Sep; another frost
// starts it again."
func (c Change) String() string {
	t := c.Name + ", " + join(texts(c.Uses, hazard.Use.String)) + " (" + ClassWords(c.Classes) + "): "
	if c.Was == hazard.Unknown {
		t += "new"
	} else {
		t += "was " + FlagWord(c.Was) + Day(c.WasThrough).tail(c.On)
	}
	switch c.Now {
	case hazard.Unknown:
		return t + ", no longer listed."
	case c.Was: // the last day alone moved
		t += ", now " + Day(c.NowThrough).Words(c.On)
	default:
		t += ", now " + c.now()
	}
	return t + provided(c.Why != "", ". ") + or(c.Why, ".")
}

// ChangeLines are the changes as sentences; "No flag changed." when there are
// none.
func ChangeLines(cs []Change) []string {
	if len(cs) == 0 {
		return []string{"No flag changed."}
	}
	return texts(cs, Change.String)
}
