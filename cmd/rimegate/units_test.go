package main

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/form"
)

// unitFarm is a farm of which only the system of units matters.
type unitFarm struct {
	form.Farm
	system string
}

func (f unitFarm) UnitSystem() string { return f.system }
func (unitFarm) StationNames() string { return "" }

// spellings are what people write for a quantity of a measure, in a system of units, and
// what it is inside; a want of refused is a sentence instead.
type spelling struct {
	text   string
	inside float64
	us     string // "us" or "metric" where only that system reads it so
}

var spellings = map[*fields.Measure][]spelling{
	fields.Temperature: {{"-3C", -3, ""}, {"-3 °C", -3, ""}, {"26.6 F", -3, ""}, {"26.6°F", -3, ""}, {
		"-3 degrees C",
		-3, "",
	}},
	fields.Difference: {{"-2C", -2, ""}, {"-3.6 °F", -2, ""}},
	fields.Height: {
		{"61 cm", 61, ""},
		{"61 centimeters", 61, ""},
		{"24in", 60.96, ""},
		{"24 in.", 60.96, ""},
		{`24"`, 60.96, ""},
		{"24 inches", 60.96, ""},
		{"2 ft", 60.96, ""},
		{"2'", 60.96, ""},
		{"0.61 m", 61, ""},
		{"610mm", 61, ""},
	},
	fields.Elevation:   {{"610 m", 610, ""}, {"2000ft", 609.6, ""}, {"610 metres", 610, ""}},
	fields.AboveGround: {{"1.5 m", 1.5, ""}, {"5ft", 1.524, ""}, {"150 cm", 1.5, ""}, {"60in", 1.524, ""}},
	fields.RainDepth:   {{"12 mm", 12, ""}, {"0.5in", 12.7, ""}, {`.5"`, 12.7, ""}, {"1.2 cm", 12, ""}},
	fields.Area:        {{"24 ha", 24, ""}, {"60 ac", 24.28114, ""}, {"60 acres", 24.28114, ""}},
	fields.Weight: {
		{"120 lb", 54.43108, ""},
		{"120lbs.", 54.43108, ""},
		{"600 kg", 600, ""},
		{"600 kilos", 600, ""},
		{"1.5 t", 1500, ""},
		{"3 tonnes", 3000, ""},
		{"3 metric tons", 3000, ""},
		{"3 short tons", 2721.55422, ""},
		{"3 tons", 2721.55422, "us"},
		{"3 ton", 2721.55422, "us"},
		{"1.5T", 1500, "metric"},
	},
	fields.Tonnage: {
		{"45 t", 45, ""},
		{"45 tonnes", 45, ""},
		{"45000kg", 45, ""},
		{"99000 lb", 44.90564, ""},
		{"50 short tons", 45.35924, ""},
		{"50 tons", 45.35924, "us"},
		{"45T", 45, "metric"},
	},
	fields.PerArea: {
		{"2500 kg/ha", 2500, ""},
		{"2200lb/ac", 2465.87, ""},
		{"2200 lbs per acre", 2465.87, ""},
		{"2.5 t/ha", 2500, ""},
	},
	fields.NitrogenRate: {
		{"40 kg N/ha", 40, ""},
		{"40kg/ha", 40, ""},
		{"40 kg of N per hectare", 40, ""},
		{"40 lb N/ac", 44.83405, ""},
		{"40 lbs N per acre", 44.83405, ""},
		{"40lb/ac", 44.83405, ""},
	},
	fields.Percentage: {{"86%", 86, ""}, {"86 %", 86, ""}, {"86 percent", 86, ""}},
	fields.Hours:      {{"3h", 3, ""}, {"3 hours", 3, ""}, {"2.5 hrs", 2.5, ""}},
	fields.Drink: {
		{"60 L", 60, ""},
		{"60 litres", 60, ""},
		{"16 US gal", 60.56659, ""},
		{"13 imp gal", 59.09917, ""},
		{"13 imperial gallons", 59.09917, ""},
		{"16 gal", 60.56659, "us"},
		{"16gallons", 60.56659, "us"},
	},
}

// refusals of every measure alike; N is a number that could be.
var quantityRefusals = []struct{ text, want string }{
	{"N", `"N" has no unit; type N`},
	{"N,500U", `has a comma; write decimals with a point and thousands without a sign`},
	{"N furlongs", `"furlongs" is no unit of MEASURE; type it like EXAMPLE`},
	{"about N", `is not MEASURE; type it with its unit, like EXAMPLE`},
}

// TestQuantitySpellings types the same spellings into every field of a quantity, of every
// form and command: all of them read the same, and refuse in the same sentences.
func TestQuantitySpellings(t *testing.T) {
	_, commands := programTable(form.Any)
	seen := map[*fields.Measure]bool{}
	now := time.Date(2026, 10, 6, 6, 52, 0, 0, time.UTC)
	for _, k := range append(form.Kinds(), commands...) {
		for i := range k.Fields {
			f := &k.Fields[i]
			if f.Type != form.Quantity {
				continue
			}
			if spellings[f.Measure] == nil {
				t.Errorf("%s.%s: no spellings of %s", k.Kind, f.Name, f.Measure.Name)
			}
			seen[f.Measure] = true
			read := func(text, system string) (*float64, string) {
				b := k.Read(form.Said{f.Name: {text}}, form.Context{Now: now, Farm: unitFarm{nil, system}, Line: true})
				if v := b.Number(f.Name); v != nil {
					return v, ""
				}
				return nil, b.Err().Error()
			}
			for _, s := range spellings[f.Measure] {
				for _, system := range []string{"us", "metric"} {
					v, err := read(s.text, system)
					if s.us != "" && s.us != system {
						if v != nil || !strings.Contains(err, "; type ") {
							t.Errorf("%s.%s: %q in %s units is not asked about: %v, %s", k.Kind, f.Name, s.text, system, v, err)
						}
						continue
					}
					if v == nil || math.Abs(*v-s.inside) > 5e-6*math.Max(1, math.Abs(s.inside)) {
						t.Errorf("%s.%s: %q in %s units: %v (%s), want %v", k.Kind, f.Name, s.text, system, deref(v), err, s.inside)
					}
					if says := f.Echo(s.text, now, unitFarm{nil, system}); says == "" || says != f.Measure.Both(*v) {
						t.Errorf("%s.%s: %q is read back as %q", k.Kind, f.Name, s.text, says)
					}
				}
			}
			number := strings.TrimRight(spellings[f.Measure][0].text,
				"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ%°/ ")
			for _, r := range quantityRefusals {
				unit := strings.TrimPrefix(spellings[f.Measure][0].text, number)
				full := strings.NewReplacer("N", number, "U", unit, "MEASURE", f.Measure.Name, "EXAMPLE", f.Measure.Example)
				v, err := read(full.Replace(r.text), "metric")
				if v != nil || !strings.Contains(err, full.Replace(r.want)) {
					t.Errorf("%s.%s: %q gives %v, %q; want %q", k.Kind, f.Name, full.Replace(r.text), v, err, full.Replace(r.want))
				}
			}
		}
	}
	for m := range spellings {
		if !seen[m] {
			t.Errorf("no field has %s", m.Name)
		}
	}
}

func deref(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}
