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
