package main

import (
	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/hazard"
)

func stockForms() []kindForm {
	return []kindForm{
		{
			kind: "grazed", args: "PADDOCK",
			usage: "stock went in or came out",
			more: `
A herd that goes in elsewhere comes out here by itself. Say what they left:
20 cm (8 in) or less is grazed off and ends what a frost or an HCN result
left standing; more, or nothing said, does not.

   rimegate log grazed --in --herd pairs creek
   rimegate log grazed --out --left 25cm creek`,
			flags: []cli.Flag{
				yes("in", "stock went in"),
				yes("out", "stock came out"),
				text("herd", "which `HERD` (left out: stock nobody named; with --out, all of it)"),
				text("left", "height left behind: `HEIGHT` like 25cm or 10in"),
				yes("swath-left", "some of the swath is left"),
			},
			build: func(f *form) []fields.Body {
				return []fields.Body{&fields.Grazed{
					Paddock: f.paddock(), Herd: f.herd("herd"), LeftCM: f.quantity("left", fields.Height), SwathLeft: f.said("swath-left"),
					State: fields.Move(f.which("in", "out")),
				}}
			},
		},
		{
			kind: "incident", args: "[PADDOCK]",
			usage: "an animal is sick or dead",
			more: `
Get the others out quietly, put none back, call the vet; then log it. The
paddock is on HOLD for every class and use until a veterinarian says
otherwise.

   rimegate log incident --herd ewes --down 1 --what "staggering, froth" creek`,
			flags: []cli.Flag{
				text("lot", "it was stored feed: the `LOT`"),
				text("herd", "which `HERD`"),
				text("down", "`N` are down or sick"),
				text("dead", "`N` are dead"),
				text("what", "`WHAT` you saw"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.Incident{Herd: f.herd("herd"), Down: f.count("down"), Dead: f.count("dead"), What: f.text("what")}
				b.Paddock, b.Lot = f.paddockOrLot()
				return []fields.Body{b}
			},
		},
		{
			kind: "vet", args: "[PADDOCKS]",
			usage: "what a veterinarian said",
			more: `
Keep-off always holds. May-graze needs its last day and makes CAUTION of a
hold, never CLEAR. No class or use named means all of them.

   rimegate log vet --keep-off --who "Dr Aune" --because "found chokecherry" creek
   rimegate log vet --may-graze --who "Dr Aune" --because "tested" --until 30-Sep --class sheep creek`,
			flags: []cli.Flag{
				yes("keep-off", "keep stock off"),
				yes("may-graze", "stock may go in"),
				text("who", "`WHO` said so"),
				text("because", "the `REASON`"),
				text("until", "last `DAY` it holds (needed with --may-graze; may lie ahead)"),
				list("class", "for these `CLASSES` only"),
				list("use", "for these `USES` only"),
				text("lot", "about stored feed: the `LOT`"),
			},
			build: func(f *form) []fields.Body {
				b := fields.Vet{
					Who: f.must("who", "type the veterinarian's name"), Because: f.must("because", "type the reason"),
					Until: f.ahead("until"), Classes: f.classes("class"), Uses: f.uses("use"), Advice: fields.Advice(f.which("keep-off", "may-graze")),
				}
				if f.has("lot") {
					if f.c.NArg() > 0 {
						f.wrong("lot", "and a paddock are both named", "it is about one of the two")
					}
					b.Lot = f.lot("lot")
					return []fields.Body{&b}
				}
				return f.each(func(id string) fields.Body {
					x := b
					x.Paddock = id
					return &x
				})
			},
		},
	}
}

// classes reads a list of classes of stock.
func (f *form) classes(flag string) []string {
	var out []string
	for _, s := range f.list(flag) {
		if _, ok := hazard.ParseClass(s); !ok {
			f.wrong(flag, quoted(s)+" is no class of stock", "type one of "+words(classWords()))
			continue
		}
		out = append(out, s)
	}
	return out
}

// uses reads a list of uses, of paddocks and of stored feed.
func (f *form) uses(flag string) []string {
	var out []string
	for _, s := range f.list(flag) {
		if _, ok := hazard.ParseUse(s); !ok {
			f.wrong(flag, quoted(s)+" is no use", "type one of "+words(useWords()))
			continue
		}
		out = append(out, s)
	}
	return out
}

func classWords() []string {
	var out []string
	for _, c := range hazard.Classes {
		out = append(out, c.String())
	}
	return out
}

func useWords() []string {
	var out []string
	for _, u := range hazard.PaddockUses {
		out = append(out, u.String())
	}
	return append(out, hazard.Feed.String())
}
