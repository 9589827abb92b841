package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"pgregory.net/rapid"

	"rimegate/weather"
)

func opened(t interface{ Fatal(...any) }, r io.Reader, station string) *File {
	f, err := open(r, Format{}, weather.Options{Loc: time.UTC, Station: station}, weather.Sink{Reset: func() {}})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestLines(t *testing.T) {
	long := strings.Repeat("y", MaxLine+1)
	fit := strings.Repeat("z", MaxLine-1)
	var many []string
	for i := range 3 * roomSize / 1000 {
		many = append(many, fmt.Sprintf("%0*d", 900+i, i))
	}
	for _, c := range []struct {
		in   string
		want []string // "!" for a line too long, "0" for one with a NUL
	}{
		{"", nil},
		{"a", []string{"a"}},
		{"a\nb\n", []string{"a", "b"}},
		{"a\r\nb\r\n\r\nc", []string{"a", "b", "", "c"}},
		{"a\rb\rc", []string{"a", "b", "c"}},
		{"\xef\xbb\xbfa\nb", []string{"a", "b"}},
		{"a\n" + long + "\nb\n", []string{"a", "!", "b"}},
		{"a\n" + long + long + long + "\nb", []string{"a", "!", "b"}},
		{fit + "\nb", []string{fit, "b"}},
		{strings.Join(many, "\n"), many},
		{"a\n" + long, []string{"a", "!"}},
		{"a\nb\x00\nc\n\x00", []string{"a", "0", "c", "0"}},
	} {
		for _, wrap := range []func(io.Reader) io.Reader{
			func(r io.Reader) io.Reader { return r }, iotest.OneByteReader, iotest.DataErrReader, iotest.HalfReader,
		} {
			f := opened(t, wrap(strings.NewReader(c.in)), "")
			var got []string
			for {
				line, err := f.next()
				if err == io.EOF {
					break
				}
				switch {
				case errors.Is(err, errLong):
					line = "!"
				case errors.Is(err, errNUL):
					line = "0"
				case err != nil:
					t.Fatal(err)
				}
				got = append(got, line)
			}
			if !slices.Equal(got, c.want) || f.Num != len(c.want) {
				t.Errorf("%.40q: %d lines, want %d", c.in, len(got), len(c.want))
			}
		}
	}
	f := opened(t, iotest.ErrReader(errors.New("broken")), "")
	if _, err := f.next(); err == nil || !strings.Contains(err.Error(), "could not be read") {
		t.Errorf("a broken input read as %v", err)
	}
}

// A line that the standard library wrote splits as it was.
func TestSplitAgainstStandard(t *testing.T) {
	f := opened(t, strings.NewReader(""), "")
	rapid.Check(t, func(t *rapid.T) {
		sep := rapid.SampledFrom([]byte(",;\t|")).Draw(t, "sep")
		cells := rapid.SliceOfN(rapid.StringOfN(rapid.RuneFrom([]rune("ab1 ;,\t-\"")), 0, 8, -1), 1, 8).Draw(t, "cells")
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Comma = rune(sep)
		if err := w.Write(cells); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		got, err := f.Split(strings.TrimSuffix(b.String(), "\n"), sep)
		if err != nil || !slices.Equal(got, Row(cells)) {
			t.Fatalf("%q: %q, %v, want %q", b.String(), got, err, cells)
		}
	})
}

// A mark left out costs its own line and never swallows the one below; a mark inside
// a cell, such as that of inches, is text; empty cells between tabs stay.
func TestOddQuotes(t *testing.T) {
	f := opened(t, strings.NewReader(""), "")
	for _, c := range []struct {
		line string
		sep  byte
		want []string // nil for a row that falls
	}{
		{`a,"b,c`, ',', nil},
		{`a,"b`, ',', nil},
		{`a,b`, ',', []string{"a", "b"}}, // and the next is read from its beginning
		{`a,"b"c",d`, ',', nil},
		{`a,"b"c"d",e`, ',', nil},
		{`a,5"x,"-1`, ',', nil},
		{`a,5"x,b"`, ',', []string{"a", `5"x`, `b"`}},
		{`a, "b, c",""`, ',', []string{"a", "b, c", ""}},
		{`a,"b ""c""",`, ',', []string{"a", `b "c"`, ""}},
		{"a\t\t\"b\"\t", '\t', []string{"a", "", "b", ""}},
		{"\"a\",\"b\nc\"", ',', nil}, // of a file whose lines end in CR
		{`"x","y"`, ',', []string{"x", "y"}},
	} {
		got, err := f.Split(c.line, c.sep)
		if (err == nil) != (c.want != nil) || !slices.Equal(got, Row(c.want)) {
			t.Errorf("%q: %q, %v, want %q", c.line, got, err, c.want)
		}
	}
	file := opened(t, strings.NewReader("1,\"2\n3,4\n\n , \n5,\"6\n7\"\n"), "")
	var rows []string
	_, err := file.Rows(',', func(r Row) error { file.Res.Kept++; rows = append(rows, strings.Join(r, "/")); return nil })
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(rows, " "); got != `3/4 7"` || file.Res.Read != 4 || file.Res.Rejected != 2 || file.Res.Rejects[1].Line != 5 {
		t.Errorf("%s, %+v", got, file.Res)
	}
}

// A line without quoted cells is cut at its separators; whatever came before, the line
// at hand is the one that is read.
func FuzzSplit(f *testing.F) {
	for _, s := range []string{"", ",", "a", "a,b", "2026-10-06 05:00,-2.2,74", ",,,,", `a,"b,c`, `"a","b"`, `a"b,c`, "a|b,c", " , x ,\t", "\"a\nb\""} {
		f.Add(s, byte(','))
	}
	f.Fuzz(func(t *testing.T, line string, sep byte) {
		if strings.IndexByte(",;\t|", sep) < 0 || strings.ContainsAny(line, "\r") {
			return
		}
		file := opened(t, strings.NewReader(""), "")
		_, _ = file.Split(line, sep)
		if row, err := file.Split("x,\"y\"", ','); err != nil || len(row) != 2 || row[1] != "y" {
			t.Fatalf("after %q: %q, %v", line, row, err)
		}
		want := strings.Split(line, string(sep))
		quoted := slices.ContainsFunc(want, func(c string) bool { return strings.HasPrefix(strings.TrimLeft(c, " "), `"`) })
		row, err := file.Split(line, sep)
		if !quoted && (err != nil || !slices.Equal(row, Row(want))) {
			t.Fatalf("%q: %q, %v", line, row, err)
		}
		if quoted && err == nil && len(row) > len(want) {
			t.Fatalf("%q: more cells than separators: %q", line, row)
		}
	})
}

func TestRowBeyondItsCells(t *testing.T) {
	r := Row{"a", " \t", ""}
	if r.Cell(0) != "a" || r.Cell(3) != "" || r.Cell(-1) != "" || r.Blank(0) || !r.Blank(1) || !r.Blank(9) {
		t.Errorf("%q", r)
	}
}

func TestPick(t *testing.T) {
	p := pick{want: "bench"}
	var log []string
	for _, n := range []string{"Creek", "Creek", "Bench", "Creek", "Bench"} {
		keep, forget := p.take(n)
		log = append(log, fmt.Sprintf("%v/%v", keep, forget))
	}
	if got := strings.Join(log, " "); got != "true/false true/false true/true false/false true/false" {
		t.Error(got)
	}
	if what, _ := p.problem(""); what != "" || p.current != "Bench" {
		t.Errorf("%s %s", what, p.current)
	}
	one := pick{}
	keep, _ := one.take("KTST")
	if what, _ := one.problem(""); !keep || what != "" {
		t.Error("a file with one station must be read if none is asked for")
	}
	other := pick{want: "Creek"}
	other.take("KTST")
	if got, _ := other.problem("Test field"); !strings.Contains(got, `called "KTST", not "Creek"`) {
		t.Errorf("another station than the one asked for: %q", got)
	}
	if got, _ := other.problem("creek "); got != "" {
		t.Errorf("the station by its second name: %q", got)
	}
	nowhere := pick{want: "Creek"}
	if got, do := nowhere.problem(""); !strings.Contains(got, "does not name its stations") || !strings.Contains(do, "leave") {
		t.Errorf("a file without stations: %q", got)
	}
	many := pick{}
	for i := range 10 {
		many.take(fmt.Sprint("S", i))
	}
	if got, _ := many.problem(""); !strings.Contains(got, `"S7" and more`) {
		t.Errorf("ten stations: %q", got)
	}
}

// What was counted of another station than the one wanted counts as skipped.
func TestTakeForgets(t *testing.T) {
	f := opened(t, strings.NewReader(""), "Bench")
	f.Res.Read, f.Res.Kept, f.Res.Missing = 3, 1, 1
	f.Take("Creek", nil)
	f.Doubted("", -9, "X")
	f.Name = "of the creek"
	forgot := false
	if !f.Take(" bench ", func() { forgot = true }) || !forgot || f.Station() != "bench" || f.Name != "" {
		t.Errorf("%+v", f)
	}
	if f.Res.Skipped != 3 || f.Res.Kept+f.Res.Missing+f.Res.Rejected != 0 || f.failed != 0 {
		t.Errorf("%+v", f.Res)
	}
}
