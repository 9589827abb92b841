package form

import (
	"time"

	"rimegate/fields"
)

// What a command reads from its flags. A field that was not said, or not
// understood, has the zero value.

// Err returns every problem so far, nil for none.
func (b *Answers) Err() error { return b.problems.Err() }

// Has reports whether a field was said.
func (b *Answers) Has(name string) bool { return b.said[name] != nil }

// Yes reports whether a flag was given.
func (b *Answers) Yes(name string) bool { return get[bool](b, name) }

// Text returns a text.
func (b *Answers) Text(name string) string { return get[string](b, name) }

// Date returns a day.
func (b *Answers) Date(name string) fields.Date { return get[fields.Date](b, name) }

// Time returns a moment.
func (b *Answers) Time(name string) time.Time { return get[time.Time](b, name) }

// List returns the texts of a list.
func (b *Answers) List(name string) []string { return get[[]string](b, name) }

// Number returns a number or quantity, nil if there is none.
func (b *Answers) Number(name string) *float64 {
	v, ok := b.values[name].(float64)
	if !ok {
		return nil
	}
	return &v
}

func get[T any](b *Answers, name string) T {
	v, _ := b.values[name].(T)
	return v
}

// Need notes a problem where a field is not said.
func (b *Answers) Need(name string) {
	if !b.Has(name) {
		b.missing(b.k.Field(name), fields.Problem{What: "is missing"})
	}
}

// Wrong notes a problem with a field, or with the words in general if name is "".
func (b *Answers) Wrong(name, what, hint string) {
	if f := b.k.Field(name); f != nil {
		b.wrong(f, what, hint)
		return
	}
	b.problems = append(b.problems, fields.Problem{What: what, Type: hint})
}

// Failed is Wrong for an error, if there is one.
func (b *Answers) Failed(name string, err error) {
	if err != nil {
		b.Wrong(name, err.Error(), "")
	}
}
