package weather

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
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

// seasonBegins is the day that parts the spring of a year from its autumn.
func seasonBegins(year int) fields.Date { return fields.MakeDate(year, 7, 24) }

// ofSeason returns the year in which the season of a date began.
func ofSeason(d fields.Date) int {
	if y := d.Year(); d >= seasonBegins(y) {
		return y
	}
	return d.Year() - 1
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
	out := &RecordWatch{}
	whole := out.seasons(nights)
	if len(whole) < WatchSeasons {
		return nil, fields.Problem{
			Field: "record",
			What:  fmt.Sprintf("%s from 24 July to 23 July, %d with ten days or more missing left out; a frost watch needs at least %d", Count(len(whole), "whole season"), len(out.Void), WatchSeasons),
			Type:  "take the record of a station that was read for longer",
		}
	}
	record := &fields.WatchRecord{Station: station, Seasons: len(whole), FromYear: whole[0], ToYear: whole[len(whole)-1] + 1}
	want := append([]float64{need}, lines...)
	for i := range want {
		want[i] = math.Round(want[i]*100) / 100
	}
	need = want[0]
	slices.Sort(want)
	for _, line := range slices.Compact(want) {
		l := recordLine(nights, line)
		out.Lines = append(out.Lines, l)
		if l.Earliest == fields.NoDate {
			continue
		}
		record.Lines = append(record.Lines, fields.WatchLine{LineC: line, Earliest: monthDay(l.Earliest), Latest: monthDay(l.Latest)})
		if line == need {
			out.Need = l
			from, to := watchSpan(record.Lines[len(record.Lines)-1])
			out.Watch = fields.Watch{From: monthDay(from), To: monthDay(to)}
			if to-from >= 364 {
				out.Watch.From, out.Watch.To = fields.MonthDay{Month: 1, Day: 1}, fields.MonthDay{Month: 12, Day: 31}
			}
		}
	}
	out.Watch.Record = record
	if out.Need.Earliest == fields.NoDate {
		return nil, fields.Problem{
			Field: "record",
			What:  fmt.Sprintf("the record never came down to %g °C, so it says nothing of when frost comes", need),
			Type:  "check its unit, or take the record of another station",
		}
	}
	return out, nil
}

// seasons returns the years in which whole seasons began and notes the void ones.
func (w *RecordWatch) seasons(nights []NightLow) (whole []int) {
	read := map[int]map[fields.Date]bool{}
	for i := range nights {
		n := &nights[i]
		if n.LowC == nil && !n.Below {
			continue
		}
		y := ofSeason(n.Night)
		if read[y] == nil {
			read[y] = map[fields.Date]bool{}
		}
		if !n.Part && (n.Covers || len(n.Spans) == 0) {
			read[y][n.Night] = true
		}
	}
	for _, y := range slices.Sorted(maps.Keys(read)) {
		if seasonBegins(y+1).Sub(seasonBegins(y))-len(read[y]) < watchMissing {
			whole = append(whole, y)
		} else {
			w.Void = append(w.Void, y)
		}
	}
	return whole
}

// recordLine finds the first and last date of each season at or below a line.
func recordLine(nights []NightLow, line float64) RecordLine {
	first, last := map[int]fields.Date{}, map[int]fields.Date{}
	for i := range nights {
		n := &nights[i]
		if !n.reached(line) {
			continue
		}
		y := ofSeason(n.Night)
		if d, ok := first[y]; !ok || n.Night < d {
			first[y] = n.Night
		}
		if d, ok := last[y]; !ok || n.Night > d {
			last[y] = n.Night
		}
	}
	l := RecordLine{LineC: line}
	l.Earliest, l.NextEarliest, l.LoneEarliest = outermost(first, 1)
	l.Latest, l.NextLatest, l.LoneLatest = outermost(last, -1)
	return l
}

// outermost returns the earliest (sign 1) or latest (-1) day of the season, the next
// season's, and the first again if it stands alone; NoDate for what there is not.
func outermost(bySeason map[int]fields.Date, sign int) (most, next, lone fields.Date) {
	dates := slices.SortedFunc(maps.Values(bySeason), func(a, b fields.Date) int {
		return cmp.Or(sign*cmp.Compare(seasonDay(a), seasonDay(b)), cmp.Compare(a, b))
	})
	if len(dates) > 0 {
		most, lone = dates[0], dates[0]
	}
	if len(dates) > 1 {
		next = dates[1]
		if sign*(seasonDay(next)-seasonDay(most)) <= watchLone {
			lone = fields.NoDate
		}
	}
	return most, next, lone
}

// seasonDay is the day of the season, 0 on 24 July. 29 February counts as 1 March.
func seasonDay(d fields.Date) int { return dayOf(monthDay(d)).Sub(seasonBegins(2001)) }

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
	if d := fields.MakeDate(2001, m.Month, m.Day); d >= seasonBegins(2001) {
		return d
	}
	return fields.MakeDate(2002, m.Month, m.Day)
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

// Never says what a record of n seasons without an event is worth.
const Never = "never in {n} years, which allows up to 3 in {n}"

// NeverWords is Never with its number.
func NeverWords(n int) string { return strings.ReplaceAll(Never, "{n}", strconv.Itoa(n)) }

// VoidWords lists the void seasons, the first few of many, "" if there are none.
func (w *RecordWatch) VoidWords() string {
	if len(w.Void) == 0 {
		return ""
	}
	const most = 8
	years := strings.Join(strings.Fields(strings.Trim(fmt.Sprint(w.Void[:min(most, len(w.Void))]), "[]")), ", ")
	if more := len(w.Void) - most; more > 0 {
		years += fmt.Sprintf(", and %d more", more)
	}
	return Count(len(w.Void), "season") + " with ten days or more missing not counted (begun " + years + ")"
}
