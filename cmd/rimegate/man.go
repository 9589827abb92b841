package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields/lazy"
)

// Manual pages, one for the program and one for each command, made of the same
// table as the help.

// runMan prints one manual page, or writes all of them.
func runMan(r *request) error {
	app := newApp(r.program)
	words := r.c.Args().Slice()
	dir, all := value(r.c, "out")
	if !all {
		if _, err := commandOf(app, words); err != nil {
			return err
		}
		_, err := r.out.Write(manPage(app, words))
		return err
	}
	if len(words) > 0 {
		return usagef("--out writes every page; leave out %q", strings.Join(words, " "))
	}
	if !isFolder(dir) {
		return usagef("there is no folder %s", quoted(dir))
	}
	var err error
	everyPage(app, func(words []string) {
		if err == nil {
			path := filepath.Join(dir, manName(words)+".1")
			err = os.WriteFile(path, manPage(app, words), 0o644) // a manual is for everybody
		}
	})
	return err
}

// everyPage calls do with the words of every page; those of hidden commands too.
func everyPage(app *cli.App, do func(words []string)) {
	var walk func(words []string, commands []*cli.Command)
	walk = func(words []string, commands []*cli.Command) {
		do(words)
		for _, c := range commands {
			walk(append(words[:len(words):len(words)], c.Name), c.Subcommands)
		}
	}
	walk(nil, app.Commands)
}

// manName is the name of a page: rimegate-log-frost.
func manName(words []string) string {
	return strings.Join(append([]string{"rimegate"}, words...), "-")
}

// manPage is one page. There is no date on it, so that it is the same whenever it is
// made.
func manPage(app *cli.App, words []string) []byte {
	name := manName(words)
	usage, about, commands, flags, form := app.Usage, app.Description, app.Commands, app.VisibleFlags(), app.UsageText
	if c, _ := commandOf(app, words); c != nil {
		usage, about, commands, flags = c.Usage, c.Description, c.Subcommands, c.VisibleFlags()
		form = strings.Join(append([]string{"rimegate"}, words...), " ")
		switch {
		case len(commands) > 0:
			form += " COMMAND [flags] ..."
		case len(flags) > 0:
			form += " [flags]"
		}
		form = strings.TrimSpace(form + " " + c.ArgsUsage)
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, ".TH %s 1 \"\" \"rimegate %s\" \"Rimegate\"\n", roff(strings.ToUpper(name)), roff(version()))
	b.WriteString(".nh\n.ad l\n") // words are typed as they stand: none is taken apart
	fmt.Fprintf(&b, ".SH NAME\n%s \\- %s\n.SH SYNOPSIS\n%s\n", roff(name), manWords(usage), roff(form))
	if about != "" {
		b.WriteString(".SH DESCRIPTION\n" + manText(about))
	}
	under := name
	if len(commands) > 0 {
		b.WriteString(".SH COMMANDS\n")
		list := func(under string, c *cli.Command) {
			fmt.Fprintf(&b, ".TP\n.BR %s (1)\n%s\n", roff(under+"-"+c.Name), manWords(c.Usage))
		}
		for _, c := range commands {
			list(under, c)
			if c.Name == helpName { // what there is to read stands on the program's own page too
				for _, topic := range c.Subcommands {
					list(under+"-"+c.Name, topic)
				}
			}
		}
	}
	if len(flags) > 0 {
		b.WriteString(".SH FLAGS\n")
		for _, f := range flags {
			head, use, _ := strings.Cut(f.String(), "\t")
			m := flagHead().FindStringSubmatch(head)
			fmt.Fprintf(&b, ".TP\n\\fB%s\\fR", roff(m[1]))
			if m[2] != "" {
				fmt.Fprintf(&b, " \\fI%s\\fR", roff(m[2]))
			}
			fmt.Fprintf(&b, "\n%s\n", manWords(use))
		}
	}
	if len(words) > 0 {
		fmt.Fprintf(&b, ".SH SEE ALSO\n.BR %s (1)\n", roff(manName(words[:len(words)-1])))
	}
	return b.Bytes()
}

// manWidth is how wide an example may be in a page of 80 columns.
const manWidth = 67

// flagHead is a flag with its short form, and what stands behind it.
var flagHead = lazy.Regexp(`^(\S+(?:, -\S)*) ?(.*)$`)

// manText is a text of the table: paragraphs, and examples as they are typed.
func manText(s string) string {
	var b strings.Builder
	example, paragraph := false, false
	for _, l := range strings.Split(s, "\n") {
		now := strings.HasPrefix(l, "   ")
		if example && !now {
			b.WriteString(".EE\n.RE\n")
		}
		switch {
		case l == "":
			paragraph = false
			example = false
			continue
		case now && !example:
			if b.Len() > 0 {
				b.WriteString(".PP\n")
			}
			b.WriteString(".RS\n.EX\n")
		case !now && !paragraph && b.Len() > 0:
			b.WriteString(".PP\n")
		}
		example, paragraph = now, !now
		if now {
			for _, x := range fold(l, manWidth) {
				b.WriteString(roff(x[3:]) + "\n")
			}
		} else {
			b.WriteString(manWords(l) + "\n")
		}
	}
	if example {
		b.WriteString(".EE\n.RE\n")
	}
	return b.String()
}

// inBackquotes is what stands to be typed in a text.
var inBackquotes = lazy.Regexp("`([^`]+)`")

// manWords is a line of a text, what is typed in bold.
func manWords(l string) string {
	var b strings.Builder
	at := 0
	for _, m := range inBackquotes().FindAllStringSubmatchIndex(l, -1) {
		b.WriteString(escaped(l[at:m[0]]) + `\fB` + escaped(l[m[2]:m[3]]) + `\fR`)
		at = m[1]
	}
	return atBegin(b.String() + escaped(l[at:]))
}

// roff is a text as roff shows it, character by character.
func roff(s string) string { return atBegin(escaped(s)) }

// atBegin keeps a line from being taken for a request.
func atBegin(s string) string {
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, " ") {
		return `\&` + s
	}
	return s
}

var special = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`, `"`, `\(dq`)

func escaped(s string) string {
	var b strings.Builder
	for _, r := range special.Replace(s) {
		if r < 0x80 {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\[u%04X]`, r)
		}
	}
	return b.String()
}
