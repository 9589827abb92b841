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
	var over int
	res, err := stream(Sink{
		Observe: func(o Observation) {
			if len(obs) < MaxObservations {
				obs = append(obs, o)
			} else {
				over++
			}
		},
		Spell: func(s Spell) {
			if len(spells) < MaxObservations {
				spells = append(spells, s)
			} else {
				over++
			}
		},
		Reset: func() { obs, spells, over = nil, nil, 0 },
	})
	if err != nil {
		return nil, err
	}
	if over > 0 {
		return nil, fields.Problem{
			What: fmt.Sprintf("the file holds more than %d readings", MaxObservations),
			Type: "read it as nights, or cut it into years",
		}
	}
	res.Observations, res.Spells = obs, spells
	inOrder(res)
	return res, nil
}

// inOrder puts the observations in order of time and drops rows that repeat one
// another exactly. Two different values of one moment are both kept.
func inOrder(res *Result) {
	byTime := func(a, b Observation) int { return a.At.Compare(b.At) }
	if !slices.IsSortedFunc(res.Observations, byTime) {
		slices.SortStableFunc(res.Observations, byTime)
	}
	slices.SortStableFunc(res.Spells, func(a, b Spell) int {
		return cmp.Or(a.From.Compare(b.From), a.To.Compare(b.To), cmp.Compare(a.MinC, b.MinC))
	})
	out := res.Observations[:0]
	group := 0 // index in out where the current moment starts
	conflicts := 0
	for _, o := range res.Observations {
		if len(out) > 0 && !out[len(out)-1].At.Equal(o.At) {
			group = len(out)
		}
		same := false
		for _, p := range out[group:] {
			if p.HasTemp == o.HasTemp && p.TempC == o.TempC && sameSign(p.BelowZero, o.BelowZero) {
				same = true
				break
			}
		}
		if same {
			res.Doubled++
			res.Kept--
			continue
		}
		if len(out) > group {
			conflicts++
		}
		out = append(out, o)
	}
	res.Observations = out
	noteRepeats(res, conflicts)
}

func noteRepeats(res *Result, conflicts int) {
	if res.Doubled > 0 {
		res.Note(Count(res.Doubled, "row") + " repeated an earlier one and counted once")
	}
	if conflicts > 0 {
		res.Note(Count(conflicts, "time") + " with several different temperatures: the coldest counts. If the file mixes thermometers, give each its own file")
	}
}

func sameSign(a, b *bool) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}
