package form

import (
	"maps"
	"slices"

	"rimegate/fields"
)

// starts are the kinds by which a farm is set up, in the order they are asked.
var starts = []fields.Kind{
	fields.KindFarm, fields.KindStation, fields.KindPaddock, fields.KindSown, fields.KindHerd, fields.KindGrazed,
}

// Starts are the forms by which a farm is set up, in the order they are asked.
func Starts() []*Kind {
	var out []*Kind
	for _, k := range starts {
		out = append(out, Of(k))
	}
	return out
}

// Asked are the fields that are asked while a farm is set up, in order.
func (k *Kind) Asked() []*Field {
	var out []*Field
	for _, name := range k.start {
		out = append(out, k.Field(name))
	}
	return out
}

// Part is what is still to be said of one thing while a farm is set up.
type Part struct {
	*Kind
	ID  string   // of the paddock or herd it is of; "" of the farm and of a thing to come
	Ask []*Field // what is not on file of it, in order
}

// Key tells a part from every other.
func (p *Part) Key() string { return string(p.Kind.Kind) + " " + p.ID }

// More reports a part of a thing to come: there may be none, and another after it.
func (p *Part) More() bool { return p.ID == "" && p.Kind.Kind != fields.KindFarm }

// Parts are what is still to be said of a farm, in the order it is asked: what an entry
// says is not asked again, and nothing else is remembered of the asking.
func Parts(h *fields.History) []Part {
	var out []Part
	add := func(k *Kind, id string, ask []*Field) {
		if len(ask) > 0 {
			out = append(out, Part{k, id, ask})
		}
	}
	for _, k := range Starts() {
		switch k.Kind {
		case fields.KindSown:
			for _, p := range gates(h) {
				if !grows(h, p) {
					add(k, p, k.Asked())
				}
			}
		case fields.KindGrazed:
			for _, g := range h.Herds {
				if len(gates(h)) > 0 && g.In == "" && (g.Head == nil || *g.Head > 0) {
					add(k, g.HerdFacts.Herd, k.Asked())
				}
			}
		case fields.KindFarm:
			add(k, "", k.open(h, ""))
		default:
			for _, id := range Things(h, k.Kind) {
				add(k, id, k.open(h, id))
			}
			add(k, "", k.open(h, ""))
		}
	}
	return out
}

// open are the fields asked of a thing that are not on file of it.
func (k *Kind) open(h *fields.History, id string) []*Field {
	said := Said{}
	if was := h.OnFile(k.Kind, id); was != nil {
		said = k.Typed(was, "metric")
	}
	return slices.DeleteFunc(k.Asked(), func(f *Field) bool {
		none := f.Type == Name && f.Of == "station" && len(h.Stations) == 0
		return said[f.Name] != nil || id != "" && f.Type == New || none
	})
}

// Things are the short names of what the farm has of a kind.
func Things(h *fields.History, k fields.Kind) (ids []string) {
	switch k {
	case fields.KindStation:
		for _, s := range h.Stations {
			ids = append(ids, s.Station)
		}
	case fields.KindPaddock:
		return gates(h)
	case fields.KindHerd:
		for _, g := range h.Herds {
			ids = append(ids, g.HerdFacts.Herd)
		}
	}
	return ids
}

// gates are the paddocks that stand and that an entry describes.
func gates(h *fields.History) (ids []string) {
	for _, p := range h.Standing() {
		if p.Known || len(p.Parents) > 0 {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

// grows reports whether anybody said what grows in a paddock.
func grows(h *fields.History, paddock string) bool {
	return slices.ContainsFunc(h.Lines(paddock), func(line []string) bool {
		return slices.ContainsFunc(h.LineFacts(line), func(f fields.Fact) bool {
			return f.Kind() == fields.KindSown || f.Kind() == fields.KindSeen
		})
	})
}

// Entries makes the entries of what was answered. Plants without a day on which they
// were sown are plants seen growing, and a herd that stands somewhere went in.
func (p *Part) Entries(said Said, c Context) ([]fields.Entry, fields.Problems) {
	k := p.Kind
	said = maps.Clone(said)
	set := func(name, text string) {
		if len(said[name]) == 0 {
			said[name] = []string{text}
		}
	}
	switch k.Kind {
	case fields.KindSown:
		set("paddock", p.ID)
		if len(said["on"]) == 0 && !slices.ContainsFunc(said["species"], k.Field("species").isNone) {
			k = Of(fields.KindSeen)
			said["species"] = WithoutShares(said["species"])
			delete(said, "new_stand")
			set("on", "today")
		}
	case fields.KindGrazed:
		set("herd", p.ID)
		set("state", string(fields.MoveIn))
		set("on", "today")
	default:
		set("on", "today")
		if p.ID != "" {
			set(string(k.Kind), p.ID)
		}
	}
	return k.Entries(said, c)
}

// WithoutShares are the plants of a mix by name alone.
func WithoutShares(texts []string) (names []string) {
	for _, t := range fields.SplitList(texts) {
		if x, err := fields.ParseShare(t); err == nil {
			t = x.Species
		}
		names = append(names, t)
	}
	return names
}
