package rules

import (
	"cmp"
	"fmt"
	"math"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// File is a file that may go into the rulebook: its name, as the user knows it, and text.
type File struct{ Name, Text string }

// Checked is what one file was taken for, what must be changed in it, and what whoever
// reviews it would ask. What it says is there only where no file checked has a fault.
type Checked struct {
	Name     string
	Kind     string    // in words, "" where nothing tells
	Problems []Problem // sorted by place, under the file's own name
	Doubts   []Problem // the same

	Publication *Publication
	Table       *hazard.NitrateTableData
	Rules       []Doc
	Species     []*hazard.Species
	Frost       map[string]string // as FrostOf, of its species
}

// draft is a file in its place among those of the rulebook.
type draft struct {
	File
	kind  int
	loose bool // it lies outside a rulebook
	today fields.Date
}

// Check reads files as if they were in the rulebook: where one of their name is, in its
// place, else beside the others; a rule or plant of a new file takes the place of the one
// of its id. today is for dates that lie ahead.
func Check(all []File, today fields.Date) []Checked {
	r := &reader{drafts: map[string]*draft{}}
	r.base, _ = load(files)
	out, places := make([]Checked, len(all)), make([]string, len(all))
	for i, f := range all {
		out[i].Name = f.Name
		kind, place := placeOf(f)
		if kind < 0 {
			out[i].Problems = append(out[i].Problems, Problem{
				f.Name, 1, 1,
				"nothing tells what kind of file this is; " + kindsTold(),
			})
			continue
		}
		out[i].Kind = kinds[kind].called
		if was := r.drafts[place]; was != nil {
			out[i].Problems = append(out[i].Problems, Problem{
				f.Name, 1, 1,
				"it would go into the same place as " + was.Name + "; check one of them",
			})
			continue
		}
		loose := kindAt(place) < 0 || !strings.HasSuffix(filepath.ToSlash(f.Name), place)
		places[i], r.drafts[place] = place, &draft{f, kind, loose, today}
	}
	b := r.load(files)
	for _, p := range r.problems {
		at := max(0, slices.Index(places, p.File))
		if r.drafts[p.File] != nil {
			p.File = out[at].Name
		}
		out[at].Problems = append(out[at].Problems, p)
	}
	for _, p := range r.doubts {
		at := slices.Index(places, p.File)
		p.File = out[at].Name
		out[at].Doubts = append(out[at].Doubts, p)
	}
	for i := range out {
		slices.SortStableFunc(out[i].Doubts, func(a, b Problem) int { return cmp.Or(a.Line-b.Line, a.Column-b.Column) })
		if b != nil && places[i] != "" {
			out[i].says(r, b, places[i])
		}
	}
	return out
}

// placeOf says where in the rulebook a file goes: by its path if it ends like one of the
// rulebook's, else by its keys. kind is -1 if nothing tells.
func placeOf(f File) (kind int, place string) {
	parts := strings.Split(path.Clean(filepath.ToSlash(f.Name)), "/")
	base := parts[len(parts)-1]
	if len(parts) > 1 {
		if place = parts[len(parts)-2] + "/" + base; kindAt(place) >= 0 {
			return kindAt(place), place
		}
	}
	if kindAt(base) >= 0 {
		return kindAt(base), base
	}
	keys := map[string]bool{} // also of a file whose syntax is broken
	for line := range strings.Lines(f.Text) {
		line, _, _ = strings.Cut(line, "#")
		key, _, _ := strings.Cut(line, "=")
		keys[strings.TrimSpace(key)] = true
	}
	for i, k := range kinds {
		if slices.ContainsFunc(k.tells, func(key string) bool { return keys[key] }) {
			return i, strings.Replace(k.pattern, path.Base(k.pattern), base, 1)
		}
	}
	return -1, ""
}

// kindsTold names the keys by which a kind of file is known.
func kindsTold() string {
	var ways []string
	for _, k := range kinds {
		ways = append(ways, k.called+" ("+strings.Join(k.tells, ", ")+")")
	}
	return "what tells is: " + list(ways, " or ")
}

// says takes what the file at a place says out of the rulebook that holds it.
func (c *Checked) says(r *reader, b *bound, place string) {
	for key, file := range r.first {
		what, id, _ := strings.Cut(key, " ")
		if what == "fixed" {
			id = strings.TrimPrefix(id, "reason ")
		}
		if i, ok := b.byID[id]; ok && file == place {
			c.Rules = append(c.Rules, b.docs[i])
		} else if sp := b.book.Species[id]; file == place && sp != nil && what == "species" {
			c.Species = append(c.Species, sp)
		}
		if file != place || what != "source" {
			continue
		}
		if i := slices.IndexFunc(b.pubs, func(p Publication) bool { return p.ID == id }); i >= 0 {
			c.Publication = &b.pubs[i]
		}
		if i := slices.IndexFunc(b.book.Tables, func(t hazard.NitrateTableData) bool { return t.ID == id }); i >= 0 {
			c.Table = &b.book.Tables[i]
		}
	}
	c.Frost = b.frost
	slices.SortFunc(c.Rules, func(a, b Doc) int { return strings.Compare(a.ID, b.ID) })
	slices.SortFunc(c.Species, func(a, b *hazard.Species) int { return strings.Compare(a.ID, b.ID) })
}

// replaces reports whether what a new file says takes the place of what the rulebook has:
// each of its rules and plants is there already.
func (r *reader) replaces(s spot, what, id, was string) bool {
	d := r.drafts[s.file]
	may := what != "source" && d != nil && d.loose && r.drafts[was] == nil
	s.doubt(may, "id", "%s %q takes the place of the one in %s: in the end, edit it there", what, id, was)
	return may
}

// doubt notes what a reviewer would ask of a file that is checked.
func (s spot) doubt(asked bool, key, format string, args ...any) {
	if at := s.at(key); asked && s.r.drafts[s.file] != nil && !at.broken() {
		s.r.doubts = append(s.r.doubts, at.problem(format, args...))
	}
}

// review asks what is asked of every publication and table.
func (r *reader) review(s spot, p *published, checked fields.Date) {
	d := r.drafts[s.file]
	if d == nil {
		return
	}
	s.doubt(p.ID != "" && path.Base(s.file) != p.ID+".toml", "id", "its file is named by its id: call it %s.toml", p.ID)
	s.doubt(p.Year != nil && *p.Year == 0, "year", "year 0: does the page show no date at all, nor its address?")
	s.doubt(strings.Contains(p.Publisher, " via "), "publisher", "it was read in a reprint: is the original to be had?")
	s.doubt(checked > d.today, "checked_on", "checked_on lies ahead of today, %s", d.today.Words())
}

// waitRule is the rule of the cautious rulebook that a wait is held against.
func waitRule(w *PublishedWait) string {
	switch {
	case w.Use == "feed-hay":
		return "prussic.hay.cure"
	case w.Use == "feed-silage":
		return "prussic.silage.wait"
	case w.After == "drought-rain":
		return "prussic.drought.wait"
	case w.After == "spray":
		return "prussic.spray.wait"
	case w.Use == "cut-silage":
		return "prussic.chop.wait"
	}
	return "prussic.frost.wait"
}

const shownBeside = "it is shown beside the others and changes no answer"

func (r *reader) reviewPublication(s spot, f *published, p *publicationShape) {
	r.review(s, f, p.CheckedOn)
	frost := slices.IndexFunc(p.Waits, func(w PublishedWait) bool {
		return strings.HasSuffix(w.After,
			"frost") && w.Use == "graze"
	})
	s.doubt(frost >= 0 && len(p.Heights) == 0, "", "it gives a wait after frost and no height: does the page give none?")
	s.doubt(p.Restart == "no", "restart", "a new frost does not start the count anew: does the page say so in words?")
	for i := range p.Waits {
		w, at := &p.Waits[i], s.at("wait", i)
		n, numbered := w.Longest()
		at.doubt(!numbered && !w.Never && w.Dry == "", "", "a wait without days: does the page give no number?")
		if id := waitRule(w); numbered && r.base != nil {
			rule := r.base.docs[r.base.byID[id]]
			at.doubt(float64(n) > rule.Value && id == "prussic.frost.wait", "days",
				"%s is longer than %s (%s): the rulebook means to take the longest in print",
				withUnit(float64(n), "days"), id, rule.Says())
			at.doubt(float64(n) < rule.Value, "days", "%s is less cautious than %s (%s): %s", withUnit(float64(n), "days"),
				id, rule.Says(), shownBeside)
		}
	}
	for i := range p.Heights {
		h, at := &p.Heights[i], s.at("height", i)
		cm, numbered := h.Highest()
		for _, id := range r.heightRules(h.Species) {
			rule := r.base.docs[r.base.byID[id]]
			at.doubt(numbered && cm < rule.Value-0.5, "cm", "%s is less cautious than %s (%s): %s", withUnit(cm, "cm"), id,
				rule.Says(), shownBeside)
			at.doubt(numbered && cm > rule.Value+0.5, "cm",
				"%s is more than %s (%s): the rulebook means to ask for the tallest in print", withUnit(cm, "cm"), id, rule.Says())
		}
	}
}

// heightRules are the minimum heights of plants; of none, of the sorghums as a group.
func (r *reader) heightRules(ids []string) (out []string) {
	if r.base == nil {
		return nil
	}
	if len(ids) == 0 {
		return []string{hazard.HeightSorghumSudangrass.String()}
	}
	for _, id := range ids {
		if sp := r.base.book.Species[id]; sp != nil && sp.Height >= 0 && !slices.Contains(out, sp.Height.String()) {
			out = append(out, sp.Height.String())
		}
	}
	return out
}

func (r *reader) reviewTable(s spot, f *tableShape, t *hazard.NitrateTableData) {
	r.review(s, &f.published, f.CheckedOn)
	for _, row := range []struct {
		key   string
		bands []bandShape
		class hazard.Class
	}{{"pregnant", f.Pregnant, hazard.BredCattle}, {"other", f.Other, hazard.OpenCattle}} {
		for i := range row.bands {
			s.at(row.key, i).doubt(row.bands[i].ShareOurs, "share_ours", "the share is ours: does the page print none?")
		}
		if len(row.bands) == 0 || r.base == nil {
			continue
		}
		line, strictest, who := t.Rows[row.class][0].UpTo*t.ToN, math.Inf(1), ""
		for i := range r.base.book.Tables {
			o := &r.base.book.Tables[i]
			if bands := o.Rows[row.class]; len(bands) > 0 && o.ID != t.ID && bands[0].UpTo*o.ToN < strictest {
				strictest, who = bands[0].UpTo*o.ToN, o.ID
			}
		}
		s.at(row.key, 0).doubt(line > strictest, "up_to",
			"clear below %s ppm NO3-N is less cautious than the table %s (%s): while nitrate.tables is all, the stricter holds",
			number(math.Floor(line)), who, number(math.Floor(strictest)))
	}
}

func (r *reader) reviewRule(s spot, d *Doc) {
	s.doubt(d.Basis == BasisCommon || d.Basis == BasisMemory, "basis", "no source: is there nobody who prints it?")
	if f := r.drafts[s.file]; f != nil {
		s.doubt(d.CheckedOn > f.today, "checked_on", "checked_on lies ahead of today, %s", f.today.Words())
	}
	for i, c := range d.Cites {
		s.at("sources", i).doubt(d.Word == "" && len(c.Values) == 0, "",
			"source %q gives no values: does it print no number?", c.ID)
	}
	if r.base == nil {
		return
	}
	i, ok := r.base.byID[d.ID]
	if !ok {
		return
	}
	was := &r.base.docs[i]
	s.doubt(d.Unit != was.Unit, "unit", "the rulebook has %s in %s", d.ID, cmp.Or(was.Unit, "words"))
	if d.Word != "" || d.Unit != was.Unit {
		return
	}
	s.doubt(was.laxer(d.Value, was.Value), "value", "%s is less cautious than the rulebook's %s", d.Says(), was.Says())
	s.doubt(was.laxer(d.Limit, was.Limit), "limit", "the limit %s is less cautious than the rulebook's %s",
		d.SaysLimit(), was.SaysLimit())
	s.doubt(d.Stricter != was.Stricter, "stricter", "of %s %s is stricter in the rulebook", d.ID, was.Stricter)
}

func (r *reader) reviewSpecies(s spot, sp *hazard.Species) {
	s.doubt(sp.Level == LevelMemory, "levels_basis", "its rating is from memory: is there nobody who prints one?")
	if r.base == nil {
		return
	}
	was := r.base.book.Species[sp.ID]
	if was == nil {
		return
	}
	const laxer = "the rulebook has %s for %s, which is more cautious: which source says otherwise?"
	less := func(order []hazard.Habit, a, b hazard.Habit) bool {
		return slices.Index(order, a) > slices.Index(order, b)
	}
	s.doubt(less(worstHabits, sp.Habit, was.Habit), "habit", laxer, "habit "+was.Habit.String(), sp.ID)
	s.doubt(slices.Index(worstNitrate, sp.Nitrate) > slices.Index(worstNitrate, was.Nitrate), "nitrate", laxer,
		"nitrate "+was.Nitrate.String(), sp.ID)
	s.doubt(was.HorsesOff && !sp.HorsesOff, "horses_off", laxer, "horses_off", sp.ID)
	s.doubt(was.GreenCap && !sp.GreenCap, "green_cap", laxer, "green_cap", sp.ID)
	s.doubt(sp.Hardy && !was.Hardy, "hardy", laxer, "no hardy", sp.ID)
	for _, n := range was.Names {
		s.doubt(!slices.Contains(sp.Names, n), "names", "the name %q of the rulebook is gone", n)
	}
}

// remembered refuses what was never read in what a file prints as published, and asks
// of what was read in part.
func (s spot) remembered(key, text string) {
	text = strings.ToLower(text)
	s.refuse(strings.Contains(text, "from memory") || strings.Contains(text, "remembered"), key,
		"what is from memory is not shipped as published: read the page first")
	s.doubt(strings.Contains(text, "not read") || strings.Contains(text, "unread"), key,
		"%s says that something was not read: what was not read is not shipped as published", cmp.Or(key, "it"))
}

// wasRead holds what a publication or table prints, keys before their texts, against that.
func (s spot) wasRead(p *published, texts ...string) {
	texts = append(texts, "publisher", p.Publisher, "title", p.Title)
	for i := 0; i < len(texts); i += 2 {
		s.remembered(texts[i], texts[i+1])
	}
}

// Draft reads one file that must be a publication, for showing it beside the others.
func Draft(f File, today fields.Date) (*Publication, error) {
	c := Check([]File{f}, today)[0]
	if len(c.Problems) > 0 {
		return nil, fmt.Errorf("%w; `rimegate rules check` says all of it", c.Problems[0])
	}
	if c.Publication == nil {
		return nil, fmt.Errorf("%s holds %s, not a publication with waits or heights", f.Name, c.Kind)
	}
	return c.Publication, nil
}
