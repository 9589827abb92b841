//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
)

// Two processes on one journal: the screens on a terminal, and a command that
// logs an incident. The screens say who must come out without a key, and leave
// with status 0.
func TestScreensSeeAnotherProcess(t *testing.T) {
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	env := append(os.Environ(), "RIMEGATE_NOW=2026-10-06T06:52:00-06:00", "RIMEGATE_BY=Maren", "TERM=xterm-256color", "NO_COLOR=",
		"RIMEGATE_JOURNAL="+filepath.Join(dir, "demo.journal"), "XDG_DATA_HOME="+dir)
	command := func(args ...string) *exec.Cmd {
		c := exec.Command(self, args...)
		c.Env = env
		return c
	}
	if out, err := command("demo", "--dir", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	screens := command()
	f, text, waits := onTerminal(t, screens)
	waits("LeaseEighty")
	if strings.Contains(text(), "YEARLINGSoutofEASTHILLS") {
		t.Fatal("the yearlings must move before anything happened")
	}
	if out, err := command("log", "incident", "--down", "1", "east-hills").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	waits("YEARLINGSoutofEASTHILLS")
	if _, err := f.WriteString("q"); err != nil {
		t.Fatal(err)
	}
	if err := screens.Wait(); err != nil {
		t.Errorf("the screens ended with %v", err)
	}
}

// onTerminal starts screens on a terminal; text is what they sent, without blanks: what
// is on the screen already is not sent again.
func onTerminal(t *testing.T, screens *exec.Cmd) (f *os.File, text func() string, waits func(string)) {
	t.Helper()
	f, err := pty.StartWithSize(screens, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Skip("no pseudo-terminal here: ", err)
	}
	t.Cleanup(func() { f.Close() })
	var mu sync.Mutex
	var sent bytes.Buffer
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := f.Read(buf)
			mu.Lock()
			sent.Write(buf[:n])
			mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	escapes := regexp.MustCompile("\x1b(\\[[0-9;?>=]*[a-zA-Z]|[()][A-Z0-9]|[=>])")
	text = func() string {
		mu.Lock()
		defer mu.Unlock()
		return strings.ReplaceAll(escapes.ReplaceAllString(sent.String(), ""), " ", "")
	}
	waits = func(want string) {
		t.Helper()
		for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
			if strings.Contains(text(), want) {
				return
			}
		}
		got := text()
		t.Fatalf("the screens never say %q; at last %q", want, got[max(0, len(got)-500):])
	}
	return f, text, waits
}

// Where there is no journal the screens begin the farm; leaving at once leaves nothing.
func TestScreensBeginAJournal(t *testing.T) {
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	journal := filepath.Join(t.TempDir(), "own.journal")
	command := func(args ...string) *exec.Cmd {
		c := exec.Command(self, args...)
		c.Env = append(os.Environ(), "RIMEGATE_NOW=2026-10-06T06:52:00-06:00", "RIMEGATE_BY=Maren", "TERM=xterm-256color", "RIMEGATE_JOURNAL="+journal)
		return c
	}
	for _, stored := range []bool{false, true} {
		screens := command()
		f, _, waits := onTerminal(t, screens)
		waits("Yourfarmbeginshere")
		if stored {
			if _, err := f.WriteString("Willow Bend\tAmerica/Regina\r"); err != nil {
				t.Fatal(err)
			}
			waits("CHECKANDSAVE")
			if _, err := f.WriteString("\r"); err != nil {
				t.Fatal(err)
			}
			waits("Next,thethermometers")
		}
		if _, err := f.WriteString("\x03"); err != nil {
			t.Fatal(err)
		}
		if err := screens.Wait(); err != nil {
			t.Errorf("the screens ended with %v", err)
		}
		if _, err := os.Stat(journal); (err == nil) != stored {
			t.Errorf("stored: %v, and the journal: %v", stored, err)
		}
	}
	out, err := command("farm").CombinedOutput()
	if err != nil || !strings.Contains(string(out), "Willow Bend") || !strings.Contains(string(out), "America/Regina") {
		t.Errorf("%s (%v)", out, err)
	}
}

// A set-up is left at any question and goes on where it was left, in the screens and by
// plain questions, in one journal.
func TestStartIsLeftAndResumed(t *testing.T) {
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	journal := filepath.Join(t.TempDir(), "own.journal")
	command := func(args ...string) *exec.Cmd {
		c := exec.Command(self, args...)
		c.Env = append(os.Environ(), "RIMEGATE_NOW=2026-10-06T06:52:00-06:00", "RIMEGATE_BY=Maren", "TERM=xterm-256color",
			"TZ=America/Regina", "RIMEGATE_JOURNAL="+journal)
		return c
	}
	sit := func(args []string, turns ...[2]string) {
		t.Helper()
		c := command(args...)
		f, _, waits := onTerminal(t, c)
		for _, x := range turns {
			waits(x[0])
			if _, err := f.WriteString(x[1]); err != nil {
				t.Fatal(err)
			}
		}
		if err := c.Wait(); err != nil {
			t.Errorf("%v ended with %v", args, err)
		}
	}
	// One question answered, then Ctrl-C: the zone is the computer's, and a farm is there.
	sit([]string{"start", "--plain"}, [2]string{"Name?", "Willow Bend\r"}, [2]string{"Timezone?", "\x03"})
	// The screens go on with what is open, and are left in the middle.
	sit([]string{"start"}, [2]string{"LOG:thefarm", "\x1b"}, [2]string{"Next,thethermometers", "\x1b"},
		[2]string{"Nowthepaddocks", "Creek\r"}, [2]string{"CHECKANDSAVE", "\r"}, [2]string{"Stored:1entry", "\x03"})
	// And the questions again: of the paddock that was stored it is asked what grows.
	sit([]string{"start", "--plain"}, [2]string{"Units?", "skip\r"}, [2]string{"Callfirst?", "Maren 555-0101\r"},
		[2]string{"Callnext?", "quit\r"})
	out, err := command("farm", "export").CombinedOutput()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`name = "Willow Bend"`, `zone = "America/Regina"`, `manager = "Maren 555-0101"`, `paddock = "creek"`} {
		if !strings.Contains(string(out), want) {
			t.Errorf("%s is lost:\n%s", want, out)
		}
	}
}
