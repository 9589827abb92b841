package board

import (
	"bytes"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

func whyText(t *testing.T, a *hazard.Assessment, id string, f Filter, width int) string {
	t.Helper()
	e, err := Why(a, id, f)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := e.Text(&b, width); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWhyGolden(t *testing.T) {
	a := farmAssessment(t)
	golden(t, "why-80.txt", whyText(t, a, "north-slough", Filter{}, 80))
	golden(t, "why-60.txt", whyText(t, a, "north-slough", Filter{}, 60))
	golden(t, "why-lot-80.txt", whyText(t, a, "bales-1", Filter{}, 80))
	soft := froze
	soft.Flag, soft.Through = hazard.Caution, fields.NoDate
	soft.SoftBy = &hazard.Softening{VetWord: hazard.VetWord{Entry: id(11), Who: "Dr Moss", Because: "walked it with the manager", Until: day("2026-09-14")}, Through: froze.Through}
	may := lineReasons[hazard.LineMayGraze]
	may.Line, may.Entries = hazard.LineMayGraze, []string{id(11)}
	may.Vet = &soft.SoftBy.VetWord
	for i := range a.Paddocks[1].Verdicts {
		if v := &a.Paddocks[1].Verdicts[i]; v.Use == hazard.Graze {
			*v = verdict(v.Use, v.Class, one(soft), one(untried), may)
		}
	}
	graze := hazard.Graze
	golden(t, "why-vet-80.txt", whyText(t, a, "home-quarter", Filter{Use: &graze}, 80))
}

func TestWhyGroupsEqualClasses(t *testing.T) {
	e, err := Why(farmAssessment(t), "north-slough", Filter{})
	if err != nil {
		t.Fatal(err)
	}
	graze := e.Uses[0]
	var got []string
	n := 0
	for _, g := range graze.Groups {
		got = append(got, ClassWords(g.Classes))
		n += len(g.Classes)
	}
	want := "horses | cows and bred heifers, calves under a year, sheep, goats | cattle not bred"
	if strings.Join(got, " | ") != want {
		t.Errorf("groups are %q, want the worst first: %q", strings.Join(got, " | "), want)
	}
	if n != len(hazard.Classes) {
		t.Errorf("%d classes stand in groups, want every one once", n)
	}
	if len(e.Uses) != len(hazard.PaddockUses) {
		t.Errorf("%d uses", len(e.Uses))
	}
}

// Every reason names its rule, an entry where it rests on one, and a source.
func TestWhyNamesEntriesAndSources(t *testing.T) {
	text := whyText(t, farmAssessment(t), "north-slough", Filter{}, 200)
	for _, want := range []string{
		"entry: Frost: night ending Fri 11 Sep (from noon Thu 10 Sep to noon Fri 11 Sep), low -3 °C (26.6 °F), North Slough [" + id(8) + "]",
		"rule: prussic.frost.wait",
		"source: Kansas State University, Managing forages after a hard freeze, https://eupdate.agronomy.ksu.edu/article/managing-forages-after-a-hard-freeze-566-2",
		"(told above)",
		"MOVE OUT NOW: pairs in North Slough",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the text lacks %q", want)
		}
	}
	if n := strings.Count(text, "rule: prussic.frost.wait"); n != 1 {
		t.Errorf("the frost clock is told in full %d times, want once for all uses", n)
	}
}

func TestWhyOfFeedingAPaddock(t *testing.T) {
	a, feed := farmAssessment(t), hazard.Feed
	if got := whyText(t, a, "creek", Filter{Use: &feed}, 80); !strings.Contains(got, "a lot is fed") {
		t.Errorf("the text is\n%s", got)
	}
	text, err := WhyJSON(a, "creek", Filter{Use: &feed})
	if err != nil {
		t.Fatal(err)
	}
	validate(t, schema(t), text)
}

func TestWhyUnknownID(t *testing.T) {
	_, err := Why(farmAssessment(t), "nort-slough", Filter{})
	if err == nil || !strings.Contains(err.Error(), "north-slough") || strings.Contains(err.Error(), "\n") {
		t.Errorf("the error is %v", err)
	}
	_, err = Why(&hazard.Assessment{History: farmHistory(t), Book: testBook()}, "x", Filter{})
	if err == nil || !strings.Contains(err.Error(), "none is known yet") {
		t.Errorf("the error is %v", err)
	}
}
