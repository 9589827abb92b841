package tui

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// whyTop stands over the reasoning and does not scroll: the answer for what the
// list asked, and the strip of days.
func (m *model) whyTop(p *prose) {
	if m.why == nil {
		return
	}
	rows := m.paddocks()
	if m.why.Lot {
		rows = m.lots()
	}
	if i := slices.IndexFunc(rows, func(r board.Row) bool { return r.ID == m.subject }); i >= 0 {
		r := &rows[i]
		words := " " + r.Use.String()
		switch r.Flag {
		case hazard.Hold:
			words += ", " + r.Through.Words()
		case hazard.Caution:
			words += ", ask first"
		}
		if r.Need != hazard.NeedNothing {
			words += ", needs " + r.Need.String()
		}
		// What may be cut off at the end of a row is the classes, never the day.
		p.row(keep(plain, " "), flagSpan(r.Flag), keep(plain, words+", for "+m.classNames()))
		if len(r.Differ) > 0 {
			p.add(plain, 1, 3, "Classes differ: "+strings.Join(r.Differ, "; ")+".")
		}
	}
	p.add(banner, 1, 1, m.why.Danger)
	if !m.why.Lot && m.h >= 16 {
		p.lines = append(p.lines, m.daysOf(m.subject, p.w)...)
	}
}

// ours leaves out the groups that hold none of the classes asked about.
func (m *model) ours(groups []board.Group) []board.Group {
	mine := m.classes()
	var out []board.Group
	for _, g := range groups {
		if slices.ContainsFunc(g.Classes, func(c hazard.Class) bool { return slices.Contains(mine, c) }) {
			out = append(out, g)
		}
	}
	return out
}

// whyRoles are how paragraphs of the reasoning look, by their first words.
var whyRoles = []struct {
	begins string
	role   role
}{
	{"Data:", dim}, {"Rules:", dim}, {"entry:", dim}, {"rule:", dim}, {"source", dim}, {"Not assessed:", dim},
	{"RELAXED", warning}, {"NOTICE", warning}, {"to lift it:", keycap}, {"SOURCES of", heading},
	{"GRAZE,", title}, {"GREEN-CHOP,", title}, {"SWATH-GRAZE,", title}, {"CUT-", title}, {"FEED,", title},
}

// whyText is the whole reasoning: what was asked first, then the other uses. Who
// must come out stands on the page already.
func (m *model) whyText(p *prose) {
	if m.why == nil {
		return
	}
	e := *m.why
	e.MoveOut, e.Uses = nil, nil
	for _, u := range m.why.Uses {
		if u.Groups = m.ours(u.Groups); u.Use == m.landUse() {
			e.Uses = slices.Insert(e.Uses, 0, u)
		} else {
			e.Uses = append(e.Uses, u)
		}
	}
	var text strings.Builder
	_ = e.Text(&text, p.w-1) // a string takes every byte
	hour := e.KnownAt[strings.LastIndex(e.KnownAt, " ")+1:]
	head, body, ok := strings.Cut(text.String(), hour+".\n") // name and day stand on top
	if !ok {
		body = head
	}
	r, at := plain, 0
	p.told(body, func(s string, indent int) role {
		if indent <= at || s == "" { // else it goes on
			r, at = plain, indent
			for _, x := range whyRoles {
				if strings.HasPrefix(s, x.begins) {
					r = x.role
				}
			}
		}
		return r
	})
}

// tail are the last letters of an entry's id: enough to name it.
func tail(id string) string {
	if len(id) > 8 {
		return "..." + id[len(id)-8:]
	}
	return id
}

// pastList is the history of the subject, the latest entry first.
func (m *model) pastList(w, _ int) *list {
	switch {
	case len(m.past) == 0 && m.busy != "":
		return &list{above: wait("Reading the history")}
	case len(m.past) == 0:
		return &list{none: "No entry is written down about it."}
	}
	detail := prose{w: w}
	now := &m.past[m.at(pagePast)]
	detail.say(plain, now.Words)
	detail.say(dim, "id "+now.ID)
	if now.Struck != "" {
		detail.say(warning, "STRUCK "+now.Struck)
	}
	return &list{
		cols: []column{{"DAY", 15}, {"ENTRY", max(1, w-30)}, {"ID", 11}},
		row: func(i int) []span {
			p := &m.past[i]
			words := say(plain, p.Words)
			if p.Struck != "" {
				words = say(dim, "STRUCK "+p.Words)
			}
			return []span{keep(plain, p.Date.Words()), words, say(dim, tail(p.ID))}
		},
		foot:   counted(len(m.past), "entry", "entries") + ", the latest first",
		detail: detail,
	}
}

func (a *app) needPast() {
	id := a.m.subject
	fetch(a, "reading the history", func() ([]board.Past, error) { return a.farm.Past(id) }, func(p []board.Past) {
		if a.m.subject == id {
			slices.Reverse(p)
			a.m.past = p
		}
	})
}

// strike opens the form that strikes the selected entry.
func (a *app) strike() {
	m := a.m
	if len(m.past) == 0 {
		return
	}
	switch p := &m.past[m.at(pagePast)]; {
	case p.Kind() == fields.KindStrike:
		m.wrong("A strike cannot be struck: log the struck fact anew instead.")
	case p.Struck != "":
		m.wrong("It is struck already.")
	default:
		f := newDraft(m, form.Of(fields.KindStrike), nil)
		f.entry, f.about = p.ID, "Strikes: "+p.Words
		m.begin(f)
	}
}
