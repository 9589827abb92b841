package main

import (
	"io"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
	"rimegate/hazard/board/paper"
)

func runRecord(r *request) error {
	if r.Yes("html") && r.Yes("pdf") {
		r.Wrong("pdf", "and --html are both given", "it is one of the two")
	}
	of := farm.PastOf{From: r.Date("from"), To: r.Date("to"), KnownAt: r.knownAt()}
	if of.To > r.view.Today {
		r.Wrong("to", "has not come yet", "a record is of days that are over: leave out --to for today")
	}
	id, err := r.place()
	if err == nil {
		err = r.err()
	}
	if err != nil {
		return err
	}
	of.ID = id
	rec, err := r.farm.Record(of)
	if err != nil {
		return wordsWrong(err)
	}
	rec.Printed = board.PrintedWords(r.view.Now, r.view.History, version())
	write := func(w io.Writer) error { return rec.Text(w, r.width) }
	switch {
	case r.Yes("html"):
		write = func(w io.Writer) error { return paper.RecordHTML(w, rec) }
	case r.Yes("pdf"):
		write = func(w io.Writer) error { return paper.RecordPDF(w, rec, paper.SizeFor(r.view.History)) }
	}
	out := r.Text("out")
	if out == "" {
		if r.Yes("pdf") && r.terminal {
			return usagef("a PDF is no text for a terminal; name a file with --out, like --out %s.pdf", id)
		}
		return write(r.out)
	}
	if err := journal.NewFile(out, write); err != nil {
		return err
	}
	r.say("Wrote %s: the record of %s, digest %s.", out, rec.Name, rec.Digest())
	return nil
}
