package rules

import (
	"io/fs"
	"path"
	"sort"
	"strings"

	"rimegate/hazard"
)

// Load reads a rulebook: cautious/*.toml (rules, and rulebook.toml with name
// and version), sources.toml, fixed.toml, species.toml, tables/*.toml and
// publications/*.toml. All faults are returned at once, sorted by place; with
// any fault the rulebook is nil.
func Load(fsys fs.FS) (*hazard.Rulebook, []Problem) {
	b, ps := load(fsys)
	if len(ps) > 0 {
		return nil, ps
	}
	remember(b)
	return b.book, nil
}

// bound is a loaded rulebook with all that people may ask of it.
type bound struct {
	book    *hazard.Rulebook
	docs    []Doc
	byID    map[string]int // into docs
	sources map[string]hazard.Source
	notes   map[string]string // of nitrate tables, by id
	pubs    []Publication
	species []*hazard.Species // sorted by id
	frost   map[string]string // what is published of a species' hardiness, by id
}

// reader is the state of one load.
type reader struct {
	bound
	problems
	first map[string]string // "source x" -> file it was first met in
	whole bool              // every file was read: missing things can be told
	named []named
}

func load(fsys fs.FS) (*bound, []Problem) {
	docs, found := readDocs(fsys)
	r := &reader{first: map[string]string{}, whole: len(found) == 0}
	r.problems = found
	r.sources = map[string]hazard.Source{}
	r.notes = map[string]string{}
	r.byID = map[string]int{}
	r.frost = map[string]string{}
	r.book = &hazard.Rulebook{
		Digest:  digestOf(docs),
		Species: map[string]*hazard.Species{},
		Alias:   map[string]string{},
		Info:    map[string]hazard.RuleInfo{},
	}
	if len(docs) == 0 && len(found) == 0 {
		r.problems = append(r.problems, Problem{What: "there is no rulebook here: no .toml file was found"})
		return nil, r.problems
	}

	var rules, fixed, species, tables, pubs []*doc
	for _, d := range docs {
		dir, base := path.Split(d.name)
		switch {
		case d.name == "sources.toml":
			r.readSources(d)
		case d.name == "species.toml":
			species = append(species, d)
		case d.name == "fixed.toml":
			fixed = append(fixed, d)
		case dir == "cautious/" && base == "rulebook.toml":
			r.readName(d)
		case dir == "cautious/":
			rules = append(rules, d)
		case dir == "tables/":
			tables = append(tables, d)
		case dir == "publications/":
			pubs = append(pubs, d)
		default:
			r.add(d, "", "no file of a rulebook goes here; it belongs in cautious, tables or publications")
		}
	}
	// Tables and publications are sources too: they are read before those that
	// cite them.
	for _, d := range tables {
		r.readTable(d)
	}
	for _, d := range pubs {
		r.readPublication(d)
	}
	r.readRules(rules)
	for _, d := range fixed {
		r.readFixed(d)
	}
	for _, d := range species {
		r.readSpecies(d)
	}
	r.checkNamed()
	sort.Slice(r.pubs, func(i, j int) bool { return r.pubs[i].ID < r.pubs[j].ID })
	r.finish()
	if len(r.problems) > 0 {
		return nil, r.sorted()
	}
	return &r.bound, nil
}

func (r *reader) readName(d *doc) {
	var f bookFile
	if !d.decode(&f, &r.problems) {
		r.whole = false
		return
	}
	r.book.Name, r.book.Version = f.Name, f.Version
	if f.Name == "" {
		r.add(d, "name", "the rulebook has no name")
	}
	if f.Version == "" {
		r.add(d, "version", "the rulebook has no version")
	}
}

func (r *reader) readSources(d *doc) {
	var f sourceFile
	if !d.decode(&f, &r.problems) {
		r.whole = false
		return
	}
	for i, s := range f.Source {
		r.source(d, at("source", i), s, "")
	}
}

// source checks and keeps one publication.
func (r *reader) source(d *doc, path string, s sourceShape, says string) hazard.Source {
	out := hazard.Source{ID: s.ID, Publisher: s.Publisher, Title: s.Title, URL: s.URL, Says: says}
	r.need(d, path, "id", s.ID)
	r.need(d, path, "publisher", s.Publisher)
	r.need(d, path, "title", s.Title)
	r.need(d, path, "url", s.URL)
	if s.URL != "" && !strings.HasPrefix(s.URL, "http://") && !strings.HasPrefix(s.URL, "https://") {
		r.add(d, dot(path, "url"), "url %q does not begin with http:// or https://", s.URL)
	}
	switch {
	case s.Year == nil:
		r.add(d, path, "source %q has no year; write year = 0 if the page shows none", s.ID)
	case *s.Year != 0 && (*s.Year < 1900 || *s.Year > 2100):
		r.add(d, dot(path, "year"), "year %d cannot be", *s.Year)
	default:
		out.Year = *s.Year
	}
	if s.ID != "" {
		if r.once(d, dot(path, "id"), "source", s.ID) {
			r.sources[s.ID] = out
		}
	}
	return out
}

func (r *reader) need(d *doc, path, key, value string) {
	if strings.TrimSpace(value) == "" {
		r.add(d, dot(path, key), "%s is missing", key)
	}
}

// once reports a second thing of the same kind and name.
func (r *reader) once(d *doc, path, kind, id string) bool {
	key := kind + " " + id
	if was, ok := r.first[key]; ok {
		where := ""
		if was != d.name {
			where = ", first in " + was
		}
		r.add(d, path, "%s %q stands here a second time%s", kind, id, where)
		return false
	}
	r.first[key] = d.name
	return true
}

// cite resolves a list of citations.
func (r *reader) cite(d *doc, path string, cs []citation) []hazard.Source {
	var out []hazard.Source
	for i, c := range cs {
		here := at(dot(path, "sources"), i)
		s, ok := r.sources[c.ID]
		if !ok {
			if r.whole {
				r.add(d, dot(here, "id"), "there is no source %q", c.ID)
			}
			continue
		}
		if strings.TrimSpace(c.Says) == "" {
			r.add(d, here, "source %q does not say what it says: says is missing", c.ID)
		}
		if strings.Contains(strings.ToLower(c.Says), "from memory") {
			r.add(d, dot(here, "says"), "what is from memory is not shipped as published")
		}
		s.Says = c.Says
		out = append(out, s)
	}
	return out
}

// finish reports what the whole book lacks.
func (r *reader) finish() {
	if !r.whole {
		return
	}
	lack := func(format string, args ...any) {
		r.add(&doc{}, "", format, args...)
		last := &r.problems[len(r.problems)-1]
		last.Line, last.Column = 0, 0
	}
	if r.book.Name == "" && r.first["name"] == "" {
		lack("cautious/rulebook.toml is missing")
	}
	for k := hazard.RuleKey(0); k < hazard.NumRules; k++ {
		if _, ok := r.byID[k.String()]; !ok {
			lack("rule %s is missing", k)
		}
	}
	for _, id := range wordRules {
		if _, ok := r.byID[id]; !ok {
			lack("rule %s is missing", id)
		}
	}
	for _, id := range fixedIDs {
		if _, ok := r.book.Info[id]; !ok {
			lack("the fixed reason %s is missing", id)
		}
	}
	if len(r.book.Tables) == 0 {
		lack("there is no nitrate table")
	}
	if len(r.book.Species) == 0 {
		lack("there is no species")
	}
}

func at(key string, i int) string { return key + "[" + itoa(i) + "]" }

func dot(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
