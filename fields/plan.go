package fields

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// plan is what the codec knows of a body type, read once from its tags.
type plan struct {
	fields []fieldPlan
	byName map[string]int
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
