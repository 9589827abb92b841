package judge

import (
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// Two walks of one day: the worse holds, whichever was written first.
func TestTwoWalksOfOneDay(t *testing.T) {
	book := rules.Default()
	day := fields.MakeDate(2025, 7, 20)
	entry := func(id string, d date, b fields.Body) fields.Entry {
		e := fields.Entry{ID: id, Recorded: d.At(9, 0, Zone(nil)), By: "Ada", Body: b}
		if e.EventDate(Zone(nil)) == fields.NoDate {
			e.On = d
		}
		return e
	}
	height := func(cm float64) *fields.Walk {
		return &fields.Walk{Paddock: "a", ShortestCM: num(cm), ShootsCM: num(0), Killed: "none", FrostDamage: "none", WeedsChecked: yesno(true)}
	}
	base := []fields.Entry{
		entry("0A000000000000000000000000", day-60, &fields.Sown{Paddock: "a", Species: []fields.SpeciesShare{{Species: "sudangrass"}}}),
	}
	for n := day - 60; n <= day; n++ {
		id := "0B000000000000000000000000"
		id = id[:24] + string(rune('A'+(n-day+60)/26)) + string(rune('A'+(n-day+60)%26))
		base = append(base, entry(id, n, &fields.Reading{Paddock: "a", Night: n, LowC: num(12)}))
	}
	for _, c := range []struct {
		first, second float64
		want          hazard.Flag
	}{{95, 95, hazard.Clear}, {50, 95, hazard.Hold}, {95, 50, hazard.Hold}} {
		es := append(append([]fields.Entry{}, base...),
			entry("0C000000000000000000000001", day, height(c.first)), entry("0C000000000000000000000002", day, height(c.second)))
		q := Question{On: day, Moment: day.At(20, 0, Zone(nil))}
		for name, ask := range map[string]func([]fields.Entry, Question, *hazard.Rulebook) Answers{"engine": Engine, "plain": askPlain} {
			k := Key{Place: "a", Use: hazard.Graze, Class: hazard.BredCattle, Hazard: hazard.PrussicAcid}
			if got := ask(es, q, book)[k]; got.Flag != c.want {
				t.Errorf("%s: %g cm, then %g: %s, want %s", name, c.first, c.second, got, c.want)
			}
		}
	}
}
