package weather

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimegate/fields"
)

// A frost watch from a long record: the earliest autumn and the latest spring day on
// which a station came down to a line, over all its seasons.
//
// Seasons with 10 missing days or more are void, and 24 July parts spring from autumn:
// Utah Climate Center, "Freeze dates table", https://climate.usu.edu/help/freezeTable.php .
// Earliest as the first date on record: Midwestern Regional Climate Center,
// https://mrcc.purdue.edu/mw_climate/freezeDateToolAbout.jsp . "Never in n years" holds
// for up to 3 in n with 95 % (the rule of three). 30 seasons, the 14 days and the 21 days
// of a lone date are ours.
const (
	WatchSeasons = 30 // whole seasons that a watch needs
	WatchMargin  = 14 // days before the earliest and after the latest date
	watchMissing = 10 // missing days that void a season
	watchLone    = 21 // days by which a lone date leads the next
)

// watchStart is the day that parts spring from autumn.
var watchStart = fields.MonthDay{Month: 7, Day: 24}

// ofSeason returns the year in which the season of a date began, on 24 July.
func ofSeason(d fields.Date) int {
	y, m, day := d.Civil()
	if m < watchStart.Month || m == watchStart.Month && day < watchStart.Day {
		y--
	}
	return y
}

// RecordLine is what a record says of one line.
type RecordLine struct {
	LineC            float64
	Earliest, Latest fields.Date // NoDate if the record never came down to the line
	// Lone dates: the first of the earliest, the last of the latest, more than 21 days
	// from the next season's. NoDate if there is none.
	LoneEarliest, LoneLatest fields.Date
	NextEarliest, NextLatest fields.Date
}

// RecordWatch is a frost watch worked out from a record.
type RecordWatch struct {
	Watch fields.Watch // with its record; the whole year if the record leaves no night out
	Lines []RecordLine // by line, lowest first
	Need  RecordLine   // the one the watch is made for
	Void  []int        // seasons left out of the count, by the year they began
}

// WholeYear reports whether the record leaves no night of the year out.
func (w *RecordWatch) WholeYear() bool { return w.Watch.WholeYear() }

// WatchOf works out a frost watch from the nights of a station's record, in any order:
// from 14 days before the earliest to 14 days after the latest date at or below need,
// the highest line that the farm's paddocks need. lines, in °C at the station, are
// recorded with it. A void season counts for nothing in the number of seasons; that it
// was cold on some day counts all the same. The error says that the record is too short
// or too warm.
func WatchOf(station string, nights []NightLow, lines []float64, need float64) (*RecordWatch, error) {
	type season struct{ first, last map[float64]fields.Date }
	want := append([]float64{need}, lines...)
	for i := range want {
		want[i] = math.Round(want[i]*100) / 100
	}
	slices.Sort(want)
	want = slices.Compact(want)
	seasons := map[int]*season{}
	read := map[fields.Date]bool{}
	for i := range nights {
		n := &nights[i]
		below := n.BelowZero != nil && *n.BelowZero
		if n.LowC == nil && !below {
			continue
		}
		if !n.Part && (n.Covers || len(n.Spans) == 0) {
			read[n.Night] = true
		}
		y := ofSeason(n.Night)
		s := seasons[y]
		if s == nil {
			s = &season{map[float64]fields.Date{}, map[float64]fields.Date{}}
			seasons[y] = s
		}
		for _, line := range want {
			if n.LowC != nil && AtOrBelow(*n.LowC, line) || below && line >= 0 {
				if d, ok := s.first[line]; !ok || n.Night < d {
					s.first[line] = n.Night
				}
				if d, ok := s.last[line]; !ok || n.Night > d {
					s.last[line] = n.Night
				}
			}
		}
	}
	out := &RecordWatch{}
	var whole []int
	for y := range seasons {
		missing := 0
		for d := fields.MakeDate(y, 7, 24); d < fields.MakeDate(y+1, 7, 24); d++ {
			if !read[d] {
				missing++
			}
		}
		if missing >= watchMissing {
			out.Void = append(out.Void, y)
		} else {
			whole = append(whole, y)
		}
	}
	slices.Sort(whole)
	slices.Sort(out.Void)
	if len(whole) < WatchSeasons {
		return nil, fields.Problem{
			Field: "record",
			What:  fmt.Sprintf("%s from 24 July to 23 July, %d with ten days or more missing left out; a frost watch needs at least %d", Count(len(whole), "whole season"), len(out.Void), WatchSeasons),
			Type:  "take the record of a station that was read for longer",
		}
	}
	record := &fields.WatchRecord{Station: station, Seasons: len(whole), FromYear: whole[0], ToYear: whole[len(whole)-1] + 1}
	for _, line := range want {
		l := RecordLine{LineC: line}
		var firsts, lasts []fields.Date
		for _, s := range seasons {
			if d, ok := s.first[line]; ok {
				firsts, lasts = append(firsts, d), append(lasts, s.last[line])
			}
		}
		if len(firsts) == 0 {
			out.Lines = append(out.Lines, l)
			continue
		}
		slices.SortFunc(firsts, func(a, b fields.Date) int { return cmp.Or(cmp.Compare(seasonDay(a), seasonDay(b)), cmp.Compare(a, b)) })
		slices.SortFunc(lasts, func(a, b fields.Date) int { return cmp.Or(cmp.Compare(seasonDay(b), seasonDay(a)), cmp.Compare(a, b)) })
		l.Earliest, l.Latest = firsts[0], lasts[0]
		if len(firsts) > 1 {
			l.NextEarliest, l.NextLatest = firsts[1], lasts[1]
			if seasonDay(firsts[1])-seasonDay(firsts[0]) > watchLone {
				l.LoneEarliest = firsts[0]
			}
			if seasonDay(lasts[0])-seasonDay(lasts[1]) > watchLone {
				l.LoneLatest = lasts[0]
			}
		} else {
			l.LoneEarliest, l.LoneLatest = firsts[0], lasts[0]
		}
		out.Lines = append(out.Lines, l)
		record.Lines = append(record.Lines, fields.WatchLine{LineC: line, Earliest: monthDay(l.Earliest), Latest: monthDay(l.Latest)})
	}
	need = math.Round(need*100) / 100
	i := slices.IndexFunc(record.Lines, func(l fields.WatchLine) bool { return l.LineC == need })
	if i < 0 {
		return nil, fields.Problem{
			Field: "record",
			What:  fmt.Sprintf("the record never came down to %g °C, so it says nothing of when frost comes", need),
			Type:  "check its unit, or take the record of another station",
		}
	}
	out.Need = out.Lines[slices.IndexFunc(out.Lines, func(l RecordLine) bool { return l.LineC == need })]
	from, to := watchSpan(record.Lines[i])
	out.Watch = fields.Watch{From: monthDay(from), To: monthDay(to), Record: record}
	if to-from >= 364 {
		out.Watch.From, out.Watch.To = fields.MonthDay{Month: 1, Day: 1}, fields.MonthDay{Month: 12, Day: 31}
	}
	return out, nil
}

// seasonDay is the day of the season, 0 on 24 July. 29 February counts as 1 March.
func seasonDay(d fields.Date) int { return dayOf(monthDay(d)).Sub(fields.MakeDate(2001, 7, 24)) }

func monthDay(d fields.Date) fields.MonthDay {
	_, m, day := d.Civil()
	return fields.MonthDay{Month: m, Day: day}
}

// watchSpan returns the days of a season that no leap day falls in, from 24 July 2001,
// between which a line asks for a watch.
func watchSpan(l fields.WatchLine) (from, to fields.Date) {
	return dayOf(l.Earliest) - WatchMargin, dayOf(l.Latest) + WatchMargin
}

// dayOf returns a day of the year in the season that began on 24 July 2001.
func dayOf(m fields.MonthDay) fields.Date {
	year := 2001
	if m.Month < watchStart.Month || m.Month == watchStart.Month && m.Day < watchStart.Day {
		year++
	}
	return fields.MakeDate(year, m.Month, m.Day)
}

// RecordHolds reports whether a frost watch is backed by a station record for a line in
// °C at the thermometer (the possible line minus the paddock's offset): of 30 seasons or
// more, and beginning at least 14 days before the earliest and ending at least 14 days
// after the latest date at or below a recorded line that is no lower.
func RecordHolds(w fields.Watch, lineC float64) bool {
	r := w.Record
	if r == nil || r.Seasons < WatchSeasons {
		return false
	}
	for _, l := range r.Lines {
		if l.LineC+0.005 < lineC {
			continue
		}
		from, to := watchSpan(l)
		holds := true
		for d := from; d <= to && holds; d++ {
			holds = w.Covers(d)
		}
		if holds {
			return true
		}
	}
	return false
}

// NeverWords says what a record of n seasons without an event is worth.
func NeverWords(n int) string {
	return fmt.Sprintf("never in %d years, which allows up to 3 in %d", n, n)
}

// yearsWords lists years, the first few of many.
func yearsWords(years []int) string {
	var out []string
	for i, y := range years {
		if i == 8 {
			out = append(out, fmt.Sprintf("and %d more", len(years)-i))
			break
		}
		out = append(out, fmt.Sprint(y))
	}
	return strings.Join(out, ", ")
}

// VoidWords lists the void seasons, "" if there are none.
func (w *RecordWatch) VoidWords() string {
	if len(w.Void) == 0 {
		return ""
	}
	return Count(len(w.Void), "season") + " with ten days or more missing not counted (begun " + yearsWords(w.Void) + ")"
}
