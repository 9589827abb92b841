package fields

import "slices"

// metAtFeed is how many days before an incident a lot that the animals had been fed is
// suspected: both poisons show within hours, and who fell in the night is found the day
// after (the day is ours).
const metAtFeed = 1

// findAtFeed finds the incidents of animals that had been fed a lot (§11.9 of the contract):
// of the herd that an incident names, else of those that stood in its paddock.
func (h *History) findAtFeed() {
	var fed []Fact
	for _, id := range h.lots {
		for _, f := range h.byLot[id] {
			if f.Kind() == KindFed {
				fed = append(fed, f)
			}
		}
	}
	if len(fed) == 0 {
		return
	}
	for _, f := range h.Facts {
		b, ok := f.Body.(*Incident)
		if !ok || b.Paddock == "" {
			continue
		}
		for _, x := range fed {
			w := x.Body.(*Fed)
			if w.Lot != b.Lot && w.From <= f.Date && h.fedTo(w, fed) >= f.Date-metAtFeed && h.meant(b, w.Herd, f.Date) &&
				!slices.ContainsFunc(h.atFeed[w.Lot], func(o Fact) bool { return o.ID == f.ID }) {
				if h.atFeed == nil {
					h.atFeed = map[string][]Fact{}
				}
				h.atFeed[w.Lot] = append(h.atFeed[w.Lot], f)
			}
		}
	}
}

// fedTo is the last day of a feeding; one that nobody ended ends when the herd is fed
// something later, or when the lot is used up.
func (h *History) fedTo(b *Fed, fed []Fact) Date {
	if b.To != NoDate {
		return b.To
	}
	to := h.On
	for _, f := range fed {
		if o := f.Body.(*Fed); o.Herd == b.Herd && o.From > b.From {
			to = min(to, o.From)
		}
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
			slices.ContainsFunc(h.Lines(s.Paddock), func(line []string) bool { return slices.Contains(line, b.Paddock) })
	})
}
