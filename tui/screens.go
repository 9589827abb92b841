package tui

import (
	"sync"

	"rimegate/fields"
	"rimegate/fields/form"
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
	pagePick  // its paddocks
	pageCheck // what it would do
	pageHelp
	numPages
)

// screen is what one page shows and how its rows are opened. It has a list with
// ids, or a text.
type screen struct {
	title    string
	tab      string // of the main pages, in the row of pages
	aboutOne bool   // about the paddock or lot that is the subject
	aForm    bool   // names the open form

	ids  func(*model) []string
	list func(m *model, w, h int) *list
	text func(*model, *prose)
	top  func(*model, *prose) // over a text, in sight whatever part of it shows

	of   func(m *model, id string) string // the paddock or lot behind a row; nil: rows have none
	open func(a *app, id string)          // what Enter does with a row
	need func(*app)                       // asks for what is shown besides the answer
}

var screens [numPages]screen

func init() { // in a function, since pages open each other
	itself := func(_ *model, id string) string { return id }
	paddocks := func(m *model) []string { return idsOf(m.paddocks(), rowID) }
	menu := sync.OnceValue(func() (kinds []string) {
		for _, k := range form.Kinds() {
			if k.Title != "" {
				kinds = append(kinds, string(k.Kind))
			}
		}
		return kinds
	})
	rules := func(m *model) []string { return idsOf(m.rules, func(r *Rule) string { return r.ID }) }
	screens = [numPages]screen{
		pageToday: {
			title: "TODAY", tab: "Today", list: (*model).todayList, of: itself, open: (*app).openWhy,
			ids: func(m *model) []string { return idsOf(m.rows(), rowID) },
		},
		pageNights: {
			title: "NIGHTS", tab: "Nights", ids: paddocks, of: itself,
			list: (*model).nightsList, open: (*app).openNightOf, need: (*app).needNights,
		},
		pageFeed: {
			title: "LABS AND FEED", tab: "Labs, feed", list: (*model).feedList,
			open: func(a *app, _ string) { a.openWhy(a.m.inHand()) },
			ids:  func(m *model) []string { return idsOf(m.feedRows(), func(r *feedRow) string { return r.id }) },
			of:   func(m *model, _ string) string { return m.feedRows()[m.at(pageFeed)].subject },
		},
		pageAhead: {
			title: "COMING DAYS", tab: "Coming days", ids: paddocks, of: itself,
			list: (*model).aheadList, open: (*app).openWhy, need: (*app).needDays,
		},
		pageTasks: {
			title: "TO DO", tab: "To do", list: (*model).tasksList, open: (*app).openTask,
			ids: func(m *model) []string { return idsOf(m.taskRows(), (*taskRow).key) },
			of:  func(m *model, _ string) string { return m.taskRows()[m.at(pageTasks)].id },
		},
		pageRules: {
			title: "RULES", tab: "Rules", ids: rules,
			list: (*model).rulesList, open: func(a *app, _ string) { a.m.open(pageRule) }, need: (*app).needRules,
		},
		pageMoves:   {title: "MOVES", tab: "Moves", text: (*model).movesText, need: (*app).needMoves},
		pagePaddock: {title: "WHY", aboutOne: true, text: (*model).whyText, top: (*model).whyTop, need: (*app).needDays},
		pagePast: {
			title: "HISTORY", aboutOne: true, list: (*model).pastList, need: (*app).needPast,
			ids: func(m *model) []string { return idsOf(m.past, func(p *Past) string { return p.ID }) },
		},
		pageNight: {
			title: "NIGHTS", aboutOne: true, list: (*model).nightList, need: (*app).needNights,
			ids: func(m *model) []string {
				return idsOf(m.nights[m.subject], func(r *hazard.NightRow) string { return r.Night.String() })
			},
		},
		pageRule: {title: "RULE", text: (*model).ruleText},
		pageMenu: {
			title: "LOG", list: (*model).menuList, open: func(a *app, id string) { a.openForm(fields.Kind(id)) },
			ids: func(*model) []string { return menu() },
		},
		pageForm:  {title: "LOG", aForm: true},
		pagePick:  {title: "LOG", aForm: true, list: (*model).pickList, ids: (*model).standing},
		pageCheck: {title: "CHECK AND SAVE", aForm: true, text: (*model).checkText},
		pageHelp:  {title: "HELP", text: (*model).helpText},
	}
}

func rowID(r *board.Row) string { return r.ID }
