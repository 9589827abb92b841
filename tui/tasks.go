package tui

import (
	"slices"
	"sort"

	"rimegate/hazard"
	"rimegate/hazard/board"
)

// taskRow is one errand.
type taskRow struct {
	id   string
	name string
	task hazard.Task
}

func (r *taskRow) key() string { return r.id + "\x00" + r.task.What }

// taskRows are the errands of every paddock, the earliest first.
func (m *model) taskRows() []taskRow {
	if m.tasks != nil || m.answer == nil {
		return m.tasks
	}
	out := []taskRow{}
	for i := range m.answer.Paddocks {
		p := &m.answer.Paddocks[i]
		for _, t := range board.Tasks(p, m.answer.Assessment) {
			out = append(out, taskRow{p.Paddock.ID, m.name(p.Paddock.ID), t})
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].task.By != out[j].task.By {
			return out[i].task.By < out[j].task.By
		}
		return out[i].name < out[j].name
	})
	m.tasks = out
	return out
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
		due, ro := r.task.By.Words(), plain
		switch {
		case r.task.By < m.answer.Today:
			due, ro = "LATE "+r.task.By.Short(), warning
		case r.task.By == m.answer.Today:
			due, ro = "TODAY", title
		}
		out = append(out, line{sel: r.key() == here, spans: []span{keep(keycap, mark), col(ro, due, 17), col(plain, r.name, name), keep(plain, " "), col(plain, r.task.Text, max(1, w-20-name))}})
	}
	out = append(out, row(keep(dim, " "+counted(len(rows), "errand", "errands"))))
	return append(out, detail...)
}

func (m *model) taskDetail(r *taskRow, w int) []line {
	due := "due " + r.task.By.Words()
	if r.task.By < m.answer.Today {
		due = "was due " + r.task.By.Words()
	}
	return wrapped(plain, r.name+", "+due+": "+r.task.Text, " ", "   ", w)
}
