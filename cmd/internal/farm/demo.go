package farm

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// DemoFile is the name of the demo's journal in its folder.
const DemoFile = "demo.journal"

// demoMark begins the note of the farm entry of every demo journal: by it a
// demo is told from somebody's own journal, which is never touched.
const demoMark = "An invented farm, made by `rimegate demo` on "

// NotDemoError says that the demo's place is taken by a journal of somebody's
// own.
type NotDemoError struct{ Path string }

func (e *NotDemoError) Error() string {
	return e.Path + " is no demo journal and was left as it is; name another folder with --dir"
}

// Demo opens the invented farm in dir, and writes it there first if need be.
// All its days count back from the farm's today. A demo of today is opened as
// it stands, with whatever was tried on it; one of an earlier day is set aside
// under a name of its own, never deleted.
func Demo(dir string, clock func() time.Time) (*Farm, error) {
	f := Open(filepath.Join(dir, DemoFile))
	f.Clock, f.By = clock, "Maren"
	loc, err := fields.LoadZone(demoZone)
	if err != nil {
		return nil, err
	}
	now := clock().In(loc)
	today := fields.DateOf(now, loc)
	if f.store.Exists() {
		made, err := demoDay(f)
		if err != nil {
			return nil, err
		}
		if made == today {
			return f, nil
		}
		if err := setAside(f.store.Path, made); err != nil {
			return nil, err
		}
	}
	first, later, err := f.demoEntries(today, now, loc)
	if err != nil {
		return nil, err
	}
	if err := f.store.Create(); err != nil {
		return nil, err
	}
	stored, err := f.store.Append(first)
	if err != nil {
		return nil, err
	}
	return f, f.demoStrike(stored, later)
}

// demoDay returns the day a demo journal was made for.
func demoDay(f *Farm) (fields.Date, error) {
	c, err := f.store.Load()
	if err != nil {
		return fields.NoDate, err
	}
	for i := range c.Entries {
		e := &c.Entries[i]
		if _, ok := e.Body.(*fields.Farm); ok && strings.HasPrefix(e.Note, demoMark) {
			if d, err := fields.ParseISODate(strings.TrimPrefix(e.Note, demoMark)); err == nil {
				return d, nil
			}
		}
	}
	return fields.NoDate, &NotDemoError{f.store.Path}
}

// setAside gives an old demo a name of its own.
func setAside(path string, made fields.Date) error {
	base := strings.TrimSuffix(path, filepath.Ext(path))
	for i := 0; i < 1000; i++ {
		to := fmt.Sprintf("%s-%s%s", base, made, filepath.Ext(path))
		if i > 0 {
			to = fmt.Sprintf("%s-%s-%d%s", base, made, i+1, filepath.Ext(path))
		}
		if _, err := os.Lstat(to); errors.Is(err, os.ErrNotExist) {
			return journal.Rename(path, to)
		}
	}
	return &NotDemoError{path}
}

// demoEntries makes the season, passing every entry through the checks that
// typed entries pass, each at the moment it says it was written down. What
// would be written down only later today is left out.
func (f *Farm) demoEntries(today fields.Date, now time.Time, loc *time.Location) (ready []fields.Entry, strike fields.Entry, err error) {
	season := demoSeason(today, loc)
	for i := 0; i < len(season.entries); {
		at := season.entries[i].Recorded
		j := i
		for j < len(season.entries) && season.entries[j].Recorded.Equal(at) {
			j++
		}
		if at.After(now) {
			break
		}
		past := Farm{Clock: func() time.Time { return at }, Zone: loc}
		v := past.refold(numbered(ready), Question{})
		batch, _, err := past.prepare(v, season.entries[i:j])
		if err != nil {
			return nil, strike, fmt.Errorf("the demo's own entries are refused: %w", err)
		}
		ready = append(ready, batch...)
		i = j
	}
	return ready, season.strike, nil
}

// demoStrike strikes the one entry of the demo that was a mistake.
func (f *Farm) demoStrike(stored []fields.Entry, strike fields.Entry) error {
	for i := range stored {
		if stored[i].Note == demoMistake {
			b := *strike.Body.(*fields.Strike)
			b.Entry = stored[i].ID
			strike.Body = &b
			_, err := f.store.Append([]fields.Entry{strike})
			return err
		}
	}
	return nil
}
