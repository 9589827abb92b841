package main

import (
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// patience shows on a terminal that a command is still at work, and ends it without harm
// when it is told to. What it shows goes away with the first word of the answer.
type patience struct {
	screen *os.File // standard error, if that is a terminal that can erase
	width  int      // cells of its lines

	mu    sync.Mutex
	timer *time.Timer
	shown int           // how often something was shown
	stop  chan struct{} // closed when the command is over

	file        atomic.Pointer[string] // that is being read
	read, total atomic.Int64           // bytes of it
}

// before is how long nothing is shown: most commands are over by then.
const before = 700 * time.Millisecond

// between is how long what is shown stays as it is.
const between = 150 * time.Millisecond

// shownOn makes the program's patience visible on a terminal, and whatever the program
// writes end it first.
func (w *patience) shownOn(f *os.File, p *program) {
	if term := os.Getenv("TERM"); term == "dumb" || term == "" {
		return
	}
	w.screen, w.width = f, p.errWidth
	p.out, p.err = &lastWord{p.out, w}, &lastWord{p.err, w}
}

// lastWord is a writer before whose words nothing else is left on the screen.
type lastWord struct {
	io.Writer
	w *patience
}

func (l *lastWord) Write(b []byte) (int, error) {
	l.w.hush()
	return l.Writer.Write(b)
}

// begin begins a command; what it returns ends it.
func (w *patience) begin(p *program) (end func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	told := make(chan os.Signal, 1)
	stop := make(chan struct{})
	w.stop = stop
	signal.Notify(told, os.Interrupt, syscall.SIGTERM)
	go func() {
		defer signal.Stop(told)
		select {
		case <-told:
			os.Exit(p.abandon())
		case <-stop:
		}
	}()
	if w.screen != nil {
		w.timer = time.AfterFunc(before, w.show)
	}
	return w.end
}

// end ends it: nothing is shown, and a signal does what it does elsewhere.
func (w *patience) end() {
	w.hush()
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.stop != nil {
		close(w.stop)
		w.stop = nil
	}
}

// abandon says what became of a command that was told to end.
func (p *program) abandon() int {
	p.patience.hush()
	if journal.Abandon() {
		p.note("interrupted; what was stored before that stays, and `rimegate history` shows it.")
	} else {
		p.note("interrupted; nothing was stored, and no unfinished file is left.")
	}
	return statusBroken
}

func (w *patience) show() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.timer == nil {
		return // hushed meanwhile
	}
	turns := `|/-\`
	text := fmt.Sprintf("%c %s%s", turns[w.shown%len(turns)], w.words(), (time.Duration(w.shown) * between).Truncate(time.Second))
	fmt.Fprint(w.screen, "\r", board.Cut(text, w.width-1), "\x1b[K") // a line that ended at the edge could not be erased
	w.shown++
	w.timer.Reset(between)
}

// hush takes off the screen what is shown, and shows nothing more.
func (w *patience) hush() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.timer != nil {
		w.timer.Stop()
		w.timer = nil
	}
	if w.shown > 0 {
		fmt.Fprint(w.screen, "\r\x1b[K")
		w.shown = 0
	}
}

// words say what the program does.
func (w *patience) words() string {
	name, read, total := w.file.Load(), w.read.Load(), w.total.Load()
	if name == nil || total <= 0 || read >= total {
		return "at work; Ctrl-C stops it, "
	}
	return fmt.Sprintf("%s: %d %% read; Ctrl-C stops it, ", board.Cut(*name, 30), read*100/total)
}

// reading counts what is read of a file.
func (w *patience) reading(f *os.File) io.ReadCloser {
	if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
		name := filepath.Base(f.Name())
		w.read.Store(0)
		w.total.Store(info.Size())
		w.file.Store(&name)
	}
	return &readFile{f, w}
}

type readFile struct {
	*os.File
	w *patience
}

func (c *readFile) Read(b []byte) (int, error) {
	n, err := c.File.Read(b)
	c.w.read.Add(int64(n))
	return n, err
}
