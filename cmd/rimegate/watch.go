package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// watchEvery is how often a watched folder is looked at if nobody says.
const watchEvery = 30 * time.Second

// every reads --every.
func (f *flagReader) every() time.Duration {
	if !f.has("every") {
		return watchEvery
	}
	d, err := time.ParseDuration(f.text("every"))
	if err != nil || d < 100*time.Millisecond || d > 24*time.Hour {
		f.wrong("every", quoted(f.text("every"))+" is no time between two looks", "type one like 10s, 5m or 1h")
		return watchEvery
	}
	return d
}

// watch takes each new file of a folder once, until it is interrupted, or once
// over. A file in hand is finished first. It ends well if every file was taken,
// and as refused input does if one was not.
func (p *program) watch(f *farm.Farm, dir string, once bool, every time.Duration, take func(path, name string) error) error {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return usagef("--watch: %s is no folder", dir)
	}
	taken, err := f.Taken()
	if err != nil {
		return err
	}
	ctx := context.Background()
	if !once { // else Ctrl-C ends the program there and then
		var stop context.CancelFunc
		ctx, stop = signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
		defer stop()
		p.note(fmt.Sprintf("watching %s, every %s; Ctrl-C ends it", dir, every))
	}
	var before map[string]string
	if !once {
		before = map[string]string{}
	}
	wrong := map[string]bool{} // contents that were refused
	bad := map[string]bool{}   // names of files that are still refused
	for {
		ready, now, err := farm.Arrivals(dir, before)
		if err != nil {
			return fmt.Errorf("%s can no longer be read (%w)", board.Clean(dir), cause(err))
		}
		if !once {
			before = now
		}
		fresh := 0
		for _, a := range ready {
			if ctx.Err() != nil {
				break
			}
			if taken.Has(a.Hash) || wrong[a.Hash] {
				continue
			}
			fresh++
			if err := take(a.Path, a.Name); err != nil {
				if !once && errors.Is(err, journal.ErrLocked) {
					p.fail(err) // another seat is at work; the next look tries again
					break
				}
				if st := statusOf(err); st == statusJournal || errors.Is(err, journal.ErrMissing) || st == statusFailed {
					return err // the file is not to blame; it is taken next time
				}
				wrong[a.Hash], bad[a.Name] = true, true // said once; tried again when the program starts anew
				p.fail(fmt.Errorf("%s: %w", board.Clean(a.Name), err))
				continue
			}
			delete(bad, a.Name)
			if err := taken.Add(a.Hash, a.Name, p.clock()); err != nil {
				return err
			}
		}
		if once {
			if fresh == 0 {
				fmt.Fprintln(p.out, "Nothing new in "+board.Clean(dir)+".")
			}
		} else if !sleep(ctx, every) {
			p.note("no longer watching " + dir)
		} else {
			continue
		}
		if len(bad) > 0 {
			return gateError(statusRefused)
		}
		return nil
	}
}

// sleep waits; false if it was interrupted.
func sleep(ctx context.Context, d time.Duration) bool {
	wait, done := context.WithTimeout(ctx, d)
	defer done()
	<-wait.Done()
	return ctx.Err() == nil
}
