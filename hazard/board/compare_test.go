package board

import (
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// What a publication would say, word for word.
func TestPublishedWords(t *testing.T) {
	rec := hazard.Record{Triggers: dates("2026-10-12"), DryWalk: day("2026-10-16"), HeightCM: 92, ShootsCM: 28}
	c := &Comparison{s: newSpeaker(farmAssessment(t), Metric)}
	frost := rules.AskFrost
	for _, x := range []struct {
		say  rules.Row
		want string
	}{
		{rules.Row{Question: frost, From: day("2026-10-12"), Days: 7, First: day("2026-10-19")}, "keeps off; allows from Mon 19 Oct (7 days after the frost of Mon 12 Oct)"},
		{rules.Row{Question: frost, From: day("2026-10-12"), Days: 4, First: day("2026-10-16"), Allows: true}, "allows since Fri 16 Oct (4 days after the frost of Mon 12 Oct)"},
		{rules.Row{Question: frost, From: day("2026-10-16"), Days: 14, First: day("2026-10-30")}, "keeps off; allows from Fri 30 Oct (14 days after it was found dry on Fri 16 Oct)"},
		{rules.Row{Question: frost, From: day("2026-10-12"), Days: 7, First: day("2026-10-16"), Allows: true}, "allows since Fri 16 Oct (found dry that day)"},
		{rules.Row{Question: frost, First: hazard.NoEnd, Note: "it asks for a killing frost first"}, "keeps off, no date: it asks for a killing frost first"},
		{rules.Row{Question: frost, First: hazard.NoEnd}, "keeps off, no date"},
		{rules.Row{Question: frost, NoNumber: true}, "mentions it without a number"},
		{rules.Row{Question: "graze at this height", CM: 61, First: day("2026-09-18"), Allows: true}, "asks for 61 cm; 92 cm was measured on Fri 18 Sep"},
		{rules.Row{Question: rules.AskShoots, CM: 46, First: hazard.NoEnd}, "keeps off below 46 cm"},
		{rules.Row{Question: "graze after spraying", From: day("2026-10-01"), Days: 21, First: day("2026-10-22")}, "keeps off; allows from Thu 22 Oct (21 days after the spraying of Thu 1 Oct)"},
	} {
		if got := c.says(&rec, &x.say); got != x.want {
			t.Errorf("got  %s\nwant %s", got, x.want)
		}
	}
}

// Ours comes first, each question under its title, and every row names its source.
func TestComparisonText(t *testing.T) {
	a := farmAssessment(t)
	says := []rules.Row{
		{Question: "graze after the frost", Source: hazard.Source{Publisher: "Strict Station", Title: "Never", URL: "https://example.org/never"}, First: hazard.NoEnd, Words: "never", Strictest: true},
		{Question: "graze after the frost", Source: hazard.Source{Publisher: "Lax \x1b[31mStation", Title: "Soon", URL: "https://example.org/soon"}, Allows: true, From: day("2026-09-11"), Days: 4, First: day("2026-09-15"), Words: "4 days", Laxest: true},
	}
	c, err := NewComparison(a, "north-slough", []ComparedLand{{Record: hazard.Record{Triggers: dates("2026-09-11")}, Says: says}}, a.Book)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := c.Text(&b, 80); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	last := -1
	for _, want := range []string{
		"OURS, which counts here", "HOLD through Fri 25 Sep",
		"STRICTEST: Strict Station: keeps off, no date", "https://example.org/never",
		"LAXEST: Lax Station: allows since Tue 15 Sep", "https://example.org/soon",
	} {
		i := strings.Index(text, want)
		if i <= last {
			t.Fatalf("%q is not where it belongs in\n%s", want, text)
		}
		last = i
	}
	if strings.Contains(text, "\x1b") {
		t.Error("an escape got through")
	}
	for _, l := range strings.Split(text, "\n") {
		if Width(l) > 80 {
			t.Errorf("a line of %d cells: %s", Width(l), l)
		}
	}
	if _, err := NewComparison(a, "nowhere", nil, a.Book); err == nil {
		t.Error("an unknown paddock is compared")
	}
}

func dates(list ...string) []fields.Date {
	var out []fields.Date
	for _, s := range list {
		out = append(out, day(s))
	}
	return out
}
