package ration

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"rimegate/hazard"
)

// WaterRow is one published figure of what a head drinks in summer, litres a day:
// more water is more nitrate.
type WaterRow struct {
	Classes   []hazard.Class
	Kind      string
	Litres    float64 // the high end
	Weights   Range   // kg; rows for stock of these weights only; zero: of any
	ForWeight bool    // Litres are per 100 kg of body weight
	Source    hazard.Source
}

// litresPer100kg converts US gallons per 100 lb (Kansas State's unit) to
// litres per 100 kg: 3.785411784 L and 45.359237 kg.
func litresPer100kg(gallonsPer100lb float64) float64 {
	return gallonsPer100lb * 3.785411784 / 45.359237 * 100
}

// waterRows holds only figures read at their source. The calf row of the
// Canadian table is unreadable there and not used, its lactating cow is a dairy
// cow; no figure for goats was read anywhere.
var waterRows = []WaterRow{
	{bred, "cow-calf pair", 68, Range{}, false, source("aafc-watering")},
	{beef, "dry cow", 55, Range{}, false, source("aafc-watering")},
	{growing, "growing cattle, 180 to 360 kg", 55, Range{180, 360}, false, source("aafc-watering")},
	{growing, "finishing cattle, 270 to 540 kg", 86, Range{270, 540}, false, source("aafc-watering")},
	{[]hazard.Class{hazard.OpenCattle}, "bull", 55, Range{}, false, source("aafc-watering")},
	{cattle, "cattle, by weight", litresPer100kg(1.5), Range{}, true, source("ks-watering-handbook")},
	{sheep, "sheep", 14, Range{}, false, source("aafc-watering")},
	{horses, "horse", 55, Range{}, false, source("aafc-watering")},
}

// Litres returns the litres a head drinks a day, the largest published figure for
// the class, and its row. Figures by weight take part when the weight (kg) is
// known. Goats are an error that says what to type.
func Litres(c hazard.Class, weightKg float64) (float64, WaterRow, error) {
	best, row := -1.0, WaterRow{}
	known := weightKg > 0 && !math.IsInf(weightKg, 0)
	for _, r := range waterRows {
		if !slices.Contains(r.Classes, c) || r.ForWeight && !known {
			continue
		}
		if known && r.Weights.High > 0 && (weightKg < r.Weights.Low || weightKg > r.Weights.High) {
			continue
		}
		v := r.Litres
		if r.ForWeight {
			v *= weightKg / 100
		}
		if v > best {
			best, row = v, r
		}
	}
	if best < 0 {
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
	Flag hazard.Flag
	Rule string // id of the line that decided, "" below both
	Text string
}

// JudgeWater holds a water's nitrate (mg NO3-N per litre) against the rulebook's two
// lines; a value on a line belongs to the worse side.
func JudgeWater(book *hazard.Rulebook, n float64) (WaterWord, error) {
	if !(n >= 0) || math.IsInf(n, 0) {
		return WaterWord{}, errors.New("nitrate in water is a number of mg per litre, zero or more, like 25")
	}
	both := fmt.Sprintf("%s mg NO3-N per litre (%s mg NO3)", number(n, 1), number(hazard.ConvertNitrate(n, "NO3-N", "NO3"), 1))
	caution, hold := book.V[hazard.NitrateWaterCaution], book.V[hazard.NitrateWaterHold]
	switch {
	case n >= hold*(1-edge):
		return WaterWord{
			hazard.Hold, hazard.NitrateWaterHold.String(),
			both + ": at or above " + number(hold, 1) + " mg NO3-N it is not for stock",
		}, nil
	case n >= caution*(1-edge):
		return WaterWord{
			hazard.Caution, hazard.NitrateWaterCaution.String(),
			both + ": at or above " + number(caution, 1) + " mg NO3-N problems are possible; it is added to the feed's nitrate",
		}, nil
	}
	return WaterWord{hazard.Clear, "", both + ": below " + number(caution, 1) + " mg NO3-N; it is still added to the feed's nitrate"}, nil
}

// WaterLine is one published line for stock water.
type WaterLine struct {
	NMgL   float64 // mg NO3-N per litre
	Says   string
	Source hazard.Source
}

// WaterLines are the published lines for nitrate in stock water, so that the
// line used can be shown beside the others.
func WaterLines() []WaterLine {
	return []WaterLine{
		{hazard.ConvertNitrate(44, "NO3", "NO3-N"), "upper end of what is expected (44 mg NO3)", source("beede-water")},
		{hazard.ConvertNitrate(100, "NO3", "NO3-N"), "possible problems above it (100 mg NO3)", source("beede-water")},
		{100, "livestock standard, nitrate plus nitrite as N", source("cdphe-livestock-water")},
		{100, "safe below it; caution from here, to be added to the feed's", source("sd-water")},
		{300, "potentially toxic above it", source("sd-water")},
	}
}
