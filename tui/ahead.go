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

// strip is the flag of every paddock and use on a run of days.
type strip struct {
	from  fields.Date
	rev   uint64
	today fields.Date
	class string // of whom, "" for the farm's classes
	flags map[string]*[hazard.CutSilage + 1][daysBack + daysAhead + 1]hazard.Flag
}

func (m *model) classKey() string {
	if m.filter.Class != nil {
		return m.filter.Class.String()
	}
	return ""
}

// current reports a strip of the list on screen.
func (s *strip) current(m *model) bool {
	return s != nil && m.answer != nil && s.rev == m.answer.Revision && s.today == m.answer.Today && s.class == m.classKey()
}

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
	if m.answer == nil || m.days.current(m) {
		return
	}
	today, rev, classes, key := m.answer.Today, m.answer.Revision, m.classes(), m.classKey()
	a.start(job{
		what: "working out the days",
		run: func() (func(), error) {
			s := &strip{from: today.Add(-daysBack), rev: rev, today: today, class: key, flags: map[string]*[hazard.CutSilage + 1][daysBack + daysAhead + 1]hazard.Flag{}}
			err := a.farm.Days(s.from, today.Add(daysAhead), func(x *hazard.Assessment) bool {
				s.take(x, classes)
				return a.ctx.Err() == nil
			})
			return func() {
				if s.class == a.m.classKey() {
					a.m.days = s
				}
			}, err
		},
		fail: func(err error) { a.m.wrong(sentence(err)) },
	})
}

func (s *strip) take(x *hazard.Assessment, classes []hazard.Class) {
	i := x.History.On.Sub(s.from)
	for j := range x.Paddocks {
		p := &x.Paddocks[j]
		f := s.flags[p.Paddock.ID]
		if f == nil {
			f = new([hazard.CutSilage + 1][daysBack + daysAhead + 1]hazard.Flag)
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

// stripOf is the strip of one paddock, for the use of the list.
func (m *model) stripOf(id string, w int) []line {
	if !m.days.current(m) {
		return []line{row(keep(dim, " Working out the days ...")), blank, blank}
	}
	n := min(daysBack+daysAhead+1, (w-2)/3)
	from := m.days.from
	if n < daysBack+8 { // a narrow screen looks ahead rather than back
		from = m.days.today.Add(-min(2, daysBack))
	}
	to := min(from.Add(n-1), m.days.from.Add(daysBack+daysAhead))
	use := m.use()
	if use == hazard.Feed {
		use = hazard.Graze
	}
	out := dayHead(from, to, m.days.today, 1)
	t := []span{keep(plain, " ")}
	for d := from; d <= to; d++ {
		t = append(t, flagCell(m.days.flag(id, use, d)))
	}
	return append(out, row(t...))
}

// aheadBody is the coming days, paddock by day.
func (m *model) aheadBody(w, h int) []line {
	out := []line{row(keep(plain, " If nothing else happens, to "), keep(chosen, m.use().String()), keep(dim, " (u), "), say(chosen, m.classWord()), keep(dim, " (c)"))}
	if !m.days.current(m) {
		return append(out, row(keep(dim, " Working out the days ...")))
	}
	name := max(12, min(24, w/4))
	n := min(daysAhead+1, (w-name-2)/3)
	from, to := m.days.today, m.days.today.Add(n-1)
	out = append(out, dayHead(from, to, m.days.today, name+2)...)
	rows := m.paddocks()
	ids := m.ids()
	here := m.selected(pageAhead, ids)
	at := max(0, slices.Index(ids, here))
	room := max(1, h-len(out)-3)
	a, b := window(len(rows), at, room)
	for i := a; i < b; i++ {
		mark := " "
		if rows[i].ID == here {
			mark = ">"
		}
		if m.picked[rows[i].ID] {
			mark += "*"
		} else {
			mark += " "
		}
		t := line{sel: rows[i].ID == here, spans: []span{keep(keycap, mark), col(plain, rows[i].Name, name)}}
		for d := from; d <= to; d++ {
			t.spans = append(t.spans, flagCell(m.days.flag(rows[i].ID, m.use(), d)))
		}
		out = append(out, t)
	}
	out = append(out, m.outOfSight(rows, a, b, w), legend())
	if here != "" {
		out = append(out, m.turns(here, w)...)
	}
	return out
}

// outOfSight names the HOLD rows that a list does not show now.
func (m *model) outOfSight(rows []board.Row, from, to, w int) line {
	var names []string
	for i := range rows {
		if (i < from || i >= to) && rows[i].Flag == hazard.Hold {
			names = append(names, rows[i].Name)
		}
	}
	if len(names) == 0 {
		return blank
	}
	return row(keep(plain, " "), keep(banner, board.Cut(strconv.Itoa(len(names))+" more HOLD today out of sight: "+strings.Join(names, ", "), w-1)))
}

func legend() line {
	return row(keep(dim, " "), flagCell(hazard.Hold), keep(dim, " HOLD  "), flagCell(hazard.Caution), keep(dim, " CAUTION, ask first  "), flagCell(hazard.Clear), keep(dim, " CLEAR"))
}

// turns says in words on which days the flag changes.
func (m *model) turns(id string, w int) []line {
	s := m.days
	was := s.flag(id, m.use(), s.today)
	var parts []string
	for d := s.today + 1; d <= s.today.Add(daysAhead); d++ {
		if f := s.flag(id, m.use(), d); f != was && f != hazard.Unknown {
			parts = append(parts, board.FlagWord(f)+" from "+d.Words())
			was = f
		}
	}
	t := m.name(id) + ": "
	if len(parts) == 0 {
		t += "no change in " + strconv.Itoa(daysAhead) + " days"
	} else {
		t += strings.Join(parts, ", ")
	}
	return wrapped(plain, t+".", " ", "   ", w)
}

func (m *model) classWord() string {
	if m.filter.Class != nil {
		return m.filter.Class.String()
	}
	return "all our classes"
}
