package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"rimegate/hazard/board"
)

// The nights as JSON keep to their schema, whatever they hold: reconstructed
// hours, measured ones, none, a frost without a number, a night nobody read. The
// schema itself refuses the two kinds of hours in one night.
func TestNightsJSON(t *testing.T) {
	smallFarm(t)
	schema := func() *jsonschema.Schema {
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(board.NightsSchema)))
		if err != nil {
			t.Fatal(err)
		}
		c := jsonschema.NewCompiler()
		c.DefaultDraft(jsonschema.Draft2020)
		if err := c.AddResource("nights.json", doc); err != nil {
			t.Fatal(err)
		}
		s, err := c.Compile("nights.json")
		if err != nil {
			t.Fatal(err)
		}
		return s
	}()
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
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(v); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, want := range []string{`"reconstructed_below_0": `, `"measured_below_0": 6.5`, `"hours": null`, `"low_c": null`, `"word": "not in yet"`, `"word": "FROZE"`} {
		if !strings.Contains(out, want) {
			t.Errorf("%s is not in\n%s", want, out)
		}
	}
	for what, broken := range map[string]string{
		"both kinds of hours": strings.Replace(out, `"measured_below_0": 6.5`, `"measured_below_0": 6.5, "reconstructed_below_0": 6`, 1),
		"hours without error": strings.Replace(out, `"reconstructed_nine_in_ten_within_h_steady_cold"`, `"reconstructed_x"`, 1),
		"another word":        strings.Replace(out, "not in yet", "clear", 1),
	} {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(broken))
		if err != nil {
			t.Fatal(err)
		}
		if schema.Validate(v) == nil {
			t.Errorf("the schema takes %s", what)
		}
	}
}
