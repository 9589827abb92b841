package form

import (
	"bytes"
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimegate/fields"
)

var update = flag.Bool("update", false, "write the templates anew")

// Each kind that can come from a sheet has a template. No cell of it is a formula to a
// spreadsheet, and each column is found again by its heading.
func TestTemplates(t *testing.T) {
	dir := filepath.Join("testdata", "template")
	listed, _ := os.ReadDir(dir)
	if len(Sheets()) != len(fields.Kinds())-2 { // the farm, and strikes
		t.Errorf("%d kinds of sheets for %d kinds", len(Sheets()), len(fields.Kinds()))
	}
	if len(listed) != len(Sheets()) && !*update {
		t.Errorf("%d templates for %d kinds", len(listed), len(Sheets()))
	}
	for _, k := range Sheets() {
		rows := k.Template()
		var b bytes.Buffer
		if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, string(k.Kind)+".csv")
		if *update {
			if err := os.MkdirAll(dir, 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(name)
		if err != nil || string(want) != b.String() {
			t.Errorf("the template of %s differs from %s (write it anew with -update): %v\n%s", k.Kind, name, err, b.String())
		}
		odd := " Rimegate  " + strings.ToUpper(strings.TrimPrefix(rows[0][0], "rimegate"))
		if SheetOf(rows[0][0]) != k || SheetOf(odd) != k {
			t.Errorf("%q is not known again", rows[0][0])
		}
		for i, row := range rows {
			for j, cell := range row {
				formula := cell != "" && strings.ContainsRune("=+-@'", rune(cell[0]))
				if formula || cell != strings.Join(strings.Fields(cell), " ") || strings.Contains(cell, "--") {
					t.Errorf("%s: %q", k.Kind, cell)
				}
				if i == 0 && j > 0 {
					if f, _, err := k.Heading(cell); err != nil || f != k.Columns()[j-1] {
						t.Errorf("%s: the column %q is read as %v, %v", k.Kind, cell, f, err)
					}
				}
				if (j == 0) != strings.HasPrefix(cell, RowMark) && i > 0 {
					t.Errorf("%s: %q", k.Kind, cell)
				}
			}
		}
	}
}

func TestHeadings(t *testing.T) {
	walk := Of(fields.KindWalk)
	for _, c := range []struct{ cell, column, unit, err string }{
		{"Weeds  Checked", "weeds-checked", "", ""},
		{"weeds_checked", "weeds-checked", "", ""},
		{"PADDOCKS", "paddock", "", ""},
		{"shortest_cm", "shortest", "", ""},
		{"Shortest (cm)", "shortest", "cm", ""},
		{"shortest [ inches ]", "shortest", "inches", ""},
		{"shortest (kg)", "", "", `"kg" is no unit of a height; a cell below it would be like 61cm or 24in`},
		{"shortest ()", "", "", `"" is no unit of a height`},
		{"killed (all)", "", "", "this column takes no unit in its heading; leave out the brackets"},
		{"kiled", "", "", `"kiled" is no column of walk; did you mean killed? the columns are paddock, on, `},
		{"dry-run", "", "", "is no column of walk"},
		{"as-said", "", "", "is no column of walk"},
	} {
		f, unit, err := walk.Heading(c.cell)
		switch {
		case c.err != "":
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%q: %v, want %q", c.cell, err, c.err)
			}
		case err != nil || f.Column() != c.column || unit != c.unit:
			t.Errorf("%q is read as %v with unit %q, %v", c.cell, f, unit, err)
		}
	}
}

func TestCells(t *testing.T) {
	for _, c := range []struct {
		kind               fields.Kind
		field, text, unit  string
		want, wrong, types string
	}{
		{fields.KindWalk, "dry", "TRUE", "", "yes", "", ""},
		{fields.KindWalk, "dry", "Not-Dry", "", "no", "", ""},
		{fields.KindWalk, "dry", "x", "", "", `"x" is not one of them`, "type yes or no, or leave the cell empty"},
		{fields.KindWalk, "shoots_cm", "no-shoots", "", "none", "", ""},
		{fields.KindWalk, "shoots_cm", "none", "cm", "none", "", ""},
		{fields.KindWalk, "shoots_cm", "15", "cm", "15 cm", "", ""},
		{fields.KindWalk, "shoots_cm", "15in", "cm", "", `"15in" is not a number alone, and the heading says cm`, ""},
		{fields.KindWalk, "shoots_cm", "15", "", "15", "", ""}, // refused by the form: no unit
		{fields.KindReading, "station", "in-paddock", "", Inside, "", ""},
		{fields.KindNitrogen, "rate_unknown", "true", "", "yes", "", ""},
		{fields.KindNitrogen, "rate_unknown", "no", "", "", `"no" is not one of them; type yes, or leave the cell empty`, ""},
		{fields.KindSown, "species", "mix-not-known", "", "not-known", "", ""},
	} {
		got, err := Of(c.kind).Field(c.field).Cell(c.text, c.unit)
		if c.wrong == "" {
			if err != nil || got != c.want {
				t.Errorf("%s.%s %q: %q, %v", c.kind, c.field, c.text, got, err)
			}
		} else if err == nil || !strings.Contains(err.Error(), c.wrong) || !strings.Contains(err.Error(), c.types) {
			t.Errorf("%s.%s %q: %q, %v", c.kind, c.field, c.text, got, err)
		}
	}
}
