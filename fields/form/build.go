package form

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
)

// Said is what was typed, by name of the field: one text, or several where a
// flag was given several times or paddocks were picked.
type Said map[string][]string

// Context is what the words are read in.
type Context struct {
	Now    time.Time // in farm time
	Behind string    // by how far the clock is behind the journal; then nobody knows what today is
	Farm   Farm
	Ahead  bool        // nothing of it is stored: its day may be to come
	Line   bool        // the command line: its sentences, and defaults for what was left out
	Rows   bool        // with Line, a row of a sheet: no day counts from today, and fields are columns
	Was    fields.Body // what stood before; it fills what must be said
	// Stands reports whether the person was asked about a text and stands by it.
	Stands func(text string) bool
}

// Farm is what a form asks the farm.
type Farm interface {
	Paddocks(typed []string) ([]string, error) // "all" is every standing one
	Paddock(typed string) (string, error)
	Station(typed string) (string, error)
	StationNames() string
	Herd(typed string) (string, error)
	Lot(typed string) (string, error)
	// Unexplained reports damage found in a paddock that no night explains.
	Unexplained(paddock string, w *fields.Walk, on fields.Date) bool
	// HarmSince reports whether hail, spray or drought was logged since the
	// paddock was last known to be unharmed.
	HarmSince(paddock string, k fields.Kind, on fields.Date) bool
	// Fits returns the plants that an everyday name can mean, if several.
	Fits(species string) []string
}

// Answers are what was read of the texts typed into a form, with every problem of
// them. Values of fields with a problem are left out.
type Answers struct {
	*Context
	k        *Kind
	said     Said
	today    fields.Date
	values   map[string]any
	bad      map[string]bool // fields that a problem names already
	problems fields.Problems
}

// Read reads what was typed, without making entries of it.
func (k *Kind) Read(said Said, c Context) *Answers {
	b := &Answers{
		Context: &c, k: k, said: maps.Clone(said), today: fields.DateOf(c.Now, c.Now.Location()),
		values: map[string]any{}, bad: map[string]bool{},
	}
	if b.said == nil {
		b.said = Said{}
	}
	if !c.Line { // an empty line of a screen is not said
		maps.DeleteFunc(b.said, func(_ string, texts []string) bool { return strings.TrimSpace(strings.Join(texts, "")) == "" })
	}
	if rule := rules[k.Kind].before; rule != nil {
		rule(b)
	}
	for i := range k.Fields {
		if f := &k.Fields[i]; !isPlace(f) {
			b.read(f)
		}
	}
	return b
}

// Entries makes the entries of what was typed, without id, By and Recorded. It
// returns every problem at once, each with its field; with any problem there is
// no entry.
func (k *Kind) Entries(said Said, c Context) ([]fields.Entry, fields.Problems) {
	b := k.Read(said, c)
	if rule := rules[k.Kind].after; rule != nil {
		rule(b)
	}
	entries := b.entries(b.places())
	if rule := rules[k.Kind].entries; rule != nil && len(b.problems) == 0 {
		entries = rule(b, entries)
	}
	if len(b.problems) > 0 {
		return nil, b.problems
	}
	return entries, nil
}

// isPlace reports the field with the paddocks or lots that the entry is said of.
func isPlace(f *Field) bool { return f.Argument() && f.Type != New && f.Flag == "" }

// pick chooses the command line's sentence or the screens'.
func (b *Answers) pick(line, screen string) string {
	if b.Line {
		return line
	}
	return screen
}

// wrong notes a problem with a field.
func (b *Answers) wrong(f *Field, what, hint string) {
	p := fields.Problem{Field: f.Name, What: what, Type: hint}
	switch {
	case b.Rows:
		p = fields.Problem{Field: f.Column(), What: b.k.inColumns(what), Type: b.k.inColumns(hint)}
	case b.Line && f.flag() != "":
		p.Field = "--" + f.flag()
	case b.Line && !f.Argument():
		p.Field = "--" + strings.ReplaceAll(f.Name, "_", "-")
	case b.Line:
		p.Field = ""
	}
	b.bad[f.Name] = true
	if !slices.Contains(b.problems, p) {
		b.problems = append(b.problems, p)
	}
}

func (b *Answers) failed(f *Field, err error) {
	if p, ok := err.(fields.Problem); ok {
		b.wrong(f, p.What, p.Type)
	} else if err != nil {
		b.wrong(f, err.Error(), "")
	}
}

// missing notes a field that has to be said; p says so in general.
func (b *Answers) missing(f *Field, p fields.Problem) {
	what, hint, _ := strings.Cut(f.missing, "; ")
	switch {
	case !b.Line:
		b.wrong(f, p.What, p.Type)
	case b.Rows && p.What == "is missing" && (f.OfPaddocks() || f.missing == "" || len(f.Choices) > 0):
		b.wrong(f, p.What, "type "+f.Example(b.k))
	case f.missing != "":
		b.wrong(f, strings.ReplaceAll(what, "%s", b.figures()), hint)
	case isPlace(f) && b.k.Field("lot") != nil && b.k.Kind != fields.KindCut:
		b.wrong(f, "no paddock named", "type its short name after the flags, or --lot NAME for stored feed")
	case isPlace(f):
		b.wrong(f, "no paddock named", "type its short name after the flags; several with commas, `all` for every one")
	case f.Flag == "" && len(f.Words) > 1:
		b.wrong(f, "or --"+f.Words[1].Flag+" is needed", "say which one")
	case p.What != "is missing":
		b.wrong(f, p.What, p.Type)
	case len(f.Choices) > 0:
		b.wrong(f, p.What, "type one of "+strings.Join(f.Choices, ", "))
	case f.Type == Date || f.Type == Ahead:
		b.wrong(f, p.What, "type today, yesterday or one like 17-Sep-2026")
	case f.Type == Quantity:
		example, _, _ := strings.Cut(f.Measure.Example, " ")
		b.wrong(f, p.What, "type it with its unit, like --"+f.Flag+" "+example)
	default:
		b.wrong(f, p.What, p.Type)
	}
}

// figures are the numbers of a report, as typed.
func (b *Answers) figures() string {
	if t := append(b.said["values"], b.said["value"]...); len(t) > 0 {
		return strings.Join(t, ", ")
	}
	return "the number"
}

// read reads one field.
func (b *Answers) read(f *Field) {
	var texts []string
	for _, t := range b.said[f.Name] {
		if t = strings.TrimSpace(t); t != "" {
			texts = append(texts, t)
		} else if b.Line {
			b.wrong(f, "is empty", "leave out the flag")
		}
	}
	if f.Type == New {
		b.newName(f, texts)
		return
	}
	if len(texts) == 0 {
		texts = b.unsaid(f)
	}
	if len(texts) == 0 || b.bad[f.Name] || b.contradict(f, texts) {
		return
	}
	if x := f.Placeholder(); x != "" && f.Type != File && slices.Contains(texts, x) {
		b.wrong(f, x+" only holds the place of what is to be typed", "type yours")
		return
	}
	v, err := readers[f.Type](b, f, texts)
	if err != nil {
		b.failed(f, err)
		return
	}
	b.values[f.Name] = v
}

// unsaid is what stands for a field that was left out. On screens what stands
// for it was typed for the person, and an emptied field is not said.
func (b *Answers) unsaid(f *Field) []string {
	if f.fallback == "" || b.said["ended_at"] != nil {
		return nil
	}
	switch d := f.Default(b.Now); {
	case d == "":
		b.wrong(f, "is missing, and it is evening", b.pick("type --night today for last night, --night tomorrow for the night that has begun",
			"type today for last night, tomorrow for the night that has begun"))
	case b.Rows && !b.k.setsUp():
		b.wrong(f, "is missing", "type the day in full, like 17-Sep-2026")
	case b.Line && b.Behind != "":
		b.wrong(f, "is left out, and today is in doubt: "+b.Behind, "set the clock right, or type the day in full, like 17-Sep-2026")
	case b.Rows:
		return []string{b.today.Typed()}
	case b.Line:
		return []string{d}
	}
	return nil
}

// contradict refuses several texts for a field that takes one, or a word for
// "there is none" beside others.
func (b *Answers) contradict(f *Field, texts []string) bool {
	none := slices.ContainsFunc(texts, f.isNone)
	if len(texts) < 2 || (f.Many() || f.Type == Figures || f.Type == Texts) && !none {
		return false
	}
	if f.Flag == "" && f.Type == Choice {
		b.wrong(f, "or --"+f.Words[1].Flag+" is needed", "say which one")
		return true
	}
	other := f.flag()
	for _, w := range f.Words {
		if w.Flag != f.flag() {
			other = w.Flag
		}
	}
	hint := "give one of them"
	if f.Type == YesNo {
		hint += ", or none for not said"
	}
	b.wrong(f, "and --"+other+" contradict each other", hint)
	return true
}

func (f *Field) isNone(text string) bool { return slices.Contains(f.none, strings.ToLower(text)) }

// newName reads the short name of what is set up: on the command line its one
// argument, on screens and in sheets made of the name where none was typed.
func (b *Answers) newName(f *Field, texts []string) {
	if !b.Line || b.Rows {
		id := ShortName(strings.Join(texts, " "), strings.Join(b.said["name"], " "))
		b.values[f.Name], b.bad[f.Name] = id, id == "" && b.k.Field("name") != nil
		return
	}
	names := fields.SplitList(texts)
	switch len(names) {
	case 0:
		b.wrong(f, "no short name given for the "+f.Of, "type it after the flags, such as north-slough")
	case 1:
		b.values[f.Name] = names[0]
	default:
		b.wrong(f, "several names given", "one "+f.Of+" is set up at a time; a short name has no spaces (use --name for the full one)")
	}
}

// places resolves the paddocks or lots that the entry is said of.
func (b *Answers) places() (f *Field, ids []string) {
	i := slices.IndexFunc(b.k.Fields, func(f Field) bool { return isPlace(&f) })
	if i < 0 {
		return nil, nil
	}
	f = &b.k.Fields[i]
	typed := fields.SplitList(b.said[f.Name])
	if lot := b.k.Field("lot"); lot != nil && lot != f && b.k.Kind != fields.KindCut && b.said["lot"] != nil {
		if len(typed) > 0 {
			b.wrong(lot, b.pick("and a paddock are both named", "a lot and a paddock are both chosen"),
				b.pick("it is about one of them", "it is about one of them: empty the other with Ctrl-U, and log what concerns both twice"))
		}
		return f, nil
	}
	if len(typed) == 0 {
		return f, nil
	}
	ids, err := b.placesOf(f, typed)
	if err != nil {
		b.failed(f, err)
		return f, nil
	}
	if len(ids) > 1 && f.Type == One {
		why, hint, _ := strings.Cut(b.k.one, "; ")
		b.wrong(f, b.pick("several paddocks named", fmt.Sprintf("%d paddocks are picked, and %s", len(ids), why)),
			b.pick("this is said of one at a time", hint))
	}
	return f, ids
}

// placesOf are the paddocks or lots typed, each once.
func (b *Answers) placesOf(f *Field, typed []string) (ids []string, err error) {
	if f.OfPaddocks() {
		return b.Farm.Paddocks(typed)
	}
	for _, t := range typed {
		id, err := b.named(f.Of, t)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	return ids, nil
}

// entries makes one entry, or one for each paddock or lot.
func (b *Answers) entries(place *Field, ids []string) []fields.Entry {
	var out []fields.Entry
	add := func(name string, v any) {
		e := fields.Entry{Body: fields.NewBody(b.k.Kind)}
		for field, value := range b.values {
			fields.Set(e.Body, field, value)
		}
		if name != "" {
			fields.Set(e.Body, name, v)
		}
		if b.Was != nil {
			fields.Keep(e.Body, b.Was)
		}
		e.On, _ = b.values["on"].(fields.Date)
		e.Note, _ = b.values["note"].(string)
		b.check(&e)
		out = append(out, e)
	}
	switch {
	case len(ids) == 0:
		add("", nil)
	case place.Type == Places:
		add(place.Name, ids)
	default:
		for _, id := range ids {
			add(place.Name, id)
		}
	}
	return out
}

// check takes in what package fields finds impossible in an entry.
func (b *Answers) check(e *fields.Entry) {
	ps := fields.CheckBody(e, maps.Clone(b.bad))
	at := func(p fields.Problem) int {
		return slices.IndexFunc(b.k.Fields, func(f Field) bool { return f.Name == p.Field })
	}
	slices.SortStableFunc(ps, func(p, q fields.Problem) int { return at(p) - at(q) })
	for _, p := range ps {
		f := b.k.Field(p.Field)
		switch {
		case f == nil && p.Field == "on":
			// The kind takes its day from a field that is missing too.
		case f == nil:
			b.problems = append(b.problems, p)
		case strings.HasPrefix(p.What, "is missing"):
			b.missing(f, p)
		default:
			b.wrong(f, p.What, p.Type)
		}
	}
}
