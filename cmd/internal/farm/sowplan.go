package farm

import (
	"cmp"
	"errors"
	"fmt"
	"time"

	"rimegate/fields"
	"rimegate/hazard/board"
	"rimegate/weather"
)

// killC is a night taken to kill warm-season annuals, °C: 28 °F, the temperature
// of the rulebook's kill hint. How many hours it lasted is not known from a
// nightly low, so the odds are those of a night that can kill (ours).
const killC = -2.2

// SowPlan is what is worth knowing before the species are sown in the paddock
// ("" for none in particular) on the day. days is how long they need, 0 for the
// usual.
func (v *View) SowPlan(paddock string, species []string, sow fields.Date, days int) *board.SowPlan {
	p := board.NewSowPlan(v.Assess(), paddock, species, sow, days)
	p.Odds = []board.FrostOdds{
		v.frostOdds(paddock, p.Ready, "0 °C (32 °F)", 0),
		v.frostOdds(paddock, p.Ready, "-2.2 °C (28 °F), which can kill,", killC),
	}
	return p
}

// frostOdds are the odds of the first frost of the autumn by a day, from the
// nights the journal holds of the paddock's thermometer.
func (v *View) frostOdds(paddock string, ready fields.Date, what string, trigger float64) board.FrostOdds {
	out := board.FrostOdds{What: what}
	h := v.History
	var station string
	switch {
	case paddock == "" && len(h.Stations) == 1:
		station = h.Stations[0].Station
	case paddock == "":
		out.Unknown = "name the paddock, so that it is known which thermometer counts"
		return out
	default:
		set := h.NightSetting(h.Lines(paddock)[0], v.Today)
		if len(set.Stations) == 0 {
			out.Unknown = "the paddock has no station"
			return out
		}
		station, out.OffsetC, out.Adjusted = set.Stations[0], set.OffsetC, set.OffsetC != 0
	}
	out.Station = station
	if s := h.Station(station); s != nil {
		out.Station = cmp.Or(s.Name, station)
	}
	if _, m, _ := ready.Civil(); m < time.August {
		out.Unknown = fmt.Sprintf("%s is before the first of August, and only autumn frosts are counted; spring frosts can come", ready.Words())
		return out
	}
	nights := nightLows(h.OfStation(station))
	for i, n := range nights {
		if n.LowC != nil {
			nights[i].LowC = num(*n.LowC + out.OffsetC)
		}
	}
	odds, err := weather.FitOdds(weather.SeasonsOf(nights, trigger))
	if err != nil {
		out.Unknown = err.Error()
		var short fields.Problem
		if errors.As(err, &short) {
			out.Unknown = short.What + "; " + short.Type
		}
		return out
	}
	year, day := weather.SeasonDay(ready)
	out.Seasons, out.ByReady = odds.Frosts, odds.By(day)
	date := func(p float64) fields.Date {
		q, ok := odds.Quantile(p)
		if !ok {
			return fields.NoDate
		}
		return weather.SeasonDate(year, int(q))
	}
	out.Early, out.Middle = date(0.1), date(0.5)
	return out
}
