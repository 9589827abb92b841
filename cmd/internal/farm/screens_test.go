package farm

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Two computers on one journal: what one stores, the other sees by the
// revision, and reads.
func TestScreensOfTwoSeats(t *testing.T) {
	now := time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC)
	clock := func() time.Time { return now }
	f, err := Demo(t.TempDir(), clock)
	if err != nil {
		t.Fatal(err)
	}
	other := Open(f.Store().Path)
	other.Clock, other.By = clock, "Tobias"
	other.Store().Seat = "office"
	a, b := f.ForScreens(), other.ForScreens()

	ans, err := a.Read()
	if err != nil {
		t.Fatal(err)
	}
	if !ans.History.ZoneSet || ans.Today != fields.DateOf(now, ans.History.Loc) || len(ans.Rounds) == 0 {
		t.Errorf("read %v, zone set %v, %d rounds", ans.Today, ans.History.ZoneSet, len(ans.Rounds))
	}
	flag := func(an *hazard.Assessment) hazard.Flag {
		for _, r := range board.Today(an, board.Filter{}).Rows {
			if r.ID == "east-hills" {
				return r.Flag
			}
		}
		return hazard.Unknown
	}
	if flag(ans.Assessment) != hazard.Clear {
		t.Fatalf("East Hills is %v", flag(ans.Assessment))
	}
	down := 1.0
	sick := []fields.Entry{{On: ans.Today, Body: &fields.Incident{Paddock: "east-hills", Down: &down}}}
	out, err := b.Log(sick, true, false)
	if err != nil {
		t.Fatal(err)
	}
	if flag(out.After) != hazard.Hold || flag(out.Before) != hazard.Clear {
		t.Errorf("dry run: %+v", out)
	}
	if rev, err := a.Revision(); err != nil || rev != ans.Revision {
		t.Errorf("a dry run made revision %d of %d (%v)", rev, ans.Revision, err)
	}
	if out, err = b.Log(sick, false, false); err != nil {
		t.Fatal(out, err)
	}
	if rev, err := a.Revision(); err != nil || rev == ans.Revision {
		t.Errorf("revision %d stays (%v)", rev, err)
	}
	if ans, err = a.Read(); err != nil || flag(ans.Assessment) != hazard.Hold {
		t.Errorf("the other seat does not see it (%v)", err)
	}

	past, err := a.Past("east-hills")
	if err != nil || len(past) == 0 {
		t.Fatal(past, err)
	}
	last := past[len(past)-1]
	if last.ID != out.Entries[0].ID || !strings.Contains(last.Words, "1 down") || !strings.Contains(last.Words, "signed Tobias") || last.Struck != "" {
		t.Errorf("the history ends with %+v", last)
	}
	if _, err := a.Log([]fields.Entry{{On: ans.Today, Body: &fields.Strike{Entry: last.ID, Because: "wrong paddock"}}}, false, false); err != nil {
		t.Fatal(err)
	}
	if past, err = b.Past("east-hills"); err != nil {
		t.Fatal(err)
	}
	struck, strike := 0, 0
	for _, p := range past {
		if p.Struck != "" {
			struck++
		}
		if p.Kind() == fields.KindStrike {
			strike++
		}
	}
	if struck != 1 || strike != 1 {
		t.Errorf("%d struck entries and %d strikes in %+v", struck, strike, past)
	}
}

// What is assumed of a coming day bears on it and those behind it, is checked as the
// journal would, and is stored nowhere.
func daysWithAnAnimalDown(t *testing.T, s *Screens, today fields.Date) {
	t.Helper()
	was, err := s.Revision()
	if err != nil {
		t.Fatal(err)
	}
	flags := map[bool][]hazard.Flag{}
	two := 2.0
	down := fields.Entry{On: today.Add(2), Body: &fields.Incident{Paddock: "home-quarter", Down: &two}}
	for _, assumed := range [][]fields.Entry{nil, {down}} {
		if _, err := s.Days(today, today.Add(3), assumed, func(a *hazard.Assessment) bool {
			for i := range a.Paddocks {
				if p := &a.Paddocks[i]; p.Paddock.ID == "home-quarter" {
					flags[assumed != nil] = append(flags[assumed != nil], p.Verdict(hazard.Graze, hazard.BredCattle).Flag)
				}
			}
			return true
		}); err != nil {
			t.Fatal(err)
		}
	}
	if a, b := flags[false], flags[true]; len(a) != 4 || a[0] != b[0] || a[1] != b[1] || slices.Equal(a, b) {
		t.Errorf("without an animal down %v, with one on the third day %v", a, b)
	}
	down.Body = &fields.Incident{Paddock: "nowhere", Down: &two}
	if _, err := s.Days(today, today, []fields.Entry{down}, func(*hazard.Assessment) bool { return true }); err == nil {
		t.Error("an animal down on no paddock is assumed")
	}
	if now, err := s.Revision(); err != nil || now != was {
		t.Errorf("something was stored (%v)", err)
	}
}

func TestScreensDaysRulesMoves(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	s := f.ForScreens()
	today := fields.MakeDate(2026, 11, 24)
	var days []fields.Date
	if _, err := s.Days(today.Add(-2), today.Add(3), nil, func(a *hazard.Assessment) bool {
		days = append(days, a.History.On)
		return len(days) < 4
	}); err != nil {
		t.Fatal(err)
	}
	if len(days) != 4 || days[0] != today.Add(-2) || days[3] != today.Add(1) {
		t.Errorf("days %v", days)
	}
	daysWithAnAnimalDown(t, s, today)
	rs, err := s.Rules()
	if err != nil || len(rs) < 20 {
		t.Fatalf("%d rules (%v)", len(rs), err)
	}
	for _, r := range rs {
		if r.ID == "" || r.Title == "" || !strings.Contains(strings.Join(r.More, "\n"), "Source: ") {
			t.Errorf("rule %+v says too little", r)
		}
	}
	words, err := s.Moves()
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []int{40, 80} {
		for _, l := range strings.Split(words(w), "\n") {
			if strings.HasPrefix(l, "MOVE OUT NOW") { // every page of the screens says it on top
				t.Errorf("at %d cells: %q once more", w, l)
			}
			if board.Width(l) > w {
				t.Errorf("at %d cells: %q", w, l)
			}
		}
	}
}

// What the command line asks about the screens refuse once, as something that a person may
// stand by.
func TestScreensAskAsTheLineDoes(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	warm := 35.0
	slip := []fields.Entry{{Body: &fields.Reading{Paddock: "creek", Night: fields.MakeDate(2026, 11, 24), LowC: &warm}}}
	_, err = f.ForScreens().Log(slip, true, false)
	var ps fields.Problems
	if !errors.As(err, &ps) || len(ps) != 1 || ps[0].Field != "low_c" || !ps[0].Asked {
		t.Errorf("35 °C in November: %v", err)
	}
	out, err := f.ForScreens().Log(slip, true, true)
	if err != nil || len(out.Notes) == 0 {
		t.Errorf("stood by: %+v, %v", out, err)
	}
}

// Refusals name the journal's own field, so that the screens can mark it; a
// journal that is not there says so in every call.
func TestScreensRefuse(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	low := 30.0
	_, err = f.ForScreens().Log([]fields.Entry{{Body: &fields.Frost{Paddocks: []string{"creek"}, Night: fields.MakeDate(2026, 11, 24), LowC: &low}}}, false, false)
	var ps fields.Problems
	if !errors.As(err, &ps) || len(ps) != 1 || ps[0].Field != "low_c" {
		t.Errorf("refused with %v", err)
	}
	gone := Open(t.TempDir() + "/none.journal").ForScreens()
	gone.read = true // once there was one
	_, e1 := gone.Revision()
	_, e2 := gone.Read()
	_, e3 := gone.Past("creek")
	_, e4 := gone.Moves()
	_, e5 := gone.Days(0, 1, nil, func(*hazard.Assessment) bool { return true })
	for i, err := range []error{e1, e2, e3, e4, e5} {
		if !errors.Is(err, journal.ErrMissing) {
			t.Errorf("call %d: %v", i, err)
		}
	}
}

// What forms ask about: frosts on file, names of several plants, a clock that
// is behind the journal.
func TestScreensAnswerForms(t *testing.T) {
	now := time.Date(2026, 10, 6, 13, 10, 0, 0, time.UTC)
	f, err := Demo(t.TempDir(), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	ans, err := f.ForScreens().Read()
	if err != nil {
		t.Fatal(err)
	}
	frost := fields.MakeDate(2026, 9, 30)
	if d, what := ans.Ask.FrostOnFile("river-flat", frost.Add(-1), ans.Today); d != frost || what == "" {
		t.Errorf("the frost on file is of %v (%q)", d, what)
	}
	if d, _ := ans.Ask.FrostOnFile("river-flat", frost.Add(1), frost.Add(2)); d != fields.NoDate {
		t.Errorf("a frost is on file for %v", d)
	}
	if got := ans.Ask.Fits("Clover"); len(got) < 2 || !strings.Contains(strings.Join(got, ", "), "White clover") {
		t.Errorf("clover fits %q", got)
	}
	for _, name := range []string{"white clover", "oats", "no plant at all"} {
		if got := ans.Ask.Fits(name); got != nil {
			t.Errorf("%s fits %q", name, got)
		}
	}
	ended := func(at string) ([]fields.Entry, fields.Problems) {
		said := form.Said{"paddocks": {"river-flat"}, "ended_at": {at}}
		return form.Of(fields.KindFrost).Entries(said, form.Context{Now: ans.Now, Behind: ans.Behind, Farm: ans.Ask})
	}
	if _, ps := ended("05:30"); ans.Behind != "" || len(ps) > 0 {
		t.Errorf("behind %q, %v", ans.Behind, ps)
	}
	now = now.AddDate(0, 0, -3)
	if ans, err = f.ForScreens().Read(); err != nil || ans.Behind == "" {
		t.Fatalf("behind %q (%v)", ans.Behind, err)
	}
	if _, ps := ended("05:30"); len(ps) == 0 || !strings.Contains(ps.Error(), "in doubt") {
		t.Errorf("an hour of no day is taken (%v)", ps)
	}
	if es, ps := ended("30-Sep-2026 05:30"); len(ps) > 0 || es[0].EventDate(ans.History.Loc) != frost {
		t.Errorf("%v, %v", es, ps)
	}
}
