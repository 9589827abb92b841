package form

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

// A sheet holds entries of one kind, one a row. Its columns are the fields of the kind,
// named by their flags, and its cells what a flag or a screen takes.

// Sheets returns the kinds that can be said in rows: those of `log` and what is set up
// by an `add` of its own.
func Sheets() []*Kind {
	return slices.DeleteFunc(slices.Clone(Kinds()), func(k *Kind) bool { return k.Help == "" && !k.setsUp() })
}

// setsUp reports a kind that sets up something that has a short name.
func (k *Kind) setsUp() bool {
	return slices.ContainsFunc(k.Fields, func(f Field) bool { return f.Type == New })
}

// Command is the command that makes an entry of the kind.
func (k *Kind) Command() string {
	if k.Help == "" {
		return "rimegate " + string(k.Kind) + " add"
	}
	return "rimegate log " + string(k.Kind)
}

// SheetOf returns the kind whose sheets begin with a cell, nil if none does.
func SheetOf(cell string) *Kind {
	words := strings.Fields(strings.ToLower(cell))
	if len(words) != 3 || words[0] != "rimegate" || words[1] != "log" && words[2] != "add" {
		return nil
	}
	name := words[2]
	if name == "add" {
		name = words[1]
	}
	return Sheet(name)
}

// Sheet returns the kind of a name that can be said in rows, nil if there is none.
func Sheet(name string) *Kind {
	all := Sheets()
	if i := slices.IndexFunc(all, func(k *Kind) bool { return string(k.Kind) == name }); i >= 0 {
		return all[i]
	}
	return nil
}

// Columns are the fields that a sheet of the kind has.
func (k *Kind) Columns() []*Field {
	var out []*Field
	for i := range k.Fields {
		if f := &k.Fields[i]; f.Type != Flag && (f.Label != "" || k.Title == "") {
			out = append(out, f)
		}
	}
	return out
}

// Column is the name of a field in a sheet.
func (f *Field) Column() string { return cmp.Or(f.Flag, strings.ReplaceAll(f.Name, "_", "-")) }

var headingUnit = lazy.Regexp(`^(.*?)\s*[(\[]\s*([^)\]]*?)\s*[)\]]$`)

// Heading reads the heading of a column, whatever its capitals, spaces and hyphens: its
// field, and the unit in brackets that holds for bare numbers below it, "" if none is
// there. Errors are one plain clause.
func (k *Kind) Heading(cell string) (f *Field, unit string, err error) {
	text := cell
	if m := headingUnit().FindStringSubmatch(cell); m != nil {
		text, unit = m[1], m[2]
	}
	key := func(s string) string {
		s = strings.ToLower(strings.Join(strings.Fields(s), "-"))
		return strings.Trim(strings.ReplaceAll(s, "_", "-"), "-")
	}
	var names []string
	for _, x := range k.Columns() {
		names = append(names, x.Column())
		t := key(text)
		one := func(s string) string { return strings.TrimSuffix(s, "s") }
		if t == x.Column() || t == key(x.Name) || x.OfPaddocks() && one(t) == one(x.Column()) {
			f = x
		}
	}
	switch {
	case f == nil:
		hint := "the columns are " + strings.Join(names, ", ")
		if c := Closest(key(text), names); c != "" {
			hint = "did you mean " + c + "? " + hint
		}
		return nil, "", fields.Problem{What: fmt.Sprintf("%q is no column of %s", cell, k.Kind), Type: hint}
	case text == cell:
		return f, "", nil
	case f.Measure == nil:
		return nil, "", fields.Problem{
			What: fmt.Sprintf("%q: this column takes no unit in its heading", cell), Type: "leave out the brackets",
		}
	}
	if _, err := f.Measure.Parse("1 " + unit); unit == "" || err != nil {
		return nil, "", fields.Problem{
			What: fmt.Sprintf("%q: %q is no unit of %s", cell, unit, f.Measure.Name),
			Type: "a cell below it would be like " + f.Measure.Example,
		}
	}
	return f, unit, nil
}

// Cell is what a cell says in the field: a word of a flag is its text, yes and no may be
// a sheet's TRUE and FALSE, and a bare number takes the unit of its heading. A number
// under such a heading that carries a unit too is refused.
func (f *Field) Cell(text, unit string) (string, error) {
	low := strings.ToLower(text)
	for _, w := range f.Words {
		if low == w.Flag {
			return w.Text, nil
		}
	}
	switch {
	case f.Type == YesNo:
		if t, ok := map[string]string{"true": "yes", "false": "no"}[low]; ok {
			low = t
		}
		if !slices.Contains(f.Choices, low) {
			return "", fields.Problem{
				What: fmt.Sprintf("%q is not one of them", text),
				Type: "type " + strings.Join(f.Choices, " or ") + ", or leave the cell empty",
			}
		}
		return low, nil
	case unit == "" || f.isNone(text):
		return text, nil
	}
	if last := text[len(text)-1]; last < '0' || last > '9' {
		return "", fields.Problem{
			What: fmt.Sprintf("%q is not a number alone, and the heading says %s", text, unit),
			Type: "type only the number, or take the unit out of the heading and write it in each cell",
		}
	}
	return text + " " + unit, nil
}

// anyFlag is a flag in a sentence.
var anyFlag = lazy.Regexp(`--([a-z][a-z0-9-]*)`)

// inColumns makes a sentence about flags one about columns. Those that answer a question
// are flags of an import too.
func (k *Kind) inColumns(s string) string {
	return anyFlag().ReplaceAllStringFunc(s, func(flag string) string {
		name := strings.TrimPrefix(flag, "--")
		for i := range k.Fields {
			f := &k.Fields[i]
			if f.Type == Flag && f.Flag == name {
				return flag
			}
			for _, w := range f.Words {
				switch {
				case w.Flag != name || f.Flag == name:
				case w.Flag == f.Column():
					return w.Text + " under " + f.Column()
				case f.Type == YesNo && f.Flag == "":
					return w.Text + " under " + f.Column()
				}
			}
		}
		return name
	})
}

// Example is how a cell of the field is typed.
func (f *Field) Example(k *Kind) string {
	text := f.Hint
	switch f.Type {
	case Date, Ahead:
		text = "a day in full, like 17-Sep-2026"
	case Moment:
		text = "a day and an hour, like 17-Sep-2026 06:40"
	case One, Name:
		text = "a short name or name"
	case Places, Each:
		text = manyNames
	case List:
		if f.Of != "" && len(f.Choices) == 0 {
			text = manyNames
		}
	case New:
		text = cmp.Or(f.Hint, "a short name")
	case Quantity:
		text = cmp.Or(f.Hint, f.Measure.Example)
	case YesNo:
		text = strings.Join(f.Choices, " or ")
	case Choice, Exact:
		text = f.words()
	}
	for _, w := range f.Words {
		if strings.HasPrefix(w.Text, "(") || f.Type == Mix {
			text += ", or " + w.Flag
		}
	}
	return k.inColumns(text)
}

const manyNames = "short names or names, with commas"

// words are the choices of a field, and what is said of them.
func (f *Field) words() string {
	all := slices.Clone(f.Choices)
	for _, w := range f.Words {
		if len(f.Choices) == 0 {
			all = append(all, w.Text)
		}
	}
	last := len(all) - 1
	text := strings.Join(all[:last], ", ") + " or " + all[last]
	if f.Hint != "" {
		text += "; " + strings.ReplaceAll(f.Hint, "its number is enough; ", "") // a key of the screens
	}
	return text
}

// Template is the head of an empty sheet: its heading, and rows that say of each column
// what it is, how it is typed and whether it is needed. The first cell of such a row
// begins with the sign of a row that is no entry.
func (k *Kind) Template() [][]string {
	rows := [][]string{{k.Command()}, {RowMark + " what it is"}, {RowMark + " type"}, {RowMark + " needed?"}}
	need := map[string]string{}
	groups := map[string][]string{}
	all := fields.FieldsOf(k.Kind)
	for _, x := range all {
		if f := k.Field(x.Name); f != nil && x.Group != "" {
			groups[x.Group] = append(groups[x.Group], f.Column())
		}
	}
	for _, x := range all {
		switch {
		case x.Required:
			need[x.Name] = "needed"
		case len(groups[x.Group]) > 1:
			need[x.Name] = "needed: " + strings.Join(groups[x.Group], " or ")
		}
	}
	for _, f := range k.Columns() {
		needed := need[f.Name]
		if (f.fallback != "" || f.Name == "on") && !k.setsUp() && needed == "" {
			needed = "needed"
		}
		if f.Type == New && k.Field("name") != nil {
			needed = ""
		}
		for i, cell := range []string{f.Column(), f.about(k), f.Example(k), needed} {
			rows[i] = append(rows[i], cell)
		}
	}
	return rows
}

// RowMark begins the first cell of a row that is no entry.
const RowMark = "#"

// about says what a column holds: what screens call it, or its flag's sentence.
func (f *Field) about(k *Kind) string {
	switch label := strings.TrimSpace(f.Label); {
	case label != "" && f.Type == YesNo && f.Hint != "":
		return label + " " + f.Hint
	case label != "":
		return label
	}
	return k.inColumns(strings.ReplaceAll(f.Use, "`", ""))
}
