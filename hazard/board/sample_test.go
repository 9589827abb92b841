package board

import (
	"math"
	"strings"
	"testing"

	"rimegate/hazard"
)

// The demands of the rulebook, the bag, and what results tell, in words.
func TestSampleSheets(t *testing.T) {
	lab := func(n int, values string, cored string) string {
		return line(n, "lab", `"lot":"bales-1","sampled_on":"2026-09-05","analyte":"nitrate","values":[`+values+`],"form":"NO3-N","unit":"ppm","basis":"dm","method":"lab"`+cored)
	}
	show := func(id string, ask SampleAsk, extra ...string) string {
		t.Helper()
		a := farmAssessment(t, extra...)
		inventedTable(a.Book)
		bales := 40.0
		a.Lots[0].Facts.Bales = &bales
		x, err := NewSampleSheet(a, id, ask)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := x.Text(&b, 80); err != nil {
			t.Fatal(err)
		}
		for _, l := range strings.Split(b.String(), "\n") {
			if Width(l) > 80 && !strings.Contains(l, "://") {
				t.Errorf("a line of %d cells: %s", Width(l), l)
			}
		}
		return strings.Join(strings.Fields(b.String()), " ")
	}
	has := func(text, want string) {
		t.Helper()
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	stand := show("north-slough", SampleAsk{Analyte: "nitrate"})
	has(stand, "Take 20 stems or more from 10 spots or more, cut at 10 cm or lower.")
	has(stand, "Through Fri 25 Sep no result makes it better than ASK FIRST.")
	has(stand, "rimegate log sampled --sample NAME --lab LAB --stems 20 --spots 10 --cut 10cm north-slough")
	has(stand, "No lab result yet that can be counted on")

	// Of 40 bales a fifth is 8; 20 is more.
	lot := show("bales-1", SampleAsk{Analyte: "nitrate"})
	has(lot, "Core 20 bales or more, 20 cores in all.")
	has(lot, "bales cored: ____ of 40 (20 or more)")

	// A composite tells nothing of the worst bale.
	has(show("bales-1", SampleAsk{Analyte: "nitrate"}, lab(40, "300", `,"bales_cored":20`)), "a composite tells the mean of its bales")

	// 300, 400, 500: SD 100, so within 100 at 95 %: n = 7 (t(0.975, 6) = 2.447,
	// 2.447 x 100 / sqrt 7 = 92.5; with 6 it is 104.9); four more.
	width := show("bales-1", SampleAsk{Analyte: "nitrate", WidthPPM: 100}, lab(40, "300,400,500", ""))
	has(width, "Earlier: 3 values (results of single bales), mean 400 ppm NO3-N on dry matter, highest 500")
	has(width, "within 100 ppm (as asked) at 95 % about 4 more samples would be wanted")
	has(width, "Limits of means never clear a lot or a stand")

	hcn := show("bales-1", SampleAsk{Analyte: "hcn"})
	has(hcn, "wanted: prussic acid (HCN) in ppm on dry matter")
	has(hcn, "no number of samples makes a mean of it that counts")
	if _, err := NewSampleSheet(farmAssessment(t), "nowhere", SampleAsk{Analyte: "nitrate"}); err == nil {
		t.Error("a sheet for an unknown place")
	}
}

func TestChanceWords(t *testing.T) {
	for p, want := range map[float64]string{0: "under 1 in 100", 0.004: "under 1 in 100", 0.37: "about 37 in 100", 0.999: "over 99 in 100"} {
		if got := chance(p); got != want {
			t.Errorf("chance(%v) = %q, want %q", p, got, want)
		}
	}
}

// inventedTable gives the book one table with one line, 1,000 ppm NO3-N.
func inventedTable(b *hazard.Rulebook) {
	t := &b.Tables[0]
	t.Form, t.Rows = "NO3-N", map[hazard.Class][]hazard.NitrateBand{}
	for _, c := range hazard.Classes {
		t.Rows[c] = []hazard.NitrateBand{{UpTo: 1000, MaxShare: 100, Words: "safe"}, {UpTo: math.Inf(1), DoNot: true, Words: "do not feed"}}
	}
}
