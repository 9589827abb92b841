package tui

type page uint8

const (
	pageToday page = iota
	pageNights
	pageFeed
	pageAhead
	pageTasks
	pageRules
	pageMoves
	pageHerds
	pagePaddock // the reasoning about one paddock or lot
	pagePast    // its entries
	pageNight   // its nights
	pageRule    // one rule
	pageMenu    // which form
	pageThings  // what the farm has of a kind
	pageForm
	pagePick  // its paddocks
	pageCheck // what it would do
	pageBlend
	pageGreen // what would turn the first page green
	pageHelp
	numPages
)

// screen is what one page shows: a list or a text.
type screen struct {
	title    string
	tab      string // of the main pages, in the row of pages
	aboutOne bool   // about the paddock or lot that is the subject
	aForm    bool   // names the open form

	list func(m *model, w, h int) *list
	text func(*model, *prose)
	top  func(*model, *prose) // over a text, in sight whatever part of it shows

	open func(*app) // what Enter does with the selected row
	need func(*app) // asks for what is shown besides the answer
}

var screens [numPages]screen

func init() { // in a function, since pages open each other
	nights, why := (*app).openNight, (*app).openWhy
	theForm := func(a *app) { a.openKind(a.m.menu()[a.m.at(pageMenu)].Kind) }
	screens = [numPages]screen{
		pageToday:   {title: "TODAY", tab: "Today", list: (*model).todayList, open: why},
		pageNights:  {title: "NIGHTS", tab: "Nights", list: (*model).nightsList, open: nights, need: (*app).needNights},
		pageFeed:    {title: "LABS AND FEED", tab: "Labs, feed", list: (*model).feedList, open: why},
		pageAhead:   {title: "COMING DAYS", tab: "Coming days", list: (*model).aheadList, open: why, need: (*app).needDays},
		pageTasks:   {title: "TO DO", tab: "To-do", list: (*model).tasksList, open: (*app).openTask},
		pageRules:   {title: "RULES", tab: "Rules", list: (*model).rulesList, open: (*app).openRule, need: (*app).needRules},
		pageMoves:   {title: "MOVES", tab: "Moves", text: (*model).movesText, need: (*app).needMoves},
		pageHerds:   {title: "HERDS", list: (*model).herdsList, open: why},
		pagePaddock: {title: "WHY", aboutOne: true, text: (*model).whyText, top: (*model).whyTop, need: (*app).needDays},
		pagePast:    {title: "HISTORY", aboutOne: true, list: (*model).pastList, need: (*app).needPast},
		pageNight:   {title: "NIGHTS", aboutOne: true, list: (*model).nightList, need: (*app).needNights},
		pageRule:    {title: "RULE", text: (*model).ruleText},
		pageMenu:    {title: "LOG", list: (*model).menuList, open: theForm},
		pageThings:  {title: "SET UP", list: (*model).thingsList, open: (*app).openThing},
		pageForm:    {title: "LOG", aForm: true},
		pagePick:    {title: "LOG", aForm: true, list: (*model).pickList},
		pageCheck:   {title: "CHECK AND SAVE", aForm: true, text: (*model).checkText},
		pageBlend:   {title: "BLEND OF FEEDS", text: (*model).blendText},
		pageGreen:   {title: "WHAT TURNS IT GREEN", text: (*model).greenText},
		pageHelp:    {title: "HELP", text: (*model).helpText},
	}
}
