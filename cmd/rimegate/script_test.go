package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"rimegate": main})
}

// TestScript runs the scripts that double as the manual: each is a morning, a
// mistake or a mishap on a small farm, at 06:52 on Tue 6-Oct-2026.
func TestScript(t *testing.T) {
	if testing.Short() {
		t.Skip("each step starts the program: minutes under the race detector")
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/script",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			e.Setenv("XDG_CACHE_HOME", e.WorkDir+"/cache")
			e.Setenv("RIMEGATE_NOW", "2026-10-06T06:52:00-06:00")
			e.Setenv("RIMEGATE_BY", "Maren")
			e.Setenv("RIMEGATE_JOURNAL", e.WorkDir+"/farm.journal")
			e.Setenv("TERM", "xterm")
			e.Setenv("RIMEGATE_MUTANT", os.Getenv("RIMEGATE_MUTANT")) // of make mutants
			farm, err := os.ReadFile("../../testdata/script/farm.jsonl")
			if err != nil {
				return err
			}
			return os.WriteFile(e.WorkDir+"/farm.jsonl", farm, 0o600)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status":   status,
			"terminal": terminal,
			"scribble": scribble,
			"lock":     lock,
			"answer":   answer,
			"later":    later,
			"said":     said,
			"cutoff":   cutoff,
		},
	})
}

// status N PROGRAM ARGS... runs a program and looks at its exit status.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N program args...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%s did not run: %v", args[1], err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// terminal FILE PROGRAM ARGS... runs a program on a terminal of 80 columns and
// keeps what it wrote there in a file.
func terminal(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: terminal file program args...")
	}
	cmd := exec.Command(args[1], args[2:]...)
	cmd.Dir = ts.MkAbs(".")
	for _, k := range []string{
		"HOME", "PATH", "TERM", "NO_COLOR", "XDG_DATA_HOME", "XDG_CACHE_HOME",
		"RIMEGATE_NOW", "RIMEGATE_BY", "RIMEGATE_JOURNAL",
	} {
		if v := ts.Getenv(k); v != "" {
			cmd.Env = append(cmd.Env, k+"="+v)
		}
	}
	f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	ts.Check(err)
	defer f.Close()
	var out bytes.Buffer
	_, _ = out.ReadFrom(f) // ends with an error when the program does
	ts.Check(cmd.Wait())
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), bytes.ReplaceAll(out.Bytes(), []byte("\r\n"), []byte("\n")), 0o600))
}

var anID = regexp.MustCompile(`\b[0-7][0-9A-HJKMNP-TV-Z]{25}\b`)

// answer FILE compares what was last printed with a file, ids apart: they are
// new each time.
func answer(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: answer file")
	}
	got := anID.ReplaceAllString(ts.ReadFile("stdout"), "ID")
	if diff := cmp.Diff(ts.ReadFile(args[0]), got); diff != "" {
		ts.Fatalf("the answer differs (-want +got):\n%s", diff)
	}
}

// said TEXT looks for a text in what was last printed, wherever its lines were
// broken.
func said(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: said text")
	}
	got := strings.Join(strings.Fields(ts.ReadFile("stdout")), " ")
	if has := strings.Contains(got, args[0]); has == neg {
		ts.Fatalf("%q in the answer: %v, want %v", args[0], has, !neg)
	}
}

// cutoff FILE N takes the last N bytes off a file, as of one that is being written.
func cutoff(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: cutoff file n")
	}
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	name := ts.MkAbs(args[0])
	b, err := os.ReadFile(name)
	ts.Check(err)
	ts.Check(os.WriteFile(name, b[:len(b)-n], 0o600))
}

// later N moves the clock on by N minutes: entries of one day are in order of
// the moment they were written down.
func later(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: later minutes")
	}
	n, err := strconv.Atoi(args[0])
	ts.Check(err)
	now, err := time.Parse(time.RFC3339, ts.Getenv("RIMEGATE_NOW"))
	ts.Check(err)
	ts.Setenv("RIMEGATE_NOW", now.Add(time.Duration(n)*time.Minute).Format(time.RFC3339))
}

// scribble FILE OLD NEW puts bytes in the place of others in a file, as a bad
// disk would.
func scribble(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 || len(args[1]) != len(args[2]) {
		ts.Fatalf("usage: scribble file old new, of one length")
	}
	name := ts.MkAbs(args[0])
	b, err := os.ReadFile(name)
	ts.Check(err)
	if !bytes.Contains(b, []byte(args[1])) {
		ts.Fatalf("%q is not in %s", args[1], args[0])
	}
	ts.Check(os.WriteFile(name, bytes.ReplaceAll(b, []byte(args[1]), []byte(args[2])), 0o600))
}
