package plaincsv

import (
	"fmt"
	"slices"
	"strings"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// dateShape follows what the dates in numbers of a column allow. A day above 12
// settles the order of day and month; nothing else does.
type dateShape struct {
	met       bool
	first     table.Stamp // the first such date
	firstLine int
	proves    [table.YMD + 1]int // by order: the first line that has a part too large for any other, 0 for none
	proof     string
	proofLine int
	// eitherWay: day and month are equal in every date so far.
	eitherWay bool
	// Two-digit parts that could be the year: a first part that hardly changes
	// with a third that does looks like year, month, day.
	firsts, thirds map[int]bool
}

func parts(s *table.Stamp) string { return fmt.Sprintf("%02d/%02d/%0*d", s.A, s.B, s.CDigits, s.C) }

func (d *dateShape) add(s *table.Stamp, line int) {
	if !d.met {
		*d = dateShape{met: true, first: *s, firstLine: line, eitherWay: true, firsts: map[int]bool{}, thirds: map[int]bool{}}
	}
	d.eitherWay = d.eitherWay && s.A == s.B && s.A <= 12
	if s.CDigits == 2 {
		d.firsts[s.A], d.thirds[s.C] = true, true
	}
	var o table.Order
	switch {
	case s.A > 31 && s.CDigits == 2 && s.B <= 12:
		o = table.YMD
	case s.A > 12 && s.A <= 31 && s.B <= 12:
		o = table.DMY
	case s.B > 12 && s.B <= 31 && s.A <= 12:
		o = table.MDY
	default:
		return
	}
	if d.proves[o] == 0 {
		d.proves[o] = line
	}
	if d.proof == "" {
		d.proof, d.proofLine = weather.Quote(parts(s)), line
	}
}

// settled returns the order once a date has settled it.
func (d *dateShape) settled() table.Order {
	for _, o := range []table.Order{table.YMD, table.DMY, table.MDY} {
		if d.proves[o] > 0 {
			return o
		}
	}
	return table.Unsettled
}

// end takes the rows that still wait at the end of the file, or refuses a file whose
// dates can be read in two ways or contradict one another.
func (p *reader) end() error {
	d := &p.was
	if p.Res.Read == 0 {
		return table.Refuse(p.Num, "there is no row below the header", "check that the whole file was saved")
	}
	if p.order == table.Unsettled && len(p.held) > 0 {
		if !d.eitherWay {
			return p.openOrder()
		}
		p.order = table.DMY
		p.release()
	}
	const do = "write the dates like 2026-10-06, or say the order: dmy, mdy or ymd"
	switch {
	case p.Opt.DateOrder != "":
	case d.proves[table.DMY] > 0 && d.proves[table.MDY] > 0:
		day, month := d.proves[table.DMY], d.proves[table.MDY]
		return table.Refuse(max(day, month), fmt.Sprintf("the dates contradict one another: line %d must have the day first, line %d the month", day, month), do)
	case p.order == table.DMY && len(d.thirds) > 3 && len(d.firsts) <= 2:
		return table.Refuse(d.firstLine, weather.Quote(parts(&d.first))+" may have its year first: the first part hardly changes down the file", do)
	}
	return nil
}

// openOrder refuses a file in which nothing settles day and month.
func (p *reader) openOrder() error {
	s := p.was.first
	const do = "say the order, dmy or mdy, or write dates like 2026-10-06"
	text, days := weather.Quote(parts(&s)), []string{}
	for _, o := range []table.Order{table.DMY, table.MDY} {
		if s.Settle(o) && !slices.Contains(days, s.Day.Words()) {
			days = append(days, s.Day.Words())
		}
	}
	switch len(days) {
	case 0:
		text += " is not a date"
	case 1:
		text += " has the month in numbers; it can be " + days[0] + ", and nothing in the file settles it"
	default:
		text += " can be " + strings.Join(days, " or ") + ", and no date in the file settles it"
	}
	return table.Refuse(p.was.firstLine, text, do)
}

var orderWords = map[table.Order]string{table.DMY: "day, month, year", table.MDY: "month, day, year", table.YMD: "year, month, day"}
