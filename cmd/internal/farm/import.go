package farm

import (
	"rimegate/fields"
	"rimegate/weather"
)

// Imported is what became of readings given to Import.
type Imported struct {
	Logged
	Same    int // nights that stood in the journal already, with the same low
	Changed int // nights for which the journal had another reading of that place
	Told    int // nights that stood in the journal without the hours the file's extremes give
}

// Import stores readings and forecasts that came from a file. What the journal
// has already (the same place, night, low and coverage) is left out, so that
// bringing in the same file twice changes nothing, and a file that has grown
// adds only its new nights. Hours reconstructed from daily extremes are not part of
// what a reading states; but a night that stands in the journal without them is
// told again with them, since they can be worked out only once the next day is read.
func (f *Farm) Import(bodies []fields.Body, note string, dryRun bool) (*Imported, error) {
	v, err := f.View(Question{})
	if err != nil {
		return nil, err
	}
	have, told := map[string]bool{}, map[string]bool{}
	places := map[string]bool{}
	for i := range v.Entries {
		e := &v.Entries[i]
		if _, struck := v.History.Struck[e.ID]; struck {
			continue
		}
		if k := factKey(e); k != "" {
			have[k] = true
			told[k] = told[k] || hasRebuilt(e)
		}
		if k := readingPlace(e); k != "" {
			places[k] = true
		}
	}
	out := &Imported{}
	var fresh []fields.Entry
	for _, b := range bodies {
		e := fields.Entry{Note: note, Body: b}
		k := factKey(&e)
		again := have[k] && hasRebuilt(&e) && !told[k]
		if have[k] && !again {
			out.Same++
			continue
		}
		have[k] = true
		told[k] = told[k] || hasRebuilt(&e)
		if again {
			out.Told++
		} else if k := readingPlace(&e); k != "" && places[k] {
			out.Changed++
		}
		fresh = append(fresh, e)
	}
	if len(fresh) == 0 {
		a := v.Assess()
		out.Logged = Logged{View: v, Before: a, After: a}
		return out, nil
	}
	l, err := f.log(v, fresh, dryRun)
	if err != nil {
		return nil, err
	}
	out.Logged = *l
	return out, nil
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

// factKey is what a reading or forecast states, whatever file or person it came
// from: loggers give every export another name. "" for other kinds.
func factKey(e *fields.Entry) string {
	x := *e
	switch b := e.Body.(type) {
	case *fields.Reading:
		r := *b
		r.Source = ""
		x.Body = &r
	case *fields.Forecast:
		r := *b
		r.Source = ""
		x.Body = &r
	default:
		return ""
	}
	return contentKey(&x)
}

// readingPlace is the night and place a reading speaks of, "" for other kinds.
func readingPlace(e *fields.Entry) string {
	b, ok := e.Body.(*fields.Reading)
	if !ok {
		return ""
	}
	return b.Station + "\x00" + b.Paddock + "\x00" + b.Night.String()
}
