package judge

import (
	"testing"

	"rimegate/hazard/rules"
)

// The seasons must sow plants that the table knows, or they would try nothing
// but unknown species.
func TestSeasonsUseKnownSpecies(t *testing.T) {
	book := rules.Default()
	strange := map[string]bool{"mystery mix": true, "what is this": true}
	names := append([]string{}, weeds...)
	for _, mix := range mixes {
		names = append(names, mix...)
	}
	for _, name := range names {
		if known := book.Find(name) != nil; known == strange[name] {
			t.Errorf("species %q: known %v", name, known)
		}
	}
}
