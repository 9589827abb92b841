package rules

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2/unstable"

	"rimegate/hazard"
)

//go:embed cautious/*.toml sources.toml species.toml fixed.toml tables/*.toml publications/*.toml
var files embed.FS

// bound is a loaded rulebook with all that people may ask of it.
type bound struct {
	book    *hazard.Rulebook
	docs    []Doc
	byID    map[string]int    // into docs
	sources []hazard.Source   // sorted by id
	pubs    []Publication     // sorted by id
	frost   map[string]string // what is published of a species' hardiness, by id
}

// embedded is the rulebook in this binary: what its files say, as a test wrote it down in
// book_gen.go. To read them at every start would take longer than most commands.
var embedded = sync.OnceValue(func() *bound {
	b, book := made, madeBook
	b.book, b.byID, b.frost = &book, map[string]int{}, map[string]string{}
	book.Tables, book.Aliases = madeTables(), madeAliases
	book.Species, book.Info = map[string]*hazard.Species{}, map[string]hazard.RuleInfo{}
	for i := range madeSpecies {
		book.Species[madeSpecies[i].ID] = &madeSpecies[i]
	}
	for i := range b.docs {
		b.byID[b.docs[i].ID] = i
		book.Info[b.docs[i].ID] = b.docs[i].info()
	}
	for _, f := range madeFrosts {
		b.frost[f[0]] = f[1]
	}
	return &b
})

// Default returns the embedded rulebook "cautious". It is shared and must not
// be changed; With makes a changed one.
func Default() *hazard.Rulebook { return embedded().book }

// reader is the state of one load.
type reader struct {
	bound
	cites    map[string]hazard.Source // by id
	aliases  map[string]string        // everyday name -> id
	parser   unstable.Parser
	store    []node
	buffer   bytes.Buffer
	problems []Problem
	first    map[string]string // "source x" -> file it was first met in
	whole    bool              // every file was read: missing things can be told
	named    []named
	drafts   map[string]*draft // by place, of Check
	base     *bound            // the rulebook without the drafts, nil if it is broken
	doubts   []Problem
}

// kind is one kind of file.
type kind struct {
	pattern string // of its path
	called  string
	tells   []string // what only this kind has, in a file that lies elsewhere
	read    func(*reader, spot)
}

// kinds are the files of a rulebook in the order they are read: what is cited
// before those that cite it. A file is of the first kind that fits its path.
var kinds = []kind{
	{"cautious/rulebook.toml", "the rulebook's name", []string{"version"}, (*reader).readName},
	{"sources.toml", "sources", []string{"[[source]]"}, (*reader).readSources},
	{"tables/*.toml", "a nitrate table", []string{"form", "one_row", "[[pregnant]]", "[[other]]"}, (*reader).readTable},
	{"publications/*.toml", "a publication on prussic acid", []string{"restart", "[[wait]]", "[[height]]"}, (*reader).readPublication},
	{"cautious/*.toml", "rules", []string{"[[rule]]"}, (*reader).readRules},
	{"fixed.toml", "reasons that are no number", []string{"[[fixed]]"}, (*reader).readFixed},
	{"species.toml", "plants and their names", []string{"[[species]]", "[[everyday]]"}, (*reader).readSpecies},
}

// load reads a rulebook. All faults are returned at once, sorted by place.
func load(fsys fs.FS) (*bound, []Problem) {
	r := new(reader)
	return r.load(fsys), r.problems
}

// load reads a rulebook with the reader's drafts in it; nil if it has faults.
func (r *reader) load(fsys fs.FS) *bound {
	r.first, r.whole, r.store = map[string]string{}, true, make([]node, 0, 4000)
	r.bound = bound{
		byID: map[string]int{}, frost: map[string]string{},
		book: &hazard.Rulebook{Species: map[string]*hazard.Species{}, Info: map[string]hazard.RuleInfo{}},
	}
	r.cites, r.aliases = map[string]hazard.Source{}, make(map[string]string, 2000)
	byKind := make([][]spot, len(kinds))
	digest, err := r.everyFile(fsys, func(s spot) {
		if i := kindAt(s.file); i >= 0 {
			byKind[i] = append(byKind[i], s)
			return
		}
		s.add("no file of a rulebook goes here; it belongs in cautious, tables or publications")
	})
	if err != nil {
		r.lack("the rulebook cannot be read: %s", err)
		return nil
	}
	r.book.Digest = digest
	for _, place := range slices.Sorted(maps.Keys(r.drafts)) {
		d := r.drafts[place]
		byKind[d.kind] = append(byKind[d.kind], spot{r, place, d.Text, &node{}})
	}
	for i, k := range kinds {
		for _, s := range byKind[i] {
			s.kind, r.store = unstable.InlineTable, r.store[:0]
			if !s.parse() {
				r.whole = false
				continue
			}
			k.read(r, s)
		}
	}
	r.finish()
	if len(r.problems) > 0 {
		slices.SortStableFunc(r.problems, func(a, b Problem) int {
			return cmp.Or(strings.Compare(a.File, b.File), a.Line-b.Line, a.Column-b.Column)
		})
		return nil
	}
	b := r.bound // without the reader's stores
	return &b
}

// everyFile calls do with each file of a rulebook that is no draft, and returns their
// digest: the first 12 digits of the SHA-256 over all of them, path and content, in path
// order.
func (r *reader) everyFile(fsys fs.FS, do func(spot)) (string, error) {
	hash, chunk := sha256.New(), make([]byte, 32<<10)
	err := fs.WalkDir(fsys, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || path.Ext(name) != ".toml" || r.drafts[name] != nil {
			return err
		}
		f, err := fsys.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		info, err := f.Stat()
		if err != nil {
			return err
		}
		fmt.Fprintf(hash, "%s\x00%d\x00", name, info.Size())
		var text strings.Builder
		text.Grow(int(info.Size()))
		if _, err := io.CopyBuffer(io.MultiWriter(hash, &text), f, chunk); err != nil {
			return err
		}
		do(spot{r, name, text.String(), &node{kind: unstable.InlineTable}})
		return nil
	})
	return hex.EncodeToString(hash.Sum(nil))[:12], err
}

// Stamp returns the name, version and digest of the embedded rulebook.
func Stamp() (name, version, digest string) {
	return madeBook.Name, madeBook.Version, madeBook.Digest
}

// kindAt is the kind of the file at a path of the rulebook, -1 if none goes there.
func kindAt(name string) int {
	return slices.IndexFunc(kinds, func(k kind) bool {
		fits, _ := path.Match(k.pattern, name)
		return fits
	})
}

func (r *reader) readName(s spot) {
	var f struct{ Name, Version string }
	s.decode(&f)
	r.book.Name, r.book.Version = f.Name, f.Version
	s.refuse(f.Name == "", "name", "the rulebook has no name")
	s.refuse(f.Version == "", "version", "the rulebook has no version")
}

// published is a publication as its file has it.
type published struct {
	ID        string `need:""`
	Publisher string `need:""`
	Title     string `need:""`
	Year      *int   // 0: the page shows none
	URL       string `need:""`
}

func (r *reader) readSources(s spot) {
	var f struct{ Source []published }
	s.decode(&f)
	for i := range f.Source {
		r.source(s.at("source", i), &f.Source[i], "")
	}
}

// source checks and keeps one publication.
func (r *reader) source(s spot, p *published, says string) hazard.Source {
	out := hazard.Source{ID: p.ID, Publisher: p.Publisher, Title: p.Title, URL: p.URL, Says: says}
	web := strings.HasPrefix(p.URL, "http://") || strings.HasPrefix(p.URL, "https://")
	s.refuse(p.URL != "" && !web, "url", "url %q does not begin with http:// or https://", p.URL)
	if p.Year == nil {
		s.at("year").add("source %q has no year; write year = 0 if the page shows none", p.ID)
	} else {
		out.Year = *p.Year
		s.refuse(out.Year != 0 && (out.Year < 1900 || out.Year > 2100), "year", "year %s cannot be", strconv.Itoa(out.Year))
	}
	if p.ID != "" && r.once(s, "source", p.ID) {
		r.cites[p.ID] = out
	}
	return out
}

// once reports whether this is the first thing of its kind and name, and says
// so where it is not.
func (r *reader) once(s spot, kind, id string) bool {
	key := kind + " " + id
	was, again := r.first[key]
	if again && was != s.file && r.replaces(s, kind, id, was) {
		again = false
	}
	where := ""
	if was != s.file {
		where = ", first in " + was
	}
	s.refuse(again, "id", "%s %q stands here a second time%s", kind, id, where)
	if !again {
		r.first[key] = s.file
	}
	return !again
}

// cited looks up a source by its id.
func (r *reader) cited(s spot, id string) (hazard.Source, bool) {
	src, ok := r.cites[id]
	if !ok && r.whole {
		s.add("there is no source %q; give it a [[source]] in sources.toml, or a file in publications or tables", id)
	}
	return src, ok
}

// saysNothing reports a source without its words.
func saysNothing(s spot, id, says string) {
	s.refuse(strings.TrimSpace(says) == "", "", "source %q does not say what it says: says is missing", id)
}

// lack reports what the whole book lacks.
func (r *reader) lack(format string, args ...any) {
	r.problems = append(r.problems, Problem{What: fmt.Sprintf(format, args...)})
}

// finish checks what takes all files together, and puts them in order.
func (r *reader) finish() {
	known := knownIDs()
	docs := make([]Doc, 0, len(known))
	for i, id := range known {
		at, ok := r.byID[id]
		switch {
		case ok:
			r.byID[id] = len(docs)
			docs = append(docs, r.docs[at])
		case r.whole && i < len(known)-len(fixedIDs):
			r.lack("rule %s is missing", id)
		case r.whole:
			r.lack("the fixed reason %s is missing", id)
		}
	}
	r.docs = docs
	slices.SortFunc(r.pubs, func(a, b Publication) int { return strings.Compare(a.ID, b.ID) })
	for _, id := range slices.Sorted(maps.Keys(r.cites)) {
		r.sources = append(r.sources, r.cites[id])
	}
	for _, name := range slices.Sorted(maps.Keys(r.aliases)) {
		r.book.Aliases = append(r.book.Aliases, hazard.Alias{Name: name, Species: r.aliases[name]})
	}
	if !r.whole {
		return
	}
	for _, n := range r.named {
		n.refuse(r.book.Species[n.id] == nil, "", "there is no species %q; take an id of species.toml", n.id)
	}
	for what, missing := range map[string]bool{
		"cautious/rulebook.toml is missing": r.book.Name == "" && len(r.problems) == 0,
		"there is no nitrate table":         len(r.book.Tables) == 0,
		"there is no species":               len(r.book.Species) == 0,
	} {
		if missing {
			r.lack("%s", what)
		}
	}
}

// Says prints the default with its unit, "" for a fixed reason.
func (d *Doc) Says() string { return d.print(d.Value, d.Word) }

// SaysLimit prints the limit with its unit, "" where there is none.
func (d *Doc) SaysLimit() string { return d.print(d.Limit, "") }

// SaysValue prints a value that was typed for it, with its unit.
func (d *Doc) SaysValue(typed string) string {
	if d.Word != "" {
		return typed
	}
	return strings.TrimSpace(typed + " " + d.Unit)
}

func (d *Doc) print(v float64, word string) string {
	if d.Fixed || d.Word != "" {
		return word
	}
	return withUnit(v, d.Unit)
}

// Docs returns every rule and fixed reason of the embedded rulebook, in the
// order of their ids' kind.
func Docs() []Doc { return slices.Clone(made.docs) }

// DocOf returns one of them.
func DocOf(id string) (Doc, bool) {
	b := embedded()
	i, ok := b.byID[id]
	if !ok {
		return Doc{}, false
	}
	return b.docs[i], true
}

// FrostOf returns what is published of a species' hardiness, with its
// publishers, "" where nothing was read or the id is no single plant.
func FrostOf(id string) string { return embedded().frost[id] }

// SourceOf returns a publication by its id.
func SourceOf(id string) (hazard.Source, bool) {
	for _, s := range made.sources {
		if s.ID == id {
			return s, true
		}
	}
	return hazard.Source{}, false
}

// Publications returns them sorted by id.
func Publications() []Publication { return slices.Clone(made.pubs) }
