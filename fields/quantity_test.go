package fields

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMeasureParse(t *testing.T) {
	for _, c := range []struct {
		m    *Measure
		in   string
		want float64
	}{
		{Temperature, "-3C", -3},
		{Temperature, "−3 °C", -3},
		{Temperature, "32F", 0},
		{Temperature, "26F", -3.33333},
		{Temperature, "29.5 F", -1.38889},
		{Temperature, "-40f", -40},
		{Temperature, "+4.4 degC", 4.4},
		{Difference, "-3.6F", -2},
		{Difference, "-2C", -2},
		{Height, "24in", 60.96},
		{Height, "24\"", 60.96},
		{Height, "61 cm", 61},
		{Height, "2ft", 60.96},
		{Elevation, "1000ft", 304.8},
		{RainDepth, "1.2in", 30.48},
		{Area, "10ac", 4.04686},
		{Weight, "1320 lb", 598.74193},
		{Weight, "2.5t", 2500},
		{Tonnage, "2.5t", 2.5},
		{PerArea, "50lb/ac", 56.04256},
		{PerArea, "50 lbs / acre", 56.04256},
		{Percentage, "86%", 86},
		{Hours, "3h", 3},
		{Tonnage, "50 short tons", 45.35924},
		{Drink, "16 US gal", 60.56659},
		{NitrogenRate, "40 lb N/ac", 44.83405},
		{Height, "0", 0},
		{RainDepth, "0", 0},
	} {
		got, err := c.m.Parse(c.in)
		if err != nil || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%q: got %v, %v; want %v", c.in, got, err, c.want)
		}
	}
}

func TestMeasureRefuses(t *testing.T) {
	for _, c := range []struct {
		m        *Measure
		in, want string
	}{
		{Temperature, "-3", `"-3" has no unit; type -3C or -3F`},
		{Temperature, "0", `"0" has no unit; type 0C or 0F`},
		{Temperature, "", `"" is not a temperature; type it with its unit, like -3C or 26F`},
		{Temperature, "cold", "is not a temperature"},
		{Temperature, "-", "is not a temperature"},
		{Temperature, "3-4C", "no unit of a temperature"},
		{Temperature, "29,5F", "has a comma"},
		{Temperature, "300C", "lies between -90 °C (-130 °F) and 60 °C (140 °F)"},
		{Temperature, "3in", `"in" is no unit of a temperature`},
		{Temperature, "1e3C", "no unit"},
		{Height, "15", `"15" has no unit; type 15cm or 15in`},
		{Height, "-5cm", "cannot be"},
		{Height, "1.2.3cm", "is not a height"},
		{Weight, "2.5ton", "a ton is 2,000 lb in the United States and 1,000 kg elsewhere; type 2.5 short tons or 2.5 tonnes"},
		{Weight, "1,320lb", "has a comma"},
		{PerArea, "40 lb N/ac", `"lbn/ac" is no unit of a weight for an area`},
		{Drink, "16gal", "a gallon is 3.785 L in the United States and 4.546 L in Canada; type 16 US gal or 16 imp gal"},
		{Drink, "0", "has no unit"},
		{Percentage, "86", `"86" has no unit; type 86%`},
		{Percentage, "101%", "cannot be"},
		{Temperature, "NaNC", "is not a temperature"},
		{Temperature, "infC", "is not a temperature"},
	} {
		_, err := c.m.Parse(c.in)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: error %v; want %q in it", c.in, err, c.want)
		} else if strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: the error is more than one line", c.in)
		}
	}
}

// On a farm with US units a ton and a gallon are those of the United States; T is
// written there for two things.
func TestMeasureParseIn(t *testing.T) {
	if v, err := Weight.ParseIn("2 tons", "us"); err != nil || math.Abs(v-1814.36948) > 1e-5 {
		t.Errorf("2 tons: %v, %v", v, err)
	}
	if _, err := Weight.ParseIn("2T", "us"); err == nil || !strings.Contains(err.Error(), "type 2 short tons or 2 tonnes") {
		t.Errorf("2T: %v", err)
	}
	if v, err := Weight.ParseIn("2t", "us"); err != nil || v != 2000 {
		t.Errorf("2t: %v, %v", v, err)
	}
	if v, err := Temperature.ParseIn("2 t", "us"); err == nil {
		t.Errorf("2 t is a temperature of %v", v)
	}
}

func TestMeasurePrints(t *testing.T) {
	for _, c := range []struct {
		m     *Measure
		v     float64
		both  string
		us    string
		plain string
	}{
		{Temperature, -3, "-3 °C (26.6 °F)", "26.6 °F", "-3 °C"},
		{Temperature, 0, "0 °C (32 °F)", "32 °F", "0 °C"},
		{Temperature, -0.01, "0 °C (32 °F)", "32 °F", "0 °C"},
		{Difference, -2, "-2 °C (-3.6 °F)", "-3.6 °F", "-2 °C"},
		{Height, 60.96, "61 cm (24 in)", "24 in", "61 cm"},
		{Area, 24, "24 ha (59.3 ac)", "59.3 ac", "24 ha"},
		{PerArea, 56.04256, "56 kg/ha (50 lb/ac)", "50 lb/ac", "56 kg/ha"},
		{Percentage, 86, "86 %", "86 %", "86 %"},
	} {
		if got := c.m.Both(c.v); got != c.both {
			t.Errorf("Both(%v) = %q, want %q", c.v, got, c.both)
		}
		if got := c.m.In(c.v, "us"); got != c.us {
			t.Errorf("In(%v, us) = %q, want %q", c.v, got, c.us)
		}
		if got := c.m.In(c.v, ""); got != c.plain {
			t.Errorf("In(%v) = %q, want %q", c.v, got, c.plain)
		}
	}
}

// What is printed reads back, in each unit, to within the rounding of print.
func TestMeasureRoundTrip(t *testing.T) {
	all := []*Measure{Temperature, Difference, Height, Elevation, RainDepth, Area, Weight, Tonnage, PerArea, NitrogenRate, Percentage, Hours, Drink}
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(all).Draw(t, "measure")
		v := rapid.Float64Range(m.lo, m.hi).Draw(t, "value")
		for i, u := range m.units {
			text := m.in(v, i)
			back, err := m.Parse(text)
			if err != nil {
				// Rounding may carry an end of the range over it; nothing else may fail.
				if !strings.Contains(err.Error(), "cannot be") || math.Abs(v-m.lo) > u.factor && math.Abs(v-m.hi) > u.factor {
					t.Fatalf("%s: printed %q does not read back: %v", m.Name, text, err)
				}
				continue
			}
			if tol := 0.51*math.Pow(10, -float64(m.places))*u.factor + 1e-5; math.Abs(back-v) > tol {
				t.Fatalf("%s: %v printed %q read back as %v", m.Name, v, text, back)
			}
		}
	})
}
