package judge

import (
	"fmt"
	"math/rand/v2"
	"sort"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"rimegate/hazard"
)

// rare are lines that the seasons need not reach: they belong to no answer, to
// rulebooks other than the default, or to words that only the first engine has.
var rare = map[hazard.Line]bool{
	hazard.LineNone:    true,
	hazard.LineDryWait: true, // a wait of 0 days by default
}

// Random seasons must give each flag for each use and rest on each line of the
// contract often, or the other tests try nothing.
func TestSeasonsReach(t *testing.T) {
	if testing.Short() {
		t.Skip("a twentieth of the seasons is too few to reach every line")
	}
	want := int64(fewer(16000))
	var days atomic.Int64
	var mu sync.Mutex
	flags := map[string]int{}
	lines := map[hazard.Line]int{}
	uses := map[string]map[string]int{} // of each use, how often it rests on a line
	byFrost := map[string]int{}         // lots by kind and answer that frost alone makes suspect
	styles := map[Style]int{}
	eachSeason(4, func() bool { return days.Load() >= want }, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		mu.Lock()
		styles[s.Style]++
		mu.Unlock()
		for k := 0; k < 6; k++ {
			q := RandomQuestion(r, s)
			a := Engine(s.Entries, q, book)
			days.Add(int64(places(a)))
			mu.Lock()
			v := look(s.Entries, q.On, q.Moment, book)
			for _, id := range v.lots() {
				t := v.lot(id)
				c, left := a[Key{id, true, hazard.Feed, hazard.BredCattle, hazard.PrussicAcid}]
				if t.look(); left && t.frosty {
					byFrost[string(t.LotKind)+" "+c.Flag.String()]++
				}
			}
			for k, c := range a {
				if k.Hazard == hazard.PrussicAcid { // once a verdict
					flags[k.Use.String()+" "+a.Verdict(k).Flag.String()]++
				}
				if uses[k.Use.String()] == nil {
					uses[k.Use.String()] = map[string]int{}
				}
				for _, l := range c.Lines {
					lines[l]++
					uses[k.Use.String()][LineName(l)]++
				}
			}
			mu.Unlock()
		}
	})
	t.Logf("%d paddock-days and lot-days; seasons: %d neglected, %d ordinary, %d tended, %d tangled, %d staged", days.Load(),
		styles[Neglected], styles[Ordinary], styles[Tended], styles[Tangled], styles[Staged])
	for _, u := range append(append([]hazard.Use{}, hazard.PaddockUses...), hazard.Feed) {
		for _, f := range []hazard.Flag{hazard.Hold, hazard.Caution, hazard.Clear} {
			name := u.String() + " " + f.String()
			if flags[name] < int(want)/400 {
				t.Errorf("%s only %d times", name, flags[name])
			}
		}
	}
	t.Logf("flags: %s", counts(flags))
	byName := map[string]int{}
	for l := hazard.LineNone + 1; l < hazard.NumLines; l++ {
		byName[LineName(l)] = lines[l]
		if lines[l] < int(want)/2000 && !rare[l] {
			t.Errorf("line %s only %d times: let the seasons write what leads to it", LineName(l), lines[l])
		}
		if LineName(l) == "" {
			t.Errorf("line %d of hazard/answer.go has no name: add it to lines.go", l)
		}
	}
	t.Logf("lines: %s", counts(byName))
	for _, u := range sortedKeys(uses) {
		t.Logf("lines of %s: %s", u, counts(uses[u]))
	}
	t.Logf("suspect by frost alone: %s", counts(byFrost))
	if byFrost["hay clear"] < int(want)/2500 {
		t.Errorf("hay clear though frosted only %d times", byFrost["hay clear"])
	}
}

func counts(m map[string]int) string {
	var out []string
	for k, n := range m {
		out = append(out, fmt.Sprintf("%s %d", k, n))
	}
	sort.Strings(out)
	return strings.Join(out, ", ")
}
