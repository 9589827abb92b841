package main

import (
	"strings"

	"github.com/urfave/cli/v2"
)

func strikeCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:      "strike",
		Usage:     "an entry or an import was a mistake and no longer counts",
		ArgsUsage: "[ID]",
		Description: strings.TrimSpace(`
Nothing is erased: the entry stays in the journal, marked as struck, with your
name and reason. The id stands in ` + "`rimegate history`" + `; its last letters are
enough if no other entry ends like it. Log the right fact anew.

With --batch one strike takes back all that an import brought, up to now.

   rimegate strike --because "wrong paddock" 01K6XQ4T5Q0V3N7R8S9T0V1W2X
   rimegate strike --batch 01K6XQ4T5Q0V3N7R8S9T0V1W2X --because "wrong station"`),
		Flags: []cli.Flag{
			text("batch", "strike all that the import of this `ID` brought"),
			text("because", "the `REASON`"),
			yes("dry-run", "show what would change, but store nothing"),
		},
		Action: func(c *cli.Context) error {
			_, v, err := p.view(c, question())
			if err != nil {
				return err
			}
			batch, whole := value(c, "batch")
			switch {
			case whole && c.NArg() > 0:
				return usagef("an entry and --batch are both given; strike one entry, or all that an import brought")
			case !whole && c.NArg() != 1:
				return usagef("`rimegate strike` takes the id of one entry; `rimegate history` shows them")
			}
			form := newForm(c, v)
			because := form.must("because", "say why the entry was wrong")
			if err := form.err(); err != nil {
				return err
			}
			if whole {
				l, b, err := v.StrikeBatch(batch, because, c.Bool("dry-run"))
				if err != nil {
					return err
				}
				p.para("", "  ", b.Words())
				return p.logged(l)
			}
			l, err := v.Strike(c.Args().First(), because, c.Bool("dry-run"))
			if err != nil {
				return err
			}
			return p.logged(l)
		},
	}
}
