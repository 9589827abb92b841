//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// slowImport is a program that brings in a sheet which somebody else has not written to
// the end yet: it waits, on any machine.
func slowImport(t *testing.T) (command func(args ...string) *exec.Cmd, sheet string, write func(string)) {
	t.Helper()
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	sheet = filepath.Join(dir, "rain.csv")
	if err := syscall.Mkfifo(sheet, 0o600); err != nil {
		t.Skip("no pipes here: ", err)
	}
	command = func(args ...string) *exec.Cmd {
		c := exec.Command(self, args...)
		c.Env = append(os.Environ(), "RIMEGATE_NOW=2026-10-06T06:52:00-06:00", "RIMEGATE_BY=Maren", "TERM=xterm",
			"RIMEGATE_JOURNAL="+filepath.Join(dir, "farm.journal"))
		return c
	}
	text, err := filepath.Abs("../../testdata/script/farm.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	if out, err := command("journal", "import", text).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	writer := make(chan *os.File, 1)
	go func() {
		f, err := os.OpenFile(sheet, os.O_WRONLY, 0)
		if err != nil {
			t.Error(err)
		}
		writer <- f
	}()
	return command, sheet, func(text string) {
		f := <-writer
		if _, err := f.WriteString(text); err != nil {
			t.Error(err)
		}
		f.Close()
	}
}

const oneRain = "rimegate log rain,paddocks,on,amount\n,creek,1-Sep-2026,12mm\n"

// On a terminal a command that takes long says that it is at work, and takes that off the
// screen before its answer.
func TestPatienceOnATerminal(t *testing.T) {
	command, sheet, write := slowImport(t)
	c := command("journal", "import", sheet)
	_, text, waits := onTerminal(t, c)
	waits("atwork;Ctrl-Cstopsit")
	write(oneRain)
	waits("Stored:1rain")
	if err := c.Wait(); err != nil {
		t.Error(err)
	}
	if got := text(); strings.Contains(got[strings.Index(got, "Stored:1rain"):], "atwork") {
		t.Errorf("the answer is followed by %q", got)
	}
}

// In a pipe nothing is shown, however long it takes; nor on a terminal that cannot erase.
func TestPatienceInAPipe(t *testing.T) {
	command, sheet, write := slowImport(t)
	c := command("journal", "import", sheet)
	var out, errOut bytes.Buffer
	c.Stdout, c.Stderr = &out, &errOut
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(before + 500*time.Millisecond)
	write(oneRain)
	if err := c.Wait(); err != nil || errOut.Len() > 0 || !strings.HasPrefix(out.String(), "rain.csv: 1 row") {
		t.Errorf("%v: %q, %q", err, out.String(), errOut.String())
	}
	command, sheet, write = slowImport(t)
	c = command("journal", "import", sheet)
	c.Env = append(c.Env, "TERM=dumb")
	_, text, waits := onTerminal(t, c)
	time.Sleep(before + 500*time.Millisecond)
	write(oneRain)
	waits("Stored:1rain")
	if got := text(); !strings.HasPrefix(got, "rain.csv:1row") {
		t.Errorf("the terminal shows %q", got)
	}
}

// Ctrl-C ends a command with one sentence and a status of its own.
func TestCtrlCOnATerminal(t *testing.T) {
	command, sheet, write := slowImport(t)
	c := command("journal", "import", sheet)
	f, _, waits := onTerminal(t, c)
	waits("atwork;Ctrl-Cstopsit")
	if _, err := f.WriteString("\x03"); err != nil {
		t.Fatal(err)
	}
	waits("rimegate:interrupted;nothingwasstored,andnounfinishedfileisleft.")
	if err := c.Wait(); c.ProcessState.ExitCode() != statusBroken {
		t.Errorf("the command ended with %v", err)
	}
	go func() { _, _ = os.ReadFile(sheet) }() // else the writer would wait for a reader
	write("")
}

// Wherever a signal meets an import, a copy or an export, the journal is whole and holds
// what it held, or all that came in, and no unfinished file is left.
func TestSignalsLeaveTheJournalWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("starts the program some forty times")
	}
	command, fifo, _ := slowImport(t)
	go func() { _, _ = os.ReadFile(fifo) }()
	dir := filepath.Dir(fifo)
	var rows strings.Builder
	rows.WriteString("rimegate log rain,paddocks,on,amount,note\n")
	for i := range 3000 {
		fmt.Fprintf(&rows, ",creek,1-Sep-2026,12mm,row %d\n", i)
	}
	sheet := filepath.Join(dir, "many.csv")
	if err := os.WriteFile(sheet, []byte(rows.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	entries := func() string {
		out, err := command("journal", "check").CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		return string(out)
	}
	start := time.Now()
	was, broken := entries(), 0
	unit := max(20*time.Millisecond, time.Since(start)/4) // a loaded computer takes longer to begin
	for i := range 12 {
		for _, words := range [][]string{
			{"journal", "import", sheet}, {"journal", "copy", filepath.Join(dir, "copy")}, {"journal", "export", filepath.Join(dir, "text")},
		} {
			c := command(words...)
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Duration(i+1) * unit)
			_ = c.Process.Signal([]os.Signal{os.Interrupt, syscall.SIGTERM}[i%2])
			_ = c.Wait()
			if c.ProcessState.ExitCode() == statusBroken {
				broken++
			}
			now := entries()
			if c.ProcessState.ExitCode() != statusDone && now != was && !strings.Contains(now, "3013 entries") {
				t.Errorf("%v, stopped after %v: %s", words, time.Duration(i+1)*unit, now)
			}
			was = now
			left, err := filepath.Glob(filepath.Join(dir, ".rimegate-*"))
			if err != nil || len(left) > 0 {
				t.Errorf("%v, stopped after %v, leaves %v", words, time.Duration(i+1)*unit, left)
			}
			for _, name := range []string{"copy", "copy.mark", "text"} {
				_ = os.Remove(filepath.Join(dir, name))
			}
		}
	}
	t.Logf("%d commands were interrupted", broken)
	if broken == 0 {
		t.Error("no signal met a command at work; this test proves nothing")
	}
}
