package weather

import (
	"math"

	"rimegate/fields"
)

// ToReadings makes journal readings of nights for one station. source says
// where the file came from; a night's own source, doubt and reconstructed hours
// are put behind it. Reconstructed hours stand in no other field: what a reading
// holds as hours was measured.
// Nights that say nothing the journal can hold (no number and no sign) are left
// out: they stay unread.
func ToReadings(nights []NightLow, station, source string) []fields.Reading {
	var out []fields.Reading
	for _, n := range nights {
		if n.LowC == nil && !n.Below {
			continue
		}
		r := fields.Reading{
			Station:        station,
			Night:          n.Night,
			LowC:           n.LowC,
			Covers:         &n.Covers,
			Spans:          n.Spans,
			HoursBelow0:    tidy(n.HoursBelow0),
			HoursBelowKill: tidy(n.HoursBelowKill),
			Source:         sourceOf(n, source),
		}
		if n.Below {
			r.BelowZero = &n.Below
		}
		out = append(out, r)
	}
	return out
}

// tidy rounds hours to a hundredth and keeps them within the longest night.
func tidy(h *float64) *float64 {
	if h == nil {
		return nil
	}
	v := min(math.Round(*h*100)/100, 25)
	return &v
}

// ToForecasts makes journal forecasts of forecast lows for one station.
func ToForecasts(lows []ForecastLow, station, source string) []fields.Forecast {
	var out []fields.Forecast
	for _, f := range lows {
		low := f.LowC
		out = append(out, fields.Forecast{
			Station: station,
			Night:   f.Night,
			LowC:    &low,
			Issued:  f.Issued,
			Source:  sourceOf(NightLow{Source: f.Source}, source),
		})
	}
	return out
}

func sourceOf(n NightLow, source string) string {
	switch {
	case source == "":
		source = n.Source
	case n.Source != "" && n.Source != source:
		source += " (" + n.Source + ")"
	}
	source = joined(source, n.Uncertain)
	if n.Rebuilt != nil {
		source = joined(source, n.Rebuilt.Words())
	}
	return source
}

// joined puts two texts behind one another, either of which may be "".
func joined(a, b string) string {
	if a != "" && b != "" {
		a += "; "
	}
	return a + b
}
