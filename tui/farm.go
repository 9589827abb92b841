package tui

import (
	"time"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Farm is all the screens know of the world. Every method may wait for a disk
// or a lock and is only called from the loader goroutine. Errors are plain
// sentences; refused entries are a fields.Problems.
type Farm interface {
	// Revision changes whenever the journal does. It is cheap: it is asked every
	// two seconds.
	Revision() (uint64, error)
	// Read answers for the farm's today with everything known now.
	Read() (*Answer, error)
	// Days answers for each day from one through another with everything known
	// now, in order, until each returns false. A coming day holds if nothing else
	// happens than what is assumed: entries, possibly of coming days, that are checked
	// and stored nowhere. It returns what must be said of those. An assessment must not
	// be kept: a season of them is large.
	Days(from, to fields.Date, assumed []fields.Entry, each func(*hazard.Assessment) bool) ([]string, error)
	// Log checks entries and stores them in one step; with dryRun it does everything but
	// that. What is asked about is refused unless the person stands by it.
	Log(entries []fields.Entry, dryRun, stands bool) (*Outcome, error)
	// Import reads a file as the form of imports says, says what is in it and what it
	// would change, and stores nothing; Outcome.Store does.
	Import(said form.Said) (*Outcome, error)
	// Blend works a blend out as its form says; the words are made for a width.
	Blend(said form.Said) (words func(width int) string, err error)
	// Files are the paths that begin as typed, a folder's with a separator at its end.
	Files(typed string) ([]string, error)
	// Past returns the entries of a paddock's land or of a lot in order, struck
	// ones too.
	Past(id string) ([]board.Past, error)
	// Moves works out where each herd can stand today and in the coming days; the
	// words are made for a width, which waits for nothing.
	Moves() (words func(width int) string, err error)
	// Rules returns the rulebook in words.
	Rules() ([]Rule, error)
}

// Answer is one reading of the journal with what it means today.
type Answer struct {
	*hazard.Assessment
	Today    fields.Date
	Now      time.Time // in farm time
	Revision uint64
	Rounds   []board.RoundRow  // recurring checks, as they stand today
	Notes    []string          // what a person should know of this reading
	Behind   string            // why nobody knows what day is today, "" if it is known
	Offer    map[string]string // what the form of a farm that begins shows typed, by field: what the computer says
	Begins   string            // that there is no journal yet and where it will be, "" if there is one
	Ask      Asker
}

// Asker answers what forms ask while they are filled in. It waits for nothing.
type Asker interface {
	form.Farm
	// FrostOnFile is the first night from the first through the last for which
	// something on file stands above a statement that there was no frost in the
	// paddock, and what; NoDate if there is none.
	FrostOnFile(paddock string, first, last fields.Date) (fields.Date, string)
}

// Outcome is what became of entries, or would become of them.
type Outcome struct {
	Entries       []fields.Entry
	Notes         []string // what must be said aloud, such as an unknown plant
	Before, After *hazard.Assessment
	// Of a file: what was found in it, instead of its many entries, and what stores it.
	Told  []string
	Store func() (*Outcome, error)
}

// Rule is one rule of the rulebook in words.
type Rule struct {
	ID, Value, Title string
	More             []string // labelled lines: what it governs, its sources, ...
	Relaxed          string   // the farm's own less cautious value, "" if none
}
