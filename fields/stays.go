package fields

import "slices"

// Stay is a herd's time in a paddock. Herd "" is stock that nobody named.
type Stay struct {
	Paddock     string
	Herd        string
	In          Date
	Out         Date // NoDate while inside
	SwathLeft   *bool
	InID, OutID string
}

// Stays returns the stays of all stock.
func (h *History) Stays() []Stay { return h.stays }

// staysOf follows the stock through the grazed entries: an `in` elsewhere is an
// `out` here, an `out` without a herd takes every herd out. Entries of one date
// go by what stood before them: stock already inside went out and came back,
// stock outside came in and left.
func staysOf(facts []Fact) []Stay {
	out := make([]Stay, 0, grazedIn(facts))
	open := map[string]int{}       // herd (named) -> index in out; "\x00paddock" for unnamed stock
	standing := map[string][]int{} // paddock -> indexes in out of the stock inside
	key := func(herd, paddock string) string {
		if herd == "" {
			return "\x00" + paddock
		}
		return herd
	}
	leave := func(i int, d Date, id string, swath *bool) {
		out[i].Out, out[i].OutID = d, id
		if swath != nil {
			out[i].SwathLeft = swath
		}
		delete(open, key(out[i].Herd, out[i].Paddock))
		p := out[i].Paddock
		standing[p] = slices.DeleteFunc(standing[p], func(j int) bool { return j == i })
	}
	apply := func(f Fact, g *Grazed) {
		k := key(g.Herd, g.Paddock)
		if g.State == "in" {
			if i, ok := open[k]; ok {
				if out[i].Paddock == g.Paddock {
					return // still inside
				}
				leave(i, f.Date, f.ID, nil)
			}
			open[k] = len(out)
			standing[g.Paddock] = append(standing[g.Paddock], len(out))
			out = append(out, Stay{Paddock: g.Paddock, Herd: g.Herd, In: f.Date, InID: f.ID})
			return
		}
		took := false
		if g.Herd != "" {
			if i, ok := open[k]; ok && out[i].Paddock == g.Paddock {
				leave(i, f.Date, f.ID, g.SwathLeft)
				took = true
			}
		} else {
			for _, i := range slices.Clone(standing[g.Paddock]) {
				leave(i, f.Date, f.ID, g.SwathLeft)
				took = true
			}
		}
		if !took { // an out without a known in: they were there until that day
			out = append(out, Stay{Paddock: g.Paddock, Herd: g.Herd, In: NoDate, Out: f.Date, OutID: f.ID, SwathLeft: g.SwathLeft})
		}
	}
	var day []GrazedFact
	flush := func() {
		// Outs of stock that stood inside before this date come first, then the ins.
		for pass := range 3 {
			var rest []GrazedFact
			for _, f := range day {
				inside := slices.ContainsFunc(standing[f.Paddock], func(i int) bool { return f.Herd == "" || out[i].Herd == f.Herd })
				if pass == 0 && (f.State == MoveIn || !inside) || pass == 1 && f.State == MoveOut {
					rest = append(rest, f)
				} else {
					apply(f.Fact, f.Grazed)
				}
			}
			day = rest
		}
	}
	for _, f := range facts {
		g, ok := f.Body.(*Grazed)
		if !ok {
			continue
		}
		if len(day) > 0 && day[0].Date != f.Date {
			flush()
		}
		day = append(day, GrazedFact{f, g})
	}
	flush()
	return out
}

// grazedIn counts grazed entries: no stay begins without one.
func grazedIn(facts []Fact) (n int) {
	for i := range facts {
		if facts[i].Kind() == KindGrazed {
			n++
		}
	}
	return n
}

// StaysOf returns the stays in one paddock, in order.
func (h *History) StaysOf(paddock string) []Stay { return h.staysIn[paddock] }

// Inside returns the stays that have not ended in any paddock of the line.
func (h *History) Inside(line []string) []Stay {
	var in []Stay
	for _, s := range h.Stays() {
		if s.Out == NoDate && slices.Contains(line, s.Paddock) {
			in = append(in, s)
		}
	}
	return in
}
