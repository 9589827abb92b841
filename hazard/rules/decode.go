package rules

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"

	"rimegate/fields"
)

// Problem is one fault of the rulebook's data: where it stands and what is
// wrong, in words.
type Problem struct {
	File   string // path inside the rulebook
	Line   int    // from 1; 0 when the fault is of the whole file or book
	Column int    // from 1, in bytes
	What   string
}

// Error returns file:line:column: words.
func (p Problem) Error() string {
	switch {
	case p.File == "":
		return p.What
	case p.Line == 0:
		return p.File + ": " + p.What
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.What)
}

// node is a table, a list or a value of a TOML file.
type node struct {
	kind        unstable.Kind // InlineTable for every table
	start       uint32        // offset of its key, in a list of itself
	key         string        // under which it stands in its table
	value       string
	first, last *node // of a table or list
	next        *node
	bad         bool // it could not be read: nothing more is said of it
}

// broken reports whether something in it could not be read, so that what
// follows from its values cannot be told.
func (n *node) broken() bool {
	for c := n.first; c != nil; c = c.next {
		if c.broken() {
			return true
		}
	}
	return n.bad
}

func (n *node) find(key string) *node {
	for c := n.first; c != nil; c = c.next {
		if c.key == key {
			return c
		}
	}
	return nil
}

// put adds to a table or list. Nodes come out of a store that each file uses
// anew, since fresh memory is what a short run pays for.
func (s spot) put(child node) *node {
	r := s.r
	if len(r.store) == cap(r.store) {
		r.store = make([]node, 0, 2*cap(r.store)+1)
	}
	r.store = append(r.store, child)
	at := &r.store[len(r.store)-1]
	if s.first == nil {
		s.first = at
	} else {
		s.last.next = at
	}
	s.last = at
	return at
}

// spot is a node of a file, for what is said of it.
type spot struct {
	r    *reader
	file string
	text string
	*node
}

// at goes down by keys and places in lists as far as there is something: what
// is missing is told at the table that lacks it.
func (s spot) at(path ...any) spot {
	for _, p := range path {
		switch p := p.(type) {
		case string:
			if next := s.find(p); next != nil {
				s.node = next
			}
		case int:
			c := s.first
			for ; c != nil && p > 0; p-- {
				c = c.next
			}
			if c != nil {
				s.node = c
			}
		}
	}
	return s
}

// add reports a fault here.
func (s spot) add(format string, args ...any) {
	if !s.bad {
		s.r.problems = append(s.r.problems, s.problem(format, args...))
	}
}

func (s spot) problem(format string, args ...any) Problem {
	before := s.text[:min(int(s.start), len(s.text))]
	line, column := 1+strings.Count(before, "\n"), len(before)-strings.LastIndexByte(before, '\n')
	return Problem{s.file, line, column, fmt.Sprintf(format, args...)}
}

// unread reports a value of the wrong kind. Where it may have named something
// that others cite, what they cite cannot be told any more.
func (s spot) unread(format string, args ...any) {
	s.add(format, args...)
	s.bad = true
	if s.key == "id" || s.first != nil {
		s.r.whole = false
	}
}

// refuse reports a fault at a key, if there is one. It takes texts, since those
// cost nothing where all is well.
func (s spot) refuse(bad bool, key, format string, args ...string) {
	if bad {
		boxed := make([]any, len(args))
		for i, a := range args {
			boxed[i] = a
		}
		s.at(key).add(format, boxed...)
	}
}

// parse makes the tree of a file; a fault of syntax ends it, as what follows it
// cannot be told. It reports whether there is none.
func (s spot) parse() bool {
	before := len(s.r.problems)
	if !utf8.ValidString(s.text) {
		s.add("the file is not UTF-8 text; save it as UTF-8")
		return false
	}
	p := &s.r.parser
	s.r.buffer.Reset()
	s.r.buffer.WriteString(s.text)
	p.Reset(slices.Clip(s.r.buffer.Bytes()))
	table := s
	for p.NextExpression() {
		e := p.Expression()
		if e.Kind == unstable.KeyValue {
			table.keyValue(e)
			continue
		}
		table = s
		for it := e.Key(); it.Next(); {
			table = table.into(it.Node(), e.Kind == unstable.ArrayTable && it.IsLast())
		}
	}
	if err := p.Error(); err != nil {
		var wrong *unstable.ParserError
		if errors.As(err, &wrong) {
			s.node = &node{start: p.Range(wrong.Highlight).Offset}
		}
		s.add("%s; what follows could not be read", err)
	}
	return len(s.r.problems) == before
}

// into finds or makes the table under a key: of a list its last, or with
// another one more.
func (s spot) into(k *unstable.Node, another bool) spot {
	table := node{kind: unstable.InlineTable, start: k.Raw.Offset, key: s.cut(k)}
	at := s.find(table.key)
	if at == nil && another {
		at = s.put(node{kind: unstable.Array, start: table.start, key: table.key})
	} else if at == nil {
		at = s.put(table)
	}
	s.node = at
	if at.kind == unstable.Array && another {
		s.node = s.put(table)
	} else if at.kind == unstable.Array && at.last != nil {
		s.node = at.last
	}
	if s.kind != unstable.InlineTable {
		s.node = &node{kind: unstable.InlineTable, start: table.start}
		s.add("key %q is no table", table.key)
	}
	return s
}

func (s spot) keyValue(e *unstable.Node) {
	for it := e.Key(); it.Next(); {
		k := it.Node()
		if !it.IsLast() {
			s = s.into(k, false)
			continue
		}
		key := s.cut(k)
		if s.find(key) != nil {
			s.node = &node{start: k.Raw.Offset}
			s.add("key %q stands here a second time", key)
		}
		s.read(key, e.Value(), k.Raw.Offset)
	}
}

func (s spot) read(key string, e *unstable.Node, start uint32) {
	in := s
	in.node = s.put(node{kind: e.Kind, start: start, key: key})
	if e.Child() == nil {
		in.value = s.cut(e)
	}
	for it := e.Children(); it.Next(); {
		switch c := it.Node(); {
		case c.Kind == unstable.Comment:
		case e.Kind == unstable.InlineTable:
			in.keyValue(c)
		case c.Raw.Length > 0:
			in.read("", c, c.Raw.Offset)
		default:
			in.read("", c, start)
		}
	}
}

// cut is a key or a value as a part of the file, which costs nothing, where no
// escape stands in it.
func (s spot) cut(e *unstable.Node) string {
	from, n := int(e.Raw.Offset), len(e.Data)
	for _, at := range []int{from, from + 1} {
		if at+n <= len(s.text) && s.text[at:at+n] == string(e.Data) {
			return s.text[at : at+n]
		}
	}
	return string(e.Data)
}

// column is where a key of a file goes: its name is the field's in small
// letters with _ between words, or the toml tag.
type column struct {
	key   string
	index []int
	need  bool     // must not be left out or blank (tag need)
	one   []string // the words allowed (tag one)
	unit  string   // of the numbers possible (tag unit)
}

var columns sync.Map // reflect.Type: []column

func columnsOf(t reflect.Type) []column {
	if got, ok := columns.Load(t); ok {
		return got.([]column)
	}
	var out []column
	for _, f := range reflect.VisibleFields(t) {
		c := column{key: f.Tag.Get("toml"), index: f.Index, unit: f.Tag.Get("unit")}
		if f.Anonymous || c.key == "-" {
			continue
		}
		if c.key == "" {
			c.key = snake(f.Name)
		}
		_, c.need = f.Tag.Lookup("need")
		if words, ok := f.Tag.Lookup("one"); ok {
			c.one = strings.Split(words, ",")
		}
		out = append(out, c)
	}
	columns.Store(t, out)
	return out
}

// snake turns UpToCM into up_to_cm.
func snake(name string) string {
	var out []byte
	for i := range len(name) {
		if i > 0 && name[i] < 'a' && name[i-1] >= 'a' {
			out = append(out, '_')
		}
		out = append(out, name[i])
	}
	return strings.ToLower(string(out))
}

// decode reads a table strictly into what v points to: unknown keys, values of
// the wrong kind, and what the tags of the fields ask for are all reported.
func (s spot) decode(v any) {
	s.bind(reflect.ValueOf(v).Elem(), "", "")
	s.check(reflect.ValueOf(v).Elem())
}

var dateType = reflect.TypeFor[fields.Date]()

func (s spot) bind(v reflect.Value, path, key string) {
	var err error
	digits := func() string { return strings.ReplaceAll(s.value, "_", "") }
	switch k := v.Kind(); {
	case k == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		s.bind(v.Elem(), path, key)
		if s.bad {
			v.SetZero()
		}
	case v.Type() == dateType && s.kind == unstable.LocalDate:
		var d fields.Date
		d, err = fields.ParseISODate(s.value)
		v.SetInt(int64(d))
	case v.Type() == dateType:
		s.unread("%s wants a date like 2026-10-01, not %s", key, kindWords[s.kind])
	case k == reflect.String && s.kind == unstable.String:
		v.SetString(s.value)
	case k == reflect.Bool && s.kind == unstable.Bool:
		v.SetBool(s.value == "true")
	case k == reflect.Float64 && (s.kind == unstable.Float || s.kind == unstable.Integer):
		var f float64
		f, err = strconv.ParseFloat(digits(), 64)
		v.SetFloat(f)
	case k == reflect.Int && s.kind == unstable.Integer:
		var i int64
		i, err = strconv.ParseInt(digits(), 0, 64)
		v.SetInt(i)
	case k == reflect.Slice && s.kind == unstable.Array:
		n := 0
		for c := s.first; c != nil; c = c.next {
			n++
		}
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		i := 0
		for s.node = s.first; s.node != nil; s.node = s.next {
			s.bind(v.Index(i), path, key)
			i++
		}
	case k == reflect.Struct && s.kind == unstable.InlineTable:
		if key != "" {
			path += key + "."
		}
		cols := columnsOf(v.Type())
		for s.node = s.first; s.node != nil; s.node = s.next {
			c := slices.IndexFunc(cols, func(c column) bool { return c.key == s.key })
			if c < 0 {
				s.unread("unknown key %q; the keys here are %s", path+s.key, keysOf(cols))
				s.bad = false // it is none of the values that others follow from
				continue
			}
			s.bind(v.FieldByIndex(cols[c].index), path, s.key)
		}
	default:
		s.unread("%s wants %s, not %s", key, wanted[k], kindWords[s.kind])
	}
	if err != nil {
		s.unread("%s %s cannot be", key, digits())
	}
}

var (
	wanted = map[reflect.Kind]string{
		reflect.String: "a text in quotes", reflect.Bool: "true or false", reflect.Float64: "a number", reflect.Int: "a whole number",
		reflect.Slice: "a list in [ ]", reflect.Struct: "a table in { }",
	}
	kindWords = map[unstable.Kind]string{
		unstable.String: "a text", unstable.Bool: "true or false", unstable.Integer: "a whole number", unstable.Float: "a number",
		unstable.Array: "a list", unstable.InlineTable: "a table", unstable.LocalDate: "a date or time",
		unstable.LocalDateTime: "a date or time", unstable.DateTime: "a date or time", unstable.LocalTime: "a date or time",
	}
)

// check holds a table, and the tables in it, against the tags of its fields.
func (s spot) check(v reflect.Value) {
	for _, c := range columnsOf(v.Type()) {
		f := v.FieldByIndex(c.index)
		text := ""
		blank := f.IsZero()
		if f.Kind() == reflect.String {
			text = f.String()
			blank = strings.TrimSpace(text) == ""
		}
		if c.need && blank {
			s.r.whole = s.r.whole && c.key != "id"
			s.refuse(true, c.key, "%s is missing; write %s = %s", c.key, c.key, example[f.Type()])
		}
		if c.one != nil && !slices.Contains(c.one, text) {
			s.at(c.key).add("%s %q is not one of %s", c.key, text, strings.TrimPrefix(strings.Join(c.one, ", "), ", "))
		}
		if c.unit != "" && !f.IsNil() {
			n, ok := f.Interface().(*float64)
			if !ok {
				whole := float64(*f.Interface().(*int))
				n = &whole
			}
			s.refuse(!units[c.unit].holds(*n), c.key, "%s %s cannot be", c.key, withUnit(*n, c.unit))
		}
		if f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.Struct {
			for i := range f.Len() {
				s.at(c.key, i).check(f.Index(i))
			}
		}
	}
}

// example is what is written for a value that must not be left out.
var example = map[reflect.Type]string{reflect.TypeFor[string](): `"..."`, dateType: "2026-10-01"}

func keysOf(cols []column) string {
	keys := make([]string, len(cols))
	for i, c := range cols {
		keys[i] = c.key
	}
	return list(keys, " and ")
}

// unit says what numbers of a unit are possible.
type unit struct {
	lo, hi float64
	whole  bool
}

var units = map[string]unit{
	"days":                     {0, 3650, true},
	"hours":                    {0, 24, false},
	"°C":                       {-90, 60, false},
	"cm":                       {0, 1000, false},
	"cm a day":                 {0, 100, false},
	"ppm HCN on dry matter":    {0, 1e6, false},
	"ppm HCN as is":            {0, 1e6, false},
	"kg N/ha":                  {0, 2000, false},
	"mg NO3-N per litre":       {0, 1e5, false},
	"litres per kg dry matter": {0, 100, false},
	"%":                        {0, 100, false},
	"stems":                    {1, 1e5, true},
	"spots":                    {1, 1e5, true},
	"bales":                    {1, 1e6, true},
	"times the mean":           {1, 1000, false},
}

func (u unit) holds(v float64) bool {
	return !math.IsNaN(v) && v >= u.lo && v <= u.hi && (!u.whole || v == math.Trunc(v))
}

// number prints a rule's number without needless digits.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// withUnit prints a number with its unit: 14 days, 0.6 °C, 20 %.
func withUnit(v float64, unit string) string {
	if v == 1 && slices.Contains([]string{"days", "hours", "stems", "spots", "bales"}, unit) {
		unit = unit[:len(unit)-1]
	}
	return strings.TrimSuffix(number(v)+" "+unit, " ")
}

// list joins words with a last one before the end: "a", "a and b", "a, b and c".
func list(words []string, last string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + last + words[n-1]
}
