package board

import (
	"math"

	"rimegate/fields"
	"rimegate/weather"
)

// OffsetSheet is what paired nights tell of a paddock and a station.
type OffsetSheet struct {
	Sheet
	Offset weather.Offset
}

// NewOffsetSheet learns the offset. The error is one sentence. calm says that
// the pairs are of calm, clear nights only; set is the offset in force, °C, nil
// for none.
func NewOffsetSheet(h *fields.History, paddock, station string, pairs []weather.Pair, calm bool, set *float64) (*OffsetSheet, error) {
	o, err := weather.FitOffset(pairs)
	if err != nil {
		return nil, err
	}
	x := &OffsetSheet{Offset: o}
	u := UnitsOf(h)
	diff := func(v float64) string { return u.both(fields.Difference, math.Round(v*100)/100) }
	falls := "For each degree at the station the paddock falls by " + number(o.Slope, 2) +
		" (" + number(o.SlopeLow, 2) + " to " + number(o.SlopeHigh, 2) + ")"
	switch {
	case math.IsInf(o.SlopeLow, -1):
		falls = "The station read the same every night: whether one offset does for all nights cannot be told."
	case o.SlopeLow <= 1 && o.SlopeHigh >= 1:
		falls += ": nothing speaks against one offset for all nights."
	default:
		falls += ", not by 1: at a station reading of " + u.temp(0) + " the line gives " + diff(o.At(0)) +
			". One offset is a makeshift; take the colder."
	}
	kind := "Calm, clear nights only."
	if !calm {
		kind = "ALL nights were taken, since nobody said which were calm and clear. On windy and cloudy nights a paddock is as warm as " +
			"its station, and they hide what a frost night does: the true offset is likely colder. " +
			"--history with the station's hourly file sorts them."
	}
	x.Sheet = func(t *text) {
		t.para("", "  ", paddockName(h, paddock)+" against "+stationWords(h, station)+": "+plural(o.N, "night")+" read in both, from "+
			pairs[0].Night.Beside(h.On)+" through "+pairs[len(pairs)-1].Night.Beside(h.On))
		t.items("The middle difference, paddock minus station: "+diff(o.MedianC)+"; with at least "+number(math.Floor(o.Level*1000)/10, 1)+
			" % confidence it lies between "+diff(o.LowC)+" and "+diff(o.HighC)+".", falls, kind,
			"To set: "+diff(x.Cautious())+", the cold end of the interval and never above 0.")
		if set != nil {
			t.items("In force now: "+diff(*set)+".",
				provided(*set < x.Cautious(), "That is colder, so more cautious, than these nights say."))
		}
		t.para("", "  ", "The interval is that of the sign test, the slope that of Theil and Sen "+
			"(P. K. Sen, Journal of the American Statistical Association 63:1379, 1968, from memory).")
	}
	return x, nil
}

// Cautious is the offset to set, °C, rounded away from zero to a tenth and never
// above 0.
func (x *OffsetSheet) Cautious() float64 {
	return math.Floor(x.Offset.Cautious()*10+1e-9) / 10
}
