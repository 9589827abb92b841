package ration

import "rimegate/fields"

// DietEnd is a day's diet of one head at one end of its intake.
type DietEnd struct {
	KgDM   float64 // dry matter eaten
	FeedG  float64 // g NO3-N from feed
	WaterG float64 // g NO3-N from water
	// PPMN is the diet-equivalent, ppm NO3-N on dry matter:
	// (feed g + water g) x 1000 / kg dry matter.
	PPMN float64
}

// Grams is the day's nitrate of a head, g NO3-N.
func (d DietEnd) Grams() float64 { return d.FeedG + d.WaterG }

// Part is one feed of a head's day.
type Part struct {
	KgDM float64 // dry matter eaten
	PPMN float64 // ppm NO3-N on dry matter
}

// Sum adds the nitrate of a head's feeds and its water. Without dry matter
// there is no diet to hold the water against: PPMN is then 0.
//
//	feed g NO3-N  = sum of kg DM x ppm / 1000
//	water g NO3-N = litres x mg/L / 1000
func Sum(parts []Part, w Water) DietEnd {
	var d DietEnd
	for _, p := range parts {
		d.KgDM += p.KgDM
		d.FeedG += p.KgDM * p.PPMN / 1000
	}
	d.WaterG = w.Grams()
	if d.KgDM > 0 {
		d.PPMN = d.Grams() * 1000 / d.KgDM
	}
	return d
}

// Diet is one feed or mixture at both ends of intake, with the same water.
type Diet struct{ Low, High DietEnd }

// DietOf works out both ends for a feed of ppmN on dry matter.
func DietOf(ppmN float64, intake Range, w Water) Diet {
	return Diet{
		Low:  Sum([]Part{{intake.Low, ppmN}}, w),
		High: Sum([]Part{{intake.High, ppmN}}, w),
	}
}

// Worst returns the larger diet-equivalent of the two ends, ppm NO3-N.
func (d Diet) Worst() float64 { return max(d.Low.PPMN, d.High.PPMN) }

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

// edge turns a value on a line toward the worse side.
const edge = 1e-9

var number = fields.Rounded
