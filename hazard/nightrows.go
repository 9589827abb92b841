package hazard

import "rimegate/fields"

// NightRow is what the engine knows of one night on a paddock's land, for
// lists. Of land with several pasts it is the worst of them.
type NightRow struct {
	Night    fields.Date
	HasLow   bool
	LowC     float64 // lowest plant-level figure, °C, offset included
	Trigger  bool    // it froze
	Possible bool    // it may have frozen among the plants
	Covered  bool    // a reading, frost or statement covers it
	Watched  bool    // inside the frost watch
	Unread   bool    // it has come, and nothing is known of it
	Entries  []string
}

// NightRows returns the nights of a paddock from one day through another, in
// order; nights after the day asked are left out.
func NightRows(h *fields.History, book *Rulebook, id string, from, to fields.Date) []NightRow {
	if h.Paddock(id) == nil || to < from {
		return nil
	}
	to = min(to, h.On)
	var out []NightRow
	for i, line := range h.Lines(id) {
		g := newGround(h, book, Moment(h), line, h.On)
		for d := from; d <= to; d++ {
			r := NightRow{Night: d, Watched: h.Watched(d), Unread: g.unread(d), Entries: g.nightEntries(d)}
			if n := g.at(d); n != nil {
				r.HasLow, r.LowC, r.Trigger, r.Possible, r.Covered = n.hasLow, n.low, n.trigger, n.possible, n.covered
			}
			if i == 0 {
				out = append(out, r)
				continue
			}
			out[d.Sub(from)].join(r)
		}
	}
	return out
}

// join makes of the row the worse of two pasts.
func (r *NightRow) join(x NightRow) {
	if x.HasLow && (!r.HasLow || x.LowC < r.LowC) {
		r.HasLow, r.LowC = true, x.LowC
	}
	r.Trigger = r.Trigger || x.Trigger
	r.Possible = r.Possible || x.Possible
	r.Covered = r.Covered && x.Covered
	r.Unread = r.Unread || x.Unread
	r.Entries = unite(r.Entries, x.Entries)
}
