package plaincsv

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"rimegate/weather"
	"rimegate/weather/internal/rows"
)

// A number alone in a column of known unit is read as marked reads it, and what is
// no such number goes the long way.
func TestTemperatureShortWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.OneOf(
			rapid.StringMatching(`[-+−<]?[0-9]{0,4}[.,]?[0-9]{0,3}[ ]?([CcFf]|°C|e1)?`),
			rapid.SampledFrom([]string{"", "-", "M", "NA", "-9999", "999.9", "-99", "<0", "<5", "280", "-130", "28F", "1e400", "."}),
		).Draw(t, "cell")
		unit, mark := rapid.SampledFrom([]string{"C", "F"}).Draw(t, "unit"), rapid.SampledFrom([]byte{'.', 0}).Draw(t, "mark")
		read := func(f func(p *reader) string) (string, weather.Result) {
			p := &reader{res: &weather.Result{}, unit: unit, mark: mark, units: map[string]bool{}}
			p.col = columns{temp: 0, unit: -1}
			if err := p.cells.Split([]byte(cell), ';'); err != nil {
				t.Fatal(err)
			}
			return f(p), *p.res
		}
		say := func(c float64, below bool, st tempState, err error) string { return fmt.Sprint(c, below, st, err) }
		got, res := read(func(p *reader) string { return say(p.temperature(7)) })
		want, wres := read(func(p *reader) string { return say(p.marked(7, rows.Trim([]byte(cell)))) })
		if got != want || fmt.Sprint(res) != fmt.Sprint(wres) {
			t.Fatalf("%q in %s: %s %+v, the long way %s %+v", cell, unit, got, res, want, wres)
		}
	})
}
