package hazard

import (
	"sort"

	"rimegate/fields"
)

// Kinds of notices.
const (
	NoticeStruckIncident = "struck-incident"
	NoticeStruckKeepOff  = "struck-keep-off"
	NoticeWater          = "water"        // a source of stock water at or above a line
	NoticeHeight         = "height-doubt" // a height that the sowing date cannot explain
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
	Water   *Reason     // of water: what its result says, Text naming the source
	Drinks  []string    // of water: the paddocks and herds its result names
	Sown    fields.Date // of a height: the sowing it contradicts
	CM      float64     // of a height
}

// struckDays is how long a struck incident or keep-off is printed.
const struckDays = 14

func notices(h *fields.History, b *Rulebook) []Notice {
	return append(append(badWater(h, b), struckNotices(h)...), doubtfulHeights(h, b)...)
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
			Kind: kind, Paddock: paddock, Lot: lot, Entry: f.ID, By: s.By, Because: s.Body.(*fields.Strike).Because, On: s.Date, Through: through,
		})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Entry < out[j].Entry })
	return out
}

// doubtfulHeights are the heights of present stands that grew faster since the
// stand was sown anew than any stand does: one of the two is wrong.
func doubtfulHeights(h *fields.History, b *Rulebook) []Notice {
	var out []Notice
	for _, p := range h.Standing() {
		for _, f := range h.OfPaddock(p.ID) {
			w, ok := f.Body.(*fields.Walk)
			if !ok || w.ShortestCM == nil || f.Date > h.On {
				continue
			}
			if sown, ok := GrewTooFast(h, b, p.ID, f.Date, *w.ShortestCM); ok {
				out = append(out, Notice{Kind: NoticeHeight, Paddock: p.ID, Entry: f.ID, By: f.By, On: f.Date, Sown: sown, CM: *w.ShortestCM})
			}
		}
	}
	return out
}

// GrewTooFast reports a shortest growth, in cm on day d, of more than the
// rulebook's growth a day since the paddock's stand was sown anew, and that day.
func GrewTooFast(h *fields.History, b *Rulebook, paddock string, d fields.Date, cm float64) (sown fields.Date, ok bool) {
	for _, line := range h.Lines(paddock) {
		anew := sownAnew(h, line, d)
		if anew != fields.NoDate && anew <= d && cm > b.V[StandGrowthLimit]*float64(d.Sub(anew))+heightSlack {
			return anew, true
		}
	}
	return fields.NoDate, false
}

// sownAnew is the last sowing by day d that started the stand: one with
// new_stand, or the first where nothing was seen before it.
func sownAnew(h *fields.History, line []string, d fields.Date) fields.Date {
	var anew fields.Date
	found := false // something grew there
	for _, f := range h.LineFacts(line) {
		switch b := f.Body.(type) {
		case *fields.Seen:
			found = true
		case *fields.Walk:
			found = found || len(b.Alive) > 0
		case *fields.Sown:
			if f.Date > d {
				return anew
			}
			if yes(b.NewStand) || !found {
				anew = f.Date
			}
			found = true
		}
	}
	return anew
}
