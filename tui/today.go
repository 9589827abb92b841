package tui

import (
	"fmt"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// todayList is the morning list: question, stamps, rows worst first, and the
// selected paddock in sentences.
func (m *model) todayList(w, h int) *list {
	rows := m.rows()
	l := &list{
		above: m.todayHead(w, h), cols: m.todayColumns(w), none: m.nothing(), marked: m.isPicked,
		row:   func(i int) []span { return m.todayRow(&rows[i], w) },
		flags: rows, foot: total(rows) + ".",
	}
	room := h - len(l.above) - 2
	switch {
	case room >= 11:
		l.keep = max(5, room-len(rows))
	case room >= 9:
		l.keep = 4
	case room >= 6:
		l.keep = 2
	default:
		return l
	}
	if len(rows) > 0 {
		l.detail = m.todayDetail(&rows[m.at(pageToday)], w)
	}
	return l
}

func (m *model) nothing() string {
	switch {
	case m.find.text != "":
		return "No name holds \"" + m.find.text + "\"."
	case m.filter.Use != nil && *m.filter.Use == hazard.Feed:
		return "No lot of feed is written down."
	case !m.answer.History.ZoneSet:
		return "The farm has no name and time zone yet: leave with q and type " +
			"`rimegate farm set --name NAME --zone America/Regina`."
	case len(m.list.Rows) == 0 && len(m.list.SetUp) > 0:
		return "Leave with q. " + m.list.SetUp[0]
	}
	return "No paddock answers to this question."
}

// todayHead is what is asked, how far the evidence reaches, what was relaxed and
// what else every list must say.
func (m *model) todayHead(w, h int) []line {
	use := keep(chosen, strings.ToUpper(m.list.Use.String()))
	out := []line{m.asked(w, keep(plain, " "), use, keep(dim, " (u)  "))}
	stamps := m.stamps(w)
	if h < 9 { // the rows need the room; the night is what cannot wait
		stamps = stamps[:1]
	}
	out = append(out, stamps...)
	loud := prose{w: w}
	for _, x := range append(append([]string{}, m.list.Relaxed...), m.list.Notices...) {
		loud.say(warning, x)
	}
	most := 1
	switch {
	case h >= 18:
		most = 4
	case h >= 14:
		most = 2
	}
	more := counted(len(loud.lines)-most+1, "more row", "more rows")
	return append(out, loud.cut(most, row(keep(warning, " "+more+" of RELAXED, STOCK WATER and NOTICE: see 6 Rules")))...)
}

// classNames are the classes that are answered for.
func (m *model) classNames() string {
	cs := m.classes()
	return strings.Join(idsOf(cs, func(c *hazard.Class) string { return c.String() }), ", ")
}

// classesWords says too that they are all there are.
func (m *model) classesWords() string {
	if m.filter.Class == nil {
		return "all: " + m.classNames()
	}
	return m.classNames()
}

// asked is the row that says what a page answers: what stands before the classes,
// then they.
func (m *model) asked(w int, before ...span) line {
	room := w - row(before...).width() - len(" (c)")
	return row(append(before, say(chosen, board.Cut(m.classesWords(), max(10, room))), keep(dim, " (c)"))...)
}

// stamps say how far the evidence reaches; a night that is not in is loud.
func (m *model) stamps(w int) []line {
	said := func(d board.Day) string {
		if d == board.Day(fields.NoDate) {
			return "none for some"
		}
		return fields.Date(d).Short()
	}
	d := m.list.DataThrough
	night := row(keep(dim, " Data: night "), keep(plain, said(d.Night)))
	if m.list.Unread != "" {
		night.spans = append(night.spans, keep(warning, ", LAST NIGHT NOT IN"))
	}
	rest := row(keep(dim, "walk "), keep(plain, said(d.Walk)), keep(dim, ", lab "), keep(plain, said(d.Lab)))
	if d.Walk == d.Lab {
		rest = row(keep(dim, "walk and lab "), keep(plain, said(d.Lab)))
	}
	if night.width()+rest.width()+2 <= w {
		return []line{row(append(append(night.spans, keep(dim, "; ")), rest.spans...)...)}
	}
	return []line{night, row(append([]span{keep(dim, "       ")}, rest.spans...)...)}
}

// todayColumns head the flags with the use they answer for: CLEAR to cut for hay
// is not CLEAR to graze. What does not fit is told in the detail.
func (m *model) todayColumns(w int) []column {
	until, need, inside := 16, 9, max(14, (w-38)*2/5)
	switch {
	case w < 56:
		until, need, inside = 11, -1, -1
	case w < 72:
		until, inside = 11, -1
	}
	of := "PADDOCK"
	if m.use() == hazard.Feed {
		of = "LOT"
	}
	name := w - 2 - flagCells - 1 - (until + 1) - (need + 1) - (inside + 1)
	use := strings.ToUpper(m.list.Use.String())
	return []column{{use, flagCells}, {of, name}, {"THROUGH", until}, {"NEEDS", need}, {"INSIDE", inside}}
}

func (m *model) todayRow(r *board.Row, w int) []span {
	inside := say(plain, strings.Join(r.Inside, ", "))
	if r.MoveOut {
		inside = say(banner, "OUT: "+inside.text)
	}
	until := say(plain, through(r, w >= 72))
	return []span{flagSpan(r.Flag), say(plain, r.Name), until, say(plain, r.Need.String()), inside}
}

// todayDetail is the selected row in sentences.
func (m *model) todayDetail(r *board.Row, w int) prose {
	p := m.rowHead(r, w)
	below := func(ro role, s string) { p.add(ro, 3, 3, s) }
	if r.Flag == hazard.Clear { // before the reasons: a small window cuts what stands below
		below(plain, "Only so: "+strings.Join(m.list.Conditions, "; ")+".")
	}
	m.rowDetail(&p, r)
	if len(r.Inside) > 0 {
		below(plain, "Inside: "+strings.Join(r.Inside, ", ")+".")
	}
	if r.Flag == hazard.Caution {
		below(dim, "If it is agreed to: "+strings.Join(m.list.Conditions, "; ")+".")
	}
	if len(r.Others) > 0 {
		below(dim, "Other uses: "+strings.Join(r.Others, "; ")+".")
	}
	below(dim, "Not assessed: "+strings.Join(m.list.NotAssessed, ", ")+".")
	return p
}

// rowHead names a row and its answer.
func (m *model) rowHead(r *board.Row, w int) prose {
	head := []span{keep(plain, " "), say(title, r.Name)}
	if r.Name != r.ID && r.Use != hazard.Feed {
		head = append(head, keep(dim, " ("), say(dim, r.ID), keep(dim, ")"))
	}
	head = append(head, keep(plain, ": "), say(flagRole[r.Flag], board.FlagWord(r.Flag)))
	switch r.Flag {
	case hazard.Hold:
		head = append(head, say(plain, ", "+r.Through.Words()))
	case hazard.Caution:
		head = append(head, keep(plain, ", ask first"))
		if len(m.list.Call) > 0 {
			head = append(head, keep(plain, ": "), say(plain, m.list.Call[0]))
		}
	}
	return prose{w: w, lines: []line{row(head...)}}
}

// rowDetail is what decides a row and what comes next.
func (m *model) rowDetail(p *prose, r *board.Row) {
	p.add(banner, 3, 3, r.Danger)
	if len(r.Differ) > 0 {
		p.add(plain, 3, 3, "Classes differ: "+strings.Join(r.Differ, "; ")+".")
	}
	why := r.Why
	if r.More > 0 {
		why += " (" + counted(r.More, "more reason", "more reasons") + ")"
	}
	p.add(plain, 3, 3, why)
	for _, x := range []string{r.Share, r.FeedFrom} {
		if x != "" {
			p.add(plain, 3, 3, upper(x)+".")
		}
	}
	p.labelled(3, "Next:", 9, r.Next)
}

// total counts the rows by flag.
func total(rows []board.Row) string {
	var n [hazard.Hold + 1]int
	for i := range rows {
		n[rows[i].Flag]++
	}
	holds, cautions := n[hazard.Hold], n[hazard.Caution]
	return fmt.Sprintf("%d in all: %d HOLD, %d CAUTION, %d CLEAR", len(rows), holds, cautions, n[hazard.Clear])
}
