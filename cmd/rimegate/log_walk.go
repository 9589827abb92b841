package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

func walkForms() []kindForm {
	return []kindForm{{
		kind: "walk", args: "PADDOCKS", sure: []cli.Flag{asSaid()},
		usage: "what you found when you walked it",
		more: `
Only what you looked for counts; leave out what you did not look for, and
name the paddocks you walked: "all" is not taken here. What lifts a frost
hold is a walk that found the stand dead, dry and without a shoot, with
weeds and volunteers looked for:

   rimegate log walk --killed all --dry --no-shoots --weeds-checked north-slough

Living growth is measured where it is shortest, not on average:

   rimegate log walk --killed none --frost-damage none --shortest 80cm creek

If you find frost damage that no recorded night explains, say which night
did it (--damage-night), or another --cause: hail, spray, drought, ripe, or
dont-know.`,
		flags: []cli.Flag{
			text("part", "stand or swath (`WORD`; stand if left out)"),
			text("killed", "of the plants that make prussic acid: all, part, none or unknown (`WORD`)"),
			text("frost-damage", "none, tips, part, all or unknown (`WORD`)"),
			text("damage-night", "the `DAY` on which the night ended that did the damage"),
			text("cause", "other cause of damage: hail, spray, drought, ripe or dont-know (`WORD`)"),
			text("cause-on", "the `DAY` of the hail, spray or drought (the walk's own day if left out)"),
			yes("dry", "the plants are dry"),
			yes("not-dry", "the plants are not dry yet"),
			text("shoots", "new shoots, their `HEIGHT` with its unit: 15cm, 6in"),
			yes("no-shoots", "you looked for new shoots and there is none"),
			text("shortest", "the shortest growth, its `HEIGHT` with its unit: 80cm, 32in"),
			list("alive", "`SPECIES` still green"),
			yes("nothing-alive", "you looked, and nothing at all is green"),
			list("absent", "`SPECIES` that are gone"),
			yes("wilted", "plants are wilted"),
			yes("not-wilted", "no plant is wilted"),
			yes("stress-free", "it grows without any sign of stress"),
			yes("stressed", "it shows signs of stress"),
			yes("weeds-checked", "you looked for weeds, volunteers, corners and fence lines"),
			text("standing", "standing feed as dry matter: `WEIGHT` like 2500kg/ha or 2200lb/ac"),
		},
		entries: walkEntries,
	}}
}

func walkEntries(f *form) []fields.Entry {
	on := f.date("on", f.v.Today)
	w := fields.Walk{
		Part:         fields.Part(f.one("part", "stand", "swath")),
		Killed:       fields.Killed(f.one("killed", "all", "part", "none", "unknown")),
		FrostDamage:  fields.Damage(f.one("frost-damage", "none", "tips", "part", "all", "unknown")),
		DamageNight:  f.date("damage-night", fields.NoDate),
		Dry:          f.either("dry", "not-dry"),
		ShootsCM:     f.quantity("shoots", fields.Height),
		ShortestCM:   f.quantity("shortest", fields.Height),
		Alive:        f.species("alive"),
		Absent:       f.species("absent"),
		Wilted:       f.either("wilted", "not-wilted"),
		StressFree:   f.either("stress-free", "stressed"),
		WeedsChecked: f.said("weeds-checked"),
		KgDMHa:       f.quantity("standing", fields.PerArea),
	}
	if f.yes("no-shoots") {
		if f.has("shoots") {
			f.wrong("shoots", "and --no-shoots contradict each other", "give one of the two")
		}
		zero := 0.0
		w.ShootsCM = &zero
	}
	if f.yes("nothing-alive") {
		if len(w.Alive) > 0 {
			f.wrong("alive", "and --nothing-alive contradict each other", "give one of the two")
		}
		w.Alive = []string{}
	}
	if w.Killed == "all" && w.ShootsCM != nil && *w.ShootsCM > 0 {
		f.wrong("killed", "all, and yet there are shoots", "say --killed part if anything grows")
	}
	for _, a := range fields.SplitList(f.c.Args().Slice()) {
		if strings.EqualFold(a, farm.AllPaddocks) { // good news must not be said of land nobody walked
			f.wrong("", quoted(a)+" cannot be walked at once", "name the paddocks you walked")
			return nil
		}
	}
	paddocks := f.paddocks()
	cause := f.one("cause", causes...)
	if f.has("cause") && f.has("damage-night") {
		f.wrong("cause", "and --damage-night are both given", "give one of the two")
	}
	if f.has("cause") && !w.FoundDamage() && len(f.problems) == 0 {
		f.wrong("cause", "is given, but no damage", "say what you found with --frost-damage or --killed")
	}
	if len(f.problems) > 0 {
		return nil
	}
	var out []fields.Entry
	harm := map[string][]string{}
	for _, id := range paddocks {
		b := w
		b.Paddock = id
		switch {
		case cause == "dont-know":
			b.DamageNight = on
		case cause == "hail" || cause == "spray" || cause == "drought":
			if !f.v.HarmSince(id, harmKind[cause], on) {
				harm[cause] = append(harm[cause], id)
			}
		case cause == "" && f.v.Unexplained(id, &b, on):
			f.wrong("", fmt.Sprintf("you found damage in %s that no recorded night explains", id),
				"say --damage-night DAY if you know the night, else --cause hail, spray, drought, ripe or dont-know")
		}
		e := fields.Entry{Body: &b}
		if cause == "ripe" {
			e.Note = "ripe, not frost" // a note: it changes no flag
		}
		out = append(out, e)
	}
	return append(out, f.harmEntries(harm, f.date("cause-on", on))...)
}

var causes = []string{"hail", "spray", "drought", "ripe", "dont-know"}

var harmKind = map[string]fields.Kind{"hail": fields.KindHail, "spray": fields.KindSprayed, "drought": fields.KindDrought}

// harmEntries are the entries for hail, spray or drought that a walk gave as
// the cause of damage and nobody has logged yet.
func (f *form) harmEntries(harm map[string][]string, on fields.Date) []fields.Entry {
	var out []fields.Entry
	if p := harm["hail"]; len(p) > 0 {
		out = append(out, fields.Entry{On: on, Body: &fields.Hail{Paddocks: p}})
	}
	if p := harm["spray"]; len(p) > 0 {
		out = append(out, fields.Entry{On: on, Body: &fields.Sprayed{Paddocks: p}})
	}
	if p := harm["drought"]; len(p) > 0 {
		out = append(out, fields.Entry{On: on, Body: &fields.Drought{Paddocks: p, State: "start"}})
	}
	return out
}

// species reads a list of species names, as typed.
func (f *form) species(flag string) []string {
	return append([]string(nil), f.list(flag)...)
}

// mix reads a list of species with shares: "oats:60, field peas:40".
func (f *form) mix(flag string) []fields.SpeciesShare {
	var out []fields.SpeciesShare
	for _, s := range f.list(flag) {
		x, err := fields.ParseShare(s)
		if err != nil {
			f.failed(flag, err)
			continue
		}
		out = append(out, x)
	}
	return out
}
