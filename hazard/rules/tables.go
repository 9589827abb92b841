package rules

import (
	"math"
	"strconv"

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

type tableShape struct {
	published
	Says      string `need:""`
	Form      string `one:"NO3,NO3-N,KNO3,NaNO3"`
	Unit      string `one:"ppm,mg/kg,g/kg,%"`
	OneRow    bool
	CheckedOn fields.Date `need:""`
	Note      string      // what has to be known of it beside its bands
	Pregnant  []bandShape
	Other     []bandShape
}

type bandShape struct {
	UpTo      *float64 // in the printed unit; left out: no upper edge
	Share     *float64
	ShareOurs bool // the source prints no share
	Caution   bool
	DoNot     bool
	Words     string `need:""`
}

func (r *reader) readTable(s spot) {
	var f tableShape
	s.decode(&f)
	t := hazard.NitrateTableData{
		ID: f.ID, Source: r.source(s, &f.published, f.Says), Form: fields.Form(f.Form), Unit: f.Unit, OneRow: f.OneRow, ToN: toN[f.Form],
		Rows: make(map[hazard.Class][]hazard.NitrateBand, len(hazard.Classes)),
	}
	s.refuse(f.ID == allTables, "id", "no table can be called %q", allTables)
	s.refuse(len(f.Pregnant) == 0, "pregnant", "the pregnant row is missing")
	s.refuse(len(f.Other) == 0 && !f.OneRow, "other", "the row of other stock is missing")
	for _, row := range []struct {
		key     string
		bands   []bandShape
		classes []hazard.Class
	}{{"pregnant", f.Pregnant, pregnantRow}, {"other", f.Other, otherRow}} {
		if len(row.bands) == 0 {
			continue
		}
		at := s.at(row.key)
		at.refuse(f.OneRow && len(row.bands) != 2, "", "a one-row table has one line: two bands, not %s", strconv.Itoa(len(row.bands)))
		bands := make([]hazard.NitrateBand, len(row.bands))
		for i := range bands {
			bands[i] = convert(at.at(i), row.bands, i, toPPM[f.Unit])
		}
		for _, c := range row.classes {
			t.Rows[c] = bands
		}
	}
	r.book.Tables = append(r.book.Tables, t)
	s.wasRead(&f.published, "says", f.Says, "note", f.Note)
	r.reviewTable(s, &f, &t)
}

// convert checks and converts a band of a row against the one below it.
func convert(s spot, row []bandShape, i int, ppm float64) hazard.NitrateBand {
	b, below := &row[i], bandShape{}
	if i > 0 {
		below = row[i-1]
	}
	last := i == len(row)-1
	upTo, share := or(b.UpTo, math.Inf(1)), or(b.Share, 0)
	s.refuse(b.UpTo == nil && !last, "up_to", "up_to is missing: only the last band has no upper edge")
	s.refuse(b.UpTo != nil && last, "up_to", "the last band has an upper edge: values above it would be in no band")
	s.refuse(b.UpTo != nil && !(upTo > 0 && upTo < math.Inf(1)), "up_to", "up_to %s cannot be", number(upTo))
	s.refuse(upTo <= or(below.UpTo, 0), "up_to", "bands are not in order: %s does not come after %s", number(upTo), number(or(below.UpTo, 0)))
	if b.Share == nil {
		s.at("share").add("share is missing: percent of the ration, 100 for no limit")
	} else {
		s.refuse(!(share >= 0 && share <= 100), "share", "share %s cannot be; it lies between 0 and 100 percent", number(share))
		s.refuse(b.DoNot != (share == 0), "share", "share 0 and do_not go together")
		s.refuse(share > or(below.Share, 100), "share", "the share grows from %s to %s as the nitrate does", number(or(below.Share, 100)), number(share))
	}
	clear, told := !b.Caution && !b.DoNot && or(b.Share, 100) == 100, !s.broken()
	s.refuse(told && below.Caution && clear, "", "the band above a caution is clear")
	s.refuse(told && i == 0 && !clear, "", "the lowest band is not clear")
	// Rounded to a millionth of a ppm: 0.66 % is 6600 ppm, not 6600.000000000001.
	return hazard.NitrateBand{UpTo: math.Round(upTo*ppm*1e6) / 1e6, MaxShare: share, Caution: b.Caution, DoNot: b.DoNot, Words: b.Words}
}

func or(v *float64, otherwise float64) float64 {
	if v == nil {
		return otherwise
	}
	return *v
}
