package share

import (
	"time"

	"rimegate/fields/journal"
)

// Seat is one seat of a farm, and how it gets to the others.
type Seat struct {
	Settings
	Store   *journal.Store
	Clock   func() time.Time
	Program string // which reads: another one reads again what this one could not
}

// Report is what an exchange did.
type Report struct {
	Sent    int
	Kept    int // entries that the server does not take
	Taken   journal.ImportReport
	Aside   []Aside
	Skipped int      // messages that are none
	Unread  int      // messages of the stream that a newer program may read
	Says    []string // sentences on those
	Server  time.Time
}

// Held is what a farm's stream holds.
type Held struct {
	journal.Gathered
	*Report
	Last time.Time // when the newest message came, by the server's clock
	Lost uint64    // messages that are no longer there
}

// Error is an exchange that failed, in one plain sentence.
type Error struct {
	text string
	err  error
}

func (e *Error) Error() string { return e.text }

func (e *Error) Unwrap() error { return e.err }
