package plaincsv

import (
	"math"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/weather"
)

// Dew point and wind stand in columns of their own, each in the unit that its name
// says; 10 mph are 4.4704 m/s and 41 °F are 5 °C.
func TestDewPointAndWind(t *testing.T) {
	loc, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	for _, c := range []struct {
		name, file string
		unit       string
		dew, wind  float64
		said       string
	}{
		{"metric", "time,temp_c,dew_point_c,wind_speed_ms\n2026-10-06 05:00,6,5,1.5\n", "", 5, 1.5, `the dew point in "dew_point_c" and the wind in "wind_speed_ms"`},
		{"American", "time,temp_f,dewpoint_f,wind_mph\n2026-10-06 05:00,50,41,10\n", "", 5, 4.4704, "the wind in"},
		{"signs and spaces", "Time;Temp (°C);Dew Point Temp (°C);Wind Spd (km/h);Wind Dir\n2026-10-06 05:00;6,0;5,0;7,2;210\n", "", 5, 2, ""},
		{"knots, no dew", "time,temp_c,wind_gust_kt,wind_kt\n2026-10-06 05:00,6,30,3.6\n", "", nan, 1.852, `read the wind in "wind_kt"`},
		{"wind without unit", "time,temp_c,dew_c,wind\n2026-10-06 05:00,6,5,3\n", "", 5, nan, `"wind" does not say m/s, km/h, mph or knots`},
		{"dew point without unit", "time,temp_c,dew point\n2026-10-06 05:00,6,5\n", "", nan, nan, `"dew point" does not say whether`},
		{"unit of the whole file", "time,temp,dew point\n2026-10-06 05:00,50,41\n", "F", 5, nan, ""},
		{"dew point above the temperature", "time,temp_c,dew_c\n2026-10-06 05:00,6,9\n", "", nan, nan, "1 value of dew point or wind"},
		{"wind from a broken cup", "time,temp_c,wind_ms\n2026-10-06 05:00,6,-3\n", "", nan, nan, "1 value"},
		{"not measured", "time,temp_c,dew_c,wind_ms\n2026-10-06 05:00,6,,-9999\n", "", nan, nan, ""},
		{"held back for its date", "date,time,temp_c,dew_c,wind_ms\n06/10/26,05:00,6,5,1.5\n16/10/26,05:00,6,5,1.5\n", "", 5, 1.5, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			res, err := readFile(c.file, weather.Options{Loc: loc, Clock: "local", Unit: c.unit})
			if err != nil {
				t.Fatal(err)
			}
			if len(res.Observations) == 0 {
				t.Fatal("no reading")
			}
			o := res.Observations[0]
			for what, v := range map[string]struct {
				got  *float64
				want float64
			}{"dew point": {o.DewC, c.dew}, "wind": {o.WindMS, c.wind}} {
				switch {
				case v.got == nil && math.IsNaN(v.want):
				case v.got == nil || math.IsNaN(v.want) || math.Abs(*v.got-v.want) > 1e-9:
					t.Errorf("%s: %v, want %v", what, v.got, v.want)
				}
			}
			if notes := strings.Join(res.Notes, "\n"); !strings.Contains(notes, c.said) {
				t.Errorf("%q is not said in\n%s", c.said, notes)
			}
			// Who wants temperatures alone gets no more, and no words about the rest.
			var alone []weather.Observation
			lean, err := Format.Stream(strings.NewReader(c.file), weather.Options{Loc: loc, Clock: "local", Unit: c.unit}, weather.Sink{TempOnly: true, Observe: func(o weather.Observation) { alone = append(alone, o) }})
			if err != nil || len(alone) != len(res.Observations) || alone[0].DewC != nil || alone[0].WindMS != nil {
				t.Errorf("temperatures alone: %+v, %v", alone, err)
			}
			if notes := strings.Join(lean.Notes, "\n"); strings.Contains(notes, "dew") || strings.Contains(notes, "wind") {
				t.Errorf("said of temperatures alone: %s", notes)
			}
		})
	}
}
