package board

import (
	"fmt"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

func taskLines(ts []Task) string {
	var out []string
	for _, t := range ts {
		out = append(out, fmt.Sprintf("%s by %s: %s", t.What, t.By, t.Text))
	}
	return strings.Join(out, "\n")
}

func TestTasks(t *testing.T) {
	a := farmAssessment(t)
	got := taskLines(newSpeaker(a, Metric).tasks(&a.Paddocks[2]))
	want := `sample by 2026-09-11: Sample it for nitrate (20 stems from 10 spots, cut at 10 cm or lower) and send it to a lab.
walk by 2026-09-13: Walk it on or after Sun 13 Sep: killed, dry, shoots, shortest growth, weeds.`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := newSpeaker(a, Metric).tasks(&a.Paddocks[0]); len(got) != 0 {
		t.Errorf("a clear paddock has errands: %s", taskLines(got))
	}

	// Walked two days after the frost, the next walk is when the days are served.
	p := a.Paddocks[2]
	p.Data.Walk = day("2026-09-13")
	if got := taskLines(newSpeaker(a, Metric).tasks(&p)); !strings.Contains(got, "walk by 2026-09-26: Walk it on Sat 26 Sep, when the days are served") {
		t.Errorf("after the walk: %s", got)
	}
}

func TestTasksOfEachKind(t *testing.T) {
	a := farmAssessment(t)
	for _, c := range []struct {
		line hazard.Line
		want string
	}{
		{hazard.LineUnreadNights, "night by 2026-09-11: Look up the low for"},
		{hazard.LineNeverMeasured, "measure by 2026-09-11: Walk it and measure"},
		{hazard.LineTooShort, "measure by 2026-09-15: Wait until it stands 76 cm"},
		{hazard.LinePossible, "walk by 2026-09-12: Walk it on or after Sat 12 Sep"},
		{hazard.LineHail, "walk by 2026-09-16: Wait until Wed 16 Sep; then walk it."},
		{hazard.LineFrosted, "walk by 2026-10-02: Walk it on or after Fri 2 Oct: it lifts when you find"},
		{hazard.LineForecastCaution, "night by 2026-09-12: Have the stock out before dark Fri 11 Sep"},
		{hazard.LineNitrateInsideWait, "sample by 2026-09-18: Wait until Fri 18 Sep, then sample it"},
		{hazard.LineIncident, "vet by 2026-09-11: Only a vet's word lifts this: call the vet."},
		{hazard.LineHorses, ""},
		{hazard.LineNitrateDrought, ""},
		{hazard.LineNoSwath, ""},
	} {
		r, _ := lineReason(c.line)
		p := hazard.PaddockAnswer{Paddock: a.History.Paddock("creek"), Verdicts: []hazard.Verdict{verdict(hazard.Graze, hazard.BredCattle, one(r), one(nLow))}}
		if got := taskLines(newSpeaker(a, Metric).tasks(&p)); !strings.HasPrefix(got, c.want) || (c.want == "") != (got == "") {
			t.Errorf("line %d: got %q, want %q", c.line, got, c.want)
		}
	}
	// Unread nights inside a clock are looked up, and the stand is walked.
	r, _ := lineReason(hazard.LineSwathClock)
	p := hazard.PaddockAnswer{Paddock: a.History.Paddock("creek"), Verdicts: []hazard.Verdict{verdict(hazard.SwathGraze, hazard.BredCattle, one(r), one(nLow))}}
	if got := taskLines(newSpeaker(a, Metric).tasks(&p)); !strings.Contains(got, "night by 2026-09-11") || !strings.Contains(got, "walk by 2026-09-12") {
		t.Errorf("unread nights in a clock: %s", got)
	}
	// A night of last night has its own words.
	u := hazard.Reason{Line: hazard.LineUnreadNights, Flag: hazard.Caution, Nights: []fields.Date{day("2026-09-11")}}
	p.Verdicts = []hazard.Verdict{verdict(hazard.Graze, hazard.BredCattle, one(u), one(nLow))}
	if got := taskLines(newSpeaker(a, Metric).tasks(&p)); got != "night by 2026-09-11: Read last night's thermometer (Fri 11 Sep)." {
		t.Errorf("last night: %q", got)
	}
}
