package eccc

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// read reads a file and keeps every reading.
func read(file string, opt weather.Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Format.Stream(strings.NewReader(file), opt, s) })
}

// The archive's clock keeps standard time all year: midnight in July is 01:00 on a
// farm with summer time.
func TestStandardTimeAllYear(t *testing.T) {
	loc, err := fields.LoadZone("America/Winnipeg")
	if err != nil {
		t.Fatal(err)
	}
	file := "\"Station Name\",\"Climate ID\",\"Date/Time (LST)\",\"Temp (\xb0C)\",\"Temp Flag\"\n" + // Latin-1, as older files are
		"\"X A\",\"1\",\"2016-07-01 00:00\",\"11.5\",\"\"\n\"X A\",\"1\",\"2016-01-01 00:00\",\"-20.5\",\"\"\n"
	res, err := read(file, weather.Options{Loc: loc})
	if err != nil {
		t.Fatal(err)
	}
	if got := res.Observations[0].At; !got.Equal(time.Date(2016, 1, 1, 6, 0, 0, 0, time.UTC)) {
		t.Errorf("January: %v", got)
	}
	if got := res.Observations[1].At.In(loc); got.Hour() != 1 || got.Day() != 1 {
		t.Errorf("July: %v", got)
	}
}

// Older files carry lines about the station above the header.
func TestPreamble(t *testing.T) {
	loc, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	file := "\"Station Name\",\"X LAKE\"\n\"Province\",\"SASKATCHEWAN\"\n\n\"Legend\"\n\"M\",\"Missing\"\n\n" +
		"\"Date/Time\",\"Year\",\"Month\",\"Day\",\"Data Quality\",\"Max Temp (°C)\",\"Max Temp Flag\",\"Min Temp (°C)\",\"Min Temp Flag\"\n" +
		"\"2010-09-16\",\"2010\",\"09\",\"16\",\"\",\"15\",\"\",\"3.0\",\"\"\n" +
		"\"2010-09-17\",\"2010\",\"09\",\"17\",\"\",\"15\",\"\",\"-1.0\",\"\"\n"
	if sniff([]byte(file)) == "" {
		t.Error("not recognised")
	}
	res, err := read(file, weather.Options{Loc: loc})
	if err != nil {
		t.Fatal(err)
	}
	if res.Station != "X LAKE" || len(res.Nights) != 2 || res.Format != "ECCC daily" {
		t.Errorf("%+v", res)
	}
	// In Saskatchewan the climate day is the calendar day.
	if n := res.Nights[1]; !n.Covers || *n.LowC != -1 || !strings.Contains(n.Uncertain, "calendar day") {
		t.Errorf("%+v", n)
	}
}
