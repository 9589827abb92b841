package weather

import (
	"maps"
	"math"
	"slices"
	"time"

	"rimegate/fields"
)

// nearEvening is how far a reading may lie from two hours after sunset.
const nearEvening = 45 * time.Minute

// Evenings picks, of a station's history, the calm and clear nights with a
// temperature and dew point two hours after sunset, and the low that followed.
// What is not known to be of that kind is left out.
func Evenings(obs []Observation, lat, lon float64, loc *time.Location) []Evening {
	var out []Evening
	eachCalm(obs, lat, lon, loc, func(_ fields.Date, night []Observation, set, rise time.Time) {
		if e, ok := evening(night, set.Add(2*time.Hour), rise); ok {
			out = append(out, e)
		}
	})
	return out
}

// CalmNights are the calm and clear nights of a station's history; what is not
// known to be of that kind is left out.
func CalmNights(obs []Observation, lat, lon float64, loc *time.Location) map[fields.Date]bool {
	out := map[fields.Date]bool{}
	eachCalm(obs, lat, lon, loc, func(d fields.Date, _ []Observation, _, _ time.Time) { out[d] = true })
	return out
}

func eachCalm(obs []Observation, lat, lon float64, loc *time.Location, take func(d fields.Date, night []Observation, set, rise time.Time)) {
	byNight := map[fields.Date][]Observation{}
	for _, o := range obs {
		d := fields.NightOf(o.At, loc)
		byNight[d] = append(byNight[d], o)
	}
	for _, d := range slices.Sorted(maps.Keys(byNight)) {
		_, set, ok := Sun(d-1, lat, lon, loc)
		rise, _, ok2 := Sun(d, lat, lon, loc)
		if !ok || !ok2 {
			continue
		}
		if calm, known := RadiationNight(byNight[d], set, rise); known && calm {
			take(d, byNight[d], set, rise)
		}
	}
}

func evening(night []Observation, at, rise time.Time) (Evening, bool) {
	e := Evening{MinC: math.Inf(1)}
	best := nearEvening + 1
	for _, o := range night {
		if !o.HasTemp {
			continue
		}
		if gap := o.At.Sub(at).Abs(); o.DewC != nil && gap < best {
			best, e.T0C, e.DewC = gap, o.TempC, *o.DewC
		}
		if o.At.After(at) && o.At.Before(rise.Add(2*time.Hour)) {
			e.MinC = min(e.MinC, o.TempC)
		}
	}
	return e, best <= nearEvening && !math.IsInf(e.MinC, 1)
}
