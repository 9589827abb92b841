// Bench measures whole commands as ratios: a farm's morning against --version, decades
// against one season, and what must be done anyway (see bare).
//
//	go run ./testdata/scale/bench [-runs 5] [-paddocks 300] [-seasons 30]
package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

var (
	runs     = flag.Int("runs", 5, "how often each command runs; the medians count")
	paddocks = flag.Int("paddocks", 300, "paddocks of the large farm")
	seasons  = flag.Int("seasons", 30, "seasons of the old farm")
)

const now = "2027-01-02T07:00:00-06:00"

type bench struct{ dir string }

func main() {
	flag.Parse()
	dir, err := os.MkdirTemp("", "scale")
	check(err)
	defer os.RemoveAll(dir)
	b := bench{dir}
	for _, p := range []struct{ out, pkg string }{{"rimegate", "./cmd/rimegate"}, {"scale", "./testdata/scale"}, {"bare", "./testdata/scale/bare"}} {
		b.run(exec.Command("go", "build", "-o", b.at(p.out), p.pkg))
	}
	b.farm("one", *paddocks, 1)
	b.farm("old", *paddocks, *seasons)
	b.farm("2000", 2000, 1)
	b.run(b.command("rimegate demo --dir demo"))

	fmt.Printf("%d paddocks, %d seasons; CPU seconds of a process, user and system, median of %d runs\n\n", *paddocks, *seasons, *runs)
	fmt.Printf("%-42s %8s %8s\n", "", "CPU s", "MB")
	bare := b.measure("bare --version")
	version := b.measure("rimegate --version")
	demo := b.measure("rimegate --journal demo/demo.journal today")
	put := b.measure("bare put put.db")
	frost := b.measure("rimegate --journal demo/demo.journal log frost --low -3C --night today north-slough,creek,bench,corral-strip,home-quarter,river-flat")
	one := b.measure("rimegate --journal one.journal today")
	old := b.measure("rimegate --journal old.journal today")
	scan := b.measure("bare scan old.journal")
	why := b.measure("rimegate --journal old.journal why p00007")
	place := b.measure("rimegate --journal old.journal today --paddock p00007")
	ahead := b.measure("rimegate --journal one.journal ahead --days 60")
	district := b.measure("rimegate --journal 2000.journal today --stream")

	fmt.Println()
	ratio := func(what string, a, b float64, target string) {
		fmt.Printf("%-58s %6.2f  (wanted: %s)\n", what, a/b, target)
	}
	ratio("--version / bare cli and bbolt", version, bare, "at most 1.5")
	ratio("today of the demo / --version", demo, version, "at most 2.2")
	ratio("log frost, six paddocks / bare open-put-commit-close", frost, put, "at most 3")
	ratio("today, old farm / one season", old, one, "at most 2")
	ratio("today, old farm / bare scan and hash", old, scan, "at most 3")
	ratio("why, old farm / bare scan and hash", why, scan, "at most 1.3")
	ratio("today --paddock, old farm / bare scan and hash", place, scan, "at most 1.3")
	fmt.Printf("%-58s %6.2f  (wanted: under 1 s)\n", "ahead --days 60, CPU s", ahead)
	fmt.Printf("%-58s %6.2f\n", "today --json --stream of 2,000 paddocks, CPU s", district)
}

func (b *bench) at(name string) string { return filepath.Join(b.dir, name) }

// farm makes the journal of an invented farm.
func (b *bench) farm(name string, paddocks, seasons int) {
	file, err := os.Create(b.at(name + ".jsonl"))
	check(err)
	c := b.command(fmt.Sprintf("scale -paddocks %d -seasons %d", paddocks, seasons))
	c.Stdout = file
	check(c.Run())
	check(file.Close())
	b.run(b.command("rimegate --journal " + name + ".journal journal import " + name + ".jsonl"))
}

func (b *bench) command(line string) *exec.Cmd {
	words := strings.Fields(line)
	c := exec.Command(b.at(words[0]), words[1:]...)
	c.Dir = b.dir
	c.Env = append(os.Environ(), "RIMEGATE_BY=Maren", "NO_COLOR=1")
	if !strings.Contains(line, "demo") { // the demo is of today
		c.Env = append(c.Env, "RIMEGATE_NOW="+now)
	}
	return c
}

func (b *bench) run(c *exec.Cmd) {
	if out, err := c.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "%s: %v\n%s", c, err, out)
		os.Exit(1)
	}
}

// measure returns the median CPU time of a command in seconds.
func (b *bench) measure(line string) float64 {
	var cpu []float64
	var most int64
	for range *runs {
		c := b.command(line)
		c.Stderr = os.Stderr
		check(c.Run())
		cpu = append(cpu, (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds())
		most = max(most, peak(c.ProcessState))
	}
	slices.Sort(cpu)
	m := cpu[len(cpu)/2]
	fmt.Printf("%-42s %8.3f %8d\n", short(line), m, most>>20)
	return m
}

func short(line string) string {
	line = strings.ReplaceAll(line, ".journal", "")
	return line[:min(len(line), 42)]
}

func check(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
