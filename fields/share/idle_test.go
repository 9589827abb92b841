//go:build !noshare && unix

package share

import (
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats.go"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// A round of a seat that follows reads no entry and writes nothing while neither side has
// anything new, and misses nothing that is.
func TestIdleCostsNothing(t *testing.T) {
	h := newHost(t)
	s := h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	log(t, shop, 1, 2, 3)
	ctx := context.Background()
	l := h.link(shop)
	if l.Idle(ctx) {
		t.Error("a link is idle that exchanged nothing yet")
	}
	follow := func(l *Link) *Report {
		t.Helper()
		r, err := l.Exchange(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	follow(l)
	now := time.Now()
	shop.Clock = func() time.Time { return now }
	steps := map[string]int{}
	shop.Store.Trace = func(step string) { steps[step]++ }
	written := func() time.Time {
		info, err := os.Stat(settingsPath(shop.Store))
		if err != nil {
			t.Fatal(err)
		}
		return info.ModTime()
	}
	before := written()
	for range 20 {
		if !l.Idle(ctx) {
			t.Fatal("a quiet stream is not idle")
		}
	}
	if len(steps) != 1 || steps["opening"] != 20 || !written().Equal(before) {
		t.Errorf("20 idle rounds: %v, settings written: %v", steps, !written().Equal(before))
	}
	now = now.Add(2 * savedEvery)
	if !l.Idle(ctx) || written().Equal(before) {
		t.Error("nobody can see when this seat exchanged last")
	}
	if x, err := Load(shop.Store); err != nil || !x.Last.Equal(now) {
		t.Error(x, err)
	}

	log(t, shop, 4)
	if l.Idle(ctx) {
		t.Error("an entry written here makes no difference")
	}
	if r := follow(l); r.Sent != 1 {
		t.Errorf("%+v", r)
	}
	log(t, house, 11)
	exchange(t, house)
	if l.Idle(ctx) {
		t.Error("an entry from elsewhere makes no difference")
	}
	if r := follow(l); r.Taken.Added != 1 || !l.Idle(ctx) {
		t.Errorf("%+v", r)
	}
	s.kill() // and comes back with a folder that another seat filled as far
	if err := os.RemoveAll(h.path("store-a")); err != nil {
		t.Fatal(err)
	}
	s.start()
	s.wait()
	exchange(t, house)
	if l.Idle(ctx) {
		t.Error("another stream makes no difference")
	}
	follow(l)
	same(t, shop, house)
}

// In a quiet stream a seat that writes says that it exchanged; nothing else comes of it.
func TestAQuietFarmIsSeen(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house, reader := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE"), h.seat("office", "coulee", "COULEE_READER")
	log(t, shop, 1)
	exchange(t, shop)
	exchange(t, shop)
	if n := len(h.stream(shop)); n != 1 {
		t.Fatalf("%d messages", n)
	}
	was := seenEvery
	t.Cleanup(func() { seenEvery = was })
	seenEvery = time.Nanosecond
	for _, s := range []*Seat{house, reader} { // neither wrote anything
		exchange(t, s)
	}
	l := h.link(shop)
	if r, err := l.Exchange(context.Background()); err != nil || r.Sent != 0 || l.Idle(context.Background()) {
		t.Fatal(r, err)
	}
	ids := h.stream(shop)
	if len(ids) != 2 || !strings.HasPrefix(ids[1], "seen-") {
		t.Errorf("%q", ids)
	}
	seenEvery = was
	for _, s := range []*Seat{house, reader, shop} {
		if r := exchange(t, s); r.Taken.Added+r.Skipped+r.Unread+len(r.Says) != 0 {
			t.Errorf("%s: %+v", s.Store.Seat, r)
		}
	}
	same(t, shop, house, reader)
	held, err := reader.Whole(context.Background())
	if err != nil || held.Last.Before(l.stream.CachedInfo().State.LastTime) {
		t.Error(held, err)
	}
}

// An entry of a seat that no journal takes is counted and named, and comes again when
// another program reads; what stands around it is taken.
func TestWhatNoJournalTakes(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	log(t, shop, 1)
	exchange(t, shop)
	mm := 1.0
	long := fields.Entry{ID: "01K6XQ4T5Q0V3N7R8S9T0V1W2X", Recorded: day, By: "sam", On: 20000, Body: &fields.Rain{Paddocks: []string{"creek"}, MM: &mm}}
	long.Note = strings.Repeat("x", fields.MaxLine-len(fields.Encode(&long))-len(`"note":"",`))
	text := fields.Encode(&long)
	if _, err := Read(func(name string) string {
		return map[string]string{headSeat: "truck", headHash: hashOf("truck", text)}[name]
	}, text); err != nil {
		t.Fatalf("it is no message: %v", err)
	}
	if _, probs := journal.Arrived(&long); len(probs) == 0 {
		t.Fatal("a journal takes it")
	}
	l := h.link(shop)
	for _, bad := range [][]byte{text, []byte(`{"id":"01K6XQ4T5Q0V3N7R8S9T0V1W2Y","kind":"of the future","recorded":"2026-10-06T06:40:00-06:00","by":"sam","on":"2026-10-06"}`)} {
		m := nats.NewMsg(Subject("coulee"))
		m.Data = bad
		m.Header[headSeat], m.Header[headHash] = []string{"truck"}, []string{hashOf("truck", bad)}
		if _, err := l.js.PublishMsg(context.Background(), m); err != nil {
			t.Fatal(err)
		}
	}
	log(t, shop, 2)
	exchange(t, shop)
	says := func(r *Report) {
		t.Helper()
		if all := strings.Join(r.Says, "\n"); r.Unread != 2 || r.Skipped != 0 ||
			!strings.Contains(all, `message 2 of the stream, from the seat "truck", was not taken: `) || !strings.Contains(all, "message 3 ") {
			t.Errorf("%+v", r)
		}
	}
	r := exchange(t, house)
	says(r)
	if r.Taken.Added != 2 || len(content(t, house)) != 2 {
		t.Errorf("%+v", r)
	}
	if r := exchange(t, house); r.Unread != 2 || len(r.Says) != 0 {
		t.Errorf("the same program again: %+v", r)
	}
	if c, err := house.Store.Load(); err != nil || c.Shared.Unread != 2 || c.Shared.Unreads != 2 {
		t.Error(c.Shared, err)
	}
	house.Program = "2"
	r = exchange(t, house)
	says(r)
	if r.Taken.Same != 1 || r.Taken.Added != 0 {
		t.Errorf("another program: %+v", r)
	}
	held, err := house.Whole(context.Background())
	if err != nil || held.Unread != 2 {
		t.Error(held, err)
	}
}
