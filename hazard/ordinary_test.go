package hazard_test

import (
	"fmt"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// Ordinary farms: what an ordinary year, kept as this tool asks, may cost in
// days. A tool that holds stock off good grass is thrown out, so the days are
// counted, and each is worked out from the contract's words beside it.

// farmYear is a farm's journal in the making.
type farmYear struct {
	t       *testing.T
	entries []fields.Entry
}

func day(t *testing.T, s string) fields.Date {
	t.Helper()
	d, err := fields.ParseISODate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func newFarmYear(t *testing.T) *farmYear {
	t.Helper()
	return &farmYear{t: t, entries: journalOf(t, farmByDefault)}
}

// log writes an entry down at 07:00 of its day; the body may hold verbs.
func (s *farmYear) log(on fields.Date, kind, body string, args ...any) {
	s.t.Helper()
	loc, err := fields.LoadZone(farmByDefault)
	if err != nil {
		s.t.Fatal(err)
	}
	at := on.At(7, 0, loc)
	e, err := caseEntry(kind, caseULID(at, len(s.entries)+1), at, on, fmt.Sprintf(body, args...))
	if err != nil {
		s.t.Fatalf("%s %s: %v", kind, body, err)
	}
	s.entries = append(s.entries, *e)
}

// lows reads the paddock's own thermometer every night.
func (s *farmYear) lows(from, to fields.Date, low func(fields.Date) float64) {
	s.t.Helper()
	for d := from; d <= to; d++ {
		s.log(d, "reading", `{"low_c":%g}`, low(d))
	}
}

const properSample = `{"analyte":"nitrate","values":[300],"form":"NO3-N","unit":"ppm","basis":"dm","method":"lab","stems":20,"spots":10,"cut_cm":10}`

// count asks at 12:00 of every day and holds each answer against want; lot ""
// asks about grazing paddock p. A hazard below 0 is the whole verdict.
func (s *farmYear) count(name, lot string, from, to fields.Date, classes []hazard.Class, z int, want func(fields.Date) hazard.Flag) {
	s.t.Helper()
	var n [hazard.Hold + 1]int
	for d := from; d <= to; d++ {
		h := fields.Fold(s.entries, fields.View{On: d})
		a := hazard.Assess(fields.Fold(s.entries, fields.View{On: d, KnownAt: d.At(12, 0, h.Loc)}), rules.Default())
		for i, class := range classes {
			var v *hazard.Verdict
			if lot == "" {
				v = a.Paddocks[0].Verdict(hazard.Graze, class)
			} else {
				for j := range a.Lots {
					if a.Lots[j].Lot == lot {
						v = a.Lots[j].Verdict(class)
					}
				}
			}
			if v == nil {
				s.t.Fatalf("%s: nothing is answered on %s", name, d)
			}
			got := v.Flag
			if z >= 0 {
				got = v.Hazards[z].Flag
			}
			if i == 0 {
				n[got]++
			}
			if got != want(d) {
				s.t.Errorf("%s: on %s %s is %s, want %s", name, d, class, got, want(d))
			}
		}
	}
	s.t.Logf("%s, %s to %s: HOLD %d, CAUTION %d, CLEAR %d days", name, from.Words(), to.Words(), n[hazard.Hold], n[hazard.Caution], n[hazard.Clear])
}

func always(f hazard.Flag) func(fields.Date) hazard.Flag {
	return func(fields.Date) hazard.Flag { return f }
}

const overallHazards = -1

var (
	tender = []hazard.Class{hazard.BredCattle, hazard.YoungCattle, hazard.Sheep, hazard.Goats}
	tough  = []hazard.Class{hazard.OpenCattle, hazard.Horses}
)

// pasture is alfalfa and brome never sown, with dandelions written down, walked
// for weeds every 28 days. Its year: hard frosts until 20-Apr, light ones until
// 20-May and from 11-Sep, hard ones on 5 and 20-Oct and every night from 1-Nov.
func pasture(t *testing.T) (s *farmYear, from, to fields.Date) {
	t.Helper()
	s = newFarmYear(t)
	from, to = day(t, "2026-01-05"), day(t, "2026-12-31")
	s.log(from, "seen", `{"species":["alfalfa","smooth brome","dandelion"]}`)
	for d := from; d <= to; d += 28 {
		s.log(d, "walk", `{"weeds_checked":true,"frost_damage":"unknown"}`)
	}
	s.lows(from, to, func(d fields.Date) float64 {
		switch {
		case d < day(t, "2026-04-21"), d >= day(t, "2026-11-01"):
			return -12
		case d < day(t, "2026-05-21"):
			return -2
		case d < day(t, "2026-09-11"):
			return 8
		case d == day(t, "2026-10-05"), d == day(t, "2026-10-20"):
			return -5
		}
		return -3
	})
	return s, from, to
}

// No P species, and a stand of low plants without nitrogen: frosts are no
// stress, the weed check is never older than 28 days.
func TestOrdinaryAlfalfaBromeWithDandelions(t *testing.T) {
	s, from, to := pasture(t)
	s.count("alfalfa and brome", "", from, to, hazard.Classes, overallHazards, always(hazard.Clear))
	// Damage walked in the tops is no stress either.
	s.log(day(t, "2026-10-07"), "walk", `{"frost_damage":"part","killed":"part"}`)
	s.count("alfalfa and brome, tops burnt", "", day(t, "2026-10-01"), day(t, "2026-11-30"), hazard.Classes, overallHazards, always(hazard.Clear))
	// Nobody walked after the first time: 90 days in old sod.
	unwalked := newFarmYear(t)
	unwalked.log(from, "seen", `{"species":["alfalfa","smooth brome","dandelion"]}`)
	unwalked.log(from, "walk", `{"weeds_checked":true}`)
	unwalked.count("alfalfa and brome walked once", "", from, from+120, hazard.Classes, overallHazards, func(d fields.Date) hazard.Flag {
		if d > from+90 {
			return hazard.Caution
		}
		return hazard.Clear
	})
}

// 40 kg N/ha is fresh on X-30 ... X: 31 days of caution, else nothing.
func TestOrdinaryPastureWithFortyKilos(t *testing.T) {
	s, from, to := pasture(t)
	dose := day(t, "2026-05-10")
	s.log(dose, "nitrogen", `{"kg_n_ha":40}`)
	s.count("40 kg N", "", from, to, hazard.Classes, overallHazards, func(d fields.Date) hazard.Flag {
		if d >= dose && d <= dose+30 {
			return hazard.Caution
		}
		return hazard.Clear
	})
}

// 68 kg in one dose makes the stand accumulating and untested: caution from the
// dose; all its plants are hardy, so that tender classes are held for 14 days
// after the hard nights (5 and 20-Oct, every night from 1-Nov) and no others.
func TestOrdinaryPastureWithSixtyEightKilos(t *testing.T) {
	s, from, to := pasture(t)
	dose := day(t, "2026-05-10")
	s.log(dose, "nitrogen", `{"kg_n_ha":68}`)
	hard := []fields.Date{day(t, "2026-10-05"), day(t, "2026-10-20")}
	for d := day(t, "2026-11-01"); d <= to; d++ {
		hard = append(hard, d)
	}
	s.count("68 kg N, tough classes", "", from, to, tough, overallHazards, func(d fields.Date) hazard.Flag {
		if d >= dose {
			return hazard.Caution
		}
		return hazard.Clear
	})
	s.count("68 kg N, tender classes", "", from, to, tender, overallHazards, func(d fields.Date) hazard.Flag {
		for _, n := range hard {
			if d >= n && d <= n+14 {
				return hazard.Hold
			}
		}
		if d >= dose {
			return hazard.Caution
		}
		return hazard.Clear
	})
}

// autumn is oats and turnips sampled low every 14 days from 1-Sep, with a frost
// of low °C every third night from 3-Sep and warm nights between.
func autumn(t *testing.T, low float64) (s *farmYear, from, to fields.Date) {
	t.Helper()
	s = newFarmYear(t)
	from, to = day(t, "2026-09-01"), day(t, "2026-10-30")
	s.log(day(t, "2026-07-10"), "sown", `{"species":[{"species":"oats"},{"species":"turnips"}]}`)
	for d := from; d <= to; d += 14 {
		s.log(d, "lab", "%s", properSample)
	}
	s.lows(from-15, to, func(d fields.Date) float64 {
		if frostOf(d, from) {
			return low
		}
		return 5
	})
	return s, from, to
}

func frostOf(d, from fields.Date) bool { return d >= from+2 && (d-from-2)%3 == 0 }

// unborne says whether a frost up to the day has no walk two days later or more.
func unborne(d, from fields.Date, walks []fields.Date) bool {
	for n := from; n <= d; n++ {
		borne := !frostOf(n, from)
		for _, w := range walks {
			borne = borne || w >= n+2 && w <= d
		}
		if !borne {
			return true
		}
	}
	return false
}

func (s *farmYear) goodWalks(ds []fields.Date) {
	s.t.Helper()
	for _, d := range ds {
		s.log(d, "walk", `{"frost_damage":"none","stress_free":true,"weeds_checked":true}`)
	}
}

// A light night is open until a walk at least 2 days later finds no damage: it
// is caution on the night's day and the next, clear from the walk to the next
// frost, and never a hold.
func TestOrdinaryOatsAndTurnipsOfLightFrosts(t *testing.T) {
	caution := func(from fields.Date, walks []fields.Date) func(fields.Date) hazard.Flag {
		return func(d fields.Date) hazard.Flag {
			if unborne(d, from, walks) {
				return hazard.Caution
			}
			return hazard.Clear
		}
	}

	s, from, to := autumn(t, -2)
	walks := []fields.Date{from}
	for d := from + 4; d <= to; d += 3 { // two days after each frost
		walks = append(walks, d)
	}
	s.goodWalks(walks)
	s.count("oats and turnips, walked two days after each frost", "", from, to, hazard.Classes, overallHazards, caution(from, walks))

	s, from, to = autumn(t, -2)
	walks = nil
	for d := from; d <= to; d += 4 {
		walks = append(walks, d)
	}
	s.goodWalks(walks)
	s.count("oats and turnips, walked every four days", "", from, to, hazard.Classes, overallHazards, caution(from, walks))

	s, from, to = autumn(t, -2)
	s.goodWalks([]fields.Date{from})
	s.count("oats and turnips, never walked again", "", from+2, to, hazard.Classes, overallHazards, always(hazard.Caution))

	// -0.9 °C in the paddock is borne for 3 days by a walk that found no
	// damage: with walks every third day no night is open.
	s, from, to = autumn(t, -0.9)
	walks = nil
	for d := from; d <= to; d += 3 {
		walks = append(walks, d)
	}
	s.goodWalks(walks)
	s.count("oats and turnips, -0.9 °C, walked every three days", "", from, to, hazard.Classes, overallHazards, always(hazard.Clear))
}

// Foxtail millet has no clock; 20 cores of 60 bales are a mixture: clear for
// tender classes below 499.8 ppm N (2.26 times it below 5000 ppm NO3), for open
// cattle below 564.8. Horses are never fed foxtail millet.
func TestOrdinaryMilletHay(t *testing.T) {
	for _, x := range []struct {
		ppm          int
		tender, open hazard.Flag
	}{
		{240, hazard.Clear, hazard.Clear},
		{380, hazard.Clear, hazard.Clear},
		{480, hazard.Clear, hazard.Clear},
		{520, hazard.Caution, hazard.Clear},
		{570, hazard.Caution, hazard.Caution},
	} {
		s := newFarmYear(t)
		s.log(day(t, "2026-06-01"), "sown", `{"species":[{"species":"foxtail millet"}]}`)
		s.log(day(t, "2026-08-10"), "cut", `{"use":"hay"}`)
		s.log(day(t, "2026-08-14"), "lot", `{"lot":"hay","lot_kind":"hay","from":["p"],"cut_on":"2026-08-10","bales":60}`)
		tested := day(t, "2026-08-20")
		s.log(tested, "lab", `{"lot":"hay","analyte":"nitrate","values":[%d],"form":"NO3-N","unit":"ppm","basis":"dm","method":"lab","bales_cored":20,"cores":20}`, x.ppm)
		name := fmt.Sprintf("millet hay of %d ppm N", x.ppm)
		s.count(name+", tender classes", "hay", tested, tested+60, tender, overallHazards, always(x.tender))
		s.count(name+", open cattle", "hay", tested, tested+60, []hazard.Class{hazard.OpenCattle}, overallHazards, always(x.open))
		s.count(name+", horses", "hay", tested, tested+60, []hazard.Class{hazard.Horses}, overallHazards, always(hazard.Hold))
	}
}

// Silage that met no frost: hold through made_on + 21, then no hold for prussic
// acid (nitrate untested: caution).
func TestOrdinarySorghumSudanSilage(t *testing.T) {
	s := newFarmYear(t)
	made := day(t, "2026-08-20")
	s.log(day(t, "2026-06-01"), "sown", `{"species":[{"species":"sorghum-sudan"}]}`)
	s.lows(day(t, "2026-07-15"), made, func(fields.Date) float64 { return 9 })
	s.log(made-3, "walk", `{"killed":"none","shoots_cm":0,"shortest_cm":150,"weeds_checked":true}`)
	s.log(made, "cut", `{"use":"silage"}`)
	s.log(made, "lot", `{"lot":"pit","lot_kind":"silage","from":["p"],"cut_on":"%s","tonnes":80}`, made)
	cattle := []hazard.Class{hazard.BredCattle, hazard.YoungCattle, hazard.OpenCattle, hazard.Sheep, hazard.Goats}
	s.count("sorghum-sudan silage, prussic acid", "pit", made, made+90, cattle, int(hazard.PrussicAcid), func(d fields.Date) hazard.Flag {
		if d <= made+21 {
			return hazard.Hold
		}
		return hazard.Clear
	})
	s.count("sorghum-sudan silage, nitrate", "pit", made, made+90, cattle, int(hazard.Nitrate), always(hazard.Caution))
}

// "Clover" and "ryegrass" have no clock, no height and are off for no class of
// stock. Sown, the ryegrass gathers nitrate and nobody sampled it: caution, and
// tender classes are held for the 14 days after the hard night of 20-Oct. Seen
// in a pasture never sown, how much of it was not said: weedy, caution, no hold.
func TestOrdinaryCloverAndRyegrass(t *testing.T) {
	from, to, hard := day(t, "2026-08-01"), day(t, "2026-11-15"), day(t, "2026-10-20")
	for _, x := range []struct {
		name, kind, body string
		held             bool
	}{
		{"clover and ryegrass, sown", "sown", `{"species":[{"species":"clover"},{"species":"ryegrass"}]}`, true},
		{"clover and ryegrass, never sown", "seen", `{"species":["clover","ryegrass"]}`, false},
	} {
		s := newFarmYear(t)
		s.log(from-30, x.kind, "%s", x.body)
		s.log(from, "walk", `{"weeds_checked":true}`)
		s.lows(from, to, func(d fields.Date) float64 {
			switch {
			case d == hard:
				return -6
			case d < day(t, "2026-09-10"):
				return 8
			}
			return -2
		})
		s.count(x.name+", prussic acid", "", from, to, hazard.Classes, int(hazard.PrussicAcid), always(hazard.Clear))
		s.count(x.name+", tender classes", "", from, to, tender, overallHazards, func(d fields.Date) hazard.Flag {
			if x.held && d >= hard && d <= hard+14 {
				return hazard.Hold
			}
			return hazard.Caution
		})
		s.count(x.name+", tough classes", "", from, to, tough, overallHazards, always(hazard.Caution))
	}
}
