package main

import (
	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

func standForms() []kindForm {
	return []kindForm{
		{
			kind: "sown", args: "PADDOCKS", sure: []cli.Flag{asSaid()}, asksDay: "it was sown",
			usage: "seed went into the ground",
			more: `
Name everything in the mix: the most dangerous plant decides, however small
its share. A sowing adds to what grows there; --new-stand starts anew.

   rimegate log sown --on 5-Jun --new-stand --species "sorghum-sudangrass:60, pearl millet:30, cowpea:10" north-slough`,
			flags: []cli.Flag{
				list("species", "`SPECIES` of the mix, with their share in percent if known: oats:60"),
				yes("mix-not-known", "nobody knows what was in the mix (counts as a dangerous unknown plant)"),
				yes("new-stand", "the old stand is gone"),
				text("ended", "how the old stand ended: tilled, sprayed or winter-killed (`WORD`)"),
			},
			build: func(f *form) []fields.Body {
				mix := f.mix("species")
				switch {
				case f.yes("mix-not-known") && len(mix) > 0:
					f.wrong("species", "and --mix-not-known contradict each other", "give one of the two")
				case f.yes("mix-not-known"):
					mix = []fields.SpeciesShare{}
				case len(mix) == 0 && len(f.problems) == 0:
					f.wrong("species", "is missing", "name what was sown, like --species oats:60,peas:40, or --mix-not-known")
				}
				return f.each(func(id string) fields.Body {
					return &fields.Sown{Paddock: id, Species: mix, NewStand: f.said("new-stand"), Ended: fields.Ended(f.one("ended", "tilled", "sprayed", "winter-killed"))}
				})
			},
		},
		{
			kind: "seen", args: "PADDOCKS", sure: []cli.Flag{asSaid()},
			usage: "plants found growing: weeds, volunteers, fence lines",
			more: `
What is found was there before: it counts from the sowing on. How much of the
stand a weed is decides what its nitrate can do: left out, it is taken as
patches.

   rimegate log seen --species kochia,chokecherry --extent trace --where "east fence" creek`,
			flags: []cli.Flag{
				list("species", "`SPECIES` found"),
				text("extent", "how much of the stand: trace (scattered, under 5 %), patches or common (`WORD`)"),
				text("where", "`WHERE` they grow"),
			},
			build: func(f *form) []fields.Body {
				if len(f.list("species")) == 0 {
					f.wrong("species", "is missing", "name what was found growing")
				}
				return f.each(func(id string) fields.Body {
					return &fields.Seen{Paddock: id, Species: f.species("species"), Where: f.text("where"), Extent: fields.Extent(f.one("extent", "trace", "patches", "common"))}
				})
			},
		},
		{
			kind: "drought", args: "PADDOCKS",
			usage: "a drought starts or ends",
			more: `
   rimegate log drought --start bench,creek
   rimegate log drought --end --rain 30mm bench,creek`,
			flags: []cli.Flag{
				yes("start", "the stand is short of water"),
				yes("end", "rain ended it"),
				text("rain", "the rain that ended it: `DEPTH` like 30mm or 1.2in"),
			},
			build: func(f *form) []fields.Body {
				return []fields.Body{&fields.Drought{RainMM: f.quantity("rain", fields.RainDepth), Paddocks: f.paddocks(), State: fields.DroughtState(f.which("start", "end"))}}
			},
		},
		{
			kind: "rain", args: "PADDOCKS",
			usage: "rain fell",
			more: `
Rain ends no drought by itself: that is logged too (log drought --end).

   rimegate log rain --amount 12mm all`,
			flags: []cli.Flag{text("amount", "`DEPTH` with its unit: 12mm, 0.5in")},
			build: func(f *form) []fields.Body {
				return []fields.Body{&fields.Rain{MM: f.mustQuantity("amount", fields.RainDepth), Paddocks: f.paddocks()}}
			},
		},
		{
			kind: "hail", args: "PADDOCKS",
			usage: "hail hit the stand",
			more:  "\n   rimegate log hail --on yesterday creek,bench",
			build: func(f *form) []fields.Body { return []fields.Body{&fields.Hail{Paddocks: f.paddocks()}} },
		},
		{
			kind: "trampled", args: "PADDOCKS",
			usage: "stock, wheels or people damaged the stand",
			more:  "\n   rimegate log trampled --note \"tractor, east side\" creek",
			build: func(f *form) []fields.Body { return []fields.Body{&fields.Trampled{Paddocks: f.paddocks()}} },
		},
		{
			kind: "sprayed", args: "PADDOCKS",
			usage: "a spray, or drift of one, reached the stand",
			more:  "\n   rimegate log sprayed --product 2,4-D --on 3-Jul creek",
			flags: []cli.Flag{text("product", "what was sprayed: `PRODUCT`")},
			build: func(f *form) []fields.Body {
				return []fields.Body{&fields.Sprayed{Product: f.text("product"), Paddocks: f.paddocks()}}
			},
		},
		{
			kind: "nitrogen", args: "PADDOCKS",
			usage: "fertiliser or manure was spread",
			more: `
The rate is nitrogen, as N, and not the weight of the product. Of manure that
nobody weighed say --rate-unknown: it counts as above every rate.

   rimegate log nitrogen --rate 56kg/ha --form urea --on 12-Jul bench
   rimegate log nitrogen --rate-unknown --form manure --on 12-Jul bench`,
			flags: []cli.Flag{
				text("rate", "nitrogen: `RATE` with its unit: 56kg/ha, 50lb/ac"),
				yes("rate-unknown", "nobody knows the rate"),
				text("form", "what it was: `FORM` such as urea or manure"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.Nitrogen{KgNHa: f.quantity("rate", fields.PerArea), RateUnknown: f.said("rate-unknown"), Form: f.text("form"), Paddocks: f.paddocks()}
				switch unknown := f.yes("rate-unknown"); {
				case unknown && f.has("rate"):
					f.wrong("rate", "and --rate-unknown are both given", "give one of the two")
				case !unknown && !f.has("rate"):
					f.wrong("rate", "is missing", "type it with its unit, like --rate 56kg/ha or 50lb/ac, or --rate-unknown if nobody knows it")
				}
				return []fields.Body{b}
			},
		},
		{
			kind: "cut", args: "PADDOCKS",
			usage: "the stand was cut",
			more: `
"May be cut" is not "may be fed": what it becomes is a lot (lot add), and
has an answer of its own.

   rimegate log cut --use hay --height 10cm --lot bench-hay --on 8-Aug bench`,
			flags: []cli.Flag{
				text("use", "hay, silage, swath or green-chop (`WORD`)"),
				text("height", "height of the stubble: `HEIGHT` like 10cm or 4in"),
				text("lot", "the `LOT` of feed it became"),
			},
			build: func(f *form) []fields.Body {
				return f.each(func(id string) fields.Body {
					return &fields.Cut{
						Paddock: id, Use: fields.CutUse(f.mustOne("use", "hay", "silage", "swath", "green-chop")),
						HeightCM: f.quantity("height", fields.Height), Lot: f.text("lot"),
					}
				})
			},
		},
		{
			kind: "split", undated: false,
			usage: "one paddock became several",
			more: `
Each part keeps the whole past of the land it came from.

   rimegate log split --from creek --into creek-north,creek-south`,
			flags: []cli.Flag{text("from", "the `PADDOCK` that was split"), list("into", "new `PADDOCKS`")},
			build: func(f *form) []fields.Body {
				b := &fields.Split{Into: f.list("into")}
				if s := f.must("from", "name the paddock that was split"); s != "" {
					id, err := f.v.Paddock(s)
					f.failed("from", err)
					b.From = []string{id}
				}
				if len(b.Into) < 2 {
					f.wrong("into", "names fewer than two paddocks", "type the short names of the parts, like --into creek-north,creek-south")
				}
				return []fields.Body{b}
			},
		},
		{
			kind: "join", usage: "several paddocks became one",
			more: `
The new paddock answers for each piece of land in it: the worst of them
holds.

   rimegate log join --from creek,bench --into lower-place`,
			flags: []cli.Flag{list("from", "`PADDOCKS` that were joined"), text("into", "the new `PADDOCK`")},
			build: func(f *form) []fields.Body {
				b := &fields.Join{From: f.paddockList("from")}
				if len(b.From) < 2 && len(f.problems) == 0 {
					f.wrong("from", "names fewer than two paddocks", "type the short names of those that were joined")
				}
				if s := f.must("into", "type a short name for the new paddock"); s != "" {
					b.Into = []string{s}
				}
				return []fields.Body{b}
			},
		},
	}
}

// each makes one body for each paddock named.
func (f *form) each(body func(id string) fields.Body) []fields.Body {
	var out []fields.Body
	for _, id := range f.paddocks() {
		before := len(f.problems)
		out = append(out, body(id))
		if len(f.problems) > before {
			break // the same flag is wrong for every paddock
		}
	}
	return out
}
