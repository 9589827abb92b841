package board

import (
	"cmp"
	"strings"
	"sync"

	"rimegate/fields"
	"rimegate/hazard"
)

// WordsFor puts a reason into one plain sentence with its arithmetic, as said of
// the given use: what must not be done depends on it. Where a veterinarian's word
// softened a hold, a second sentence names who, why and until when.
func WordsFor(r *hazard.Reason, use hazard.Use, a *hazard.Assessment, u Units) string {
	return newSpeaker(a, u).reason(r, use)
}

// Lifts says what would lift a reason, ending in the one act to do; "" for a
// reason that leaves nothing to lift.
func Lifts(r *hazard.Reason, a *hazard.Assessment, u Units) string {
	return newSpeaker(a, u).lifts(r)
}

// speaker holds what sentences need besides the reason itself.
type speaker struct {
	a    *hazard.Assessment
	h    *fields.History
	book *hazard.Rulebook
	u    Units
	on   fields.Date

	page   bool        // short dates
	beside fields.Date // a day of its year needs no year; NoDate on what is kept for years
	tongue Catalog     // of the page's language; none in English

	facts func() map[string]fields.Fact // by entry id
	cited map[sourceKey][]string
}

func newSpeaker(a *hazard.Assessment, u Units) *speaker {
	return &speaker{
		a: a, h: a.History, book: a.Book, u: u, on: a.History.On, beside: a.History.On,
		facts: factsOf(a.History), cited: map[sourceKey][]string{},
	}
}

// factsOf are the entries of a history by id, struck ones included, found when first asked for.
func factsOf(h *fields.History) func() map[string]fields.Fact {
	return sync.OnceValue(func() map[string]fields.Fact {
		all := make(map[string]fields.Fact, len(h.Facts))
		for _, f := range h.StruckFacts() {
			all[f.ID] = f
		}
		for _, f := range h.Facts {
			all[f.ID] = f
		}
		return all
	})
}

func (s *speaker) entry(id string) (fields.Fact, bool) {
	f, ok := s.facts()[id]
	return f, ok
}

// cause is what the reason says, as a clause without its full stop.
func (s *speaker) cause(r *hazard.Reason) string { return s.fill(s.t(lines[r.Line].says), r) }

func (s *speaker) reason(r *hazard.Reason, use hazard.Use) string {
	row := &lines[r.Line]
	if row.use != hazard.Graze {
		use = row.use
	}
	text := s.cause(r)
	if r.SoftBy != nil {
		return sentence(text) + " " + s.softened(r, use)
	}
	if r.Flag == hazard.Hold && !row.states {
		colon := ": "
		if strings.Contains(text, colon) {
			colon = "; "
		}
		text += colon + keepOut[use] + throughOf(r.Flag, r.Through).tail(s.beside)
	}
	return sentence(text + restarts(r))
}

// short is a reason without "off through ...": the row says that already.
func (s *speaker) short(r *hazard.Reason, use hazard.Use) string {
	if r.SoftBy != nil {
		return s.reason(r, use)
	}
	return sentence(s.cause(r) + restarts(r))
}

func restarts(r *hazard.Reason) string {
	return provided(r.Flag == hazard.Hold && lines[r.Line].restarts, "; another frost starts it again")
}

// keepOut is what a hold forbids of each use.
var keepOut = [...]string{
	hazard.Graze: "off", hazard.GreenChop: "no chopping", hazard.SwathGraze: "off the swath",
	hazard.CutHay:    "no cutting",
	hazard.CutSilage: "no chopping for silage", hazard.Feed: "no feeding",
}

// softened is what a may-graze says of the hold it turned into "ask first".
func (s *speaker) softened(r *hazard.Reason, use hazard.Use) string {
	may := "used"
	if use == hazard.Graze || use == hazard.SwathGraze {
		may = "grazed"
	}
	was := "with no date"
	if d := throughOf(hazard.Hold, r.SoftBy.Through); d != Day(hazard.NoEnd) {
		was = d.Words(s.beside)
	}
	return sentence(s.vetName(&r.SoftBy.VetWord)+" says it may be "+may+" through "+
		s.date(r.SoftBy.Until)+becauseWords(r.SoftBy.Because)) +
		" Without that word it is a hold " + was + "."
}

func (s *speaker) lifts(r *hazard.Reason) string {
	if r.Flag == hazard.Clear {
		return ""
	}
	if r.SoftBy != nil {
		return sentence("The hold is back after " + s.date(r.SoftBy.Until) + "; call before you turn in, and call " +
			or(Clean(r.SoftBy.Who), "the vet") + " before that day")
	}
	t, _ := s.act(r)
	return sentence(t)
}

// act returns what lifts the line as one clause, and the task behind it, "" if
// no errand but waiting or asking is meant.
func (s *speaker) act(r *hazard.Reason) (text, task string) {
	row := &lines[r.Line]
	task = row.task
	switch {
	case row.due != nil && row.due(s, r) == hazard.NoEnd:
		task = ""
	case row.restarts && len(r.Nights) > 0:
		task = taskNight
	}
	return s.fill(row.act, r), task
}

func (s *speaker) clockAct(r *hazard.Reason) string {
	if len(r.Nights) > 0 {
		return "look up the low for " + s.nights(r.Nights) + " and log it: a night that did not freeze adds no wait"
	}
	if from := s.walkFrom(r); from >= s.on {
		return "wait it out, and walk it on or after " + s.date(from) + ": another frost on a stand that is dead does " +
			"not start the wait again"
	}
	return ""
}

// walkFrom is the first day on which a walk shows what the frost did.
func (s *speaker) walkFrom(r *hazard.Reason) fields.Date {
	return r.On.Add(s.book.Days(hazard.FrostKillWalkAfter))
}

// Days on which the errand of a line is due.

func onDay(s *speaker, r *hazard.Reason) fields.Date { return max(s.on, r.On) }

func onWalkDay(s *speaker, r *hazard.Reason) fields.Date { return max(s.on, r.WalkOn) }

func afterHold(s *speaker, r *hazard.Reason) fields.Date {
	return cmp.Or(next(r.Through), s.on)
}

func afterStress(s *speaker, r *hazard.Reason) fields.Date {
	if r.Stress.Ends == hazard.NoEnd {
		return hazard.NoEnd // what set the wait has not ended
	}
	return cmp.Or(next(r.Stress.Ends), s.on)
}

func remeasure(s *speaker, r *hazard.Reason) fields.Date {
	return max(s.on, r.On.Add(s.book.Days(hazard.HeightLife)))
}

func afterNights(s *speaker, r *hazard.Reason) fields.Date {
	return max(s.on, r.Nights[len(r.Nights)-1].Add(s.book.Days(hazard.FrostKillWalkAfter)))
}
