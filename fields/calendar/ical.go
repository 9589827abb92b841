// Package calendar knows what falls on which day: recurring checks (rounds)
// written as recurrence rules of RFC 5545, and the calendar file a phone can
// read. A round is a reminder; it never begins, ends or changes a hold, and no
// withholding period is ever written as a recurrence rule: a hold is a pair of
// dates that the next frost can move.
//
// RFC 5545, "Internet Calendaring and Scheduling Core Object Specification
// (iCalendar)", Internet Engineering Task Force, 2009,
// https://www.rfc-editor.org/rfc/rfc5545
package calendar

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"rimegate/fields"
)

// Event is one all-day event of the calendar.
type Event struct {
	UID         string // stable from export to export
	From, To    fields.Date
	Summary     string
	Description string
	Category    string
	Rule        *Rule  // a round's recurrence, nil for a single event
	Alarm       string // a reminder at six in the morning with these words, "" for none
	Cancelled   bool

	sequence int
	stamp    time.Time
}

// property is a line of an event: how it is written and read back.
type property struct {
	name  string
	value func(*Event) string
	take  func(*Event, string)
	may   bool // left out if empty
}

// stampForm and dayForm are instants and days as RFC 5545 writes them.
const (
	stampForm = "20060102T150405Z"
	dayForm   = "20060102"
)

// properties are the lines of an event in their order. All days are dates without a
// clock time, so they mean the farm's day wherever the calendar is read; DTEND is the
// day after the last, as the standard has it.
var properties = []property{
	text("UID", false, func(e *Event) *string { return &e.UID }),
	{name: "DTSTAMP", value: func(e *Event) string { return e.stamp.UTC().Format(stampForm) }, take: func(e *Event, v string) {
		e.stamp, _ = time.Parse(stampForm, v)
	}},
	{name: "SEQUENCE", value: func(e *Event) string { return strconv.Itoa(e.sequence) }, take: func(e *Event, v string) {
		n, _ := strconv.Atoi(v)
		e.sequence = max(0, n)
	}},
	date("DTSTART;VALUE=DATE", 0, func(e *Event) *fields.Date { return &e.From }),
	date("DTEND;VALUE=DATE", 1, func(e *Event) *fields.Date { return &e.To }),
	{name: "RRULE", may: true, value: func(e *Event) string {
		if e.Rule == nil {
			return ""
		}
		return e.Rule.String()
	}, take: func(e *Event, v string) { e.Rule, _ = ParseRule(v) }},
	text("SUMMARY", false, func(e *Event) *string { return &e.Summary }),
	text("DESCRIPTION", true, func(e *Event) *string { return &e.Description }),
	text("CATEGORIES", true, func(e *Event) *string { return &e.Category }),
	{name: "TRANSP", value: func(*Event) string { return "TRANSPARENT" }}, // it keeps nobody busy
	{name: "STATUS", value: func(e *Event) string {
		if e.Cancelled {
			return "CANCELLED"
		}
		return "CONFIRMED"
	}, take: func(e *Event, v string) { e.Cancelled = v == "CANCELLED" }},
}

func text(name string, may bool, of func(*Event) *string) property {
	return property{
		name: name, may: may,
		value: func(e *Event) string { return escape(*of(e)) },
		take:  func(e *Event, v string) { *of(e) = unescape(v) },
	}
}

func date(name string, after int, of func(*Event) *fields.Date) property {
	return property{
		name:  name,
		value: func(e *Event) string { return midnight(*of(e) + fields.Date(after)).Format(dayForm) },
		take: func(e *Event, v string) {
			if t, err := time.Parse(dayForm, v); err == nil {
				*of(e) = fields.DateOf(t, time.UTC) - fields.Date(after)
			}
		},
	}
}

// write encodes a calendar of RFC 5545: lines end with CR LF, none is longer
// than 75 octets, texts are escaped.
func write(name string, events []Event) []byte {
	var w writer
	w.lines("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Rimegate//Paddock calendar//EN", "CALSCALE:GREGORIAN", "X-WR-CALNAME:"+escape(name))
	for i := range events {
		e := &events[i]
		w.lines("BEGIN:VEVENT")
		for _, p := range properties {
			if v := p.value(e); v != "" || !p.may {
				w.lines(p.name + ":" + v)
			}
		}
		if e.Alarm != "" && !e.Cancelled { // six hours into the day
			w.lines("BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT6H", "DESCRIPTION:"+escape(e.Alarm), "END:VALARM")
		}
		w.lines("END:VEVENT")
	}
	w.lines("END:VCALENDAR")
	return w.Bytes()
}

type writer struct{ bytes.Buffer }

// fold is the most octets of a line, its CR LF apart (RFC 5545, section 3.1).
const fold = 75

// lines writes content lines, folded between characters, never inside one.
func (w *writer) lines(all ...string) {
	for _, s := range all {
		for room := fold; len(s) > room; room = fold - 1 { // the space that marks a folded line counts
			n := room
			for n > 0 && !utf8.RuneStart(s[n]) {
				n--
			}
			w.WriteString(s[:n] + "\r\n ")
			s = s[n:]
		}
		w.WriteString(s + "\r\n")
	}
}

// maxText is the longest text written into one property, in characters.
const maxText = 4000

// escape makes a text value (RFC 5545, section 3.3.11): control characters go,
// line ends become \n, and backslash, semicolon and comma are escaped.
func escape(s string) string {
	var b strings.Builder
	n := 0
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		if n++; n > maxText {
			b.WriteString("...")
			break
		}
		switch {
		case strings.ContainsRune("\n\u2028\u2029\u0085", r):
			b.WriteString(`\n`)
		case strings.ContainsRune(`\;,`, r):
			b.WriteString(`\` + string(r))
		case r == '\t':
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) && r != '\u200c' && r != '\u200d':
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

var unescaper = strings.NewReplacer(`\\`, `\`, `\;`, ";", `\,`, ",", `\n`, "\n")

func unescape(s string) string { return unescaper.Replace(s) }

// ForeignError says that a file is no calendar this program wrote.
type ForeignError struct {
	Line int // 0: the file as a whole
	What string
}

func (e *ForeignError) Error() string {
	s := "it is no calendar written by this program"
	if e.Line > 0 {
		s += fmt.Sprintf(" (line %d: %s)", e.Line, e.What)
	} else if e.What != "" {
		s += " (" + e.What + ")"
	}
	return s
}

// read takes a calendar back that write made, and nothing else: what is not the same
// to the byte when it is written again is a ForeignError, so that nobody's own file is
// written over.
func read(file []byte) ([]Event, error) {
	var out []Event
	name, alarm := "", false
	seen := map[string]bool{}
	for _, line := range strings.Split(strings.ReplaceAll(string(file), "\r\n ", ""), "\r\n") {
		key, value, _ := strings.Cut(line, ":")
		switch {
		case line == "BEGIN:VEVENT":
			out = append(out, Event{})
		case line == "BEGIN:VALARM" || line == "END:VALARM":
			alarm = key == "BEGIN"
		case len(out) == 0:
			if key == "X-WR-CALNAME" {
				name = unescape(value)
			}
		case alarm && key == "DESCRIPTION":
			out[len(out)-1].Alarm = unescape(value)
		default:
			e := &out[len(out)-1]
			i := slices.IndexFunc(properties, func(p property) bool { return p.name == key && p.take != nil })
			if i >= 0 {
				properties[i].take(e, value)
			}
			if line == "END:VEVENT" && (seen[e.UID] || e.To < e.From) {
				return nil, &ForeignError{What: "an event stands there twice or ends before it begins"}
			}
			seen[e.UID] = seen[e.UID] || line == "END:VEVENT"
		}
	}
	if again := write(name, out); !bytes.Equal(again, file) {
		same := 0
		for same < min(len(again), len(file)) && again[same] == file[same] {
			same++
		}
		return nil, &ForeignError{bytes.Count(file[:same], []byte("\n")) + 1, "it is not as this program writes it"}
	}
	return out, nil
}
