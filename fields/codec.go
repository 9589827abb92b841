package fields

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// MaxLine is the longest line of a journal text, in bytes. No real entry comes
// near it; it bounds the memory a hostile file can take.
const MaxLine = 1 << 20

// Encode returns the entry as one JSON object without a line end. Field order
// is fixed and left-out fields are not written, so equal entries encode to
// equal bytes: hashes and "same content" rest on that.
func Encode(e *Entry) []byte {
	b := make([]byte, 0, 256)
	put := func(name string, v any) {
		sep := byte(',')
		if len(b) == 0 {
			sep = '{'
		}
		b = append(b, sep, '"')
		b = append(append(b, name...), '"', ':') // field names are plain ASCII
		b = appendValue(b, v)
	}
	put("id", e.ID)
	put("kind", string(e.Kind()))
	put("recorded", e.Recorded.Format(time.RFC3339Nano))
	put("by", e.By)
	v := reflect.ValueOf(e.Body).Elem()
	for _, f := range planOf(v.Type()).fields {
		fv := v.Field(f.index)
		if fv.IsZero() {
			continue
		}
		put(f.name, encodable(fv))
	}
	if e.On != NoDate {
		put("on", e.On)
	}
	if !e.At.IsZero() {
		put("at", e.At.Format(time.RFC3339Nano))
	}
	if e.Note != "" {
		put("note", e.Note)
	}
	if e.Batch != "" {
		put("batch", e.Batch)
	}
	return append(b, '}')
}

func encodable(fv reflect.Value) any {
	if fv.Kind() == reflect.String {
		return fv.String()
	}
	switch x := fv.Interface().(type) {
	case time.Time:
		return x.Format(time.RFC3339Nano)
	case *RuleValue:
		if x.Number != nil {
			return *x.Number
		}
		return x.Word
	case []Span:
		type span struct {
			From string `json:"from"`
			To   string `json:"to"`
		}
		out := make([]span, len(x))
		for i, s := range x {
			out[i] = span{s.From.Format(time.RFC3339Nano), s.To.Format(time.RFC3339Nano)}
		}
		return out
	}
	return fv.Interface()
}

// appendValue appends v as JSON. Plain text and numbers are written here, with
// the same outcome as the general encoder, which does the rest.
func appendValue(b []byte, v any) []byte {
	switch x := v.(type) {
	case string:
		if plain(x) {
			return append(append(append(b, '"'), x...), '"')
		}
	case *float64:
		if a := math.Abs(*x); a == 0 || a >= 1e-6 && a < 1e21 {
			return strconv.AppendFloat(b, *x, 'f', -1, 64)
		}
	case *bool:
		return strconv.AppendBool(b, *x)
	case Date:
		return append(append(append(b, '"'), x.String()...), '"')
	}
	return append(b, jsonValue(v)...)
}

// plain reports whether text needs no escape in JSON.
func plain(s string) bool {
	for i := 0; i < len(s); i++ {
		if c := s[i]; c < ' ' || c >= 0x7f || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}

func jsonValue(v any) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		// Bodies hold only strings, finite numbers and dates: Check refuses others.
		panic("fields: entry cannot be encoded: " + err.Error())
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}

// ReadJSONL reads entries from JSON Lines. It reads the whole text and returns
// every problem of it at once, with line and field; when there is any problem
// no entry is returned. Blank lines are passed over. The same id with the same
// content is kept once; with other content it is a problem that names both
// lines. Only a failing reader gives another kind of error.
func ReadJSONL(r io.Reader) ([]Entry, error) {
	br := bufio.NewReaderSize(r, 64<<10)
	var out []Entry
	var probs Problems
	first := map[string]int{}    // id -> line
	canon := map[string]string{} // id -> canonical text
	for line := 1; ; line++ {
		text, err := readLine(br)
		if err != nil && !errors.Is(err, io.EOF) {
			if errors.Is(err, errLongLine) {
				probs = append(probs, Problem{Line: line, What: fmt.Sprintf("the line is longer than %d bytes", MaxLine), Type: "one entry is one line"})
				continue
			}
			return nil, err
		}
		if line == 1 {
			text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
		}
		if t := bytes.TrimSpace(text); len(t) > 0 {
			e, ps := DecodeEntry(t)
			for _, p := range ps {
				p.Line = line
				probs = append(probs, p)
			}
			if len(ps) == 0 {
				c := string(Encode(e))
				if was, ok := canon[e.ID]; !ok {
					canon[e.ID], first[e.ID] = c, line
					out = append(out, *e)
				} else if was != c {
					probs = append(probs, Problem{Line: line, Field: "id", What: fmt.Sprintf("entry %s stands on line %d with other content", e.ID, first[e.ID]), Type: "an entry is never changed; strike it and add a new one"})
				}
			}
		}
		if errors.Is(err, io.EOF) {
			break
		}
	}
	if len(probs) > 0 {
		return nil, probs
	}
	return out, nil
}

var errLongLine = errors.New("line too long")

func readLine(br *bufio.Reader) ([]byte, error) {
	var line []byte
	long := false
	for {
		part, err := br.ReadSlice('\n')
		if len(line)+len(part) > MaxLine {
			long = true
		} else if !long {
			line = append(line, part...)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		if long && err == nil {
			err = errLongLine
		}
		if long && errors.Is(err, io.EOF) {
			return nil, errLongLine
		}
		return line, err
	}
}

// WriteJSONL writes entries one a line, as text that people open in a terminal
// or an editor: characters that would act there or cannot be seen (controls,
// marks of writing direction, invisible ones) stand as JSON escapes. Read back,
// each entry is the same to the byte: hashes and identity rest on Encode, which
// knows nothing of this.
func WriteJSONL(w io.Writer, entries []Entry) error {
	bw := bufio.NewWriter(w)
	for i := range entries {
		bw.Write(EscapeUnseen(Encode(&entries[i])))
		bw.WriteByte('\n')
	}
	return bw.Flush()
}

// EscapeUnseen escapes, in a JSON text, what acts on a terminal or is not seen.
// Outside of its strings a JSON text holds no such character.
func EscapeUnseen(text []byte) []byte {
	if !bytes.ContainsFunc(text, unseen) {
		return text
	}
	out := make([]byte, 0, len(text)+64)
	for len(text) > 0 {
		r, n := utf8.DecodeRune(text)
		switch {
		case !unseen(r):
			out = append(out, text[:n]...)
		case r > 0xFFFF:
			hi, lo := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, hi, lo)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
		text = text[n:]
	}
	return out
}

func unseen(r rune) bool {
	return r >= 0x7f && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}

// DecodeEntry reads one JSON object strictly: unknown kinds and fields, doubled
// fields, missing required ones and impossible values are all reported, each
// with its field. The entry is nil if there is any problem.
func DecodeEntry(text []byte) (*Entry, Problems) {
	raw, order, ps := objectOf(text)
	if raw == nil {
		return nil, ps
	}
	d := decoder{raw: raw, probs: ps}
	e := &Entry{}
	e.ID = d.text("id", true)
	if e.ID != "" && !validULID(e.ID) {
		d.add("id", fmt.Sprintf("%q is not a ULID", e.ID), "it has 26 letters and digits")
	}
	kind := Kind(d.text("kind", true))
	e.Recorded = d.instant("recorded", true)
	e.By = d.text("by", true)
	e.On = d.date("on")
	e.At = d.instant("at", false)
	e.Note = d.text("note", false)
	e.Body = NewBody(kind)
	if kind != KindStrike { // a strike's batch is the one it strikes
		e.Batch = d.text("batch", false)
	}
	if e.Body == nil {
		if kind != "" {
			d.add("kind", fmt.Sprintf("there is no kind %q", string(kind)), "see `rimegate log --help`")
		}
		return nil, d.probs
	}
	v := reflect.ValueOf(e.Body).Elem()
	p := planOf(v.Type())
	if _, ok := raw["paddocks"]; !ok { // a single paddock is read as a list of one
		if _, listed := p.byName["paddocks"]; listed {
			if _, single := p.byName["paddock"]; !single {
				if r, ok := raw["paddock"]; ok {
					if string(r) != "null" {
						raw["paddocks"] = append(append([]byte{'['}, r...), ']')
					}
					d.used("paddock")
				}
			}
		}
	}
	for i := range p.fields {
		f := &p.fields[i]
		if r, ok := raw[f.name]; ok {
			d.used(f.name)
			if string(r) == "null" {
				continue
			}
			if prob := setField(v.Field(f.index), f, r); prob != "" {
				d.add(f.name, prob, "")
			}
		}
	}
	for _, name := range order {
		if !d.seen[name] {
			d.add(shownName(name), fmt.Sprintf("a %s entry has no such field", kind), "")
		}
	}
	var unread map[string]bool
	for _, p := range d.probs {
		if unread == nil {
			unread = map[string]bool{}
		}
		unread[p.Field] = true
	}
	d.probs = append(d.probs, checkEntry(e, unread)...)
	if len(d.probs) > 0 {
		return nil, d.probs
	}
	return e, nil
}

// shownName returns a field's name as a file gives it, fit for a sentence.
func shownName(name string) string {
	if len(name) <= 40 && validRef(name) {
		return name
	}
	if len(name) > 40 {
		name = name[:40]
	}
	return strconv.Quote(name)
}

// strictObject decodes a nested JSON object whose fields are exactly named as
// given, each at most once; encoding/json alone would take any case and the
// last of two.
func strictObject(r json.RawMessage, into any, names ...string) bool {
	raw, order, ps := objectOf(r)
	if raw == nil || len(ps) > 0 {
		return false
	}
	for _, name := range order {
		if !contains(names, name) {
			return false
		}
	}
	return json.Unmarshal(r, into) == nil
}

// objectOf splits a JSON object into its fields and reports doubled ones. The
// map is nil if the text is not one object.
func objectOf(text []byte) (map[string]json.RawMessage, []string, Problems) {
	if !utf8.Valid(text) {
		return nil, nil, Problems{{What: "the line is not UTF-8 text"}}
	}
	if raw, order, ok := cutObject(text); ok {
		return raw, order, nil
	}
	return objectWithWords(text)
}

// objectWithWords is objectOf the general way, which finds the words for what
// is wrong.
func objectWithWords(text []byte) (map[string]json.RawMessage, []string, Problems) {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	bad := func(err error) Problems {
		msg := "it ends too early"
		if err == nil {
			msg = "it does not begin with {"
		}
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
			msg = err.Error()
		}
		return Problems{{What: "the line is not one JSON object (" + msg + ")"}}
	}
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return nil, nil, bad(err)
	}
	raw := map[string]json.RawMessage{}
	var order []string
	var ps Problems
	for dec.More() {
		t, err := dec.Token()
		if err != nil {
			return nil, nil, bad(err)
		}
		key, ok := t.(string)
		if !ok {
			return nil, nil, bad(nil)
		}
		var r json.RawMessage
		if err := dec.Decode(&r); err != nil {
			return nil, nil, bad(err)
		}
		if _, dup := raw[key]; dup {
			ps = append(ps, Problem{Field: shownName(key), What: "the field is given twice"})
			continue
		}
		raw[key] = r
		order = append(order, key)
	}
	if _, err := dec.Token(); err != nil {
		return nil, nil, bad(err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, nil, Problems{{What: "more stands behind the JSON object", Type: "one entry is one line"}}
	}
	return raw, order, ps
}

type decoder struct {
	raw   map[string]json.RawMessage
	seen  map[string]bool
	probs Problems
}

func (d *decoder) used(name string) {
	if d.seen == nil {
		d.seen = map[string]bool{}
	}
	d.seen[name] = true
}

func (d *decoder) add(field, what, hint string) {
	d.probs = append(d.probs, Problem{Field: field, What: what, Type: hint})
}

func (d *decoder) text(name string, required bool) string {
	d.used(name)
	r, ok := d.raw[name]
	if !ok || string(r) == "null" {
		if required {
			d.add(name, "is missing", "")
		}
		return ""
	}
	s, ok := cutText(r)
	if !ok {
		d.add(name, "must be text in quotes", "")
		return ""
	}
	if required && strings.TrimSpace(s) == "" {
		d.add(name, "is empty", "")
	}
	return s
}

func (d *decoder) instant(name string, required bool) time.Time {
	s := d.text(name, required)
	if s == "" {
		return time.Time{}
	}
	t, err := parseInstant(s)
	if err != nil {
		d.add(name, err.Error(), "")
	}
	return t
}

func (d *decoder) date(name string) Date {
	s := d.text(name, false)
	if s == "" {
		return NoDate
	}
	v, err := ParseISODate(s)
	if err != nil {
		d.add(name, err.Error(), "")
	}
	return v
}

func parseInstant(s string) (time.Time, error) {
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil || t.Year() < 1900 || t.Year() > 2200 {
		return time.Time{}, fmt.Errorf("%q is not an instant with a zone; write it like 2026-09-17T06:40:00-06:00", s)
	}
	return t, nil
}

// setField decodes r into fv; it returns "" or one plain clause.
func setField(fv reflect.Value, f *fieldPlan, r json.RawMessage) string {
	if fv.Kind() == reflect.String {
		s, ok := cutText(r)
		if !ok {
			return "must be text in quotes"
		}
		fv.SetString(s)
		return ""
	}
	switch fv.Interface().(type) {
	case *float64:
		n, bad := numberOf(r)
		if bad != "" {
			return bad
		}
		fv.Set(reflect.ValueOf(&n))
	case []Value:
		rs, ok := cutList(r)
		if !ok {
			return "must be a list of numbers in [ ]"
		}
		vs := make([]Value, len(rs))
		for i, x := range rs {
			if len(x) > 0 && x[0] == '{' {
				var below struct{ Below json.RawMessage }
				if !strictObject(x, &below, "below") || below.Below == nil {
					return "must hold numbers, or {\"below\": 100} for what was not detected"
				}
				vs[i].Below, x = true, below.Below
			}
			n, bad := numberOf(x)
			if bad != "" {
				return bad
			}
			vs[i].N = n
		}
		fv.Set(reflect.ValueOf(vs))
	case []Span:
		rs, ok := cutList(r)
		const like = "must be a list like [{\"from\":\"2026-09-17T18:00:00-06:00\",\"to\":\"2026-09-18T08:00:00-06:00\"}]"
		if !ok {
			return like
		}
		list := make([]Span, len(rs))
		for i, x := range rs {
			var s struct{ From, To string }
			if !strictObject(x, &s, "from", "to") {
				return like
			}
			var err error
			if list[i].From, err = parseInstant(s.From); err != nil {
				return err.Error()
			}
			if list[i].To, err = parseInstant(s.To); err != nil {
				return err.Error()
			}
		}
		fv.Set(reflect.ValueOf(list))
	case *bool:
		b := string(r) == "true"
		if !b && string(r) != "false" {
			return "must be true or false, without quotes"
		}
		fv.Set(reflect.ValueOf(&b))
	case Date:
		s, ok := cutText(r)
		if !ok {
			return "must be a date in quotes, like \"2026-09-17\""
		}
		d, err := ParseISODate(s)
		if err != nil {
			return err.Error()
		}
		fv.Set(reflect.ValueOf(d))
	case time.Time:
		s, ok := cutText(r)
		if !ok {
			return "must be an instant in quotes, like \"2026-09-17T06:40:00-06:00\""
		}
		t, err := parseInstant(s)
		if err != nil {
			return err.Error()
		}
		fv.Set(reflect.ValueOf(t))
	case []string:
		const like = "must be a list of texts, like [\"north-slough\"]"
		rs, ok := cutList(r)
		if !ok {
			return like
		}
		ss := make([]string, len(rs))
		for i, x := range rs {
			if ss[i], ok = cutText(x); !ok {
				return like
			}
		}
		fv.Set(reflect.ValueOf(ss))
	case []SpeciesShare:
		rs, ok := cutList(r)
		const like = "must be a list like [{\"species\":\"oats\",\"share\":40}]"
		if !ok {
			return like
		}
		list := make([]SpeciesShare, len(rs))
		for i, x := range rs {
			if !strictObject(x, &list[i], "species", "share") {
				return like
			}
			if n := list[i].Share; n != nil && *n == 0 {
				*n = 0 // as in numberOf
			}
		}
		fv.Set(reflect.ValueOf(list))
	case *Watch:
		var w Watch
		strict := json.NewDecoder(bytes.NewReader(r))
		strict.DisallowUnknownFields()
		if strict.Decode(&w) != nil || !strictObject(r, &w, "from", "to", "record") || w.From.Month == 0 || w.To.Month == 0 {
			return "must be like {\"from\":\"08-15\",\"to\":\"06-15\"}"
		}
		fv.Set(reflect.ValueOf(&w))
	case *Contacts:
		var c Contacts
		if !strictObject(r, &c, "manager", "backup", "vet") {
			return "must be like {\"manager\":\"...\",\"backup\":\"...\",\"vet\":\"...\"}"
		}
		fv.Set(reflect.ValueOf(&c))
	case *RuleValue:
		if s, ok := cutText(r); ok {
			fv.Set(reflect.ValueOf(&RuleValue{Word: s}))
			return ""
		}
		n, bad := numberOf(r)
		if bad != "" {
			return "must be a number or a word in quotes"
		}
		fv.Set(reflect.ValueOf(&RuleValue{Number: &n}))
	default:
		panic("fields: no decoder for " + f.typ.String())
	}
	return ""
}

func numberOf(r json.RawMessage) (float64, string) {
	n, err := strconv.ParseFloat(string(r), 64)
	if len(r) > 0 && (r[0] == '"' || r[0] == '{' || r[0] == '[' || r[0] == 't' || r[0] == 'f' || r[0] == 'n') {
		return 0, "must be a plain number, without quotes or a unit"
	}
	if err != nil || math.IsInf(n, 0) || math.IsNaN(n) {
		return 0, fmt.Sprintf("%s is not a number that can be", string(r))
	}
	if n == 0 {
		n = 0 // -0 becomes 0, so that equal facts encode equally
	}
	return n, ""
}

// validULID checks length and alphabet (Crockford base 32); the first
// character is at most 7, as the ULID specification says.
func validULID(s string) bool {
	if len(s) != 26 || s[0] > '7' {
		return false
	}
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case c >= '0' && c <= '9':
		case c >= 'A' && c <= 'Z' && c != 'I' && c != 'L' && c != 'O' && c != 'U':
		default:
			return false
		}
	}
	return true
}
