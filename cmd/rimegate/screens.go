package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"github.com/urfave/cli/v2"
	"golang.org/x/term"

	"rimegate/hazard/board"
	"rimegate/tui"
)

// runScreens opens the screens on a terminal; elsewhere it shows the help.
func runScreens(p *program, c *cli.Context, setUp bool) error {
	in, ok := p.in.(*os.File)
	if !p.terminal || !ok || !term.IsTerminal(int(in.Fd())) {
		return cli.ShowAppHelp(c)
	}
	if os.Getenv("TERM") == "dumb" {
		return usagef("this terminal (TERM=dumb) cannot show screens; `rimegate today` prints the same list")
	}
	r := &request{program: p, c: c}
	if err := r.open(); err != nil {
		return err
	}
	f := r.farm
	// A hang-up or an end by the system puts the terminal in order too.
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	err := tui.Run(ctx, f.ForScreens(), tui.Options{Theme: tui.LookAt(p.colour), SetUp: setUp})
	var crash *tui.CrashError
	if errors.As(err, &crash) {
		for _, t := range crash.Typed {
			fmt.Fprintln(p.err, "rimegate: not saved: "+board.Clean(t))
		}
		return fmt.Errorf("%w; the journal holds all that was stored, so start again, and please report what you did", err)
	}
	return err
}
