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
	if d := s.PlaceDoubt(); d != "" {
		x.remark("place", "", "%s", d)
	}
	if x.snap == nil {
		return x.Report, nil
	}
	for _, f := range verifyChains(x.snap) {
		x.grave("chain", f.entry, "%s", f.text)
	}
	for i := range x.snap.gaps { // accepted or not; it is no damage of this file
		if text := x.snap.gaps[i].Words(x.snap.has); text != "" {
			x.remark("gaps", "", "%s", text)
		}
	}
	entries := x.decode()
	h := fields.Fold(entries, fields.View{On: fields.MakeDate(2200, 12, 31)})
	for _, f := range h.Facts {
		if d, ahead := DatedAhead(f.Entry, h.Loc); ahead {
			x.remark("ahead", f.ID, "the %s entry of %s was recorded before that, on %s", f.Kind(), d.Words(), fields.DateOf(f.Recorded, h.Loc).Words())
		}
	}
	x.strikes(entries)
	x.named("places", "paddock", h, func(id string) bool {
		p := h.Paddock(id)
		return p != nil && (p.Known || len(p.Parents) > 0)
	})
	x.named("stations", "station", h, func(id string) bool { return h.Station(id) != nil })
	x.named("herds", "herd", h, func(id string) bool { return h.Herd(id) != nil })
	x.named("lots", "lot", h, func(id string) bool {
		return slices.ContainsFunc(h.OfLot(id), func(f fields.Fact) bool { return f.Kind() == fields.KindLot })
	})
	return x.Report, nil
}

// examined is a journal file taken apart, and what was found.
type examined struct {
	Report
	metas int       // sound meta records
	snap  *snapshot // nil if the pages are too damaged to be followed
}

func (x *examined) grave(check, entry, format string, args ...any) {
	x.Findings = append(x.Findings, Finding{check, entry, fmt.Sprintf(format, args...), true})
}

func (x *examined) remark(check, entry, format string, args ...any) {
	x.Findings = append(x.Findings, Finding{check, entry, fmt.Sprintf(format, args...), false})
}

// examine opens a journal file and takes it apart; the findings are of its pages
// and mark.
func (s *Store) examine() (*examined, error) {
	x := &examined{}
	head, err := s.look(walkAll, func(tx *bbolt.Tx, v *verdict) (err error) {
		// bbolt checks on a goroutine of its own, where a fault would end
		// the program; after a clean walk nothing is left to fault on.
		for err := range tx.Check() {
			x.grave("pages", "", "the pages contradict each other (%v)", err)
		}
		snap, err := s.take(tx, v)
		switch {
		case err != nil:
			return err
		case v.bad != "":
			x.grave("mark", "", "%s", v.bad)
		case v.note != "":
			x.remark("mark", "", "%s", v.note)
		}
		x.snap, x.Entries = snap, len(snap.entries)
		return nil
	})
	x.metas = head.metas
	var dam *DamagedError
	if errors.As(err, &dam) && !dam.newer && x.metas > 0 && x.snap == nil { // opened, but not to be followed
		x.grave("pages", "", "%s; the rest could not be checked", dam.What)
		err = nil
	}
	return x, err
}

// decode reads the entries. One that cannot be read, or calls itself by another
// id than it stands under, is damage.
func (x *examined) decode() (out []fields.Entry) {
	keys := map[string]string{} // id an entry gives itself -> key it stands under
	for _, p := range x.snap.entries {
		key := string(p.key)
		e, probs := fields.DecodeEntry(p.value)
		if len(probs) > 0 {
			x.grave("decode", key, "the entry cannot be read: %v", probs)
			continue
		}
		if !bytes.Equal(fields.Encode(e), p.value) {
			x.remark("decode", key, "the entry is written in an older form")
		}
		if e.ID != key {
			x.grave("decode", key, "the entry calls itself %q", e.ID)
		}
		if other, twice := keys[e.ID]; twice {
			x.grave("decode", key, "the entry has the same id as the one under %q", other)
		}
		keys[e.ID] = key
		out = append(out, *e)
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

func (x *examined) strikes(entries []fields.Entry) {
	batches := map[string]bool{}
	for i := range entries {
		batches[entries[i].Batch] = true
	}
	for i := range entries {
		b, ok := entries[i].Body.(*fields.Strike)
		switch {
		case !ok:
		case b.Batch != "" && !batches[b.Batch]:
			x.remark("strikes", entries[i].ID, "the strike names the import %q, of which no entry is in the journal", b.Batch)
		case b.Entry != "" && !x.snap.has(b.Entry):
			x.remark("strikes", entries[i].ID, "the strike names entry %q, which is not in the journal", b.Entry)
		}
	}
}

// named finds things of a sort that entries refer to and nothing describes, once
// per name.
func (x *examined) named(check, sort string, h *fields.History, known func(id string) bool) {
	count := map[string]int{}
	at := map[string]int{} // name -> finding
	for _, f := range h.Facts {
		f.Texts(func(_, of, id string) {
			if of != sort || known(id) {
				return
			}
			if count[id]++; count[id] == 1 {
				at[id] = len(x.Findings)
				x.remark(check, f.ID, "the %s entry names the %s %q, which no entry describes", f.Kind(), sort, id)
			}
		})
	}
	for id, n := range count {
		if n > 1 {
			x.Findings[at[id]].Text += fmt.Sprintf("; %d entries do", n)
		}
	}
}
