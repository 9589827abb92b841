package tui

import (
	"cmp"
	"slices"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// urgency is how soon a task must be done, the most urgent first.
type urgency uint8

const (
	callVet urgency = iota
	moveNow
	actToday
	dueSoon
	later
)

var urgencies = [...]string{
	callVet: "CALL THE VET", moveNow: "MOVE", actToday: "ACT TODAY", dueSoon: "DUE THIS WEEK", later: "LATER",
}

// task is what must be done at once, an errand, or a round.
type task struct {
	board.Errand // without an id where it is a round
	urgency
	key  string
	herd string // that moves
}

// todo is what is to do, the most urgent first and the earliest of those.
func (m *model) todo() []task {
	if m.tasks != nil {
		return m.tasks
	}
	m.tasks = []task{}
	today := m.answer.Today
	for _, x := range m.sheet.Acts {
		t := task{urgency: moveNow, key: "move " + x.ID + "\x00" + x.Herd, herd: x.Herd}
		t.ID, t.Name, t.By, t.Text = x.ID, m.name(x.ID), today, x.Word+": "+x.What+" > "+x.To
		if m.answer.History.Paddock(x.ID) != nil {
			t.Form = fields.KindGrazed
		}
		m.tasks = append(m.tasks, t)
	}
	for _, e := range board.Errands(m.answer.Assessment, board.Filter{}) {
		t := task{Errand: e, key: e.ID + "\x00" + e.What, urgency: soon(e.By.Sub(today))}
		if e.What == "vet" {
			t.urgency = callVet
		}
		m.tasks = append(m.tasks, t)
	}
	for i := range m.answer.Rounds {
		r := &m.answer.Rounds[i]
		t := task{key: "round " + r.Name}
		t.Name, t.By, t.Text, t.Form = r.Name, cmp.Or(r.Due, r.Next), roundWords(r, today), fields.KindDone
		if t.urgency = soon(t.By.Sub(today)); t.By == fields.NoDate {
			t.urgency = actToday // its rule cannot be read
		}
		if t.By != fields.NoDate || r.Refused != "" {
			m.tasks = append(m.tasks, t)
		}
	}
	slices.SortStableFunc(m.tasks, func(a, b task) int {
		return cmp.Or(cmp.Compare(a.urgency, b.urgency), cmp.Compare(a.By, b.By))
	})
	return m.tasks
}

func soon(days int) urgency {
	switch {
	case days <= 0:
		return actToday
	case days <= 7:
		return dueSoon
	}
	return later
}

func roundWords(r *board.RoundRow, on fields.Date) string {
	t := "Round: " + r.Name
	if r.What != "" {
		t += ", " + r.What
	}
	if r.Where != "" {
		t += " (" + r.Where + ")"
	}
	switch {
	case r.Refused != "":
		return t + ". This round's rule cannot be read: " + r.Refused
	case len(r.Missed) > 0:
		t += ". Missed " + counted(len(r.Missed), "time", "times")
	}
	if r.Last != fields.NoDate {
		t += ". Last done " + r.Last.Beside(on)
	}
	return t + "."
}

func (m *model) tasksList(w, _ int) *list {
	rows := m.todo()
	parts := map[int]string{}
	for i := range rows {
		if i == 0 || rows[i].urgency != rows[i-1].urgency {
			parts[i] = urgencies[rows[i].urgency]
		}
	}
	name := widest(idsOf(rows, func(r *task) string { return r.Name }), 8, min(22, w/4))
	return &list{
		ids:   idsOf(rows, func(r *task) string { return r.key }),
		about: idsOf(rows, func(r *task) string { return r.ID }),
		cols:  []column{{"DUE", 10}, {"WHERE", name}, {"WHAT", max(1, w-15-name)}},
		parts: parts,
		row: func(i int) []span {
			r := &rows[i]
			due := say(plain, r.By.Short())
			switch {
			case r.urgency == moveNow:
				due = keep(banner, "NOW")
			case r.By == fields.NoDate:
				due = keep(warning, "UNREADABLE")
			case r.By < m.answer.Today:
				due = keep(warning, "LATE")
			case r.By == m.answer.Today:
				due = keep(title, "TODAY")
			}
			return []span{due, say(plain, r.Name), say(plain, r.Text)}
		},
		foot:   counted(len(rows), "thing", "things") + " to do",
		detail: func(p *prose, i int) { m.taskDetail(p, &rows[i]) },
		none:   "Nothing to walk, measure, sample or read that would lift an answer.",
	}
}

func (m *model) taskDetail(p *prose, r *task) {
	words := r.Name
	if r.By != fields.NoDate && r.By != m.answer.Today {
		words += ", due " + r.By.Beside(m.answer.Today)
	}
	p.say(plain, words+": "+r.Text)
	switch {
	case r.ID == "":
		p.say(dim, "A round is a reminder: doing it, or not, changes no flag. Enter says that it was done.")
	case r.Form == "":
		p.say(dim, "Enter shows why.")
	default:
		p.say(dim, "Enter opens the form: "+form.Of(r.Form).Title+".")
	}
}

// openTask opens the form that does it, or the reasoning where none does.
func (a *app) openTask() {
	m := a.m
	t := m.todo()[m.at(pageTasks)]
	if t.Form == "" {
		a.openWhy()
		return
	}
	f := m.formFor(t.Form, m.one())
	for name, text := range map[string]string{"round": t.Name, "herd": t.herd} {
		if x := f.named(name); x != nil && slices.Contains(x.choices, text) {
			x.text = text
		}
	}
	if t.Form == fields.KindReading {
		f.readAt(m, t.ID, t.Nights)
	}
	if t.urgency == moveNow {
		f.named("state").text = "out"
	}
	m.begin(f)
}
