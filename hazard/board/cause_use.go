package board

import (
	"rimegate/fields"
	"rimegate/hazard"
)

func (s *speaker) useCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineChopFrosted:
		return "Frost fell on the living stand" + when(r.On) + ", and it was not cut for another use since then"
	case hazard.LineChopWait:
		return "The last frost night was" + when(r.On) + s.waits(r) + " before it is chopped"
	case hazard.LineCutUnknown:
		if listed == "" {
			return "It is not known what grows here"
		}
		return "Holds a plant that is not in the species table (" + listed + "): ask what it is before it is cut"
	case hazard.LineCutClear:
		return "It may be cut; feeding it is a separate question"
	case hazard.LineSwathNotDry:
		t := "The swath"
		if r.On != fields.NoDate {
			t += " cut " + r.On.Words()
		}
		t += " is not confirmed dry: two walks at least 2 days apart must find it dry"
		if r.Proof != fields.NoDate {
			t += " (first found dry " + r.Proof.Words() + ")"
		}
		return t
	case hazard.LineSwathOldWalk:
		return "The swath is dry, but it was last walked" + when(r.On) + s.agedOut(r)
	case hazard.LineSwathStubble:
		return "No clean walk of the stubble" + since(r.On) + " (all killed, dry, no shoots, weeds checked)"
	case hazard.LineSwathClock:
		return s.clock(r, "The swath, or the stand it was cut from, froze")
	case hazard.LineCure:
		return "Baled" + when(r.On) + s.waits(r) + " to cure"
	case hazard.LineEnsile:
		return "Made" + when(r.On) + s.waits(r) + " to ensile"
	case hazard.LineSuspect:
		t := "Suspect of prussic acid, and no laboratory HCN result of the lot itself clears it"
		if w := suspectWords[r.Why.Line]; w != "" {
			t += ": " + w
			if r.Why.On != fields.NoDate {
				t += " (" + r.Why.On.Words() + ")"
			}
		}
		return t
	case hazard.LineLotClear:
		t := "Nothing made this lot suspect of prussic acid"
		if w := suspectWords[r.Why.Line]; w != "" {
			t = "Tall growth that met nothing but frost (" + w + ")"
		}
		if r.On != fields.NoDate {
			t += ", and its wait since " + r.On.Words() + " is over"
		}
		return t
	}
	return ""
}

// suspectWords are what made a lot suspect.
var suspectWords = map[hazard.Line]string{
	hazard.LineUnlisted:     "nobody knows what it was cut from",
	hazard.LineUnknown:      "it holds a plant that is not in the species table, or none was named",
	hazard.LineFlax:         "flax is always suspect",
	hazard.LineClock:        "its stand or swath was inside a frost wait, set by a frost or an unread night",
	hazard.LinePossible:     "it may have frozen",
	hazard.LineUnreadNights: "a night was not read",
	hazard.LineIncident:     "animals fell sick on its stand",
	hazard.LineDrought:      "its stand was in a drought",
	hazard.LineRainWait:     "its stand was inside the wait after a drought, which rain ended",
	hazard.LineHail:         "its stand was hailed on",
	hazard.LineTrampled:     "its stand was trampled",
	hazard.LineSprayed:      "its stand was sprayed",
	hazard.LineWilted:       "its stand was found wilted",
	hazard.LineShoots:       "its stand had short shoots",
	hazard.LineTooShort:     "its stand was below the minimum height",
}
