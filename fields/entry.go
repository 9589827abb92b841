package fields

import (
	"reflect"
	"slices"
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

	// Seat is the computer that wrote the entry, as the chain it stands in says; "" where
	// one alone writes into the journal. It is no part of what the entry states.
	Seat string
}

// Signer is who signs, and the seat it was written at where there are several.
func (e *Entry) Signer() string {
	if e.Seat == "" || e.By == "" {
		return e.By
	}
	return e.By + " (" + e.Seat + ")"
}

// Kind returns the entry's kind.
func (e *Entry) Kind() Kind { return KindOf(e.Body) }

// KindOf returns the kind of entry that has such a body.
func KindOf(b Body) Kind { return planOf(b).kind }

// Body is the part of an entry that its kind decides. Left-out fields mean
// "not said", never false, none or zero: optional numbers and yes/no answers
// are pointers.
type Body interface{ isBody() }

// bare is embedded by every body.
type bare struct{}

func (bare) isBody() {}

// EventDate returns the date on which the entry's fact happened, in the farm's
// zone: the kind's own date (night, from, sampled_on, made_on), else `on`,
// else the local date of `at`; NoDate if the entry says none of them. A frost's is
// its D0, the night its last freezing hour is in: if night and ended_at disagree, the
// later night is the longer wait.
func (e *Entry) EventDate(loc *time.Location) Date {
	var d Date
	if i := planOf(e.Body).when; i >= 0 {
		d = Date(reflect.ValueOf(e.Body).Elem().Field(i).Int())
	}
	if b, ok := e.Body.(*Frost); ok && !b.EndedAt.IsZero() {
		d = max(d, NightOf(b.EndedAt, loc))
	}
	switch {
	case d != NoDate:
		return d
	case e.On == NoDate && !e.At.IsZero():
		return DateOf(e.At, loc)
	}
	return e.On
}

// Paddocks returns the ids of the paddocks the entry concerns.
func (e *Entry) Paddocks() []string { return e.named("paddock") }

// Lot returns the id of the lot the entry concerns, "" if none.
func (e *Entry) Lot() string {
	if l := e.named("lot"); len(l) > 0 {
		return l[0]
	}
	return ""
}

// named returns the short names of a sort in the entry's body.
func (e *Entry) named(sort string) (ids []string) {
	v := reflect.ValueOf(e.Body).Elem()
	for _, f := range planOf(e.Body).fields {
		if f.of != sort {
			continue
		}
		switch x := v.Field(f.index).Addr().Interface().(type) {
		case *string:
			if *x != "" {
				ids = append(ids, *x)
			}
		case *[]string:
			if ids == nil {
				ids = slices.Clip(*x)
			} else {
				ids = append(ids, *x...)
			}
		}
	}
	return ids
}
