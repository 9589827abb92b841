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
			if n := join(cleanAll(r.Names)); n != "" {
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
		} else if w := clause(r.Text); w != "" {
			t += " (" + w + ")"
		}
		return t
	case hazard.LineKeepOff:
		who, because := named(r), clause(r.Text)
		if f, b, ok := body[*fields.Vet](s, r); ok {
			if w := Clean(b.Who); w != "" {
				who = w
			}
			because = clause(b.Because)
			return who + " says keep off (" + f.Date.Words() + ")" + becauseWords(because)
		}
		return who + " says keep off" + or3(r.On.String(), " ("+r.On.Words()+")", "") + becauseWords(because)
	case hazard.LineMayGraze:
		who, because, until := named(r), clause(r.Text), r.Since
		if r.SoftBy != nil {
			who, because, until = Clean(r.SoftBy.Who), clause(r.SoftBy.Because), r.SoftBy.Until
		} else if _, b, ok := body[*fields.Vet](s, r); ok {
			who, because, until = Clean(b.Who), clause(b.Because), b.Until
		}
		t := who + " says it may be used"
		if until != fields.NoDate {
			t += " through and including " + until.Words()
		}
		t += becauseWords(because)
		if r.Days == 0 && r.SoftBy == nil {
			return t + "; but bad news since then has ended what that word did to earlier holds"
		}
		return t + "; a veterinarian's word alone never makes it clear"
	case hazard.LineVetNone:
		return "No incident and no veterinarian's word stands against it"
	}
	return ""
}

// clause is a person's words without their own full stop.
func clause(s string) string { return strings.TrimRight(Clean(s), ". ") }
