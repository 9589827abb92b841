package weather

import (
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rimegate/fields"
)

// A byDate does what a map does, and keeps its values where they are.
func TestByDateIsAMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var got byDate[int]
		want := map[fields.Date]int{}
		where := map[fields.Date]*int{}
		day := rapid.OneOf(rapid.Int32Range(-200, 200), rapid.Int32Range(-1_000_000_000, 1_000_000_000))
		for i := range rapid.IntRange(0, 300).Draw(t, "steps") {
			d := fields.Date(day.Draw(t, "day"))
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				got.drop(d)
				delete(want, d)
				delete(where, d)
			case 2, 3:
				p := got.put(d)
				if was, ok := where[d]; ok && was != p {
					t.Fatalf("the value of %d moved", d)
				}
				if *p != want[d] {
					t.Fatalf("%d holds %d, want %d", d, *p, want[d])
				}
				*p, want[d], where[d] = i, i, p
			case 1:
				p := got.at(d)
				if v, ok := want[d]; ok != (p != nil) || ok && *p != v {
					t.Fatalf("%d: %v, want %v %v", d, p, v, ok)
				}
			}
			if got.n != len(want) {
				t.Fatalf("%d values, want %d", got.n, len(want))
			}
		}
		if dates := slices.Sorted(maps.Keys(want)); !slices.Equal(got.dates(), dates) {
			t.Fatalf("dates %v, want %v", got.dates(), dates)
		}
		for d := range got.all() {
			got.drop(d)
		}
		if got.n != 0 || len(got.pages) != 0 {
			t.Fatalf("%d values left after all were dropped", got.n)
		}
	})
}
