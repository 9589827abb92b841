package tui

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// whyTop stands over the reasoning and does not scroll: the answer for what the
// list asked, and the strip of days.
func (m *model) whyTop(p *prose) {
	if m.why == nil {
		return
	}
	for i := range m.why.Uses {
		if u := &m.why.Uses[i]; u.Use == m.landUse() || m.why.Lot {
			if groups := m.ours(u.Groups); len(groups) > 0 {
				p.row(keep(plain, " "), flagSpan(groups[0].Flag), keep(plain, " "), say(plain, u.Use.String()+m.groupTail(&groups[0])))
			}
		}
	}
	p.add(banner, 1, 1, m.why.Danger)
	if !m.why.Lot && m.h >= 16 {
		p.lines = append(p.lines, m.stripOf(m.subject, p.w)...)
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

// groupTail is what stands behind a flag: what may be cut off at the end of a row
// is the classes, never the day.
func (m *model) groupTail(g *board.Group) string {
	var cs []string
	for _, c := range g.Classes {
		if m.filter.Class == nil || *m.filter.Class == c {
			cs = append(cs, c.String())
		}
	}
	t := ""
	switch {
	case g.Flag == hazard.Hold:
		t = ", " + g.Through
	case g.Flag == hazard.Caution:
		t = ", ask first"
	}
	if g.Need != hazard.NeedNothing {
		t += ", needs " + needWord(g.Need)
	}
	return t + ", for " + strings.Join(cs, ", ")
}

// whyText is the whole reasoning: what was asked first, then the other uses.
func (m *model) whyText(p *prose) {
	e := m.why
	if e == nil {
		return
	}
	if e.Species != "" {
		p.say(plain, map[bool]string{true: "Holds: ", false: "Grows: "}[e.Lot]+e.Species+".")
	}
	if len(e.Stand) > 0 {
		p.say(plain, upper(strings.Join(e.Stand, "; "))+".")
	}
	if len(e.Inside) > 0 {
		p.say(plain, "Inside: "+strings.Join(e.Inside, ", ")+".")
	}
	p.say(dim, "Data: "+e.Stamps+".")
	for _, x := range append(append([]string{}, e.Relaxed...), e.Notices...) {
		p.say(warning, x)
	}
	t := &teller{prose: p, told: map[string]int{}}
	for _, first := range []bool{true, false} {
		for _, u := range e.Uses {
			if first == (u.Use == m.use() || e.Lot) {
				for i, g := range m.ours(u.Groups) {
					t.group(strings.ToUpper(u.Use.String())+m.groupTail(&g), &g, first && i == 0)
				}
			}
		}
	}
	if len(e.Tasks) > 0 {
		p.part("TO DO")
		for _, x := range e.Tasks {
			p.say(plain, "by "+x.By.Words()+": "+x.Text)
		}
	}
	if len(t.cited) > 0 {
		p.part("SOURCES")
		for _, r := range t.cited {
			p.say(keycap, r.Rule)
			for _, x := range r.Sources {
				p.add(dim, 3, 5, x)
			}
		}
	}
	p.row()
	p.say(plain, onHold+" "+e.Emergency)
	p.say(plain, "Ring: "+strings.Join(e.Ring, "; "))
	p.say(dim, "Not assessed: "+strings.Join(e.NotAssessed, ", ")+".")
	p.say(dim, e.Defers)
}

// teller writes the groups of an explanation; a reason told once is only named
// after that.
type teller struct {
	*prose
	told  map[string]int
	cited []*board.ReasonWords // one for each rule with sources
}

func (t *teller) group(head string, g *board.Group, open bool) {
	t.row()
	from := len(t.lines)
	t.add(title, flagCells+1, flagCells+1, head)
	t.lines[from].spans = []span{keep(plain, " "), flagSpan(g.Flag), keep(title, t.lines[from].spans[0].text[flagCells+1:])}
	for _, x := range []string{g.Share, g.FeedFrom} {
		if x != "" {
			t.add(plain, 3, 3, upper(x)+".")
		}
	}
	for i := range g.Hazards {
		t.hazard(&g.Hazards[i], open)
	}
	if len(g.Conditions) > 0 {
		t.add(plain, 3, 5, "Only so: "+strings.Join(g.Conditions, "; ")+".")
	}
}

func (t *teller) hazard(h *board.HazardWords, open bool) {
	head, ro := " "+board.HazardWord(h.Hazard)+": "+h.Word, plain
	told := h.Reasons
	switch {
	case h.Flag == hazard.Hold:
		head += ", " + h.Through
	case h.Flag == hazard.Clear && !open:
		ro, told = dim, nil
	}
	t.row(keep(dim, "   "), keep(flagRole[h.Flag], board.Mark(h.Flag)), keep(ro, head))
	for i := range told {
		t.reason(&told[i])
	}
}

func (t *teller) reason(r *board.ReasonWords) {
	key := r.Rule + "\x00" + r.Text
	n, before := t.told[key]
	if !before {
		n = len(t.told) + 1
		t.told[key] = n
	}
	first := "     " + strconv.Itoa(n) + ". "
	rest := len(first)
	text := r.Text
	if before {
		text += " (told above)"
	}
	t.add(plain, 5, rest, first[5:]+text)
	if before {
		return
	}
	t.labelled(rest, "To lift it:", rest+12, r.Lifts)
	for _, e := range r.Entries {
		t.add(dim, rest, rest+2, "entry: "+e.Words+" ["+tail(e.ID)+"]")
	}
	src := "no published source"
	if len(r.Sources) > 0 {
		src = counted(len(r.Sources), "source", "sources") + " below"
		if !slices.ContainsFunc(t.cited, func(c *board.ReasonWords) bool { return c.Rule == r.Rule }) {
			t.cited = append(t.cited, r)
		}
	}
	t.add(dim, rest, rest+2, "rule: "+r.Rule+", "+src)
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
		foot: func(int, int) line {
			return row(keep(dim, " "+counted(len(m.past), "entry", "entries")+", the latest first"))
		},
		detail: detail,
	}
}

func (a *app) needPast() {
	id := a.m.subject
	fetch(a, "reading the history", func() ([]Past, error) { return a.farm.Past(id) }, func(p []Past) {
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
	case p.Strike:
		m.wrong("A strike cannot be struck: log the struck fact anew instead.")
	case p.Struck != "":
		m.wrong("It is struck already.")
	default:
		f := newForm(m, kindOf(fields.KindStrike), nil)
		f.fixed = map[string]string{"entry": p.ID}
		f.about = "Strikes: " + p.Words
		m.begin(f)
	}
}
