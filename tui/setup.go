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
		return h.Lots()
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
	"`rimegate lot set`", "the lot form (l)", "`rimegate lot add`", "the lot form (l)",
)

func (f *draft) textOf(name string) string {
	if x := f.named(name); x != nil {
		return x.text
	}
	return ""
}

// step is a form of a farm that begins.
type step struct {
	kind fields.Kind
	lead string
}

// start are the forms of a farm that begins, in order, with what is said over each.
var start = []step{
	{fields.KindFarm, "Your farm begins here. Type its name and time zone, and whom to call. Esc looks around without."},
	{fields.KindStation, "Next, a thermometer whose readings count for paddocks. Esc: there is none, or no more; " +
		"the paddocks come next."},
	{fields.KindPaddock, "Now the paddocks, one after the other. Esc when all are in; the herds come next."},
	{fields.KindHerd, "Last, the herds, one after the other. Esc when all are in."},
}

// offer opens the next form of a farm that begins, when the last is stored and read.
func (a *app) offer() {
	m := a.m
	if !m.begun { // once a sitting
		m.begun = true
		switch {
		case !m.answer.History.ZoneSet:
			m.steps, m.due = start, true
		case len(m.standing()) == 0: // the last sitting ended with the farm's name
			m.steps, m.due = start[1:], true
		}
	}
	if !m.due || len(m.steps) == 0 || m.page != pageToday {
		return
	}
	m.due = false
	step := m.steps[0]
	told := m.notice
	f := m.setUp(form.Of(step.kind), "")
	f.lead = step.lead
	if m.answer.Begins != "" {
		f.lead = m.answer.Begins + " " + f.lead
	}
	m.begin(f)
	if told != "" {
		m.tell(told)
	}
}

// began notes that a form of a farm that begins is stored: the farm is one, of
// everything else there may be more.
func (m *model) began(k fields.Kind) {
	if len(m.steps) > 0 && m.steps[0].kind == k {
		m.due = true
		if k == fields.KindFarm {
			m.steps = m.steps[1:]
		}
	}
}

// skip goes on to the next form of a farm that begins. Without a farm there is none.
func (a *app) skip(f *draft) {
	m := a.m
	if len(m.steps) == 0 || m.steps[0].kind != f.kind.Kind || f.was != nil {
		return
	}
	m.steps, m.due = m.steps[1:], true
	if f.kind.Kind == fields.KindFarm {
		m.steps = nil
	}
	switch {
	case len(m.steps) > 0:
	case len(m.unsaved()) > 0:
		m.tell("A form is not saved yet: l shows which.")
	case len(m.standing()) > 0:
		m.tell("Next, what grows in each paddock: l, then sown, or seen growing.")
	}
	a.offer()
}
