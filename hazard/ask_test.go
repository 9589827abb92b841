package hazard_test

import (
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// The frosts on file are the trigger nights of the engine, night by night.
func TestFrostsOfAreTheTriggerNights(t *testing.T) {
	var both atomic.Int64
	t.Cleanup(func() {
		if both.Load() < 50 {
			t.Errorf("only %d frosts: this test proves little", both.Load())
		}
	})
	eachCase(t, func(t *testing.T, path string, c *caseFile) {
		ends := c.ends()
		e := ends[len(ends)-1]
		v := fields.View{On: e.on, KnownAt: e.known}
		h, book := fields.Fold(c.entries, v), c.book(v)
		for _, p := range h.Standing() {
			from := e.on - 40
			froze := map[fields.Date]bool{}
			for _, f := range hazard.FrostsOf(h, book, p.ID, from, e.on) {
				froze[f.Night] = true
			}
			for _, r := range hazard.NightRows(h, book, p.ID, from, e.on) {
				if r.Trigger != froze[r.Night] {
					t.Errorf("%s: %s, night of %s: on file %v, of the engine %v", path, p.ID, r.Night, froze[r.Night], r.Trigger)
				}
				if r.Trigger {
					both.Add(1)
				}
			}
		}
	})
}
