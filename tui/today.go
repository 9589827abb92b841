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

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// leastAnswer is the room of the longest answer with its shape, and leastWhy what a
// reason needs to be worth showing.
const leastAnswer, leastWhy = 5, 16

// gates is a table of the page: a name, the answer for each herd, and why in the room
// that is left. Where a window has no room for the herds, the worst answer stands for all.
func (m *model) gates(rows []board.PageRow, of string, w int) ([]column, func(i int) []span) {
	heads, most := m.sheet.Columns, 9
	if w >= 110 {
		most = 14
	}
	if w-3-len(heads)*(leastAnswer+1) < 10 {
		heads = []board.Column{{Head: "all"}}
	}
	names := idsOf(rows, func(r *board.PageRow) string { return r.Name })
	name := widest(names, len(of), min(24, w/3))
	cols, room := []column{{of, name}}, w-2-name
	for _, c := range heads {
		cells := max(leastAnswer, min(board.Width(c.Head), most, (w-3-name)/len(heads)-1))
		cols, room = append(cols, column{board.Cut(c.Head, cells), cells}), room-cells-1
	}
	if room--; room < leastWhy {
		cols[0].cells, room = widest(names, name, name+max(room, 0)), 0
	}
	cols = append(cols, column{"WHY, AND WHAT NEXT", room})
	return cols, func(i int) []span {
		r := &rows[i]
		out := []span{say(plain, r.Name)}
		if r.MoveOut {
			out[0] = say(banner, r.Name)
		}
		flags := r.Flags
		if len(heads) < len(flags) {
			flags = []hazard.Flag{r.Worst}
		}
		for j, f := range flags {
			out = append(out, col(flagRole[f], board.Mark(f)+" "+m.sheet.Words.Word(f), cols[1+j].cells))
		}
		return append(out, say(plain, r.Why))
	}
}

// aSwath ends the id of a row that answers for a swath; no short name has a NUL.
const aSwath = "\x00swath"

// pageIDs are ids for rows of the page, and the paddocks or lots behind them: a swath
// has a row of its own behind that of its paddock.
func pageIDs(rows []board.PageRow, asked hazard.Use) (ids, about []string) {
	about = idsOf(rows, func(r *board.PageRow) string { return r.ID })
	for i, id := range about {
		if rows[i].Use != asked {
			id += aSwath
		}
		ids = append(ids, id)
	}
	return ids, about
}

// morning is what of the morning's page no key changes, but one that asks for something
// else: a large farm's is not made anew at each.
type morning struct {
	sheet *board.Page
	find  string
	w     int

	rows []board.PageRow
	list list
	loud []line
}

func (m *model) morning(w int) *morning {
	if m.kept != nil && m.kept.sheet == m.sheet && m.kept.find == m.find.text && m.kept.w == w {
		return m.kept
	}
	k := &morning{sheet: m.sheet, find: m.find.text, w: w, rows: m.rows()}
	of := "PADDOCK"
	if m.sheet.Use == hazard.Feed {
		of = "LOT"
	}
	l := &k.list
	l.ids, l.about = pageIDs(k.rows, m.sheet.Use)
	l.cols, l.row = m.gates(k.rows, of, w)
	var n [hazard.Hold + 1]int
	for i := range k.rows {
		n[k.rows[i].Worst]++
		l.holds = append(l.holds, provided(k.rows[i].Worst == hazard.Hold, k.rows[i].Name))
	}
	l.foot = fmt.Sprintf("%d in all: %d NO, %d ASK, %d YES.",
		len(k.rows), n[hazard.Hold], n[hazard.Caution], n[hazard.Clear])
	loud := prose{w: w}
	m.loud(&loud)
	k.loud = loud.lines
	m.kept = k
	return k
}

// todayList is the morning's page: paddock by herd, and the selected row in sentences.
func (m *model) todayList(w, h int) *list {
	k := m.morning(w)
	l, rows, full := k.list, k.rows, m.list.Rows
	l.above, l.marked, l.none = m.todayHead(w, h), m.picked, m.nothing()
	if m.sheet.Use == hazard.Feed {
		full = m.list.Lots
	}
	l.detail = func(p *prose, i int) { m.todayDetail(p, m.sheet, &rows[i], byID(full, l.ids[i])) }
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
	return &l
}

// byID is the row in full sentences, nil for a swath.
func byID(rows []board.Row, id string) *board.Row {
	if i := slices.IndexFunc(rows, func(r board.Row) bool { return r.ID == id }); i >= 0 {
		return &rows[i]
	}
	return nil
}

// todayHead is what is asked, and what is loud.
func (m *model) todayHead(w, h int) []line {
	loud, most := prose{w: w, lines: m.morning(w).loud}, 1
	switch {
	case h >= 18:
		most = 4
	case h >= 13:
		most = 2
	}
	more := counted(len(loud.lines)-most+1, "more row", "more rows")
	asked := m.asked(w, keep(plain, " "), keep(chosen, m.sheet.Words.Rows), keep(dim, " (u)  for "))
	if where := keep(dim, "   where they stand (e)"); asked.width()+len(where.text) <= w && len(m.sheet.Stands) > 0 {
		asked.spans = append(asked.spans, where)
	}
	out := []line{asked}
	more = " " + more + " of what was not read, RELAXED and NOTICE: see 6 Rules"
	return append(out, loud.cut(most, row(keep(warning, more)))...)
}

func (m *model) classNames() string {
	return strings.Join(idsOf(m.list.Classes, func(c *hazard.Class) string { return c.String() }), ", ")
}

// whom is whom the list answers for: a herd or a class by name, or all of them.
func (m *model) whom() string {
	switch {
	case m.filter.Herd != "":
		return m.filter.Herd
	case m.filter.Class != nil:
		return m.classNames()
	}
	return "all: " + strings.Join(idsOf(m.sheet.Columns, func(c *board.Column) string { return c.Head }), ", ")
}

// asked is the row that says what a page answers, for whom.
func (m *model) asked(w int, before ...span) line {
	room := w - row(before...).width() - len(" (c)")
	return row(append(before, say(chosen, board.Cut(m.whom(), max(10, room))), keep(dim, " (c)"))...)
}

// rowAnswers are what a row says, the worst first: "NO for ewes and pairs; YES for yearlings".
func rowAnswers(page *board.Page, r *board.PageRow) string {
	var parts []string
	for f := hazard.Hold; f >= hazard.Clear; f-- {
		var of []string
		for i, c := range page.Columns {
			if r.Flags[i] == f {
				of = append(of, c.Head)
			}
		}
		switch {
		case len(of) == len(r.Flags) && len(of) > 1:
			return page.Words.Word(f) + " for all"
		case len(of) > 0:
			parts = append(parts, page.Words.Word(f)+" for "+strings.Join(of, ", "))
		}
	}
	return strings.Join(parts, "; ")
}

// todayDetail is the selected row in sentences.
func (m *model) todayDetail(p *prose, page *board.Page, r *board.PageRow, full *board.Row) {
	head := []span{keep(plain, " "), say(title, r.Name)}
	if r.Name != r.ID && m.answer.History.Paddock(r.ID) != nil {
		head = append(head, keep(dim, " ("), say(dim, r.ID), keep(dim, ")"))
	}
	p.row(append(head, keep(plain, ": "), say(flagRole[r.Worst], rowAnswers(page, r)))...)
	if r.Worst == hazard.Clear { // before the reasons: a small window cuts what stands below
		p.add(plain, 3, 3, page.Rule(hazard.Clear))
	}
	if full != nil {
		p.add(banner, 3, 3, full.Danger)
	}
	p.add(plain, 3, 3, upper(r.Why))
	if full != nil {
		p.labelled(3, "Next:", 9, full.Next)
	}
	if len(r.Inside) > 0 {
		p.add(plain, 3, 3, "Inside: "+strings.Join(r.Inside, ", ")+".")
	}
	if r.Worst == hazard.Caution {
		p.add(plain, 3, 3, page.Rule(hazard.Caution))
	}
	if full != nil && len(full.Others) > 0 {
		p.add(dim, 3, 3, "Other uses: "+strings.Join(full.Others, "; ")+".")
	}
	p.add(dim, 3, 3, page.Foot[0])
}

// actBox is what must be done before anything else, and where to; what has no room is
// counted and stands first in 5 TO DO.
func (m *model) actBox(w int) (out []line) {
	acts, room := m.sheet.Acts, max(2, m.h/6)
	if n := len(acts) - room; n > 0 {
		room--
		more := counted(n+1, "more act", "more acts") + " NOW: see the top of 5 TO DO"
		defer func() { out = append(out, row(keep(banner, " "+more))) }()
		acts = acts[:room]
	}
	for _, x := range acts {
		words := wrapped(banner, 1, 3, x.Word+": "+x.What, w)
		words = append(words, wrapped(title, 3, 5, "> "+x.To, w-4)...)
		if n := room / len(acts); len(words) > n {
			words = words[:n]
			words[n-1].spans = append(words[n-1].spans, keep(dim, " ..."))
		}
		out = append(out, words...)
	}
	return out
}

func provided(is bool, text string) string {
	if is {
		return text
	}
	return ""
}

// herdsList is where the herds stand, what must leave first.
func (m *model) herdsList(w, _ int) *list {
	rows := slices.Clone(m.sheet.Stands)
	slices.SortStableFunc(rows, func(a, b board.Whereabouts) int { return int(b.Flag) - int(a.Flag) }) // who must move first
	name := widest(idsOf(rows, func(x *board.Whereabouts) string { return x.Name }), 4, min(18, w/4))
	where := widest(idsOf(rows, func(x *board.Whereabouts) string { return x.Where }), 5, min(20, w/4))
	return &list{
		ids:   idsOf(rows, func(x *board.Whereabouts) string { return x.Herd + "\x00" + x.ID }),
		about: idsOf(rows, func(x *board.Whereabouts) string { return x.ID }),
		cols: []column{
			{"HERD", name},
			{"WHERE", where},
			{"", leastAnswer},
			{"WHO, AND WHAT NEXT", max(1, w-5-name-where-leastAnswer)},
		},
		row: func(i int) []span {
			x := &rows[i]
			flag := keep(plain, "")
			if x.Flag != hazard.Unknown {
				flag = keep(flagRole[x.Flag], board.Mark(x.Flag)+" "+m.sheet.Words.Word(x.Flag))
			}
			return []span{say(plain, x.Name), say(plain, x.Where), flag, say(plain, x.Who+provided(x.Says != "", ": "+x.Says))}
		},
		foot: counted(len(rows), "herd", "herds") + "; s moves the selected one",
		detail: func(p *prose, i int) {
			x := &rows[i]
			p.say(title, x.Name+provided(x.Who != "", " ("+x.Who+")"))
			p.add(plain, 3, 3, provided(x.Where != "", "In "+x.Where+". ")+upper(x.Says))
			for _, act := range m.sheet.Acts {
				if act.Herd == x.Herd && act.ID == x.ID {
					p.add(title, 3, 5, "> "+act.To)
				}
			}
		},
		none: "No herd is set up on this farm yet.",
	}
}

func (m *model) nothing() string {
	switch {
	case m.find.text != "":
		return "No name holds \"" + m.find.text + "\"."
	case m.list.Use == hazard.Feed:
		return "No lot of feed is logged."
	case !m.answer.History.ZoneSet:
		return "The farm has no name and time zone yet: l, then the farm at the end of the list."
	case len(m.list.Rows) == 0 && len(m.standing()) == 0:
		return "No paddock is set up yet: l, then paddock at the end of the list."
	}
	return "No paddock answers to this question."
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
