package fields

import "slices"

// metAtFeed is how many days before an incident a lot that the animals had been fed is
// suspected: both poisons show within hours, and who fell in the night is found the day
// after (the day is ours).
const metAtFeed = 1

// findAtFeed finds the incidents of animals that had been fed a lot (§11.9 of the contract):
// of the herd that an incident names, else of those that stood in its paddock.
func (h *History) findAtFeed() {
	var sick []Fact
	for _, f := range h.Facts {
		if b, ok := f.Body.(*Incident); ok && b.Paddock != "" {
			sick = append(sick, f)
		}
	}
	if len(sick) == 0 {
		return
	}
	begins := map[string][]Date{} // of each herd the days on which a feeding began
	eachFed := func(do func(*Fed)) {
		for _, id := range h.lots {
			for _, f := range h.byLot[id] {
				if b, ok := f.Body.(*Fed); ok {
					do(b)
				}
			}
		}
	}
	eachFed(func(b *Fed) { begins[b.Herd] = append(begins[b.Herd], b.From) })
	for _, days := range begins {
		slices.Sort(days)
	}
	h.atFeed = map[string][]Fact{}
	eachFed(func(b *Fed) {
		to := h.fedTo(b, begins[b.Herd])
		for _, f := range Between(sick, b.From, to+metAtFeed) {
			if i := f.Body.(*Incident); i.Lot != b.Lot && h.meant(i, b.Herd, f.Date) &&
				!slices.ContainsFunc(h.atFeed[b.Lot], func(o Fact) bool { return o.ID == f.ID }) {
				h.atFeed[b.Lot] = append(h.atFeed[b.Lot], f)
			}
		}
	})
}

// fedTo is the last day of a feeding; one that nobody ended ends when the herd is fed
// something later, or when the lot is used up.
func (h *History) fedTo(b *Fed, begins []Date) Date {
	if b.To != NoDate {
		return b.To
	}
	to := h.On
	if i, _ := slices.BinarySearch(begins, b.From+1); i < len(begins) {
		to = min(to, begins[i])
	}
	for _, f := range h.byLot[b.Lot] {
		if f.Kind() == KindUsedUp && f.Date >= b.From {
			if _, left := h.LeftOf(b.Lot, f.Date); !left {
				to = min(to, f.Date)
			}
		}
	}
	return to
}

// meant reports a herd whose animals an incident of a day may be of.
func (h *History) meant(b *Incident, herd string, d Date) bool {
	if b.Herd != "" {
		return b.Herd == herd
	}
	return slices.ContainsFunc(h.stays, func(s Stay) bool {
		return s.Herd == herd && s.In <= d && (s.Out == NoDate || s.Out >= d) && (s.In != NoDate || s.Out == d) &&
			h.OneLand(s.Paddock, b.Paddock)
	})
}

// OneLand reports two paddocks of which one is the other, or was split or joined from it:
// what was told before its land was reshaped goes by the older name (§3.10).
func (h *History) OneLand(a, b string) bool {
	madeOf := func(paddock, of string) bool {
		return slices.ContainsFunc(h.Lines(paddock), func(line []string) bool { return slices.Contains(line, of) })
	}
	return a == b || madeOf(a, b) || madeOf(b, a)
}
