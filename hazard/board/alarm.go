package board

import (
	"cmp"
	"slices"
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
// last day goes on until the same herd is logged as fed with something later, or
// the lot is said to be used up (§11.11): what nobody ended is not taken for over.
func (s *speaker) feedings() []feeding {
	type goes struct{ lot, herd string }
	latest := map[string]fields.Date{} // the last day on which a herd's feeding began
	last := map[goes]*fields.Fed{}     // of each herd and lot the latest word counts
	gone := map[string]fields.Date{}   // the last day of lots that were used up
	ids := s.h.Lots()                  // one without an answer can end another's feeding
	for i := range s.a.Lots {
		ids = append(ids, s.a.Lots[i].Lot)
	}
	for _, id := range ids {
		gone[id] = s.lastOf(id)
		for _, x := range s.h.OfLot(id) {
			b, ok := x.Body.(*fields.Fed)
			if !ok || b.From > s.on {
				continue
			}
			latest[b.Herd] = max(latest[b.Herd], b.From)
			if k := (goes{id, b.Herd}); last[k] == nil || b.From >= last[k].From {
				last[k] = b
			}
		}
	}
	var out []feeding
	for k, b := range last {
		over := b.To < s.on
		if b.To == fields.NoDate {
			over = b.From < latest[b.Herd] || b.From <= gone[k.lot]
		}
		if l := lotOf(s.a, k.lot); l != nil && !over {
			if v := worstOf(l.Verdict, classesOf(s.h, b.Herd)); v != nil {
				out = append(out, feeding{l, b, v})
			}
		}
	}
	slices.SortFunc(out, func(a, b feeding) int {
		return cmp.Or(fields.CompareNames(a.lot.Lot, b.lot.Lot), fields.CompareNames(a.fed.Herd, b.fed.Herd))
	})
	return out
}

// lastOf is the day before the one asked on which a lot was last said to be used up;
// NoDate where nobody said so, or an incident or a keep-off of that day or later tells
// otherwise.
func (s *speaker) lastOf(lot string) fields.Date {
	last, doubt := fields.NoDate, fields.NoDate
	for _, x := range s.h.OfLot(lot) {
		b, vet := x.Body.(*fields.Vet)
		switch {
		case x.Kind() == fields.KindUsedUp && x.Date < s.on:
			last = x.Date
		case x.Kind() == fields.KindIncident || vet && b.Advice == fields.AdviceKeepOff:
			doubt = x.Date
		}
	}
	if doubt >= last {
		return fields.NoDate
	}
	return last
}

// stopFeeding is the line for feed on hold that is being fed.
func (s *speaker) stopFeeding(f *feeding) string {
	t := "STOP FEEDING " + s.nowOrBefore()
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
// must be asked first; and stock and feed that were there already, where what was
// logged speaks of that paddock or lot or brings the hold.
func Alarms(before, after *hazard.Assessment, entries []fields.Entry) []string {
	s := newSpeaker(after, UnitsOf(after.History))
	var out []string
	add := func(f hazard.Flag, v *hazard.Verdict, hold, caution string) {
		if f == hazard.Clear {
			return
		}
		t := "ASK FIRST: " + caution
		if f == hazard.Hold {
			t = hold
		}
		why, _ := s.why(v)
		if t += ": " + s.verdictWords(v) + ". " + why; !contains(out, t) {
			out = append(out, t)
		}
	}
	for i := range entries {
		switch b := entries[i].Body.(type) {
		case *fields.Grazed:
			if b.State != "in" {
				continue
			}
			for _, p := range s.paddocks(Filter{Paddock: b.Paddock}) {
				for _, in := range p.inside {
					if in.id == b.Herd && in.worst != nil {
						add(in.flag, in.worst, s.moveOut(&in, p.paddock), in.herd+" went into "+p.name)
					}
				}
			}
		case *fields.Fed:
			for _, f := range s.feedings() {
				if f.lot.Lot == b.Lot && f.fed.Herd == b.Herd {
					add(f.worst.Flag, f.worst, s.stopFeeding(&f), Clean(b.Lot)+" goes to "+Clean(b.Herd))
				}
			}
		}
	}
	known := heldBefore(before, entries)
	for _, p := range s.paddocks(Filter{}) {
		for _, in := range p.inside {
			if in.flag == hazard.Hold && !known[p.id+"\x00"+in.id] {
				add(in.flag, in.worst, s.moveOut(&in, p.paddock), "")
			}
		}
	}
	for _, f := range s.feedings() {
		if f.worst.Flag == hazard.Hold && !known[f.lot.Lot+"\x00"+f.fed.Herd] {
			add(f.worst.Flag, f.worst, s.stopFeeding(&f), "")
		}
	}
	return out
}

// quiet are the kinds that bring no hold to the paddock or lot they speak of.
var quiet = []fields.Kind{fields.KindGrazed, fields.KindFed, fields.KindUsedUp}

// heldBefore are the stock and the feed on hold before some entries that do not speak of
// their paddock or lot.
func heldBefore(before *hazard.Assessment, entries []fields.Entry) map[string]bool {
	s, told, out := newSpeaker(before, UnitsOf(before.History)), map[string]bool{}, map[string]bool{}
	for i := range entries {
		if e := &entries[i]; !slices.Contains(quiet, e.Kind()) {
			for _, id := range slices.Concat(e.Paddocks(), []string{e.Lot()}) {
				told[id] = true
			}
		}
	}
	for _, p := range s.paddocks(Filter{}) {
		for _, in := range p.inside {
			out[p.id+"\x00"+in.id] = in.flag == hazard.Hold && !told[p.id]
		}
	}
	for _, f := range s.feedings() {
		out[f.lot.Lot+"\x00"+f.fed.Herd] = f.worst.Flag == hazard.Hold && !told[f.lot.Lot]
	}
	return out
}

// AsOf says of stock logged into a paddock on a day that is past what held for them on
// that day, by what is known now; then is its assessment. It is "" where nothing was
// against it, and where they stand there still and today's answer is as bad or worse.
func AsOf(then, now *hazard.Assessment, e *fields.Entry) string {
	b, ok := e.Body.(*fields.Grazed)
	if !ok || b.State != fields.MoveIn {
		return ""
	}
	of := func(s *speaker) *inside {
		for _, p := range s.paddocks(Filter{Paddock: b.Paddock}) {
			for i := range p.inside {
				if in := &p.inside[i]; in.id == b.Herd && in.worst != nil {
					return in
				}
			}
		}
		return nil
	}
	s := newSpeaker(then, UnitsOf(now.History))
	was, is := of(s), of(newSpeaker(now, UnitsOf(now.History)))
	if was == nil || was.flag == hazard.Clear || is != nil && !gradeOf(was.worst).worse(gradeOf(is.worst)) {
		return ""
	}
	why, _ := s.why(was.worst)
	return "As of " + s.on.Beside(now.History.On) + ": " + PaperWord(was.flag) + " for " + was.herd + " in " +
		paddockName(s.h, b.Paddock) + ": " + s.verdictWords(was.worst) + ". " + why
}

// maxUnmoved is how many names Unmoved lists.
const maxUnmoved = 4

// Unmoved says how grazing stands where entries spoke of land and its answer
// stayed as it was, so that no silence is taken for "no matter"; "" if there is
// nothing of the kind.
func Unmoved(after *hazard.Assessment, entries []fields.Entry, cs []Change) string {
	s := newSpeaker(after, UnitsOf(after.History))
	told := map[string]bool{"": true}
	for i := range cs {
		for _, u := range cs[i].Uses {
			told[cs[i].ID] = told[cs[i].ID] || u == hazard.Graze
		}
	}
	var out []string
	for i := range entries {
		switch entries[i].Body.(type) {
		case *fields.PaddockFacts, *fields.LotFacts, *fields.Fed, *fields.Water, *fields.Round, *fields.Sampled,
			*fields.Grazed:
			continue // they say nothing of what grows there, or are answered by Alarms
		}
		for _, id := range entries[i].Paddocks() {
			if told[id] {
				continue
			}
			told[id] = true
			for _, p := range s.paddocks(Filter{Paddock: id}) {
				v := needed(p.worstOf(hazard.Graze, FarmClasses(s.h)), id)
				out = append(out, p.name+" is "+s.verdictWords(v))
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
