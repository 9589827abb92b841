package board

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/hazard"
)

// NoDateShown is for how many days a hold without a date is drawn in the
// calendar; the next export draws it further.
const NoDateShown = 14

// CalendarEvents are the holds, errands and rounds of the farm as calendar
// events. A hold of a paddock (grazing, and a swath where one lies) or of a
// stored lot is the worst answer for the classes of the farm's herds. Texts are
// clean; nothing in them changes from one export to the next unless the answer
// does. UIDs are made of the farm's first entry and of short names, so that a
// later export moves an event instead of adding one.
func CalendarEvents(a *hazard.Assessment, rounds []*calendar.Round) []calendar.Event {
	s := newSpeaker(a, UnitsOf(a.History))
	at := "@" + farmKey(a.History) + ".rimegate"
	classes := FarmClasses(a.History)
	var out []calendar.Event
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		for _, u := range []hazard.Use{hazard.Graze, hazard.SwathGraze} {
			v := worstOf(func(c hazard.Class) *hazard.Verdict { return p.Verdict(u, c) }, classes)
			if v != nil && v.Flag == hazard.Hold && !v.CannotBe() {
				out = append(out, s.holdEvent("hold-"+p.Paddock.ID+"-"+u.String()+at, s.name(p), v))
			}
		}
	}
	for i := range a.Lots {
		l := &a.Lots[i]
		if v := worstOf(l.Verdict, classes); v != nil && v.Flag == hazard.Hold {
			out = append(out, s.holdEvent("hold-lot-"+l.Lot+at, "lot "+s.lotName(l), v))
		}
	}
	for _, e := range Errands(a, Filter{}) {
		out = append(out, calendar.Event{
			UID: "task-" + e.ID + "-" + e.What + at, From: e.By, To: e.By, Category: "ERRAND",
			Summary: e.Name + ": " + e.What, Description: e.Text, Alarm: e.Name + ": " + e.Text,
		})
	}
	for _, r := range rounds {
		sum, where := sha256.Sum256([]byte(calendar.Key(r.Name))), gateNames(s.h, r.Paddocks)
		summary := Clean(r.Name) + provided(where != "", " ("+where+")")
		if e, ok := r.Event("round-"+hex.EncodeToString(sum[:8])+at, summary, sentence(Clean(r.What))); ok {
			out = append(out, e)
		}
	}
	return out
}

func (s *speaker) holdEvent(uid, name string, v *hazard.Verdict) calendar.Event {
	e := calendar.Event{UID: uid, From: s.on, To: v.Through, Category: "HOLD"}
	e.Summary = "NO: " + name + ", " + useWords(v.Use) + ", HOLD " + ThroughWords(v.Flag, v.Through, s.on)
	if v.Through == hazard.NoEnd || v.Through == fields.NoDate {
		e.To = s.on.Add(NoDateShown - 1)
		e.Summary = "NO: " + name + ", " + useWords(v.Use) + ", HOLD, NO DATE"
		e.Description = "No day ends this hold; it is shown here for " + plural(NoDateShown, "day") + " only.\n"
	}
	if r := worstReason(v); r != nil {
		e.Description += s.short(r, v.Use) + "\n"
		if t := s.lifts(r); t != "" {
			e.Description += "Next: " + t + "\n"
		}
	}
	e.Description += "The day after is not a YES: read that morning's list. Another frost, or anything logged after this export, can move the day."
	return e
}

// farmKey tells one farm's events from another's in one calendar.
func farmKey(h *fields.History) string {
	for _, f := range h.Facts {
		if f.Kind() == fields.KindFarm {
			return strings.ToLower(f.ID)
		}
	}
	return "farm"
}
