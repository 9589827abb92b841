//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// watched is a farm with a folder that a running program watches.
type watched struct {
	t        *testing.T
	dir, in  string
	env      []string
	self     string
	run      *exec.Cmd
	out, err spoken
}

// spoken is what a running program has written so far.
type spoken struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (w *spoken) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Write(b)
}

func (w *spoken) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return strings.Join(strings.Fields(w.b.String()), " ")
}

func watchedFarm(t *testing.T) *watched {
	t.Helper()
	if testing.Short() {
		t.Skip("starts the program many times")
	}
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	farm, err := filepath.Abs("../../testdata/script/farm.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	w := &watched{t: t, dir: dir, in: filepath.Join(dir, "drop"), self: self}
	w.env = append(os.Environ(), "RIMEGATE_NOW=2026-10-06T06:52:00-06:00", "RIMEGATE_BY=Maren", "RIMEGATE_JOURNAL="+filepath.Join(dir, "farm.journal"), "XDG_DATA_HOME="+dir)
	if err := os.Mkdir(w.in, 0o700); err != nil {
		t.Fatal(err)
	}
	w.command("journal", "import", farm)
	t.Cleanup(func() {
		if w.run != nil {
			_ = w.run.Process.Kill()
			_ = w.run.Wait()
		}
	})
	return w
}

// command runs the program to its end and returns what it printed.
func (w *watched) command(args ...string) string {
	w.t.Helper()
	c := exec.Command(w.self, args...)
	c.Env = w.env
	out, err := c.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			err = fmt.Errorf("%w: %s", err, exit.Stderr)
		}
		w.t.Fatalf("rimegate %s: %v", strings.Join(args, " "), err)
	}
	return string(out)
}

// start begins to watch.
func (w *watched) start() {
	w.t.Helper()
	w.out, w.err = spoken{}, spoken{}
	w.run = exec.Command(w.self, "import", "--station", "home", "--watch", w.in, "--every", "100ms")
	w.run.Env, w.run.Stdout, w.run.Stderr = w.env, &w.out, &w.err
	if err := w.run.Start(); err != nil {
		w.t.Fatal(err)
	}
	w.wait("the watch to begin", func() bool { return strings.Contains(w.err.String(), "watching ") })
}

// stop sends a signal and returns the exit status, -1 for a program that was
// killed.
func (w *watched) stop(sig os.Signal) int {
	w.t.Helper()
	if err := w.run.Process.Signal(sig); err != nil {
		w.t.Fatal(err)
	}
	err := w.run.Wait()
	status := w.run.ProcessState.ExitCode()
	w.run = nil
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		w.t.Fatal(err)
	}
	return status
}

// wait waits for something to come about. Only a machine that stands still lets it
// fail by its time.
func (w *watched) wait(what string, done func() bool) {
	w.t.Helper()
	for end := time.Now().Add(3 * time.Minute); !done(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			w.t.Fatalf("waited three minutes for %s\nstdout: %s\nstderr: %s", what, w.out.String(), w.err.String())
		}
	}
}

func (w *watched) drop(name, text string) {
	w.t.Helper()
	if err := os.WriteFile(filepath.Join(w.in, name), []byte(text), 0o600); err != nil {
		w.t.Fatal(err)
	}
}

// taken are the names of the files taken so far, in order.
func (w *watched) taken() []string {
	w.t.Helper()
	b, err := os.ReadFile(filepath.Join(w.dir, "farm.journal.taken"))
	if err != nil && !os.IsNotExist(err) {
		w.t.Fatal(err)
	}
	var out []string
	for _, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		if f := strings.Fields(line); len(f) == 3 {
			out = append(out, f[2])
		}
	}
	return out
}

func (w *watched) waitTaken(names ...string) {
	w.t.Helper()
	want := strings.Join(names, " ")
	w.wait("the files "+want, func() bool { return len(w.taken()) >= len(names) })
	if got := strings.Join(w.taken(), " "); got != want {
		w.t.Fatalf("taken: %s; want %s", got, want)
	}
}

// readings are the lows in the journal by night.
func (w *watched) readings() map[string][]float64 {
	w.t.Helper()
	out := map[string][]float64{}
	for _, line := range strings.Split(w.command("journal", "export"), "\n") {
		var e struct {
			Kind, Night string
			Low         float64 `json:"low_c"`
		}
		if line == "" {
			continue
		}
		if err := json.Unmarshal([]byte(line), &e); err != nil {
			w.t.Fatalf("%v: %s", err, line)
		}
		if e.Kind == "reading" {
			out[e.Night] = append(out[e.Night], e.Low)
		}
	}
	return out
}

// A folder watched without end: each content is taken once, whatever its name; a
// file that is being written is taken when it has come to rest; a bad file is said
// once and holds up nothing; Ctrl-C ends it well.
func TestWatchWithoutEnd(t *testing.T) {
	w := watchedFarm(t)
	const one = "date,low_c\n2026-10-01,3.5\n2026-10-02,-1.5\n"
	w.drop("one.csv", one)
	w.start()
	w.waitTaken("one.csv")

	// The same content again under another name, before one that is new.
	w.drop("a-copy.csv", one)
	w.drop("b.csv", "date,low_c\n2026-10-03,2.5\n")
	w.waitTaken("one.csv", "b.csv")

	// A file that grows while the program looks, a number at a time.
	grow, err := os.Create(filepath.Join(w.in, "c.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, piece := range []string{"date,", "low_c\n2026-09-2", "0,-1", ".5\n2026-09-21,", "4\n"} {
		if _, err := grow.WriteString(piece); err != nil {
			t.Fatal(err)
		}
		time.Sleep(30 * time.Millisecond) // what the program sees of it is its own luck
	}
	if err := grow.Close(); err != nil {
		t.Fatal(err)
	}
	w.wait("the grown file", func() bool { return len(w.readings()["2026-09-21"]) > 0 })
	before := w.taken()

	// A file of nonsense, said once; the next one is taken all the same.
	w.drop("d-bad.csv", "hello\nworld\n")
	w.wait("the bad file to be said", func() bool { return strings.Contains(w.err.String(), "d-bad.csv: ") })
	w.drop("e.csv", "date,low_c\n2026-09-22,5\n")
	w.waitTaken(append(append([]string{}, before...), "e.csv")...)
	if n := strings.Count(w.err.String(), "d-bad.csv: "); n != 1 {
		t.Errorf("the bad file was said %d times", n)
	}
	if status := w.stop(os.Interrupt); status != statusRefused {
		t.Errorf("Ctrl-C with a refused file: status %d, want %d; %s", status, statusRefused, w.err.String())
	}

	// Put right, it is taken; then Ctrl-C ends with nothing to complain of.
	w.start()
	w.wait("the bad file to be said again", func() bool { return strings.Contains(w.err.String(), "d-bad.csv: ") })
	w.drop("d-bad.csv", "date,low_c\n2026-09-23,6\n")
	w.waitTaken(append(append([]string{}, before...), "e.csv", "d-bad.csv")...)
	if status := w.stop(os.Interrupt); status != statusDone {
		t.Errorf("Ctrl-C: status %d; %s", status, w.err.String())
	}
	if !strings.Contains(w.err.String(), "no longer watching") {
		t.Errorf("%s", w.err.String())
	}

	got := w.readings()
	for night, low := range map[string]float64{
		"2026-10-01": 3.5, "2026-10-02": -1.5, "2026-10-03": 2.5, "2026-09-21": 4, "2026-09-22": 5, "2026-09-23": 6,
	} {
		if len(got[night]) != 1 || got[night][0] != low {
			t.Errorf("%s: %v, want %v once", night, got[night], low)
		}
	}
	// A number cut in two may have been seen as it stood; the whole one counts.
	coldest := 99.0
	for _, c := range got["2026-09-20"] {
		coldest = min(coldest, c)
	}
	if coldest != -1.5 {
		t.Errorf("the file that grew: %v", got["2026-09-20"])
	}
	w.command("journal", "check")
}

// Killed at any moment, nothing is lost and nothing is there twice.
func TestWatchKilled(t *testing.T) {
	w := watchedFarm(t)
	const files = 24
	for i := range files {
		w.drop(fmt.Sprintf("%02d.csv", i), fmt.Sprintf("date,low_c\n2026-09-%02d,%d.5\n", i+1, i%5))
	}
	for _, after := range []int{0, 1, 3, 6} {
		w.start()
		if after > 0 {
			w.wait("files to be stored", func() bool { // a quick run may have left fewer
				return strings.Count(w.out.String(), "Stored: ") >= after || len(w.taken()) >= files
			})
		}
		if status := w.stop(syscall.SIGKILL); status != -1 {
			t.Fatalf("killed, but status %d", status)
		}
	}
	w.start()
	w.wait("every file", func() bool { return len(w.taken()) >= files })
	if status := w.stop(syscall.SIGTERM); status != statusDone {
		t.Errorf("status %d; %s", status, w.err.String())
	}
	got := w.readings()
	for i := range files {
		night := fmt.Sprintf("2026-09-%02d", i+1)
		if len(got[night]) != 1 || got[night][0] != float64(i%5)+0.5 {
			t.Errorf("%s: %v", night, got[night])
		}
	}
	w.command("journal", "check")
}

// A journal that another program keeps busy does not end the watch: the file is
// taken at a later look.
func TestWatchWaitsForTheJournal(t *testing.T) {
	w := watchedFarm(t)
	w.start()
	busy, err := os.OpenFile(filepath.Join(w.dir, "farm.journal"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	if err := syscall.Flock(int(busy.Fd()), syscall.LOCK_EX); err != nil {
		t.Fatal(err)
	}
	w.drop("one.csv", "date,low_c\n2026-10-01,3.5\n")
	w.wait("the lock to be said", func() bool { return strings.Contains(w.err.String(), "in use") })
	if len(w.taken()) != 0 {
		t.Error("taken while the journal was locked")
	}
	if err := syscall.Flock(int(busy.Fd()), syscall.LOCK_UN); err != nil {
		t.Fatal(err)
	}
	w.waitTaken("one.csv")
	if status := w.stop(os.Interrupt); status != statusDone {
		t.Errorf("status %d; %s", status, w.err.String())
	}
}
