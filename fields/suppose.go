package fields

// comes notes a day on which an entry counts that does not count on the day asked.
func (h *History) comes(d Date) {
	if h.next == NoDate || d < h.next {
		h.next = d
	}
}

// OnDay is this history asked about d, the same day or a later one, at the same moment. It is
// false if it must be folded anew, for some entry does not count yet that may count then.
func (h *History) OnDay(d Date) (*History, bool) {
	if d < h.On || h.next != NoDate && h.next <= d+1 { // of the night after d some entries count on d
		return nil, false
	}
	on := *h
	on.On = d
	return &on, true
}

// SameNights reports histories that OnDay and Suppose made of one another in which, statements
// apart, the same is told of each night.
func (h *History) SameNights(o *History) bool {
	return len(h.Facts) == len(o.Facts) && len(h.Facts) > 0 && &h.Facts[0] == &o.Facts[0] &&
		(h.supposed == o.supposed || h.supposed.noNight() && o.supposed.noNight())
}

// supposed are the facts of one paddock with those that are supposed.
type supposed struct {
	paddock string
	facts   []Fact
	nights  bool // of them one tells of a night and is no statement
}

func (s *supposed) noNight() bool { return s == nil || !s.nights }

// Suppose is this history with more entries about one paddock and nothing else, recorded by
// its moment and dated by its day: what answers for the paddock counts them as if they had been
// folded. They may be walks, results and statements, which bear on no other thing. Facts leaves
// them out.
func (h *History) Suppose(paddock string, entries []*Entry) *History {
	s := &supposed{paddock: paddock, facts: make([]Fact, 0, len(h.byPaddock[paddock])+len(entries))}
	s.facts = append(s.facts, h.byPaddock[paddock]...)
	for _, e := range entries {
		s.facts = append(s.facts, Fact{e, e.EventDate(h.Loc)})
		switch b := e.Body.(type) {
		case *Walk:
			s.nights = s.nights || b.DamageNight != NoDate
		case *Lab, *NoFrost:
		default:
			s.nights = true
		}
	}
	SortFacts(s.facts)
	with := *h
	with.supposed = s
	return &with
}
