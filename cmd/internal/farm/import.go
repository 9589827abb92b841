package farm

import (
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/weather"
)

// Imported is what became of readings given to Import.
type Imported struct {
	Logged
	Batch   string // id of the import, "" if it brought nothing
	Same    int    // nights that the journal knows all of already
	Changed int    // nights for which the journal had another reading of that place
	Told    int    // nights that stood in the journal without the hours the file's extremes give
	Joined  int    // nights of which a part was read before
	Whole   int    // of those: nights that the parts cover together
}

// Import stores readings and forecasts that came from a file, all with one batch id.
// What the journal knows already (the same place, night, low and coverage, or a part
// of a night that was read there and no colder) is left out, so that bringing in the
// same file twice changes nothing, and a file that has grown adds only its new
// nights. Parts of one night add up. Hours reconstructed from daily extremes are not
// part of what a reading states; but a night that stands in the journal without them
// is told again with them, since they can be worked out only once the next day is read.
func (v *View) Import(bodies []fields.Body, note string, dryRun bool) (*Imported, error) {
	if slices.ContainsFunc(bodies, func(b fields.Body) bool { return v.opens(fields.Entry{Body: b}) }) {
		var err error
		if v, err = v.Whole(); err != nil {
			return nil, err
		}
	}
	out := &Imported{Batch: journal.NewBatch(v.farm.Clock())}
	covers := func(n *weather.NightLow) bool {
		return n.Covers || weather.Covered(n.Night, n.Spans, v.Loc, v.FarmPlace())
	}
	fresh := make([]fields.Entry, 0, len(bodies))
	own := make(map[fields.Date][]*fields.Entry, len(bodies)) // of this file
	for _, body := range bodies {
		fresh = append(fresh, fields.Entry{Note: note, Batch: out.Batch, Body: body})
		e := &fresh[len(fresh)-1]
		key, k := keyOf(e), known{of: e}
		for _, x := range v.byFact(key.kind)[key] {
			k.add(x)
		}
		for _, x := range own[key.day] {
			if keyOf(x) == key {
				k.add(x)
			}
		}
		if out.count(&k, covers) {
			fresh = fresh[:len(fresh)-1]
		} else {
			own[key.day] = append(own[key.day], e)
		}
	}
	if len(fresh) == 0 {
		a := v.Assess()
		out.Logged, out.Batch = Logged{View: v, Before: a, After: a}, ""
		return out, nil
	}
	l, err := v.Log(fresh, dryRun)
	if err != nil {
		return nil, err
	}
	out.Logged = *l
	return out, nil
}

// known is what is known already of what an entry of a file is about.
type known struct {
	of         *fields.Entry
	states     string             // what it states
	held       []weather.NightLow // what was read of the place in that night
	same, told bool               // some entry states the same, and one with reconstructed hours
}

// inPart reports whether the night was read in part.
func (k *known) inPart() bool {
	n := weather.Joined(k.held)
	return len(n.Spans) > 0 && !n.Covers
}

// add takes in an entry about the same.
func (k *known) add(x *fields.Entry) {
	// Of this file's own readings only those count that joined others.
	if b, ok := x.Body.(*fields.Reading); ok && (x.Batch != k.of.Batch || k.inPart()) {
		k.held = append(k.held, nightLow(b))
	}
	if k.states == "" {
		k.states = stated(k.of, true)
	}
	if stated(x, true) == k.states {
		k.same, k.told = true, k.told || hasRebuilt(x)
	}
}

// count counts an entry of a file by what is known already, and reports whether it is to be
// left out.
func (out *Imported) count(k *known, covers func(*weather.NightLow) bool) (leave bool) {
	b, reading := k.of.Body.(*fields.Reading)
	switch {
	case k.same && (k.told || !hasRebuilt(k.of)), reading && !k.same && knows(k.held, nightLow(b), covers):
		out.Same++
		return true
	case k.same:
		out.Told++
	case k.inPart():
		out.Joined++
		if all := weather.Joined(append(k.held, nightLow(b))); covers(&all) {
			out.Whole++
		}
	case reading && len(k.held) > 0:
		out.Changed++
	}
	return false
}

// knows reports whether a part of a night says nothing new: it was read already, and
// is no colder than what was read.
func knows(held []weather.NightLow, n weather.NightLow, covers func(*weather.NightLow) bool) bool {
	if len(held) == 0 || n.Covers || len(n.Spans) == 0 {
		return false
	}
	was := weather.Joined(held)
	if n.Below && !was.Below && (was.LowC == nil || *was.LowC >= 0) || n.LowC != nil && (was.LowC == nil || *n.LowC < *was.LowC) {
		return false
	}
	return covers(&was) || within(n.Spans, was.Spans)
}

// within reports whether each of the parts lies inside one of the others.
func within(parts, others []fields.Span) bool {
	return !slices.ContainsFunc(parts, func(p fields.Span) bool {
		return !slices.ContainsFunc(others, func(o fields.Span) bool { return !p.From.Before(o.From) && !p.To.After(o.To) })
	})
}

// hasRebuilt reports whether a reading tells reconstructed hours.
func hasRebuilt(e *fields.Entry) bool {
	b, ok := e.Body.(*fields.Reading)
	if !ok {
		return false
	}
	_, ok = weather.FindRebuilt(b.Source)
	return ok
}

// factKey is what an entry is about: two that state the same have one key.
type factKey struct {
	kind                fields.Kind
	day                 fields.Date
	place, station, lot string
}

func keyOf(e *fields.Entry) factKey {
	switch b := e.Body.(type) { // a file has thousands of them
	case *fields.Reading:
		return factKey{kind: fields.KindReading, day: b.Night, place: b.Paddock, station: b.Station}
	case *fields.Forecast:
		return factKey{kind: fields.KindForecast, day: b.Night, place: b.Paddock, station: b.Station}
	}
	return factKey{kind: e.Kind(), day: e.EventDate(time.UTC), place: strings.Join(e.Paddocks(), " "), lot: e.Lot()}
}

// about returns the entries that count and are about the same as e.
func (v *View) about(e *fields.Entry) []*fields.Entry { return v.byFact(e.Kind())[keyOf(e)] }

// byFact are the entries of a kind that count, by what they are about.
func (v *View) byFact(kind fields.Kind) map[factKey][]*fields.Entry {
	of := v.facts[kind]
	if of == nil {
		of = map[factKey][]*fields.Entry{}
		for i := range v.Entries {
			if x := &v.Entries[i]; x.Kind() == kind && !v.struck(x) {
				k := keyOf(x)
				of[k] = append(of[k], x)
			}
		}
		if v.facts == nil {
			v.facts = map[fields.Kind]map[factKey][]*fields.Entry{}
		}
		v.facts[kind] = of
	}
	return of
}

// stated is what an entry states, without who wrote it down, when and with what,
// and if told so without the file a reading or forecast came from: loggers give
// every export another name.
func stated(e *fields.Entry, anySource bool) string {
	x := *e
	x.ID, x.By, x.Note, x.Batch, x.Recorded = "", "", "", "", time.Time{}
	if anySource {
		switch b := e.Body.(type) {
		case *fields.Reading:
			r := *b
			r.Source, x.Body = "", &r
		case *fields.Forecast:
			r := *b
			r.Source, x.Body = "", &r
		}
	}
	return string(fields.Encode(&x))
}
