package board

import (
	"sort"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// feeding is stored feed that goes to a herd on the day asked about.
type feeding struct {
	lot   *hazard.LotAnswer
	fed   *fields.Fed
	worst *hazard.Verdict // over the herd's classes
}

// feedings are the lots being fed on the day asked about. A feeding without a
// last day goes on until the same herd is logged as fed with something later:
// what nobody ended is not taken for over.
func (s *speaker) feedings() []feeding {
	if s.h == nil {
		return nil
	}
	var out []feeding
	latest := map[string]fields.Date{} // the last day on which a herd's feeding began
	for _, id := range s.h.Lots() {
		for _, x := range s.h.OfLot(id) {
			if b, ok := x.Body.(*fields.Fed); ok && b.From <= s.on && b.From > latest[b.Herd] {
				latest[b.Herd] = b.From
			}
		}
	}
	for i := range s.a.Lots {
		l := &s.a.Lots[i]
		last := map[string]*fields.Fed{} // of each herd the latest word counts
		for _, x := range s.h.OfLot(l.Lot) {
			if b, ok := x.Body.(*fields.Fed); ok && b.From <= s.on && (last[b.Herd] == nil || b.From >= last[b.Herd].From) {
				last[b.Herd] = b
			}
		}
		for _, b := range last {
			if b.To != fields.NoDate && b.To < s.on || b.To == fields.NoDate && b.From < latest[b.Herd] {
				continue
			}
			classes := FarmClasses(s.h)
			if g := s.h.Herd(b.Herd); g != nil {
				if own := herdClasses(g); len(own) > 0 {
					classes = own
				}
			}
			if v := worstOf(l.Verdict, classes); v != nil {
				out = append(out, feeding{l, b, v})
			}
		}
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].lot.Lot != out[j].lot.Lot {
			return out[i].lot.Lot < out[j].lot.Lot
		}
		return out[i].fed.Herd < out[j].fed.Herd
	})
	return out
}

// stopFeeding is the line for feed on hold that is being fed.
func (s *speaker) stopFeeding(f *feeding) string {
	t := "STOP FEEDING NOW"
	if s.coming() {
		t = "STOP FEEDING BEFORE " + s.on.Words()
	}
	if f.fed.Mixed != nil && *f.fed.Mixed {
		t += " unless the mix was worked out and agreed to"
	}
	return t + ": " + Clean(f.lot.Lot) + " to " + Clean(f.fed.Herd)
}

// stopFeedings are the lines for all feed on hold that is being fed; lot "" is
// any.
func (s *speaker) stopFeedings(lot string) []string {
	var out []string
	for _, f := range s.feedings() {
		if f.worst.Flag == hazard.Hold && (lot == "" || f.lot.Lot == lot) {
			out = append(out, s.stopFeeding(&f))
		}
	}
	return out
}

// Alarms are what must be said at once of entries just logged: stock put where
// they may not stand, feed given that may not be fed, and where of either it
// must be asked first.
func Alarms(after *hazard.Assessment, entries []fields.Entry) []string {
	s := newSpeaker(after, UnitsOf(after.History))
	var out []string
	add := func(t string) {
		if !contains(out, t) {
			out = append(out, t)
		}
	}
	because := func(v *hazard.Verdict) string {
		if r := worstReason(v); r != nil {
			return flagThrough(v) + ". " + s.short(r, v.Use)
		}
		return flagThrough(v) + "."
	}
	for i := range entries {
		switch b := entries[i].Body.(type) {
		case *fields.Grazed:
			if b.State != "in" {
				continue
			}
			for j := range after.Paddocks {
				p := &after.Paddocks[j]
				if s.id(p) != b.Paddock {
					continue
				}
				for _, in := range standing(after, p) {
					if in.id != b.Herd || in.worst == nil {
						continue
					}
					switch in.flag {
					case hazard.Hold:
						add(s.moveOut(&in, p) + ": " + because(in.worst))
					case hazard.Caution:
						add("ASK FIRST: " + in.herd + " went into " + s.name(p) + ": " + because(in.worst))
					}
				}
			}
		case *fields.Fed:
			for _, f := range s.feedings() {
				if f.lot.Lot != b.Lot || f.fed.Herd != b.Herd {
					continue
				}
				switch f.worst.Flag {
				case hazard.Hold:
					add(s.stopFeeding(&f) + ": " + because(f.worst))
				case hazard.Caution:
					add("ASK FIRST: " + Clean(b.Lot) + " goes to " + Clean(b.Herd) + ": " + because(f.worst))
				}
			}
		}
	}
	return out
}

// maxUnmoved is how many names Unmoved lists.
const maxUnmoved = 4

// Unmoved says how grazing stands where entries spoke of land and its answer
// stayed as it was, so that no silence is taken for "no matter"; "" if there is
// nothing of the kind.
func Unmoved(after *hazard.Assessment, entries []fields.Entry, cs []Change) string {
	s := newSpeaker(after, UnitsOf(after.History))
	moved := map[string]bool{}
	for i := range cs {
		for _, u := range cs[i].Uses {
			moved[cs[i].ID] = moved[cs[i].ID] || u == hazard.Graze
		}
	}
	var out []string
	seen := map[string]bool{}
	for i := range entries {
		switch entries[i].Body.(type) {
		case *fields.PaddockFacts, *fields.LotFacts, *fields.Fed, *fields.Water, *fields.Round, *fields.Sampled, *fields.Grazed:
			continue // they say nothing of what grows there, or are answered by Alarms
		}
		for _, id := range entries[i].Paddocks() {
			if seen[id] || moved[id] {
				continue
			}
			seen[id] = true
			for j := range after.Paddocks {
				p := &after.Paddocks[j]
				if s.id(p) != id {
					continue
				}
				v := worstOf(func(c hazard.Class) *hazard.Verdict { return p.Verdict(hazard.Graze, c) }, FarmClasses(s.h))
				if v != nil {
					out = append(out, s.name(p)+" is "+flagThrough(v))
				}
			}
		}
	}
	if len(out) == 0 {
		return ""
	}
	if n := len(out) - maxUnmoved; n > 0 {
		out = append(out[:maxUnmoved], strconv.Itoa(n)+" more")
	}
	return "To graze, unchanged: " + strings.Join(out, "; ") + "."
}

// flagThrough is a flag with its last day: "HOLD through and including Fri
// 25-Sep-2026", "HOLD, no date", "CLEAR".
func flagThrough(v *hazard.Verdict) string {
	t := FlagWord(v.Flag)
	switch w := ThroughWords(v.Flag, v.Through); {
	case w == "":
		return t
	case v.Through == hazard.NoEnd || v.Through == fields.NoDate:
		return t + ", " + w
	default:
		return t + " " + w
	}
}
