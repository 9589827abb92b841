package fields

import (
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// plan is what the codec knows of a body type, read once from its tags.
type plan struct {
	kind   Kind
	fields []fieldPlan
	byName map[string]int
	groups [][]string // of each at least one field is needed
	when   int        // the struct's field with the fact's date, -1 for none
}

type fieldPlan struct {
	name     string
	index    int
	required bool
	group    string
	choices  []string
	lo, hi   float64
	bounded  bool
	of       string // paddock, station, herd or lot: what its short name is of, else ""
	typ      reflect.Type
	decode   decode

	timed     bool // a day or an instant
	mayBeNone bool // an empty list says that there is none
}

var plans = sync.OnceValue(func() map[reflect.Type]*plan {
	all := map[reflect.Type]*plan{}
	for k, b := range bodies() {
		t := reflect.TypeOf(b)
		all[t] = newPlan(k, t.Elem())
	}
	return all
})

func planOf(b Body) *plan { return plans()[reflect.TypeOf(b)] }

func newPlan(k Kind, t reflect.Type) *plan {
	p := &plan{kind: k, when: -1, byName: map[string]int{}}
	for i := 0; i < t.NumField(); i++ {
		f := t.Field(i)
		name := f.Tag.Get("json")
		if name == "" {
			continue
		}
		fp := fieldPlan{name: name, index: i, typ: f.Type, decode: decoderOf(f.Type)}
		if f.Tag.Get("ref") == "id" {
			if fp.of = strings.TrimSuffix(name, "s"); fp.of == "from" || fp.of == "into" {
				fp.of = "paddock"
			}
		}
		if f.Tag.Get("when") != "" {
			p.when = i
		}
		switch need := f.Tag.Get("need"); need {
		case "":
		case "*":
			fp.required = true
		default:
			fp.group = need
		}
		if c := f.Tag.Get("one"); c != "" {
			fp.choices = strings.Split(c, "|")
			if f.Type.Kind() == reflect.String {
				fp.decode = textOf(fp.choices)
			}
		}
		if lo, hi := f.Tag.Get("lo"), f.Tag.Get("hi"); lo != "" {
			fp.bounded = true
			fp.lo, _ = strconv.ParseFloat(lo, 64)
			fp.hi, _ = strconv.ParseFloat(hi, 64)
		}
		fp.timed = f.Type == reflect.TypeFor[Date]() || f.Type == reflect.TypeFor[time.Time]()
		fp.mayBeNone = name == "alive" || name == "absent" || name == "species"
		if g := fp.group; g != "" {
			i := slices.IndexFunc(p.groups, func(names []string) bool { return p.fields[p.byName[names[0]]].group == g })
			if i < 0 {
				i, p.groups = len(p.groups), append(p.groups, nil)
			}
			p.groups[i] = append(p.groups[i], name)
		}
		p.byName[name] = len(p.fields)
		p.fields = append(p.fields, fp)
	}
	return p
}

func decoderOf(t reflect.Type) decode {
	if t.Kind() == reflect.String { // a word of some type
		t = reflect.TypeFor[string]()
	}
	return decoders()[t]
}
