package form

import (
	"testing"

	"rimegate/fields"
)

func TestClosest(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"forst", "frost"}, {"lgo", ""}, {"wal", "walk"}, {"WALK", "walk"}, {"xyz", ""}, {"", ""}, {"a", ""},
	} {
		if got := Closest(c.typed, []string{"frost", "walk", "no-frost"}); got != c.want {
			t.Errorf("Closest(%q) = %q, want %q", c.typed, got, c.want)
		}
	}
}

// The table knows every kind and every field that a person can say; what it
// does not list stands here with its reason.
func TestTheTableCoversTheKinds(t *testing.T) {
	without := map[string]string{
		"lab.file_sha256": "a program's business",
		"reading.spans":   "an import writes them",
		"farm.contacts":   "said by manager, backup and vet",
	}
	all := append(fields.Kinds(), Import, Blend)
	if len(Kinds()) != len(all) {
		t.Errorf("%d forms for %d kinds", len(Kinds()), len(all))
	}
	for _, kind := range all {
		k := Of(kind)
		menu := k.Title != ""
		for _, f := range fields.FieldsOf(kind) {
			x := k.Field(f.Name)
			switch _, excused := without[string(kind)+"."+f.Name]; {
			case x == nil && !excused:
				t.Errorf("nobody can say %s.%s: add it to `fields` of kind %s in forms.txt and describe it there",
					kind, f.Name, kind)
			case x != nil && excused:
				t.Errorf("forms.txt lists %s.%s: take it out of without", kind, f.Name)
			}
		}
		seen := map[string]bool{}
		for i := range k.Fields {
			x := &k.Fields[i]
			if seen[x.Name] {
				t.Errorf("%s lists %s twice", kind, x.Name)
			}
			seen[x.Name] = true
			if menu && x.Label == "" && x.Type != Flag && (kind != fields.KindNoFrost || x.Name != "night") {
				t.Errorf("%s.%s has no label", kind, x.Name)
			}
			if (x.Type == Quantity) != (x.Measure != nil) {
				t.Errorf("%s.%s: type %s with measure %v", kind, x.Name, x.Type, x.Measure)
			}
			if (x.Type == Choice || x.Type == Exact) && len(x.Choices) == 0 {
				t.Errorf("%s.%s has no words to choose from", kind, x.Name)
			}
		}
		if menu && k.First != "" && k.Field(k.First) == nil {
			t.Errorf("%s: the cursor begins in %s, which it has not", kind, k.First)
		}
	}
}
