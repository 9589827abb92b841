package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard/board"
)

func paddockCommand(p *program) *cli.Command {
	flags := func() []cli.Flag {
		return setUpFlags(
			text("name", "its `NAME` as on the gate"),
			text("area", "its `AREA` with its unit: 24ha, 60ac"),
			text("station", "the `STATION` whose readings count for it"),
			text("offset", "how much colder it is than its station: `DIFFERENCE` like -2C or -3.6F"),
			yes("low-lying", "it lies in a hollow where cold air gathers"),
			yes("not-low-lying", "it does not"),
			text("bounds", "where it lies, in `WORDS`"),
		)
	}
	return &cli.Command{
		Name:  "paddock",
		Usage: "the paddocks: list, add, change",
		Description: strings.Trim(`
   rimegate paddock                                  list them
   rimegate paddock add --name "North Slough" --area 24ha --station home north-slough
   rimegate paddock set --station slough-post --offset -1.5C north-slough

Station, offset and low ground hold for nights from the entry's own day on;
the first entry reaches back.`, "\n"),
		Action: func(c *cli.Context) error { return p.paddockList(c) },
		Subcommands: append(p.setUp("paddock", flags, p.paddockList, p.paddockSet,
			`--name "North Slough" --area 24ha --station home north-slough`, `--area 60ac north-slough`),
			offsetCommand(p),
			paddockPlanCommand(p),
		),
	}
}

func (p *program) paddockSet(c *cli.Context, add bool) error {
	f, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	form := newForm(c, v)
	form.stores = true
	b := &fields.PaddockFacts{
		Paddock: form.name("paddock"), Name: form.text("name"), AreaHa: form.quantity("area", fields.Area), Station: form.station("station"),
		OffsetC: form.quantity("offset", fields.Difference), LowLying: form.either("low-lying", "not-low-lying"), Bounds: form.text("bounds"),
	}
	have := v.History.Paddock(b.Paddock)
	switch {
	case b.Paddock == "":
	case add && have != nil && have.Known:
		form.wrong("", fmt.Sprintf("the paddock %s is there already", quoted(b.Paddock)), "change it with `rimegate paddock set`")
	case !add && have == nil:
		_, err := v.Paddock(b.Paddock)
		form.failed("", err)
	case add && b.Name == "":
		form.wrong("name", "is missing", "type the name as it stands on the gate")
	case b.Name == "":
		b.Name = have.Name
	}
	if err := p.store(c, f, form, b); err != nil || !add {
		return err
	}
	p.para("", "  ", "Next, what grows there: rimegate log sown --new-stand --species NAMES --on DAY "+b.Paddock+", or of old grass: rimegate log seen --species NAMES "+b.Paddock)
	return nil
}

func (p *program) paddockList(c *cli.Context) error {
	_, v, err := p.view(c, question())
	if err != nil {
		return err
	}
	h, u := v.History, string(v.Units())
	var rows [][]string
	for _, x := range h.Standing() {
		area := ""
		if x.AreaHa != nil {
			area = fields.Area.In(*x.AreaHa, u)
		}
		var more []string
		s := h.NightSetting([]string{x.ID}, v.Today)
		if len(x.Parents) > 0 {
			more = append(more, "came from "+words(x.Parents))
			s = h.NightSetting(h.Lines(x.ID)[0], v.Today)
		}
		if len(s.Stations) > 0 {
			t := "read at " + words(s.Stations)
			if s.OffsetC != 0 {
				t += ", " + fields.Difference.Both(s.OffsetC) + " there"
			}
			more = append(more, t)
		} else {
			more = append(more, "no station: every night is unread unless said")
		}
		if s.LowLying {
			more = append(more, "low-lying")
		}
		for _, st := range h.Inside([]string{x.ID}) {
			more = append(more, orWord(board.Clean(st.Herd), "stock")+" inside since "+st.In.Words())
		}
		rows = append(rows, []string{x.ID, x.Name, area, strings.Join(more, "; ")})
	}
	if len(rows) == 0 {
		fmt.Fprintln(p.out, "No paddock yet: rimegate paddock add --name \"North Slough\" --area 24ha north-slough")
		return nil
	}
	p.table([]string{"SHORT NAME", "NAME", "AREA", ""}, rows)
	return nil
}
