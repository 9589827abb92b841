package farm

import (
	"strings"
	"testing"

	"rimegate/fields"
)

// What contradicts itself, or cannot be of this farm, is refused or said aloud.
func TestSlips(t *testing.T) {
	yes, n := true, func(x float64) *float64 { return &x }
	today := date(t, "2026-10-06")
	for name, c := range map[string]struct {
		body    fields.Body
		on      fields.Date // today if none
		refused string      // else noted
		noted   string
	}{
		"below freezing, and the low is not": {
			body:    &fields.Reading{Paddock: "creek", Night: today, LowC: n(2), BelowZero: &yes},
			refused: "below_zero: a low of 2 °C (35.6 °F) is not below freezing",
		},
		"below freezing, as the low is": {body: &fields.Reading{Paddock: "creek", Night: today, LowC: n(-2), BelowZero: &yes}},
		"more hours of the harder frost": {
			body:    &fields.Reading{Paddock: "creek", Night: today, LowC: n(-4), HoursBelow0: n(1), HoursBelowKill: n(5)},
			refused: "hours_below_kill: 5 h at or below -2.2 °C (28 °F) are more than the 1 h at or below 0 °C (32 °F)",
		},
		"as many hours":            {body: &fields.Reading{Paddock: "creek", Night: today, LowC: n(-4), HoursBelow0: n(1), HoursBelowKill: n(1)}},
		"a drought begins by rain": {body: &fields.Drought{Paddocks: []string{"creek"}, State: "start", RainMM: n(30)}, refused: "rain_mm: is the rain that ended a drought"},
		"a drought ends by none":   {body: &fields.Drought{Paddocks: []string{"creek"}, State: "end", RainMM: n(0)}, refused: "rain_mm: is 0, and only rain ends a drought"},
		"a drought ends":           {body: &fields.Drought{Paddocks: []string{"creek"}, State: "end", RainMM: n(30)}},
		"a frost of a year ago":    {body: &fields.Frost{Paddocks: []string{"creek"}, Night: date(t, "2025-10-06")}, noted: "MON 6 OCT 2025 IS 365 DAYS AGO. If that year is a slip"},
		"a frost of last winter":   {body: &fields.Frost{Paddocks: []string{"creek"}, Night: date(t, "2026-01-06")}},
		"hail of a year ago":       {body: &fields.Hail{Paddocks: []string{"creek"}}, on: date(t, "2025-10-06"), noted: "IS 365 DAYS AGO"},
		"a sowing of a year ago":   {body: &fields.Sown{Paddock: "hills", Species: []fields.SpeciesShare{{Species: "crested wheatgrass"}}}, on: date(t, "2025-09-06")},
		"another name on the gate": {
			body:  &fields.PaddockFacts{Paddock: "creek", Name: "West Bench"},
			noted: "THE NAME ON THE GATE CHANGES from Creek to West Bench",
		},
		"the same name": {body: &fields.PaddockFacts{Paddock: "creek", Name: "Creek"}},
		"out of where nothing stood": {
			body:  &fields.Grazed{Paddock: "bench", State: "out", Herd: "pairs", LeftCM: n(10)},
			noted: "NO STOCK IS ON FILE in Bench that could come out on Tue 6 Oct 2026; on file pairs stand in Creek. Look whether it is the right paddock.",
		},
		"all out of where nothing stood": {body: &fields.Grazed{Paddock: "bench", State: "out"}, noted: "NO STOCK IS ON FILE in Bench that could come out on Tue 6 Oct 2026. Look"},
		"another herd out":               {body: &fields.Grazed{Paddock: "creek", State: "out", Herd: "ewes"}, noted: "NO STOCK IS ON FILE in Creek"},
		"out":                            {body: &fields.Grazed{Paddock: "creek", State: "out", Herd: "pairs"}},
		"all out":                        {body: &fields.Grazed{Paddock: "creek", State: "out"}},
		"out of a paddock not there":     {body: &fields.Grazed{Paddock: "crek", State: "out"}, refused: `there is no paddock "crek"`},
	} {
		f := slipFarm(t)
		e := fields.Entry{On: today, Body: c.body}
		switch fields.KindOf(c.body) {
		case fields.KindReading, fields.KindFrost: // their day is their night
			e.On = fields.NoDate
		}
		if c.on != fields.NoDate {
			e.On = c.on
		}
		l, err := f.Log([]fields.Entry{e}, true)
		switch {
		case c.refused != "":
			if err == nil || !strings.Contains(err.Error(), c.refused) {
				t.Errorf("%s: %v", name, err)
			}
		case err != nil:
			t.Errorf("%s: %v", name, err)
		case c.noted == "" && len(l.Notes) > 0, c.noted != "" && !strings.Contains(strings.Join(l.Notes, "\n"), c.noted):
			t.Errorf("%s says %q", name, l.Notes)
		}
	}
}

// slipFarm has pairs in the creek, ewes nowhere, and a bench.
func slipFarm(t *testing.T) *Farm {
	t.Helper()
	f := smallFarm(t)
	on := date(t, "2026-10-01")
	n := 10.0
	if _, err := f.Log([]fields.Entry{
		{On: on, Body: &fields.PaddockFacts{Paddock: "bench", Name: "Bench"}},
		{On: on, Body: &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: &n}},
		{On: on, Body: &fields.HerdFacts{Herd: "ewes", Classes: []string{"sheep"}, Head: &n}},
	}, false); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Log([]fields.Entry{{On: on, Body: &fields.Grazed{Paddock: "creek", State: "in", Herd: "pairs"}}}, false); err != nil {
		t.Fatal(err)
	}
	return f
}
