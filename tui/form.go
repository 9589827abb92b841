package tui

import (
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

type field struct {
	*form.Field
	choices []string
	shown   map[string]string // how a choice reads, where not as it is
	input                     // as typed, or the choice
	err     string
	was     string // what is on file, of a form that changes it
	place   string // the paddock it is asked of, where it is asked of each apart
	meant   bool   // chosen by hand, or by what opened the form
}

// draft is a half-written entry. It lives in the model until it is stored or
// emptied: no mistake, busy journal, other page or other paddock makes it go.
type draft struct {
	kind   *form.Kind
	fields []field
	at     int
	places []string         // picked paddocks
	bulk   bool             // picked all at once
	chosen bool             // picked by a person: not only the one in hand
	alone  string           // whose the fields are that can be asked apart, while they are not
	kept   map[string]input // what was typed into such fields, by field and paddock
	entry  string           // which a strike strikes
	about  string           // that entry in words
	takes  *saved           // what it takes back
	was    fields.Body      // what it changes: it stands as its fields' was
	id     string           // of that
	lead   string           // what is said over the form
	part   *form.Part       // of a set-up, that it answers
	err    string           // what concerns no one field
	dirty  bool

	waiting bool // for the check or the save
	edits   int  // how often it was changed: a check of an older state is void
	ready   []fields.Entry
	out     *Outcome

	day   fields.Date     // on which it was begun: today of that day
	onto  fields.Date     // of which it assumes something and stores nothing; NoDate: it logs
	asked map[string]bool // typed texts that were asked about once
	again string          // what was typed when the farm asked about it, "" if it did not
}

func newDraft(m *model, k *form.Kind, places []string) *draft {
	f := &draft{kind: k, day: m.answer.Today, onto: m.onto(), asked: map[string]bool{}, kept: map[string]input{}}
	if k.Kind == fields.KindReading { // of a thermometer, whichever paddock is in hand
		places = nil
	}
	// Of an animal that fell sick both count: none of them is dropped.
	f.chosen = len(m.picked) > 0 || k.Kind == fields.KindIncident
	asks := k.First
	for i := range k.Fields {
		x := field{Field: &k.Fields[i], choices: k.Fields[i].Choices, shown: k.Fields[i].Shown}
		if x.Label == "" {
			continue
		}
		if x.text = x.Preset; x.text == "" {
			x.text = x.Default(m.answer.Now)
		}
		if f.onto != fields.NoDate && slices.Contains([]string{"on", "night", "sampled_on"}, x.Name) {
			x.text = f.onto.Words()
		}
		switch {
		case x.OfPaddocks() && (x.Flag == "" || len(m.picked) > 0): // what it says more of paddocks, a person says
			f.places = places
		case k.Kind == fields.KindGrazed && x.Name == "state" && m.stocked(places): // in or out, the person must say
			x.text, asks = "", "state"
		case x.Name == "night" && x.text == "": // which of two nights, the person must say
			asks = "night"
		case x.Type == form.Name:
			m.names(&x, k, places)
		}
		x.cur = len(x.text)
		f.fields = append(f.fields, x)
	}
	f.at = max(0, slices.IndexFunc(f.fields, func(x field) bool { return x.Name == asks }))
	return f
}

// onto is the day of which a form opened now assumes something, NoDate if it logs.
func (m *model) onto() fields.Date {
	switch m.page {
	case pageMenu:
		return m.supposed
	case pageForm:
		return m.form.onto
	}
	return fields.NoDate
}

// stocked reports stock in one of the paddocks.
func (m *model) stocked(paddocks []string) bool {
	h := m.answer.History
	return slices.ContainsFunc(paddocks, func(p string) bool {
		return slices.ContainsFunc(h.Lines(p), func(line []string) bool { return len(h.Inside(line)) > 0 })
	})
}

// names makes choices of the farm's things of a sort.
func (m *model) names(x *field, k *form.Kind, places []string) {
	h := m.answer.History
	switch x.Of {
	case "lot":
		x.choices = h.LotsLeft()
	case "paddock":
		x.choices, x.shown = m.standing(), map[string]string{}
		for _, p := range x.choices {
			x.shown[p] = m.name(p)
		}
	case "herd":
		x.choices = idsOf(h.Herds, func(h **fields.Herd) string { return (*h).Herd })
	case "round":
		x.choices = idsOf(m.answer.Rounds, func(r *board.RoundRow) string { return r.Name })
	case "station":
		m.thermometers(x, places)
		if farmwide(k) {
			x.text = ""
			return
		}
		if k.Kind == fields.KindReading {
			m.insides(x)
		}
		x.choices = append(x.choices, form.Inside)
	}
}

// thermometers are the farm's stations; the one of most of the paddocks goes first
// and is chosen.
func (m *model) thermometers(x *field, places []string) {
	h := m.answer.History
	x.choices, x.shown = nil, maps.Clone(x.shown)
	for _, s := range h.Stations {
		x.choices = append(x.choices, s.Station)
		x.shown[s.Station] = s.Name
	}
	used := m.used(places)
	if len(used) == 0 {
		used = m.used(m.standing())
	}
	slices.SortStableFunc(x.choices, func(a, b string) int { return used[b] - used[a] })
	if len(x.choices) > 0 {
		x.text = x.choices[0]
	}
}

// used counts the paddocks of each station.
func (m *model) used(paddocks []string) map[string]int {
	out := map[string]int{}
	for _, p := range paddocks {
		for _, line := range m.answer.History.Lines(p) {
			for _, s := range m.answer.History.NightSetting(line, m.answer.Today).Stations {
				out[s]++
			}
		}
	}
	return out
}

// readAt asks a reading for the thermometer of a paddock and the first of the nights.
func (f *draft) readAt(m *model, paddock string, nights []fields.Date) {
	used, x := m.used([]string{paddock}), f.named("station")
	for _, c := range x.choices {
		if used[c] > used[x.text] {
			x.text = c
		}
	}
	if night := f.named("night"); len(nights) > 0 {
		night.text = nights[0].Words()
		night.cur = len(night.text)
	}
}

// ofNight asks a form for the night that is selected on the page of one paddock's nights,
// and a reading for that paddock's thermometer. The night on top nobody chose.
func (f *draft) ofNight(m *model) {
	names := map[fields.Kind][]string{fields.KindFrost: {"night"}, fields.KindReading: {"night"}, fields.KindNoFrost: {"from", "to"}}[f.kind.Kind]
	if f.kind.Kind == fields.KindReading {
		f.readAt(m, m.subject, nil)
	}
	l := m.listOf(pageNight)
	if i := l.at(m.sel[pageNight]); i > 0 && i < len(l.ids) {
		night, err := fields.ParseDate(l.ids[i], m.answer.Today)
		for _, name := range names {
			if x := f.named(name); err == nil {
				x.text, x.meant = night.Words(), true
				x.cur = len(x.text)
			}
		}
	}
}

// insides adds the thermometers inside paddocks, by name: those that were read
// before and that of the one paddock in hand. What a person read last is chosen.
func (m *model) insides(x *field) {
	standing := m.standing()
	add := func(p string) {
		if id := form.Inside + p; slices.Contains(standing, p) && !slices.Contains(x.choices, id) {
			x.choices = append(x.choices, id)
			x.shown[id] = "inside " + m.name(p)
		}
	}
	for i := range m.answer.History.Facts {
		f := &m.answer.History.Facts[i]
		r, ok := f.Body.(*fields.Reading)
		if !ok || f.Batch != "" {
			continue
		}
		id := r.Station
		if r.Paddock != "" {
			id = form.Inside + r.Paddock
			add(r.Paddock)
		}
		if slices.Contains(x.choices, id) {
			x.text = id
		}
	}
	if p := m.one(); len(p) > 0 {
		add(p[0])
	}
}

// thermometer is the field in which one is chosen, nil if there is none.
func (f *draft) thermometer() *field {
	if x := f.named("station"); x != nil && x.chosen() {
		return x
	}
	return nil
}

// nextThermometer chooses the next one, wherever the cursor is.
func (a *app) nextThermometer() {
	f := a.m.form
	if x := f.thermometer(); x != nil {
		x.choose("Right")
		x.err = ""
		f.changed()
	}
}

// openForm opens a form for the picked paddocks, else for the one in hand.
func (a *app) openForm(k fields.Kind) {
	m, kind := a.m, form.Of(k)
	places := m.placesInHand()
	if kind.Named && m.bulk && len(places) > 1 {
		places = m.one()
		defer m.tell(nameEach)
	}
	m.begin(m.formFor(k, places))
}

// formFor is a form for paddocks, or for the lot in hand.
func (m *model) formFor(k fields.Kind, places []string) *draft {
	f := newDraft(m, form.Of(k), places)
	f.bulk = m.bulk && len(places) > 1
	switch p := m.below(); {
	case p == pageNight:
		f.ofNight(m)
	case k == fields.KindWalk && p == pageToday && len(m.picked) == 0 && strings.HasSuffix(m.selected(p), aSwath):
		f.named("part").text = "swath"
	}
	lots := m.answer.History.LotsLeft()
	if x := f.named("lot"); x != nil && (x.chosen() || x.Type == form.Each) && slices.Contains(lots, m.inHand()) {
		x.text, x.cur = m.inHand(), len(m.inHand())
	}
	return f
}

const nameEach = "Good news is said of paddocks somebody looked at: pick them one by one."

// begin opens a fresh form, or the half-written one about the same: what was
// typed about another paddock is offered, never taken for this one.
func (m *model) begin(f *draft) {
	plain := newDraft(m, f.kind, f.places)
	for _, d := range m.drafts {
		if d.dirty && d.kind == f.kind && d.subject() == f.subject() && d.agrees(f, plain) {
			f = d
		}
	}
	m.bring(f)
	if m.page == pageMenu { // the menu is no place to come back to
		m.page = pageForm
	}
	m.open(pageForm)
}

// agrees reports that a half-written form says what another one was opened with: a
// herd, a way or a night that a key filled in is never replaced by one typed before.
func (f *draft) agrees(with, plain *draft) bool {
	if f.takes != nil && with.takes != nil && f.takes.whole != with.takes.whole {
		return false
	}
	for _, name := range []string{"herd", "state", "night", "from", "station", "part"} {
		if x := with.named(name); x != nil && x.text != plain.textOf(name) && x.text != f.textOf(name) {
			return false
		}
	}
	return true
}

// bring shows a form and says what else of its kind is half-written. Forms in
// which nothing was typed go.
func (m *model) bring(f *draft) {
	m.drafts = append(slices.DeleteFunc(m.drafts, func(d *draft) bool { return d == f || !d.dirty }), f)
	f.waiting = false
	m.form = f
	m.tell("")
	if o := m.otherDraft(); o != nil {
		m.tell("Not saved yet: " + o.title() + " " + o.whom(m) + ". Ctrl-O opens it.")
	} else if f.dirty {
		m.tell("What you typed before is still here; Ctrl-N empties the form.")
	}
}

// otherDraft is the half-written form of the open form's kind that lay longest.
func (m *model) otherDraft() *draft {
	for _, d := range m.drafts {
		if m.form != nil && d != m.form && d.dirty && d.takes == nil && d.kind == m.form.kind && d.onto == m.form.onto {
			return d
		}
	}
	return nil
}

func (f *draft) title() string {
	if f.kind.Title == "" {
		return string(f.kind.Kind)
	}
	return f.kind.Title
}

// thing is the lot or the round a form speaks of, "" if of none.
func (f *draft) thing(name string) string {
	if x := f.named(name); x != nil && x.Type == form.Name && (name != "station" || !farmwide(f.kind)) {
		return x.text
	}
	return ""
}

// subject is what a form speaks of: paddocks or lot, a struck entry, a round.
func (f *draft) subject() string {
	places := strings.Join(slices.Sorted(slices.Values(f.places)), ",")
	takes := ""
	if f.takes != nil {
		takes = fmt.Sprint(f.takes.strikes)
	}
	return strings.Join([]string{
		f.onto.String(), places, f.entry, takes, f.id, f.thing("lot"), f.thing("round"), f.thing("station"),
	}, "\x00")
}

func (f *draft) whom(m *model) string {
	switch {
	case f.about != "":
		return "(" + f.about + ")"
	case f.id != "":
		return "of " + f.id
	case f.thing("lot") != "":
		return "for lot " + f.thing("lot")
	case len(f.places) > 1:
		return "for " + counted(len(f.places), "paddock", "paddocks")
	case len(f.places) == 1:
		return "for " + m.name(f.places[0])
	case f.thing("round") != "":
		return "of " + f.thing("round")
	case f.thing("station") != "":
		return "of " + f.named("station").reads(f.thing("station"))
	}
	return "for no paddock"
}

func (m *model) placesInHand() []string {
	ids := idsOf(m.paddocks(), rowID)
	if out := slices.DeleteFunc(ids, func(id string) bool { return !slices.Contains(m.picked, id) }); len(out) > 0 {
		return out
	}
	return m.one()
}

func (m *model) one() []string {
	if id := m.inHand(); m.answer.History.Paddock(id) != nil {
		return []string{id}
	}
	return nil
}

// standing are the paddocks that can be named in an entry.
func (m *model) standing() []string {
	var out []string
	for _, p := range m.answer.History.Standing() {
		if p.Known || len(p.Parents) > 0 {
			out = append(out, p.ID)
		}
	}
	return out
}

func (m *model) unsaved() []string {
	var out []string
	for _, f := range m.drafts {
		if !f.unsaved() {
			continue
		}
		said := f.said()
		words := slices.Sorted(maps.Keys(said))
		for i, name := range words {
			words[i] += " " + board.Clean(strings.Join(said[name], ","))
		}
		out = append(out, f.title()+": "+strings.Join(words, "; "))
	}
	return out
}

func (f *draft) cursor() *field { return &f.fields[f.at] }

func (f *draft) named(name string) *field {
	if i := slices.IndexFunc(f.fields, func(x field) bool { return x.Name == name }); i >= 0 {
		return &f.fields[i]
	}
	return nil
}

// chosen reports a field that is filled in by choosing among words.
func (x *field) chosen() bool {
	return slices.Contains([]form.Type{form.Choice, form.Exact, form.YesNo, form.Name}, x.Type)
}

// inside is the paddock whose thermometer is chosen by name, "" if none is.
func (f *draft) inside() string {
	p, ok := strings.CutPrefix(f.thing("station"), form.Inside)
	if !ok {
		return ""
	}
	return p
}

// ofStation reports that another thermometer than one inside a paddock is chosen:
// its paddocks are those that name it.
func (f *draft) ofStation() bool {
	x := f.named("station")
	return x != nil && x.text != form.Inside
}

// ofLot reports a form that speaks of stored feed instead of a paddock.
func (f *draft) ofLot() bool {
	x := f.named("lot")
	return x != nil && x.Type == form.Name && x.text != "" && slices.ContainsFunc(f.fields, func(x field) bool { return x.OfPaddocks() })
}

// changed: what was wrong with the field may no longer be.
func (f *draft) changed() {
	if f.cursor().Type == form.File { // what was said of one file is not said of another
		for _, name := range []string{"yes", "unit"} {
			if x := f.named(name); x != nil {
				x.text, x.cur = "", 0
			}
		}
	}
	if night := f.named("night"); f.cursor().Name == "ended_at" && night != nil && !night.meant {
		night.text, night.cur = "", 0 // the hour says which night, and nobody said another
	}
	f.dirty = true
	f.edits++
	f.cursor().err, f.err = "", ""
}

// insert puts pasted text into the field that has the cursor.
func (f *draft) insert(s string) {
	if x := f.cursor(); !x.OfPaddocks() && !x.chosen() {
		x.insert(s)
		x.meant = true
		f.changed()
	}
}

func (f *draft) step(n int) { f.at = (f.at + n + len(f.fields)) % len(f.fields) }

func (a *app) leaveForm() {
	a.m.tell("")
	if a.m.form.dirty {
		a.m.tell("The form is kept as it is; its key opens it again.")
	}
	a.m.back()
	a.skip(a.m.form)
}

func (a *app) emptyForm() {
	f := a.m.form
	empty, words := newDraft(a.m, f.kind, f.places), "The form is empty."
	if f.was != nil {
		empty, words = a.m.setUp(f.kind, f.id), "The form says what is on file again."
	}
	empty.chosen = f.chosen
	empty.bulk, empty.entry, empty.about, empty.takes, empty.lead = f.bulk, f.entry, f.about, f.takes, f.lead
	empty.part = f.part
	*f = *empty
	a.m.tell(words)
}

func (a *app) otherForm() {
	if o := a.m.otherDraft(); o != nil {
		a.m.bring(o)
	}
}

// edit gives a key to the field that has the cursor.
func (a *app) edit() {
	f := a.m.form
	x := f.cursor()
	switch {
	case f.kind.Named && x.chosen() && x.pickNumber(a.key): // what it asks for is said
		f.changed()
		a.check()
	case x.chosen() && x.choose(a.key):
		x.meant = true
		f.changed()
	case !x.chosen() && !x.OfPaddocks() && x.edit(a.key):
		x.meant = true
		f.changed()
	case !x.OfPaddocks():
	case a.key == "Ctrl-U":
		f.places = nil
		f.changed()
	case a.key != "Space" && a.key != "Right":
	case f.ofStation():
		a.m.tell("Only for \"" + f.named("station").reads(form.Inside) + "\": choose that above first.")
	default:
		delete(a.m.sel, pagePick)
		a.m.open(pagePick)
	}
}

func (x *field) reads(choice string) string {
	if w := x.shown[choice]; w != "" {
		return board.Clean(w)
	}
	return board.Clean(choice)
}

// pickNumber chooses the word of a number.
func (x *field) pickNumber(key string) bool {
	n := slices.Index([]string{"1", "2", "3", "4", "5", "6", "7", "8", "9"}, key)
	if n < 0 || n >= len(x.choices) {
		return false
	}
	x.text = x.choices[n]
	return true
}

// choose goes through the words of a choice; nothing chosen is one of them.
func (x *field) choose(key string) bool {
	all := append([]string{""}, x.choices...)
	at, n := max(0, slices.Index(all, x.text)), len(all)
	i := at
	switch key {
	case "Right", "Space":
		i = (at + 1) % n
	case "Left":
		i = (at + n - 1) % n
	case "Backspace", "Delete", "Ctrl-U":
		i = 0
	default: // the next that begins with the letter
		for j := at + n - 1; j > at && len(key) == 1; j-- {
			if strings.HasPrefix(strings.ToLower(x.reads(all[j%n])), strings.ToLower(key)) {
				i = j % n
			}
		}
	}
	x.text = all[i]
	return i != at
}

func (f *draft) said() form.Said {
	said := form.Said{}
	if f.entry != "" {
		said["entry"] = []string{f.entry}
	}
	if f.id != "" {
		said[string(f.kind.Kind)] = []string{f.id}
	}
	for i := range f.fields {
		switch x := &f.fields[i]; {
		case x.place != "", f.was != nil && !f.touched(x), x.OfPaddocks() && f.ofLot() && !f.chosen:
		case x.OfPaddocks() && len(f.places) > 0:
			said[x.Name] = f.places
		case strings.TrimSpace(x.text) != "":
			said[x.Name] = []string{x.text}
		}
	}
	if p := f.inside(); p != "" {
		said["station"], said["paddock"] = []string{form.Inside}, []string{p}
	}
	return said
}

func (f *draft) entries(m *model) ([]fields.Entry, error) {
	now := m.answer.Now
	if !m.answer.History.ZoneSet {
		if zone, err := form.ParseZone(f.textOf("zone")); err == nil { // days are told in it
			if loc, err := fields.LoadZone(zone); err == nil {
				now = now.In(loc)
			}
		}
	}
	if x := f.named("advice"); x != nil && x.text == "may-graze" && f.bulk {
		return nil, fields.Problems{{Field: "paddock", What: nameEach}}
	}
	if f.was != nil {
		if !reflect.DeepEqual(m.answer.History.OnFile(f.kind.Kind, f.id), f.was) {
			return nil, fields.Problems{{What: "what is on file of " + f.id + " changed since this form was opened", Type: "press Ctrl-N to see it, and type your change again"}}
		}
		if err := f.changes(); err != nil {
			return nil, err
		}
	}
	entries, problems := f.made(form.Context{
		Now: now, Behind: m.answer.Behind, Farm: m.answer.Ask, Was: f.was,
		Stands: func(text string) bool { // asked about once, it is stood by
			was := f.asked[text]
			f.asked[text] = true
			return was
		},
	})
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return entries, m.twice(f, entries)
}

// typed is all that a form says, in one text.
func (f *draft) typed() string { return fmt.Sprint(f.said(), f.each()) }

// stands reports that the person was asked about what the form says, and pressed Enter
// again.
func (f *draft) stands() bool { return f.again == f.typed() }

// how says how a field that is needed is filled in.
func (f *draft) how(x *field) string {
	switch {
	case x.OfPaddocks() && f.named("lot") != nil:
		return "pick a paddock with Space, or choose a lot"
	case x.OfPaddocks():
		return "pick with Space"
	case x.Type == form.Name && f.named("paddock") != nil:
		return "choose it, or pick a paddock"
	case x.chosen():
		return "choose with Left and Right"
	case x.Hint != "":
		return x.Hint
	}
	return "type it"
}

// log has the farm check a form, or store it. One thing at a time: a second Enter
// stores nothing twice.
func (a *app) log(f *draft, what string, ask func() (*Outcome, error), then func(*Outcome)) {
	f.waiting = true
	a.start(job{
		what: what,
		run: func() (func(), error) {
			out, err := ask()
			return func() {
				f.waiting = false
				then(out)
			}, err
		},
		fail: func(err error) { f.refused(a.m, err) },
	})
}

// check has the farm say what it understands and which flags would change.
func (a *app) check() {
	m := a.m
	f := m.form
	if f.waiting {
		return
	}
	f.spread(m)
	for i := range f.fields {
		f.fields[i].err = ""
	}
	f.err = ""
	m.tell("")
	if !m.answer.History.ZoneSet && f.kind.Kind != fields.KindFarm {
		f.refused(m, errors.New("the farm has no name and time zone yet, so no day can be told: "+
			"leave with Esc, then l and the farm"))
		return
	}
	if ask := asks[f.kind.Kind]; ask != nil {
		ask(a, f)
		return
	}
	entries, err := f.entries(m)
	if err != nil {
		f.refused(m, err)
		return
	}
	if f.onto != fields.NoDate {
		a.suppose(f, entries)
		return
	}
	edits, stands := f.edits, f.stands()
	try := func() (*Outcome, error) { return a.farm.Log(entries, true, stands) }
	a.log(f, "working out what changes", try, func(out *Outcome) {
		if f.edits != edits {
			m.tell("The form was changed meanwhile: Enter checks it again.")
			return
		}
		f.ready, f.out = entries, out
		if m.form == f && m.page == pageForm {
			m.open(pageCheck)
		}
	})
}

func (a *app) save() {
	m := a.m
	f := m.form
	if f.waiting || f.out == nil {
		return
	}
	m.tell("Storing ...")
	store := f.out.Store
	if store == nil {
		store = func() (*Outcome, error) { return a.farm.Log(f.ready, false, true) } // what was asked was shown
	}
	a.log(f, "storing", store, func(out *Outcome) {
		m.drop(f)
		changes := changeCount(board.Changes(out.Before, out.After, board.Filter{}))
		words := m.keep(f, out.Entries) + " " + changes
		if back := " Ctrl-Z takes it back."; f.takes == nil && f.part == nil && f.kind.Kind != fields.KindStrike && len(words)+len(back) < m.w {
			words += back
		}
		m.tell(words)
		m.began(f)
		a.reload()
	})
}

// drop lets go of a form that is done with: no way leads back to it.
func (m *model) drop(f *draft) {
	m.drafts = slices.DeleteFunc(m.drafts, func(d *draft) bool { return d == f })
	m.picked = nil
	if m.form != f {
		return
	}
	m.form = nil
	m.stack = slices.DeleteFunc(m.stack, func(p page) bool { return screens[p].aForm })
	if screens[m.page].aForm {
		m.back()
	}
}

// refused puts a refusal beside the fields that caused it, and the cursor on the
// first of them; what was typed stays.
func (f *draft) refused(m *model, err error) {
	f.waiting = false
	if m.page == pageCheck {
		m.back()
	}
	var ps fields.Problems
	if !errors.As(err, &ps) {
		f.err = sentence(err)
	}
	for _, p := range ps {
		f.blame(p)
	}
	if f.again = ""; len(ps) > 0 && !slices.ContainsFunc(ps, func(p fields.Problem) bool { return !p.Asked }) {
		f.again = f.typed()
	}
	if i := slices.IndexFunc(f.fields, func(x field) bool { return x.err != "" }); i >= 0 {
		f.at = i
		m.wrong("Nothing was stored: look at the marked field.")
	} else {
		m.wrong(f.err)
	}
}

// blame marks the field a problem speaks of.
func (f *draft) blame(p fields.Problem) {
	i := slices.IndexFunc(f.fields, func(x field) bool {
		return x.key() == p.Field || x.OfPaddocks() && (p.Field == "paddock" || p.Field == "paddocks")
	})
	where := &f.err
	if i >= 0 {
		if x := &f.fields[i]; x.Type == form.New && x.text == "" && f.named("name") != nil { // it was made of the name
			i = slices.IndexFunc(f.fields, func(x field) bool { return x.Name == "name" })
		}
		x := &f.fields[i]
		where = &x.err
		if p.What == "is missing" && (p.Type == "" || strings.HasPrefix(p.Type, "give ")) {
			p.Type = f.how(x)
		}
	}
	if *where != "" {
		return
	}
	if i < 0 && p.Field != "" {
		*where = p.Field + ": "
	}
	p.Field = ""
	*where += onScreens.Replace(sentence(p))
}

func changeCount(cs []board.Change) string {
	if len(cs) == 0 {
		return "No flag changed."
	}
	seen := map[string]bool{}
	for i := range cs {
		seen[cs[i].ID] = true
	}
	of := counted(len(seen), "paddock or lot", "paddocks or lots")
	return "Changed: " + counted(len(cs), "answer", "answers") + " of " + of + "."
}
