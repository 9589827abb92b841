package board

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// A sample sent is an errand until its own result, or a later one that names
// no sample, is in.
func TestResultAwaitedIsAnErrand(t *testing.T) {
	at := time.Date(2026, 9, 1, 8, 0, 0, 0, time.UTC)
	entry := func(n, d string, b fields.Body) fields.Entry {
		return fields.Entry{ID: "01J000000000000000000000" + n, Recorded: at, By: "x", On: day(d), Body: b}
	}
	base := []fields.Entry{
		entry("01", "2026-06-01", &fields.PaddockFacts{Paddock: "p", Name: "P"}),
		entry("02", "2026-06-02", &fields.Sown{Paddock: "p", Species: []fields.SpeciesShare{{Species: "oats"}}}),
		entry("03", "2026-09-01", &fields.Sampled{Paddock: "p", Sample: "A-1", Lab: "district laboratory"}),
		entry("04", "2026-08-20", &fields.LotFacts{Lot: "h", LotKind: "hay", MadeOn: day("2026-08-20"), From: []string{"p"}}),
		entry("05", "2026-09-02", &fields.Sampled{Lot: "h", Sample: "B-2"}),
	}
	lab := func(sample string, sampled string) *fields.Lab {
		return &fields.Lab{Paddock: "p", SampledOn: day(sampled), Analyte: "nitrate", Values: fields.Values(400), Form: "NO3-N", Unit: "ppm", Basis: "dm", Method: "lab", Sample: sample}
	}
	awaits := func(more ...fields.Entry) (texts []string) {
		h := fields.Fold(append(append([]fields.Entry{}, base...), more...), fields.View{On: day("2026-09-06")})
		for _, e := range Errands(hazard.Assess(h, rules.Default()), Filter{}) {
			if e.What == taskResult {
				texts = append(texts, e.Name+": "+e.Text)
			}
		}
		return texts
	}
	got := strings.Join(awaits(), "\n")
	for _, want := range []string{"P: Ask for the result of sample A-1 at district laboratory, sent Tue 1 Sep", "h: Ask for the result of sample B-2"} {
		if !strings.Contains(got, want) {
			t.Errorf("no errand %q in\n%s", want, got)
		}
	}
	for name, l := range map[string]*fields.Lab{"its own": lab("A-1", "2026-08-31"), "a later one without a name": lab("", "2026-09-02")} {
		if got := awaits(entry("06", "2026-09-05", l)); len(got) != 1 || !strings.HasPrefix(got[0], "h:") {
			t.Errorf("with %s: %q", name, got)
		}
	}
	for name, l := range map[string]*fields.Lab{"another sample's": lab("Z-9", "2026-09-02"), "an earlier one": lab("", "2026-08-30")} {
		if got := awaits(entry("06", "2026-09-05", l)); len(got) != 2 {
			t.Errorf("with %s: %q", name, got)
		}
	}
}
