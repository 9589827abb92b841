package journal

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"rimegate/fields"
)

// listed is the store of a journal of seasons with a cache of its own, and counts in walks how
// often all pages of the file were walked.
func listed(t *testing.T) (s *Store, walks *int) {
	t.Helper()
	s = newJournal(t)
	s.Seat = "shop"
	num := func(x float64) *float64 { return &x }
	yes := true
	for y := 2010; y <= 2026; y++ {
		on := func(month time.Month, d int) fields.Entry {
			return fields.Entry{On: fields.MakeDate(y, month, d), By: "sam", Recorded: time.Date(y, month, d, 18, 0, 0, 0, time.UTC)}
		}
		sown, walk, frost, look := on(6, 1), on(8, 1), on(9, 18), on(9, 25)
		sown.Body = &fields.Sown{Paddock: "north", NewStand: &yes, Ended: fields.EndedTilled, Species: []fields.SpeciesShare{{Species: "oats"}}}
		walk.Body = &fields.Walk{Paddock: "north", ShortestCM: num(60)}
		frost.Body = &fields.Frost{Paddocks: []string{"north"}, Night: frost.On}
		look.Body = &fields.Walk{Paddock: "north", Killed: fields.KilledNone}
		mustAppend(t, s, sown, walk, frost, look)
	}
	s.Cache = t.TempDir()
	walks = new(int)
	s.Trace = func(step string) {
		if step == "walking" {
			*walks++
		}
	}
	return s, walks
}

var listDay = fields.MakeDate(2026, 12, 1)

// lately reads by the list, and fails if that reads otherwise than without one; walked tells
// whether all pages were walked.
func lately(t *testing.T, s *Store, walks *int, day fields.Date) (c *Content, walked bool) {
	t.Helper()
	*walks = 0
	c, err := s.LoadLately(day, nil)
	if err != nil {
		t.Fatal(err)
	}
	walked = *walks > 0
	plain := New(s.Path)
	plain.Seat = s.Seat
	want, err := plain.LoadLately(day, nil)
	if err != nil || len(c.Entries)+c.LeftOut != len(want.Entries)+want.LeftOut || !reflect.DeepEqual(c.Gaps, want.Gaps) ||
		c.Doubt != want.Doubt || c.Revision != want.Revision || c.writer != want.writer || !reflect.DeepEqual(c.state, want.state) {
		t.Fatalf("by the list %d entries of %d, else %d of %d (%v)", len(c.Entries), c.LeftOut, len(want.Entries), want.LeftOut, err)
	}
	have := map[string]bool{}
	for i := range c.Entries {
		have[texts(c.Entries[i:i+1])+c.Entries[i].Seat] = true
	}
	for i := range want.Entries {
		if !have[texts(want.Entries[i:i+1])+want.Entries[i].Seat] {
			t.Errorf("by the list %s is left out", texts(want.Entries[i:i+1]))
		}
	}
	return c, walked
}

// A journal whose bytes are those that the list was made of is read by the list alone; any
// other is walked and verified, and read by the list as far as that reaches.
func TestListOfWhatIsKept(t *testing.T) {
	s, walks := listed(t)
	first, walked := lately(t, s, walks, listDay)
	if !walked || first.LeftOut == 0 {
		t.Fatalf("walked %v, left out %d", walked, first.LeftOut)
	}
	if c, walked := lately(t, s, walks, listDay+3); walked || !reflect.DeepEqual(c, first) {
		t.Errorf("the second reading walked (%v) or reads otherwise", walked)
	}
	late := func(b fields.Body) fields.Entry {
		return fields.Entry{On: listDay, By: "sam", Recorded: listDay.At(12, 0, time.UTC), Body: b}
	}
	for _, x := range []struct {
		what, seat string
		e          fields.Entry
	}{
		{"a frost of today", "shop", late(&fields.Frost{Paddocks: []string{"north"}, Night: listDay})},
		{"one from another seat", "house", late(&fields.Frost{Paddocks: []string{"north"}, Night: listDay})},
		{"another thermometer", "shop", late(&fields.PaddockFacts{Paddock: "north", Name: "North", Station: "yard"})},
		{"a strike", "house", late(&fields.Strike{Entry: first.Entries[0].ID, Because: "a slip"})},
	} {
		s.Seat = x.seat
		mustAppend(t, s, x.e)
		if _, walked := lately(t, s, walks, listDay); !walked {
			t.Errorf("%s: the file changed, and nobody walked it", x.what)
		}
		if _, walked := lately(t, s, walks, listDay); walked {
			t.Errorf("%s: no list was made of it", x.what)
		}
	}
}

// A list is not used that is spoilt, of another program, or for answers of an earlier day or
// of one long after; nor is one that was of another journal in the same place.
func TestListsThatAreNotUsed(t *testing.T) {
	s, walks := listed(t)
	lately(t, s, walks, listDay)
	name := s.listOf(listDay).name
	sound := fileBytes(t, name)
	body := sound[:bytes.LastIndexByte(sound[:len(sound)-1], '\n')]
	for what, data := range map[string][]byte{
		"one without an id":      slices.Delete(bytes.Clone(sound), bytes.IndexByte(sound, '\n')+1, bytes.IndexByte(sound, '\n')+1+idSize),
		"one cut short":          sound[:len(sound)/2],
		"an empty one":           {},
		"one of another program": sealed(bytes.Replace(body, []byte(`"program":"`), []byte(`"program":"x`), 1)),
		"one of another schema":  sealed(bytes.Replace(body, []byte(`"schema":1`), []byte(`"schema":0`), 1)),
	} {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, walked := lately(t, s, walks, listDay); !walked {
			t.Errorf("%s was used", what)
		}
		if _, walked := lately(t, s, walks, listDay); walked {
			t.Errorf("%s was not made anew", what)
		}
	}
	// One that grew by what was logged does not live longer for that.
	mustAppend(t, s, fields.Entry{On: listDay + 20, By: "sam", Recorded: (listDay + 20).At(12, 0, time.UTC), Body: &fields.Frost{Paddocks: []string{"north"}, Night: listDay + 20}})
	lately(t, s, walks, listDay+20)
	if got := s.listOf(listDay + 20).list; got == nil || got.Day != listDay {
		t.Errorf("the list that grew is of %+v", got)
	}
	for _, day := range []fields.Date{listDay + listDays + 1, listDay - 1, listDay + listDays} {
		if _, walked := lately(t, s, walks, day); !walked {
			t.Errorf("on %s a list of %s was used", day, listDay)
		}
	}
	lately(t, s, walks, listDay)
	other := fileBytes(t, s.Path)
	mustAppend(t, s, sighting("more"))
	lately(t, s, walks, listDay)
	newer := fileBytes(t, s.Path)
	for _, x := range []struct {
		data    []byte
		damaged bool
	}{{other, true}, {newer, false}} {
		if err := os.WriteFile(s.Path, x.data, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := s.LoadLately(listDay, nil); (err != nil) != x.damaged {
			t.Errorf("an older copy of the journal (%v): %v", x.damaged, err)
		}
	}
}

// Where no list can be kept, all is read as ever.
func TestNoPlaceForAList(t *testing.T) {
	s, walks := listed(t)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s.Cache = filepath.Join(file, "below")
	for range 2 {
		if _, walked := lately(t, s, walks, listDay); !walked {
			t.Error("there is a list in no folder")
		}
	}
	s.Cache = ""
	if s.listOf(listDay) != nil {
		t.Error("a store without a cache keeps a list")
	}
}

// A journal has one list whatever name it is called by, and small ones have none.
func TestOneListOfAJournal(t *testing.T) {
	s, walks := listed(t)
	lately(t, s, walks, listDay)
	link := filepath.Join(t.TempDir(), "link.journal")
	if err := os.Symlink(s.Path, link); err != nil {
		t.Skip(err)
	}
	called := *s
	called.Path = link
	if _, walked := lately(t, &called, walks, listDay); walked {
		t.Error("by another name it has no list")
	}
	listFrom = 1 << 30
	defer func() { listFrom = 0 }()
	if _, walked := lately(t, s, walks, listDay); !walked {
		t.Error("a small journal was read by a list")
	}
}

// sealed is the text of a list with its seal.
func sealed(text []byte) []byte { return append(append(text, '\n'), seal(text)+"\n"...) }

// Where another program takes the place of this one on the disk while this one runs, as of open
// screens, its lists are not that program's.
func TestListOfAProgramThatWasReplaced(t *testing.T) {
	name, err := os.Executable()
	if err != nil {
		t.Skip(err)
	}
	info, err := os.Stat(name)
	if err != nil {
		t.Fatal(err)
	}
	defer os.Chtimes(name, time.Time{}, info.ModTime())
	if err := os.Chtimes(name, time.Time{}, info.ModTime().Add(time.Hour)); err != nil {
		t.Skip(err)
	}
	s, walks := listed(t)
	lately(t, s, walks, listDay)
	if l := s.listOf(listDay).list; l == nil || l.Program == programNow() {
		t.Error("the list says that it is of the program that took the place of this one")
	}
}

// What a killed program left of a list is swept from the folder by who makes the next one.
func TestLeftoversOfLists(t *testing.T) {
	s, walks := listed(t)
	for name, age := range map[string]time.Duration{".rimegate-1.tmp": 2 * staleAfter, ".rimegate-2.tmp": 0} {
		name = filepath.Join(s.Cache, name)
		then := time.Now().Add(-age)
		if err := errors.Join(os.WriteFile(name, nil, 0o600), os.Chtimes(name, then, then)); err != nil {
			t.Fatal(err)
		}
	}
	lately(t, s, walks, listDay)
	found, err := os.ReadDir(s.Cache)
	if err != nil || len(found) != 2 || found[0].Name() != ".rimegate-2.tmp" {
		t.Errorf("the folder holds %v (%v)", found, err)
	}
}
