package judge

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

var sameFlag = flag.Int("same", 180, "questions on which the sameness properties are tried")

// sameness are changes of a journal's text that change no answer.
var sameness = []struct {
	name   string
	change func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry)
}{
	{"the order in which entries arrived", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		b = append(b, s.Entries...)
		r.Shuffle(len(b), func(i, j int) { b[i], b[j] = b[j], b[i] })
		return s.Entries, b
	}},
	{"entries that arrive twice", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		b = append(b, s.Entries...)
		for i := range s.Entries {
			if r.IntN(4) == 0 {
				b = append(b, s.Entries[i])
			}
		}
		return s.Entries, b
	}},
	{"what was recorded after the moment", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		for i := range s.Entries {
			if !s.Entries[i].Recorded.After(q.Moment) {
				b = append(b, s.Entries[i])
			}
		}
		return s.Entries, b
	}},
	{"what is dated after the day asked", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		for i := range s.Entries {
			e := &s.Entries[i]
			late := e.EventDate(s.Zone) > q.On
			switch e.Kind() {
			case fields.KindSeen, fields.KindStrike:
				late = false
			case fields.KindFarm, fields.KindPaddock, fields.KindStation, fields.KindHerd: // the earliest reaches back
				late = false
			case fields.KindForecast:
				late = e.EventDate(s.Zone) > q.On+1
			case fields.KindFrost, fields.KindReading: // of the evening of that day
				late = late && !(e.EventDate(s.Zone) == q.On+1 && fields.DateOf(e.Recorded, s.Zone) <= q.On)
			}
			if !late {
				b = append(b, *e)
			}
		}
		return s.Entries, b
	}},
	{"an entry struck, or never written", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		i := r.IntN(len(s.Entries))
		for s.Entries[i].Kind() == fields.KindStrike || s.Entries[i].Kind() == fields.KindFarm {
			i = r.IntN(len(s.Entries))
		}
		strike := fields.Entry{
			ID: randomID(r), Recorded: q.Moment, By: "Ben", On: q.On + date(r.IntN(9)) - 4,
			Body: &fields.Strike{Entry: s.Entries[i].ID, Because: "wrong paddock"},
		}
		a = append(append(a, s.Entries...), strike)
		b = append(append(b, s.Entries[:i]...), s.Entries[i+1:]...)
		return a, b
	}},
	{"a strike of a strike", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		b = append(b, s.Entries...)
		for i := range s.Entries {
			if s.Entries[i].Kind() == fields.KindStrike {
				b = append(b, fields.Entry{
					ID: randomID(r), Recorded: q.Moment, By: "Ben", On: q.On,
					Body: &fields.Strike{Entry: s.Entries[i].ID, Because: "it was right"},
				})
			}
		}
		return s.Entries, b
	}},
	{"export and import", func(r *rand.Rand, s *Season, q Question) (a, b []fields.Entry) {
		var buf bytes.Buffer
		if err := fields.WriteJSONL(&buf, s.Entries); err != nil {
			panic(err)
		}
		b, err := fields.ReadJSONL(&buf)
		if err != nil {
			panic(err)
		}
		return s.Entries, b
	}},
}

// Answers rest on what was recorded by the moment and dated by the day, and on
// nothing else: not on order, doubles, struck entries or the way of storing.
func TestSameAnswers(t *testing.T) {
	want := int64(fewer(*sameFlag))
	var asked atomic.Int64
	var found findings
	eachSeason(3, func() bool { return asked.Load() >= want }, func(i uint64, r *rand.Rand, s *Season, book *hazard.Rulebook) {
		q := RandomQuestion(r, s)
		asked.Add(1)
		for _, p := range sameness {
			a, b := p.change(r, s, q)
			for name, ask := range map[string]func([]fields.Entry, Question, *hazard.Rulebook) Answers{"engine": Engine, "plain": askPlain} {
				for _, d := range Differences(ask(a, q, book), ask(b, q, book)) {
					found.add(name+": "+p.name+": "+kindOf(d), i, func() string {
						return fmt.Sprintf("%s: %s\n  %s\n  %s\n", q, d.Key, d.A, d.B)
					})
				}
			}
		}
	})
	t.Logf("asked %d times", asked.Load())
	found.report(t)
}
