package farm

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// Rounds are the recurring checks the journal holds, those that start on a
// coming day too.
func (v *View) Rounds() []*calendar.Round {
	all := fields.Fold(v.Entries, fields.View{On: farFuture, KnownAt: v.History.KnownAt})
	return calendar.Rounds(all.Facts)
}

// CalendarError says that a calendar file could not be written, and that what
// stood there is as it was.
type CalendarError struct {
	Path string
	Err  error
}

func (e *CalendarError) Error() string {
	var foreign *calendar.ForeignError
	if errors.As(e.Err, &foreign) {
		return fmt.Sprintf("%s was left as it is: %v; name another file", e.Path, e.Err)
	}
	return fmt.Sprintf("the calendar %s could not be written: %v", e.Path, e.Err)
}

func (e *CalendarError) Unwrap() error { return e.Err }

// maxOrdinary is the largest of our own files beside the journal that is read, in bytes.
const maxOrdinary = 16 << 20

// WriteCalendar brings the calendar file up to date with the view. A file of
// an earlier export is read first, so that what moved is moved and what
// vanished is cancelled; a file that is none of ours is never written over. The
// new file takes the place of the old in one step.
func (v *View) WriteCalendar(path string) (calendar.Changed, error) {
	var none calendar.Changed
	before, err := readOrdinary(path)
	if err != nil {
		return none, &CalendarError{path, err}
	}
	name := board.Clean(v.History.Farm.Name)
	if name == "" {
		name = "Rimegate"
	}
	text, changed, err := calendar.Export(name, board.CalendarEvents(v.Assess(), v.Rounds()), before, v.Now, v.Today)
	if err != nil {
		return none, &CalendarError{path, err}
	}
	if err := journal.ReplaceFile(path, text); err != nil {
		return none, &CalendarError{path, err}
	}
	return changed, nil
}

// readOrdinary returns a file's text, nil if there is no such file. What is no
// ordinary file is not opened: a pipe would wait for ever, and a link would be
// replaced, or lead to a file nobody named.
func readOrdinary(path string) ([]byte, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, journal.Cause(err)
	case info.Mode()&fs.ModeSymlink != 0:
		return nil, &calendar.ForeignError{What: "it is a link to another file"}
	case !info.Mode().IsRegular():
		return nil, &calendar.ForeignError{What: "it is not a file of the ordinary kind"}
	case info.Size() > maxOrdinary:
		return nil, &calendar.ForeignError{What: "it is too large"}
	}
	text, err := os.ReadFile(path)
	return text, journal.Cause(err)
}
