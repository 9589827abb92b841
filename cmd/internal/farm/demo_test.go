package farm

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// The demo is worth reading on any day of the year and at any hour: stock to
// move on top, at least one paddock of each flag, and a journal without a
// remark.
func TestDemoIsWorthReadingOnAnyDay(t *testing.T) {
	loc, err := fields.LoadZone(demoZone)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []time.Time{
		time.Date(2027, 1, 15, 7, 10, 0, 0, loc),
		time.Date(2026, 4, 10, 0, 0, 0, 0, loc),
		time.Date(2026, 7, 20, 12, 0, 0, 0, loc),
		time.Date(2026, 9, 25, 23, 59, 59, 0, loc),
		time.Date(2026, 11, 11, 9, 59, 0, 0, loc),
		time.Date(2026, 11, 11, 10, 1, 0, 0, loc), // the unread night now counts
		time.Date(2028, 2, 29, 6, 31, 0, 0, loc),
		time.Date(2028, 3, 1, 5, 0, 0, 0, loc),
		time.Date(2099, 12, 31, 18, 0, 0, 0, loc),
	} {
		dir := t.TempDir()
		f, err := Demo(dir, func() time.Time { return at })
		if err != nil {
			t.Fatalf("%s: %v", at, err)
		}
		v := view(t, f, Question{})
		if len(v.Notes) != 0 {
			t.Errorf("%s: %q", at, v.Notes)
		}
		list := board.Today(v.Assess(), board.Filter{})
		flags := map[hazard.Flag]int{}
		rules := map[string]bool{}
		for _, r := range list.Rows {
			flags[r.Flag]++
			rules[r.Why] = true
		}
		if len(list.MoveOut) == 0 || flags[hazard.Hold] < 3 || flags[hazard.Caution] < 1 || flags[hazard.Clear] < 2 || len(list.Rows) != 9 {
			t.Errorf("%s: move out %q, flags %v", at, list.MoveOut, flags)
		}
		if len(rules) < 7 {
			t.Errorf("%s: only %d different reasons", at, len(rules))
		}
		if len(list.Relaxed) != 0 || len(list.Lots) != 2 {
			t.Errorf("%s: relaxed %q, %d lots", at, list.Relaxed, len(list.Lots))
		}
		rep, err := f.Store().Check()
		if err != nil || len(rep.Findings) != 0 || rep.Entries < 200 {
			t.Errorf("%s: %d entries, %v, %v", at, rep.Entries, rep.Findings, err)
		}
		for i := range v.Entries {
			if e := &v.Entries[i]; e.Recorded.After(at) {
				t.Errorf("%s: %s was recorded %s, after now", at, e.Kind(), e.Recorded)
			}
		}
	}
}

func TestDemoLeavesOthersJournalsAlone(t *testing.T) {
	f := smallFarm(t)
	dir := filepath.Dir(f.Store().Path)
	own := filepath.Join(dir, DemoFile)
	if err := os.Rename(f.Store().Path, own); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(own)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Demo(dir, f.Clock)
	var not *NotDemoError
	if !errors.As(err, &not) {
		t.Fatalf("got %v", err)
	}
	after, err := os.ReadFile(own)
	if err != nil || string(after) != string(before) {
		t.Fatalf("somebody's journal was touched (%v)", err)
	}
}

func TestDemoAgain(t *testing.T) {
	dir := t.TempDir()
	now := time.Date(2026, 10, 6, 12, 52, 0, 0, time.UTC)
	clock := func() time.Time { return now }
	f, err := Demo(dir, clock)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Log([]fields.Entry{{On: date(t, "2026-10-06"), Body: &fields.Hail{Paddocks: []string{"bench"}}}}, false); err != nil {
		t.Fatal(err)
	}
	n := len(view(t, f, Question{}).Entries)
	if f, err = Demo(dir, clock); err != nil || len(view(t, f, Question{}).Entries) != n {
		t.Fatalf("the same day: %v", err)
	}
	for i := 1; i <= 3; i++ { // each later day a fresh one; nothing is lost
		now = now.AddDate(0, 0, 1)
		if _, err = Demo(dir, clock); err != nil {
			t.Fatal(err)
		}
		files, err := filepath.Glob(filepath.Join(dir, "*.journal"))
		if err != nil || len(files) != i+1 {
			t.Fatalf("after %d days: %v %v", i, files, err)
		}
	}
	old := Open(filepath.Join(dir, "demo-2026-10-06.journal"))
	if got := len(view(t, old, Question{}).Entries); got != n {
		t.Fatalf("the old demo holds %d entries, had %d", got, n)
	}
	if notes := view(t, old, Question{}).Notes; len(notes) != 0 {
		t.Errorf("the old demo lost its mark: %v", notes)
	}
}

// Why a paddock of the demo is what it is fits a screen and a half, and speaks of no
// stock that the farm has not.
func TestWhyOfTheDemoIsShort(t *testing.T) {
	loc, err := fields.LoadZone(demoZone)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Demo(t.TempDir(), func() time.Time { return time.Date(2026, 11, 28, 6, 52, 0, 0, loc) })
	if err != nil {
		t.Fatal(err)
	}
	a := view(t, f, Question{}).Assess()
	long := 0
	for i := range a.Paddocks {
		sheet, err := board.WhyShort(a, a.Paddocks[i].Paddock.ID, board.Filter{}, false)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := sheet.Text(&b, 80); err != nil {
			t.Fatal(err)
		}
		text, head := b.String(), "MAY THEY GO IN? "
		if _, after, boxed := strings.Cut(text, "=\n"+head); boxed {
			text = head + after // what must be done at once stands above it
		}
		n := strings.Count(text, "\n")
		if n > 40 {
			long++
		}
		if n > 42 || long > 1 || !strings.HasPrefix(text, head) || strings.Contains(text, "horses") || strings.Contains(text, "goats") {
			t.Errorf("%d lines:\n%s", n, text)
		}
	}
}
