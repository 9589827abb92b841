package formats

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"unicode"

	"rimegate/fields"
	"rimegate/weather"
)

// badFile is a file that must be refused whole, with the words that the one sentence
// must hold.
type badFile struct {
	name, format, file string
	opt                func(*Options)
	words              []string
}

// badFiles are those of bad and of testdata/bad/FORMAT, each with its words, a line each,
// in a .want file beside it.
func badFiles(t *testing.T) []badFile {
	t.Helper()
	out := slices.Clone(bad)
	wants, err := filepath.Glob("testdata/bad/*/*.want")
	if err != nil || len(wants) == 0 {
		t.Fatalf("no bad files: %v", err)
	}
	for _, w := range wants {
		name := strings.TrimSuffix(w, ".want")
		words, err := os.ReadFile(w)
		file, err2 := os.ReadFile(name)
		if err := cmp.Or(err, err2); err != nil {
			t.Fatal(err)
		}
		out = append(out, badFile{
			filepath.Base(name), filepath.Base(filepath.Dir(name)), string(file), nil, strings.Split(strings.TrimSpace(string(words)), "\n"),
		})
	}
	return out
}

// bad are files of no format, or that need options of their own.
var bad = []badFile{
	{"empty", "plaincsv", "", nil, []string{"empty", "night,low_c"}},
	{"only blank lines", "plaincsv", "\n\n\r\n", nil, []string{"no line names a time column and a temperature column"}},
	{"numbers without a header", "plaincsv", "2026-10-06,28\n2026-10-07,41\n", nil, []string{"line 1", "no line names", "night,low_c"}},
	{"header alone", "plaincsv", "night,low_c\n", nil, []string{"no row below the header"}},
	{"no temperature column", "plaincsv", "date,rain_mm\n2026-10-06,3\n", nil, []string{"line 1", "none called temp"}},
	{"no time column", "plaincsv", "paddock,low_c\nnorth,3\n", nil, []string{"line 1", `"low_c"`, "none called night, date or time"}},
	{"no unit", "plaincsv", "night,low\n2026-10-06,28\n", nil, []string{"line 2", `"28"`, `"low"`, "°C or °F", "temp_c or temp_f"}},
	{"no unit, though the values shout", "plaincsv", "time,temperature\n2026-07-06 15:00,95\n", nil, []string{"°C or °F"}},
	{"kelvin", "plaincsv", "time,temp_k\n2026-07-06 15:00,280\n", nil, []string{"kelvin"}},
	{"day and month open", "plaincsv", "date,low_c\n06/10/26,1\n07/10/26,2\n", nil, []string{"line 2", `"06/10/26"`, "Tue 6 Oct 2026", "Wed 10 Jun 2026", "dmy or mdy"}},
	{"day and month open, four digits of year", "plaincsv", "date,low_c\n06.10.2026,1\n", nil, []string{"Tue 6 Oct 2026", "Wed 10 Jun 2026"}},
	{"dates contradict", "plaincsv", "date,low_c\n16/10/26,1\n10/17/26,1\n", nil, []string{"line 3", "contradict", "line 2"}},
	{"year may be first", "plaincsv", "date,low_c\n26/10/06,1\n26/10/07,1\n26/10/08,1\n26/10/09,1\n", nil, []string{"year first"}},
	{"no zone said", "plaincsv", "time,temp_c\n2026-10-06 05:00,3\n", func(o *Options) { o.Clock = "" }, []string{"clock: ", "do not say their zone", "local, standard", "America/Denver"}},
	{"no zone said, day and month open", "plaincsv", "date,hour,temp_c\n06/10/26,5,3\n", func(o *Options) { o.Clock = "" }, []string{"do not say their zone"}},
	{"a clock that is none", "plaincsv", "time,temp_c\n2026-10-06 05:00,3\n", func(o *Options) { o.Clock = "Mars/Base" }, []string{`"Mars/Base"`, "local, standard, utc"}},
	{"station under another name", "plaincsv", "probe,night,low_c\nCreek,2026-10-06,1\nBench,2026-10-06,4\n", func(o *Options) { o.Station = "Creek" }, []string{"does not name its stations", `"Creek"`, "name the column station"}},
	{"the one station is another", "plaincsv", "station,night,low_c\nBench,2026-10-06,4\n", func(o *Options) { o.Station = "Creek" }, []string{`called "Bench"`, `not "Creek"`}},
	{"the one station is another, in an archive", "ghcnd", "USC00999999,20251014,TMIN,78,,,7,0700\n", func(o *Options) { o.Station = "USC00999998" }, []string{"USC00999999", "USC00999998"}},
	{"several stations", "plaincsv", "station,night,low_c\nCreek,2026-10-06,1\nBench,2026-10-06,4\n", nil, []string{"several stations", `"Creek"`, `"Bench"`, "say which"}},
	{"station not there", "plaincsv", "station,night,low_c\nCreek,2026-10-06,1\nBench,2026-10-06,4\n", func(o *Options) { o.Station = "Hill" }, []string{`"Hill"`, `"Creek"`}},
	{"every value impossible", "plaincsv", "night,low_c\n2026-10-06,280\n2026-10-07,281\n", nil, []string{"line 2", "no possible air temperature", "none of the 2 rows"}},
	{"every date impossible", "plaincsv", "night,low_c\n2026-02-30,2\n", nil, []string{"line 2", `"2026-02-30"`}},
	{"decimal comma between commas", "plaincsv", "night,low_c\n2026-10-06,-2,5\n", nil, []string{"3 cells", "decimal comma"}},
	{"UTF-16", "plaincsv", "\xff\xfen\x00i\x00g\x00h\x00t\x00", nil, []string{"UTF-16", "CSV UTF-8"}},
	{"NUL bytes", "plaincsv", "night,low_c\x00\x00\n", nil, []string{"NUL"}},
	{"one endless line", "plaincsv", strings.Repeat("x", 300_000), nil, []string{"line 1", "longer"}},
	{"terminal escapes in the header", "plaincsv", "night,low \x1b[31mred\n2026-10-06,28\n", nil, []string{"°C or °F"}},
	{"zone abroad", "plaincsv", "time,temp_c\n2026-10-06 05:00 JST,1\n", nil, []string{"JST", "not one of the farm's"}},
	{"unit that is none", "plaincsv", "night,low_c\n2026-10-06,1\n", func(o *Options) { o.Unit = "K" }, []string{"C or F"}},
	{"no zone", "plaincsv", "night,low_c\n2026-10-06,1\n", func(o *Options) { o.Loc = nil }, []string{"time zone", "America/Regina"}},
	{"gzip", "", "\x1f\x8b\x08\x00\x00", nil, []string{"gzip", "unpack"}},
	{"workbook", "", "PK\x03\x04\x14\x00", nil, []string{"workbook", "CSV UTF-8"}},
	{"web page", "", "<!DOCTYPE html><html>", nil, []string{"web page"}},
	{"no such format", "xml", "night,low_c\n", nil, []string{`"xml"`, "plaincsv", "metar"}},
}

func TestBadFiles(t *testing.T) {
	of := map[string]bool{}
	for _, b := range badFiles(t) {
		of[b.format] = true
		t.Run(b.name, func(t *testing.T) {
			opt := Options{Loc: zone(t, "America/Denver"), Clock: "local"}
			if b.opt != nil {
				b.opt(&opt)
			}
			res, err := Read(b.format, strings.NewReader(b.file), opt)
			if err == nil {
				t.Fatalf("was read: %+v", res)
			}
			if res != nil {
				t.Error("a refused file still gave a result")
			}
			var p fields.Problem
			if !errors.As(err, &p) {
				t.Errorf("%T is not a fields.Problem", err)
			}
			for _, w := range b.words {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("%q does not say %q", err, w)
				}
			}
			plain(t, err.Error())
			if _, err := ReadNights(b.format, strings.NewReader(b.file), opt); err == nil {
				t.Error("ReadNights read it")
			}
		})
	}
	for _, f := range all {
		if !of[f.Key] {
			t.Errorf("no bad file of format %s in testdata/bad/%[1]s", f.Key)
		}
	}
}

// plain fails for text that is not fit to print.
func plain(t testing.TB, s string) {
	t.Helper()
	for _, r := range s {
		if !unicode.IsPrint(r) {
			t.Errorf("%q holds %q", s, r)
			return
		}
	}
	if len(s) > 700 {
		t.Errorf("a message of %d bytes", len(s))
	}
}

// TestBrokenInput gives every reader an input that fails in the middle.
func TestBrokenInput(t *testing.T) {
	for _, f := range all {
		data := golden(t, f.Key)
		r := io.MultiReader(bytes.NewReader(data[:len(data)/2]), iotest.ErrReader(errors.New("disk on fire")))
		_, err := Read(f.Key, r, Options{Loc: zone(t, "America/Denver"), Clock: "local", Received: start.AddDate(100, 0, 0)})
		if err == nil || !strings.Contains(err.Error(), "could not be read") {
			t.Errorf("%s: %v", f.Key, err)
		}
	}
}

// TestSlowInput gives every reader one byte at a time and expects the same.
func TestSlowInput(t *testing.T) {
	for _, f := range all {
		data := golden(t, f.Key)
		opt := Options{Loc: zone(t, "America/Denver"), Clock: "local", Received: start.AddDate(100, 0, 0)}
		a, err1 := ReadNights("", bytes.NewReader(data), opt)
		b, err2 := ReadNights("", iotest.OneByteReader(bytes.NewReader(data)), opt)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: %v, %v", f.Key, err1, err2)
		}
		if describe(a, opt.Loc) != describe(b, opt.Loc) {
			t.Errorf("%s: read differently in small pieces", f.Key)
		}
	}
}

// TestRowsThatFall checks that a bad row costs itself and nothing else.
func TestRowsThatFall(t *testing.T) {
	file := "time,temp_c,note\n" +
		"2026-10-06 01:00,3.0,fine\n" +
		"2026-10-06 02:00,\"2.0,unclosed\n" +
		strings.Repeat("9", 200_000) + "\n" +
		"2026-10-06 03:00,1.0\x00,\n" +
		"2026-10-06 04:00,warm,\n" +
		"2026-10-06 05:00,0x10,\n" +
		"2026-10-06 06:00,Inf,\n" +
		"2026-10-06 07:00,1e999,\n" +
		"1970-01-01 00:00,4,\n" +
		"2026-10-06 25:00,4,\n" +
		"yesterday,4,\n" +
		"2026-10-06 08:00\n" +
		",,\n" +
		"2026-10-06 09:00,-0.5 °C,\n" +
		"2026-10-06 10:00,28F,\n" +
		"2026-10-06 11:00,NaN,\n"
	res, err := Read("plaincsv", strings.NewReader(file), Options{Loc: zone(t, "America/Denver"), Clock: "local"})
	if err != nil {
		t.Fatal(err)
	}
	if res.Read != 15 || res.Kept != 2 || res.Missing != 1 || res.Rejected != 12 {
		t.Errorf("read %d kept %d missing %d rejected %d", res.Read, res.Kept, res.Missing, res.Rejected)
	}
	for i, want := range []struct {
		line int
		word string
	}{
		{3, "not closed"},
		{4, "too long"},
		{5, "NUL"},
		{6, `"warm"`},
		{7, `"0x10"`},
		{8, `"Inf"`},
		{9, `"1e999"`},
		{10, "never set"},
		{11, `"2026-10-06 25:00"`},
		{12, `"yesterday"`},
		{13, "the row has 1 cell,"},
		{16, "marked as degrees Fahrenheit"},
	} {
		if i >= len(res.Rejects) {
			t.Fatalf("%d rejects", len(res.Rejects))
		}
		if r := res.Rejects[i]; r.Line != want.line || !strings.Contains(r.What, want.word) {
			t.Errorf("reject %d is %+v, want line %d with %s", i, r, want.line, want.word)
		}
	}
}

// TestRejectsAreBounded: a million bad rows are counted and twenty spelled out.
func TestRejectsAreBounded(t *testing.T) {
	r := &source{head: []byte("time,temp_c\n2026-10-06 05:00,1\n"), n: 50_000, row: func(b []byte, _ int) []byte { return append(b, "never,1\n"...) }}
	res, err := Read("plaincsv", r, Options{Loc: zone(t, "America/Denver"), Clock: "local"})
	if err != nil {
		t.Fatal(err)
	}
	if res.Rejected != 50_000 || len(res.Rejects) != weather.MaxRejects {
		t.Errorf("%d rejected, %d spelled out", res.Rejected, len(res.Rejects))
	}
}

func TestDetectSays(t *testing.T) {
	for _, f := range all {
		data := golden(t, f.Key)
		if got, why, err := find("", data); got.Key != f.Key || why == "" || err != nil {
			t.Errorf("%s detected as %s (%s)", f.Key, got.Key, why)
		}
	}
	if res, err := ReadNights("", strings.NewReader("night,low_c\n2026-10-06,1\n"), Options{Loc: zone(t, "America/Denver"), Clock: "local"}); err != nil || !strings.Contains(strings.Join(res.Notes, "\n"), "read as plain CSV") {
		t.Errorf("%v %v", res, err)
	}
}
