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
	"rimegate/hazard/rules"
)

var relaxFlag = flag.Int("relaxed", 5000, "questions put to a rulebook and to a relaxed one")

// choice is one value a farm may set that is less cautious than the default.
type choice struct {
	key   hazard.RuleKey
	id    string
	value float64
	table string // id, for the choice of one nitrate table
}

// laxChoices are every less cautious value that an override may have: the
// published ones and the limit.
func laxChoices(t *testing.T) []choice {
	t.Helper()
	var out []choice
	for _, d := range rules.Docs() {
		if d.Fixed {
			continue
		}
		if d.Word != "" {
			for _, w := range d.Choices {
				if w != d.Word && rules.CheckNitrateTable(w) == nil {
					out = append(out, choice{id: d.ID, table: w})
				}
			}
			continue
		}
		key, ok := hazard.RuleKeyOf(d.ID)
		if !ok {
			t.Fatalf("%s has no key", d.ID)
		}
		for _, v := range append([]float64{d.Limit}, d.Published...) {
			lax := v < d.Value
			if d.Stricter == "smaller" {
				lax = v > d.Value
			}
			if lax && rules.CheckOverride(&fields.Override{Rule: d.ID, Value: &fields.RuleValue{Number: &v}}) == nil {
				out = append(out, choice{key: key, id: d.ID, value: v})
			}
		}
	}
	return out
}

// relax sets one of the choices, or several at once.
func relax(r *rand.Rand, book *hazard.Rulebook, from []choice) (*hazard.Rulebook, []choice) {
	b := *book
	n := 1
	if r.IntN(2) == 0 {
		n = 2 + r.IntN(len(from))
	}
	var set []choice
	for ; n > 0; n-- {
		c := from[r.IntN(len(from))]
		set = append(set, c)
		if c.table == "" {
			b.V[c.key] = c.value
			continue
		}
		for i, t := range book.Tables {
			if t.ID == c.table {
				b.Tables = book.Tables[i : i+1 : i+1]
			}
		}
	}
	return &b, set
}

// A less cautious value, as far as a farm may set one, never makes an answer
// stricter: nobody gains by distrusting the defaults.
func TestRelaxedIsNeverStricter(t *testing.T) {
	from := laxChoices(t)
	if len(from) < 30 {
		t.Fatalf("only %d less cautious values", len(from))
	}
	want := int64(fewer(*relaxFlag))
	var asked, moved atomic.Int64
	var found findings
	var mu sync.Mutex
	mattered := map[string]int{}
	eachSeason(4, func() bool { return asked.Load() >= want }, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		for k := 0; k < 6; k++ {
			lax, set := relax(r, book, from)
			q := RandomQuestion(r, s)
			a, b := Engine(s.Entries, q, lax), Engine(s.Entries, q, book)
			asked.Add(1)
			if len(Better(b, a, nil)) > 0 {
				moved.Add(1)
				if len(set) == 1 {
					mu.Lock()
					mattered[set[0].id]++
					mu.Unlock()
				}
			}
			for _, d := range stricter(a, b, set) {
				found.add(kindOf(d), i, func() string { return showRelaxed(s.Entries, q, d.Key, lax, book, set) })
			}
		}
	})
	var names []string
	for n, c := range mattered {
		names = append(names, fmt.Sprintf("%d %s", c, n))
	}
	sort.Strings(names)
	tally.relaxed.Add(asked.Load())
	t.Logf("%d questions, %d of them with another answer; alone: %s", asked.Load(), moved.Load(), strings.Join(names, ", "))
	if moved.Load() < asked.Load()/5 {
		t.Errorf("only %d of %d relaxations changed anything", moved.Load(), asked.Load())
	}
	found.report(t)
}

// stricter lists the answers on which a relaxed rulebook is stricter than the
// default. A share alone is none of them where fewer bales or spots were asked:
// a result then speaks of a share that said nothing before.
func stricter(lax, def Answers, set []choice) []Difference {
	sampling := false
	for _, c := range set {
		sampling = sampling || c.table == "" && (c.key == hazard.NitrateSampleSpots || c.key == hazard.NitrateSampleBales)
	}
	var out []Difference
	for _, d := range Better(lax, def, nil) {
		if (sampling || d.B.Share < 0) && d.B.Flag >= d.A.Flag && !(d.A.Flag == hazard.Hold && d.B.Through < d.A.Through) {
			continue
		}
		out = append(out, d)
	}
	return out
}

func showRelaxed(es []fields.Entry, q Question, k Key, lax, book *hazard.Rulebook, set []choice) string {
	var a, b Cell
	small := Shrink(es, func(es []fields.Entry) bool {
		for _, d := range stricter(Engine(es, q, lax), Engine(es, q, book), set) {
			if d.Key == k {
				a, b = d.A, d.B
				return true
			}
		}
		return false
	})
	var words []string
	for _, c := range set {
		words = append(words, fmt.Sprintf("%s %g%s", c.id, c.value, c.table))
	}
	return fmt.Sprintf("%s%s: %s\n  relaxed: %s\n  default: %s\n  set: %s\n", history(small), q, k, a, b, strings.Join(words, ", "))
}
