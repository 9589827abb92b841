// Seats has several programs log into one large journal at once and tells how long each
// waited:
//
//	go run ./testdata/scale/seats [-seats 8] [-for 1m] [-pause 4s] [-paddocks 159]
//
// Each seat logs, reads one paddock, and pauses: nothing, or up to twice -pause.
package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

var (
	seats    = flag.Int("seats", 8, "how many log at once")
	span     = flag.Duration("for", time.Minute, "how long")
	pause    = flag.Duration("pause", 4*time.Second, "a seat's pause between two entries, on average")
	paddocks = flag.Int("paddocks", 159, "paddocks of a farm of 30 seasons; 159 make 100,000 entries")
)

var id = regexp.MustCompile(`\bid\s+([0-9A-Z]{26})\b`)

type seat struct {
	ids       []string
	logs      []time.Duration
	cpu       []time.Duration
	reads     []time.Duration
	failed    []string
	readsFail int
}

func main() {
	flag.Parse()
	dir, err := os.MkdirTemp("", "seats")
	check(err)
	defer os.RemoveAll(dir)
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, p := range []string{"./cmd/rimegate", "./testdata/scale"} {
		run(exec.Command("go", "build", "-o", dir+"/", p))
	}
	text, err := os.Create(at("farm.jsonl"))
	check(err)
	c := exec.Command(at("scale"), "-paddocks", fmt.Sprint(*paddocks), "-seasons", "30")
	c.Stdout = text
	check(c.Run())
	check(text.Close())
	command := func(words ...string) *exec.Cmd {
		c := exec.Command(at("rimegate"), append([]string{"--journal", at("farm.journal")}, words...)...)
		c.Env = append(os.Environ(), "RIMEGATE_BY=Maren", "NO_COLOR=1", "RIMEGATE_NOW=2027-01-02T07:00:00-06:00")
		return c
	}
	run(command("journal", "import", at("farm.jsonl")))
	_, alone, cpu := entry(command, 0, 0)
	fmt.Printf("one seat alone: log %v, %v of it CPU\n\n", round(alone), round(cpu))

	all := make([]seat, *seats)
	done := make(chan bool)
	end := time.Now().Add(*span)
	for i := range all {
		go func() {
			for n := 1; time.Now().Before(end); n++ {
				all[i].turn(command, i, n)
				if *pause > 0 {
					time.Sleep(time.Duration(rand.Int64N(2 * int64(*pause))))
				}
			}
			done <- true
		}()
	}
	for range all {
		<-done
	}
	var sum seat
	for i, s := range all {
		fmt.Printf("seat %d: %s\n", i, s.words())
		sum.add(s)
	}
	fmt.Printf("all:    %s\n", sum.words())
	for _, f := range sum.failed {
		fmt.Println("failed:", f)
	}
	out := output(command("history"))
	lost := 0
	for _, x := range sum.ids {
		if strings.Count(out, x) != 1 {
			lost++
		}
	}
	fmt.Printf("%d acknowledged, %d not there once; %s", len(sum.ids), lost, output(command("journal", "check")))
	if lost+len(sum.failed)+sum.readsFail > 0 {
		os.Exit(1)
	}
}

// entry logs one entry and returns its id, how long that took and the CPU time of it.
func entry(command func(...string) *exec.Cmd, seat, n int) (string, time.Duration, time.Duration) {
	amount, paddock := fmt.Sprintf("%d.%dmm", 1+seat, n%10), fmt.Sprintf("p%05d", (seat*17+n)%*paddocks)
	c := command("log", "rain", "--on", "yesterday", "--amount", amount, paddock)
	start := time.Now()
	out, err := c.CombinedOutput()
	took := time.Since(start)
	m := id.FindSubmatch(out)
	if err != nil || m == nil {
		return string(out), took, 0
	}
	return string(m[1]), took, c.ProcessState.UserTime() + c.ProcessState.SystemTime()
}

func (s *seat) turn(command func(...string) *exec.Cmd, i, n int) {
	got, took, cpu := entry(command, i, n)
	if len(got) == 26 {
		s.ids, s.logs, s.cpu = append(s.ids, got), append(s.logs, took), append(s.cpu, cpu)
	} else {
		s.failed = append(s.failed, got)
	}
	start := time.Now()
	if err := command("why", fmt.Sprintf("p%05d", n%*paddocks)).Run(); err != nil {
		s.readsFail++
	}
	s.reads = append(s.reads, time.Since(start))
}

func (s *seat) add(o seat) {
	s.ids, s.logs, s.cpu = append(s.ids, o.ids...), append(s.logs, o.logs...), append(s.cpu, o.cpu...)
	s.reads = append(s.reads, o.reads...)
	s.failed, s.readsFail = append(s.failed, o.failed...), s.readsFail+o.readsFail
}

func (s *seat) words() string {
	return fmt.Sprintf("%3d logged, wait %s, CPU %s; %3d read, wait %s; %d failed",
		len(s.logs), spread(s.logs), spread(s.cpu), len(s.reads), spread(s.reads), len(s.failed)+s.readsFail)
}

// spread tells half, most and the longest of some times.
func spread(d []time.Duration) string {
	if len(d) == 0 {
		return "none"
	}
	d = slices.Sorted(slices.Values(d))
	at := func(q float64) time.Duration { return round(d[int(q*float64(len(d)-1))]) }
	return fmt.Sprintf("p50 %v p95 %v most %v", at(0.5), at(0.95), at(1))
}

func round(d time.Duration) time.Duration { return d.Round(10 * time.Millisecond) }

func run(c *exec.Cmd) { output(c) }

func output(c *exec.Cmd) string {
	out, err := c.CombinedOutput()
	if err != nil {
		fmt.Fprintf(os.Stderr, "%s: %v\n%s", c, err, out)
		os.Exit(1)
	}
	return string(out)
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
