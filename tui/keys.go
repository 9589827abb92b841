package tui

import (
	"strings"

	"github.com/gdamore/tcell/v2"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// binding is one line of the key table. The footer and the help are made of
// it, and no key does anything that is not in it.
type binding struct {
	keys  []string // names as keyName gives them; the first is printed
	on    []page   // nil: wherever no text is being typed
	part  part     // of the help
	short string   // for the footer, "" for help only
	long  string   // for the help
	do    func(*app)
}

// part is a part of the help.
type part uint8

const (
	everywhere part = iota
	pages
	writing
	looking
	moving
	numParts
)

var partNames = [numParts]string{"EVERYWHERE", "PAGES", "WRITING DOWN", "LOOKING", "MOVING"}

// farmPages are where paddocks are in hand.
var farmPages = []page{pageToday, pageNights, pageAhead, pageTasks, pageFeed, pagePaddock, pagePast, pageNight}

var keyTable []binding

func init() { // in a function, since help is made of the table that shows help
	keyTable = []binding{
		{keys: []string{"Enter"}, part: looking, on: []page{pageToday, pageNights, pageFeed, pageAhead, pageTasks, pageRules}, short: "open", long: "open what is selected: the reasoning, the nights, the rule; of a round, the form that says it was done", do: (*app).enter},
		{keys: []string{"Enter"}, part: writing, on: []page{pageMenu}, short: "open form", long: "open the selected form", do: (*app).enter},
		{keys: []string{"Enter"}, part: writing, on: []page{pageCheck}, short: "SAVE", long: "store what was checked", do: (*app).save},
		{keys: []string{"Space"}, part: writing, on: []page{pageToday, pageNights, pageAhead}, short: "pick", long: "pick the paddock for a form, and go to the next", do: (*app).pick},
		{keys: []string{"a"}, part: writing, on: []page{pageToday, pageNights, pageAhead}, short: "", long: "pick every paddock shown, or none", do: (*app).pickAll},
		{keys: []string{"f"}, part: writing, on: farmPages, short: "frost", long: "log a frost for the picked paddocks, else the selected one", do: func(a *app) { a.openForm(fields.KindFrost) }},
		{keys: []string{"0"}, part: writing, on: farmPages, short: "no frost", long: "sign that last night had no frost, for the picked paddocks, else the selected one", do: func(a *app) { a.openForm(fields.KindNoFrost) }},
		{keys: []string{"w"}, part: writing, on: farmPages, short: "walk", long: "log a walk", do: func(a *app) { a.openForm(fields.KindWalk) }},
		{keys: []string{"s"}, part: writing, on: farmPages, short: "", long: "log stock moved in or out", do: func(a *app) { a.openForm(fields.KindGrazed) }},
		{keys: []string{"b"}, part: writing, on: farmPages, short: "", long: "log a laboratory result", do: func(a *app) { a.openForm(fields.KindLab) }},
		{keys: []string{"l"}, part: writing, on: farmPages, short: "log", long: "all forms, by name; unsaved ones are marked", do: func(a *app) { a.m.open(pageMenu) }},
		{keys: []string{"u"}, part: looking, on: []page{pageToday, pageAhead}, short: "use", long: "ask for the next use: grazing, chopping, swath, hay, silage, feeding", do: (*app).nextUse},
		{keys: []string{"c"}, part: looking, on: []page{pageToday, pageAhead, pageFeed}, short: "class", long: "ask for the next class of stock, then for all of the farm's", do: (*app).nextClass},
		{keys: []string{"/"}, part: looking, on: []page{pageToday}, short: "find", long: "show only names that hold some letters", do: func(a *app) { a.m.typing = true }},
		{keys: []string{"h"}, part: looking, on: []page{pagePaddock, pageNight, pageToday, pageFeed}, short: "history", long: "the entries about it, with their ids", do: (*app).openPast},
		{keys: []string{"n"}, part: looking, on: []page{pagePaddock, pagePast, pageToday}, short: "nights", long: "its nights, one a line", do: (*app).openNight},
		{keys: []string{"x"}, part: writing, on: []page{pagePast}, short: "strike", long: "strike the selected entry: it stays, but no longer counts", do: (*app).strike},
		{keys: []string{"1"}, part: pages, short: "", long: "the morning list", do: func(a *app) { a.show(pageToday) }},
		{keys: []string{"2"}, part: pages, short: "", long: "nights: how cold, and which nobody read", do: func(a *app) { a.show(pageNights) }},
		{keys: []string{"3"}, part: pages, short: "", long: "laboratory results, water and lots of feed", do: func(a *app) { a.show(pageFeed) }},
		{keys: []string{"4"}, part: pages, short: "", long: "the coming days, paddock by day", do: func(a *app) { a.show(pageAhead) }},
		{keys: []string{"5"}, part: pages, short: "", long: "errands, the earliest first", do: func(a *app) { a.show(pageTasks) }},
		{keys: []string{"6"}, part: pages, short: "", long: "the rulebook with its sources", do: func(a *app) { a.show(pageRules) }},
		{keys: []string{"7"}, part: pages, short: "", long: "moves: where each herd can stand, for how many days", do: func(a *app) { a.show(pageMoves) }},
		{keys: []string{"Down", "j"}, part: moving, short: "", long: "down", do: func(a *app) { a.m.move(1) }},
		{keys: []string{"Up", "k"}, part: moving, short: "", long: "up", do: func(a *app) { a.m.move(-1) }},
		{keys: []string{"PgDn"}, part: moving, short: "", long: "a page down", do: func(a *app) { a.m.move(a.m.pageful()) }},
		{keys: []string{"PgUp"}, part: moving, short: "", long: "a page up", do: func(a *app) { a.m.move(-a.m.pageful()) }},
		{keys: []string{"Space"}, part: moving, on: []page{pagePaddock, pageNight, pageRule, pageCheck, pageHelp, pageMoves}, short: "", long: "in a text: a page down", do: func(a *app) { a.m.move(a.m.pageful()) }},
		{keys: []string{"Home", "g"}, part: moving, short: "", long: "the first row", do: func(a *app) { a.m.move(-1 << 20) }},
		{keys: []string{"End", "G"}, part: moving, short: "", long: "the last row", do: func(a *app) { a.m.move(1 << 20) }},
		{keys: []string{"Esc", "Left"}, short: "back", long: "back to where you came from; never leaves the program", do: (*app).escape},
		{keys: []string{"r"}, short: "", long: "read the journal again (it is looked at every two seconds anyway)", do: func(a *app) { a.m.tell(""); a.reload() }},
		{keys: []string{"t"}, short: "", long: "next look: colour, colour-blind safe, black and white", do: (*app).nextTheme},
		{keys: []string{"m"}, short: "", long: "mouse on or off (on, the terminal cannot mark text)", do: (*app).toggleMouse},
		{keys: []string{"?"}, short: "help", long: "this page", do: func(a *app) { a.m.open(pageHelp) }},
		{keys: []string{"q", "Ctrl-C"}, short: "quit", long: "leave; asks once if a form is not saved (in a form Ctrl-C alone)", do: (*app).leave},
	}
}

// keyName is a key as the table and the help print it.
func keyName(e *tcell.EventKey) string {
	switch e.Key() {
	case tcell.KeyRune:
		if e.Rune() == ' ' {
			return "Space"
		}
		return string(e.Rune())
	case tcell.KeyEnter:
		return "Enter"
	case tcell.KeyEscape:
		return "Esc"
	case tcell.KeyTab:
		return "Tab"
	case tcell.KeyBacktab:
		return "Shift-Tab"
	case tcell.KeyUp:
		return "Up"
	case tcell.KeyDown:
		return "Down"
	case tcell.KeyLeft:
		return "Left"
	case tcell.KeyRight:
		return "Right"
	case tcell.KeyPgUp:
		return "PgUp"
	case tcell.KeyPgDn:
		return "PgDn"
	case tcell.KeyHome:
		return "Home"
	case tcell.KeyEnd:
		return "End"
	case tcell.KeyBackspace, tcell.KeyBackspace2:
		return "Backspace"
	case tcell.KeyDelete:
		return "Delete"
	case tcell.KeyCtrlC:
		return "Ctrl-C"
	case tcell.KeyCtrlU:
		return "Ctrl-U"
	case tcell.KeyCtrlN:
		return "Ctrl-N"
	case tcell.KeyCtrlO:
		return "Ctrl-O"
	}
	return ""
}

// bindingFor is the line of the table for a key on a page: one made for the
// page goes before one for all pages.
func bindingFor(p page, key string) *binding {
	var general *binding
	for i := range keyTable {
		b := &keyTable[i]
		for _, k := range b.keys {
			if k != key {
				continue
			}
			if b.on == nil {
				general = b
			}
			for _, on := range b.on {
				if on == p {
					return b
				}
			}
		}
	}
	return general
}

// onKey takes every key: what is being typed goes first, then the table. A
// failure in here is told, and nothing is lost.
func (a *app) onKey(e *tcell.EventKey) {
	defer func() {
		if r := recover(); r != nil {
			a.m.wrong("That key failed (" + board.Clean(sentence(asError(r))) + ") Nothing was lost.")
		}
	}()
	key := keyName(e)
	if a.panicky != nil {
		a.panicky(key)
	}
	if key != "Ctrl-C" && (key != "q" || a.m.typing || a.m.page == pageForm) {
		a.m.leaving = false
	}
	switch {
	case key == "":
		return
	case key == "Ctrl-C":
		a.leave()
		return
	case a.m.typing:
		a.findKey(key)
		return
	case a.m.page == pageForm:
		a.formKey(key)
		return
	}
	b := bindingFor(a.m.page, key)
	if b == nil {
		return
	}
	if key != "q" { // words of the last act are gone with the next
		a.m.tell("")
	}
	b.do(a)
}

type panicked struct{ what any }

func (p panicked) Error() string {
	if s, ok := p.what.(string); ok {
		return s
	}
	if e, ok := p.what.(error); ok {
		return e.Error()
	}
	return "a fault of the program"
}

func asError(r any) error { return panicked{r} }

func (a *app) onPaste(s string) {
	s = board.Clean(s)
	a.m.leaving = false
	switch {
	case a.m.typing:
		a.m.find += s
		a.m.found()
	case a.m.page == pageForm && a.m.form != nil:
		a.m.form.insert(s)
	}
}

// onClick selects a row of a list.
func (a *app) onClick(_, y int) {
	f := a.view.frame(a.m.w, a.m.h)
	at := -1
	for i, l := range f.lines {
		if l.sel {
			at = i
		}
	}
	if at >= 0 && a.m.page != pageForm {
		a.m.move(y - at)
	}
}

func (a *app) findKey(key string) {
	m := a.m
	switch key {
	case "Enter", "Down", "Up":
		m.typing = false
	case "Esc":
		m.typing, m.find = false, ""
	case "Backspace":
		if r := []rune(m.find); len(r) > 0 {
			m.find = string(r[:len(r)-1])
		}
	case "Ctrl-U":
		m.find = ""
	case "Space":
		m.find += " "
	default:
		if len([]rune(key)) == 1 {
			m.find += key
		}
	}
	m.found()
}

// found selects the first row that was looked for; stock that must come out
// stays in sight above it.
func (m *model) found() {
	if m.find == "" {
		return
	}
	for _, r := range m.rows() {
		if m.holds(&r) {
			m.sel[pageToday] = r.ID
			return
		}
	}
}

// footer lists the keys of the page that fit.
func (m *model) footer(w int) line {
	var spans []span
	used := 0
	add := func(key, word string) bool {
		n := board.Width(key) + board.Width(word) + 3
		if used+n > w {
			return false
		}
		spans = append(spans, keep(keycap, " "+key), keep(dim, " "+word+" "))
		used += n
		return true
	}
	switch {
	case m.page == pageForm && m.form != nil && m.form.picking:
		for _, k := range [][2]string{{"Space", "pick"}, {"a", "all"}, {"Enter", "done"}, {"Esc", "done"}} {
			if k[0] == "a" && m.form.spec.namesEach() {
				continue
			}
			add(k[0], k[1])
		}
		return row(spans...)
	case m.page == pageForm:
		for _, k := range [][2]string{{"Enter", "check"}, {"Tab", "next"}, {"Esc", "back, keeps it"}, {"Left Right", "choose"}, {"Ctrl-N", "empty form"}} {
			if k[0] == "Left Right" && m.form != nil && m.otherDraft() != nil {
				add("Ctrl-O", "other draft")
			}
			add(k[0], k[1])
		}
		return row(spans...)
	}
	tail := []string{"?", "q"} // these always
	if len(m.stack) > 0 {
		tail = []string{"Esc", "?", "q"}
	}
	for _, k := range tail {
		used += board.Width(k) + board.Width(bindingFor(m.page, k).short) + 3
	}
	for i := range keyTable {
		b := &keyTable[i]
		if b.short == "" || b.keys[0] == "?" || b.keys[0] == "q" || b.keys[0] == "Esc" || bindingFor(m.page, b.keys[0]) != b {
			continue
		}
		if !add(b.keys[0], b.short) {
			break
		}
	}
	used = 0
	for _, k := range tail {
		add(k, bindingFor(m.page, k).short)
	}
	return row(spans...)
}

// helpText is the key table in words.
func (m *model) helpText(w int) []line {
	out := wrapped(plain, "A flag is a word and a shape: # HOLD, keep them out; ? CAUTION, ask first; + CLEAR. CLEAR is earned by evidence and holds for this day only. On every page MOVE OUT NOW stands on top.", " ", " ", w)
	for _, p := range []part{pages, writing, looking, moving, everywhere} {
		out = append(out, blank, row(keep(plain, " "), keep(heading, partNames[p])))
		for i := range keyTable {
			if b := &keyTable[i]; b.part == p {
				out = append(out, labelled(1, strings.Join(b.keys, " or "), keycap, b.long, plain, 14, w)...)
			}
		}
	}
	out = append(out, blank, row(keep(plain, " "), keep(heading, "IN A FORM")))
	for _, k := range [][2]string{
		{"Tab Down", "next field; Shift-Tab and Up go back"},
		{"Left Right", "choose a word (or its first letter); move in a text"},
		{"Space", "on the paddocks: pick from a list"},
		{"Enter", "check: what was understood and which flags change; Enter again saves"},
		{"Ctrl-U", "empty the field"},
		{"Ctrl-N", "empty the form"},
		{"Ctrl-O", "what you typed in this form for another paddock"},
		{"Esc", "back; what was typed is kept"},
	} {
		out = append(out, labelled(1, k[0], keycap, k[1], plain, 14, w)...)
	}
	out = append(out, blank)
	out = append(out, wrapped(plain, "Numbers carry their unit: -3C, 26F, 61cm, 24in, 12mm. Days are today, yesterday, 17-Sep or 17-Sep-2026. A night is named by the day on which it ends. What is left empty means \"not said\", never no or zero.", " ", " ", w)...)
	if m.list != nil {
		out = append(out, wrapped(plain, board.Emergency+" "+onHold+" "+strings.Join(m.list.Call, "; ")+".", " ", " ", w)...)
		out = append(out, wrapped(plain, board.Defers, " ", " ", w)...)
	}
	return out
}

// pageful is how far PgDn goes.
func (m *model) pageful() int {
	if m.ids() == nil {
		_, n := m.text()
		return max(1, n-1)
	}
	return max(1, m.h/2)
}

func (a *app) show(p page) {
	a.m.open(p)
	a.follow()
}

func (a *app) escape() {
	if a.m.page == pageToday {
		switch {
		case a.m.find != "":
			a.m.find = ""
		case len(a.m.picked) > 0:
			clear(a.m.picked)
		}
		return
	}
	a.m.back()
	a.follow()
}

// enter opens what is selected.
func (a *app) enter() {
	m := a.m
	id := m.here()
	if id == "" {
		return
	}
	switch m.page {
	case pageToday, pageAhead:
		a.openWhy(id)
	case pageTasks:
		for _, r := range m.taskRows() {
			switch {
			case r.key() != id:
			case r.round != nil:
				f := newForm(m, kindOf(fields.KindDone), nil)
				f.named("round").text = r.name
				m.begin(f)
			default:
				a.openWhy(r.id)
			}
		}
	case pageNights:
		m.subject, m.why = id, nil
		m.explain()
		m.open(pageNight)
		a.needNights()
	case pageFeed:
		for _, r := range m.feedRows() {
			if r.id == id && r.subject != "" {
				a.openWhy(r.subject)
			}
		}
	case pageRules:
		m.open(pageRule)
	case pageMenu:
		a.openForm(fields.Kind(id))
	}
}

func (a *app) openWhy(id string) {
	a.m.subject = id
	a.m.explain()
	if a.m.why == nil {
		return
	}
	a.m.open(pagePaddock)
	a.needDays()
}

// subjectHere makes the selected paddock or lot the subject.
func (a *app) subjectHere() bool {
	m := a.m
	switch m.page {
	case pagePaddock, pagePast, pageNight:
		return m.why != nil
	case pageFeed:
		for _, r := range m.feedRows() {
			if r.id == m.here() {
				m.subject = r.subject
			}
		}
	default:
		m.subject = m.here()
	}
	if m.subject == "" {
		return false
	}
	m.explain()
	return m.why != nil
}

func (a *app) openPast() {
	if a.subjectHere() {
		a.m.past = nil
		a.m.open(pagePast)
		a.needPast()
	}
}

func (a *app) openNight() {
	if a.subjectHere() && !a.m.why.Lot {
		a.m.open(pageNight)
		a.needNights()
	}
}

func (a *app) pick() {
	m := a.m
	id := m.here()
	if id == "" || m.answer.History.Paddock(id) == nil {
		return
	}
	m.bulk = m.bulk && len(m.picked) > 0
	if m.picked[id] {
		delete(m.picked, id)
	} else {
		m.picked[id] = true
	}
	m.move(1)
}

func (a *app) pickAll() {
	m := a.m
	ids := m.ids()
	n := 0
	for _, id := range ids {
		if m.answer != nil && m.answer.History.Paddock(id) != nil && !m.picked[id] {
			m.picked[id] = true
			n++
		}
	}
	m.bulk = n > 0
	if n == 0 {
		clear(m.picked)
	}
}

func (a *app) nextUse() {
	m := a.m
	u := m.use() + 1
	if u > hazard.Feed {
		u = hazard.Graze
	}
	m.filter.Use = &u
	if u == hazard.Graze {
		m.filter.Use = nil
	}
	m.relist()
	if m.page == pageAhead && u == hazard.Feed {
		a.nextUse()
	}
}

func (a *app) nextClass() {
	m := a.m
	if m.answer == nil {
		return
	}
	all := board.FarmClasses(m.answer.History)
	switch {
	case m.filter.Class == nil:
		m.filter.Class = &all[0]
	default:
		next := -1
		for i, c := range all {
			if c == *m.filter.Class {
				next = i + 1
			}
		}
		m.filter.Class = nil
		if next > 0 && next < len(all) {
			m.filter.Class = &all[next]
		}
	}
	m.relist()
	if m.page == pageAhead {
		a.needDays()
	}
}

func (a *app) nextTheme() {
	for i, t := range themes {
		if t == a.m.theme {
			a.m.theme = themes[(i+1)%len(themes)]
			a.m.tell("Look: " + a.m.theme.Name + ".")
			return
		}
	}
}

func (a *app) toggleMouse() {
	a.m.mouse = !a.m.mouse
	a.tv.EnableMouse(a.m.mouse)
	if a.m.mouse {
		a.m.tell("Mouse on: a click selects, the wheel moves. The terminal cannot mark text meanwhile.")
	} else {
		a.m.tell("Mouse off.")
	}
}
