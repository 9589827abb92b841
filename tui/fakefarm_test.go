package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// fakeFarm keeps its journal in memory. It answers with the real engine, so
// that screens show what people will see, under a rulebook without a version.
type fakeFarm struct {
	mu      sync.Mutex
	entries []fields.Entry
	rev     uint64
	now     time.Time
	loc     *time.Location
	fail    error  // what every call answers, if set
	boom    string // what reading panics with, if set
	logged  int    // entries stored
	slow    chan struct{}
}

func (f *fakeFarm) book() *hazard.Rulebook {
	b := *rules.Default()
	b.Name, b.Version, b.Digest = "of the test", "1", "0"
	return &b
}

func (f *fakeFarm) trouble() error {
	if f.slow != nil {
		<-f.slow
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.boom != "" {
		panic(f.boom)
	}
	return f.fail
}

func (f *fakeFarm) set(err error, boom string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.fail, f.boom = err, boom
}

func (f *fakeFarm) today() fields.Date { return fields.DateOf(f.now, f.loc) }

func (f *fakeFarm) all() []fields.Entry {
	f.mu.Lock()
	defer f.mu.Unlock()
	return append([]fields.Entry{}, f.entries...)
}

func (f *fakeFarm) assess(entries []fields.Entry, on fields.Date) *hazard.Assessment {
	return hazard.Assess(fields.Fold(entries, fields.View{On: on, KnownAt: f.now}), f.book())
}

func (f *fakeFarm) Revision() (uint64, error) {
	if err := f.trouble(); err != nil {
		return 0, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.rev, nil
}

func (f *fakeFarm) Read() (*Answer, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	rev, _ := f.Revision()
	a := f.assess(f.all(), f.today())
	begins := ""
	if rev == 0 {
		begins = "There is no journal yet at own.journal; storing this begins one."
	}
	return &Answer{Assessment: a, Today: f.today(), Now: f.now, Revision: rev, Begins: begins, Ask: f, Rounds: rounds(f.all(), f.today(), a)}, nil
}

func rounds(entries []fields.Entry, on fields.Date, a *hazard.Assessment) []board.RoundRow {
	return board.RoundsOn(a, calendar.Rounds(fields.Fold(entries, fields.View{On: on}).Facts), 14, board.Filter{}).Rounds
}

// What is picked or chosen on screens is a name of the farm.
func (f *fakeFarm) Paddocks(typed []string) ([]string, error) { return typed, nil }
func (f *fakeFarm) Paddock(typed string) (string, error)      { return typed, nil }
func (f *fakeFarm) Station(typed string) (string, error)      { return typed, nil }
func (f *fakeFarm) Herd(typed string) (string, error)         { return typed, nil }
func (f *fakeFarm) Lot(typed string) (string, error)          { return typed, nil }
func (f *fakeFarm) StationNames() string                      { return "" }

// Unexplained: no frost is known of the paddock at all.
func (f *fakeFarm) Unexplained(paddock string, w *fields.Walk, _ fields.Date) bool {
	if !w.FoundDamage() || w.DamageNight != fields.NoDate {
		return false
	}
	for _, e := range f.all() {
		switch b := e.Body.(type) {
		case *fields.Frost:
			return !strings.Contains(strings.Join(b.Paddocks, " "), paddock)
		case *fields.Reading:
			if b.LowC != nil && *b.LowC <= 0 {
				return false
			}
		}
	}
	return true
}

func (f *fakeFarm) FrostOnFile(paddock string, first, last fields.Date) (fields.Date, string) {
	for _, x := range fields.Fold(f.all(), fields.View{On: f.today(), KnownAt: f.now}).Facts {
		b, read := x.Body.(*fields.Reading)
		cold := read && b.Station == "yard" && b.LowC != nil && *b.LowC <= 0
		if (cold || x.Kind() == fields.KindFrost && slices.Contains(x.Paddocks(), paddock)) && x.Date >= first && x.Date <= last {
			return x.Date, x.By + " logged it"
		}
	}
	return fields.NoDate, ""
}

func (f *fakeFarm) Fits(name string) []string {
	return map[string][]string{"clover": {"White clover", "Red clover", "Alsike clover"}}[strings.ToLower(name)]
}

func (f *fakeFarm) HarmSince(string, fields.Kind, fields.Date) bool { return false }

func (f *fakeFarm) Days(from, to fields.Date, assumed []fields.Entry, each func(*hazard.Assessment) bool) ([]string, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	all := f.all()
	var ps fields.Problems
	for i, e := range assumed {
		e.By, e.Recorded, e.ID = "nobody", f.now, fmt.Sprintf("01TEST%020d", len(all)+i+1)
		ps = append(ps, fields.Check(&e)...)
		all = append(all, e)
	}
	if err := ps.Err(); err != nil {
		return nil, err
	}
	for d := from; d <= to; d++ {
		if !each(f.assess(all, d)) {
			break
		}
	}
	return nil, nil
}

func (f *fakeFarm) Log(entries []fields.Entry, dryRun, stands bool) (*Outcome, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	was := f.all()
	out := &Outcome{Before: f.assess(was, f.today())}
	var ps fields.Problems
	for i, e := range entries {
		e.By, e.Recorded, e.ID = "Maren", f.now, fmt.Sprintf("01TEST%020d", len(was)+i+1)
		ps = append(ps, fields.Check(&e)...)
		if b, ok := e.Body.(*fields.Frost); ok && b.LowC != nil && *b.LowC > 8 {
			ps = append(ps, fields.Problem{Field: "low_c", What: "a low of " + fields.Temperature.Both(*b.LowC) + " is not a frost", Type: "check the unit: C or F"})
		}
		if b, ok := e.Body.(*fields.Reading); ok && b.LowC != nil && *b.LowC > 30 && !stands {
			ps = append(ps, fields.Problem{Field: "low_c", What: "it would be far too warm", Type: "check the unit: C or F; add --as-read if the thermometer showed it", Asked: true})
		}
		out.Entries = append(out.Entries, e)
	}
	if err := ps.Err(); err != nil {
		return nil, err
	}
	out.After = f.assess(append(was, out.Entries...), f.today())
	if !dryRun {
		f.write(out.Entries...)
	}
	return out, nil
}

// write is another seat, or ours, adding to the journal.
func (f *fakeFarm) write(entries ...fields.Entry) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.entries = append(f.entries, entries...)
	f.rev++
	f.logged += len(entries)
}

func (f *fakeFarm) Past(id string) ([]board.Past, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	h := fields.Fold(f.all(), fields.View{On: f.today(), KnownAt: f.now})
	facts := append(append([]fields.Fact{}, h.OfPaddock(id)...), h.OfLot(id)...)
	for _, x := range h.StruckFacts() {
		for _, p := range x.Paddocks() {
			if p == id {
				facts = append(facts, x)
			}
		}
	}
	fields.SortFacts(facts)
	var out []board.Past
	for _, x := range facts {
		p := board.Past{Entry: x.Entry, Date: x.Date, Words: board.EntryLine(x.Entry, h, board.Metric)}
		if s, ok := h.Struck[x.ID]; ok {
			p.Struck = "by " + s.By + ": " + s.Body.(*fields.Strike).Because
		}
		out = append(out, p)
	}
	return out, nil
}

func (f *fakeFarm) Import(said form.Said) (*Outcome, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	station := strings.Join(said["station"], "")
	if station == "" {
		return nil, fields.Problems{{Field: "station", What: "is missing"}}
	}
	entries := []fields.Entry{{Batch: "01TESTBATCH000000000000000", Body: &fields.Reading{Station: station, Night: f.today(), LowC: num(3), Source: strings.Join(said["file"], "")}}}
	out, err := f.Log(entries, true, true)
	if err == nil {
		out.Told = []string{"logger.csv: plain CSV, 2 rows read: 1 used, 1 refused.", "line 3: \x1b[31mred", "Dry run, nothing is stored. New: 1 night; 0 were in the journal already."}
		out.Store = func() (*Outcome, error) { return f.Log(entries, false, true) }
	}
	return out, err
}

func (f *fakeFarm) Blend(said form.Said) (func(int) string, error) {
	if len(said["feed"]) == 0 {
		return nil, fields.Problems{{Field: "feed", What: "is missing"}}
	}
	return func(w int) string {
		return strings.Join(board.Wrap("A blend of "+strings.Join(said["feed"], "")+" for "+strings.Join(said["herd"], ""), "", "  ", w), "\n") + "\n"
	}, nil
}

func (f *fakeFarm) Files(typed string) (out []string, err error) {
	for _, x := range []string{"data/logger-1.csv", "data/logger-2.csv", "data/\x1b[31mred.csv"} {
		if strings.HasPrefix(x, typed) {
			out = append(out, x)
		}
	}
	return out, nil
}

func (f *fakeFarm) Moves() (func(int) string, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	return func(w int) string {
		return strings.Join(board.Wrap("pairs: nowhere is clear today. They stand in Creek, which is on HOLD.", "", "  ", w), "\n") + "\n"
	}, nil
}

func (f *fakeFarm) Rules() ([]Rule, error) {
	if err := f.trouble(); err != nil {
		return nil, err
	}
	return []Rule{
		{ID: "test.wait", Value: "14 days", Title: "An invented rule", More: []string{"Governs: nothing", "Source: A paper that is none, with an address longer than a line, https://example.org/a/very/long/path/that/does/not/fit/into/eighty/cells/at/all"}},
		{ID: "test.height", Value: "61 cm", Title: "Another invented rule", Relaxed: "RELAXED on this farm: 50 cm instead of 61 cm, by Maren, because: a test"},
	}, nil
}

var errBusy = errors.New("the journal is in use by another program, so nothing was done; try again in a moment")

// builder writes entries of an invented farm.
type builder struct {
	t   testing.TB
	f   *fakeFarm
	seq int
}

func (b *builder) add(on fields.Date, body fields.Body) {
	b.t.Helper()
	b.seq++
	at := on.At(8, 0, b.f.loc)
	if at.After(b.f.now) {
		at = b.f.now
	}
	e := fields.Entry{ID: fmt.Sprintf("01FARM%020d", b.seq), By: "Maren", Recorded: at, On: on, Body: body}
	if ps := fields.Check(&e); len(ps) > 0 {
		b.t.Fatal(ps)
	}
	b.f.entries = append(b.f.entries, e)
}

func num(v float64) *float64 { return &v }
func yes() *bool             { v := true; return &v }

// newBuilder begins a farm on Tue 6 Oct at 06:52.
func newBuilder(t testing.TB, hour int) *builder {
	loc, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	f := &fakeFarm{loc: loc, now: fields.MakeDate(2026, 10, 6).At(hour, 52, loc), rev: 1}
	b := &builder{t: t, f: f}
	b.add(f.today().Add(-60), &fields.Farm{Name: "Willow Bend", Zone: "America/Regina", Contacts: &fields.Contacts{Manager: "Maren 555-0101", Backup: "Ana 555-0103", Vet: "Dr Lund 555-0100"}})
	return b
}

// willowBend is the farm of most tests: a stand that froze with cattle in it,
// one nobody wrote down, one that was tested, grass.
func willowBend(t testing.TB) *fakeFarm {
	b := newBuilder(t, 6)
	f := b.f
	day := func(n int) fields.Date { return f.today().Add(n) }
	for _, p := range [][2]string{{"north-slough", "North Slough"}, {"creek", "Creek"}, {"bench", "The Bench"}, {"home", "Home Quarter"}, {"lease", "Lease Eighty"}, {"hills", "East Hills"}, {"strip", "Corral Strip"}} {
		b.add(day(-60), &fields.PaddockFacts{Paddock: p[0], Name: p[1], Station: "yard", AreaHa: num(20)})
	}
	b.add(day(-60), &fields.StationFacts{Station: "yard", Name: "Yard thermometer"})
	b.add(day(-60), &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: num(60)})
	b.add(day(-60), &fields.HerdFacts{Herd: "ewes", Classes: []string{"sheep"}, Head: num(200)})
	for _, p := range []string{"north-slough", "creek", "bench"} {
		b.add(day(-58), &fields.Sown{Paddock: p, Species: []fields.SpeciesShare{{Species: "forage sorghum"}}, NewStand: yes()})
	}
	b.add(day(-58), &fields.Sown{Paddock: "home", Species: []fields.SpeciesShare{{Species: "oats", Share: num(60)}, {Species: "field peas", Share: num(40)}}, NewStand: yes()})
	b.add(day(-58), &fields.Sown{Paddock: "strip", Species: []fields.SpeciesShare{{Species: "pearl millet"}}, NewStand: yes()})
	b.add(day(-58), &fields.Sown{Paddock: "hills", Species: []fields.SpeciesShare{{Species: "alfalfa"}, {Species: "smooth brome"}}, NewStand: yes()})
	b.add(day(-4), &fields.Walk{Paddock: "hills", Killed: "none", FrostDamage: "none", WeedsChecked: yes()})
	b.add(day(-3), &fields.Walk{Paddock: "bench", Killed: "none", FrostDamage: "none", ShortestCM: num(60), ShootsCM: num(12), WeedsChecked: yes()})
	for n := -40; n <= -1; n++ {
		low := 6.0
		switch n {
		case -3: // nobody read it
			continue
		case -5:
			low = -3
		}
		b.add(day(n), &fields.Reading{Station: "yard", Night: day(n), LowC: num(low)})
	}
	b.add(day(-9), &fields.Grazed{Paddock: "creek", State: "in", Herd: "pairs"})
	b.add(day(-9), &fields.Grazed{Paddock: "hills", State: "in", Herd: "ewes"})
	b.add(day(-20), &fields.Lab{Paddock: "home", SampledOn: day(-2), Analyte: "nitrate", Values: fields.Values(1450), Form: "NO3", Unit: "ppm", Basis: "dm", Method: "lab", Stems: num(20), Spots: num(10)})
	b.add(day(-30), &fields.LotFacts{Lot: "bench-hay", LotKind: "hay", MadeOn: day(-30), From: []string{"bench"}, CutOn: day(-34), Bales: num(120)})
	b.add(day(-12), &fields.Water{Source: "east well", SampledOn: day(-12), Value: num(24), Form: "NO3-N", Unit: "mg/L", Herds: []string{"pairs"}})
	b.add(day(-20), &fields.Round{Name: "walk the regrowth", RRule: "FREQ=WEEKLY;BYDAY=MO", What: "look for shoots", Paddocks: []string{"bench"}})
	return f
}
