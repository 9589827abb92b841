package weather

import (
	"cmp"
	"fmt"
	"slices"

	"rimegate/fields"
)

// MaxObservations is how many observations a Result holds: two million are 228
// years of hourly readings. Longer files are read as nights, which need no such
// memory.
const MaxObservations = 2_000_000

// Collect runs a streaming reader and keeps what it finds in the Result.
func Collect(stream func(Sink) (*Result, error)) (*Result, error) {
	var obs []Observation
	var spells []Spell
	var failed []Failed
	over := false
	res, err := stream(Sink{
		Observe: func(o Observation) {
			if over = over || len(obs) >= MaxObservations; !over {
				obs = append(obs, o)
			}
		},
		Spell: func(s Spell) {
			if over = over || len(spells) >= MaxObservations; !over {
				spells = append(spells, s)
			}
		},
		Failed: func(f Failed) {
			if over = over || len(failed) >= MaxObservations; !over {
				failed = append(failed, f)
			}
		},
		Reset: func() { obs, spells, failed, over = nil, nil, nil, false },
	})
	if err != nil {
		return nil, err
	}
	if over {
		return nil, fields.Problem{
			What: fmt.Sprintf("the file holds more than %d readings", MaxObservations),
			Type: "read it as nights, or cut it into years",
		}
	}
	slices.SortStableFunc(spells, func(a, b Spell) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To), cmp.Compare(a.MinC, b.MinC))
	})
	res.Spells, res.Failed = spells, failed
	res.inOrder(obs)
	return res, nil
}

// inOrder puts the observations in order of time and drops rows that repeat one
// another exactly. Two different values of one moment are both kept.
func (r *Result) inOrder(obs []Observation) {
	slices.SortStableFunc(obs, func(a, b Observation) int { return a.At.Compare(b.At) })
	r.Observations = obs[:0]
	group, conflicts := 0, 0 // group is where the current moment starts
	for _, o := range obs {
		out := r.Observations
		if n := len(out); n > 0 && !out[n-1].At.Equal(o.At) {
			group = n
		}
		if slices.ContainsFunc(out[group:], func(p Observation) bool { return p.saysAs(&o) }) {
			r.Doubled++
			r.Kept--
			continue
		}
		if len(out) > group {
			conflicts++
		}
		r.Observations = append(out, o)
	}
	noteRepeats(r, conflicts)
}

// saysAs reports the same temperature or sign.
func (o *Observation) saysAs(p *Observation) bool {
	return o.HasTemp == p.HasTemp && o.TempC == p.TempC && o.Below == p.Below
}

func noteRepeats(res *Result, conflicts int) {
	if res.Doubled > 0 {
		res.Note(Count(res.Doubled, "row") + " repeated an earlier one and counted once")
	}
	if conflicts > 0 {
		res.Note(Count(conflicts, "time") + " with several different temperatures: the coldest counts. If the file mixes thermometers, give each its own file")
	}
}
