package ration

import (
	_ "embed"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"rimegate/fields/forage"
	"rimegate/hazard"
)

// Range has a low and a high end. Both are carried through, since they warn of
// opposite things: a big eater takes in more nitrate and empties the stack
// sooner, a small eater makes the water's nitrate a larger part of the diet.
type Range = forage.Range

// Row is one published figure of what a head eats or drinks in a day: dry matter in
// percent of body weight, or litres in summer.
type Row struct {
	Kind      string // the stock it was given for, in the source's sense
	Low, High float64
	Source    hazard.Source

	what    string
	classes []hazard.Class
	weights Range // kg; rows for stock of these weights only; zero: of any
}

// What rows are of. The limits are what is possible for cattle: they check a figure
// that somebody typed and give no end of their own.
const (
	percent     = "percent"
	limits      = "limits"
	litres      = "litres"
	litresPerKg = "litres per kg"
)

// stockCSV holds only figures read at their source. The European Food Safety Authority
// prints kg a head at a stated weight. The calf row of the Canadian table of water is
// unreadable there and not used, its lactating cow is a dairy cow; no figure for
// goats' water was read anywhere.
//
//go:embed stock.csv
var stockCSV string

var stock = sync.OnceValue(func() (out []Row) {
	for _, c := range readCSV(stockCSV) {
		var n [4]float64 // low, high, from and to kg
		for i := range n {
			n[i], _ = strconv.ParseFloat(c[3+i], 64)
		}
		r := Row{Kind: c[2], Low: n[0], High: n[1], Source: source(c[7]), what: c[0], weights: Range{Low: n[2], High: n[3]}}
		for _, w := range strings.Fields(c[1]) {
			class, ok := hazard.ParseClass(w)
			if !ok {
				panic("ration: no class " + w)
			}
			r.classes = append(r.classes, class)
		}
		switch r.what {
		case "kg":
			r.what, r.Low, r.High, r.weights = percent, n[0]/n[2]*100, n[1]/n[2]*100, Range{}
		case "gallons per 100 lb": // of the United States, 3.785411784 L; 100 lb are 45.359237 kg
			r.what, r.High = litresPerKg, n[1]*3.785411784/45.359237
		}
		out = append(out, r)
	}
	return out
})

// IntakePct returns the lowest and the highest published intake for some classes,
// percent of body weight in dry matter a day, with the rows that set the ends.
func IntakePct(classes ...hazard.Class) (pct Range, low, high Row) {
	return intakeEnds(classes, percent)
}

func intakeEnds(classes []hazard.Class, what ...string) (pct Range, low, high Row) {
	low.Low, high.High = math.Inf(1), math.Inf(-1)
	for _, r := range stock() {
		if !slices.Contains(what, r.what) || !slices.ContainsFunc(r.classes, func(c hazard.Class) bool { return slices.Contains(classes, c) }) {
			continue
		}
		if r.Low < low.Low {
			low = r
		}
		if r.High > high.High {
			high = r
		}
	}
	return Range{Low: low.Low, High: high.High}, low, high
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
	return ofWeight(Range{Low: pctBW, High: pctBW}, weightKg)
}

func ofWeight(pct Range, weightKg float64) (Range, error) {
	if !(weightKg > 0) || math.IsInf(weightKg, 0) {
		return Range{}, errors.New("the weight of a head is not known, so neither is what it eats; set the herd's weight, like 600kg or 1320lb")
	}
	return pct.PercentOf(weightKg), nil
}

// IntakeOutside reports a stated intake (percent of body weight) that lies
// outside every published figure for the class, with the outer figures. It is
// a question to ask, not a refusal.
func IntakeOutside(c hazard.Class, pctBW float64) (outer Range, outside bool) {
	outer, _, _ = intakeEnds([]hazard.Class{c}, percent, limits)
	return outer, pctBW < outer.Low || pctBW > outer.High
}

// Litres returns the litres a head drinks a day, the largest published figure for
// the class, since more water is more nitrate, and its row. Figures by weight take
// part when the weight (kg) is known. Goats are an error that says what to type.
func Litres(c hazard.Class, weightKg float64) (float64, Row, error) {
	best, row := -1.0, Row{}
	known := weightKg > 0 && !math.IsInf(weightKg, 0)
	for _, r := range stock() {
		v := r.High
		switch {
		case !slices.Contains(r.classes, c):
			continue
		case r.what == litresPerKg && known:
			v *= weightKg
		case r.what != litres, known && r.weights.High > 0 && (weightKg < r.weights.Low || weightKg > r.weights.High):
			continue
		}
		if v > best {
			best, row = v, r
		}
	}
	if best < 0 {
		return 0, Row{}, fmt.Errorf("no published water figure was read for %s; type the litres a head drinks in a day, like 10L", c)
	}
	return best, row, nil
}
