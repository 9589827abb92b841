package fields_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rimegate/fields"
)

func TestNamesInOrder(t *testing.T) {
	want := []string{"", "9", "10", "Creek", "creek", "East Hills", "Field", "Field 02", "Field 2", "Field 2a", "field 3", "Field 10", "Field 10 b", "Field 100"}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, fields.CompareNames)
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// It is an order: of three names none contradicts the others, and only the same
// name is equal.
func TestNamesOrderIsTotal(t *testing.T) {
	name := rapid.StringMatching(`[aB01 ]{0,5}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := name.Draw(t, "a"), name.Draw(t, "b"), name.Draw(t, "c")
		ab, bc, ac := fields.CompareNames(a, b), fields.CompareNames(b, c), fields.CompareNames(a, c)
		if ab != -fields.CompareNames(b, a) || (ab == 0) != (a == b) || ab <= 0 && bc <= 0 && ac > 0 {
			t.Fatalf("%q %q %q: %d %d %d", a, b, c, ab, bc, ac)
		}
	})
}
