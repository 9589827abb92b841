package weather

// Thresholds of a frosty night in °C.
const (
	FreezingC = 0.0
	// KillC is 28 °F. Publications on sorghums take 28 °F for some hours as the
	// line at which the crop's growth is ended: Bean, United Sorghum Checkoff
	// Program, "Early freeze halts sorghum maturity", 2019,
	// https://www.proag.com/news/early-freeze-halts-sorghum-maturity-escalates-need-to-harvest/
	KillC = -2.2
	// Tolerance is added to a threshold before comparing: 28 °F is -2.2 of one
	// instrument and -2.22 of another, and 0.1 °C is the finest step in use. Comparison
	// is at or below: stations in whole °F sit at 32 °F for hours of many frost nights.
	Tolerance = 0.05
)

// AtOrBelow reports whether c is at or below the threshold, both in °C, within
// the tolerance of tenths.
func AtOrBelow(c, threshold float64) bool { return c <= threshold+Tolerance }

// hoursBelow integrates the hours at or below a threshold (°C) between two instants,
// on straight lines between readings that are no more than MaxGap apart. Points are
// sorted; of several at one moment the coldest, first one counts.
func hoursBelow(pts []point, threshold float64, from, to int64) (hours float64) {
	prev := 0
	for i, p := range pts {
		if p.t == pts[prev].t {
			continue
		}
		if p.t-pts[prev].t <= gapSeconds {
			hours += segment(pts[prev], p, threshold+Tolerance, from, to)
		}
		prev = i
	}
	return hours
}

// segment clips the line a-b to the span and returns its hours at or below th.
func segment(a, b point, th float64, from, to int64) float64 {
	t0, t1 := max(a.t, from), min(b.t, to)
	if t1 <= t0 {
		return 0
	}
	slope := (b.c - a.c) / float64(b.t-a.t)
	c0, c1 := a.c+slope*float64(t0-a.t), b.c-slope*float64(b.t-t1)
	all := float64(t1-t0) / 3600
	switch {
	case c0 <= th && c1 <= th:
		return all
	case c0 > th && c1 > th:
		return 0
	case c0 <= th:
		return all * (th - c0) / (c1 - c0)
	}
	return all * (th - c1) / (c0 - c1)
}
