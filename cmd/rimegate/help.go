package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields/form"
	"rimegate/fields/lazy"
	"rimegate/hazard/board"
)

// Help pages. They are printed by the library from these templates, which say
// the same as its own in fewer capitals and without "help" commands at each
// level, where a paddock of that name would be lost.

const leafHead = `{{.HelpName}} - {{.Usage}}

   {{.HelpName}}{{if .VisibleFlags}} [flags]{{end}}{{if .ArgsUsage}} {{.ArgsUsage}}{{end}}{{if .Description}}

{{.Description}}{{end}}
`

// leafHelp is the page of a command with `own` flags of its own; the flags that
// every command takes stand behind them.
func leafHelp(own int) string {
	head := ""
	if own > 0 {
		head = "\nFlags:"
	}
	apart := "\n\n"
	if own == 0 {
		apart = "\n"
	}
	return leafHead + head + fmt.Sprintf(`{{range $i, $f := .VisibleFlags}}{{if eq $i %d}}`+apart+`Anywhere on the line:{{end}}
   {{$f}}{{end}}
`, own)
}

const groupHelp = `{{.HelpName}} - {{.Usage}}

   {{.HelpName}} COMMAND [flags] ...{{if .Description}}

{{.Description}}{{end}}

Commands:{{range .VisibleCommands}}
   {{.Name}}{{"\t"}}{{.Usage}}{{end}}

` + "`{{.HelpName}} COMMAND --help` shows the flags of one.\n"

const appHelp = `{{.Name}} - {{.Usage}}

   {{.UsageText}}

{{.Description}}

Commands:{{range .VisibleCommands}}
   {{.Name}}{{"\t"}}{{.Usage}}{{end}}

To read, as in ` + "`rimegate help cookbook`:" + `{{range .VisibleCommands}}{{if eq .Name "help"}}{{range .VisibleCommands}}
   {{.Name}}{{"\t"}}{{.Usage}}{{end}}{{end}}{{end}}

Flags:{{range .VisibleFlags}}
   {{.}}{{end}}

` + "`rimegate COMMAND --help` shows one command; `rimegate help log frost` too.\n"

// runHelp shows the help of the command that the arguments name.
func runHelp(r *request) error {
	words := r.c.Args().Slice()
	if _, err := commandOf(r.c.App, words); err != nil {
		var topics []string
		for _, c := range r.c.Command.Subcommands {
			topics = append(topics, c.Name)
		}
		if s := form.Closest(words[0], topics); s != "" {
			return usagef("there is no help on %q; did you mean `rimegate help %s`?", board.Clean(words[0]), s)
		}
		return err
	}
	return newApp(r.program).Run(append(append([]string{"rimegate"}, words...), "--help"))
}

// commandOf is the command that words name, nil for none.
func commandOf(app *cli.App, words []string) (c *cli.Command, err error) {
	commands, under := app.Commands, app.Name
	for _, w := range words {
		i := slices.IndexFunc(commands, func(c *cli.Command) bool { return c.HasName(w) })
		if i < 0 {
			return nil, unknownCommand(under, w, commands)
		}
		c = commands[i]
		commands, under = c.Subcommands, under+" "+w
	}
	return c, nil
}

// lineBreaker writes help in lines of the terminal's width. Only our own words pass
// through it.
type lineBreaker struct {
	p    *program
	rest []byte // of a line that has not ended yet
}

func (f *lineBreaker) Write(b []byte) (int, error) {
	f.rest = append(f.rest, b...)
	for {
		i := bytes.IndexByte(f.rest, '\n')
		if i < 0 {
			return len(b), nil
		}
		for _, l := range fold(string(f.rest[:i]), f.p.width) {
			if _, err := fmt.Fprintln(f.p.out, l); err != nil {
				return 0, err
			}
		}
		f.rest = f.rest[i+1:]
	}
}

// flagLine is a line of a table of flags or commands: a name, two spaces or
// more, and what it means.
var flagLine = lazy.Regexp(`^   \S+( \S+)*?  +`)

// fold breaks a line of help that is wider than a terminal; what a flag means
// stays in its column, and an example can still be typed as it stands.
func fold(l string, width int) []string {
	if board.Width(l) <= width {
		return []string{l}
	}
	first := flagLine().FindString(l)
	if first == "" && (strings.HasPrefix(l, "   rimegate ") || strings.HasPrefix(l, "      ")) {
		return foldExample(l, width)
	}
	if len(first) > width/2 { // a column too narrow to read
		name := strings.TrimRight(first, " ")
		return append([]string{name}, board.Wrap(l[len(first):], "         ", "         ", width)...)
	}
	if first == "" {
		first = l[:len(l)-len(strings.TrimLeft(l, " "))]
	}
	return board.Wrap(l[len(first):], first, strings.Repeat(" ", len(first)), width)
}

// foldExample breaks a command line between its words, as a shell takes it.
func foldExample(l string, width int) []string {
	words := commandWord().FindAllString(strings.TrimLeft(l, " "), -1)
	line := l[:len(l)-len(strings.TrimLeft(l, " "))]
	var out []string
	for i, w := range words {
		switch {
		case i == 0:
		case board.Width(line)+1+board.Width(w)+2 <= width:
			line += " "
		default:
			out = append(out, line+" \\")
			line = "      "
		}
		line += w
	}
	return append(out, line)
}

// commandWord is a word of a command line with its quotes.
var commandWord = lazy.Regexp(`(?:"[^"]*"|'[^']*'|[^\s"'])+`)
