//go:build !noshare && unix

package share

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// today is the morning's page of a seat's journal.
func today(t *testing.T, s *Seat) string {
	t.Helper()
	c, err := s.Store.Load()
	if err != nil {
		t.Fatal(err)
	}
	for i := range c.Entries {
		c.Entries[i].Seat = ""
	}
	h := fields.Fold(c.Entries, fields.View{On: fields.DateOf(day, day.Location()), KnownAt: day.Add(time.Hour * 24)})
	var out bytes.Buffer
	if err := board.NewPage(hazard.Assess(h, rules.Default()), board.Filter{}, nil).Text(&out, 80); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// impatient shortens what is waited for.
func impatient(t *testing.T) {
	a, b := patience, ackPatience
	patience, ackPatience = 1500*time.Millisecond, 2*time.Second
	t.Cleanup(func() { patience, ackPatience = a, b })
}

// begun exchanges until the servers have found one another and take something.
func (h *host) begun(s *Seat) {
	h.t.Helper()
	for range 20 {
		if _, err := s.once(); err == nil {
			return
		} else {
			h.t.Log(err)
		}
		time.Sleep(200 * time.Millisecond)
	}
	h.t.Fatal("the cluster takes nothing")
}

var clusterRounds = flag.Int("rounds", 3, "rounds of entries that each of eight seats writes into the cluster")

// Eight seats write while one of three servers is killed and another is cut off: every
// entry that was acknowledged, which is every one, stands in every journal afterwards.
func TestClusterLosesNothing(t *testing.T) {
	impatient(t)
	h := newHost(t)
	h.cluster()
	var seats []*Seat
	for i := range 8 {
		seats = append(seats, h.seat(fmt.Sprint("seat", i), "coulee", []string{"COULEE_SHOP", "COULEE_HOUSE"}[i%2]))
	}
	farm := []fields.Entry{
		{Recorded: day, By: "ann", On: 20000, Body: &fields.Farm{Name: "Coulee", Zone: "America/Regina"}},
		{Recorded: day, By: "ann", On: 20000, Body: &fields.PaddockFacts{Paddock: "creek", Name: "Creek"}},
		{Recorded: day, By: "ann", On: 20000, Body: &fields.Sown{Paddock: "creek", Species: []fields.SpeciesShare{{Species: "sorghum-sudangrass"}}}},
	}
	if _, err := seats[0].Store.Append(farm); err != nil {
		t.Fatal(err)
	}
	h.begun(seats[0])
	const each = 5
	rounds := *clusterRounds
	var wait sync.WaitGroup
	var mu sync.Mutex
	var done atomic.Int32
	troubles := map[string]int{}
	reach := func(n int) { // so many exchanges are over
		for int(done.Load()) < n {
			time.Sleep(10 * time.Millisecond)
		}
	}
	for i, s := range seats {
		wait.Go(func() {
			for n := range rounds {
				var mm []int
				for k := range each {
					mm = append(mm, 1+(i*rounds+n)*each+k)
				}
				log(t, s, mm...)
				_, err := s.once()
				done.Add(1)
				if err != nil {
					mu.Lock()
					troubles[err.Error()]++
					mu.Unlock()
				}
			}
		})
	}
	reach(len(seats))
	h.servers[0].kill()
	reach(2 * len(seats))
	_ = h.servers[1].cmd.Process.Signal(syscall.SIGSTOP) // now too few are left
	time.Sleep(2500 * time.Millisecond)
	if n := int(done.Load()); n == len(seats)*rounds {
		t.Error("nobody wrote any more when the second server was cut off")
	}
	_ = h.servers[1].cmd.Process.Signal(syscall.SIGCONT)
	wait.Wait()
	h.servers[0].start() // it comes back with what was on its disk
	h.servers[0].wait()
	for range 2 {
		for _, s := range seats {
			var err error
			for range 5 {
				if _, err = s.once(); err == nil {
					break
				}
				t.Log(err)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Log(troubles)
	want := len(farm) + len(seats)*rounds*each
	for _, s := range seats {
		if n := len(content(t, s)); n != want {
			t.Errorf("%s holds %d entries, want %d", s.Store.Seat, n, want)
		}
	}
	same(t, seats...)
	page := today(t, seats[0])
	for _, s := range seats {
		if p := today(t, s); p != page {
			t.Errorf("%s answers otherwise:\n%s\n%s", s.Store.Seat, p, page)
		}
	}
	if ids := h.stream(seats[0]); len(ids) != want || len(slices.Compact(slices.Sorted(slices.Values(ids)))) != want {
		t.Errorf("the stream holds %d messages, want %d, each once", len(ids), want)
	}
}

// stream is the ids of a stream's messages.
func (h *host) stream(s *Seat) (ids []string) {
	h.t.Helper()
	ctx, done := context.WithTimeout(context.Background(), time.Minute)
	defer done()
	l, err := s.Dial(ctx)
	if err != nil {
		h.t.Fatal(err)
	}
	defer l.Close()
	l.report = &Report{}
	last, err := l.last(ctx)
	if err == nil && last > 0 {
		err = l.each(ctx, 1, last, func(_ uint64, head func(string) string, text []byte) error {
			if head(headID) == "" {
				return errors.New("a message without id")
			}
			ids = append(ids, head(headID))
			return nil
		})
	}
	if err != nil {
		h.t.Fatal(err)
	}
	return ids
}
