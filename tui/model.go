package tui

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// model is everything the screens know. Only the loop of Run touches it.
type model struct {
	theme *Theme
	mouse bool
	w, h  int // as last drawn

	page  page
	stack []page // where Esc leads back to

	answer *Answer
	list   *board.List // of what is asked
	sheet  *board.Page // the morning's page for what is asked
	kept   *morning    // how it was last laid out
	graze  *board.List // to graze, for all of the farm's classes: what no filter hides
	filter board.Filter
	find   input  // shows only names that hold it
	typing bool   // the find line takes keys
	stale  string // why the list is not of this minute, "" if it is
	busy   string // what is being waited for, "" if nothing
	notice string // what the last act did
	bad    bool   // notice is a failure

	sel    map[page]string // selected id of each list
	picked []string        // paddocks picked for a form
	bulk   bool            // they were picked all at once
	scroll map[page]int    // first row of each text
	fits   int             // how many rows of the text show, as last drawn
	deep   int             // how many do not

	subject string // paddock or lot of pagePaddock, pagePast, pageNight
	why     *board.Explanation
	past    []board.Past
	rules   []Rule

	moves func(width int) string

	days   *strip
	ifs    *strip // with what is assumed to happen, nil if nothing is
	ahead  int    // the chosen day of the coming ones, counted from today
	nights map[string][]hazard.NightRow
	feed   *feed
	tasks  []task

	told  func(width int) string // the answer to a form that stores nothing
	thing fields.Kind            // of pageThings
	saved []*saved               // what was stored in this sitting

	begun   bool            // it was decided whether the farm is set up in this sitting
	setting bool            // it is
	due     bool            // its next form is
	passed  map[string]bool // parts not to be asked again

	form     *draft
	supposed fields.Date // the day of which the menu's forms assume something; NoDate: they log
	drafts   []*draft    // the open one, and all in which something was typed

	leaving bool // whether to leave a form unsaved: the next such key leaves
}

func newModel(t *Theme) *model {
	return &model{
		theme: t, w: 80, h: 24, sel: map[page]string{}, scroll: map[page]int{},
	}
}

// tell and wrong leave words for the status line.
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
	if m.page, m.scroll[p] = p, 0; p == pageMenu || p <= pageMoves {
		m.supposed = fields.NoDate
	}
	if p != pageAhead && p <= pageNight { // what is assumed stays on its page
		m.ifs = nil
	}
}

func (m *model) back() {
	if n := len(m.stack); n > 0 {
		m.page, m.stack = m.stack[n-1], m.stack[:n-1]
	}
}

// take takes in a new answer; what is selected stays selected.
func (m *model) take(a *Answer) {
	if was := m.answer; m.told != nil && was != nil && (was.Revision != a.Revision || was.Today != a.Today) {
		if m.told = nil; m.page == pageBlend { // worked out from what held before
			m.back()
			m.wrong("The journal or the day changed: work the blend out again.")
		}
	}
	m.answer, m.stale = a, ""
	m.relist()
	if m.why != nil {
		m.explain()
	}
	m.picked = slices.DeleteFunc(m.picked, func(id string) bool { return a.History.Paddock(id) == nil })
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

// relist makes the morning list of the answer and the filter. What was worked out
// from older ones is not shown beside it.
func (m *model) relist() {
	m.feed, m.tasks = nil, nil
	if !slices.Contains(m.herds(), m.filter.Herd) {
		m.filter.Herd = ""
	}
	m.list = board.Today(m.answer.Assessment, m.filter)
	m.sheet = board.NewPage(m.answer.Assessment, m.filter, nil)
	m.graze = m.list
	if m.filter != (board.Filter{}) {
		m.graze = board.Today(m.answer.Assessment, board.Filter{})
	}
}

func (m *model) explain() {
	var err error
	if m.why, err = board.Why(m.answer.Assessment, m.subject, board.Filter{}); err != nil {
		m.wrong(err.Error())
		if screens[m.page].aboutOne {
			m.back()
		}
	}
}

// herds are the herds with any head.
func (m *model) herds() []string {
	var out []string
	for _, h := range m.answer.History.Herds {
		if h.Head == nil || *h.Head > 0 {
			out = append(out, h.Herd)
		}
	}
	return out
}

// rows are the paddocks, or lots where feeding is asked, whose name is looked for.
func (m *model) rows() []board.PageRow {
	rows := m.sheet.Rows
	if m.sheet.Use == hazard.Feed {
		rows = m.sheet.Feed
	}
	if m.find.text == "" {
		return rows
	}
	// Stock that must come out stays in sight whatever is looked for.
	return slices.DeleteFunc(slices.Clone(rows), func(r board.PageRow) bool { return !r.MoveOut && !m.holds(r) })
}

// holds reports a row whose name holds what is looked for.
func (m *model) holds(r board.PageRow) bool {
	want := strings.ToLower(strings.TrimSpace(m.find.text))
	return strings.Contains(strings.ToLower(r.Name), want) || strings.Contains(strings.ToLower(r.ID), want)
}

// listOf is the list of a page; one without rows for a text.
func (m *model) listOf(p page) *list {
	if screens[p].list == nil || m.answer == nil {
		return &list{}
	}
	return screens[p].list(m, m.w, m.h)
}

// paddocks are the paddocks in the order of the list, whatever use it asks of.
func (m *model) paddocks() []board.Row {
	if m.list.Use == hazard.Feed {
		return m.graze.Rows
	}
	return m.list.Rows
}

// at is the selected row of a page: the first where the chosen one is gone.
func (m *model) at(p page) int { return m.listOf(p).at(m.sel[p]) }

// selected is the id of the selected row of a page, "" if it has none.
func (m *model) selected(p page) string {
	if l := m.listOf(p); len(l.ids) > 0 {
		return l.ids[l.at(m.sel[p])]
	}
	return ""
}

// move goes n rows up or down in a list, or scrolls a text.
func (m *model) move(n int) {
	if l := m.listOf(m.page); len(l.ids) > 0 {
		m.sel[m.page] = l.ids[max(0, min(l.at(m.sel[m.page])+n, len(l.ids)-1))]
	} else if screens[m.page].text != nil {
		m.scroll[m.page] = max(0, min(m.scroll[m.page]+n, m.deep))
	}
}

func (m *model) pageful() int {
	if screens[m.page].text != nil {
		return max(1, m.fits-1)
	}
	return max(1, m.h/2)
}

// below is the page, or the one below the menu.
func (m *model) below() page {
	if n := len(m.stack); m.page == pageMenu && n > 0 {
		return m.stack[n-1]
	}
	return m.page
}

// inHand is the paddock or lot on the page, or on the one below the menu, "" if none is.
func (m *model) inHand() string {
	p := m.below()
	if screens[p].aboutOne {
		return m.subject
	}
	if l := m.listOf(p); len(l.about) > 0 {
		return l.about[l.at(m.sel[p])]
	}
	return ""
}

// holdNames says in one sentence and a list of names where nobody goes in.
func (m *model) holdNames(w int) []line {
	if m.list == nil {
		return wrapped(warning, 0, 0, "No list yet: treat every paddock as HOLD.", w)
	}
	var names []string
	for _, r := range m.graze.Rows {
		if r.Flag == hazard.Hold {
			names = append(names, r.Name)
		}
	}
	if len(names) == 0 {
		return wrapped(plain, 0, 0, "No paddock is on HOLD to graze.", w)
	}
	return wrapped(flagHold, 0, 0, "HOLD: "+strings.Join(names, ", "), w)
}

func (m *model) name(id string) string {
	if p := m.answer.History.Paddock(id); p != nil && p.Name != "" {
		return p.Name
	}
	return id
}

func (m *model) words(e *fields.Entry) string {
	return board.EntryWords(e, m.answer.History, board.UnitsOf(m.answer.History))
}

// landUse is the use that is asked of paddocks.
func (m *model) landUse() hazard.Use {
	if m.list.Use == hazard.Feed {
		return hazard.Graze
	}
	return m.list.Use
}

// findKey takes a key for the line that looks for a name.
func (m *model) findKey(key string) {
	switch key {
	case "Enter", "Down", "Up":
		m.typing = false
	case "Esc":
		m.typing, m.find = false, input{}
	default:
		m.find.edit(key)
	}
	m.found()
}

// found selects the first row that was looked for.
func (m *model) found() {
	rows := m.rows()
	if i := slices.IndexFunc(rows, m.holds); i >= 0 && m.find.text != "" {
		ids, _ := pageIDs(rows, m.sheet.Use)
		m.sel[pageToday] = ids[i]
	}
}
