package report

import (
	"math"
	"reflect"
	"testing"
)

// Remark groups with the answers printed in United States Air Force Manual 15-111,
// "Surface weather observations", 2019 (page address in report.go).
func TestRemarkVectors(t *testing.T) {
	const head = "KTST 151153Z AUTO 00000KT 10SM CLR "
	for _, c := range []struct {
		body, remark string
		temp, dew    float64
		min6, min24  float64 // NaN for none
	}{
		{"03/M02", "T00261015", 2.6, -1.5, math.NaN(), math.NaN()},
		{"01/M05", "T00101050 21001", 1, -5, -0.1, math.NaN()},
		{"01/M05", "T00101050 20012", 1, -5, 1.2, math.NaN()},
		{"01/M05", "T00101050 401001015", 1, -5, math.NaN(), -1.5},
		{"10/M05", "T01001050 401120084", 10, -5, math.NaN(), 8.4},
		{"01/M05", "T00101050 11021 10142 4/006", 1, -5, math.NaN(), math.NaN()}, // maxima and snow depth are not minima
		{"M02/M02", "AO2 SLP123 T10171022 11006 21017 53016", -1.7, -2.2, -1.7, math.NaN()},
	} {
		r := Parse(head + c.body + " A2961 RMK " + c.remark)
		if !r.Recognised || !r.Tenths || *r.TempC != c.temp || r.DewC == nil || *r.DewC != c.dew || r.Contradicts != nil {
			t.Errorf("%s: %+v", c.remark, r)
		}
		same := func(what string, got *float64, want float64) {
			if (got == nil) != math.IsNaN(want) || got != nil && *got != want {
				t.Errorf("%s: %s is not %v", c.remark, what, want)
			}
		}
		same("6-hour minimum", r.Min6, c.min6)
		same("24-hour minimum", r.Min24, c.min24)
	}
}

func TestBody(t *testing.T) {
	c := func(v float64) *float64 { return &v }
	for in, want := range map[string]Report{
		"METAR CYXX 140900Z 18003KT 15SM SKC M00/M02 A3001":             {DewC: c(-2), Below: true, Recognised: true},
		"CYXX 140900Z 18003KT 15SM SKC 00/M02 A3001":                    {TempC: c(0), DewC: c(-2), Recognised: true},
		"CYXX 140900Z 18003KT 15SM SKC M05/ A3001":                      {TempC: c(-5), Recognised: true},
		"CYXX 140900Z 18003KT 15SM SKC 07/// A3001":                     {TempC: c(7), Recognised: true},
		"CYXX 140900Z 18003KT M1/4SM R16/1200FT FG VV001 M01/M01 A3001": {TempC: c(-1), DewC: c(-1), Recognised: true},
		"CYXX 140900Z 18003KT 15SM SKC ///// A3001":                     {Recognised: true},
		"SPECI COR CYXX 140900Z VRB02KT 9999 12/08 Q1013=":              {TempC: c(12), DewC: c(8), Recognised: true},
		"CYXX 140900Z 18003KT 9999 12/08 Q1013 TEMPO 4000 M03/M04":      {TempC: c(12), DewC: c(8), Recognised: true},
		"CYXX 140900Z NIL":                       {Nil: true, Recognised: true},
		"CYXX NIL":                               {Nil: true},
		"TAF CYXX 140900Z 1409/1509 18003KT":     {Forecast: true},
		"CYXX 140900Z 1409/1509 18003KT TNM05/1": {Forecast: true, Recognised: true},
		"hello 140900Z":                          {},
		"CYXX 329900Z 12/08":                     {},
		"CYXX":                                   {},
		"":                                       {},
	} {
		got := Parse(in)
		got.Station, got.Day, got.Hour, got.Min, got.WindMS = "", 0, 0, 0, nil
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %+v", in, got)
		}
	}
	if r := Parse("CYXX 140900Z 18010G20KT 15SM 12/08"); r.WindMS == nil || math.Abs(*r.WindMS-5.144) > 0.001 || r.Day != 14 || r.Hour != 9 || r.Station != "CYXX" {
		t.Errorf("%+v", r)
	}
	if r := Parse("CYXX 140900Z 00000KT 15SM 12/08 RMK T01211080"); r.Contradicts != nil || *r.DewC != -8 {
		t.Errorf("%+v", r)
	}
	if r := Parse("CYXX 140900Z 00000KT 15SM 12/08 RMK T10051080"); r.Contradicts == nil || *r.Contradicts != 12 {
		t.Errorf("12 and -0.5 pass for the same: %+v", r)
	}
	// A group that looks like a 6-hour minimum, at an hour that has none.
	if r := Parse("KTST 150953Z 00000KT 10SM 12/08 RMK 21050"); r.Min6 != nil {
		t.Errorf("%v at 09:53", *r.Min6)
	}
}
