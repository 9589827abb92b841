// Package readertest holds what every reader promises, for their fuzz tests.
package readertest

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
	"unicode"

	"rimegate/fields"
	"rimegate/weather"
)

// Stream is the streaming function of a reader.
type Stream func(io.Reader, weather.Options, weather.Sink) (*weather.Result, error)

// Fuzz starts from the golden files of every format, adds seeds of the reader's
// own, and asks of any input what the readers promise: no panic, counts that add
// up, possible temperatures, printable words, and the same nights whichever way the
// rows are held. It is called from the folder of a reader.
func Fuzz(f *testing.F, stream Stream, seeds ...string) {
	f.Helper()
	files, err := filepath.Glob("../formats/testdata/golden/*")
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, name := range files {
		if filepath.Ext(name) == ".want" {
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, s := range seeds {
		f.Add([]byte(s))
	}
	opt := options(f)
	f.Fuzz(func(t *testing.T, data []byte) { check(t, stream, data, opt) })
}

// options are those of the fuzz tests.
func options(t testing.TB) weather.Options {
	t.Helper()
	loc, err := fields.LoadZone("America/Winnipeg")
	if err != nil {
		t.Fatal(err)
	}
	return weather.Options{Loc: loc, Clock: "local", Month: "2025-11", Received: time.Date(2025, 11, 20, 12, 0, 0, 0, time.UTC)}
}

// check reads data both ways and fails for anything that no input may cause.
func check(t *testing.T, stream Stream, data []byte, opt weather.Options) {
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
		printable(t, err.Error())
		return
	}
	for _, r := range []*weather.Result{res, nights} {
		result(t, r)
	}
	again := append(slices.Clone(res.Nights), NightsFrom(res.Observations, res.Spells, opt.Loc, nil)...)
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

// NightsFrom gathers nights from observations and reported minima.
func NightsFrom(obs []weather.Observation, spells []weather.Spell, loc *time.Location, farm *weather.Place) []weather.NightLow {
	n := weather.NewNights(loc, farm)
	for _, s := range spells {
		n.AddSpell(s)
	}
	for _, o := range obs {
		n.Add(o)
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
	printable(t, r.Station)
	printable(t, r.Unit)
	for _, n := range r.Notes {
		printable(t, n)
	}
	for _, x := range r.Rejects {
		printable(t, x.What)
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
		printable(t, n.Uncertain)
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
		printable(t, rd.Source)
	}
}

func printable(t *testing.T, s string) {
	t.Helper()
	for _, r := range s {
		if !unicode.IsPrint(r) {
			t.Errorf("%q holds %q", s, r)
			return
		}
	}
}
