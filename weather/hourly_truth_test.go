package weather

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"rimegate/fields"
)

// TestHourlyAgainstNights works nights out of the hourly files behind
// testdata/nights.csv and holds them to that table, which was made apart from this
// code: the low, the hours below 0 and -2.2 °C within 0.1 h, and frost or no frost
// of every night. The hourly files are not part of the project. Those who have them
// (columns as the R packages weathercan and nycflights13 write them) name their
// folder in RIMEGATE_HOURLY: kamloops-hourly-2016.csv, nyc-hourly-2013.csv.
func TestHourlyAgainstNights(t *testing.T) {
	dir := os.Getenv("RIMEGATE_HOURLY")
	if dir == "" {
		t.Skip("RIMEGATE_HOURLY names no folder with the hourly files")
	}
	obs := map[string][]Observation{}
	pst, est := time.FixedZone("PST", -8*3600), time.FixedZone("EST", -5*3600)
	eachRow(t, filepath.Join(dir, "kamloops-hourly-2016.csv"), func(cell func(string) string) {
		at, err := time.ParseInLocation("2006-01-02 15:04:05", cell("time"), pst)
		c, err2 := strconv.ParseFloat(cell("temp"), 64)
		if err == nil && err2 == nil {
			obs["YKA"] = append(obs["YKA"], Observation{At: at, TempC: c, HasTemp: true})
		}
	})
	eachRow(t, filepath.Join(dir, "nyc-hourly-2013.csv"), func(cell func(string) string) {
		at, err := time.Parse("2006-01-02T15:04:05Z", cell("time_hour"))
		f, err2 := strconv.ParseFloat(cell("temp"), 64)
		if err == nil && err2 == nil { // the stamp is the hour that the report of :51 closes
			obs[cell("origin")] = append(obs[cell("origin")], Observation{At: at.Add(time.Hour), TempC: FtoC(f), HasTemp: true})
		}
	})
	nights, frosts, atNoon := 0, 0, 0
	worst := 0.0
	zones := map[string]*time.Location{"YKA": pst, "EWR": est, "JFK": est, "LGA": est}
	lows := map[string]map[fields.Date]NightLow{}
	for site, loc := range zones {
		if len(obs[site]) < 4000 {
			t.Fatalf("%s: %d readings", site, len(obs[site]))
		}
		lows[site] = map[fields.Date]NightLow{}
		for _, n := range NightsOf(obs[site], loc, nil) {
			lows[site][n.Night] = n
		}
	}
	for _, m := range loadNights(t) {
		n, ok := lows[m.site][m.evening+1]
		if !ok || !n.Covers || n.LowC == nil {
			continue
		}
		nights++
		// The table's night holds the reading at the noon that ends it; ours does not,
		// since that is the next night's. Where a front makes noon the coldest hour the
		// two lows differ by right.
		from, to := fields.NightSpan(n.Night, zones[m.site])
		low := *n.LowC
		for _, o := range obs[m.site] {
			if o.At.Equal(to) {
				low = min(low, o.TempC)
			}
		}
		switch {
		case math.Abs(low-m.tmin) > 0.051:
			t.Errorf("%s %s: low %.2f, the table says %.2f", m.site, m.evening, low, m.tmin)
		case low < *n.LowC:
			atNoon++
		case AtOrBelow(m.tmin, FreezingC) != AtOrBelow(*n.LowC, FreezingC):
			t.Errorf("%s %s: frost or no frost", m.site, m.evening)
		}
		if AtOrBelow(m.tmin, FreezingC) {
			frosts++
		}
		// The table counts what is below its threshold. Readings in whole degrees
		// Fahrenheit lie on it for hours, and which side such a reading falls to is the
		// rounding of its conversion: so the table must lie between ours for just below
		// and for just above.
		for _, q := range []struct{ line, want float64 }{{FreezingC, m.h0}, {KillC, m.hk}} {
			lo, read := HoursAtOrBelow(obs[m.site], q.line-Tolerance-1e-6, from, to)
			hi, _ := HoursAtOrBelow(obs[m.site], q.line-Tolerance+1e-6, from, to)
			if read < 23.9 {
				continue
			}
			off := max(lo-q.want, q.want-hi, 0)
			worst = max(worst, off)
			if off > 0.1 {
				t.Errorf("%s %s: %.2f to %.2f h below %.1f °C, the table says %.2f", m.site, m.evening, lo, hi, q.line, q.want)
			}
		}
	}
	t.Logf("%d nights, %d with frost; hours at most %.3f apart; %d lows at noon", nights, frosts, worst, atNoon)
	if nights < 1000 || frosts < 150 {
		t.Errorf("only %d nights, %d with frost", nights, frosts)
	}
}

func eachRow(t *testing.T, name string, row func(cell func(string) string)) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Skipf("%v", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	for _, r := range rows[1:] {
		row(func(name string) string { return r[col[name]] })
	}
}
