package main

import (
	"bytes"
	"strings"
	"testing"

	"rimegate/fields"
)

// A file of a hundred thousand mistakes ends with how many there are.
func TestManyMistakesEndInASummary(t *testing.T) {
	var out bytes.Buffer
	p := &program{err: &out}
	var all fields.Problems
	for i := range 100_000 {
		all = append(all, fields.Problem{Line: i + 1, What: "is not a JSON object"})
	}
	if status := p.fail(all.Err()); status != statusRefused {
		t.Errorf("status %d", status)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if len(lines) != maxProblems+1 {
		t.Fatalf("%d lines", len(lines))
	}
	if last := lines[len(lines)-1]; last != "rimegate: and 99,980 more problems. Nothing was stored." {
		t.Error(last)
	}
}
