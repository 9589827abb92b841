package fields

import (
	"time"
)

// Entry is one fact of the journal. Entries are never changed: a mistake is
// struck by a later entry.
type Entry struct {
	ID       string    // ULID, 26 characters; the entry's identity everywhere
	Recorded time.Time // instant it was written down
	By       string    // who signs
	On       Date      // event date, where the kind has no date of its own
	At       time.Time // instant of the event, when an hour is known
	Note     string
	Batch    string // ULID of the import that brought it, "" for none
	Body     Body
}

// Kind returns the entry's kind.
func (e *Entry) Kind() Kind { return e.Body.Kind() }

// Body is the part of an entry that its kind decides. Left-out fields mean
// "not said", never false, none or zero: optional numbers and yes/no answers
// are pointers.
type Body interface {
	Kind() Kind
	// when returns the event date the kind itself carries, NoDate if none.
	when(loc *time.Location) Date
	// places returns the paddocks and lots the entry concerns.
	places() (paddocks []string, lot string)
}

// EventDate returns the date on which the entry's fact happened, in the farm's
// zone: the kind's own date (night, from, sampled_on, made_on), else `on`,
// else the local date of `at`; NoDate if the entry says none of them.
func (e *Entry) EventDate(loc *time.Location) Date {
	if d := e.Body.when(loc); d != NoDate {
		return d
	}
	if e.On != NoDate {
		return e.On
	}
	if !e.At.IsZero() {
		return DateOf(e.At, loc)
	}
	return NoDate
}

// Paddocks returns the ids of the paddocks the entry concerns.
func (e *Entry) Paddocks() []string { p, _ := e.Body.places(); return p }

// Lot returns the id of the lot the entry concerns, "" if none.
func (e *Entry) Lot() string { _, l := e.Body.places(); return l }

// bare is embedded by bodies without a date or place of their own.
type bare struct{}

func (bare) when(*time.Location) Date   { return NoDate }
func (bare) places() ([]string, string) { return nil, "" }

func one(p string) []string {
	if p == "" {
		return nil
	}
	return []string{p}
}
