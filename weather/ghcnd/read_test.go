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
		"access":        "\"STATION\",\"DATE\",\"LATITUDE\",\"TMIN\",\"TMIN_ATTRIBUTES\"\n\"USC00999999\",\"2025-10-14\",\"40\",\"  -22\",\",,7\"\n",
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
