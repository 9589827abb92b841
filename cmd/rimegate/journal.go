package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

func journalCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "journal",
		Usage: "care of the journal: check, copy, export, import, merge, salvage",
		Description: strings.TrimSpace(`
The journal is one file that only grows. Copy it to another disk every week,
and export it now and then: the export is plain text, one entry a line, and
can be read without this program.

   rimegate journal copy /media/stick/farm-2026-10-06.journal
   rimegate journal export farm-2026.jsonl`),
		Subcommands: []*cli.Command{
			{
				Name: "check", Usage: "look at every page, chain and entry",
				Description: "Ends with status 4 if there is damage. Remarks are not damage: they are things\nworth a look, such as entries dated after the day they were written down.\n\n   rimegate journal check",
				Action:      func(c *cli.Context) error { return p.journalCheck(c) },
			},
			{
				Name: "copy", Usage: "write a verified copy to a new file", ArgsUsage: "FILE",
				Description: "   rimegate journal copy /media/stick/farm-2026-10-06.journal",
				Action:      func(c *cli.Context) error { return p.journalCopy(c) },
			},
			{
				Name: "export", Usage: "write every entry as text, one JSON object a line", ArgsUsage: "[FILE]",
				Description: "   rimegate journal export\n   rimegate journal export farm-2026.jsonl",
				Action:      func(c *cli.Context) error { return p.journalExport(c) },
			},
			{
				Name: "import", Usage: "take in entries from such a text", ArgsUsage: "FILE|-",
				Description: "All of the file or nothing: every mistake is shown with its line. Entries that\nare in the journal already are passed over. Starts the journal if there is none.\n\n   rimegate journal import farm.jsonl",
				Action:      func(c *cli.Context) error { return p.journalImport(c) },
			},
			{
				Name: "merge", Usage: "take in the entries of another journal", ArgsUsage: "FILE",
				Description: "For journals that were kept apart, on two computers say. Merge both ways and\nboth hold the same. The other file is only read.\n\n   rimegate journal merge /media/stick/farm.journal",
				Action:      func(c *cli.Context) error { return p.journalMerge(c) },
			},
			{
				Name: "salvage", Usage: "save what a damaged journal still proves", ArgsUsage: "FILE",
				Description: "For a journal that `rimegate journal check` calls damaged: every entry whose\nhash link still proves it is written as text, one a line, for `rimegate journal\nimport` into a fresh journal. The damaged file is only read.\n\n   rimegate journal salvage saved.jsonl",
				Action:      func(c *cli.Context) error { return p.journalSalvage(c) },
			},
		},
	}
}

// file returns the one file a command names.
func file(c *cli.Context, hint string) (string, error) {
	if c.NArg() != 1 || c.Args().First() == "" {
		return "", usagef("`%s` takes one file; %s", c.Command.HelpName, hint)
	}
	return c.Args().First(), nil
}

func (p *program) journalCheck(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	r, err := f.Check()
	if err != nil {
		return err
	}
	for _, x := range r.Findings {
		word := "remark"
		if x.Grave {
			word = "DAMAGE"
		}
		where := ""
		if x.Entry != "" {
			where = " (entry " + x.Entry + ")"
		}
		p.para(word+": ", "  ", x.Text+where)
	}
	if !r.Whole() {
		return &journal.DamagedError{Path: f.Store().Path, What: "the findings say where"}
	}
	fmt.Fprintf(p.out, "The journal is whole: %s, %s.\n", counted(r.Entries, "entry", "entries"), counted(len(r.Findings), "remark", "remarks"))
	return nil
}

func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

func (p *program) journalCopy(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	to, err := file(c, "type the name of the new copy")
	if err != nil {
		return err
	}
	r, err := f.Store().Copy(to)
	if err != nil {
		return err
	}
	p.para("", "  ", fmt.Sprintf("Copied and read back: %s, %s, %d bytes.", r.Path, counted(r.Entries, "entry", "entries"), r.Bytes))
	return nil
}

func (p *program) journalExport(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	if c.NArg() == 0 {
		_, err := f.Store().Export(p.out)
		return err
	}
	to, err := file(c, "or none, to write on standard output")
	if err != nil {
		return err
	}
	var n int
	err = newFile(to, func(w io.Writer) (err error) { n, err = f.Store().Export(w); return err })
	if err != nil {
		return err
	}
	p.para("", "  ", fmt.Sprintf("Exported %s to %s.", counted(n, "entry", "entries"), to))
	return nil
}

// newFile writes a file that must not exist yet; nothing half-written stays.
func newFile(path string, write func(io.Writer) error) error {
	w, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, os.ErrExist) {
		return refusef("%s is there already and was left as it is; choose another name", path)
	}
	if err != nil {
		return err
	}
	err = write(w)
	if err == nil {
		err = w.Sync()
	}
	if cerr := w.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		_ = os.Remove(path) // half a file would pass for a whole one
	}
	return err
}

func (p *program) journalSalvage(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	to, err := file(c, "type the name of the new file for the entries")
	if err != nil {
		return err
	}
	var r journal.SalvageReport
	err = newFile(to, func(w io.Writer) (err error) { r, err = f.Store().Salvage(w); return err })
	if err != nil {
		return err
	}
	p.para("", "  ", fmt.Sprintf("Salvaged %s to %s.", counted(r.Proven, "proven entry", "proven entries"), to))
	if n := len(r.Traces); n > 0 {
		p.para("", "  ", fmt.Sprintf("Of %s something is left but no proof; log those facts again by hand, and until then treat every paddock as NO:", counted(n, "more entry", "more entries")))
		for _, t := range r.Traces {
			p.para("  ", "    ", t.ID)
			for _, x := range t.Texts {
				p.para("    ", "      ", x)
			}
		}
	}
	return nil
}

func (p *program) journalImport(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	from, err := file(c, "- is standard input")
	if err != nil {
		return err
	}
	var r io.Reader = p.in
	if from != "-" {
		in, err := os.Open(from)
		if err != nil {
			return usagef("%s cannot be read (%v)", from, cause(err))
		}
		defer in.Close()
		r = in
	}
	entries, err := fields.ReadJSONL(r)
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		return refusef("%s holds no entry", from)
	}
	fresh := !f.Store().Exists()
	if fresh {
		if err := f.Store().Create(); err != nil {
			return err
		}
		fmt.Fprintln(p.out, "A new journal is started: "+board.Clean(f.Store().Path))
	}
	return p.takeIn(f, "Imported", !fresh, func() (journal.ImportReport, error) { return f.Store().Import(entries) })
}

// takeIn runs an import or merge and prints what it changed.
func (p *program) takeIn(f *farm.Farm, did string, changes bool, run func() (journal.ImportReport, error)) error {
	before, err := f.View(question())
	if err != nil {
		return err
	}
	rep, err := run()
	if err != nil {
		return err
	}
	p.para("", "  ", fmt.Sprintf("%s %s; %d were in the journal already.", did, counted(rep.Added, "entry", "entries"), rep.Same))
	if !changes {
		return nil
	}
	after, err := f.View(question())
	if err != nil {
		return err
	}
	for _, line := range board.ChangeLines(board.Changes(before.Assess(), after.Assess(), board.Filter{})) {
		p.para("", "  ", line)
	}
	return nil
}

func (p *program) journalMerge(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	other, err := file(c, "type the name of the other journal")
	if err != nil {
		return err
	}
	return p.takeIn(f, "Merged", true, func() (journal.ImportReport, error) { return f.Store().Merge(other) })
}

// cause is an error of a file without the path, which the sentence says.
func cause(err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
