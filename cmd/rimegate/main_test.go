package main

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard"
)

// fullDisk takes n bytes, then fails.
type fullDisk struct{ n int }

var errFull = errors.New("no space left on device")

func (d *fullDisk) Write(b []byte) (int, error) {
	if len(b) > d.n {
		n := d.n
		d.n = 0
		return n, errFull
	}
	d.n -= len(b)
	return len(b), nil
}

// A list cut short must not pass for a whole one.
func TestAnAnswerCutShortIsAFailure(t *testing.T) {
	smallFarm(t)
	for _, args := range [][]string{
		{"today"},
		{"today", "--json"},
		{"today", "--csv"},
		{"today", "--stream"},
		{"why", "creek"},
		{"history"},
		{"nights"},
		{"paddock"},
		{"rules"},
		{"rules", "compare", "creek"},
		{"rules", "compare", "--json", "creek"},
		{"rules", "species"},
		{"ahead", "--json"},
		{"moves", "--json"},
		{"completion"},
		{"sample", "creek"},
		{"water"},
		{"tonight"},
		{"nights", "--chart"},
		{"farm"},
		{"journal", "export"},
		{"--help"},
		{"log", "frost", "--help"},
		{"version"},
		{"man"},
		{"log", "rain", "--dry-run", "--amount", "3mm", "creek"},
		{"today", "--gate"},
	} {
		var errOut bytes.Buffer
		status := run(append([]string{"rimegate"}, args...), strings.NewReader(""), &fullDisk{10}, &errOut)
		if status != statusFailed || !strings.Contains(errOut.String(), "could not be written") {
			t.Errorf("%v on a full disk: status %d, %q", args, status, errOut.String())
		}
	}
}

func TestAPanicIsAFailureInOneSentence(t *testing.T) {
	var out, errOut bytes.Buffer
	status := run([]string{"rimegate", "version"}, strings.NewReader(""), panicking{}, &errOut)
	if status != statusFailed || strings.Count(errOut.String(), "\n") != 1 || !strings.Contains(errOut.String(), "decided nothing") {
		t.Fatalf("status %d, %q, %q", status, out.String(), errOut.String())
	}
}

type panicking struct{}

func (panicking) Write([]byte) (int, error) { panic("a fault\nin the middle") }

// The gate opens on clear alone: a flag nobody decided is no way through.
func TestGate(t *testing.T) {
	for flag, want := range map[hazard.Flag]int{hazard.Clear: 0, hazard.Caution: 10, hazard.Hold: 20, hazard.Unknown: 20, 9: 20} {
		if got := statusOf(gate(flag)); got != want {
			t.Errorf("flag %d: status %d, want %d", flag, got, want)
		}
	}
}

func TestProblemsNameTheFlag(t *testing.T) {
	for _, c := range []struct {
		p    fields.Problem
		want string
	}{
		{fields.Problem{Field: "low_c", What: "x"}, "--low: x"},
		{fields.Problem{Field: "--low", What: "x", Type: "y"}, "--low: x; y"},
		{fields.Problem{Field: "by", What: "is missing"}, "--by: is missing"},
		{fields.Problem{Field: "paddock", What: "there is no paddock"}, "there is no paddock"},
		{fields.Problem{Line: 3, Field: "low_c", What: "x"}, "line 3: low_c: x"},
	} {
		if got := sentenceOf(c.p); got != c.want {
			t.Errorf("%+v: %q, want %q", c.p, got, c.want)
		}
	}
}

// Every kind of failure has one status, and none is taken for a gate.
func TestStatuses(t *testing.T) {
	for _, c := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{io.ErrUnexpectedEOF, 1},
		{usagef("x"), 2},
		{refusef("x"), 3},
		{wordsWrong(refusef("x")), 2},
		{wordsWrong(fields.Problems{{What: "x"}}), 2},
		{fields.Problem{What: "x"}, 3},
		{cli.Exit("x", 20), 1},
	} {
		if got := statusOf(c.err); got != c.want {
			t.Errorf("%v: status %d, want %d", c.err, got, c.want)
		}
	}
}

func TestCellsAndParagraphs(t *testing.T) {
	var b bytes.Buffer
	p := &program{out: &b, width: 20}
	p.table([]string{"A", "BB", ""}, [][]string{{"x\x1b[31m", "é", "one two three four five"}, {"", "yy", ""}})
	want := "A  BB\nx  é   one two three\n       four five\n   yy\n"
	if b.String() != want {
		t.Errorf("got\n%q, want\n%q", b.String(), want)
	}
	b.Reset()
	p.para("- ", "  ", "a\tb\n c \x07d")
	if b.String() != "- a b c d\n" {
		t.Errorf("got %q", b.String())
	}
}

func TestPaint(t *testing.T) {
	in := "NO         North: HOLD\n  NOTHING\nYES        Hills\n    1. HOLD: x\n"
	want := "\x1b[1mNO\x1b[0m         North: HOLD\n  NOTHING\n\x1b[1mYES\x1b[0m        Hills\n    1. HOLD: x\n"
	if got := paint(in); got != want {
		t.Errorf("got %q", got)
	}
}
