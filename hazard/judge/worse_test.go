package judge

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"sort"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

var (
	pairsFlag = flag.Int("pairs", 4500, "worsened pairs of histories")
	plainFlag = flag.Bool("plain", false, "worsen histories of the plain engine instead of the first one")
)

// More bad news never makes a flag better: over random worsened histories no
// flag moves toward clear, no hold ends earlier, and no share grows.
func TestWorseNeverHelps(t *testing.T) {
	ask := Engine
	if *plainFlag {
		ask = askPlain
	}
	want := int64(fewer(*pairsFlag))
	var pairs atomic.Int64
	var found findings
	var mu sync.Mutex
	tried := map[string]int{}
	lax := laxChoices(t)
	eachSeason(2, func() bool { return pairs.Load() >= want }, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		if r.IntN(4) == 0 { // what a farm may choose must hold to it too
			book, _ = relax(r, book, lax)
		}
		for k := 0; k < 10; k++ {
			e := Worsen(r, s, book)
			if e == nil {
				continue
			}
			worse, ok := e.Apply(s.Entries)
			if !ok {
				continue
			}
			pairs.Add(1)
			mu.Lock()
			tried[e.Kind]++
			mu.Unlock()
			for _, q := range questionsAbout(r, s, e) {
				for _, d := range Better(ask(s.Entries, q, book), ask(worse, q, book), e.Pass(s.Entries, q)) {
					found.add(e.Kind+": "+kindOf(d), i, func() string { return showBetter(s.Entries, e, q, d.Key, book, ask) })
				}
			}
		}
	})
	var names []string
	for _, w := range Worsenings {
		names = append(names, fmt.Sprintf("%d %s", tried[w.Name], w.Name))
		if tried[w.Name] < int(want)/200 {
			t.Errorf("only %d of %d pairs %s", tried[w.Name], want, w.Name)
		}
	}
	sort.Strings(names)
	tally.pairs.Add(pairs.Load())
	t.Logf("%d pairs: %s", pairs.Load(), strings.Join(names, ", "))
	found.report(t)
}

func askPlain(es []fields.Entry, q Question, book *hazard.Rulebook) Answers {
	return Plain(es, q.On, q.Moment, book)
}

// questionsAbout are days on which an edit can matter: soon after its date,
// and any.
func questionsAbout(r *rand.Rand, s *Season, e *Edit) []Question {
	at := e.At
	soon := Question{On: at + date(r.IntN(35))}
	soon.Moment = soon.On.At(6+r.IntN(16), 30, s.Zone)
	later := Question{On: at + date(r.IntN(35)), Moment: (s.End + 100).At(12, 0, s.Zone)}
	return []Question{soon, later, RandomQuestion(r, s)}
}

func showBetter(es []fields.Entry, e *Edit, q Question, k Key, book *hazard.Rulebook, ask func([]fields.Entry, Question, *hazard.Rulebook) Answers) string {
	var a, b Cell
	small := Shrink(es, func(es []fields.Entry) bool {
		worse, ok := e.Apply(es)
		if !ok {
			return false
		}
		for _, d := range Better(ask(es, q, book), ask(worse, q, book), e.Pass(es, q)) {
			if d.Key == k {
				a, b = d.A, d.B
				return true
			}
		}
		return false
	})
	edit := "taken away: " + e.Target
	if e.Entry != nil {
		edit = "added or changed: " + string(fields.Encode(e.Entry))
	}
	return fmt.Sprintf("%s%s\n%s: %s\n  before: %s\n  after:  %s\n", history(small), edit, q, k, a, b)
}
