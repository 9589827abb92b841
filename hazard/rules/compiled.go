package rules

import (
	"math"

	"rimegate/fields"
	"rimegate/hazard"
)

//go:generate go test -run TestCompiledEqualsFiles -update .

// compiledTable is a nitrate table without what cannot be laid out before the
// program starts: an upper edge of 0 stands for none.
type compiledTable struct {
	source          hazard.Source
	form, unit      string
	oneRow          bool
	note            string
	pregnant, other []hazard.NitrateBand
}

// fromCompiled builds the embedded rulebook from compiled_gen.go, which a test
// holds equal to the TOML files. Reading the files takes a hundred times as
// long, and every command starts here.
func fromCompiled() *bound {
	b := &bound{
		docs:    compiledDocs[:],
		byID:    make(map[string]int, len(compiledDocs)),
		sources: make(map[string]hazard.Source, len(compiledSources)),
		notes:   make(map[string]string, len(compiledTables)),
		species: make([]*hazard.Species, len(compiledSpecies)),
		frost:   make(map[string]string, len(compiledFrost)),
		book: &hazard.Rulebook{
			Name: compiledName, Version: compiledVersion, Digest: compiledDigest, V: compiledValues,
			Species: make(map[string]*hazard.Species, len(compiledSpecies)),
			Alias:   make(map[string]string, len(compiledAliases)),
			Tables:  make([]hazard.NitrateTableData, 0, len(compiledTables)),
			Info:    make(map[string]hazard.RuleInfo, len(compiledDocs)),
		},
	}
	for i := range compiledDocs {
		d := &compiledDocs[i]
		b.byID[d.ID] = i
		b.book.Info[d.ID] = hazard.RuleInfo{ID: d.ID, Title: d.Title, Unit: d.Unit, Basis: d.Basis, Sources: d.Sources}
	}
	for _, s := range compiledSources {
		b.sources[s.ID] = s
	}
	for i := range compiledSpecies {
		sp := &compiledSpecies[i]
		b.species[i] = sp
		b.book.Species[sp.ID] = sp
	}
	for _, f := range compiledFrost {
		b.frost[f[0]] = f[1]
	}
	for _, a := range compiledAliases {
		b.book.Alias[a[0]] = a[1]
	}
	for i := range compiledTables {
		t := &compiledTables[i]
		b.book.Tables = append(b.book.Tables, t.table())
		b.notes[t.source.ID] = t.note
	}
	return b
}

func (t *compiledTable) table() hazard.NitrateTableData {
	return tableOfRows(hazard.NitrateTableData{
		ID: t.source.ID, Source: t.source, Form: fields.Form(t.form), Unit: t.unit, OneRow: t.oneRow, ToN: toN[t.form],
	}, openTop(t.pregnant), openTop(t.other))
}

func openTop(in []hazard.NitrateBand) []hazard.NitrateBand {
	if len(in) == 0 {
		return nil
	}
	out := append([]hazard.NitrateBand(nil), in...)
	out[len(out)-1].UpTo = math.Inf(1)
	return out
}
