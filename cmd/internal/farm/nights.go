package farm

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// StationNights is the journal's record of a station: every reading that
// counts, in order. Parts that together cover a night count as one.
func (v *View) StationNights(station string) []weather.NightLow {
	return weather.JoinParts(nightLows(v.History.OfStation(station)), v.Loc, v.FarmPlace())
}

// PaddockNights is the record of a thermometer in a paddock itself, over the
// lines of its land.
func (v *View) PaddockNights(paddock string) []weather.NightLow {
	var facts []fields.Fact
	seen := map[string]bool{}
	for _, line := range v.History.Lines(paddock) {
		for _, f := range v.History.LineFacts(line) {
			if !seen[f.ID] {
				seen[f.ID] = true
				facts = append(facts, f)
			}
		}
	}
	return weather.JoinParts(nightLows(facts), v.Loc, v.FarmPlace())
}

func nightLows(facts []fields.Fact) []weather.NightLow {
	var out []weather.NightLow
	for _, f := range facts {
		if b, ok := f.Body.(*fields.Reading); ok {
			out = append(out, weather.NightLow{
				Night: b.Night, LowC: b.LowC, Below: b.BelowZero != nil && *b.BelowZero, Covers: !partRead(b), Spans: b.Spans,
				HoursBelow0: b.HoursBelow0, HoursBelowKill: b.HoursBelowKill, Source: b.Source,
			})
		}
	}
	return out
}

// LowsBeside gives what the farm's other thermometers read of a night, the mean of
// them where they agree within 8 °C; of readings of all of the night alone. station and
// paddock are the place that is left out.
func (v *View) LowsBeside(station, paddock string) func(fields.Date) (float64, bool) {
	type night struct{ low, high float64 }
	all := map[fields.Date]night{}
	for i := range v.History.Facts {
		b, ok := v.History.Facts[i].Body.(*fields.Reading)
		if !ok || b.LowC == nil || partRead(b) || b.Station == station && b.Paddock == paddock {
			continue
		}
		n, ok := all[b.Night]
		if !ok {
			n = night{*b.LowC, *b.LowC}
		}
		all[b.Night] = night{min(n.low, *b.LowC), max(n.high, *b.LowC)}
	}
	return func(d fields.Date) (float64, bool) {
		n, ok := all[d]
		return (n.low + n.high) / 2, ok && n.high-n.low <= 8
	}
}

// NightHours is how long a thermometer stood at or below 0 and -2.2 °C in one
// night. Nothing is decided by it.
type NightHours struct {
	Below0, BelowKill *float64 // nil: not known
	Rebuilt           bool     // reconstructed from daily extremes, not measured
}

// Any reports whether there is something to tell: some hour of frost.
func (h NightHours) Any() bool { return h.Below0 != nil && *h.Below0 > 0 }

func (h *NightHours) longer(below0, belowKill *float64) {
	if below0 != nil && (h.Below0 == nil || *below0 > *h.Below0) {
		h.Below0 = below0
	}
	if belowKill != nil && (h.BelowKill == nil || *belowKill > *h.BelowKill) {
		h.BelowKill = belowKill
	}
}

// NightHours returns the hours that the readings among the named entries tell. The
// longest counts; reconstructed hours are told only where none were measured, so
// that the two are never mixed.
func (v *View) NightHours(ids []string) NightHours {
	if v.readings == nil {
		v.readings = map[string]*fields.Reading{}
		for i := range v.Entries {
			if b, ok := v.Entries[i].Body.(*fields.Reading); ok {
				v.readings[v.Entries[i].ID] = b
			}
		}
	}
	var measured, rebuilt NightHours
	for _, id := range ids {
		b := v.readings[id]
		if b == nil {
			continue
		}
		measured.longer(b.HoursBelow0, b.HoursBelowKill)
		if r, ok := weather.FindRebuilt(b.Source); ok {
			rebuilt.longer(&r.Below0, &r.BelowKill)
		}
	}
	if measured.Below0 == nil && measured.BelowKill == nil {
		rebuilt.Rebuilt = rebuilt.Below0 != nil
		return rebuilt
	}
	return measured
}

// Place is where a station stands: by its own entry, or else the farm; nil if
// neither says.
func (v *View) Place(station string) *weather.Place {
	if s := v.History.Station(station); s != nil && s.Lat != nil && s.Lon != nil {
		return &weather.Place{Lat: *s.Lat, Lon: *s.Lon}
	}
	return v.FarmPlace()
}

// FarmPlace is where the farm lies, by its sunrise a night ends; nil if not said.
func (v *View) FarmPlace() *weather.Place {
	h := v.History.Farm
	if h.Lat == nil || h.Lon == nil {
		return nil
	}
	return &weather.Place{Lat: *h.Lat, Lon: *h.Lon}
}

// WatchLines returns the lines, in °C at a thermometer, at which a frost is possible
// in ground of any kind on this farm: the possible lines of the rulebook, and each of
// them less every offset in use, since the lower of the raw reading and the reading
// with its offset decides. need is the highest of a standing paddock.
func (v *View) WatchLines() (lines []float64, need float64) {
	plain, low := v.Book.V[hazard.FrostPossible], v.Book.V[hazard.FrostPossibleLow]
	lines = []float64{plain, low}
	need = plain
	for _, x := range v.History.Standing() {
		for _, line := range v.History.Lines(x.ID) {
			s := v.History.NightSetting(line, v.Today)
			own := plain
			if s.LowLying {
				own = low
			}
			need = max(need, own-s.OffsetC)
			lines = append(lines, plain-s.OffsetC, low-s.OffsetC)
		}
	}
	slices.Sort(lines)
	return slices.Compact(lines), need
}
