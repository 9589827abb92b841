package ghcnh

import (
	"strings"
	"testing"
	"time"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// A last row cut off in the middle of its number is not read: -2 may have been -23.1, and
// 1 may have been 12.0.
func TestCutRow(t *testing.T) {
	const head = "STATION|Station_name|DATE|LATITUDE|LONGITUDE|temperature|temperature_Measurement_Code|temperature_Quality_Code|temperature_Report_Type|temperature_Source_Code\n" +
		"USW00099999|TEST|2026-10-09T10:53:00|41|-105|3.3||1|FM-15|343\n"
	for _, last := range []string{"-2", "1", "12.0", "12.0|"} {
		res, err := weather.Collect(func(s weather.Sink) (*weather.Result, error) {
			return Format.Stream(strings.NewReader(head+"USW00099999|TEST|2026-10-09T11:53:00|41|-105|"+last), weather.Options{Loc: time.UTC}, s)
		})
		if err != nil || res.Kept != 1 || res.Rejected != 1 || res.Rejects[0].Line != 3 || !strings.Contains(res.Rejects[0].What, "instead of 10") {
			t.Errorf("%s: %+v %v", last, res, err)
		}
	}
}

// Which quality codes let a value through, by the source they come from.
func TestQualityCodes(t *testing.T) {
	for _, c := range []struct {
		qc, source string
		want       bool
	}{
		{"", "", true},
		{"", "382", true},
		{"1", "335", true},
		{"5", "335", true},
		{"9", "335", true},
		{"2", "335", false},
		{"3", "335", false},
		{"6", "335", false},
		{"7", "335", false},
		{"A", "335", true},
		{"C", "320", true},
		{"C", "382", false},
		{"C", "", false},
		{"o", "335", false},
		{"L", "", false},
		{"S", "343", false},
		{"10", "335", false},
	} {
		if got := (quantity{qc: 0, source: 1}).usable(table.Row{c.qc, c.source}); got != c.want {
			t.Errorf("code %q of source %q: %v", c.qc, c.source, got)
		}
	}
}

// The archive puts no cell in quotation marks: one in a remark is text.
func TestMarkInRemark(t *testing.T) {
	const head = "STATION|DATE|temperature|temperature_Quality_Code|remarks\n"
	res, err := weather.Collect(func(s weather.Sink) (*weather.Result, error) {
		return Format.Stream(strings.NewReader(head+"USW00099999|2026-10-09T10:53:00|-2.8|1|\" TORN\nUSW00099999|2026-10-09T11:53:00|-3.3|1|\"A\" B\n"), weather.Options{Loc: time.UTC}, s)
	})
	if err != nil || res.Kept != 2 || res.Rejected != 0 {
		t.Errorf("%+v %v", res, err)
	}
}
