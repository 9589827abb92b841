package farm

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// One log costs one load and one commit: two openings of the file, one walk of
// its pages, and one fold of the whole journal for the answer before and one for
// the answer after.
func TestOneViewPerLog(t *testing.T) {
	f := smallFarm(t)
	var opened, walked, folded int
	f.Store().Trace = func(step string) {
		switch step {
		case "opening":
			opened++
		case "walking":
			walked++
		}
	}
	foldEntries = func(entries []fields.Entry, v fields.View) *fields.History {
		folded++
		return fields.Fold(entries, v)
	}
	defer func() { foldEntries = fields.Fold }()
	v := view(t, f, Question{})
	l, err := v.Log([]fields.Entry{{On: v.Today, Body: &fields.Hail{Paddocks: []string{"creek"}}}}, false)
	if err != nil || !l.Stored {
		t.Fatal(err)
	}
	if opened > 2 || walked > 1 || folded > 2 {
		t.Errorf("one log opened the file %d times, walked its pages %d times and folded the journal %d times", opened, walked, folded)
	}
}

// What another seat wrote between the reading and the storing is read before
// anything is stored: an entry is judged by all there is.
func TestAnotherSeatWritesMeanwhile(t *testing.T) {
	f := smallFarm(t)
	v := view(t, f, Question{})
	other := Open(f.Store().Path)
	other.Clock, other.By = f.Clock, "Tobias"
	other.Store().Seat = "house"
	hail := func(id string) []fields.Entry {
		return []fields.Entry{{On: v.Today, Body: &fields.Hail{Paddocks: []string{id}}}}
	}
	if _, err := other.Log(hail("creek"), false); err != nil {
		t.Fatal(err)
	}
	l, err := v.Log(hail("creek"), false)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Notes) != 1 || !strings.Contains(l.Notes[0], "this was logged already") || !strings.Contains(l.Notes[0], "by Tobias") {
		t.Errorf("notes %q", l.Notes)
	}
	if n := len(view(t, f, Question{}).Entries); n != 15 || len(l.View.Entries) != 14 {
		t.Errorf("%d entries, judged by %d", n, len(l.View.Entries))
	}
	// One who is never done writing is told of, and nothing is stored.
	reads := 0
	foldEntries = func(entries []fields.Entry, q fields.View) *fields.History {
		if reads++; reads <= 2*mostReads {
			if _, err := other.Store().Append([]fields.Entry{{Recorded: f.Clock(), By: "Tobias", On: v.Today, Note: fmt.Sprint(reads), Body: &fields.Read{}}}); err != nil {
				t.Fatal(err)
			}
		}
		return fields.Fold(entries, q)
	}
	defer func() { foldEntries = fields.Fold }()
	if _, err := f.Log(hail("hills"), false); !errors.Is(err, journal.ErrMoved) || !errors.Is(err, journal.ErrLocked) {
		t.Errorf("got %v", err)
	}
}
