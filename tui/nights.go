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
	m := a.m
	if m.answer == nil {
		return
	}
	ans := m.answer
	to := ans.Today
	a.start(job{
		what: "looking at the nights",
		run: func() (func(), error) {
			out := map[string][]hazard.NightRow{}
			for _, p := range ans.History.Standing() {
				if a.ctx.Err() != nil {
					break
				}
				out[p.ID] = hazard.NightRows(ans.History, ans.Book, p.ID, to.Add(1-nightsKept), to)
			}
			return func() { a.m.nights = out }, nil
		},
		fail: func(err error) { a.m.wrong(sentence(err)) },
	})
}

// nightsBody is a row of nights for each paddock; those that nobody read are
// counted in words.
func (m *model) nightsBody(w, h int) []line {
	if m.nights == nil {
		return []line{row(keep(dim, " Looking at the nights ..."))}
	}
	name := max(12, min(24, w/4))
	n := min(nightsKept, (w-name-2-12)/3)
	to := m.answer.Today
	from := to.Add(1 - n)
	out := []line{row(keep(dim, " Nights, by the day on which they end, at plant height."))}
	head := dayHead(from, to, to, name+2)
	head[0].spans = append(head[0].spans, keep(heading, " "), keep(heading, "NOT READ"))
	out = append(out, head...)
	rows := m.paddocks()
	ids := m.ids()
	here := m.selected(pageNights, ids)
	at := max(0, slices.Index(ids, here))
	room := max(1, h-len(out)-6)
	if h < 16 {
		room = max(1, h-len(out)-3)
	}
	a, b := window(len(rows), at, room)
	for i := a; i < b; i++ {
		id := rows[i].ID
		mark := " "
		if id == here {
			mark = ">"
		}
		if m.picked[id] {
			mark += "*"
		} else {
			mark += " "
		}
		t := line{sel: id == here, spans: []span{keep(keycap, mark), col(plain, rows[i].Name, name)}}
		unread := 0
		for _, r := range m.nights[id] {
			if r.Night < from {
				continue
			}
			shape, _, ro := m.nightWord(&r)
			if r.Unread && shape != ":" {
				unread++
			}
			t.spans = append(t.spans, keep(ro, " "+shape+" "))
		}
		word, ro := "none", dim
		if unread > 0 {
			word, ro = strconv.Itoa(unread)+" of "+strconv.Itoa(n), warning
		}
		t.spans = append(t.spans, keep(plain, " "), keep(ro, word))
		out = append(out, t)
	}
	if b < len(rows) || a > 0 {
		out = append(out, row(keep(dim, " Shown: "+strconv.Itoa(a+1)+" to "+strconv.Itoa(b)+" of "+counted(len(rows), "paddock", "paddocks")+".")))
	} else {
		out = append(out, blank)
	}
	out = append(out, wrapped(dim, "* FROZE, % may have frozen, . no frost, ! NOT READ, ~ ONLY PART READ, : not in yet, - not watched or before the stand", " ", " ", w)...)
	return append(out, m.nightGaps(here, w)...)
}

// nightGaps names the selected paddock's nights that froze or were not read.
func (m *model) nightGaps(id string, w int) []line {
	by := map[string][]string{}
	for _, r := range m.nights[id] {
		if _, word, _ := m.nightWord(&r); r.Trigger || r.Unread || r.Possible {
			by[word] = append(by[word], r.Night.Short())
		}
	}
	var out []line
	for _, k := range []string{"FROZE", "NOT READ", "ONLY PART READ", "not in yet", "may have frozen"} {
		if len(by[k]) > 0 {
			r := plain
			if k == "NOT READ" || k == "ONLY PART READ" {
				r = warning
			}
			out = append(out, wrapped(r, k+": "+strings.Join(by[k], ", "), " ", "   ", w)...)
		}
	}
	if len(out) == 0 && id != "" {
		out = wrapped(plain, m.name(id)+": every night was read, none froze.", " ", " ", w)
	}
	return out
}

// nightText is the nights of one paddock, the latest first.
func (m *model) nightText(w int) []line {
	rows := m.nights[m.subject]
	if rows == nil {
		return []line{row(keep(dim, " Looking at the nights ..."))}
	}
	facts := map[string]*fields.Entry{}
	for _, f := range m.answer.History.Facts {
		facts[f.ID] = f.Entry
	}
	head := []span{keep(heading, " "), col(heading, "NIGHT ENDING", 17), col(heading, "LOW", 20), col(heading, "", 20)}
	if w >= 70 {
		head = append(head, col(heading, "WHO SAYS SO", w-58))
	}
	out := []line{row(head...)}
	for i := len(rows) - 1; i >= 0; i-- {
		r := &rows[i]
		shape, word, ro := m.nightWord(r)
		low := "-"
		if r.HasLow {
			low = fields.Temperature.Both(r.LowC)
		}
		t := []span{keep(plain, " "), col(plain, r.Night.Words(), 17), col(plain, low, 20), keep(ro, " "+shape+" "), keep(plain, " "), col(ro, word, 15), keep(plain, " ")}
		who := m.nightSources(facts, r.Entries)
		if left := w - 58; left >= 12 {
			out = append(out, row(append(t, col(dim, who, left))...))
			continue
		}
		out = append(out, row(t...))
		if who != "" {
			out = append(out, wrapped(dim, who, "     ", "     ", w)...)
		}
	}
	return out
}

// nightSources says who speaks of a night.
func (m *model) nightSources(facts map[string]*fields.Entry, ids []string) string {
	var out []string
	for _, id := range ids {
		e := facts[id]
		if e == nil {
			continue
		}
		switch b := e.Body.(type) {
		case *fields.Frost:
			out = append(out, "frost, "+e.By)
		case *fields.Walk:
			out = append(out, "damage walked, "+e.By)
		case *fields.Reading:
			s := "thermometer in the paddock"
			if b.Station != "" {
				s = b.Station
			}
			out = append(out, s)
		case *fields.NoFrost:
			out = append(out, "no frost ("+string(b.Basis)+"), "+e.By)
		}
	}
	return board.Clean(strings.Join(out, "; "))
}
