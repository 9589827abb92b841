package formats

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"encoding/json"
	"io"
	"runtime"
	"strconv"
	"testing"
	"time"

	"rimegate/weather"
)

// BenchmarkRead reads a generated file of each format and gives its time as a ratio
// ("x-plain") to what the standard library takes in the same run for the same bytes:
// encoding/csv (for JSON, encoding/json into a struct), and one time and one number of
// each row parsed. The goal is 2. What becomes of the readings is not counted.
func BenchmarkRead(b *testing.B) {
	for _, f := range all {
		b.Run(f.Key, func(b *testing.B) {
			if r, _ := generated(f.Key, 1); r == nil {
				b.Skip("nothing generates it")
			}
			data, as := generate(f.Key, 1_000) // few enough for a turn without a pause
			opt := Options{Loc: zone(b, "America/Chicago"), Clock: "local", Received: start.AddDate(10, 0, 0)}
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			// The fastest of many turns each: what else the machine does cannot
			// make a turn faster.
			plain, read := time.Hour, time.Hour
			for b.Loop() {
				t0 := time.Now()
				if err := readPlain(data, as); err != nil {
					b.Fatal(err)
				}
				t1 := time.Now()
				if _, err := f.Stream(bytes.NewReader(data), opt, nowhere); err != nil {
					b.Fatal(err)
				}
				plain = min(plain, t1.Sub(t0))
				read = min(read, time.Since(t1))
			}
			b.ReportMetric(float64(read)/float64(plain), "x-plain")
		})
	}
}

var nowhere = weather.Sink{TempOnly: true, Observe: func(weather.Observation) {}, Spell: func(weather.Spell) {}, Reset: func() {}}

// readPlain is what a reader cannot do without.
func readPlain(data []byte, as shape) error {
	if as.sep == 0 {
		var all struct {
			Features []struct {
				Properties struct {
					Timestamp             time.Time
					Temperature, Dewpoint struct {
						UnitCode       string
						Value          float64
						QualityControl string
					}
				}
			}
		}
		return json.NewDecoder(bytes.NewReader(data)).Decode(&all)
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.ReuseRecord, r.FieldsPerRecord, r.LazyQuotes = as.sep, true, -1, true
	for line := 1; ; line++ {
		cells, err := r.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		_, badTime := time.Parse(as.layout, cells[as.at])
		_, badNumber := strconv.ParseFloat(cells[as.temp], 64)
		if bad := cmp.Or(badTime, badNumber); bad != nil && line > 1 {
			return bad
		}
	}
}

// TestMemoryIsFlat streams fifty years of hourly rows, 438,000 of them, and asks
// that what is held at the end is little more than the nights themselves.
func TestMemoryIsFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 438,000 rows")
	}
	opt := Options{Loc: zone(t, "America/Chicago"), Clock: "local"}
	held := func(years int) uint64 {
		r, _ := generated("plaincsv", years*8766)
		watch := &watcher{r: r}
		res, err := ReadNights("plaincsv", watch, opt)
		if err != nil {
			t.Fatal(err)
		}
		if want := years * 365; len(res.Nights) < want {
			t.Fatalf("%d nights, want at least %d", len(res.Nights), want)
		}
		covered := 0
		for _, n := range res.Nights {
			if n.Covers {
				covered++
			}
		}
		if covered < len(res.Nights)-2 {
			t.Errorf("%d of %d nights are covered", covered, len(res.Nights))
		}
		return watch.peak
	}
	five, fifty := held(5), held(50)
	t.Logf("at their peak five years held %.1f MB, fifty %.1f MB (the nights alone are some 4)", float64(five)/1e6, float64(fifty)/1e6)
	if fifty > 24<<20 {
		t.Errorf("fifty years held %d MB at their peak", fifty>>20)
	}
}

// watcher notes the largest live heap seen while a file is read.
type watcher struct {
	r    io.Reader
	n    int
	peak uint64
	base uint64
}

func (w *watcher) Read(p []byte) (int, error) {
	if w.n%100 == 0 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		if w.n == 0 {
			w.base = m.HeapAlloc
		}
		if m.HeapAlloc > w.base {
			w.peak = max(w.peak, m.HeapAlloc-w.base)
		}
	}
	w.n++
	return w.r.Read(p)
}
