package calendar

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rimegate/fields"
)

var (
	now    = time.Date(2026, 10, 6, 12, 52, 0, 0, time.UTC)
	today  = day("2026-10-06")
	nasty  = "a;b,c\\d\ne\r\nBEGIN:VEVENT\x1b[31m\u202e ünïcode " + strings.Repeat("草", 40) + "\x00"
	hold   = Event{UID: "hold-north-graze@x", From: today, To: day("2026-10-20"), Summary: "HOLD North Slough, to graze", Description: nasty, Category: "HOLD"}
	errand = Event{UID: "task-creek-walk@x", From: day("2026-10-08"), To: day("2026-10-08"), Summary: "Walk Creek", Category: "TASK", Alarm: "Walk Creek"}
)

func weekly(t *testing.T) Event {
	r := Rounds(nil)
	if len(r) != 0 {
		t.Fatal("rounds of nothing")
	}
	rule, err := ParseRule("FREQ=WEEKLY;BYDAY=MO,TH")
	if err != nil {
		t.Fatal(err)
	}
	e, ok := (&Round{Start: day("2026-09-01"), Rule: rule}).Event("round-1@x", "Walk the regrowth", "tape in hand")
	if !ok || e.From != day("2026-09-03") { // the first day of the rule, not the day the round was written down
		t.Fatalf("the round's event begins on %s", e.From)
	}
	return e
}

func export(t *testing.T, events []Event, previous []byte, at time.Time) ([]byte, Changed) {
	t.Helper()
	out, ch, err := Export("Tallgrass Place", events, previous, at, day(at.Format("2006-01-02")))
	if err != nil {
		t.Fatal(err)
	}
	grammar(t, out)
	return out, ch
}

// The grammar of RFC 5545, sections 3.1, 3.6 and 3.8, as far as an all-day
// calendar goes, written without looking at the writer: a line at a time.
var shapes = []*regexp.Regexp{
	regexp.MustCompile(`^(BEGIN|END):(VCALENDAR|VEVENT|VALARM)$`),
	regexp.MustCompile(`^VERSION:2\.0$`),
	regexp.MustCompile(`^PRODID:[^:;,]+$`),
	regexp.MustCompile(`^CALSCALE:GREGORIAN$`),
	regexp.MustCompile(`^(DTSTART|DTEND);VALUE=DATE:[0-9]{8}$`),
	regexp.MustCompile(`^DTSTAMP:[0-9]{8}T[0-9]{6}Z$`),
	regexp.MustCompile(`^SEQUENCE:[0-9]+$`),
	regexp.MustCompile(`^RRULE:FREQ=(DAILY|WEEKLY|MONTHLY|YEARLY)(;[A-Z]+=[-+0-9A-Z,]+)*$`),
	regexp.MustCompile(`^STATUS:(CONFIRMED|CANCELLED)$`),
	regexp.MustCompile(`^TRANSP:TRANSPARENT$`),
	regexp.MustCompile(`^ACTION:DISPLAY$`),
	regexp.MustCompile(`^TRIGGER:PT6H$`),
	regexp.MustCompile(`^(UID|SUMMARY|DESCRIPTION|CATEGORIES|X-WR-CALNAME):([^\x00-\x1f\x7f\\;,]|\\[\\;,nN])*$`),
}

func grammar(t *testing.T, text []byte) {
	t.Helper()
	if !utf8.Valid(text) || !bytes.HasSuffix(text, []byte("\r\n")) {
		t.Fatalf("not UTF-8 with CR LF at its end:\n%q", text)
	}
	var lines []string
	for _, l := range strings.Split(strings.TrimSuffix(string(text), "\r\n"), "\r\n") {
		if len(l) > 75 {
			t.Errorf("a line of %d octets: %q", len(l), l)
		}
		if !utf8.ValidString(l) {
			t.Errorf("a character is cut by a fold: %q", l)
		}
		if strings.HasPrefix(l, " ") && len(lines) > 0 {
			lines[len(lines)-1] += l[1:]
		} else {
			lines = append(lines, l)
		}
	}
	var open []string
	once := map[string]int{}
	for _, l := range lines {
		ok := false
		for _, s := range shapes {
			ok = ok || s.MatchString(l)
		}
		if !ok {
			t.Errorf("a line of no known shape: %q", l)
		}
		name, value, _ := strings.Cut(l, ":")
		name, _, _ = strings.Cut(name, ";")
		switch name {
		case "BEGIN":
			open = append(open, value)
			if value == "VEVENT" {
				once = map[string]int{}
			}
		case "END":
			if len(open) == 0 || open[len(open)-1] != value {
				t.Fatalf("END:%s closes %v", value, open)
			}
			open = open[:len(open)-1]
			if value == "VEVENT" {
				for _, must := range []string{"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE", "STATUS"} {
					if once[must] != 1 {
						t.Errorf("%s stands %d times in an event", must, once[must])
					}
				}
			}
		default:
			if len(open) == 2 {
				once[name]++
			}
		}
	}
	if len(open) != 0 {
		t.Errorf("never closed: %v", open)
	}
}

func TestThroughDateIsIncluded(t *testing.T) {
	out, _ := export(t, []Event{hold}, nil, now)
	for _, want := range []string{"\r\nDTSTART;VALUE=DATE:20261006\r\n", "\r\nDTEND;VALUE=DATE:20261021\r\n", "\r\nSTATUS:CONFIRMED\r\n"} {
		if !bytes.Contains(out, []byte(want)) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	if n := bytes.Count(out, []byte("\r\nBEGIN:VEVENT\r\n")); n != 1 {
		t.Errorf("text from a person opened an event: %d events", n)
	}
}

func TestReadBack(t *testing.T) {
	events := []Event{hold, errand, weekly(t)}
	out, _ := export(t, events, nil, now)
	got, err := read(out)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 3 || got[1].Description != settle(nasty) && got[0].Description != settle(nasty) && got[2].Description != settle(nasty) {
		t.Errorf("read back: %+v", got)
	}
}

func TestExportAgain(t *testing.T) {
	round := weekly(t)
	first, ch := export(t, []Event{hold, errand, round}, nil, now)
	if ch != (Changed{Added: 3}) {
		t.Errorf("first export: %+v", ch)
	}
	// No news: the same file to the byte, an hour later.
	again, ch := export(t, []Event{hold, errand, round}, first, now.Add(time.Hour))
	if !bytes.Equal(first, again) || ch != (Changed{Same: 3}) {
		t.Errorf("an export without news differs: %+v\n%s", ch, cmp.Diff(string(first), string(again)))
	}
	// The next day the hold runs on, three days longer; the errand is done.
	longer := hold
	longer.From, longer.To = today+1, hold.To+3
	second, ch := export(t, []Event{longer, round}, again, now.AddDate(0, 0, 1))
	if ch != (Changed{Moved: 1, Cancelled: 1, Same: 1}) {
		t.Errorf("second export: %+v", ch)
	}
	es, err := read(second)
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]Event{}
	for _, e := range es {
		by[e.UID] = e
	}
	if h := by[hold.UID]; h.From != today || h.To != hold.To+3 || h.sequence != 1 || h.Cancelled {
		t.Errorf("the hold that ran on: %+v", h)
	}
	if k := by[errand.UID]; !k.Cancelled || k.sequence != 1 || k.Alarm != "" || k.From != errand.From {
		t.Errorf("the errand that vanished: %+v", k)
	}
	if !by[round.UID].stamp.Equal(now) {
		t.Errorf("the round that did not change got a new stamp: %v", by[round.UID].stamp)
	}
	// It comes back: the same UID, a higher SEQUENCE, no longer cancelled.
	third, ch := export(t, []Event{longer, errand, round}, second, now.AddDate(0, 0, 2))
	if ch != (Changed{Moved: 1, Same: 2}) {
		t.Errorf("third export: %+v", ch)
	}
	if !bytes.Contains(third, []byte("UID:task-creek-walk@x\r\nDTSTAMP:20261008T125200Z\r\nSEQUENCE:2\r\n")) {
		t.Errorf("the errand did not come back:\n%s", third)
	}
	// What ran its course is a record, not a cancellation, and goes in time.
	late, ch := export(t, []Event{round}, third, now.AddDate(0, 0, 30))
	if ch != (Changed{Same: 1}) || bytes.Contains(late, []byte("CANCELLED")) {
		t.Errorf("after its end: %+v\n%s", ch, late)
	}
	if late, _ = export(t, []Event{round}, late, now.AddDate(0, 0, 120)); bytes.Contains(late, []byte(hold.UID)) {
		t.Error("a hold of last season is still in the file")
	}
}

// A hold that goes on from the day after the old one ended is still the same; one that begins
// two days after it is another.
func TestHoldThatGoesOn(t *testing.T) {
	first, _ := export(t, []Event{hold}, nil, now)
	for gap, from := range map[int]fields.Date{1: hold.From, 2: hold.To + 2} {
		next := hold
		next.From, next.To = hold.To+fields.Date(gap), hold.To+20
		text, _ := export(t, []Event{next}, first, now.AddDate(0, 0, 1))
		es, err := read(text)
		if err != nil || len(es) != 1 {
			t.Fatal(es, err)
		}
		if es[0].From != from {
			t.Errorf("begun %d days after the old one's end it is from %s, want %s", gap, es[0].From, from)
		}
	}
}

func TestForeignFilesAreRefused(t *testing.T) {
	ours, _ := export(t, []Event{hold, weekly(t)}, nil, now)
	for name, text := range map[string][]byte{
		"empty":        {},
		"words":        []byte("my own notes\n"),
		"other maker":  bytes.Replace(ours, []byte("Rimegate"), []byte("Somebody"), 1),
		"cut short":    ours[:len(ours)/2],
		"unix ends":    bytes.ReplaceAll(ours, []byte("\r\n"), []byte("\n")),
		"one more":     append(append([]byte{}, ours...), "X:1\r\n"...),
		"not UTF-8":    bytes.Replace(ours, []byte("North"), []byte("N\xffrth"), 1),
		"bad day":      bytes.Replace(ours, []byte("20261021"), []byte("20261341"), 1),
		"doubled":      bytes.Replace(ours, []byte("UID:round-1@x"), []byte("UID:hold-north-graze@x"), 1),
		"end first":    bytes.Replace(ours, []byte("DTEND;VALUE=DATE:20261021"), []byte("DTEND;VALUE=DATE:20261006"), 1),
		"hourly":       bytes.Replace(ours, []byte("FREQ=WEEKLY"), []byte("FREQ=HOURLY"), 1),
		"other status": bytes.Replace(ours, []byte("CONFIRMED"), []byte("TENTATIVE"), 1),
	} {
		var foreign *ForeignError
		if out, _, err := Export("F", nil, text, now, today); !errors.As(err, &foreign) {
			t.Errorf("%s: got %d bytes, %v", name, len(out), err)
		} else if strings.ContainsAny(err.Error(), "\n\x1b") {
			t.Errorf("%s: %q", name, err)
		}
	}
}

// Any text and any history of exports gives files that the grammar and our own
// reader take, and SEQUENCE never falls.
func TestExportProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var prev []byte
		last := map[string]int{}
		at := now
		for i := rapid.IntRange(1, 5).Draw(rt, "exports"); i > 0; i-- {
			var events []Event
			for _, uid := range []string{"a@x", "b@x", "c@x"} {
				if !rapid.Bool().Draw(rt, "there") {
					continue
				}
				from := day(at.Format("2006-01-02"))
				events = append(events, Event{
					UID: uid, From: from, To: from.Add(rapid.IntRange(0, 30).Draw(rt, "days")),
					Summary: rapid.String().Draw(rt, "summary"), Description: rapid.StringN(0, 200, 600).Draw(rt, "text"),
				})
			}
			out, _ := export(t, events, prev, at)
			es, err := read(out)
			if err != nil {
				rt.Fatalf("not read back: %v\n%q", err, out)
			}
			for _, e := range es {
				if e.sequence < last[e.UID] {
					rt.Fatalf("SEQUENCE of %s fell", e.UID)
				}
				last[e.UID] = e.sequence
			}
			prev, at = out, at.AddDate(0, 0, rapid.IntRange(0, 9).Draw(rt, "later"))
		}
	})
}

// An independent parser: ical.js (Mozilla Calendar, MPL-2.0,
// https://github.com/kewisch/ical.js; read with 2.2.1), if node and the package
// are on this computer (NODE_PATH names where). Nothing is fetched.
func TestIndependentParser(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not on this computer")
	}
	if err := exec.Command(node, "-e", "require.resolve('ical.js')").Run(); err != nil {
		t.Skip("the npm package ical.js is not on this computer; install it somewhere and set NODE_PATH to its node_modules")
	}
	moved := hold
	moved.To += 3
	first, _ := export(t, []Event{hold, errand, weekly(t)}, nil, now)
	second, _ := export(t, []Event{moved, weekly(t)}, first, now.AddDate(0, 0, 1))
	file := filepath.Join(t.TempDir(), "farm.ics")
	if err := os.WriteFile(file, second, 0o600); err != nil {
		t.Fatal(err)
	}
	const script = `
const m = require('ical.js'); const ICAL = m.default || m;
ICAL.design.strict = true;
const c = new ICAL.Component(ICAL.parse(require('fs').readFileSync(process.argv[1], 'utf8')));
const out = c.getAllSubcomponents('vevent').map(v => {
  const e = new ICAL.Event(v); const days = [];
  if (e.isRecurring()) { const it = e.iterator(); for (let i = 0, n; i < 4 && (n = it.next()); i++) days.push(n.toString()); }
  return { uid: e.uid, start: e.startDate.toString(), end: e.endDate.toString(), summary: e.summary, description: e.description || '',
    sequence: e.sequence, status: v.getFirstPropertyValue('status'), alarms: v.getAllSubcomponents('valarm').length, days };
});
console.log(JSON.stringify(out));`
	text, err := exec.Command(node, "-e", script, file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	type event struct {
		UID, Start, End, Summary, Description, Status string
		Sequence, Alarms                              int
		Days                                          []string
	}
	var got []event
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	want := []event{
		{"round-1@x", "2026-09-03", "2026-09-04", "Walk the regrowth", "tape in hand", "CONFIRMED", 0, 1, []string{"2026-09-03", "2026-09-07", "2026-09-10", "2026-09-14"}},
		{hold.UID, "2026-10-06", "2026-10-24", hold.Summary, settle(nasty), "CONFIRMED", 1, 0, []string{}},
		{errand.UID, "2026-10-08", "2026-10-09", "Walk Creek", "", "CANCELLED", 1, 0, []string{}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("ical.js reads (-want +got):\n%s", diff)
	}
}
