package tui

func (a *app) needRules() {
	fetch(a, "reading the rulebook", a.farm.Rules, func(rs []Rule) { a.m.rules = rs })
}

func (m *model) rulesList(w, h int) *list {
	if len(m.rules) == 0 {
		return &list{above: wait("Reading the rulebook")}
	}
	head, detail := prose{w: w}, prose{w: w}
	head.say(dim, "Rulebook "+m.list.Rulebook.String()+".")
	for _, x := range append(append([]string{}, m.list.Relaxed...), m.list.Notices...) {
		head.say(warning, x)
	}
	detail.say(plain, m.rules[m.at(pageRules)].Title)
	id, val := max(14, min(30, w*2/5)), max(8, min(16, w/6))
	return &list{
		above: head.cut(h/2, row(keep(warning, " ... more RELAXED and NOTICE lines on each rule and paddock"))),
		cols:  []column{{"RULE", id}, {"VALUE", val}, {"WHAT", max(1, w-4-id-val)}},
		row: func(i int) []span {
			r := &m.rules[i]
			value := say(plain, r.Value)
			if r.Relaxed != "" {
				value = keep(warning, "RELAXED")
			}
			return []span{say(plain, r.ID), value, say(dim, r.Title)}
		},
		foot:   counted(len(m.rules), "rule", "rules") + "; Enter shows the sources",
		detail: detail,
	}
}

func (m *model) ruleText(p *prose) {
	if len(m.rules) == 0 {
		return
	}
	r := &m.rules[m.at(pageRules)]
	p.row(keep(plain, " "), say(title, r.ID), keep(plain, "  "), say(plain, r.Value))
	p.add(plain, 1, 1, r.Title)
	p.say(warning, r.Relaxed)
	for _, x := range r.More {
		p.say(plain, x)
	}
}
