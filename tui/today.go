package tui

import (
	"slices"
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

// todayBody is the morning list: question, stamps, rows worst first, and the
// selected paddock in sentences.
func (m *model) todayBody(w, h int) []line {
	rows := m.rows()
	out := m.todayHead(w, h)
	out = append(out, m.todayColumns(w))
	detail := 0
	switch room := h - len(out) - 1; {
	case room >= 14:
		detail = max(7, room-len(rows))
	case room >= 9:
		detail = 4
	case room >= 6:
		detail = 2
	}
	n := max(1, h-len(out)-1-detail)
	ids := make([]string, len(rows))
	for i := range rows {
		ids[i] = rows[i].ID
	}
	here := m.selected(pageToday, ids)
	at := max(0, slices.Index(ids, here))
	hidden := func(from, to int) (names []string) {
		for i := range rows {
			if (i < from || i >= to) && rows[i].Flag == hazard.Hold {
				names = append(names, rows[i].Name)
			}
		}
		return names
	}
	from, to := window(len(rows), at, n)
	for i := from; i < to; i++ {
		out = append(out, m.todayRow(&rows[i], ids[i] == here, w))
	}
	if len(rows) == 0 {
		out = append(out, wrapped(plain, m.nothing(), " ", " ", w)...)
	}
	total := m.list.Total
	if h := hidden(from, to); len(h) > 0 {
		out = append(out, row(keep(banner, board.Cut(" "+counted(len(h), "more HOLD", "more HOLD")+" out of sight: "+strings.Join(h, ", "), w))))
	} else {
		t := " " + total + "."
		if to < len(rows) || from > 0 {
			t += " Shown: " + strconv.Itoa(from+1) + " to " + strconv.Itoa(to) + "."
		}
		out = append(out, row(keep(dim, board.Cut(t, w))))
	}
	if at < len(rows) && detail > 0 {
		d := m.todayDetail(&rows[at], w)
		room := h - len(out)
		if len(d) > room && room > 0 {
			d = append(d[:room-1], row(keep(dim, "   ... Enter shows all of it")))
		}
		out = append(out, d...)
	}
	return out
}

func (m *model) nothing() string {
	switch {
	case m.find != "":
		return "No name holds \"" + m.find + "\"."
	case m.filter.Use != nil && *m.filter.Use == hazard.Feed:
		return "No lot of feed is written down."
	case !m.answer.ZoneSet:
		return "The farm has no name and time zone yet: leave with q and type `rimegate farm set`."
	}
	return "No paddock is written down yet: leave with q and type `rimegate paddock add`."
}

// todayHead is what is asked, how far the evidence reaches and what was
// relaxed.
func (m *model) todayHead(w, h int) []line {
	l := m.list
	cs := make([]string, len(l.Classes))
	for i, c := range l.Classes {
		cs[i] = c.String()
	}
	classes := strings.Join(cs, ", ")
	if m.filter.Class == nil {
		classes = "all: " + classes
	}
	out := []line{row(keep(plain, " "), say(chosen, strings.ToUpper(l.Use.String())), keep(dim, " (u)  "), say(chosen, board.Cut(classes, max(10, w-len(l.Use.String())-12))), keep(dim, " (c)"))}
	out = append(out, m.stamps(w)...)
	var loud []string
	loud = append(loud, l.Relaxed...)
	loud = append(loud, l.Notices...)
	most := 2
	if h < 16 {
		most = 1
	}
	for i, x := range loud {
		if i == most-1 && len(loud) > most {
			out = append(out, row(keep(warning, board.Cut(" RELAXED or NOTICE: "+strconv.Itoa(len(loud)-i)+" more lines; they stand on the pages of 6 RULES and of each paddock", w))))
			break
		}
		out = append(out, row(keep(warning, board.Cut(" "+x, w))))
	}
	return out
}

// stamps say how far the evidence reaches; a night that is not in is loud.
func (m *model) stamps(w int) []line {
	said := func(d fields.Date) string {
		if d == fields.NoDate {
			return "none for some"
		}
		return d.Short()
	}
	d := m.list.Data
	t := row(keep(dim, " Data through: night "), keep(plain, said(d.Night)))
	if !m.list.NightIn {
		t.spans = append(t.spans, keep(warning, " LAST NIGHT NOT IN"))
	}
	rest := []span{keep(dim, ", walk "), keep(plain, said(d.Walk)), keep(dim, ", lab "), keep(plain, said(d.Lab))}
	if t.width()+row(rest...).width() <= w {
		t.spans = append(t.spans, rest...)
		return []line{t}
	}
	return []line{t, row(append([]span{keep(dim, "   ")}, rest[1:]...)...)}
}

// columns of the list at a width: what does not fit is told in the detail.
type columns struct{ name, until, need, inside int }

func todayWidths(w int) columns {
	switch {
	case w >= 72:
		c := columns{until: 16, need: 9}
		c.inside = max(14, (w-12-c.until-c.need)*2/5)
		c.name = w - 12 - c.until - c.need - c.inside - 3
		return c
	case w >= 56:
		return columns{name: w - 12 - 11 - 9 - 2, until: 11, need: 9}
	}
	return columns{name: w - 12 - 11 - 1, until: 11}
}

func (m *model) todayColumns(w int) line {
	c := todayWidths(w)
	t := []span{keep(heading, "  "), col(heading, " FLAG", 10), col(heading, "PADDOCK", c.name), keep(heading, " "), col(heading, "THROUGH", c.until)}
	if m.filter.Use != nil && *m.filter.Use == hazard.Feed {
		t[2] = col(heading, "LOT", c.name)
	}
	if c.need > 0 {
		t = append(t, keep(heading, " "), col(heading, "NEEDS", c.need))
	}
	if c.inside > 0 {
		t = append(t, keep(heading, " "), col(heading, "INSIDE", c.inside))
	}
	return row(t...)
}

func (m *model) todayRow(r *board.Row, sel bool, w int) line {
	c := todayWidths(w)
	mark := " "
	if sel {
		mark = ">"
	}
	if m.picked[r.ID] {
		mark += "*"
	} else {
		mark += " "
	}
	t := line{sel: sel, spans: []span{keep(keycap, mark), flagSpan(r.Flag), col(plain, " "+r.Name, c.name), keep(plain, " "), col(plain, through(r, c.until > 12), c.until)}}
	if c.need > 0 {
		t.spans = append(t.spans, keep(plain, " "), col(plain, needWord(r.Need), c.need))
	}
	if c.inside > 0 {
		who := strings.Join(r.Inside, ", ")
		ro := plain
		if r.MoveOut {
			who, ro = "OUT: "+who, banner
		}
		t.spans = append(t.spans, keep(plain, " "), col(ro, who, c.inside))
	}
	return t
}

// todayDetail is the selected row in sentences.
func (m *model) todayDetail(r *board.Row, w int) []line {
	head := []span{keep(plain, " "), say(title, r.Name)}
	if r.Name != r.ID && m.filter.Use == nil {
		head = append(head, keep(dim, " ("), say(dim, r.ID), keep(dim, ")"))
	}
	head = append(head, keep(plain, ": "), say(flagRole[r.Flag], r.Word))
	switch r.Flag {
	case hazard.Hold:
		head = append(head, keep(plain, " "), say(plain, r.Through))
	case hazard.Caution:
		head = append(head, keep(plain, ", ask first"))
		if len(m.list.Ring) > 0 {
			head = append(head, keep(plain, ": "), say(plain, m.list.Ring[0]))
		}
	}
	out := []line{row(head...)}
	if r.Danger != "" {
		out = append(out, wrapped(banner, r.Danger, "   ", "   ", w)...)
	}
	if len(r.Differ) > 0 {
		out = append(out, wrapped(plain, "Classes differ: "+strings.Join(r.Differ, "; ")+".", "   ", "   ", w)...)
	}
	why := r.Why
	if r.More > 0 {
		why += " (" + counted(r.More, "more reason", "more reasons") + ")"
	}
	out = append(out, wrapped(plain, why, "   ", "   ", w)...)
	for _, x := range []string{r.Share, r.FeedFrom} {
		if x != "" {
			out = append(out, wrapped(plain, x+".", "   ", "   ", w)...)
		}
	}
	if r.Next != "" {
		out = append(out, labelled("   Next: ", keycap, r.Next, plain, 9, w)...)
	}
	if len(r.Inside) > 0 {
		out = append(out, wrapped(plain, "Inside: "+strings.Join(r.Inside, ", ")+".", "   ", "   ", w)...)
	}
	if r.Flag == hazard.Clear {
		out = append(out, wrapped(dim, "Only so: "+strings.Join(m.list.Conditions, "; ")+".", "   ", "   ", w)...)
	}
	if len(r.Others) > 0 {
		out = append(out, wrapped(dim, "Other uses: "+strings.Join(r.Others, "; ")+".", "   ", "   ", w)...)
	}
	return append(out, wrapped(dim, "Not assessed: "+strings.Join(m.list.NotAssessed, ", ")+".", "   ", "   ", w)...)
}
