package judge

import (
	"math/rand/v2"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// Each reason of a random season rests on a rule that the contract names for its line:
// the pages of the rules are made from that.
func TestContractNamesTheRules(t *testing.T) {
	rules := map[string][]string{}
	for _, l := range hazard.ContractLines() {
		rules[l.Name] = l.Rules
	}
	var mu sync.Mutex
	seen := map[string]bool{}
	var seasons atomic.Int64
	eachSeason(5, func() bool { return seasons.Add(1) > int64(fewer(2000)) }, func(_ uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		q := RandomQuestion(r, s)
		a := hazard.Assess(fields.Fold(s.Entries, fields.View{On: q.On, KnownAt: q.Moment}), book)
		verdicts := []hazard.Verdict{}
		for i := range a.Paddocks {
			verdicts = append(verdicts, a.Paddocks[i].Verdicts...)
		}
		for i := range a.Lots {
			verdicts = append(verdicts, a.Lots[i].Verdicts...)
		}
		mu.Lock()
		defer mu.Unlock()
		for _, v := range verdicts {
			for _, h := range v.Hazards {
				for _, r := range h.Reasons {
					name := "Line" + LineName(r.Line)
					if !slices.Contains(rules[name], r.Rule) && !seen[name+" "+r.Rule] {
						t.Errorf("appendix A of CONTRACT.md does not name %s in the row of %s", r.Rule, name)
					}
					seen[name+" "+r.Rule] = true
				}
			}
		}
	})
	for l := hazard.LineNone + 1; l < hazard.NumLines && !testing.Short(); l++ {
		name := "Line" + LineName(l)
		for _, id := range rules[name] {
			if !seen[name+" "+id] && !rare[l] {
				t.Errorf("the row of %s names %s, on which no answer of that line rested", name, id)
			}
		}
	}
}
