package judge

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// To say that a lot is used up takes its own rows off the list from the day after, and
// changes no other answer; struck, it changes nothing (§11.11).
func TestUsedUpTakesItsOwnRowsOnly(t *testing.T) {
	want := int64(fewer(120))
	var asked, took atomic.Int64
	var found findings
	moved := func(q Question, d Difference) string {
		return fmt.Sprintf("%s: %s\n  %s\n  %s\n", q, d.Key, d.A, d.B)
	}
	enough := func() bool { return asked.Load() >= want }
	eachSeason(13, enough, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		w := &worsener{r, s, book}
		id := w.lot()
		if id == "" {
			return
		}
		asked.Add(1)
		said := w.add(w.day(), &fields.UsedUp{Lot: id})
		strike := w.add(said.Entry.On, &fields.Strike{Entry: said.Entry.ID, Because: "another lot"})
		strike.Entry.Recorded = said.Entry.Recorded
		q := Question{On: said.Entry.On + date(r.IntN(20)), Moment: (s.End + 100).At(12, 0, s.Zone)}
		more, _ := said.Apply(s.Entries)
		struck, _ := strike.Apply(more)
		named := func(es []fields.Entry) hazard.LotAnswer {
			l, _ := hazard.AssessLot(fields.Fold(es, fields.View{On: q.On, KnownAt: q.Moment}), book, id)
			return l
		}
		if !reflect.DeepEqual(named(s.Entries).Verdicts, named(more).Verdicts) {
			t.Errorf("season %d, %s: used up, lot %s is answered otherwise by name", i, q, id)
		}
		type answers = func([]fields.Entry, Question, *hazard.Rulebook) Answers
		for name, ask := range map[string]answers{"engine": Engine, "plain": askPlain} {
			before := ask(s.Entries, q, book)
			for _, d := range Differences(before, ask(more, q, book)) {
				if d.Key.Place == id && d.Key.Lot && d.B.Flag == hazard.Unknown && q.On > said.Entry.On {
					took.Add(1)
					continue
				}
				found.add(name+": used up: "+kindOf(d), i, func() string { return moved(q, d) })
			}
			for _, d := range Differences(before, ask(struck, q, book)) {
				found.add(name+": struck: "+kindOf(d), i, func() string { return moved(q, d) })
			}
		}
	})
	if took.Load() < want && !testing.Short() {
		t.Errorf("only %d answers left the list", took.Load())
	}
	found.report(t)
}
