package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The nights as JSON: reconstructed hours, measured ones, none, a frost without a number,
// a night nobody read.
func TestNightsJSON(t *testing.T) {
	smallFarm(t)
	golden, err := os.ReadFile(filepath.Join(repo, "weather", "formats", "testdata", "golden", "ghcnd-by-year-frosts.csv"))
	if err != nil {
		t.Fatal(err)
	}
	// The same days a year later lie in this season; from 7 October on they have not come.
	var rows []string
	for _, r := range strings.Split(string(golden), "\n") {
		if i := strings.Index(r, "202510"); i > 0 && r[i+6:i+8] < "24" {
			rows = append(rows, strings.Replace(r, "202510", "202609", 1))
		}
	}
	if err := os.WriteFile("daily.csv", []byte(strings.Join(rows, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, words := range [][]string{
		{"station", "set", "--lat", "40.1", "--lon", "-99.9", "home"},
		{"import", "--station", "home", "daily.csv"},
		{"log", "reading", "--station", "home", "--night", "25-Sep", "--low", "-3C", "--hours-below-0", "6.5h"},
		{"log", "reading", "--station", "home", "--night", "26-Sep", "--below-zero"},
	} {
		if status, _, errOut := invoke(t, words...); status != statusDone {
			t.Fatalf("%v: %d %s", words, status, errOut)
		}
	}
	status, out, errOut := invoke(t, "nights", "--from", "10-Sep", "--json")
	if status != statusDone {
		t.Fatalf("%d %s", status, errOut)
	}
	out = anID.ReplaceAllString(out, "01M48MAPC07N737VTZ7GPDCSQG")            // they are new each time
	kept := filepath.Join(repo, "hazard", "board", "testdata", "nights.json") // held to its schema there
	if *update {
		if err := os.WriteFile(kept, []byte(out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(kept)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), out); diff != "" {
		t.Errorf("the nights differ (-want +got):\n%s", diff)
	}
}
