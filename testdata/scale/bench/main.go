// Bench measures whole commands as ratios: a farm's morning against --version, decades
// against one season, and what must be done anyway (see bare).
//
//	go run ./testdata/scale/bench [-runs 5] [-paddocks 300] [-seasons 30] [-district 20000]
//
// Programs are built as they are shipped, bare ones the same way.
package main

import (
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

var (
	runs     = flag.Int("runs", 5, "how often each command runs; the medians count")
	paddocks = flag.Int("paddocks", 300, "paddocks of the large farm")
	seasons  = flag.Int("seasons", 30, "seasons of the old farm")
	district = flag.Int("district", 20000, "paddocks of the district")
	hours    = flag.Int("hours", 440000, "rows of an hourly file")
)

const now = "2027-01-02T07:00:00-06:00"

type bench struct{ dir string }

func main() {
	flag.Parse()
	dir, err := os.MkdirTemp("", "scale")
	check(err)
	defer os.RemoveAll(dir)
	check(os.Setenv("CGO_ENABLED", "0")) // as packages are built
	b := bench{dir}
	for _, p := range []struct{ out, pkg string }{{"rimegate", "./cmd/rimegate"}, {"scale", "./testdata/scale"}, {"bare", "./testdata/scale/bare"}} {
		b.build(p.pkg, p.out, "-ldflags", "-s -w")
	}
	b.farm("one", *paddocks, 1)
	b.farm("old", *paddocks, *seasons)
	b.farm("thousand", 1000, 1)
	b.farm("tenth", *district/10, 1)
	b.farm("district", *district, 1)
	b.text("shuffled", *paddocks, *seasons, "-shuffle")
	b.hourly("hours.csv")
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
	grown := b.anew("rimegate --journal old.journal today", func() {
		b.run(b.command("rimegate --journal old.journal log rain --amount 3mm --on today p00007"))
	})
	unlisted := b.anew("rimegate --journal old.journal today", func() { check(os.RemoveAll(b.at("cache"))) })
	why := b.measure("rimegate --journal old.journal why p00007")
	place := b.measure("rimegate --journal old.journal today --paddock p00007")
	logs := b.measure("rimegate --journal old.journal log frost --dry-run --low -3C --night today p00007")
	thousand := b.measure("rimegate --journal thousand.journal today")
	opens := b.opening("rimegate --journal thousand.journal", "p0")
	opensOld := b.opening("rimegate --journal old.journal", "p0")
	ahead := b.measure("rimegate --journal one.journal ahead --days 60")
	moves := b.measure("rimegate --journal one.journal moves --days 59")
	tenth := b.measure("rimegate --journal tenth.journal today --stream")
	stream := b.measure("rimegate --journal district.journal today --stream")
	insert := b.afresh("bare insert new.journal old.jsonl")
	sorted := b.afresh("rimegate --journal new.journal journal import old.jsonl")
	mixed := b.afresh("rimegate --journal new.journal journal import shuffled.jsonl")
	merge := b.afresh("rimegate --journal new.journal journal merge old.journal")
	rows := b.measure("bare csv hours.csv")
	reads := b.measure("rimegate --journal one.journal import --station s0000 --clock local --dry-run hours.csv")
	stores := b.afresh("rimegate --journal new.journal import --station s0000 --clock local --yes hours.csv")

	fmt.Println()
	ratio := func(what string, a, b float64, target string) {
		fmt.Printf("%-58s %6.2f  (wanted: %s)\n", what, a/b, target)
	}
	ratio("--version / bare cli and bbolt", version, bare, "at most 1.5")
	ratio("today of the demo / --version", demo, version, "at most 2.2")
	ratio("log frost, six paddocks / bare open-put-commit-close", frost, put, "at most 3")
	ratio("today, old farm / one season", old, one, "at most 2")
	ratio("today, old farm / bare scan and hash", old, scan, "at most 3")
	ratio("the same after an entry was logged", grown, scan, "-")
	ratio("the same with no list of what is kept", unlisted, scan, "-")
	ratio("why, old farm / bare scan and hash", why, scan, "at most 1.3")
	ratio("today --paddock, old farm / bare scan and hash", place, scan, "at most 1.3")
	ratio("log of one paddock, old farm / bare scan and hash", logs, scan, "at most 1.3")
	fmt.Printf("%-58s %6.2f  (wanted: under 1 s)\n", "ahead --days 60, CPU s", ahead)
	fmt.Printf("%-58s %6.2f  (wanted: under 1 s)\n", "moves --days 59, CPU s", moves)
	ratio(fmt.Sprintf("today --stream, %d paddocks / a tenth of them", *district), stream, tenth, "at most 11; under 400 MB")
	ratio("import in no order / in order of id", mixed, sorted, "1")
	ratio("merge / inserting the lines bare", merge, insert, "at most 3")
	ratio("hourly file, read / encoding/csv, times and numbers", reads, rows, "at most 2")
	ratio("hourly file, nights stored / the same", stores, rows, "at most 4")
	b.benchmarks("./weather/formats", "BenchmarkRead", "x-plain", "at most 2")
	ratio("screens drawn and left / today, 1000 paddocks", opens, thousand, "at most 1.5")
	ratio("screens drawn and left / today, old farm", opensOld, old, "at most 1.5")
	b.benchmarks("./tui", "BenchmarkKeyToScreen", "x-empty-table", "at most 2")
	b.sizes()
}

// benchmarks prints what the benchmarks of a package say of one of their units.
func (b *bench) benchmarks(pkg, name, unit, target string) {
	out, err := exec.Command("go", "test", "-run", "^$", "-bench", name, pkg).Output()
	check(err)
	for _, m := range regexp.MustCompile(`(?m)^(Benchmark\S+).*\s([\d.]+) `+unit).FindAllStringSubmatch(string(out), -1) {
		fmt.Printf("%-58s %6s  (%s; wanted: %s)\n", m[1], m[2], unit, target)
	}
}

// sizes prints the size of the program and what of it comes of each large module.
func (b *bench) sizes() {
	info, err := os.Stat(b.at("rimegate"))
	check(err)
	fmt.Printf("\nbinary %.1f MB, of it symbols by module, KB:\n", float64(info.Size())/1e6)
	b.build("./cmd/rimegate", "symbols")
	out, err := exec.Command("go", "tool", "nm", "-size", b.at("symbols")).Output()
	check(err)
	of := map[string]int{}
	module := regexp.MustCompile(`^(?:go:itab\.\*?|type:\.eq\.)?((?:github\.com/[^/]+|go\.etcd\.io|codeberg\.org/[^/]+|golang\.org/x|rimegate)/[^/.]+)`)
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		if len(words) < 4 || strings.EqualFold(words[2], "b") { // b lies in no file
			continue
		}
		if m := module.FindStringSubmatch(words[3]); m != nil {
			n, _ := strconv.Atoi(words[1])
			of[m[1]] += n
		}
	}
	for _, name := range slices.SortedFunc(maps.Keys(of), func(x, y string) int { return of[y] - of[x] }) {
		if of[name] > 50_000 {
			fmt.Printf("%8d %s\n", of[name]/1000, name)
		}
	}
}

func (b *bench) build(pkg, out string, flags ...string) {
	c := exec.Command("go", append(append([]string{"build", "-tags", "urfave_cli_no_docs", "-trimpath"}, flags...), "-o", b.at(out), pkg)...)
	c.Env = append(os.Environ(), "CGO_ENABLED=0")
	b.run(c)
}

// hourly writes a plain file of hours.
func (b *bench) hourly(name string) {
	var text strings.Builder
	text.WriteString("time,temp_c\n")
	at := time.Date(1976, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range *hours {
		fmt.Fprintf(&text, "%s,%.1f\n", at.Add(time.Duration(i)*time.Hour).Format("2006-01-02 15:04"), 10-10*math.Cos(float64(i)/24*2*math.Pi)-8*math.Cos(float64(i)/8766*2*math.Pi))
	}
	check(os.WriteFile(b.at(name), []byte(text.String()), 0o600))
}

// afresh is measure of a command that makes the journal new.journal; an import of readings
// finds a farm in it.
func (b *bench) afresh(line string) float64 {
	return b.anew(line, func() {
		for _, name := range []string{"new.journal", "new.journal.mark"} {
			check(os.RemoveAll(b.at(name)))
		}
		if strings.Contains(line, "--station") || strings.Contains(line, " merge ") { // into a farm
			b.run(b.command("rimegate --journal new.journal journal import one.jsonl"))
		}
	})
}

// anew is measure of a command before each run of which something is done.
func (b *bench) anew(line string, before func()) float64 {
	var cpu []float64
	for range *runs {
		before()
		cpu = append(cpu, b.once(line))
	}
	slices.Sort(cpu)
	m := cpu[len(cpu)/2]
	fmt.Printf("%-42s %8.3f\n", short(line), m)
	return m
}

func (b *bench) once(line string) float64 {
	c := b.command(line)
	c.Stderr = os.Stderr
	check(c.Run())
	return (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds()
}

func (b *bench) at(name string) string { return filepath.Join(b.dir, name) }

// farm makes the journal of an invented farm.
func (b *bench) farm(name string, paddocks, seasons int) {
	b.text(name, paddocks, seasons)
	b.run(b.command("rimegate --journal " + name + ".journal journal import " + name + ".jsonl"))
}

// text writes the entries of an invented farm.
func (b *bench) text(name string, paddocks, seasons int, more ...string) {
	file, err := os.Create(b.at(name + ".jsonl"))
	check(err)
	c := b.command(fmt.Sprintf("scale -paddocks %d -seasons %d %s", paddocks, seasons, strings.Join(more, " ")))
	c.Stdout = file
	check(c.Run())
	check(file.Close())
}

func (b *bench) command(line string) *exec.Cmd {
	words := strings.Fields(line)
	c := exec.Command(b.at(words[0]), words[1:]...)
	c.Dir = b.dir
	c.Env = append(os.Environ(), "RIMEGATE_BY=Maren", "NO_COLOR=1", "XDG_CACHE_HOME="+b.at("cache"))
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
