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
	case room >= 11:
		detail = max(5, room-len(rows))
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
	if h := hidden(from, to); len(h) > 0 {
		out = append(out, clip(banner, 1, strconv.Itoa(len(h))+" more HOLD out of sight: "+strings.Join(h, ", "), w))
	} else {
		t := total(rows) + "."
		if to < len(rows) || from > 0 {
			t += " Shown: " + strconv.Itoa(from+1) + " to " + strconv.Itoa(to) + "."
		}
		out = append(out, clip(dim, 1, t, w))
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
		return "The farm has no name and time zone yet: leave with q and type `rimegate farm set --name NAME --zone America/Regina`."
	case len(m.list.Rows) == 0 && len(m.list.SetUp) > 0:
		return "Leave with q. " + m.list.SetUp[0]
	}
	return "No paddock answers to this question."
}

// todayHead is what is asked, how far the evidence reaches and what was
// relaxed.
func (m *model) todayHead(w, h int) []line {
	l := m.list
	classes := m.classesWords()
	use := strings.ToUpper(l.Use.String())
	out := []line{row(keep(plain, " "), say(chosen, use), keep(dim, " (u)  "), say(chosen, board.Cut(classes, max(10, w-len(use)-11))), keep(dim, " (c)"))}
	stamps := m.stamps(w)
	if h < 9 { // the rows need the room; the night is what cannot wait
		stamps = stamps[:1]
	}
	out = append(out, stamps...)
	loud := append(append([]string{}, l.Relaxed...), l.Notices...)
	most := 2
	if h < 16 {
		most = 1
	}
	for i, x := range loud {
		if i == most-1 && len(loud) > most {
			out = append(out, clip(warning, 1, counted(len(loud)-i, "more line", "more lines")+" of RELAXED and NOTICE: see 6 RULES", w))
			break
		}
		out = append(out, clip(warning, 1, x, w))
	}
	return out
}

// classesWords are the classes that are answered for.
func (m *model) classesWords() string {
	var cs []string
	for _, c := range m.classes() {
		cs = append(cs, c.String())
	}
	if m.filter.Class == nil {
		return "all: " + strings.Join(cs, ", ")
	}
	return strings.Join(cs, ", ")
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
	label := " Data: night "
	if w < 48 {
		label = " Data: "
	}
	night := []span{keep(dim, label), keep(plain, said(d.Night))}
	if m.list.Unread != "" {
		night = append(night, keep(warning, ", LAST NIGHT NOT IN"))
	}
	rest := []span{keep(dim, "walk "), keep(plain, said(d.Walk)), keep(dim, ", lab "), keep(plain, said(d.Lab))}
	if d.Walk == d.Lab {
		rest = []span{keep(dim, "walk and lab "), keep(plain, said(d.Lab))}
	}
	if row(night...).width()+row(rest...).width()+2 <= w {
		return []line{row(append(append(night, keep(dim, "; ")), rest...)...)}
	}
	return []line{row(night...), row(append([]span{keep(dim, "       ")}, rest...)...)}
}

// columns of the list at a width: what does not fit is told in the detail.
type columns struct{ name, until, need, inside int }

func todayWidths(w int) columns {
	switch {
	case w >= 72:
		c := columns{until: 16, need: 9}
		c.inside = max(14, (w-13-c.until-c.need)*2/5)
		c.name = w - 13 - c.until - c.need - c.inside - 3
		return c
	case w >= 56:
		return columns{name: w - 13 - 11 - 9 - 2, until: 11, need: 9}
	}
	return columns{name: w - 13 - 11 - 1, until: 11}
}

// todayColumns heads the flags with the use they answer for: CLEAR to cut for
// hay is not CLEAR to graze.
func (m *model) todayColumns(w int) line {
	c := todayWidths(w)
	t := []span{keep(heading, "  "), col(heading, strings.ToUpper(m.list.Use.String()), flagCells), keep(heading, " "), col(heading, "PADDOCK", c.name-1), keep(heading, " "), col(heading, "THROUGH", c.until)}
	if m.filter.Use != nil && *m.filter.Use == hazard.Feed {
		t[3] = col(heading, "LOT", c.name-1)
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
	t := line{sel: sel, spans: []span{keep(keycap, mark), flagSpan(r.Flag), keep(plain, " "), col(plain, r.Name, c.name-1), keep(plain, " "), col(plain, through(r, c.until > 12), c.until)}}
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
	out := []line{row(head...)}
	if r.Flag == hazard.Clear { // before the reasons: a small window cuts what stands below
		out = append(out, wrapped(plain, "Only so: "+strings.Join(m.list.Conditions, "; ")+".", "   ", "   ", w)...)
	}
	if r.Danger != "" {
		out = append(out, wrapped(banner, r.Danger, "   ", "   ", w)...)
	}
	if d := m.differ(r); d != "" {
		out = append(out, wrapped(plain, "Classes differ: "+d+".", "   ", "   ", w)...)
	}
	why := r.Why
	if r.More > 0 {
		why += " (" + counted(r.More, "more reason", "more reasons") + ")"
	}
	out = append(out, wrapped(plain, why, "   ", "   ", w)...)
	for _, x := range []string{r.Share, r.FeedFrom} {
		if x != "" {
			out = append(out, wrapped(plain, upper(x)+".", "   ", "   ", w)...)
		}
	}
	if r.Next != "" {
		out = append(out, labelled(3, "Next:", keycap, r.Next, plain, 9, w)...)
	}
	if len(r.Inside) > 0 {
		out = append(out, wrapped(plain, "Inside: "+strings.Join(r.Inside, ", ")+".", "   ", "   ", w)...)
	}
	if r.Flag == hazard.Caution {
		out = append(out, wrapped(dim, "If it is agreed to: "+strings.Join(m.list.Conditions, "; ")+".", "   ", "   ", w)...)
	}
	if o := m.others(r); o != "" {
		out = append(out, wrapped(dim, "Other uses: "+o+".", "   ", "   ", w)...)
	}
	return append(out, wrapped(dim, "Not assessed: "+strings.Join(m.list.NotAssessed, ", ")+".", "   ", "   ", w)...)
}

// total counts the rows by flag.
func total(rows []board.Row) string {
	var n [hazard.Hold + 1]int
	for i := range rows {
		n[rows[i].Flag]++
	}
	return strconv.Itoa(len(rows)) + " in all: " + strconv.Itoa(n[hazard.Hold]) + " HOLD, " + strconv.Itoa(n[hazard.Caution]) + " CAUTION, " + strconv.Itoa(n[hazard.Clear]) + " CLEAR"
}

// verdicts finds the answers behind a row.
func (m *model) verdicts(r *board.Row) func(hazard.Use, hazard.Class) *hazard.Verdict {
	for i := range m.answer.Paddocks {
		if p := &m.answer.Paddocks[i]; p.Paddock.ID == r.ID && r.Use != hazard.Feed {
			return p.Verdict
		}
	}
	for i := range m.answer.Lots {
		if l := &m.answer.Lots[i]; l.Lot == r.ID && r.Use == hazard.Feed {
			return func(_ hazard.Use, c hazard.Class) *hazard.Verdict { return l.Verdict(c) }
		}
	}
	return func(hazard.Use, hazard.Class) *hazard.Verdict { return nil }
}

// differ says which classes differ, the worst first; "" where none does.
func (m *model) differ(r *board.Row) string {
	type group struct {
		flag    hazard.Flag
		through string
		classes []string
	}
	find := m.verdicts(r)
	var groups []group
	for _, c := range m.classes() {
		v := find(r.Use, c)
		if v == nil {
			continue
		}
		t := board.ThroughWords(v.Flag, v.Through)
		i := slices.IndexFunc(groups, func(g group) bool { return g.flag == v.Flag && g.through == t })
		if i < 0 {
			groups = append(groups, group{flag: v.Flag, through: t})
			i = len(groups) - 1
		}
		groups[i].classes = append(groups[i].classes, c.String())
	}
	if len(groups) < 2 {
		return ""
	}
	slices.SortStableFunc(groups, func(a, b group) int { return int(b.flag) - int(a.flag) })
	parts := make([]string, len(groups))
	for i, g := range groups {
		parts[i] = board.FlagWord(g.flag) + " for " + strings.Join(g.classes, ", ")
		if g.through != "" {
			parts[i] += ", " + g.through
		}
	}
	return strings.Join(parts, "; ")
}

// others are the flags of the paddock's other uses.
func (m *model) others(r *board.Row) string {
	if r.Use == hazard.Feed {
		return ""
	}
	find := m.verdicts(r)
	var parts []string
	for _, u := range hazard.PaddockUses {
		worst := hazard.Unknown
		for _, c := range m.classes() {
			if v := find(u, c); v != nil {
				worst = max(worst, v.Flag)
			}
		}
		if u != r.Use && worst != hazard.Unknown {
			parts = append(parts, u.String()+" "+board.FlagWord(worst))
		}
	}
	return strings.Join(parts, ", ")
}
