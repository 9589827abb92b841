package main

import (
	"strings"

	"github.com/urfave/cli/v2"
)

func strikeCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "strike",
		Usage:     "an entry was a mistake and no longer counts",
		ArgsUsage: "ID",
		Description: strings.TrimSpace(`
Nothing is erased: the entry stays in the journal, marked as struck, with your
name and reason. The id stands in ` + "`rimegate history`" + `; its last letters are
enough if no other entry ends like it. Log the right fact anew.

   rimegate strike --because "wrong paddock" 01K6XQ4T5Q0V3N7R8S9T0V1W2X`),
		Flags: []cli.Flag{
			text("because", "the `REASON`"),
			yes("dry-run", "show what would change, but store nothing"),
		},
		Action: func(c *cli.Context) error {
			f, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			if c.NArg() != 1 {
				return usagef("`rimegate strike` takes the id of one entry; `rimegate history` shows them")
			}
			form := newForm(c, v)
			because := form.must("because", "say why the entry was wrong")
			if err := form.err(); err != nil {
				return err
			}
			l, err := f.Strike(c.Args().First(), because, c.Bool("dry-run"))
			if err != nil {
				return err
			}
			return p.logged(l)
		},
	}
}
