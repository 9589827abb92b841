package fields

import "slices"

// apart is a time in which a paddock was split into others.
type apart struct {
	from  Date
	into  []string
	until Date // its name was made again, NoDate if it was not
	whole bool // of all that it became
}

// reshape is a split or join.
type reshape struct {
	on         Date
	from, into []string
}

// Became is a paddock, or, where it had been split or joined away by a day, all that it had
// become by then.
func (h *History) Became(paddock string, by Date) []string {
	last := -1
	for i, r := range h.reshapes {
		if r.on <= by && (slices.Contains(r.into, paddock) || slices.Contains(r.from, paddock)) {
			last = i
		}
	}
	now := []string{paddock}
	if last < 0 || slices.Contains(h.reshapes[last].into, paddock) {
		return now
	}
	for _, r := range h.reshapes[last:] {
		was := len(now)
		now = slices.DeleteFunc(now, func(id string) bool { return r.on <= by && slices.Contains(r.from, id) })
		if len(now) == was {
			continue
		}
		for _, id := range r.into {
			if !slices.Contains(now, id) {
				now = append(now, id)
			}
		}
	}
	return now
}

// standsAgain ends the time in which a paddock that is made of some others was apart.
func (p *Paddock) standsAgain(d Date, from []string) {
	for i := range p.apart {
		if a := &p.apart[i]; a.until == NoDate {
			a.until = d
			a.whole = !slices.ContainsFunc(a.into, func(part string) bool { return !slices.Contains(from, part) })
		}
	}
}

// UnderOldName reports what was said of a paddock of a line on a day on which its land had
// been split already on the way to the last of the line (§3.10 of the contract): of which
// part it is, nobody said.
func (h *History) UnderOldName(line []string, paddock string, d Date) bool {
	from := len(line) - 1
	for from > 0 && line[from] != paddock {
		from--
	}
	for i, id := range line[from:] {
		p, asked := h.paddocks[id], from+i == len(line)-1
		if p != nil && slices.ContainsFunc(p.apart, func(a apart) bool {
			return d >= a.from && (a.until == NoDate || d < a.until || !a.whole && !asked)
		}) {
			return true
		}
	}
	return false
}

// takeOldName takes a walk or result of which nobody said what part it is of: what was found
// good there is left out. Its figures count where they are bad.
func (l *Land) takeOldName(f Fact) {
	n := len(l.Walks)
	switch b := f.Body.(type) {
	case *Walk:
		bad := *b
		bad.Absent, bad.WeedsChecked = nil, nil
		if len(bad.Alive) == 0 { // an empty list says that nothing was found alive
			bad.Alive = nil
		}
		if bad.FrostDamage == DamageNone {
			bad.FrostDamage = ""
		}
		for _, yes := range []**bool{&bad.Dry, &bad.StressFree} {
			if *yes != nil && **yes {
				*yes = nil
			}
		}
		if bad.Wilted != nil && !*bad.Wilted {
			bad.Wilted = nil
		}
		if bad.ShootsCM != nil && *bad.ShootsCM == 0 {
			bad.ShootsCM = nil
		}
		e := *f.Entry
		e.Body = &bad
		l.take(Fact{&e, f.Date})
	case *Lab:
		bad := *b
		bad.Stems = nil
		if bad.SampleState != SampleDried {
			bad.SampleState = ""
		}
		e := *f.Entry
		e.Body = &bad
		l.take(Fact{&e, f.Date})
	}
	for i := range l.Walks[n:] {
		l.Walks[n+i].OldName = true
	}
}
