package judge

import (
	"reflect"

	"rimegate/fields"
)

// Shrink takes entries away, and fields of entries, as long as still holds
// does. The result is minimal: no single entry and no single optional field can
// go.
func Shrink(entries []fields.Entry, still func([]fields.Entry) bool) []fields.Entry {
	es := append([]fields.Entry{}, entries...)
	for size := len(es) / 2; size >= 1; {
		cut := false
		for at := 0; at+size <= len(es); {
			try := append(append([]fields.Entry{}, es[:at]...), es[at+size:]...)
			if still(try) {
				es, cut = try, true
			} else {
				at += size
			}
		}
		if !cut || size > 1 {
			size /= 2
		}
	}
	for changed := true; changed; {
		changed = false
		for i := range es {
			for f := 0; f < reflect.ValueOf(es[i].Body).Elem().NumField(); f++ {
				e, ok := without(es[i], f)
				if !ok {
					continue
				}
				try := append([]fields.Entry{}, es...)
				try[i] = e
				if still(try) {
					es, changed = try, true
				}
			}
		}
	}
	return es
}

// without returns the entry with one field of its body left out, if that makes
// another entry that can be.
func without(e fields.Entry, field int) (fields.Entry, bool) {
	old := reflect.ValueOf(e.Body).Elem()
	if !old.Type().Field(field).IsExported() || old.Field(field).IsZero() {
		return e, false
	}
	body := reflect.New(old.Type())
	body.Elem().Set(old)
	body.Elem().Field(field).SetZero()
	e.Body = body.Interface().(fields.Body)
	return e, len(fields.Check(&e)) == 0
}
