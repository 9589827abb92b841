package ration

import (
	"fmt"
	"math"
	"strconv"

	"rimegate/fields"
	"rimegate/hazard"
)

// WaterRow is one published figure of what a head drinks, litres a day.
type WaterRow struct {
	Classes        []hazard.Class
	Kind           string
	Winter, Summer Range
	Weights        Range // kg; rows for stock of these weights only; zero: of any
	// ForWeight rows are per 100 kg of body weight.
	ForWeight bool
	// Dairy rows are left out unless they are asked for by their kind.
	Dairy  bool
	Source hazard.Source
}

// litresPer100kg converts US gallons per 100 lb (Kansas State's unit) to
// litres per 100 kg: 3.785411784 L and 45.359237 kg.
func litresPer100kg(gallonsPer100lb float64) float64 {
	return gallonsPer100lb * 3.785411784 / 45.359237 * 100
}

// waterRows holds only figures read at their source. The calf row of the
// Canadian table is unreadable there and not used; no figure for goats was
// read anywhere.
var waterRows = []WaterRow{
	{bred, "lactating cow", Range{77, 77}, Range{95, 95}, Range{}, false, true, srcAAFC},
	{bred, "cow-calf pair", Range{50, 50}, Range{68, 68}, Range{}, false, false, srcAAFC},
	{beef, "dry cow", Range{36, 36}, Range{55, 55}, Range{}, false, false, srcAAFC},
	{growing, "growing cattle, 180 to 360 kg", Range{23, 36}, Range{36, 55}, Range{180, 360}, false, false, srcAAFC},
	{growing, "finishing cattle, 270 to 540 kg", Range{55, 55}, Range{86, 86}, Range{270, 540}, false, false, srcAAFC},
	{[]hazard.Class{hazard.OpenCattle}, "bull", Range{36, 36}, Range{55, 55}, Range{}, false, false, srcAAFC},
	{
		cattle, "cattle, by weight",
		Range{litresPer100kg(0.75), litresPer100kg(0.75)},
		Range{litresPer100kg(1.5), litresPer100kg(1.5)},
		Range{},
		true, false, srcKCARE,
	},
	{sheep, "sheep", Range{3.6, 3.6}, Range{14, 14}, Range{}, false, false, srcAAFC},
	{horses, "horse", Range{36, 36}, Range{55, 55}, Range{}, false, false, srcAAFC},
}

// WaterRows returns the published drinking figures for a class.
func WaterRows(c hazard.Class) []WaterRow {
	var out []WaterRow
	for _, r := range waterRows {
		if has(r.Classes, c) {
			out = append(out, r)
		}
	}
	return out
}

// Season of the water table.
type Season uint8

// Seasons. Nitrate is worked out with summer litres unless somebody says
// otherwise: more water is more nitrate.
const (
	Summer Season = iota
	Winter
)

// Litres returns the litres a head drinks a day: of the kind named, or, with
// kind "", the largest published figure for the class. Figures by weight take
// part when the weight (kg) is known. Goats, and kinds the table does not
// hold, are errors that say what to type.
func Litres(c hazard.Class, kind string, s Season, weightKg float64) (float64, WaterRow, error) {
	best, row := -1.0, WaterRow{}
	for _, r := range WaterRows(c) {
		if kind != "" && r.Kind != kind || kind == "" && r.Dairy {
			continue
		}
		if kind == "" && weightKg > 0 && r.Weights.High > 0 && (weightKg < r.Weights.Low || weightKg > r.Weights.High) {
			continue
		}
		v := r.Summer.High
		if s == Winter {
			v = r.Winter.High
		}
		if r.ForWeight {
			if !(weightKg > 0) || math.IsInf(weightKg, 0) {
				continue
			}
			v *= weightKg / 100
		}
		if v > best {
			best, row = v, r
		}
	}
	if best < 0 {
		if kind != "" {
			return 0, WaterRow{}, fmt.Errorf("no published water figure for %q among %s; type the litres a head drinks in a day, like 55L", kind, c)
		}
		return 0, WaterRow{}, fmt.Errorf("no published water figure was read for %s; type the litres a head drinks in a day, like 10L", c)
	}
	return best, row, nil
}

// Water is what a head drinks in a day and the nitrate in it.
type Water struct {
	Litres float64 // a head a day
	NMgL   float64 // mg NO3-N per litre
	Tested bool    // false: nobody tested it; nothing is added, and that is said
}

// Grams returns the water's nitrate, g NO3-N a head a day: litres x mg/L / 1000.
func (w Water) Grams() float64 {
	if !w.Tested {
		return 0
	}
	return w.Litres * w.NMgL / 1000
}

// WaterWord is what the rulebook says of a water by itself. It is a word for
// people: no paddock's or lot's flag depends on it.
type WaterWord struct {
	Flag   hazard.Flag
	NMgL   float64 // mg NO3-N per litre
	NO3MgL float64
	Limit  float64 // the line that decided, mg NO3-N per litre
	Rule   string  // rule id of that line, "" below both
	Text   string
}

// JudgeWater holds a water's nitrate (mg/L of form NO3 or NO3-N) against the
// rulebook's two lines; a value on a line belongs to the worse side.
func JudgeWater(book *hazard.Rulebook, mgL float64, form string) (WaterWord, error) {
	n := hazard.ConvertNitrate(mgL, fields.Form(form), FormN)
	if form != FormN && form != FormNO3 {
		return WaterWord{}, fmt.Errorf("nitrate in water is told as NO3 or NO3-N; %q is neither: ask the laboratory, the two differ %s times", form, number(factorNO3, 2))
	}
	if !(n >= 0) || math.IsInf(n, 0) {
		return WaterWord{}, fmt.Errorf("nitrate in water is a number of mg per litre, zero or more, like 25")
	}
	w := WaterWord{NMgL: n, NO3MgL: hazard.ConvertNitrate(n, FormN, FormNO3)}
	both := number(n, 1) + " mg NO3-N per litre (" + number(w.NO3MgL, 1) + " mg NO3)"
	caution, hold := book.V[hazard.NitrateWaterCaution], book.V[hazard.NitrateWaterHold]
	switch {
	case n >= hold*(1-edge):
		w.Flag, w.Limit, w.Rule = hazard.Hold, hold, hazard.NitrateWaterHold.String()
		w.Text = both + ": at or above " + number(hold, 1) + " mg NO3-N it is not for stock"
	case n >= caution*(1-edge):
		w.Flag, w.Limit, w.Rule = hazard.Caution, caution, hazard.NitrateWaterCaution.String()
		w.Text = both + ": at or above " + number(caution, 1) + " mg NO3-N problems are possible; it is added to the feed's nitrate"
	default:
		w.Flag, w.Limit = hazard.Clear, caution
		w.Text = both + ": below " + number(caution, 1) + " mg NO3-N; it is still added to the feed's nitrate"
	}
	return w, nil
}

// WaterLines are the published lines for nitrate in stock water, so that the
// line used can be shown beside the others. Values are mg NO3-N per litre.
func WaterLines() []WaterLine {
	return []WaterLine{
		{hazard.ConvertNitrate(44, FormNO3, FormN), "upper end of what is expected (44 mg NO3)", srcBeede},
		{hazard.ConvertNitrate(100, FormNO3, FormN), "possible problems above it (100 mg NO3)", srcBeede},
		{100, "livestock standard, nitrate plus nitrite as N", srcCDPHE},
		{100, "safe below it; caution from here, to be added to the feed's", srcSDWater},
		{300, "potentially toxic above it", srcSDWater},
	}
}

// WaterLine is one published line for stock water.
type WaterLine struct {
	NMgL   float64
	Says   string
	Source hazard.Source
}

// edge turns a value on a line toward the worse side.
const edge = 1e-9

// number prints v with at most places decimals.
func number(v float64, places int) string {
	p := math.Pow(10, float64(places))
	r := math.Round(v*p) / p
	if r == 0 {
		r = 0
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}
