package farm

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
	"rimegate/tui"
)

// told makes the entries of a form as the screens do, and has the farm log them.
func told(t *testing.T, s *Screens, k fields.Kind, said form.Said, dryRun bool) (*tui.Outcome, error) {
	t.Helper()
	ans, err := s.Read()
	if err != nil {
		t.Fatal(err)
	}
	if form.Of(k).Field("on") != nil { // the screens show it typed
		said["on"] = []string{"today"}
	}
	made, ps := form.Of(k).Entries(said, form.Context{Now: ans.Now, Behind: ans.Behind, Farm: ans.Ask})
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return s.Log(made, dryRun, false)
}

// Where there is no journal the screens begin one with a sound farm, and not before it
// is stored. Days are told in its zone from the first entry on.
func TestScreensBeginAFarm(t *testing.T) {
	f := Open(filepath.Join(t.TempDir(), "own.journal"))
	f.Clock = func() time.Time { return time.Date(2026, 11, 28, 4, 30, 0, 0, time.UTC) } // Friday evening there
	f.By = "Maren"
	s := f.ForScreens()
	ans, err := s.Read()
	if err != nil || ans.History.ZoneSet || !strings.Contains(ans.Begins, "own.journal") {
		t.Fatalf("a blank farm reads as %+v (%v)", ans, err)
	}
	if rev, err := s.Revision(); rev != ans.Revision || err != nil {
		t.Errorf("revision %d of %d (%v)", rev, ans.Revision, err)
	}
	friday := fields.MakeDate(2026, 11, 27)
	farm := func(zone string) []fields.Entry {
		return []fields.Entry{{On: friday, Body: &fields.Farm{Name: "Tallgrass Place", Zone: zone}}}
	}
	if _, err := s.Log(farm("Regina"), false, false); err == nil || f.store.Exists() {
		t.Fatalf("a zone that is none begins a journal (%v)", err)
	}
	if out, err := s.Log(farm("America/Regina"), true, false); err != nil || len(out.Entries) != 1 || f.store.Exists() {
		t.Fatalf("trying it begins a journal (%v)", err)
	}
	if _, err := s.Log(farm("America/Regina"), false, false); err != nil || !f.store.Exists() {
		t.Fatal(err)
	}
	if ans, err = s.Read(); err != nil || ans.Begins != "" || !ans.History.ZoneSet || ans.Today != friday {
		t.Fatalf("the farm reads as of %v, %+v (%v)", ans.Today, ans.History.Farm, err)
	}
	// A journal that was read once and is gone is a failure, not a new beginning.
	if err := os.Remove(f.store.Path); err != nil {
		t.Fatal(err)
	}
	_, e1 := s.Read()
	_, e2 := s.Log(farm("America/Regina"), false, false)
	_, e3 := s.Revision()
	for i, err := range []error{e1, e2, e3} {
		if !errors.Is(err, journal.ErrMissing) || f.store.Exists() {
			t.Errorf("call %d: %v", i, err)
		}
	}
}

// What is set up on screens passes the same checks as on the command line.
func TestScreensCheckWhatIsSetUp(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	s := f.ForScreens()
	for _, x := range []struct {
		kind  fields.Kind
		said  form.Said
		field string
		words string
	}{
		{fields.KindPaddock, form.Said{"name": {"Ea5t Hills"}, "station": {"yard"}}, "", ""},
		{fields.KindPaddock, form.Said{"name": {"EAST  HILLS"}, "paddock": {"other"}}, "name", "cannot be told from the paddock east-hills"},
		{fields.KindPaddock, form.Said{"name": {"East-Hills."}}, "paddock", "cannot be told from"},
		{fields.KindPaddock, form.Said{"name": {"Cre\u0435k Two"}, "paddock": {"creek-two"}}, "name", "alphabets whose letters look alike"},
		{fields.KindPaddock, form.Said{"name": {"All"}}, "paddock", "means every paddock"},
		{fields.KindHerd, form.Said{"herd": {"P4irs"}, "classes": {"sheep"}, "head": {"5"}}, "", ""},
		{fields.KindHerd, form.Said{"herd": {"PA1RS"}, "classes": {"sheep"}, "head": {"5"}}, "herd", "cannot be told from the herd pairs"},
		{fields.KindStation, form.Said{"name": {"Yard"}, "station": {"other"}}, "name", "cannot be told from"},
		{fields.KindLot, form.Said{"lot": {"east-hills"}, "lot_kind": {"hay"}, "made_on": {"1-Nov"}}, "lot", "is the name of a paddock"},
	} {
		out, err := told(t, s, x.kind, x.said, true)
		var ps fields.Problems
		switch {
		case x.words == "" && err != nil, x.words == "" && len(out.Entries) != 1:
			t.Errorf("%v: %v", x.said, err)
		case x.words == "":
		case !errors.As(err, &ps) || ps[0].Field != x.field || !strings.Contains(err.Error(), x.words):
			t.Errorf("%v is refused with %v", x.said, err)
		}
	}
	// A plant that nobody rated is said aloud.
	out, err := told(t, s, fields.KindLot, form.Said{"lot": {"odd-hay"}, "lot_kind": {"hay"}, "made_on": {"1-Nov"}, "species": {"moonwort fodder"}}, true)
	if err != nil || !strings.Contains(strings.Join(out.Notes, "\n"), "NOT IN THE SPECIES TABLE") {
		t.Errorf("%v, %v", out, err)
	}
}

// What is on file comes back as a person would type it, and typed so it makes the same
// entry, in both systems of units.
func TestWhatIsOnFileIsTypedBack(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	v, err := f.View(Question{})
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for kind, ids := range map[fields.Kind][]string{
		fields.KindFarm: {""}, fields.KindPaddock: {"east-hills", "creek"}, fields.KindHerd: {"pairs", "ewes"}, fields.KindStation: {"yard", "ridge"}, fields.KindLot: {"bench-hay", "truck-hay"},
	} {
		for _, id := range ids {
			was := v.History.OnFile(kind, id)
			if was == nil {
				t.Errorf("%s %s is not on file", kind, id)
				continue
			}
			for _, units := range []string{"metric", "us"} {
				said := form.Of(kind).Typed(was, units)
				said["on"] = []string{"today"}
				made, ps := form.Of(kind).Entries(said, form.Context{Now: v.Now, Farm: v})
				if len(ps) > 0 {
					t.Fatalf("%s %s as %v: %v", kind, id, said, ps)
				}
				got, want := stated(&fields.Entry{Body: made[0].Body}, false), stated(&fields.Entry{Body: was}, false)
				if units == "metric" && got != want {
					t.Errorf("%v makes\n%s of\n%s", said, got, want)
				}
				seen++
			}
		}
	}
	if v.History.OnFile(fields.KindPaddock, "nowhere") != nil || v.History.OnFile(fields.KindWalk, "creek") != nil || seen != 18 {
		t.Errorf("what is not there is on file (%d)", seen)
	}
}

const loggerFile = "time,temp_c\n2026-11-22 14:00,4\n2026-11-23 02:00,-3\n2026-11-23 06:00,-2\n2026-11-23 11:00,3\n2026-11-23 12:00,warm\n"

// A file is read by its form as `rimegate import` reads it; what was shown is what is
// stored, once, and one strike takes it back.
func TestScreensReadAFile(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	s := f.ForScreens()
	path := filepath.Join(t.TempDir(), "logger.csv")
	if err := os.WriteFile(path, []byte(loggerFile), 0o600); err != nil {
		t.Fatal(err)
	}
	said := form.Said{"file": {path}, "station": {"yard"}}
	refused := func(field, words string) {
		t.Helper()
		_, err := s.Import(said)
		var ps fields.Problems
		if !errors.As(err, &ps) || ps[0].Field != field || !strings.Contains(err.Error(), words) {
			t.Errorf("refused with %v, not for %s", err, field)
		}
	}
	refused("clock", "do not say their zone")
	said["clock"], said["paddock"] = []string{"local"}, []string{"creek"}
	refused("paddock", "a thermometer and a paddock") // said twice where it hangs
	delete(said, "paddock")
	delete(said, "station")
	refused("station", "missing")
	said["station"] = []string{"yard"}
	for _, bad := range []string{t.TempDir(), path + ".none"} {
		said["file"] = []string{bad}
		refused("file", "")
	}
	said["file"] = []string{path}
	before, _ := s.Revision()
	out, err := s.Import(said)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(out.Told, "\n")
	for _, want := range []string{"logger.csv: plain CSV, 5 rows read: 4 used, 1 refused", `line 6: "warm"`, "1 night, that of Mon 23 Nov 2026", "Dry run, nothing is stored. New: 1 night"} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing says %q:\n%s", want, text)
		}
	}
	if after, _ := s.Revision(); after != before {
		t.Fatal("reading the file stored something")
	}
	// The file is overwritten meanwhile: what was shown counts.
	if err := os.WriteFile(path, []byte(strings.ReplaceAll(loggerFile, "-3", "3")), 0o600); err != nil {
		t.Fatal(err)
	}
	stored, err := out.Store()
	if err != nil || len(stored.Entries) != 1 || stored.Entries[0].Batch == "" || *stored.Entries[0].Body.(*fields.Reading).LowC != -3 {
		t.Fatalf("stored %+v (%v)", stored, err)
	}
	if again, err := out.Store(); err != nil || len(again.Entries) != 0 {
		t.Errorf("stored twice: %+v (%v)", again, err)
	}
	undo, err := told(t, s, fields.KindStrike, form.Said{"batch": {stored.Entries[0].Batch}, "because": {"taken back"}}, false)
	if err != nil || len(undo.Entries) != 1 {
		t.Fatal(err)
	}
	// A low in the wrong unit is asked about, and stays refused until somebody answers.
	warm := "night,low_c\n2026-11-21,41\n2026-11-22,36\n2026-11-23,28\n"
	if err := os.WriteFile(path, []byte(warm), 0o600); err != nil {
		t.Fatal(err)
	}
	refused("", "say below that they are true")
	said["yes"] = []string{"yes"}
	if _, err := s.Import(said); err != nil {
		t.Error(err)
	}
}

// Paths are completed from the disk; hidden files only where they are asked for.
func TestScreensCompleteAPath(t *testing.T) {
	dir := t.TempDir() + string(filepath.Separator)
	for _, name := range []string{"logger-1.csv", "logger-2.csv", ".hidden"} {
		if err := os.WriteFile(dir+name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(dir+"logs", 0o700); err != nil {
		t.Fatal(err)
	}
	t.Setenv("HOME", dir)
	s := Open("none").ForScreens()
	for typed, want := range map[string][]string{
		dir + "log":    {dir + "logger-1.csv", dir + "logger-2.csv", dir + "logs" + string(filepath.Separator)},
		dir + ".h":     {dir + ".hidden"},
		"~/logger-1":   {"~/logger-1.csv"},
		dir + "none/x": nil,
	} {
		if got, err := s.Files(typed); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: %q (%v)", typed, got, err)
		}
	}
	if got, _ := s.Files(dir); len(got) != 3 {
		t.Errorf("all of a folder: %q", got)
	}
}

// A blend asked on screens is the command line's, and nothing is stored.
func TestScreensBlend(t *testing.T) {
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 24, 13, 10, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	s := f.ForScreens()
	refused := func(said form.Said, field, words string) {
		t.Helper()
		_, err := s.Blend(said)
		var ps fields.Problems
		if err == nil || !strings.Contains(err.Error(), words) || field != "" && (!errors.As(err, &ps) || ps[0].Field != field) {
			t.Errorf("%v is refused with %v", said, err)
		}
	}
	refused(form.Said{}, "herd", "missing")
	refused(form.Said{"herd": {"pairs"}, "feed": {"bench-hay"}, "days": {"many"}}, "days", "is not a number of days")
	refused(form.Said{"herd": {"pairs"}, "feed": {"bench-hay"}, "cost": {"60"}}, "cost", "type it like LOT=VALUE")
	refused(form.Said{"herd": {"pairs"}, "feed": {"truck-hay"}}, "", "truck-hay")
	for lot, ppm := range map[string]float64{"oat-hay": 6000, "mild-hay": 500} {
		if _, err := s.Log([]fields.Entry{
			{Body: &fields.LotFacts{Lot: lot, LotKind: "hay", MadeOn: fields.MakeDate(2026, 8, 1), Species: []string{"oats"}}},
			{Body: &fields.Lab{Lot: lot, SampledOn: fields.MakeDate(2026, 8, 10), Analyte: "nitrate", Values: fields.Values(ppm), Form: "NO3", Unit: "ppm", Basis: "dm", Method: "lab"}},
		}, false, false); err != nil {
			t.Fatal(err)
		}
	}
	rev, _ := s.Revision()
	words, err := s.Blend(form.Said{"herd": {"yearlings"}, "feed": {"oat-hay, mild-hay"}, "use_up": {"yes"}})
	if err != nil {
		t.Fatal(err)
	}
	if text := words(78); !strings.Contains(text, "THE BLEND, a head a day") || !strings.Contains(text, "a blend clears no lot") {
		t.Error(text)
	}
	if after, _ := s.Revision(); after != rev {
		t.Error("a blend stored something")
	}
}
