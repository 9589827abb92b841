package tui

import (
	"testing"

	"rimegate/fields"
)

// What a field reads is what the command line reads: a thousands comma is no
// list, and a day just passed is not next year's.
func TestFieldsRefuseWhatCanBeReadTwoWays(t *testing.T) {
	today, err := fields.ParseISODate("2026-10-06")
	if err != nil {
		t.Fatal(err)
	}
	m := &model{answer: &Answer{Today: today}}
	for _, c := range []struct {
		typ  fieldType
		text string
		ok   bool
	}{
		{tNumbers, "3,000", false},
		{tNumbers, "3000", true},
		{tNumbers, "820, 910", true},
		{tNumber, "1,200", false},
		{tAhead, "30-Sep", false},
		{tAhead, "30-Nov", true},
		{tMix, "oats:60, cowpea", true},
		{tMix, "oats:x", false},
	} {
		x := &field{look: look{typ: c.typ}, text: c.text}
		if v, err := x.value(m); (err == nil) != c.ok {
			t.Errorf("%q: %v, %v", c.text, v, err)
		}
	}
}
