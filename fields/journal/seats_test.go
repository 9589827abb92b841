package journal

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"rimegate/fields"
)

// play is what the test binary does as another program.
func play(role string) int {
	s := New(os.Getenv("JOURNAL_TEST_PATH"))
	s.Timeout = time.Minute
	s.Seat = os.Getenv("JOURNAL_TEST_SEAT")
	n, _ := strconv.Atoi(os.Getenv("JOURNAL_TEST_COUNT"))
	fail := func(err error) int { fmt.Fprintln(os.Stderr, err); return 1 }
	switch role {
	case "seat":
		if err := playSeat(s, n); err != nil {
			return fail(err)
		}
	case "work": // writes in every way until killed, each time acknowledged by a name
		return fail(playWork(s, n))
	case "die": // ends in the middle of a commit, at the step named
		s.Trace = func(at string) {
			if at == os.Getenv("JOURNAL_TEST_DIE") {
				os.Exit(9)
			}
		}
		_, err := s.Append([]fields.Entry{sighting("cut off")})
		return fail(fmt.Errorf("it did not end: %w", err))
	case "hold": // holds the lock until its standard input ends
		db, err := bbolt.Open(s.Path, 0o600, nil)
		if err != nil {
			return fail(err)
		}
		fmt.Println("held")
		_, _ = io.Copy(io.Discard, os.Stdin)
		if err := db.Close(); err != nil {
			return fail(err)
		}
	default:
		if act := roles[role]; act != nil {
			return act(s)
		}
		return fail(fmt.Errorf("no role %q", role))
	}
	return 0
}

// roles are further ones, by the files that know them.
var roles = map[string]func(*Store) int{}

// other starts the test binary as another program.
func other(t testing.TB, s *Store, role, seat string, n int) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), "JOURNAL_TEST_ROLE="+role, "JOURNAL_TEST_PATH="+s.Path, "JOURNAL_TEST_SEAT="+seat, "JOURNAL_TEST_COUNT="+strconv.Itoa(n))
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	return cmd, bufio.NewScanner(out)
}

var (
	seatsFor     = flag.Duration("seats", time.Second, "how long eight programs log and read at once")
	seatsEntries = flag.Int("entries", 500, "entries in their journal when they begin")
)

// playSeat logs and reads as the program does, by turns, for some milliseconds, and says
// the id of each entry, how long it took and how often it was read anew.
func playSeat(s *Store, millis int) error {
	s.Timeout = 0 // as people have it
	for end := time.Now().Add(time.Duration(millis) * time.Millisecond); time.Now().Before(end); {
		start, moved, end := time.Now(), 0, func() {}
		for {
			c, err := s.Load()
			if err != nil {
				return err
			}
			got, err := s.AppendTo(c, []fields.Entry{sighting(s.Seat)})
			if errors.Is(err, ErrMoved) {
				if moved++; moved == 1 {
					end = s.Turn()
				}
				continue
			}
			end()
			if err != nil {
				return err
			}
			fmt.Println(got[0].ID, time.Since(start).Microseconds(), moved)
			break
		}
		if _, err := s.Load(); err != nil {
			return err
		}
	}
	return nil
}

// Eight programs log and read at once: nobody is turned away, nobody waits much longer than
// the others, and each entry that was acknowledged is there, once.
func TestEightSeats(t *testing.T) {
	s := newJournal(t)
	s.Seat = "before"
	for left := *seatsEntries; left > 0; left -= 10_000 {
		list := make([]fields.Entry, min(left, 10_000))
		for i := range list {
			list[i] = sighting("a frost seen on the grass at the gate")
		}
		mustAppend(t, s, list...)
	}
	type result struct {
		seat  string
		ids   []string
		waits []time.Duration
		moved int
		err   error
	}
	const seats = 8
	results := make(chan result)
	for i := range seats {
		r := result{seat: fmt.Sprint("seat", i)}
		cmd, out := other(t, s, "seat", r.seat, int(seatsFor.Milliseconds()))
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		go func() {
			for out.Scan() {
				var id string
				var micros, moved int
				if _, err := fmt.Sscan(out.Text(), &id, &micros, &moved); err != nil {
					t.Error(err)
				}
				r.ids, r.moved = append(r.ids, id), r.moved+moved
				r.waits = append(r.waits, time.Duration(micros)*time.Microsecond)
			}
			r.err = cmd.Wait()
			results <- r
		}()
	}
	acknowledged := map[string]bool{}
	var all []time.Duration
	for range seats {
		r := <-results
		if r.err != nil || len(r.ids) == 0 {
			t.Errorf("%s: %d entries, %v", r.seat, len(r.ids), r.err)
			continue
		}
		for _, id := range r.ids {
			acknowledged[id] = true
		}
		all = append(all, r.waits...)
		t.Logf("%s: %3d entries, %s; %d read anew", r.seat, len(r.ids), spread(r.waits), r.moved)
	}
	t.Logf("all: %d entries, %s", len(all), spread(all))
	c := mustLoad(t, s)
	there := 0
	for _, e := range c.Entries {
		if acknowledged[e.ID] {
			there++
		}
	}
	if there != len(all) || len(acknowledged) != len(all) || len(c.Entries) != *seatsEntries+len(all) {
		t.Errorf("%d acknowledged, of them %d there, among %d", len(all), there, len(c.Entries))
	}
}

// spread tells half, most and the longest of some waits.
func spread(d []time.Duration) string {
	if len(d) == 0 {
		return "none"
	}
	slices.Sort(d)
	at := func(q float64) time.Duration { return d[int(q*float64(len(d)-1))].Round(time.Millisecond) }
	return fmt.Sprintf("wait p50 %v, p95 %v, most %v", at(0.5), at(0.95), at(1))
}

var kills = flag.Int("kills", 25, "programs that are killed while they write")

// playWork logs, imports, merges and copies, three entries of one name at a time.
func playWork(s *Store, first int) error {
	for i := first; ; i++ {
		name := fmt.Sprintf("%s-%d", s.Seat, i)
		three := []fields.Entry{sighting(name), sighting(name), sighting(name)}
		for n := range three {
			if i%4 > 0 {
				three[n].ID = newID(three[n].Recorded)
			}
			three[n].Note += strings.Repeat("/", i%5*n*700)
		}
		var err error
		switch i % 4 {
		case 0:
			_, err = s.Append(three)
		case 1:
			_, err = s.Import(three)
		case 2:
			from := New(s.Path + "-of-" + name)
			if err = from.Create(); err == nil {
				if _, err = from.Append(three); err == nil {
					_, err = s.Merge(from.Path)
				}
			}
		case 3:
			name = "copy-" + name
			_, err = s.Copy(filepath.Join(filepath.Dir(s.Path), name))
		}
		if err != nil {
			return err
		}
		fmt.Println(name)
	}
}

// Whatever was acknowledged survives the end of the program, and a commit is in the
// journal whole or not at all, wherever the program was killed.
func TestKilledWhileWriting(t *testing.T) {
	acknowledged, all, met := map[string]bool{}, 0, map[string]int{}
	var s *Store
	src := seeded(31)
	for round := range *kills {
		if round%10 == 0 {
			s = newJournal(t)
			s.Timeout = time.Minute
			acknowledged = map[string]bool{}
		}
		cmd, out := other(t, s, "work", fmt.Sprint("seat", round), round%4)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if !out.Scan() {
			t.Fatalf("round %d never began: %v", round, cmd.Wait())
		}
		acknowledged[out.Text()] = true
		timer := time.AfterFunc(time.Duration(src.IntN(60_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
		last := 0
		for out.Scan() {
			acknowledged[out.Text()] = true
			last++
		}
		timer.Stop()
		met[[]string{"log", "import", "merge", "copy"}[(round+last+1)%4]]++
		var exit *exec.ExitError
		if err := cmd.Wait(); !errors.As(err, &exit) || exit.ExitCode() > 0 {
			t.Fatalf("round %d ended by itself: %v", round, err)
		}
		lookAfterKill(t, s, acknowledged, round)
		if t.Failed() {
			return
		}
		// The next program carries on where the killed one stopped.
		name := fmt.Sprint("after", round)
		mustAppend(t, s, sighting(name), sighting(name), sighting(name))
		acknowledged[name] = true
		all += last + 2
	}
	t.Logf("%d acknowledged over %d kills, none lost; killed at: %v", all, *kills, met)
}

// lookAfterKill holds what is left against what was acknowledged.
func lookAfterKill(t *testing.T, s *Store, acknowledged map[string]bool, round int) {
	t.Helper()
	count := map[string]int{}
	for _, e := range mustLoad(t, s).Entries {
		name, _, _ := strings.Cut(e.Note, "/")
		count[name]++
	}
	if r, err := s.Check(); err != nil || !r.Whole() {
		t.Errorf("round %d: %v, %v", round, r.Findings, err)
	}
	for name, n := range count {
		if n != 3 {
			t.Errorf("round %d: %d of 3 entries of %s", round, n, name)
		}
	}
	copies := globbed(t, filepath.Join(filepath.Dir(s.Path), "copy-*"))
	for _, c := range copies {
		if !strings.Contains(c, ".mark") { // nor one that is not finished
			mustLoad(t, New(c))
			count[filepath.Base(c)]++
		}
	}
	for name := range acknowledged {
		if count[name] == 0 {
			t.Errorf("round %d: %s was acknowledged and is lost", round, name)
		}
		if strings.HasPrefix(name, "copy-") {
			delete(acknowledged, name)
		}
	}
	for _, c := range append(copies, globbed(t, s.Path+"-of-*")...) {
		_ = os.Remove(c)
	}
}

func globbed(t *testing.T, pattern string) []string {
	t.Helper()
	list, err := filepath.Glob(pattern)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// holdLock has another program hold the journal's lock until release is called.
func holdLock(t *testing.T, s *Store) (release func()) {
	t.Helper()
	cmd, out := other(t, s, "hold", "", 0)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if !out.Scan() {
		t.Fatal("it never held the lock")
	}
	return func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	}
}

func TestLocked(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting(""))
	copyTo := newJournal(t)
	s.Timeout = 80 * time.Millisecond
	before := fileHash(t, s.Path)
	release := holdLock(t, s)
	for name, op := range operations(s) {
		err := op()
		if !errors.Is(err, ErrLocked) || !strings.Contains(err.Error(), s.Path) || !strings.Contains(err.Error(), "try again") {
			t.Errorf("%s: %v", name, err)
		}
	}
	copyTo.Timeout = s.Timeout
	if _, err := copyTo.Merge(s.Path); !errors.Is(err, ErrLocked) {
		t.Errorf("merging it: %v", err)
	}
	release()
	if fileHash(t, s.Path) != before {
		t.Error("the file was changed")
	}
	noLeftovers(t, filepath.Dir(s.Path), filepath.Base(s.Path))
	for name, op := range operations(s) {
		if err := op(); err != nil {
			t.Errorf("after: %s: %v", name, err)
		}
	}
}

// The default time-out is a bound too: nothing waits for ever.
func TestLockedWithoutATimeOutOfItsOwn(t *testing.T) {
	s := newJournal(t)
	release := holdLock(t, s)
	defer release()
	for _, timeout := range []time.Duration{0, 1} {
		s.Timeout = timeout
		if _, err := s.Revision(); !errors.Is(err, ErrLocked) {
			t.Errorf("%v: %v", timeout, err)
		}
	}
	s.Timeout = 0
}

func TestWaitsForTheLock(t *testing.T) {
	s := newJournal(t)
	s.Timeout = time.Minute
	release := holdLock(t, s)
	done := make(chan error)
	go func() {
		_, err := s.Append([]fields.Entry{sighting("waited")})
		done <- err
	}()
	select {
	case err := <-done:
		t.Errorf("it did not wait: %v", err)
	case <-time.After(100 * time.Millisecond):
	}
	release()
	if err := <-done; err != nil {
		t.Error(err)
	}
	if n := len(mustLoad(t, s).Entries); n != 1 {
		t.Errorf("%d entries", n)
	}
}

// Whoever has to read anew waits for those before, who alone are waited for; whoever reads
// or stores at once does not.
func TestTurn(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("nobody lines up there")
	}
	s := newJournal(t)
	end := s.Turn()
	next := make(chan bool)
	go func() { s.Turn()(); next <- true }()
	mustAppend(t, s, sighting(""))
	mustLoad(t, s)
	select {
	case <-next:
		t.Error("it did not wait")
	case <-time.After(100 * time.Millisecond):
	}
	end()
	<-next
	New(filepath.Join(t.TempDir(), "no", "folder")).Turn()()
}

// Somebody brings a copy back while another program waits to write: the entry
// must go into the file that now has the name.
func TestReplacedWhileWaiting(t *testing.T) {
	s := newJournal(t)
	mustAppend(t, s, sighting("old"))
	copied := filepath.Join(t.TempDir(), "copy")
	if _, err := s.Copy(copied); err != nil {
		t.Fatal(err)
	}
	s.Timeout = time.Minute
	release := holdLock(t, s)
	type opened struct {
		h   *handle
		err error
	}
	done := make(chan opened)
	go func() {
		h, err := s.open(false, 0)
		done <- opened{h, err}
	}()
	time.Sleep(100 * time.Millisecond) // let it begin to wait
	if err := os.Rename(copied, s.Path); err != nil {
		t.Fatal(err)
	}
	release()
	got := <-done
	if got.err != nil {
		t.Fatal(got.err)
	}
	held, err := got.h.file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	there, err := os.Stat(s.Path)
	if err != nil {
		t.Fatal(err)
	}
	if !os.SameFile(held, there) {
		t.Error("what is written now goes into the file that is gone")
	}
	if err := got.h.close(); err != nil {
		t.Error(err)
	}
	mustAppend(t, s, sighting("new"))
}
