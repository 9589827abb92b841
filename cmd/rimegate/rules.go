package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

func rulesCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "rules",
		Usage: "the rulebook: every number with its published sources",
		Description: strings.TrimSpace(`
The rulebook is the same for every farm; a farm can override a rule with another
published value (` + "`rimegate log override`" + `), and a less cautious one is printed on
every list.

   rimegate rules list nitrate
   rimegate rules show prussic.frost.wait
   rimegate rules compare north-slough
   rimegate rules species millet`),
		Action: func(c *cli.Context) error { return p.rulesList(c) },
		Subcommands: []*cli.Command{
			{
				Name: "list", Usage: "list the rules with their values", ArgsUsage: "[PART-OF-ID]",
				Description: "   rimegate rules list\n   rimegate rules list nitrate",
				Action:      func(c *cli.Context) error { return p.rulesList(c) },
			},
			{
				Name: "show", Usage: "show one rule with all its sources", ArgsUsage: "RULE",
				Description: "   rimegate rules show prussic.frost.wait",
				Action:      func(c *cli.Context) error { return p.rulesShow(c) },
			},
			compareCommand(p),
			{
				Name: "species", Usage: "the plants the rulebook knows, with their names", ArgsUsage: "[PART-OF-NAME]",
				Description: strings.TrimSpace(`
Capitals, spaces and hyphens do not matter. A plant that is not in the table
may be written down all the same: it is treated as a dangerous unknown one.

   rimegate rules species
   rimegate rules species millet`),
				Action: func(c *cli.Context) error { return p.speciesList(c) },
			},
		},
	}
}

func (p *program) rulesList(c *cli.Context) error {
	part := strings.ToLower(c.Args().First())
	book := rules.Default()
	p.para("", "  ", fmt.Sprintf("Rulebook %s %s, digest %s", book.Name, book.Version, book.Digest))
	var rows [][]string
	for _, d := range rules.Docs() {
		if part == "" || strings.Contains(strings.ToLower(d.ID), part) {
			rows = append(rows, []string{d.ID, d.Says(), d.Title})
		}
	}
	if len(rows) == 0 {
		return usagef("no rule has %q in its id; `rimegate rules list` shows them all", part)
	}
	p.table([]string{"RULE", "VALUE", ""}, rows)
	return nil
}

func (p *program) speciesList(c *cli.Context) error {
	part := hazard.SpeciesKey(strings.Join(c.Args().Slice(), " "))
	var rows [][]string
	var found []*hazard.Species
	for _, s := range rules.Default().Species {
		names := append([]string{s.Name}, s.Names...)
		if part == "" || strings.Contains(hazard.SpeciesKey(s.ID+" "+strings.Join(names, " ")), part) {
			rows = append(rows, []string{s.ID, board.PrussicWords(s), words(names)})
			found = append(found, s)
		}
	}
	if len(rows) == 0 {
		return usagef("no plant of the table has %q in its names; `rimegate rules species` shows them all", board.Clean(strings.Join(c.Args().Slice(), " ")))
	}
	slices.SortFunc(rows, func(a, b []string) int { return strings.Compare(a[0], b[0]) })
	p.table([]string{"PLANT", "PRUSSIC ACID", "NAMES"}, rows)
	if len(found) > fewPlants {
		return nil
	}
	slices.SortFunc(found, func(a, b *hazard.Species) int { return strings.Compare(a.ID, b.ID) })
	for _, s := range found {
		fmt.Fprintln(p.out)
		p.speciesDetail(s)
	}
	return nil
}

// fewPlants is how many plants are told of at length.
const fewPlants = 4

func (p *program) speciesDetail(s *hazard.Species) {
	p.para("", "  ", s.Name+" ("+s.Scientific+")")
	var fits []string
	for _, id := range s.Fits {
		fits = append(fits, rules.Default().Species[id].Name)
	}
	for _, x := range [][2]string{
		{"May be", strings.Join(fits, ", ")},
		{"Prussic acid", s.Level},
		{"Nitrate", board.NitrateHabitWords(s)},
		{"Frost", rules.FrostOf(s.ID)},
		{"Note", s.Notes},
	} {
		if x[1] != "" {
			p.para(fmt.Sprintf("%-14s", x[0]), strings.Repeat(" ", 14), x[1])
		}
	}
}

func (p *program) rulesShow(c *cli.Context) error {
	if c.NArg() != 1 {
		return usagef("`rimegate rules show` takes one rule, like `rimegate rules show prussic.frost.wait`")
	}
	id := c.Args().First()
	d, ok := rules.DocOf(id)
	if !ok {
		var ids []string
		for _, x := range rules.Docs() {
			ids = append(ids, x.ID)
		}
		if near := form.Closest(id, ids); near != "" {
			return usagef("there is no rule %q; did you mean %s?", id, near)
		}
		return usagef("there is no rule %q; `rimegate rules list` shows them all", id)
	}
	p.para("", "  ", d.ID+": "+d.Title)
	for _, x := range append([][2]string{{"Value", d.Says()}}, farm.RuleItems(&d)...) {
		p.para(fmt.Sprintf("%-12s", x[0]), strings.Repeat(" ", 12), x[1])
	}
	return p.ruleHere(c, id)
}

// ruleHere says whether this farm has set the rule to another value. A rule can
// be shown without a journal.
func (p *program) ruleHere(c *cli.Context, id string) error {
	f, err := p.open(c)
	if err != nil {
		return err
	}
	if !f.Store().Exists() {
		return nil
	}
	v, err := f.View(question())
	if err != nil {
		return err
	}
	for _, r := range v.Book.Relaxed {
		if r.Rule == id {
			p.para("", "  ", fmt.Sprintf("RELAXED on this farm: %s instead of %s, by %s, because: %s", r.Value, r.Default, r.By, r.Because))
		}
	}
	return nil
}
