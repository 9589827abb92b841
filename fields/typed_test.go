package fields_test

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
)

// A thousands comma on a laboratory's paper must never be read as two results.
func TestParseFigures(t *testing.T) {
	below := func(n float64) fields.Value { return fields.Value{N: n, Below: true} }
	for in, want := range map[string][]fields.Value{
		"3000": fields.Values(3000), "0.9": fields.Values(0.9), ".5": fields.Values(0.5), "820, 910, 640": fields.Values(820, 910, 640),
		"820; 910": fields.Values(820, 910), "820;910": fields.Values(820, 910), "820 , 910": fields.Values(820, 910), "7,": fields.Values(7),
		"820,\t910": fields.Values(820, 910), "<100": {below(100)}, "< 100": {below(100)}, "ND<100": {below(100)}, "nd 100": {below(100)}, "N.D. <0.5": {below(0.5)},
		"not detected < 100": {below(100)}, "820, <100, ND <100": {{N: 820}, below(100), below(100)},
	} {
		got, err := fields.ParseFigures(in)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %v, %v, want %v", in, got, err, want)
		}
	}
	const ask, plain = `a semicolon between results, like "820; 910"`, "is not a plain number"
	for in, says := range map[string]string{
		"3,000": ask, "1,450": ask, "0,9": ask, "12,5": ask, "3,450.5": ask, "3,000, 3,200": ask, "3,000; 3,200": ask, "3,000,000": ask,
		"500,700,900": ask, "820,910": ask, "2800,3100": ask, " 820 ,910 ": ask, "3, 000": ask, "12, 050": ask, "820; 910, 640": ask, "1,.5": ask,
		"3,\u2009200": ask, "<1,000": ask, "ND<1,000": ask,
		"3 000": plain, "820 910": plain, "3000ppm": plain, "1.2.3": plain, "NaN": plain, "1e3": plain, "-5": plain, "+5": plain, "007": "zero in front",
		">2500": plain, "nd100": plain, "<": plain, "12345678901234567": plain, "８２０": plain,
		"": "no number", ",": "no number", "; ;": "no number",
		"ND": "the lab's limit", "not detected": "the lab's limit", "820, nd": "the lab's limit", "<0": "below nothing",
	} {
		if got, err := fields.ParseFigures(in); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v, want an error with %q", in, got, err, says)
		}
	}
}

func TestParseCount(t *testing.T) {
	if n, err := fields.ParseCount(" 120 "); err != nil || n != 120 {
		t.Errorf("%v, %v", n, err)
	}
	for in, says := range map[string]string{"1,200": "has a comma", "1.2": "whole", "1.": "whole", "-1": "whole", "+1": "whole", "": "whole", "ten": "whole", "9999999999": "whole"} {
		if n, err := fields.ParseCount(in); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v", in, n, err)
		}
	}
}

func TestParseNumber(t *testing.T) {
	for in, want := range map[string]float64{"-3": -3, "−3.5": -3.5, " 24 ": 24, "+2": 2} {
		if got, err := fields.ParseNumber(in); err != nil || got != want {
			t.Errorf("%q: %v, %v, want %v", in, got, err, want)
		}
	}
	for _, in := range []string{"3,000", "1e3", "12%", "", "Inf", "--3"} {
		if got, err := fields.ParseNumber(in); err == nil {
			t.Errorf("%q is %v, want an error", in, got)
		}
	}
}

// A day that has just passed must not become next year's without a word.
func TestParseComing(t *testing.T) {
	today := day(t, "2026-10-06")
	for in, want := range map[string]string{
		"30-Nov": "2026-11-30", "15-Jan": "2027-01-15", "6-Oct": "2026-10-06", "tomorrow": "2026-10-07", "30-Sep-2027": "2027-09-30",
		"2028-01-01": "2028-01-01", "30-Sep-2026": "2026-09-30", "today": "2026-10-06",
	} {
		if got, err := fields.ParseComing(in, today); err != nil || got.String() != want {
			t.Errorf("%q: %s, %v, want %s", in, got, err, want)
		}
	}
	for _, in := range []string{"30-Sep", "5-Oct", "1-Jul", "31-Feb", ""} {
		if got, err := fields.ParseComing(in, today); err == nil {
			t.Errorf("%q is %s, want an error", in, got)
		}
	}
}

func TestParseShare(t *testing.T) {
	x, err := fields.ParseShare(" oats : 60% ")
	if err != nil || x.Species != "oats" || x.Share == nil || *x.Share != 60 {
		t.Errorf("%+v, %v", x, err)
	}
	if x, err := fields.ParseShare("cowpea"); err != nil || x.Share != nil {
		t.Errorf("%+v, %v", x, err)
	}
	for _, in := range []string{":60", "oats:", "oats:much", "oats:60,5", "5"} {
		if _, err := fields.ParseShare(in); err == nil {
			t.Errorf("%q is taken", in)
		}
	}
}

func TestSilentWalks(t *testing.T) {
	if w := (&fields.Walk{Paddock: "creek", Part: "swath"}); !w.Silent() || w.FoundDamage() {
		t.Error("a walk without a finding says something")
	}
	yes, cm := true, 0.0
	for _, w := range []*fields.Walk{{Killed: "none"}, {FrostDamage: "tips"}, {Dry: &yes}, {ShootsCM: &cm}, {Alive: []string{}}, {WeedsChecked: &yes}} {
		if w.Silent() {
			t.Errorf("%+v says nothing", *w)
		}
	}
}

func TestThousandsPoint(t *testing.T) {
	for in, want := range map[string]bool{
		"3.000": true, "12.500": true, "820; 3.200": true, "<1.000": true, "0.520": false, "3.00": false, "3.0000": false, "1234.567": false, "3000": false, ".500": false,
	} {
		if got := fields.ThousandsPoint(in); got != want {
			t.Errorf("%q: %v", in, got)
		}
	}
}

func TestParseMoment(t *testing.T) {
	loc, err := fields.LoadZone("America/Winnipeg")
	if err != nil {
		t.Fatal(err)
	}
	today := fields.MakeDate(2026, 10, 6)
	for _, c := range []struct{ typed, want string }{
		{"06:40", "2026-10-06T06:40:00-05:00"},
		{"6:40", "2026-10-06T06:40:00-05:00"},
		{"yesterday 22:10", "2026-10-05T22:10:00-05:00"},
		{"17-Sep-2026 06:40", "2026-09-17T06:40:00-05:00"},
		{"17-Sep 06:40", "2026-09-17T06:40:00-05:00"},
		{"Thu 17-Sep 06:40", "2026-09-17T06:40:00-05:00"},
		{"2026-09-17T06:40", "2026-09-17T06:40:00-05:00"},
		{"2026-01-17 06:40", "2026-01-17T06:40:00-06:00"},
		{"2026-10-06T06:40:00-06:00", "2026-10-06T07:40:00-05:00"},
	} {
		got, err := fields.ParseMoment(c.typed, today, loc)
		if err != nil || got.Format("2006-01-02T15:04:05-07:00") != c.want {
			t.Errorf("%q: %s, %v; want %s", c.typed, got, err, c.want)
		}
	}
	for _, bad := range []string{"", "today", "17-Sep", "Tue", "25:00", "06:40 today", "05/06/26 06:40", "6.40", "noon"} {
		if got, err := fields.ParseMoment(bad, today, loc); err == nil {
			t.Errorf("%q was read as %s", bad, got)
		}
	}
}

// One line in three forms, Colorado State University: 0.5 % NO3 is 5000 ppm NO3; the
// rest is by atomic weights.
func TestParseNitrateTarget(t *testing.T) {
	for in, want := range map[string]fields.NitrateTarget{
		"0.5 % NO3 dm":           {0.5, "NO3", "%", false},
		"0.5% no3 of dry matter": {0.5, "NO3", "%", false},
		"1130 ppm NO3-N dry":     {1130, "NO3-N", "ppm", false},
		"8.15 g/kg KNO3 as fed":  {8.15, "KNO3", "g/kg", true},
		"NO3 5000 ppm":           {},
		"5000 mg/kg NO3 as-fed":  {5000, "NO3", "mg/kg", true},
		"0.5 % nitrate dm":       {},
		"0.5 % NO3":              {},
		"0.5 NO3 dm":             {},
		"0.5 % dm":               {},
		"0 % NO3 dm":             {},
		"-1 % NO3 dm":            {},
		"5,000 ppm NO3 dm":       {},
		"500 % NO3 dm":           {},
		"0.5 % NO3 NO3-N dm":     {},
		"0.5 % NO3 dm as fed":    {},
		"1 ppm NO3 dm; rm":       {},
		"":                       {},
	} {
		got, err := fields.ParseNitrateTarget(in)
		switch {
		case want == fields.NitrateTarget{} && err == nil:
			t.Errorf("%q was read as %v", in, got)
		case want != fields.NitrateTarget{} && (err != nil || *got != want):
			t.Errorf("%q: %v, %v", in, got, err)
		case err != nil && !strings.Contains(err.Error(), "dm") && !strings.Contains(err.Error(), "cannot be"):
			t.Errorf("%q does not say what to type: %v", in, err)
		}
	}
}
