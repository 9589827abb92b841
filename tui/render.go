package tui

import (
	"strconv"
	"strings"

	"rimegate/hazard/board"
)

// The smallest screen that is laid out; below it there is one sentence and the
// names that matter.
const minWidth, minHeight = 40, 10

// render makes the picture of the model at a size.
func (m *model) render(w, h int) frame {
	if w <= 0 || h <= 0 {
		return frame{cy: -1}
	}
	if w < minWidth || h < minHeight {
		return m.tiny(w, h)
	}
	f := frame{cy: -1}
	head := m.head(w)
	foot := []line{m.status(w), m.footer(w)}
	room := h - len(head) - len(foot)
	body := m.body(w, room, &f)
	f.lines = append(append(head, fit(body, room)...), foot...)
	if f.cy >= 0 {
		f.cy += len(head)
	}
	for i := range f.lines {
		f.lines[i] = cutTo(f.lines[i], w)
	}
	return f
}

// tiny names the size that is needed and, first, who must not go in where.
func (m *model) tiny(w, h int) frame {
	var lines []line
	if m.list != nil {
		for _, x := range m.list.MoveOut {
			lines = append(lines, wrapped(banner, x, "", "", w)...)
		}
	}
	lines = append(lines, m.holdNames(w)...)
	lines = append(lines, wrapped(plain, "The screens need 40 by 10 cells; make the window larger.", "", "", w)...)
	if len(lines) > h { // names that do not fit are counted, never dropped in silence
		lines = append(lines[:h-1], row(say(banner, "and more; enlarge")))
	}
	return frame{lines: lines, cy: -1}
}

// head is the title and, on every page, the stock that must come out.
func (m *model) head(w int) []line {
	t := pageTitles[m.page]
	switch {
	case m.page == pageForm && m.form != nil, m.page == pageCheck && m.form != nil:
		t += ": " + m.form.spec.title
	case m.page == pagePaddock || m.page == pagePast || m.page == pageNight:
		t += ": " + board.Clean(m.subjectName())
	}
	right := ""
	if m.answer != nil && m.list != nil {
		right = m.list.On.Words() + ", " + m.list.Farm
	}
	room := max(16, w-board.Width(t)-3)
	top := row(keep(title, " "), say(title, t), keep(plain, "  "), say(plain, board.Cut(right, room)))
	out := []line{top}
	if m.list == nil || len(m.list.MoveOut) == 0 {
		return out
	}
	const now = "MOVE OUT NOW: "
	outs := append([]string{}, m.list.MoveOut...)
	for i := 1; i < len(outs); i++ {
		if strings.HasPrefix(outs[i-1], now) || !strings.HasPrefix(outs[i-1], "MOVE OUT") {
			outs[i] = strings.TrimPrefix(outs[i], now)
		}
	}
	words := wrapped(banner, strings.Join(outs, "; "), " ", " ", w)
	most := 2
	if m.h >= 20 {
		most = 3
	}
	if len(words) > most {
		words = append(words[:most-1], row(keep(banner, " MOVE OUT NOW: see the top of 1 TODAY; "+counted(len(m.list.MoveOut), "group", "groups")+" in all")))
	}
	return append(out, words...)
}

func (m *model) subjectName() string {
	if m.why != nil {
		return m.why.Name
	}
	return m.name(m.subject)
}

// status is one line: failure, stale mark, what is awaited, what was done.
func (m *model) status(w int) line {
	var spans []span
	if m.stale != "" {
		words := m.stale
		if m.notice != "" { // what a key just did, or asks, is not held back
			words = m.notice
		}
		spans = append(spans, keep(banner, " OLD LIST "), keep(plain, " "), say(warning, board.Cut(words, max(w-12, 1))))
		return row(spans...)
	}
	switch {
	case m.typing:
		return row(keep(keycap, " Find: "), keep(typedNow, board.Clean(m.find)+" "), keep(dim, " Enter keeps it, Esc shows all"))
	case m.notice != "":
		r := plain
		if m.bad {
			r = failure
		}
		return row(keep(plain, " "), say(r, board.Cut(m.notice, w-1)))
	case m.busy != "":
		return row(keep(dim, " "), say(dim, m.busy+" ..."))
	case m.find != "" && m.page == pageToday:
		return row(keep(warning, " Only names with "), say(warning, "\""+m.find+"\""), keep(dim, "; / changes it"))
	}
	if m.page == pageForm { // digits are typed there
		return blank
	}
	return m.tabs(w)
}

// tabs names the main pages with their digits.
func (m *model) tabs(w int) line {
	var spans []span
	used := 1
	for i, name := range []string{"Today", "Nights", "Labs, feed", "Coming days", "To do", "Rules", "Moves"} {
		if w < 78 {
			name, _, _ = strings.Cut(name, " ")
			name = strings.TrimSuffix(name, ",")
		}
		r := dim
		if m.page == page(i) {
			r = title
		}
		t := " " + strconv.Itoa(i+1) + " " + name + " "
		if used += len(t); used > w {
			break
		}
		spans = append(spans, keep(r, t))
	}
	return row(spans...)
}

// body is the page itself, at most h rows.
func (m *model) body(w, h int, f *frame) []line {
	if m.answer == nil && m.page != pageHelp {
		return m.opening(w)
	}
	switch m.page {
	case pageToday:
		return m.todayBody(w, h)
	case pageNights:
		return m.nightsBody(w, h)
	case pageFeed:
		return m.feedBody(w, h)
	case pageAhead:
		return m.aheadBody(w, h)
	case pageTasks:
		return m.tasksBody(w, h)
	case pageRules:
		return m.rulesBody(w, h)
	case pagePast:
		return m.pastBody(w, h)
	case pageMenu:
		return m.menuBody(w, h)
	case pageForm:
		return m.formBody(w, h, f)
	}
	lines, room := m.textAt(w, h)
	top := m.pinned(w)
	from := max(0, min(m.scroll[m.page], len(lines)-room))
	to := min(len(lines), from+room)
	out := append(top, fit(append([]line{}, lines[from:to]...), room)...)
	return append(out, more(from, len(lines)-to))
}

// more says how much of a text is out of sight.
func more(above, below int) line {
	switch {
	case above == 0 && below == 0:
		return blank
	case below == 0:
		return row(keep(dim, " end; "+counted(above, "line", "lines")+" above"))
	}
	return row(keep(warning, " "+counted(below, "more line", "more lines")+" below"), keep(dim, " (PgDn, or Space)"))
}

// text is the whole text of the current page, and how many rows of it show.
func (m *model) text() ([]line, int) {
	return m.textAt(m.w, m.h-len(m.head(m.w))-2)
}

func (m *model) textAt(w, h int) ([]line, int) {
	var lines []line
	switch m.page {
	case pagePaddock:
		lines = m.whyText(w)
	case pageNight:
		lines = m.nightText(w)
	case pageRule:
		lines = m.ruleText(w)
	case pageMoves:
		lines = m.movesText(w)
	case pageCheck:
		lines = m.checkText(w)
	case pageHelp:
		lines = m.helpText(w)
	}
	return lines, max(1, h-len(m.pinned(w))-1)
}

// pinned are the rows over a text that do not scroll.
func (m *model) pinned(w int) []line {
	if m.page == pagePaddock {
		return m.whyHead(w)
	}
	return nil
}

// opening is shown until the first answer is in, and where there is none.
func (m *model) opening(w int) []line {
	if m.bad {
		out := wrapped(failure, m.notice, " ", " ", w)
		return append(out, wrapped(plain, "No list could be made: treat every paddock as HOLD. r tries again, q leaves.", " ", " ", w)...)
	}
	return []line{row(keep(dim, " Reading the journal ..."))}
}
