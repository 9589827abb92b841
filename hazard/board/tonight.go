package board

import (
	"cmp"
	"io"
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

// Tonight is what the forecasts mean for stock. It decides nothing: who has to
// be out is the engine's answer with the forecasts counted in.
type Tonight struct {
	sheet
	Night  fields.Date
	Sunset string // "18:24", "" where it is not known
	Dark   bool   // the sun has set; nothing is said to be done before it does
	Moves  []string
	Rows   []TonightRow
	Own    string
	Errors []string // how past forecasts erred, a line a station

	own  *OwnForecast
	errs map[string]forecastError // of the stations asked, by id
}

// TonightRow is one paddock.
type TonightRow struct {
	Name   string
	Low    string // at plant height, "" without a forecast
	Chance string
	What   string
	Inside []string
	Act    string

	move bool
	held bool // stock stand in it that must come out whatever the night brings
	low  float64
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

// NewTonight lays out the night of d from an assessment that has its forecasts
// counted in. own may be nil.
func NewTonight(a *hazard.Assessment, d fields.Date, own *OwnForecast) *Tonight {
	s := newSpeaker(a, UnitsOf(a.History))
	x := &Tonight{sheet: s.sheet(), Night: d, Dark: s.dark(d), own: own, errs: map[string]forecastError{}}
	if set := sunset(a.History, d-1); !set.IsZero() {
		x.Sunset = set.In(a.History.Loc).Format("15:04")
	}
	if own != nil {
		m := own.Model
		low, high := m.Band(own.T0C, own.DewC)
		temp := func(c float64) string { return s.u.temp(round1(c)) }
		x.Own = "Own forecast for " + Clean(own.Station) + ": " + temp(m.Low(own.T0C, own.DewC)) + ", eight of ten such nights between " +
			temp(low) + " and " + temp(high) + "; learned from " + plural(m.N, "calm, clear night") + " (" + m.Method +
			" fit; each of them forecast from the others, the error is " + x.difference(m.LeaveOneOut) +
			", root mean square). It holds for a calm, clear night only."
	}
	var now, later []string
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		row := x.row(s, p)
		x.Rows = append(x.Rows, row)
		for _, in := range standing(a, p) {
			switch {
			case in.flag == hazard.Hold: // as on every list, whatever the forecast
				now = append(now, s.moveOut(&in, p))
			case row.move:
				later = append(later, x.moveLine(in.herd, row.Name))
			}
		}
	}
	x.Moves = append(now, later...)
	slices.SortStableFunc(x.Rows, func(a, b TonightRow) int { return cmp.Or(a.rank()-b.rank(), cmp.Compare(a.low, b.low)) })
	for _, id := range slices.Sorted(maps.Keys(x.errs)) {
		x.Errors = append(x.Errors, stationWords(a.History, id)+": "+x.errorWords(x.errs[id]))
	}
	return x
}

// rank puts held stock first, then stock that has to move, then paddocks to
// keep empty.
func (r *TonightRow) rank() int {
	return 4*asOne(!r.held) + 2*asOne(!r.move || len(r.Inside) == 0) + asOne(!r.move)
}

func (x *Tonight) difference(c float64) string { return x.u.in(fields.Difference, round1(c)) }

// errorWords says how a station's past forecasts erred.
func (x *Tonight) errorWords(e forecastError) string {
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

func (x *Tonight) moveLine(who, from string) string {
	if x.Dark {
		return "OUT NOW, IT IS DARK: " + who + " out of " + from
	}
	by := "before dark"
	if x.Sunset != "" {
		by = "before sunset, " + x.Sunset
	}
	return "OUT BEFORE DARK: " + who + " out of " + from + " " + by + " on " + (x.Night - 1).Words()
}

func (x *Tonight) row(s *speaker, p *hazard.PaddockAnswer) TonightRow {
	row := TonightRow{Name: s.name(p), low: math.Inf(1), What: "a living stand that makes prussic acid"}
	for _, in := range standing(s.a, p) {
		row.Inside = append(row.Inside, in.herd)
		row.held = row.held || in.flag == hazard.Hold
	}
	for i := range p.Verdicts {
		v := &p.Verdicts[i]
		for _, r := range v.Hazards[hazard.PrussicAcid].Reasons {
			row.move = row.move || v.Use == hazard.Graze && (r.Line == hazard.LineForecastCaution || r.Line == hazard.LineForecastHold)
		}
	}
	switch {
	case p.Stand.Unlisted && !p.Stand.HasP:
		row.What = "nothing is written down of what grows here"
	case !p.Stand.HasP:
		row.What = "no plant on record here makes prussic acid; a frost can raise nitrate"
	case p.Stand.Dead:
		row.What = "confirmed dead; a frost restarts nothing there"
	}
	f, ok := hazard.ForecastFor(s.h, s.book, s.id(p), x.Night)
	if !ok {
		row.Low, row.Act = "no forecast", "get a forecast for its station, or look at the thermometer"
		if len(f.Stations) == 0 {
			row.Act = "it names no station: `rimegate paddock set --station`"
		}
		row.Act = provided(row.held, "on HOLD: stock out now; ") + row.Act
		return row
	}
	row.low, row.Low = f.LowC, s.u.temp(f.LowC)
	row.Chance = x.chance(s, &f)
	if row.held || row.move {
		row.Act = x.act(&row) + "; read the thermometer in the morning"
	}
	return row
}

// act is what has to be done about a paddock before the night.
func (x *Tonight) act(row *TonightRow) string {
	inside := len(row.Inside) > 0
	switch {
	case row.held:
		return "on HOLD: stock out now"
	case inside && x.Dark:
		return "stock out now, it is dark"
	case inside:
		return "stock out before sunset"
	case x.Dark:
		return "no stock in it tonight"
	}
	return "no stock in it from sunset on"
}

// chance says how likely the night reaches the trigger at plant height: by the
// own forecast where it is of the paddock's station, else by how past forecasts
// of that station erred.
func (x *Tonight) chance(s *speaker, f *hazard.ForecastLow) string {
	p, ok := 0.0, false
	trigger := s.book.V[hazard.FrostTrigger]
	for _, st := range f.Stations {
		if own := x.own; own != nil && own.Station == st {
			p, ok = max(p, own.Model.ChanceAtOrBelow(trigger-f.OffsetC, own.T0C, own.DewC)), true
		}
		e, seen := x.errs[st]
		if !seen {
			e = errorsOf(s.h, st, x.Night)
			x.errs[st] = e
		}
		if e.n >= fewestErrors {
			p, ok = max(p, e.below(trigger, f.LowC)), true
		}
	}
	return provided(ok, chance(p)+" that it reaches "+x.u.temp(trigger))
}

// Text writes the night at most width cells a line.
func (x *Tonight) Text(w io.Writer, width int) error {
	t := newText(w, width)
	t.paras("", "  ", x.Moves)
	t.title(x.Farm + ", the night of " + x.Night.Words() + " (from noon on " + (x.Night - 1).Words() + ")")
	t.para("", "", "Known at "+x.KnownAt+". Temperatures are at plant height: the station's with the paddock's offset.")
	switch {
	case x.Sunset != "" && x.Dark:
		t.para("", "", "The sun set at "+x.Sunset+".")
	case x.Sunset != "":
		t.para("", "", "The sun sets at "+x.Sunset+".")
	default:
		t.para("", "  ", "When the sun sets is not known: rimegate farm set --lat 50.4 --lon -105.5")
	}
	t.para("", "  ", x.Own)
	t.blank()
	for i := range x.Rows {
		r := &x.Rows[i]
		line := r.Name + ": " + r.Low + provided(r.Chance != "", ", "+r.Chance) + "; " + r.What
		line += provided(len(r.Inside) > 0, "; inside: "+strings.Join(r.Inside, ", "))
		t.items(line + "." + provided(r.Act != "", " "+sentence(r.Act)))
	}
	if len(x.Rows) == 0 {
		t.items("No paddock yet.")
	}
	t.blank()
	for _, e := range x.Errors {
		t.para("", "  ", "Forecasts so far, "+e)
	}
	t.para("", "  ", "A forecast warns and never clears: only a reading in the morning says that there was no frost. Prussic acid forms within hours; stock that stands in it at dawn is there too late.")
	return t.flush()
}
