package farm

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/moves"
)

// oldFarm is a journal of a farm of several seasons.
func oldFarm(t testing.TB, paddocks, seasons int) *Farm {
	t.Helper()
	r := rand.New(rand.NewPCG(3, 4))
	f := Open(t.TempDir() + "/old.journal")
	f.By = "Ada"
	now := time.Date(2026, 12, 3, 14, 0, 0, 0, time.UTC)
	f.Clock = func() time.Time { return now }
	if err := f.store.Create(); err != nil {
		t.Fatal(err)
	}
	var all []fields.Entry
	say := func(year int, month time.Month, day int, b fields.Body) {
		at := time.Date(year, month, day, 18, 0, 0, 0, time.UTC)
		if at.Before(now) {
			all = append(all, fields.Entry{ID: fmt.Sprintf("0%025d", len(all)), Recorded: at, By: "Ada", On: fields.DateOf(at, time.UTC), Body: b})
		}
	}
	first := 2027 - seasons
	say(first, 4, 1, &fields.Farm{Name: "Old", Zone: "America/Regina"})
	say(first, 4, 1, &fields.HerdFacts{Herd: "cows", Classes: []string{"bred-cattle"}, Head: num(40), WeightKg: num(600)})
	yes := true
	for i := range paddocks {
		id := fmt.Sprintf("p%d", i)
		say(first, 4, 2, &fields.PaddockFacts{Paddock: id, Name: id, AreaHa: num(10), Station: fmt.Sprintf("s%d", i%2)})
		say(first, 4, 2, &fields.StationFacts{Station: fmt.Sprintf("s%d", i%2), Name: "s"})
	}
	for year := first; year < 2027; year++ {
		for i := range paddocks {
			id := fmt.Sprintf("p%d", i)
			mix := [][]fields.SpeciesShare{{{Species: "sudangrass"}}, {{Species: "oats"}}, {{Species: "forage sorghum"}, {Species: "oats"}}}
			say(year, 5, 10+i, &fields.Sown{Paddock: id, NewStand: &yes, Ended: "tilled", Species: mix[(i+year)%3]})
			say(year, 5, 12+i, &fields.Nitrogen{Paddocks: []string{id}, KgNHa: num(40)})
			for month := time.July; month <= time.November; month++ {
				say(year, month, 8, &fields.Walk{Paddock: id, ShortestCM: num(float64(60 + r.IntN(60))), Killed: "none", FrostDamage: "none", WeedsChecked: &yes, StressFree: &yes})
			}
			say(year, 9, 20, &fields.Frost{Paddocks: []string{id}, Night: fields.MakeDate(year, 9, 20), LowC: num(-2)})
			if i%3 == 0 {
				lot := fmt.Sprintf("hay-%d-%d", year, i)
				say(year, 8, 15, &fields.Cut{Paddock: id, Use: "hay", Lot: lot})
				say(year, 8, 19, &fields.LotFacts{Lot: lot, LotKind: "hay", MadeOn: fields.MakeDate(year, 8, 19), From: []string{id}, Bales: num(30)})
				say(year+1, 4, 1, &fields.UsedUp{Lot: lot})
			}
		}
		for n := range 100 {
			night := fields.MakeDate(year, 8, 20).Add(n)
			for s := range 2 {
				y, m, d := night.Civil()
				say(y, m, d, &fields.Reading{Station: fmt.Sprintf("s%d", s), Night: night, LowC: num(float64(10 - n/8 + r.IntN(6) - 3))})
			}
		}
	}
	day := func(month time.Month, d int) fields.Date { return fields.MakeDate(first, month, d) }
	say(first, 8, 25, &fields.LotFacts{Lot: "bought", LotKind: "bought", MadeOn: day(8, 20)})
	say(first, 9, 1, &fields.Fed{Lot: "bought", Herd: "cows", From: day(9, 1)}) // until what was fed next
	say(first, 9, 20, &fields.Fed{Lot: fmt.Sprintf("hay-%d-0", first), Herd: "cows", From: day(9, 20), To: day(9, 30)})
	say(first, 5, 1, &fields.Round{Name: "scale", RRule: "FREQ=WEEKLY"})
	say(2026, 11, 25, &fields.Done{Round: "scale"})
	say(first, 6, 1, &fields.Water{Source: "dugout", SampledOn: fields.MakeDate(first, 5, 30), Value: num(30), Form: "NO3-N", Unit: "mg/L", Herds: []string{"cows"}})
	say(2026, 12, 2, &fields.Forecast{Station: "s1", Night: fields.MakeDate(2026, 12, 4), LowC: num(-9), Issued: time.Date(2026, 12, 2, 12, 0, 0, 0, time.UTC)})
	say(2026, 11, 1, &fields.Grazed{Paddock: "p1", State: "in", Herd: "cows"})
	if _, err := f.store.Import(all); err != nil {
		t.Fatal(err)
	}
	return f
}

// unstored are ids of what was only tried.
var unstored = regexp.MustCompile(`~\d+`)

// What is read without the entries of closed seasons answers as all of it does: today, the
// coming days, why, moves, and what a log changes. Most of an old farm is left out.
func TestLatelyAnswersAsAllDoes(t *testing.T) {
	f := oldFarm(t, 9, 6)
	whole, short := view(t, f, Question{}), lately(t, f)
	if left := short.content.LeftOut; left+len(short.Entries) != len(whole.Entries) || left*2 < len(whole.Entries) {
		t.Fatalf("of %d entries %d were left out", len(whole.Entries), left)
	}
	docs := func(v *View) (out []string) {
		say := func(b []byte, err error) {
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, string(b))
		}
		a, err := v.Naming()
		if err != nil {
			t.Fatal(err)
		}
		say(board.TodayJSON(a, board.Filter{}))
		var b bytes.Buffer
		err = board.NewPage(a, board.Filter{}, nil).Text(&b, 80)
		say(b.Bytes(), err)
		for _, p := range v.History.Standing() {
			say(board.WhyJSON(a, p.ID, board.Filter{}))
		}
		for _, l := range v.History.LotsLeft() {
			say(board.WhyJSON(a, l, board.Filter{}))
		}
		ahead, err := v.Ahead(20, nil, Only{})
		if err != nil {
			t.Fatal(err)
		}
		say(ahead.Strip(board.Filter{}).JSON(nil))
		m, err := v.Moves(10, moves.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		say(m.JSON())
		for _, x := range []interface {
			Text(w io.Writer, width int) error
		}{
			board.NewTonight(v.Assess(), v.Today+1, nil, board.Filter{}), board.RoundsOn(v.Assess(), v.Rounds(), 60, board.Filter{}),
			board.NewWaterSheet(v.Assess(), board.WaterAsk{Herd: "cows"}),
		} {
			var b bytes.Buffer
			err := x.Text(&b, 80)
			say(b.Bytes(), err)
		}
		text, _, err := calendar.Export("Old", board.CalendarEvents(v.Assess(), v.Rounds()), nil, v.Now, v.Today)
		say(text, err)
		return out
	}
	if a, b := docs(whole), docs(short); !reflect.DeepEqual(a, b) {
		t.Error(firstUnlike(a, b))
	}
}

// The screens open on what today asks for, and bring in a file in the light of all.
func TestScreensReadLately(t *testing.T) {
	f := oldFarm(t, 9, 6)
	s := f.ForScreens()
	a, err := s.Read()
	if err != nil {
		t.Fatal(err)
	}
	whole := view(t, f, Question{})
	if v := a.Ask.(*View); v.content.LeftOut == 0 || len(v.Entries)*2 > len(whole.Entries) {
		t.Errorf("the screens read %d of %d entries", len(v.Entries), len(whole.Entries))
	}
	got, err := board.TodayJSON(a.Assessment, board.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := board.TodayJSON(whole.Assess(), board.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("the screens answer otherwise than the whole record does")
	}
	file := filepath.Join(t.TempDir(), "nights.csv")
	if err := os.WriteFile(file, []byte("night,low_c\n2022-08-20,9.5\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, want := range []int{1, 0} { // the second time it is known
		out, err := s.Import(form.Said{"station": {"s0"}, "file": {file}, "unit": {"C"}, "yes": {"yes"}})
		if err != nil {
			t.Fatal(err)
		}
		if len(out.Entries) != want {
			t.Errorf("%d entries of a night of a closed season, want %d", len(out.Entries), want)
		}
		if _, err := out.Store(); err != nil {
			t.Fatal(err)
		}
		later := f.Clock().AddDate(0, 0, 10) // when it is of late no more
		f.Clock = func() time.Time { return later }
	}
}

// A form that is told of a closed season is answered from all of the record.
func TestFormsReachIntoClosedSeasons(t *testing.T) {
	f := oldFarm(t, 9, 6)
	whole, short := view(t, f, Question{}), lately(t, f)
	night := fields.MakeDate(2022, 9, 20)
	want, words := whole.FrostOnFile("p0", night, night)
	if d, is := short.FrostOnFile("p0", night, night); want != night || d != want || is != words {
		t.Errorf("%v, %s; of all %v, %s", d, is, want, words)
	}
	walk := &fields.Walk{Paddock: "p0", FrostDamage: "tips", Killed: "none"}
	day := fields.MakeDate(2022, 9, 22)
	if is, want := lately(t, f).Unexplained("p0", walk, day), whole.Unexplained("p0", walk, day); is != want || want {
		t.Errorf("damage after a logged frost is unexplained: %v, of all %v", is, want)
	}
}

// The unit of an old file is doubted by what the other thermometers read in that season.
func TestOldFilesAreDoubtedByAll(t *testing.T) {
	f := oldFarm(t, 9, 6)
	var file strings.Builder
	file.WriteString("night,low_c\n")
	for n := range 6 { // cold, but the season has such; of no farm whose other thermometer read 0 °C
		fmt.Fprintf(&file, "%s,1\n", fields.MakeDate(2022, 11, 22).Add(n))
	}
	var told []string
	for _, v := range []*View{view(t, f, Question{}), lately(t, f)} {
		in := &Intake{Station: "s0", Options: FileOptions(v, form.Of(form.Import).Read(form.Said{"unit": {"F"}}, form.Context{Now: v.Now, Farm: v}))}
		x, err := in.Read(v, "nights.csv", strings.NewReader(file.String()))
		if err != nil {
			t.Fatal(err)
		}
		told = append(told, fmt.Sprint(x.Told))
	}
	if told[0] != told[1] || !strings.Contains(told[0], "Look again") {
		t.Errorf("%s\n%s", told[0], told[1])
	}
}

// A log is answered from what was read unless it reaches into what was left out.
func TestLogReadsAllWhereItMust(t *testing.T) {
	f := oldFarm(t, 3, 5)
	yes := true
	today := lately(t, f).Today
	for _, c := range []struct {
		what  string
		whole bool
		on    fields.Date
		body  fields.Body
	}{
		{"a frost of today", false, today, &fields.Frost{Paddocks: []string{"p0"}, Night: today, LowC: num(-3)}},
		{"a walk of today", false, today, &fields.Walk{Paddock: "p0", Killed: "none", ShortestCM: num(70), WeedsChecked: &yes}},
		{"a forecast of tomorrow", false, today, &fields.Forecast{Station: "s0", Night: today + 1, LowC: num(-4), Issued: time.Date(2026, 12, 3, 12, 0, 0, 0, time.UTC)}},
		{"rain of last week", false, today - 7, &fields.Rain{Paddocks: []string{"p0"}, MM: num(3)}},
		{"stock in today", false, today, &fields.Grazed{Paddock: "p2", State: "in", Herd: "cows"}},
		{"stock in last week", true, today - 7, &fields.Grazed{Paddock: "p2", State: "in", Herd: "cows"}},
		{"a walk of years ago", true, today - 900, &fields.Walk{Paddock: "p0", Killed: "none", WeedsChecked: &yes}},
		{"damage of a night years ago", true, today, &fields.Walk{Paddock: "p0", FrostDamage: "tips", DamageNight: today - 900}},
		{"no frost since years", true, today, &fields.NoFrost{Paddocks: []string{"p0"}, From: today - 900, To: today - 1, Basis: "thermometer-in-paddock"}},
		{"a cut", true, today, &fields.Cut{Paddock: "p0", Use: "silage"}},
		{"a lot", true, today, &fields.LotFacts{Lot: "new", LotKind: "hay", MadeOn: today, From: []string{"p0"}}},
		{"land split", true, today, &fields.Split{From: []string{"p0"}, Into: []string{"p0a", "p0b"}}},
		{"another thermometer", true, today, &fields.PaddockFacts{Paddock: "p0", Name: "p0", Station: "s1"}},
		{"a vet's word", true, today, &fields.Vet{Paddock: "p0", Advice: "may-graze", Who: "vet", Because: "seen", Until: today + 5}},
		{"another number", true, today, &fields.Override{Rule: "prussic.frost.wait", Value: &fields.RuleValue{Number: num(21)}, Because: "careful"}},
		{"a strike", true, today, &fields.Strike{Entry: view(t, f, Question{}).Entries[40].ID, Because: "a slip"}},
	} {
		logged := func(v *View) (*Logged, []string) {
			l, err := v.Log([]fields.Entry{{On: c.on, Body: c.body}}, true, Sure{Names: true, Figures: true})
			if err != nil {
				return nil, []string{err.Error()}
			}
			texts := l.Notes
			for _, a := range []*hazard.Assessment{l.Before, l.After} {
				b, err := board.TodayJSON(a, board.Filter{})
				if err != nil {
					t.Fatal(err)
				}
				texts = append(texts, unstored.ReplaceAllString(string(b), "~"))
			}
			return l, texts
		}
		_, want := logged(view(t, f, Question{}))
		l, got := logged(lately(t, f))
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("%s: %s", c.what, firstUnlike(want, got))
		}
		if l != nil && (l.View.content.LeftOut == 0) != c.whole {
			t.Errorf("%s: %d entries were left out", c.what, l.View.content.LeftOut)
		}
	}
}

// Lots of closed seasons that are asked about by name are answered from all of the record.
func TestNamingAUsedUpLot(t *testing.T) {
	f := oldFarm(t, 3, 5)
	const lot = "hay-2023-0"
	short := lately(t, f)
	if slices.Contains(short.History.Lots(), lot) {
		t.Fatal("the lot was not left out")
	}
	for _, id := range []string{"", "p0", "bought"} {
		if v, err := short.Of(id); v != short || err != nil {
			t.Errorf("for %q all of the record was read (%v)", id, err)
		}
	}
	for _, typed := range []string{lot, "Hay 2023 0"} {
		if id, err := short.Lot(typed); id != lot || err != nil {
			t.Errorf("%s is the lot %q: %v", typed, id, err)
		}
	}
	walks := 0
	f.store.Trace = func(step string) {
		if step == "walking" {
			walks++
		}
	}
	for range 3 { // names that mean nothing, as a sheet may hold many
		_, _ = short.Paddock("nowhere")
	}
	if f.store.Trace = nil; walks > 1 {
		t.Errorf("names that mean nothing had the whole record read %d times", walks)
	}
	for _, v := range []*View{short, view(t, f, Question{})} {
		_, err := v.Lot("hay-2023")
		if err == nil || !strings.Contains(err.Error(), "there is bought, hay-2026-0") {
			t.Errorf("a name of no lot: %v", err)
		}
	}
	want, err := view(t, f, Question{}).Naming(lot)
	if err != nil {
		t.Fatal(err)
	}
	got, err := lately(t, f).Naming(lot)
	if err != nil || !reflect.DeepEqual(got.Lots, want.Lots) || len(got.Lots) != 3 {
		t.Errorf("%v: %d lots, want %d", err, len(got.Lots), len(want.Lots))
	}
}

// firstUnlike is the first line in which two answers differ.
func firstUnlike(whole, short []string) string {
	a, b := strings.Split(strings.Join(whole, "\n"), "\n"), strings.Split(strings.Join(short, "\n"), "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("all of the record says\n%s\nwithout closed seasons\n%s", a[i], b[i])
		}
	}
	return fmt.Sprintf("all of the record says %d lines, without closed seasons %d", len(a), len(b))
}

func lately(t testing.TB, f *Farm) *View {
	t.Helper()
	v, err := f.Lately()
	if err != nil {
		t.Fatal(err)
	}
	return v
}
