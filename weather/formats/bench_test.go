package formats

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"runtime"
	"testing"
	"time"
)

// BenchmarkReadNights reads a generated file of each format into nights and gives
// its time as a ratio ("x-walk") to the standard library walking the same bytes:
// encoding/csv for tables and text, encoding/json tokens for JSON.
func BenchmarkReadNights(b *testing.B) {
	for _, f := range all {
		b.Run(f.name, func(b *testing.B) {
			data, sep := generate(f.name, 50_000)
			opt := Options{Loc: zone(b, "America/Chicago"), Clock: "local", Received: start.AddDate(10, 0, 0)}
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			// The fastest of many turns each: what else the machine does cannot
			// make a turn faster.
			walk, read := time.Hour, time.Hour
			for b.Loop() {
				t0 := time.Now()
				if err := walkPlain(data, sep); err != nil {
					b.Fatal(err)
				}
				t1 := time.Now()
				if _, err := ReadNights(f.name, bytes.NewReader(data), opt); err != nil {
					b.Fatal(err)
				}
				walk = min(walk, t1.Sub(t0))
				read = min(read, time.Since(t1))
			}
			b.ReportMetric(float64(read)/float64(walk), "x-walk")
		})
	}
}

func walkPlain(data []byte, sep rune) error {
	if sep == 0 {
		d := json.NewDecoder(bytes.NewReader(data))
		for {
			if _, err := d.Token(); err == io.EOF {
				return nil
			} else if err != nil {
				return err
			}
		}
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.ReuseRecord, r.FieldsPerRecord, r.LazyQuotes = sep, true, -1, true
	for {
		if _, err := r.Read(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
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
