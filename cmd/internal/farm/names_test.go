package farm

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rimegate/fields/form"
)

func TestNamesPeopleType(t *testing.T) {
	v := view(t, smallFarm(t), Question{})
	for _, c := range []struct{ typed, want string }{
		{"north-slough", "north-slough"},
		{"North Slough", "north-slough"},
		{"NORTH_SLOUGH ", "north-slough"},
		{"east hills", "hills"},
		{"hills", "hills"},
	} {
		if got, err := v.Paddock(c.typed); err != nil || got != c.want {
			t.Errorf("%q: %q, %v; want %q", c.typed, got, err, c.want)
		}
	}
	for _, c := range []struct{ typed, want string }{
		{"north-slogh", "did you mean north-slough?"},
		{"nroth-slough", "did you mean north-slough?"},
		{"north", "did you mean north-slough?"},
		{"cree", "did you mean creek?"},
		{"slough", "did you mean north-slough?"},
		{"East", "did you mean hills?"},
		{"xyz", "there is creek, hills, north-slough (add one with"},
		{"", "there is no paddock"},
		{"-", "there is no paddock"},
	} {
		_, err := v.Paddock(c.typed)
		var u *UnknownError
		if !errors.As(err, &u) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v; want %q", c.typed, err, c.want)
		}
	}
	all, err := v.Paddocks([]string{"all", "creek"})
	if err != nil || strings.Join(all, " ") != "creek hills north-slough" {
		t.Errorf("all: %v, %v", all, err)
	}
	if _, err := v.Paddocks([]string{"creek,north-slogh"}); err == nil {
		t.Error("one wrong name of two was passed over")
	}
}

func TestTwoPaddocksOfOneName(t *testing.T) {
	have := []named{{"a", "Home Quarter"}, {"b", "home quarter"}, {"c", ""}}
	if _, err := find("paddock", "Home quarter", "", have); err == nil || !strings.Contains(err.Error(), "can be the paddock a or b; type the short name") {
		t.Fatalf("got %v", err)
	}
	if id, err := find("paddock", "b", "", have); err != nil || id != "b" {
		t.Fatalf("got %q, %v", id, err)
	}
}

// distance is a metric that no single slip of the fingers makes larger than 1.
func TestDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[a-z]{2,10}`)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if form.Distance(a, a) != 0 || form.Distance(a, b) != form.Distance(b, a) || a != b && form.Distance(a, b) == 0 {
			t.Fatalf("form.Distance(%q, %q) = %d, back %d", a, b, form.Distance(a, b), form.Distance(b, a))
		}
		i := rapid.IntRange(0, len(a)-2).Draw(t, "i")
		swapped := a[:i] + a[i+1:i+2] + a[i:i+1] + a[i+2:]
		for _, slip := range []string{a[:i] + a[i+1:], a[:i] + "x" + a[i:], a[:i] + "x" + a[i+1:], swapped} {
			if d := form.Distance(a, slip); d > 1 {
				t.Fatalf("%q to %q is %d", a, slip, d)
			}
		}
	})
}

func TestSpeciesWarning(t *testing.T) {
	v := view(t, smallFarm(t), Question{})
	for _, known := range []string{"sudangrass", "Sorghum-Sudangrass", "oats", "field pea"} {
		if w := v.SpeciesWarning(known); w != "" {
			t.Errorf("%q: %s", known, w)
		}
	}
	if w := v.SpeciesWarning("sudangrss"); !strings.Contains(w, "sudangrass") || !strings.HasPrefix(w, "NOT IN THE SPECIES TABLE") {
		t.Errorf("sudangrss: %s", w)
	}
	if w := v.SpeciesWarning("chockecherry"); !strings.Contains(w, "Did you mean chokecherry?") {
		t.Errorf("chockecherry: %s", w)
	}
	for _, part := range []string{"grass", "native grass"} { // of arrowgrass and of many more
		if w := v.SpeciesWarning(part); strings.Contains(w, "Did you mean") {
			t.Errorf("%s: %s", part, w)
		}
	}
	if w := v.SpeciesWarning("bromee"); strings.Contains(w, "Then strike") {
		t.Errorf("an entry that may not be stored is to be struck: %s", w)
	}
	if w := v.SpeciesWarning("plant 7"); strings.Contains(w, "Did you mean") || w == "" {
		t.Errorf("plant 7: %s", w)
	}
}
