//go:build !noshare && unix

package share

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/jwt/v2"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/nats-io/nkeys"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// link is a seat's open connection.
func (h *host) link(s *Seat) *Link {
	h.t.Helper()
	l, err := s.Dial(context.Background())
	if err != nil {
		h.t.Fatal(err)
	}
	l.report = &Report{}
	h.t.Cleanup(l.Close)
	return l
}

// Messages that come twice, in another order, or all again change nothing.
func TestTwiceReorderedAndFromZero(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	log(t, shop, 1, 2, 3, 4)
	l := h.link(shop)
	x, err := shop.Store.Exchanger("coulee")
	if err != nil {
		t.Fatal(err)
	}
	lines, err := x.Lacking(batchBytes)
	if err != nil || len(lines) != 4 {
		t.Fatal(lines, err)
	}
	slices.Reverse(lines)
	for n, i := range []int{0, 1, 1, 2, 3, 0} {
		m := l.packed(&lines[i], fmt.Sprint("other", n)) // the engine cannot know that it comes twice
		if _, err := l.js.PublishMsg(context.Background(), m); err != nil {
			t.Fatal(err)
		}
	}
	junk := nats.NewMsg(Subject("coulee"))
	junk.Data = []byte("no entry")
	if _, err := l.js.PublishMsg(context.Background(), junk); err != nil {
		t.Fatal(err)
	}
	if r := exchange(t, house); r.Taken.Added != 4 || r.Skipped != 1 || r.Unread != 0 {
		t.Errorf("the house: %+v", r)
	}
	if r := exchange(t, shop); r.Sent != 0 || r.Taken.Added != 0 {
		t.Errorf("the shop, whose entries are all there: %+v", r)
	}
	same(t, shop, house)
	for _, s := range []*Seat{shop, house} {
		x, err := s.Store.Exchanger("coulee")
		if err == nil {
			err = x.Restart()
		}
		if err != nil {
			t.Fatal(err)
		}
		if r := exchange(t, s); r.Sent != 0 || r.Taken.Added != 0 {
			t.Errorf("%s from zero: %+v", s.Store.Seat, r)
		}
	}
	same(t, shop, house)
}

// A seat that was brought back from an old copy takes what it lost from the stream and
// sends nothing twice, be it the same computer or another one.
func TestOldCopyCatchesUp(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	log(t, shop, 1, 2)
	exchange(t, shop)
	other := h.seat("other", "coulee", "COULEE_SHOP")
	other.Store = journal.New(h.path("new.journal"))
	other.Store.Seat = "shop"
	if _, err := shop.Store.Copy(other.Store.Path); err != nil {
		t.Fatal(err)
	}
	old, err := os.ReadFile(other.Store.Path)
	if err != nil {
		t.Fatal(err)
	}
	log(t, shop, 3, 4)
	exchange(t, shop)
	if err := os.WriteFile(shop.Store.Path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := shop.once(); err == nil || !strings.Contains(err.Error(), "journal accept") {
		t.Errorf("nobody said that the older copy was brought back on purpose: %v", err)
	}
	if gaps, err := shop.Store.Accept("sam", "the disk died", day); err != nil || len(gaps) != 1 {
		t.Fatal(gaps, err)
	}
	log(t, shop, 5)
	for _, s := range []*Seat{shop, other, house, shop, other} {
		exchange(t, s)
	}
	same(t, shop, other, house)
	ids := slices.DeleteFunc(h.stream(shop), func(id string) bool { return len(id) != 26 }) // else a gap
	if n := len(slices.Compact(slices.Sorted(slices.Values(ids)))); len(ids) != 5 || n != 5 || len(content(t, shop)) != 5 {
		t.Errorf("the stream holds %v, of %d entries", ids, len(content(t, shop)))
	}
}

// An entry under the id of another one is laid aside at both seats, counts at none, and is
// settled by the ordinary command for both.
func TestConflictIsSettled(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	for i, s := range []*Seat{shop, house} {
		mm := float64(i + 1)
		e := fields.Entry{ID: "01K6XQ4T5Q0V3N7R8S9T0V1W2X", Recorded: day, By: "sam", On: 20000, Body: &fields.Rain{Paddocks: []string{"creek"}, MM: &mm}}
		if _, err := s.Store.Import([]fields.Entry{e}); err != nil {
			t.Fatal(err)
		}
	}
	before := [][]string{content(t, shop), content(t, house)}
	exchange(t, shop)
	for i, s := range []*Seat{house, shop} {
		r := exchange(t, s)
		if len(r.Aside) != 1 || len(asides(s.Store)) != 1 {
			t.Fatalf("%s: %+v", s.Store.Seat, r)
		}
		if got := content(t, s); !slices.Equal(got, before[1-i]) {
			t.Errorf("%s holds %v", s.Store.Seat, got)
		}
	}
	house.Store.Settle = &journal.Settle{Keep: journal.KeepTheirs, By: "sam", At: day, On: 20001}
	if r, err := house.Store.Import([]fields.Entry{asides(house.Store)[0].Entry}); err != nil || r.Settled != 1 {
		t.Fatal(r, err)
	}
	for _, s := range []*Seat{house, shop, house, shop} {
		exchange(t, s)
	}
	for _, s := range []*Seat{house, shop} {
		c, err := s.Store.Load()
		if err != nil {
			t.Fatal(err)
		}
		hist := fields.Fold(c.Entries, fields.View{On: 20002, KnownAt: day.Add(time.Hour)})
		var mm []float64
		for _, f := range hist.Facts {
			if r, ok := f.Body.(*fields.Rain); ok {
				mm = append(mm, *r.MM)
			}
		}
		if len(asides(s.Store)) != 0 || !slices.Equal(mm, []float64{1}) {
			t.Errorf("%s: %d aside, rain of %v counts", s.Store.Seat, len(asides(s.Store)), mm)
		}
	}
}

var offline = flag.Int("offline", 1000, "entries that a seat missed which was offline; 10000 as make share has it")

// A seat that was long offline catches up with bounded memory.
func TestLongOffline(t *testing.T) {
	h := newHost(t)
	h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	var mm []int
	for i := range *offline {
		mm = append(mm, i+1)
	}
	log(t, shop, mm...)
	exchange(t, shop)
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	before, most := m.HeapAlloc, uint64(0)
	stop, ended := make(chan bool), make(chan bool)
	go func() {
		defer close(ended)
		for {
			select {
			case <-stop:
				return
			case <-time.After(20 * time.Millisecond):
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				most = max(most, m.HeapAlloc)
			}
		}
	}()
	r := exchange(t, house)
	close(stop)
	<-ended
	if r.Taken.Added != *offline {
		t.Errorf("%+v", r)
	}
	t.Logf("%d entries, %d KB of memory at most", *offline, (max(most, before)-before)>>10)
	if most > before+(96<<20) {
		t.Errorf("%d MB of memory", (most-before)>>20)
	}
	same(t, shop, house)
}

// What is refused gets one plain sentence, and nothing is lost by it.
func TestRefusals(t *testing.T) {
	impatient(t)
	h := newHost(t)
	s := h.serve()
	seat := h.seat("shop", "coulee", "COULEE_SHOP")
	log(t, seat, 1, 2)
	before := content(t, seat)
	write := func(name string, text []byte, mode os.FileMode) string {
		h.write(name, text)
		if err := os.Chmod(h.path(name), mode); err != nil {
			t.Fatal(err)
		}
		return h.path(name)
	}
	seed, err := os.ReadFile(h.path("COULEE_SHOP.nk"))
	if err != nil {
		t.Fatal(err)
	}
	closed := freePort(t)
	for _, c := range []struct {
		what, want string
		set        func(x *Seat)
	}{
		{"a key nobody knows", "refused the credentials", func(x *Seat) { x.Creds = h.path("NOBODY.nk") }},
		{"no credentials", "asks for credentials", func(x *Seat) { x.Creds = "" }},
		{"no file", "cannot be read", func(x *Seat) { x.Creds = h.path("none.nk") }},
		{"a file for all", "can be read by others", func(x *Seat) { x.Creds = write("open.nk", seed, 0o644) }},
		{"no credentials in it", "holds no credentials", func(x *Seat) { x.Creds = write("odd.nk", []byte("x"), 0o600) }},
		{"over", "were good until", func(x *Seat) { x.Creds = write("old.creds", expired(t), 0o600) }},
		{"another farm's", "no right to the farm", func(x *Seat) { x.Creds = h.path("BENCH_SHOP.nk") }},
		{"an id that is none", "no id of a farm", func(x *Seat) { x.Farm = "Coulee Farm" }},
		{"open to all on the way", "readable by everybody", func(x *Seat) { x.Server, x.CA = "nats://share.example.org:4222", "" }},
		{"a password", "holds no password", func(x *Seat) { x.Server = "tls://a:b@127.0.0.1:4222" }},
		{"nobody there", "no server answers", func(x *Seat) { x.Server = fmt.Sprintf("tls://127.0.0.1:%d", closed) }},
		{"a name nobody has", "no server is known by the name", func(x *Seat) { x.Server = "tls://nobody.invalid:4222" }},
		{"a stranger's certificate", "of nobody this computer trusts", func(x *Seat) { x.CA = "" }},
		{"a clock years ahead", "set the clock right", func(x *Seat) { x.Clock = func() time.Time { return time.Now().AddDate(5, 0, 0) } }},
		{"no certificate", "holds no certificate", func(x *Seat) { x.CA = h.path("COULEE_SHOP.nk") }},
	} {
		x := *seat
		c.set(&x)
		_, err := x.once()
		switch {
		case err == nil || !strings.Contains(err.Error(), c.want) || strings.ContainsAny(err.Error(), "\n\x1b"):
			t.Errorf("%s: %v, want %q", c.what, err, c.want)
		case !slices.Equal(before, content(t, seat)):
			t.Errorf("%s: the journal is another one", c.what)
		default:
			t.Logf("%s: %v", c.what, err)
		}
	}
	t.Run("half reachable", func(t *testing.T) {
		l := h.link(seat)
		if err := s.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
			t.Fatal(err)
		}
		for now := syscall.WaitStatus(0); !now.Stopped(); { // all its threads, or it still answers
			if _, err := syscall.Wait4(s.cmd.Process.Pid, &now, syscall.WUNTRACED, nil); err != nil && !errors.Is(err, syscall.EINTR) {
				t.Fatal(err)
			}
		}
		ctx, done := context.WithTimeout(context.Background(), 4*time.Second)
		defer done()
		_, err := l.Exchange(ctx)
		_ = s.cmd.Process.Signal(syscall.SIGCONT)
		if err == nil || !strings.Contains(err.Error(), "reached, but only half") || !strings.Contains(err.Error(), "nothing is lost") {
			t.Error(err)
		}
	})
	if r := exchange(t, seat); r.Sent != 2 {
		t.Errorf("afterwards: %+v", r)
	}
}

// expired is a file of credentials that were good until an hour ago.
func expired(t *testing.T) []byte {
	t.Helper()
	account, err := nkeys.CreateAccount()
	if err != nil {
		t.Fatal(err)
	}
	user, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	public, _ := user.PublicKey()
	claims := jwt.NewUserClaims(public)
	claims.Expires = time.Now().Add(-time.Hour).Unix()
	token, err := claims.Encode(account)
	if err != nil {
		t.Fatal(err)
	}
	seed, _ := user.Seed()
	text, err := jwt.FormatUserConfig(token, seed)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// One farm cannot read, write, or even name the stream of another; who may only read
// cannot write; and nobody may delete.
func TestFarmsAreApart(t *testing.T) {
	impatient(t)
	h := newHost(t)
	h.serve()
	coulee, bench := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("shop", "bench", "BENCH_SHOP")
	log(t, coulee, 1, 2, 3)
	log(t, bench, 11)
	exchange(t, coulee)
	exchange(t, bench)
	l := h.link(bench)
	heard := make(chan string, 9)
	if _, err := l.nc.Subscribe(">", func(m *nats.Msg) { heard <- m.Subject }); err != nil {
		t.Fatal(err)
	}
	for _, ask := range []string{
		"$JS.API.STREAM.INFO.RIMEGATE_coulee", "$JS.API.STREAM.MSG.GET.RIMEGATE_coulee", "$JS.API.STREAM.NAMES",
		"$JS.API.STREAM.DELETE.RIMEGATE_bench", "$JS.API.STREAM.PURGE.RIMEGATE_bench", "$JS.API.STREAM.UPDATE.RIMEGATE_bench", "rimegate.coulee",
	} {
		if m, err := l.nc.Request(ask, []byte(`{"seq":1}`), 300*time.Millisecond); err == nil {
			t.Errorf("%s is answered: %s", ask, m.Data)
		}
	}
	log(t, coulee, 4)
	exchange(t, coulee)
	time.Sleep(200 * time.Millisecond)
	if n := len(heard); n > 0 {
		t.Errorf("bench heard %d messages, the first of %s", n, <-heard)
	}
	reader := h.seat("office", "coulee", "COULEE_READER")
	log(t, reader, 21)
	if _, err := reader.once(); err == nil || !strings.Contains(err.Error(), "no right to the farm coulee") {
		t.Errorf("a reader writes: %v", err)
	}
	if n := len(h.stream(coulee)); n != 4 {
		t.Errorf("the stream holds %d messages", n)
	}
}

// A full stream takes nothing more and says so; what it did not take is sent when there is room.
func TestFullStream(t *testing.T) {
	impatient(t)
	h := newHost(t)
	h.serve()
	seat := h.seat("shop", "coulee", "COULEE_SHOP")
	full := `{"name":"RIMEGATE_coulee","subjects":["rimegate.coulee"],"retention":"limits","discard":"new","max_consumers":-1,
		"max_msgs":-1,"max_bytes":2000,"max_age":0,"storage":"file","num_replicas":1,"duplicate_window":600000000000}`
	nc, err := nats.Connect(h.url(), nats.RootCAs(h.path("cert.pem")), mustKey(t, h.path("COULEE_SHOP.nk")))
	if err != nil {
		t.Fatal(err)
	}
	defer nc.Close()
	if m, err := nc.Request("$JS.API.STREAM.CREATE.RIMEGATE_coulee", []byte(full), 5*time.Second); err != nil || strings.Contains(string(m.Data), `"error"`) {
		t.Fatal(string(m.Data), err)
	}
	log(t, seat, 1, 2, 3, 4, 5, 6, 7, 8, 9)
	before := content(t, seat)
	for range 2 {
		_, err = seat.once()
		if err == nil || !strings.Contains(err.Error(), "no room left") {
			t.Errorf("%v", err)
		}
	}
	if !slices.Equal(before, content(t, seat)) {
		t.Error("the journal is another one")
	}
	x, err := seat.Store.Exchanger("coulee")
	if err != nil {
		t.Fatal(err)
	}
	if n := len(h.stream(seat)); n == 0 || n+x.Unsent() != 9 {
		t.Errorf("%d are there, %d wait", n, x.Unsent())
	}
}

func mustKey(t *testing.T, path string) nats.Option {
	t.Helper()
	o, err := nats.NkeyOptionFromSeed(path)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

var replicated = flag.Int("replicated", 0, "entries to replicate, to measure the rate; 0 for none")

// The rate at which entries come from one journal into another, beside bare publishing.
func TestRate(t *testing.T) {
	if *replicated == 0 {
		t.Skip("needs -replicated N")
	}
	h := newHost(t)
	h.cluster()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	h.begun(shop)
	const most = 20000
	for from := 0; from < *replicated; from += most {
		var mm []int
		for i := from; i < min(from+most, *replicated); i++ {
			mm = append(mm, i+1)
		}
		log(t, shop, mm...)
	}
	rate := func(what string, do func() error) {
		var a, b syscall.Rusage
		_, begun := syscall.Getrusage(syscall.RUSAGE_SELF, &a), time.Now()
		if err := do(); err != nil {
			t.Fatal(what, err)
		}
		_, took := syscall.Getrusage(syscall.RUSAGE_SELF, &b), time.Since(begun)
		cpu := time.Duration(b.Utime.Nano() - a.Utime.Nano() + b.Stime.Nano() - a.Stime.Nano())
		t.Logf("%s: %d entries a second, %.1f µs of this process each", what,
			int(float64(*replicated)/took.Seconds()), float64(cpu.Microseconds())/float64(*replicated))
	}
	all := func(s *Seat) func() error {
		return func() error {
			ctx, done := context.WithTimeout(context.Background(), time.Hour)
			defer done()
			l, err := s.Dial(ctx)
			if err != nil {
				return err
			}
			defer l.Close()
			r, err := l.Exchange(ctx)
			if err == nil && r.Sent+r.Taken.Added != *replicated {
				err = fmt.Errorf("%+v", r)
			}
			return err
		}
	}
	rate("sent", all(shop))
	rate("taken", all(house))
	c, err := shop.Store.Load()
	if err != nil {
		t.Fatal(err)
	}
	l := h.link(h.seat("bare", "bench", "BENCH_SHOP"))
	stalls := 0
	rate("published bare", func() error {
		for i := range c.Entries {
			x := journal.Outgoing{ID: c.Entries[i].ID, Seat: "bare", Text: fields.Encode(&c.Entries[i])}
			_, err := l.js.PublishMsgAsync(l.packed(&x, x.ID), jetstream.WithStallWait(ackPatience))
			for ; errors.Is(err, jetstream.ErrTooManyStalledMsgs) && stalls < 100; stalls++ { // the servers write to their disks
				_, err = l.js.PublishMsgAsync(l.packed(&x, x.ID), jetstream.WithStallWait(ackPatience))
			}
			if err != nil {
				return fmt.Errorf("at %d: %w", i, err)
			}
		}
		<-l.js.PublishAsyncComplete()
		return nil
	})
	t.Logf("%d times nothing was acknowledged for %v", stalls, ackPatience)
	if there, err := l.last(context.Background()); err != nil || there != uint64(*replicated) {
		t.Error(there, err)
	}
}

// The guide names every setting of the two files, and a server that lost its folder, or has
// an older one back as the guide says, is filled again by the seats.
func TestGuide(t *testing.T) {
	guide, err := os.ReadFile("SERVER.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"server.conf", "cluster.conf"} {
		conf, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range regexp.MustCompile(`\$(SHARE_(?:NAME|LISTEN|STORE|CERT|KEY|CA|ROUTES|ROUTE_A)\b)`).FindAllStringSubmatch(string(conf), -1) {
			if !strings.Contains(string(guide), v[1]) {
				t.Errorf("SERVER.md does not tell of %s, which %s asks for", v[1], name)
			}
		}
		for _, u := range regexp.MustCompile(`(?m)^(COULEE_\w+) = `).FindAllStringSubmatch(string(conf), -1) {
			if !strings.Contains(string(guide), "`"+u[1]+"`") {
				t.Errorf("SERVER.md does not tell of the permissions %s", u[1])
			}
		}
	}
	h := newHost(t)
	s := h.serve()
	shop, house := h.seat("shop", "coulee", "COULEE_SHOP"), h.seat("house", "coulee", "COULEE_HOUSE")
	again := func(do func() error) {
		t.Helper()
		s.kill()
		if err := do(); err != nil {
			t.Fatal(err)
		}
		s.start()
		s.wait()
	}
	log(t, shop, 1, 2)
	exchange(t, shop)
	store, copied := h.path("store-a"), h.path("copy")
	again(func() error { return os.CopyFS(copied, os.DirFS(store)) })
	log(t, shop, 3)
	exchange(t, shop)
	for n, restore := range []func() error{
		func() error { return os.Rename(copied, store) }, // an older copy
		func() error { return nil },                      // an empty folder
	} {
		again(func() error {
			if err := os.RemoveAll(store); err != nil {
				return err
			}
			return restore()
		})
		log(t, house, 11+n)
		for _, x := range []*Seat{house, shop, house} {
			exchange(t, x)
		}
		same(t, shop, house)
		if ids := h.stream(shop); len(ids) != 4+n {
			t.Errorf("the stream holds %v", ids)
		}
	}
}
