package tui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// The smallest screen that is laid out; below it only the names that matter show.
const minWidth, minHeight = 40, 10

type frame struct {
	lines  []line
	cx, cy int // the text cursor; cy < 0 for none
}

// frame renders the model. A failure in there must not take the list away from
// whoever stands before it: it is put into words instead, with the flags.
func (m *model) frame(w, h int) (f frame) {
	defer func() {
		if r := recover(); r != nil {
			words := fmt.Sprintf("This screen could not be drawn (%v). Esc goes back; nothing was lost.", r)
			f = frame{lines: append(wrapped(failure, 0, 0, words, max(w, 2)), m.holdNames(max(w, 2))...), cy: -1}
		}
	}()
	m.w, m.h, f.cy = w, h, -1 // how far a page is, keys must know
	switch {
	case w <= 0 || h <= 0:
	case w < minWidth || h < minHeight:
		f.lines = m.tiny(w, h)
	default:
		head, foot := m.head(w), []line{m.status(w), m.footer(w)}
		room := h - len(head) - len(foot)
		f.lines = append(append(head, fit(m.body(w, room, &f), room)...), foot...)
		if f.cy >= 0 {
			f.cy += len(head)
		} else {
			f.cx, f.cy = m.eye(f.lines)
		}
		if f.cy < 0 && screens[m.page].text != nil {
			f.cx, f.cy = 0, len(head)
		}
	}
	for i := range f.lines {
		f.lines[i] = cutTo(f.lines[i], w)
	}
	return f
}

// eye is where a person looks: the name that is looked for, the chosen word of a
// field, the selected row. The terminal's cursor stands there for screen readers.
func (m *model) eye(lines []line) (x, y int) {
	if m.typing {
		return row(keep(plain, " Find: "), say(plain, m.find.text)).width(), len(lines) - 2
	}
	y = slices.IndexFunc(lines, func(l line) bool { return l.sel })
	if m.page != pageForm || y < 0 {
		return 0, y
	}
	for i := y; i < len(lines) && lines[i].sel; i++ {
		at := 0
		for _, s := range lines[i].spans {
			if s.role == chosen {
				return at, i
			}
			at += board.Width(s.text)
		}
	}
	return labelWidth + 2, y
}

// tiny names the size that is needed and, first, who must not go in where.
func (m *model) tiny(w, h int) []line {
	var lines []line
	if m.list != nil {
		for _, x := range m.list.MoveOut {
			lines = append(lines, wrapped(banner, 0, 0, x, w)...)
		}
	}
	lines = append(lines, m.holdNames(w)...)
	lines = append(lines, wrapped(plain, 0, 0, "The screens need 40 by 10 cells; make the window larger.", w)...)
	if len(lines) > h { // names that do not fit are counted, never dropped in silence
		lines = append(lines[:h-1], row(say(banner, "and more; enlarge")))
	}
	return lines
}

// head is the title and, on every page, the stock that must come out.
func (m *model) head(w int) []line {
	s := &screens[m.page]
	t := s.title
	switch {
	case m.page == pageAhead && m.ifs != nil:
		t = "IF: " + t
	case m.page == pageMenu && m.supposed != fields.NoDate:
		t = "IF, on " + m.supposed.Beside(m.answer.Today)
	case s.aForm && m.form != nil && m.form.onto != fields.NoDate:
		t = "IF, on " + m.form.onto.Beside(m.answer.Today) + ": " + m.form.title()
	case s.aForm && m.form != nil:
		t += ": " + m.form.title()
	case s.aboutOne && m.why != nil:
		t += ": " + m.why.Name
	case s.aboutOne:
		t += ": " + m.name(m.subject)
	}
	if m.list != nil {
		t += "  " + m.list.On.Words() + ", " + m.list.Farm
		if m.page == pageToday {
			t += ". " + m.sheet.Words.Known
		}
	}
	name, day, _ := strings.Cut(t, "  ")
	out := []line{row(keep(title, " "), say(title, name), keep(plain, "  "), say(plain, day))}
	switch {
	case m.list == nil || len(m.list.MoveOut) == 0:
		return out
	case m.page == pageToday:
		return append(out, m.actBox(w)...)
	}
	const now = "MOVE OUT NOW: "
	words := prose{w: w}
	words.add(banner, 1, 1, strings.ReplaceAll(strings.Join(m.list.MoveOut, "; "), "; "+now, "; "))
	more := " " + now + "see the top of 1 TODAY; " + counted(len(m.list.MoveOut), "group", "groups") + " in all"
	return append(out, words.cut(2+min(m.h/20, 1), row(keep(banner, more)))...)
}

// status is one line: failure, stale mark, what is awaited, what was done.
func (m *model) status(w int) line {
	words, r := m.notice, plain
	if m.bad {
		r = failure
	}
	switch {
	case m.stale != "":
		if words == "" { // what a key just did, or asks, is not held back
			words = m.stale
		}
		return row(keep(banner, " OLD LIST "), keep(plain, " "), say(warning, words))
	case m.typing:
		typed := keep(typedNow, board.Clean(m.find.text)+" ")
		return row(keep(keycap, " Find: "), typed, keep(dim, " Enter keeps it, Esc shows all"))
	case words != "":
		return row(keep(plain, " "), say(r, words))
	case m.busy != "":
		return wait(m.busy)[0]
	case m.find.text != "" && m.page == pageToday:
		return row(keep(warning, " Only names with "), say(warning, "\""+m.find.text+"\""), keep(dim, "; / changes it"))
	case m.page == pageForm: // digits are typed there
		return row()
	}
	return m.tabs(w)
}

func (m *model) tabs(w int) line {
	var spans []span
	used := 1
	for i := pageToday; i <= pageMoves; i++ {
		name := screens[i].tab
		gap := " "
		if w < 78 {
			name, _, _ = strings.Cut(name, " ")
			name, gap = strings.TrimSuffix(name, ","), ""
		}
		r := dim
		if m.page == i {
			r = title
		}
		t := " " + strconv.Itoa(int(i)+1) + " " + name + gap
		if used += len(t); used > w {
			break
		}
		spans = append(spans, keep(r, t))
	}
	return row(spans...)
}

func (m *model) body(w, h int, f *frame) []line {
	if m.answer == nil && m.page != pageHelp {
		return m.opening(w)
	}
	s := &screens[m.page]
	switch {
	case m.page == pageForm:
		return m.formBody(w, h, f)
	case s.list != nil:
		return m.lay(s.list(m, w, h), w, h)
	}
	top, p := prose{w: w}, prose{w: w}
	if s.top != nil {
		s.top(m, &top)
	}
	s.text(m, &p)
	m.fits = max(1, h-len(top.lines)-1)
	m.deep = max(0, len(p.lines)-m.fits)
	from := min(m.scroll[m.page], m.deep)
	out := append(top.lines, fit(p.lines[from:min(len(p.lines), from+m.fits)], m.fits)...)
	switch below := m.deep - from; {
	case below > 0: // says how much of the text is out of sight
		words := " " + counted(below, "more line", "more lines") + " below"
		return append(out, row(keep(warning, words), keep(dim, " (PgDn, or Space)")))
	case from > 0:
		return append(out, row(keep(dim, " end; "+counted(from, "line", "lines")+" above")))
	}
	return append(out, row())
}

// opening is shown until the first answer is in, and where there is none.
func (m *model) opening(w int) []line {
	if !m.bad {
		return wait("Reading the journal")
	}
	p := prose{w: w}
	p.add(failure, 1, 1, m.notice)
	p.add(plain, 1, 1, "No list could be made: treat every paddock as HOLD. Ctrl-R tries again, q leaves.")
	return p.lines
}
