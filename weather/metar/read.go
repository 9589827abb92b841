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
	"bytes"
	"errors"
	"fmt"
	"io"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/report"
	"rimegate/weather/internal/rows"
	"rimegate/weather/internal/table"
)

// Name is the name of the format.
const Name = "METAR"

// Options tells what the file itself does not say; Month is needed unless the text
// carries dates.
type Options = weather.Options

// Read reads a whole text.
func Read(r io.Reader, opt Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Stream(r, opt, s) })
}

const maxReport = 4096 // bytes of one report with its continuation lines

type reader struct {
	res    *weather.Result
	sink   weather.Sink
	opt    Options
	pick   *rows.Pick
	anchor time.Time // of a date line above the report, or the report before
	dated  bool      // anchor is of a date line
	month  month     // of the last report
	stamp  rows.Stamp
	whole  int // reports without tenths
	text   []byte
	at     int
	over   bool // the report at hand is longer than any report
}

// Stream reads a text report by report into the sink.
func Stream(r io.Reader, opt Options, sink weather.Sink) (*weather.Result, error) {
	if err := opt.Check(); err != nil {
		return nil, err
	}
	p := &reader{
		res: &weather.Result{Format: Name}, sink: sink, opt: opt, pick: rows.NewPick(opt.Station),
	}
	lines := rows.NewLines(r)
	if err := p.read(lines); err != nil {
		return nil, err
	}
	if what := p.pick.Problem(weather.Quote); what != "" {
		return nil, table.Refuse(0, what, "say which one to read")
	}
	if lines.Num() == 0 {
		return nil, table.Refuse(0, "the file is empty", "check that the whole file was saved")
	}
	if err := table.Finish(p.res, lines.Num()); err != nil {
		return nil, err
	}
	p.res.Station = weather.Clean(p.pick.Name(), 60)
	p.res.Unit = "degrees Celsius, by the format"
	if p.whole > 0 {
		p.res.Note(weather.Count(p.whole, "report") + " in whole degrees only; M00 is taken as below zero without a number")
	}
	if opt.Unit != "" && opt.Unit != "C" {
		p.res.Note("the unit you gave was not used: the format is in degrees Celsius")
	}
	return p.res, nil
}

func (p *reader) read(lines *rows.Lines) error {
	for {
		line, err := lines.Next()
		switch {
		case err == io.EOF:
			return p.flush()
		case errors.Is(err, rows.ErrLong):
			if err := p.flush(); err != nil {
				return err
			}
			p.res.Read++
			p.res.Reject(lines.Num(), "the line is too long")
			continue
		case err != nil:
			return table.ReadError(lines.Num()+1, err)
		}
		if lines.Num() == 1 && rows.UTF16(line) {
			return table.Refuse(1, "the file is saved as UTF-16", "save it as plain text and bring it in again")
		}
		if lines.HasNUL(line) {
			if err := p.flush(); err != nil {
				return err
			}
			p.res.Read++
			p.res.Reject(lines.Num(), "the line holds NUL bytes")
			continue
		}
		more := len(line) > 0 && (line[0] == ' ' || line[0] == '\t') && len(p.text) > 0
		line = rows.Trim(line)
		switch {
		case len(line) == 0:
			err = p.flush()
		case more:
			p.add(line)
		default:
			if err = p.flush(); err == nil && !p.dateLine(line) {
				p.at = lines.Num()
				p.add(line)
			}
		}
		if err != nil {
			return err
		}
		if n := len(p.text); n > 0 && p.text[n-1] == '=' {
			if err := p.flush(); err != nil {
				return err
			}
		}
	}
}

func (p *reader) add(line []byte) {
	if len(p.text)+len(line) > maxReport {
		p.over = true
		return
	}
	if len(p.text) > 0 {
		p.text = append(p.text, ' ')
	}
	p.text = append(p.text, line...)
}

// dateLine takes a line that is a date, or a date and time, in UTC.
func (p *reader) dateLine(line []byte) bool {
	s := &p.stamp
	if !s.Parse(line) || !s.HasDate || s.InNumbers {
		return false
	}
	p.anchor, p.dated = stampTime(s), true
	return true
}

func stampTime(s *rows.Stamp) time.Time {
	sec := s.Sec
	if !s.HasTime {
		sec = 86399
	}
	return time.Unix(rows.Days(s.Y, s.M, s.D)*86400+int64(sec), 0).UTC()
}

// flush reads the report at hand.
func (p *reader) flush() error {
	text, over := p.text, p.over
	p.text, p.over = p.text[:0], false
	if len(text) == 0 {
		return nil
	}
	p.res.Read++
	if over {
		p.res.Reject(p.at, "the report is longer than a report can be")
		return nil
	}
	anchor, dated := p.anchor, p.dated
	if lead, rest, ok := leadDate(text); ok {
		anchor, text, dated = lead, rest, true
	}
	r := report.Parse(text)
	switch {
	case r.Forecast:
		p.res.Skipped++
		return nil
	case r.Nil && !r.Recognised:
		p.res.Missing++
		return nil
	case !r.Recognised:
		p.res.Reject(p.at, weather.Quote(string(text))+" is not a report: station, day and time are not found")
		return nil
	}
	keep, forget := p.pick.Take(r.Station[:])
	if forget {
		p.res.Skipped += p.res.Kept + p.res.Rejected + p.res.Missing
		p.res.Kept, p.res.Rejected, p.res.Missing, p.res.Rejects = 0, 0, 0, nil
		p.whole = 0
		p.sink.Forget()
	}
	if !keep {
		p.res.Skipped++
		return nil
	}
	if r.Contradictory {
		p.res.Reject(p.at, "the temperature and its tenths in the remarks contradict one another")
		return nil
	}
	if !r.HasTemp && !r.Below && r.Min6 == nil && r.Min24 == nil {
		p.res.Missing++
		return nil
	}
	for _, c := range []*float64{r.Min6, r.Min24, temp(&r)} {
		if c != nil && !weather.Possible(*c) {
			p.res.Reject(p.at, fmt.Sprintf("%.1f °C is no possible air temperature", *c))
			return nil
		}
	}
	var t time.Time
	ok := false
	switch {
	case !anchor.IsZero():
		t, ok = p.month.nearest(r.Day, r.Hour, r.Min, anchor)
		if ok && !dated && t.Sub(anchor).Abs() > maxJump {
			return table.Refuse(p.at, fmt.Sprintf("the report of day %02d follows one of day %02d: more than ten days apart nobody can tell which month it is of", r.Day, anchor.Day()),
				"bring in each month in a file of its own, with its month")
		}
		if ok && !p.anchor.IsZero() {
			p.anchor, p.dated = t, false
		}
	case p.opt.Month != "":
		if t, ok = inMonth(r.Day, r.Hour, r.Min, p.opt.Month); ok {
			p.anchor = t
			p.res.Note("the first report is of " + t.Format("January 2006") + ", as you said; those behind it follow on")
		}
	default:
		return fields.Problem{Field: "month", What: "the reports say the day of the month, but no month or year", Type: "say the month of the first report, like 2026-10"}
	}
	if !ok {
		p.res.Reject(p.at, fmt.Sprintf("there is no day %d in the months around the report", r.Day))
		return nil
	}
	p.res.Kept++
	p.emit(&r, t)
	return nil
}

func temp(r *report.Report) *float64 {
	if r.HasTemp {
		return &r.TempC
	}
	return nil
}

func (p *reader) emit(r *report.Report, t time.Time) {
	if !r.Tenths && (r.HasTemp || r.Below) {
		p.whole++
	}
	switch {
	case r.HasTemp && p.sink.TempOnly:
		p.sink.EmitTemp(t.Unix(), r.TempC)
	case r.HasTemp || r.Below:
		o := weather.Observation{At: t, TempC: r.TempC, HasTemp: r.HasTemp}
		if r.Below {
			yes := true
			o.BelowZero = &yes
		}
		if r.HasDew && !p.sink.TempOnly {
			d := r.DewC
			o.DewC = &d
		}
		if r.HasWind && !p.sink.TempOnly {
			w := r.WindMS
			o.WindMS = &w
		}
		p.sink.Emit(o)
	}
	if r.Min6 != nil {
		p.sink.EmitSpell(weather.Spell{From: t.Add(-6 * time.Hour), To: t, MinC: *r.Min6, What: "6-hour minimum"})
	}
	if r.Min24 != nil {
		p.sink.EmitSpell(weather.Spell{From: t.Add(-24 * time.Hour), To: t, MinC: *r.Min24, What: "24-hour minimum"})
	}
}

// maxJump is how far apart reports may lie that follow one another without a date: at
// half a month the day alone fits two months alike.
const maxJump = 10 * 24 * time.Hour

// inMonth returns the instant of a day and time of day (UTC) in a month, YYYY-MM. ok
// is false if the month has no such day.
func inMonth(day, hour, minute int, month string) (time.Time, bool) {
	first, err := time.Parse("2006-01", month)
	if err != nil {
		return time.Time{}, false
	}
	t := time.Date(first.Year(), first.Month(), day, hour, minute, 0, 0, time.UTC)
	return t, t.Month() == first.Month()
}

// Nearest returns the instant with the day of the month and the time of day (UTC)
// that lies nearest to a known time. ok is false if no month near it has the day.
func Nearest(day, hour, minute int, near time.Time) (best time.Time, ok bool) {
	u := near.UTC()
	y, m, _ := u.Date()
	if rows.RealDay(y, int(m), day) { // mostly it is of the same month
		t := time.Unix(rows.Days(y, int(m), day)*86400+int64(hour*3600+minute*60), 0).UTC()
		if t.Sub(u).Abs() < 13*24*time.Hour {
			return t, true
		}
	}
	for by := -1; by <= 1; by++ {
		first := time.Date(y, m, 1, 0, 0, 0, 0, time.UTC).AddDate(0, by, 0)
		t := time.Date(first.Year(), first.Month(), day, hour, minute, 0, 0, time.UTC)
		if t.Month() == first.Month() && (!ok || t.Sub(u).Abs() < best.Sub(u).Abs()) {
			best, ok = t, true
		}
	}
	return best, ok
}

// month is a calendar month in seconds since 1970. Reports follow one another, so
// the calendar need not be asked for each.
type month struct{ start, end int64 }

// nearest is Nearest, short if the day of the known time's own month is near.
func (m *month) nearest(day, hour, minute int, near time.Time) (time.Time, bool) {
	at := near.Unix()
	if at < m.start || at >= m.end {
		y, mon, _ := near.UTC().Date()
		*m = month{monthStart(y, int(mon)), monthStart(y, int(mon)+1)}
	}
	t := m.start + int64(day-1)*86400 + int64(hour*3600+minute*60)
	if t < m.end && max(t-at, at-t) < 12*86400 {
		return time.Unix(t, 0).UTC(), true
	}
	return Nearest(day, hour, minute, near)
}

func monthStart(y, m int) int64 {
	return time.Date(y, time.Month(m), 1, 0, 0, 0, 0, time.UTC).Unix()
}

// leadDate takes a date and time off the front of a report's line:
// 202510141053, 2025-10-14T10:53Z or 2025-10-14 10:53, all UTC.
func leadDate(line []byte) (t time.Time, rest []byte, ok bool) {
	if len(line) == 0 || line[0] < '0' || line[0] > '9' {
		return time.Time{}, line, false
	}
	if len(line) > 12 && line[12] == ' ' {
		if t, ok := twelve([12]byte(line)); ok {
			return t, line[13:], true
		}
	}
	word, rest, ok := bytes.Cut(line, []byte{' '})
	if !ok || len(word) < 8 {
		return time.Time{}, line, false
	}
	try := word
	if next, after, more := bytes.Cut(rest, []byte{' '}); more && bytes.IndexByte(next, ':') >= 0 {
		try, rest = line[:len(word)+1+len(next)], after
	}
	st, good := rows.ParseStamp(bytes.TrimSuffix(try, []byte{','}))
	if !good || !st.HasDate || st.InNumbers || st.Zone == rows.ZoneAbbr {
		return time.Time{}, line, false
	}
	return stampTime(&st).Add(-time.Duration(st.Off) * time.Second), rest, true
}

// twelve reads 202510141053.
func twelve(s [12]byte) (time.Time, bool) {
	var p [6]int // two digits each
	for i := range p {
		a, b := s[2*i]-'0', s[2*i+1]-'0'
		if a > 9 || b > 9 {
			return time.Time{}, false
		}
		p[i] = int(a)*10 + int(b)
	}
	y := p[0]*100 + p[1]
	if !rows.RealDay(y, p[2], p[3]) || p[4] > 23 || p[5] > 59 {
		return time.Time{}, false
	}
	return time.Unix(rows.Days(y, p[2], p[3])*86400+int64(p[4]*3600+p[5]*60), 0).UTC(), true
}

// Sniff says why a file that begins with head holds reports, "" if it does not.
func Sniff(head []byte) string {
	for i := 0; i < 20 && len(head) > 0; i++ {
		var line []byte
		line, head, _ = bytes.Cut(head, []byte{'\n'})
		line = bytes.TrimSpace(line[:min(len(line), 400)])
		if _, rest, ok := leadDate(line); ok {
			line = rest
		}
		if r := report.Parse(line); r.Recognised {
			return "a line has a station, a day with a time, and a report behind them"
		}
	}
	return ""
}
