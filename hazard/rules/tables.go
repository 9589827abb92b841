package rules

import (
	"math"

	"rimegate/fields"
	"rimegate/hazard"
)

// Atomic weights, IUPAC/CIAAW abridged values (from memory; interval weights
// move NO3/N only between 4.42658 and 4.42695).
const (
	atomN  = 14.007
	atomO  = 15.999
	atomK  = 39.098
	atomNa = 22.990

	massNO3   = atomN + 3*atomO
	massKNO3  = atomK + massNO3
	massNaNO3 = atomNa + massNO3
)

// toN is the NO3-N in one part of a reporting form, by atomic weights. The
// rounded factors in print (0.23, 4.4, 7.2) are never used.
var toN = map[string]float64{
	"NO3-N": 1,
	"NO3":   atomN / massNO3,
	"KNO3":  atomN / massKNO3,
	"NaNO3": atomN / massNaNO3,
}

// toPPM turns a printed unit into ppm.
var toPPM = map[string]float64{"ppm": 1, "mg/kg": 1, "g/kg": 1000, "%": 10000}

// pregnantRow are the classes judged by a table's pregnant row. A class no
// table names takes it when it is young or small; open cattle and horses take
// the other row.
var (
	pregnantRow = []hazard.Class{hazard.BredCattle, hazard.YoungCattle, hazard.Sheep, hazard.Goats}
	otherRow    = []hazard.Class{hazard.OpenCattle, hazard.Horses}
)

func (r *reader) readTable(d *doc) {
	var f tableFile
	if !d.decode(&f, &r.problems) {
		r.whole = false
		return
	}
	before := len(r.problems)
	src := r.source(d, "", sourceShape{f.ID, f.Publisher, f.Title, f.Year, f.URL}, f.Says)
	r.need(d, "", "says", f.Says)
	r.date(d, "", f.CheckedOn)
	if f.ID == allTables {
		r.add(d, "id", "no table can be called %q", allTables)
	}
	n, ok := toN[f.Form]
	if !ok {
		r.add(d, "form", "form %q is not one of NO3, NO3-N, KNO3, NaNO3", f.Form)
	}
	ppm, ok := toPPM[f.Unit]
	if !ok {
		r.add(d, "unit", "unit %q is not one of ppm, mg/kg, g/kg, %%", f.Unit)
	}
	if len(f.Pregnant) == 0 {
		r.add(d, "pregnant", "the pregnant row is missing")
	}
	if len(f.Other) == 0 && !f.OneRow {
		r.add(d, "other", "the row of other stock is missing")
	}
	t := hazard.NitrateTableData{ID: f.ID, Source: src, Form: fields.Form(f.Form), Unit: f.Unit, OneRow: f.OneRow, ToN: n}
	preg := r.bands(d, "pregnant", f.Pregnant, f.OneRow, ppm)
	other := r.bands(d, "other", f.Other, f.OneRow, ppm)
	if len(r.problems) > before {
		return
	}
	r.notes[f.ID] = f.Note
	r.book.Tables = append(r.book.Tables, tableOfRows(t, preg, other))
}

// tableOfRows gives each class its row.
func tableOfRows(t hazard.NitrateTableData, pregnant, other []hazard.NitrateBand) hazard.NitrateTableData {
	t.Rows = make(map[hazard.Class][]hazard.NitrateBand, len(hazard.Classes))
	for _, c := range pregnantRow {
		t.Rows[c] = pregnant
	}
	if len(other) > 0 {
		for _, c := range otherRow {
			t.Rows[c] = other
		}
	}
	return t
}

// bands checks and converts one row.
func (r *reader) bands(d *doc, row string, in []bandShape, oneRow bool, ppm float64) []hazard.NitrateBand {
	var out []hazard.NitrateBand
	if oneRow && len(in) != 0 && len(in) != 2 {
		r.add(d, row, "a one-row table has one line: two bands, not %d", len(in))
	}
	for i, b := range in {
		path := at(row, i)
		band := hazard.NitrateBand{UpTo: math.Inf(1), Caution: b.Caution, DoNot: b.DoNot, Words: b.Words}
		r.need(d, path, "words", b.Words)
		switch {
		case b.UpTo == nil && i < len(in)-1:
			r.add(d, path, "up_to is missing: only the last band has no upper edge")
		case b.UpTo != nil && i == len(in)-1:
			r.add(d, dot(path, "up_to"), "the last band has an upper edge: values above it would be in no band")
		case b.UpTo != nil && (math.IsNaN(*b.UpTo) || math.IsInf(*b.UpTo, 0) || *b.UpTo <= 0):
			r.add(d, dot(path, "up_to"), "up_to %s cannot be", number(*b.UpTo))
		case b.UpTo != nil:
			// Rounded to a millionth of a ppm: 0.66 % is 6600 ppm, not
			// 6600.000000000001.
			band.UpTo = math.Round(*b.UpTo*ppm*1e6) / 1e6
			if i > 0 && in[i-1].UpTo != nil && *b.UpTo <= *in[i-1].UpTo {
				r.add(d, dot(path, "up_to"), "bands are not in order: %s does not come after %s", number(*b.UpTo), number(*in[i-1].UpTo))
			}
		}
		switch {
		case b.Share == nil:
			r.add(d, path, "share is missing: percent of the ration, 100 for no limit")
		case math.IsNaN(*b.Share) || *b.Share < 0 || *b.Share > 100:
			r.add(d, dot(path, "share"), "share %s cannot be; it lies between 0 and 100 percent", number(*b.Share))
		default:
			band.MaxShare = *b.Share
			if b.DoNot != (*b.Share == 0) {
				r.add(d, dot(path, "share"), "share 0 and do_not go together")
			}
			if i > 0 && in[i-1].Share != nil && *b.Share > *in[i-1].Share {
				r.add(d, dot(path, "share"), "the share grows from %s to %s as the nitrate does", number(*in[i-1].Share), number(*b.Share))
			}
		}
		if i > 0 && in[i-1].Caution && !b.Caution && !b.DoNot && b.Share != nil && *b.Share == 100 {
			r.add(d, path, "the band above a caution is clear")
		}
		if i == 0 && (b.Caution || b.DoNot || b.Share != nil && *b.Share < 100) {
			r.add(d, path, "the lowest band is not clear")
		}
		out = append(out, band)
	}
	return out
}
