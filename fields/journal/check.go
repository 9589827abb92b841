package journal

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
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
	return !slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Grave })
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
	r := Report{Findings: x.pages}
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
	{"places", named("paddock", paddockKnown)},
	{"stations", named("station", func(h *fields.History, id string) bool { return h.Station(id) != nil })},
	{"herds", named("herd", func(h *fields.History, id string) bool { return h.Herd(id) != nil })},
	{"lots", named("lot", lotKnown)},
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

func checkChain(x *examined) (out []Finding) {
	for _, f := range verifyChains(x.snap) {
		out = append(out, Finding{Entry: f.entry, Text: f.text, Grave: true})
	}
	return out
}

// checkGaps says what is known to be missing, accepted or not. It is no damage
// of this file.
func checkGaps(x *examined) (out []Finding) {
	for i := range x.snap.gaps {
		if text := x.snap.gaps[i].Words(x.snap.has); text != "" {
			out = append(out, Finding{Text: text})
		}
	}
	return out
}

func checkAhead(x *examined) (out []Finding) {
	for _, f := range x.history.Facts {
		if d, ahead := DatedAhead(f.Entry, x.history.Loc); ahead {
			out = append(out, Finding{Entry: f.ID, Text: fmt.Sprintf("the %s entry of %s was recorded before that, on %s", f.Kind(), d.Words(), fields.DateOf(f.Recorded, x.history.Loc).Words())})
		}
	}
	return out
}

// DatedAhead reports whether an entry states a fact of a day that had not come
// when it was recorded, and which day, in the farm's zone. Forecasts speak of
// nights to come, and a round of days to come. From noon on the coming night
// has begun: a reading or frost of it is no fact ahead of its day. Of what speaks
// of several days, the last one counts.
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
	case *fields.Fed:
		day = max(day, b.To)
	}
	return day, day > last
}

func checkStrikes(x *examined) (out []Finding) {
	batches := map[string]bool{}
	for i := range x.entries {
		batches[x.entries[i].Batch] = true
	}
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

// named finds things of a sort that entries refer to and nothing describes, once
// per name.
func named(sort string, known func(h *fields.History, id string) bool) func(*examined) []Finding {
	return func(x *examined) []Finding {
		var out []Finding
		at := map[string]int{} // name -> index in out
		count := map[string]int{}
		for _, f := range x.history.Facts {
			f.Texts(func(_, of, id string) {
				if of != sort || known(x.history, id) {
					return
				}
				if count[id]++; count[id] == 1 {
					at[id] = len(out)
					out = append(out, Finding{Entry: f.ID, Text: fmt.Sprintf("the %s entry names the %s %q, which no entry describes", f.Kind(), sort, id)})
				}
			})
		}
		for id, n := range count {
			if n > 1 {
				out[at[id]].Text += fmt.Sprintf("; %d entries do", n)
			}
		}
		return out
	}
}

func paddockKnown(h *fields.History, id string) bool {
	p := h.Paddock(id)
	return p != nil && (p.Known || len(p.Parents) > 0)
}

func lotKnown(h *fields.History, id string) bool {
	return slices.ContainsFunc(h.OfLot(id), func(f fields.Fact) bool { return f.Kind() == fields.KindLot })
}
