package board

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// Day is a date of a document: null where there is none, and where no day ends
// a hold.
type Day fields.Date

// throughOf is the last day of a hold: hazard.NoEnd where no day ends it, none
// where nothing is on hold.
func throughOf(f hazard.Flag, d fields.Date) Day {
	if f != hazard.Hold {
		return Day(fields.NoDate)
	}
	if d == fields.NoDate {
		return Day(hazard.NoEnd)
	}
	return Day(d)
}

// flagThrough is a flag with its last day: "HOLD through Fri 25 Sep", "HOLD, no
// date", "CLEAR".
func (s *speaker) flagThrough(f hazard.Flag, through Day) string {
	return FlagWord(f) + through.tail(s.on)
}

// verdictWords is flagThrough of a verdict.
func (s *speaker) verdictWords(v *hazard.Verdict) string {
	return s.flagThrough(v.Flag, throughOf(v.Flag, v.Through))
}

// tail is Words as they follow on a word.
func (d Day) tail(on fields.Date) string {
	switch d {
	case Day(fields.NoDate):
		return ""
	case Day(hazard.NoEnd):
		return ", " + d.Words(on)
	}
	return " " + d.Words(on)
}

// Words are ThroughWords of a last day.
func (d Day) Words(on fields.Date) string {
	if d == Day(fields.NoDate) {
		return ""
	}
	return ThroughWords(hazard.Hold, fields.Date(d), on)
}

// iso is the ISO date, "" where there is none.
func (d Day) iso() string {
	if d == Day(hazard.NoEnd) {
		return ""
	}
	return fields.Date(d).String()
}

// MarshalJSON is the ISO date, or null.
func (d Day) MarshalJSON() ([]byte, error) {
	if d.iso() == "" {
		return []byte("null"), nil
	}
	return []byte(`"` + d.iso() + `"`), nil
}

// Head is what stands around every answer. Its texts are clean.
type Head struct {
	Schema      string      `json:"schema"`
	Farm        string      `json:"farm"`
	On          fields.Date `json:"on"`
	Known       *time.Time  `json:"known_at"` // nil: everything recorded
	Rulebook    Rulebook    `json:"rulebook"`
	DataThrough Stamps      `json:"data_through"`
	NotAssessed []string    `json:"not_assessed"`
	Apart       []string    `json:"other_seats"` // what other seats know that may be missing here: said with every answer

	KnownAt string   `json:"-"` // Known in words
	Coming  bool     `json:"-"` // the day asked lies after the moment: "if nothing else happens"
	Stamps  string   `json:"-"` // DataThrough in words
	Relaxed []string `json:"-"` // one line each, beginning with RELAXED
	Notices []string `json:"-"` // Apart among them
	Call    []string `json:"-"` // whom to call
}

// Rulebook names the rules that answered.
type Rulebook struct {
	Name    string       `json:"name"`
	Version string       `json:"version"`
	Digest  string       `json:"digest"`
	Relaxed []RelaxedRow `json:"relaxed"`
}

// String is the name, the version and the beginning of the digest.
func (b Rulebook) String() string {
	return b.Name + " " + b.Version + ", digest " + b.Digest[:min(len(b.Digest), 12)]
}

// RelaxedRow is a value less cautious than the default rulebook's.
type RelaxedRow struct {
	Rule    string `json:"rule"`
	Default string `json:"default"`
	Value   string `json:"value"`
	Because string `json:"because"`
	By      string `json:"by"`
	Until   Day    `json:"until"`
	Entry   string `json:"entry"`
	Text    string `json:"text"`
}

// Stamps says how far the evidence reaches.
type Stamps struct {
	Night Day `json:"night"`
	Walk  Day `json:"walk"`
	Lab   Day `json:"lab"`
}

func stampsOf(d hazard.DataThrough) Stamps { return Stamps{Day(d.Night), Day(d.Walk), Day(d.Lab)} }

// words say what was last read, walked and tested; of follows what never was.
func (d Stamps) words(of string, on fields.Date) string {
	said := func(what string, d Day) string {
		if d == Day(fields.NoDate) {
			return "no " + what + of
		}
		return "last " + what + " " + fields.Date(d).Beside(on)
	}
	return said("night read", d.Night) + "; " + said("walk", d.Walk) + "; " + said("lab result", d.Lab)
}

// What stands under every answer.
const (
	OnHold    = "On a NO: check that the gate is shut and the fence is up."
	Emergency = "If an animal goes down: get the others out quietly, put none back, call the vet."
	Defers    = "The vet, the lab and local advice come before this list."
)

// head fills everything that does not depend on what is asked.
func (s *speaker) head(schema string) Head {
	h := Head{
		Schema: schema, Farm: or(Clean(s.h.Farm.Name), s.t("This farm")), On: s.on, KnownAt: "everything recorded",
		Coming: s.coming(),
		Rulebook: Rulebook{
			Name: Clean(s.book.Name), Version: Clean(s.book.Version), Digest: Clean(s.book.Digest),
			Relaxed: s.relaxed(),
		},
		DataThrough: stampsOf(s.a.Data), NotAssessed: hazard.NotAssessed, Call: contacts(s.h.Farm.Contacts),
	}
	h.Stamps = h.DataThrough.words(" for some paddock", s.on)
	if !s.h.KnownAt.IsZero() {
		at := s.h.KnownAt.In(s.h.Loc).Truncate(time.Second)
		h.Known, h.KnownAt = &at, instant(at, s.h)
	}
	h.Relaxed = s.relaxedLines()
	for i := range s.a.Notices {
		h.Notices = append(h.Notices, s.notice(&s.a.Notices[i]))
	}
	h.Apart = s.exchangeNotices()
	h.Notices = append(h.Notices, h.Apart...)
	if len(h.Call) == 0 {
		h.Call = []string{"nobody to call is on file for this farm: write a number here ____________"}
	}
	return h
}

// exchangeNotices say what of the other seats' entries may be missing from the answer.
func (s *speaker) exchangeNotices() []string {
	x, out := s.h.Exchange, []string{}
	switch {
	case x == nil:
		return out
	case x.Last.IsZero():
		out = append(out, s.t("NOT EXCHANGED: this computer does not have what the farm's other seats logged. Call them before a gate is opened."))
	case s.h.ExchangeOverdue():
		out = append(out, s.say("NOT EXCHANGED since {time}: what the farm's other seats logged after that is missing here. "+
			"Call them before a gate is opened.", "time", s.momentOf(x.Last)))
	}
	if x.Unread > 0 {
		out = append(out, s.say("NOT READ: entries of other seats that need a newer program ({n}). Update this one; until then call "+
			"them before a gate is opened.", "n", strconv.Itoa(x.Unread)))
	}
	if x.Aside > 0 {
		out = append(out, s.say("NOT SETTLED: entries that came with another content than they have here ({n}). They do not count until "+
			"somebody decides: {command}", "n", strconv.Itoa(x.Aside), "command", "rimegate journal import --keep"))
	}
	return out
}

// momentOf is a day and an hour, the day left out where it is the page's.
func (s *speaker) momentOf(at time.Time) string {
	at = at.In(s.h.Loc)
	if d := fields.DateOf(at, s.h.Loc); d != s.on {
		return s.dayDate(d) + " " + at.Format("15:04")
	}
	return at.Format("15:04")
}

// or is the text, or what is said where there is none.
func or(text, without string) string {
	if text != "" {
		return text
	}
	return without
}

// coming reports a day asked about that lies after the moment.
func (s *speaker) coming() bool {
	return !s.h.KnownAt.IsZero() && s.on > fields.DateOf(s.h.KnownAt, s.h.Loc)
}

func contacts(c *fields.Contacts) []string {
	if c == nil {
		return nil
	}
	var out []string
	for _, x := range []struct{ role, who string }{{"manager", c.Manager}, {"backup", c.Backup}, {"vet", c.Vet}} {
		if w := Clean(x.who); w != "" {
			out = append(out, x.role+": "+w)
		}
	}
	return out
}

// whom is the first number to call before an ASK FIRST.
func (h *Head) whom() string {
	for _, role := range []string{"manager: ", "backup: "} {
		for _, x := range h.Call {
			if who, ok := strings.CutPrefix(x, role); ok {
				return who
			}
		}
	}
	return ""
}

// good is the line under the title.
func (h *Head) good() string {
	if h.Coming {
		return "A coming day: this holds if nothing else happens. Known at " + h.KnownAt + "."
	}
	return "Good for this day only. Known at " + h.KnownAt + "."
}

// foot closes a list and an explanation.
func (t *text) foot(h *Head) {
	t.para("", "  ", OnHold)
	t.para("", "  ", Emergency)
	t.para("Call: ", "      ", strings.Join(h.Call, "; "))
	t.para("", "  ", "Not assessed: "+strings.Join(h.NotAssessed, ", ")+".")
	t.para("", "  ", Defers)
}

// each prints texts a paragraph each.
func (t *text) each(indent string, texts ...string) {
	for _, x := range texts {
		t.para(indent, indent+"  ", x)
	}
}

// maxUnread is how many paddocks without a reading of last night are named.
const maxUnread = 6

// unreadLastNight says for which paddocks last night is not in, "" if it is for
// all or need not be.
func (s *speaker) unreadLastNight() string {
	if !s.h.Watched(s.on) || len(s.h.Standing()) == 0 {
		return ""
	}
	var names []string
	for i := range s.a.Paddocks {
		if p := &s.a.Paddocks[i]; p.Data.Night < s.on {
			names = append(names, s.name(p))
		}
	}
	all := len(s.a.Paddocks)
	switch n := len(names); {
	case all == 0, n == all && n > 1: // an answer of none leaves out what stands there
		return "for any paddock"
	case n == 0:
		return ""
	case n > maxUnread:
		return "for " + strconv.Itoa(n) + " of " + plural(all, "paddock")
	}
	slices.SortFunc(names, fields.CompareNames)
	return "for " + join(names)
}

// setUpNext is what to type on a farm that has no paddocks or no herds yet.
func (s *speaker) setUpNext() []string {
	switch {
	case len(s.h.Standing()) == 0:
		return []string{s.say("No paddock on file yet. Type: {command}",
			"command", `rimegate paddock add --name "North Slough" north-slough`)}
	case len(s.h.Herds) == 0:
		return []string{s.say("No herd on file yet, so this answers for all stock. Type: {command}",
			"command", "rimegate herd add --class bred-cattle --head 85 pairs")}
	}
	return nil
}

// Relaxed lists what is less cautious than the default rulebook in an answer, a
// narrowed frost watch included: one line each, beginning with RELAXED.
func Relaxed(a *hazard.Assessment) []string { return newSpeaker(a, UnitsOf(a.History)).relaxedLines() }

// NewlyRelaxed says what every list prints as relaxed from now on, and did not before.
func NewlyRelaxed(before, after *hazard.Assessment) (says []string) {
	was := Relaxed(before)
	for _, x := range Relaxed(after) {
		if !slices.Contains(was, x) {
			says = append(says, "On every list from now on: "+x)
		}
	}
	return says
}

func (s *speaker) relaxedLines() []string {
	return texts(s.relaxed(), func(r RelaxedRow) string { return r.Text })
}

// watchRule is the id under which a narrowed frost watch is listed.
const watchRule = "frost_watch"

// relaxed are the rows of Relaxed; a narrowed frost watch comes last.
func (s *speaker) relaxed() []RelaxedRow {
	out := []RelaxedRow{}
	watch := false
	for i := range s.book.Relaxed {
		r := &s.book.Relaxed[i]
		out = append(out, RelaxedRow{
			Rule: Clean(r.Rule), Default: Clean(r.Default), Value: Clean(r.Value), Because: Clean(r.Because),
			By: Clean(r.By), Until: Day(r.Until), Entry: Clean(r.Entry), Text: s.relaxedLine(r),
		})
		watch = watch || r.Rule == watchRule
	}
	if w := s.h.NarrowedWatch(); w != nil && !watch && !hazard.WatchBacked(s.h, s.book) {
		out = append(out, RelaxedRow{
			Rule: watchRule, Default: "all year", Value: w.From.String() + " to " + w.To.String(),
			Text: s.say("RELAXED: the frost watch runs from {from} through {to} only; outside it, a night without a reading "+
				"counts as no frost.", "from", s.dayOfYear(w.From), "to", s.dayOfYear(w.To)),
		})
	}
	return out
}

// RelaxedLine is what every list says of a rule that was set so.
func RelaxedLine(r *hazard.Relaxed) string { return (&speaker{}).relaxedLine(r) }

func (s *speaker) relaxedLine(r *hazard.Relaxed) string {
	return sentence(s.say("RELAXED: {rule}{ is |value}{ instead of |default}{, by |by}{, through |until}"+
		"{, because: |because}", "rule", Clean(r.Rule), "value", s.figure(r.Value), "default", s.figure(r.Default),
		"by", Clean(r.By), "until", s.date(r.Until), "because", clause(r.Because)))
}

// figure is a rule's value, its unit in the page's language.
func (s *speaker) figure(value string) string {
	number, unit, _ := strings.Cut(Clean(value), " ")
	if unit == "days" {
		return number + " " + s.t("days")
	}
	return Clean(value)
}

// after is a person's words behind ours, nothing without them.
func after(label, words string) string {
	if w := Clean(words); w != "" {
		return label + w
	}
	return ""
}

// becauseWords are a person's reason behind a clause.
func becauseWords(because string) string { return after(", because: ", clause(because)) }

// watchRecord is the fact a frost watch rests on.
func (s *speaker) watchRecord(w *fields.Watch) string {
	r := w.Record
	frost, seasons := "", strconv.Itoa(r.Seasons)
	if l := r.Lines[0]; l.Earliest.Month != 0 {
		frost = s.say("{low} or colder not before {early} nor after {late}; {never}", "low", s.u.temp(l.LineC),
			"early", s.dayOfYear(l.Earliest), "late", s.dayOfYear(l.Latest), "never", s.say(weather.Never, "n", seasons))
	}
	return sentence(s.say("Frost watch {from} through {to}, from the record of {station} ({n} seasons, {first} to "+
		"{last}){: |frost}",
		"from", s.dayOfYear(w.From), "to", s.dayOfYear(w.To), "station", Clean(r.Station), "n", seasons,
		"first", strconv.Itoa(r.FromYear), "last", strconv.Itoa(r.ToYear), "frost", frost))
}

// dayOfYear is "21 November".
func (s *speaker) dayOfYear(m fields.MonthDay) string {
	return s.say("{day} {month}", "day", strconv.Itoa(m.Day), "month", s.t(m.Month.String()))
}

func (s *speaker) notice(n *hazard.Notice) string {
	what := s.t("An entry")
	switch n.Kind {
	case hazard.NoticeWater:
		return sentence(s.say("STOCK WATER: {cause}{. It is the water of |paddocks}. Next: {act}",
			"cause", s.cause(n.Water), "act", s.t(waterAct),
			"paddocks", s.join(texts(n.Drinks, func(id string) string { return paddockName(s.h, id) }))))
	case hazard.NoticeHeight:
		return s.say("NOTICE: {height} in {paddock}{ on |day} cannot have grown since it was sown{ on |sown}: one of them is "+
			"wrong. The height counts as logged; strike the wrong entry.", "height", s.u.in(fields.Height, n.CM),
			"paddock", paddockName(s.h, n.Paddock), "day", s.date(n.On), "sown", s.date(n.Sown))
	case hazard.NoticeUsedUp:
		return sentence(s.usedUp(n.Lot))
	case hazard.NoticeWatch:
		return s.watchRecord(n.Watch)
	case hazard.NoticeStruckIncident:
		what = s.t("An incident")
	case hazard.NoticeStruckKeepOff:
		what = s.t("A vet's keep-off")
	}
	paddock := ""
	if n.Lot == "" && n.Paddock != "" {
		paddock = paddockName(s.h, n.Paddock)
	}
	t := sentence(s.say("NOTICE: {what}{ about lot |lot}{ about |paddock} was struck{ on |day}{ by |by}"+
		"{, because: |because}",
		"what", what, "lot", Clean(n.Lot), "paddock", paddock, "day", s.date(n.On), "by", Clean(n.By),
		"because", clause(n.Because)))
	if d := s.date(n.Through); d != "" {
		t += " " + s.say("This line is printed through {day}.", "day", d)
	}
	return t
}
