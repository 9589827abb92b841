package hazard

import (
	"slices"
	"sort"

	"rimegate/fields"
	"rimegate/weather"
)

// Kinds of notices.
const (
	NoticeStruckIncident = "struck-incident"
	NoticeStruckKeepOff  = "struck-keep-off"
	NoticeWater          = "water"        // a source of stock water at or above a line
	NoticeHeight         = "height-doubt" // a height that the sowing date cannot explain
	NoticeUsedUp         = "used-up"      // of a lot that is answered because it was named
	NoticeWatch          = "watch-record" // a narrowed frost watch that a station's record backs
)

// Notice is a line that every list prints: a struck incident for a while, water
// wherever its herd is, what the record contradicts itself in.
type Notice struct {
	Kind    string
	Paddock string
	Lot     string
	Entry   string
	By      string
	Because string
	On      fields.Date
	Through fields.Date // the last day it is printed, NoDate for none
	Water   *Reason     // of water: what its result says
	Drinks  []string    // of water: the paddocks and herds its result names
	Sown    fields.Date // of a height: the sowing it contradicts
	CM      float64     // of a height
	Watch   *fields.Watch
}

// struckDays is how long a struck incident or keep-off is printed.
const struckDays = 14

func notices(h *fields.History, b *Rulebook) []Notice {
	out := append(append(badWater(h, b), struckNotices(h)...), doubtfulHeights(h, b)...)
	if w := h.NarrowedWatch(); w != nil && WatchBacked(h, b) {
		out = append(out, Notice{Kind: NoticeWatch, Watch: w})
	}
	return out
}

// WatchBacked reports whether the frost watch in force (§4.6) rests on a station's record
// for every standing paddock: for its possible line, at the thermometer.
func WatchBacked(h *fields.History, b *Rulebook) bool {
	w := h.NarrowedWatch()
	if w == nil || !weather.RecordHolds(*w, b.V[FrostPossible]) {
		return false
	}
	for _, p := range h.Standing() {
		for _, line := range h.Lines(p.ID) {
			s := h.NightSetting(line, h.On)
			if !weather.RecordHolds(*w, b.V[possibleRule(s.LowLying)]-s.OffsetC) {
				return false
			}
		}
	}
	return true
}

func struckNotices(h *fields.History) []Notice {
	var out []Notice
	for _, f := range h.StruckFacts() {
		kind := ""
		var paddock, lot string
		switch b := f.Body.(type) {
		case *fields.Incident:
			kind, paddock, lot = NoticeStruckIncident, b.Paddock, b.Lot
		case *fields.Vet:
			if b.Advice == "keep-off" {
				kind, paddock, lot = NoticeStruckKeepOff, b.Paddock, b.Lot
			}
		}
		s := h.Struck[f.ID]
		through := s.Date.Add(struckDays)
		if kind == "" || h.On < s.Date || h.On > through {
			continue
		}
		out = append(out, Notice{
			Kind: kind, Paddock: paddock, Lot: lot, Entry: f.ID, By: s.Signer(), Because: s.Body.(*fields.Strike).Because, On: s.Date, Through: through,
		})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Entry < out[j].Entry })
	return out
}

// doubtfulHeights (§5.10) are the heights that grew faster since the stand was sown anew
// than any stand does: one of the two is wrong.
func doubtfulHeights(h *fields.History, b *Rulebook) []Notice {
	var out []Notice
	for _, p := range h.Standing() {
		for _, line := range h.Lines(p.ID) {
			eachSowing(h.LineFacts(line), func(sown fields.Date, f fields.Fact) {
				w := f.Body.(*fields.Walk)
				if f.Date <= h.On && w.ShortestCM != nil && w.Paddock == p.ID && b.grewTooFast(sown, f.Date, *w.ShortestCM) {
					out = append(out, Notice{
						Kind: NoticeHeight, Paddock: p.ID, Entry: f.ID, By: f.Signer(), On: f.Date, Sown: sown, CM: *w.ShortestCM,
					})
				}
			})
		}
	}
	return out
}

// GrewTooFast reports whether a shortest growth, in cm on day d, is more than the
// rulebook's growth a day since the paddock's stand was sown anew, and that day.
func GrewTooFast(h *fields.History, b *Rulebook, paddock string, d fields.Date, cm float64) (sown fields.Date, ok bool) {
	for _, line := range h.Lines(paddock) {
		if last := sownBefore(h, line, d); b.grewTooFast(last, d, cm) {
			sown, ok = last, true
		}
	}
	return sown, ok
}

// sownBefore is the last sowing before day d that started the stand of a line, NoDate if
// none did.
func sownBefore(h *fields.History, line []string, d fields.Date) (sown fields.Date) {
	walk := fields.Fact{Entry: &fields.Entry{Body: &fields.Walk{}}, Date: d}
	facts := h.LineFacts(line)
	at := sort.Search(len(facts), func(i int) bool { return facts[i].Date >= d })
	eachSowing(append(slices.Clone(facts[:at]), walk), func(last fields.Date, f fields.Fact) {
		if f.Entry == walk.Entry {
			sown = last
		}
	})
	return sown
}

func (b *Rulebook) grewTooFast(sown, d fields.Date, cm float64) bool {
	return sown != fields.NoDate && cm > b.V[StandGrowthLimit]*float64(d.Sub(sown))+HeightSlack
}

// eachSowing calls walked for every walk of the facts, which come in order, with
// the last sowing before its day that started the stand: one with new_stand, or
// the first where nothing was seen before it.
func eachSowing(facts []fields.Fact, walked func(sown fields.Date, f fields.Fact)) {
	var anew, before fields.Date
	found := false // something grew there
	for _, f := range facts {
		switch b := f.Body.(type) {
		case *fields.Seen:
			found = true
		case *fields.Walk:
			if anew < f.Date {
				before = anew
			}
			walked(before, f)
			found = found || len(b.Alive) > 0
		case *fields.Sown:
			if anew < f.Date {
				before = anew
			}
			if yes(b.NewStand) || !found {
				anew = f.Date
			}
			found = true
		}
	}
}
