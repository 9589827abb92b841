package fields

import (
	"encoding/json"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// plan is what the codec knows of a body type, read once from its tags.
type plan struct {
	fields []fieldPlan
	byName map[string]int
	groups [][]string // of each at least one field is needed
}

type fieldPlan struct {
	name     string
	index    int
	required bool
	group    string
	choices  []string
	lo, hi   float64
	bounded  bool
	ref      bool
	typ      reflect.Type
	decode   func(json.RawMessage) (any, string)

	timed     bool // a day or an instant
	mayBeNone bool // an empty list says that there is none
}

var plans sync.Map // reflect.Type -> *plan

func planOf(t reflect.Type) *plan {
	if p, ok := plans.Load(t); ok {
		return p.(*plan)
	}
	p := &plan{byName: map[string]int{}}
	for i := 0; i < t.NumField(); i++ {
		f := t.Field(i)
		name := f.Tag.Get("json")
		if name == "" {
			continue
		}
		fp := fieldPlan{name: name, index: i, typ: f.Type, decode: decoderOf(f.Type), ref: f.Tag.Get("ref") == "id"}
		switch need := f.Tag.Get("need"); need {
		case "":
		case "*":
			fp.required = true
		default:
			fp.group = need
		}
		if c := f.Tag.Get("one"); c != "" {
			fp.choices = strings.Split(c, "|")
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
	got, _ := plans.LoadOrStore(t, p)
	return got.(*plan)
}

func decoderOf(t reflect.Type) func(json.RawMessage) (any, string) {
	if t.Kind() == reflect.String { // a word of some type
		t = reflect.TypeFor[string]()
	}
	return decoders[t]
}
