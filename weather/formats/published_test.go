package formats

import (
	"bytes"
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"rimegate/fields"
	"rimegate/weather"
)

// TestPublishedDaily reads four years of published daily lows (source and licence
// in testdata/published/SOURCE.md) and holds the result to the rows as the standard
// library reads them: every low under its date, every frost of every year, no hours
// (the file has highs, but does not say when its days end), and the first frost of
// each autumn.
func TestPublishedDaily(t *testing.T) {
	data, err := os.ReadFile("testdata/published/newyork-daily.csv")
	if err != nil {
		t.Fatal(err)
	}
	table, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	lows := map[fields.Date]float64{}
	frosts, kills := 0, 0
	first := map[int]fields.Date{} // of each autumn
	for _, r := range table[1:] {
		d, err := fields.ParseISODate(r[1])
		if err != nil {
			t.Fatal(err)
		}
		c, err := strconv.ParseFloat(r[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		lows[d] = c
		if c <= 0 {
			frosts++
			if y, m, _ := d.Civil(); m >= 8 && first[y] == fields.NoDate {
				first[y] = d
			}
		}
		if c <= -2.2 {
			kills++
		}
	}
	if len(lows) != 1461 || frosts != 294 {
		t.Fatalf("%d days, %d at or below zero: not the published extract", len(lows), frosts)
	}
	opt := Options{Loc: zone(t, "America/New_York"), Place: &weather.Place{Lat: 40.7, Lon: -74}}
	if _, err := ReadNights("", bytes.NewReader(data), opt); err == nil {
		t.Error("the unit was guessed")
	}
	opt.Unit = "C"
	res, err := ReadNights("", bytes.NewReader(data), opt)
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Nights) != len(lows) || res.Kept != len(lows) {
		t.Fatalf("%d nights, %d rows kept, of %d", len(res.Nights), res.Kept, len(lows))
	}
	gotFrosts, gotKills := 0, 0
	for _, n := range res.Nights {
		if want, ok := lows[n.Night]; !ok || n.LowC == nil || *n.LowC != want {
			t.Errorf("%s: %v, want %v", n.Night, num(n.LowC), want)
			continue
		}
		if n.HoursBelow0 != nil || n.Rebuilt != nil {
			t.Errorf("%s: hours out of a file that does not say when its days end", n.Night)
		}
		if weather.AtOrBelow(*n.LowC, weather.FreezingC) {
			gotFrosts++
		}
		if weather.AtOrBelow(*n.LowC, weather.KillC) {
			gotKills++
		}
	}
	if gotFrosts != frosts || gotKills != kills {
		t.Errorf("%d frosts and %d at 28 °F, want %d and %d", gotFrosts, gotKills, frosts, kills)
	}
	seasons := 0
	for _, s := range weather.SeasonsOf(res.Nights, 0) {
		if s.Outcome != weather.Frost || first[s.Year] == fields.NoDate {
			continue
		}
		seasons++
		if got := weather.SeasonDate(s.Year, s.Day); got != first[s.Year] {
			t.Errorf("first frost of %d: %s, want %s", s.Year, got, first[s.Year])
		}
	}
	t.Logf("%d lows, %d frosts, %d at 28 °F, %d autumns with a known first frost", len(lows), frosts, kills, seasons)
}
