package board

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// cause is what the reason says, as a clause without its full stop; false for a
// line that has no words.
func (s *speaker) cause(r *hazard.Reason) (string, bool) {
	t := s.generalCause(r)
	if t == "" {
		t = s.prussicCause(r)
	}
	if t == "" {
		t = s.useCause(r)
	}
	if t == "" {
		t = s.nitrateCause(r)
	}
	if t == "" {
		t = s.vetCause(r)
	}
	return t, t != ""
}

func (s *speaker) generalCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineNoP:
		t := "No plant listed here makes prussic acid"
		for _, n := range r.Plants {
			if row := speciesRow(s.book, n); row != nil && row.Habit == hazard.HabitMinor {
				t = "No plant listed here makes more than a little prussic acid"
			}
		}
		if listed != "" {
			t += ": " + listed
		}
		return t
	case hazard.LineAllPassed:
		t := "Every line on prussic acid was looked at and none applies"
		if listed != "" {
			t += " (" + listed + ")"
		}
		if r.Proof != fields.NoDate {
			t += "; it rests on the walk of " + r.Proof.Words()
		}
		return t
	case hazard.LineUnlisted:
		return "Nothing is written down of what grows here"
	case hazard.LineNeverChecked:
		return "Never sown here, and no walk in the last 365 days says that the weeds were checked" + s.lastWas(r.On)
	case hazard.LineNotListedHCN:
		if listed == "" {
			listed = "some plant here"
		}
		return "No source read speaks of prussic acid in " + listed + ", and no walk in the last 365 days says that the weeds were checked" + s.lastWas(r.On)
	case hazard.LineUnknown:
		if listed == "" {
			return "It is not known what grows here: a sowing names no species"
		}
		return "Not in the species table, so taken for dangerous: " + listed
	case hazard.LineNoSwath:
		return "No swath lies here to graze"
	case hazard.LineNoCrop:
		if r.On == fields.NoDate {
			return "Nothing stands here to cut"
		}
		return "Nothing stands here to cut: it was cut on " + r.On.Words() + ", and no walk since then measured growth"
	}
	return ""
}

func (s *speaker) lastWas(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " (the last one: " + d.Words() + ")"
}

func (s *speaker) ofDate(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " of " + d.Words()
}

func (s *speaker) found(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " (measured " + d.Words() + ")"
}

func (s *speaker) agedOut(r *hazard.Reason) string {
	t := ""
	if ago := s.ago(r.On); ago != "" {
		t = ", " + ago
	}
	if r.Days > 0 {
		t += "; a walk counts for " + plural(r.Days, "day")
	}
	return t
}

func before(d fields.Date) fields.Date {
	if d == fields.NoDate {
		return d
	}
	return d - 1
}

// named is the veterinarian a reason names.
func named(r *hazard.Reason) string {
	if r.Vet != nil && Clean(r.Vet.Who) != "" {
		return Clean(r.Vet.Who)
	}
	return "A veterinarian"
}
