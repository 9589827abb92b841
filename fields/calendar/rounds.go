package calendar

import (
	"slices"
	"strings"

	"rimegate/fields"
)

// Round is a recurring check as its entries leave it: an entry with a name
// used before takes the place of the earlier one from its own date on.
type Round struct {
	Name     string
	What     string
	Paddocks []string
	Start    fields.Date
	Rule     *Rule
	Err      error // the rule cannot be read or never comes (entries that came in by import); Rule is nil then
	Entry    string

	spans []span // every rule the round ever had, by start
	done  []fields.Date
}

type span struct {
	rule     *Rule
	from, to fields.Date // to: last day, NoDate while it stands
}

// Rounds gathers the rounds of the facts given, in order of name. Facts dated
// in the future are taken in: a round may start next week.
func Rounds(facts []fields.Fact) []*Round {
	byName := map[string]*Round{}
	var out []*Round
	fs := slices.Clone(facts)
	fields.SortFacts(fs)
	for _, f := range fs {
		b, ok := f.Body.(*fields.Round)
		if !ok {
			continue
		}
		key := Key(b.Name)
		r := byName[key]
		if r == nil {
			r = &Round{}
			byName[key] = r
			out = append(out, r)
		}
		r.Name, r.What, r.Paddocks, r.Start, r.Entry = b.Name, b.What, b.Paddocks, f.Date, f.ID
		if r.Rule, r.Err = ParseRule(b.RRule); r.Err == nil {
			if r.Err = r.Rule.Never(f.Date); r.Err != nil {
				r.Rule = nil // not tried again for each day asked about
			}
		}
		if n := len(r.spans); n > 0 {
			r.spans[n-1].to = f.Date - 1
		}
		r.spans = append(r.spans, span{rule: r.Rule, from: f.Date})
	}
	for _, f := range fs {
		if b, ok := f.Body.(*fields.Done); ok && b.Round != "" {
			if r := byName[Key(b.Round)]; r != nil {
				r.done = append(r.done, f.Date)
			}
		}
	}
	slices.SortFunc(out, func(a, b *Round) int { return strings.Compare(Key(a.Name), Key(b.Name)) })
	return out
}

// Key folds a round's name for look-up: capitals and spaces do not matter.
func Key(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// Days returns the days on which the round falls, from and to included.
func (r *Round) Days(from, to fields.Date) []fields.Date {
	var out []fields.Date
	for _, s := range r.spans {
		end := to
		if s.to != fields.NoDate && s.to < end {
			end = s.to
		}
		if s.rule != nil {
			out = append(out, s.rule.Days(s.from, from, end)...)
		}
	}
	return out
}

// State is how a round stands on a day. A done counts for the latest day of
// the round on or before it; being early for the next one is not known.
type State struct {
	Due    fields.Date   // the latest day on or before the day asked, not done; NoDate if none
	Next   fields.Date   // the first day after the day asked; NoDate if none within two years
	Last   fields.Date   // when it was last done
	Done   []fields.Date // days of the round in the window that were done
	Missed []fields.Date // days before the latest one, in the window, that nobody did
}

// On tells how the round stands on day, looking window days back.
func (r *Round) On(day fields.Date, window int) State {
	var s State
	for _, d := range r.done {
		if d <= day {
			s.Last = max(s.Last, d)
		}
	}
	past := r.Days(day.Add(-window), day)
	for i, d := range past {
		until := day + 1
		if i+1 < len(past) {
			until = past[i+1]
		}
		switch {
		case slices.ContainsFunc(r.done, func(x fields.Date) bool { return x >= d && x < until }):
			s.Done = append(s.Done, d)
		case i+1 == len(past):
			s.Due = d
		default:
			s.Missed = append(s.Missed, d)
		}
	}
	for step := 35; s.Next == fields.NoDate; step *= 4 { // most rounds come round within a month
		if next := r.Days(day+1, day.Add(min(step, lookAhead))); len(next) > 0 {
			s.Next = next[0]
		}
		if step >= lookAhead {
			break
		}
	}
	return s
}
