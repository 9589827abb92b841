package board

import (
	"io"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// NewOddsSheet works out when the first frost of a season comes at a station,
// from its nights and a line in °C; ready is a day asked about, or NoDate. The
// season that runs is not part of the fit. The error is one sentence.
func NewOddsSheet(h *fields.History, station string, nights []weather.NightLow, below float64, ready fields.Date) (Sheet, error) {
	year, _ := weather.SeasonDay(h.On)
	var past []weather.Season
	var now *weather.Season // the season that runs
	for _, s := range weather.SeasonsOf(nights, below) {
		switch {
		case s.Year == year:
			now = &s
		case s.Year < year:
			past = append(past, s)
		}
	}
	o, err := weather.FitOdds(past)
	if err != nil {
		return nil, err
	}
	day := func(v float64) string { return weather.SeasonDate(year, int(math.Round(v))).Short() }
	return func(t *text) {
		t.para("", "  ", stationWords(h, station)+": the first night of a season at or below "+UnitsOf(h).temp(below)+" at the thermometer")
		t.para("", "  ", number(float64(o.Frosts+o.Cuts+o.None), 0)+" seasons, "+exact(float64(past[0].Year))+" to "+exact(float64(past[len(past)-1].Year))+": "+
			plural(o.Frosts, "known first frost")+provided(o.Cuts > 0, "; "+number(float64(o.Cuts), 0)+" not read to the end")+
			provided(o.None > 0, "; "+number(float64(o.None), 0)+" without any")+".")
		t.title("HAS COME BY   COUNTED      FITTED")
		for _, p := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
			counted, fitted := "-", "-"
			if d, ok := o.EmpiricalQuantile(p); ok {
				counted = day(d)
			}
			if d, ok := o.Quantile(p); ok {
				fitted = day(d) + ", give or take " + plural(int(math.Ceil(o.QuantileError(p))), "day")
			}
			t.lines = append(t.lines, pad(number(p*100, 0)+" of 100", 14)+pad(counted, 13)+fitted)
		}
		t.blank()
		if now != nil && now.Outcome == weather.Frost {
			t.para("", "  ", "This season the first came in the night of "+weather.SeasonDate(year, now.Day).Beside(h.On)+".")
		} else {
			t.stillToCome(h.On, ready, now, &o)
		}
		t.blank()
		t.para("", "  ", "Counted: from the record alone (Midwestern Regional Climate Center; Kaplan-Meier where seasons break off). "+
			"Fitted: a normal curve by maximum likelihood (Thom and Shaw 1958, from memory; Vestal, Monthly Weather Review 99:650, 1971). "+
			"Plants in a hollow freeze earlier than the thermometer says. Odds are no forecast, and no night is clear by them.")
	}, nil
}

// stillToCome is what can still come of a season without a frost.
func (t *text) stillToCome(on, ready fields.Date, now *weather.Season, o *weather.Odds) {
	year, today := weather.SeasonDay(on)
	read := "No night of this season was read from 1 August on; the odds below take it that there was none"
	if now != nil {
		read = "None this season through " + weather.SeasonDate(year, min(now.Day, today)).Beside(on)
		if gap := today - now.Day; gap > 0 {
			read += "; after that " + plural(gap, "night") + " to today were not read throughout, and the odds take it that they had none"
		}
	}
	t.para("", "  ", read+". Given that, the first comes")
	within := func(days int, what string) {
		line := what + ": fitted " + chance(o.Within(today, days))
		if p, n := o.EmpiricalWithin(today, days); n > 0 {
			line += ", counted " + chance(p) + " of " + plural(n, "season") + " still without one"
		} else {
			line += "; no season on record went so long without one"
		}
		t.para("  - ", "    ", line+".")
	}
	for _, days := range []int{7, 14, 30} {
		within(days, "within "+plural(days, "day"))
	}
	if ready != fields.NoDate {
		within(ready.Sub(on), "by "+ready.Beside(on)+", when it would be ready")
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

// shape tells the nights apart without colour.
func (n *ChartNight) shape() rune {
	switch {
	case n.Row.Trigger:
		return 'X'
	case n.Row.Unread:
		return '?'
	case n.Row.Possible:
		return '!'
	}
	return 'o'
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
	left := len("Mon 22 Jan") + 2 + wordWidth + 2 + lowWidth + 2
	span := max(12, t.width-left-1)
	at := func(c float64) int { return int(math.Round((c - lo) / (hi - lo) * float64(span))) }
	// The scale has no degree sign: its unit stands in the last column of the head.
	scale, unit := strings.Repeat(" ", span+1), "°C"
	if u == US {
		unit = "°F"
	}
	for _, c := range []float64{0, lo, hi} {
		s := strings.TrimSpace(strings.TrimRight(u.in(fields.Temperature, c), "°CF "))
		i := max(0, min(at(c)-len(s)/2, len(scale)-len(s)))
		if strings.TrimSpace(scale[max(0, i-1):min(len(scale), i+len(s)+1)]) == "" {
			scale = scale[:i] + s + scale[i+len(s):]
		}
	}
	t.lines = append(t.lines, pad("NIGHT OF", left-4)+unit+"  "+strings.TrimRight(scale, " "))
	for i := range nights {
		n, low := &nights[i], ""
		row := []rune(strings.Repeat(" ", span+1))
		zero := at(0)
		row[zero] = '|'
		if n.Row.HasLow {
			low = u.in(fields.Temperature, n.Row.LowC)
			to := at(n.Row.LowC)
			for j := min(zero, to) + 1; j < max(zero, to); j++ {
				row[j] = '-'
			}
			row[to] = n.shape()
		} else if n.shape() != 'o' { // a frost without a number, or nobody read it
			row[zero] = n.shape()
		}
		line := pad(n.Row.Night.Short(), 12) + pad(n.Word, wordWidth+2) + pad("", lowWidth-Width(low)) + low + "  " + string(row)
		t.lines = append(t.lines, strings.TrimRight(line, " "))
	}
	t.para("", "  ", "X froze   ! may have frozen   o no frost   ? not read   | freezing")
	return t.flush()
}
