package ghcnd

import (
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/weather"
)

// read reads a file and keeps every reading.
func read(file string, opt weather.Options) (*weather.Result, error) {
	return weather.Collect(func(s weather.Sink) (*weather.Result, error) { return Format.Stream(strings.NewReader(file), opt, s) })
}

// -99 in tenths is a hard frost and not a missing value.
func TestMinusNineNine(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	res, err := read("USC00999999,20251014,TMIN,-99,,,7,0700\nUSC00999999,20251015,TMIN,-9999,,,7,0700\n", weather.Options{Loc: loc})
	if err != nil || len(res.Nights) != 1 || *res.Nights[0].LowC != -9.9 || res.Missing != 1 {
		t.Errorf("%+v %v", res, err)
	}
}

func TestObservationHour(t *testing.T) {
	for in, want := range map[string]float64{"0700": 7, "700": 7, "1730": 17.5, "2400": 24, "0100": 1} {
		if got, ok := obsHour(in); !ok || got != want {
			t.Errorf("%s: %v %v", in, got, ok)
		}
	}
	for _, in := range []string{"", "0000", "2500", "0760", "7", "9999", "07:0"} {
		if got, ok := obsHour(in); ok {
			t.Errorf("%q: %v", in, got)
		}
	}
}

// The same station in all four shapes gives the same night.
func TestShapesAgree(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	month := "USC00999999202510TMIN" + strings.Repeat("-9999   ", 13) + "  -22  7" + strings.Repeat("-9999   ", 17)
	for name, file := range map[string]string{
		"by year":       "USC00999999,20251014,TMIN,-22,,,7,\n",
		"with header":   "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nUSC00999999,20251014,TMIN,-22,,,7,\n",
		"access":        "\"STATION\",\"DATE\",\"LATITUDE\",\"TMAX\",\"TMIN\",\"TMIN_ATTRIBUTES\"\n\"USC00999999\",\"2025-10-14\",\"40\",\"  150\",\"  -22\",\",,7\"\n",
		"fixed width":   month + "\n",
		"fixed, no end": strings.TrimRight(month, " "),
	} {
		if sniff([]byte(file)) == "" {
			t.Errorf("%s: not recognised", name)
		}
		res, err := read(file, weather.Options{Loc: loc})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(res.Nights) != 1 || *res.Nights[0].LowC != -2.2 || res.Nights[0].Night != fields.MakeDate(2025, 10, 14) || res.Nights[0].Covers {
			t.Errorf("%s: %+v", name, res.Nights)
		}
	}
}

// A file of the service has the shape of the archive's own, whatever unit it was asked
// for: 28 °F must not pass for 2.8 °C.
func TestUnitOfTheService(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	const header = "STATION,DATE,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES\n"
	day := func(high, flag, low string) string {
		return "USC00999999,2025-10-14," + high + ",\",," + "7\"," + low + ",\"," + flag + ",7,0700\"\n"
	}
	for _, c := range []struct {
		name, rows, unit string
		want             float64 // 0: refused with the words
		words            string
	}{
		{"°F, not said", day("57", "", "28"), "", 0, "C for tenths, F for °F"},
		{"°F, a wide day, not said", day("95", "", "5"), "", 0, "C for tenths"},
		{"°F, said", day("57", "", "28"), "F", weather.FtoC(28), ""},
		{"°F at the edge of what can be", day("130", "", "41") + day("20", "", "-60"), "F", weather.FtoC(-60), ""},
		{"tenths, by the high", day("139", "", "-22"), "", -2.2, ""},
		{"tenths, by the low", day("20", "", "-61"), "", -6.1, ""},
		{"tenths, by the range", day("69", "", "-22"), "", -2.2, ""},
		{"tenths, not to be told", day("68", "", "-22"), "", 0, "C for tenths"},
		{"tenths, told by a value that failed its checks", day("68", "", "-22") + day("68", "I", "-300"), "", 0, "C for tenths"},
		{"tenths, told by no value", day("9999", "", "-22") + day("20", "", "-9999"), "", 0, "C for tenths"},
		{"tenths, said", day("57", "", "28"), "C", 2.8, ""},
		{"tenths, said to be °F", day("139", "", "-22"), "F", 0, "cannot be in °F; leave out the unit"},
		{"°C with a decimal, not said", day("13.9", "", "-2.2"), "", 0, "say the unit C or F"},
		{"°C with a decimal, said", day("14.0", "", "-2.0") + day("13.9", "", "-3"), "C", -3, ""},
		{"°C with a decimal behind a gap", day("14.0", "", "") + day("13.9", "", "-2.2"), "C", -2.2, ""},
	} {
		res, err := read(header+c.rows, weather.Options{Loc: loc, Unit: c.unit})
		switch {
		case c.words != "" && (err == nil || !strings.Contains(err.Error(), c.words)):
			t.Errorf("%s: %+v %v", c.name, res, err)
		case c.words == "" && (err != nil || len(res.Nights) != 1 || *res.Nights[0].LowC != c.want || res.InFahrenheit() != (c.unit == "F")):
			t.Errorf("%s: %+v %v", c.name, res, err)
		}
	}
}

// A month that ends behind a value does not say whether that failed its checks.
func TestCutMonth(t *testing.T) {
	loc, err := fields.LoadZone("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	failed := "USC00999999202510TMIN   11  7   22 S7" + strings.Repeat("-9999   ", 29)
	if res, err := read(failed, weather.Options{Loc: loc}); err != nil || len(res.Rejects) != 1 || res.Rejects[0].What != `day 2: failed the source's quality check "S"` {
		t.Errorf("%+v %v", res, err)
	}
	line := "USC00999999202510TMIN" + strings.Repeat("-9999   ", 12) + "   11  7   50 S7"
	for end, kept := range map[int]int{len(line) + 1: 1, len(line): 1, len(line) - 1: 1, len(line) - 3: 1, len(line) - 4: 1, len(line) - 8: 1, len(line) - 9: 0} {
		res, err := read((line + " ")[:end], weather.Options{Loc: loc})
		if kept == 0 {
			if err == nil || !strings.Contains(err.Error(), "day 13: the line ends") {
				t.Errorf("%d: %+v %v", end, res, err)
			}
			continue
		}
		if err != nil || res.Kept != 1 || *res.Nights[0].LowC != 1.1 {
			t.Errorf("%d: %+v %v", end, res, err)
		}
	}
}
