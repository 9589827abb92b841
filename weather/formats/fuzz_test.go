package formats

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// stream is the streaming function of a reader.
type stream func(io.Reader, weather.Options, weather.Sink) (*weather.Result, error)

// FuzzRead starts from the golden files, the bad ones and the seeds of every format, and
// asks of any input what each reader promises: no panic, counts that add up, possible
// temperatures, printable words, and the same nights whichever way the rows are held.
func FuzzRead(f *testing.F) {
	n := 0
	for _, pattern := range []string{"golden/*", "bad/*/*", "seed/*"} {
		files, err := filepath.Glob("testdata/" + pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			if slices.Contains([]string{".want", ".options"}, filepath.Ext(name)) {
				continue
			}
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			n++
			f.Add(data)
		}
	}
	if n < 40 {
		f.Fatalf("%d seeds", n)
	}
	opt := options(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, format := range all {
			check(t, format.Stream, data, opt)
		}
	})
}

// options are those of the fuzz tests.
func options(t testing.TB) weather.Options {
	t.Helper()
	return weather.Options{Loc: zone(t, "America/Winnipeg"), Clock: "local", Month: "2025-11", Received: time.Date(2025, 11, 20, 12, 0, 0, 0, time.UTC)}
}

// check reads data both ways and fails for anything that no input may cause.
func check(t *testing.T, stream stream, data []byte, opt weather.Options) {
	t.Helper()
	res, err := weather.Collect(func(s weather.Sink) (*weather.Result, error) { return stream(bytes.NewReader(data), opt, s) })
	nights, err2 := weather.CollectNights(opt, func(s weather.Sink) (*weather.Result, error) { return stream(bytes.NewReader(data), opt, s) })
	if (err == nil) != (err2 == nil) {
		t.Fatalf("read as readings: %v; as nights: %v", err, err2)
	}
	if err != nil {
		var p fields.Problem
		if !errors.As(err, &p) {
			t.Errorf("%T is not a fields.Problem: %v", err, err)
		}
		plain(t, err.Error())
		return
	}
	for _, r := range []*weather.Result{res, nights} {
		result(t, r)
	}
	again := append(slices.Clone(res.Nights), nightsFrom(res, opt.Loc)...)
	for i := range again {
		again[i].Source = ""
	}
	slices.SortStableFunc(again, func(a, b weather.NightLow) int { return int(a.Night) - int(b.Night) })
	once := slices.Clone(nights.Nights)
	for i := range once {
		once[i].Source = ""
	}
	if len(again)+len(once) > 0 {
		if !reflect.DeepEqual(again, once) {
			t.Errorf("kept and streamed differ: %+v and %+v", again, once)
		}
	}
}

// nightsFrom gathers nights from kept observations, reported minima and failed readings.
func nightsFrom(res *weather.Result, loc *time.Location) []weather.NightLow {
	n := weather.NewNights(loc, nil)
	for _, s := range res.Spells {
		n.AddSpell(s)
	}
	for _, o := range res.Observations {
		n.Add(o)
	}
	for _, f := range res.Failed {
		n.AddFailed(f)
	}
	return n.Lows("")
}

func result(t *testing.T, r *weather.Result) {
	t.Helper()
	if sum := r.Kept + r.Rejected + r.Missing + r.Doubled + r.Skipped; r.Read != sum {
		t.Errorf("read %d, but kept %d rejected %d missing %d doubled %d skipped %d", r.Read, r.Kept, r.Rejected, r.Missing, r.Doubled, r.Skipped)
	}
	for _, n := range []int{r.Kept, r.Rejected, r.Missing, r.Doubled, r.Skipped} {
		if n < 0 {
			t.Errorf("a count below nought: %+v", r)
		}
	}
	plain(t, r.Station)
	plain(t, r.Unit)
	for _, n := range r.Notes {
		plain(t, n)
	}
	for _, x := range r.Rejects {
		plain(t, x.What)
	}
	for _, o := range r.Observations {
		if o.HasTemp && !weather.Possible(o.TempC) {
			t.Errorf("%v °C was let through", o.TempC)
		}
		if !o.HasTemp && !o.Below && o.DewC == nil && o.WindMS == nil {
			t.Error("an observation that says nothing")
		}
	}
	for _, n := range r.Nights {
		plain(t, n.Uncertain)
		if n.LowC != nil && !weather.Possible(*n.LowC) {
			t.Errorf("night with %v °C", *n.LowC)
		}
		if n.LowC == nil && !n.Below {
			t.Errorf("night %v says nothing", n.Night)
		}
		for _, h := range []*float64{n.HoursBelow0, n.HoursBelowKill} {
			if h != nil && (!(*h >= 0) || *h > 25.001) {
				t.Errorf("night %v with %v hours", n.Night, *h)
			}
		}
	}
	for _, rd := range weather.ToReadings(r.Nights, "station", "file") {
		plain(t, rd.Source)
	}
}
