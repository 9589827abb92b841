package nws

import (
	"fmt"
	"reflect"
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

func TestDurations(t *testing.T) {
	for in, want := range map[string]time.Duration{
		"PT13H": 13 * time.Hour, "PT1H": time.Hour, "P7DT5H": 173 * time.Hour, "P1D": 24 * time.Hour, "PT30M": 30 * time.Minute,
	} {
		if got := duration(in); got != want {
			t.Errorf("%s: %v", in, got)
		}
	}
	for _, in := range []string{"", "P", "13H", "PT", "PTH", "PT-1H", "P1Y", "P1M", "PT1H2", "PTT1H", "PT99999999999H", "P1DT1D"} {
		if got := duration(in); got != 0 {
			t.Errorf("%s: %v", in, got)
		}
	}
}

// A forecast never becomes a reading, and its low is the coldest of what bears on
// the night.
func TestForecastIsNoReading(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	file := `{"properties":{"updateTime":"2025-10-14T18:10:00+00:00","gridId":"TST","gridX":1,"gridY":2,
		"minTemperature":{"uom":"wmoUnit:degF","values":[{"validTime":"2025-10-15T00:00:00+00:00/PT13H","value":30}]},
		"temperature":{"uom":"wmoUnit:degC","values":[{"validTime":"2025-10-15T10:00:00+00:00/PT3H","value":-2},{"validTime":"soon","value":1},{"validTime":"2025-10-16T02:00:00+00:00/PT1H","value":400}]}}}`
	res, err := read(file, weather.Options{Loc: loc})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Observations)+len(res.Nights)+len(res.Spells) != 0 {
		t.Errorf("a forecast gave readings: %+v", res)
	}
	if len(res.Forecasts) != 1 || *res.Forecasts[0].LowC != -2 || res.Forecasts[0].Night != fields.MakeDate(2025, 10, 15) || res.Rejected != 2 {
		t.Errorf("%+v", res)
	}
	f := weather.ToForecasts(res.Forecasts, "st", "grid.json")
	if len(f) != 1 || *f[0].LowC != -2 || !f[0].Issued.Equal(time.Date(2025, 10, 14, 18, 10, 0, 0, time.UTC)) || f[0].Source != "grid.json (NWS gridpoint forecast)" {
		t.Errorf("%+v", f)
	}
}

// null is "no value" and never 0; a failed check bars a value; units are obeyed.
func TestObservationValues(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	feature := func(hour, temp string) string {
		return `{"properties":{"station":"https://api.weather.gov/stations/KTST","timestamp":"2025-10-15T` + hour + `:53:00+00:00","temperature":` + temp + `}}`
	}
	file := `{"features":[` + strings.Join([]string{
		feature("08", `{"unitCode":"wmoUnit:degC","value":null,"qualityControl":"Z"}`),
		feature("09", `{"unitCode":"unit:degC","value":-0.6,"qualityControl":"V"}`),
		feature("10", `{"unitCode":"wmoUnit:degF","value":28,"qualityControl":"C"}`),
		feature("11", `{"unitCode":"wmoUnit:degC","value":-9,"qualityControl":"Q"}`),
		feature("12", `{"unitCode":"wmoUnit:Pa","value":-9,"qualityControl":"V"}`),
		feature("13", `{"unitCode":"wmoUnit:degC","value":"cold","qualityControl":"V"}`),
		feature("99", `{"unitCode":"wmoUnit:degC","value":1,"qualityControl":"V"}`),
	}, ",") + `]}`
	res, err := read(file, weather.Options{Loc: loc})
	if err != nil {
		t.Fatal(err)
	}
	if res.Kept != 2 || res.Missing != 1 || res.Rejected != 4 || res.Station != "KTST" {
		t.Errorf("%+v", res)
	}
	if c := res.Observations[1].TempC; c != weather.FtoC(28) {
		t.Errorf("28 °F read as %v", c)
	}
}

// A file in which nothing is odd is read at once, and says what it says when it is read an
// observation at a time, as beside a detail.
func TestReadAtOnceIsTheSame(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	observation := func(rest string) string {
		return `{"properties":{"stationId":"KTST","timestamp":"2025-10-15T08:53:00+00:00"` + rest + `}}`
	}
	cold := `,"temperature":{"unitCode":"wmoUnit:degC","value":-3.1,"qualityControl":"V"}`
	for _, file := range []string{
		`{"features":[` + observation(cold) + `,` + observation("") + `,null,{}]}`,
		`{"features":[` + observation(cold) + `],"features":[` + observation("") + `]}`,
		`{"features":[` + observation("") + `],"Features":[` + observation(cold) + `]}`,
		`{"features":[` + observation(cold) + `],"features":null}`,
		`{"@graph":[` + observation(cold) + `,` + observation("") + `]}`,
		`{"@graph":[` + observation(cold) + `],"features":[` + observation("") + `]}`,
	} {
		once, err := read(file, weather.Options{Loc: loc})
		each, err2 := read(`{"detail":1,`+file[1:], weather.Options{Loc: loc})
		if fmt.Sprint(err) != fmt.Sprint(err2) || !reflect.DeepEqual(once, each) {
			t.Errorf("%s\n%+v, %v\n%+v, %v", file, once, err, each, err2)
		}
	}
}

// What MADIS calls failed, questioned, bad, interpolated or put right was not measured;
// the other letters, and none, let a value through.
func TestQualityLetters(t *testing.T) {
	for qc, barred := range map[string]bool{
		"": false, "Z": false, "C": false, "S": false, "V": false, "G": false, "T": false, "qc:V": false,
		"X": true, "Q": true, "B": true, "I": true, "W": true, "qc:X": true,
	} {
		if q := (quantity{QC: qc}); q.barred() != barred {
			t.Errorf("%q: %v", qc, q.barred())
		}
	}
}

// A reading that failed a check does not take along the lowest of the hours before it.
func TestBarredKeepsLows(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	feature := func(raw, min24 string) string {
		return `{"features":[{"properties":{"stationId":"KTST","timestamp":"2026-10-09T11:53:00+00:00","rawMessage":"` + raw +
			`","temperature":{"unitCode":"wmoUnit:degC","value":9,"qualityControl":"X"},"minTemperatureLast24Hours":{"unitCode":"wmoUnit:degC","value":` + min24 + `}}}]}`
	}
	const head = "KTST 091153Z AUTO 00000KT 10SM CLR M03/M05 A3001 RMK AO2 "
	for _, c := range []struct {
		raw, min24 string
		want       float64 // 0: the observation is rejected
	}{
		{head + "T10281050 10101 21028", "null", -2.8},
		{head + "T00901050 21028", "null", -2.8}, // body and remarks contradict one another
		{"", "-2.2", -2.2},
		{head + "T10281050", "null", 0},
	} {
		res, err := read(feature(c.raw, c.min24), weather.Options{Loc: loc})
		if c.want == 0 {
			if err == nil || !strings.Contains(err.Error(), `quality check "X"`) || strings.Contains(err.Error(), "line") {
				t.Errorf("%s: %v %v", c.raw, res, err)
			}
			continue
		}
		if err != nil || len(res.Spells) != 1 || res.Spells[0].MinC != c.want || len(res.Observations) != 0 || len(res.Failed) != 1 || res.Failed[0].TempC != 9 || !strings.Contains(strings.Join(res.Notes, "\n"), "left out 1 value") {
			t.Errorf("%s: %+v %v", c.raw, res, err)
		}
	}
}

// JSON-LD, and one answer behind the other, are the same observations.
func TestOtherEnvelopes(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	flat := func(hour, temp string) string {
		return `{"@context":{},"@type":"wx:ObservationStation","station":"https://api.weather.gov/stations/KTST","timestamp":"2026-10-09T` + hour + `:53:00+00:00","temperature":{"unitCode":"wmoUnit:degC","value":` + temp + `,"qualityControl":"V"}}`
	}
	feature := func(hour, temp string) string { return `{"type":"Feature","properties":` + flat(hour, temp) + `}` }
	for name, file := range map[string]string{
		"graph":    `{"@context":{},"@graph":[` + flat("11", "-2.8") + "," + flat("12", "-1.7") + `]}`,
		"flat":     flat("11", "-2.8") + flat("12", "-1.7"),
		"latest":   feature("11", "-2.8") + "\n" + feature("12", "-1.7") + "\n",
		"two":      `{"features":[` + feature("11", "-2.8") + `]}` + "\r\n" + `{"features":[` + feature("12", "-1.7") + `]}`,
		"as ever":  `{"features":[` + feature("11", "-2.8") + "," + feature("12", "-1.7") + `]}`,
		"unsorted": `{"features":[` + feature("12", "-1.7") + "," + feature("11", "-2.8") + `]}`,
	} {
		res, err := read(file, weather.Options{Loc: loc})
		if err != nil || res.Station != "KTST" || len(res.Observations) != 2 || res.Observations[0].TempC != -2.8 || res.Observations[1].TempC != -1.7 {
			t.Errorf("%s: %+v %v", name, res, err)
		}
	}
	for file, words := range map[string]string{
		`{"@graph":[` + flat("11", `"cold"`) + "]}": `the field "temperature.value" holds a string`,
		feature("11", `"cold"`):                     `the field "temperature.value" holds a string`,
		feature("11", "-2.8") + "[]":                "follows the JSON, from byte",
		feature("11", "-2.8") + `{"fea`:             "ends in the middle",
		feature("11", "-2.8") + `{"gridId":"TST","updateTime":"2026-10-08T18:10:00+00:00"}`: "forecast follows",
		`{"gridId":"TST","updateTime":"2026-10-08T18:10:00+00:00"}` + feature("11", "-2.8"): "follows the forecast",
	} {
		if res, err := read(file, weather.Options{Loc: loc}); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("%s: %+v %v", file, res, err)
		}
	}
}
