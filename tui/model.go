package tui

import (
	"slices"
	"strings"

	"rimegate/hazard"
	"rimegate/hazard/board"
)

// page is one screen.
type page uint8

const (
	pageToday page = iota
	pageNights
	pageFeed
	pageAhead
	pageTasks
	pageRules
	pageMoves
	pagePaddock // the reasoning about one paddock or lot
	pagePast    // its entries
	pageNight   // its nights
	pageRule    // one rule
	pageMenu    // which form
	pageForm
	pageCheck // what the form would do
	pageHelp
	numPages
)

var pageTitles = [numPages]string{
	"TODAY", "NIGHTS", "LABS AND FEED", "COMING DAYS", "TO DO", "RULES", "MOVES", "WHY", "HISTORY", "NIGHTS", "RULE", "LOG", "LOG", "CHECK AND SAVE", "HELP",
}

// model is everything the screens know. Only the loop of Run touches it.
type model struct {
	theme *Theme
	mouse bool
	w, h  int // as last drawn

	page  page
	stack []page // where Esc leads back to

	answer *Answer
	list   *board.List // of what is asked
	graze  *board.List // to graze, for all of the farm's classes: what no filter hides
	filter board.Filter
	find   string // shows only names that hold it
	typing bool   // the find line takes keys
	stale  string // why the list is not of this minute, "" if it is
	busy   string // what is being waited for, "" if nothing
	notice string // what the last act did
	bad    bool   // notice is a failure

	sel    map[page]string // selected id of each list
	picked map[string]bool // paddocks picked for a form
	bulk   bool            // they were picked all at once
	scroll map[page]int    // first row of each text

	subject string // paddock or lot of pagePaddock, pagePast, pageNight
	why     *board.Explanation
	past    []Past
	rules   []Rule

	moves func(width int) string

	days   *strip
	nights map[string][]hazard.NightRow
	feed   []feedRow
	feedOf feedOf
	tasks  []taskRow

	form   *form
	drafts []*form // the open one, and all in which something was typed

	leaving bool // whether to leave a form unsaved: the next such key leaves
}

func newModel(t *Theme) *model {
	return &model{
		theme: t, w: 80, h: 24, sel: map[page]string{}, picked: map[string]bool{}, scroll: map[page]int{},
	}
}

// say leaves words for the status line.
func (m *model) tell(words string)  { m.notice, m.bad = words, false }
func (m *model) wrong(words string) { m.notice, m.bad = words, true }

// open goes to a page, to come back with Esc. The main pages stand side by
// side: between them nothing is stacked.
func (m *model) open(p page) {
	if p == m.page {
		return
	}
	if p <= pageMoves {
		m.stack = nil
		if p != pageToday {
			m.stack = []page{pageToday}
		}
	} else {
		m.stack = append(m.stack, m.page)
	}
	m.page = p
	m.scroll[p] = 0
}

// back returns to where the page was opened from.
func (m *model) back() {
	if n := len(m.stack); n > 0 {
		m.page, m.stack = m.stack[n-1], m.stack[:n-1]
	}
}

// take takes in a new answer; what is selected stays selected.
func (m *model) take(a *Answer) {
	m.answer, m.stale = a, ""
	m.relist()
	if m.why != nil {
		m.explain()
	}
	for id := range m.picked {
		if a.History.Paddock(id) == nil {
			delete(m.picked, id)
		}
	}
	// What was worked out from an older answer is not shown beside this one.
	m.feed, m.tasks = nil, nil
	if m.page != pageNights && m.page != pageNight {
		m.nights = nil
	}
	if m.page != pageMoves {
		m.moves = nil
	}
	if len(a.Notes) > 0 {
		m.wrong(strings.Join(a.Notes, "; "))
	}
}

// relist makes the morning list of the answer and the filter.
func (m *model) relist() {
	if m.answer == nil {
		return
	}
	m.list = board.Today(m.answer.Assessment, m.filter)
	m.graze = m.list
	if m.filter != (board.Filter{}) {
		m.graze = board.Today(m.answer.Assessment, board.Filter{})
	}
}

// explain makes the reasoning about the subject.
func (m *model) explain() {
	e, err := board.Why(m.answer.Assessment, m.subject, board.Filter{})
	if err != nil {
		m.wrong(err.Error())
		m.why = nil
		if m.page == pagePaddock || m.page == pagePast || m.page == pageNight {
			m.back()
		}
		return
	}
	m.why = e
}

// rows are the rows of the list that are shown: paddocks, or lots where
// feeding is asked; by name where one is looked for.
func (m *model) rows() []board.Row {
	if m.list == nil {
		return nil
	}
	rows := m.list.Rows
	if m.filter.Use != nil && *m.filter.Use == hazard.Feed {
		rows = m.list.Lots
	}
	if m.find == "" {
		return rows
	}
	var out []board.Row
	for _, r := range rows {
		// Stock that must come out stays in sight whatever is looked for.
		if r.MoveOut || m.holds(&r) {
			out = append(out, r)
		}
	}
	return out
}

// holds reports a row whose name holds what is looked for.
func (m *model) holds(r *board.Row) bool {
	want := strings.ToLower(strings.TrimSpace(m.find))
	return strings.Contains(strings.ToLower(r.Name), want) || strings.Contains(strings.ToLower(r.ID), want)
}

// ids are the ids of the current page's list, in order; nil for a text.
func (m *model) ids() []string {
	var out []string
	switch m.page {
	case pageToday:
		for _, r := range m.rows() {
			out = append(out, r.ID)
		}
	case pageNights, pageAhead:
		for _, r := range m.paddocks() {
			out = append(out, r.ID)
		}
	case pageFeed:
		for _, r := range m.feedRows() {
			out = append(out, r.id)
		}
	case pageTasks:
		for _, r := range m.taskRows() {
			out = append(out, r.key())
		}
	case pageRules:
		for _, r := range m.rules {
			out = append(out, r.ID)
		}
	case pagePast:
		for i := len(m.past) - 1; i >= 0; i-- { // the latest first
			out = append(out, m.past[i].ID)
		}
	case pageMenu:
		for _, k := range kinds {
			out = append(out, string(k.kind))
		}
	}
	return out
}

// paddocks are the paddocks in the order of the list, whatever use it asks of.
func (m *model) paddocks() []board.Row {
	if m.list == nil {
		return nil
	}
	if m.filter.Use != nil && *m.filter.Use == hazard.Feed {
		return m.graze.Rows
	}
	return m.list.Rows
}

// selected is the selected id of a page's list: the first row until another
// was chosen, or where the chosen one is gone.
func (m *model) selected(p page, ids []string) string {
	if s := m.sel[p]; slices.Contains(ids, s) {
		return s
	}
	if len(ids) > 0 {
		return ids[0]
	}
	return ""
}

func (m *model) here() string { return m.selected(m.page, m.ids()) }

// move goes n rows up or down in a list, or scrolls a text.
func (m *model) move(n int) {
	ids := m.ids()
	if ids == nil {
		m.scroll[m.page] = max(0, min(m.scroll[m.page]+n, m.lastScroll()))
		return
	}
	i := slices.Index(ids, m.selected(m.page, ids)) + n
	m.sel[m.page] = ids[max(0, min(i, len(ids)-1))]
}

// lastScroll is the largest first row a text can have.
func (m *model) lastScroll() int {
	lines, room := m.text()
	return max(0, len(lines)-room)
}

// window is the part of n rows that is shown in h rows around row at.
func window(n, at, h int) (from, to int) {
	from = max(0, min(at-h/2, n-h))
	return from, min(n, from+max(h, 0))
}

// holdNames says in one sentence and a list of names where nobody goes in.
func (m *model) holdNames(w int) []line {
	if m.list == nil {
		return wrapped(warning, "No list yet: treat every paddock as HOLD.", "", "", w)
	}
	var names []string
	for _, r := range m.graze.Rows {
		if r.Flag == hazard.Hold {
			names = append(names, r.Name)
		}
	}
	if len(names) == 0 {
		return wrapped(plain, "No paddock is on HOLD to graze.", "", "", w)
	}
	return wrapped(flagHold, "HOLD: "+strings.Join(names, ", "), "", "", w)
}

// classes are the classes the list speaks of.
func (m *model) classes() []hazard.Class {
	if m.filter.Class != nil {
		return []hazard.Class{*m.filter.Class}
	}
	if m.answer == nil {
		return nil
	}
	return board.FarmClasses(m.answer.History)
}

func (m *model) use() hazard.Use {
	if m.filter.Use != nil {
		return *m.filter.Use
	}
	return hazard.Graze
}

// name is the name on the gate.
func (m *model) name(id string) string {
	if m.answer != nil {
		if p := m.answer.History.Paddock(id); p != nil && p.Name != "" {
			return p.Name
		}
	}
	return id
}

// units of the farm.
func (m *model) units() board.Units {
	if m.answer == nil {
		return board.Metric
	}
	return board.UnitsOf(m.answer.History)
}
