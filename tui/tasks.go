package tui

import (
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// taskRow is one errand, or a round.
type taskRow struct {
	id    string // paddock or lot; "" of a round
	name  string
	what  string
	by    fields.Date
	text  string
	round bool
}

func (r *taskRow) key() string { return r.id + "\x00" + r.what }

// taskRows are the rounds that are due, the errands that follow from the
// record, the earliest first, then the rounds to come.
func (m *model) taskRows() []taskRow {
	if m.tasks != nil {
		return m.tasks
	}
	var coming []taskRow
	m.tasks = []taskRow{}
	for i := range m.answer.Rounds {
		r := &m.answer.Rounds[i]
		x := taskRow{what: "round " + r.Name, name: r.Name, by: r.Due, text: roundWords(r), round: true}
		if r.Due != fields.NoDate || r.Refused != "" {
			m.tasks = append(m.tasks, x)
		} else if x.by = r.Next; x.by != fields.NoDate {
			coming = append(coming, x)
		}
	}
	for _, e := range board.Errands(m.answer.Assessment, board.Filter{}) {
		m.tasks = append(m.tasks, taskRow{id: e.ID, name: e.Name, what: e.What, by: e.By, text: e.Text})
	}
	m.tasks = append(m.tasks, coming...)
	return m.tasks
}

func roundWords(r *board.RoundRow) string {
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
		t += ". Last done " + r.Last.Words()
	}
	return t + "."
}

func (m *model) tasksList(w, _ int) *list {
	rows := m.taskRows()
	if len(rows) == 0 {
		return &list{none: "Nothing to walk, measure, sample or read that would lift an answer."}
	}
	name := max(12, min(22, w/4))
	return &list{
		cols: []column{{"DUE", 16}, {"PADDOCK", name}, {"WHAT", max(1, w-20-name)}},
		row: func(i int) []span {
			r := &rows[i]
			due := say(plain, r.by.Words())
			switch {
			case r.by == fields.NoDate:
				due = keep(warning, "UNREADABLE")
			case r.by < m.answer.Today:
				due = keep(warning, "LATE "+r.by.Short())
			case r.by == m.answer.Today:
				due = keep(title, "TODAY")
			}
			return []span{due, say(plain, r.name), say(plain, r.text)}
		},
		foot:   counted(len(rows), "errand or round", "errands and rounds"),
		detail: taskDetail(&rows[m.at(pageTasks)], w),
	}
}

func taskDetail(r *taskRow, w int) prose {
	t := r.name
	if r.by != fields.NoDate {
		t += ", due " + r.by.Words()
	}
	t += ": " + r.text
	if r.round {
		t += " A round is a reminder: doing it, or not, changes no flag. Enter says that it was done."
	}
	p := prose{w: w}
	p.say(plain, t)
	return p
}

// openTask opens the reasoning behind an errand; of a round, the form that says
// it was done.
func (a *app) openTask(string) {
	m := a.m
	r := &m.taskRows()[m.at(pageTasks)]
	if !r.round {
		a.openWhy(r.id)
		return
	}
	f := newDraft(m, form.Of(fields.KindDone), nil)
	f.named("round").text = r.name
	m.begin(f)
}
