package board

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// usedUp says who said that nothing is left of a lot, "" where it is on the list.
func (s *speaker) usedUp(lot string) string {
	f, gone := s.h.UsedUp(lot)
	if !gone {
		return ""
	}
	return s.say("lot {lot} is on no list: {by} said that it was used up on {day} (logged {logged}){, note: |note}",
		"lot", Clean(lot), "by", Clean(f.Signer()), "day", s.date(f.Date),
		"logged", s.date(fields.DateOf(f.Recorded, s.h.Loc)), "note", Clean(f.Note))
}

// oldAfter is after how many days a lot that is still listed is asked about (ours, no
// source: more than a year, since last year's hay is fed beside this year's).
const oldAfter = 400

// oldLots asks in one line about lots so old that they may be used up.
func (s *speaker) oldLots(f Filter) string {
	old := slices.DeleteFunc(s.lots(f), func(x subject) bool {
		_, gone := s.h.UsedUp(x.id)
		return gone || s.on.Sub(x.lot.Facts.MadeOn) <= oldAfter
	})
	if len(old) == 0 {
		return ""
	}
	return s.say("Lots of feed made over a year ago and still listed: {n}. Of those with nothing left: {command}.",
		"n", number(float64(len(old)), 0), "command", "rimegate log used-up --on DAY LOT,LOT")
}

// UsedUp says of lots that are said to be used up what leaves the list, what stays on it
// all the same, and what must not be forgotten of it: a hold, and an incident that is
// still open.
func UsedUp(before, after *hazard.Assessment, entries []fields.Entry) (says []string) {
	s := newSpeaker(before, UnitsOf(after.History))
	var days []fields.Date
	leave := map[fields.Date][]string{}
	var held, sick []string
	for i := range entries {
		b, ok := entries[i].Body.(*fields.UsedUp)
		if !ok {
			continue
		}
		name, d := Clean(b.Lot), entries[i].EventDate(after.History.Loc)
		if f, there := after.History.LeftOf(b.Lot, d); there {
			says = append(says, name+" STAYS ON THE LIST: what is on file tells of some left after "+s.date(d)+": "+
				EntryWords(f.Entry, after.History, s.u)+". Strike what is wrong, or log the day the last of it went.")
			continue
		}
		if leave[d+1] == nil {
			days = append(days, d+1)
		}
		leave[d+1] = append(leave[d+1], name)
		l := lotOf(before, b.Lot)
		if l == nil {
			continue
		}
		if v := worstOf(l.Verdict, FarmClasses(after.History)); v != nil && v.Flag == hazard.Hold {
			held = append(held, name+", "+s.verdictWords(v))
		}
		if slices.ContainsFunc(l.Verdicts, func(v hazard.Verdict) bool { return v.Rests(hazard.LineIncident) || v.Rests(hazard.LineFedIncident) }) {
			sick = append(sick, name)
		}
	}
	slices.Sort(days)
	for _, d := range days {
		says = append(says, "On no list from "+d.Beside(after.History.On)+" on: "+strings.Join(leave[d], ", ")+
			". A strike of the entry brings a lot back.")
	}
	if len(held) > 0 {
		says = append(says, "ON HOLD AS IT GOES: "+strings.Join(held, "; ")+". Call it used up only when nothing is left: "+
			"no list warns of what still lies there.")
	}
	if len(sick) > 0 {
		says = append(says, "AN INCIDENT IS OPEN in "+join(sick)+": hold back a sample for the lab. Used up or not, it "+
			"goes on holding every lot of that cut day that shares a paddock with it.")
	}
	return says
}
