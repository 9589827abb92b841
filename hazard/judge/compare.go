package judge

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// Engine asks the first engine and puts its answers into the same form.
func Engine(entries []fields.Entry, q Question, book *hazard.Rulebook) Answers {
	return answersOf(hazard.Assess(fields.Fold(entries, fields.View{On: q.On, KnownAt: q.Moment}), book), nil)
}

// answersOf puts answers into the form of the plain engine's, and shows each reason to
// whoever wants to see it.
func answersOf(a *hazard.Assessment, see func(hazard.Reason)) Answers {
	out := make(Answers, 128)
	take := func(place string, lot bool, vs []hazard.Verdict) {
		for _, v := range vs {
			for _, h := range v.Hazards {
				c := Cell{Flag: h.Flag, Through: h.Through, Share: h.MaxShare}
				for _, r := range h.Reasons {
					c.Lines = append(c.Lines, r.Line)
					if see != nil {
						see(r)
					}
				}
				out[Key{place, lot, v.Use, v.Class, h.Hazard}] = c
			}
		}
	}
	for i := range a.Paddocks {
		take(a.Paddocks[i].Paddock.ID, false, a.Paddocks[i].Verdicts)
	}
	for i := range a.Lots {
		take(a.Lots[i].Lot, true, a.Lots[i].Verdicts)
	}
	return out
}

// Verdict is the flag and through-date over the three hazards.
func (a Answers) Verdict(k Key) Cell {
	out := Cell{Share: -1}
	for _, h := range hazard.Hazards {
		k.Hazard = h
		c, ok := a[k]
		if !ok {
			continue
		}
		if c.Flag == hazard.Hold {
			out.Through = max(out.Through, c.Through)
		}
		out.Flag = max(out.Flag, c.Flag)
	}
	return out
}

// String prints a cell: "hold through Mon 6 Oct 2025 [...]".
func (c Cell) String() string {
	s := "none"
	if c.Flag != hazard.Unknown {
		s = c.Flag.String()
	}
	if c.Flag == hazard.Hold {
		if c.Through == hazard.NoEnd {
			s += ", no date"
		} else {
			s += " through " + c.Through.String()
		}
	}
	if c.Share >= 0 {
		s += fmt.Sprintf(", share %g", c.Share)
	}
	set := map[string]bool{}
	for _, l := range c.Lines {
		set[LineName(l)] = true
	}
	return s + " [" + strings.Join(sortedKeys(set), " ") + "]"
}

// String prints a key: "a graze bred-cattle prussic-acid".
func (k Key) String() string {
	return fmt.Sprintf("%s %s %s %s", k.Place, k.Use, k.Class, k.Hazard)
}

// Difference is one answer on which two sets of answers differ.
type Difference struct {
	Key  Key
	A, B Cell
}

// Same reports whether two cells give one answer; lines may differ.
func Same(a, b Cell) bool {
	return a.Flag == b.Flag && (a.Flag != hazard.Hold || a.Through == b.Through) && sameShare(a.Share, b.Share)
}

func sameShare(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-6 }

// Differences lists the answers on which a and b differ, in order.
func Differences(a, b Answers) []Difference {
	var out []Difference
	for k, x := range a {
		if y, ok := b[k]; !ok || !Same(x, y) {
			out = append(out, Difference{k, x, y})
		}
	}
	for k, y := range b {
		if _, ok := a[k]; !ok {
			out = append(out, Difference{k, Cell{}, y})
		}
	}
	sort.Slice(out, func(i, j int) bool { return less(out[i].Key, out[j].Key) })
	return out
}

func less(a, b Key) bool {
	switch {
	case a.Place != b.Place:
		return a.Place < b.Place
	case a.Use != b.Use:
		return a.Use < b.Use
	case a.Class != b.Class:
		return a.Class < b.Class
	}
	return a.Hazard < b.Hazard
}

// Zone is the zone the entries' farm names.
func Zone(es []fields.Entry) *time.Location {
	for i := range es {
		if f, ok := es[i].Body.(*fields.Farm); ok {
			if loc := zoneOf(f.Zone); loc != nil {
				return loc
			}
		}
	}
	return time.UTC
}
