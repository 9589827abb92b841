package board

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// The acts named first are those that most of the page's NO and ASK answers wait for, and
// of each it is counted how many: as many as the page has answers with that reason.
func TestGreensCountWhatThePageAsks(t *testing.T) {
	a := season(t, "2026-09-11", 12, grass(300, "meadow", "")...)
	acts, open := Greens(a, Filter{})
	p := NewPage(a, Filter{}, nil)
	want, can := 0, map[string]int{}
	s := newSpeaker(a, UnitsOf(a.History))
	for _, row := range slices.Concat(p.Rows, p.Feed) {
		x, err := s.subject(row.ID)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range p.Columns {
			if row.Flags[i] == hazard.Clear {
				continue
			}
			want++
			said := map[string]bool{}
			for _, r := range reasonsOf(x.worstOf(row.Use, c.Classes)) {
				text, what := s.act(r)
				if what == taskNight {
					text = what
				}
				if what != "" && r.Flag != hazard.Clear && r.SoftBy == nil && !said[text] {
					said[text] = true
					can[text]++
				}
			}
		}
	}
	if open != want || len(acts) != len(can) || len(acts) < 2 {
		t.Fatalf("%d answers of %d, %d acts of %d", open, want, len(acts), len(can))
	}
	for i, g := range acts {
		if g.Answers != can[g.key] || g.Alone > g.Answers || len(g.IDs) == 0 {
			t.Errorf("%+v, and %d answers wait for it", g, can[g.key])
		}
		if i == 0 {
			continue
		}
		before := acts[i-1]
		later, was := g.by > s.on, before.by > s.on
		if was && !later || later == was && before.Answers < g.Answers {
			t.Errorf("%q stands before %q", before.Text, g.Text)
		}
	}
}

// What only time or a vet lifts is no act; where all is a YES there is none.
func TestGreensNameNoWaiting(t *testing.T) {
	a := season(t, "2026-09-11", 12, onDayLine(301, "incident", "2026-09-11", `"paddock":"home-quarter","down":1`))
	acts, _ := Greens(a, Filter{Paddock: "home-quarter"})
	i := slices.IndexFunc(acts, func(g Green) bool { return strings.Contains(g.Text, "vet") })
	if i < 0 || acts[i].Form != "" {
		t.Errorf("the vet's word is an entry of the farm's own: %+v", acts)
	}
	for i := range a.Paddocks {
		for j := range a.Paddocks[i].Verdicts {
			v := &a.Paddocks[i].Verdicts[j]
			*v = verdict(v.Use, v.Class, nil, nil)
			v.Flag = hazard.Clear
		}
	}
	a.Lots = nil
	if acts, open := Greens(a, Filter{}); len(acts) != 0 || open != 0 {
		t.Errorf("%d acts for %d answers of a page that is all YES", len(acts), open)
	}
}

// A stand that nobody logged is logged as sown, not walked.
func TestGreensLogWhatGrows(t *testing.T) {
	a := season(t, "2026-09-11", 12, onDayLine(300, "paddock", "2026-04-01", `"paddock":"blank","name":"Blank"`))
	acts, open := Greens(a, Filter{Paddock: "blank"})
	if open == 0 || len(acts) == 0 ||
		acts[0].Form != fields.KindSown || !slices.Equal(acts[0].Names, []string{"Blank"}) {
		t.Errorf("%d answers, %+v", open, acts)
	}
	if got := strings.Join(acts[0].Words(open), " "); !strings.Contains(got, "what grows here: Blank. ") || !strings.Contains(got, "wait") {
		t.Error(got)
	}
}
