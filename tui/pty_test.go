//go:build unix

package tui

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"reflect"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/term"
)

// In a process of its own this test binary is the screens on a real terminal.
func TestMain(m *testing.M) {
	how := os.Getenv("SCREENS_ON_A_TERMINAL")
	if how == "" {
		os.Exit(m.Run())
	}
	farm := willowBend(&testing.B{})
	a := newApp(context.Background(), farm, Options{Theme: LookAt(true)})
	switch how {
	case "panic in the loop":
		a.panicky = func(key string) {
			if key == "Z" {
				a.spawn(func() { a.post(func() { panic("a bug in the loop") }) })
			}
		}
	case "panic beside the loop":
		a.panicky = func(key string) {
			if key == "Z" {
				a.spawn(func() { panic("a bug beside the loop") })
			}
		}
	}
	var crash *CrashError
	err := a.run(Options{})
	switch {
	case errors.As(err, &crash):
		fmt.Printf("AFTER: %v; typed %q\n", crash, crash.Typed)
		os.Exit(1)
	case err != nil:
		fmt.Printf("AFTER: %v\n", err)
		os.Exit(2)
	}
	fmt.Println("AFTER: all is well")
	os.Exit(0)
}

// terminal runs the screens on a pseudo-terminal and collects what they send.
type terminal struct {
	t    *testing.T
	pty  *os.File
	cmd  *exec.Cmd
	was  *term.State
	mu   sync.Mutex
	sent bytes.Buffer
	done chan struct{}

	after func() // sees that the terminal is as before
}

func newTerminal(t *testing.T, how string, env ...string) *terminal {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	x := &terminal{t: t, cmd: exec.Command(self), done: make(chan struct{})}
	x.cmd.Env = append(os.Environ(), append([]string{"SCREENS_ON_A_TERMINAL=" + how, "TERM=xterm-256color", "NO_COLOR=", "COLORTERM=", "LANG=en_US.UTF-8", "LC_ALL="}, env...)...)
	var tty *os.File
	if x.pty, tty, err = pty.Open(); err != nil {
		t.Skip("no pseudo-terminal here: ", err)
	}
	if err := pty.Setsize(x.pty, &pty.Winsize{Cols: 80, Rows: 24}); err != nil {
		t.Fatal(err)
	}
	if x.was, err = term.GetState(int(tty.Fd())); err != nil {
		t.Fatal(err)
	}
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = tty, tty, tty
	x.cmd.SysProcAttr = ownTerminal()
	if err := x.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(x.done)
		buf := make([]byte, 4096)
		for {
			n, err := x.pty.Read(buf)
			x.mu.Lock()
			x.sent.Write(buf[:n])
			x.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	t.Cleanup(func() {
		_ = x.cmd.Process.Kill()
		_ = x.cmd.Wait()
		tty.Close()
		x.pty.Close()
		<-x.done
	})
	x.waits("North Slough")
	x.after = func() {
		now, err := term.GetState(int(tty.Fd()))
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(x.was, now) {
			t.Error("the terminal is not as it was before")
		}
	}
	return x
}

func (x *terminal) raw() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.sent.String()
}

var escape = regexp.MustCompile("\x1b(\\[[0-9;?>=]*[a-zA-Z]|[()][A-Z0-9]|[=>]|\\][^\x07]*\x07)")

// waits until the text was sent, escapes apart.
func (x *terminal) waits(want string) {
	x.t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		// What is on the screen already is not sent again, blanks least of all.
		if strings.Contains(strings.ReplaceAll(escape.ReplaceAllString(x.raw(), ""), " ", ""), strings.ReplaceAll(want, " ", "")) {
			return
		}
	}
	got := escape.ReplaceAllString(x.raw(), "")
	x.t.Fatalf("the terminal never gets %q; at last it got %q", want, got[max(0, len(got)-400):])
}

func (x *terminal) forget() {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.sent.Reset()
}

func (x *terminal) keys(s string) {
	x.t.Helper()
	if _, err := x.pty.WriteString(s); err != nil {
		x.t.Fatal(err)
	}
}

// ended waits for the end and sees that the terminal was put in order: the
// other screen left, the cursor shown, its settings as before.
func (x *terminal) ended(words string) {
	x.t.Helper()
	x.waits(words)
	_ = x.cmd.Wait()
	raw := x.raw()
	at := strings.LastIndex(raw, "AFTER:")
	for _, esc := range []string{"\x1b[?1049l", "\x1b[?25h"} {
		if i := strings.LastIndex(raw, esc); i < 0 || i > at {
			x.t.Errorf("%q was not sent before the last words", esc)
		}
	}
	x.after()
}

func TestOnATerminalStartAndQuit(t *testing.T) {
	x := newTerminal(t, "plain")
	if !strings.Contains(x.raw(), "\x1b[?1049h") {
		t.Error("the screens do not keep to a screen of their own")
	}
	if strings.Contains(x.raw(), "\x1b[?1000h") {
		t.Error("the mouse is on")
	}
	x.keys("?")
	x.waits("WRITING DOWN")
	x.keys("\x1b")
	time.Sleep(100 * time.Millisecond) // a lone Esc is told from an arrow by time
	x.keys("q")
	x.ended("AFTER: all is well")
}

func TestOnATerminalCtrlC(t *testing.T) {
	x := newTerminal(t, "plain")
	x.keys("\x03")
	x.ended("AFTER: all is well")
}

func TestOnATerminalResize(t *testing.T) {
	x := newTerminal(t, "plain")
	x.forget()
	if err := pty.Setsize(x.pty, &pty.Winsize{Cols: 30, Rows: 8}); err != nil {
		t.Fatal(err)
	}
	x.waits("40 by 10")
	x.forget()
	if err := pty.Setsize(x.pty, &pty.Winsize{Cols: 120, Rows: 40}); err != nil {
		t.Fatal(err)
	}
	x.waits("Other uses:")
	x.keys("q")
	x.ended("AFTER: all is well")
}

var colours = regexp.MustCompile("\x1b\\[([0-9;]*;)?(3[0-8]|4[0-8]|9[0-7]|10[0-7])(;[0-9;]*)?m")

func TestOnATerminalNoColor(t *testing.T) {
	x := newTerminal(t, "plain")
	x.keys("q")
	x.ended("AFTER: all is well")
	if !colours.MatchString(x.raw()) {
		t.Fatal("no colour is sent even where colours are wanted: this test proves nothing")
	}
	x = newTerminal(t, "plain", "NO_COLOR=1")
	x.keys("q")
	x.ended("AFTER: all is well")
	if c := colours.FindString(x.raw()); c != "" {
		t.Errorf("NO_COLOR, and yet %q is sent", c)
	}
	if !strings.Contains(x.raw(), "\x1b[7m") {
		t.Error("without colours a HOLD is not reversed")
	}
}

func TestOnATerminalCrash(t *testing.T) {
	for _, where := range []string{"panic in the loop", "panic beside the loop"} {
		x := newTerminal(t, where)
		x.keys("f-3CZ")
		x.ended("AFTER: the screens failed (a bug")
		if !strings.Contains(x.raw(), "low_c -3C") {
			t.Errorf("%s: what was typed is lost: %q", where, x.raw()[strings.LastIndex(x.raw(), "AFTER"):])
		}
	}
}
