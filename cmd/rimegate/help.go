package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"
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
	return leafHead + head + fmt.Sprintf(`{{range $i, $f := .VisibleFlags}}{{if eq $i %d}}

Anywhere on the line:{{end}}
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

Flags:{{range .VisibleFlags}}
   {{.}}{{end}}

` + "`rimegate COMMAND --help` shows one command; `rimegate help log frost` too.\n"

func helpCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "help",
		Usage:     "help about a command",
		ArgsUsage: "[COMMAND...]",
		Action: func(c *cli.Context) error {
			words := c.Args().Slice()
			commands := c.App.Commands
			under := c.App.Name
			for _, w := range words {
				var found *cli.Command
				for _, x := range commands {
					if x.HasName(w) {
						found = x
					}
				}
				if found == nil {
					return unknownCommand(under, w, commands)
				}
				commands, under = found.Subcommands, under+" "+w
			}
			return newApp(p).Run(append(append([]string{"rimegate"}, words...), "--help"))
		},
	}
}

func manCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:   "man",
		Usage:  "print the manual page (roff)",
		Hidden: true,
		Action: func(c *cli.Context) error {
			page, err := newApp(p).ToManWithSection(1)
			if err != nil {
				return err
			}
			fmt.Fprintln(p.out, strings.TrimRight(page, "\n"))
			return nil
		},
	}
}
