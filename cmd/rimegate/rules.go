package main

import (
	"fmt"
	"slices"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

func runRules(r *request) error {
	part := strings.ToLower(r.c.Args().First())
	book := rules.Default()
	r.say("Rulebook %s %s, digest %s", book.Name, book.Version, book.Digest)
	var rows [][]string
	for _, d := range rules.Docs() {
		if part == "" || strings.Contains(strings.ToLower(d.ID), part) {
			rows = append(rows, []string{d.ID, strings.TrimPrefix(d.Says()+": "+d.Title, ": ")})
		}
	}
	if len(rows) == 0 {
		return usagef("no rule has %q in its id; `rimegate rules list` shows them all", part)
	}
	r.table([]string{"RULE", "VALUE"}, rows)
	r.say("`rimegate help rules %s` tells one with its sources; `rimegate help rules all` tells them all.", rows[0][0])
	return nil
}

func runSpecies(r *request) error {
	part := hazard.SpeciesKey(strings.Join(r.c.Args().Slice(), " "))
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
		return usagef("no plant of the table has %q in its names; `rimegate rules species` shows them all", board.Clean(strings.Join(r.c.Args().Slice(), " ")))
	}
	slices.SortFunc(rows, func(a, b []string) int { return strings.Compare(a[0], b[0]) })
	r.table([]string{"PLANT", "PRUSSIC ACID", "NAMES"}, rows)
	if len(found) > fewPlants {
		return nil
	}
	slices.SortFunc(found, func(a, b *hazard.Species) int { return strings.Compare(a.ID, b.ID) })
	for _, s := range found {
		fmt.Fprintln(r.out)
		r.plant(s, rules.FrostOf(s.ID))
	}
	return nil
}

// fewPlants is how many plants are told of at length.
const fewPlants = 4

func (p *program) plant(s *hazard.Species, frost string) {
	p.para("", "  ", s.Name+" ("+s.Scientific+")")
	fits := slices.Clone(s.Fits)
	for i, id := range fits {
		if sp := rules.Default().Species[id]; sp != nil {
			fits[i] = sp.Name
		}
	}
	p.items(14, [][2]string{
		{"May be", strings.Join(fits, ", ")},
		{"Prussic acid", s.Level},
		{"Nitrate", board.NitrateHabitWords(s)},
		{"Frost", frost},
		{"Note", s.Notes},
	})
}

func runRule(r *request) error {
	if r.c.NArg() != 1 {
		return usagef("`rimegate rules show` takes one rule, like `rimegate rules show prussic.frost.wait`")
	}
	id := r.c.Args().First()
	if id == "all" {
		for i, d := range rules.Docs() {
			if i > 0 {
				fmt.Fprintln(r.out)
			}
			r.rule(&d)
		}
		return nil
	}
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
	r.rule(&d)
	return r.ruleHere(id)
}

func (p *program) rule(d *rules.Doc) {
	p.para("", "  ", d.ID+": "+d.Title)
	p.items(12, append([][2]string{{"Value", d.Says()}}, farm.RuleItems(d)...))
}

// ruleHere says whether this farm has set the rule to another value. A rule can
// be shown without a journal.
func (r *request) ruleHere(id string) error {
	if err := r.open(); err != nil {
		return err
	}
	if !r.farm.Store().Exists() {
		return nil
	}
	v, err := r.farm.View(farm.Question{})
	if err != nil {
		return err
	}
	for _, x := range v.Book.Relaxed {
		if x.Rule == id {
			r.say("RELAXED on this farm: %s instead of %s, by %s, because: %s", x.Value, x.Default, x.By, x.Because)
		}
	}
	return nil
}
