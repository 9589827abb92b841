package board

import (
	"fmt"
	"strings"
	"testing"
)

func waterText(t *testing.T, ask WaterAsk, extra ...string) string {
	t.Helper()
	a := farmAssessment(t, extra...)
	inventedTable(a.Book)
	var b strings.Builder
	if err := NewWaterSheet(a, ask).Text(&b, 80); err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(b.String(), "\n") {
		if Width(l) > 80 && !strings.Contains(l, "://") {
			t.Errorf("a line of %d cells: %s", Width(l), l)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// 2.5 % of 600 kg is 15 kg; 15 kg at 1,000 ppm are 15 g; 60 L at 50 mg/L are
// 3 g; (15 + 3) x 1000 / 15 = 1,200 ppm.
func TestWaterAndFeedAddUp(t *testing.T) {
	herd := line(50, "herd", `"herd":"pairs","classes":["bred-cattle"],"head":40,"weight_kg":600,"intake_pct_bw":2.5`)
	water := func(n int, day string, v float64) string {
		return line(n, "water", fmt.Sprintf(`"source":"east well","sampled_on":%q,"value":%v,"form":"NO3-N","unit":"mg/L","herds":["pairs"]`, day, v))
	}
	lab := line(52, "lab", `"paddock":"north-slough","sampled_on":"2026-09-08","analyte":"nitrate","values":[800,1000],"form":"NO3-N","unit":"ppm","basis":"dm","method":"lab"`)
	text := waterText(t, WaterAsk{Herd: "pairs", Litres: 60}, herd, water(51, "2026-08-01", 50), lab)
	for _, want := range []string{
		"PAIRS (40 head, 600 kg (1322.8 lb) each), in North Slough",
		"Water: east well, 50 mg NO3-N per litre (221.3 mg NO3), sampled Sat 1 Aug.",
		"Feed: 1,000 ppm NO3-N on dry matter in North Slough, sampled Tue 8 Sep.",
		"eats 15 kg (33.1 lb) of dry matter a head a day (2.5 % of body weight, as the farm says), drinks 60 L (16 US gal) (as typed).",
		"NO3-N a head a day: 15 g from feed, 3 g from water, 18 g together.",
		"Diet-equivalent 1,200 ppm NO3-N: HOLD by the table clemson (do not feed), none of it.",
		"this sum clears nothing",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if text := waterText(t, WaterAsk{Herd: "pairs"}, herd); !strings.Contains(text, "feed not counted, water not counted. Neither") {
		t.Errorf("a sum of nothing in\n%s", text)
	}
	// The later result of a source counts, though it is lower.
	text = waterText(t, WaterAsk{Herd: "pairs", Litres: 60}, herd, water(51, "2026-08-01", 50), water(53, "2026-08-20", 10), lab)
	if !strings.Contains(text, "0.6 g from water") || strings.Contains(text, "50 mg NO3-N per litre (221.3 mg NO3), sampled") {
		t.Errorf("the earlier result counts in\n%s", text)
	}
}

// The sheet knows a source as the flags do: by its folded name, and by every
// paddock and herd that any of its results named.
func TestWaterSheetKnowsASourceAsTheFlagsDo(t *testing.T) {
	herd := line(50, "herd", `"herd":"pairs","classes":["bred-cattle"],"head":40,"weight_kg":600`)
	text := waterText(t, WaterAsk{Herd: "pairs"}, herd,
		line(51, "water", `"source":"east  well","sampled_on":"2026-08-01","value":10,"form":"NO3-N","unit":"mg/L","herds":["pairs"]`),
		line(52, "water", `"source":"East Well","sampled_on":"2026-08-20","value":150,"form":"NO3-N","unit":"mg/L","paddocks":["creek"]`))
	for _, want := range []string{
		"HOLD: East Well, sampled Thu 20 Aug: 150 mg NO3-N per litre",
		"water of Creek Grass and the herd pairs.",
		"Water: East Well, 150 mg NO3-N per litre",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if strings.Contains(text, "10 mg NO3-N per litre (44") {
		t.Errorf("the earlier result counts in\n%s", text)
	}
}

func TestUntestedWaterIsSaid(t *testing.T) {
	herd := line(50, "herd", `"herd":"pairs","classes":["bred-cattle"],"head":40,"weight_kg":600`)
	text := waterText(t, WaterAsk{Herd: "pairs"}, herd)
	for _, want := range []string{
		"WATER TESTED None. Untested water adds nothing to the sums below, and that makes none of them safe.",
		"Water: UNTESTED: nobody tested the water this herd drinks",
		"Feed: no nitrate result of North Slough",
		"Neither feed nor water was tested: nothing can be said.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if strings.Contains(text, "below every line") {
		t.Errorf("untested is called safe in\n%s", text)
	}
	// Without a weight nothing is guessed.
	if text := waterText(t, WaterAsk{Herd: "steers"}); !strings.Contains(text, "cattle not bred: cannot be worked out: the weight of a head is not known") {
		t.Errorf("a weight is guessed in\n%s", text)
	}
}
