package weather

import (
	"slices"
	"time"
)

// Thresholds of a frosty night in °C.
const (
	FreezingC = 0.0
	// KillC is 28 °F. Publications on sorghums take 28 °F for some hours as the
	// line at which the crop's growth is ended: Bean, United Sorghum Checkoff
	// Program, "Early freeze halts sorghum maturity", 2019,
	// https://www.proag.com/news/early-freeze-halts-sorghum-maturity-escalates-need-to-harvest/
	KillC = -2.2
	// Tolerance is added to a threshold before comparing: 28 °F is stored as -2.2
	// by one instrument and as -2.22 by another, and 0.1 °C is the finest step in
	// use, so half of it separates equal from above. Comparison is at or below:
	// stations that measure whole degrees Fahrenheit sit at exactly 32 °F for two
	// hours of many frost nights.
	Tolerance = 0.05
)

// AtOrBelow reports whether c is at or below the threshold, both in °C, within
// the tolerance of tenths.
func AtOrBelow(c, threshold float64) bool { return c <= threshold+Tolerance }

// HoursAtOrBelow integrates the hours at or below a threshold (°C) between two
// instants, on straight lines between readings that are no more than MaxGap
// apart. read is the hours of the span that such lines cover; the rest is not
// guessed. Readings may be in any order; of several at one moment the coldest
// counts. Known signs without a number are passed over.
func HoursAtOrBelow(obs []Observation, threshold float64, from, to time.Time) (hours, read float64) {
	pts := make([]point, 0, len(obs))
	for _, o := range obs {
		if o.HasTemp {
			pts = append(pts, point{t: o.At.Unix(), c: o.TempC})
		}
	}
	slices.SortFunc(pts, comparePoints)
	return hoursBelow(pts, threshold, from.Unix(), to.Unix())
}

// hoursBelow works on points sorted by time and temperature.
func hoursBelow(pts []point, threshold float64, from, to int64) (hours, read float64) {
	th := threshold + Tolerance
	prev := -1
	for i, p := range pts {
		if prev >= 0 && pts[prev].t == p.t {
			continue // colder one of the moment came first
		}
		if prev >= 0 {
			a := pts[prev]
			if p.t-a.t <= int64(MaxGap/time.Second) {
				h, r := segment(a, p, th, from, to)
				hours += h
				read += r
			}
		}
		prev = i
	}
	return hours, read
}

// segment clips the line a-b to the span and returns its hours at or below th
// and its hours in all.
func segment(a, b point, th float64, from, to int64) (below, all float64) {
	t0, t1 := max(a.t, from), min(b.t, to)
	if t1 <= t0 {
		return 0, 0
	}
	c0, c1 := a.c, b.c
	if t0 > a.t || t1 < b.t {
		slope := (b.c - a.c) / float64(b.t-a.t)
		c0, c1 = a.c+slope*float64(t0-a.t), a.c+slope*float64(t1-a.t)
	}
	all = float64(t1-t0) / 3600
	switch {
	case c0 <= th && c1 <= th:
		return all, all
	case c0 > th && c1 > th:
		return 0, all
	case c0 <= th:
		return all * (th - c0) / (c1 - c0), all
	default:
		return all * (th - c1) / (c0 - c1), all
	}
}
