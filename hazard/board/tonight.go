package board

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// OwnForecast is a low worked out from the evening at one station.
type OwnForecast struct {
	Station string
	T0C     float64 // two hours after sunset
	DewC    float64
	Model   weather.MinimumModel
}

// tonight is one night as the paddocks are asked about it.
type tonight struct {
	*speaker
	night  fields.Date
	sunset string // "18:24", "" where it is not known
	dark   bool   // the sun has set; nothing is said to be done before it does
	own    *OwnForecast
	errs   map[string]forecastError // of the stations asked, by id
}

// nightRow is one paddock of a night.
type nightRow struct {
	words string
	herds []string
	move  bool    // stock in it must be out before dark
	held  bool    // stock stand in it that must come out whatever the night brings
	low   float64 // °C at plant height, +Inf without a forecast
}

// fewestErrors is how many past forecasts with a reading a chance needs; ours.
const fewestErrors = 8

// forecastError is how a station's readings differed from its forecasts, °C.
type forecastError struct {
	n        int
	mean, sd float64
}

// errorsOf compares past forecasts of a station with what was read: the last
// one issued for each night, nights read throughout.
func errorsOf(h *fields.History, station string, before fields.Date) forecastError {
	type cast struct {
		at  time.Time
		low float64
	}
	last := map[fields.Date]cast{}
	read := map[fields.Date]float64{}
	for _, f := range h.OfStation(station) {
		switch b := f.Body.(type) {
		case *fields.Forecast:
			if b.LowC != nil && f.Date < before && !b.Issued.Before(last[f.Date].at) {
				last[f.Date] = cast{b.Issued, *b.LowC}
			}
		case *fields.Reading:
			if b.LowC == nil || b.Covers != nil && !*b.Covers {
				continue
			}
			if v, ok := read[f.Date]; !ok || *b.LowC < v {
				read[f.Date] = *b.LowC
			}
		}
	}
	var e forecastError
	var sum, sq float64
	for d, c := range last {
		if v, ok := read[d]; ok {
			e.n++
			sum += v - c.low
			sq += (v - c.low) * (v - c.low)
		}
	}
	if e.n < 2 {
		return e
	}
	n := float64(e.n)
	e.mean = sum / n
	e.sd = math.Max(0.1, math.Sqrt(math.Max(0, (sq-n*e.mean*e.mean)/(n-1))))
	return e
}

// below is the chance that the low is at or below c when a forecast says low,
// taking errors as normal.
func (e forecastError) below(c, low float64) float64 {
	return math.Erfc((low+e.mean-c)/e.sd/math.Sqrt2) / 2
}

// NewTonight says what the forecasts of the night of d mean for stock, by an
// assessment that has them counted in. It decides nothing: who has to be out is
// the engine's answer. Of a herd asked for only the paddock is told in which it
// stands; who must come out is always told. own may be nil.
func NewTonight(a *hazard.Assessment, d fields.Date, own *OwnForecast, f Filter) Sheet {
	s := newSpeaker(a, UnitsOf(a.History))
	x := &tonight{speaker: s, night: d, dark: s.dark(d), own: own, errs: map[string]forecastError{}}
	sun := "Sunset is not known: rimegate farm set --lat LAT --lon LON"
	if set := sunset(a.History, d-1); !set.IsZero() {
		x.sunset = set.In(a.History.Loc).Format("15:04")
		sun = provided(x.dark, "The sun set at ") + provided(!x.dark, "The sun sets at ") + x.sunset + "."
	}
	page := *s
	page.page = true
	now, later := page.acts(""), []string(nil)
	who, asked := "", a.History.Herd(f.Herd)
	switch {
	case asked == nil:
	case asked.In == "":
		who = "Nobody has logged where " + Clean(f.Herd) + " stand, so all paddocks are told."
		asked = nil
	default:
		who = "For " + Clean(f.Herd) + ", in " + paddockName(a.History, asked.In) + "."
	}
	var rows []nightRow
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		row := x.row(p)
		herds := standing(a, p)
		if asked == nil || slices.ContainsFunc(herds, func(in inside) bool { return in.id == f.Herd }) {
			rows = append(rows, row)
		}
		for _, in := range herds {
			if in.flag != hazard.Hold && row.move { // on hold they come out now, whatever the forecast
				later = append(later, x.moveLine(in.herd, s.name(p)))
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b nightRow) int { return cmp.Or(a.rank()-b.rank(), cmp.Compare(a.low, b.low)) })
	return func(t *text) {
		t.acts(now)
		t.paras("", "  ", later)
		t.title(s.sheet().Farm + ", the night of " + d.Words() + " (from noon on " + (d - 1).Short() + ")")
		t.para("", "", "Known at "+s.sheet().KnownAt+". Temperatures are at plant height: the station's with the paddock's offset.")
		t.paras("", "  ", s.exchangeNotices())
		t.para("", "  ", who)
		t.para("", "  ", sun)
		t.para("", "  ", x.ownWords())
		t.blank()
		for _, r := range rows {
			t.items(r.words)
		}
		t.items(provided(len(rows) == 0, "No paddock yet."))
		t.blank()
		for _, id := range slices.Sorted(maps.Keys(x.errs)) {
			t.para("", "  ", "Forecasts so far, "+stationWords(s.h, id)+": "+x.errorWords(x.errs[id]))
		}
		t.para("", "  ", "A forecast warns and never clears: only a reading in the morning says that there was no frost. "+
			"Prussic acid forms within hours; stock that stands in it at dawn is there too late.")
	}
}

// ownWords is the own forecast, and what it rests on and holds for.
func (x *tonight) ownWords() string {
	if x.own == nil {
		return ""
	}
	m := x.own.Model
	low, high := m.Band(x.own.T0C, x.own.DewC)
	temp := func(c float64) string { return x.u.lowIn(round1(c), x.book.V[hazard.FrostTrigger]) }
	return "Own forecast for " + Clean(x.own.Station) + ": " + temp(m.Low(x.own.T0C, x.own.DewC)) + ", eight of ten such nights between " +
		temp(low) + " and " + temp(high) + "; learned from " + plural(m.N, "calm, clear night") + " (" + m.Method +
		" fit; each of them forecast from the others, the error is " + x.difference(m.LeaveOneOut) +
		", root mean square). It holds for a calm, clear night only."
}

// rank puts held stock first, then stock that has to move, then paddocks to
// keep empty.
func (r *nightRow) rank() int {
	return 4*asOne(!r.held) + 2*asOne(!r.move || len(r.herds) == 0) + asOne(!r.move)
}

func (x *tonight) difference(c float64) string { return x.u.in(fields.Difference, round1(c)) }

// errorWords says how a station's past forecasts erred.
func (x *tonight) errorWords(e forecastError) string {
	past := plural(e.n, "past forecast") + " with a reading"
	if e.n < fewestErrors {
		return past + "; a chance needs at least " + number(fewestErrors, 0) + "."
	}
	way := "as forecast on average"
	switch m := round1(e.mean); {
	case m > 0:
		way = x.difference(m) + " warmer than forecast on average"
	case m < 0:
		way = x.difference(-m) + " colder than forecast on average"
	}
	return past + ": " + way + ", straying by " + x.difference(e.sd) + "."
}

// place is where the farm lies, or else one of its stations.
func place(h *fields.History) (lat, lon *float64) {
	if h.Farm.Lat != nil && h.Farm.Lon != nil {
		return h.Farm.Lat, h.Farm.Lon
	}
	for _, st := range h.Stations {
		if st.Lat != nil && st.Lon != nil {
			return st.Lat, st.Lon
		}
	}
	return nil, nil
}

func round1(v float64) float64 { return math.Round(v*10) / 10 }

// StationName is the name of a thermometer as sentences have it.
func StationName(h *fields.History, id string) string { return stationWords(h, id) }

func stationWords(h *fields.History, id string) string {
	if st := h.Station(id); st != nil && Clean(st.Name) != "" {
		return Clean(st.Name)
	}
	return Clean(id)
}

// sunset is when the sun sets on day d at the farm, the zero time where that is
// not known.
func sunset(h *fields.History, d fields.Date) time.Time {
	if lat, lon := place(h); lat != nil && lon != nil {
		if _, set, ok := weather.Sun(d, *lat, *lon, h.Loc); ok {
			return set
		}
	}
	return time.Time{}
}

// darkAt is the farm hour from which it may be dark where nobody said where the
// farm lies: the earliest sunset of the year at 60° north is before 16:00.
const darkAt = 16

// dark reports whether, at the moment asked, the sun has set on the night that
// ends on d: then it is too late to have stock out "before dark".
func (s *speaker) dark(d fields.Date) bool {
	if s.h == nil || s.h.KnownAt.IsZero() {
		return false
	}
	set := sunset(s.h, d-1)
	if set.IsZero() {
		set = (d - 1).At(darkAt, 0, s.h.Loc)
	}
	return !s.h.KnownAt.Before(set)
}

func (x *tonight) moveLine(who, from string) string {
	if x.dark {
		return "OUT NOW, IT IS DARK: " + who + " out of " + from
	}
	by := "before dark"
	if x.sunset != "" {
		by = "before sunset, " + x.sunset
	}
	return "OUT BEFORE DARK: " + who + " out of " + from + " " + by + " on " + (x.night - 1).Short()
}

func (x *tonight) row(p *hazard.PaddockAnswer) nightRow {
	row := nightRow{low: math.Inf(1)}
	for _, in := range standing(x.a, p) {
		row.herds = append(row.herds, in.herd)
		row.held = row.held || in.flag == hazard.Hold
	}
	for i := range p.Verdicts {
		v := &p.Verdicts[i]
		for _, r := range v.Hazards[hazard.PrussicAcid].Reasons {
			row.move = row.move || v.Use == hazard.Graze && (r.Line == hazard.LineForecastCaution || r.Line == hazard.LineForecastHold)
		}
	}
	stand := "a living stand that makes prussic acid"
	switch {
	case p.Stand.Unlisted && !p.Stand.HasP:
		stand = "nobody has logged what grows here"
	case !p.Stand.HasP:
		stand = "no plant on record here makes prussic acid; a frost can raise nitrate"
	case p.Stand.Dead:
		stand = "confirmed dead; a frost restarts nothing there"
	}
	f, ok := hazard.ForecastFor(x.h, x.book, x.id(p), x.night)
	low, act := "no forecast", ""
	switch {
	case ok:
		row.low, low = f.LowC, x.u.lowIn(f.LowC, x.book.V[hazard.FrostTrigger])+x.chance(&f)
		act = provided(row.held || row.move, x.toDo(&row)+"; read the thermometer in the morning")
	case len(f.Stations) == 0:
		act = provided(row.held, "on HOLD: stock out now; ") + "it names no station: `rimegate paddock set --station`"
	default:
		act = provided(row.held, "on HOLD: stock out now; ") + "get a forecast for its station, or look at the thermometer"
	}
	row.words = x.name(p) + ": " + low + "; " + stand + provided(row.herds != nil, "; inside: "+strings.Join(row.herds, ", ")) + "." +
		provided(act != "", " "+sentence(act))
	return row
}

// toDo is what has to be done about a paddock before the night.
func (x *tonight) toDo(row *nightRow) string {
	inside := len(row.herds) > 0
	switch {
	case row.held:
		return "on HOLD: stock out now"
	case inside && x.dark:
		return "stock out now, it is dark"
	case inside:
		return "stock out before sunset"
	case x.dark:
		return "no stock in it tonight"
	}
	return "no stock in it from sunset on"
}

// chance says how likely the night reaches the trigger at plant height: by the
// own forecast where it is of the paddock's station, else by how past forecasts
// of that station erred.
func (x *tonight) chance(f *hazard.ForecastLow) string {
	p, ok := 0.0, false
	trigger := x.book.V[hazard.FrostTrigger]
	for _, st := range f.Stations {
		if own := x.own; own != nil && own.Station == st {
			p, ok = max(p, own.Model.ChanceAtOrBelow(trigger-f.OffsetC, own.T0C, own.DewC)), true
		}
		e, seen := x.errs[st]
		if !seen {
			e = errorsOf(x.h, st, x.night)
			x.errs[st] = e
		}
		if e.n >= fewestErrors {
			p, ok = max(p, e.below(trigger, f.LowC)), true
		}
	}
	return provided(ok, ", "+chance(p)+" that it reaches "+x.u.line(trigger))
}
