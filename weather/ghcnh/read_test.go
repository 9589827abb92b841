package ghcnh

import (
	"testing"

	"rimegate/weather/internal/table"
)

// Which quality codes let a value through, by the source they come from.
func TestQualityCodes(t *testing.T) {
	for _, c := range []struct {
		qc, source string
		want       bool
	}{
		{"", "", true},
		{"", "382", true},
		{"1", "335", true},
		{"5", "335", true},
		{"9", "335", true},
		{"2", "335", false},
		{"3", "335", false},
		{"6", "335", false},
		{"7", "335", false},
		{"A", "335", true},
		{"C", "320", true},
		{"C", "382", false},
		{"C", "", false},
		{"o", "335", false},
		{"L", "", false},
		{"S", "343", false},
		{"10", "335", false},
	} {
		if got := (quantity{qc: 0, source: 1}).usable(table.Row{c.qc, c.source}); got != c.want {
			t.Errorf("code %q of source %q: %v", c.qc, c.source, got)
		}
	}
}
