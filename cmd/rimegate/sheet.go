package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/calendar"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
	"rimegate/hazard/board/paper"
)

// writeSheet writes a page in one form.
type writeSheet = func(io.Writer, *board.Page, paper.Look) error

func runSheet(r *request) error {
	out, tongue := r.Text("out"), r.tongue()
	folder := out != "" && (os.IsPathSeparator(out[len(out)-1]) || isFolder(out))
	form := r.sheetForm(out, folder)
	look := paper.Look{Size: paper.SizeFor(r.view.History), Large: r.Yes("large")}
	switch r.Text("paper") {
	case "letter":
		look.Size = paper.Letter
	case "a4":
		look.Size = paper.A4
	}
	if err := r.err(); err != nil {
		return err
	}
	f := r.filter()
	a, err := r.view.Naming(f.Paddock)
	if err != nil {
		return err
	}
	page := board.NewPage(a, f, tongue)
	write := paper.SheetHTML
	switch pdf, cards := form == ".pdf", r.Yes("cards"); {
	case pdf && cards:
		write = paper.CardsPDF
	case pdf:
		write = paper.SheetPDF
	case cards:
		write = paper.CardsHTML
	}
	switch {
	case folder:
		return r.sheetFolder(out, page, look)
	case out == "":
		return write(r.out, page, look)
	}
	if err := folderOf(out); err != nil {
		return err
	}
	if err := replaceSheet(out, write, page, look); err != nil {
		return err
	}
	r.say("Wrote %s: %s, %s.", out, page.Words.Farm, page.Words.Date)
	return nil
}

// sheetForm is .html or .pdf, as the flags and the name of the file say.
func (r *request) sheetForm(out string, folder bool) string {
	form := map[string]string{".html": ".html", ".htm": ".html", ".pdf": ".pdf"}[strings.ToLower(filepath.Ext(out))]
	asked := ""
	for _, name := range []string{"html", "pdf"} {
		if !r.Yes(name) {
			continue
		}
		if asked != "" {
			r.Wrong("pdf", "and --html are both given", "it is one of the two; a folder as --out gets both")
		}
		asked = "." + name
	}
	switch {
	case r.Yes("records") && !folder:
		r.Wrong("records", "are for a folder", "name one with --out, like --out ranch/")
	case folder && (asked != "" || r.Yes("cards")):
		r.Wrong("out", "is a folder, which gets the page and the cards in each form", "leave out --html, --pdf and --cards")
	case out == "" && asked == ".pdf" && r.terminal:
		r.Wrong("pdf", "is no text for a terminal", "name a file with --out, like --out today.pdf")
	case out == "" || folder:
		return asked
	case form == "":
		r.Wrong("out", quoted(out)+" does not end in .html or .pdf, and is no folder",
			"type a name like today.pdf, or end a new folder's name with /")
	case asked != "" && asked != form:
		r.Wrong("out", quoted(out)+" does not end in "+asked, "leave out --html and --pdf: the name says which it is")
	}
	return form
}

// replaceSheet writes a sheet in place of an earlier one; a file of somebody else's
// stays as it is.
func replaceSheet(path string, write writeSheet, page *board.Page, look paper.Look) error {
	var b bytes.Buffer
	if err := write(&b, page, look); err != nil {
		return err
	}
	return notOurs(farm.ReplaceOwn(path, b.Bytes(), paper.Ours))
}

// notOurs refuses where a file of that name was written by something else.
func notOurs(err error) error {
	var foreign *calendar.ForeignError
	if errors.As(err, &foreign) || errors.Is(err, farm.ErrNotOurs) {
		return refusef("%v", err)
	}
	return err
}

// recordOf writes the record of a paddock up to now.
func (r *request) recordOf(id string, w io.Writer) error {
	rec, err := r.farm.Record(farm.PastOf{ID: id})
	if err != nil {
		return err
	}
	rec.Printed = board.PrintedWords(r.view.Now, r.view.History, version())
	return paper.RecordHTML(w, rec)
}

// sheetFolder writes all of a morning into a folder, which is made where there is none.
func (r *request) sheetFolder(dir string, page *board.Page, look paper.Look) error {
	dir = filepath.Clean(dir)
	if err := folderOf(dir); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !isFolder(dir) {
		return usagef("the folder %s cannot be made (%v)", quoted(dir), cause(err))
	}
	now, err := r.farm.Lately() // the calendar is of what is known now, whatever day is asked
	if err != nil {
		return err
	}
	sheets := map[string]writeSheet{"page.pdf": paper.SheetPDF, "cards.pdf": paper.CardsPDF}
	ours := map[string]func([]byte) bool{}
	names := []string{"page.pdf", "cards.pdf"}
	if r.Yes("records") {
		for _, p := range now.History.Standing() {
			id := p.ID
			name := "record-" + id + ".html" // a short name has letters, digits, - and _ alone
			names = append(names, name)
			sheets[name] = func(w io.Writer, _ *board.Page, _ paper.Look) error { return r.recordOf(id, w) }
			ours[name] = paper.OurRecord
		}
	}
	beside := slices.Insert(slices.Clone(names), 2, "calendar.ics")
	sheets["index.html"] = func(w io.Writer, p *board.Page, look paper.Look) error {
		return paper.IndexHTML(w, p, look, beside)
	}
	names = append(names, "index.html") // last: what it names is there
	made := make([]bytes.Buffer, len(names))
	for i, name := range names { // nothing is written before all of it can be
		if err := sheets[name](&made[i], page, look); err != nil {
			return err
		}
		if ours[name] == nil {
			ours[name] = paper.Ours
		}
		if err := farm.MayReplace(filepath.Join(dir, name), ours[name]); err != nil {
			return notOurs(err)
		}
	}
	err = journal.Unbroken(func() error {
		if _, err := now.WriteCalendar(filepath.Join(dir, "calendar.ics")); err != nil {
			return err
		}
		for i, name := range names {
			if err := farm.ReplaceOwn(filepath.Join(dir, name), made[i].Bytes(), ours[name]); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return notOurs(err)
	}
	r.say("Wrote into %s: index.html, %s: %s, %s.", dir, words(beside), page.Words.Farm, page.Words.Date)
	return nil
}
