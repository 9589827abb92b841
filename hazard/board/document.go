package board

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// document writes v as a JSON document. What has a doc or json tag is written,
// in order: texts clean, flags, uses and classes by their words, days in ISO form.
// No date, no flag and a nil pointer are null, and so is whatever is zero under
// a tag with ",null"; every other list is never null.
func document(v any) ([]byte, error) {
	var flat, out bytes.Buffer
	err := encode(&flat, reflect.ValueOf(v))
	if err == nil {
		err = json.Indent(&out, flat.Bytes(), "", "  ")
	}
	if err != nil {
		return nil, fmt.Errorf("the answers cannot be written as JSON: %w", err)
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

func encode(b *bytes.Buffer, v reflect.Value) error {
	switch x := v.Interface().(type) {
	case fields.Date:
		return scalar(b, Day(x))
	case json.Marshaler:
		return scalar(b, x)
	case hazard.Flag:
		if x == hazard.Unknown {
			return scalar(b, nil)
		}
		return scalar(b, x.String())
	case hazard.Source:
		return encode(b, reflect.ValueOf(struct {
			Publisher string `doc:"publisher"`
			Title     string `doc:"title"`
			Year      int    `doc:"year,null"`
			URL       string `doc:"url,null"`
		}{x.Publisher, x.Title, x.Year, x.URL}))
	case fmt.Stringer:
		if v.CanUint() || v.CanInt() {
			return scalar(b, x.String())
		}
	}
	switch v.Kind() {
	case reflect.String:
		return scalar(b, Clean(v.String()))
	case reflect.Pointer:
		if v.IsNil() {
			return scalar(b, nil)
		}
		return encode(b, v.Elem())
	case reflect.Slice:
		return each(b, "[]", v.Len(), func(i int) error { return encode(b, v.Index(i)) })
	case reflect.Map:
		keys := slices.Sorted(maps.Keys(v.Interface().(map[string]span)))
		return each(b, "{}", len(keys), func(i int) error {
			fmt.Fprintf(b, "%q:", keys[i])
			return encode(b, v.MapIndex(reflect.ValueOf(keys[i])))
		})
	case reflect.Struct:
		fs := tagged(v)
		return each(b, "{}", len(fs), func(i int) error {
			fmt.Fprintf(b, "%q:", fs[i].name)
			if fs[i].null && fs[i].IsZero() {
				return scalar(b, nil)
			}
			return encode(b, fs[i].Value)
		})
	}
	return scalar(b, v.Interface())
}

func each(b *bytes.Buffer, brackets string, n int, one func(i int) error) error {
	b.WriteByte(brackets[0])
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := one(i); err != nil {
			return err
		}
	}
	b.WriteByte(brackets[1])
	return nil
}

// scalar keeps < > & as they are: the output is data, not a page.
func scalar(b *bytes.Buffer, v any) error {
	err := encoder(b).Encode(v)
	b.Truncate(len(bytes.TrimRight(b.Bytes(), "\n")))
	return err
}

type taggedField struct {
	reflect.Value
	name string
	null bool
}

// tagged are the fields of a struct with a tag, and those of what is
// embedded in it.
func tagged(v reflect.Value) []taggedField {
	var out []taggedField
	for i := range v.NumField() {
		f := v.Type().Field(i)
		tag := cmp.Or(f.Tag.Get("doc"), f.Tag.Get("json"))
		name, option, _ := strings.Cut(tag, ",")
		switch {
		case name == "-":
		case tag != "":
			out = append(out, taggedField{v.Field(i), name, option == "null"})
		case f.Anonymous && f.Type.Kind() == reflect.Struct:
			out = append(out, tagged(v.Field(i))...)
		}
	}
	return out
}

// span is a range of numbers with its ends.
type span struct {
	Low  float64 `doc:"low"`
	High float64 `doc:"high"`
}

// held is a flag and, of a hold, its last day.
type held struct {
	Flag    hazard.Flag `doc:"flag"`
	Through fields.Date `doc:"through"`
}

func heldOf(f hazard.Flag, through fields.Date) *held {
	switch f {
	case hazard.Unknown:
		return nil
	case hazard.Hold:
		return &held{f, through}
	}
	return &held{Flag: f}
}

// Sheet is a sheet in words.
type Sheet func(t *text)

// Text writes the sheet at most width cells a line; it returns the writer's error.
func (p Sheet) Text(w io.Writer, width int) error {
	t := newText(w, width)
	p(t)
	return t.flush()
}

// sheet is what every sheet is headed with.
type sheet struct {
	Farm    string
	On      fields.Date
	KnownAt string
	u       Units
}

func (s *speaker) sheet() sheet {
	h := s.head("")
	return sheet{h.Farm, s.on, h.KnownAt, s.u}
}

func lotOf(a *hazard.Assessment, id string) *hazard.LotAnswer {
	for i := range a.Lots {
		if l := &a.Lots[i]; l.Lot == id {
			return l
		}
	}
	return nil
}

// paras writes a paragraph for each text.
func (t *text) paras(first, rest string, list []string) {
	for _, s := range list {
		t.para(first, rest, s)
	}
}

// items writes a line of a list for each text that is not "".
func (t *text) items(list ...string) { t.paras("  ", "    ", list) }

// head writes the head of a sheet: what it is, and when it was known.
func (t *text) head(x sheet, what string) {
	t.para("", "  ", x.Farm+", "+x.On.Words()+": "+what)
	t.para("", "", "Known at "+x.KnownAt+".")
}

// title begins a part of a sheet.
func (t *text) title(s string) {
	t.blank()
	t.para("", "  ", s)
}

// provided is s, or "" where it does not hold.
func provided(holds bool, s string) string {
	if holds {
		return s
	}
	return ""
}

// pad fills a text up to n cells.
func pad(s string, n int) string { return s + strings.Repeat(" ", max(0, n-Width(s))) }
