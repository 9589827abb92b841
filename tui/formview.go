package tui

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

const labelWidth = 19

// formBody shows the fields around the cursor, and what that one wants.
func (m *model) formBody(w, h int, f *frame) []line {
	fm := m.form
	var lines, head []line
	focus := 0
	for i := range fm.fields {
		if i == fm.at {
			focus = len(lines)
		}
		ls, cx := m.fieldLines(&fm.fields[i], i == fm.at, w)
		if i == fm.at {
			f.cx = cx
		}
		lines = append(lines, ls...)
	}
	foot := wrapped(dim, 1, 1, fm.hint(), w)
	foot = foot[:min(len(foot), max(1, h/3))]
	above := func(r role, text string) {
		words := wrapped(r, 1, 3, text, w)
		head = append(head, words[:min(len(words), max(1, h/3))]...)
	}
	above(plain, fm.lead)
	if fm.takes == nil {
		above(plain, fm.about)
	}
	above(warning, m.dayTurned())
	above(warning, m.onFile())
	if fm.err != "" {
		above(failure, "! "+fm.err)
	}
	room := max(1, h-len(foot)-len(head))
	from, to := window(len(lines), focus, room)
	if f.cx >= 0 {
		f.cy = len(head) + focus - from
	}
	return append(append(head, fit(lines[from:to:to], room)...), foot...)
}

// dayTurned says that words such as "today" mean another day than when typed.
func (m *model) dayTurned() string {
	f, today := m.form, m.answer.Today
	if f.day == today || !slices.ContainsFunc(f.fields, func(x field) bool {
		return slices.Contains([]string{"today", "yesterday", "tomorrow"}, strings.ToLower(strings.TrimSpace(x.text)))
	}) {
		return ""
	}
	return "This form was begun on " + f.day.Short() + ", and today is " + today.Short() + " now: look at its days."
}

// onFile says which frosts on file stand against a no-frost form.
func (m *model) onFile() string {
	f, today := m.form, m.answer.Today
	if f.kind.Kind != fields.KindNoFrost {
		return ""
	}
	first, err1 := fields.ParseDate(f.named("from").text, today)
	last, err2 := fields.ParseDate(f.named("to").text, today)
	if err1 != nil || err2 != nil {
		return ""
	}
	var hits []string
	for _, p := range f.places {
		if d, what := m.answer.Ask.FrostOnFile(p, first, last); d != fields.NoDate {
			hits = append(hits, m.name(p)+", night ending "+d.Beside(today)+" ("+what+")")
		}
	}
	if len(hits) == 0 {
		return ""
	}
	if n := len(hits) - 3; n > 0 {
		hits = append(hits[:3], "and "+counted(n, "more paddock", "more paddocks"))
	}
	return "A FROST IS ON FILE, and a frost beats any statement: " + strings.Join(hits, "; ") + "."
}

// hint is which field has the cursor, and what it wants.
func (f *draft) hint() string {
	x := f.cursor()
	t := x.Hint
	switch {
	case !x.chosen():
	case len(x.choices) == 0:
		t = strings.TrimSuffix("none is set up on this farm yet; "+t, "; ")
	case t == "":
		t = "choose with Left and Right or the first letter"
	}
	if t != "" {
		t = ": " + strings.TrimSuffix(t, ".")
	}
	t = strconv.Itoa(f.at+1) + " of " + strconv.Itoa(len(f.fields)) + ", " + strings.TrimSpace(x.Label) + t + "."
	if f.part != nil && x.Why != "" {
		t += " " + upper(x.Why) + "."
	}
	return t
}

// fieldLines is one field with its echo and its fault; cx is -1 without a cursor.
func (m *model) fieldLines(x *field, now bool, w int) (out []line, cx int) {
	mark, r := "  ", typed
	if now {
		mark, r = "> ", typedNow
	}
	// A label's own indent says that it belongs to the line above.
	label := strings.TrimLeft(x.Label, " ")
	indent := len(x.Label) - len(label)
	before := []span{keep(keycap, mark), keep(plain, x.Label[:indent]), col(plain, label, labelWidth-indent)}
	at, cx := labelWidth+2, -1
	room := w - at
	var rows [][]span
	switch {
	case x.OfPaddocks():
		rows = m.placesRows(r, room)
	case x.chosen():
		rows = choiceSpans(x, now, m.form.kind.Named, room)
	default:
		text := board.Cut(x.text, room-1)
		if now {
			text, cx = x.around(room - 1)
			cx += at
		}
		cells := max(board.Width(text)+1, min(12, room))
		rows = [][]span{{col(r, text, cells)}}
		if n := m.of(x); n != "" && room-cells > 12 {
			n = board.Cut(n, room-cells-5)
			rows[0] = append(rows[0], keep(dim, " for "), say(plain, n))
			cells += 5 + board.Width(n)
		}
		e := m.echo(x)
		switch {
		case e == "" || x.err != "":
		case cells+3+board.Width(e) <= room:
			rows[0] = append(rows[0], keep(dim, " = "), say(plain, e))
		default:
			for _, s := range board.Wrap(e, "= ", "  ", room) {
				rows = append(rows, []span{keep(plain, s)})
			}
		}
	}
	for _, spans := range rows {
		out = append(out, line{sel: now, spans: append(before, spans...)})
		before = []span{keep(plain, strings.Repeat(" ", at))}
	}
	if x.err != "" {
		out = append(out, wrapped(failure, 4, 6, "! "+x.err, w)...)
	}
	return out, cx
}

// placesRows are the picked paddocks by name, cut where they need too many rows.
func (m *model) placesRows(r role, room int) (rows [][]span) {
	f := m.form
	if p := f.inside(); p != "" {
		return [][]span{{keep(dim, board.Cut(m.name(p), room))}}
	}
	if f.ofStation() {
		return [][]span{{keep(dim, board.Cut("those that name the thermometer", room))}}
	}
	if f.ofLot() && !f.chosen {
		return [][]span{{keep(dim, board.Cut("none: it is of the lot "+f.thing("lot"), room))}}
	}
	names := make([]string, len(f.places))
	for i, id := range f.places {
		names[i] = m.name(id)
	}
	t := strings.Join(names, ", ")
	switch n := len(names); {
	case n == 0:
		t = "none picked"
	case n > 1:
		t = counted(n, "paddock", "paddocks") + ": " + t
		if n == len(m.standing()) {
			t = "ALL " + t
		}
	}
	for _, s := range board.Wrap(board.Cut(t, 3*room-30), "", "", room) {
		rows = append(rows, []span{keep(r, s)})
	}
	return rows
}

const mostRows = 5

// choiceSpans shows the words of a choice with the chosen one in brackets; where
// they need more rows than mostRows, only that one and how many there are.
func choiceSpans(x *field, now, numbered bool, room int) [][]span {
	if len(x.choices) == 0 {
		return [][]span{{keep(dim, "none set up")}}
	}
	others, none, only := dim, keep(plain, "[-] "), keep(dim, "not said")
	if now {
		others = plain
	}
	if slices.Contains(x.choices, x.text) {
		none, only = keep(dim, " -  "), keep(chosen, "["+x.reads(x.text)+"]")
	}
	rows, used := [][]span{{none}}, 4
	for i, c := range x.choices {
		t, r, begin, end := x.reads(c), others, " ", keep(others, "  ")
		if numbered {
			t = strconv.Itoa(i+1) + " " + t
		}
		if c == x.text {
			t, r, begin, end = t+"]", chosen, "[", keep(plain, " ")
		}
		n := board.Width(begin+strings.TrimSuffix(t, "]")) + 2
		if used+n > room+1 {
			rows, used = append(rows, nil), 0
		}
		used += n
		for j, s := range board.Wrap(t, begin, " ", room) {
			if j > 0 {
				rows = append(rows, nil)
			}
			last := len(rows) - 1
			rows[last] = append(rows[last], keep(r, s), end)
		}
	}
	if len(rows) > mostRows {
		of := keep(dim, "  of "+counted(len(x.choices), "word", "words"))
		return [][]span{{keep(only.role, board.Cut(only.text, max(8, room-18))), of}}
	}
	return rows
}

func (m *model) pickList(_, _ int) *list {
	ids, places := m.standing(), m.form.places
	picked := keep(title, counted(len(places), "paddock", "paddocks")+" picked")
	var may []board.Row // whether the herd that moves may go in
	if m.form.kind.Kind == fields.KindGrazed {
		may = board.Today(m.answer.Assessment, board.Filter{Herd: m.form.thing("herd")}).Rows
	}
	return &list{
		ids:   ids,
		above: []line{row(keep(plain, " Pick paddocks: "), picked)},
		row: func(i int) []span {
			box := "[ ] "
			if slices.Contains(places, ids[i]) {
				box = "[x] "
			}
			out := []span{keep(keycap, box), say(plain, m.name(ids[i])), keep(dim, "  "), say(dim, ids[i])}
			if r := byID(may, ids[i]); r != nil {
				flag := col(flagRole[r.Flag], board.Mark(r.Flag)+" "+m.sheet.Words.Word(r.Flag), leastAnswer)
				out = slices.Insert(out, 1, flag, keep(plain, " "))
			}
			return out
		},
	}
}

// menu are the forms: all, or those of what may be assumed.
func (m *model) menu() []*form.Kind {
	if m.supposed != fields.NoDate {
		return idsOf(ifKinds, func(k *fields.Kind) *form.Kind { return form.Of(*k) })
	}
	return slices.DeleteFunc(slices.Clone(form.Kinds()), func(k *form.Kind) bool { return k.Title == "" })
}

// menuList is the list of forms; half-written ones are marked.
func (m *model) menuList(w, _ int) *list {
	ids := idsOf(m.menu(), func(k **form.Kind) string { return string((*k).Kind) })
	return &list{
		ids: ids,
		parts: map[int]string{
			slices.Index(ids, string(form.Import)): "FILES AND FEED", slices.Index(ids, string(fields.KindFarm)): "SET UP",
		},
		cols: []column{{"", 22}, {"", max(1, w-25)}},
		row: func(i int) []span {
			k := m.menu()[i]
			says := keep(dim, k.Menu)
			for _, f := range m.drafts {
				if f.dirty && f.kind == k && f.onto == m.supposed && k.Kind != form.Blend {
					says = say(warning, "NOT SAVED: half-written "+f.whom(m))
				}
			}
			return []span{keep(plain, k.Title), says}
		},
	}
}

func (m *model) checkText(p *prose) {
	f := m.form
	if f == nil || f.out == nil {
		return
	}
	o := f.out
	head := "UNDERSTOOD, NOT STORED YET"
	if f.takes != nil {
		head = "TAKE BACK? Enter takes it back, Esc leaves it"
	}
	p.row(keep(plain, " "), keep(heading, head))
	if f.takes != nil {
		p.say(plain, f.lead)
	}
	for _, t := range o.Told {
		p.say(plain, t)
	}
	for i := range o.Entries {
		if o.Told != nil { // thousands of nights
			break
		}
		p.say(plain, board.EntryEcho(&o.Entries[i], o.After.History, board.UnitsOf(o.After.History)))
		if by := o.Entries[i].By; by != "" && i == len(o.Entries)-1 {
			p.say(dim, "signed "+by)
		}
	}
	for _, n := range o.Notes {
		p.say(warning, onScreens.Replace(n))
	}
	for _, x := range board.NewlyRelaxed(o.Before, o.After) {
		p.say(warning, x)
	}
	for _, x := range board.Alarms(o.Before, o.After, o.Entries) {
		p.say(banner, x)
	}
	cs := board.Changes(o.Before, o.After, board.Filter{})
	p.row()
	p.row(keep(plain, " "), keep(heading, "WHAT IT CHANGES"), keep(plain, "  "+changeCount(cs)))
	for i := range cs {
		r := plain
		if cs[i].Worse {
			r = title
		}
		p.say(r, cs[i].String())
	}
	p.say(plain, board.Unmoved(o.After, o.Entries, cs))
}
