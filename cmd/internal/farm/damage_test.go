package farm

import (
	"testing"

	"rimegate/fields"
)

// A walk that found damage is asked for its night exactly where no night since
// the stand was last whole explains it.
func TestUnexplainedDamage(t *testing.T) {
	low := func(c float64) *float64 { return &c }
	frost := func(d string) fields.Entry {
		return fields.Entry{Body: &fields.Frost{Paddocks: []string{"creek"}, Night: date(t, d)}}
	}
	reading := func(d string, c float64) fields.Entry {
		return fields.Entry{Body: &fields.Reading{Station: "home", Night: date(t, d), LowC: low(c)}}
	}
	walk := func(d, damage string) fields.Entry {
		return fields.Entry{On: date(t, d), Body: &fields.Walk{Paddock: "creek", FrostDamage: fields.Damage(damage), Killed: "none"}}
	}
	tips := &fields.Walk{Paddock: "creek", FrostDamage: "tips", Killed: "none"}
	for name, c := range map[string]struct {
		before []fields.Entry
		walk   *fields.Walk
		want   bool
	}{
		"no night at all":                {nil, tips, true},
		"a person's frost":               {[]fields.Entry{frost("2026-10-02")}, tips, false},
		"last night":                     {[]fields.Entry{frost("2026-10-06")}, tips, false},
		"frost before the stand":         {[]fields.Entry{frost("2026-06-01")}, tips, true},
		"a freezing reading":             {[]fields.Entry{reading("2026-10-02", 0)}, tips, false},
		"a mild reading":                 {[]fields.Entry{reading("2026-10-02", 0.4)}, tips, true},
		"frost, then found whole":        {[]fields.Entry{frost("2026-10-02"), walk("2026-10-04", "none")}, tips, true},
		"found whole, then frost":        {[]fields.Entry{walk("2026-10-01", "none"), frost("2026-10-02")}, tips, false},
		"frost, damage found already":    {[]fields.Entry{frost("2026-10-02"), walk("2026-10-03", "part")}, tips, false},
		"no damage":                      {nil, &fields.Walk{Paddock: "creek", FrostDamage: "none"}, false},
		"unknown damage":                 {nil, &fields.Walk{Paddock: "creek", FrostDamage: "unknown", Killed: "unknown"}, false},
		"killed without a word on frost": {nil, &fields.Walk{Paddock: "creek", Killed: "all"}, true},
		"its night is said":              {nil, &fields.Walk{Paddock: "creek", FrostDamage: "all", DamageNight: date(t, "2026-10-01")}, false},
		"a night before the sowing":      {nil, &fields.Walk{Paddock: "creek", FrostDamage: "all", DamageNight: date(t, "2025-10-01")}, true},
		"of a swath":                     {nil, &fields.Walk{Paddock: "creek", FrostDamage: "all", Part: "swath"}, false},
	} {
		t.Run(name, func(t *testing.T) {
			f := smallFarm(t)
			if len(c.before) > 0 {
				if _, err := f.Log(c.before, false); err != nil {
					t.Fatal(err)
				}
			}
			v := view(t, f, Question{})
			if got := v.Unexplained("creek", c.walk, v.Today); got != c.want {
				t.Errorf("asked: %v, want %v", got, c.want)
			}
		})
	}
}

// The paddock's offset counts: 1 °C at the station is a frost in a hollow 2 °C
// colder.
func TestOffsetExplainsDamage(t *testing.T) {
	f := smallFarm(t)
	off, low := -2.0, 1.0
	if _, err := f.Log([]fields.Entry{
		{On: date(t, "2026-06-01"), Body: &fields.PaddockFacts{Paddock: "creek", Name: "Creek", OffsetC: &off}},
		{Body: &fields.Reading{Station: "home", Night: date(t, "2026-10-05"), LowC: &low}},
	}, false); err != nil {
		t.Fatal(err)
	}
	v := view(t, f, Question{})
	w := &fields.Walk{Paddock: "creek", FrostDamage: "tips"}
	if v.Unexplained("creek", w, v.Today) {
		t.Error("asked for the night, though the hollow froze")
	}
	w.Paddock = "hills"
	if !v.Unexplained("hills", w, v.Today) {
		t.Error("the hills have no offset and did not freeze")
	}
}
