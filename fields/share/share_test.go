//go:build !noshare

package share

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// seat is a new seat of a farm, with the credentials of a user.
func (h *host) seat(name, farm, user string) *Seat {
	h.t.Helper()
	s := &Seat{
		Settings: Settings{Server: h.url(), Farm: farm, Creds: h.path(user + ".nk"), CA: h.path("cert.pem")},
		Store:    journal.New(filepath.Join(h.t.TempDir(), name+".journal")), Clock: time.Now, Program: "1",
	}
	s.Store.Seat = name
	if err := s.Store.Create(); err != nil {
		h.t.Fatal(err)
	}
	return s
}

// log writes entries down at a seat: rain of a ten thousandth of so many mm, so that each is another one.
func log(t *testing.T, s *Seat, mm ...int) {
	t.Helper()
	var all []fields.Entry
	for _, n := range mm {
		x := float64(n) / 1e4
		all = append(all, fields.Entry{Recorded: day.Add(time.Duration(n) * time.Second), By: "sam", On: 20000, Body: &fields.Rain{Paddocks: []string{"creek"}, MM: &x}})
	}
	if _, err := s.Store.Append(all); err != nil {
		t.Fatal(err)
	}
}

func exchange(t *testing.T, s *Seat) *Report {
	t.Helper()
	r, err := s.once()
	if err != nil {
		t.Fatalf("seat %s: %v", s.Store.Seat, err)
	}
	return r
}

func (s *Seat) once() (*Report, error) {
	ctx, done := context.WithTimeout(context.Background(), 2*time.Minute)
	defer done()
	l, err := s.Dial(ctx)
	if err != nil {
		return &Report{}, err
	}
	defer l.Close()
	return l.Exchange(ctx)
}

// content is a journal as its export has it.
func content(t *testing.T, s *Seat) []string {
	t.Helper()
	c, err := s.Store.Load()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for i := range c.Entries {
		out = append(out, string(fields.Encode(&c.Entries[i])))
	}
	return out
}

func same(t *testing.T, seats ...*Seat) {
	t.Helper()
	for _, s := range seats[1:] {
		if d := cmp.Diff(content(t, seats[0]), content(t, s)); d != "" {
			t.Errorf("the seats %s and %s differ (-+):\n%s", seats[0].Store.Seat, s.Store.Seat, d)
		}
	}
}

func TestTwoSeatsShare(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	log(t, shop, 1, 2, 3)
	log(t, house, 11, 12)
	if r := exchange(t, shop); r.Sent != 3 || r.Taken.Added != 0 {
		t.Errorf("the shop: %+v", r)
	}
	if r := exchange(t, house); r.Sent != 2 || r.Taken.Added != 3 {
		t.Errorf("the house: %+v", r)
	}
	if r := exchange(t, shop); r.Sent != 0 || r.Taken.Added != 2 {
		t.Errorf("the shop again: %+v", r)
	}
	same(t, shop, house)
	for _, s := range []*Seat{shop, house} {
		if r := exchange(t, s); r.Sent+r.Taken.Added+r.Taken.Same != 0 {
			t.Errorf("%s: nothing is new, and yet %+v", s.Store.Seat, r)
		}
		c, err := s.Store.Load()
		if err != nil {
			t.Fatal(err)
		}
		seats := map[string]int{}
		for _, e := range c.Entries {
			seats[e.Seat]++
		}
		if d := cmp.Diff(map[string]int{"shop": 3, "house": 2}, seats); d != "" {
			t.Errorf("%s: who wrote them (-want +got):\n%s", s.Store.Seat, d)
		}
	}
}
