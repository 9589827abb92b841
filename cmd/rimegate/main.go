// Command rimegate answers, per paddock, use and class of stock, HOLD, CAUTION
// or CLEAR for forage poisons, from a journal of what happened on the land.
//
// This package parses words, calls package farm and prints; it decides nothing.
package main

import (
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"sync/atomic"
	"time"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"rimegate/fields/form"
	"rimegate/hazard/board"
)

func main() {
	delayCollection()
	os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr))
}

// delayCollection puts the first collection of garbage off until 64 MB are in use, so that most
// farms' commands end without one; after it they come as often as collectAt says.
func delayCollection() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(1600)
		collectAt.Store(200)
		runtime.AddCleanup(new([64]byte), func(int) { debug.SetGCPercent(int(collectAt.Load())) }, 0)
	}
}

// collectAt is by how many percent what is in use grows before garbage is collected again.
var collectAt atomic.Int32

// streamCollectAt is that of answers that are streamed: a district's entries are large, and each
// answer is garbage soon.
const streamCollectAt = 40

// program is what one run of the command knows of its surroundings.
type program struct {
	in       io.Reader
	out, err io.Writer
	clock    func() time.Time
	terminal bool // standard output is a terminal
	colour   bool // escapes may be written to it
	width    int  // cells of a line
	patience patience
	errWidth int // cells of a line of standard error, 0 if that is no terminal
}

// plainWidth is the width of a line where nobody says how wide the paper is.
const plainWidth = 80

// run runs the program once and returns its exit status.
func run(args []string, in io.Reader, out, errOut io.Writer) int {
	return runWide(plainWidth, 0, args, in, out, errOut)
}

// runWide is run with lines of these widths, where it writes to no terminal.
func runWide(width, errWidth int, args []string, in io.Reader, out, errOut io.Writer) (status int) {
	sure := &sureWriter{w: out}
	p := &program{in: in, out: sure, err: errOut, clock: time.Now, width: width, errWidth: errWidth}
	defer func() {
		if r := recover(); r != nil { // no answer is better than half of one
			fmt.Fprintf(errOut, "rimegate: the program failed and decided nothing (%s); please report what you typed.\n", board.Clean(fmt.Sprint(r)))
			status = statusFailed
		}
	}()
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.terminal = true
		p.colour = os.Getenv("NO_COLOR") == "" && escapes(f)
		p.width = widthOf(f)
	}
	if f, ok := errOut.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.errWidth = widthOf(f)
		p.patience.shownOn(f, p)
	}
	if now := os.Getenv("RIMEGATE_NOW"); now != "" { // for tests and scripted demos
		t, err := time.Parse(time.RFC3339, now)
		if err != nil {
			return p.fail(usagef("RIMEGATE_NOW is %q; it must be an instant like 2026-10-06T06:52:00-06:00", now))
		}
		p.clock = func() time.Time { return t }
	}
	if askedForVersion(args) { // no table of commands is made for that
		printVersion(p.out)
		return p.fail(p.cutShort(nil))
	}
	if before, last, ok := completionAsked(args); ok {
		for _, l := range complete(newApp(p), p.namesIn, before, last) {
			fmt.Fprintln(p.out, l)
		}
		return statusDone
	}
	return p.fail(p.cutShort(appOf(p, namedIn(args)).Run(args)))
}

// cutShort returns err, or that not all could be written: a list cut short must not
// pass for a whole one.
func (p *program) cutShort(err error) error {
	if sure, ok := p.out.(*sureWriter); ok && sure.failed != nil {
		err = fmt.Errorf("the answer could not be written in full (%w); `rimegate history` shows what is stored", cause(sure.failed))
	}
	return err
}

// widthOf is how many cells a line of a terminal has.
func widthOf(f *os.File) int {
	if w, _, err := term.GetSize(int(f.Fd())); err == nil && w >= 40 {
		return w
	}
	return plainWidth
}

// sureWriter remembers the first error of writing, so that no caller need.
type sureWriter struct {
	w      io.Writer
	failed error
}

func (s *sureWriter) Write(b []byte) (int, error) {
	if s.failed != nil {
		return 0, s.failed
	}
	n, err := s.w.Write(b)
	s.failed = err
	return n, err
}

func newApp(p *program) *cli.App { return appOf(p, form.Any) }

// appOf is newApp with no more of the commands that are not wanted than a list of them shows.
func appOf(p *program, wanted func(name string) bool) *cli.App {
	cli.VersionPrinter = func(*cli.Context) { printVersion(p.out) }
	top, table := programTable(wanted)
	app := &cli.App{
		Name:                  programName,
		HelpName:              programName,
		Usage:                 top.Says,
		UsageText:             top.Args,
		Description:           top.Help,
		Version:               version(),
		HideHelpCommand:       true,
		Reader:                p.in,
		Writer:                &lineBreaker{p: p},
		ErrWriter:             p.err,
		CustomAppHelpTemplate: appHelp,
		ExitErrHandler:        func(*cli.Context, error) {}, // run decides on the status
		Action:                func(c *cli.Context) error { return runScreens(p, c, false) },
		Commands:              commands(p, table, wanted),
	}
	guard(app)
	return app
}
