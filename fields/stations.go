package fields

import (
	"slices"
	"sort"
)

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
func (h *History) ReadingsOf(station string, d Date) []Fact {
	return onDate(h.readings[station], d)
}

// ForecastsOf returns the station's forecasts for the night of d.
func (h *History) ForecastsOf(station string, d Date) []Fact {
	return onDate(h.forecasts[station], d)
}

// onDate cuts the facts of one date out of a list sorted by date.
func onDate(fs []Fact, d Date) []Fact {
	i := sort.Search(len(fs), func(i int) bool { return fs[i].Date >= d })
	j := i
	for j < len(fs) && fs[j].Date == d {
		j++
	}
	return fs[i:j]
}
