package farm

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

// Odds come from the paddock's own thermometer with its offset, over the years
// the journal holds; with too few years they are not given.
func TestSowPlanOdds(t *testing.T) {
	now := fields.MakeDate(2026, 5, 20).At(9, 0, time.UTC)
	f := &Farm{Clock: func() time.Time { return now }}
	at := func(years int) *View {
		es := []fields.Entry{}
		say := func(on fields.Date, b fields.Body) {
			e := entryOf("", now, b)
			e.On = on
			es = append(es, e)
		}
		say(fields.MakeDate(2000, 1, 1), &fields.Farm{Name: "Demo", Zone: "UTC"})
		say(fields.MakeDate(2000, 1, 1), &fields.StationFacts{Station: "yard", Name: "Yard"})
		say(fields.MakeDate(2000, 1, 1), &fields.PaddockFacts{Paddock: "creek", Name: "Creek", Station: "yard", OffsetC: num(-2)})
		say(fields.MakeDate(2000, 1, 1), &fields.PaddockFacts{Paddock: "far", Name: "Far"})
		for y := 2025; y > 2025-years; y-- {
			first := fields.MakeDate(y, 9, 5+y%11) // the yard's first 0 °C night
			for d := fields.MakeDate(y, 8, 1); d <= fields.MakeDate(y, 12, 31); d++ {
				low := 1.0 // -1 °C in the creek: frost there from the first of August
				if d < first.Add(-20) {
					low = 9
				}
				if d >= first {
					low = -3
				}
				say(fields.NoDate, &fields.Reading{Station: "yard", Night: d, LowC: num(low), Covers: is(true)})
			}
		}
		return f.refold(numbered2(es), Question{})
	}
	v := at(12)
	p := v.SowPlan("creek", []string{"sorghum-sudangrass"}, fields.MakeDate(2026, 7, 10), 0)
	if p.Ready != fields.MakeDate(2026, 9, 8) {
		t.Errorf("ready on %s", p.Ready)
	}
	zero, kill := p.Odds[0], p.Odds[1]
	if zero.Unknown != "" || zero.Seasons != 12 || !zero.Adjusted {
		t.Fatalf("odds: %+v", zero)
	}
	// With the offset the creek freezes 20 days before the yard, always by the
	// ready day; a night of -2.2 °C comes with the yard's first frost.
	if zero.ByReady < 0.99 || kill.ByReady <= 0 || kill.ByReady >= zero.ByReady {
		t.Errorf("odds by the ready day: %.3f at 0 °C, %.3f at -2.2 °C", zero.ByReady, kill.ByReady)
	}
	var nights []weather.NightLow
	for _, x := range v.History.OfStation("yard") {
		b := x.Body.(*fields.Reading)
		nights = append(nights, weather.NightLow{Night: b.Night, LowC: num(*b.LowC - 2), Covers: true})
	}
	odds, err := weather.FitOdds(weather.SeasonsOf(nights, -2.2))
	if err != nil {
		t.Fatal(err)
	}
	if _, day := weather.SeasonDay(p.Ready); math.Abs(odds.By(day)-kill.ByReady) > 1e-12 {
		t.Errorf("the odds are not those of the record: %v, %v", kill.ByReady, odds.By(day))
	}
	for name, c := range map[string]struct {
		v       *View
		paddock string
		sow     fields.Date
		want    string
	}{
		"too few years": {at(3), "creek", fields.MakeDate(2026, 7, 10), "3 seasons with a known first frost"},
		"no station":    {v, "far", fields.MakeDate(2026, 7, 10), "no station"},
		"spring":        {v, "creek", fields.MakeDate(2026, 4, 10), "only autumn frosts are counted"},
	} {
		if got := c.v.SowPlan(c.paddock, []string{"oats"}, c.sow, 0).Odds[0].Unknown; !strings.Contains(got, c.want) {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func numbered2(es []fields.Entry) []fields.Entry {
	for i := range es {
		b := []byte("~00000")
		for j, n := 5, i; n > 0; j, n = j-1, n/10 {
			b[j] = '0' + byte(n%10)
		}
		es[i].ID = string(b)
	}
	return es
}
