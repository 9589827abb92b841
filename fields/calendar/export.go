package calendar

import (
	"cmp"
	"slices"
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

// Export writes the calendar of events as of now and today, given the file of the
// previous export (nil for none). A UID that was there is updated: its SEQUENCE rises if
// anything about it changed, and an export without news is the same file to the byte. A
// hold that runs on keeps its first day. An event no longer wanted before it was over
// becomes STATUS:CANCELLED; deleting it would leave it on every phone that has it. The
// error is a *ForeignError where the previous file is not one of ours.
func Export(name string, events []Event, previous []byte, now time.Time, today fields.Date) ([]byte, Changed, error) {
	var ch Changed
	var before, out []Event
	if previous != nil {
		var err error
		if before, err = read(previous); err != nil {
			return nil, ch, err
		}
	}
	stamp := now.UTC().Truncate(time.Second)
	seen := map[string]bool{}
	for _, e := range events {
		if seen[e.UID] {
			continue
		}
		seen[e.UID] = true
		for _, t := range []*string{&e.Summary, &e.Description, &e.Category, &e.Alarm} {
			*t = settle(*t)
		}
		e.stamp = stamp
		if i := slices.IndexFunc(before, func(o Event) bool { return o.UID == e.UID }); i < 0 {
			ch.Added++
		} else if e.follow(&before[i]) {
			ch.Moved++
		} else {
			ch.Same++
		}
		out = append(out, e)
	}
	for _, e := range before {
		if seen[e.UID] || e.forgotten(stamp, today) {
			continue
		}
		if !e.Cancelled && !e.over(today) {
			e.Cancelled, e.Alarm, e.stamp = true, "", stamp
			e.sequence++
			ch.Cancelled++
		}
		out = append(out, e)
	}
	slices.SortStableFunc(out, func(a, b Event) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.UID, b.UID)) })
	return write(name, out), ch, nil
}

// follow makes an event the next version of an old one; it reports whether anything
// about it changed.
func (e *Event) follow(old *Event) bool {
	if e.Rule == nil && !old.Cancelled && old.From < e.From && old.To >= e.From-1 && e.To > e.From {
		e.From = old.From
	}
	if same(*old, *e) {
		*e = *old
		return false
	}
	e.sequence = old.sequence + 1
	return true
}

func (e *Event) over(today fields.Date) bool { return e.Rule == nil && e.To < today }

// forgotten reports an event that is no longer wanted in the file.
func (e *Event) forgotten(now time.Time, today fields.Date) bool {
	if e.Cancelled {
		return e.stamp.Before(now.AddDate(0, 0, -keepCancelled))
	}
	return e.over(today) && e.To < today.Add(-keepPast)
}

// settle gives a text the form it has once written and read back.
func settle(s string) string { return unescape(escape(s)) }

// same reports whether nothing about an event changed but its stamp and sequence.
func same(a, b Event) bool {
	if (a.Rule == nil) != (b.Rule == nil) || a.Rule != nil && a.Rule.String() != b.Rule.String() {
		return false
	}
	a.Rule, a.sequence, a.stamp = b.Rule, b.sequence, b.stamp
	return a == b
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
