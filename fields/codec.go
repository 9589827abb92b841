package fields

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
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
func Encode(e *Entry) []byte { return AppendEncoded(make([]byte, 0, 320), e) }

// AppendEncoded appends what Encode returns.
func AppendEncoded(b []byte, e *Entry) []byte {
	from := len(b)
	put := func(name string, v any) {
		sep := byte(',')
		if len(b) == from {
			sep = '{'
		}
		b = append(b, sep, '"')
		b = append(append(b, name...), '"', ':') // field names are plain ASCII
		b = appendValue(b, v)
	}
	put("id", e.ID)
	put("kind", string(e.Kind()))
	put("recorded", e.Recorded)
	put("by", e.By)
	v := reflect.ValueOf(e.Body).Elem()
	for _, f := range planOf(e.Body).fields {
		fv := v.Field(f.index)
		if fv.IsZero() {
			continue
		}
		if fv.Kind() == reflect.String {
			put(f.name, fv.String())
		} else {
			put(f.name, fv.Interface())
		}
	}
	if e.On != NoDate {
		put("on", e.On)
	}
	if !e.At.IsZero() {
		put("at", e.At)
	}
	if e.Note != "" {
		put("note", e.Note)
	}
	if e.Batch != "" {
		put("batch", e.Batch)
	}
	return append(b, '}')
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
	case time.Time:
		return append(x.AppendFormat(append(b, '"'), time.RFC3339Nano), '"')
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
					probs = append(probs, Problem{
						Line: line, Field: "id", What: fmt.Sprintf("entry %s stands on line %d with other content", e.ID, first[e.ID]),
						Type: "an entry is never changed; strike it and add a new one",
					})
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

// ofNewer is what to do about what this program does not know: of two computers on one
// farm one may be a version behind, and a sound journal must not be thrown away for it.
const ofNewer = "if a newer rimegate wrote it, update this one"

// rooms are for the fields of one entry while it is read: more than any kind has.
var rooms = sync.Pool{New: func() any { return new([20]member) }}

// DecodeEntry reads one JSON object strictly: unknown kinds and fields, doubled
// fields, missing required ones and impossible values are all reported, each
// with its field. The entry is nil if there is any problem.
func DecodeEntry(text []byte) (*Entry, Problems) {
	e := &Entry{}
	if ps := DecodeInto(e, string(text)); len(ps) > 0 {
		return nil, ps
	}
	return e, nil
}

// DecodeInto is DecodeEntry into a zero entry of the caller, which is worth nothing if there is
// any problem. The entry keeps nothing of text.
func DecodeInto(e *Entry, text string) Problems { return decodeInto(e, text, true) }

// DecodeAgain is DecodeInto of a text that was decoded before without a problem: whether its
// values can be is not asked again.
func DecodeAgain(e *Entry, text string) Problems { return decodeInto(e, text, false) }

func decodeInto(e *Entry, text string, check bool) Problems {
	room := rooms.Get().(*[20]member)
	defer rooms.Put(room)
	o, ps, ok := objectOf(text, room[:0])
	if !ok {
		return ps
	}
	d := decoder{o, ps}
	e.ID = take(&d, "id", true, asText)
	if e.ID != "" && !validULID(e.ID) {
		d.add("id", fmt.Sprintf("%q is not a ULID", e.ID), ulidForm)
	}
	kind := Kind(take(&d, "kind", true, func(s string) (string, error) { return s, nil }))
	e.Recorded = take(&d, "recorded", true, parseInstant)
	e.By = take(&d, "by", true, asText)
	e.On = take(&d, "on", false, ParseISODate)
	e.At = take(&d, "at", false, parseInstant)
	e.Note = take(&d, "note", false, asText)
	if kind != KindStrike { // a strike's batch is the one it strikes
		e.Batch = take(&d, "batch", false, shared)
	}
	e.Body = NewBody(kind)
	if e.Body == nil {
		if kind != "" {
			d.add("kind", fmt.Sprintf("there is no kind %q", string(kind)), ofNewer+"; see `rimegate log --help`")
		}
		return d.probs
	}
	d.body(e.Body)
	if !check {
		return d.probs
	}
	for _, m := range d.object {
		if !m.seen {
			d.add(shownName(m.name), fmt.Sprintf("a %s entry has no such field", kind), ofNewer)
		}
	}
	var unread map[string]bool
	for _, p := range d.probs {
		if unread == nil {
			unread = map[string]bool{}
		}
		unread[p.Field] = true
	}
	return append(d.probs, checkEntry(e, unread)...)
}

type decoder struct {
	object
	probs Problems
}

func (d *decoder) add(field, what, hint string) {
	d.probs = append(d.probs, Problem{Field: field, What: what, Type: hint})
}

// take reads a field of every entry; null and "" are not said.
func take[T any](d *decoder, name string, required bool, parse func(string) (T, error)) (v T) {
	m := d.of(name)
	if m != nil {
		m.seen = true
	}
	if m == nil || m.value == "null" {
		if required {
			d.add(name, "is missing", "")
		}
		return v
	}
	s, ok := cutText(m.value)
	switch {
	case !ok:
		d.add(name, "must be text in quotes", "")
	case required && strings.TrimSpace(s) == "":
		d.add(name, "is empty", "")
	case s != "":
		var err error
		if v, err = parse(s); err != nil {
			d.add(name, err.Error(), "")
		}
	}
	return v
}

// asText reads a text that the entry keeps.
func asText(s string) (string, error) {
	if len(s) > 24 { // an id or a note is the entry's alone
		return strings.Clone(s), nil
	}
	return shared(s)
}

// oneOf reads a text that is mostly one of some words.
func oneOf(words []string) func(string) (string, error) {
	return func(s string) (string, error) {
		if i := slices.Index(words, s); i >= 0 {
			return words[i], nil
		}
		return asText(s)
	}
}

// shared reads a text that many entries hold: they mostly keep one of it between them. A part of
// the text that was decoded would keep all of that.
func shared(s string) (string, error) {
	table := few[:]
	if more := held.Load(); more != nil {
		table = *more
	}
	at := &table[maphash.String(heldSeed, s)%uint64(len(table))]
	if t := at.Load(); t != nil && *t == s {
		return *t, nil
	}
	t := strings.Clone(s)
	at.Store(&t)
	return t, nil
}

// Tables of texts that were read: one whose place is taken puts the other out.
var (
	few      [1 << 10]atomic.Pointer[string]
	held     atomic.Pointer[[]atomic.Pointer[string]] // nil while few are enough
	heldSeed = maphash.MakeSeed()
)

// HoldTexts makes room for the texts of so many entries, before they are decoded.
func HoldTexts(entries int) {
	n := len(few)
	for n < entries/4 && n < 1<<16 { // as many as a district has paddocks
		n <<= 1
	}
	if was := held.Load(); n > len(few) && (was == nil || len(*was) < n) {
		table := make([]atomic.Pointer[string], n)
		held.Store(&table)
	}
}

// body reads the fields of a kind.
func (d *decoder) body(b Body) {
	v := reflect.ValueOf(b).Elem()
	p := planOf(b)
	d.onePaddock(p)
	for i := range p.fields {
		f := &p.fields[i]
		m := d.of(f.name)
		if m == nil {
			continue
		}
		m.seen = true
		if m.value == "null" {
			continue
		}
		if wrong := f.decode(m.value, v.Field(f.index)); wrong != "" {
			d.add(f.name, wrong, "")
		}
	}
}

// onePaddock reads a single paddock as a list of one, where a list is meant.
func (d *decoder) onePaddock(p *plan) {
	_, listed := p.byName["paddocks"]
	_, single := p.byName["paddock"]
	m := d.of("paddock")
	if m == nil || d.of("paddocks") != nil || !listed || single {
		return
	}
	m.seen = true
	if m.value != "null" {
		d.object = append(d.object, member{name: "paddocks", value: "[" + m.value + "]"})
	}
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

// objectOf splits a JSON object into its fields and reports doubled ones. It is false if
// the text is not one object.
func objectOf(text string, room object) (o object, ps Problems, ok bool) {
	if !utf8.ValidString(text) {
		return nil, Problems{{What: "the line is not UTF-8 text"}}, false
	}
	o, twice, ok := cutObject(raw(text), room)
	for _, name := range twice {
		ps = append(ps, Problem{Field: shownName(name), What: "the field is given twice"})
	}
	if !ok {
		ps = Problems{notAnObject([]byte(text))}
	}
	return o, ps, ok
}

// notAnObject says what is wrong with a text that is no JSON object.
func notAnObject(text []byte) Problem {
	var x json.RawMessage
	msg := "it does not begin with {"
	if err := json.Unmarshal(text, &x); err != nil {
		msg = err.Error()
		switch {
		case strings.HasPrefix(msg, "unexpected end"):
			msg = "it ends too early"
		case !bytes.HasPrefix(text, []byte("{")):
			msg = "it does not begin with {"
		}
		if bytes.HasPrefix(text, []byte("{")) && strings.HasSuffix(msg, "after top-level value") {
			return Problem{What: "there is more after the JSON object", Type: "one entry is one line"}
		}
	}
	return Problem{What: "the line is not one JSON object (" + msg + ")"}
}

func parseInstant(s string) (time.Time, error) {
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil || t.Year() < 1900 || t.Year() > 2200 {
		return time.Time{}, fmt.Errorf("%q is not an instant with a zone; write it like 2026-09-17T06:40:00-06:00", s)
	}
	return t, nil
}

// Readers of values: each returns the value, or one plain clause.

// decoders are the readers by type of a body's field.
var decoders = sync.OnceValue(func() map[reflect.Type]decode {
	return map[reflect.Type]decode{
		reflect.TypeFor[string]():         textOf(nil),
		reflect.TypeFor[*float64]():       into(pointer(numberOf)),
		reflect.TypeFor[*bool]():          into(pointer(decodeBool)),
		reflect.TypeFor[Date]():           into(quoted(`must be a date in quotes, like "2026-09-17"`, ParseISODate)),
		reflect.TypeFor[time.Time]():      into(quoted(`must be an instant in quotes, like "2026-09-17T06:40:00-06:00"`, parseInstant)),
		reflect.TypeFor[[]string]():       into(listOf(likeTexts, quoted(likeTexts, asText))),
		reflect.TypeFor[[]Value]():        into(listOf("must be a list of numbers in [ ]", decodeValue)),
		reflect.TypeFor[[]Span]():         into(listOf(likeSpans, decodeSpan)),
		reflect.TypeFor[[]SpeciesShare](): into(listOf(likeShares, decodeShare)),
		reflect.TypeFor[*Watch]():         into(pointer(strict(likeWatch, wholeWatch, "from", "to", "record"))),
		reflect.TypeFor[*Contacts]():      into(pointer(strict(likeContacts, func(*Contacts) bool { return true }, "manager", "backup", "vet"))),
		reflect.TypeFor[*RuleValue]():     into(pointer(decodeRuleValue)),
	}
})

const (
	likeTexts    = `must be a list of texts, like ["north-slough"]`
	likeSpans    = `must be a list like [{"from":"2026-09-17T18:00:00-06:00","to":"2026-09-18T08:00:00-06:00"}]`
	likeShares   = `must be a list like [{"species":"oats","share":40}]`
	likeWatch    = `must be like {"from":"08-15","to":"06-15"}`
	likeContacts = `must be like {"manager":"...","backup":"...","vet":"..."}`
)

func wholeWatch(w *Watch) bool { return w.From.Month != 0 && w.To.Month != 0 }

// decode reads a value into a field, or says in one plain clause why it cannot be.
type decode func(value raw, to reflect.Value) (wrong string)

func into[T any](f func(raw) (T, string)) decode {
	return func(r raw, to reflect.Value) string {
		x, wrong := f(r)
		if wrong == "" {
			*to.Addr().Interface().(*T) = x
		}
		return wrong
	}
}

// textOf reads a text of whatever type, which is mostly one of some words.
func textOf(words []string) decode {
	f := quoted("must be text in quotes", oneOf(words))
	return func(r raw, to reflect.Value) string {
		s, wrong := f(r)
		if wrong == "" {
			to.SetString(s)
		}
		return wrong
	}
}

func pointer[T any](f func(raw) (T, string)) func(raw) (*T, string) {
	return func(r raw) (*T, string) {
		v, wrong := f(r)
		return &v, wrong
	}
}

func listOf[T any](like string, item func(raw) (T, string)) func(raw) ([]T, string) {
	return func(r raw) ([]T, string) {
		rs, ok := cutList(r)
		if !ok {
			return nil, like
		}
		out := make([]T, len(rs))
		for i, x := range rs {
			v, wrong := item(x)
			if wrong != "" {
				return nil, wrong
			}
			out[i] = v
		}
		return out, ""
	}
}

// quoted reads a text in quotes with a parser.
func quoted[T any](like string, parse func(string) (T, error)) func(raw) (T, string) {
	return func(r raw) (v T, wrong string) {
		s, ok := cutText(r)
		if !ok {
			return v, like
		}
		v, err := parse(s)
		if err != nil {
			wrong = err.Error()
		}
		return v, wrong
	}
}

// strict reads a nested object with exactly the fields named, if it passes whole.
func strict[T any](like string, whole func(*T) bool, names ...string) func(raw) (T, string) {
	return func(r raw) (v T, wrong string) {
		dec := json.NewDecoder(strings.NewReader(string(r)))
		dec.DisallowUnknownFields()
		if !exactly(r, names...) || dec.Decode(&v) != nil || !whole(&v) {
			wrong = like
		}
		return v, wrong
	}
}

// exactly reports an object whose fields are named as given, each at most once;
// encoding/json alone would take any case and the last of two.
func exactly(r raw, names ...string) bool {
	o, twice, ok := cutObject(r, nil)
	return ok && len(twice) == 0 && !slices.ContainsFunc(o, func(m member) bool { return !slices.Contains(names, m.name) })
}

func decodeBool(r raw) (bool, string) {
	yes := string(r) == "true"
	if !yes && string(r) != "false" {
		return false, "must be true or false, without quotes"
	}
	return yes, ""
}

func decodeValue(r raw) (v Value, wrong string) {
	if len(r) > 0 && r[0] == '{' {
		o, _, _ := cutObject(r, nil)
		below := o.of("below")
		if below == nil || !exactly(r, "below") {
			return v, `must hold numbers, or {"below": 100} for what was not detected`
		}
		v.Below, r = true, below.value
	}
	v.N, wrong = numberOf(r)
	return v, wrong
}

func decodeShare(r raw) (s SpeciesShare, wrong string) {
	var room [2]member
	o, twice, ok := cutObject(r, room[:0])
	if !ok || len(twice) > 0 {
		return s, likeShares
	}
	for _, m := range o {
		switch {
		case m.name != "species" && m.name != "share":
			ok = false
		case m.value == "null":
		case m.name == "species":
			s.Species, ok = cutText(m.value)
			s.Species, _ = asText(s.Species)
		default:
			n, bad := numberOf(m.value)
			s.Share, ok = &n, bad == ""
		}
		if !ok {
			return s, likeShares
		}
	}
	return s, ""
}

func decodeSpan(r raw) (s Span, wrong string) {
	o, _, _ := cutObject(r, nil)
	from, to := o.of("from"), o.of("to")
	if !exactly(r, "from", "to") || from == nil || to == nil {
		return s, likeSpans
	}
	instant := quoted(likeSpans, parseInstant)
	if s.From, wrong = instant(from.value); wrong == "" {
		s.To, wrong = instant(to.value)
	}
	return s, wrong
}

func decodeRuleValue(r raw) (RuleValue, string) {
	if s, ok := cutText(r); ok {
		s, _ = asText(s)
		return RuleValue{Word: s}, ""
	}
	n, bad := numberOf(r)
	if bad != "" {
		return RuleValue{}, "must be a number or a word in quotes"
	}
	return RuleValue{Number: &n}, ""
}

func numberOf(r raw) (float64, string) {
	if len(r) == 0 || r[0] != '-' && !isDigit(r[0]) {
		return 0, "must be a plain number, without quotes or a unit"
	}
	n, err := strconv.ParseFloat(string(r), 64)
	if err != nil {
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
