package board

import (
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// seasonsOfFrost is a record read every night from 1 August through 31 December,
// with the first frost of each year on the September day given; in the last
// year none so far through 10 September.
func seasonsOfFrost(first int, days ...int) []weather.NightLow {
	var out []weather.NightLow
	night := func(d fields.Date, c float64) { out = append(out, weather.NightLow{Night: d, LowC: &c, Covers: true}) }
	for i, day := range days {
		from, frost := fields.MakeDate(first+i, 8, 1), fields.MakeDate(first+i, 9, day)
		for d := from; d < from.Add(153); d++ {
			c := 6.0
			if d == frost {
				c = -1
			}
			night(d, c)
		}
	}
	for d := fields.MakeDate(2026, 8, 1); d <= fields.MakeDate(2026, 9, 10); d++ {
		night(d, 7)
	}
	return out
}

func TestOddsWords(t *testing.T) {
	h := farmHistory(t)
	// Nine seasons: first frosts on 8, 10, ... 24 September. The middle one is the
	// 16th; on the 11th two of nine have come, and of the seven left three come
	// within seven days (the 12th, 14th, 16th and 18th are four).
	x, err := NewOddsSheet(h, "yard", seasonsOfFrost(2017, 8, 10, 12, 14, 16, 18, 20, 22, 24), 0, day("2026-09-30"))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := x.Text(&b, 80); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(b.String()), " ")
	for _, want := range []string{
		"Yard: the first night of a season at or below 0 °C (32 °F) at the thermometer",
		"9 seasons, 2017 to 2025: 9 known first frosts.",
		"50 of 100 Wed 16 Sep Wed 16 Sep, give or take",
		"None this season through Thu 10 Sep; after that 1 night to today were not read throughout",
		"within 7 days: fitted about", "counted about 57 in 100 of 7 seasons still without one", // 4 of 7
		"by Wed 30 Sep, when it would be ready: fitted", "counted over 99 in 100 of 7 seasons",
		"no night is clear by them",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, b.String())
		}
	}
	// A frost this season is said, and no odds of what has been.
	low := -2.0
	x, err = NewOddsSheet(h, "yard", append(seasonsOfFrost(2017, 8, 10, 12, 14, 16, 18, 20, 22, 24), weather.NightLow{Night: day("2026-09-11"), LowC: &low, Covers: true}), 0, fields.NoDate)
	if err != nil {
		t.Fatal(err)
	}
	b.Reset()
	_ = x.Text(&b, 80)
	if !strings.Contains(b.String(), "This season the first came in the night of Fri 11 Sep.") || strings.Contains(b.String(), "within 7 days") {
		t.Errorf("%s", b.String())
	}
	if _, err := NewOddsSheet(h, "yard", seasonsOfFrost(2019, 8, 10, 12), 0, fields.NoDate); err == nil {
		t.Error("odds from three seasons")
	}
}

// Every night has its word and its shape, the freezing line stands on each.
func TestNightChart(t *testing.T) {
	nights := []ChartNight{
		{hazard.NightRow{Night: day("2026-09-01"), NightFacts: hazard.NightFacts{HasLow: true, LowC: 7, Covered: true}}, "no frost"},
		{hazard.NightRow{Night: day("2026-09-02"), NightFacts: hazard.NightFacts{HasLow: true, LowC: -4, Trigger: true}}, "FROZE"},
		{hazard.NightRow{Night: day("2026-09-03"), NightFacts: hazard.NightFacts{HasLow: true, LowC: 1.5, Possible: true}}, "may have frozen"},
		{hazard.NightRow{Night: day("2026-09-04"), Unread: true}, "NOT READ"},
		{hazard.NightRow{Night: day("2026-09-05"), NightFacts: hazard.NightFacts{Trigger: true}}, "FROZE"},
	}
	for _, width := range []int{40, 60, 80, 132} {
		var b strings.Builder
		if err := NightChart(&b, nights, Metric, width); err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(b.String(), "\n")
		zero := -1
		for i, want := range []struct{ word, shape string }{{"no frost", "o"}, {"FROZE", "X"}, {"may have frozen", "!"}, {"NOT READ", "?"}, {"FROZE", "X"}} {
			l := []rune(lines[i+1])
			if !strings.Contains(lines[i+1], want.word) || !strings.HasSuffix(lines[i+1], want.shape) && !strings.HasSuffix(lines[i+1], "|") {
				t.Errorf("width %d: %q", width, lines[i+1])
			}
			if Width(lines[i+1]) > max(width, 60) {
				t.Errorf("width %d: a line of %d cells", width, Width(lines[i+1]))
			}
			if p := strings.IndexRune(string(l), '|'); i < 3 && p >= 0 {
				at := len([]rune(lines[i+1][:p]))
				if zero >= 0 && at != zero {
					t.Errorf("width %d: the freezing line moves from %d to %d", width, zero, at)
				}
				zero = at
			}
		}
		// Colder is further left.
		if x, o := strings.IndexRune(lines[2], 'X'), strings.IndexRune(lines[1], '|'); x >= o+2 {
			t.Errorf("width %d: a frost to the right of freezing: %q", width, lines[2])
		}
	}
	var b strings.Builder
	_ = NightChart(&b, nights, US, 80)
	if !strings.Contains(b.String(), "°F") || !strings.Contains(b.String(), "24.8 °F") {
		t.Errorf("%s", b.String())
	}
}
