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

// todayList is the morning list, and the selected row in sentences.
func (m *model) todayList(w, h int) *list {
	rows := m.rows()
	var n [hazard.Hold + 1]int
	for i := range rows {
		n[rows[i].Flag]++
	}
	ids := idsOf(rows, rowID)
	l := &list{
		ids: ids, about: ids, above: m.todayHead(w, h), cols: m.todayColumns(w), marked: m.picked, none: m.nothing(),
		row: func(i int) []span {
			r := &rows[i]
			inside := say(plain, strings.Join(r.Inside, ", "))
			if r.MoveOut {
				inside = say(banner, "OUT: "+inside.text)
			}
			until := say(plain, through(r))
			return []span{flagSpan(r.Flag), say(plain, r.Name), until, say(plain, r.Need.String()), inside}
		},
		flags: rows,
		foot: fmt.Sprintf("%d in all: %d HOLD, %d CAUTION, %d CLEAR.",
			len(rows), n[hazard.Hold], n[hazard.Caution], n[hazard.Clear]),
		detail: func(p *prose, i int) { m.todayDetail(p, &rows[i]) },
	}
	switch room := h - len(l.above) - 2; {
	case room >= 11:
		l.keep = max(5, room-len(rows))
	case room >= 9:
		l.keep = 4
	case room >= 6:
		l.keep = 2
	default:
		l.detail = nil
	}
	return l
}

func (m *model) nothing() string {
	switch {
	case m.find.text != "":
		return "No name holds \"" + m.find.text + "\"."
	case m.list.Use == hazard.Feed:
		return "No lot of feed on file."
	case !m.answer.History.ZoneSet:
		return "The farm has no name and time zone yet: leave with q and type " +
			"`rimegate farm set --name NAME --zone America/Regina`."
	case len(m.list.Rows) == 0 && len(m.list.SetUp) > 0:
		return "Leave with q. " + m.list.SetUp[0]
	}
	return "No paddock fits that."
}

// todayHead is what is asked, how far the evidence reaches and what is loud.
func (m *model) todayHead(w, h int) []line {
	use := keep(chosen, strings.ToUpper(m.list.Use.String()))
	stamps := m.stamps(w)
	if h < 9 { // the rows need the room; the night is what cannot wait
		stamps = stamps[:1]
	}
	loud, most := prose{w: w}, 1
	m.loud(&loud)
	switch {
	case h >= 18:
		most = 4
	case h >= 14:
		most = 2
	}
	more := counted(len(loud.lines)-most+1, "more row", "more rows")
	out := append([]line{m.asked(w, keep(plain, " "), use, keep(dim, " (u)  "))}, stamps...)
	return append(out, loud.cut(most, row(keep(warning, " "+more+" of RELAXED, STOCK WATER and NOTICE: see 6 Rules")))...)
}

func (m *model) classNames() string {
	return board.ClassWords(m.list.Classes)
}

// asked is the row that says what a page answers, for which classes.
func (m *model) asked(w int, before ...span) line {
	words := m.classNames()
	if m.filter.Class == nil {
		words = "all: " + words
	}
	room := w - row(before...).width() - len(" (c)")
	return row(append(before, say(chosen, board.Cut(words, max(10, room))), keep(dim, " (c)"))...)
}

// stamps say how far the evidence reaches; a night that is not in is loud.
func (m *model) stamps(w int) []line {
	said := func(d board.Day) span {
		if d == board.Day(fields.NoDate) {
			return keep(plain, "none for some")
		}
		return keep(plain, fields.Date(d).Short())
	}
	d := m.list.DataThrough
	night := row(keep(dim, " Data: night "), said(d.Night))
	if m.list.Unread != "" {
		night.spans = append(night.spans, keep(warning, ", LAST NIGHT NOT READ"))
	}
	rest := row(keep(dim, "walk "), said(d.Walk), keep(dim, ", lab "), said(d.Lab))
	if d.Walk == d.Lab {
		rest = row(keep(dim, "walk and lab "), said(d.Lab))
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
	if m.list.Use == hazard.Feed {
		of = "LOT"
	}
	name := w - 2 - flagCells - 1 - (until + 1) - (need + 1) - (inside + 1)
	use := strings.ToUpper(m.list.Use.String())
	return []column{{use, flagCells}, {of, name}, {"THROUGH", until}, {"NEEDS", need}, {"INSIDE", inside}}
}

// todayDetail is the selected row in sentences.
func (m *model) todayDetail(p *prose, r *board.Row) {
	below := func(ro role, label string, words []string, between string) {
		if len(words) > 0 {
			p.add(ro, 3, 3, label+strings.Join(words, between)+".")
		}
	}
	m.rowHead(p, r)
	if r.Flag == hazard.Clear { // before the reasons: a small window cuts what stands below
		below(plain, "Only so: ", m.list.Conditions, "; ")
	}
	m.rowDetail(p, r)
	below(plain, "Inside: ", r.Inside, ", ")
	if r.Flag == hazard.Caution {
		below(dim, "If it is agreed to: ", m.list.Conditions, "; ")
	}
	below(dim, "Other uses: ", r.Others, "; ")
	below(dim, "Not assessed: ", m.list.NotAssessed, ", ")
}

// heldWords say until when a hold lasts, or what comes first where it is none.
func heldWords(r *board.Row, on fields.Date) string {
	switch r.Flag {
	case hazard.Hold:
		return ", " + r.Through.Words(on)
	case hazard.Caution:
		return ", ask first"
	}
	return ""
}

func (m *model) rowHead(p *prose, r *board.Row) {
	head := []span{keep(plain, " "), say(title, r.Name)}
	if r.Name != r.ID && r.Use != hazard.Feed {
		head = append(head, keep(dim, " ("), say(dim, r.ID), keep(dim, ")"))
	}
	head = append(head, keep(plain, ": "), say(flagRole[r.Flag], board.FlagWord(r.Flag)), keep(plain, heldWords(r, m.answer.Today)))
	if r.Flag == hazard.Caution && len(m.list.Call) > 0 {
		head = append(head, keep(plain, ": "), say(plain, m.list.Call[0]))
	}
	p.row(head...)
}

// differ says where classes have other answers.
func (p *prose) differ(indent int, r *board.Row) {
	if len(r.Differ) > 0 {
		p.add(plain, indent, 3, "Classes differ: "+strings.Join(r.Differ, "; ")+".")
	}
}

// rowDetail is what decides a row and what comes next.
func (m *model) rowDetail(p *prose, r *board.Row) {
	p.add(banner, 3, 3, r.Danger)
	p.differ(3, r)
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
