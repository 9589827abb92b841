package board

import (
	"errors"
	"strings"
	"testing"

	"rimegate/hazard"
)

// blendFarm has a hot lot (1,600 ppm NO3-N) and a mild one (200), a herd of 40
// that eats 15 kg, and one table with its line at 1,000 ppm.
func blendFarm(t *testing.T, extra ...string) *hazard.Assessment {
	t.Helper()
	lab := func(n int, lot, values, method string) string {
		return line(n, "lab", `"lot":"`+lot+`","sampled_on":"2026-09-05","analyte":"nitrate","values":[`+values+`],"form":"NO3-N","unit":"ppm","basis":"dm","method":"`+method+`"`)
	}
	a := farmAssessment(t, append([]string{
		line(60, "herd", `"herd":"pairs","classes":["bred-cattle"],"head":40,"weight_kg":600,"intake_pct_bw":2.5`),
		lab(61, "hot", "1600", "lab"), lab(62, "mild", "200", "lab"), lab(63, "strip-only", "0", "strip"),
	}, extra...)...)
	t1 := &a.Book.Tables[0]
	t1.Form, t1.Rows = "NO3-N", map[hazard.Class][]hazard.NitrateBand{}
	for _, c := range hazard.Classes {
		t1.Rows[c] = []hazard.NitrateBand{{UpTo: 1000, MaxShare: 100, Words: "safe"}, {UpTo: 3000, MaxShare: 60, Words: "at most so much"}, {UpTo: 1e9, DoNot: true, Words: "do not feed"}}
	}
	a.Lots = nil
	for _, id := range []string{"hot", "mild", "strip-only", "poison"} {
		dm, t0 := 80.0, 30.0
		l := hazard.LotAnswer{Lot: id}
		l.Facts.Lot, l.Facts.LotKind, l.Facts.DMPct, l.Facts.Tonnes = id, "hay", &dm, &t0
		for _, c := range hazard.Classes {
			prussic := one(noP)
			if id == "poison" {
				prussic = one(hazard.Reason{Line: hazard.LineSuspect, Rule: "prussic.hay.cure", Flag: hazard.Hold, Through: hazard.NoEnd})
			}
			l.Verdicts = append(l.Verdicts, verdict(hazard.Feed, c, prussic, one(untried)))
		}
		a.Lots = append(a.Lots, l)
	}
	return a
}

func blendText(t *testing.T, x *BlendSheet) string {
	t.Helper()
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

// (1,000 - 200) / (1,600 - 200) = 57.1 % of the hot lot, below the 60 % that the
// table allows. 57.1 % of 15 kg is 8.57 kg dry, 10.7 kg as fed at 80 %; 30 t
// last 40 head 70 days (30,000 / (10.71 x 40) = 70.0), the mild lot longer.
func TestBlendWords(t *testing.T) {
	x, err := NewBlendSheet(blendFarm(t), BlendAsk{Feeds: []string{"hot", "mild"}, Herd: "pairs"})
	if err != nil {
		t.Fatal(err)
	}
	text := blendText(t, x)
	for _, want := range []string{
		"CAUTION: animals may die of a blend that was weighed, mixed or tested wrong.",
		"hot: 1,600 ppm NO3-N on dry matter", "at most 60 % by the tables for cows and bred heifers",
		"By itself: CAUTION for cows and bred heifers.",
		"hot: 57.1 % of the dry matter, 8.6 kg (18.9 lb) dry, 10.7 kg (23.6 lb) as fed; lasts the herd 70 days; TOO HOT BY ITSELF.",
		"mild: 42.9 % of the dry matter",
		"just below the line of 1,000",
		"head-days of this mixture, 70 days for 40 head",
		"Right at its limit: nitrate.",
		"STEP BY STEP", "days 1 to 7:", "; just below 1,000 ppm with the water.",
		"Two feeds side by side are no blend", "Adaptation never clears a lot", "a blend clears no lot",
		"Water: UNTESTED", "The water is not tested",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if strings.Contains(text, "Cost:") {
		t.Errorf("a cost that nobody typed in\n%s", text)
	}
}

// 120 days of 40 head at 15 kg are 72,000 kg dry; 60 t as fed are 48,000, half of
// it hot, which is below its line: 80 days.
func TestNoBlendSaysWhichLimit(t *testing.T) {
	x, err := NewBlendSheet(blendFarm(t), BlendAsk{Feeds: []string{"hot", "mild"}, Herd: "pairs", Days: 120})
	if err != nil {
		t.Fatal(err)
	}
	text := blendText(t, x)
	if x.None == nil || !strings.Contains(text, "NO BLEND") || !strings.Contains(text, "(amount)") || !strings.Contains(text, "lasts 80 days") || strings.Contains(text, "THE BLEND") {
		t.Errorf("%s", text)
	}
}

// What cannot be used is refused with the question that settles it, all at once.
func TestBlendRefuses(t *testing.T) {
	a := blendFarm(t)
	a.Lots = append(a.Lots, hazard.LotAnswer{Lot: "bare"})
	_, err := NewBlendSheet(a, BlendAsk{Feeds: []string{"strip-only", "bare", "poison", "nowhere"}, Herd: "pairs"})
	var refused BlendRefused
	if !errors.As(err, &refused) || len(refused) != 4 {
		t.Fatalf("%v", err)
	}
	for i, want := range []string{
		"strip-only was only tested by strip or quick test",
		"bare has no nitrate result: what does a lab say?", "poison is on HOLD for prussic acid (with no date) for cows and bred heifers", `there is no lot "nowhere"`,
	} {
		if !strings.Contains(refused[i], want) {
			t.Errorf("%q, want %q", refused[i], want)
		}
	}
	if _, err := NewBlendSheet(a, BlendAsk{Feeds: []string{"hot"}, Herd: "steers"}); err == nil || !strings.Contains(err.Error(), "the weight of a head is not known") {
		t.Errorf("%v", err)
	}
}

// A strip that reads more than the laboratory makes a feed hotter, never milder.
func TestStripsOnlyMakeAFeedHotter(t *testing.T) {
	for strip, want := range map[string]float64{"2500": 2500, "10": 1600} {
		a := blendFarm(t, line(64, "lab", `"lot":"hot","sampled_on":"2026-09-06","analyte":"nitrate","values":[`+strip+`],"form":"NO3-N","unit":"ppm","basis":"dm","method":"strip"`))
		x, err := NewBlendSheet(a, BlendAsk{Feeds: []string{"hot", "mild"}, Herd: "pairs"})
		if err != nil {
			t.Fatal(err)
		}
		if got := x.Problem.Feeds[0].PPMN; got != want {
			t.Errorf("strip %s: %v ppm, want %v", strip, got, want)
		}
	}
}
