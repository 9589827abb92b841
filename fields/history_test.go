package fields_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

// book writes entries for a test; ids count up in the order of writing.
type book struct {
	t       *testing.T
	entries []fields.Entry
}

// add writes an entry of the day on, recorded at 06:00 UTC that day, and
// returns its id.
func (b *book) add(on string, body fields.Body) string { return b.late(on, on+"T06:00:00Z", body) }

// late writes an entry recorded at another moment.
func (b *book) late(on, recorded string, body fields.Body) string {
	b.t.Helper()
	at, err := time.Parse(time.RFC3339, recorded)
	if err != nil {
		b.t.Fatal(err)
	}
	e := fields.Entry{ID: fmt.Sprintf("01J8ZQ4V7W%016d", len(b.entries)), Recorded: at, By: "sam", On: day(b.t, on), Body: body}
	if ps := fields.Check(&e); len(ps) > 0 {
		b.t.Fatalf("%T: %v", body, ps)
	}
	b.entries = append(b.entries, e)
	return e.ID
}

// fold folds what was known at the end of the day asked.
func (b *book) fold(on string) *fields.History {
	return fields.Fold(b.entries, fields.View{On: day(b.t, on)})
}

func (b *book) knownAt(on, at string) *fields.History {
	b.t.Helper()
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		b.t.Fatal(err)
	}
	return fields.Fold(b.entries, fields.View{On: day(b.t, on), KnownAt: t})
}

func ids(fs []fields.Fact) []string {
	out := []string{}
	for _, f := range fs {
		out = append(out, f.ID)
	}
	return out
}

func frostOn(t *testing.T, night string, paddocks ...string) *fields.Frost {
	return &fields.Frost{Paddocks: paddocks, Night: day(t, night)}
}

func TestKnownAt(t *testing.T) {
	b := &book{t: t}
	early := b.late("2026-09-17", "2026-09-17T06:40:00-06:00", frostOn(t, "2026-09-17", "north"))
	late := b.late("2026-09-16", "2026-09-19T20:00:00-06:00", frostOn(t, "2026-09-16", "north"))
	for _, c := range []struct {
		at   string
		want []string
	}{
		{"2026-09-17T06:39:59-06:00", []string{}},
		{"2026-09-17T12:40:00Z", []string{early}}, // the very moment, in another zone
		{"2026-09-19T19:59:59-06:00", []string{early}},
		{"2026-09-19T20:00:00-06:00", []string{late, early}}, // found out later, dated before
	} {
		if got := ids(b.knownAt("2026-09-20", c.at).Facts); !reflect.DeepEqual(got, c.want) {
			t.Errorf("known at %s: %v, want %v", c.at, got, c.want)
		}
	}
	if got := b.fold("2026-09-20").Facts; len(got) != 2 {
		t.Errorf("without a moment everything is known, got %v", ids(got))
	}
}

func TestOnlyTheDaysUpToTheOneAskedCount(t *testing.T) {
	b := &book{t: t}
	low := -1.0
	forecast := func(night string) *fields.Forecast {
		return &fields.Forecast{Paddock: "north", Night: day(t, night), LowC: &low, Issued: time.Date(2026, 9, 16, 12, 0, 0, 0, time.UTC)}
	}
	frost := b.add("2026-09-17", frostOn(t, "2026-09-17", "north"))
	evening := b.add("2026-09-17", frostOn(t, "2026-09-18", "north")) // written down before its night was over
	b.add("2026-09-18", frostOn(t, "2026-09-18", "north"))            // its night decides, not its day
	b.add("2026-09-17", frostOn(t, "2026-09-19", "north"))            // of no night that has begun
	seen := b.add("2026-11-30", &fields.Seen{Paddock: "north", Species: []string{"chokecherry"}})
	tonight := b.add("2026-09-16", forecast("2026-09-18"))
	b.add("2026-09-16", forecast("2026-09-19"))
	h := b.fold("2026-09-17")
	if got, want := ids(h.Facts), []string{frost, evening, tonight, seen}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if got := ids(h.OfPaddock("north")); len(got) != 4 {
		t.Error(got)
	}
}

func TestStrikes(t *testing.T) {
	b := &book{t: t}
	frost := b.add("2026-09-17", frostOn(t, "2026-09-17", "north"))
	strike := b.late("2026-09-20", "2026-09-20T06:00:00Z", &fields.Strike{Entry: frost, Because: "another paddock"})
	b.add("2026-09-21", &fields.Strike{Entry: strike, Because: "changed my mind"})
	other := b.add("2026-09-17", frostOn(t, "2026-09-17", "creek"))
	b.add("2026-09-21", &fields.Strike{Entry: "01J8ZQ4V7W0000000000009999", Because: "names nothing here"})

	// A mistake is a mistake on every day, the days before the strike too.
	h := b.fold("2026-09-17")
	if got := ids(h.Facts); !reflect.DeepEqual(got, []string{other}) {
		t.Errorf("counting: %v", got)
	}
	if got := ids(h.StruckFacts()); !reflect.DeepEqual(got, []string{frost}) {
		t.Errorf("struck: %v", got)
	}
	if h.Struck[frost].ID != strike || len(h.OfPaddock("north")) != 0 {
		t.Error("the strike is not remembered with its entry")
	}
	// But nobody knew it before it was recorded.
	if got := ids(b.knownAt("2026-09-17", "2026-09-20T05:59:59Z").Facts); !reflect.DeepEqual(got, []string{frost, other}) {
		t.Errorf("before the strike: %v", got)
	}
	// A strike of a strike has no effect, and strikes themselves are listed.
	after := b.fold("2026-09-30")
	if _, still := after.Struck[frost]; !still || len(after.StruckFacts()) != 1 || len(after.Facts) != 4 {
		t.Errorf("after: %v, struck %v", ids(after.Facts), ids(after.StruckFacts()))
	}
}

func TestTheFirstStrikeIsTheOneNamed(t *testing.T) {
	b := &book{t: t}
	frost := b.add("2026-09-17", frostOn(t, "2026-09-17", "north"))
	b.add("2026-09-22", &fields.Strike{Entry: frost, Because: "second"})
	first := b.add("2026-09-20", &fields.Strike{Entry: frost, Because: "first"})
	if got := b.fold("2026-09-30").Struck[frost].ID; got != first {
		t.Error(got)
	}
}

func TestFarmMergesByField(t *testing.T) {
	b := &book{t: t}
	share := 21.0
	b.add("2026-05-01", &fields.Farm{Name: "Old Name", Zone: "America/Regina", Units: "us", ShareDays: &share, Contacts: &fields.Contacts{Manager: "M", Vet: "V"}})
	b.add("2026-06-01", &fields.Farm{Name: "New Name", Zone: "America/Regina", Contacts: &fields.Contacts{Vet: "W"}})
	h := b.fold("2026-07-01")
	want := fields.Farm{Name: "New Name", Zone: "America/Regina", Units: "us", ShareDays: &share, Contacts: &fields.Contacts{Manager: "M", Vet: "W"}}
	if diff := cmp.Diff(want, h.Farm, sameInstant); diff != "" {
		t.Error(diff)
	}
	if !h.ZoneSet || h.Loc.String() != "America/Regina" {
		t.Error(h.Loc)
	}
	if h := b.fold("2026-05-15"); h.Farm.Name != "Old Name" || h.Farm.Contacts.Vet != "V" {
		t.Error("the day asked was told of what came after it")
	}
	if h := fields.Fold(nil, fields.View{}); h.ZoneSet || h.Loc != time.UTC {
		t.Error("a farm without entries has a zone")
	}
}

func TestHerdAndStationMergeByField(t *testing.T) {
	b := &book{t: t}
	f := func(n float64) *float64 { return &n }
	b.add("2026-05-01", &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle", "young-cattle"}, Head: f(80), WeightKg: f(600)})
	b.add("2026-06-01", &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: f(78)})
	b.add("2026-05-01", &fields.StationFacts{Station: "yard", Name: "Yard", HeightM: f(1.5)})
	b.add("2026-06-01", &fields.StationFacts{Station: "yard", Name: "Yard post", Lat: f(50)})
	h := b.fold("2026-07-01")
	g := h.Herd("pairs")
	if !reflect.DeepEqual(g.Classes, []string{"bred-cattle"}) || *g.Head != 78 || *g.WeightKg != 600 {
		t.Errorf("%+v", g.HerdFacts)
	}
	s := h.Station("yard")
	if s.Name != "Yard post" || *s.HeightM != 1.5 || *s.Lat != 50 {
		t.Errorf("%+v", s)
	}
	if h.Herd("bulls") != nil || h.Station("town") != nil || h.Paddock("x") != nil {
		t.Error("something nobody described was found")
	}
}

// The day an instant belongs to depends on the farm's zone, known or not.
func TestEventDateIsInTheFarmsZone(t *testing.T) {
	at := time.Date(2026, 9, 18, 3, 0, 0, 0, time.UTC) // the evening of the 17th in Regina
	rain := fields.Entry{ID: idA, Recorded: at, By: "s", At: at, Body: &fields.Rain{Paddocks: []string{"n"}, MM: new(float64(4))}}
	farm := fields.Entry{ID: idB, Recorded: at, By: "s", On: day(t, "2026-05-01"), Body: &fields.Farm{Name: "f", Zone: "America/Regina"}}
	h := fields.Fold([]fields.Entry{rain, farm}, fields.View{On: day(t, "2026-09-17")})
	if len(h.Facts) != 2 || h.Facts[1].Date.String() != "2026-09-17" {
		t.Errorf("%v", ids(h.Facts))
	}
	if h := fields.Fold([]fields.Entry{rain}, fields.View{On: day(t, "2026-09-17")}); len(h.Facts) != 0 {
		t.Error("without a zone the entry is of the 18th")
	}
	frost := fields.Entry{ID: idA, Recorded: at, By: "s", Body: &fields.Frost{Paddocks: []string{"n"}, Night: day(t, "2026-09-17"), EndedAt: time.Date(2026, 9, 17, 19, 0, 0, 0, time.UTC)}}
	if d := frost.EventDate(zone(t, "America/Regina")); d.String() != "2026-09-18" {
		t.Errorf("it froze until 13:00, so the night is that of the 18th, got %s", d)
	}
	if d := frost.EventDate(zone(t, "Pacific/Honolulu")); d.String() != "2026-09-17" {
		t.Errorf("it froze until 9:00, got %s", d)
	}
}

func TestNightSettings(t *testing.T) {
	b := &book{t: t}
	f := func(n float64) *float64 { return &n }
	low := true
	b.add("2026-05-01", &fields.PaddockFacts{Paddock: "north", Name: "North", AreaHa: f(12)})
	b.add("2026-06-01", &fields.PaddockFacts{Paddock: "north", Name: "North", Station: "yard", OffsetC: f(-1)})
	b.add("2026-08-01", &fields.PaddockFacts{Paddock: "north", Name: "North Slough", Station: "hill"})
	b.add("2026-09-01", &fields.PaddockFacts{Paddock: "north", Name: "North Slough", OffsetC: f(-0.5), LowLying: &low})
	h := b.fold("2026-10-01")
	if p := h.Paddock("north"); p.Name != "North Slough" || *p.AreaHa != 12 || !p.Known {
		t.Errorf("%+v", p)
	}
	for _, c := range []struct {
		night   string
		station string
		offset  float64
		low     bool
	}{
		{"2026-04-01", "yard", -1, true}, // each setting's earliest entry reaches back
		{"2026-05-31", "yard", -1, true},
		{"2026-07-31", "yard", -1, true},
		{"2026-08-01", "hill", -1, true},
		{"2026-09-01", "hill", -0.5, true},
		{"2026-09-30", "hill", -0.5, true},
	} {
		got := h.NightSetting([]string{"north"}, day(t, c.night))
		want := fields.NightSetting{Stations: []string{c.station}, OffsetC: c.offset, LowLying: c.low}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("night of %s: %+v, want %+v", c.night, got, want)
		}
	}
	if got := h.NightSetting([]string{"nobody"}, day(t, "2026-09-01")); !reflect.DeepEqual(got, fields.NightSetting{}) {
		t.Errorf("%+v", got)
	}
	if got := h.StationsOf([]string{"north", "nobody"}); !reflect.DeepEqual(got, []string{"yard", "hill"}) {
		t.Error(got)
	}
}

// Where entries of one date disagree, the colder answer holds, whichever was
// written first.
func TestColderAnswerOnOneDate(t *testing.T) {
	f := func(n float64) *float64 { return &n }
	yes, no := true, false
	facts := []fields.Body{
		&fields.PaddockFacts{Paddock: "north", Name: "N", Station: "yard", OffsetC: f(-0.5), LowLying: &no},
		&fields.PaddockFacts{Paddock: "north", Name: "N", Station: "hill", OffsetC: f(-2), LowLying: &yes},
		&fields.PaddockFacts{Paddock: "north", Name: "N", OffsetC: f(0), LowLying: &no},
	}
	rand.Shuffle(len(facts), func(i, j int) { facts[i], facts[j] = facts[j], facts[i] })
	b := &book{t: t}
	for _, f := range facts {
		b.add("2026-06-01", f)
	}
	got := b.fold("2026-10-01").NightSetting([]string{"north"}, day(t, "2026-09-17"))
	if got.OffsetC != -2 || !got.LowLying || len(got.Stations) != 2 {
		t.Errorf("%+v", got)
	}
}

func TestWatchedNights(t *testing.T) {
	md := func(s string) fields.MonthDay {
		m, err := fields.ParseMonthDay(s)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	farm := func(from, to string) *fields.Farm {
		return &fields.Farm{Name: "f", Zone: "UTC", FrostWatch: &fields.Watch{From: md(from), To: md(to)}}
	}
	b := &book{t: t}
	b.add("2026-01-01", &fields.Farm{Name: "f", Zone: "UTC"})
	if h := b.fold("2026-12-31"); !h.Watched(day(t, "2026-07-01")) || h.NarrowedWatch() != nil {
		t.Error("without a watch every night is watched")
	}
	b.add("2026-03-01", farm("09-01", "05-31"))
	b.add("2026-09-10", farm("08-01", "06-30"))
	b.add("2026-09-10", farm("09-15", "05-31")) // disagrees: nights of both are watched
	h := b.fold("2026-12-31")
	for night, want := range map[string]bool{
		"2026-02-01": true,  // the earliest watch reaches back
		"2025-07-01": false, // and leaves out what it leaves out
		"2026-06-15": false, // the first watch held then
		"2026-09-12": true,  // one of two says so
		"2027-06-15": true,
		"2027-07-15": false,
	} {
		if h.Watched(day(t, night)) != want {
			t.Errorf("night of %s: watched %v", night, !want)
		}
	}
	if w := h.NarrowedWatch(); w == nil {
		t.Error("a narrowed watch is not told")
	}
	b.add("2026-10-01", farm("06-16", "06-15"))
	if w := b.fold("2026-12-31").NarrowedWatch(); w != nil {
		t.Errorf("the whole year counts as narrowed: %v", w)
	}
}

func lineNames(lines [][]string) []string {
	var out []string
	for _, l := range lines {
		out = append(out, strings.Join(l, ">"))
	}
	return out
}

func TestSplitAndJoin(t *testing.T) {
	b := &book{t: t}
	hail := func(on string, p ...string) string { return b.add(on, &fields.Hail{Paddocks: p}) }
	before := hail("2026-05-01", "home")
	split := b.add("2026-06-01", &fields.Split{From: []string{"home"}, Into: []string{"east", "west"}})
	onEast := hail("2026-06-05", "east")
	onHome := hail("2026-06-06", "home") // said of the parent: holds for all parts
	join := b.add("2026-07-01", &fields.Join{From: []string{"west", "creek"}, Into: []string{"meadow"}})
	onMeadow := hail("2026-07-05", "meadow")
	onCreek := hail("2026-05-02", "creek")
	h := b.fold("2026-10-01")
	for id, want := range map[string][]string{
		"home":   {"home"},
		"east":   {"home>east"},
		"west":   {"home>west"},
		"meadow": {"home>west>meadow", "creek>meadow"},
		"nobody": {"nobody"},
	} {
		if got := lineNames(h.Lines(id)); !reflect.DeepEqual(got, want) {
			t.Errorf("lines of %s: %v, want %v", id, got, want)
		}
	}
	for line, want := range map[string][]string{
		"home>east":        {before, split, onEast, onHome},
		"home>west>meadow": {before, split, onHome, join, onMeadow},
		"creek>meadow":     {onCreek, join, onMeadow},
	} {
		if got := ids(h.LineFacts(strings.Split(line, ">"))); !reflect.DeepEqual(got, want) {
			t.Errorf("facts of %s: %v, want %v", line, got, want)
		}
	}
	var standing []string
	for _, p := range h.Standing() {
		standing = append(standing, p.ID)
	}
	if want := []string{"east", "meadow"}; !reflect.DeepEqual(standing, want) {
		t.Errorf("standing: %v", standing)
	}
	if p := h.Paddock("home"); p.Retired.String() != "2026-06-01" || p.Known {
		t.Errorf("%+v", p)
	}
	// Before the fences moved, the old paddock stands.
	if h := b.fold("2026-05-31"); h.Paddock("home").Retired != fields.NoDate || len(h.Standing()) != 2 {
		t.Error("the split reached back")
	}
}

// Fences come and go: what is joined back under its old name stands again.
func TestJoinedBackUnderTheOldName(t *testing.T) {
	b := &book{t: t}
	b.add("2026-05-01", &fields.Hail{Paddocks: []string{"home"}})
	b.add("2026-06-01", &fields.Split{From: []string{"home"}, Into: []string{"east", "west"}})
	b.add("2026-08-01", &fields.Join{From: []string{"east", "west"}, Into: []string{"home"}})
	h := b.fold("2026-10-01")
	var standing []string
	for _, p := range h.Standing() {
		standing = append(standing, p.ID)
	}
	if !reflect.DeepEqual(standing, []string{"home"}) {
		t.Errorf("standing: %v", standing)
	}
	if got := lineNames(h.Lines("home")); !reflect.DeepEqual(got, []string{"home>east>home", "home>west>home"}) {
		t.Errorf("%v", got)
	}
	for _, l := range h.Lines("home") {
		if got := h.LineFacts(l); len(got) != 3 {
			t.Errorf("%v: %v", l, ids(got))
		}
	}
}

func TestSettingsComeDownTheLine(t *testing.T) {
	b := &book{t: t}
	f := func(n float64) *float64 { return &n }
	b.add("2026-05-01", &fields.PaddockFacts{Paddock: "home", Name: "Home", Station: "yard", OffsetC: f(-1)})
	b.add("2026-06-01", &fields.Split{From: []string{"home"}, Into: []string{"east", "west"}})
	b.add("2026-06-02", &fields.PaddockFacts{Paddock: "east", Name: "East", OffsetC: f(-3)})
	h := b.fold("2026-10-01")
	if got := h.NightSetting([]string{"home", "east"}, day(t, "2026-09-17")); got.OffsetC != -3 || !reflect.DeepEqual(got.Stations, []string{"yard"}) {
		t.Errorf("%+v", got)
	}
	if got := h.NightSetting([]string{"home", "west"}, day(t, "2026-09-17")); got.OffsetC != -1 {
		t.Errorf("%+v", got)
	}
}

func TestStays(t *testing.T) {
	yes := true
	type g struct {
		on, state, herd, paddock string
		swath                    *bool
	}
	for _, c := range []struct {
		name string
		log  []g
		want []string // paddock herd in-out
	}{
		{"in and out", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-10", "out", "pairs", "north", &yes}}, []string{"north pairs 2026-06-01 2026-06-10 swath"}},
		{"still inside", []g{{"2026-06-01", "in", "pairs", "north", nil}}, []string{"north pairs 2026-06-01 -"}},
		{"in again is still inside", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-04", "in", "pairs", "north", nil}}, []string{"north pairs 2026-06-01 -"}},
		{"in elsewhere is out here", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-10", "in", "pairs", "creek", nil}}, []string{"north pairs 2026-06-01 2026-06-10", "creek pairs 2026-06-10 -"}},
		{"another herd stays", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-02", "in", "bulls", "north", nil}, {"2026-06-10", "out", "bulls", "north", nil}}, []string{"north pairs 2026-06-01 -", "north bulls 2026-06-02 2026-06-10"}},
		{"out without a herd takes all", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-02", "in", "", "north", nil}, {"2026-06-10", "out", "", "north", nil}}, []string{"north pairs 2026-06-01 2026-06-10", "north  2026-06-02 2026-06-10"}},
		{"out of a herd leaves unnamed stock", []g{{"2026-06-01", "in", "", "north", nil}, {"2026-06-10", "out", "pairs", "north", nil}}, []string{"north  2026-06-01 -", "north pairs - 2026-06-10"}},
		{"unnamed stock in two paddocks", []g{{"2026-06-01", "in", "", "north", nil}, {"2026-06-02", "in", "", "creek", nil}}, []string{"north  2026-06-01 -", "creek  2026-06-02 -"}},
		{"out without a known in", []g{{"2026-06-10", "out", "pairs", "north", nil}}, []string{"north pairs - 2026-06-10"}},
		{"out elsewhere changes nothing here", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-10", "out", "pairs", "creek", nil}}, []string{"north pairs 2026-06-01 -", "creek pairs - 2026-06-10"}},
		// On one date what stood before decides the order.
		{"inside before: out and back", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-10", "in", "pairs", "north", nil}, {"2026-06-10", "out", "pairs", "north", nil}}, []string{"north pairs 2026-06-01 2026-06-10", "north pairs 2026-06-10 -"}},
		{"outside before: in and out", []g{{"2026-06-10", "out", "pairs", "north", nil}, {"2026-06-10", "in", "pairs", "north", nil}}, []string{"north pairs 2026-06-10 2026-06-10"}},
		{"moved on one day", []g{{"2026-06-01", "in", "pairs", "north", nil}, {"2026-06-10", "in", "pairs", "creek", nil}, {"2026-06-10", "out", "pairs", "north", nil}}, []string{"north pairs 2026-06-01 2026-06-10", "creek pairs 2026-06-10 -"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := &book{t: t}
			for _, x := range c.log {
				b.add(x.on, &fields.Grazed{Paddock: x.paddock, State: fields.Move(x.state), Herd: x.herd, SwathLeft: x.swath})
			}
			h := b.fold("2026-10-01")
			var got []string
			for _, s := range h.Stays() {
				in, out := s.In.String(), s.Out.String()
				if in == "" {
					in = "-"
				}
				if out == "" {
					out = "-"
				}
				text := fmt.Sprintf("%s %s %s %s", s.Paddock, s.Herd, in, out)
				if s.SwathLeft != nil && *s.SwathLeft {
					text += " swath"
				}
				got = append(got, text)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
			inside := 0
			for _, w := range got {
				if strings.HasSuffix(w, " -") && strings.HasPrefix(w, "north ") {
					inside++
				}
			}
			if got := h.Inside([]string{"home", "north"}); len(got) != inside {
				t.Errorf("inside: %v", got)
			}
		})
	}
}

func TestHerdKnowsWhereItStands(t *testing.T) {
	b := &book{t: t}
	head := 80.0
	b.add("2026-05-01", &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: &head})
	b.add("2026-06-01", &fields.Grazed{Paddock: "north", State: "in", Herd: "pairs"})
	b.add("2026-06-10", &fields.Grazed{Paddock: "creek", State: "in", Herd: "pairs"})
	if g := b.fold("2026-06-09").Herd("pairs"); g.In != "north" || g.Since.String() != "2026-06-01" {
		t.Errorf("%+v", g)
	}
	if g := b.fold("2026-06-10").Herd("pairs"); g.In != "creek" || g.Since.String() != "2026-06-10" {
		t.Errorf("%+v", g)
	}
	b.add("2026-06-12", &fields.Grazed{Paddock: "creek", State: "out", Herd: "pairs"})
	if g := b.fold("2026-06-12").Herd("pairs"); g.In != "" || g.Since != fields.NoDate {
		t.Errorf("%+v", g)
	}
}

func TestLotsAndStations(t *testing.T) {
	b := &book{t: t}
	low := -1.0
	cut := b.add("2026-07-01", &fields.Cut{Paddock: "north", Use: "hay", Lot: "h1"})
	lot := b.add("2026-07-05", &fields.LotFacts{Lot: "h1", LotKind: "hay", MadeOn: day(t, "2026-07-05"), From: []string{"north"}})
	b.add("2026-07-06", &fields.Cut{Paddock: "creek", Use: "hay", Lot: "h2"})
	r1 := b.add("2026-09-17", &fields.Reading{Station: "yard", Night: day(t, "2026-09-17"), LowC: &low})
	b.add("2026-09-18", &fields.Reading{Station: "yard", Night: day(t, "2026-09-18"), LowC: &low})
	b.add("2026-09-17", &fields.Reading{Paddock: "north", Night: day(t, "2026-09-17"), LowC: &low})
	fc := b.add("2026-09-16", &fields.Forecast{Station: "yard", Night: day(t, "2026-09-17"), LowC: &low, Issued: time.Date(2026, 9, 16, 18, 0, 0, 0, time.UTC)})
	h := b.fold("2026-10-01")
	if got := h.Lots(); !reflect.DeepEqual(got, []string{"h1"}) {
		t.Errorf("a lot nobody described is listed: %v", got)
	}
	if got := ids(h.OfLot("h1")); !reflect.DeepEqual(got, []string{cut, lot}) {
		t.Error(got)
	}
	if got := h.OfStation("yard"); len(got) != 3 {
		t.Error(ids(got))
	}
	if got := h.ReadingsOf("yard", day(t, "2026-09-17")); len(got) != 1 || got[0].ID != r1 {
		t.Error(got)
	}
	if got := h.ForecastsOf("yard", day(t, "2026-09-17")); len(got) != 1 || got[0].ID != fc {
		t.Error(got)
	}
	if len(h.ReadingsOf("yard", day(t, "2026-09-19"))) != 0 || len(h.ForecastsOf("town", day(t, "2026-09-17"))) != 0 {
		t.Error("something was read that is not there")
	}
}

// picture is all a history tells, in plain values, to be compared.
func picture(h *fields.History, refs []string) map[string]any {
	p := map[string]any{
		"loc": h.Loc.String(), "zone set": h.ZoneSet, "farm": h.Farm, "facts": ids(h.Facts), "struck facts": ids(h.StruckFacts()),
		"paddocks": h.Paddocks, "stations": h.Stations, "herds": h.Herds, "stays": h.Stays(), "lots": h.Lots(), "narrowed": h.NarrowedWatch(),
	}
	struck := map[string]string{}
	for id, f := range h.Struck {
		struck[id] = f.ID
	}
	p["struck"] = struck
	for _, r := range refs {
		p["paddock "+r] = ids(h.OfPaddock(r))
		p["lot "+r] = ids(h.OfLot(r))
		p["station "+r] = ids(h.OfStation(r))
		p["lines "+r] = h.Lines(r)
		for _, l := range h.Lines(r) {
			p["facts "+strings.Join(l, ">")] = ids(h.LineFacts(l))
			for _, d := range []int{0, 400, 2000, 4000} {
				n := fields.MakeDate(2020, 1, 1).Add(d)
				p[fmt.Sprint("night ", strings.Join(l, ">"), n)] = h.NightSetting(l, n)
			}
		}
	}
	for d := 0; d < 4000; d += 97 {
		n := fields.MakeDate(2020, 1, 1).Add(d)
		p[fmt.Sprint("watched ", n)] = h.Watched(n)
	}
	return p
}

// Journals merge as sets, so the order in which entries arrived must not show.
func TestArrivalOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := draws{t}
		var list []fields.Entry
		seen := map[string]bool{}
		few := []string{"2026-05-01", "2026-05-02", "2026-05-02", "2026-05-03"} // many entries share a date
		for range rapid.IntRange(1, 25).Draw(t, "entries") {
			e := anyentry.Any(src)
			if rapid.Bool().Draw(t, "a shaping kind") {
				e = anyentry.Of(src, rapid.SampledFrom([]fields.Kind{"farm", "paddock", "split", "join", "station", "herd", "grazed", "strike"}).Draw(t, "kind"))
				e.On, _ = fields.ParseISODate(rapid.SampledFrom(few).Draw(t, "on"))
			}
			if s, ok := e.Body.(*fields.Strike); ok && len(list) > 0 {
				s.Entry = list[src.IntN(len(list))].ID
			}
			if !seen[e.ID] {
				seen[e.ID] = true
				list = append(list, e)
			}
		}
		v := fields.View{On: fields.MakeDate(2020, 1, 1).Add(src.IntN(4200))}
		if rapid.Bool().Draw(t, "known at") {
			v.KnownAt = list[src.IntN(len(list))].Recorded
		}
		refs := []string{"whole", "east", "west", "middle", "north", "creek", "hill", "p", "7", "nobody"}
		want := picture(fields.Fold(list, v), refs)
		other := make([]fields.Entry, len(list), 2*len(list))
		for i, j := range rapid.Permutation(indexes(len(list))).Draw(t, "order") {
			other[i] = list[j]
		}
		other = append(other, other[:src.IntN(len(other))]...) // some arrive twice
		if diff := cmp.Diff(want, picture(fields.Fold(other, v), refs), sameInstant); diff != "" {
			t.Fatal(diff)
		}
	})
}

func indexes(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

const aBatch = "01J8ZQ4V7X0000000000000000"

// brought writes an entry of a batch.
func (b *book) brought(on, recorded string, body fields.Body) string {
	id := b.late(on, recorded, body)
	b.entries[len(b.entries)-1].Batch = aBatch
	return id
}

// One strike takes back what an import brought up to then: not what it brought
// later, and not the strikes among it.
func TestStrikeOfABatch(t *testing.T) {
	b := &book{t: t}
	frost := func(p string) fields.Body {
		return &fields.Frost{Paddocks: []string{p}, Night: day(t, "2026-09-17")}
	}
	own := b.add("2026-09-17", frost("own"))
	alone := b.add("2026-09-17", frost("alone"))
	first := b.brought("2026-09-17", "2026-09-18T06:00:00Z", frost("first"))
	inside := b.brought("2026-09-18", "2026-09-18T06:00:00Z", &fields.Strike{Entry: alone, Because: "struck by the import"})
	same := b.brought("2026-09-17", "2026-09-20T06:00:00Z", frost("same"))
	late := b.brought("2026-09-17", "2026-09-20T06:00:01Z", frost("late"))
	other := b.add("2026-09-17", frost("elsewhere"))
	b.entries[len(b.entries)-1].Batch = "01J8ZQ4V7X0000000000000001"
	strike := b.late("2026-09-20", "2026-09-20T06:00:00Z", &fields.Strike{Batch: aBatch, Because: "wrong station"})
	h := b.fold("2026-09-30")
	for id, want := range map[string]string{own: "", alone: inside, first: strike, inside: "", same: strike, late: "", other: "", strike: ""} {
		if got := h.Struck[id].Entry; (got == nil) != (want == "") || got != nil && got.ID != want {
			t.Errorf("%s: struck by %v, want %q", id, got, want)
		}
	}
	if got := len(h.OfPaddock("first")) + len(h.OfPaddock("alone")); got != 0 {
		t.Errorf("%d struck facts count", got)
	}
	if len(h.OfPaddock("late")) != 1 || len(h.OfPaddock("elsewhere")) != 1 || len(h.OfPaddock("own")) != 1 {
		t.Error("a fact that was not struck is lost")
	}
	// Before the strike was written down all of it counted.
	if h := b.knownAt("2026-09-30", "2026-09-19T06:00:00Z"); len(h.OfPaddock("first")) != 1 {
		t.Error("struck before the strike")
	}
	// Two strikes of one batch: each reaches as far as its own moment.
	b.late("2026-09-21", "2026-09-21T06:00:00Z", &fields.Strike{Batch: aBatch, Because: "the rest too"})
	if h := b.fold("2026-09-30"); len(h.OfPaddock("late")) != 0 || h.Struck[first].Entry.ID != strike {
		t.Error("the second strike does not reach the rest, or takes the first one's place")
	}
}

// A farm entry that a batch brought gives the zone only until it is struck.
func TestStruckBatchWithAZone(t *testing.T) {
	b := &book{t: t}
	b.add("2026-05-01", &fields.Farm{Name: "f", Zone: "America/Regina"})
	b.brought("2026-06-01", "2026-06-01T06:00:00Z", &fields.Farm{Name: "wrong", Zone: "Europe/Paris"})
	if h := b.fold("2026-09-30"); h.Loc.String() != "Europe/Paris" {
		t.Fatal(h.Loc)
	}
	b.late("2026-06-02", "2026-06-02T06:00:00Z", &fields.Strike{Batch: aBatch, Because: "another farm's"})
	if h := b.fold("2026-09-30"); h.Loc.String() != "America/Regina" || h.Farm.Name != "f" {
		t.Errorf("%s, %+v", h.Loc, h.Farm)
	}
	b.brought("2026-06-01", "2026-06-03T06:00:00Z", &fields.Farm{Name: "later", Zone: "Europe/Oslo"})
	if h := b.fold("2026-09-30"); h.Loc.String() != "Europe/Oslo" {
		t.Errorf("what the import brought after the strike does not count: %s", h.Loc)
	}
}
