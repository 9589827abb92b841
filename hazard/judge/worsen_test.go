package judge

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"sort"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

var (
	pairsFlag = flag.Int("pairs", 10000, "worsened pairs")
	plainP2   = flag.Bool("plain", false, "worsen the plain engine instead")
)

func TestWorseNeverHelps(t *testing.T) {
	book := rules.Default()
	ask := Engine
	if *plainP2 {
		ask = func(es []fields.Entry, q Question, book *hazard.Rulebook) Answers {
			return Plain(es, q.On, q.Moment, book)
		}
	}
	kinds, ex, tried := map[string]int{}, map[string]string{}, map[string]int{}
	left := *pairsFlag
	for i := uint64(0); left > 0; i++ {
		r := rand.New(rand.NewPCG(*seedFlag, 1<<40+i))
		s := RandomSeason(r, book)
		for k := 0; k < 10; k++ {
			e := Worsen(r, s, book)
			if e == nil {
				continue
			}
			worse, ok := e.Apply(s.Entries)
			if !ok {
				continue
			}
			left--
			tried[e.Kind]++
			for j := 0; j < 2; j++ {
				q := RandomQuestion(r, s)
				if e.Entry != nil && j == 0 {
					q.On = e.Entry.EventDate(s.Zone) + fields.Date(r.IntN(35))
					q.Moment = q.On.At(12, 0, s.Zone)
				}
				for _, d := range Better(ask(s.Entries, q, book), ask(worse, q, book), e.passes) {
					key := e.Kind + ": " + kindOf(d)
					kinds[key]++
					if ex[key] == "" && *only != "-" && strings.Contains(key, *only) {
						ex[key] = showWorse(s.Entries, e, q, d.Key, book, ask)
					}
				}
			}
		}
	}
	var ks []string
	for k := range kinds {
		ks = append(ks, k)
	}
	sort.Slice(ks, func(i, j int) bool { return kinds[ks[i]] > kinds[ks[j]] })
	for _, k := range ks {
		fmt.Fprintf(os.Stdout, "\n%d %s\n%s", kinds[k], k, ex[k])
	}
	fmt.Println(tried)
}

func showWorse(es []fields.Entry, e *Edit, q Question, k Key, book *hazard.Rulebook, ask func([]fields.Entry, Question, *hazard.Rulebook) Answers) string {
	var a, b Cell
	small := Shrink(es, func(es []fields.Entry) bool {
		worse, ok := e.Apply(es)
		if !ok {
			return false
		}
		x, y := ask(es, q, book), ask(worse, q, book)
		for _, d := range Better(x, y, e.passes) {
			if d.Key == k {
				a, b = d.A, d.B
				return true
			}
		}
		return false
	})
	var w bytes.Buffer
	SortByID(small, Zone(small))
	_ = fields.WriteJSONL(&w, small)
	s := w.String()
	if e.Entry != nil {
		s += "EDIT " + string(fields.Encode(e.Entry)) + "\n"
	} else {
		s += "TAKE AWAY " + e.Target + "\n"
	}
	return s + fmt.Sprintf("on %s, asked at %s: %s\n  before: %s\n  after:  %s\n", q.On, q.Moment.Format("2006-01-02T15:04 -07"), k, a, b)
}
