package board

import (
	"io"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// OddsSheet is when the first frost of a season comes at a station.
type OddsSheet struct {
	Station string
	Below   string // the line, in words
	Today   fields.Date
	Ready   fields.Date // NoDate: not asked
	Odds    weather.Odds
	First   int            // first and last season of the record
	Last    int            //
	Now     weather.Season // the season that runs
	HasNow  bool
	Year    int
}

// NewOddsSheet works the odds out from a station's nights for a line in °C. The
// season that runs is not part of the fit. The error is one sentence.
func NewOddsSheet(h *fields.History, station string, nights []weather.NightLow, below float64, ready fields.Date) (*OddsSheet, error) {
	u := UnitsOf(h)
	x := &OddsSheet{Station: stationWords(h, station), Below: u.temp(below), Today: h.On, Ready: ready}
	x.Year, _ = weather.SeasonDay(h.On)
	var past []weather.Season
	for _, s := range weather.SeasonsOf(nights, below) {
		switch {
		case s.Year == x.Year:
			x.Now, x.HasNow = s, true
		case s.Year < x.Year:
			past = append(past, s)
		}
	}
	o, err := weather.FitOdds(past)
	if err != nil {
		return nil, err
	}
	x.Odds = o
	x.First, x.Last = past[0].Year, past[len(past)-1].Year
	return x, nil
}

// day prints a day of the season that runs.
func (x *OddsSheet) day(v float64) string {
	return weather.SeasonDate(x.Year, int(math.Round(v))).Short()
}

// Text writes the odds at most width cells a line.
func (x *OddsSheet) Text(w io.Writer, width int) error {
	t := newText(w, width)
	o := &x.Odds
	t.para("", "  ", x.Station+": the first night of a season at or below "+x.Below+" at the thermometer")
	seasons := number(float64(o.Frosts+o.Cuts+o.None), 0) + " seasons, " + exact(float64(x.First)) + " to " + exact(float64(x.Last)) + ": " +
		plural(o.Frosts, "known first frost") + provided(o.Cuts > 0, "; "+number(float64(o.Cuts), 0)+" not read to the end") +
		provided(o.None > 0, "; "+number(float64(o.None), 0)+" without any")
	t.para("", "  ", seasons+".")
	t.blank()
	t.para("", "", "HAS COME BY   COUNTED      FITTED")
	for _, p := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
		counted, fitted := "-", "-"
		if d, ok := o.EmpiricalQuantile(p); ok {
			counted = x.day(d)
		}
		if d, ok := o.Quantile(p); ok {
			fitted = x.day(d) + ", give or take " + plural(int(math.Ceil(o.QuantileError(p))), "day")
		}
		t.lines = append(t.lines, pad(number(p*100, 0)+" of 100", 14)+pad(counted, 13)+fitted)
	}
	t.blank()
	x.ahead(t)
	t.blank()
	t.para("", "  ", "Counted: from the record alone (Midwestern Regional Climate Center; Kaplan-Meier where seasons break off). Fitted: a normal curve by maximum likelihood (Thom and Shaw 1958, from memory; Vestal, Monthly Weather Review 99:650, 1971). Plants in a hollow freeze earlier than the thermometer says. Odds are no forecast, and no night is clear by them.")
	return t.flush()
}

// ahead is what can still come this season.
func (x *OddsSheet) ahead(t *text) {
	_, today := weather.SeasonDay(x.Today)
	if x.HasNow && x.Now.Outcome == weather.Frost {
		t.para("", "  ", "This season the first came in the night of "+weather.SeasonDate(x.Year, x.Now.Day).Words()+".")
		return
	}
	read := "No night of this season was read from 1 August on; the odds below take it that there was none"
	if x.HasNow {
		read = "None this season through " + weather.SeasonDate(x.Year, min(x.Now.Day, today)).Words()
		if gap := today - x.Now.Day; gap > 0 {
			read += "; after that " + plural(gap, "night") + " to today were not read throughout, and the odds take it that they had none"
		}
	}
	t.para("", "  ", read+". Given that, the first comes")
	type question struct {
		days int
		what string
	}
	ask := []question{{7, "within 7 days"}, {14, "within 14 days"}, {30, "within 30 days"}}
	if x.Ready != fields.NoDate {
		ask = append(ask, question{x.Ready.Sub(x.Today), "by " + x.Ready.Words() + ", when it would be ready"})
	}
	for _, a := range ask {
		line := a.what + ": fitted " + chance(x.Odds.Within(today, a.days))
		if p, n := x.Odds.EmpiricalWithin(today, a.days); n > 0 {
			line += ", counted " + chance(p) + " of " + plural(n, "season") + " still without one"
		} else {
			line += "; no season on record went so long without one"
		}
		t.para("  - ", "    ", line+".")
	}
}

// NightWord says what a night counts as at an hour of a day.
func NightWord(r *hazard.NightRow, today fields.Date, hour int) string {
	switch {
	case r.Trigger:
		return "FROZE"
	case r.Unread && r.Night == today && hour < hazard.ClockHour:
		return "not in yet"
	case r.Unread && r.HasLow:
		return "ONLY PART READ"
	case r.Unread:
		return "NOT READ"
	case r.Possible:
		return "may have frozen"
	case r.Covered:
		return "no frost"
	case !r.Watched:
		return "not watched"
	}
	return "before the stand"
}

// ChartNight is one night of a chart.
type ChartNight struct {
	Row  hazard.NightRow
	Word string // FROZE, NOT READ, ...
}

// shapes tell the nights apart without colour.
func (n *ChartNight) shape() string {
	switch {
	case n.Row.Trigger:
		return "X"
	case n.Row.Unread:
		return "?"
	case n.Row.Possible:
		return "!"
	}
	return "o"
}

// NightChart draws nights as one row each: the date, the word, the low and its
// place on a scale with the freezing line. Shapes and words say the same; no
// colour is needed.
func NightChart(w io.Writer, nights []ChartNight, u Units, width int) error {
	t := newText(w, width)
	lo, hi := -5.0, 10.0
	wordWidth, lowWidth := 0, 0
	for i := range nights {
		n := &nights[i]
		if n.Row.HasLow {
			lo, hi = min(lo, math.Floor(n.Row.LowC)), max(hi, math.Ceil(n.Row.LowC))
			lowWidth = max(lowWidth, Width(u.in(fields.Temperature, n.Row.LowC)))
		}
		wordWidth = max(wordWidth, Width(n.Word))
	}
	left := len("Mon 02-Jan") + 2 + wordWidth + 2 + lowWidth + 2
	span := max(12, t.width-left-1)
	at := func(c float64) int { return int(math.Round((c - lo) / (hi - lo) * float64(span))) }
	scale := []byte(strings.Repeat(" ", span+1))
	put := func(c float64, s string) {
		i := at(c) - len(s)/2
		i = max(0, min(i, len(scale)-len(s)))
		if strings.TrimSpace(string(scale[max(0, i-1):min(len(scale), i+len(s)+1)])) == "" {
			copy(scale[i:], s)
		}
	}
	// The scale has no degree sign: its unit stands in the last column of the head.
	label := func(c float64) string {
		return strings.TrimSpace(strings.TrimRight(u.in(fields.Temperature, c), "°CF "))
	}
	put(0, label(0))
	put(lo, label(lo))
	put(hi, label(hi))
	unit := "°C"
	if u == US {
		unit = "°F"
	}
	t.lines = append(t.lines, pad("NIGHT OF", left-4)+unit+"  "+strings.TrimRight(string(scale), " "))
	for i := range nights {
		n := &nights[i]
		low := ""
		row := []rune(strings.Repeat(" ", span+1))
		row[at(0)] = '|'
		if n.Row.HasLow {
			low = u.in(fields.Temperature, n.Row.LowC)
			from, to := at(0), at(n.Row.LowC)
			for j := min(from, to) + 1; j < max(from, to); j++ {
				row[j] = '-'
			}
			row[to] = rune(n.shape()[0])
		} else if n.shape() != "o" { // a frost without a number, or nobody read it
			row[at(0)] = rune(n.shape()[0])
		}
		line := pad(n.Row.Night.Short(), 12) + pad(n.Word, wordWidth+2) + pad("", lowWidth-Width(low)) + low + "  " + string(row)
		t.lines = append(t.lines, strings.TrimRight(line, " "))
	}
	t.para("", "  ", "X froze   ! may have frozen   o no frost   ? not read   | freezing")
	return t.flush()
}
