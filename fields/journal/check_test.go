package journal

import (
	"fmt"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rimegate/fields"
)

func date(t testing.TB, s string) fields.Date {
	t.Helper()
	d, err := fields.ParseISODate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func moment(t testing.TB, s string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func TestDatedAhead(t *testing.T) {
	regina, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	low := -1.0
	frost := func(night string) fields.Body { return &fields.Frost{Paddocks: []string{"n"}, Night: date(t, night)} }
	reading := func(night string) fields.Body {
		return &fields.Reading{Station: "yard", Night: date(t, night), LowC: &low}
	}
	none := func(from, to string) fields.Body {
		return &fields.NoFrost{Paddocks: []string{"n"}, From: date(t, from), To: date(t, to), Basis: "looked-at-dawn"}
	}
	hail := &fields.Hail{Paddocks: []string{"n"}}
	for _, c := range []struct {
		name, recorded, on string
		body               fields.Body
		ahead              string // the day, or "" if nothing is ahead
	}{
		{"hail today", "2026-09-17T06:40:00-06:00", "2026-09-17", hail, ""},
		{"hail tomorrow", "2026-09-17T23:59:59-06:00", "2026-09-18", hail, "2026-09-18"},
		{"the farm's day, not the computer's", "2026-09-18T05:59:00Z", "2026-09-18", hail, "2026-09-18"},
		{"the farm's day has come", "2026-09-18T06:00:00Z", "2026-09-18", hail, ""},
		{"last night", "2026-09-17T06:40:00-06:00", "2026-09-17", frost("2026-09-17"), ""},
		{"the coming night, in the morning", "2026-09-17T11:59:59-06:00", "2026-09-17", frost("2026-09-18"), "2026-09-18"},
		{"the coming night, from noon on", "2026-09-17T12:00:00-06:00", "2026-09-17", frost("2026-09-18"), ""},
		{"a reading in the evening", "2026-09-17T22:00:00-06:00", "2026-09-17", reading("2026-09-18"), ""},
		{"the night after the coming one", "2026-09-17T22:00:00-06:00", "2026-09-17", reading("2026-09-19"), "2026-09-19"},
		{"a forecast", "2026-09-17T06:40:00-06:00", "2026-09-17", &fields.Forecast{Station: "yard", Night: date(t, "2026-09-20"), LowC: &low, Issued: moment(t, "2026-09-17T06:00:00-06:00")}, ""},
		{"a round to come", "2026-09-17T06:40:00-06:00", "2026-10-01", &fields.Round{Name: "walk", RRule: "FREQ=DAILY"}, ""},
		{"no frost up to this morning", "2026-09-17T08:00:00-06:00", "2026-09-17", none("2026-09-10", "2026-09-17"), ""},
		{"no frost in a night to come", "2026-09-17T20:00:00-06:00", "2026-09-17", none("2026-09-10", "2026-09-18"), "2026-09-18"},
		{"found out late", "2026-12-17T20:00:00-06:00", "2026-09-17", frost("2026-09-17"), ""},
	} {
		e := fields.Entry{Recorded: moment(t, c.recorded), By: "s", On: date(t, c.on), Body: c.body}
		d, ahead := DatedAhead(&e, regina)
		if ahead != (c.ahead != "") || ahead && d.String() != c.ahead {
			t.Errorf("%s: %v %s", c.name, ahead, d)
		}
	}
}

// findings returns "check: words" of the report, sorted, of what is worth it.
func findings(r Report) []string {
	var out []string
	for _, f := range r.Findings {
		grave := ""
		if f.Grave {
			grave = "grave "
		}
		out = append(out, grave+f.Check+": "+f.Text)
	}
	sort.Strings(out)
	return out
}

func TestCheckRemarks(t *testing.T) {
	s := newJournal(t)
	n := 0
	add := func(on, recorded string, body fields.Body) string {
		n++
		e := fields.Entry{ID: fmt.Sprintf("01J8ZQ4V7W%016d", n), Recorded: moment(t, recorded), By: "sam", On: date(t, on), Body: body}
		mustAppend(t, s, e)
		return e.ID
	}
	const rec = "2026-09-17T06:40:00-06:00"
	low, head := -1.0, 80.0
	add("2026-05-01", rec, &fields.Farm{Name: "f", Zone: "America/Regina"})
	add("2026-05-01", rec, &fields.PaddockFacts{Paddock: "north", Name: "North", Station: "yard"})
	add("2026-05-01", rec, &fields.StationFacts{Station: "yard", Name: "Yard"})
	add("2026-05-01", rec, &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: &head})
	add("2026-05-02", rec, &fields.Split{From: []string{"north"}, Into: []string{"n1", "n2"}})
	add("2026-05-02", rec, &fields.Grazed{Paddock: "n1", State: "in", Herd: "pairs"})
	add("2026-07-01", rec, &fields.Cut{Paddock: "n2", Use: "hay", Lot: "h1"})
	add("2026-07-05", rec, &fields.LotFacts{Lot: "h1", LotKind: "hay", MadeOn: date(t, "2026-07-05"), From: []string{"n2"}})
	frost := add("2026-09-17", rec, &fields.Frost{Paddocks: []string{"n1"}, Night: date(t, "2026-09-17")})
	add("2026-09-17", rec, &fields.Strike{Entry: frost, Because: "wrong paddock"})
	r, err := s.Check()
	if err != nil || len(r.Findings) != 0 || r.Entries != 10 || !r.Whole() {
		t.Fatalf("a journal in order: %+v, %v", r, err)
	}

	add("2026-09-18", rec, &fields.Hail{Paddocks: []string{"n1"}})
	struck := add("2026-09-19", rec, &fields.Hail{Paddocks: []string{"gone"}})
	add("2026-09-17", rec, &fields.Strike{Entry: struck, Because: "no remark on what does not count"})
	add("2026-09-17", rec, &fields.Strike{Entry: "01J8ZQ4V7W0000000000009999", Because: "x"})
	add("2026-09-17", rec, &fields.Frost{Paddocks: []string{"creek", "n1"}, Night: date(t, "2026-09-17")})
	add("2026-09-16", rec, &fields.Frost{Paddocks: []string{"creek"}, Night: date(t, "2026-09-16")})
	add("2026-09-17", rec, &fields.Reading{Station: "town", Night: date(t, "2026-09-17"), LowC: &low})
	add("2026-09-17", rec, &fields.Fed{Lot: "h9", Herd: "bulls", From: date(t, "2026-09-17")})
	r, err = s.Check()
	if err != nil || !r.Whole() || r.Entries != 18 {
		t.Fatalf("%+v, %v", r, err)
	}
	want := []string{
		"ahead: the hail entry of Fri 18 Sep 2026 was recorded before that, on Thu 17 Sep 2026",
		`herds: the fed entry names the herd "bulls", which no entry describes`,
		`lots: the fed entry names the lot "h9", which no entry describes`,
		`places: the frost entry names the paddock "creek", which no entry describes; 2 entries do`,
		`stations: the reading entry names the station "town", which no entry describes`,
		`strikes: the strike names entry "01J8ZQ4V7W0000000000009999", which is not in the journal`,
	}
	if diff := cmp.Diff(want, findings(r)); diff != "" {
		t.Error(diff)
	}
	for _, f := range r.Findings {
		if len(f.Entry) != 26 {
			t.Errorf("no entry is named: %+v", f)
		}
	}
}

// Two ids on one entry cannot come from this program, but from a hand with a
// tool for databases.
func TestCheckFindsIDsThatLie(t *testing.T) {
	a, b := sighting("a"), sighting("b")
	a.ID, b.ID = "01J8ZQ4V7W0000000000000001", "01J8ZQ4V7W0000000000000002"
	x := &examined{snap: &snapshot{entries: []pair{{[]byte(a.ID), fields.Encode(&a)}, {[]byte(b.ID), fields.Encode(&a)}}}}
	x.decode()
	got := x.Findings
	if len(got) != 2 || !got[0].Grave || got[0].Entry != b.ID || !strings.Contains(got[1].Text, "same id as the one under") {
		t.Errorf("%+v", got)
	}
}

func TestPlaceDoubt(t *testing.T) {
	for path, want := range map[string]string{
		filepath.Join(t.TempDir(), "farm.journal"):            "",
		"/home/sam/Dropbox/farm.journal":                      "(Dropbox)",
		`C:\Users\sam\OneDrive - Farm\Documents\farm.journal`: "(OneDrive - Farm)",
		"/home/sam/dropped/boxes/farm.journal":                "",
	} {
		got := New(path).PlaceDoubt()
		if (got == "") != (want == "") || !strings.Contains(got, want) {
			t.Errorf("%s: %q", path, got)
		}
	}
	s := New(filepath.Join(t.TempDir(), "Nextcloud", "farm.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	if r, err := s.Check(); err != nil || !r.Whole() || len(r.Findings) != 1 || r.Findings[0].Check != "place" {
		t.Errorf("%+v, %v", r, err)
	}
}
