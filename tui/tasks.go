package tui

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// taskRow is one errand, or a round.
type taskRow struct {
	id    string
	name  string
	what  string
	by    fields.Date
	text  string
	round *board.RoundRow
}

func (r *taskRow) key() string { return r.id + "\x00" + r.what }

// taskRows are the rounds that are due, the errands that follow from the
// record, the earliest first, then the rounds to come.
func (m *model) taskRows() []taskRow {
	if m.tasks != nil || m.answer == nil {
		return m.tasks
	}
	var due, coming []taskRow
	for i := range m.answer.Rounds {
		r := &m.answer.Rounds[i]
		x := taskRow{what: "round " + r.Name, name: r.Name, by: r.Due, text: roundWords(r), round: r}
		if r.Due != fields.NoDate || r.Refused != "" {
			due = append(due, x)
			continue
		}
		if x.by = r.Next; x.by != fields.NoDate {
			coming = append(coming, x)
		}
	}
	out := append([]taskRow{}, due...)
	for _, e := range board.Errands(m.answer.Assessment, board.Filter{}) {
		out = append(out, taskRow{id: e.ID, name: e.Name, what: e.What, by: e.By, text: e.Text})
	}
	m.tasks = append(out, coming...)
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

func (m *model) tasksBody(w, h int) []line {
	rows := m.taskRows()
	if len(rows) == 0 {
		return wrapped(plain, "Nothing to walk, measure, sample or read that would lift an answer.", " ", " ", w)
	}
	ids := m.ids()
	here := m.selected(pageTasks, ids)
	at := slices.Index(ids, here)
	name := max(12, min(22, w/4))
	out := []line{row(keep(heading, "  "), col(heading, "DUE", 17), col(heading, "PADDOCK", name), keep(heading, " "), col(heading, "WHAT", max(1, w-20-name)))}
	detail := m.taskDetail(&rows[at], w)
	detail = detail[:min(len(detail), max(h/2, 1))]
	from, to := window(len(rows), at, max(1, h-len(detail)-2))
	for i := from; i < to; i++ {
		r := &rows[i]
		mark := "  "
		if r.key() == here {
			mark = "> "
		}
		due, ro := r.by.Words(), plain
		switch {
		case r.by == fields.NoDate:
			due, ro = "UNREADABLE", warning
		case r.by < m.answer.Today:
			due, ro = "LATE "+r.by.Short(), warning
		case r.by == m.answer.Today:
			due, ro = "TODAY", title
		}
		out = append(out, line{sel: r.key() == here, spans: []span{keep(keycap, mark), col(ro, due, 17), col(plain, r.name, name), keep(plain, " "), col(plain, r.text, max(1, w-20-name))}})
	}
	out = append(out, row(keep(dim, " "+counted(len(rows), "errand or round", "errands and rounds"))))
	return append(out, detail...)
}

func (m *model) taskDetail(r *taskRow, w int) []line {
	head := r.name + ": "
	if r.by != fields.NoDate {
		head = r.name + ", due " + r.by.Words() + ": "
	}
	t := head + r.text
	if r.round != nil {
		t += " A round is a reminder: doing it, or not, changes no flag. Enter says that it was done."
	}
	return wrapped(plain, t, " ", "   ", w)
}
