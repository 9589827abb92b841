package fields

import "slices"

// StationsOf returns every station that any paddock of the line ever named.
func (h *History) StationsOf(line []string) []string {
	var out []string
	for _, id := range line {
		p := h.paddocks[id]
		if p == nil {
			continue
		}
		for _, s := range p.settings {
			for _, st := range s.station {
				if !slices.Contains(out, st) {
					out = append(out, st)
				}
			}
		}
	}
	return out
}

// ReadingsOf returns the station's readings of the night of d.
func (h *History) ReadingsOf(station string, d Date) []ReadingFact {
	return Between(h.readings[station], d, d)
}

// ForecastsOf returns the station's forecasts for the night of d.
func (h *History) ForecastsOf(station string, d Date) []ForecastFact {
	return Between(h.forecasts[station], d, d)
}
