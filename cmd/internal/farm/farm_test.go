package farm

import (
	"errors"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// smallFarm is the farm of the scripts, at 06:52 on Tue 6 Oct 2026.
func smallFarm(t testing.TB) *Farm {
	t.Helper()
	in, err := os.Open("../../../testdata/script/farm.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	entries, err := fields.ReadJSONL(in)
	if err != nil {
		t.Fatal(err)
	}
	f := Open(filepath.Join(t.TempDir(), "farm.journal"))
	f.By = "Maren"
	f.Clock = func() time.Time { return time.Date(2026, 10, 6, 12, 52, 0, 0, time.UTC) }
	if err := f.Store().Create(); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Store().Import(entries); err != nil {
		t.Fatal(err)
	}
	return f
}

func view(t testing.TB, f *Farm, q Question) *View {
	t.Helper()
	v, err := f.View(q)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func date(t testing.TB, s string) fields.Date {
	t.Helper()
	d, err := fields.ParseISODate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestLogStoresAllOrNothing(t *testing.T) {
	f := smallFarm(t)
	before := view(t, f, Question{})
	_, err := f.Log([]fields.Entry{
		{On: before.Today, Body: &fields.Hail{Paddocks: []string{"creek"}}},
		{On: before.Today, Body: &fields.Hail{Paddocks: []string{"crek"}}},
	}, false)
	var ps fields.Problems
	if !errors.As(err, &ps) || len(ps) != 1 || !strings.Contains(ps[0].What, "did you mean creek?") {
		t.Fatalf("got %v", err)
	}
	if after := view(t, f, Question{}); after.Revision != before.Revision || len(after.Entries) != len(before.Entries) {
		t.Fatal("something was stored of a refused batch")
	}
}

func TestDryRunSaysWhatLoggingDoes(t *testing.T) {
	f := smallFarm(t)
	low := -3.0
	frost := []fields.Entry{{Body: &fields.Frost{Paddocks: []string{"north-slough"}, Night: date(t, "2026-10-06"), LowC: &low}}}
	dry, err := f.Log(frost, true)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(view(t, f, Question{}).Entries); n != 13 || dry.Stored {
		t.Fatalf("a dry run stored something: %d entries", n)
	}
	wet, err := f.Log(frost, false)
	if err != nil {
		t.Fatal(err)
	}
	d := board.ChangeLines(board.Changes(dry.Before, dry.After, board.Filter{}))
	w := board.ChangeLines(board.Changes(wet.Before, wet.After, board.Filter{}))
	if len(d) < 2 || strings.Join(d, "\n") != strings.Join(w, "\n") {
		t.Fatalf("dry run said %q, logging %q", d, w)
	}
	if wet.Entries[0].ID == "" || wet.Entries[0].By != "Maren" || !wet.Entries[0].Recorded.Equal(f.Clock()) {
		t.Fatalf("stored as %+v", wet.Entries[0])
	}
}

func TestBackdatedAndNightsToCome(t *testing.T) {
	f := smallFarm(t)
	at := func(hour int) func() time.Time {
		return func() time.Time {
			loc, _ := fields.LoadZone("America/Regina")
			return time.Date(2026, 10, 6, hour, 30, 0, 0, loc)
		}
	}
	frost := func(d string) []fields.Entry {
		return []fields.Entry{{Body: &fields.Frost{Paddocks: []string{"creek"}, Night: date(t, d)}}}
	}
	for _, c := range []struct {
		hour int
		e    []fields.Entry
		ok   bool
	}{
		{6, frost("2026-10-06"), true},
		{6, frost("2026-09-01"), true},
		{11, frost("2026-10-07"), false}, // the night of the 7th begins at noon on the 6th
		{12, frost("2026-10-07"), true},
		{23, frost("2026-10-08"), false},
		{5, []fields.Entry{{Body: &fields.NoFrost{Paddocks: []string{"creek"}, From: date(t, "2026-10-06"), To: date(t, "2026-10-06"), Basis: "looked-at-dawn"}}}, false},
		{7, []fields.Entry{{Body: &fields.NoFrost{Paddocks: []string{"creek"}, From: date(t, "2026-10-04"), To: date(t, "2026-10-06"), Basis: "looked-at-dawn"}}}, true},
		{7, []fields.Entry{{Body: &fields.NoFrost{Paddocks: []string{"creek"}, From: date(t, "2026-10-03"), To: date(t, "2026-10-06"), Basis: "looked-at-dawn"}}}, false}, // nobody remembers the grass of so many mornings
		{7, []fields.Entry{{Body: &fields.NoFrost{Paddocks: []string{"creek"}, From: date(t, "2026-10-01"), To: date(t, "2026-10-06"), Basis: "other-thermometer"}}}, true},
		{23, []fields.Entry{{Body: &fields.NoFrost{Paddocks: []string{"creek"}, From: date(t, "2026-10-06"), To: date(t, "2026-10-07"), Basis: "looked-at-dawn"}}}, false},
		{8, []fields.Entry{{On: date(t, "2026-10-07"), Body: &fields.Rain{Paddocks: []string{"creek"}, MM: num(3)}}}, false},
		{8, []fields.Entry{{Body: &fields.Forecast{Paddock: "creek", Night: date(t, "2026-10-09"), LowC: num(-1), Issued: at(8)()}}}, true},
		{8, []fields.Entry{{Body: &fields.Forecast{Paddock: "creek", Night: date(t, "2026-12-09"), LowC: num(-1), Issued: at(8)()}}}, false},
		{8, []fields.Entry{{On: date(t, "2026-10-12"), Body: &fields.Round{Name: "walk", RRule: "FREQ=WEEKLY"}}}, true},
		{8, []fields.Entry{{Body: &fields.Fed{Lot: "x", Herd: "pairs", From: date(t, "2026-10-06"), To: date(t, "2026-10-08")}}}, false},
	} {
		f.Clock = at(c.hour)
		_, err := f.Log(c.e, true)
		if (err == nil) != c.ok {
			t.Errorf("at %d:30, %s of %s: %v", c.hour, c.e[0].Kind(), c.e[0].EventDate(time.UTC), err)
		}
	}
}

// A frost of the night that has begun shows on the list of the coming day.
func TestFrostInTheEveningShowsAtOnce(t *testing.T) {
	f := smallFarm(t)
	f.Clock = func() time.Time { return time.Date(2026, 10, 7, 4, 0, 0, 0, time.UTC) } // 22:00 on the 6th
	l, err := f.Log([]fields.Entry{{Body: &fields.Frost{Paddocks: []string{"north-slough"}, Night: date(t, "2026-10-07")}}}, false)
	if err != nil {
		t.Fatal(err)
	}
	if l.After.History.On != date(t, "2026-10-06") {
		t.Fatalf("the changes are of %s", l.After.History.On)
	}
	var hold bool
	for _, c := range board.Changes(l.Before, l.After, board.Filter{}) {
		hold = hold || c.Now == hazard.Hold && c.NowThrough == date(t, "2026-10-21")
	}
	if !hold {
		t.Fatal("no hold through 2026-10-21 (14 days, 7 + 14) among the changes")
	}
}

func TestKnownAtKnowsNothingLater(t *testing.T) {
	f := smallFarm(t)
	all := view(t, f, Question{}).Entries
	rapid.Check(t, func(rt *rapid.T) {
		from := time.Date(2026, 5, 30, 0, 0, 0, 0, time.UTC)
		at := from.Add(time.Duration(rapid.IntRange(0, 200*24*60).Draw(rt, "minutes")) * time.Minute)
		v := view(t, f, Question{KnownAt: at})
		want := 0
		for i := range all {
			if !all[i].Recorded.After(at) && all[i].EventDate(v.Loc) <= v.Today {
				want++
			}
		}
		if got := len(v.History.Facts); got != want {
			rt.Fatalf("known at %s: %d facts, want %d", at, got, want)
		}
	})
}

func TestClockBehindTheJournal(t *testing.T) {
	f := smallFarm(t)
	f.Clock = func() time.Time { return time.Date(2026, 10, 4, 12, 0, 0, 0, time.UTC) }
	v := view(t, f, Question{})
	if len(v.Notes) != 1 || !strings.Contains(v.Notes[0], "one of the clocks is wrong") {
		t.Fatalf("notes %q", v.Notes)
	}
	if !v.History.KnownAt.Equal(time.Date(2026, 10, 5, 13, 30, 0, 0, time.UTC)) {
		t.Fatalf("known at %s; entries recorded later would be left out", v.History.KnownAt)
	}
	f.Clock = func() time.Time { return time.Date(2026, 10, 5, 13, 25, 0, 0, time.UTC) } // 5 minutes: no word
	if v := view(t, f, Question{}); len(v.Notes) != 0 || !v.History.KnownAt.Equal(time.Date(2026, 10, 5, 13, 30, 0, 0, time.UTC)) {
		t.Fatalf("notes %q, known at %s", v.Notes, v.History.KnownAt)
	}
}

// Bringing readings in twice changes nothing, whatever the file was called and
// whatever order they came in; new nights of a grown file come in alone.
func TestImportTwiceChangesNothing(t *testing.T) {
	for seed := range int64(6) {
		r := rand.New(rand.NewSource(seed))
		f := smallFarm(t)
		n := 1 + r.Intn(12)
		var bodies []fields.Body
		for i := range n {
			low, covers := float64(r.Intn(230)-80)/10, r.Intn(2) == 0
			bodies = append(bodies, &fields.Reading{Station: "home", Night: date(t, "2026-10-06").Add(-i), LowC: &low, Covers: &covers, Source: "a.csv"})
		}
		half := r.Intn(n + 1)
		first, err := view(t, f, Question{}).Import(bodies[:half], "", false)
		if err != nil || len(first.Entries) != half {
			t.Fatalf("first: %v", err)
		}
		for _, b := range bodies {
			b.(*fields.Reading).Source = "b.csv"
		}
		second, err := view(t, f, Question{}).Import(bodies, "", false)
		if err != nil || len(second.Entries) != n-half || second.Same != half || second.Changed != 0 {
			t.Fatalf("second: %v, %d new, %d same, %d changed", err, len(second.Entries), second.Same, second.Changed)
		}
		before := view(t, f, Question{})
		r.Shuffle(n, func(i, j int) { bodies[i], bodies[j] = bodies[j], bodies[i] })
		third, err := view(t, f, Question{}).Import(bodies, "", false)
		if err != nil || len(third.Entries) != 0 || third.Same != n {
			t.Fatalf("third: %v, %d new, %d same", err, len(third.Entries), third.Same)
		}
		if after := view(t, f, Question{}); after.Revision != before.Revision {
			t.Fatal("importing again wrote to the journal")
		}
		// A night whose low differs is kept beside the old one, and said.
		other := 42.5
		changed, err := view(t, f, Question{}).Import([]fields.Body{&fields.Reading{Station: "home", Night: date(t, "2026-10-06"), LowC: &other}}, "", false)
		if err != nil || len(changed.Entries) != 1 || changed.Changed != 1 {
			t.Fatalf("changed: %v, %d", err, changed.Changed)
		}
	}
}

func TestAStruckReadingCanComeInAgain(t *testing.T) {
	f := smallFarm(t)
	r := func() []fields.Body {
		return []fields.Body{&fields.Reading{Station: "home", Night: date(t, "2026-10-06"), LowC: num(2)}}
	}
	l, err := view(t, f, Question{}).Import(r(), "", false)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := view(t, f, Question{}).Strike(l.Entries[0].ID, "another thermometer", false); err != nil {
		t.Fatal(err)
	}
	if again, err := view(t, f, Question{}).Import(r(), "", false); err != nil || len(again.Entries) != 1 {
		t.Fatalf("%v, %d entries", err, len(again.Entries))
	}
}

func TestStrikeRefusals(t *testing.T) {
	f := smallFarm(t)
	l, err := view(t, f, Question{}).Strike("0000000000D", "wrong paddock", false)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ typed, want string }{
		{"0000000000D", "struck already by Maren (wrong paddock)"},
		{l.Entries[0].ID, "a strike cannot be struck"},
		{"0000", "there is no entry"},
		{"01K00", "fits 13 entries"},
		{"", "there is no entry"},
	} {
		if _, err := view(t, f, Question{}).Strike(c.typed, "because", false); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("strike %q: %v, want %q", c.typed, err, c.want)
		}
	}
	if _, err := view(t, f, Question{}).Strike("00000000000C", " ", false); err == nil {
		t.Error("a strike without a reason was stored")
	}
}

func TestPastOfReshapedLand(t *testing.T) {
	f := smallFarm(t)
	if _, err := f.Log([]fields.Entry{{On: date(t, "2026-10-06"), Body: &fields.Split{From: []string{"north-slough"}, Into: []string{"north-a", "north-b"}}}}, false); err != nil {
		t.Fatal(err)
	}
	past, err := f.Past(PastOf{ID: "north-a"})
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[fields.Kind]int{}
	for _, x := range past {
		kinds[x.Kind()]++
	}
	if kinds[fields.KindSown] != 1 || kinds[fields.KindWalk] != 1 || kinds[fields.KindSplit] != 1 || kinds[fields.KindNoFrost] != 1 {
		t.Fatalf("past of north-a: %v", kinds)
	}
	// What is said of the old name still counts, and that is said.
	l, err := f.Log([]fields.Entry{{On: date(t, "2026-10-06"), Body: &fields.Hail{Paddocks: []string{"north-slough"}}}}, true)
	if err != nil || len(l.Notes) != 1 || !strings.Contains(l.Notes[0], "this counts for all it became") {
		t.Fatalf("%v, notes %q", err, l.Notes)
	}
}

func TestBlankView(t *testing.T) {
	f := Open(filepath.Join(t.TempDir(), "none.journal"))
	if _, err := f.View(Question{}); !errors.Is(err, journal.ErrMissing) {
		t.Fatalf("got %v", err)
	}
	if v := f.Blank(); v.History.ZoneSet || len(v.Assess().Paddocks) != 0 {
		t.Fatal("a blank view knows something")
	}
}

func is(b bool) *bool { return &b }
