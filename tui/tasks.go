package tui

import (
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// task is an errand, or a round.
type task struct {
	board.Errand // without an id where it is a round
	key          string
}

// todo are the rounds that are due, the errands by day, then the rounds to come.
func (m *model) todo() []task {
	if m.tasks != nil {
		return m.tasks
	}
	var coming []task
	m.tasks = []task{}
	for i := range m.answer.Rounds {
		r := &m.answer.Rounds[i]
		x := task{key: "round " + r.Name}
		x.Name, x.By, x.Text = r.Name, r.Due, roundWords(r, m.answer.Today)
		if r.Due != fields.NoDate || r.Refused != "" {
			m.tasks = append(m.tasks, x)
		} else if x.By = r.Next; x.By != fields.NoDate {
			coming = append(coming, x)
		}
	}
	for _, e := range board.Errands(m.answer.Assessment, board.Filter{}) {
		m.tasks = append(m.tasks, task{e, e.ID + "\x00" + e.What})
	}
	m.tasks = append(m.tasks, coming...)
	return m.tasks
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
	name := max(12, min(22, w/4))
	return &list{
		ids:   idsOf(rows, func(r *task) string { return r.key }),
		about: idsOf(rows, func(r *task) string { return r.ID }),
		cols:  []column{{"DUE", 16}, {"PADDOCK", name}, {"WHAT", max(1, w-20-name)}},
		row: func(i int) []span {
			r := &rows[i]
			due := say(plain, r.By.Beside(m.answer.Today))
			switch {
			case r.By == fields.NoDate:
				due = keep(warning, "UNREADABLE")
			case r.By < m.answer.Today:
				due = keep(warning, "LATE "+r.By.Short())
			case r.By == m.answer.Today:
				due = keep(title, "TODAY")
			}
			return []span{due, say(plain, r.Name), say(plain, r.Text)}
		},
		foot: counted(len(rows), "errand or round", "errands and rounds"),
		detail: func(p *prose, i int) {
			r := &rows[i]
			words := r.Name
			if r.By != fields.NoDate {
				words += ", due " + r.By.Beside(m.answer.Today)
			}
			words += ": " + r.Text
			if r.ID == "" {
				words += " A round is a reminder: doing it, or not, changes no flag. Enter says that it was done."
			}
			p.say(plain, words)
		},
		none: "Nothing to walk, measure, sample or read that would lift an answer.",
	}
}

// openTask opens the reasoning behind an errand, or the form of a round done.
func (a *app) openTask() {
	if a.m.inHand() != "" {
		a.openWhy()
		return
	}
	f := newDraft(a.m, form.Of(fields.KindDone), nil)
	f.named("round").text = a.m.todo()[a.m.at(pageTasks)].Name
	a.m.begin(f)
}
