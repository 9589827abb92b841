package journal

import (
	"bytes"
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

// both is what is known of the entries of a journal and those that come in.
type both struct {
	stored  func(id string) *fields.Entry
	coming  map[string]*fields.Entry
	struck  map[string]bool // ids struck by any strike of either
	settled map[string]bool // ids struck by a strike that settles a conflict
}

// both gathers what an intake knows of its entries and of those that stand.
func (in *intake) both() *both {
	b := &both{coming: map[string]*fields.Entry{}, struck: map[string]bool{}, settled: map[string]bool{}}
	b.stored = func(id string) *fields.Entry {
		e, probs := fields.DecodeEntry(in.entries.Get([]byte(id)))
		if len(probs) > 0 {
			return nil
		}
		return e
	}
	for i := range in.ready {
		b.coming[in.ready[i].entry.ID] = &in.ready[i].entry
		b.strike(&in.ready[i].entry)
	}
	c := in.entries.Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		if !bytes.Contains(v, []byte(`"kind":"strike"`)) {
			continue
		}
		if e, probs := fields.DecodeEntry(v); len(probs) == 0 {
			b.strike(e)
		}
	}
	return b
}

func (b *both) strike(e *fields.Entry) {
	if s, ok := e.Body.(*fields.Strike); ok && s.Entry != "" {
		b.struck[s.Entry] = true
		if strings.HasPrefix(s.Because, settledBy) {
			b.settled[s.Entry] = true
		}
	}
}

// isSettled reports whether the conflict of two contents was settled, here or
// where the others come from. Two decisions that struck both contents settle
// nothing: what they were about would be lost.
func (b *both) isSettled(ours, theirs *fields.Entry) bool {
	if ours.Kind() != fields.KindStrike && !b.struck[ours.ID] {
		return false
	}
	lost := true
	for _, e := range []*fields.Entry{ours, theirs} {
		r := renamed(e)
		there := b.stored(r.ID)
		if there == nil {
			there = b.coming[r.ID]
		}
		if there == nil || !bytes.Equal(fields.Encode(there), fields.Encode(&r)) {
			return false
		}
		lost = lost && b.settled[r.ID]
	}
	return !lost
}

// entries returns what settles one conflict. A strike has no second thoughts: two
// of one id both strike, so they can only be kept both.
func (s *Settle) entries(b *both, ours, theirs *fields.Entry) ([]fields.Entry, error) {
	if (ours.Kind() == fields.KindStrike || theirs.Kind() == fields.KindStrike) && s.Keep != KeepBoth {
		return nil, fields.Problems{{Field: "keep", What: fmt.Sprintf("entry %s strikes another, which cannot be taken back", ours.ID), Type: "keep both"}}
	}
	strike := func(id, why string) fields.Entry {
		return fields.Entry{ID: newID(s.At), Recorded: s.At, By: s.By, On: s.On, Body: &fields.Strike{Entry: id, Because: settledBy + why}}
	}
	var out []fields.Entry
	if ours.Kind() != fields.KindStrike {
		out = append(out, strike(ours.ID, "each stands under an id of its own now"))
	}
	for _, x := range []struct {
		e    *fields.Entry
		keep bool
	}{{ours, s.Keep != KeepTheirs}, {theirs, s.Keep != KeepOurs}} {
		r := renamed(x.e)
		if x.keep && b.struck[r.ID] { // an earlier decision struck it: it counts anew
			r.ID = newID(r.Recorded)
		}
		out = append(out, r)
		if !x.keep {
			out = append(out, strike(r.ID, "the other one is kept"))
		}
	}
	return out, nil
}
