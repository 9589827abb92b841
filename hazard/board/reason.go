package board

import (
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Words puts a reason into one plain sentence with its arithmetic, as said of
// grazing. Where a veterinarian's word softened a hold, a second sentence names
// who, why and until when.
func Words(r *hazard.Reason, a *hazard.Assessment, u Units) string {
	return WordsFor(r, hazard.Graze, a, u)
}

// WordsFor is Words said of the given use: what must not be done there depends
// on it.
func WordsFor(r *hazard.Reason, use hazard.Use, a *hazard.Assessment, u Units) string {
	return newSpeaker(a, u).reason(r, use)
}

// speaker holds what sentences need besides the reason itself.
type speaker struct {
	a     *hazard.Assessment
	h     *fields.History
	book  *hazard.Rulebook
	u     Units
	on    fields.Date
	facts map[string]fields.Fact // by entry id, made when first asked
	cited map[sourceKey][]string
}

func newSpeaker(a *hazard.Assessment, u Units) *speaker {
	s := &speaker{a: a, u: u}
	if a != nil {
		s.h, s.book = a.History, a.Book
	}
	if s.h != nil {
		s.on = s.h.On
	}
	return s
}

// entry returns the entry with the id, struck ones included.
func (s *speaker) entry(id string) (fields.Fact, bool) {
	if s.h == nil {
		return fields.Fact{}, false
	}
	if s.facts == nil {
		s.facts = make(map[string]fields.Fact, len(s.h.Facts))
		for _, f := range s.h.StruckFacts() {
			s.facts[f.ID] = f
		}
		for _, f := range s.h.Facts {
			s.facts[f.ID] = f
		}
	}
	f, ok := s.facts[id]
	return f, ok
}

// body returns the first of the reason's entries that has a body of type T.
func body[T fields.Body](s *speaker, r *hazard.Reason) (fields.Fact, T, bool) {
	var none T
	for _, id := range r.Entries {
		if f, ok := s.entry(id); ok {
			if b, ok := f.Body.(T); ok {
				return f, b, true
			}
		}
	}
	return fields.Fact{}, none, false
}

// rule returns a number of the rulebook, or the fallback when there is none.
func (s *speaker) rule(k hazard.RuleKey, fallback float64) float64 {
	if s.book == nil {
		return fallback
	}
	return s.book.V[k]
}

func (s *speaker) days(k hazard.RuleKey, fallback int) int {
	return int(s.rule(k, float64(fallback)))
}

func (s *speaker) reason(r *hazard.Reason, use hazard.Use) string {
	text, ok := s.cause(r)
	if !ok {
		text = noWords
	}
	if u, ok := lineUse[r.Line]; ok {
		use = u
	}
	if r.SoftBy != nil {
		return sentence(text) + " " + s.softened(r, use)
	}
	if r.Flag == hazard.Hold && !statesItself[r.Line] {
		text += ": " + keepOut(use)
		if r.Through == hazard.NoEnd || r.Through == fields.NoDate {
			text += ", no date"
		} else {
			text += " through and including " + r.Through.Words()
		}
		if canRestart[r.Line] {
			text += " (longer if it freezes again)"
		}
	}
	return sentence(text)
}

// short is a reason without "keep out through ...": the row says that already.
func (s *speaker) short(r *hazard.Reason, use hazard.Use) string {
	if r.SoftBy != nil {
		return s.reason(r, use)
	}
	t, ok := s.cause(r)
	if !ok {
		t = noWords
	}
	if r.Flag == hazard.Hold && canRestart[r.Line] {
		t += " (longer if it freezes again)"
	}
	return sentence(t)
}

// noWords stand in for a line that has none; a test sees that every line has.
const noWords = "A rule without words applies: treat it as NO and ask"

// lineUse are the lines that belong to one use whatever is asked.
var lineUse = map[hazard.Line]hazard.Use{
	hazard.LineChopWait: hazard.CutSilage, hazard.LineCure: hazard.Feed, hazard.LineEnsile: hazard.Feed,
	hazard.LineSuspect: hazard.Feed, hazard.LineLotIncident: hazard.Feed, hazard.LineNitrateLotUntested: hazard.Feed,
	hazard.LineNitrateLotTable: hazard.Feed, hazard.LineNitrateLotSpread: hazard.Feed, hazard.LineNitrateLotThin: hazard.Feed,
	hazard.LineSwathClock: hazard.SwathGraze,
}

// statesItself are holds whose cause already says what cannot be done.
var statesItself = map[hazard.Line]bool{hazard.LineNoSwath: true, hazard.LineNoCrop: true}

// canRestart are holds that the next frost makes longer.
var canRestart = map[hazard.Line]bool{
	hazard.LineClock: true, hazard.LineSwathClock: true, hazard.LineChopWait: true,
}

func keepOut(use hazard.Use) string {
	switch use {
	case hazard.GreenChop:
		return "do not chop"
	case hazard.SwathGraze:
		return "keep off the swath"
	case hazard.CutHay:
		return "do not cut"
	case hazard.CutSilage:
		return "do not chop for silage"
	case hazard.Feed:
		return "do not feed"
	}
	return "keep out"
}

// softened is what a may-graze says of the hold it turned into "ask first".
func (s *speaker) softened(r *hazard.Reason, use hazard.Use) string {
	who := Clean(r.SoftBy.Who)
	if who == "" {
		who = "A veterinarian"
	}
	t := who + " says it may be used"
	if use == hazard.Graze || use == hazard.SwathGraze {
		t = who + " says it may be grazed"
	}
	t += " through and including " + r.SoftBy.Until.Words()
	if b := strings.TrimRight(Clean(r.SoftBy.Because), ". "); b != "" {
		t += ", because: " + b
	}
	was := "with no date"
	if r.SoftBy.Through != hazard.NoEnd && r.SoftBy.Through != fields.NoDate {
		was = "through and including " + r.SoftBy.Through.Words()
	}
	return sentence(t) + " Without that word it is a hold " + was + "."
}

// span returns the days a dated hold counts: from the event to its last day.
func (s *speaker) span(r *hazard.Reason) int {
	end := r.HoldEnd()
	if r.On != fields.NoDate && end != fields.NoDate && end != hazard.NoEnd && end >= r.On {
		return end.Sub(r.On)
	}
	return r.Days
}

// waits is "; 14 days", or nothing where no days are counted.
func (s *speaker) waits(r *hazard.Reason) string {
	if n := s.span(r); n > 0 {
		return "; " + plural(n, "day")
	}
	return ""
}

// when is " on Fri 11-Sep-2026", or nothing where no date is known.
func when(d fields.Date) string {
	if d == fields.NoDate {
		return ""
	}
	return " on " + d.Words()
}

// since is " since Fri 11-Sep-2026", or nothing.
func since(ds ...fields.Date) string {
	for _, d := range ds {
		if d != fields.NoDate {
			return " since " + d.Words()
		}
	}
	return ""
}

// ago is "12 days ago" as seen from the day asked, "" when that is unknown.
func (s *speaker) ago(d fields.Date) string {
	if d == fields.NoDate || s.on == fields.NoDate || d > s.on {
		return ""
	}
	switch n := s.on.Sub(d); n {
	case 0:
		return "today"
	default:
		return plural(n, "day") + " ago"
	}
}

// below is "40 cm, below the minimum of 61 cm".
func (s *speaker) below(r *hazard.Reason) string {
	if r.Limit == 0 {
		return s.u.in(fields.Height, r.Value)
	}
	v, l := s.u.in(fields.Height, r.Value), s.u.atLeast(r.Limit)
	if v == l {
		v, l = s.u.against(fields.Height, r.Value, r.Limit)
	}
	t := v + ", below the minimum of " + l
	if r.Species != "" {
		t += " for " + speciesName(s.book, r.Species)
	}
	return t
}

// listed names the reason's species, "" if it names none.
func (s *speaker) listed(r *hazard.Reason) string {
	if r.Species != "" {
		return speciesName(s.book, r.Species)
	}
	return speciesNames(s.book, r.Plants)
}
