package farm

import (
	"errors"
	"strings"
	"testing"

	"rimegate/fields"
)

func TestLookKey(t *testing.T) {
	for _, same := range [][]string{
		{"creek", "Creek", "CREEK", " cr-eek", "Cr\u00e9ek", "Cre\u0301ek", "cre\u200bek", "ｃｒｅｅｋ", "cr_eek.", "cre\u034fek"},
		{"hay-1", "hay-l", "HAY I", "hay.i"},
		{"lot 10", "Lot IO", "lot-lo"},
		{"Straße", "STRASSE"},
	} {
		for _, s := range same[1:] {
			if lookKey(s) != lookKey(same[0]) {
				t.Errorf("%q and %q: %q, %q", s, same[0], lookKey(s), lookKey(same[0]))
			}
		}
	}
	seen := map[string]string{}
	for _, s := range []string{"creek", "creek-2", "creeks", "north creek", "bench", "b2", "b3", "日本", "ферма"} {
		if was, ok := seen[lookKey(s)]; ok || lookKey(s) == "" {
			t.Errorf("%q is taken for %q", s, was)
		}
		seen[lookKey(s)] = s
	}
}

func TestOddSign(t *testing.T) {
	for _, fine := range []string{"North Slough", "O'Brien's 40", "Créek", "日本の畑", "Ферма", "Schäfer (east)", "2,4-D", "Cre\u0301ek"} {
		if odd := oddSign(fine); odd != "" {
			t.Errorf("%q: %s", fine, odd)
		}
	}
	for _, bad := range []string{"Cr\u200beek", "Creek\u202e", "Cre\x00ek", "Cre\x1b[31mek", "Creek\t2", "Creek\u00a02", "\u2800", "\u3164", "Cre\ufe0fek", "Сreek", "Crεek"} {
		if oddSign(bad) == "" {
			t.Errorf("%q passes", bad)
		}
	}
}

// Names are looked at whatever way they come in: in one batch too.
func TestNamesakesOfABatch(t *testing.T) {
	f := smallFarm(t)
	head := 10.0
	herd := func(id string) fields.Entry {
		return fields.Entry{On: date(t, "2026-10-06"), Body: &fields.HerdFacts{Herd: id, Classes: []string{"sheep"}, Head: &head}}
	}
	_, err := f.Log([]fields.Entry{herd("lambs-1"), herd("lambs-l")}, true)
	if err == nil || !strings.Contains(err.Error(), `"lambs-l" cannot be told from the herd lambs-1`) {
		t.Error(err)
	}
	if _, err := f.Log([]fields.Entry{herd("lambs-1"), herd("lambs-2"), herd("lambs-1")}, true); err != nil {
		t.Error(err)
	}
	if _, err := f.Log([]fields.Entry{{On: date(t, "2026-10-06"), Body: &fields.Seen{Paddock: "creek", Species: []string{"oa\u200bts"}}}}, true); err == nil {
		t.Error("a plant's name with a sign that nobody sees is taken")
	}
}

// A frost stands above any statement, whoever or whatever recorded it.
func TestFrostOnFile(t *testing.T) {
	low := func(c float64) *float64 { return &c }
	yes := true
	night := date(t, "2026-10-02")
	for name, c := range map[string]struct {
		body fields.Body
		want bool
	}{
		"a person's":         {&fields.Frost{Paddocks: []string{"creek"}, Night: night}, true},
		"of another paddock": {&fields.Frost{Paddocks: []string{"hills"}, Night: night}, false},
		"damage":             {&fields.Walk{Paddock: "creek", Killed: "part", DamageNight: night}, true},
		"below zero":         {&fields.Reading{Paddock: "creek", Night: night, BelowZero: &yes}, true},
		"zero":               {&fields.Reading{Station: "home", Night: night, LowC: low(0)}, true},
		"above zero":         {&fields.Reading{Station: "home", Night: night, LowC: low(0.5)}, false},
		"the night before":   {&fields.Reading{Station: "home", Night: night - 1, LowC: low(-5)}, false},
	} {
		t.Run(name, func(t *testing.T) {
			f := smallFarm(t)
			if _, err := f.Log([]fields.Entry{{On: night, Body: c.body}}, false); err != nil {
				t.Fatal(err)
			}
			_, err := f.Log([]fields.Entry{{Body: &fields.NoFrost{Paddocks: []string{"creek"}, From: night, To: night + 1, Basis: "thermometer-in-paddock"}}}, true)
			if refused := err != nil && strings.Contains(err.Error(), "no frost cannot be said of the night of Fri 2 Oct 2026"); refused != c.want {
				t.Errorf("refused %v, want %v: %v", refused, c.want, err)
			}
		})
	}
}

// What a person stands by is kept, and said; what nobody was asked is refused.
func TestSure(t *testing.T) {
	f := smallFarm(t)
	for name, c := range map[string]struct {
		body fields.Body
		sure Sure
		says string
	}{
		"an everyday name": {&fields.Seen{Paddock: "creek", Species: []string{"clover"}}, Sure{Names: true}, `"clover" may be`},
		"a figure": {&fields.Lab{
			Paddock: "creek", SampledOn: date(t, "2026-10-02"), Analyte: "nitrate", Values: fields.Values(0.3), Form: "NO3", Unit: "ppm", Basis: "dm", Method: "lab",
		}, Sure{Figures: true}, "0.3 ppm is very little"},
		"nights": {&fields.NoFrost{
			Paddocks: []string{"creek"}, From: date(t, "2026-09-20"), To: date(t, "2026-10-05"), Basis: fields.ByLookingAtDawn,
		}, Sure{Dawns: true}, "16 nights in one go"},
	} {
		e := []fields.Entry{{On: date(t, "2026-10-06"), Body: c.body}}
		if _, err := f.Log(e, true); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s is not asked about: %v", name, err)
		}
		if l, err := f.Log(e, true, c.sure); err != nil || !strings.Contains(strings.Join(l.Notes, "\n"), c.says) {
			t.Errorf("%s: %v, %v", name, l, err)
		}
		// The screens ask too, of plants in the form already, and say what is stood by.
		var ps fields.Problems
		_, err := f.ForScreens().Log(e, true, false)
		if errors.As(err, &ps); !c.sure.Names && (len(ps) != 1 || !ps[0].Asked || !strings.Contains(ps[0].What, c.says)) {
			t.Errorf("%s is not asked about on the screens: %v", name, err)
		}
		if out, err := f.ForScreens().Log(e, true, true); err != nil || !strings.Contains(strings.Join(out.Notes, "\n"), c.says) {
			t.Errorf("%s on the screens: %v", name, err)
		}
	}
}
