package tui

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// nightsKept is how many nights the screens know of each paddock.
const nightsKept = 28

// nightWord says what a night counts as: shape, word and role.
func (m *model) nightWord(r *hazard.NightRow) (shape, word string, ro role) {
	switch {
	case r.Trigger:
		return "*", "FROZE", flagHold
	case r.Unread && r.Night == m.answer.Today && m.answer.Now.Hour() < hazard.ClockHour:
		return ":", "not in yet", warning
	case r.Unread && r.HasLow:
		return "~", "ONLY PART READ", warning
	case r.Unread:
		return "!", "NOT READ", warning
	case r.Possible:
		return "%", "may have frozen", flagCaution
	case r.Covered:
		return ".", "no frost", plain
	case !r.Watched:
		return "-", "not watched", dim
	}
	return "-", "before the stand", dim
}

func (a *app) needNights() {
	ans := a.m.answer
	fetch(a, "looking at the nights", func() (map[string][]hazard.NightRow, error) {
		out := map[string][]hazard.NightRow{}
		for _, p := range ans.History.Standing() {
			if a.ctx.Err() != nil {
				break
			}
			rows := hazard.NightRows(ans.History, ans.Book, p.ID, ans.Today.Add(1-nightsKept), ans.Today)
			slices.Reverse(rows) // the latest first
			out[p.ID] = rows
		}
		return out, nil
	}, func(nights map[string][]hazard.NightRow) { a.m.nights = nights })
}

// nightsList is a row of nights for each paddock; those that nobody read are
// counted in words.
func (m *model) nightsList(w, h int) *list {
	if m.nights == nil {
		return &list{above: wait("Looking at the nights")}
	}
	name := max(12, min(24, w/4))
	n := min(nightsKept, (w-name-2-12)/3)
	to := m.answer.Today
	from := to.Add(1 - n)
	head := dayHead(from, to, to, name+2)
	head[0].spans = append(head[0].spans, keep(heading, " "), keep(heading, "NOT READ"))
	rows := m.paddocks()
	return &list{
		above:  append([]line{row(keep(dim, " Nights, by the day on which they end, at plant height."))}, head...),
		cols:   []column{{"", name}},
		marked: m.isPicked,
		row:    func(i int) []span { return m.nightsRow(&rows[i], from, n) },
		detail: m.nightGaps(m.selected(pageNights), w),
		none:   "No paddock answers to this question.",
	}
}

func (m *model) nightsRow(r *board.Row, from fields.Date, n int) []span {
	out := []span{say(plain, r.Name)}
	unread := 0
	for _, x := range slices.Backward(m.nights[r.ID]) {
		if x.Night < from {
			continue
		}
		shape, _, ro := m.nightWord(&x)
		if x.Unread && shape != ":" {
			unread++
		}
		out = append(out, keep(ro, " "+shape+" "))
	}
	if unread == 0 {
		return append(out, keep(plain, " "), keep(dim, "none"))
	}
	return append(out, keep(plain, " "), keep(warning, strconv.Itoa(unread)+" of "+strconv.Itoa(n)))
}

// nightGaps tells the shapes, and the selected paddock's nights that froze or
// were not read.
func (m *model) nightGaps(id string, w int) prose {
	by := map[string][]string{}
	for _, r := range slices.Backward(m.nights[id]) {
		if _, word, _ := m.nightWord(&r); r.Trigger || r.Unread || r.Possible {
			by[word] = append(by[word], r.Night.Short())
		}
	}
	p := prose{w: w, lines: []line{blank}}
	p.add(dim, 1, 1, "* FROZE, % may have frozen, . no frost, ! NOT READ, ~ ONLY PART READ, : not in yet, "+
		"- not watched or before the stand")
	if len(by) == 0 {
		p.say(plain, m.name(id)+": every night was read, none froze.")
	}
	for _, k := range []string{"FROZE", "NOT READ", "ONLY PART READ", "not in yet", "may have frozen"} {
		r := plain
		if k == "NOT READ" || k == "ONLY PART READ" {
			r = warning
		}
		if len(by[k]) > 0 {
			p.say(r, k+": "+strings.Join(by[k], ", "))
		}
	}
	return p
}

// nightList is the nights of one paddock, the latest first, and who speaks of the
// selected one.
func (m *model) nightList(w, _ int) *list {
	rows := m.nights[m.subject]
	if rows == nil {
		return &list{above: wait("Looking at the nights")}
	}
	detail := prose{w: w}
	for _, f := range m.answer.History.Facts {
		if slices.Contains(rows[m.at(pageNight)].Entries, f.ID) {
			detail.say(plain, m.words(f.Entry))
		}
	}
	return &list{
		cols: []column{{"NIGHT ENDING", 16}, {"LOW", 19}, {"", w - 39}},
		row: func(i int) []span {
			r := &rows[i]
			shape, word, ro := m.nightWord(r)
			low := "-"
			if r.HasLow {
				low = fields.Temperature.Both(r.LowC)
			}
			return []span{keep(plain, r.Night.Words()), keep(plain, low), keep(ro, " "+shape+"  "+word)}
		},
		detail: detail,
	}
}
