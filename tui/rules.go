package tui

import (
	"slices"
)

func (a *app) needRules() {
	a.start(job{
		what: "reading the rulebook",
		run: func() (func(), error) {
			rs, err := a.farm.Rules()
			return func() { a.m.rules = rs }, err
		},
		fail: func(err error) { a.m.wrong(sentence(err)) },
	})
}

func (m *model) rulesBody(w, h int) []line {
	if len(m.rules) == 0 {
		return []line{row(keep(dim, " Reading the rulebook ..."))}
	}
	out := wrapped(dim, "Rulebook "+m.list.Rulebook.String()+".", " ", "   ", w)
	for _, x := range m.list.Relaxed {
		out = append(out, wrapped(warning, x, " ", "   ", w)...)
	}
	for _, x := range m.list.Notices {
		out = append(out, wrapped(warning, x, " ", "   ", w)...)
	}
	if most := max(1, h/2); len(out) > most {
		out = append(out[:most-1], row(keep(warning, " ... more RELAXED and NOTICE lines on each rule and paddock")))
	}
	ids := m.ids()
	here := m.selected(pageRules, ids)
	at := slices.Index(ids, here)
	id := max(14, min(30, w*2/5))
	val := max(8, min(16, w/6))
	out = append(out, row(keep(heading, "  "), col(heading, "RULE", id), keep(heading, " "), col(heading, "VALUE", val), keep(heading, " "), col(heading, "WHAT", max(1, w-4-id-val))))
	detail := wrapped(plain, m.rules[at].Title, " ", "   ", w)
	from, to := window(len(m.rules), at, max(1, h-len(out)-len(detail)-1))
	for i := from; i < to; i++ {
		r := &m.rules[i]
		mark := "  "
		if r.ID == here {
			mark = "> "
		}
		value, ro := r.Value, plain
		if r.Relaxed != "" {
			value, ro = "RELAXED", warning
		}
		out = append(out, line{sel: r.ID == here, spans: []span{keep(keycap, mark), col(plain, r.ID, id), keep(plain, " "), col(ro, value, val), keep(plain, " "), col(dim, r.Title, max(1, w-4-id-val))}})
	}
	out = append(out, row(keep(dim, " "+counted(len(m.rules), "rule", "rules")+"; Enter shows the sources")))
	return append(out, detail...)
}

func (m *model) ruleText(w int) []line {
	ids := make([]string, len(m.rules))
	for i := range m.rules {
		ids[i] = m.rules[i].ID
	}
	here := m.selected(pageRules, ids)
	for i := range m.rules {
		r := &m.rules[i]
		if r.ID != here {
			continue
		}
		out := []line{row(keep(plain, " "), say(title, r.ID), keep(plain, "  "), say(plain, r.Value))}
		out = append(out, wrapped(plain, r.Title, " ", " ", w)...)
		if r.Relaxed != "" {
			out = append(out, wrapped(warning, r.Relaxed, " ", "   ", w)...)
		}
		for _, x := range r.More {
			out = append(out, wrapped(plain, x, " ", "   ", w)...)
		}
		return out
	}
	return nil
}
