package plaincsv

import (
	"fmt"
	"time"

	"rimegate/fields"
	"rimegate/weather"
	"rimegate/weather/internal/rows"
)

// dateShape follows what the dates in numbers of a column allow. A day above 12
// settles the order of day and month; nothing else does.
type dateShape struct {
	met       bool
	first     rows.Stamp // the first such date
	firstLine int
	dayFirst  int // line that has a first part above 12, 0 for none
	dayLast   int // line that has a second part above 12
	yearFirst int // line that has a two-digit first part above 31
	proof     string
	proofLine int
	// sameEitherWay: day and month are equal in every date so far.
	sameEitherWay bool

	// Two-digit parts that could be the year: a first part that hardly changes
	// with a third that does looks like year, month, day.
	firsts, thirds [100]bool
	nFirst, nThird int
	twoDigits      bool
}

func parts(s *rows.Stamp) string {
	if s.CDigits > 2 {
		return fmt.Sprintf("%02d/%02d/%04d", s.A, s.B, s.C)
	}
	return fmt.Sprintf("%02d/%02d/%02d", s.A, s.B, s.C)
}

func (p *reader) numbers(s *rows.Stamp) string { return weather.Quote(parts(s)) }

func (d *dateShape) add(s *rows.Stamp, line int) {
	if !d.met {
		d.met, d.first, d.firstLine = true, *s, line
		d.sameEitherWay = true
	}
	d.sameEitherWay = d.sameEitherWay && s.A == s.B && s.A <= 12
	if s.CDigits == 2 {
		d.twoDigits = true
		if s.A < 100 && !d.firsts[s.A] {
			d.firsts[s.A] = true
			d.nFirst++
		}
		if !d.thirds[s.C] {
			d.thirds[s.C] = true
			d.nThird++
		}
	}
	mark := func(at *int) {
		if *at == 0 {
			*at = line
			if d.proof == "" {
				d.proof, d.proofLine = weather.Quote(parts(s)), line
			}
		}
	}
	switch {
	case s.A > 31 && s.CDigits == 2 && s.B <= 12:
		mark(&d.yearFirst)
	case s.A > 12 && s.A <= 31 && s.B <= 12:
		mark(&d.dayFirst)
	case s.B > 12 && s.B <= 31 && s.A <= 12:
		mark(&d.dayLast)
	}
}

// settled returns the order once a date has settled it.
func (d *dateShape) settled() rows.Order {
	switch {
	case d.yearFirst > 0:
		return rows.YMD
	case d.dayFirst > 0:
		return rows.DMY
	case d.dayLast > 0:
		return rows.MDY
	}
	return rows.Unsettled
}

// check refuses a column whose dates contradict one another.
func (d *dateShape) check(o rows.Order, said bool) error {
	if !d.met || said {
		return nil
	}
	const do = "write the dates like 2026-10-06, or say the order: dmy, mdy or ymd"
	if d.dayFirst > 0 && d.dayLast > 0 {
		return refuse(max(d.dayFirst, d.dayLast), fmt.Sprintf("the dates contradict one another: line %d must have the day first, line %d the month", d.dayFirst, d.dayLast), do)
	}
	if o == rows.DMY && d.twoDigits && d.nThird > 3 && d.nFirst <= 2 {
		return refuse(d.firstLine, weather.Quote(parts(&d.first))+" may have its year first: the first part hardly changes down the file", do)
	}
	return nil
}

// openOrder refuses a file in which nothing settles day and month.
func (p *reader) openOrder() error {
	s := p.was.first
	var list []string
	seen := map[fields.Date]bool{}
	for _, o := range []rows.Order{rows.DMY, rows.MDY} {
		t := s
		if t.Settle(o) {
			d := fields.MakeDate(t.Y, monthOf(t.M), t.D)
			if !seen[d] {
				seen[d] = true
				list = append(list, d.Words())
			}
		}
	}
	const do = "say the order, dmy or mdy, or write dates like 2026-10-06"
	switch len(list) {
	case 0:
		return refuse(p.was.firstLine, weather.Quote(parts(&s))+" is not a date", do)
	case 1:
		return refuse(p.was.firstLine, fmt.Sprintf("%s has the month in numbers; it can be %s, and nothing in the file settles it", weather.Quote(parts(&s)), list[0]), do)
	}
	return refuse(p.was.firstLine, fmt.Sprintf("%s can be %s or %s, and no date in the file settles it", weather.Quote(parts(&s)), list[0], list[1]), do)
}

func orderWords(o rows.Order) string {
	switch o {
	case rows.DMY:
		return "day, month, year"
	case rows.MDY:
		return "month, day, year"
	case rows.YMD:
		return "year, month, day"
	}
	return "open"
}

func monthOf(m int) time.Month { return time.Month(m) }

func unix(t int64) time.Time { return time.Unix(t, 0).UTC() }

func yes() *bool { b := true; return &b }
