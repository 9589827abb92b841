package journal

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// Report is the outcome of a check.
type Report struct {
	Entries  int // entries in the file, readable or not
	Findings []Finding
}

// Finding is one thing worth knowing about a journal.
type Finding struct {
	Check string // name of the check that found it
	Entry string // id of the entry it is about, "" for the file
	Text  string
	Grave bool // damage; otherwise a remark on what the entries say
}

// Whole reports whether nothing grave was found.
func (r Report) Whole() bool {
	for _, f := range r.Findings {
		if f.Grave {
			return false
		}
	}
	return true
}

// Check looks at everything there is to look at: the pages of the file, the
// chains, each entry, and what the entries say of each other. Damage is a
// grave finding, not an error; the error is for files that cannot be looked at
// at all: missing, in use, no journal, or of a newer schema.
func (s *Store) Check() (Report, error) {
	x, err := s.examine()
	if err != nil {
		return Report{}, err
	}
	var r Report
	r.Findings = append(r.Findings, x.pages...)
	if d := s.PlaceDoubt(); d != "" {
		r.Findings = append(r.Findings, Finding{Check: "place", Text: d})
	}
	if x.snap == nil {
		return r, nil
	}
	r.Entries = len(x.snap.entries)
	for _, c := range checks {
		for _, f := range c.run(x) {
			f.Check = c.name
			r.Findings = append(r.Findings, f)
		}
	}
	return r, nil
}

// examined is a journal as the checks see it.
type examined struct {
	pages   []Finding // of the file itself
	metas   int       // sound meta records
	snap    *snapshot // nil if the pages are too damaged to be followed
	entries []fields.Entry
	broken  []Finding // entries that cannot be decoded
	history *fields.History
}

// checks is the list of what a check does once the pages are readable. Each is
// small and knows one thing.
var checks = []struct {
	name string
	run  func(*examined) []Finding
}{
	{"chain", checkChain},
	{"gaps", checkGaps},
	{"decode", func(x *examined) []Finding { return x.broken }},
	{"ahead", checkAhead},
	{"strikes", checkStrikes},
	{"places", checkPlaces},
	{"stations", checkStations},
	{"herds", checkHerds},
	{"lots", checkLots},
}

// examine opens a journal file and takes it apart.
func (s *Store) examine() (*examined, error) {
	x := &examined{}
	page := func(check string, grave bool, format string, args ...any) {
		x.pages = append(x.pages, Finding{Check: check, Text: fmt.Sprintf(format, args...), Grave: grave})
	}
	head, err := s.look(walkAll, func(tx *bbolt.Tx, v *verdict) (err error) {
		// bbolt checks on a goroutine of its own, where a fault would end
		// the program; after a clean walk nothing is left to fault on.
		for err := range tx.Check() {
			page("pages", true, "the pages contradict each other (%v)", err)
		}
		switch x.snap, err = s.take(tx, v); {
		case err != nil:
			x.snap = nil
		case v.bad != "":
			page("mark", true, "%s", v.bad)
		case v.note != "":
			page("mark", false, "%s", v.note)
		}
		return err
	})
	x.metas = head.metas
	var dam *DamagedError
	switch {
	case errors.As(err, &dam) && !dam.newer && x.metas > 0 && x.snap == nil: // opened, but not to be followed
		page("pages", true, "%s; the rest could not be checked", dam.What)
		return x, nil
	case err != nil:
		return nil, err
	}
	x.decode()
	return x, nil
}

// decode reads the entries. One that cannot be read, or calls itself by another
// id than it stands under, is damage.
func (x *examined) decode() {
	broken := func(p pair, grave bool, format string, args ...any) {
		x.broken = append(x.broken, Finding{Entry: string(p.key), Text: fmt.Sprintf(format, args...), Grave: grave})
	}
	keys := map[string]string{} // id an entry gives itself -> key it stands under
	for _, p := range x.snap.entries {
		e, probs := fields.DecodeEntry(p.value)
		if len(probs) > 0 {
			broken(p, true, "the entry cannot be read: %v", probs)
			continue
		}
		if !bytes.Equal(fields.Encode(e), p.value) {
			broken(p, false, "the entry is written in an older form")
		}
		if e.ID != string(p.key) {
			broken(p, true, "the entry calls itself %q", e.ID)
		}
		if other, twice := keys[e.ID]; twice {
			broken(p, true, "the entry has the same id as the one under %q", other)
		}
		keys[e.ID] = string(p.key)
		x.entries = append(x.entries, *e)
	}
	x.history = fields.Fold(x.entries, fields.View{On: fields.MakeDate(2200, 12, 31)})
}

func checkChain(x *examined) []Finding {
	var out []Finding
	for _, f := range verifyChains(x.snap) {
		out = append(out, Finding{Entry: f.entry, Text: f.text, Grave: true})
	}
	return out
}

// checkGaps says what is known to be missing, accepted or not. It is no damage
// of this file.
func checkGaps(x *examined) []Finding {
	var out []Finding
	for i := range x.snap.gaps {
		if text := x.snap.gaps[i].Words(x.snap.has); text != "" {
			out = append(out, Finding{Text: text})
		}
	}
	return out
}

func checkAhead(x *examined) []Finding {
	var out []Finding
	for _, f := range x.history.Facts {
		e := f.Entry
		if d, ahead := DatedAhead(e, x.history.Loc); ahead {
			out = append(out, Finding{Entry: e.ID, Text: fmt.Sprintf("the %s entry of %s was recorded before that, on %s", e.Kind(), d.Words(), fields.DateOf(e.Recorded, x.history.Loc).Words())})
		}
	}
	return out
}

// DatedAhead reports whether an entry states a fact of a day that had not come
// when it was recorded, and which day, in the farm's zone. Forecasts speak of
// nights to come, and a round of days to come. From noon on the coming night
// has begun: a reading or frost of it is no fact ahead of its day. A no-frost
// statement speaks of nights that are over, so its last night counts.
func DatedAhead(e *fields.Entry, loc *time.Location) (fields.Date, bool) {
	day := e.EventDate(loc)
	last := fields.DateOf(e.Recorded, loc)
	switch b := e.Body.(type) {
	case *fields.Forecast, *fields.Round:
		return day, false
	case *fields.Reading, *fields.Frost:
		last = fields.NightOf(e.Recorded, loc)
	case *fields.NoFrost:
		day = max(day, b.To)
	}
	return day, day > last
}

func checkStrikes(x *examined) []Finding {
	batches := map[string]bool{}
	for i := range x.entries {
		batches[x.entries[i].Batch] = true
	}
	var out []Finding
	for i := range x.entries {
		b, ok := x.entries[i].Body.(*fields.Strike)
		switch {
		case !ok:
		case b.Batch != "" && !batches[b.Batch]:
			out = append(out, Finding{Entry: x.entries[i].ID, Text: fmt.Sprintf("the strike names the import %q, of which no entry is in the journal", b.Batch)})
		case b.Entry != "" && !x.snap.has(b.Entry):
			out = append(out, Finding{Entry: x.entries[i].ID, Text: fmt.Sprintf("the strike names entry %q, which is not in the journal", b.Entry)})
		}
	}
	return out
}

// named finds what entries refer to and nothing describes, once per name.
func (x *examined) named(sort string, refer func(*fields.Entry) []string, known func(id string) bool) []Finding {
	var out []Finding
	at := map[string]int{} // name -> index in out
	count := map[string]int{}
	for _, f := range x.history.Facts {
		for _, id := range refer(f.Entry) {
			if id == "" || known(id) {
				continue
			}
			if count[id]++; count[id] == 1 {
				at[id] = len(out)
				out = append(out, Finding{Entry: f.ID, Text: fmt.Sprintf("the %s entry names the %s %q, which no entry describes", f.Kind(), sort, id)})
			}
		}
	}
	for id, n := range count {
		if n > 1 {
			out[at[id]].Text += fmt.Sprintf("; %d entries do", n)
		}
	}
	return out
}

func checkPlaces(x *examined) []Finding {
	return x.named("paddock", (*fields.Entry).Paddocks, func(id string) bool {
		p := x.history.Paddock(id)
		return p != nil && (p.Known || len(p.Parents) > 0)
	})
}

func checkStations(x *examined) []Finding {
	return x.named("station", func(e *fields.Entry) []string {
		switch b := e.Body.(type) {
		case *fields.PaddockFacts:
			return []string{b.Station}
		case *fields.Reading:
			return []string{b.Station}
		case *fields.Forecast:
			return []string{b.Station}
		}
		return nil
	}, func(id string) bool { return x.history.Station(id) != nil })
}

func checkHerds(x *examined) []Finding {
	return x.named("herd", func(e *fields.Entry) []string {
		switch b := e.Body.(type) {
		case *fields.Grazed:
			return []string{b.Herd}
		case *fields.Fed:
			return []string{b.Herd}
		case *fields.Incident:
			return []string{b.Herd}
		case *fields.Water:
			return b.Herds
		}
		return nil
	}, func(id string) bool { return x.history.Herd(id) != nil })
}

func checkLots(x *examined) []Finding {
	described := map[string]bool{}
	for _, id := range x.history.Lots() {
		described[id] = true
	}
	return x.named("lot", func(e *fields.Entry) []string { return []string{e.Lot()} }, func(id string) bool { return described[id] })
}
