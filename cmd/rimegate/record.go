package main

import (
	"io"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
	"rimegate/hazard/board/paper"
)

// maxRecord is the most that is read of a printed record, in bytes.
const maxRecord = 64 << 20

func runRecord(r *request) error {
	if r.Yes("html") && r.Yes("pdf") {
		r.Wrong("pdf", "and --html are both given", "it is one of the two")
	}
	if path := r.Text("verify"); path != "" {
		return r.verifyRecord(path)
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
	write := rec.Text
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

// verifyRecord holds a printed record against the journal. Its status is 0 only where the
// file says what the journal said then and says now.
func (r *request) verifyRecord(path string) error {
	for _, name := range []string{"from", "to", "known_at", "html", "pdf", "out"} {
		if r.Has(name) {
			r.Wrong(name, "and --verify are both given", "the file says itself what it is the record of")
		}
	}
	if r.c.NArg() > 0 {
		r.Wrong("verify", "takes one file and no paddock or lot", "the file says itself what it is the record of")
	}
	if err := r.err(); err != nil {
		return err
	}
	in, err := r.opened(path, "--verify: ")
	if err != nil {
		return err
	}
	defer in.Close()
	b, err := io.ReadAll(io.LimitReader(in, maxRecord))
	if err != nil {
		return usagef("--verify: %s cannot be read (%v)", path, cause(err))
	}
	text, err := paper.Plain(b)
	if err != nil {
		return refusef("%s %w", quoted(path), board.ErrNoRecord)
	}
	p, err := board.ReadRecord(text)
	if err != nil {
		return refusef("%s %w", quoted(path), err)
	}
	if !p.Whole() {
		return refusef("%s was changed after it was printed: its words do not make the digest printed below them",
			quoted(path))
	}
	of := farm.PastOf{ID: p.ID, From: p.From, To: p.To, KnownAt: p.Known}
	then, err := r.farm.Record(of)
	if err != nil {
		return refusef("%s cannot be checked against this journal: %v", quoted(path), err)
	}
	then.Printed = p.Printed
	if differs := p.Differs(then); len(differs) > 0 {
		r.say("%s agrees with its own digest, but not with this journal. Either the journal says otherwise now of what "+
			"was logged by %s, or the file was never printed from it.", path, then.KnownAt)
		return r.otherwise(differs)
	}
	if shows, err := paper.Shows(b, then); err != nil {
		return err
	} else if !shows {
		return refusef("%s was changed, or printed by another version of the program (%s This one is %s): the text "+
			"inside matches the journal, the page around it is not the page of that text",
			quoted(path), p.Printed, version())
	}
	r.say("%s matches the journal as it was known then, on %s.", path, then.KnownAt)
	now, err := r.farm.Record(farm.PastOf{ID: p.ID, From: p.From, To: p.To})
	if err != nil {
		return err
	}
	since := now.Since(then)
	if len(since) == 0 {
		r.say("Nothing that bears on it was logged since.")
		return nil
	}
	r.say("The journal now says otherwise; this came later:")
	return r.otherwise(since)
}

// otherwise lists what differs, and ends with the status of what was refused.
func (r *request) otherwise(list []string) error {
	for _, x := range list {
		r.para("  ", "    ", x)
	}
	return ends(statusRefused)
}
