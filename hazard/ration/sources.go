package ration

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"

	"rimegate/hazard"
)

// sourcesCSV are the publications the figures of this package come from. Where a
// page shows no year, the year is empty.
//
//go:embed sources.csv
var sourcesCSV string

var sources = sync.OnceValue(func() map[string]hazard.Source {
	out := map[string]hazard.Source{}
	for _, r := range readCSV(sourcesCSV) {
		year, _ := strconv.Atoi(r[3])
		out[r[0]] = hazard.Source{ID: r[0], Publisher: r[1], Title: r[2], Year: year, URL: r[4]}
	}
	return out
})

func source(id string) hazard.Source {
	s, ok := sources()[id]
	if !ok {
		panic("ration: no source " + id)
	}
	return s
}

// readCSV returns the rows of an embedded table without its head.
func readCSV(text string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic("ration: " + err.Error())
	}
	return rows[1:]
}
