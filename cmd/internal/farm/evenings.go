package farm

import (
	"math"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// nearEvening is how far a reading may lie from two hours after sunset.
const nearEvening = 45 * time.Minute

// Evenings picks, of a station's history, the calm and clear nights with a
// temperature and dew point two hours after sunset, and the low that followed.
// What is not known to be of that kind is left out.
func Evenings(obs []weather.Observation, lat, lon float64, loc *time.Location) []weather.Evening {
	var out []weather.Evening
	eachCalm(obs, lat, lon, loc, func(_ fields.Date, night []weather.Observation, set, rise time.Time) {
		if e, ok := evening(night, set.Add(2*time.Hour), rise); ok {
			out = append(out, e)
		}
	})
	return out
}

// CalmNights are the calm and clear nights of a station's history; what is not
// known to be of that kind is left out.
func CalmNights(obs []weather.Observation, lat, lon float64, loc *time.Location) map[fields.Date]bool {
	out := map[fields.Date]bool{}
	eachCalm(obs, lat, lon, loc, func(d fields.Date, _ []weather.Observation, _, _ time.Time) { out[d] = true })
	return out
}

func eachCalm(obs []weather.Observation, lat, lon float64, loc *time.Location, take func(d fields.Date, night []weather.Observation, set, rise time.Time)) {
	byNight := map[fields.Date][]weather.Observation{}
	var first, last fields.Date
	for _, o := range obs {
		d := fields.NightOf(o.At, loc)
		byNight[d] = append(byNight[d], o)
		if first == fields.NoDate || d < first {
			first = d
		}
		last = max(last, d)
	}
	for d := first; d <= last && first != fields.NoDate; d++ {
		night := byNight[d]
		if len(night) == 0 {
			continue
		}
		_, set, kind := weather.Sun(d-1, lat, lon, loc)
		rise, _, kind2 := weather.Sun(d, lat, lon, loc)
		if kind != weather.RisesAndSets || kind2 != weather.RisesAndSets {
			continue
		}
		if calm, known := weather.RadiationNight(night, set, rise); known && calm {
			take(d, night, set, rise)
		}
	}
}

func evening(night []weather.Observation, at, rise time.Time) (weather.Evening, bool) {
	e := weather.Evening{MinC: math.Inf(1)}
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
