// Package metar reads text with aviation weather reports (METAR and SPECI, WMO
// FM-15 and FM-16), one a line; lines that begin with a space carry on the one
// above. The United States remarks give tenths of a degree and the lowest
// temperature of the last 6 and 24 hours. M00 is read as "below zero", not as 0.
//
// A report carries day of month, hour and minute only. Month and year come from a
// line such as 2025/10/14 10:53 above the report, or a date before it on its line:
// the nearest such day, and for the reports that follow the one nearest to the
// report before. Without any date they come from the time the text was received:
// the latest such day that is not after it.
package metar

import (
	"fmt"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/report"
	"rimegate/weather/internal/table"
)

// Format is a text of reports. Options.Month is needed unless the text carries dates.
var Format = table.Format{
	Key: "metar", Name: "METAR", Unit: "degrees Celsius, by the format", Own: "the format is in degrees Celsius", Sniff: sniff, Read: stream,
}

const maxReport = 4096 // bytes of one report with its continuation lines

type reader struct {
	*table.File
	anchor time.Time // of a date line above the report, or the report before
	dated  bool      // anchor is of a date line
	whole  int       // reports without tenths
	text   string    // of the report at hand
	at     int       // its first line
}

func stream(f *table.File) (*weather.Result, error) {
	p := &reader{File: f}
	f.End = p.flush
	res, err := f.Finish(f.Each(p.line))
	if err == nil && p.whole > 0 {
		res.Note(weather.Count(p.whole, "report") + " in whole degrees only; M00 is taken as below zero without a number")
	}
	return res, err
}

// line takes a line up: a report, the rest of the one above, a date, or nothing.
func (p *reader) line(line string) error {
	text := strings.Trim(line, " \t")
	if more := text != "" && (line[0] == ' ' || line[0] == '\t') && p.text != ""; more {
		text = p.text + " " + text
		if len(p.text) > maxReport { // which is said; no need to keep all of it
			text = p.text
		}
	} else {
		if err := p.flush(); err != nil {
			return err
		}
		s, ok := table.ParseStamp(text)
		if ok && s.HasDate && !s.InNumbers {
			p.anchor, p.dated = instant(s), true
			return nil
		}
		p.at = p.Num
	}
	p.text = text
	if strings.HasSuffix(text, "=") {
		return p.flush()
	}
	return nil
}

// instant returns when a date line or a date before a report is of; without a time,
// the end of the day.
func instant(s table.Stamp) time.Time {
	if !s.HasTime {
		s.Sec = 86399
	}
	return s.UTC()
}

// flush reads the report at hand, or several on one line, each with its =.
func (p *reader) flush() error {
	text := p.text
	p.text = ""
	for one := range strings.SplitSeq(text, "=") {
		if one = strings.Trim(one, " \t"); one != "" {
			if err := p.report(one); err != nil {
				return err
			}
		}
	}
	return nil
}

// report reads a report.
func (p *reader) report(text string) error {
	p.Res.Read++
	reject := func(what string) error {
		p.Res.Reject(p.at, what)
		return nil
	}
	if len(text) > maxReport {
		return reject("the report is longer than a report can be")
	}
	anchor, dated := p.anchor, p.dated
	if lead, rest, ok := leadDate(text); ok {
		anchor, text, dated = lead, rest, true
	}
	r := report.Parse(text)
	switch {
	case r.Forecast:
		p.Res.Skipped++
		return nil
	case r.Nil && !r.Recognised:
		p.Res.Missing++
		return nil
	case !r.Recognised:
		return reject(weather.Quote(text) + " is not a report: station, day and time are not found")
	case !p.Take(r.Station, func() { p.whole = 0 }):
		return nil
	case r.Contradicts != nil:
		t, ok, err := p.date(&r, anchor, dated)
		if err != nil {
			return err
		}
		if ok {
			p.Doubt(t, min(*r.Contradicts, *r.TempC))
		}
		return reject(fmt.Sprintf("the temperature (%.0f °C) and its tenths in the remarks (%.1f °C) contradict one another", *r.Contradicts, *r.TempC))
	case r.TempC == nil && !r.Below && r.Min6 == nil && r.Min24 == nil:
		p.Res.Missing++
		return nil
	}
	for _, c := range []*float64{r.Min6, r.Min24, r.TempC} {
		if c != nil && !weather.Possible(*c) {
			return reject(fmt.Sprintf("%.1f °C is no possible air temperature", *c))
		}
	}
	t, ok, err := p.date(&r, anchor, dated)
	switch {
	case err != nil:
		return err
	case !ok:
		return reject(fmt.Sprintf("there is no day %d in the months around the report", r.Day))
	}
	o := r.Observation(t)
	if (o.HasTemp || o.Below) && !r.Tenths {
		p.whole++
	}
	p.Keep(o, r.Lows()...)
	return nil
}

// maxJump is how far apart reports may lie that follow one another without a date: at
// half a month the day alone fits two months alike.
const maxJump = 10 * 24 * time.Hour

// date finds month and year of a report. ok is false if it has a day that no month
// near has.
func (p *reader) date(r *report.Report, anchor time.Time, dated bool) (t time.Time, ok bool, err error) {
	if !anchor.IsZero() {
		t, ok = nearest(r, anchor)
		if ok && !dated && t.Sub(anchor).Abs() > maxJump {
			return t, false, table.Refuse(p.at, fmt.Sprintf("the report of day %02d follows one taken for that of %s: more than ten days apart nobody can tell which month it is of", r.Day, anchor.Format("2 January 2006")),
				"bring in each month in a file of its own, with its month")
		}
		if ok && !p.anchor.IsZero() {
			p.anchor, p.dated = t, false
		}
		return t, ok, nil
	}
	first, err := time.Parse("2006-01", p.Opt.Month)
	if err != nil {
		return t, false, fields.Problem{Field: "month", What: "the reports say the day of the month, but no month or year", Type: "say the month of the first report, like 2026-10"}
	}
	if t, ok = inMonth(r, first.Year(), first.Month()); ok {
		p.anchor = t
		p.Res.Note("the first report is of " + t.Format("January 2006") + ", as you said; those behind it follow on")
	}
	return t, ok, nil
}

// inMonth returns the instant of a report in a month, 0 and 13 being those around the year; ok
// is false if that has no such day.
func inMonth(r *report.Report, year int, m time.Month) (time.Time, bool) {
	switch m {
	case 0:
		year, m = year-1, time.December
	case 13:
		year, m = year+1, time.January
	}
	t := time.Date(year, m, r.Day, r.Hour, r.Min, 0, 0, time.UTC)
	return t, r.Day <= 28 || t.Month() == m
}

// nearest returns the instant of a report that lies nearest to a known time. ok is
// false if no month near it has the day.
func nearest(r *report.Report, near time.Time) (best time.Time, ok bool) {
	year, m, _ := near.Date()
	for _, by := range []time.Month{0, -1, 1} {
		t, real := inMonth(r, year, m+by)
		if real && (!ok || t.Sub(near).Abs() < best.Sub(near).Abs()) {
			best, ok = t, true
		}
		if ok && best.Sub(near).Abs() < maxJump {
			break
		}
	}
	return best, ok
}

// leadDate takes a date and time off the front of a report's line:
// 202510141053, 2025-10-14T10:53Z or 2025-10-14 10:53, all UTC.
func leadDate(line string) (t time.Time, rest string, ok bool) {
	word, rest, ok := strings.Cut(line, " ")
	if !ok || len(word) < 8 || line[0] < '0' || line[0] > '9' {
		return time.Time{}, line, false
	}
	if len(word) == 12 {
		if t, err := time.Parse("200601021504", word); err == nil {
			return t, rest, true
		}
	}
	if next, after, more := strings.Cut(rest, " "); more && strings.Contains(next, ":") {
		word, rest = word+" "+next, after
	}
	s, ok := table.ParseStamp(strings.TrimSuffix(word, ","))
	if !ok || !s.HasDate || s.InNumbers || s.Abbr != "" {
		return time.Time{}, line, false
	}
	return instant(s), rest, true
}

// sniff says why a file that begins with head holds reports, "" if it does not.
func sniff(head []byte) string {
	for _, line := range table.Lines(head, 20) {
		line = strings.TrimSpace(line[:min(len(line), 400)])
		if _, rest, ok := leadDate(line); ok {
			line = rest
		}
		if r := report.Parse(line); r.Recognised {
			return "a line has a station, a day with a time, and a report behind them"
		}
	}
	return ""
}
