package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

func journalCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "journal",
		Usage: "care of the journal: check, copy, export, import, merge, salvage, accept",
		Description: strings.TrimSpace(`
The journal is one file that only grows. Copy it to another disk every week,
and export it now and then: the export is plain text, one entry a line, and
can be read without this program.

A small file beside it (its name with .mark) says how far it was written, so
that entries lost at its end are noticed. Copies made by ` + "`journal copy`" + ` have
one of their own; a journal copied by hand without it works, and says so
until the next entry.

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
				Description: "All of the file or nothing: every mistake is shown with its line. Entries that\nare in the journal already are passed over. Starts the journal if there is none.\n\n" + settleHelp + "\n\n   rimegate journal import farm.jsonl\n   rimegate journal import --keep both house.jsonl",
				Flags:       []cli.Flag{keepFlag()},
				Action:      func(c *cli.Context) error { return p.journalImport(c) },
			},
			{
				Name: "merge", Usage: "take in the entries of another journal", ArgsUsage: "FILE",
				Description: "For journals that were kept apart, on two computers say. Merge both ways and\nboth hold the same. The other file is only read.\n\n" + settleHelp + "\n\n   rimegate journal merge /media/stick/farm.journal\n   rimegate journal merge --keep ours /media/stick/farm.journal",
				Flags:       []cli.Flag{keepFlag()},
				Action:      func(c *cli.Context) error { return p.journalMerge(c) },
			},
			{
				Name: "salvage", Usage: "save what a damaged journal still proves", ArgsUsage: "FILE",
				Description: "For a journal that `rimegate journal check` calls damaged: every entry whose\nhash link still proves it is written as text, one a line, for `rimegate journal\nimport` into a fresh journal. The damaged file is only read. What is missing is\nnamed, goes along with the text, and is said by the journal made of it; the\ncommand then ends with status 4.\n\n   rimegate journal salvage saved.jsonl",
				Action:      func(c *cli.Context) error { return p.journalSalvage(c) },
			},
			{
				Name: "accept", Usage: "go on though entries are known to be missing",
				Description: "For an older copy brought back in the journal's place, and for a journal made of\nwhat was salvaged. First bring in what others have: merge and import. What is\nmissing, who accepted it and why stay in the journal, and `rimegate journal\ncheck` goes on saying it. Walk the paddocks the entries may have spoken of.\n\n   rimegate journal accept --because \"the disk died; copy of Monday\"",
				Flags:       []cli.Flag{text("because", "the `REASON`")},
				Action:      func(c *cli.Context) error { return p.journalAccept(c) },
			},
		},
	}
}

const settleHelp = "Where one id stands for two contents nothing is taken in, until you say which\none counts: --keep ours, theirs, or both where nobody knows. The other one is\nkept too, struck. The decision goes along with the entries: merge both ways\nafter it."

func keepFlag() cli.Flag {
	return text("keep", "where one id stands for two contents, keep ours, theirs or both (`WORD`)")
}

// settle reads --keep; the outcome is nil if it is not given.
func (p *program) settle(c *cli.Context, f *farm.Farm) (*journal.Settle, error) {
	word, ok := value(c, "keep")
	if !ok {
		return nil, nil
	}
	keep := journal.Keep(strings.ToLower(strings.TrimSpace(word)))
	switch keep {
	case journal.KeepOurs, journal.KeepTheirs, journal.KeepBoth:
	default:
		return nil, usagef("--keep: %s is none of the choices; type ours, theirs or both", quoted(word))
	}
	if f.By == "" {
		return nil, usagef("--by: nobody signs for what is kept; type --by NAME before the command")
	}
	v, err := f.View(question())
	if err != nil {
		return nil, err
	}
	return &journal.Settle{Keep: keep, By: f.By, At: v.Now, On: v.Today}, nil
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
	if r.Whole() { // then it can be read, and its rules of days too
		v, err := f.View(question())
		if err != nil {
			return err
		}
		for _, x := range f.Rounds(v) {
			if x.Err != nil {
				r.Findings = append(r.Findings, journal.Finding{Check: "rounds", Entry: x.Entry, Text: fmt.Sprintf("the rule of the round %q cannot be read: %v", x.Name, x.Err)})
			}
		}
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
	err = journal.NewFile(to, func(w io.Writer) (err error) { n, err = f.Store().Export(w); return err })
	if err != nil {
		return err
	}
	p.para("", "  ", fmt.Sprintf("Exported %s to %s.", counted(n, "entry", "entries"), to))
	return nil
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
	err = journal.NewFile(to, func(w io.Writer) (err error) { r, err = f.Store().Salvage(w); return err })
	if err != nil {
		return err
	}
	p.para("", "  ", fmt.Sprintf("Salvaged %s to %s.", counted(r.Proven, "proven entry", "proven entries"), to))
	if r.Unsaid {
		p.para("", "  ", "No record beside the journal says how far it was written, so entries at its end may be missing without a trace.")
	}
	if r.Whole() {
		if !r.Unsaid {
			p.para("", "  ", "Nothing that was logged is missing from it.")
		}
		return nil
	}
	if n := len(r.Traces); n > 0 {
		p.para("", "  ", fmt.Sprintf("Of %s something is left but no proof; log those facts again by hand, and until then treat every paddock as NO:", counted(n, "more entry", "more entries")))
		for _, t := range r.Traces {
			p.para("  ", "    ", t.ID)
			for _, x := range t.Texts {
				p.para("    ", "      ", x)
			}
		}
	}
	if r.Places > 0 {
		p.para("", "  ", fmt.Sprintf("Of %s nothing is left but the place in its chain; some of them may be among those named above. Ask whoever logs on that computer, and look into the last copy and export:", counted(int(min(r.Places, 1<<31-1)), "entry", "entries")))
		for _, x := range r.Missing {
			p.para("  ", "    ", x.String())
		}
	}
	p.note("entries are missing from " + to + ", as listed; the journal made of it will say so until `rimegate journal accept`")
	return gateError(statusJournal)
}

// journalAccept takes over the answer for entries that are missing.
func (p *program) journalAccept(c *cli.Context) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	if c.NArg() > 0 {
		return usagef("`%s` takes no file; it speaks of the journal itself", c.Command.HelpName)
	}
	because, _ := value(c, "because")
	switch {
	case strings.TrimSpace(because) == "":
		return refusef("--because: is missing; say why the journal is to be used without the entries")
	case f.By == "":
		return usagef("--by: nobody signs for it; type --by NAME before the command")
	}
	gaps, err := f.Store().Accept(f.By, because, p.clock())
	if err != nil {
		return err
	}
	if len(gaps) == 0 {
		return refusef("nothing is known to be missing from %s that was not accepted before", f.Store().Path)
	}
	for i := range gaps {
		p.para("Accepted: ", "  ", gaps[i].Words(func(string) bool { return false }))
	}
	p.para("", "  ", "Log again what you know of them, and until then treat what they may have said as not known.")
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
	entries, gaps, err := journal.ReadText(r)
	if err != nil {
		return err
	}
	if len(entries)+len(gaps) == 0 {
		return refusef("%s holds no entry", from)
	}
	fresh := !f.Store().Exists()
	var settle *journal.Settle
	if !fresh {
		if settle, err = p.settle(c, f); err != nil {
			return err
		}
	}
	if fresh {
		if err := f.Store().Create(); err != nil {
			return err
		}
		fmt.Fprintln(p.out, "A new journal is started: "+board.Clean(f.Store().Path))
	}
	f.Store().Settle = settle
	return p.takeIn(f, "Imported", !fresh, func() (journal.ImportReport, error) { return f.Store().Import(entries, gaps...) })
}

// thousands writes a count with commas.
func thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
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
	if rep.Settled > 0 {
		p.para("", "  ", fmt.Sprintf("Settled %s with two contents: each content is an entry of its own now, and what does not count is struck. Merge the other way too, so that both journals know.", counted(rep.Settled, "id", "ids")))
	}
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
	settle, err := p.settle(c, f)
	if err != nil {
		return err
	}
	f.Store().Settle = settle
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
