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
	daysFlag = flag.Int("days", 4000, "paddock-days on which both engines are compared")
	seedFlag = flag.Uint64("seed", 1, "seed of the random seasons")
	only     = flag.String("only", "", "shrink only differences whose kind holds this text")
)

func TestEnginesAgree(t *testing.T) {
	book := rules.Default()
	left := *daysFlag
	kinds := map[string]int{}
	ex := map[string]string{}
	total := 0
	for i := uint64(0); left > 0; i++ {
		r := rand.New(rand.NewPCG(*seedFlag, i))
		s := RandomSeason(r, book)
		for k := 0; k < 6; k++ {
			q := RandomQuestion(r, s)
			p := Plain(s.Entries, q.On, q.Moment, book)
			e := Engine(s.Entries, q, book)
			places := map[string]bool{}
			for k := range p {
				places[k.Place] = true
			}
			left -= len(places)
			total += len(places)
			for _, d := range Differences(p, e) {
				key := kindOf(d)
				kinds[key]++
				if ex[key] == "" && *only != "-" && strings.Contains(key, *only) {
					ex[key] = show(s.Entries, q, d, book)
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
	fmt.Println(total)
}

func kindOf(d Difference) string {
	return d.Key.Use.String() + " " + d.Key.Hazard.String() + ": " + word1(d.A) + " vs " + word1(d.B)
}

func show(es []fields.Entry, q Question, d Difference, book *hazard.Rulebook) string {
	kind := kindOf(d)
	small := Shrink(es, func(es []fields.Entry) bool {
		p, e := Plain(es, q.On, q.Moment, book)[d.Key], Engine(es, q, book)[d.Key]
		return !Same(p, e) && kindOf(Difference{d.Key, p, e}) == kind
	})
	p, e := Plain(small, q.On, q.Moment, book)[d.Key], Engine(small, q, book)[d.Key]
	var b bytes.Buffer
	SortByID(small, Zone(small))
	for i := range small {
		small[i].ID = small[i].ID[:4] + small[i].ID[22:]
	}
	_ = fields.WriteJSONL(&b, small)
	return fmt.Sprintf("%son %s, asked at %s: %s\n  plain:  %s\n  engine: %s\n", b.String(), q.On, q.Moment.Format("2006-01-02T15:04 -07"), d.Key, p, e)
}

func word1(c Cell) string {
	if c.Flag == hazard.Unknown {
		return "none"
	}
	s := c.Flag.String()
	if c.Flag == hazard.Hold && c.Through == hazard.NoEnd {
		s += "-"
	}
	if c.Share >= 0 {
		s += "%"
	}
	return s
}
