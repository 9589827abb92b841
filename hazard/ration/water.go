package ration

import (
	"errors"
	"fmt"
	"math"

	"rimegate/hazard"
)

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
