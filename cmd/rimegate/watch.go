package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// watchEvery is how often a watched folder is looked at.
const watchEvery = 30 * time.Second

// watch takes each new file of a folder once, until it is interrupted, or once
// over.
func (p *program) watch(f *farm.Farm, dir string, once bool, take func(path, name string) error) error {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return usagef("--watch: %s is no folder", dir)
	}
	taken, err := f.Taken()
	if err != nil {
		return err
	}
	if !once {
		p.note(fmt.Sprintf("watching %s, every %d seconds; Ctrl-C ends it", dir, int(watchEvery.Seconds())))
	}
	var before map[string]string
	if !once {
		before = map[string]string{}
	}
	wrong := map[string]bool{}
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
			if taken.Has(a.Hash) || wrong[a.Hash] {
				continue
			}
			fresh++
			if err := take(a.Path, a.Name); err != nil {
				if st := statusOf(err); st == statusJournal || errors.Is(err, journal.ErrMissing) || st == statusFailed {
					return err // the file is not to blame; it is taken next time
				}
				wrong[a.Hash] = true // said once; tried again when the program starts anew
				p.fail(fmt.Errorf("%s: %w", board.Clean(a.Name), err))
				continue
			}
			if err := taken.Add(a.Hash, a.Name, p.clock()); err != nil {
				return err
			}
		}
		if once {
			if fresh == 0 {
				fmt.Fprintln(p.out, "Nothing new in "+board.Clean(dir)+".")
			}
			if len(wrong) > 0 {
				return gateError(statusRefused)
			}
			return nil
		}
		time.Sleep(watchEvery)
	}
}
