package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// request is one run of a command: what was typed, and the farm it is asked of.
type request struct {
	*program
	*form.Answers // once read
	c             *cli.Context
	flags         *form.Kind
	farm          *farm.Farm
	view          *farm.View
	stores        bool     // what is read is to be stored
	assumes       bool     // or only assumed, of a coming day perhaps
	lately        bool     // entries of closed seasons are not needed: the command asks about today and coming days
	says          []string // what words for stock were taken for in entries
}

// read reads the journal for today, and the flags.
func (r *request) read() error {
	if err := r.load(); err != nil {
		return err
	}
	r.Answers = r.flags.Read(whatWasSaid(r.c, r.flags), r.context())
	if r.flags.Field("class") != nil && r.Has("class") && r.Has("herd") {
		r.Wrong("class", "and --herd are both given", "give one of the two")
	}
	return nil
}

// readToStore is read for a command that stores what it is told.
func (r *request) readToStore() error {
	r.stores = true
	return r.read()
}

// readAsOf is read for a question about the day or moment that the flags name.
func (r *request) readAsOf() error {
	if err := r.read(); err != nil {
		return err
	}
	return r.asOf()
}

// context is what typed words are read in. A question may count from today
// though the clock is wrong: nothing of it is stored.
func (r *request) context() form.Context {
	c := form.Context{Now: r.view.Now, Farm: r.view, Ahead: r.assumes, Line: true, Stands: func(string) bool { return sure(r.c).Figures }}
	if r.stores {
		c.Behind = r.view.Behind
	}
	return c
}

// err returns everything wrong with the words so far.
func (r *request) err() error {
	if r.stores {
		return r.Err()
	}
	return wordsWrong(r.Err())
}

// asOf reads the view of the day or moment that the flags ask about.
func (r *request) asOf() (err error) {
	q := farm.Question{On: r.Date("on"), KnownAt: r.knownAt()}
	if err := r.err(); err != nil {
		return err
	}
	if q != (farm.Question{}) {
		r.view, err = r.farm.View(q)
	}
	return err
}

// knownAt reads --known-at, a moment that has passed.
func (r *request) knownAt() time.Time {
	t := r.Time("known_at")
	if t.After(r.view.Now) && t.After(r.view.History.KnownAt) {
		r.Wrong("known_at", "has not come yet: nobody knows what will be logged by then", `type a moment that has passed, such as "yesterday 06:40"`)
	}
	return t
}

// filter reads what of an answer is asked for.
func (r *request) filter() board.Filter {
	f := board.Filter{Herd: r.Text("herd"), Paddock: r.Text("paddock")}
	var classes []hazard.Class
	for _, w := range r.List("class") {
		if c, ok := hazard.ParseClass(w); ok {
			classes = append(classes, c)
		}
	}
	if len(classes) > 0 {
		f.Classes = &classes
	}
	if u, ok := hazard.ParseUse(r.Text("use")); ok {
		f.Use = &u
	}
	return f
}

// place reads the argument of a command about one paddock or lot.
func (r *request) place() (string, error) {
	if r.c.NArg() != 1 {
		return "", usagef("`%s` takes one paddock or lot, like `%[1]s north-slough`", r.c.Command.HelpName)
	}
	id, err := r.view.PaddockOrLot(r.c.Args().First())
	return id, wordsWrong(err)
}

// onePaddock reads the argument of a command about one paddock.
func (r *request) onePaddock() string {
	ids, err := r.view.Paddocks(r.c.Args().Slice())
	switch {
	case err != nil:
		r.Failed("", err)
	case len(ids) == 0:
		r.Wrong("", "no paddock named", "type its short name behind the flags; several with commas, `all` for every one")
	case len(ids) > 1:
		r.Wrong("", "several paddocks named", "this is said of one at a time")
	default:
		return ids[0]
	}
	return ""
}

// file returns the one file a command names.
func (r *request) file(hint string) (string, error) {
	if r.c.NArg() != 1 || r.c.Args().First() == "" {
		return "", usagef("`%s` takes one file; %s", r.c.Command.HelpName, hint)
	}
	return r.c.Args().First(), nil
}

// opened opens a file that the words name; what says where they do.
func (p *program) opened(name, what string) (io.ReadCloser, error) {
	in, err := os.Open(name)
	if err != nil {
		return nil, usagef("%s%s cannot be read (%v)", what, name, cause(err))
	}
	return p.patience.reading(in), nil
}

// days reads a number of days from 1 to most; def if it is not said.
func (r *request) days(name string, def, most int) int { return farm.Days(r.Answers, name, def, most) }

// sheet is an answer that can be printed, and told to programs.
type sheet interface {
	Text(w writer, width int) error
}

// print prints an answer, or writes it as JSON if that is asked for.
func (r *request) print(x sheet, json func() ([]byte, error)) error {
	if json != nil && r.Yes("json") {
		return r.bytes(json())
	}
	err := r.painted(func(w writer) error { return x.Text(w, r.width) })
	for _, t := range r.Taken() {
		r.para("", "  ", t+".")
	}
	return err
}

// cause is an error of a file without the path, which the sentence says.
func cause(err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// folderOf refuses to write a file into a folder that is not there.
func folderOf(path string) error {
	if dir := filepath.Dir(path); !isFolder(dir) {
		return usagef("%s cannot be written: there is no folder %s", quoted(path), quoted(dir))
	}
	return nil
}

func isFolder(path string) bool {
	st, err := os.Stat(path)
	return err == nil && st.IsDir()
}
