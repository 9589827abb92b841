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
	rows, page, answer := m.paddocks(), m.sheet, m.sheet.Rows
	if m.why.Lot {
		rows, page, answer = m.fed().lots, m.fed().Page, m.fed().Feed
	}
	if r := byID(rows, m.subject); r != nil {
		words := r.Use.String() + heldWords(r, m.answer.Today)
		p.row(keep(plain, " "), flagSpan(r.Flag), say(plain, words))
		last := &p.lines[len(p.lines)-1]
		if whom := ", for " + m.whom(); last.width()+board.Width(whom) <= p.w {
			last.spans = append(last.spans, say(plain, whom))
		} else {
			p.say(plain, "For "+m.whom()+".")
		}
	}
	if i := slices.IndexFunc(answer, func(r board.PageRow) bool { return r.ID == m.subject }); i >= 0 {
		if words := rowAnswers(page, &answer[i]); strings.Contains(words, ";") { // the herds differ
			p.say(title, words+".")
		}
	}
	p.add(banner, 1, 1, m.why.Danger)
	if !m.why.Lot && m.h >= 16 {
		p.lines = append(p.lines, m.daysOf(m.subject, p.w)...)
	}
}

// whyRoles are how paragraphs of the reasoning look, by their first words.
var whyRoles = []struct {
	begins string
	role   role
}{
	{"Data:", dim},
	{"Rules:", dim},
	{"entry:", dim},
	{"rule:", dim},
	{"source", dim},
	{"Not assessed:", dim},
	{"RELAXED", warning},
	{"NOTICE", warning},
	{"to lift it:", keycap},
	{"SOURCES of", heading},
	{"GRAZE,", title},
	{"GREEN-CHOP,", title},
	{"SWATH-GRAZE,", title},
	{"CUT-", title},
	{"FEED,", title},
}

// whyText is the whole reasoning for the classes asked about: what was asked
// first, then the other uses. Who must come out stands on the page already.
func (m *model) whyText(p *prose) {
	if m.why == nil {
		return
	}
	e, mine := *m.why, m.list.Classes
	e.MoveOut, e.Uses = nil, nil
	for _, u := range m.why.Uses {
		u.Groups = slices.DeleteFunc(slices.Clone(u.Groups), func(g board.Group) bool {
			return !slices.ContainsFunc(g.Classes, func(c hazard.Class) bool { return slices.Contains(mine, c) })
		})
		at := len(e.Uses)
		if u.Use == m.landUse() {
			at = 0
		}
		e.Uses = slices.Insert(e.Uses, at, u)
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

// pastList is the history of the subject, the latest entry first.
func (m *model) pastList(w, _ int) *list {
	if len(m.past) == 0 && m.busy != "" {
		return &list{above: wait("Reading the history")}
	}
	return &list{
		ids:  idsOf(m.past, func(p *board.Past) string { return p.ID }),
		cols: []column{{"DAY", 15}, {"ENTRY", max(1, w-30)}, {"ID", 11}},
		row: func(i int) []span {
			x := &m.past[i]
			words, id := say(plain, x.Words), x.ID
			if x.Struck != "" {
				words = say(dim, "STRUCK "+x.Words)
			}
			if len(id) > 8 { // its last letters are enough to name it
				id = "..." + id[len(id)-8:]
			}
			return []span{keep(plain, x.Date.Words()), words, say(dim, id)}
		},
		foot: counted(len(m.past), "entry", "entries") + ", the latest first",
		detail: func(p *prose, i int) {
			x := &m.past[i]
			p.say(plain, x.Words)
			p.say(dim, "id "+x.ID)
			if x.Struck != "" {
				p.say(warning, "STRUCK "+x.Struck)
			}
		},
		none: "Nothing logged about it.",
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

func (a *app) strike() {
	m := a.m
	if len(m.past) == 0 {
		return
	}
	switch p := &m.past[m.at(pagePast)]; {
	case p.Kind() == fields.KindStrike:
		m.wrong("A strike cannot be struck: log the struck fact again instead.")
	case p.Struck != "":
		m.wrong("It is struck already.")
	default:
		f := newDraft(m, form.Of(fields.KindStrike), nil)
		f.entry, f.about = p.ID, "Strikes: "+p.Words
		m.begin(f)
	}
}
