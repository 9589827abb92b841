package hazard

import (
	"math"

	"rimegate/fields"
)

// ForecastLow is what the forecasts that bear on a night say of a paddock.
type ForecastLow struct {
	LowC     float64 // the lowest, °C, offset included
	OffsetC  float64 // the paddock's offset to its station, at or below 0
	Stations []string
	LowLying bool
	Possible float64 // the line below which plants may freeze, °C at the thermometer
	Entries  []string
}

// ForecastFor returns the lowest forecast that bears on the night of d in a
// paddock, over the lines of its land; ok is false if none does. Counted are
// those issued since 24 hours before the earlier of the moment and 18:00 on the
// day before.
func ForecastFor(h *fields.History, book *Rulebook, id string, d fields.Date) (f ForecastLow, ok bool) {
	f.LowC = math.Inf(1)
	for _, line := range h.Lines(id) {
		low, ids, has := newGround(h, book, Moment(h), line, h.On).forecast(d)
		s := h.NightSetting(line, d)
		f.Stations = append(f.Stations, s.Stations...)
		f.OffsetC = min(f.OffsetC, s.OffsetC)
		f.LowLying = f.LowLying || s.LowLying
		if has {
			f.LowC, ok = min(f.LowC, low), true
			f.Entries = append(f.Entries, ids...)
		}
	}
	f.Possible = book.V[FrostPossible]
	if f.LowLying {
		f.Possible = book.V[FrostPossibleLow]
	}
	return f, ok
}
