package farm

import (
	"fmt"
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// MaxRecord is the most days of a record.
const MaxRecord = 740

// recordDays is how far back a record goes if nobody says from when.
const recordDays = 365

// Record tells the story of a paddock's land or a lot. Every morning is answered again
// from what was written down by then. The record's moment is that of the last entry or
// the last morning in it, so that the record of the same entries is the same.
func (f *Farm) Record(q PastOf) (*board.Record, error) {
	c, err := f.store.Load()
	if err != nil {
		return nil, err
	}
	return f.record(c.Entries, q)
}

func (f *Farm) record(journal []fields.Entry, q PastOf) (*board.Record, error) {
	now := f.refold(journal, Question{On: q.To, KnownAt: q.KnownAt}).History
	if q.To == fields.NoDate {
		q.To = fields.DateOf(now.KnownAt, now.Loc)
	}
	entries, known := knownBy(journal, now.KnownAt, q.To, now.Loc)
	all := f.refold(entries, Question{On: farFuture, KnownAt: known})
	end := f.refold(entries, Question{On: q.To, KnownAt: known})
	of := board.RecordOf{ID: q.ID, From: q.From, To: q.To, Land: all.land(q.ID), About: all.told(q.ID)}
	if of.From == fields.NoDate {
		of.From = firstDay(all.History.Facts, &of)
	}
	switch {
	case of.From > of.To:
		return nil, fields.Problem{
			What: fmt.Sprintf("the record would begin on %s, after its last day %s", of.From.Words(), of.To.Words()),
			Type: "type an earlier --from or a later --to",
		}
	case of.To.Sub(of.From) >= MaxRecord:
		return nil, fields.Problem{What: fmt.Sprintf("a record is of %d days at most", MaxRecord), Type: "type a later --from"}
	}
	last := end.answerOf(q.ID, nil)
	if x, ok := hazard.AssessPaddock(end.History, end.Book, q.ID); ok { // though it may be split or joined since
		last.Paddocks = append(last.Paddocks, x)
	}
	return board.NewRecord(of, last, all.History, func(yield func(board.Asked) bool) {
		for _, m := range moments(end.History, &of) {
			q := Question{On: m.on, KnownAt: m.at}
			if !yield(board.Asked{Assessment: f.refold(entries, q).answerOf(of.ID, of.Land), Read: m.read}) {
				return
			}
		}
	})
}

// knownBy are the entries that were written down by a moment, and the moment of the last of
// them or of the last morning by then, whichever is later.
func knownBy(journal []fields.Entry, by time.Time, to fields.Date, loc *time.Location) ([]fields.Entry, time.Time) {
	d := to
	for morning(d, loc).After(by) {
		d--
	}
	known := morning(d, loc)
	var entries []fields.Entry
	for _, e := range journal {
		if e.Recorded.After(by) {
			continue
		}
		entries = append(entries, e)
		if e.Recorded.After(known) {
			known = e.Recorded
		}
	}
	// A record that was printed while one seat alone wrote names none later either.
	if !slices.ContainsFunc(entries, func(e fields.Entry) bool { return e.Seat != entries[0].Seat }) {
		for i := range entries {
			entries[i].Seat = ""
		}
	}
	return entries, known
}

// firstDay is the first day of which anything was told, a year back at most.
func firstDay(facts []fields.Fact, of *board.RecordOf) fields.Date {
	for i := range facts {
		if f := &facts[i]; f.Date != fields.NoDate && of.About(f) {
			return max(of.To.Add(1-recordDays), min(of.To, f.Date))
		}
	}
	return of.To.Add(1 - recordDays)
}

// moment is when a record asks.
type moment struct {
	on   fields.Date
	at   time.Time
	read *fields.Fact // who signed the page then
}

// moments are the mornings of a record, the moment it is of if that is none of them, and
// those at which somebody signed the page.
func moments(h *fields.History, of *board.RecordOf) (out []moment) {
	for d := of.From; d <= of.To && !morning(d, h.Loc).After(h.KnownAt); d++ {
		out = append(out, moment{on: d, at: morning(d, h.Loc)})
	}
	if d := fields.DateOf(h.KnownAt, h.Loc); d >= of.From && d <= of.To && !h.KnownAt.Equal(morning(d, h.Loc)) {
		out = append(out, moment{on: d, at: h.KnownAt})
	}
	for i := range h.Facts {
		if f := &h.Facts[i]; f.Kind() == fields.KindRead && f.Date >= of.From {
			out = append(out, moment{on: f.Date, at: f.Recorded, read: f})
		}
	}
	return out
}

// morning is the moment at which a morning is told of: from then on a night that nobody
// read counts as unread.
func morning(d fields.Date, loc *time.Location) time.Time { return d.At(hazard.ClockHour, 0, loc) }

// answerOf answers for a lot, or for the paddocks of some land that stand.
func (v *View) answerOf(id string, land []string) *hazard.Assessment {
	a := &hazard.Assessment{History: v.History, Book: v.Book}
	if land == nil {
		if l, ok := hazard.AssessLot(v.History, v.Book, id); ok {
			a.Lots = append(a.Lots, l)
		}
	}
	for _, p := range land {
		if x := v.History.Paddock(p); x != nil && x.Retired == fields.NoDate {
			answer, _ := hazard.AssessPaddock(v.History, v.Book, p)
			a.Paddocks = append(a.Paddocks, answer)
		}
	}
	return a
}
