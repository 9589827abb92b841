package board

import (
	"io"
	"math"

	"rimegate/fields"
	"rimegate/weather"
)

// OffsetSheet is what paired nights tell of a paddock and a station.
type OffsetSheet struct {
	Paddock, Station string
	Pairs            []weather.Pair
	Offset           weather.Offset
	Calm             bool     // the pairs are of calm, clear nights only
	Set              *float64 // the offset in force, °C; nil: none
	u                Units
}

// NewOffsetSheet learns the offset. The error is one sentence. calm says that
// the pairs are of calm, clear nights only.
func NewOffsetSheet(h *fields.History, paddock, station string, pairs []weather.Pair, calm bool, set *float64) (*OffsetSheet, error) {
	o, err := weather.FitOffset(pairs)
	if err != nil {
		return nil, err
	}
	return &OffsetSheet{Paddock: paddockName(h, paddock), Station: stationWords(h, station), Pairs: pairs, Offset: o, Calm: calm, Set: set, u: UnitsOf(h)}, nil
}

// Cautious is the offset to set, °C, rounded away from zero to a tenth and never
// above 0.
func (x *OffsetSheet) Cautious() float64 {
	v := math.Floor(x.Offset.Cautious()*10+1e-9) / 10
	if v == 0 {
		return 0 // never "-0"
	}
	return v
}

// Text writes the sheet at most width cells a line.
func (x *OffsetSheet) Text(w io.Writer, width int) error {
	t := newText(w, width)
	o := &x.Offset
	diff := func(v float64) string { return x.u.both(fields.Difference, math.Round(v*100)/100) }
	t.para("", "  ", x.Paddock+" against "+x.Station+": "+plural(o.N, "night")+" read in both, from "+x.Pairs[0].Night.Words()+" through "+x.Pairs[len(x.Pairs)-1].Night.Words())
	t.para("  ", "    ", "The middle difference, paddock minus station: "+diff(o.MedianC)+"; with at least "+number(math.Floor(o.Level*1000)/10, 1)+" % confidence it lies between "+diff(o.LowC)+" and "+diff(o.HighC)+".")
	switch {
	case math.IsInf(o.SlopeLow, -1):
		t.para("  ", "    ", "The station read the same every night: whether one offset does for all nights cannot be told.")
	case o.SlopeLow <= 1 && o.SlopeHigh >= 1:
		t.para("  ", "    ", "For each degree at the station the paddock falls by "+number(o.Slope, 2)+" ("+number(o.SlopeLow, 2)+" to "+number(o.SlopeHigh, 2)+"): nothing speaks against one offset for all nights.")
	default:
		t.para("  ", "    ", "For each degree at the station the paddock falls by "+number(o.Slope, 2)+" ("+number(o.SlopeLow, 2)+" to "+number(o.SlopeHigh, 2)+"), not by 1: at a station reading of "+x.u.temp(0)+" the line gives "+diff(o.At(0))+". One offset is a makeshift; take the colder.")
	}
	if x.Calm {
		t.para("  ", "    ", "Calm, clear nights only.")
	} else {
		t.para("  ", "    ", "ALL nights were taken, since nobody said which were calm and clear. On windy and cloudy nights a paddock is as warm as its station, and they hide what a frost night does: the true offset is likely colder. --history with the station's hourly file sorts them.")
	}
	t.para("  ", "    ", "To set: "+diff(x.Cautious())+", the cold end of the interval and never above 0.")
	if x.Set != nil {
		t.para("  ", "    ", "In force now: "+diff(*x.Set)+".")
		if *x.Set < x.Cautious() {
			t.para("  ", "    ", "That is colder, so more cautious, than these nights say.")
		}
	}
	t.para("", "  ", "The interval is that of the sign test, the slope that of Theil and Sen (P. K. Sen, Journal of the American Statistical Association 63:1379, 1968, from memory).")
	return t.flush()
}
