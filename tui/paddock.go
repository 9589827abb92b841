package tui

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// whyHead stands over the reasoning and does not scroll: the answer for what
// the list asked, and the strip of days.
func (m *model) whyHead(w int) []line {
	var out []line
	if m.why == nil {
		return out
	}
	if u := m.asked(); u != nil {
		g := &u.Groups[0]
		t := []span{keep(plain, " "), flagSpan(g.Flag), keep(plain, " "), say(plain, u.Use.String()+groupTail(g))}
		out = append(out, row(t...))
	}
	if m.why.Danger != "" {
		out = append(out, wrapped(banner, m.why.Danger, " ", " ", w)...)
	}
	if !m.why.Lot && m.h >= 16 {
		out = append(out, m.stripOf(m.subject, w)...)
	}
	return out
}

// asked is the answer for the use of the list, for the worst of the classes.
func (m *model) asked() *board.UseAnswer {
	use := m.use()
	if m.why.Lot {
		use = hazard.Feed
	} else if use == hazard.Feed {
		use = hazard.Graze
	}
	f := board.Filter{Use: &use, Class: m.filter.Class}
	e, err := board.Why(m.answer.Assessment, m.subject, f)
	if err != nil || len(e.Uses) == 0 {
		return nil
	}
	e.Uses[0].Groups = m.ours(e.Uses[0].Groups)
	if len(e.Uses[0].Groups) == 0 {
		return nil
	}
	return &e.Uses[0]
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

func groupTail(g *board.Group) string {
	cs := make([]string, len(g.Classes))
	for i, c := range g.Classes {
		cs[i] = c.String()
	}
	t := "" // what may be cut off at the end of a row is the classes, never the day
	switch {
	case g.Flag == hazard.Hold:
		t = ", " + g.Through.Words()
	case g.Flag == hazard.Caution:
		t = ", ask first"
	}
	if g.Need != hazard.NeedNothing {
		t += ", needs " + needWord(g.Need)
	}
	return t + ", for " + strings.Join(cs, ", ")
}

// whyText is the whole reasoning: what was asked first, then the other uses.
func (m *model) whyText(w int) []line {
	e := m.why
	if e == nil {
		return nil
	}
	var out []line
	add := func(r role, s string) { out = append(out, wrapped(r, s, " ", "   ", w)...) }
	if e.Species != "" {
		add(plain, map[bool]string{true: "Holds: ", false: "Grows: "}[e.Lot]+e.Species+".")
	}
	if len(e.Stand) > 0 {
		add(plain, upper(strings.Join(e.Stand, "; "))+".")
	}
	if len(e.Inside) > 0 {
		add(plain, "Inside: "+strings.Join(e.Inside, ", ")+".")
	}
	add(dim, "Data: "+e.Stamps+".")
	for _, x := range append(append([]string{}, e.Relaxed...), e.Notices...) {
		add(warning, x)
	}
	t := &teller{w: w, why: e, told: map[string]int{}}
	use := m.use()
	for _, first := range []bool{true, false} {
		for _, u := range e.Uses {
			if first == (u.Use == use || e.Lot) {
				u.Groups = m.ours(u.Groups)
				t.use(&u, first)
			}
		}
	}
	out = append(out, t.out...)
	if len(e.Tasks) > 0 {
		out = append(out, blank, row(keep(plain, " "), keep(heading, "TO DO")))
		for _, x := range e.Tasks {
			add(plain, "by "+x.By.Words()+": "+x.Text)
		}
	}
	if len(t.sources) > 0 {
		out = append(out, blank, row(keep(plain, " "), keep(heading, "SOURCES")))
		for _, s := range t.sources {
			add(keycap, s.rule)
			for _, x := range s.lines {
				out = append(out, wrapped(dim, x, "   ", "     ", w)...)
			}
		}
	}
	out = append(out, blank)
	add(plain, onHold+" "+board.Emergency)
	add(plain, "Call: "+strings.Join(e.Call, "; "))
	add(dim, "Not assessed: "+strings.Join(e.NotAssessed, ", ")+".")
	add(dim, board.Defers)
	return out
}

// teller writes the groups of an explanation; a reason told once is only named
// after that.
type teller struct {
	w       int
	why     *board.Explanation
	out     []line
	told    map[string]int
	sources []cited
}

type cited struct {
	rule  string
	lines []string
}

// headPad is as wide as a flag with the blank before it.
var headPad = strings.Repeat(" ", flagCells+1)

func (t *teller) use(u *board.UseAnswer, first bool) {
	for i := range u.Groups {
		g := &u.Groups[i]
		t.out = append(t.out, blank)
		head := wrapped(title, strings.ToUpper(u.Use.String())+groupTail(g), headPad, headPad, t.w)
		head[0] = row(append([]span{keep(plain, " "), flagSpan(g.Flag)}, keep(title, strings.TrimPrefix(head[0].spans[0].text, headPad)))...)
		t.out = append(t.out, head...)
		for _, x := range []string{g.Share, g.FeedFrom} {
			if x != "" {
				t.out = append(t.out, wrapped(plain, upper(x)+".", "   ", "   ", t.w)...)
			}
		}
		for j := range g.Hazards {
			t.hazard(&g.Hazards[j], first && i == 0)
		}
		if len(g.Conditions) > 0 {
			t.out = append(t.out, wrapped(plain, "Only so: "+strings.Join(g.Conditions, "; ")+".", "   ", "     ", t.w)...)
		}
	}
}

func (t *teller) hazard(h *board.HazardWords, open bool) {
	name := board.HazardWord(h.Hazard)
	if h.Flag == hazard.Clear && !open {
		t.out = append(t.out, row(keep(dim, "   "), keep(flagRole[h.Flag], board.Mark(h.Flag)), keep(dim, " "+name+": "+board.FlagWord(h.Flag))))
		return
	}
	head := " " + name + ": " + board.FlagWord(h.Flag)
	if h.Flag == hazard.Hold {
		head += ", " + h.Through.Words()
	}
	t.out = append(t.out, row(keep(dim, "   "), keep(flagRole[h.Flag], board.Mark(h.Flag)), keep(plain, head)))
	for i := range h.Reasons {
		t.reason(&h.Reasons[i])
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
	rest := strings.Repeat(" ", len(first))
	if before {
		t.out = append(t.out, wrapped(plain, r.Text+" (told above)", first, rest, t.w)...)
		return
	}
	t.out = append(t.out, wrapped(plain, r.Text, first, rest, t.w)...)
	if r.Lifts != "" {
		t.out = append(t.out, labelled(len(rest), "To lift it:", keycap, r.Lifts, plain, len(rest)+12, t.w)...)
	}
	for _, id := range r.Entries {
		t.out = append(t.out, wrapped(dim, "entry: "+t.why.Entry(id)+" ["+tail(id)+"]", rest, rest+"  ", t.w)...)
	}
	src := "no published source"
	if len(r.Sources) > 0 {
		src = counted(len(r.Sources), "source", "sources") + " below"
		if !slices.ContainsFunc(t.sources, func(c cited) bool { return c.rule == r.Rule }) {
			t.sources = append(t.sources, cited{r.Rule, r.Sources})
		}
	}
	t.out = append(t.out, wrapped(dim, "rule: "+r.Rule+", "+src, rest, rest+"  ", t.w)...)
}

// tail are the last letters of an entry's id: enough to name it.
func tail(id string) string {
	if len(id) > 8 {
		return "..." + id[len(id)-8:]
	}
	return id
}

// pastBody is the history of the subject, the latest entry first.
func (m *model) pastBody(w, h int) []line {
	ids := m.ids()
	if len(ids) == 0 {
		if m.busy != "" {
			return []line{row(keep(dim, " Reading the history ..."))}
		}
		return []line{row(keep(plain, " No entry is written down about it."))}
	}
	here := m.selected(pagePast, ids)
	at := slices.Index(ids, here)
	byID := map[string]*Past{}
	for i := range m.past {
		byID[m.past[i].ID] = &m.past[i]
	}
	detail := m.pastDetail(byID[here], w)
	detail = detail[:min(len(detail), max(h/2, 1))]
	n := max(1, h-len(detail)-2)
	out := []line{row(keep(heading, " "), col(heading, "DAY", 16), col(heading, "ENTRY", max(1, w-29)), keep(heading, " "), col(heading, "ID", 11))}
	from, to := window(len(ids), at, n)
	for i := from; i < to; i++ {
		p := byID[ids[i]]
		mark := " "
		if ids[i] == here {
			mark = ">"
		}
		words, ro := p.Words, plain
		if p.Struck != "" {
			words, ro = "STRUCK "+words, dim
		}
		out = append(out, line{sel: ids[i] == here, spans: []span{keep(keycap, mark), col(plain, p.Date.Words(), 16), col(ro, words, max(1, w-29)), keep(plain, " "), col(dim, tail(p.ID), 11)}})
	}
	out = append(out, row(keep(dim, " "+counted(len(ids), "entry", "entries")+", the latest first")))
	return append(out, detail...)
}

func (m *model) pastDetail(p *Past, w int) []line {
	if p == nil {
		return nil
	}
	out := wrapped(plain, p.Words, " ", "   ", w)
	out = append(out, wrapped(dim, "id "+p.ID, " ", "   ", w)...)
	if p.Struck != "" {
		out = append(out, wrapped(warning, "STRUCK "+p.Struck, " ", "   ", w)...)
	}
	return out
}

func (a *app) needPast() {
	id := a.m.subject
	a.start(job{
		what: "reading the history",
		run: func() (func(), error) {
			p, err := a.farm.Past(id)
			if err != nil {
				return nil, err
			}
			return func() {
				if a.m.subject == id {
					a.m.past = p
				}
			}, nil
		},
		fail: func(err error) { a.m.wrong(sentence(err)) },
	})
}

// strike opens the form that strikes the selected entry.
func (a *app) strike() {
	m := a.m
	id := m.here()
	for i := range m.past {
		p := &m.past[i]
		if p.ID != id {
			continue
		}
		switch {
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
}
