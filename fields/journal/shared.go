package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// Shared is how far a journal was exchanged with other seats through a stream of numbered
// messages that only grows. It lies in the journal and is written in one transaction with
// what was taken: an older copy that is brought back says what that copy holds.
type Shared struct {
	Farm string   `json:"farm"`           // whose stream
	Seq  uint64   `json:"seq"`            // the last message that was taken
	Mark string   `json:"mark,omitempty"` // what that message was, so that another stream is noticed
	Sent []Run    `json:"sent,omitempty"` // entries that the stream has, by chain and number
	Gaps []string `json:"gaps,omitempty"` // gaps that it has

	// The first message that this program could not read, and which program that was: a
	// newer one reads from there again.
	Unread   uint64 `json:"unread,omitempty"`
	Unreads  int    `json:"unreads,omitempty"` // how many
	UnreadBy string `json:"unread_by,omitempty"`
}

var keyShared = []byte("shared")

// sharedOf reads how far a journal was exchanged.
func sharedOf(path string, tx *bbolt.Tx) (*Shared, error) {
	text := tx.Bucket(bucketMeta).Get(keyShared)
	if text == nil {
		return nil, nil
	}
	var x Shared
	if json.Unmarshal(text, &x) != nil {
		return nil, damaged(path, "what it says of its exchange with other seats cannot be read")
	}
	return &x, nil
}

// sent adds a place to runs that are in order.
func sent(runs []Run, p spot) []Run {
	i, _ := slices.BinarySearchFunc(runs, p, func(r Run, p spot) int {
		switch {
		case r.Writer < p.writer || r.Writer == p.writer && r.To+1 < p.number:
			return -1
		case r.Writer > p.writer || r.From > p.number+1:
			return 1
		}
		return 0
	})
	if i == len(runs) || runs[i].Writer != p.writer || runs[i].From > p.number+1 {
		return slices.Insert(runs, i, Run{p.writer, p.number, p.number})
	}
	r := &runs[i]
	r.From, r.To = min(r.From, p.number), max(r.To, p.number)
	if i+1 < len(runs) && runs[i+1].Writer == p.writer && runs[i+1].From <= r.To+1 {
		r.To = max(r.To, runs[i+1].To)
		runs = slices.Delete(runs, i+1, i+2)
	}
	return runs
}

// Exchanger exchanges a journal's entries with a stream of messages.
type Exchanger struct {
	Shared
	Wrote  bool // the seat has entries of its own
	store  *Store
	base   *Content // where the journal stood when it was read last
	unsent map[string]spot
	gaps   []Gap
	// KeepAside keeps an entry of a known id with another content. It is called before the
	// position behind that entry is stored, and again when that is tried again.
	KeepAside func(e *fields.Entry) error
}

// Exchanger reads how far the journal was exchanged with a farm's stream.
func (s *Store) Exchanger(farm string) (*Exchanger, error) {
	x := &Exchanger{store: s, Shared: Shared{Farm: farm}}
	return x, x.Refresh()
}

// Fresh reports that nobody wrote into the journal since it was read; no entry is read for that.
func (x *Exchanger) Fresh() (bool, error) {
	if x.base == nil {
		return false, nil
	}
	n, err := x.store.Revision()
	return err == nil && n == x.base.state.Revision, err
}

// Refresh reads anew what the stream lacks, if anybody wrote into the journal.
func (x *Exchanger) Refresh() error {
	if fresh, err := x.Fresh(); fresh || err != nil {
		return err
	}
	return x.store.read(walkAll, func(tx *bbolt.Tx, v *verdict) error {
		was, err := sharedOf(x.store.Path, tx)
		if err != nil {
			return err
		}
		at := Shared{Farm: x.Farm}
		if was != nil && was.Farm == x.Farm {
			at = *was
		}
		return x.read(tx, v, at)
	})
}

// read finds what the stream lacks.
func (x *Exchanger) read(tx *bbolt.Tx, v *verdict, at Shared) (err error) {
	if x.gaps, err = gapsOf(x.store.Path, tx); err != nil {
		return err
	}
	x.Shared, x.base = at, &Content{state: v.now}
	x.Wrote = slices.ContainsFunc(v.seats, func(s seat) bool { return s.name == x.SeatName() && s.Length > 0 })
	x.unsent = map[string]spot{}
	for _, r := range x.lacking() {
		for p, id := range linksOf(tx, r) {
			x.unsent[string(id)] = p
		}
	}
	return nil
}

// lacking are the parts of each chain that the stream lacks, in order.
func (x *Exchanger) lacking() (out []Run) {
	for _, w := range slices.Sorted(maps.Keys(x.base.state.Writers)) {
		next, length := uint64(1), x.base.state.Writers[w].Length
		lacks := func(to uint64) {
			if next <= to {
				out = append(out, Run{w, next, to})
			}
		}
		for _, r := range x.Sent {
			if r.Writer == w {
				lacks(min(r.From-1, length))
				next = r.To + 1
			}
		}
		lacks(length)
	}
	return out
}

// linksOf yields the places of a run with the ids that stand there.
func linksOf(tx *bbolt.Tx, r Run) func(func(spot, []byte) bool) {
	return func(yield func(spot, []byte) bool) {
		c := tx.Bucket(bucketChain).Cursor()
		for k, v := c.Seek(linkKey(r.Writer, r.From)); k != nil; k, v = c.Next() {
			w, number, ok := splitLinkKey(k)
			if !ok || string(w) != r.Writer || number > r.To || !link(v).sound() || !yield(spot{r.Writer, number}, link(v).id()) {
				return
			}
		}
	}
}

// Restart forgets what the stream has: it is another one than it was.
func (x *Exchanger) Restart() error {
	if _, err := x.store.write(nil, 0, func(tx *bbolt.Tx) error { return putShared(tx, &Shared{Farm: x.Farm}) }); err != nil {
		return err
	}
	return x.Refresh()
}

func putShared(tx *bbolt.Tx, x *Shared) error {
	text, err := json.Marshal(x)
	if err != nil {
		return err
	}
	return tx.Bucket(bucketMeta).Put(keyShared, text)
}

// Unsent is how many entries and gaps the stream lacks.
func (x *Exchanger) Unsent() int { return len(x.unsent) + len(x.gapsUnsent()) }

func (x *Exchanger) gapsUnsent() []Gap {
	return slices.DeleteFunc(slices.Clone(x.gaps), func(g Gap) bool { return slices.Contains(x.Shared.Gaps, g.sentAs()) })
}

// sentAs names a gap, accepted or not, among those sent.
func (g *Gap) sentAs() string {
	if g.Accepted() {
		return string(g.key()) + ":accepted"
	}
	return string(g.key())
}

// Outgoing is a line that the stream lacks: an entry, or what is known to be missing.
type Outgoing struct {
	ID   string // unique to it
	Seat string // that wrote it
	Text []byte // a line of an export, without its end
}

// Lacking returns what the stream lacks, in the order in which each seat wrote it: so
// much of it as comes to most bytes, or the first line.
func (x *Exchanger) Lacking(most int) ([]Outgoing, error) {
	var out []Outgoing
	for _, g := range x.gapsUnsent() {
		text, err := json.Marshal(gapText{&g})
		if err != nil {
			return nil, err
		}
		out = append(out, Outgoing{ID: g.sentAs(), Seat: x.SeatName(), Text: text})
		most -= len(text)
	}
	err := x.store.read(walkRoot, func(tx *bbolt.Tx, _ *verdict) error {
		names := map[string]string{}
		seats, err := seatsOf(x.store.Path, tx)
		for _, s := range seats {
			names[s.Writer] = s.name
		}
		if err != nil {
			return err
		}
		entries := tx.Bucket(bucketEntries)
		for _, r := range x.lacking() {
			for _, id := range linksOf(tx, r) {
				if _, lacks := x.unsent[string(id)]; !lacks {
					continue
				}
				text := entries.Get(id)
				if most -= len(text); most < 0 && len(out) > 0 {
					return nil
				}
				out = append(out, Outgoing{ID: string(id), Seat: names[r.Writer], Text: bytes.Clone(text)})
			}
		}
		return nil
	})
	return out, err
}

// SeatName is the name of the journal's own seat.
func (x *Exchanger) SeatName() string { return seatName(x.store.Seat) }

// Skip leaves a line out until the journal is read anew.
func (x *Exchanger) Skip(id string) { delete(x.unsent, id) }

// exchange is what a commit says of an exchange.
type exchange struct {
	next   Shared
	unsent map[string]spot
	in     *intake
	have   []string       // ids that the stream has, besides those that came in
	came   []Gap          // those too
	aside  []fields.Entry // with another content than ours
	keep   func(*fields.Entry) error
}

// put stores how far the exchange reaches once a commit is done.
func (e *exchange) put(tx *bbolt.Tx) error {
	for i := range e.aside {
		if e.keep == nil {
			return fmt.Errorf("the entry %s came in with another content than the journal's, and nothing keeps it", e.aside[i].ID)
		}
		if err := e.keep(&e.aside[i]); err != nil {
			return err
		}
	}
	e.next.Sent = slices.Clone(e.next.Sent)
	e.next.Gaps = slices.Clone(e.next.Gaps)
	gap := func(name string) {
		if !slices.Contains(e.next.Gaps, name) {
			e.next.Gaps = append(e.next.Gaps, name)
		}
	}
	for i := range e.in.ready {
		r := &e.in.ready[i]
		p, known := e.unsent[string(r.key)]
		switch {
		case r.at.writer != "":
			e.next.Sent = sent(e.next.Sent, r.at)
		case r.same && known:
			e.next.Sent = sent(e.next.Sent, p)
		}
	}
	for _, id := range e.have {
		if p, known := e.unsent[id]; known {
			e.next.Sent = sent(e.next.Sent, p)
		} else {
			gap(id)
		}
	}
	for i := range e.came {
		gap(e.came[i].sentAs())
	}
	return putShared(tx, &e.next)
}

// Taken is what became of what came in.
type Taken struct {
	ImportReport
	Aside []fields.Entry // known ids with another content: never applied
}

// Arrival is an entry that came in and that a journal can take.
type Arrival struct{ ready readyEntry }

// Arrived checks an entry that came in; the problems say why no journal takes it.
func Arrived(e *fields.Entry) (Arrival, fields.Problems) {
	var a Arrival
	probs := (&preparer{room: usualText}).prepare(e, &a.ready)
	return a, probs
}

// Take stores what came from the stream up to a message, in one transaction with that
// position. An entry that the journal has counts as the stream's from then on; one of a
// known id with another content is not taken, unless that was settled.
func (x *Exchanger) Take(entries []Arrival, gaps []Gap, to Shared) (Taken, error) {
	var out Taken
	in := &intake{store: x.store}
	for i := range entries {
		in.ready = append(in.ready, entries[i].ready)
	}
	e, err := x.commit(in, gaps, to, nil)
	out.ImportReport, out.Aside = in.rep, e.aside
	return out, err
}

// Have notes ids that the stream has, and the position.
func (x *Exchanger) Have(ids []string, to Shared) error {
	_, err := x.commit(&intake{store: x.store}, nil, to, ids)
	return err
}

func (x *Exchanger) commit(in *intake, gaps []Gap, to Shared, have []string) (e *exchange, err error) {
	to.Farm = x.Farm
	for {
		to.Sent, to.Gaps = x.Sent, x.Shared.Gaps
		e = &exchange{next: to, unsent: x.unsent, in: in, have: have, came: gaps, keep: x.KeepAside}
		in.exchange, in.clashes, in.rep = e, nil, ImportReport{}
		for i := range in.ready {
			in.ready[i].same, in.ready[i].at = false, spot{}
		}
		now, err := in.write(x.base, gaps)
		switch {
		case errors.Is(err, ErrMoved): // somebody logged: what is known of the journal is read again
			if err := x.Refresh(); err != nil {
				return e, err
			}
			continue
		case err != nil:
			return e, err
		}
		x.Shared, x.base = e.next, &Content{state: now}
		break
	}
	for i := range in.ready {
		if r := &in.ready[i]; r.same {
			delete(x.unsent, string(r.key))
		}
	}
	for _, id := range have {
		delete(x.unsent, id)
	}
	for _, g := range gaps {
		if !slices.ContainsFunc(x.gaps, func(o Gap) bool { return o.sentAs() == g.sentAs() }) {
			x.gaps = append(x.gaps, g)
		}
	}
	return e, nil
}

// Settled reports whether the journal holds a content that came under an id of another
// one, under the id made of it: somebody decided.
func (c *Content) Settled(e *fields.Entry) bool {
	r := renamed(e)
	_, found := slices.BinarySearchFunc(c.Entries, r.ID, func(e fields.Entry, id string) int { return bytes.Compare([]byte(e.ID), []byte(id)) })
	return found
}

// Gathered is what came from a stream, for answers without a journal of it.
type Gathered struct {
	entries map[string]*fields.Entry
	twice   []clash
	gaps    map[string]Gap
}

// Add takes an entry that came; the first of an id stands for it, as in the journal of
// whoever sent that.
func (g *Gathered) Add(a Arrival) {
	if g.entries == nil {
		g.entries = map[string]*fields.Entry{}
	}
	e := &a.ready.entry
	switch was := g.entries[e.ID]; {
	case was == nil:
		g.entries[e.ID] = e
	case !bytes.Equal(fields.Encode(was), a.ready.text):
		g.twice = append(g.twice, clash{was, e})
	}
}

// AddGap takes what is known to be missing.
func (g *Gathered) AddGap(x Gap) {
	if g.gaps == nil {
		g.gaps = map[string]Gap{}
	}
	if key := string(x.key()); !(&Gap{By: g.gaps[key].By}).Accepted() {
		g.gaps[key] = x
	}
}

// Entries are what came, by id, with their seats if there are several; doubts say in
// clauses why that may not be all that counts.
func (g *Gathered) Entries() (all []fields.Entry, doubts []string) {
	k := &known{
		stored: func(string) *fields.Entry { return nil }, coming: g.entries,
		struck: map[string]bool{}, settled: map[string]bool{},
	}
	seats := map[string]bool{}
	for _, id := range slices.Sorted(maps.Keys(g.entries)) {
		e := g.entries[id]
		all, seats[e.Seat] = append(all, *e), true
		if x, ok := e.Body.(*fields.Strike); ok {
			k.struck[x.Entry] = true
			k.settled[x.Entry] = k.settled[x.Entry] || strings.HasPrefix(x.Because, settledBy)
		}
	}
	for i := range all {
		if len(seats) == 1 {
			all[i].Seat = ""
		}
	}
	if i := slices.IndexFunc(g.twice, func(x clash) bool { return !k.isSettled(x) }); i >= 0 {
		doubts = append(doubts, fmt.Sprintf("entry %s came with two contents; "+
			"somebody must decide at one of its seats (rimegate journal import --keep)", g.twice[i].ours.ID))
	}
	for _, key := range slices.Sorted(maps.Keys(g.gaps)) {
		x := g.gaps[key]
		if text := x.Words(func(id string) bool { return g.entries[id] != nil }); text != "" && !x.Accepted() {
			doubts = append(doubts, text)
		}
	}
	return all, doubts
}
