package weather

import (
	"math"
	"slices"

	"rimegate/fields"
)

// ToReadings makes journal readings of nights for one station. source says where the
// file came from; a night's own source, doubt and reconstructed hours are put behind it
// and stand in no other field. Nights without a number or a sign stay unread.
func ToReadings(nights []NightLow, station, source string) []fields.Reading {
	out := make([]fields.Reading, 0, len(nights))
	for i := range nights {
		n := &nights[i]
		if n.LowC == nil && !n.Below {
			continue
		}
		covers, below := n.Covers, n.Below
		r := fields.Reading{
			Station:        station,
			Night:          n.Night,
			LowC:           n.LowC,
			Covers:         &covers,
			Spans:          n.Spans,
			HoursBelow0:    tidy(n.HoursBelow0),
			HoursBelowKill: tidy(n.HoursBelowKill),
			Source:         sourceOf(n, source),
		}
		if n.Below {
			r.BelowZero = &below
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

// ToForecasts makes forecasts of a file those of one station.
func ToForecasts(lows []fields.Forecast, station, source string) []fields.Forecast {
	out := slices.Clone(lows)
	for i := range out {
		out[i].Station, out[i].Source = station, sourceOf(&NightLow{Source: out[i].Source}, source)
	}
	return out
}

func sourceOf(n *NightLow, source string) string {
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
