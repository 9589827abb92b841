package ration

import (
	"fmt"
	"math"

	"rimegate/fields"
	"rimegate/hazard"
)

// Words of a laboratory figure, the same as in the journal.
const (
	FormN     = "NO3-N" // nitrate nitrogen
	FormNO3   = "NO3"   // the nitrate ion
	FormKNO3  = "KNO3"  // potassium nitrate
	FormNaNO3 = "NaNO3" // sodium nitrate

	UnitPPM     = "ppm"
	UnitMgKg    = "mg/kg"
	UnitGKg     = "g/kg"
	UnitPercent = "%"

	BasisDM    = "dm"
	BasisAsFed = "as-fed"
)

// Forms, Units and Bases in the order they are offered.
var (
	Forms = []string{FormN, FormNO3, FormKNO3, FormNaNO3}
	Units = []string{UnitPPM, UnitMgKg, UnitGKg, UnitPercent}
	Bases = []string{BasisDM, BasisAsFed}
)

// factorNO3 is how far nitrogen read as nitrate is off: grams of NO3 per gram of
// its nitrogen, by atomic weights.
var factorNO3 = hazard.ConvertNitrate(1, FormN, FormNO3)

// Figure is a concentration of nitrate in feed with everything that is needed
// to understand it.
type Figure struct {
	Value float64
	Form  string  // one of Forms
	Unit  string  // one of Units
	Basis string  // one of Bases
	DMPct float64 // dry matter, percent of the feed as fed; 0: not known
}

// In returns the figure in another form, unit and basis. Forms convert by
// atomic weights (hazard.ConvertNitrate), units by 10,000 ppm = 10 g/kg = 1 %,
// bases by as-fed = dry-matter figure x DM % / 100. Words outside the lists,
// or a change of basis without the dry matter, are errors in one sentence.
func (f Figure) In(form, unit, basis string) (Figure, error) {
	from, ok1 := ppmPer(f.Unit)
	to, ok2 := ppmPer(unit)
	if !ok1 || !ok2 {
		return Figure{}, fmt.Errorf("a figure's unit is ppm, mg/kg, g/kg or %%; %q to %q cannot be converted", f.Unit, unit)
	}
	v := hazard.ConvertNitrate(f.Value*from/to, fields.Form(f.Form), fields.Form(form))
	if math.IsNaN(v) && !math.IsNaN(f.Value) {
		return Figure{}, fmt.Errorf("a figure's form is NO3-N, NO3, KNO3 or NaNO3; %q to %q cannot be converted", f.Form, form)
	}
	if f.Basis != BasisDM && f.Basis != BasisAsFed || basis != BasisDM && basis != BasisAsFed {
		return Figure{}, fmt.Errorf("a figure's basis is dm or as-fed; %q to %q cannot be converted", f.Basis, basis)
	}
	if f.Basis != basis {
		if !(f.DMPct > 0 && f.DMPct <= 100) {
			return Figure{}, fmt.Errorf("between as-fed and dry matter the feed's dry matter is needed; type it, like 88%%")
		}
		if basis == BasisDM {
			v /= f.DMPct / 100
		} else {
			v *= f.DMPct / 100
		}
	}
	return Figure{Value: v, Form: form, Unit: unit, Basis: basis, DMPct: f.DMPct}, nil
}

// PPMN returns the figure as ppm NO3-N on dry matter.
func (f Figure) PPMN() (float64, error) {
	g, err := f.In(FormN, UnitPPM, BasisDM)
	return g.Value, err
}

// ppmPer is how many ppm one of the unit is.
func ppmPer(unit string) (float64, bool) {
	switch unit {
	case UnitPPM, UnitMgKg:
		return 1, true
	case UnitGKg:
		return 1000, true
	case UnitPercent:
		return 10000, true
	}
	return 0, false
}

// AsFed returns kg as fed of kgDM dry matter; ok is false without a dry matter
// between 0 and 100 %. As fed = dry matter / (DM % / 100).
func AsFed(kgDM, dmPct float64) (kg float64, ok bool) {
	if !(dmPct > 0 && dmPct <= 100) {
		return 0, false
	}
	return kgDM / (dmPct / 100), true
}

// DryMatter returns kg dry matter of kg as fed; ok is false without a dry
// matter between 0 and 100 %.
func DryMatter(kgAsFed, dmPct float64) (kg float64, ok bool) {
	if !(dmPct > 0 && dmPct <= 100) {
		return 0, false
	}
	return kgAsFed * (dmPct / 100), true
}
