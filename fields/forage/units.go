package forage

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"
)

// Source is where a figure was read.
type Source struct {
	Publisher string
	Title     string
	Year      int // 0: the page shows none
	URL       string
}

// UnitDay is the feed of one animal unit, kg dry matter a day (11.79). A unit is a cow
// of 1000 lb, dry or with a calf of up to six months, that eats about 26 lb (the
// definition rounds it to 12 kg) of oven-dry forage a day: Society for Range
// Management, glossary, animal unit, no year,
// https://rangelandsgateway.org/taxonomy/term/24233; 1000 lb x 2.6 %, 780 lb in 30
// days: NRCS National Range and Pasture Handbook, via eXtension, Animal units, 2015,
// https://articles.extension.org/pages/33665/animal-units . A pound is 0.45359237 kg.
const UnitDay = 26 * 0.45359237

// Unit is what one head of a kind counts for.
type Unit struct {
	Kind    string
	Classes []string // classes of stock, as in the journal
	AU      float64
	Source  Source
}

//go:embed units.csv
var unitsCSV string

// Units are the published equivalents, the widely used table first. The tables
// disagree: a pair is 1.00 in the first and 1.35 in the second. Every demand
// worked out from them carries both ends and names its publisher.
var Units = sync.OnceValue(func() (out []Unit) {
	r := csv.NewReader(strings.NewReader(unitsCSV))
	r.Comment, r.FieldsPerRecord = '#', -1
	rows, err := r.ReadAll()
	if err != nil {
		panic("forage: " + err.Error())
	}
	var of Source
	for _, c := range rows {
		if len(c) == 5 {
			year, _ := strconv.Atoi(c[3])
			of = Source{c[1], c[2], year, c[4]}
			continue
		}
		au, err := strconv.ParseFloat(c[2], 64)
		if err != nil {
			panic("forage: " + err.Error())
		}
		out = append(out, Unit{c[0], strings.Fields(c[1]), au, of})
	}
	return out
})
