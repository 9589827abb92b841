package farm

import (
	"cmp"
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

// maxOrdinary is the largest of our own files beside the journal that is read, in bytes.
const maxOrdinary = 16 << 20

// WriteCalendar brings the calendar file up to date with the view. A file of
// an earlier export is read first, so that what moved is moved and what
// vanished is cancelled; a file that is none of ours is never written over. The
// new file takes the place of the old in one step.
func (v *View) WriteCalendar(path string) (calendar.Changed, error) {
	before, err := readOrdinary(path)
	var text []byte
	var changed calendar.Changed
	if err == nil {
		name := cmp.Or(board.Clean(v.History.Farm.Name), "Rimegate")
		text, changed, err = calendar.Export(name, board.CalendarEvents(v.Assess(), v.Rounds()), before, v.Now, v.Today)
	}
	if err == nil {
		err = journal.ReplaceFile(path, text)
	}
	var foreign *calendar.ForeignError
	switch {
	case errors.As(err, &foreign):
		return calendar.Changed{}, fmt.Errorf("%s was left as it is: %w; name another file", path, err)
	case err != nil:
		return calendar.Changed{}, fmt.Errorf("the calendar %s could not be written: %w", path, err)
	}
	return changed, nil
}

// ErrNotOurs is of a file that this program did not write, and so does not write over.
var ErrNotOurs = errors.New("it was not written by this program")

// ReplaceOwn writes a file, in one step, in place of an earlier one of the program's
// own. What has its name and is none of ours is left as it is.
func ReplaceOwn(path string, text []byte, ours func([]byte) bool) error {
	err := MayReplace(path, ours)
	if err == nil {
		if err = journal.ReplaceFile(path, text); err != nil {
			err = fmt.Errorf("%s could not be written: %w", path, err)
		}
	}
	return err
}

// MayReplace says why a file would not be written over, nil if it would.
func MayReplace(path string, ours func([]byte) bool) error {
	before, err := readOrdinary(path)
	if err == nil && before != nil && !ours(before) {
		err = ErrNotOurs
	}
	var foreign *calendar.ForeignError
	if errors.As(err, &foreign) {
		err = fmt.Errorf("%w (%s)", ErrNotOurs, foreign.What)
	}
	switch {
	case errors.Is(err, ErrNotOurs):
		return fmt.Errorf("%s was left as it is: %w; name another file", path, err)
	case err != nil:
		return fmt.Errorf("%s could not be read: %w", path, err)
	}
	return nil
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
		return nil, &calendar.ForeignError{What: "it is not an ordinary file"}
	case info.Size() > maxOrdinary:
		return nil, &calendar.ForeignError{What: "it is too large"}
	}
	text, err := os.ReadFile(path)
	return text, journal.Cause(err)
}
