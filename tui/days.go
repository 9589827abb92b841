package tui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// How far strips of days reach back and ahead, and strips of nights back.
const (
	daysBack   = 6
	daysAhead  = 21
	nightsKept = 28
)

// strip is the flag of every paddock and use on a run of days.
type strip struct {
	of      string // the list it was worked out of, as stripKey has it
	from    fields.Date
	flags   map[string]*dayFlags
	assumed []fields.Entry // what it assumes to happen; nil: nothing
	notes   []string       // what must be said of that
}

// dayFlags are the flags of a paddock by use and day.
type dayFlags [hazard.CutSilage + 1][daysBack + daysAhead + 1]hazard.Flag

// stripKey names what a strip of the list on screen is worked out of.
func (m *model) stripKey() string {
	return fmt.Sprint(m.answer.Revision, m.answer.Today, m.classNames())
}

// current reports a strip of the list on screen; an older one is not shown beside it.
func (m *model) current(s *strip) bool { return s != nil && s.of == m.stripKey() }

// shown is the strip of the page of coming days: with what is assumed, if anything is.
func (m *model) shown() *strip {
	if m.ifs != nil {
		return m.ifs
	}
	return m.days
}

func (a *app) needDays() {
	m := a.m
	if !m.current(m.days) {
		a.workOut(nil, nil, func(s *strip) {
			if m.current(s) {
				m.days = s
			}
		})
	}
	if m.ifs != nil && !m.current(m.ifs) {
		a.workOut(m.ifs.assumed, func(err error) {
			m.ifs = nil
			m.wrong(sentence(err))
		}, func(s *strip) { m.ifs = s })
	}
}

// workOut makes the strip of the list on screen, with what is assumed.
func (a *app) workOut(assumed []fields.Entry, fail func(error), put func(*strip)) {
	m := a.m
	classes, today := m.list.Classes, m.answer.Today
	s := &strip{of: m.stripKey(), from: today.Add(-daysBack), flags: map[string]*dayFlags{}, assumed: assumed}
	a.start(job{what: "working out the days", fail: fail, run: func() (func(), error) {
		var err error
		s.notes, err = a.farm.Days(s.from, today.Add(daysAhead), assumed, func(x *hazard.Assessment) bool {
			s.take(x, classes)
			return a.ctx.Err() == nil
		})
		return func() { put(s) }, err
	}})
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

// flags are those of a paddock for the use of the list; Unknown where none is known.
func (m *model) flags(s *strip, id string, from, to fields.Date) []hazard.Flag {
	if f := s.flags[id]; f != nil {
		return f[m.landUse()][from.Sub(s.from) : to.Sub(s.from)+1]
	}
	return make([]hazard.Flag, to.Sub(from)+1)
}

// cells are the flags of a run of days, three cells each.
func (m *model) cells(s *strip, id string, from, to fields.Date) (out []span) {
	for _, f := range m.flags(s, id, from, to) {
		out = append(out, flagCell(f))
	}
	return out
}

// dayHead is the head of a strip: weekdays over days of the month, today and the
// chosen day marked.
func dayHead(from, to, today, on fields.Date, indent int) []line {
	pad := keep(heading, strings.Repeat(" ", indent))
	week, month := row(pad), row(pad)
	for d := from; d <= to; d++ {
		r, s, mark := dim, heading, " "
		if d == today {
			r, s, mark = title, title, "<"
		}
		if d == on {
			r, s, mark = title, chosen, "v"
		}
		_, _, day := d.Civil()
		week.spans = append(week.spans, keep(r, d.Weekday().String()[:2]+mark))
		month.spans = append(month.spans, keep(s, fmt.Sprintf("%2d", day)+mark))
	}
	return []line{week, month}
}

func (m *model) daysOf(id string, w int) []line {
	if !m.current(m.days) {
		return append(wait("Working out the days"), row(), row())
	}
	today := m.answer.Today
	n, from := min(daysBack+daysAhead+1, (w-2)/3), m.days.from
	if n < daysBack+8 { // a narrow screen looks ahead rather than back
		from = today.Add(-2)
	}
	to := min(from.Add(n-1), today.Add(daysAhead))
	days := append([]span{keep(plain, " ")}, m.cells(m.days, id, from, to)...)
	return append(dayHead(from, to, today, fields.NoDate, 1), row(days...))
}

// strips is a list of the paddocks, for a strip behind each name of so many cells.
func (m *model) strips(w int) (l *list, name int) {
	ids := idsOf(m.paddocks(), rowID)
	name = widest(idsOf(ids, func(id *string) string { return m.name(*id) }), 8, min(24, w/3))
	return &list{
		ids: ids, about: ids, cols: []column{{"", name}}, marked: m.picked,
		none: "No paddock fits that.",
	}, name
}

func (m *model) aheadList(w, h int) *list {
	lead := " If nothing else happens, to "
	if w < 72 {
		lead = " To "
	}
	l, name := m.strips(w)
	x := m.shown()
	if m.ifs != nil {
		lead = " Then, to "
		for _, s := range append(m.ifWords(), m.ifs.notes...) {
			l.above = append(l.above, wrapped(chosen, 1, 1, s, w)...)
		}
	}
	l.above = append(l.above, m.asked(w, keep(plain, lead), keep(chosen, m.landUse().String()), keep(dim, " (u), for ")))
	if !m.current(x) {
		l.above = append(l.above, wait("Working out the days")...)
		return l
	}
	n, today := min(daysAhead+1, (w-name-2)/3), m.answer.Today
	from := today.Add(max(0, m.ahead-n+1))
	to := from.Add(n - 1)
	l.above = append(l.above, dayHead(from, to, today, today.Add(m.ahead), name+2)...)
	l.holds = idsOf(m.paddocks(), func(r *board.Row) string { return provided(r.Flag == hazard.Hold, r.Name) })
	l.row = func(i int) []span {
		return append([]span{say(plain, m.name(l.ids[i]))}, m.cells(x, l.ids[i], from, to)...)
	}
	l.detail = func(p *prose, i int) { m.turns(p, l.ids[i]) }
	l.keep = max(4, min(h/2, h-len(l.above)-len(l.ids)-1))
	return l
}

// ifWords are what is assumed, so that nobody takes it for the farm's own answer.
func (m *model) ifWords() []string {
	words := make([]string, len(m.ifs.assumed))
	for i := range words {
		words[i] = m.words(&m.ifs.assumed[i])
	}
	return []string{"IF " + strings.Join(words, "; ") + ". Nothing of it is stored; Esc takes it away."}
}

func (m *model) turns(p *prose, id string) {
	p.row(keep(dim, " "), flagCell(hazard.Hold), keep(dim, " NO, HOLD  "), flagCell(hazard.Caution),
		keep(dim, " ASK, CAUTION  "), flagCell(hazard.Clear), keep(dim, " YES, CLEAR"))
	words := m.name(id) + ": " + m.turnsOf(m.shown(), id)
	if m.ifs != nil && m.current(m.days) {
		words = m.name(id) + ", IF it happens: " + m.turnsOf(m.ifs, id) + " If not: " + m.turnsOf(m.days, id)
	}
	p.say(plain, words)
	on := m.answer.Today.Add(m.ahead)
	p.say(dim, "i asks: what if something happens on "+on.Beside(m.answer.Today)+"? Left and Right choose the day.")
}

func (m *model) turnsOf(s *strip, id string) string {
	today := m.answer.Today
	flags := m.flags(s, id, today, today.Add(daysAhead))
	was, parts := flags[0], []string{board.FlagWord(flags[0]) + " today"}
	for i, f := range flags {
		if f != was && f != hazard.Unknown {
			parts = append(parts, board.FlagWord(f)+" from "+today.Add(i).Short())
			was = f
		}
	}
	if len(parts) == 1 {
		parts = append(parts, "no change in "+strconv.Itoa(daysAhead)+" days")
	}
	return strings.Join(parts, ", ") + "."
}

// chooseDay goes n days on or back among the coming days.
func (a *app) chooseDay() {
	n := 1
	if a.key == "Left" {
		n = -1
	}
	a.m.ahead = max(0, min(a.m.ahead+n, daysAhead))
}

// ifKinds are what may be assumed of a coming day.
var ifKinds = []fields.Kind{
	fields.KindFrost, fields.KindWalk, fields.KindRain, fields.KindCut, fields.KindGrazed, fields.KindLab,
	fields.KindReading, fields.KindDrought, fields.KindHail, fields.KindTrampled, fields.KindSprayed,
	fields.KindNitrogen, fields.KindSeen, fields.KindVet,
}

// askIf opens the menu of what may be assumed of the chosen day.
func (a *app) askIf() {
	a.m.open(pageMenu)
	a.m.supposed = a.m.answer.Today.Add(a.m.ahead)
}

// suppose shows the coming days as they are if what the form says happens.
func (a *app) suppose(f *draft, entries []fields.Entry) {
	m := a.m
	f.waiting = true
	a.workOut(entries, func(err error) { f.refused(m, err) }, func(s *strip) {
		f.waiting = false
		m.drop(f)
		m.ifs = s
		a.follow()
	})
}

// nightLooks are the shapes and roles of nights by their words.
var nightLooks = map[string]struct {
	shape string
	role  role
}{
	"FROZE": {"*", flagHold}, "not in yet": {":", warning}, "ONLY PART READ": {"~", warning}, "NOT READ": {"!", warning},
	"may have frozen": {"%", flagCaution}, "no frost": {".", plain}, "not watched": {"-", dim},
	"before the stand": {"-", dim},
}

func (m *model) nightWord(r *hazard.NightRow) string {
	return board.NightWord(r, m.answer.Today, m.answer.Now.Hour())
}

func (a *app) needNights() {
	ans := a.m.answer
	fetch(a, "looking at the nights", func() (map[string][]hazard.NightRow, error) {
		out := map[string][]hazard.NightRow{}
		for _, p := range ans.History.Standing() {
			if a.ctx.Err() != nil {
				break
			}
			out[p.ID] = hazard.NightRows(ans.History, ans.Book, p.ID, ans.Today.Add(1-nightsKept), ans.Today)
		}
		return out, nil
	}, func(nights map[string][]hazard.NightRow) { a.m.nights = nights })
}

// nightsList is a row of nights for each paddock; those that nobody read are counted.
func (m *model) nightsList(w, _ int) *list {
	l, name := m.strips(w)
	if m.nights == nil {
		l.above = wait("Looking at the nights")
		return l
	}
	n, to := min(nightsKept, (w-name-2-12)/3), m.answer.Today
	head := dayHead(to.Add(1-n), to, to, fields.NoDate, name+2)
	head[0].spans = append(head[0].spans, keep(heading, " "), keep(heading, "NOT READ"))
	l.above = append([]line{row(keep(dim, " Nights, by the day on which they end, at plant height."))}, head...)
	l.row = func(i int) []span { return m.nightsRow(l.ids[i], n) }
	l.detail = func(p *prose, i int) { m.nightGaps(p, l.ids[i]) }
	return l
}

func (m *model) nightsRow(id string, n int) []span {
	out := []span{say(plain, m.name(id))}
	unread, count := 0, keep(dim, "none")
	for _, x := range m.nights[id] {
		if x.Night.Sub(m.answer.Today) <= -n {
			continue
		}
		look := nightLooks[m.nightWord(&x)]
		if x.Unread && look.shape != ":" {
			unread++
			count = keep(warning, strconv.Itoa(unread)+" of "+strconv.Itoa(n))
		}
		out = append(out, keep(look.role, " "+look.shape+" "))
	}
	return append(out, keep(plain, " "), count)
}

// nightGaps tells the shapes, and the paddock's nights that froze or were not read.
func (m *model) nightGaps(p *prose, id string) {
	by := map[string][]string{}
	for _, r := range m.nights[id] {
		if word := m.nightWord(&r); r.Trigger || r.Unread || r.Possible {
			by[word] = append(by[word], r.Night.Short())
		}
	}
	p.row()
	p.add(dim, 1, 1, "* FROZE, % may have frozen, . no frost, ! NOT READ, ~ ONLY PART READ, : not in yet, "+
		"- not watched or before the stand")
	if len(by) == 0 {
		p.say(plain, m.name(id)+": every night was read, none froze.")
	}
	for _, k := range []string{"FROZE", "NOT READ", "ONLY PART READ", "not in yet", "may have frozen"} {
		r := plain
		if strings.HasSuffix(k, " READ") {
			r = warning
		}
		if len(by[k]) > 0 {
			p.say(r, k+": "+strings.Join(by[k], ", "))
		}
	}
}

// nightList is the nights of one paddock, the latest first, and who speaks of each.
func (m *model) nightList(w, _ int) *list {
	rows := slices.Clone(m.nights[m.subject])
	if rows == nil {
		return &list{above: wait("Looking at the nights")}
	}
	slices.Reverse(rows)
	return &list{
		ids:  idsOf(rows, func(r *hazard.NightRow) string { return r.Night.String() }),
		cols: []column{{"NIGHT ENDING", 16}, {"LOW", 19}, {"", w - 39}},
		row: func(i int) []span {
			r := &rows[i]
			word, low := m.nightWord(r), "-"
			if r.HasLow {
				low = fields.Temperature.Both(r.LowC)
			}
			look := nightLooks[word]
			return []span{keep(plain, r.Night.Beside(m.answer.Today)), keep(plain, low), keep(look.role, " "+look.shape+"  "+word)}
		},
		detail: func(p *prose, i int) {
			for _, f := range m.answer.History.Facts {
				if slices.Contains(rows[i].Entries, f.ID) {
					p.say(plain, m.words(f.Entry))
				}
			}
		},
	}
}
