package board

import (
	"strings"
	"testing"

	"rimegate/hazard"
)

func TestChanges(t *testing.T) {
	before, after := farmAssessment(t), farmAssessment(t)
	north := func(a *hazard.Assessment) *hazard.PaddockAnswer { return &a.Paddocks[2] }
	for i := range north(before).Verdicts {
		if v := &north(before).Verdicts[i]; v.Use == hazard.Graze || v.Use == hazard.GreenChop {
			*v = verdict(v.Use, v.Class, one(noP), one(untried))
		}
	}
	got := strings.Join(ChangeLines(Changes(before, after, Filter{})), "\n")
	want := "North Slough, graze and green-chop (cows and bred heifers, cattle not bred): was CAUTION, now HOLD through Fri 25 Sep. Froze Fri 11 Sep; another frost starts it again."
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}

	// A later frost moves the last day of the same flag.
	later := farmAssessment(t)
	for i := range north(later).Verdicts {
		if v := &north(later).Verdicts[i]; v.Use == hazard.Graze {
			r := froze
			r.On, r.Frost, r.Through = day("2026-09-18"), day("2026-09-18"), day("2026-10-02")
			*v = verdict(v.Use, v.Class, one(r), one(untried))
		}
	}
	got = strings.Join(ChangeLines(Changes(after, later, Filter{})), "\n")
	want = "North Slough, graze (cows and bred heifers, cattle not bred): was HOLD through Fri 25 Sep, now through Fri 2 Oct. Froze Fri 18 Sep; another frost starts it again."
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	cs := Changes(after, later, Filter{})
	if len(cs) != 1 || !cs[0].Worse || cs[0].Was != hazard.Hold || cs[0].NowThrough != day("2026-10-02") {
		t.Errorf("changes are %+v", cs)
	}
	if cs := Changes(later, after, Filter{}); len(cs) != 1 || cs[0].Worse {
		t.Errorf("the other way round: %+v", cs)
	}

	// Losing the date is later than any date.
	endless := farmAssessment(t)
	for i := range north(endless).Verdicts {
		if v := &north(endless).Verdicts[i]; v.Use == hazard.Graze {
			*v = verdict(v.Use, v.Class, one(unmeasured), one(untried))
		}
	}
	cs = Changes(after, endless, Filter{})
	if len(cs) != 1 || !cs[0].Worse || !strings.Contains(cs[0].String(), "was HOLD through Fri 25 Sep, now no date. Growing,") {
		t.Errorf("changes are %v", ChangeLines(cs))
	}
}

func TestChangesSeparateWhatMovedApart(t *testing.T) {
	before, after := farmAssessment(t), farmAssessment(t)
	for i := range before.Paddocks[2].Verdicts {
		v := &before.Paddocks[2].Verdicts[i]
		if v.Use == hazard.Graze && v.Class == hazard.BredCattle {
			*v = verdict(v.Use, v.Class, one(noP), one(nLow))
		}
		if v.Use == hazard.GreenChop && v.Class == hazard.OpenCattle {
			*v = verdict(v.Use, v.Class, one(noP), one(nLow))
		}
	}
	got := ChangeLines(Changes(before, after, Filter{}))
	if len(got) != 2 || !strings.HasPrefix(got[0], "North Slough, graze (cows and bred heifers): was CLEAR, now HOLD") || !strings.HasPrefix(got[1], "North Slough, green-chop (cattle not bred): was CLEAR, now HOLD") {
		t.Errorf("changes are %q", got)
	}
	open := hazard.OpenCattle
	if got := ChangeLines(Changes(before, after, Filter{Class: &open})); len(got) != 1 {
		t.Errorf("asked of one class: %q", got)
	}
	if got := ChangeLines(Changes(before, after, Filter{Paddock: "creek"})); got[0] != "No flag changed." {
		t.Errorf("asked of another paddock: %q", got)
	}
}

func TestChangesOfWhatCameAndWent(t *testing.T) {
	before, after := farmAssessment(t), farmAssessment(t)
	if got := ChangeLines(Changes(before, after, Filter{})); len(got) != 1 || got[0] != "No flag changed." {
		t.Errorf("nothing moved: %q", got)
	}
	before.Paddocks = before.Paddocks[1:]
	before.Lots = nil
	got := strings.Join(ChangeLines(Changes(before, after, Filter{})), "\n")
	for _, want := range []string{"Creek Grass, graze", "new, now CLEAR", "bales-1 (baleage), feed", "new, now HOLD through Sun 25 Oct"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	got = strings.Join(ChangeLines(Changes(after, before, Filter{})), "\n")
	if !strings.Contains(got, "was HOLD through Sun 25 Oct, no longer listed.") || !strings.Contains(got, "Creek Grass, graze, green-chop, cut-hay and cut-silage (cows and bred heifers, cattle not bred): was CLEAR, no longer listed.") {
		t.Errorf("what went is not told:\n%s", got)
	}
}
