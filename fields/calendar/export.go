package calendar

import (
	"sort"
	"time"

	"rimegate/fields"
)

// How long, in days, what is over stays in the file: an event that ran its
// course as a record, and a cancelled one so that every phone that reads the
// file now and then learns of it.
const (
	keepPast      = 60
	keepCancelled = 400
)

// Changed counts what an export did to the calendar before it.
type Changed struct{ Added, Moved, Cancelled, Same int }

// Export writes the calendar of events as of now and today, given the file of
// the previous export (nil for none). A UID that was there is updated: its
// SEQUENCE rises if anything about it changed, and nothing of it changes
// otherwise, so an export without news is the same file to the byte. A hold
// that runs on keeps the first day it had. An event that is no longer wanted
// before it was over becomes STATUS:CANCELLED under its own UID; deleting it
// would leave it on every phone that has it. The error is a *ForeignError where
// the previous file is not one of ours.
func Export(name string, events []Event, previous []byte, now time.Time, today fields.Date) ([]byte, Changed, error) {
	var ch Changed
	var before []Event
	if previous != nil {
		var err error
		if before, err = read(previous); err != nil {
			return nil, ch, err
		}
	}
	was := map[string]*Event{}
	for i := range before {
		was[before[i].UID] = &before[i]
	}
	stamp := now.UTC().Truncate(time.Second)
	var out []Event
	seen := map[string]bool{}
	for _, e := range events {
		if seen[e.UID] {
			continue
		}
		seen[e.UID] = true
		e.Summary, e.Description, e.Category, e.Alarm = settle(e.Summary), settle(e.Description), settle(e.Category), settle(e.Alarm)
		e.stamp = stamp
		old := was[e.UID]
		if old == nil {
			ch.Added++
			out = append(out, e)
			continue
		}
		if e.Rule == nil && !old.Cancelled && old.From < e.From && old.To >= e.From-1 && e.To > e.From {
			e.From = old.From
		}
		if same(old, &e) {
			ch.Same++
			out = append(out, *old)
			continue
		}
		e.sequence = old.sequence + 1
		ch.Moved++
		out = append(out, e)
	}
	for i := range before {
		e := before[i]
		if seen[e.UID] {
			continue
		}
		over := e.Rule == nil && e.To < today
		switch {
		case e.Cancelled && e.stamp.Before(stamp.AddDate(0, 0, -keepCancelled)):
		case e.Cancelled:
			out = append(out, e)
		case over && e.To < today.Add(-keepPast):
		case over:
			out = append(out, e)
		default:
			e.Cancelled, e.Alarm = true, ""
			e.sequence++
			e.stamp = stamp
			ch.Cancelled++
			out = append(out, e)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].From != out[j].From {
			return out[i].From < out[j].From
		}
		return out[i].UID < out[j].UID
	})
	return write(name, out), ch, nil
}

// settle gives a text the form it has once written and read back.
func settle(s string) string {
	t, err := unescape(escape(s))
	if err != nil {
		return ""
	}
	return t
}

func same(a, b *Event) bool {
	return a.From == b.From && a.To == b.To && a.Summary == b.Summary && a.Description == b.Description && a.Category == b.Category &&
		a.Alarm == b.Alarm && a.Cancelled == b.Cancelled && (a.Rule == nil) == (b.Rule == nil) && (a.Rule == nil || a.Rule.String() == b.Rule.String())
}

// Event returns the round as a recurring event with an alarm, false if its rule
// never falls on a day. DTSTART is the first day of the rule, as RFC 5545 asks.
func (r *Round) Event(uid, summary, description string) (Event, bool) {
	if r.Rule == nil {
		return Event{}, false
	}
	first := r.Rule.Days(r.Start, r.Start, r.Start.Add(lookAhead))
	if len(first) == 0 {
		return Event{}, false
	}
	return Event{UID: uid, From: first[0], To: first[0], Summary: summary, Description: description, Category: "ROUND", Rule: r.Rule, Alarm: summary}, true
}
