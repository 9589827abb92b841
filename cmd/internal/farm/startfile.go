package farm

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/lazy"
)

// maxSetUp is the longest file of a set-up that is read, in bytes.
const maxSetUp = 1 << 20

// fileKinds are the tables of a file in the order they are written: what is named
// stands before what names it.
func fileKinds() []*form.Kind {
	var out []*form.Kind
	for _, k := range form.Starts() {
		out = append(out, k)
		if k.Kind == fields.KindSown {
			out = append(out, form.Of(fields.KindSeen))
		}
	}
	return out
}

// keys are the fields that a table of a kind can hold, by what they are called there.
func keys(k *form.Kind) map[string]*form.Field {
	out := map[string]*form.Field{}
	for i := range k.Fields {
		if f := &k.Fields[i]; f.Name != "dry_run" {
			out[f.Key()] = f
		}
	}
	return out
}

// fileTable is one table of a file.
type fileTable struct {
	kind  *form.Kind
	at    fields.Problem // where it stands
	said  form.Said
	where map[string]fields.Problem // where each field stands
}

// setUpFile reads the tables of a file.
type setUpFile struct {
	text     []byte
	parser   unstable.Parser
	tables   []*fileTable
	problems fields.Problems
	refused  []string // how things are missed whose own table was refused
	onFile   *fields.History
}

// at is the place of a node in the file.
func (x *setUpFile) at(r unstable.Range) fields.Problem {
	before := x.text[:min(int(r.Offset), len(x.text))]
	return fields.Problem{
		Line: 1 + bytes.Count(before, []byte("\n")), Column: len(before) - bytes.LastIndexByte(before, '\n'),
	}
}

func (x *setUpFile) wrong(at fields.Problem, field, what, hint string) {
	at.Field, at.What, at.Type = field, what, hint
	x.problems = append(x.problems, at)
}

// read makes tables of the text.
func (x *setUpFile) read() {
	var any map[string]any
	var bad *toml.DecodeError
	if err := toml.Unmarshal(x.text, &any); errors.As(err, &bad) {
		line, column := bad.Position()
		x.wrong(fields.Problem{Line: line, Column: column}, "",
			"this is no TOML ("+strings.TrimPrefix(bad.Error(), "toml: ")+")", `type a line like name = "Creek"`)
		return
	}
	x.parser.Reset(x.text)
	var table *fileTable
	for x.parser.NextExpression() {
		switch e := x.parser.Expression(); e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = x.table(e)
		case unstable.KeyValue:
			x.value(table, e)
		}
	}
	if err := x.parser.Error(); err != nil { // it was read whole a moment ago
		x.wrong(fields.Problem{}, "", err.Error(), "")
	}
}

// path is a key with its points, and where it stands.
func (x *setUpFile) path(e *unstable.Node) (name string, at fields.Problem) {
	for it := e.Key(); it.Next(); {
		if name == "" {
			at = x.at(it.Node().Raw)
		}
		name += "." + string(it.Node().Data)
	}
	return strings.TrimPrefix(name, "."), at
}

func (x *setUpFile) table(e *unstable.Node) *fileTable {
	name, at := x.path(e)
	var names []string
	for _, k := range fileKinds() {
		names = append(names, string(k.Kind))
	}
	t := &fileTable{at: at, said: form.Said{}, where: map[string]fields.Problem{}}
	i := slices.Index(names, name)
	switch {
	case i < 0:
		hint := "it can be " + orList(names)
		if c := form.Closest(name, names); c != "" {
			hint = "did you mean " + c + "? It can be " + orList(names)
		}
		x.wrong(at, "", fmt.Sprintf("%q is no table of a set-up", name), hint)
		return nil
	case names[i] == string(fields.KindFarm) && e.Kind == unstable.ArrayTable:
		x.wrong(at, "", "there is one farm", "write [farm]")
		return nil
	case names[i] != string(fields.KindFarm) && e.Kind == unstable.Table:
		x.wrong(at, "", "there can be several", "write [["+name+"]]")
		return nil
	}
	t.kind = fileKinds()[i]
	x.tables = append(x.tables, t)
	return t
}

func (x *setUpFile) value(t *fileTable, e *unstable.Node) {
	name, at := x.path(e)
	if t == nil {
		if len(x.problems) == 0 {
			x.wrong(at, name, "stands in no table", "write [farm] or the like above it")
		}
		return
	}
	all := keys(t.kind)
	f := all[name]
	if f == nil {
		var names []string
		for n := range all {
			names = append(names, n)
		}
		slices.Sort(names)
		hint := "it can say " + strings.Join(names, ", ")
		if c := form.Closest(name, names); c != "" {
			hint = "did you mean " + c + "?"
		}
		x.wrong(at, name, "is nothing that a "+string(t.kind.Kind)+" can say", hint)
		return
	}
	texts, ok := scalars(e.Value())
	if !ok {
		x.wrong(at, name, "is neither a text, a number, true, false nor a list of texts", `type it like name = "Creek"`)
		return
	}
	if f.Type == form.Flag && !slices.Contains(texts, "yes") {
		return
	}
	if texts = slices.DeleteFunc(texts, func(t string) bool { return strings.TrimSpace(t) == "" }); len(texts) > 0 {
		t.said[f.Name], t.where[f.Name] = texts, at
	}
}

// scalars are the texts of a value as a person would type them in a form.
func scalars(v *unstable.Node) (texts []string, ok bool) {
	switch v.Kind {
	case unstable.String, unstable.Integer, unstable.Float, unstable.LocalDate:
		return []string{string(v.Data)}, true
	case unstable.Bool:
		return []string{map[bool]string{true: "yes", false: "no"}[string(v.Data) == "true"]}, true
	case unstable.Array:
		for it := v.Children(); it.Next(); {
			one, ok := scalars(it.Node())
			if !ok || it.Node().Kind == unstable.Array {
				return nil, false
			}
			texts = append(texts, one...)
		}
		return texts, true
	}
	return nil, false
}

// SetUpFrom takes a whole set-up from a file, or nothing of it: every mistake is told
// with its line. With dryRun nothing is stored.
func (f *Farm) SetUpFrom(r io.Reader, dryRun bool) (*Logged, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxSetUp+1))
	if err != nil {
		return nil, err
	}
	if len(text) > maxSetUp {
		return nil, fields.Problem{What: "the file is longer than a set-up can be"}
	}
	s, err := f.Start()
	if err != nil {
		return nil, err
	}
	x := &setUpFile{text: text, onFile: s.View.History}
	x.read()
	if len(x.problems) == 0 && len(x.tables) == 0 {
		x.wrong(fields.Problem{}, "", "the file says nothing", "`rimegate start --template` writes one to fill in")
	}
	sortTables(x.tables)
	var all []fields.Entry
	var sure Sure
	v := s.View
	for _, t := range x.tables {
		var made []fields.Entry
		if made, v = x.entries(f, v, t); len(made) > 0 {
			all = append(all, made...)
		}
		sure.Names = sure.Names || t.said["as_said"] != nil
	}
	if !v.History.ZoneSet && len(x.problems) == 0 {
		x.wrong(fields.Problem{}, "", "the farm has no name and time zone yet", "write them under [farm]")
	}
	if len(x.problems) > 0 {
		slices.SortStableFunc(x.problems, func(a, b fields.Problem) int { return cmp.Or(a.Line-b.Line, a.Column-b.Column) })
		return nil, x.problems
	}
	if !f.store.Exists() {
		if v, err = f.begin(all, dryRun, sure); err != nil {
			return nil, err
		}
		return v.Log(all, dryRun, sure)
	}
	return s.View.Log(all, dryRun, sure)
}

// sortTables puts what is named before what names it.
func sortTables(tables []*fileTable) {
	rank := func(t *fileTable) int { return slices.Index(fileKinds(), t.kind) }
	slices.SortStableFunc(tables, func(a, b *fileTable) int { return rank(a) - rank(b) })
}

// entries makes the entries of a table and looks at them in the light of the tables
// before it.
func (x *setUpFile) entries(f *Farm, v *View, t *fileTable) ([]fields.Entry, *View) {
	refuse := func(ps fields.Problems) {
		id := form.ShortName(strings.Join(t.said[string(t.kind.Kind)], ""), strings.Join(t.said["name"], ""))
		x.refused = append(x.refused, fmt.Sprintf("there is no %s %q", t.kind.Kind, id))
		for _, p := range ps {
			if slices.ContainsFunc(x.refused, func(miss string) bool { return strings.HasPrefix(p.What, miss) }) {
				continue // it would be there
			}
			at, ok := t.where[p.Field]
			if !ok {
				at = t.at
			}
			name := p.Field
			if f := t.kind.Field(name); f != nil {
				name = f.Key()
			}
			x.wrong(at, name, inFile(p.What), inFile(p.Type))
		}
	}
	if zone, err := form.ParseZone(strings.Join(t.said["zone"], "")); err == nil && !v.History.ZoneSet {
		if loc, err := fields.LoadZone(zone); err == nil { // days are told in it
			f.Zone = loc
			v = f.refold(v.Entries, Question{})
		}
	}
	var was fields.Body
	if t.kind.Kind == fields.KindFarm {
		was = v.History.OnFile(fields.KindFarm, "")
	}
	said := t.said
	if k := t.kind.Field("on"); k != nil && said["on"] == nil && k.Default(v.Now) != "" {
		said["on"] = []string{k.Default(v.Now)}
	}
	if k := t.kind.Field("state"); t.kind.Kind == fields.KindGrazed && said["state"] == nil {
		said["state"] = []string{k.Preset}
	}
	made, ps := t.kind.Entries(said, form.Context{
		Now: v.Now, Behind: v.Behind, Farm: v, Was: was, Stands: func(string) bool { return true }, // prepare asks
	})
	if len(ps) == 0 {
		if errors.As(isNew(v.History, "", made), &ps) && isNew(x.onFile, "", made) != nil {
			ps[0].Type = "a set-up is for a new journal; leave out what is on file, and change it with `rimegate " +
				string(t.kind.Kind) + " set`"
		}
	}
	if len(ps) == 0 {
		ready, _, err := v.prepare(made, Sure{Names: said["as_said"] != nil})
		if errors.As(err, &ps); len(ps) == 0 {
			return made, v.with(ready, Question{})
		}
	}
	refuse(ps)
	return nil, v
}

// inFile says what to write in a file where a sentence says what to type.
func inFile(s string) string {
	return addWith().ReplaceAllString(strings.ReplaceAll(s, "--as-said", "as-said = true"), "write one under [[$1]]")
}

var addWith = lazy.Regexp("add one with `rimegate ([a-z]+) add`")

// Export writes the farm as it stands as a file that SetUpFrom takes; what is said of
// each key comes from the table of forms.
func (v *View) Export(w io.Writer) error { return writeSetUp(w, v) }

// Template writes such a file with nothing filled in.
func Template(w io.Writer) error { return writeSetUp(w, nil) }

// exportMark stands in the first line of every file that the program wrote.
const exportMark = "# The set-up of a farm, for `rimegate start --from FILE`."

// OurSetUp reports a file that Export or Template wrote.
func OurSetUp(text []byte) bool { return bytes.HasPrefix(text, []byte(exportMark+"\n")) }

var setUpHead = exportMark + `
# A line that begins with # is not read: take the # away to use it. A table in double
# brackets may stand there as often as there are such things. Numbers
# carry their unit; days are like 10-Jun-2026. What is left out is not said, and never
# taken for good news. No frosts, lab results, walks, hail or sick animals are in it: log
# those anew, or take all of a journal along with ` + "`rimegate journal export`.\n"

// writeSetUp writes the tables of a view, or empty ones.
func writeSetUp(w io.Writer, v *View) error {
	var b bytes.Buffer
	b.WriteString(setUpHead)
	for _, k := range fileKinds() {
		rows := []form.Said{{}}
		if v != nil {
			rows = v.rowsOf(k)
		}
		lead := cmp.Or(k.Lead, k.Menu+".")
		if k.Kind == fields.KindSown { // of which questions make plants seen
			lead += " It goes under [[seen]]."
		}
		fmt.Fprintf(&b, "\n# %s. %s\n", strings.ToUpper(k.Title), lead)
		for i, said := range slices.Concat(rows, []form.Said{{}})[:max(1, len(rows))] {
			if i > 0 {
				b.WriteByte('\n')
			}
			if err := writeTable(&b, k, said, i == 0); err != nil {
				return err
			}
		}
	}
	_, err := w.Write(b.Bytes())
	return err
}

// writeTable writes one table; the first of a kind shows every key, with what to type.
func writeTable(b *bytes.Buffer, k *form.Kind, said form.Said, first bool) error {
	head, empty := "[["+string(k.Kind)+"]]", len(said) == 0
	switch {
	case k.Kind == fields.KindFarm:
		head = "[farm]"
	case empty:
		head = "# " + head
	}
	fmt.Fprintln(b, head)
	for i := range k.Fields {
		f := &k.Fields[i]
		if f.Name == "dry_run" || f.Name == "note" {
			continue
		}
		line, err := keyLine(f, said[f.Name])
		if err != nil {
			return err
		}
		switch {
		case len(said[f.Name]) == 0 && !first:
			continue
		case len(said[f.Name]) == 0 && !(empty && k.Kind == fields.KindFarm):
			line = "# " + line
		}
		if about := about(f); first && about != "" {
			line = fmt.Sprintf("%-30s  # %s", line, about)
		}
		fmt.Fprintln(b, line)
	}
	return nil
}

// keyLine is a key with its value; of texts JSON writes what TOML reads.
func keyLine(f *form.Field, texts []string) (string, error) {
	var value any = strings.Join(texts, ", ")
	switch {
	case f.Type == form.YesNo || f.Type == form.Flag:
		value = value == "yes"
	case f.Type == form.Count && len(texts) > 0:
		value = json.Number(texts[0])
	case f.Many() || f.OfPaddocks() && f.Type != form.One:
		value = append([]string{}, fields.SplitList(texts)...)
	}
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(value)
	text := fields.EscapeUnseen([]byte(strings.TrimSpace(b.String())))
	return f.Key() + " = " + surrogates().ReplaceAllStringFunc(string(text), func(pair string) string {
		hi, _ := strconv.ParseUint(pair[2:6], 16, 16)
		lo, _ := strconv.ParseUint(pair[8:], 16, 16)
		return fmt.Sprintf(`\U%08x`, utf16.DecodeRune(rune(hi), rune(lo)))
	}), err
}

// surrogates are how JSON, and not TOML, escapes what lies beyond 16 bits.
var surrogates = lazy.Regexp(`\\ud[89ab][0-9a-f]{2}\\ud[c-f][0-9a-f]{2}`)

// about says what to type for a key.
func about(f *form.Field) string {
	words := []string{strings.Trim(cmp.Or(f.Label, strings.ReplaceAll(f.Use, "`", "")), " ?"), f.Hint}
	switch {
	case f.OfPaddocks():
		words[1] = "by short name"
	case f.Type == form.YesNo || f.Type == form.Flag:
		words = append(words, "true or false")
	case len(f.Choices) > 0 && f.Type != form.Classes:
		words = append(words, orList(f.Choices))
	}
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), "; ")
}

// rowsOf are what is on file of a kind, as a person would type it.
func (v *View) rowsOf(k *form.Kind) (rows []form.Said) {
	h, units := v.History, string(v.Units())
	add := func(b fields.Body, on fields.Date) {
		said := k.Typed(b, units)
		if on != fields.NoDate {
			said["on"] = []string{on.String()}
		}
		if f := k.Field("species"); f != nil {
			if slices.ContainsFunc(form.WithoutShares(said["species"]), func(n string) bool { return len(v.Fits(n)) > 0 }) {
				said["as_said"] = []string{"yes"}
			}
		}
		rows = append(rows, said)
	}
	switch k.Kind {
	case fields.KindFarm:
		if b := h.OnFile(k.Kind, ""); b != nil {
			add(b, fields.NoDate)
		}
	case fields.KindSown, fields.KindSeen:
		for _, g := range v.gates() {
			for _, f := range v.growing(g.id) {
				if f.Kind() == k.Kind {
					add(ofPaddock(f.Body, g.id, len(h.Lines(g.id)) > 1), f.Date)
				}
			}
		}
	case fields.KindGrazed:
		placed := map[string]bool{}
		for _, g := range v.gates() {
			for _, s := range v.Assess().Paddock(g.id).Inside {
				b := &fields.Grazed{Paddock: g.id, State: fields.MoveIn}
				if h.Herd(s.Herd) != nil && !placed[s.Herd] { // a herd can be said to be in one place
					b.Herd, placed[s.Herd] = s.Herd, true
				}
				add(b, s.In)
			}
		}
	case fields.KindPaddock:
		for _, g := range v.gates() {
			add(h.PaddockFacts(h.Paddock(g.id)), fields.NoDate)
		}
	default:
		for _, id := range form.Things(h, k.Kind) {
			add(h.OnFile(k.Kind, id), fields.NoDate)
		}
	}
	return rows
}

// growing are the entries of what grows in a paddock, from the last new stand on, and of
// before it what goes on counting (§5.2). Of land made of several, what any of it brought
// counts on.
func (v *View) growing(paddock string) []fields.Fact {
	var out, old []fields.Fact
	lines := v.History.Lines(paddock)
	for _, line := range lines {
		for _, f := range v.History.LineFacts(line) {
			sown, is := f.Body.(*fields.Sown)
			if is && sown.NewStand != nil && *sown.NewStand && len(lines) == 1 {
				old, out = append(old, out...), nil
			}
			if is || f.Kind() == fields.KindSeen {
				out = append(out, f)
			}
		}
	}
	counts := v.Assess().Paddock(paddock).Species
	gone := func(name string) bool {
		return !slices.ContainsFunc(counts, func(plant string) bool { return v.Book.Means(name, plant) })
	}
	old = slices.DeleteFunc(old, func(f fields.Fact) bool {
		switch b := f.Body.(type) {
		case *fields.Sown:
			return len(b.Species) > 0 && !slices.ContainsFunc(b.Species, func(s fields.SpeciesShare) bool { return !gone(s.Species) })
		case *fields.Seen:
			return !slices.ContainsFunc(b.Species, func(s string) bool { return !gone(s) })
		}
		return false
	})
	return append(old, out...)
}

// ofPaddock is a body that speaks of what grows, said of the paddock itself. Of land made
// of several no new stand is the end of what another part brought.
func ofPaddock(b fields.Body, paddock string, several bool) fields.Body {
	switch b := b.(type) {
	case *fields.Sown:
		x := *b
		x.Paddock = paddock
		if several {
			x.NewStand, x.Ended = nil, ""
		}
		return &x
	case *fields.Seen:
		x := *b
		x.Paddock = paddock
		return &x
	}
	return b
}
