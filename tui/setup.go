package tui

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// adding is the id of the row that adds a thing; no short name has a blank.
const adding = "+ add"

// things are the farm's things of a kind that sets them up, nil of any other kind.
func (m *model) things(k fields.Kind) []string {
	switch h := m.answer.History; k {
	case fields.KindPaddock:
		return m.standing()
	case fields.KindStation:
		return idsOf(h.Stations, func(s **fields.StationFacts) string { return (*s).Station })
	case fields.KindHerd:
		return idsOf(h.Herds, func(g **fields.Herd) string { return (*g).HerdFacts.Herd })
	case fields.KindLot:
		return h.LotsLeft()
	}
	return nil
}

// openKind opens the form of a kind from the menu; of what the farm has several
// things of, the list of them first.
func (a *app) openKind(k fields.Kind) {
	m := a.m
	switch {
	case k == fields.KindFarm:
		m.begin(m.setUp(form.Of(k), ""))
	case len(m.things(k)) > 0:
		m.thing, m.sel[pageThings] = k, m.inHand()
		if m.page == pageMenu { // the menu is no place to come back to
			m.page = pageThings
		}
		m.open(pageThings)
	default:
		a.openForm(k)
	}
}

// thingsList is what the farm has of a kind; Enter changes one, the first row adds one.
func (m *model) thingsList(w, _ int) *list {
	k, h := form.Of(m.thing), m.answer.History
	ids := append([]string{adding}, m.things(m.thing)...)
	facts := func(i int) string {
		if b := h.OnFile(m.thing, ids[i]); b != nil {
			return m.words(&fields.Entry{Body: b})
		}
		return "nothing is said of it yet"
	}
	return &list{
		ids: ids, above: []line{row(keep(plain, " "), keep(heading, strings.ToUpper(k.Title)))},
		cols: []column{{"", 20}, {"", max(1, w-23)}},
		row: func(i int) []span {
			if i == 0 {
				return []span{keep(keycap, "add one"), keep(dim, "a fresh form")}
			}
			return []span{say(plain, ids[i]), say(dim, facts(i))}
		},
		detail: func(p *prose, i int) {
			if i > 0 {
				p.say(plain, facts(i))
			}
		},
		foot: counted(len(ids)-1, "is on file", "are on file") + "; Enter changes the selected one",
	}
}

func (a *app) openThing() {
	m := a.m
	k, id := form.Of(m.thing), m.selected(pageThings)
	if id == adding {
		id = ""
	}
	m.begin(m.setUp(k, id))
}

// setUp is a form that adds a thing, or changes the one with the id, or the farm: it
// shows what is on file, and says only what is touched.
func (m *model) setUp(k *form.Kind, id string) *draft {
	f := newDraft(m, k, nil)
	was := m.answer.History.OnFile(k.Kind, id)
	of := f.named(string(k.Kind))
	switch {
	case was == nil && of != nil:
		of.text, of.cur = id, len(id)
	case was == nil: // the farm begins
		for name, text := range m.answer.Offer {
			x := f.named(name)
			x.text, x.cur = text, len(text)
		}
	case was != nil:
		f.was, f.id = was, id
		f.lead = "Changes " + cmp.Or(id, "what is on file of the farm") + ". What you leave as it is stays."
		on := k.Typed(was, string(board.UnitsOf(m.answer.History)))
		f.fields = slices.DeleteFunc(f.fields, func(x field) bool { return x.Type == form.New })
		for i := range f.fields {
			x := &f.fields[i]
			x.was = strings.Join(on[x.Name], ", ")
			switch {
			case x.OfPaddocks():
				f.places = fields.SplitList(on[x.Name])
			case x.was != "":
				x.text, x.cur = x.was, len(x.was)
			}
		}
		f.at = max(0, slices.IndexFunc(f.fields, func(x field) bool { return x.Name == k.First }))
	}
	return f
}

// farmwide reports a form whose thermometer is named for good, or for a file: it is
// one of the farm's, and none is taken for said.
func farmwide(k *form.Kind) bool {
	at := k.Field("paddock")
	return at == nil || !at.OfPaddocks()
}

// touched reports a field that says something else than what is on file.
func (f *draft) touched(x *field) bool {
	if x.OfPaddocks() {
		return strings.Join(f.places, ", ") != x.was
	}
	return strings.TrimSpace(x.text) != x.was
}

// changes sees that a form that changes a thing changes something, and empties
// nothing: what was said once can be said otherwise, and not unsaid.
func (f *draft) changes() error {
	var ps fields.Problems
	any := false
	for i := range f.fields {
		x := &f.fields[i]
		empty := strings.TrimSpace(x.text) == "" && !x.OfPaddocks() || x.OfPaddocks() && len(f.places) == 0
		switch {
		case x.was != "" && empty:
			ps = append(ps, fields.Problem{
				Field: x.Name, What: "cannot be emptied", Type: "it was " + x.was + "; type what holds instead",
			})
		case x.Name != "on" && f.touched(x):
			any = true
		}
	}
	if !any && len(ps) == 0 {
		return errors.New("nothing is changed yet: change a field, or leave with Esc")
	}
	return ps.Err()
}

// twice refuses to add what is on file already.
func (m *model) twice(f *draft, entries []fields.Entry) error {
	of := f.named(string(f.kind.Kind))
	if of == nil || of.Type != form.New || len(entries) == 0 {
		return nil
	}
	id := form.ShortName(of.text, f.textOf("name"))
	if m.answer.History.OnFile(f.kind.Kind, id) == nil {
		return nil
	}
	return fields.Problems{{
		Field: of.Name, What: strconv.Quote(id) + " is there already",
		Type: "choose another name, or change that one with the " + f.kind.Title + " form (l)",
	}}
}

// echo says how the text of a field is read.
func (m *model) echo(x *field) string {
	if x.Type == form.New {
		if id := form.ShortName(x.text, m.form.textOf("name")); id != strings.TrimSpace(x.text) {
			return id
		}
	}
	return x.Echo(x.text, m.answer.Now, m.answer.Ask)
}

// onScreens says what to do on screens where a sentence of the farm names a command.
var onScreens = strings.NewReplacer(
	"`rimegate paddock set`", "the paddock form (l)", "`rimegate paddock add`", "the paddock form (l)",
	"`rimegate station set`", "the thermometer form (l)", "`rimegate station add`", "the thermometer form (l)",
	"`rimegate herd set`", "the herd form (l)", "`rimegate herd add`", "the herd form (l)",
	"add --as-said", "press Enter again", "add --as-printed", "press Enter again", "add --as-read", "press Enter again",
	"`rimegate lot set`", "the lot form (l)", "`rimegate lot add`", "the lot form (l)",
)

func (f *draft) textOf(name string) string {
	if x := f.named(name); x != nil {
		return x.text
	}
	return ""
}

// offer opens the form of the next part of a set-up, when the last is stored and read.
func (a *app) offer() {
	m := a.m
	if !m.begun { // once a sitting
		m.begun = true
		m.setting = a.setUp || !m.answer.History.ZoneSet || len(m.standing()) == 0
		m.due, m.passed = m.setting, map[string]bool{}
	}
	if !m.due || !m.setting || m.page != pageToday {
		return
	}
	m.due = false
	for _, p := range form.Parts(m.answer.History) {
		if !m.passed[p.Key()] {
			m.ask(&p)
			return
		}
	}
	m.setting = false
	if len(m.standing()) > 0 {
		told := m.notice
		m.open(pageGreen)
		m.tell(told)
	}
	if len(m.unsaved()) > 0 {
		m.tell("A form is not saved yet: l shows which.")
	}
}

// ask opens the form of a part, the cursor on the first field that is asked.
func (m *model) ask(p *form.Part) {
	told := m.notice
	var f *draft
	switch p.Kind.Kind {
	case fields.KindSown:
		f = newDraft(m, p.Kind, []string{p.ID})
	case fields.KindGrazed:
		f = newDraft(m, p.Kind, nil)
		for name, text := range map[string]string{"herd": p.ID, "state": string(fields.MoveIn)} {
			f.named(name).text = text
		}
	default:
		f = m.setUp(p.Kind, p.ID)
	}
	f.part = p
	if !p.More() {
		f.at = max(0, slices.IndexFunc(f.fields, func(x field) bool { return x.Name == p.Ask[0].Name }))
	}
	f.lead = p.Lead
	switch {
	case !m.answer.History.ZoneSet:
		f.lead += " Esc looks around without."
	case p.More():
		f.lead += " Esc when all are in."
	default:
		f.lead += " Esc leaves it open."
	}
	if m.answer.Begins != "" {
		f.lead = m.answer.Begins + " " + f.lead
	}
	m.begin(f)
	if told != "" {
		m.tell(told)
	}
}

// began notes that the form of a part is stored: the next one is due.
func (m *model) began(f *draft) {
	if f.part == nil {
		return
	}
	m.due = m.setting
	done := *f.part
	if done.More() { // what was left out of it was just asked
		done.ID = form.ShortName(f.textOf(string(f.kind.Kind)), f.textOf("name"))
	}
	m.passed[done.Key()] = true
}

// skip goes on to the next part of a set-up. Without a farm there is none.
func (a *app) skip(f *draft) {
	m := a.m
	if f.part == nil {
		return
	}
	m.passed[f.part.Key()], m.due = true, true
	if !m.answer.History.ZoneSet {
		m.setting = false
	}
	a.offer()
}

// greenText says what would turn the first page green.
func (m *model) greenText(p *prose) {
	acts, open := board.Greens(m.answer.Assessment, board.Filter{})
	if open == 0 && len(m.standing()) > 0 {
		p.say(plain, board.AllGreen)
		return
	}
	for i := range acts[:min(board.MostGreen, len(acts))] {
		for n, l := range acts[i].Words(open) {
			if n == 0 {
				p.add(plain, 1, 4, strconv.Itoa(i+1)+". "+l)
			} else {
				p.add(plain, 4, 4, l)
			}
		}
		if k := acts[i].Form; k != "" {
			how := "Log it here: l, then " + form.Of(k).Title
			if k == fields.KindSampled { // only its result turns anything green
				how += "; with its result " + form.Of(fields.KindLab).Title
			}
			p.add(dim, 4, 4, how+".")
		}
	}
	if slices.ContainsFunc(form.Parts(m.answer.History), func(x form.Part) bool { return !x.More() }) {
		p.say(plain, "")
		p.say(plain, "Not all of the farm is told: leave with q, and `rimegate start` asks for the rest.")
	}
}
