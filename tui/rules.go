package tui

func (a *app) needRules() {
	fetch(a, "reading the rulebook", a.farm.Rules, func(rs []Rule) { a.m.rules = rs })
}

// loud adds the nights to read first, what was relaxed and what else every list must say.
func (m *model) loud(p *prose) {
	p.say(warning, m.sheet.Unread)
	for _, x := range m.sheet.Loud {
		p.say(warning, x)
	}
}

func (m *model) rulesList(w, h int) *list {
	if len(m.rules) == 0 {
		return &list{above: wait("Reading the rulebook")}
	}
	head := prose{w: w}
	head.say(dim, "Rulebook "+m.list.Rulebook.String()+".")
	m.loud(&head)
	id, val := max(14, min(30, w*2/5)), max(8, min(16, w/6))
	return &list{
		ids:   idsOf(m.rules, func(r *Rule) string { return r.ID }),
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
		detail: func(p *prose, i int) { p.say(plain, m.rules[i].Title) },
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

func (a *app) needMoves() {
	fetch(a, "working out the moves", a.farm.Moves, func(words func(int) string) { a.m.moves = words })
}

func (m *model) movesText(p *prose) {
	if m.moves == nil {
		p.lines = wait("Working out the moves")
		return
	}
	p.told(m.moves(max(p.w-1, minWidth)), func(string, int) role { return plain })
}
