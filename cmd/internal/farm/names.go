package farm

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
)

// AllPaddocks is the word that stands for every standing paddock; no paddock
// may have it as its short name.
const AllPaddocks = "all"

// named is one thing a person can call by short name or by the name on its gate.
type named struct{ id, name string }

// UnknownError says that a name means nothing on this farm.
type UnknownError struct {
	What    string // paddock, station, herd, lot, entry
	Typed   string
	Lot     string   // the lot of that name where a paddock was asked for
	Close   []string // short names that look alike
	Have    []string // all short names, if none looks alike
	AddWith string   // command that adds one
}

func (e *UnknownError) Error() string {
	s := fmt.Sprintf("there is no %s %q", e.What, board.Clean(e.Typed))
	switch {
	case e.Lot != "":
		return s + "; it is a lot of feed: type --lot " + e.Lot + " where a lot can be meant"
	case len(e.Close) > 0:
		s += "; did you mean " + orList(e.Close) + "?"
	case len(e.Have) > 0:
		s += "; there is " + shortList(e.Have)
	default:
		s += "; none set up yet"
	}
	if e.AddWith != "" && len(e.Close) == 0 {
		s += " (add one with `" + e.AddWith + "`)"
	}
	return s
}

// find returns the short name that typed means: the short name itself, or a
// name on the gate, whatever its capitals, spaces and hyphens.
func find(what, typed, addWith string, have []named) (string, error) {
	t := strings.TrimSpace(typed)
	var hits []string
	for _, n := range have {
		if n.id == t {
			return n.id, nil
		}
		if key := hazard.SpeciesKey(t); key != "" && (hazard.SpeciesKey(n.id) == key || hazard.SpeciesKey(n.name) == key) {
			hits = append(hits, n.id)
		}
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
	default:
		return "", fmt.Errorf("%q can be the %s %s; type the short name", board.Clean(t), what, orList(hits))
	}
	e := &UnknownError{What: what, Typed: t, Close: alike(t, have, true), AddWith: addWith}
	if len(e.Close) == 0 {
		for _, n := range have {
			e.Have = append(e.Have, n.id)
		}
		slices.Sort(e.Have)
	}
	return "", e
}

// alike returns at most three short names that are close to what was typed, with parts also
// those that hold it or begin it.
func alike(typed string, have []named, parts bool) []string {
	near := map[string]int{}
	key := hazard.SpeciesKey(typed)
	for _, n := range have {
		for _, s := range []string{hazard.SpeciesKey(n.id), hazard.SpeciesKey(n.name)} {
			if s == "" || key == "" {
				continue
			}
			d := form.Distance(key, s)
			long := len(key) >= 3 && (strings.HasPrefix(s, key) || strings.HasPrefix(key, s))
			if parts && (long || len(key) >= 4 && strings.Contains(s, key)) { // "slough" for North Slough
				d = min(d, 1)
			}
			if was, twice := near[n.id]; d <= max(1, min(3, utf8.RuneCountInString(key)/3)) && (!twice || d < was) {
				near[n.id] = d // one thing may have several names
			}
		}
	}
	ids := slices.SortedFunc(maps.Keys(near), func(a, b string) int { return cmp.Or(near[a]-near[b], cmp.Compare(a, b)) })
	return ids[:min(3, len(ids))]
}

func orList(ids []string) string {
	if len(ids) < 2 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:len(ids)-1], ", ") + " or " + ids[len(ids)-1]
}

func shortList(ids []string) string {
	if len(ids) > 12 {
		return strings.Join(ids[:12], ", ") + fmt.Sprintf(" and %d more", len(ids)-12)
	}
	return strings.Join(ids, ", ")
}

// names are the things on the farm that can be called by name, by sort of thing.
type names map[string][]named

// namesOf gathers them. A paddock that entries only mention is known too: what
// stands in the journal must stay within reach. It takes a paddock entry to come in.
func namesOf(h *fields.History) names {
	n := names{}
	for _, p := range h.Paddocks {
		n["paddock"] = append(n["paddock"], named{p.ID, p.Name})
	}
	for _, s := range h.Stations {
		n["station"] = append(n["station"], named{s.Station, s.Name})
	}
	for _, g := range h.Herds {
		n["herd"] = append(n["herd"], named{g.HerdFacts.Herd, ""})
	}
	for _, l := range h.Lots() {
		n["lot"] = append(n["lot"], named{l, ""})
	}
	return n
}

// find returns the short name of the thing of a sort that a person calls typed. Lots that
// are used up are found, those of closed seasons too, and offered to nobody.
func (v *View) find(what, typed string) (string, error) {
	id, err := find(what, typed, "rimegate "+what+" add", v.names[what])
	var unknown *UnknownError
	if what != "lot" || !errors.As(err, &unknown) {
		return id, err
	}
	switch whole, err := v.Whole(); {
	case err != nil:
		return "", err
	case whole != v:
		return whole.find(what, typed)
	}
	return find(what, typed, unknown.AddWith, v.lotsLeft())
}

// lotsLeft are the lots of which something may be left.
func (v *View) lotsLeft() (out []named) {
	for _, l := range v.History.LotsLeft() {
		out = append(out, named{id: l})
	}
	return out
}

// sorts are the things that can be called by name: what to type, and what it is.
var sorts = map[string]func(*View) []named{
	"paddock": (*View).gates,
	"station": func(v *View) []named { return v.names["station"] },
	"herd":    func(v *View) []named { return v.names["herd"] },
	"lot":     (*View).lotsLeft,
	"place":   func(v *View) []named { return slices.Concat(v.gates(), v.lotsLeft()) },
	"round":   (*View).roundNames,
	"species": func(v *View) (out []named) {
		for id, s := range v.Book.Species {
			out = append(out, named{id, s.Name})
		}
		return out
	},
	"rule": func(*View) (out []named) {
		for _, d := range rules.Docs() {
			out = append(out, named{d.ID, d.Title})
		}
		return out
	},
}

// Names are what can be typed for a thing of a sort, each with what it is, in order;
// those of the rulebook also where the journal cannot be read. None of a sort that has
// no names.
func (f *Farm) Names(sort string) (out [][2]string) {
	list := sorts[sort]
	if list == nil {
		return nil
	}
	v, err := f.View(Question{})
	if err != nil {
		v = f.Blank()
	}
	for _, n := range list(v) {
		out = append(out, [2]string{n.id, n.name})
	}
	slices.SortFunc(out, func(a, b [2]string) int { return strings.Compare(a[0], b[0]) })
	return out
}

// roundNames are the rounds that somebody set up.
func (v *View) roundNames() (out []named) {
	for i := range v.Entries {
		if r, ok := v.Entries[i].Body.(*fields.Round); ok && !v.struck(&v.Entries[i]) {
			out = append(out, named{id: r.Name})
		}
	}
	return out
}

// Paddock returns the short name of the paddock a person calls typed.
func (v *View) Paddock(typed string) (string, error) {
	id, err := v.find("paddock", typed)
	var unknown *UnknownError
	if errors.As(err, &unknown) {
		unknown.Lot, _ = v.Lot(typed)
	}
	return id, err
}

// Station returns the short name of the station a person calls typed.
func (v *View) Station(typed string) (string, error) { return v.find("station", typed) }

// Herd returns the short name of the herd a person calls typed.
func (v *View) Herd(typed string) (string, error) { return v.find("herd", typed) }

// HerdClasses are the classes of the herd a person calls typed; of one of which nobody
// said any, all of the farm's; nil if there is no such herd.
func (v *View) HerdClasses(typed string) []string {
	id, err := v.Herd(typed)
	if err != nil {
		return nil
	}
	out := v.History.Herd(id).Classes
	if len(out) == 0 {
		for _, c := range board.FarmClasses(v.History) {
			out = append(out, c.String())
		}
	}
	return out
}

// Lot returns the short name of the lot a person calls typed.
func (v *View) Lot(typed string) (string, error) { return v.find("lot", typed) }

// Paddocks resolves paddocks as typed: several words, each one name or a list
// with commas; "all" is every standing paddock. No name is returned twice.
func (v *View) Paddocks(typed []string) ([]string, error) {
	var out []string
	add := func(id string) {
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, t := range fields.SplitList(typed) {
		if strings.EqualFold(t, AllPaddocks) {
			for _, g := range v.gates() {
				add(g.id)
			}
			if len(out) == 0 {
				return nil, &UnknownError{What: "paddock", Typed: t, AddWith: "rimegate paddock add"}
			}
			continue
		}
		id, err := v.Paddock(t)
		if err != nil {
			return nil, err
		}
		add(id)
	}
	return out, nil
}

// gates are the paddocks that stand; one that entries only mention has no gate yet.
func (v *View) gates() []named {
	var out []named
	for _, p := range v.History.Standing() {
		if p.Known || len(p.Parents) > 0 {
			out = append(out, named{p.ID, p.Name})
		}
	}
	return out
}

// PaddockOrLot returns the id of the paddock or lot a person calls typed.
func (v *View) PaddockOrLot(typed string) (string, error) {
	id, err := v.Paddock(typed)
	if err == nil {
		return id, nil
	}
	if lot, lerr := v.Lot(typed); lerr == nil {
		return lot, nil
	}
	return find("paddock or lot", typed, "rimegate paddock add", slices.Concat(v.names["paddock"], v.lotsLeft()))
}

// StationNames lists the stations by short name and name, "" if there is none.
func (v *View) StationNames() string {
	var out []string
	for _, s := range v.History.Stations {
		x := board.Clean(s.Station)
		if n := board.Clean(s.Name); n != "" && n != x {
			x += " (" + n + ")"
		}
		out = append(out, x)
	}
	return shortList(out)
}

// Fits are the plants, by everyday name, that a name which means several can
// mean; nil for any other name.
func (v *View) Fits(species string) []string {
	row := v.Book.Find(species)
	if row == nil {
		return nil
	}
	var out []string
	for _, id := range row.Fits {
		out = append(out, v.Book.Species[id].Name)
	}
	return out
}

// allSpecies are the everyday names of the species table.
func allSpecies(book *hazard.Rulebook) []named {
	var out []named
	for id, s := range book.Species {
		out = append(out, named{id, s.Name})
		for _, a := range s.Names {
			out = append(out, named{id, a})
		}
	}
	return out
}

// SpeciesWarning says loudly that a species name is not in the table, "" if it
// is. The name is kept as typed: what nobody rated is treated with care.
func (v *View) SpeciesWarning(name string) string {
	if v.Book.Find(name) != nil {
		return ""
	}
	s := fmt.Sprintf("NOT IN THE SPECIES TABLE: %q. It is treated as a dangerous unknown plant: never better than CAUTION", board.Clean(name))
	// A part of a name is none: who typed "grass" did not mean arrowgrass.
	if close := alike(name, allSpecies(v.Book), false); len(close) > 0 {
		s += ". Did you mean " + orList(close) + "? Then log it by that name, and strike the entry if this one is stored already"
	}
	return s + ". `rimegate rules species` lists the names."
}
