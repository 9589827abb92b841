package ration

import (
	"errors"
	"math"
	"slices"

	"rimegate/hazard"
)

// Range has a low and a high end. Both are carried through, since they warn of
// opposite things: a big eater takes in more nitrate and empties the stack
// sooner, a small eater makes the water's nitrate a larger part of the diet.
type Range struct{ Low, High float64 }

// IntakeRow is one published figure of dry-matter intake, percent of body
// weight a day.
type IntakeRow struct {
	Classes   []hazard.Class
	Kind      string // the stock it was given for, in the source's sense
	Low, High float64
	Source    hazard.Source
}

var (
	beef    = []hazard.Class{hazard.BredCattle, hazard.OpenCattle}
	growing = []hazard.Class{hazard.YoungCattle, hazard.OpenCattle}
	cattle  = []hazard.Class{hazard.BredCattle, hazard.YoungCattle, hazard.OpenCattle}
	bred    = []hazard.Class{hazard.BredCattle}
	sheep   = []hazard.Class{hazard.Sheep}
	goats   = []hazard.Class{hazard.Goats}
	horses  = []hazard.Class{hazard.Horses}
)

// intakeRows holds only figures read at their source. The European Food Safety
// Authority prints kg a head at a stated weight; its rows are those kg over
// that weight.
var intakeRows = []IntakeRow{
	{cattle, "on low-quality forage", 1.5, 1.5, source("mullenix-2022")},
	{beef, "dry cow, forage of 52 % TDN or less", 1.8, 1.8, source("ne-rasby-intake")},
	{beef, "dry cow, forage of 52 to 59 % TDN", 2.0, 2.0, source("ne-rasby-intake")},
	{bred, "cow in milk, forage of 52 to 59 % TDN", 2.3, 2.3, source("ne-rasby-intake")},
	{beef, "cow, low-quality forage", 1.8, 2.0, source("ab-faq-7811")},
	{beef, "cow, average forage", 2.0, 2.2, source("ab-faq-7811")},
	{bred, "cow, good forage, to 2.7 % in milk", 2.2, 2.7, source("ab-faq-7811")},
	{beef, "mature cattle", 2.2, 2.5, source("mullenix-2022")},
	{growing, "growing cattle", 3.0, 3.0, source("mullenix-2022")},
	{beef, "beef cattle", 2.5, 3.0, source("ncat-graziers-math")},
	{growing, "growing cattle", 3.0, 3.0, source("ncat-graziers-math")},
	{bred, "cow with calf", 2.6, 2.6, source("ks-fick-stocking")},
	{growing, "steer", 3.0, 3.0, source("ks-fick-stocking")},
	{beef, "beef cow", 2.6, 2.6, source("tx-aue-chart")},
	{[]hazard.Class{hazard.OpenCattle, hazard.YoungCattle}, "beef animal of 400 kg (9.6 kg)", 9.6 / 400 * 100, 9.6 / 400 * 100, source("efsa-2018-e1")},

	{sheep, "ewe, dry", 2.5, 2.5, source("ncat-graziers-math")},
	{sheep, "ewe in milk", 4.5, 4.5, source("ncat-graziers-math")},
	{sheep, "ewe", 3.5, 3.5, source("tx-aue-chart")},
	{sheep, "ewe of 80 kg (2.8 kg)", 2.8 / 80 * 100, 2.8 / 80 * 100, source("efsa-2018-e1")},
	{sheep, "sheep", 2, 4, source("md-schoenian")},

	{goats, "goat", 4, 5, source("ncat-graziers-math")},
	{goats, "Spanish or Angora nanny", 4.5, 4.5, source("tx-aue-chart")},
	{goats, "Boer-cross nanny", 4.0, 4.0, source("tx-aue-chart")},
	{goats, "milking goat of 60 kg (3.4 kg)", 3.4 / 60 * 100, 3.4 / 60 * 100, source("efsa-2018-e1")},
	{goats, "goat", 2, 4, source("md-schoenian")},

	{horses, "horse at light work", 1.8, 1.8, source("equi-analytical-intake")},
	{horses, "horse of 450 kg (9.0 kg)", 2.0, 2.0, source("efsa-2018-e1")},
	{horses, "horse", 3.0, 3.0, source("tx-aue-chart")},
}

// outerRow are the outer limits of what is possible for cattle; they check a figure
// that somebody typed and give no end of their own.
var outerRow = IntakeRow{cattle, "all cattle", 1.4, 4.0, source("ab-faq-7811")}

// IntakePct returns the lowest and the highest published intake for a class,
// percent of body weight in dry matter a day, with the rows that set the ends.
func IntakePct(c hazard.Class) (pct Range, low, high IntakeRow) {
	pct = Range{math.Inf(1), math.Inf(-1)}
	for _, r := range intakeRows {
		if !slices.Contains(r.Classes, c) {
			continue
		}
		if r.Low < pct.Low {
			pct.Low, low = r.Low, r
		}
		if r.High > pct.High {
			pct.High, high = r.High, r
		}
	}
	return pct, low, high
}

// Intake returns kg of dry matter a head a day at both ends for a class and a
// body weight in kg: percent of body weight x weight / 100. Without a weight
// there is no answer; a weight is not guessed.
func Intake(c hazard.Class, weightKg float64) (Range, error) {
	pct, _, _ := IntakePct(c)
	return ofWeight(pct, weightKg)
}

// IntakeSaid returns kg of dry matter a head a day from a percentage of body
// weight that the farm states for the herd: both ends are that figure.
func IntakeSaid(pctBW, weightKg float64) (Range, error) {
	if !(pctBW > 0) || math.IsInf(pctBW, 0) {
		return Range{}, errors.New("an intake is a percentage of body weight above zero, like 2.5%")
	}
	return ofWeight(Range{pctBW, pctBW}, weightKg)
}

func ofWeight(pct Range, weightKg float64) (Range, error) {
	if !(weightKg > 0) || math.IsInf(weightKg, 0) {
		return Range{}, errors.New("the weight of a head is not known, so neither is what it eats; set the herd's weight, like 600kg or 1320lb")
	}
	return Range{pct.Low * weightKg / 100, pct.High * weightKg / 100}, nil
}

// IntakeOutside reports a stated intake (percent of body weight) that lies
// outside every published figure for the class, with the outer figures. It is
// a question to ask, not a refusal.
func IntakeOutside(c hazard.Class, pctBW float64) (outer Range, outside bool) {
	outer, _, _ = IntakePct(c)
	if slices.Contains(outerRow.Classes, c) {
		outer.Low, outer.High = min(outer.Low, outerRow.Low), max(outer.High, outerRow.High)
	}
	return outer, pctBW < outer.Low || pctBW > outer.High
}
