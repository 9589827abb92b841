package farm

import (
	_ "embed" // the season
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/fields/lazy"
)

// DemoFile is the name of the demo's journal in its folder.
const DemoFile = "demo.journal"

const demoZone = "America/Regina"

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
	entries, err := demoEntries(today, now)
	if err != nil {
		return nil, err
	}
	if err := f.store.Create(); err != nil {
		return nil, err
	}
	_, err = f.store.Append(entries)
	return f, err
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
	ext := filepath.Ext(path)
	base := strings.TrimSuffix(path, ext) + "-" + made.String()
	to := base + ext
	for i := 2; journal.New(to).Exists(); i++ {
		to = fmt.Sprintf("%s-%d%s", base, i, ext)
	}
	return journal.Rename(path, to)
}

//go:embed demo.txt
var demoSeason string

var demoDayMark = lazy.Regexp(`\bD[+-]\d+`)

// demoEntries makes the season, passing every entry through the checks that
// typed entries pass, each at the moment it says it was written down. What
// would be written down only later today is left out.
func demoEntries(today fields.Date, now time.Time) ([]fields.Entry, error) {
	season, err := readSeason(today, now.Location())
	if err != nil {
		return nil, fmt.Errorf("the demo's own entries cannot be read: %w", err)
	}
	var ready []fields.Entry
	for i := 0; i < len(season) && !season[i].Recorded.After(now); {
		at := season[i].Recorded
		j := i
		for j < len(season) && season[j].Recorded.Equal(at) {
			j++
		}
		past := &Farm{Clock: func() time.Time { return at }, Zone: now.Location()}
		batch, _, err := past.Blank().with(ready, Question{}).prepare(season[i:j])
		if err != nil {
			return nil, fmt.Errorf("the demo's own entries are refused: %w", err)
		}
		ready = append(ready, batch...)
		i = j
	}
	return ready, nil
}

// readSeason reads the entries of demo.txt, which says how they are written, in
// the order of their recording.
func readSeason(today fields.Date, loc *time.Location) ([]fields.Entry, error) {
	var out []fields.Entry
	mistake := ""
	for line := range strings.Lines(demoSeason) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		var back, hour, minute int
		var by string
		if _, err := fmt.Sscanf(line, "%d %d:%d %s", &back, &hour, &minute, &by); err != nil {
			return nil, fmt.Errorf("%q: %w", line, err)
		}
		day := today.Add(-back)
		at := day.At(hour, minute, loc)
		text := demoDayMark().ReplaceAllStringFunc(line[strings.Index(line, "{"):], func(mark string) string {
			n, _ := strconv.Atoi(mark[1:])
			return today.Add(n).String()
		})
		if mistake == "" && strings.Contains(text, "MISTAKE") {
			mistake = journal.NewBatch(at)
		}
		text = strings.Replace(text, "MISTAKE", mistake, 1)
		e, err := readEntry(strings.Replace(text, "{", fmt.Sprintf(`{"on":%q,`, day), 1), at, by)
		if err != nil {
			return nil, fmt.Errorf("%q: %w", line, err)
		}
		own := *e
		if own.On = fields.NoDate; own.EventDate(loc) != fields.NoDate { // its kind has a day of its own
			e.On = fields.NoDate
		}
		out = append(out, *e)
	}
	slices.SortStableFunc(out, func(a, b fields.Entry) int { return a.Recorded.Compare(b.Recorded) })
	return out, nil
}
