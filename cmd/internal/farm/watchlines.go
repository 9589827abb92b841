package farm

import (
	"slices"

	"rimegate/hazard"
)

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
