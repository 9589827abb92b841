package weather

import "math"

// Extremes are the daily extremes around one night, and when the sun set and
// rose, for working out how long it was cold where no hourly readings exist.
type Extremes struct {
	MaxC      float64 // highest of the day before the night, °C
	MinC      float64 // lowest of the morning of that day
	NextMinC  float64 // lowest of the night
	NextMaxC  float64 // highest of the day after it
	Rise, Set float64 // sunrise and sunset of the day before, hours of local standard time
	NextRise  float64 // sunrise after the night
}

// valid reports whether the extremes and times can be of one night.
func (x Extremes) valid() bool {
	day, night := x.Set-x.Rise, 24-x.Set+x.NextRise
	for _, v := range []float64{x.MaxC, x.MinC, x.NextMinC, x.NextMaxC, day, night} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return x.MaxC >= x.MinC && x.NextMaxC >= x.NextMinC && day > 1 && night > 1.5 &&
		x.Rise < 12 && x.Set > 12 && x.NextRise < 12
}

// LinvillHours returns the hours below a threshold (°C) from noon to noon, by the
// curve of Linvill: by day a sine from the morning's low that peaks after noon, by
// night a logarithm from the temperature at sunset to the next low. ok is false if
// the extremes or times are not of one night (a maximum below its minimum, no
// sunset). The night curve holds still for its first hour, as the logarithm
// demands.
//
// D. E. Linvill, "Calculating chilling hours and chill units from daily maximum
// and minimum temperature observations", HortScience 25(1):14-16, 1990 (title and
// pages from memory); its use is described in the R package chillR,
// https://cran.rstudio.com/web/packages/chillR/vignettes/hourly_temperatures.html
func LinvillHours(x Extremes, threshold float64) (hours float64, ok bool) {
	if !x.valid() {
		return 0, false
	}
	day, night := x.Set-x.Rise, 24-x.Set+x.NextRise
	// From noon to sunset, from sunset to sunrise, from sunrise to noon.
	hours = sineBelow(x.MinC, x.MaxC, day+4, 12-x.Rise, day, threshold)
	sunset := x.MinC + (x.MaxC-x.MinC)*math.Sin(math.Pi*day/(day+4))
	hours += logBelow(sunset, x.NextMinC, night, threshold)
	hours += sineBelow(x.NextMinC, x.NextMaxC, day+4, 0, 12-x.NextRise, threshold)
	return hours, true
}

// sineBelow returns the hours between t0 and t1 (hours after sunrise) at which
// low+(high-low)*sin(pi*t/period) is below th.
func sineBelow(low, high, period, t0, t1, th float64) float64 {
	if t1 <= t0 {
		return 0
	}
	amp := high - low
	if amp == 0 {
		if low < th {
			return t1 - t0
		}
		return 0
	}
	s := (th - low) / amp
	switch {
	case s <= 0:
		return 0 // the curve never goes under its low
	case s > 1:
		return t1 - t0
	}
	up := math.Asin(s) / math.Pi * period // crosses upwards
	down := period - up
	return max(0, min(t1, up)-t0) + max(0, t1-max(t0, down))
}

// logBelow returns the hours of the night at which its curve is below th.
func logBelow(sunset, low, night, th float64) float64 {
	first := 0.0 // the hour that holds still
	if sunset < th {
		first = 1
	}
	switch {
	case sunset < th && low < th:
		return night
	case sunset >= th && low >= th:
		return first
	}
	cross := math.Exp((sunset - th) / (sunset - low) * math.Log(night))
	if low < th { // falling
		return first + night - cross
	}
	return first + cross - 1
}
