package calendar

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"rimegate/fields"
)

// productID tells a calendar of ours from somebody else's.
const productID = "-//Rimegate//Paddock calendar//EN"

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

// maxText is the longest text written into one property, in characters.
const maxText = 4000

// write encodes a calendar of RFC 5545: lines end with CR LF, none is longer
// than 75 octets, texts are escaped. All days are dates without a clock time,
// so they mean the farm's day wherever the calendar is read; DTEND is the day
// after the last, as the standard has it.
func write(name string, events []Event) []byte {
	var w writer
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", productID)
	w.line("CALSCALE", "GREGORIAN")
	w.line("X-WR-CALNAME", escape(name))
	for i := range events {
		w.event(&events[i])
	}
	w.line("END", "VCALENDAR")
	return w.b.Bytes()
}

type writer struct{ b bytes.Buffer }

func (w *writer) event(e *Event) {
	w.line("BEGIN", "VEVENT")
	w.line("UID", escape(e.UID))
	w.line("DTSTAMP", e.stamp.UTC().Format("20060102T150405Z"))
	w.line("SEQUENCE", strconv.Itoa(e.sequence))
	w.line("DTSTART;VALUE=DATE", compact(e.From))
	w.line("DTEND;VALUE=DATE", compact(e.To+1))
	if e.Rule != nil {
		w.line("RRULE", e.Rule.String())
	}
	w.line("SUMMARY", escape(e.Summary))
	if e.Description != "" {
		w.line("DESCRIPTION", escape(e.Description))
	}
	if e.Category != "" {
		w.line("CATEGORIES", escape(e.Category))
	}
	w.line("TRANSP", "TRANSPARENT") // it keeps nobody busy
	if e.Cancelled {
		w.line("STATUS", "CANCELLED")
	} else {
		w.line("STATUS", "CONFIRMED")
	}
	if e.Alarm != "" && !e.Cancelled {
		w.line("BEGIN", "VALARM")
		w.line("ACTION", "DISPLAY")
		w.line("TRIGGER", "PT6H") // six hours into the day
		w.line("DESCRIPTION", escape(e.Alarm))
		w.line("END", "VALARM")
	}
	w.line("END", "VEVENT")
}

func compact(d fields.Date) string { return strings.ReplaceAll(d.String(), "-", "") }

// fold is the most octets of a line, its CR LF apart (RFC 5545, section 3.1).
const fold = 75

// line writes one content line, folded between characters, never inside one.
func (w *writer) line(name, value string) {
	s := name + ":" + value
	room := fold
	for len(s) > room {
		n := room
		for n > 0 && !utf8.RuneStart(s[n]) {
			n--
		}
		w.b.WriteString(s[:n])
		w.b.WriteString("\r\n ")
		s = s[n:]
		room = fold - 1 // the space that marks a folded line counts
	}
	w.b.WriteString(s)
	w.b.WriteString("\r\n")
}

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
		case r == '\n' || r == '\u2028' || r == '\u2029' || r == '\u0085':
			b.WriteString(`\n`)
		case r == '\\' || r == ';' || r == ',':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\t':
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) && r != '\u200c' && r != '\u200d':
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func unescape(s string) (string, error) {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' {
			b.WriteByte(s[i])
			continue
		}
		if i++; i == len(s) {
			return "", fmt.Errorf("a text ends in a lone backslash")
		}
		switch s[i] {
		case 'n', 'N':
			b.WriteByte('\n')
		case '\\', ';', ',':
			b.WriteByte(s[i])
		default:
			return "", fmt.Errorf(`a text holds \%c, which means nothing`, s[i])
		}
	}
	return b.String(), nil
}

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

// read takes a calendar back that write made, and nothing else: whatever it
// does not know is a ForeignError, so that nobody's own file is written over.
func read(text []byte) ([]Event, error) {
	lines, err := unfold(text)
	if err != nil {
		return nil, err
	}
	p := &parser{lines: lines}
	return p.calendar()
}

type contentLine struct {
	at          int
	name, value string
}

func unfold(text []byte) ([]contentLine, error) {
	if !utf8.Valid(text) {
		return nil, &ForeignError{What: "it is not UTF-8 text"}
	}
	s := string(text)
	if !strings.HasSuffix(s, "\r\n") {
		return nil, &ForeignError{What: "it does not end with a line end"}
	}
	var out []contentLine
	for i, l := range strings.Split(strings.TrimSuffix(s, "\r\n"), "\r\n") {
		if strings.ContainsAny(l, "\r\n") {
			return nil, &ForeignError{i + 1, "its lines do not end as they should"}
		}
		if strings.HasPrefix(l, " ") {
			if len(out) == 0 {
				return nil, &ForeignError{i + 1, "it goes on where nothing began"}
			}
			out[len(out)-1].value += l[1:]
			continue
		}
		out = append(out, contentLine{at: i + 1, value: l})
	}
	for i := range out {
		name, value, ok := strings.Cut(out[i].value, ":")
		if !ok {
			return nil, &ForeignError{out[i].at, "there is no colon"}
		}
		out[i].name, out[i].value = name, value
	}
	return out, nil
}

type parser struct {
	lines []contentLine
	i     int
	err   error
}

func (p *parser) fail(what string) {
	if p.err != nil {
		return
	}
	at := 0
	if p.i < len(p.lines) {
		at = p.lines[p.i].at
	}
	p.err = &ForeignError{at, what}
}

// take returns the value of the next line, which must have the name.
func (p *parser) take(name string) string {
	if p.err != nil {
		return ""
	}
	if p.i >= len(p.lines) {
		p.fail("it ends too early")
		return ""
	}
	if p.lines[p.i].name != name {
		p.fail("here should stand " + name)
		return ""
	}
	p.i++
	return p.lines[p.i-1].value
}

func (p *parser) is(name, value string) bool {
	return p.err == nil && p.i < len(p.lines) && p.lines[p.i].name == name && (value == "" || p.lines[p.i].value == value)
}

func (p *parser) want(name, value string) {
	if got := p.take(name); p.err == nil && got != value {
		p.i--
		p.fail(name + " should be " + value)
	}
}

func (p *parser) text(name string) string {
	s, err := unescape(p.take(name))
	if err != nil {
		p.i--
		p.fail(err.Error())
	}
	return s
}

func (p *parser) date(name string) fields.Date {
	s := p.take(name)
	if p.err != nil {
		return fields.NoDate
	}
	if len(s) == 8 {
		if d, err := fields.ParseISODate(s[:4] + "-" + s[4:6] + "-" + s[6:]); err == nil {
			return d
		}
	}
	p.i--
	p.fail(name + " is no day")
	return fields.NoDate
}

func (p *parser) calendar() ([]Event, error) {
	p.want("BEGIN", "VCALENDAR")
	p.want("VERSION", "2.0")
	p.want("PRODID", productID)
	p.want("CALSCALE", "GREGORIAN")
	p.text("X-WR-CALNAME")
	var out []Event
	seen := map[string]bool{}
	for p.is("BEGIN", "VEVENT") {
		e := p.event()
		if seen[e.UID] {
			p.fail("an event stands there twice")
		}
		seen[e.UID] = true
		out = append(out, e)
	}
	p.want("END", "VCALENDAR")
	if p.err == nil && p.i < len(p.lines) {
		p.fail("more stands behind the end")
	}
	if p.err != nil {
		return nil, p.err
	}
	return out, nil
}

func (p *parser) event() Event {
	var e Event
	p.want("BEGIN", "VEVENT")
	e.UID = p.text("UID")
	var err error
	if e.stamp, err = time.Parse("20060102T150405Z", p.take("DTSTAMP")); err != nil {
		p.fail("DTSTAMP is no instant")
	}
	if e.sequence, err = strconv.Atoi(p.take("SEQUENCE")); err != nil || e.sequence < 0 {
		p.fail("SEQUENCE is no number")
	}
	e.From = p.date("DTSTART;VALUE=DATE")
	e.To = p.date("DTEND;VALUE=DATE") - 1
	if p.err == nil && e.To < e.From {
		p.fail("it ends before it begins")
	}
	if p.is("RRULE", "") {
		if e.Rule, err = ParseRule(p.take("RRULE")); err != nil {
			p.fail(err.Error())
		}
	}
	e.Summary = p.text("SUMMARY")
	if p.is("DESCRIPTION", "") {
		e.Description = p.text("DESCRIPTION")
	}
	if p.is("CATEGORIES", "") {
		e.Category = p.text("CATEGORIES")
	}
	p.want("TRANSP", "TRANSPARENT")
	switch p.take("STATUS") {
	case "CANCELLED":
		e.Cancelled = true
	case "CONFIRMED":
	default:
		p.fail("STATUS is no word of ours")
	}
	if p.is("BEGIN", "VALARM") {
		p.want("BEGIN", "VALARM")
		p.want("ACTION", "DISPLAY")
		p.want("TRIGGER", "PT6H")
		e.Alarm = p.text("DESCRIPTION")
		p.want("END", "VALARM")
	}
	p.want("END", "VEVENT")
	return e
}
