package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// settle reads --keep: how the journal settles an id with two contents.
func (r *request) settle() error {
	word, ok := value(r.c, "keep")
	if !ok {
		return nil
	}
	keep := journal.Keep(strings.ToLower(strings.TrimSpace(word)))
	switch keep {
	case journal.KeepOurs, journal.KeepTheirs, journal.KeepBoth:
	default:
		return usagef("--keep: %s is none of the choices; type ours, theirs or both", quoted(word))
	}
	if r.farm.By == "" {
		return usagef("--by: nobody signs for it; type --by NAME before the command")
	}
	v, err := r.farm.View(farm.Question{})
	if err != nil {
		return err
	}
	r.farm.Store().Settle = &journal.Settle{Keep: keep, By: r.farm.By, At: v.Now, On: v.Today}
	return nil
}

func runCheck(r *request) error {
	found, err := r.farm.Check()
	if err != nil {
		return err
	}
	if found.Whole() { // then it can be read, and its rules of days too
		v, err := r.farm.View(farm.Question{})
		if err != nil {
			return err
		}
		for _, x := range v.Rounds() {
			if x.Err != nil {
				found.Findings = append(found.Findings, journal.Finding{
					Check: "rounds", Entry: x.Entry, Text: fmt.Sprintf("the rule of the round %q cannot be read: %v", x.Name, x.Err),
				})
			}
		}
	}
	for _, x := range found.Findings {
		word, where := "remark", ""
		if x.Grave {
			word = "DAMAGE"
		}
		if x.Entry != "" {
			where = " (entry " + x.Entry + ")"
		}
		r.para(word+": ", "  ", x.Text+where)
	}
	if !found.Whole() {
		return &journal.DamagedError{Path: r.farm.Store().Path, What: "the findings say where"}
	}
	fmt.Fprintf(r.out, "The journal is whole: %s, %s.\n", entriesOf(found.Entries), counted(len(found.Findings), "remark", "remarks"))
	return nil
}

func entriesOf(n int) string { return counted(n, "entry", "entries") }

func runCopy(r *request) error {
	to, err := r.file("type a name for the copy")
	if err != nil {
		return err
	}
	made, err := r.farm.Store().Copy(to)
	if err != nil {
		return err
	}
	r.say("Copied and read back: %s, %s, %d bytes.", made.Path, entriesOf(made.Entries), made.Bytes)
	return nil
}

func runExport(r *request) error {
	if r.c.NArg() == 0 || r.c.Args().First() == "-" {
		_, err := r.farm.Store().Export(r.out)
		return err
	}
	to, err := r.file("or none, to write on standard output")
	if err != nil {
		return err
	}
	var n int
	err = journal.NewFile(to, func(w io.Writer) (err error) { n, err = r.farm.Store().Export(w); return err })
	if err != nil {
		return err
	}
	r.say("Exported %s to %s.", entriesOf(n), to)
	return nil
}

func runSalvage(r *request) error {
	to, err := r.file("type a name for the new file")
	if err != nil {
		return err
	}
	var saved journal.SalvageReport
	err = journal.NewFile(to, func(w io.Writer) (err error) { saved, err = r.farm.Store().Salvage(w); return err })
	if err != nil {
		return err
	}
	r.say("Salvaged %s to %s.", counted(saved.Proven, "proven entry", "proven entries"), to)
	if saved.Unsaid {
		r.para("", "  ", "No record beside the journal says how far it was written, so entries at its end may be missing without a trace.")
	}
	if saved.Whole() {
		if !saved.Unsaid {
			r.para("", "  ", "Nothing that was logged is missing from it.")
		}
		return nil
	}
	if n := len(saved.Traces); n > 0 {
		r.say("Of %s something is left but no proof; log those facts again by hand, and until then treat every paddock as NO:",
			counted(n, "more entry", "more entries"))
		for _, t := range saved.Traces {
			r.para("  ", "    ", t.ID)
			for _, x := range t.Texts {
				r.para("    ", "      ", x)
			}
		}
	}
	if saved.Places > 0 {
		r.say("Of %s nothing is left but the place in its chain; some of them may be among those named above. "+
			"Ask whoever logs on that computer, and look into the last copy and export:", entriesOf(int(min(saved.Places, 1<<31-1))))
		for _, x := range saved.Missing {
			r.para("  ", "    ", x.String())
		}
	}
	r.note("entries are missing from " + to + ", as listed; the journal made of it will say so until `rimegate journal accept`")
	return ends(statusJournal)
}

// runAccept takes over the answer for entries that are missing.
func runAccept(r *request) error {
	because, _ := value(r.c, "because")
	switch {
	case strings.TrimSpace(because) == "":
		return refusef("--because: is missing; say why the journal is to be used without the entries")
	case r.farm.By == "":
		return usagef("--by: nobody signs for it; type --by NAME before the command")
	}
	gaps, err := r.farm.Store().Accept(r.farm.By, because, r.clock())
	if err != nil {
		return err
	}
	if len(gaps) == 0 {
		return refusef("nothing is known to be missing from %s that was not accepted before", r.farm.Store().Path)
	}
	for i := range gaps {
		r.para("Accepted: ", "  ", gaps[i].Words(func(string) bool { return false }))
	}
	r.para("", "  ", "Log again what you know of them, and until then treat what they may have said as not known.")
	return nil
}

func runJournalImport(r *request) error {
	from, err := r.file("- is standard input")
	if err != nil {
		return err
	}
	in := r.in
	if from == "-" {
		r.patience.hush() // somebody may be typing
	} else {
		file, err := r.opened(from, "")
		if err != nil {
			return err
		}
		defer file.Close()
		in = file
	}
	head := bufio.NewReader(in)
	begins, _ := head.Peek(512)
	if _, kind := value(r.c, "kind"); kind || farm.IsSheet(begins) {
		return r.takeSheet(from, head)
	}
	if len(bytes.TrimSpace(begins)) == 0 {
		return refusef("%s is empty; nothing was stored", from)
	}
	for _, name := range []string{"date-order", "as-said", "as-printed", "as-read", "dry-run"} {
		if r.c.IsSet(name) {
			return usagef("--%s is for a spreadsheet saved as CSV, and %s is none: its first line names no columns; leave the flag out for a text of entries", name, from)
		}
	}
	entries, gaps, err := journal.ReadText(head)
	var wrong fields.Problems
	if errors.As(err, &wrong) {
		for i := range wrong {
			wrong[i].File = from
		}
		return wrong
	}
	if err != nil {
		return err
	}
	if len(entries)+len(gaps) == 0 {
		return refusef("%s holds no entry", from)
	}
	store := r.farm.Store()
	if !store.Exists() {
		if err := r.create(); err != nil {
			return err
		}
		return r.takeIn("Imported", false, func() (journal.ImportReport, error) { return store.Import(entries, gaps...) })
	}
	if err := r.settle(); err != nil {
		return err
	}
	return r.takeIn("Imported", true, func() (journal.ImportReport, error) { return store.Import(entries, gaps...) })
}

// create starts the journal.
func (r *request) create() error {
	if err := r.farm.Store().Create(); err != nil {
		return err
	}
	fmt.Fprintln(r.out, "A new journal is started: "+board.Clean(r.farm.Store().Path))
	return nil
}

// takeIn runs an import or merge and prints what it changed.
func (r *request) takeIn(did string, changes bool, run func() (journal.ImportReport, error)) error {
	before, err := r.farm.Lately()
	if err != nil {
		return err
	}
	rep, err := run()
	if err != nil {
		return err
	}
	r.say("%s %s; %d were in the journal already.", did, entriesOf(rep.Added), rep.Same)
	if rep.Settled > 0 {
		r.say("Settled %s with two contents: each content is an entry of its own now, and what does not count is struck. "+
			"Merge the other way too, so that both journals know.", counted(rep.Settled, "id", "ids"))
	}
	if !changes {
		return nil
	}
	return r.changed(before)
}

// changed prints which flags are others than before.
func (r *request) changed(before *farm.View) error {
	after, err := r.farm.Lately()
	if err != nil {
		return err
	}
	for _, line := range board.ChangeLines(board.Changes(before.Assess(), after.Assess(), board.Filter{})) {
		r.para("", "  ", line)
	}
	return nil
}

func runMerge(r *request) error {
	other, err := r.file("type the name of the other journal")
	if err != nil {
		return err
	}
	if err := r.settle(); err != nil {
		return err
	}
	return r.takeIn("Merged", true, func() (journal.ImportReport, error) { return r.farm.Store().Merge(other) })
}
