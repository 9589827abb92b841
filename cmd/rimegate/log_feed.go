package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
)

func lotFlags() []cli.Flag {
	return []cli.Flag{
		text("kind", "hay, silage, baleage or bought (`WORD`)"),
		text("made", "the `DAY` it was baled, wrapped, ensiled or bought"),
		list("from", "`PADDOCKS` it came from"),
		text("cut-on", "the `DAY` it was cut"),
		text("bales", "`N` bales"),
		text("tonnes", "its weight: `WEIGHT` like 45t or 99000lb"),
		text("dm", "dry matter: `PERCENT` like 86%"),
		list("species", "`SPECIES` in it"),
		text("seller", "who sold it (`NAME`)"),
	}
}

// lotBody reads a lot from its flags; what was said before stands where a flag
// is left out.
func lotBody(f *form, id string, was *fields.LotFacts) *fields.LotFacts {
	b := &fields.LotFacts{Lot: id}
	if was != nil {
		b.LotKind, b.MadeOn = was.LotKind, was.MadeOn
	}
	if f.has("kind") || was == nil {
		b.LotKind = fields.LotKind(f.mustOne("kind", "hay", "silage", "baleage", "bought"))
	}
	if f.has("made") || was == nil {
		b.MadeOn = f.mustDate("made")
	}
	b.From = f.paddockList("from")
	b.CutOn = f.date("cut-on", fields.NoDate)
	b.Bales = f.count("bales")
	b.Tonnes = f.quantity("tonnes", fields.Tonnage)
	b.DMPct = f.quantity("dm", fields.Percentage)
	b.Species = f.species("species")
	b.Seller = f.text("seller")
	return b
}

// samplingFlags say how a sample was taken.
func samplingFlags() []cli.Flag {
	return []cli.Flag{
		text("stems", "`N` stems were taken"),
		text("spots", "from `N` spots"),
		text("cut", "how high they were cut: `HEIGHT` like 10cm or 4in"),
		text("bales-cored", "`N` bales were cored"),
		text("cores", "`N` cores in all"),
	}
}

func feedForms() []kindForm {
	return []kindForm{
		{
			kind: "sampled", args: "[PADDOCK]",
			usage: "a sample went to the laboratory",
			more:  "\n   rimegate log sampled --sample 4711 --lab Northern --stems 20 --spots 10 --cut 10cm creek",
			flags: append([]cli.Flag{
				text("lot", "of stored feed: the `LOT`"),
				text("sample", "the sample's `NUMBER` on the bag"),
				text("lab", "which `LABORATORY`"),
			}, samplingFlags()...),
			build: func(f *form) []fields.Body {
				b := &fields.Sampled{
					Sample: f.must("sample", "type the number on the bag"), Lab: f.text("lab"), Stems: f.count("stems"), Spots: f.count("spots"),
					BalesCored: f.count("bales-cored"), Cores: f.count("cores"), CutCM: f.quantity("cut", fields.Height),
				}
				b.Paddock, b.Lot = f.paddockOrLot()
				return []fields.Body{b}
			},
		},
		{
			kind: "lab", args: "[PADDOCK]", undated: true, sure: []cli.Flag{asPrinted()},
			usage: "a result for nitrate or prussic acid",
			more: `
A nitrate number means nothing without its form, unit and basis: between NO3
and NO3-N lies a factor of 4.43. Type what the report says; it is never
guessed.

   rimegate log lab --analyte nitrate --value 3000 --form NO3 --unit ppm --basis dm \
      --method lab --sampled 1-Sep --stems 20 --spots 10 --cut 10cm creek`,
			flags: append([]cli.Flag{
				text("analyte", "nitrate or hcn (`WORD`)"),
				&cli.GenericFlag{Name: "value", Usage: "the `NUMBER` on the report, or \"<100\" if not detected; of several samples all of them: repeat the flag, or \"820; 910\"", Value: &each{}},
				text("form", "of nitrate: NO3, NO3-N, KNO3 or NaNO3 (`WORD`)"),
				text("unit", "ppm, mg/kg, g/kg or % (`WORD`)"),
				text("basis", "dm (dry matter) or as-fed (`WORD`)"),
				text("method", "lab, strip or quick (`WORD`)"),
				text("sampled", "the `DAY` the sample was taken"),
				text("dm", "dry matter: `PERCENT` like 32% (needed for as-fed)"),
				text("lot", "of stored feed: the `LOT`"),
				text("sample", "the sample's `NUMBER`"),
				text("sample-state", "of an hcn sample: sealed, frozen, dried or unknown (`WORD`)"),
			}, samplingFlags()...),
			build: labBody,
		},
		{
			kind: "water", undated: true, sure: []cli.Flag{asPrinted()},
			usage: "a nitrate result of stock water",
			more: `
   rimegate log water --source "east well" --value 24 --form NO3-N --unit mg/L --sampled 1-Sep \
      --herds pairs --paddocks creek,bench`,
			flags: []cli.Flag{
				text("source", "the `WELL`, dugout or trough"),
				text("value", "the `NUMBER` on the report"),
				text("form", "NO3 or NO3-N (`WORD`)"),
				text("unit", "mg/L or ppm (`WORD`)"),
				text("sampled", "the `DAY` the sample was taken"),
				list("paddocks", "`PADDOCKS` that drink from it"),
				list("herds", "`HERDS` that drink from it"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.Water{
					Source: f.must("source", "name the well, dugout or trough"), SampledOn: f.mustDate("sampled"), Value: f.number("value"),
					Form: fields.Form(f.mustExactly("form", "NO3", "NO3-N")), Unit: fields.Unit(f.mustExactly("unit", "mg/L", "ppm")), Paddocks: f.paddockList("paddocks"),
				}
				if !f.has("value") {
					f.wrong("value", "is missing", "type the number on the report")
				}
				f.pointOf(f.text("value"))
				for _, s := range f.list("herds") {
					id, err := f.v.Herd(s)
					f.failed("herds", err)
					b.Herds = append(b.Herds, id)
				}
				return []fields.Body{b}
			},
		},
		{
			kind: "lot", args: "LOT", undated: true, sure: []cli.Flag{asSaid()},
			usage: "stored feed was made or bought",
			more:  "\n   rimegate log lot --kind hay --made 12-Aug --from bench --cut-on 8-Aug --bales 120 bench-hay",
			flags: lotFlags(),
			build: func(f *form) []fields.Body { return []fields.Body{lotBody(f, f.name("lot"), nil)} },
		},
		{
			kind: "fed", undated: true,
			usage: "stored feed was fed",
			more: `
Without a last day the feeding goes on until something later is logged for
the herd. Feed that is on HOLD for the herd stands on top of every list
meanwhile.

   rimegate log fed --lot bench-hay --herd pairs --amount 500kg
   rimegate log fed --lot bench-hay --herd pairs --from 1-Nov --to yesterday`,
			flags: []cli.Flag{
				text("lot", "which `LOT`"),
				text("herd", "to which `HERD`"),
				text("from", "first `DAY` (today if left out)"),
				text("to", "last `DAY`"),
				text("amount", "its weight: `WEIGHT` like 500kg or 1100lb"),
				yes("mixed", "mixed into other feed"),
			},
			build: func(f *form) []fields.Body {
				b := &fields.Fed{From: f.date("from", f.v.Today), To: f.date("to", fields.NoDate), Kg: f.quantity("amount", fields.Weight), Mixed: f.said("mixed")}
				if f.must("lot", "name the lot") != "" {
					b.Lot = f.lot("lot")
				}
				if f.must("herd", "name the herd") != "" {
					b.Herd = f.herd("herd")
				}
				return []fields.Body{b}
			},
		},
	}
}

// pointOf asks about a figure such as 3.000, of which nobody can tell what its
// point is.
func (f *form) pointOf(s string) {
	if fields.ThousandsPoint(s) && !f.yes("as-printed") {
		f.wrong("value", quoted(s)+" has three digits behind a point, which parts thousands in some countries", "type thousands without a sign (3000), or add --as-printed if the point is a decimal one")
	}
}

func labBody(f *form) []fields.Body {
	b := &fields.Lab{
		Analyte:   fields.Analyte(f.mustOne("analyte", "nitrate", "hcn")),
		SampledOn: f.mustDate("sampled"),
		Method:    fields.Method(f.mustOne("method", "lab", "strip", "quick")),
		DMPct:     f.quantity("dm", fields.Percentage),
		Sample:    f.text("sample"), SampleState: fields.SampleState(f.one("sample-state", "sealed", "frozen", "dried", "unknown")),
		Stems: f.count("stems"), Spots: f.count("spots"), BalesCored: f.count("bales-cored"), Cores: f.count("cores"),
		CutCM: f.quantity("cut", fields.Height),
	}
	typed := verbatim(f.c, "value") // never split at a comma: "3,000" is no 3
	for _, s := range typed {
		vs, err := fields.ParseFigures(s)
		if err != nil {
			f.wrong("value", err.Error(), "its unit goes behind --unit")
			continue
		}
		b.Values = append(b.Values, vs...)
		if u := f.text("unit"); u == "ppm" || u == "mg/kg" {
			f.pointOf(s)
		}
	}
	if len(typed) == 0 {
		f.wrong("value", "is missing", "type the number on the report")
	}
	shown := words(typed)
	if b.Analyte == "nitrate" && !f.has("form") {
		f.wrong("form", fmt.Sprintf("is missing: %s of what? Between NO3 and NO3-N lies a factor of 4.43", orWord(shown, "the number")),
			"look on the report and type --form NO3, NO3-N, KNO3 or NaNO3")
	} else if f.has("form") {
		b.Form = fields.Form(f.exactly("form", "NO3", "NO3-N", "KNO3", "NaNO3"))
	}
	if !f.has("unit") {
		f.wrong("unit", fmt.Sprintf("is missing: %s what? 1 %% is 10,000 ppm", orWord(shown, "the number")), "look on the report and type --unit ppm, mg/kg, g/kg or %")
	} else {
		b.Unit = fields.Unit(f.exactly("unit", "ppm", "mg/kg", "g/kg", "%"))
	}
	if !f.has("basis") {
		f.wrong("basis", "is missing: of the dry matter, or as fed with its water?", "look on the report and type --basis dm or as-fed")
	} else {
		b.Basis = fields.LabBasis(f.exactly("basis", "dm", "as-fed"))
	}
	if b.Basis == "as-fed" && b.DMPct == nil && b.Analyte == "nitrate" {
		f.wrong("dm", "is missing", "a result as fed counts only with its dry matter, like --dm 32%")
	}
	b.Paddock, b.Lot = f.paddockOrLot()
	return []fields.Body{b}
}
