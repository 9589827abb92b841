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

// checkWatch sees that the flags of a watch belong together, and returns the time
// between two looks.
func (r *request) checkWatch() time.Duration {
	switch {
	case r.Has("watch") && r.c.NArg() > 0:
		r.Wrong("watch", "and a file are both named", "it is one of the two")
	case r.Has("watch") && r.Yes("dry_run"):
		r.Wrong("watch", "and --dry-run are both given", "try one file with --dry-run first")
	case r.Yes("once") && !r.Has("watch"):
		r.Wrong("once", "belongs to --watch", "leave it out")
	case r.Has("every") && (!r.Has("watch") || r.Yes("once")):
		r.Wrong("every", "belongs to --watch without --once", "leave it out")
	}
	s := r.Text("every")
	if s == "" {
		return watchEvery
	}
	d, err := time.ParseDuration(s)
	if err != nil || d < 100*time.Millisecond || d > 24*time.Hour {
		r.Wrong("every", quoted(s)+" is not a time between two looks", "type one like 10s, 5m or 1h")
	}
	return d
}

// watch takes each new file of a folder once, until it is interrupted, or once
// over. A file in hand is finished first. It ends well if every file was taken,
// and as refused input does if one was not.
func (r *request) watch(dir string, once bool, every time.Duration, take func(path, name string) error) error {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return usagef("--watch: %s is not a folder", dir)
	}
	taken, err := r.farm.Taken()
	if err != nil {
		return err
	}
	ctx := context.Background()
	if !once { // else Ctrl-C ends the program there and then
		var stop context.CancelFunc
		r.patience.end() // the watch ends by itself
		ctx, stop = signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
		defer stop()
		r.note(fmt.Sprintf("watching %s, every %s; Ctrl-C ends it", dir, every))
	}
	w := &watchedFolder{dir: dir, once: once, taken: taken, take: take, wrong: map[string]bool{}, bad: map[string]bool{}}
	if !once {
		w.before = map[string]string{}
	}
	for {
		fresh, err := r.look(ctx, w)
		switch {
		case err != nil:
			return err
		case once && fresh == 0:
			fmt.Fprintln(r.out, "Nothing new in "+board.Clean(dir)+".")
		case !once && sleep(ctx, every):
			continue
		case !once:
			r.note("no longer watching " + dir)
		}
		if len(w.bad) > 0 {
			return ends(statusRefused)
		}
		return nil
	}
}

// watchedFolder is a folder and what became of its files.
type watchedFolder struct {
	dir    string
	once   bool
	taken  *farm.Taken
	take   func(path, name string) error
	before map[string]string // the files of the look before, nil for once over
	wrong  map[string]bool   // contents that were refused
	bad    map[string]bool   // names of files that are still refused
}

// look takes what is new in the folder, and says how many files that were.
func (r *request) look(ctx context.Context, w *watchedFolder) (fresh int, err error) {
	ready, now, err := farm.Arrivals(w.dir, w.before)
	if err != nil {
		return 0, fmt.Errorf("%s can no longer be read (%w)", board.Clean(w.dir), cause(err))
	}
	if !w.once {
		w.before = now
	}
	for _, a := range ready {
		if ctx.Err() != nil {
			break
		}
		if w.taken.Has(a.Hash) || w.wrong[a.Hash] {
			continue
		}
		fresh++
		err := w.take(a.Path, a.Name)
		status := statusOf(err)
		switch {
		case err == nil:
			delete(w.bad, a.Name)
			if err := w.taken.Add(a.Hash, a.Name, r.clock()); err != nil {
				return fresh, err
			}
		case !w.once && errors.Is(err, journal.ErrLocked):
			r.fail(err) // another seat is at work; the next look tries again
			return fresh, nil
		case status == statusJournal, status == statusFailed, errors.Is(err, journal.ErrMissing):
			return fresh, err // the file is not to blame; it is taken next time
		default:
			w.wrong[a.Hash], w.bad[a.Name] = true, true // said once; tried again when the program starts anew
			r.fail(fmt.Errorf("%s: %w", board.Clean(a.Name), err))
		}
	}
	return fresh, nil
}

// sleep waits; false if it was interrupted.
func sleep(ctx context.Context, d time.Duration) bool {
	wait, done := context.WithTimeout(ctx, d)
	defer done()
	<-wait.Done()
	return ctx.Err() == nil
}
