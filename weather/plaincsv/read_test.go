package plaincsv

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := fields.LoadZone(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func TestNightTable(t *testing.T) {
	res, err := readFile("night,low_f\n2026-10-06,28\n2026-10-07,M\n2026-10-08,41\n", weather.Options{Loc: zone(t, "America/Denver")})
	if err != nil {
		t.Fatal(err)
	}
	if res.Read != 3 || res.Kept != 2 || res.Missing != 1 {
		t.Errorf("counts %+v", res)
	}
	rs := weather.ToReadings(res.Nights, "home", "notebook.csv")
	if len(rs) != 2 || *rs[0].LowC != -2.2222 || !*rs[0].Covers || rs[0].Night != fields.MakeDate(2026, 10, 6) {
		t.Errorf("readings %+v", rs)
	}
}

// readFile reads a file and keeps every reading.
func readFile(file string, opt weather.Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Format.Stream(strings.NewReader(file), opt, s) })
}
