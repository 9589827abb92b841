package board

import (
	"cmp"
	"fmt"
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// Filter says what is asked for. Nil and empty mean: not said.
type Filter struct {
	Class   *hazard.Class
	Classes *[]hazard.Class // in printed order, in place of Class
	Herd    string          // id of a herd: its classes, in place of both
	Use     *hazard.Use
	Paddock string // id of a paddock or lot
}

// FarmClasses are the classes of the farm's herds in printed order, all
// classes where no herd is known.
func FarmClasses(h *fields.History) []hazard.Class {
	var all []hazard.Class
	for _, g := range h.Herds {
		all = append(all, herdClasses(g)...)
	}
	if len(all) == 0 {
		return hazard.Classes
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func herdClasses(g *fields.Herd) []hazard.Class {
	var out []hazard.Class
	for _, w := range g.Classes {
		if c, ok := hazard.ParseClass(w); ok {
			out = append(out, c)
		}
	}
	return out
}

// classesOf are the classes of a herd; of one that nobody named, or whose
// classes nobody said, all of the farm's.
func classesOf(h *fields.History, herd string) []hazard.Class {
	if g := h.Herd(herd); g != nil {
		if own := herdClasses(g); len(own) > 0 {
			return own
		}
	}
	return FarmClasses(h)
}

func hasClass(cs []hazard.Class, c hazard.Class) bool { return slices.Contains(cs, c) }

// ListClasses are the classes a list speaks of.
func (f Filter) ListClasses(h *fields.History) []hazard.Class { return f.classes(h, FarmClasses(h)) }

// allClasses are the classes a full answer speaks of.
func (f Filter) allClasses(h *fields.History) []hazard.Class { return f.classes(h, hazard.Classes) }

func (f Filter) classes(h *fields.History, unasked []hazard.Class) []hazard.Class {
	switch {
	case f.Herd != "":
		return classesOf(h, f.Herd)
	case f.asked() != nil:
		return f.asked()
	}
	return unasked
}

// asked are the classes asked for as such, nil for none.
func (f Filter) asked() []hazard.Class {
	switch {
	case f.Classes != nil:
		return *f.Classes
	case f.Class != nil:
		return []hazard.Class{*f.Class}
	}
	return nil
}

// allUses are the uses of a paddock asked about: none if feeding is asked, which
// is for lots to answer.
func (f Filter) allUses() []hazard.Use {
	switch {
	case f.Use == nil:
		return hazard.PaddockUses
	case *f.Use == hazard.Feed:
		return nil
	}
	return []hazard.Use{*f.Use}
}

// ListUse is the use a list speaks of: grazing unless another is asked.
func (f Filter) ListUse() hazard.Use {
	if f.Use != nil {
		return *f.Use
	}
	return hazard.Graze
}

func (f Filter) names(id string) bool { return f.Paddock == "" || f.Paddock == id }

// wantsPaddocks and wantsLots: asked of feeding, only lots answer; asked of a
// use of a paddock, no lot does.
func (f Filter) wantsPaddocks() bool { return f.Use == nil || *f.Use != hazard.Feed }
func (f Filter) wantsLots() bool     { return f.Use == nil || *f.Use == hazard.Feed }

// decided panics on a verdict that was never decided: it must not reach a
// person in any form.
func decided(v *hazard.Verdict) {
	if v.Flag == hazard.Unknown || v.Flag > hazard.Hold {
		panic(fmt.Sprintf("board: the flag for %s and %s was never decided", v.Use, v.Class))
	}
}

// needed panics where an answer that every list must carry is missing: a
// paddock left out would read as one without danger.
func needed(v *hazard.Verdict, id string) *hazard.Verdict {
	if v == nil {
		panic(fmt.Sprintf("board: there is no answer for %q", id))
	}
	decided(v)
	return v
}

// worstOf is the worst verdict for a use over classes, nil where there is none.
func worstOf(find func(hazard.Class) *hazard.Verdict, classes []hazard.Class) *hazard.Verdict {
	var worst *hazard.Verdict
	for _, c := range classes {
		v := find(c)
		if v == nil {
			continue
		}
		decided(v)
		if worst == nil || gradeOf(v).worse(gradeOf(worst)) {
			worst = v
		}
	}
	return worst
}

// inside is a group of stock in a paddock with the answer for it.
type inside struct {
	herd  string // as printed
	id    string // "" for stock that nobody named
	flag  hazard.Flag
	worst *hazard.Verdict // behind the flag
	swath bool            // the swath would do, the growth under it not
}

// standing lists the stock inside a paddock with the answer for it. Stock that
// nobody named, or whose classes nobody said, is judged by the worst of the
// farm's classes. Where a swath lies, the stock are there for the swath, so
// both answers bear on them.
func standing(a *hazard.Assessment, p *hazard.PaddockAnswer) []inside {
	var out []inside
	for _, stay := range p.Inside {
		classes := classesOf(a.History, stay.Herd)
		in := inside{herd: or(Clean(stay.Herd), "stock"), id: stay.Herd}
		graze := worstOf(func(c hazard.Class) *hazard.Verdict { return p.Verdict(hazard.Graze, c) }, classes)
		swath := worstOf(func(c hazard.Class) *hazard.Verdict { return p.Verdict(hazard.SwathGraze, c) }, classes)
		if graze != nil {
			in.flag, in.worst = graze.Flag, graze
		}
		if swath != nil && !swath.CannotBe() {
			switch {
			case swath.Flag != hazard.Hold:
				in.swath = in.flag == hazard.Hold
			case in.flag != hazard.Hold:
				in.flag, in.worst = hazard.Hold, swath
			}
		}
		out = append(out, in)
	}
	slices.SortStableFunc(out, func(a, b inside) int { return cmp.Compare(a.herd, b.herd) })
	return out
}
