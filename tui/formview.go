package tui

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/hazard/board"
)

const labelWidth = 19

// formBody shows the fields around the cursor; at the bottom what the field
// with the cursor wants.
func (m *model) formBody(w, h int, f *frame) []line {
	fm := m.form
	var lines []line
	focus, cx := 0, -1
	for i := range fm.fields {
		if i == fm.at {
			focus = len(lines)
		}
		ls, x := m.fieldLines(&fm.fields[i], i == fm.at, w)
		if i == fm.at {
			cx = x
		}
		lines = append(lines, ls...)
	}
	foot := wrapped(dim, 1, 1, m.hint(fm), w)
	if len(foot) > 2 {
		foot = foot[:2]
	}
	var head []line
	if fm.about != "" {
		head = wrapped(plain, 1, 3, fm.about, w)
		head = head[:min(len(head), max(1, h/3))]
	}
	if t := m.dayTurned(fm); t != "" {
		head = append(head, wrapped(warning, 1, 3, t, w)...)
	}
	if t := m.onFile(fm); t != "" {
		words := wrapped(warning, 1, 3, t, w)
		head = append(head, words[:min(len(words), max(1, h/3))]...)
	}
	if fm.err != "" {
		words := wrapped(failure, 1, 3, "! "+fm.err, w)
		head = append(head, words[:min(len(words), max(1, h/3))]...)
	}
	room := max(1, h-len(foot)-len(head))
	from, to := window(len(lines), focus, room)
	out := append(head, fit(append([]line{}, lines[from:to]...), room)...)
	if cx >= 0 {
		f.cx, f.cy = cx, len(head)+focus-from
	}
	return append(out, foot...)
}

// dayTurned says that the words of days in a form mean other days than when
// they were typed.
func (m *model) dayTurned(f *form) string {
	if f.day == m.answer.Today || !slices.ContainsFunc(f.fields, func(x field) bool {
		return slices.Contains([]string{"today", "yesterday", "tomorrow"}, strings.ToLower(strings.TrimSpace(x.text)))
	}) {
		return ""
	}
	return "This form was begun on " + f.day.Words() + ", and today is " + m.answer.Today.Words() + " now: look at its days."
}

func (m *model) hint(fm *form) string {
	x := fm.cursor()
	t := x.hint
	switch x.typ {
	case tChoice, tYesNo, tName:
		if len(x.choices) == 0 {
			t = strings.TrimSuffix("none is set up on this farm yet; "+t, "; ")
		} else if t == "" {
			t = "choose with Left and Right or the first letter"
		}
	}
	if t != "" {
		t = ": " + strings.TrimSuffix(t, ".")
	}
	return strconv.Itoa(fm.at+1) + " of " + strconv.Itoa(len(fm.fields)) + ", " + strings.TrimSpace(x.label) + t + "."
}

// fieldLines is one field with its echo, and what is wrong with it below.
// The cursor's column is -1 where there is none.
func (m *model) fieldLines(x *field, now bool, w int) (out []line, cx int) {
	mark := "  "
	if now {
		mark = "> "
	}
	l := line{sel: now, spans: []span{keep(keycap, mark), col(plain, x.label, labelWidth)}}
	// A label's own indent says that it belongs to the line above.
	if strings.HasPrefix(x.label, "  ") {
		l.spans[1] = col(plain, x.label, labelWidth-2)
		l.spans = slices.Insert(l.spans, 1, keep(plain, "  "))
	}
	at, cx := labelWidth+2, -1
	room := w - at
	var below []line
	switch {
	case x.typ == tPlaces:
		l.spans = append(l.spans, m.placesSpan(now, room))
	case !x.typed():
		rows := choiceSpans(x, now, room)
		l.spans = append(l.spans, rows[0]...)
		for _, r := range rows[1:] {
			below = append(below, line{sel: now, spans: append([]span{keep(plain, strings.Repeat(" ", at))}, r...)})
		}
	default:
		text, c := shown(x, now, room-1)
		r := typed
		if now {
			r, cx = typedNow, at+c
		}
		cells := max(board.Width(text)+1, min(12, room))
		l.spans = append(l.spans, col(r, text, cells))
		if e := x.echo(m); e != "" && room-cells > 8 {
			l.spans = append(l.spans, keep(dim, " = "), say(plain, board.Cut(e, room-cells-3)))
		}
	}
	out = append([]line{l}, below...)
	if x.err != "" {
		out = append(out, wrapped(failure, 4, 6, "! "+x.err, w)...)
	}
	return out, cx
}

// shown is the part of a text that fits, with the cursor in it.
func shown(x *field, now bool, cells int) (text string, cur int) {
	if !now {
		return board.Cut(x.text, cells), 0
	}
	from := 0
	for board.Width(x.text[from:x.cur]) >= cells {
		from += max(1, firstCluster(x.text[from:]))
	}
	return cutPlain(x.text[from:], cells), board.Width(x.text[from:x.cur])
}

// cutPlain cuts without cleaning spaces away: the person is typing them.
func cutPlain(s string, cells int) string {
	out := ""
	for s != "" {
		n := firstCluster(s)
		if board.Width(out)+board.Width(s[:n]) > cells {
			break
		}
		out += s[:n]
		s = s[n:]
	}
	return out
}

func (m *model) placesSpan(now bool, room int) span {
	fm := m.form
	names := make([]string, len(fm.places))
	for i, id := range fm.places {
		names[i] = m.name(id)
	}
	t := strings.Join(names, ", ")
	_, station := fm.ofStation()
	switch {
	case station:
		return keep(dim, board.Cut("not asked: those that name the thermometer", room))
	case len(names) == 0:
		t = "none picked"
	case len(names) == len(m.standing()) && len(names) > 1:
		t = "ALL " + counted(len(names), "paddock", "paddocks") + ": " + t
	case len(names) > 1:
		t = counted(len(names), "paddock", "paddocks") + ": " + t
	}
	r := typed
	if now {
		r = typedNow
	}
	return say(r, board.Cut(t, room))
}

// mostRows is how many rows the words of a choice may take.
const mostRows = 4

// choiceSpans shows the words of a choice with the chosen one in brackets, in
// as many rows as they need; where they are too many, only that one and how
// many there are.
func choiceSpans(x *field, now bool, room int) [][]span {
	i := slices.Index(x.choices, x.text)
	if len(x.choices) == 0 {
		return [][]span{{keep(dim, "none set up")}}
	}
	none := keep(dim, " -  ")
	if i < 0 {
		none = keep(plain, "[-] ")
	}
	rows := [][]span{{none}}
	used := 4
	for j, c := range x.choices {
		t := x.shown(c)
		n := board.Width(t) + 3
		if used+n > room+1 && len(rows[len(rows)-1]) > 0 {
			rows, used = append(rows, nil), 0
		}
		if n > room+1 || len(rows) > mostRows {
			t, r := "not said", dim
			if i >= 0 {
				t, r = "["+x.shown(x.text)+"]", chosen
			}
			return [][]span{{keep(r, board.Cut(t, max(8, room-18))), keep(dim, "  of "+counted(len(x.choices), "word", "words"))}}
		}
		used += n
		last := &rows[len(rows)-1]
		switch {
		case j == i:
			*last = append(*last, keep(chosen, "["+t+"]"), keep(plain, " "))
		case now:
			*last = append(*last, keep(plain, " "+t+"  "))
		default:
			*last = append(*last, keep(dim, " "+t+"  "))
		}
	}
	return rows
}

// pickList is the list of paddocks to pick from.
func (m *model) pickList(_, _ int) *list {
	ids, places := m.standing(), m.form.places
	return &list{
		above: []line{row(keep(plain, " Pick paddocks: "), keep(title, counted(len(places), "paddock", "paddocks")+" picked"))},
		row: func(i int) []span {
			box := "[ ] "
			if slices.Contains(places, ids[i]) {
				box = "[x] "
			}
			return []span{keep(keycap, box), say(plain, m.name(ids[i])), keep(dim, "  "), say(dim, ids[i])}
		},
	}
}

// menuList is the list of forms; half-written ones are marked.
func (m *model) menuList(w, _ int) *list {
	return &list{
		cols: []column{{"", 22}, {"", max(1, w-25)}},
		row: func(i int) []span {
			says := keep(dim, kinds[i].says)
			for _, f := range m.drafts {
				if f.dirty && f.spec.kind == kinds[i].kind {
					says = say(warning, "NOT SAVED: half-written "+f.whom(m))
				}
			}
			return []span{keep(plain, kinds[i].title), says}
		},
	}
}

// checkText is what was understood and what would change.
func (m *model) checkText(p *prose) {
	f := m.form
	if f == nil || f.out == nil {
		return
	}
	o := f.out
	p.row(keep(plain, " "), keep(heading, "UNDERSTOOD, NOT STORED YET"))
	for i := range o.Entries {
		p.say(plain, board.EntryEcho(&o.Entries[i], o.After.History, board.UnitsOf(o.After.History)))
		if by := o.Entries[i].By; by != "" && i == len(o.Entries)-1 {
			p.say(dim, "signed "+by)
		}
	}
	for _, n := range o.Notes {
		p.say(warning, n)
	}
	for _, x := range board.Alarms(o.After, o.Entries) {
		p.say(banner, x)
	}
	cs := board.Changes(o.Before, o.After, board.Filter{})
	p.part("WHAT IT CHANGES")
	last := &p.lines[len(p.lines)-1]
	last.spans = append(last.spans, keep(plain, "  "+changeCount(cs)))
	for i := range cs {
		r := plain
		if cs[i].Worse {
			r = title
		}
		p.say(r, cs[i].String())
	}
	p.say(plain, board.Unmoved(o.After, o.Entries, cs))
}
