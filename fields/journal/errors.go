package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

// Errors of this package match one of these with errors.Is; their own text is
// one plain sentence: what is wrong, where, and what to do.
var (
	ErrMissing = errors.New("there is no journal")
	ErrExists  = errors.New("the file exists already")
	ErrLocked  = errors.New("the journal is in use")
	// ErrNewer is matched by the DamagedError of a journal that a newer
	// version of the program wrote: nothing is wrong with the file.
	ErrNewer = errors.New("the journal has a newer schema")
)

// sentence is an error of a known sort with its own words.
type sentence struct {
	of   error
	text string
}

func (e *sentence) Error() string { return e.text }

func (e *sentence) Is(target error) bool {
	return target == e.of || e.of == ErrMoved && target == ErrLocked
}

func missing(path string) error {
	return &sentence{ErrMissing, fmt.Sprintf("there is no journal at %s; check the path, or set up the farm to start a new one", shown(path))}
}

func exists(path string) error {
	return &sentence{ErrExists, fmt.Sprintf("%s is there already and was left as it is; choose another name", shown(path))}
}

func locked(path string) error {
	return &sentence{ErrLocked, fmt.Sprintf("the journal %s is in use by another program, so nothing was done; try again in a moment", shown(path))}
}

// ErrMoved is matched, as is ErrLocked, by the error of an AppendTo that found
// another program's entries.
var ErrMoved = errors.New("the journal has moved on")

func moved(path string) error {
	return &sentence{ErrMoved, fmt.Sprintf("others keep writing into the journal %s, so nothing was stored; try again in a moment", shown(path))}
}

// DamagedError says that a file is no journal this program can trust. The file
// was not changed.
type DamagedError struct {
	Path string
	What string // what is wrong, and what to do where it is not the usual advice

	newer bool
}

func (e *DamagedError) Error() string {
	if e.newer {
		return fmt.Sprintf("the journal %s was not opened: %s", shown(e.Path), e.What)
	}
	return fmt.Sprintf("the journal %s is damaged: %s; the file was left as it is, so keep it and go back to the last copy", shown(e.Path), e.What)
}

// Is makes a journal of a newer schema match ErrNewer.
func (e *DamagedError) Is(target error) bool { return target == ErrNewer && e.newer }

func damaged(path, format string, args ...any) *DamagedError {
	return &DamagedError{Path: path, What: fmt.Sprintf(format, args...)}
}

// ConflictError says that two entries have one id and differ. Nothing was stored.
type ConflictError struct {
	ID      string
	Present fields.Entry // the entry that stands, or came first
	Coming  fields.Entry // the one that was to be added
	More    int          // further ids in the same conflict
}

func (e *ConflictError) Error() string {
	more := ""
	if e.More > 0 {
		more = fmt.Sprintf(" (and %d more like it)", e.More)
	}
	return fmt.Sprintf("entry %s stands in the journal as %s and comes in as %s, and they differ in %s%s; nothing was stored, so find out which is right and say so with --keep ours or --keep theirs, or keep both",
		e.ID, inWords(&e.Present), inWords(&e.Coming), strings.Join(e.Fields(), ", "), more)
}

// Fields returns the names of the fields in which the two entries differ.
func (e *ConflictError) Fields() []string {
	var a, b map[string]json.RawMessage
	_ = json.Unmarshal(fields.Encode(&e.Present), &a)
	_ = json.Unmarshal(fields.Encode(&e.Coming), &b)
	all := maps.Clone(a)
	maps.Copy(all, b)
	maps.DeleteFunc(all, func(name string, _ json.RawMessage) bool { return string(a[name]) == string(b[name]) })
	return slices.Sorted(maps.Keys(all))
}

// inWords names an entry by kind, date, signer and the moment it was recorded.
func inWords(e *fields.Entry) string {
	when := e.On
	if d := e.EventDate(e.Recorded.Location()); d != fields.NoDate {
		when = d
	}
	return fmt.Sprintf("%q of %s by %s, recorded %s", string(e.Kind()), when.Words(), strconv.Quote(e.By), e.Recorded.Format("2006-01-02 15:04:05 -07:00"))
}

// notWritten wraps an error of the disk during a commit.
func notWritten(path string, err error) error {
	return fmt.Errorf("the journal %s could not be written (%w); look whether the entries are in it before adding them again", shown(path), Cause(err))
}

func notRead(path string, err error) error {
	return fmt.Errorf("the journal %s could not be read (%w); check the disk and your rights to the file", shown(path), Cause(err))
}

// Cause strips the call and the paths of an error, which the sentence around
// it says already.
func Cause(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	if m := bboltsWords().FindStringSubmatch(fmt.Sprint(err)); m != nil {
		return errors.New(m[1])
	}
	return err
}

// bboltsWords are those in which bbolt keeps of an error of the disk no more than its words.
var bboltsWords = lazy.Regexp(`^(?:meta [01] copy|file resize error|file sync error): .*: (.*)$`)

// shown returns a path fit for a sentence: as it is, or quoted if it holds
// anything that must not reach a terminal.
func shown(path string) string {
	if path == "" || strings.IndexFunc(path, func(r rune) bool { return !unicode.IsPrint(r) }) >= 0 {
		return strconv.Quote(path)
	}
	return path
}
