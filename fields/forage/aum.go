package forage

import "errors"

// Site is a piece of land and what it carries.
type Site struct {
	Area   float64 // in any unit of area
	PerOne float64 // animal-unit months per that unit
}

// AUM adds up the animal-unit months of sites and takes off a reserve for
// wildlife or drought, percent: sum(area x rate) x (1 - reserve/100). Negative
// numbers and reserves beyond 100 % are errors.
func AUM(sites []Site, reservePct float64) (float64, error) {
	if !(reservePct >= 0 && reservePct <= 100) {
		return 0, errors.New("a reserve lies between 0 and 100 %")
	}
	sum := 0.0
	for _, s := range sites {
		if !(s.Area >= 0) || !(s.PerOne >= 0) {
			return 0, errors.New("area and animal-unit months are numbers from zero up")
		}
		sum += s.Area * s.PerOne
	}
	return sum * (1 - reservePct/100), nil
}

// Months returns for how many months aum animal-unit months carry head animals
// of so many animal units each; ok is false without stock.
func Months(aum, head, auPerHead float64) (months float64, ok bool) {
	if !(head > 0) || !(auPerHead > 0) || !(aum >= 0) {
		return 0, false
	}
	return aum / (head * auPerHead), true
}

// HeadFor returns how many head usableKg of dry matter carry for so many days
// at kgPerHead a day, not rounded; ok is false without days or demand.
func HeadFor(usableKg, kgPerHead, days float64) (head float64, ok bool) {
	if !(usableKg >= 0) || !(kgPerHead > 0) || !(days > 0) {
		return 0, false
	}
	return usableKg / (kgPerHead * days), true
}

// Growth returns the growth between two measurements, kg dry matter per ha a
// day; ok is false without days between them.
func Growth(fromKgHa, toKgHa, days float64) (perDay float64, ok bool) {
	if !(days > 0) {
		return 0, false
	}
	return (toKgHa - fromKgHa) / days, true
}
