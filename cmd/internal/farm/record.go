package farm

import (
	"rimegate/fields"
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
	var out []weather.NightLow
	seen := map[string]bool{}
	for _, line := range v.History.Lines(paddock) {
		for _, f := range v.History.LineFacts(line) {
			if !seen[f.ID] {
				seen[f.ID] = true
				out = append(out, nightLows([]fields.Fact{f})...)
			}
		}
	}
	return weather.JoinParts(out, v.Loc, v.FarmPlace())
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

func nightLows(facts []fields.Fact) []weather.NightLow {
	var out []weather.NightLow
	for _, f := range facts {
		if b, ok := f.Body.(*fields.Reading); ok {
			out = append(out, weather.NightLow{
				Night: b.Night, LowC: b.LowC, BelowZero: b.BelowZero, Covers: b.Covers == nil || *b.Covers, Spans: b.Spans,
				HoursBelow0: b.HoursBelow0, HoursBelowKill: b.HoursBelowKill, Source: b.Source,
			})
		}
	}
	return out
}
