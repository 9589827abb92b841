package judge

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"runtime/debug"
	"sort"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

var (
	seedFlag = flag.Uint64("seed", 1, "seed of the random seasons")
	seasonAt = flag.Int("season", -1, "try this season alone, as a finding names it")
	onlyKind = flag.String("only", "", "shrink only findings whose kind holds this text; - for none")
)

var (
	ledgerFlag = flag.String("ledger", "", "file to which the run's figures are appended as CSV")
	commitFlag = flag.String("commit", "", "commit that the ledger names")
)

// tally counts what a run tried, for the ledger.
var tally struct{ days, pairs, relaxed, found atomic.Int64 }

// The plain engine makes much garbage and keeps little: collect less often.
func TestMain(m *testing.M) {
	debug.SetGCPercent(800)
	code := m.Run()
	if *ledgerFlag != "" && tally.days.Load()+tally.pairs.Load()+tally.relaxed.Load() > 0 {
		if err := writeRun(*ledgerFlag); err != nil {
			fmt.Fprintln(os.Stderr, err)
			code = 1
		}
	}
	os.Exit(code)
}

// writeRun appends the run's row: date, seed, paddock- and lot-days on which the engines were
// compared, worsened pairs, relaxed questions, findings, commit, cores.
func writeRun(file string) error {
	f, err := os.OpenFile(file, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	fmt.Fprintf(f, "%s,%d,%d,%d,%d,%d,%s,%d\n", time.Now().UTC().Format(time.DateOnly), *seedFlag, tally.days.Load(),
		tally.pairs.Load(), tally.relaxed.Load(), tally.found.Load(), *commitFlag, runtime.GOMAXPROCS(0))
	return f.Close()
}

// fewer is how much to try: all of it, or a twentieth with -short.
func fewer(n int) int {
	if testing.Short() {
		return n / 20
	}
	return n
}

// eachSeason makes random seasons on all processors until done reports that
// enough was tried. Season i is the same whatever else runs.
func eachSeason(stream uint64, done func() bool, try func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook)) {
	one := func(i uint64) {
		r := rand.New(rand.NewPCG(*seedFlag, stream<<32+i))
		try(i, r, RandomSeason(r, rules.Default()), rules.Default())
	}
	if *seasonAt >= 0 {
		one(uint64(*seasonAt))
		return
	}
	var next atomic.Uint64
	var wg sync.WaitGroup
	for w := 0; w < runtime.GOMAXPROCS(0); w++ {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for !done() {
				one(next.Add(1) - 1)
			}
		}()
	}
	wg.Wait()
}

// findings gathers what a test found wrong, by kind; of each kind it keeps the
// finding of the earliest season, shrunk.
type findings struct {
	mu    sync.Mutex
	count map[string]int
	first map[string]uint64
	words map[string]func() string
}

func (f *findings) add(kind string, season uint64, words func() string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.count == nil {
		f.count, f.first, f.words = map[string]int{}, map[string]uint64{}, map[string]func() string{}
	}
	if old, ok := f.first[kind]; !ok || season < old {
		f.first[kind], f.words[kind] = season, words
	}
	f.count[kind]++
	tally.found.Add(1)
}

// report fails the test with each kind and the smallest history that shows it,
// the most frequent first.
func (f *findings) report(t *testing.T) {
	t.Helper()
	var kinds []string
	for k := range f.count {
		kinds = append(kinds, k)
	}
	sort.Slice(kinds, func(i, j int) bool {
		a, b := kinds[i], kinds[j]
		return f.count[a] > f.count[b] || f.count[a] == f.count[b] && a < b
	})
	for i, k := range kinds {
		words := ""
		if i < 40 && *onlyKind != "-" && bytes.Contains([]byte(k), []byte(*onlyKind)) {
			words = f.words[k]()
		}
		t.Errorf("%d times, first in season %d: %s\n%s", f.count[k], f.first[k], k, words)
	}
}

// kindOf names a difference without its places and dates.
func kindOf(d Difference) string {
	short := func(c Cell) string {
		if c.Flag == hazard.Unknown {
			return "none"
		}
		s := c.Flag.String()
		if c.Flag == hazard.Hold && c.Through == hazard.NoEnd {
			s += " without end"
		}
		if c.Share >= 0 {
			s += " with a share"
		}
		return s
	}
	return fmt.Sprintf("%s %s: %s, %s", d.Key.Use, d.Key.Hazard, short(d.A), short(d.B))
}

// history prints entries as JSON Lines, in order.
func history(es []fields.Entry) string {
	es = append([]fields.Entry{}, es...)
	SortByID(es, Zone(es))
	var b bytes.Buffer
	if err := fields.WriteJSONL(&b, es); err != nil {
		return err.Error()
	}
	return b.String()
}

func (q Question) String() string {
	return fmt.Sprintf("on %s, asked at %s", q.On, q.Moment.Format("2006-01-02 15:04 -07:00"))
}
