package tui

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
)

// saved is something that was stored in this sitting.
type saved struct {
	what    string      // title and number of entries
	strikes []form.Said // what the strikes of it say: each entry, or the import; none of a strike
	whole   *saved      // of a part that is taken back: what it is a part of
}

func savedAs(f *draft, entries []fields.Entry) *saved {
	s := &saved{what: f.title() + ", " + counted(len(entries), "entry", "entries")}
	if batch := entries[0].Batch; batch != "" { // an import is struck by one entry
		s.strikes = []form.Said{{"batch": {batch}}}
		return s
	}
	for i := range entries {
		if e := &entries[i]; e.Kind() != fields.KindStrike {
			s.strikes = append(s.strikes, form.Said{"entry": {e.ID}})
		}
	}
	return s
}

// keep notes what was stored, so that it can be taken back, and says it.
func (m *model) keep(f *draft, entries []fields.Entry) string {
	switch {
	case len(entries) == 0:
		return "Nothing is new, and nothing was stored."
	case f.takes != nil:
		m.saved = slices.DeleteFunc(m.saved, func(s *saved) bool { return s == f.takes.whole })
		return "Taken back: " + f.takes.what + "."
	default:
		m.saved = append(m.saved, savedAs(f, entries))
	}
	what := f.title()
	if x := f.named(string(f.kind.Kind)); f.id != "" || x != nil && x.Type == form.New {
		if what += " " + f.id; x != nil {
			what += form.ShortName(x.text, f.textOf("name"))
		}
	}
	return "Stored: " + counted(len(entries), "entry", "entries") + " (" + what + ")."
}

// takeBack asks whether what was stored last in this sitting shall no longer count.
func (a *app) takeBack() {
	m := a.m
	if screens[m.page].aForm {
		m.wrong("Leave the form with Esc first: Ctrl-Z takes back what is stored.")
		return
	}
	for n := len(m.saved); n > 0; n = len(m.saved) {
		s := m.saved[n-1]
		if s.strikes == nil { // said once; what was stored before it is next
			m.saved = m.saved[:n-1]
			m.wrong("What was stored last is a strike, and a strike cannot be taken back: log the struck fact again.")
			return
		}
		left := slices.DeleteFunc(slices.Clone(s.strikes), func(x form.Said) bool {
			if batch := strings.Join(x["batch"], ""); batch != "" {
				return !slices.ContainsFunc(m.answer.History.Facts, func(f fields.Fact) bool { return f.Batch == batch && f.Kind() != fields.KindStrike })
			}
			_, struck := m.answer.History.Struck[strings.Join(x["entry"], "")]
			return struck
		})
		if len(left) == 0 { // somebody struck all of it meanwhile
			m.saved = m.saved[:n-1]
			continue
		}
		f := newDraft(m, form.Of(fields.KindStrike), nil)
		f.onto = fields.NoDate // from the menu of what may be assumed too
		f.takes, f.about = &saved{s.what, left, s}, "Takes back: "+s.what
		f.lead = "Takes back what was stored: " + s.what + ". Nothing is deleted: it stays in the history, struck."
		x := f.named("because")
		x.text, x.cur = "taken back", len("taken back")
		m.begin(f)
		a.check()
		return
	}
	m.tell("Nothing was stored in this sitting that could be taken back.")
}

// each is what the entries of a form say each by itself: of several paddocks of one
// sheet, or of several entries that are struck.
func (f *draft) each() []form.Said {
	if f.takes != nil {
		return f.takes.strikes
	}
	var out []form.Said
	for _, p := range f.spreads() {
		one := form.Said{"paddock": {p}}
		for i := range f.fields {
			if x := &f.fields[i]; x.place == p && strings.TrimSpace(x.text) != "" {
				one[x.Name] = []string{x.text}
			}
		}
		out = append(out, one)
	}
	if out == nil {
		out = []form.Said{nil}
	}
	return out
}

// spreads are the paddocks of which a form asks some fields apart, nil for none: a
// result has one paddock, and a laboratory's sheet may have many.
func (f *draft) spreads() []string {
	asked := slices.ContainsFunc(f.fields, func(x field) bool { return x.Apart })
	if !asked || len(f.places) < 2 || f.thing("lot") != "" {
		return nil
	}
	return f.places
}

// spread asks the fields that are apart once for each paddock, or once where there
// are not several. What was typed stays with its paddock.
func (f *draft) spread(m *model) {
	places := f.spreads()
	var now []string
	for i := range f.fields {
		if x := &f.fields[i]; x.place != "" && !slices.Contains(now, x.place) {
			now = append(now, x.place)
		}
	}
	alone := cmp.Or(f.thing("lot"), strings.Join(f.places, ""))
	if slices.Equal(now, places) {
		f.alone = alone
		return
	}
	was, at := f.fields, *f.cursor()
	for _, x := range was {
		if x.Apart {
			f.kept[x.Name+" of "+cmp.Or(x.place, f.alone)] = x.input
		}
	}
	if f.fields, f.alone = nil, alone; len(places) == 0 { // one paddock is left, or none, or a lot
		places = []string{""}
	}
	first := ""
	for _, x := range was {
		switch {
		case !x.Apart:
			f.fields = append(f.fields, x)
			continue
		case slices.ContainsFunc(f.fields, func(y field) bool { return y.Name == x.Name }):
			continue
		case first == "":
			first = x.Name
		}
		for _, p := range places {
			own := *f.kind.Field(x.Name)
			if p != "" && x.Name == first {
				own.Label, own.Hint = m.name(p), strings.ToLower(own.Label)+", "+own.Hint
			}
			f.fields = append(f.fields, field{Field: &own, place: p, input: f.kept[x.Name+" of "+cmp.Or(p, f.alone)]})
		}
	}
	f.at = max(0, slices.IndexFunc(f.fields, func(x field) bool {
		return x.key() == at.key() || x.Name == at.Name && (at.place == "" || x.place == "")
	}))
}

// of is the paddock of a field that is asked apart, where its label does not name it.
func (m *model) of(x *field) string {
	if n := m.name(x.place); x.place != "" && n != x.Label {
		return n
	}
	return ""
}

// key names a field of a form: of one that is asked apart, with its paddock.
func (x *field) key() string {
	if x.place == "" {
		return x.Name
	}
	return x.Name + " of " + x.place
}

// made makes the entries of a form, those of each part by itself.
func (f *draft) made(c form.Context) (all []fields.Entry, problems fields.Problems) {
	base := f.said()
	for _, own := range f.each() {
		said := maps.Clone(base)
		maps.Copy(said, own)
		makes := f.kind.Entries
		if f.part != nil {
			makes = f.part.Entries
		}
		entries, ps := makes(said, c)
		for _, p := range ps {
			if x := f.kind.Field(p.Field); x != nil && x.Apart && len(f.spreads()) > 0 {
				p.Field = (&field{Field: x, place: own["paddock"][0]}).key()
			}
			if !slices.Contains(problems, p) {
				problems = append(problems, p)
			}
		}
		all = append(all, entries...)
	}
	return all, problems
}
