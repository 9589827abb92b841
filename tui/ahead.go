package tui

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// How far a strip of days reaches back and ahead.
const (
	daysBack  = 6
	daysAhead = 21
)

// dayFlags are the flags of a paddock by use and day.
type dayFlags [hazard.CutSilage + 1][daysBack + daysAhead + 1]hazard.Flag

// strip is the flag of every paddock and use on a run of days.
type strip struct {
	stripOf
	from  fields.Date
	flags map[string]*dayFlags
}

// stripOf is what a strip was worked out of: the list on screen, or an older one.
type stripOf struct {
	rev   uint64
	today fields.Date
	class string // or classes
}

func (m *model) stripHere() stripOf {
	return stripOf{m.answer.Revision, m.answer.Today, m.classNames()}
}

// current reports a strip of the list on screen.
func (s *strip) current(m *model) bool { return s != nil && s.stripOf == m.stripHere() }

// flag of a paddock and use on a day, Unknown where none is known.
func (s *strip) flag(id string, u hazard.Use, d fields.Date) hazard.Flag {
	i := d.Sub(s.from)
	f := s.flags[id]
	if f == nil || i < 0 || i >= len(f[0]) || u > hazard.CutSilage {
		return hazard.Unknown
	}
	return f[u][i]
}

// needDays asks for the strip unless it is there.
func (a *app) needDays() {
	m := a.m
	if m.days.current(m) {
		return
	}
	classes := m.classes()
	s := &strip{stripOf: m.stripHere(), from: m.answer.Today.Add(-daysBack), flags: map[string]*dayFlags{}}
	fetch(a, "working out the days", func() (*strip, error) {
		return s, a.farm.Days(s.from, s.today.Add(daysAhead), func(x *hazard.Assessment) bool {
			s.take(x, classes)
			return a.ctx.Err() == nil
		})
	}, func(s *strip) {
		if s.class == m.classNames() {
			m.days = s
		}
	})
}

func (s *strip) take(x *hazard.Assessment, classes []hazard.Class) {
	i := x.History.On.Sub(s.from)
	for j := range x.Paddocks {
		p := &x.Paddocks[j]
		f := s.flags[p.Paddock.ID]
		if f == nil {
			f = new(dayFlags)
			s.flags[p.Paddock.ID] = f
		}
		for k := range p.Verdicts {
			v := &p.Verdicts[k]
			if v.Use <= hazard.CutSilage && slices.Contains(classes, v.Class) {
				f[v.Use][i] = max(f[v.Use][i], v.Flag)
			}
		}
	}
}

// dayHead is the head of a strip: weekday letters over days of the month, the
// day asked about in angle brackets.
func dayHead(from, to, today fields.Date, indent int) []line {
	a, b := []span{keep(heading, strings.Repeat(" ", indent))}, []span{keep(heading, strings.Repeat(" ", indent))}
	for d := from; d <= to; d++ {
		_, _, day := d.Civil()
		n := strconv.Itoa(day)
		if len(n) == 1 {
			n = " " + n
		}
		w := d.Weekday().String()[:2]
		if d == today {
			a, b = append(a, keep(title, w+"<")), append(b, keep(title, n+"<"))
			continue
		}
		a, b = append(a, keep(dim, w+" ")), append(b, keep(heading, n+" "))
	}
	return []line{row(a...), row(b...)}
}

// cells are the flags of a run of days.
func (s *strip) cells(id string, u hazard.Use, from, to fields.Date) []span {
	var out []span
	for d := from; d <= to; d++ {
		out = append(out, flagCell(s.flag(id, u, d)))
	}
	return out
}

// daysOf is the strip of one paddock, for the use of the list.
func (m *model) daysOf(id string, w int) []line {
	if !m.days.current(m) {
		return append(wait("Working out the days"), blank, blank)
	}
	n := min(daysBack+daysAhead+1, (w-2)/3)
	from := m.days.from
	if n < daysBack+8 { // a narrow screen looks ahead rather than back
		from = m.days.today.Add(-min(2, daysBack))
	}
	to := min(from.Add(n-1), m.days.from.Add(daysBack+daysAhead))
	flags := append([]span{keep(plain, " ")}, m.days.cells(id, m.landUse(), from, to)...)
	return append(dayHead(from, to, m.days.today, 1), row(flags...))
}

// aheadList is the coming days, paddock by day.
func (m *model) aheadList(w, _ int) *list {
	lead := " If nothing else happens, to "
	if w < 72 {
		lead = " To "
	}
	above := []line{m.asked(w, keep(plain, lead), keep(chosen, m.landUse().String()), keep(dim, " (u), for "))}
	if !m.days.current(m) {
		return &list{above: append(above, wait("Working out the days")...)}
	}
	name := max(12, min(24, w/4))
	from, to := m.days.today, m.days.today.Add(min(daysAhead+1, (w-name-2)/3)-1)
	rows := m.paddocks()
	return &list{
		above:  append(above, dayHead(from, to, m.days.today, name+2)...),
		cols:   []column{{"", name}},
		marked: m.isPicked,
		row: func(i int) []span {
			return append([]span{say(plain, rows[i].Name)}, m.days.cells(rows[i].ID, m.landUse(), from, to)...)
		},
		flags:  rows,
		detail: m.turns(m.selected(pageAhead), w),
		none:   "No paddock answers to this question.",
	}
}

// turns tells the shapes, and in words on which days the flag changes.
func (m *model) turns(id string, w int) prose {
	p := prose{w: w, lines: []line{blank}}
	p.row(keep(dim, " "), flagCell(hazard.Hold), keep(dim, " HOLD  "), flagCell(hazard.Caution),
		keep(dim, " CAUTION, ask first  "), flagCell(hazard.Clear), keep(dim, " CLEAR"))
	s := m.days
	was := s.flag(id, m.landUse(), s.today)
	var parts []string
	for d := s.today + 1; d <= s.today.Add(daysAhead); d++ {
		if f := s.flag(id, m.landUse(), d); f != was && f != hazard.Unknown {
			parts = append(parts, board.FlagWord(f)+" from "+d.Words())
			was = f
		}
	}
	if len(parts) == 0 {
		parts = []string{"no change in " + strconv.Itoa(daysAhead) + " days"}
	}
	p.say(plain, m.name(id)+": "+strings.Join(parts, ", ")+".")
	return p
}
