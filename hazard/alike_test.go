package hazard_test

import (
	"reflect"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// Classes that the tables and the contract judge alike are answered once for all of them. A
// keep-off long over, of horses and another use, makes each class be answered for itself: nothing
// else may differ.
func TestClassesAreAnsweredForAlike(t *testing.T) {
	var shared atomic.Int32
	t.Cleanup(func() {
		if shared.Load() < 100 {
			t.Errorf("only %d answers were shared; this test proves little", shared.Load())
		}
	})
	eachCase(t, func(t *testing.T, path string, c *caseFile) {
		for _, x := range c.expects {
			v := fields.View{On: x.on, KnownAt: x.known}
			if c.answers[v] != nil {
				continue // asked by a line above
			}
			h := fields.Fold(c.entries, v)
			entries := c.entries[:len(c.entries):len(c.entries)]
			for _, p := range h.Standing() {
				entries = append(entries, fields.Entry{ID: "00000000000000000000000000" + p.ID, By: "Vet", On: x.on - 9, Body: &fields.Vet{
					Paddock: p.ID, Advice: fields.AdviceKeepOff, Who: "Vet", Because: "x", Until: x.on - 5,
					Classes: []string{"horses"}, Uses: []string{"cut-silage"},
				}})
			}
			once, each := c.assess(v), hazard.Assess(fields.Fold(entries, v), c.book(v))
			for i := range once.Paddocks {
				var last *hazard.Verdict
				for j := range once.Paddocks[i].Verdicts {
					a, b := &once.Paddocks[i].Verdicts[j], &each.Paddocks[i].Verdicts[j]
					if a.Class != hazard.Horses && !reflect.DeepEqual(a, b) {
						t.Fatalf("%s: on %s, %s of %s for %s: %v, each for itself %v", path, x.on, a.Use, once.Paddocks[i].Paddock.ID, a.Class, a, b)
					}
					if rs := a.Hazards[hazard.Nitrate].Reasons; last != nil && len(rs) > 0 && len(last.Hazards[hazard.Nitrate].Reasons) > 0 &&
						&rs[0] == &last.Hazards[hazard.Nitrate].Reasons[0] {
						shared.Add(1)
					}
					last = a
				}
			}
		}
	})
}
