package board

import (
	"sort"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Change is an answer that moved between two assessments, the same for all the
// uses and classes it names. Lot says that ID is a lot's.
type Change struct {
	ID, Name         string
	Lot              bool
	Uses             []hazard.Use
	Classes          []hazard.Class
	Was, Now         hazard.Flag // Unknown: not there before, or no longer there
	WasThrough       fields.Date
	NowThrough       fields.Date
	Worse            bool   // toward HOLD, or a later last day
	Why              string // the worst reason now, "" where it is gone
	wasWords, nowWrd string
}

// Changes compares two assessments of one farm: which flags and last days
// moved, for all uses and the classes of the farm's herds unless the filter
// says otherwise. What got worse comes first.
func Changes(before, after *hazard.Assessment, f Filter) []Change {
	s := newSpeaker(after, UnitsOf(after.History))
	classes := f.listClasses(after.History)
	if f.Class == nil {
		classes = union(classes, FarmClasses(before.History))
	}
	var out []Change
	if f.wantsPaddocks() {
		was := map[string]*hazard.PaddockAnswer{}
		for i := range before.Paddocks {
			was[s.id(&before.Paddocks[i])] = &before.Paddocks[i]
		}
		seen := map[string]bool{}
		for i := range after.Paddocks {
			p := &after.Paddocks[i]
			id := s.id(p)
			seen[id] = true
			if !f.names(id) {
				continue
			}
			out = append(out, s.changes(id, s.name(p), false, f.allUses(), classes, verdictOf(was[id]), p.Verdict)...)
		}
		for i := range before.Paddocks {
			p := &before.Paddocks[i]
			if id := s.id(p); !seen[id] && f.names(id) {
				out = append(out, s.changes(id, s.name(p), false, f.allUses(), classes, p.Verdict, nil)...)
			}
		}
	}
	if f.wantsLots() {
		was := map[string]*hazard.LotAnswer{}
		for i := range before.Lots {
			was[before.Lots[i].Lot] = &before.Lots[i]
		}
		seen := map[string]bool{}
		feed := []hazard.Use{hazard.Feed}
		for i := range after.Lots {
			l := &after.Lots[i]
			seen[l.Lot] = true
			if f.names(l.Lot) {
				out = append(out, s.changes(l.Lot, lotName(l), true, feed, classes, lotVerdictOf(was[l.Lot]), lotVerdictOf(l))...)
			}
		}
		for i := range before.Lots {
			if l := &before.Lots[i]; !seen[l.Lot] && f.names(l.Lot) {
				out = append(out, s.changes(l.Lot, lotName(l), true, feed, classes, lotVerdictOf(l), nil)...)
			}
		}
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

type finder func(hazard.Use, hazard.Class) *hazard.Verdict

func verdictOf(p *hazard.PaddockAnswer) finder {
	if p == nil {
		return nil
	}
	return p.Verdict
}

func lotVerdictOf(l *hazard.LotAnswer) finder {
	if l == nil {
		return nil
	}
	return func(_ hazard.Use, c hazard.Class) *hazard.Verdict { return l.Verdict(c) }
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

// changes of one paddock or lot, grouped by what moved alike.
func (s *speaker) changes(id, name string, lot bool, uses []hazard.Use, classes []hazard.Class, was, now finder) []Change {
	var out []Change
	index := map[string]int{}
	type cell struct {
		use   hazard.Use
		class hazard.Class
	}
	cells := map[string][]cell{}
	for _, u := range uses {
		for _, c := range classes {
			var b, a *hazard.Verdict
			if was != nil {
				b = was(u, c)
			}
			if now != nil {
				a = now(u, c)
			}
			ch, moved := s.change(b, a)
			if !moved {
				continue
			}
			key := ch.wasWords + "\x00" + ch.nowWrd + "\x00" + ch.Why
			if _, ok := index[key]; !ok {
				ch.ID, ch.Name, ch.Lot = id, name, lot
				index[key] = len(out)
				out = append(out, ch)
			}
			cells[key] = append(cells[key], cell{u, c})
		}
	}
	// One line may speak of several uses only if it speaks of the same classes
	// in each.
	var split []Change
	for i := range out {
		key := out[i].wasWords + "\x00" + out[i].nowWrd + "\x00" + out[i].Why
		byClasses := map[string]int{}
		for _, u := range uses {
			var cs []hazard.Class
			for _, c := range cells[key] {
				if c.use == u {
					cs = append(cs, c.class)
				}
			}
			if len(cs) == 0 {
				continue
			}
			k := classList(cs)
			if j, ok := byClasses[k]; ok {
				split[j].Uses = append(split[j].Uses, u)
				continue
			}
			byClasses[k] = len(split)
			ch := out[i]
			ch.Uses, ch.Classes = []hazard.Use{u}, cs
			split = append(split, ch)
		}
	}
	return split
}

// change compares two verdicts; either may be nil.
func (s *speaker) change(b, a *hazard.Verdict) (Change, bool) {
	var ch Change
	if b == nil && a == nil {
		return ch, false
	}
	if b != nil {
		decided(b)
		ch.Was, ch.WasThrough = b.Flag, b.Through
		ch.wasWords = flagThrough(b)
	}
	if a != nil {
		decided(a)
		ch.Now, ch.NowThrough = a.Flag, a.Through
		ch.nowWrd = flagThrough(a)
		if r := worstReason(a); r != nil {
			ch.Why = s.short(r, a.Use)
		}
	}
	if a != nil && b != nil {
		sameDay := a.Flag != hazard.Hold || throughKey(a.Through) == throughKey(b.Through)
		if a.Flag == b.Flag && sameDay {
			return ch, false
		}
		ch.Worse = a.Flag > b.Flag || a.Flag == b.Flag && throughKey(a.Through) > throughKey(b.Through)
	} else {
		ch.Worse = a != nil && a.Flag == hazard.Hold
	}
	return ch, true
}

// String is the change as one sentence: "North Slough, graze, bred-cattle: was
// CAUTION, now HOLD through and including Fri 25-Sep-2026. Froze Fri
// 11-Sep-2026; 14 days (longer if it freezes again)."
func (c Change) String() string {
	uses := make([]string, len(c.Uses))
	for i, u := range c.Uses {
		uses[i] = u.String()
	}
	t := c.Name + ", " + join(uses) + ", " + classList(c.Classes) + ": "
	switch {
	case c.Was == hazard.Unknown:
		t += "new, now " + c.nowWrd
	case c.Now == hazard.Unknown:
		return t + "was " + c.wasWords + ", no longer listed."
	case c.Was == c.Now:
		t += "was " + c.wasWords + ", now " + strings.TrimPrefix(strings.TrimPrefix(c.nowWrd, "HOLD "), "HOLD, ")
	default:
		t += "was " + c.wasWords + ", now " + c.nowWrd
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
