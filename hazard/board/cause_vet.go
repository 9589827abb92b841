package board

import (
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

func (s *speaker) vetCause(r *hazard.Reason) string {
	switch r.Line {
	case hazard.LineIncident, hazard.LineLotIncident:
		t := "Animals fell sick or died here"
		if r.Line == hazard.LineLotIncident {
			t = "Animals fell sick or died on feed cut with this"
			if n := Clean(r.Lot); n != "" {
				t += " (lot " + n + ")"
			}
		}
		t += when(r.On)
		if _, b, ok := body[*fields.Incident](s, r); ok {
			var n []string
			if b.Down != nil {
				n = append(n, number(*b.Down, 0)+" down")
			}
			if b.Dead != nil {
				n = append(n, number(*b.Dead, 0)+" dead")
			}
			if len(n) > 0 {
				t += ", " + join(n)
			}
			if w := clause(b.What); w != "" {
				t += " (" + w + ")"
			}
		}
		return t
	case hazard.LineKeepOff:
		return named(r) + " says keep off" + or3(r.On.String(), " ("+r.On.Words()+")", "") + vetBecause(r)
	case hazard.LineMayGraze:
		t := named(r) + " says it may be used"
		if r.Vet != nil && r.Vet.Until != fields.NoDate {
			t += " through and including " + r.Vet.Until.Words()
		}
		t += vetBecause(r)
		if r.Vet != nil && r.Vet.Over {
			return t + "; but bad news since then has ended what that word did to earlier holds"
		}
		return t + "; a veterinarian's word alone never makes it clear"
	case hazard.LineVetNone:
		return "No incident and no veterinarian's word stands against it"
	}
	return ""
}

func vetBecause(r *hazard.Reason) string {
	if r.Vet == nil || clause(r.Vet.Because) == "" {
		return ""
	}
	return ", because: " + clause(r.Vet.Because)
}

// clause is a person's words without their own full stop.
func clause(s string) string { return strings.TrimRight(Clean(s), ". ") }
