package form

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"rimegate/fields"
)

//go:embed forms.txt
var source string

// Import and Blend are forms of the table that make no entries by themselves.
const (
	Import fields.Kind = "import"
	Blend  fields.Kind = "blend"
)

// Kind is what can be said in an entry of one kind, or in a form that makes none.
type Kind struct {
	Kind   fields.Kind
	Title  string // in the screens' menu, "" if it is not there
	Says   string // one clause
	Menu   string // the clause in the menu
	Args   string // arguments as help shows them
	Help   string
	Fields []Field     // in the order they are asked
	First  string      // the field that has the cursor first
	Named  bool        // its paddocks are named one by one
	Entry  string      // of a command: the kind whose flags it has too, and which of them
	Lead   string      // what is said before it while a farm is set up
	start  []string    // the fields that are asked then, in order
	form   fields.Kind // of a command: the form it fills
	one    string      // why it is said of one paddock, and what to do
	Brief  bool        // only what a list of names shows of it was read
}

// Type is how a field is read; doc.go lists them.
type Type string

// The types that screens fill in by other means than typing, or show otherwise.
const (
	Places   Type = "places"
	Each     Type = "each"
	One      Type = "one"
	Choice   Type = "choice"
	Exact    Type = "exact"
	YesNo    Type = "yesno"
	Name     Type = "name"
	Date     Type = "date"
	Ahead    Type = "ahead"
	Moment   Type = "moment"
	Quantity Type = "quantity"
	Count    Type = "count"
	List     Type = "list"
	Classes  Type = "classes"
	Species  Type = "species"
	Mix      Type = "mix"
	Figures  Type = "figures"
	New      Type = "new"
	Flag     Type = "flag"
	File     Type = "file"
	Texts    Type = "texts"
	Rule     Type = "rule"
)

// Field is one thing that can be said.
type Field struct {
	Name        string
	Type        Type
	Of          string // what a name, list or new thing is of
	Measure     *fields.Measure
	Flag        string // "" for none
	Use         string
	Words       []Word
	Label, Hint string
	Why         string // it is asked while a farm is set up
	Choices     []string
	Shown       map[string]string // choices that read otherwise than they are
	Preset      string
	Apart       bool // screens ask it of each of several paddocks
	fallback    string
	missing     string
	none        []string
}

// Word is a flag that says a text in its field.
type Word struct{ Flag, Text, Use string }

// Inside stands among the stations for a thermometer that hangs in the paddock
// itself. No short name has a bracket.
const Inside = "(inside)"

// Evening is the farm hour from which "last night" can mean two nights.
const Evening = 18

// Default is what the field means where nothing is typed, at a moment in farm
// time: "" where the person has to say it.
func (f *Field) Default(now time.Time) string {
	if f.fallback != lastNight {
		return f.fallback
	}
	if now.Hour() >= Evening {
		return ""
	}
	return "today"
}

const lastNight = "last night"

// OfPaddocks reports a field that holds paddocks.
func (f *Field) OfPaddocks() bool {
	return f.Type == Places || f.Type == Each && f.Of == "" || f.Type == One
}

// Argument reports a field that the command line takes behind the flags.
func (f *Field) Argument() bool { return f.OfPaddocks() || f.Type == Each || f.Type == New }

// Many reports a field whose texts are lists.
func (f *Field) Many() bool {
	return f.Type == Places || f.Type == List || f.Type == Classes || f.Type == Species || f.Type == Mix
}

// Field returns the field of a name, nil if the kind has none.
func (k *Kind) Field(name string) *Field {
	for i := range k.Fields {
		if k.Fields[i].Name == name {
			return &k.Fields[i]
		}
	}
	return nil
}

// table is forms.txt, read when it is first asked for, and its fields that are
// described before the first kind.
var table = sync.OnceValues(func() ([]*Kind, map[string]*Field) { return load(source, Any) })

// Kinds returns every kind in the order of the screens' menu; those that are
// not in it come last.
func Kinds() []*Kind { kinds, _ := table(); return kinds }

// Any is for Named and Commands when all of them are wanted.
func Any(string) bool { return true }

// Named is Kinds with all but those that are wanted in brief: to read them all takes a short
// command longer than its answer.
func Named(wanted func(name string) bool) []*Kind { kinds, _ := load(source, wanted); return kinds }

// Of returns the form of a kind.
func Of(k fields.Kind) *Kind {
	kinds := Kinds()
	return kinds[slices.IndexFunc(kinds, func(x *Kind) bool { return x.Kind == k })]
}

// FlagOf returns the flag under which a field of the journal is typed.
func FlagOf(name string) string {
	kinds, shared := table()
	if f, ok := shared[name]; ok && f.Flag != "" {
		return f.Flag
	}
	for _, k := range kinds {
		if f := k.Field(name); f != nil && f.flag() != "" {
			return f.flag()
		}
	}
	return strings.ReplaceAll(name, "_", "-")
}

// Key is what the field is called in a file of a set-up.
func (f *Field) Key() string {
	if f.Flag != "" {
		return f.Flag
	}
	return strings.ReplaceAll(f.Name, "_", "-")
}

// Placeholder is the word that stands for a value in help and in suggested commands, ""
// where none does.
func (f *Field) Placeholder() string {
	_, what, _ := strings.Cut(f.Use, "`")
	what, _, _ = strings.Cut(what, "`")
	what, _, _ = strings.Cut(what, " ")
	return strings.ToUpper(what)
}

// flag is the first flag of a field.
func (f *Field) flag() string {
	if f.Flag == "" && len(f.Words) > 0 {
		return f.Words[0].Flag
	}
	return f.Flag
}

// Commands reads a table of commands and their flags, in the words of forms.txt; those
// that are not wanted in brief.
func Commands(text string, wanted func(name string) bool) []*Kind {
	all, _ := load(text, wanted)
	for _, k := range all {
		if k.form != "" {
			k.Fields = slices.Concat(Of(k.form).Fields, k.Fields)
		}
	}
	return all
}

// load reads a table. What is wrong in it ends the program at its start.
func load(text string, wanted func(name string) bool) ([]*Kind, map[string]*Field) {
	var all []*Kind
	common, taken := map[string]*Field{}, takenBy(text, wanted)
	var k *Kind
	var f *Field
	var passed Field // by all that is wanted
	n := 0
	for line := range strings.SplitSeq(text, "\n") {
		n++
		key, rest, _ := strings.Cut(strings.TrimLeft(line, " "), " ")
		ok := true
		switch {
		case key == "" || key == "#":
		case key == "kind", key == "command":
			k, f = &Kind{Kind: fields.Kind(rest), Brief: !wanted(rest)}, nil
			all = append(all, k)
		case k != nil && k.Brief:
			k.sketch(key, rest)
		case key == "field" && k == nil:
			if f = &passed; slices.Contains(taken, rest) {
				f = &Field{}
				common[rest] = f
			}
			*f = Field{Name: rest, Type: "text"}
		case key == "field":
			f = k.Field(rest)
			ok = f != nil
		case key == "fields":
			k.take(strings.Fields(rest), common)
		case f != nil:
			ok = f.describe(key, rest)
		case k != nil:
			ok = k.describe(key, rest)
		default:
			ok = false
		}
		if !ok {
			panic(fmt.Sprintf("table of forms, line %d: %q", n, line))
		}
	}
	for _, k := range all {
		k.Help = strings.Trim(k.Help, "\n")
		for i := range k.Fields {
			k.Fields[i].settle()
		}
	}
	for _, f := range common {
		f.settle()
	}
	return all, common
}

// takenBy names the fields of the wanted kinds.
func takenBy(text string, wanted func(name string) bool) (names []string) {
	on := false
	for line := range strings.SplitSeq(text, "\n") {
		switch key, rest, _ := strings.Cut(strings.TrimLeft(line, " "), " "); {
		case key == "kind", key == "command":
			on = wanted(rest)
		case key == "fields" && on:
			names = append(names, strings.Fields(rest)...)
		}
	}
	return names
}

// take adds fields to a kind: as they are described for all, with the choices of the
// journal.
func (k *Kind) take(names []string, common map[string]*Field) {
	k.Fields = slices.Grow(k.Fields, len(names))
	for _, name := range names {
		f := Field{Name: name, Type: "text"}
		if c := common[name]; c != nil {
			f = *c
		}
		k.Fields = append(k.Fields, f)
	}
	for _, x := range fields.FieldsOf(k.Kind) {
		if f := k.Field(x.Name); f != nil && slices.Contains(names, x.Name) {
			f.Choices = x.Choices
		}
	}
}

// settle fills in what follows from the rest of the description.
func (f *Field) settle() {
	if f.Type == YesNo && f.Choices == nil {
		f.Choices = []string{"yes", "no"}
	}
	if f.Type == Name && f.Shown == nil {
		f.Shown = map[string]string{}
	}
	switch {
	case f.Use == "" || f.Flag == "-":
		f.Flag = ""
	case f.Flag == "":
		f.Flag = strings.ReplaceAll(f.Name, "_", "-")
	}
}

// sketch is describe of a kind in brief: a line of its help shows that it has some.
func (k *Kind) sketch(key, rest string) {
	if key == "says" || key == "|" && rest != "" && k.Help == "" {
		k.describe(key, rest)
	}
}

func (k *Kind) describe(key, rest string) bool {
	switch key {
	case "|":
		k.Help += rest + "\n"
	case "says":
		k.Says, k.Menu = rest, rest
	case "named":
		k.Named = true
	case "title":
		k.Title = rest
	case "menu":
		k.Menu = rest
	case "args":
		k.Args = rest
	case "first":
		k.First = rest
	case "one":
		k.one = rest
	case "entry":
		k.Entry = rest
	case "form":
		k.form = fields.Kind(rest)
	case "lead":
		k.Lead = strings.TrimLeft(k.Lead+" "+rest, " ")
	case "start":
		k.start = strings.Fields(rest)
	default:
		return false
	}
	return true
}

func (f *Field) describe(key, rest string) bool {
	switch key {
	case "type":
		name, of, _ := strings.Cut(rest, " ")
		f.Type, f.Of, f.Measure = Type(name), of, fields.Measures[of]
		return readers[f.Type] != nil || f.Argument()
	case "word":
		flag, rest, _ := strings.Cut(rest, " ")
		text, use, ok := strings.Cut(rest, " ")
		f.Words = append(slices.Clone(f.Words), Word{flag, text, use})
		return ok
	case "choices":
		f.Choices = strings.Fields(rest)
	case "shown":
		choice, words, _ := strings.Cut(rest, " ")
		if f.Shown == nil {
			f.Shown = map[string]string{}
		}
		f.Shown[choice] = words
	case "none":
		f.none = strings.Fields(rest)
	case "flag":
		f.Flag = rest
	case "use":
		f.Use = rest
	case "label":
		f.Label = rest
	case "hint":
		f.Hint = rest
	case "why":
		f.Why = rest
	case "default":
		f.fallback = rest
	case "apart":
		f.Apart = true
	case "preset":
		f.Preset = rest
	case "missing":
		f.missing = rest
	default:
		return false
	}
	return true
}
