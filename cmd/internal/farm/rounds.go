package farm

import (
	"errors"
	"fmt"
	"io"
	"os"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// Rounds are the recurring checks the journal holds, those that start on a
// coming day too.
func (f *Farm) Rounds(v *View) []*calendar.Round {
	all := fields.Fold(v.Entries, fields.View{On: farFuture, KnownAt: v.History.KnownAt})
	return calendar.Rounds(all.Facts)
}

// round refuses a round whose rule cannot be worked out, and a done of a round
// that nobody set up.
func (c *checker) round(e *fields.Entry) {
	switch b := e.Body.(type) {
	case *fields.Round:
		rule, err := calendar.ParseRule(b.RRule)
		if err == nil {
			err = rule.Rare(e.EventDate(c.v.Loc))
		}
		if err != nil {
			c.refuse("rrule", err.Error(), "")
		}
	case *fields.Done:
		if b.Round == "" {
			return
		}
		var have []named
		for i := range c.v.Entries {
			r, ok := c.v.Entries[i].Body.(*fields.Round)
			if _, struck := c.v.History.Struck[c.v.Entries[i].ID]; !ok || struck {
				continue
			}
			if calendar.Key(r.Name) == calendar.Key(b.Round) {
				return
			}
			have = append(have, named{id: board.Clean(r.Name)})
		}
		_, err := find("round", b.Round, "rimegate log round", have)
		if err == nil {
			return
		}
		c.refuseErr("round", err)
	}
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

// maxCalendar is the largest calendar file that is read, in bytes.
const maxCalendar = 16 << 20

// WriteCalendar brings the calendar file up to date with the view. A file of
// an earlier export is read first, so that what moved is moved and what
// vanished is cancelled; a file that is none of ours is never written over. The
// new file takes the place of the old in one step.
func (f *Farm) WriteCalendar(v *View, path string) (calendar.Changed, error) {
	var none calendar.Changed
	before, err := readCalendar(path)
	if err != nil {
		return none, &CalendarError{path, err}
	}
	name := board.Clean(v.History.Farm.Name)
	if name == "" {
		name = "Rimegate"
	}
	text, changed, err := calendar.Export(name, board.CalendarEvents(v.Assess(), f.Rounds(v)), before, v.Now, v.Today)
	if err != nil {
		return none, &CalendarError{path, err}
	}
	if err := journal.ReplaceFile(path, text); err != nil {
		return none, &CalendarError{path, err}
	}
	return changed, nil
}

// readCalendar returns the file's text, nil if there is no such file. What is no
// ordinary file is not opened: a pipe would wait for ever, and a link would be
// replaced by the calendar, or lead to a file nobody named.
func readCalendar(path string) ([]byte, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, plainCause(err)
	case info.Mode()&os.ModeSymlink != 0:
		return nil, &calendar.ForeignError{What: "it is a link to another file"}
	case !info.Mode().IsRegular():
		return nil, &calendar.ForeignError{What: "it is not a file of the ordinary kind"}
	}
	in, err := os.Open(path)
	if err != nil {
		return nil, plainCause(err)
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, maxCalendar+1))
	if err != nil {
		return nil, plainCause(err)
	}
	if len(text) > maxCalendar {
		return nil, &calendar.ForeignError{What: "it is too large"}
	}
	if text == nil {
		text = []byte{}
	}
	return text, nil
}

// plainCause takes the system's words without the call and path around them.
func plainCause(err error) error {
	var path *os.PathError
	var link *os.LinkError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}
