package formats

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rimegate/fields"
	"rimegate/weather"
)

var update = flag.Bool("update", false, "write the golden files anew")

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := fields.LoadZone(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// optionsFor are the options of a golden file: those of its .options file, a word and
// what it is a line, where it needs more than the farm's zone.
func optionsFor(t testing.TB, file string) Options {
	t.Helper()
	o := Options{Loc: zone(t, "America/Chicago"), Clock: "local"}
	text, err := os.ReadFile(file + ".options")
	if err != nil {
		return o
	}
	for line := range strings.Lines(string(text)) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch key {
		case "zone":
			o.Loc = zone(t, value)
		case "clock":
			o.Clock = value // nothing: the file says it
		case "station":
			o.Station = value
		case "unit":
			o.Unit = value
		case "month":
			o.Month = value
		case "place":
			o.Place = new(weather.Place)
			if _, err := fmt.Sscan(value, &o.Place.Lat, &o.Place.Lon); err != nil {
				t.Fatal(err)
			}
		default:
			t.Fatalf("%s.options: %q is no option", file, key)
		}
	}
	return o
}

// goldens are the golden files.
func goldens(t testing.TB) (out []string) {
	t.Helper()
	files, err := filepath.Glob("testdata/golden/*")
	if err != nil || len(files) < 10 {
		t.Fatalf("golden files: %v, %v", files, err)
	}
	for _, f := range files {
		if ext := filepath.Ext(f); ext != ".want" && ext != ".options" {
			out = append(out, f)
		}
	}
	return out
}

// golden is the first golden file of a format.
func golden(t testing.TB, key string) []byte {
	t.Helper()
	for _, f := range goldens(t) {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if got, _, err := find("", data); err == nil && got.Key == key {
			return data
		}
	}
	t.Fatalf("no golden file of format %s", key)
	return nil
}

// TestGolden reads an invented file of every format, detecting it, and compares
// everything a person would be told and every night.
func TestGolden(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range goldens(t) {
		t.Run(filepath.Base(f), func(t *testing.T) {
			data, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			opt := optionsFor(t, f)
			format, why, _ := find("", data)
			name := format.Key
			seen[name] = true
			nights, err := ReadNights("", bytes.NewReader(data), opt)
			if err != nil {
				t.Fatal(err)
			}
			full, err := Read(name, bytes.NewReader(data), opt)
			if err != nil {
				t.Fatal(err)
			}
			got := fmt.Sprintf("format %s: %s\n%s", name, why, describe(nights, opt.Loc))
			if *update {
				if err := os.WriteFile(f+".want", []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(f + ".want")
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(string(want), got); d != "" {
				t.Errorf("differs from the golden file (-want +got):\n%s", d)
			}
			// Keeping every reading must give the same nights as streaming them.
			all := nightsFrom(full, opt.Loc)
			for i := range all {
				all[i].Source = full.Format
			}
			all = append(all, full.Nights...)
			if d := cmp.Diff(all, nights.Nights); d != "" && len(all)+len(nights.Nights) > 0 {
				t.Errorf("readings kept and nights streamed disagree:\n%s", d)
			}
		})
	}
	for _, f := range all {
		if !seen[f.Key] {
			t.Errorf("no golden file of format %s", f.Key)
		}
	}
}

func describe(r *weather.Result, loc *time.Location) string {
	var b strings.Builder
	fmt.Fprintf(&b, "read as %s\nstation %q\nunit %s\n", r.Format, r.Station, r.Unit)
	fmt.Fprintf(&b, "read %d kept %d rejected %d missing %d doubled %d skipped %d\n", r.Read, r.Kept, r.Rejected, r.Missing, r.Doubled, r.Skipped)
	for _, x := range r.Rejects {
		fmt.Fprintf(&b, "reject line %d: %s\n", x.Line, x.What)
	}
	for _, n := range r.Notes {
		fmt.Fprintf(&b, "note %s\n", n)
	}
	for _, n := range r.Nights {
		fmt.Fprintf(&b, "night %s low %s below %s covers %v hours %s %s source %q uncertain %q\n",
			n.Night, num(n.LowC), yesNo(n.Below), n.Covers, num(n.HoursBelow0), num(n.HoursBelowKill), n.Source, n.Uncertain)
		if n.Rebuilt != nil {
			fmt.Fprintf(&b, "  %s\n", n.Rebuilt.Words())
		}
	}
	for _, f := range r.Forecasts {
		fmt.Fprintf(&b, "forecast %s low %.2f issued %s\n", f.Night, *f.LowC, f.Issued.In(loc).Format(time.RFC3339))
	}
	return b.String()
}

func num(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.2f", *v)
}

func yesNo(b bool) string {
	if b {
		return "true"
	}
	return "-"
}
