package fields

import "reflect"

// Set gives the field of a body its value: a string, float64, bool, Date,
// time.Time, a list or one of the pointers, as the field's type asks. A single
// string makes a list of one. It is false if the kind has no such field.
func Set(b Body, name string, v any) bool {
	body := reflect.ValueOf(b).Elem()
	p := planOf(b)
	i, ok := p.byName[name]
	if !ok {
		return false
	}
	to, x := body.Field(p.fields[i].index), reflect.ValueOf(v)
	switch s, single := v.(string); {
	case to.Kind() == reflect.String:
		to.SetString(s)
	case to.Kind() == reflect.Pointer && x.Kind() != reflect.Pointer:
		to.Set(reflect.New(to.Type().Elem()))
		to.Elem().Set(x)
	case to.Kind() == reflect.Slice && single:
		to.Set(reflect.ValueOf([]string{s}))
	default:
		to.Set(x)
	}
	return true
}

// Keep fills what an entry of the kind must say, and b does not, from was.
func Keep(b, was Body) {
	to, from := reflect.ValueOf(b).Elem(), reflect.ValueOf(was).Elem()
	for _, f := range planOf(b).fields {
		if x := to.Field(f.index); f.required && x.IsZero() {
			x.Set(from.Field(f.index))
		}
	}
}
