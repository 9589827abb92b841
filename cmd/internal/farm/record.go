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
	now := f.refold(journal, Question{On: q.To, KnownAt: q.KnownAt})
	limit := now.History.KnownAt // the last entry's, where another clock is ahead
	if q.To == fields.NoDate {
		q.To = fields.DateOf(limit, now.History.Loc)
	}
	var entries []fields.Entry
	known := morning(q.To, now.History.Loc)
	for ; known.After(limit); known = morning(fields.DateOf(known, now.History.Loc)-1, now.History.Loc) {
	}
	for _, e := range journal {
		if !e.Recorded.After(limit) {
			entries = append(entries, e)
			known = slices.MaxFunc([]time.Time{known, e.Recorded}, time.Time.Compare)
		}
	}
	all := f.refold(entries, Question{On: farFuture, KnownAt: known})
	end := f.refold(entries, Question{On: q.To, KnownAt: known})
	about, land := all.told(q.ID), all.land(q.ID)
	if q.From == fields.NoDate {
		q.From = q.To.Add(1 - recordDays)
		first := slices.IndexFunc(all.History.Facts, func(x fields.Fact) bool { return x.Date != fields.NoDate && about(&x) })
		if first >= 0 {
			q.From = max(q.From, min(q.To, all.History.Facts[first].Date))
		}
	}
	switch {
	case q.From > q.To:
		return nil, fields.Problem{What: fmt.Sprintf("the record would begin on %s, after its last day %s", q.From.Words(), q.To.Words()), Type: "type an earlier --from or a later --to"}
	case q.To.Sub(q.From) >= MaxRecord:
		return nil, fields.Problem{What: fmt.Sprintf("a record is of %d days at most", MaxRecord), Type: "type a later --from"}
	}
	of := board.RecordOf{ID: q.ID, From: q.From, To: q.To, Land: land, About: about}
	last := end.answerOf(q.ID, nil)
	if x, ok := hazard.AssessPaddock(end.History, end.Book, q.ID); ok { // though it may be split or joined since
		last.Paddocks = append(last.Paddocks, x)
	}
	return board.NewRecord(of, last, all.History, func(yield func(board.Asked) bool) {
		ask := func(on fields.Date, at time.Time, read *fields.Fact) bool {
			return yield(board.Asked{Assessment: f.refold(entries, Question{On: on, KnownAt: at}).answerOf(q.ID, land), Read: read})
		}
		d := q.From
		for ; d <= q.To && !morning(d, end.Loc).After(known); d++ {
			if !ask(d, morning(d, end.Loc), nil) {
				return
			}
		}
		if last := fields.DateOf(known, end.Loc); last <= q.To && !known.Equal(morning(last, end.Loc)) && !ask(last, known, nil) {
			return
		}
		for i := range end.History.Facts {
			x := &end.History.Facts[i]
			if x.Kind() == fields.KindRead && x.Date >= q.From && !ask(x.Date, x.Recorded, x) {
				return
			}
		}
	})
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
