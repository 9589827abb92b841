package hazard_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"rimegate/fields"
	"rimegate/hazard"
)

// A case is a small text file that a person who does not program can check:
//
//	# What it is about, in one line
//	# contract: §4.9, §7.2                       (the sections of CONTRACT.md it is about)
//	# source: publisher, title, year, URL        (at least one; or "ours")
//	# published: what the publication says       (where it says a date or wait)
//	# arithmetic: how the dates below were worked out by hand (at least one)
//
//	journal
//	2026-10-12 frost {"low_c":-3}
//	2026-10-13..2026-10-30 reading {"low_c":6}
//	2026-10-14 09:30 walk @dead {"killed":"all", ...}
//	2026-10-20 strike {"entry":"@dead","because":"wrong paddock"}
//
//	expect
//	2026-10-13 graze bred-cattle prussic-acid hold 2026-10-26 rule=prussic.frost.wait
//	2026-10-27 08:00 graze all overall caution
//	2026-11-30 lot:hay1 feed horses prussic-acid hold none
//
// In the journal the date is the day the entry was written down, at the hour
// given or 07:00 farm time; it is also the entry's own date where the entry
// does not say another. A span of dates writes the entry once a day, and
// each:a,b,c once for each of the names, which stand for % in its body. An @label
// names an entry for a later strike; a batch may be any short name. Left-out
// paddocks are paddock p; without a farm entry the zone is America/Regina, which
// has no daylight saving.
//
// A lot that is on no list is `gone` instead of its flag.
//
// In the expectations the moment of the question is that day at the hour
// given or 12:00, and only what was written down by then is known, unless
// known= says another moment. paddock:a,b and lot:a,b ask the same of each. A
// hold names its last day or `none`. Further words: rule= must stand among the
// reasons, not-rule= must not, names= must be named by one, share= is the
// largest share of the ration, needs= what would lift it, feed-from= and
// suspect= belong to lots, inside= names a herd that stands in the paddock, and
// published= is the last day on which the publication keeps stock off: our
// answer may not end earlier. `pending` marks a known fault of the engine,
// `plain-pending` one of the second, plain engine: the line is printed, does not
// fail, and fails once it holds, so that no mark outlives its fault.
type caseFile struct {
	title      string
	contract   []string
	sources    []string
	arithmetic []string
	entries    []fields.Entry
	loc        *time.Location
	expects    []expectation
	changed    *hazard.Rulebook // answers instead of the case's own, if not nil

	answers map[fields.View]*hazard.Assessment // those already asked for
}

// expectation is one line of the expect block, for one day.
type expectation struct {
	line    int
	text    string
	on      fields.Date
	at      time.Time
	known   time.Time
	paddock string
	lot     string
	use     hazard.Use
	classes []hazard.Class
	hazard  int // -1: overall
	flag    hazard.Flag
	through fields.Date

	rules, notRules []string
	names           string
	share           *float64
	needs           string
	published       fields.Date
	inside          string
	feedFrom        fields.Date
	suspect         string
	pending         bool
	plainPending    bool
}

const (
	farmByDefault    = "America/Regina"
	paddockByDefault = "p"
)

// parseCase reads a case file; every fault names its line.
func parseCase(text string) (*caseFile, error) {
	c := &caseFile{}
	var faults []error
	fault := func(line int, format string, args ...any) {
		faults = append(faults, fmt.Errorf("line %d: %s", line, fmt.Sprintf(format, args...)))
	}
	var journal, expect []numbered
	block := ""
	for i, raw := range strings.Split(text, "\n") {
		n, s := i+1, strings.TrimSpace(raw)
		switch {
		case s == "":
		case strings.HasPrefix(s, "#"):
			s = strings.TrimSpace(s[1:])
			if rest, ok := strings.CutPrefix(s, "contract:"); ok {
				c.contract = sections.FindAllString(rest, -1)
			} else if rest, ok := strings.CutPrefix(s, "source:"); ok {
				c.sources = append(c.sources, strings.TrimSpace(rest))
			} else if rest, ok := strings.CutPrefix(s, "arithmetic:"); ok {
				c.arithmetic = append(c.arithmetic, strings.TrimSpace(rest))
			} else if c.title == "" {
				c.title = s
			}
		case s == "journal" || s == "expect":
			block = s
		case block == "journal":
			journal = append(journal, numbered{n, s})
		case block == "expect":
			expect = append(expect, numbered{n, s})
		default:
			fault(n, "%q stands before the journal", s)
		}
	}
	c.readJournal(journal, fault)
	if c.loc != nil {
		for _, l := range expect {
			es, err := c.readExpect(l)
			if err != nil {
				fault(l.n, "%v", err)
			}
			c.expects = append(c.expects, es...)
		}
	}
	faults = append(faults, c.incomplete()...)
	return c, errors.Join(faults...)
}

type numbered struct {
	n int
	s string
}

// incomplete says what a case lacks to be worth anything: where it comes from,
// how its dates were found, and an answer that could come out differently.
func (c *caseFile) incomplete() []error {
	var out []error
	if c.title == "" {
		out = append(out, errors.New("the case has no title"))
	}
	if len(c.contract) == 0 {
		out = append(out, errors.New("the case cites no section of the contract"))
	}
	if len(c.sources) == 0 {
		out = append(out, errors.New("the case has no source"))
	}
	for _, s := range c.sources {
		if !strings.Contains(s, "http") && !strings.HasPrefix(s, "ours") {
			out = append(out, fmt.Errorf("the source %q has no address and is not ours", s))
		}
	}
	if len(c.arithmetic) == 0 {
		out = append(out, errors.New("the case has no arithmetic"))
	}
	if len(c.expects) == 0 {
		out = append(out, errors.New("the case expects nothing"))
		return out
	}
	first := c.expects[0].flag
	if !slices.ContainsFunc(c.expects, func(e expectation) bool { return e.flag != first }) {
		out = append(out, fmt.Errorf("the case expects only %s: an engine that always says so would pass", first))
	}
	return out
}

// days reads 2026-10-02 or 2026-10-02..2026-10-09.
func days(s string) (from, to fields.Date, err error) {
	a, b, span := strings.Cut(s, "..")
	if from, err = fields.ParseISODate(a); err != nil || !span {
		return from, from, err
	}
	if to, err = fields.ParseISODate(b); err == nil && to < from {
		err = fmt.Errorf("%s is before %s", b, a)
	}
	return from, to, err
}

// hour reads 07:30 off the front of the words.
func hour(words []string, h, m int) (rest []string, hh, mm int) {
	if len(words) > 0 && len(words[0]) == 5 && words[0][2] == ':' {
		a, e1 := strconv.Atoi(words[0][:2])
		b, e2 := strconv.Atoi(words[0][3:])
		if e1 == nil && e2 == nil {
			return words[1:], a, b
		}
	}
	return words, h, m
}

func (c *caseFile) readJournal(lines []numbered, fault func(int, string, ...any)) {
	type pending struct {
		n        int
		from, to fields.Date
		h, m     int
		kind     string
		label    string
		each     []string
		body     string
	}
	var list []pending
	zone := farmByDefault
	first := fields.NoDate
	hasFarm := false
	for _, l := range lines {
		head, body := l.s, "{}"
		if i := strings.IndexByte(l.s, '{'); i >= 0 {
			head, body = l.s[:i], l.s[i:]
		}
		words := strings.Fields(head)
		p := pending{n: l.n, body: body}
		var err error
		if p.from, p.to, err = days(words[0]); err != nil {
			fault(l.n, "%v", err)
			continue
		}
		words, p.h, p.m = hour(words[1:], 7, 0)
		if len(words) == 2 && strings.HasPrefix(words[1], "@") {
			p.label, words = words[1], words[:1]
		}
		if len(words) == 2 && strings.HasPrefix(words[1], "each:") {
			p.each, words = strings.Split(words[1][len("each:"):], ","), words[:1]
		}
		if len(words) != 1 {
			fault(l.n, "want DATE [HH:MM] KIND [@label or each:a,b] {...}")
			continue
		}
		p.kind = words[0]
		if first == fields.NoDate || p.from < first {
			first = p.from
		}
		if p.kind == "farm" {
			hasFarm = true
			var f struct{ Zone string }
			if json.Unmarshal([]byte(body), &f) == nil && f.Zone != "" {
				zone = f.Zone
			}
		}
		list = append(list, p)
	}
	loc, err := fields.LoadZone(zone)
	if err != nil {
		fault(0, "%v", err)
		return
	}
	c.loc = loc
	if !hasFarm && first != fields.NoDate {
		list = append([]pending{{from: first, to: first, h: 0, kind: "farm", body: `{"name":"Case farm","zone":"` + zone + `"}`}}, list...)
	}
	labels := map[string]string{}
	count := 0
	for _, p := range list {
		bodies := []string{p.body}
		if p.each != nil {
			bodies = nil
			for _, name := range p.each {
				bodies = append(bodies, strings.ReplaceAll(p.body, "%", name))
			}
		}
		for d := p.from; d <= p.to; d++ {
			for _, body := range bodies {
				count++
				recorded := d.At(p.h, p.m, loc)
				id := caseULID(recorded, count)
				if p.label != "" {
					labels[p.label] = id
				}
				for label, id := range labels {
					body = strings.ReplaceAll(body, `"`+label+`"`, `"`+id+`"`)
				}
				e, err := caseEntry(p.kind, id, recorded, d, body)
				if err != nil {
					fault(p.n, "%v", err)
					break
				}
				c.entries = append(c.entries, *e)
			}
		}
	}
}

// batchULID makes the id of a batch from the short name a case gives it.
func batchULID(name string) string {
	var u ulid.ULID
	copy(u[6:], name)
	return u.String()
}

// caseULID makes ids that sort as the lines do within one instant.
func caseULID(t time.Time, n int) string {
	var u ulid.ULID
	if err := u.SetTime(ulid.Timestamp(t)); err != nil {
		panic(err)
	}
	u[12], u[13], u[14], u[15] = byte(n>>24), byte(n>>16), byte(n>>8), byte(n)
	return u.String()
}

// ownDate is the field that carries the date of a kind; on for the rest.
var ownDate = map[string]string{
	"reading": "night", "forecast": "night", "frost": "night", "no-frost": "from",
	"lab": "sampled_on", "water": "sampled_on", "lot": "made_on", "fed": "from",
}

// caseEntry completes a line's JSON and decodes it as a journal would.
func caseEntry(kind, id string, recorded time.Time, d fields.Date, body string) (*fields.Entry, error) {
	m := map[string]json.RawMessage{}
	if err := json.Unmarshal([]byte(body), &m); err != nil {
		return nil, fmt.Errorf("%s: %v", body, err)
	}
	text := func(name, v string) {
		b, _ := json.Marshal(v)
		m[name] = b
	}
	has := func(names ...string) bool {
		return slices.ContainsFunc(names, func(n string) bool { _, ok := m[n]; return ok })
	}
	var batch string
	if json.Unmarshal(m["batch"], &batch) == nil && batch != "" {
		text("batch", batchULID(batch))
	}
	text("id", id)
	text("kind", kind)
	text("recorded", recorded.Format(time.RFC3339))
	if !has("by") {
		text("by", "A. Person")
	}
	own := ownDate[kind]
	if own == "" {
		own = "on"
	}
	if !has(own, "on", "at", "ended_at") {
		text(own, d.String())
	}
	switch kind {
	case "frost", "no-frost", "drought", "rain", "hail", "trampled", "sprayed", "nitrogen":
		if !has("paddock", "paddocks") {
			text("paddock", paddockByDefault)
		}
	case "sown", "seen", "walk", "cut", "grazed", "reading", "forecast", "lab", "incident", "vet", "sampled":
		if !has("paddock", "station", "lot") || kind == "cut" && !has("paddock") {
			text("paddock", paddockByDefault)
		}
	}
	b, err := json.Marshal(m)
	if err != nil {
		return nil, err
	}
	e, ps := fields.DecodeEntry(b)
	return e, ps.Err()
}

func (c *caseFile) readExpect(l numbered) ([]expectation, error) {
	words := strings.Fields(l.s)
	from, to, err := days(words[0])
	if err != nil {
		return nil, err
	}
	words, h, m := hour(words[1:], 12, 0)
	e := expectation{line: l.n, text: l.s, hazard: -1}
	places, ofLots := paddockByDefault, false
	if len(words) > 0 {
		if ids, ok := strings.CutPrefix(words[0], "paddock:"); ok {
			places, words = ids, words[1:]
		} else if ids, ok := strings.CutPrefix(words[0], "lot:"); ok {
			places, ofLots, words = ids, true, words[1:]
		}
	}
	if len(words) < 4 {
		return nil, errors.New("want DATE [HH:MM] [paddock:ID|lot:ID] USE CLASSES HAZARD FLAG [THROUGH] ...")
	}
	var ok bool
	if e.use, ok = hazard.ParseUse(words[0]); !ok || (e.use == hazard.Feed) != ofLots {
		return nil, fmt.Errorf("%q is no use of it", words[0])
	}
	if words[1] == "all" {
		e.classes = hazard.Classes
	} else {
		for _, w := range strings.Split(words[1], ",") {
			k, ok := hazard.ParseClass(w)
			if !ok {
				return nil, fmt.Errorf("%q is no class", w)
			}
			e.classes = append(e.classes, k)
		}
	}
	if words[2] != "overall" {
		e.hazard = slices.IndexFunc(hazard.Hazards, func(z hazard.Hazard) bool { return z.String() == words[2] })
		if e.hazard < 0 {
			return nil, fmt.Errorf("%q is no hazard", words[2])
		}
	}
	rest := words[4:]
	switch words[3] {
	case "gone":
		e.flag = hazard.Unknown
	case "clear":
		e.flag = hazard.Clear
	case "caution":
		e.flag = hazard.Caution
	case "hold":
		e.flag = hazard.Hold
		if len(rest) == 0 {
			return nil, errors.New("a hold needs its last day, or none")
		}
		if rest[0] == "none" {
			e.through = hazard.NoEnd
		} else if e.through, err = fields.ParseISODate(rest[0]); err != nil {
			return nil, err
		}
		rest = rest[1:]
	default:
		return nil, fmt.Errorf("%q is no flag", words[3])
	}
	for _, w := range rest {
		if err := e.option(w, c.loc); err != nil {
			return nil, err
		}
	}
	var out []expectation
	for _, place := range strings.Split(places, ",") {
		for d := from; d <= to; d++ {
			x := e
			x.paddock = place
			if ofLots {
				x.paddock, x.lot = "", place
			}
			x.on, x.at = d, d.At(h, m, c.loc)
			if x.known.IsZero() {
				x.known = x.at
			}
			out = append(out, x)
		}
	}
	return out, nil
}

func (e *expectation) option(w string, loc *time.Location) (err error) {
	key, v, _ := strings.Cut(w, "=")
	switch key {
	case "rule":
		e.rules = append(e.rules, v)
	case "names":
		e.names = v
	case "not-rule":
		e.notRules = append(e.notRules, v)
	case "share":
		var n float64
		n, err = strconv.ParseFloat(v, 64)
		e.share = &n
	case "needs":
		e.needs = v
	case "published":
		e.published, err = fields.ParseISODate(v)
	case "known":
		day, clock, _ := strings.Cut(v, "T")
		var d fields.Date
		if d, err = fields.ParseISODate(day); err == nil {
			_, h, m := hour([]string{clock}, 12, 0)
			e.known = d.At(h, m, loc)
		}
	case "inside":
		e.inside = v
	case "feed-from":
		e.feedFrom, err = fields.ParseISODate(v)
	case "suspect":
		e.suspect = v
	case "pending":
		e.pending = true
	case "plain-pending":
		e.plainPending = true
	default:
		err = fmt.Errorf("%q is no word of an expectation", w)
	}
	return err
}

// A loader that let faulty cases through would make them silent.
func TestCaseFormatRefuses(t *testing.T) {
	const good = "# t\n# contract: §4.9\n# source: ours\n# arithmetic: a\njournal\n2026-10-01 frost\nexpect\n2026-10-01 graze all overall hold 2026-10-15\n2026-10-02 cut-hay all overall clear\n"
	if _, err := parseCase(good); err != nil {
		t.Fatalf("a sound case is refused: %v", err)
	}
	for _, x := range []struct{ name, old, new, want string }{
		{"no section", "§4.9", "4.9", "no section"},
		{"no source", "# source: ours\n", "", "no source"},
		{"no address", "source: ours", "source: a leaflet", "no address"},
		{"no arithmetic", "# arithmetic: a\n", "", "no arithmetic"},
		{"no title", "# t\n", "", "no title"},
		{"one flag", "2026-10-02 cut-hay all overall clear\n", "", "only hold"},
		{"expects nothing", good[strings.Index(good, "expect"):], "", "expects nothing"},
		{"unknown kind", "frost", "frozt", "no kind"},
		{"bad field", "frost\n", "frost {\"lowc\":3}\n", "no such field"},
		{"bad use", "cut-hay", "cut-hey", "no use"},
		{"bad class", "cut-hay all", "cut-hay cows", "no class"},
		{"bad hazard", "all overall clear", "all nitrat clear", "no hazard"},
		{"bad flag", "overall clear", "overall green", "no flag"},
		{"hold without a day", "hold 2026-10-15", "hold", "last day"},
		{"clear with a day", "clear", "clear 2026-10-15", "no word"},
		{"bad day", "2026-10-02", "2026-10-32", "not a date"},
		{"span turned round", "2026-10-02", "2026-10-02..2026-09-02", "before"},
	} {
		_, err := parseCase(strings.Replace(good, x.old, x.new, 1))
		if err == nil || !strings.Contains(err.Error(), x.want) {
			t.Errorf("%s: got %v, want an error with %q", x.name, err, x.want)
		}
	}
}
