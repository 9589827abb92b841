package fields_test

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
)

// A thousands comma on a laboratory's paper must never be read as two results.
func TestParseNumbers(t *testing.T) {
	for in, want := range map[string][]float64{
		"3000": {3000}, "0.9": {0.9}, "820, 910": {820, 910}, "820; 910": {820, 910}, "500,700,900": {500, 700, 900},
		"2800,3100": {2800, 3100}, "0.9,1.1": {0.9, 1.1}, "12,1.5": {12, 1.5}, " 820 ,910 ": {820, 910}, "7,": {7},
	} {
		got, err := fields.ParseNumbers(in)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %v, %v, want %v", in, got, err, want)
		}
	}
	for in, says := range map[string]string{
		"3,000": "820, 910", "1,450": "one number or two", "0,9": "one number or two", "12,5": "one number or two", "3,450.5": "one number or two",
		"3 000": "not a plain number", "3000ppm": "not a plain number", "": "no number", ",": "no number", "1.2.3": "not a plain number", "NaN": "not a plain",
	} {
		if got, err := fields.ParseNumbers(in); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v, want an error with %q", in, got, err, says)
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
	for _, in := range []string{":60", "oats:", "oats:much"} {
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
