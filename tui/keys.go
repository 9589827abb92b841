package tui

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/gdamore/tcell/v2"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// binding is one line of the key table. The footer and the help are made of
// it, and no key but a typed letter does anything that is not in it.
type binding struct {
	keys  string // names as keyName gives them, with spaces; the footer prints the first
	on    []page // nil: wherever no text is being typed
	part  part   // of the help
	short string // for the footer, "" for help only
	long  string // for the help
	do    func(*app)
}

type part string

const (
	everywhere part = "EVERYWHERE"
	pages      part = "PAGES"
	writing    part = "WRITING DOWN"
	looking    part = "LOOKING"
	moving     part = "MOVING"
	inForm     part = "IN A FORM"
)

var (
	paddockLists = []page{pageToday, pageNights, pageAhead}
	farmPages    = []page{ // where paddocks are in hand
		pageToday, pageNights, pageAhead, pageTasks, pageFeed, pagePaddock, pagePast, pageNight, pageHerds,
	}
	logPages  = append(slices.Clone(farmPages), pageGreen) // where a form can be opened
	openPages = []page{pageToday, pageNights, pageFeed, pageAhead, pageTasks, pageRules, pageHerds}
	textPages = []page{pagePaddock, pageRule, pageCheck, pageHelp, pageMoves, pageBlend, pageGreen}
	theForm   = []page{pageForm}
	thePicker = []page{pagePick}
)

// keyTable is every key; bound are its lines by key.
var (
	keyTable func() []binding
	bound    func() map[string][]*binding
)

func init() { // in a function, since help is made of the table that shows help
	keyTable = sync.OnceValue(makeKeys)
	bound = sync.OnceValue(func() map[string][]*binding {
		by := map[string][]*binding{}
		for i := range keyTable() {
			b := &keyTable()[i]
			for _, k := range strings.Fields(b.keys) {
				by[k] = append(by[k], b)
			}
		}
		return by
	})
}

func makeKeys() []binding {
	open := func(a *app) {
		if a.m.selected(a.m.page) != "" {
			screens[a.m.page].open(a)
		}
	}
	opens := func(k fields.Kind) func(*app) { return func(a *app) { a.openForm(k) } }
	show := func(p page) func(*app) { return func(a *app) { a.show(p) } }
	move := func(n int) func(*app) { return func(a *app) { a.m.move(n) } }
	find := func(a *app) { a.m.typing = true }
	pageDown := func(a *app) { a.m.move(a.m.pageful()) }
	return []binding{
		{"Enter", openPages, looking, "open", "open what is selected: the reasoning, the nights, the rule; " +
			"of a round, the form that says it was done", open},
		{"i", []page{pageAhead}, looking, "what if", "ask what the coming days are if something happens on the " +
			"chosen day; nothing is stored, Esc takes it away", (*app).askIf},
		{"Left Right", []page{pageAhead}, looking, "", "choose the day", (*app).chooseDay},
		{"Enter", []page{pageMenu, pageThings}, writing, "open form", "open the selected form", open},
		{"Enter", []page{pageCheck}, writing, "SAVE", "store what was checked", (*app).save},
		{"f", logPages, writing, "frost", "log a frost for the picked paddocks, " +
			"else the selected one", opens(fields.KindFrost)},
		{"0", farmPages, writing, "no frost", "sign that last night had no frost, for the picked paddocks, " +
			"else the selected one", opens(fields.KindNoFrost)},
		{"r", logPages, writing, "reading", "log what the yard thermometer said of last night; " +
			"Ctrl-T in the form takes another thermometer", opens(fields.KindReading)},
		{"w", logPages, writing, "walk", "log a walk", opens(fields.KindWalk)},
		{"s", farmPages, writing, "", "log stock moved in or out; among the herds, where the selected " +
			"one went", (*app).moved},
		{"b", farmPages, writing, "", "log a lab result", opens(fields.KindLab)},
		{"l", logPages, writing, "log", "all forms, by name; unsaved ones are marked", show(pageMenu)},
		{"Space", paddockLists, writing, "pick", "pick the paddock for a form, and go to the next", (*app).pick},
		{"a", paddockLists, writing, "", "pick every paddock shown, or none", (*app).pickAll},
		{"u", []page{pageToday, pageAhead}, looking, "use", "ask for the next use: grazing, chopping, swath, hay, " +
			"silage, feeding", (*app).nextUse},
		{"c", []page{pageToday, pageAhead, pageFeed}, looking, "herd", "ask for the next herd, " +
			"then for all of the farm's", (*app).nextClass},
		{"e", farmPages, looking, "herds", "the herds, and where they stand", show(pageHerds)},
		{"/", []page{pageToday}, looking, "find", "show only names that hold some letters", find},
		{"h", []page{pagePaddock, pageNight, pageToday, pageFeed}, looking, "history", "the entries about it, " +
			"with their ids", (*app).openPast},
		{"n", []page{pagePaddock, pagePast, pageToday}, looking, "nights", "its nights, one a line", (*app).openNight},
		{"y", farmPages, looking, "", "the acts that would turn most answers to YES", show(pageGreen)},
		{"x", []page{pagePast}, writing, "strike", "strike the selected entry: it stays, " +
			"but no longer counts", (*app).strike},
		{"Ctrl-Z", nil, writing, "", "take back what was stored last in this sitting; asks first", (*app).takeBack},
		{"1", nil, pages, "", "the morning list", show(pageToday)},
		{"2", nil, pages, "", "nights: how cold, and which nobody read", show(pageNights)},
		{"3", nil, pages, "", "lab results, water and lots of feed", show(pageFeed)},
		{"4", nil, pages, "", "the coming days, paddock by day", show(pageAhead)},
		{"5", nil, pages, "", "errands, the earliest first", show(pageTasks)},
		{"6", nil, pages, "", "the rulebook with its sources", show(pageRules)},
		{"7", nil, pages, "", "moves: where each herd can stand, for how many days", show(pageMoves)},
		{"Down j", nil, moving, "", "down", move(1)},
		{"Up k", nil, moving, "", "up", move(-1)},
		{"PgDn", nil, moving, "", "a page down", pageDown},
		{"PgUp", nil, moving, "", "a page up", func(a *app) { a.m.move(-a.m.pageful()) }},
		{"Space", textPages, moving, "", "in a text: a page down", pageDown},
		{"Home g", nil, moving, "", "the first row", move(-1 << 20)},
		{"End G", nil, moving, "", "the last row", move(1 << 20)},
		{"Enter", theForm, inForm, "check", "check: what was understood and which flags change; " +
			"Enter again saves", (*app).check},
		{"Tab Down", theForm, inForm, "next", "the next field; of a file, Tab completes its name", (*app).tab},
		{"Up Shift-Tab", theForm, inForm, "", "the field before", func(a *app) { a.m.form.step(-1) }},
		{"Esc", theForm, inForm, "back, keeps it", "back; what was typed is kept", (*app).leaveForm},
		{"Ctrl-O", theForm, inForm, "other draft", "what you typed in this form for another paddock", (*app).otherForm},
		{"Ctrl-T", theForm, inForm, "other thermometer", "of a reading or forecast: the next thermometer", (*app).nextThermometer},
		{"Left Right", theForm, inForm, "choose", "choose a word (or its first letter); move in a text", (*app).edit},
		{"Ctrl-N", theForm, inForm, "empty form", "empty the form", (*app).emptyForm},
		{"Ctrl-U", theForm, inForm, "", "empty the field", (*app).edit},
		{"Space", theForm, inForm, "", "on the paddocks: pick from a list", (*app).edit},
		{"Space", thePicker, inForm, "pick", "in that list: pick the paddock, and go to the next", (*app).pick},
		{"a", thePicker, inForm, "all", "in that list: pick all, or none", (*app).pickAll},
		{"Enter", thePicker, inForm, "done", "in that list: back to the form, with the selected one if none is " +
			"picked", (*app).picked},
		{"Tab", thePicker, inForm, "", "in that list: back to the form", (*app).escape},
		{"Esc Left", nil, everywhere, "back", "back to where you came from; never leaves the program", (*app).escape},
		{"Ctrl-R", nil, everywhere, "", "read the journal again (it is looked at every two seconds anyway)", (*app).reload},
		{"t", nil, everywhere, "", "next look: colour, colour-blind safe, black and white", (*app).nextTheme},
		{"m", nil, everywhere, "", "mouse on or off (on, the terminal cannot mark text)", (*app).toggleMouse},
		{"?", nil, everywhere, "help", "this page", show(pageHelp)},
		{"q Ctrl-C", nil, everywhere, "quit", "leave; asks once if a form is not saved " +
			"(in a form Ctrl-C alone)", (*app).leave},
	}
}

// keyName is a key as the table and the help print it, "" for one of no use.
func keyName(e *tcell.EventKey) string {
	switch k := e.Key(); {
	case k == tcell.KeyRune && e.Rune() == ' ':
		return "Space"
	case k == tcell.KeyRune:
		return string(e.Rune())
	case k == tcell.KeyBacktab:
		return "Shift-Tab"
	case k == tcell.KeyBackspace2:
		return "Backspace"
	default:
		return tcell.KeyNames[k]
	}
}

// bindingFor is the line of the table for a key on a page: one made for the
// page goes before one for all pages.
func bindingFor(p page, key string) *binding {
	var general *binding
	for _, b := range bound()[key] {
		switch {
		case slices.Contains(b.on, p):
			return b
		case b.on == nil && p != pageForm:
			general = b
		}
	}
	return general
}

// onKey takes every key. A failure in here is told, and nothing is lost.
func (a *app) onKey(e *tcell.EventKey) {
	defer func() {
		if r := recover(); r != nil {
			a.m.wrong("That key failed (" + sentence(fmt.Errorf("%v", r)) + ") Nothing was lost.")
		}
	}()
	a.key = keyName(e)
	if a.panicky != nil {
		a.panicky(a.key)
	}
	a.press()
}

// press does what the key is for: what is being typed goes first, then the table.
func (a *app) press() {
	m := a.m
	if a.key != "Ctrl-C" && (a.key != "q" || m.typing || m.page == pageForm) {
		m.leaving = false
	}
	b := bindingFor(m.page, a.key)
	switch {
	case a.key == "Ctrl-C":
		a.leave()
	case a.key == "":
	case m.typing:
		m.findKey(a.key)
	case b != nil && m.answer == nil && b.part != everywhere && b.part != moving:
		m.wrong("The journal is not read yet.")
	case b != nil:
		if a.key != "q" && m.page != pageForm { // words of the last act are gone with the next
			m.tell("")
		}
		b.do(a)
	case m.page == pageForm:
		a.edit()
	}
	if m.form != nil {
		m.form.spread(m)
	}
}

func (a *app) onPaste(s string) {
	s = board.Clean(s)
	a.m.leaving = false
	switch {
	case a.m.typing:
		a.m.find.insert(s)
		a.m.found()
	case a.m.page == pageForm:
		a.m.form.insert(s)
	}
}

// footer lists the keys of the page that fit; those that lead away always do.
func (m *model) footer(w int) line {
	var first, last []span
	for i := range keyTable() {
		b := &keyTable()[i]
		key, _, _ := strings.Cut(b.keys, " ")
		if b.short == "" || bindingFor(m.page, key) != b || key == "Esc" && len(m.stack) == 0 ||
			key == "Ctrl-O" && m.otherDraft() == nil || key == "Ctrl-T" && m.form.thermometer() == nil {
			continue
		}
		if b.keys == "Left Right" {
			key = b.keys
		}
		if word := []span{keep(keycap, " "+key), keep(dim, " "+b.short+" ")}; b.part == everywhere {
			last = append(last, word...)
		} else {
			first = append(first, word...)
		}
	}
	for len(first) > 0 && row(first...).width()+row(last...).width() > w {
		first = first[:len(first)-2]
	}
	return row(append(first, last...)...)
}

func (m *model) helpText(p *prose) {
	p.add(plain, 1, 1, "A flag is a word and a shape: # HOLD or NO, keep them out; ? CAUTION, ask first; + CLEAR or YES. "+
		"CLEAR is earned by evidence and holds for this day only. On every page MOVE OUT NOW stands on top. "+
		"A + between two steps: both must be done.")
	for _, x := range []part{pages, writing, looking, moving, everywhere, inForm} {
		p.part(string(x))
		for i := range keyTable() {
			if b := &keyTable()[i]; b.part == x {
				p.labelled(1, strings.Join(strings.Fields(b.keys), " or "), 17, b.long)
			}
		}
	}
	p.row()
	p.add(plain, 1, 1, "Numbers carry their unit: -3C, 26F, 61cm, 24in, 12mm. "+
		"Days are today, yesterday, 17-Sep or 17-Sep-2026. A night is named by the day on which it ends. "+
		"What is left empty means \"not said\", never no or zero.")
	if m.list != nil {
		p.add(plain, 1, 1, board.Emergency+" "+board.OnHold+" "+strings.Join(m.list.Call, "; ")+".")
		p.add(plain, 1, 1, board.Defers)
	}
}

func (a *app) show(p page) {
	a.m.open(p)
	a.follow()
}

func (a *app) escape() {
	if m := a.m; m.page == pageAhead && m.ifs != nil {
		m.ifs = nil
	} else if m.page != pageToday {
		m.back()
		a.follow()
	} else if m.find.text != "" {
		m.find = input{}
	} else {
		m.picked = nil
	}
}

func (a *app) openAbout(p page) {
	m, id := a.m, a.m.inHand()
	if id == "" {
		return
	}
	m.subject, m.past = id, nil
	if m.explain(); m.why != nil && (p != pageNight || !m.why.Lot) {
		a.show(p)
	}
}

func (a *app) openWhy()   { a.openAbout(pagePaddock) }
func (a *app) openPast()  { a.openAbout(pagePast) }
func (a *app) openNight() { a.openAbout(pageNight) }
func (a *app) openRule()  { a.m.open(pageRule) }

// picks are the paddocks picked on the page: in a form's picker those of the form.
func (m *model) picks() []string {
	if m.page == pagePick {
		return m.form.places
	}
	return m.picked
}

func (m *model) setPicks(ids []string, bulk bool) {
	if m.page == pagePick {
		m.form.places, m.form.bulk, m.form.chosen = ids, bulk, true
		if x := m.form.named("state"); m.form.kind.Kind == fields.KindGrazed && !x.meant && m.stocked(ids) {
			x.text = "" // in or out, the person must say
		}
		m.form.changed()
		return
	}
	m.picked, m.bulk = ids, bulk
}

func (a *app) pick() {
	m, id := a.m, a.m.selected(a.m.page)
	if l := m.listOf(m.page); len(l.about) > 0 { // a swath is picked with its paddock
		id = m.inHand()
	}
	if m.answer.History.Paddock(id) == nil {
		return
	}
	was := m.picks()
	now := slices.DeleteFunc(slices.Clone(was), func(x string) bool { return x == id })
	if len(now) == len(was) {
		now = append(now, id)
	}
	bulk := m.bulk
	if m.page == pagePick {
		bulk = m.form.bulk
	}
	m.setPicks(now, bulk && len(was) > 0)
	m.move(1)
}

// picked goes back to the form with what was picked, the selected paddock if nothing was.
func (a *app) picked() {
	if len(a.m.form.places) == 0 {
		a.pick()
	}
	a.escape()
}

// moved opens the form of a move: of the paddock in hand, or of the selected herd with
// the list of where it may have gone.
func (a *app) moved() {
	m := a.m
	if m.page != pageHerds {
		a.openForm(fields.KindGrazed)
		return
	}
	herd, _, _ := strings.Cut(m.selected(pageHerds), "\x00")
	f := m.formFor(fields.KindGrazed, nil)
	f.named("herd").text, f.named("state").meant = herd, true
	f.at = max(0, slices.IndexFunc(f.fields, func(x field) bool { return x.OfPaddocks() }))
	m.begin(f)
	if len(m.form.places) == 0 {
		delete(m.sel, pagePick)
		m.open(pagePick)
	}
}

// pickAll picks every paddock shown, or none if all are picked.
func (a *app) pickAll() {
	m, was := a.m, a.m.picks()
	more := slices.DeleteFunc(slices.Clone(m.listOf(m.page).ids), func(id string) bool {
		return m.answer.History.Paddock(id) == nil || slices.Contains(was, id)
	})
	switch {
	case len(more) == 0:
		m.setPicks(nil, false)
	case m.page == pagePick && m.form.kind.Named:
		m.tell(nameEach)
	default:
		m.setPicks(append(slices.Clone(was), more...), true)
	}
}

func (a *app) nextUse() {
	m := a.m
	u := m.list.Use + 1
	if u == hazard.Feed && m.page == pageAhead {
		u++
	}
	if m.filter.Use = &u; u > hazard.Feed {
		m.filter.Use = nil
	}
	m.relist()
}

// nextClass asks for the next herd, or class where the farm has no herds, after the
// last for all of them.
func (a *app) nextClass() {
	m := a.m
	if herds := append(m.herds(), ""); len(herds) > 1 {
		m.filter.Herd = herds[(slices.Index(herds, m.filter.Herd)+1)%len(herds)]
		m.relist()
		a.follow()
		return
	}
	all, next := m.graze.Classes, 0
	if m.filter.Class != nil {
		next = slices.Index(all, *m.filter.Class) + 1
	}
	if m.filter.Class = nil; next < len(all) {
		m.filter.Class = &all[next]
	}
	m.relist()
	a.follow()
}

func (a *app) nextTheme() {
	a.m.theme = themes[(slices.Index(themes, a.m.theme)+1)%len(themes)]
	a.m.tell("Look: " + a.m.theme.Name + ".")
}

func (a *app) toggleMouse() {
	a.m.mouse = !a.m.mouse
	a.tv.EnableMouse(a.m.mouse)
	a.m.tell("Mouse off.")
	if a.m.mouse {
		a.m.tell("Mouse on: a click selects, the wheel moves. The terminal cannot mark text meanwhile.")
	}
}
