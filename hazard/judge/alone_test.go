package judge

import (
	"math/rand/v2"
	"reflect"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// What is asked of one paddock or lot alone is what the whole farm's answer says of it.
func TestAloneIsTheSame(t *testing.T) {
	want := int64(fewer(4000))
	var asked, lots atomic.Int64
	eachSeason(12, func() bool { return asked.Load() >= want }, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		q := RandomQuestion(r, s)
		h := fields.Fold(s.Entries, fields.View{On: q.On, KnownAt: q.Moment})
		all := hazard.Assess(h, book)
		same := func(id string, a, b []hazard.Verdict) {
			asked.Add(1)
			if !reflect.DeepEqual(a, b) {
				t.Errorf("season %d, %s: alone it is answered otherwise", i, id)
			}
		}
		for k := range all.Paddocks {
			id := all.Paddocks[k].Paddock.ID
			x, _ := hazard.AssessPaddock(h, book, id)
			same(id, x.Verdicts, all.Paddocks[k].Verdicts)
		}
		for k := range all.Lots {
			x, ok := hazard.AssessLot(h, book, all.Lots[k].Lot)
			lots.Add(1)
			if !ok {
				t.Errorf("season %d: no answer for lot %s", i, all.Lots[k].Lot)
			}
			same(all.Lots[k].Lot, x.Verdicts, all.Lots[k].Verdicts)
		}
	})
	if lots.Load() < want/20 {
		t.Errorf("only %d lots were asked about", lots.Load())
	}
}
