package judge

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

var daysFlag = flag.Int("days", 15000, "paddock-days on which both engines are compared")

// Both engines give the same flag, through-date and share for every paddock,
// lot, use, class and hazard of random paddock-days. A fifth of the seasons is
// judged by a rulebook with other numbers.
func TestEnginesAgree(t *testing.T) {
	want := int64(fewer(*daysFlag))
	var days atomic.Int64
	var found findings
	eachSeason(1, func() bool { return days.Load() >= want }, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		if r.IntN(5) == 0 {
			book = otherBook(r, book)
		}
		for k := 0; k < 6; k++ {
			q := RandomQuestion(r, s)
			plain, engine := Plain(s.Entries, q.On, q.Moment, book), Engine(s.Entries, q, book)
			days.Add(int64(places(plain)))
			for _, d := range Differences(plain, engine) {
				found.add(kindOf(d), i, func() string { return showDifference(s.Entries, q, d, book) })
			}
		}
	})
	tally.days.Add(days.Load())
	t.Logf("compared %d paddock-days and lot-days", days.Load())
	found.report(t)
}

func places(a Answers) int {
	set := map[string]bool{}
	for k := range a {
		set[k.Place] = true
	}
	return len(set)
}

func showDifference(es []fields.Entry, q Question, d Difference, book *hazard.Rulebook) string {
	kind := kindOf(d)
	var p, e Cell
	small := Shrink(es, func(es []fields.Entry) bool {
		x, y := Plain(es, q.On, q.Moment, book)[d.Key], Engine(es, q, book)[d.Key]
		if Same(x, y) || kindOf(Difference{d.Key, x, y}) != kind {
			return false
		}
		p, e = x, y
		return true
	})
	return fmt.Sprintf("%s%s: %s\n  plain:  %s\n  engine: %s\n", history(small), q, d.Key, p, e)
}

// otherBook is a rulebook with some other numbers: stricter ones, and looser
// ones that a farm may choose.
func otherBook(r *rand.Rand, book *hazard.Rulebook) *hazard.Rulebook {
	b := *book
	set := func(k hazard.RuleKey, vs ...float64) {
		if r.IntN(2) == 0 {
			b.V[k] = vs[r.IntN(len(vs))]
		}
	}
	set(hazard.FrostPossible, 0.6, 1.5, 3)
	set(hazard.FrostPossibleLow, 2, 5)
	set(hazard.FrostTrigger, 0, 0.5)
	set(hazard.FrostWait, 10, 12, 21)
	set(hazard.FrostDryWait, 0, 3, 7)
	set(hazard.FrostKillWalkAfter, 2, 3)
	set(hazard.FrostOutgrown, 28, 35)
	set(hazard.WalkLife, 2, 5, 7)
	set(hazard.WalkLifeSettled, 10, 14)
	set(hazard.WalkLifePerennial, 4, 7)
	set(hazard.HeightLife, 4, 10, 14)
	set(hazard.HeightGrace, 3, 7)
	set(hazard.HeightSudangrass, 46, 90)
	set(hazard.HeightForageSorghum, 61, 100)
	set(hazard.DroughtWait, 4, 20)
	set(hazard.HailWait, 14, 20)
	set(hazard.SprayWait, 21, 40)
	set(hazard.ChopWait, 3, 10)
	set(hazard.HayCure, 7, 20)
	set(hazard.SilageWait, 14, 30, 60)
	set(hazard.SilageWaitSuspect, 21, 56, 70)
	set(hazard.LotHeightLife, 7, 14)
	set(hazard.LotChopAfterFrost, 3, 5)
	set(hazard.HCNHoldDM, 400)
	set(hazard.HCNCautionDM, 150)
	set(hazard.NitrateRainWait, 7, 30)
	set(hazard.NitrateFrostWait, 7, 20)
	set(hazard.NitrateHailWait, 7, 20)
	set(hazard.NitrateStandingLife, 20)
	set(hazard.NitrateNitrogenFlag, 30)
	set(hazard.NitrateLowDose, 40)
	set(hazard.NitrateLowTotal, 80)
	set(hazard.NitrateLowStressed, 30)
	set(hazard.NitrateFresh, 35)
	set(hazard.NitrateNewSward, 400)
	set(hazard.NitrateWeedWalk, 14)
	set(hazard.NitrateWeedWalkSod, 60)
	set(hazard.NitrateDeadAfterSown, 35)
	set(hazard.NitrateFrostHard, -3)
	set(hazard.NitrateFrostBorne, 0)
	set(hazard.NitrateFrostBorneDays, 2)
	set(hazard.NitrateFrostScreenDrop, 3)
	set(hazard.NitrateBaleSpread, 3)
	set(hazard.NitrateSampleSpots, 5)
	set(hazard.NitrateSampleBales, 10)
	if r.IntN(3) == 0 {
		one := b.Tables[r.IntN(len(b.Tables))]
		if !one.OneRow {
			b.Tables = []hazard.NitrateTableData{one}
		}
	}
	return &b
}
