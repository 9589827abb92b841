package board

import (
	"bytes"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/hazard"
	"rimegate/hazard/moves"
)

const evil = "\x1b[31mRED\x1b[0m\u202e; , \\\\ \\nBEGIN:VEVENT"

func roundFacts(t *testing.T, on, name, rule string, paddocks ...string) []fields.Fact {
	t.Helper()
	d := day(on)
	e := &fields.Entry{ID: id(900), By: "Ann", On: d, Body: &fields.Round{Name: name, RRule: rule, Paddocks: paddocks, What: evil}}
	return []fields.Fact{{Entry: e, Date: d}}
}

func TestCalendarEvents(t *testing.T) {
	a := season(t, "2026-09-12", 9)
	rounds := calendar.Rounds(roundFacts(t, "2026-09-01", "walk "+evil, "FREQ=DAILY", "creek"))
	by := map[string]calendar.Event{}
	for _, e := range CalendarEvents(a, rounds) {
		if _, twice := by[e.UID]; twice {
			t.Errorf("two events with the UID %s", e.UID)
		}
		by[e.UID] = e
		for _, text := range []string{e.Summary, strings.ReplaceAll(e.Description, "\n", " "), e.Alarm} {
			if text != Clean(text) {
				t.Errorf("%s carries unclean text: %q", e.UID, text)
			}
		}
		if strings.ContainsAny(e.UID, " ;,\\\n") {
			t.Errorf("a UID with signs in it: %q", e.UID)
		}
	}
	key := "@" + strings.ToLower(id(101)) + ".rimegate"
	hold, ok := by["hold-north-slough-graze"+key]
	if !ok || hold.From != day("2026-09-12") || hold.To != day("2026-09-25") {
		t.Fatalf("the frosted sorghum: %+v", hold)
	}
	for _, want := range []string{"NO: North Slough, to graze, HOLD through Fri 25 Sep"} {
		if hold.Summary != want {
			t.Errorf("summary %q, want %q", hold.Summary, want)
		}
	}
	for _, want := range []string{"Froze Fri 11 Sep", "The day after is not a YES", "Next: "} {
		if !strings.Contains(hold.Description, want) {
			t.Errorf("no %q in %q", want, hold.Description)
		}
	}
	if hold.Rule != nil {
		t.Error("a withholding period is written as a recurrence rule")
	}
	if _, ok := by["hold-creek-graze"+key]; ok {
		t.Error("a paddock that is not held stands in the calendar as held")
	}
	recurring := 0
	for _, e := range by {
		if e.Rule != nil {
			recurring++
		}
	}
	if recurring != 1 {
		t.Errorf("%d recurring events, want the one round", recurring)
	}
	// An incident holds without a date: the event says so and is redrawn.
	a = season(t, "2026-09-12", 9, strings.Replace(line(800, "incident", `"paddock":"creek","down":1`), `"on":"2026-06-01"`, `"on":"2026-09-11"`, 1))
	for _, e := range CalendarEvents(a, nil) {
		if e.UID == "hold-creek-graze"+key {
			if e.To != day("2026-09-12").Add(NoDateShown-1) || !strings.Contains(e.Summary, "NO DATE") || !strings.Contains(e.Description, "No day ends this hold") {
				t.Errorf("a hold without a date: %+v", e)
			}
			return
		}
	}
	t.Error("the incident is not in the calendar")
}

func TestErrands(t *testing.T) {
	a := season(t, "2026-09-12", 9)
	es := Errands(a, Filter{})
	if len(es) == 0 {
		t.Fatal("no errand after a frost")
	}
	for i, e := range es {
		if e.By < day("2026-09-12") || i > 0 && e.By < es[i-1].By {
			t.Errorf("out of order, or due in the past: %+v", e)
		}
	}
	for _, e := range Errands(a, Filter{Paddock: "north-slough"}) {
		if e.ID != "north-slough" {
			t.Errorf("asked of North Slough: %+v", e)
		}
	}
}

func TestRoundListText(t *testing.T) {
	a := season(t, "2026-09-12", 9)
	facts := append(roundFacts(t, "2026-09-07", evil+strings.Repeat(" long", 40), "FREQ=WEEKLY;BYDAY=MO", "creek", "north-slough"),
		fields.Fact{Entry: &fields.Entry{ID: id(901), On: day("2026-09-01"), Body: &fields.Round{Name: "broken", RRule: "FREQ=HOURLY"}}, Date: day("2026-09-01")})
	l := RoundsOn(a, calendar.Rounds(facts), 30, Filter{})
	for _, width := range []int{40, 80, 200} {
		var b bytes.Buffer
		if err := l.Text(&b, width); err != nil {
			t.Fatal(err)
		}
		for _, x := range strings.Split(b.String(), "\n") {
			if Width(x) > width || strings.ContainsAny(x, "\x1b\u202e") {
				t.Errorf("width %d: %q", width, x)
			}
		}
		text := strings.Join(strings.Fields(b.String()), " ")
		for _, want := range []string{"DUE ", "due since Mon 7 Sep", "UNREADABLE", "finer than a day", "Next: Mon 14 Sep"} {
			if !strings.Contains(text, want) {
				t.Errorf("width %d: no %q in\n%s", width, want, b.String())
			}
		}
	}
}

func coming(t *testing.T, on string, n int, extra ...string) []*hazard.Assessment {
	t.Helper()
	now := season(t, on, 12, extra...)
	out := []*hazard.Assessment{now}
	for i := 1; i <= n; i++ {
		h := fields.Fold(entries(t, append(seasonLines(), extra...)...), fields.View{On: day(on).Add(i), KnownAt: now.History.KnownAt})
		out = append(out, hazard.Assess(h, now.Book))
	}
	return out
}

func TestStrip(t *testing.T) {
	days := coming(t, "2026-09-12", 16)
	bred := hazard.BredCattle
	st := NewStrip(days, nil, Filter{Class: &bred, Paddock: "north-slough"})
	if len(st.Rows) != 1 || len(st.Rows[0].Flags) != 17 {
		t.Fatalf("rows: %+v", st.Rows)
	}
	for i, f := range st.Rows[0].Flags {
		if want := days[i].Paddocks[2].Verdict(hazard.Graze, bred).Flag; f != want {
			t.Errorf("%s: %v, want %v", st.Days[i], f, want)
		}
	}
	for _, width := range []int{40, 80} {
		var b bytes.Buffer
		if err := NewStrip(days, nil, Filter{}).Text(&b, width); err != nil {
			t.Fatal(err)
		}
		for _, x := range strings.Split(b.String(), "\n") {
			if Width(x) > width {
				t.Errorf("wider than %d: %q", width, x)
			}
		}
		if !strings.Contains(b.String(), "North Slough") || !strings.Contains(b.String(), "##") {
			t.Errorf("width %d:\n%s", width, b.String())
		}
	}
	// A second frost assumed: told once, on the day it shows, and nothing else.
	// Its night begins on the noon before.
	second := line(850, "frost", `"paddocks":["north-slough"],"night":"2026-09-15"`)
	with := coming(t, "2026-09-12", 16, strings.Replace(second, `"on":"2026-06-01",`, "", 1))
	st = NewStrip(days, with, Filter{Class: &bred})
	graze := 0
	for _, d := range st.Dated {
		if d.On < day("2026-09-14") || d.ID != "north-slough" {
			t.Errorf("an assumed frost of 15-Sep changes %s on %s", d.ID, d.On)
		}
		if strings.Contains(useList(d.Uses), "graze") && strings.Contains(d.String(), "Tue 29 Sep") {
			graze++
		}
	}
	if graze != 1 {
		t.Errorf("the new through-date is told %d times: %v", graze, st.Dated)
	}
}

func TestClearWords(t *testing.T) {
	today := day("2026-09-12")
	for _, c := range []struct {
		c    *ClearDay
		want string
	}{
		{nil, ""},
		{&ClearDay{On: today + 3}, "CLEAR from Tue 15 Sep if nothing else happens."},
		{&ClearDay{On: today + 3, Through: today + 4}, "CLEAR from Tue 15 Sep through Wed 16 Sep if nothing else happens."},
		{&ClearDay{On: today + 3, Through: today + 3}, "CLEAR on Tue 15 Sep alone if nothing else happens."},
		{&ClearDay{On: today + 3, Still: "if it thaws"}, "CLEAR from Tue 15 Sep if nothing else happens, and if it thaws."},
		{&ClearDay{Stuck: "It froze."}, "No CLEAR can come on the days shown. It froze."},
		{&ClearDay{On: today, Needs: []Wanted{{What: "walk it", From: today, By: today}}}, "CLEAR today at the earliest. It needs: walk it today."},
		{
			&ClearDay{On: today + 9, Needs: []Wanted{{What: "walk it", From: today + 6, By: today + 9}, {What: "sample it", From: today, By: today + 6, Result: today + 9}}},
			"CLEAR on Mon 21 Sep at the earliest. It needs: walk it on or after Fri 18 Sep, by Mon 21 Sep; sample it by Fri 18 Sep, its result in by Mon 21 Sep.",
		},
	} {
		if got := c.c.ClearWords(today); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

func TestMovesText(t *testing.T) {
	days := coming(t, "2026-09-12", 10, strings.Replace(line(810, "walk", `"paddock":"creek","kg_dm_ha":1500,"weeds_checked":true`), `"on":"2026-06-01"`, `"on":"2026-09-11"`, 1),
		line(811, "herd", `"herd":"`+strings.Repeat("x", 60)+`","classes":["horses"],"head":3`))
	for _, width := range []int{40, 80} {
		var b bytes.Buffer
		if err := NewMoves(moves.Weigh(days, moves.Settings{}), days).Text(&b, width); err != nil {
			t.Fatal(err)
		}
		for _, x := range strings.Split(b.String(), "\n") {
			if Width(x) > width {
				t.Errorf("wider than %d: %q", width, x)
			}
		}
		text := strings.Join(strings.Fields(b.String()), " ")
		if !strings.HasPrefix(text, "MOVE OUT NOW: pairs in North Slough") {
			t.Errorf("stock in danger do not come first:\n%s", b.String())
		}
		for _, want := range []string{"Head-days of feed:", "locked behind HOLD", "Feed not known, so not counted:", "Growth is not counted"} {
			if !strings.Contains(text, want) {
				t.Errorf("no %q in\n%s", want, b.String())
			}
		}
	}
}

func TestPercentIsNeverCertain(t *testing.T) {
	for v, want := range map[float64]string{0: "below 1 %", 0.004: "below 1 %", 0.5: "50 %", 0.996: "above 99 %", 1: "above 99 %"} {
		if got := percent(v); got != want {
			t.Errorf("%v: %s, want %s", v, got, want)
		}
	}
}
