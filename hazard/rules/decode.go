package rules

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// doc is one TOML file with the places of its keys, found only when a fault
// has to be named: a sound rulebook never pays for it.
type doc struct {
	name   string
	text   []byte
	places map[string]place
}

type place struct{ line, column int }

// decode reads the file strictly into v. Unknown keys and values of the wrong
// kind are all reported; a fault of syntax ends the file, as what follows it
// cannot be told.
func (d *doc) decode(v any, ps *problems) bool {
	if !utf8.Valid(d.text) {
		*ps = append(*ps, Problem{File: d.name, Line: 1, Column: 1, What: "the file is not UTF-8 text"})
		return false
	}
	dec := toml.NewDecoder(bytes.NewReader(d.text))
	dec.DisallowUnknownFields()
	err := dec.Decode(v)
	if err == nil {
		return true
	}
	var missing *toml.StrictMissingError
	if errors.As(err, &missing) {
		for i := range missing.Errors {
			e := &missing.Errors[i]
			line, col := e.Position()
			*ps = append(*ps, Problem{d.name, line, col, fmt.Sprintf("unknown key %q", strings.Join(e.Key(), "."))})
		}
		return false
	}
	if found := d.wrongKinds(reflect.TypeOf(v).Elem()); len(found) > 0 {
		*ps = append(*ps, found...)
		return false
	}
	p := Problem{File: d.name, Line: 1, Column: 1, What: cleanTOML(err.Error())}
	var de *toml.DecodeError
	if errors.As(err, &de) {
		p.Line, p.Column = de.Position()
	}
	*ps = append(*ps, p)
	return false
}

var intoGo = regexp.MustCompile(` into (struct field )?(?s:.*)$`)

// cleanTOML takes Go's own type names out of a decoder's message.
func cleanTOML(s string) string {
	s = strings.TrimPrefix(s, "toml: ")
	if strings.HasPrefix(s, "cannot decode TOML ") {
		s = intoGo.ReplaceAllString(s, " here")
	}
	return s
}

// place finds where a path such as rule[2].sources[0].id stands; a key that is
// not there is placed at the table that lacks it.
func (d *doc) place(path string) (place, bool) {
	if d.places == nil {
		d.places = map[string]place{}
		d.walk(func(path string, at place, _ *unstable.Node) {
			if _, twice := d.places[path]; !twice {
				d.places[path] = at
			}
		})
	}
	for {
		if at, ok := d.places[path]; ok {
			return at, true
		}
		if at, ok := d.places[path+"[0]"]; ok {
			return at, true
		}
		cut := strings.LastIndexAny(path, ".[")
		if cut < 0 {
			return place{1, 1}, true
		}
		path = path[:cut]
	}
}

// walk visits every table header and value of the file with its path.
func (d *doc) walk(visit func(path string, at place, value *unstable.Node)) {
	var p unstable.Parser
	p.Reset(d.text)
	at := func(r unstable.Range) place {
		s := p.Shape(r).Start
		return place{s.Line, s.Column}
	}
	count := map[string]int{}
	table := ""
	var value func(path string, here place, n *unstable.Node)
	keyValue := func(under string, n *unstable.Node) {
		path, here := under, place{}
		for it := n.Key(); it.Next(); {
			k := it.Node()
			if here == (place{}) {
				here = at(k.Raw)
			}
			path = join(path, string(k.Data))
		}
		value(path, here, n.Value())
	}
	value = func(path string, here place, n *unstable.Node) {
		visit(path, here, n)
		switch n.Kind {
		case unstable.Array:
			i := 0
			for it := n.Children(); it.Next(); {
				c := it.Node()
				if c.Kind == unstable.Comment {
					continue
				}
				where := here
				if c.Raw.Length > 0 {
					where = at(c.Raw)
				}
				value(fmt.Sprintf("%s[%d]", path, i), where, c)
				i++
			}
		case unstable.InlineTable:
			for it := n.Children(); it.Next(); {
				if it.Node().Kind == unstable.KeyValue {
					keyValue(path, it.Node())
				}
			}
		}
	}
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			keyValue(table, e)
		case unstable.Table, unstable.ArrayTable:
			path, here := "", place{}
			for it := e.Key(); it.Next(); {
				k := it.Node()
				if here == (place{}) {
					here = at(k.Raw)
				}
				name := join(path, string(k.Data))
				switch {
				case e.Kind == unstable.ArrayTable && it.IsLast():
					path = fmt.Sprintf("%s[%d]", name, count[name])
					count[name]++
				case count[name] > 0:
					path = fmt.Sprintf("%s[%d]", name, count[name]-1)
				default:
					path = name
				}
			}
			table = path
			visit(path, here, nil)
		}
	}
}

var plainKey = strings.NewReplacer(".", "_", "[", "_", "]", "_")

func join(path, key string) string {
	if key = plainKey.Replace(key); key == "" {
		key = "_"
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// wrongKinds compares every value with the shape it is read into. It runs only
// after a failed decode, which stops at the first.
func (d *doc) wrongKinds(shape reflect.Type) []Problem {
	var out []Problem
	d.walk(func(path string, at place, n *unstable.Node) {
		if n == nil {
			return
		}
		t, ok := typeAt(shape, path)
		if !ok {
			out = append(out, Problem{d.name, at.line, at.column, fmt.Sprintf("unknown key %q", lastKey(path))})
			return
		}
		if want := kindWord(t); !fits(t, n.Kind) {
			out = append(out, Problem{d.name, at.line, at.column, fmt.Sprintf("%s wants %s, not %s", lastKey(path), want, nodeWord(n.Kind))})
		}
	})
	return out
}

func lastKey(path string) string { return path[strings.LastIndexByte(path, '.')+1:] }

// typeAt finds the Go type a path is read into.
func typeAt(t reflect.Type, path string) (reflect.Type, bool) {
	for path != "" {
		for t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		if path[0] == '[' {
			if t.Kind() != reflect.Slice {
				return nil, false
			}
			t = t.Elem()
			path = path[strings.IndexByte(path, ']')+1:]
			path = strings.TrimPrefix(path, ".")
			continue
		}
		key := path
		if i := strings.IndexAny(path, ".["); i >= 0 {
			key = path[:i]
		}
		path = strings.TrimPrefix(path[len(key):], ".")
		if t.Kind() != reflect.Struct {
			return nil, false
		}
		found := false
		for i := 0; i < t.NumField(); i++ {
			if t.Field(i).Tag.Get("toml") == key {
				t, found = t.Field(i).Type, true
				break
			}
		}
		if !found {
			return nil, false
		}
	}
	return t, true
}

var localDate = reflect.TypeFor[toml.LocalDate]()

func fits(t reflect.Type, k unstable.Kind) bool {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == localDate:
		return k == unstable.LocalDate
	case t.Kind() == reflect.String:
		return k == unstable.String
	case t.Kind() == reflect.Bool:
		return k == unstable.Bool
	case t.Kind() == reflect.Float64:
		return k == unstable.Integer || k == unstable.Float
	case t.Kind() == reflect.Int:
		return k == unstable.Integer
	case t.Kind() == reflect.Slice:
		return k == unstable.Array
	case t.Kind() == reflect.Struct:
		return k == unstable.InlineTable
	}
	return false
}

func kindWord(t reflect.Type) string {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch {
	case t == localDate:
		return "a date like 2026-10-01"
	case t.Kind() == reflect.String:
		return "a text in quotes"
	case t.Kind() == reflect.Bool:
		return "true or false"
	case t.Kind() == reflect.Float64:
		return "a number"
	case t.Kind() == reflect.Int:
		return "a whole number"
	case t.Kind() == reflect.Slice:
		return "a list in [ ]"
	}
	return "a table in { }"
}

func nodeWord(k unstable.Kind) string {
	switch k {
	case unstable.String:
		return "a text"
	case unstable.Bool:
		return "true or false"
	case unstable.Integer:
		return "a whole number"
	case unstable.Float:
		return "a number"
	case unstable.Array:
		return "a list"
	case unstable.InlineTable:
		return "a table"
	case unstable.LocalDate, unstable.LocalDateTime, unstable.DateTime, unstable.LocalTime:
		return "a date or time"
	}
	return "this"
}
