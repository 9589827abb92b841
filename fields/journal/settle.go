package journal

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"rimegate/fields"
)

// Keep says which of two contents of one id counts from now on.
type Keep string

// The choices of Keep.
const (
	KeepOurs   Keep = "ours"   // what stands in this journal
	KeepTheirs Keep = "theirs" // what comes in
	KeepBoth   Keep = "both"   // each is an entry of its own: where nobody knows better
)

// Settle is how conflicts are settled, and by whom.
//
// An entry is never changed, and no other program's journal is. So the id that
// stands for two contents is struck; each content becomes an entry of its own,
// under an id made of the content, and the one that is not kept is struck too.
// Nothing is lost, and since the ids are the same on every computer, the
// decision goes along with the entries: a journal that holds them, or is
// brought them, has no conflict any more.
type Settle struct {
	Keep Keep
	By   string
	At   time.Time // when it was decided
	On   fields.Date
}

// settledBy begins the reason of every strike that settles a conflict.
const settledBy = "one id stood for two contents: "

// renamed returns the entry under the id made of its content, with the time of
// its own id.
func renamed(e *fields.Entry) fields.Entry {
	sum := sha256.Sum256(fields.Encode(e))
	var id ulid.ULID
	if own, err := ulid.ParseStrict(e.ID); err == nil {
		copy(id[:6], own[:6])
	}
	copy(id[6:], sum[:10])
	out := *e
	out.ID = id.String()
	return out
}

// clash is one id with two contents.
type clash struct{ ours, theirs *fields.Entry }

// known is what an intake knows of its entries and of those that stand.
type known struct {
	stored  func(id string) *fields.Entry
	coming  map[string]*fields.Entry
	struck  map[string]bool // ids struck by any strike of either
	settled map[string]bool // ids struck by a strike that settles a conflict
	// ids that somebody struck for a reason of their own: what stood under them here, and
	// where the others come from
	here, there map[string]bool
}

func (in *intake) known() *known {
	b := &known{
		coming: map[string]*fields.Entry{}, struck: map[string]bool{}, settled: map[string]bool{}, here: map[string]bool{}, there: map[string]bool{},
	}
	read := func(text []byte) *fields.Entry {
		e, probs := fields.DecodeEntry(text)
		if len(probs) > 0 {
			return nil
		}
		return e
	}
	b.stored = func(id string) *fields.Entry { return read(in.entries.Get([]byte(id))) }
	strike := func(e *fields.Entry, own map[string]bool) {
		if s, ok := e.Body.(*fields.Strike); ok && s.Entry != "" {
			b.struck[s.Entry] = true
			if strings.HasPrefix(s.Because, settledBy) {
				own = b.settled
			}
			own[s.Entry] = true
		}
	}
	for i := range in.ready {
		r := &in.ready[i]
		b.coming[r.entry.ID] = &r.entry
		strike(&r.entry, b.there)
		if r.same {
			strike(&r.entry, b.here)
		}
	}
	c := in.entries.Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		if bytes.Contains(v, []byte(`"kind":"strike"`)) {
			if e := read(v); e != nil && b.coming[e.ID] == nil {
				strike(e, b.here)
			}
		}
	}
	return b
}

// isSettled reports whether the conflict of two contents was settled, here or
// where the others come from. Two decisions that struck both contents settle
// nothing: what they were about would be lost.
func (b *known) isSettled(x clash) bool {
	if x.ours.Kind() != fields.KindStrike && !b.struck[x.ours.ID] {
		return false
	}
	lost := true
	for _, e := range []*fields.Entry{x.ours, x.theirs} {
		r := renamed(e)
		there := cmp.Or(b.stored(r.ID), b.coming[r.ID])
		if there == nil || !bytes.Equal(fields.Encode(there), fields.Encode(&r)) {
			return false
		}
		lost = lost && b.settled[r.ID]
	}
	return !lost
}

// entries returns what settles one conflict. A strike has no second thoughts: two
// of one id both strike, so they can only be kept both.
func (s *Settle) entries(b *known, x clash) ([]fields.Entry, error) {
	strikes := x.ours.Kind() == fields.KindStrike
	if (strikes || x.theirs.Kind() == fields.KindStrike) && s.Keep != KeepBoth {
		return nil, fields.Problems{{
			Field: "keep", What: fmt.Sprintf("entry %s strikes another, which cannot be taken back", x.ours.ID), Type: "keep both",
		}}
	}
	var out []fields.Entry
	strike := func(id, why string) {
		body := &fields.Strike{Entry: id, Because: why}
		out = append(out, fields.Entry{ID: newID(s.At), Recorded: s.At, By: s.By, On: s.On, Body: body})
	}
	if !strikes {
		strike(x.ours.ID, settledBy+"each stands under an id of its own now")
	}
	content := func(e *fields.Entry, keep, wasStruck bool) {
		r := renamed(e)
		if keep && b.struck[r.ID] { // an earlier decision struck it: it counts anew
			r.ID = newID(r.Recorded)
		}
		out = append(out, r)
		switch {
		case !keep:
			strike(r.ID, settledBy+"the other one is kept")
		case wasStruck:
			strike(r.ID, "it was struck under the id it had, which stood for two contents")
		}
	}
	content(x.ours, s.Keep != KeepTheirs, b.here[x.ours.ID])
	content(x.theirs, s.Keep != KeepOurs, b.there[x.ours.ID])
	return out, nil
}
