package board

import (
	"strings"
	"testing"

	"rimegate/hazard"
)

func shortWhyText(t *testing.T, a *hazard.Assessment, id string, f Filter, sources bool) string {
	t.Helper()
	x, err := WhyShort(a, id, f, sources)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := x.Text(&b, 80); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The short reasoning opens with what each herd is told and what comes next, and speaks
// of no class of stock and no use that the farm has not.
func TestWhyShort(t *testing.T) {
	a := farmAssessment(t)
	for id, opens := range map[string]string{
		"north-slough": "MAY THEY GO IN? NO for pairs and steers, off through Fri 25 Sep.\nNext: ",
		"creek":        "MAY THEY GO IN? YES for pairs and steers.\nNext: Never turn out hungry stock",
		"home-quarter": "MAY THEY GO IN? ASK for pairs: call first, Ann 555-0101; YES for steers.\nNext: ",
		"bales-1":      "MAY THEY BE FED? NO for pairs and steers, off through Sun 25 Oct.\nNext: ",
	} {
		text := shortWhyText(t, a, id, Filter{}, false)
		if _, after, boxed := strings.Cut(text, strings.Repeat("=", 80)+"\nMAY"); boxed {
			text = "MAY" + after
		}
		if !strings.HasPrefix(text, opens) {
			t.Errorf("%s opens with\n%s", id, text)
		}
		for _, not := range []string{"horses", "sheep", "GREEN-CHOP", " source: ", "rule: "} {
			if strings.Contains(text, not) {
				t.Errorf("%s speaks of %s:\n%s", id, not, text)
			}
		}
	}
}

// What makes the answer is told in full, what would then still be asked in a few words;
// nothing of the full reasoning that bears on the answer is left out.
func TestWhyShortNamesEveryReason(t *testing.T) {
	a := farmAssessment(t)
	for i := range a.Paddocks {
		id := a.Paddocks[i].Paddock.ID
		e, err := Why(a, id, Filter{})
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range e.Uses {
			use := u.Use
			if a.Paddocks[i].Verdict(use, hazard.BredCattle).CannotBe() {
				continue
			}
			for _, c := range hazard.Classes {
				text := strings.Join(strings.Fields(shortWhyText(t, a, id, Filter{Use: &use, Class: &c}, false)), " ")
				for _, g := range u.Groups {
					if !hasClass(g.Classes, c) {
						continue
					}
					for _, h := range g.Hazards {
						for _, r := range h.Reasons {
							told := strings.Contains(text, r.Text) || strings.Contains(text, r.Short)
							if r.Flag != hazard.Clear && !told {
								t.Errorf("%s, %s, %s: %q is not told in\n%s", id, use, c, r.Text, text)
							}
						}
					}
				}
			}
		}
	}
}

// Rules and sources come when they are asked for.
func TestWhyShortWithSources(t *testing.T) {
	text := shortWhyText(t, farmAssessment(t), "north-slough", Filter{}, true)
	for _, want := range []string{"rule: prussic.frost.wait", "source: Kansas State University"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}

// Asked of a herd the answer is the herd's; one whose classes differ is told so.
func TestWhyShortByHerd(t *testing.T) {
	a := farmAssessment(t)
	both := shortWhyText(t, a, "home-quarter", Filter{}, false)
	if !strings.Contains(both, "\nWhy ASK for pairs:\n") || !strings.Contains(both, "\nWhy YES for steers:\n") {
		t.Errorf("%s", both)
	}
	if one := shortWhyText(t, a, "home-quarter", Filter{Herd: "steers"}, false); !strings.HasPrefix(one, "MAY THEY GO IN? YES for steers.\n") || strings.Contains(one, "pairs") {
		t.Errorf("%s", one)
	}
	feed := hazard.Feed
	if got := shortWhyText(t, a, "creek", Filter{Use: &feed}, false); got != notAsked+"\n" {
		t.Errorf("of feeding a paddock: %q", got)
	}
	if _, err := WhyShort(a, "crek", Filter{}, false); err == nil || !strings.Contains(err.Error(), "north-slough") {
		t.Errorf("%v", err)
	}
}

// A reason told as something to ask about is told anew where it makes a NO; one told as
// a NO is named where it is only to be asked about.
func TestWhyShortTellsANoAnew(t *testing.T) {
	a := farmAssessment(t)
	tell := func(flags ...hazard.Flag) string {
		s := newSpeaker(a, Metric)
		x := &shortWhy{
			speaker: s, page: *s, words: PageWords{NO: "NO", ASK: "ASK", YES: "YES"}, columns: s.columns(Filter{}),
			told: map[string]told{}, besides: map[hazard.Use][]string{},
		}
		sheet := Sheet(func(t *text) {
			for i, f := range flags {
				g := Group{Classes: hazard.Classes[:1], Answer: Answer{Outcome: Outcome{Use: hazard.Use(i), Flag: f}}}
				g.Hazards = []HazardWords{{Flag: f, Reasons: []ReasonWords{{Rule: "r", Flag: f, Short: "s", Text: "It is so."}}}}
				x.group(t, &g)
			}
		})
		var b strings.Builder
		if err := sheet.Text(&b, 80); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	if got := tell(hazard.Caution, hazard.Hold); strings.Count(got, "It is so.") != 2 || !strings.Contains(got, "  2. It is so.") {
		t.Errorf("%s", got)
	}
	if got := tell(hazard.Hold, hazard.Caution); strings.Count(got, "It is so.") != 1 || !strings.Contains(got, "Here only an ASK: 1.") {
		t.Errorf("%s", got)
	}
	if got := tell(hazard.Hold, hazard.Hold); strings.Count(got, "It is so.") != 1 || !strings.Contains(got, "As above: 1.") {
		t.Errorf("%s", got)
	}
}
