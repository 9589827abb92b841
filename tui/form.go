package tui

import (
	"errors"
	"slices"
	"strings"
	"unicode"

	"github.com/rivo/uniseg"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// field is one line of a form.
type field struct {
	name string
	look
	choices []string
	words   map[string]string // how a choice is shown, where not as it is
	text    string            // as typed, or the choice
	cur     int               // byte offset of the cursor in text
	err     string
}

// form is a half-written entry. It lives in the model until it is stored or
// emptied: no mistake, busy journal, other page or other paddock makes it go.
type form struct {
	spec   *kindSpec
	fields []field
	at     int
	places []string          // picked paddocks
	fixed  map[string]string // fields not asked for
	about  string
	err    string // what concerns no one field
	dirty  bool

	waiting bool // for the check or the save
	edits   int  // how often it was changed: a check of an older state is void
	ready   []fields.Entry
	out     *Outcome

	file   string // frosts of the nights named, as of fileAt and fileOf
	fileAt int
	fileOf *Answer
	day    fields.Date     // on which it was begun: today of that day
	asked  map[string]bool // typed texts that were asked about once
}

// evening is the farm hour from which "last night" can mean two nights.
const evening = 18

func newForm(m *model, k *kindSpec, places []string) *form {
	f := &form{spec: k, day: m.answer.Today}
	info := map[string]fields.FieldInfo{}
	for _, x := range fields.FieldsOf(k.kind) {
		info[x.Name] = x
	}
	h := m.answer.History
	ask := -1
	for _, name := range k.names() {
		x := field{name: name, look: lookOf(k.kind, name), choices: info[name].Choices}
		switch {
		case name == "cause":
			x.choices = []string{"hail", "spray", "drought", "ripe", "dont-know"}
		case name == "rate_unknown": // a known one is typed
			x.choices = []string{"yes"}
		case x.typ == tYesNo:
			x.choices = []string{"yes", "no"}
		case x.typ == tName && name == "lot":
			x.choices = h.Lots()
		case x.typ == tName && name == "round":
			for i := range m.answer.Rounds {
				x.choices = append(x.choices, m.answer.Rounds[i].Name)
			}
		case x.typ == tName && name == "herd":
			for _, g := range h.Herds {
				x.choices = append(x.choices, g.Herd)
			}
		case name == "station":
			x.choices, x.words = m.thermometers(places)
			if len(x.choices) > 0 {
				x.text = x.choices[0]
			}
			x.choices = append(x.choices, inside)
			x.words[inside] = "one that hangs inside the paddock"
			if k.kind == fields.KindForecast {
				x.words[inside] = "none: for paddocks alone"
			}
		case name == "basis" && k.kind == fields.KindNoFrost: // the weakest claim first
			x.typ = tChoice
			x.choices = []string{"looked-at-dawn", "other-thermometer", "thermometer-in-paddock"}
			x.words = map[string]string{
				"looked-at-dawn": "looked at dawn", "other-thermometer": "another thermometer",
				"thermometer-in-paddock": "thermometer in the paddock at plant height",
			}
		case len(x.choices) > 0 && x.typ == tText:
			x.typ = tChoice
		}
		switch name {
		case "on":
			x.text = "today"
		case "night":
			if m.answer.Now.Hour() < evening {
				x.text = "today"
			} else if k.kind != fields.KindForecast { // which of two nights, the person must say
				ask = len(f.fields)
			}
		}
		if p, ok := k.preset[name]; ok {
			x.text = p
		}
		x.cur = len(x.text)
		f.fields = append(f.fields, x)
		if name == k.first {
			f.at = len(f.fields) - 1
		}
	}
	if ask >= 0 {
		f.at = ask
	}
	if f.placed() {
		f.places = places
	}
	return f
}

// openForm opens the form of a kind for the picked paddocks, else for the one
// in hand.
func (a *app) openForm(k fields.Kind) {
	m := a.m
	spec := kindOf(k)
	places := m.placesInHand()
	if spec.namesEach() && m.bulk && len(places) > 1 {
		places = m.one()
		defer m.tell(nameEach)
	}
	f := newForm(m, spec, places)
	if x := f.lot(); x != nil {
		x.text = m.lotInHand()
	}
	m.begin(f)
}

// begin opens a fresh form, or the half-written one about the same: what was
// typed about another paddock is offered, never taken for this one.
func (m *model) begin(f *form) {
	m.tell("")
	for _, d := range m.drafts {
		if d.dirty && d.spec.kind == f.spec.kind && d.subject() == f.subject() {
			f = d
		}
	}
	m.bring(f)
	if m.page == pageMenu { // the menu is no place to come back to
		m.page = pageForm
		return
	}
	m.open(pageForm)
}

// bring shows a form and says what else of its kind is half-written. Forms in
// which nothing was typed go.
func (m *model) bring(f *form) {
	m.drafts = append(slices.DeleteFunc(m.drafts, func(d *form) bool { return d == f || !d.dirty }), f)
	f.waiting = false
	m.form = f
	if o := m.otherDraft(); o != nil {
		m.tell("Not saved yet: " + o.spec.title + " " + o.whom(m) + ". Ctrl-O opens it.")
	} else if f.dirty {
		m.tell("What you typed before is still here; Ctrl-N empties the form.")
	}
}

// otherDraft is the half-written form of the open form's kind that lay longest.
func (m *model) otherDraft() *form {
	for _, d := range m.drafts {
		if m.form != nil && d != m.form && d.dirty && d.spec.kind == m.form.spec.kind {
			return d
		}
	}
	return nil
}

// subject is what a form speaks of: its paddocks or lot, the entry it strikes,
// the round that was done.
func (f *form) subject() string {
	out := strings.Join(slices.Sorted(slices.Values(f.places)), ",") + "\x00" + f.fixed["entry"]
	for _, x := range []*field{f.lot(), f.named("round")} {
		if x != nil {
			out += "\x00" + x.text
		}
	}
	return out
}

// whom names the subject.
func (f *form) whom(m *model) string {
	switch x, lot := f.named("round"), f.lot(); {
	case f.about != "":
		return "(" + f.about + ")"
	case lot != nil && lot.text != "":
		return "for lot " + lot.text
	case len(f.places) > 1:
		return "for " + counted(len(f.places), "paddock", "paddocks")
	case len(f.places) == 1:
		return "for " + m.name(f.places[0])
	case x != nil && x.text != "":
		return "of " + x.text
	}
	return "for no paddock"
}

// placed reports a form that asks for paddocks.
func (f *form) placed() bool {
	return slices.ContainsFunc(f.fields, func(x field) bool { return x.typ == tPlaces })
}

// placesInHand are the picked paddocks in the order of the list, else the one that
// is selected or shown.
func (m *model) placesInHand() []string {
	var out []string
	for _, r := range m.paddocks() {
		if m.picked[r.ID] {
			out = append(out, r.ID)
		}
	}
	if len(out) > 0 {
		return out
	}
	return m.one()
}

// one is the paddock that is selected or shown, if there is one.
func (m *model) one() []string {
	if id := m.inHand(); m.answer.History.Paddock(id) != nil {
		return []string{id}
	}
	return nil
}

// lotInHand is the lot of feed that is selected or shown, "" if there is none.
func (m *model) lotInHand() string {
	if id := m.inHand(); slices.Contains(m.answer.History.Lots(), id) {
		return id
	}
	return ""
}

// lot is the field that chooses a lot of feed, nil if the form has none.
func (f *form) lot() *field {
	if x := f.named("lot"); x != nil && x.typ == tName {
		return x
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

// unsaved are the half-written forms in words.
func (m *model) unsaved() []string {
	var out []string
	for _, f := range m.drafts {
		if !f.dirty {
			continue
		}
		var said []string
		for i := range f.fields {
			if x := &f.fields[i]; x.text != "" {
				said = append(said, x.name+" "+board.Clean(x.text))
			}
		}
		if len(f.places) > 0 {
			said = append(said, "paddocks "+strings.Join(f.places, ","))
		}
		out = append(out, f.spec.title+": "+strings.Join(said, "; "))
	}
	return out
}

func (f *form) cursor() *field { return &f.fields[f.at] }

// insert puts typed or pasted text at the cursor; control characters are no
// part of any answer.
func (f *form) insert(s string) {
	x := f.cursor()
	if !x.typed() {
		return
	}
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return -1
		}
		return r
	}, s)
	x.text = x.text[:x.cur] + s + x.text[x.cur:]
	x.cur += len(s)
	f.changed()
}

func (x *field) typed() bool {
	switch x.typ {
	case tPlaces, tChoice, tYesNo, tName:
		return false
	}
	return true
}

// changed: what was wrong with the field may no longer be.
func (f *form) changed() {
	f.dirty = true
	f.edits++
	f.cursor().err = ""
	f.err = ""
}

// step goes n fields on.
func (f *form) step(n int) { f.at = (f.at + n + len(f.fields)) % len(f.fields) }

func (a *app) leaveForm() {
	a.m.tell("")
	if a.m.form.dirty {
		a.m.tell("The form is kept as it is; its key opens it again.")
	}
	a.m.back()
}

func (a *app) emptyForm() {
	f := a.m.form
	places, fixed, about := f.places, f.fixed, f.about
	*f = *newForm(a.m, f.spec, places)
	f.fixed, f.about = fixed, about
	a.m.tell("The form is empty.")
}

func (a *app) otherForm() {
	if o := a.m.otherDraft(); o != nil {
		a.m.tell("")
		a.m.bring(o)
	}
}

// edit gives a key to the field that has the cursor.
func (a *app) edit() {
	f := a.m.form
	x := f.cursor()
	switch {
	case a.key == "Ctrl-U":
		x.text, x.cur = "", 0
		if x.typ == tPlaces {
			f.places = nil
		}
		f.changed()
	case x.typ != tPlaces && x.typed():
		f.typeKey(x, a.key)
	case x.typ != tPlaces:
		f.chooseKey(x, a.key)
	case a.key != "Space" && a.key != "Right":
	default:
		if _, station := f.ofStation(); station {
			a.m.tell("Only for a thermometer that hangs inside the paddock: choose that above first.")
			return
		}
		delete(a.m.sel, pagePick)
		a.m.open(pagePick)
	}
}

// shown is how a choice reads.
func (x *field) shown(choice string) string {
	if w := x.words[choice]; w != "" {
		return board.Clean(w)
	}
	return board.Clean(choice)
}

// chooseKey goes through the words of a choice; nothing chosen is one of them.
func (f *form) chooseKey(x *field, key string) {
	i := slices.Index(x.choices, x.text) // -1: nothing chosen
	n := len(x.choices)
	switch key {
	case "Right", "Space":
		i++
		if i >= n {
			i = -1
		}
	case "Left":
		i--
		if i < -1 {
			i = n - 1
		}
	case "Backspace", "Delete":
		i = -1
	default:
		found := false
		for j := 1; j <= n && !found; j++ {
			k := (max(i, -1) + j + n) % n
			if strings.HasPrefix(strings.ToLower(x.shown(x.choices[k])), strings.ToLower(key)) && len(key) == 1 {
				i, found = k, true
			}
		}
		if !found {
			return
		}
	}
	if i < 0 {
		x.text = ""
	} else {
		x.text = x.choices[i]
	}
	f.changed()
}

// typeKey edits a text.
func (f *form) typeKey(x *field, key string) {
	switch key {
	case "Left":
		x.cur -= lastCluster(x.text[:x.cur])
	case "Right":
		x.cur += firstCluster(x.text[x.cur:])
	case "Home":
		x.cur = 0
	case "End":
		x.cur = len(x.text)
	case "Backspace":
		n := lastCluster(x.text[:x.cur])
		if n > 0 {
			x.text = x.text[:x.cur-n] + x.text[x.cur:]
			x.cur -= n
			f.changed()
		}
	case "Delete":
		n := firstCluster(x.text[x.cur:])
		if n > 0 {
			x.text = x.text[:x.cur] + x.text[x.cur+n:]
			f.changed()
		}
	case "Space":
		f.insert(" ")
	default:
		if len([]rune(key)) == 1 {
			f.insert(key)
		}
	}
}

// firstCluster and lastCluster are the bytes of the first and last character
// as a person sees it.
func firstCluster(s string) int {
	if s == "" {
		return 0
	}
	c, _, _, _ := uniseg.FirstGraphemeClusterInString(s, -1)
	return len(c)
}

func lastCluster(s string) int {
	n := 0
	for state := -1; s != ""; {
		var c string
		c, s, _, state = uniseg.FirstGraphemeClusterInString(s, state)
		n = len(c)
	}
	return n
}

// pickPlace takes the selected paddock into the form, or out of it.
func (a *app) pickPlace() {
	f, id := a.m.form, a.m.selected(pagePick)
	if i := slices.Index(f.places, id); i >= 0 {
		f.places = slices.Delete(slices.Clone(f.places), i, i+1)
	} else if id != "" {
		f.places = append(slices.Clone(f.places), id)
	}
	f.changed()
	a.m.move(1)
}

// pickPlaces takes all paddocks into the form, or none if all are in it.
func (a *app) pickPlaces() {
	f, ids := a.m.form, a.m.standing()
	switch {
	case len(f.places) == len(ids):
		f.places = nil
	case f.spec.namesEach():
		a.m.tell(nameEach)
		return
	default:
		f.places = ids
	}
	f.changed()
}

// check has the farm look at the form without storing it: what was understood,
// and which flags would change.
func (a *app) check() {
	m := a.m
	f := m.form
	if f.waiting {
		return
	}
	for i := range f.fields {
		f.fields[i].err = ""
	}
	f.err = ""
	entries := f.entries(m)
	if f.failed(m) {
		return
	}
	f.waiting = true
	edits := f.edits
	m.tell("")
	a.start(job{
		what: "working out what changes",
		run: func() (func(), error) {
			out, err := a.farm.Log(entries, true)
			if err != nil {
				return nil, err
			}
			return func() {
				f.waiting = false
				if f.edits != edits {
					m.tell("The form was changed meanwhile: Enter checks it again.")
					return
				}
				f.ready, f.out = entries, out
				if m.form == f && m.page == pageForm {
					m.open(pageCheck)
				}
			}, nil
		},
		fail: func(err error) {
			f.waiting = false
			f.refused(m, err)
		},
	})
}

// failed puts the cursor on the first field that is wrong.
func (f *form) failed(m *model) bool {
	for i := range f.fields {
		if f.fields[i].err != "" {
			f.at = i
			m.wrong("Nothing was stored: look at the marked field.")
			return true
		}
	}
	if f.err != "" {
		m.wrong(f.err)
		return true
	}
	return false
}

// refused puts a refusal beside the fields that caused it; what was typed
// stays.
func (f *form) refused(m *model, err error) {
	var ps fields.Problems
	if !errors.As(err, &ps) {
		f.err = sentence(err)
		m.wrong(f.err)
		return
	}
	for _, p := range ps {
		f.blame(p)
	}
	f.failed(m)
}

// blame marks the field a problem speaks of.
func (f *form) blame(p fields.Problem) {
	name := p.Field
	p.Field = ""
	if p.What == "is missing" && p.Type == "" {
		p.What = "is missing"
	}
	words := sentence(p)
	same := func(x *field) bool {
		return x.name == name || x.typ == tPlaces && (name == "paddock" || name == "paddocks")
	}
	for i := range f.fields {
		if x := &f.fields[i]; same(x) {
			if x.err == "" {
				x.err = words
			}
			return
		}
	}
	if name != "" {
		words = name + ": " + words
	}
	if f.err == "" {
		f.err = words
	}
}

// save stores what was checked.
func (a *app) save() {
	m := a.m
	f := m.form
	if f == nil || f.waiting || f.out == nil {
		return
	}
	f.waiting = true
	m.tell("Storing ...")
	a.start(job{
		what: "storing",
		run: func() (func(), error) {
			out, err := a.farm.Log(f.ready, false)
			if err != nil {
				return nil, err
			}
			return func() {
				f.waiting, f.dirty = false, false
				m.drafts = slices.DeleteFunc(m.drafts, func(d *form) bool { return d == f })
				clear(m.picked)
				if m.form == f {
					m.form = nil
					for len(m.stack) > 0 && (m.page == pageCheck || m.page == pageForm) {
						m.back()
					}
				}
				changes := board.Changes(out.Before, out.After, board.Filter{})
				m.tell("Stored: " + counted(len(out.Entries), "entry", "entries") + " (" + f.spec.title + "). " + changeCount(changes))
				a.reload()
			}, nil
		},
		fail: func(err error) {
			f.waiting = false
			if m.page == pageCheck {
				m.back()
			}
			f.refused(m, err)
		},
	})
}

func changeCount(cs []board.Change) string {
	if len(cs) == 0 {
		return "No flag changed."
	}
	seen := map[string]bool{}
	for i := range cs {
		seen[cs[i].ID] = true
	}
	return "Changed: " + counted(len(cs), "answer", "answers") + " of " + counted(len(seen), "paddock or lot", "paddocks or lots") + "."
}
