package farm

import (
	"hash/fnv"
	"math"
	"sort"
	"time"

	"rimegate/fields"
)

// The invented farm. Nobody's farm, nobody's names: two seats, Maren and
// Tobias, ten paddocks, two thermometers, three herds, one season. Every day is
// said as days back from the farm's today, so that the list is worth reading on
// any day of the year.

const demoZone = "America/Regina"

// demoMistake is the note of the entry that is struck.
const demoMistake = "saw it from the road"

type season struct {
	today   fields.Date
	loc     *time.Location
	entries []fields.Entry
	strike  fields.Entry
}

// say adds entries written down `back` days before today at hh:mm; they are
// about that day unless the body has a day of its own.
func (s *season) say(back, hh, mm int, by, note string, bodies ...fields.Body) {
	d := s.day(back)
	for _, b := range bodies {
		e := fields.Entry{Recorded: d.At(hh, mm, s.loc), By: by, On: d, Note: note, Body: b}
		switch b.(type) {
		case *fields.Reading, *fields.Forecast, *fields.Frost, *fields.NoFrost, *fields.Lab, *fields.Water, *fields.LotFacts, *fields.Fed:
			e.On = fields.NoDate
		}
		s.entries = append(s.entries, e)
	}
}

func (s *season) day(back int) fields.Date { return s.today.Add(-back) }

func num(v float64) *float64 { return &v }
func is(b bool) *bool        { return &b }

func mix(list ...any) []fields.SpeciesShare {
	var out []fields.SpeciesShare
	for i := 0; i < len(list); i += 2 {
		out = append(out, fields.SpeciesShare{Species: list[i].(string), Share: num(float64(list[i+1].(int)))})
	}
	return out
}

const (
	maren  = "Maren"
	tobias = "Tobias"
)

func demoSeason(today fields.Date, loc *time.Location) *season {
	s := &season{today: today, loc: loc}
	s.setUp()
	s.growing()
	s.nights()
	s.autumn()
	s.feed()
	sort.SliceStable(s.entries, func(i, j int) bool { return s.entries[i].Recorded.Before(s.entries[j].Recorded) })
	return s
}

func (s *season) setUp() {
	s.say(126, 20, 10, maren, demoMark+s.today.String(),
		&fields.Farm{
			Name: "Wolverine Crossing", Zone: demoZone, Units: "metric",
			Contacts: &fields.Contacts{Manager: "Maren 555-0101", Backup: "Tobias 555-0102", Vet: "Dr Lund 555-0100"},
		})
	s.say(126, 20, 15, maren, "",
		&fields.StationFacts{Station: "yard", Name: "Yard thermometer", HeightM: num(1.5)},
		&fields.StationFacts{Station: "ridge", Name: "Ridge logger", HeightM: num(1.5)})
	paddock := func(id, name string, ha float64, station string, offset float64, low bool) fields.Body {
		b := &fields.PaddockFacts{Paddock: id, Name: name, AreaHa: num(ha), Station: station}
		if offset != 0 {
			b.OffsetC = num(offset)
		}
		if low {
			b.LowLying = is(true)
		}
		return b
	}
	s.say(126, 20, 40, maren, "",
		paddock("north-slough", "North Slough", 24, "yard", -1.5, true),
		paddock("home-quarter", "Home Quarter", 38, "yard", 0, false),
		paddock("river-flat", "River Flat", 29, "yard", -1, false),
		paddock("creek", "Creek", 18, "ridge", 0, false),
		paddock("bench", "The Bench", 31, "ridge", 0, false),
		paddock("lease-80", "Lease Eighty", 32, "ridge", 0, false),
		paddock("east-hills", "East Hills", 64, "ridge", 0, false),
		paddock("old-pasture", "Old Pasture", 22, "yard", 0, false),
		paddock("corral-strip", "Corral Strip", 3, "yard", 0, false))
	s.say(126, 21, 5, maren, "",
		&fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle", "young-cattle"}, Head: num(85), WeightKg: num(620), IntakePctBW: num(2.5)},
		&fields.HerdFacts{Herd: "yearlings", Classes: []string{"open-cattle"}, Head: num(60), WeightKg: num(380), IntakePctBW: num(2.6)},
		&fields.HerdFacts{Herd: "ewes", Classes: []string{"sheep"}, Head: num(140), WeightKg: num(72), IntakePctBW: num(2.8)})
}

// growing is sowing, rain and the first cut.
func (s *season) growing() {
	newStand := func(id string, species []fields.SpeciesShare) fields.Body {
		return &fields.Sown{Paddock: id, Species: species, NewStand: is(true), Ended: "tilled"}
	}
	s.say(124, 21, 20, maren, "", newStand("creek", mix("oats", 70, "field pea", 30)))
	s.say(122, 21, 0, tobias, "", newStand("bench", mix("forage sorghum", 100)))
	s.say(119, 20, 45, tobias, "", newStand("home-quarter", mix("sudangrass", 100)))
	s.say(118, 21, 30, tobias, "", newStand("lease-80", mix("foxtail millet", 60, "pearl millet", 40)))
	s.say(116, 21, 10, maren, "leftover seed of three bags",
		newStand("north-slough", mix("sorghum-sudangrass", 60, "pearl millet", 25, "cowpea", 15)))
	s.say(96, 21, 15, tobias, "", newStand("river-flat", mix("turnip", 20, "forage rape", 20, "oats", 60)))
	s.say(116, 21, 12, maren, "", &fields.Nitrogen{Paddocks: []string{"north-slough"}, KgNHa: num(45), Form: "urea"})
	s.say(110, 19, 40, maren, "", &fields.Seen{
		Paddock: "east-hills", Species: []string{"smooth bromegrass", "crested wheatgrass", "alfalfa"}, Where: "old seeding",
	})
	for _, r := range []struct {
		back int
		mm   float64
	}{{108, 14}, {97, 22}, {85, 9}, {71, 31}, {58, 6}, {41, 17}, {24, 8}} {
		s.say(r.back, 7, 15, tobias, "", &fields.Rain{Paddocks: []string{"bench", "creek", "home-quarter", "north-slough", "river-flat"}, MM: num(r.mm)})
	}
	s.say(61, 19, 50, maren, "", &fields.Walk{
		Paddock: "north-slough", Killed: "none", FrostDamage: "none", ShortestCM: num(84), Wilted: is(false), StressFree: is(true), WeedsChecked: is(true),
	})
	s.say(60, 20, 30, maren, "", &fields.Water{
		Source: "east well", SampledOn: s.day(66), Value: num(7.5), Form: "NO3-N", Unit: "mg/L",
		Paddocks: []string{"river-flat", "old-pasture", "corral-strip"}, Herds: []string{"pairs", "ewes"},
	})
	s.say(48, 21, 40, tobias, "", &fields.Cut{Paddock: "bench", Use: "hay", HeightCM: num(15), Lot: "bench-hay"})
	s.say(44, 21, 10, tobias, "", &fields.LotFacts{
		Lot: "bench-hay", LotKind: "hay", MadeOn: s.day(44), CutOn: s.day(48), From: []string{"bench"},
		Bales: num(96), Tonnes: num(52), DMPct: num(87), Species: []string{"forage sorghum"},
	})
	s.say(40, 20, 0, maren, "", &fields.Round{
		Name: "walk the regrowth", RRule: "FREQ=WEEKLY;BYDAY=MO,TH", Paddocks: []string{"bench", "north-slough"},
		What: "look for new shoots at the base, tape in hand",
	})
}

// night is what was read; NaN: nobody read it.
func (s *season) nights() {
	none := math.NaN()
	yard := map[int]float64{33: none, 32: none, 20: -5.2, 19: 2.9, 18: 4.1, 12: none, 6: -3.9, 2: 3.1}
	ridge := map[int]float64{47: none, 20: -1.6, 6: 0.8, 0: none}
	hours := map[string]map[int][2]float64{
		"yard":  {20: {8, 5}, 6: {7, 3}},
		"ridge": {20: {4, 0}},
	}
	for back := 72; back >= 0; back-- {
		for _, st := range []struct {
			id   string
			set  map[int]float64
			warm float64
		}{{"yard", yard, 0}, {"ridge", ridge, 1.4}} {
			low, set := st.set[back]
			if !set {
				low = demoLow(st.id, back) + st.warm
			}
			if math.IsNaN(low) {
				continue
			}
			r := &fields.Reading{Station: st.id, Night: s.day(back), LowC: num(low), Covers: is(true), Source: "logger"}
			if h, ok := hours[st.id][back]; ok {
				r.HoursBelow0, r.HoursBelowKill = num(h[0]), num(h[1])
			}
			by := tobias
			if st.id == "yard" {
				r.Source = "minimum thermometer"
				by = maren
			}
			// The ridge logger is read out on Mondays and Thursdays by the list's
			// count, the yard every morning.
			s.say(back, 6, 30, by, "", r)
		}
	}
}

// demoLow is the low of an ordinary night in °C: falling from 13 to 7, give or
// take two degrees, always the same for the same night.
func demoLow(station string, back int) float64 {
	h := fnv.New32a()
	h.Write([]byte{station[0], byte(back)})
	wobble := float64(h.Sum32()%400)/100 - 2
	low := 7 + 6*float64(back)/72 + wobble
	return math.Round(low*10) / 10
}

// autumn is what frost, hail and stock did.
func (s *season) autumn() {
	dead := func(id string) *fields.Walk {
		return &fields.Walk{
			Paddock: id, Killed: "all", FrostDamage: "all", Dry: is(true), ShootsCM: num(0), Alive: []string{}, WeedsChecked: is(true),
		}
	}
	// Stock.
	s.say(62, 18, 0, maren, "", &fields.Grazed{Paddock: "east-hills", State: "in", Herd: "yearlings"})
	s.say(29, 17, 20, tobias, "", &fields.Grazed{Paddock: "corral-strip", State: "in", Herd: "ewes"})
	s.say(13, 15, 40, tobias, "", &fields.Grazed{Paddock: "river-flat", State: "in", Herd: "pairs"})

	// The killing frost: dead to the base in one paddock, green at the base in
	// another.
	s.say(20, 6, 50, maren, "", &fields.Frost{
		Paddocks: []string{"home-quarter", "north-slough", "river-flat"}, Night: s.day(20), LowC: num(-5.5), Seen: "white frost, water trough frozen",
	})
	s.say(18, 18, 30, maren, "", dead("home-quarter"))
	s.say(18, 19, 20, maren, "tops brown, green inside the stand", &fields.Walk{
		Paddock: "north-slough", Killed: "part", FrostDamage: "part", Dry: is(false), ShortestCM: num(92), WeedsChecked: is(true),
	})
	s.say(16, 17, 45, tobias, "", &fields.Walk{
		Paddock: "bench", Killed: "part", FrostDamage: "tips", ShootsCM: num(12), ShortestCM: num(34), WeedsChecked: is(true),
	})
	s.say(15, 18, 10, tobias, "", &fields.Walk{
		Paddock: "lease-80", Killed: "part", FrostDamage: "part", ShortestCM: num(61), WeedsChecked: is(true), KgDMHa: num(3100),
	})
	s.say(12, 17, 55, maren, "", &fields.Walk{
		Paddock: "east-hills", FrostDamage: "none", StressFree: is(true), WeedsChecked: is(true), KgDMHa: num(1400),
	})
	// A mistake, struck the next day.
	s.say(10, 7, 5, tobias, demoMistake, &fields.Frost{Paddocks: []string{"creek"}, Night: s.day(10), Seen: "white in the field"})
	s.strike = fields.Entry{
		Recorded: s.day(9).At(20, 15, s.loc), By: tobias, On: s.day(9),
		Body: &fields.Strike{Because: "it was chaff, not frost: the ridge logger shows 8 degrees"},
	}
	// An animal down, and the vet.
	s.say(11, 8, 40, tobias, "", &fields.Incident{Paddock: "corral-strip", Herd: "ewes", Down: num(1), What: "staggering, froth, hard breathing"})
	s.say(11, 9, 10, tobias, "", &fields.Grazed{Paddock: "old-pasture", State: "in", Herd: "ewes"})
	s.say(10, 14, 30, maren, "", &fields.Seen{Paddock: "corral-strip", Species: []string{"chokecherry"}, Where: "north fence, suckers after the frost"})
	s.say(10, 14, 35, maren, "", &fields.Vet{
		Paddock: "corral-strip", Advice: "keep-off", Who: "Dr Lund", Because: "chokecherry suckers in the fence line", Until: s.day(-6),
	})
	// Hail on the oats and peas.
	s.say(17, 19, 30, tobias, "leaves shredded on the west side", &fields.Hail{Paddocks: []string{"creek"}})
	// The second frost.
	s.say(6, 6, 45, maren, "", &fields.Frost{
		Paddocks: []string{"north-slough", "river-flat"}, Night: s.day(6), LowC: num(-5.5), Seen: "white frost along the slough",
	})
	s.say(4, 18, 5, tobias, "green shoots from the base all along the east side", &fields.Walk{
		Paddock: "bench", Killed: "part", FrostDamage: "part", ShootsCM: num(28), ShortestCM: num(28), WeedsChecked: is(true),
	})
	s.say(3, 17, 30, maren, "", dead("home-quarter"))
	s.say(1, 21, 15, maren, "", &fields.Read{})
	// Tonight.
	s.say(0, 6, 35, maren, "", &fields.Forecast{Station: "yard", Night: s.day(-1), LowC: num(1.5), Issued: s.day(0).At(5, 0, s.loc), Source: "public forecast for the district"})
}

// feed is samples, results and lots.
func (s *season) feed() {
	lab := func(b fields.Lab) *fields.Lab {
		b.Analyte, b.Form, b.Unit, b.Basis, b.Method = "nitrate", "NO3", "ppm", "dm", "lab"
		return &b
	}
	s.say(39, 12, 10, maren, "", &fields.Sampled{Lot: "bench-hay", Sample: "B-17", Lab: "district laboratory", BalesCored: num(20), Cores: num(20)})
	s.say(34, 16, 20, maren, "", lab(fields.Lab{
		Lot: "bench-hay", SampledOn: s.day(39), Values: fields.Values(3900), Sample: "B-17", BalesCored: num(20), Cores: num(20),
	}))
	s.say(27, 18, 30, tobias, "came on a truck, no papers", &fields.LotFacts{
		Lot: "truck-hay", LotKind: "bought", MadeOn: s.day(27), Bales: num(34), Tonnes: num(17),
	})
	s.say(9, 16, 0, maren, "", &fields.Sampled{Paddock: "home-quarter", Sample: "H-21", Lab: "district laboratory", Stems: num(24), Spots: num(12), CutCM: num(10)})
	s.say(8, 15, 30, maren, "", &fields.Sampled{Paddock: "lease-80", Sample: "L-22", Lab: "district laboratory", Stems: num(22), Spots: num(11), CutCM: num(10)})
	s.say(5, 13, 45, maren, "", lab(fields.Lab{
		Paddock: "home-quarter", SampledOn: s.day(9), Values: fields.Values(1450), Sample: "H-21", Stems: num(24), Spots: num(12), CutCM: num(10),
	}))
	s.say(4, 13, 50, maren, "", lab(fields.Lab{
		Paddock: "lease-80", SampledOn: s.day(8), Values: fields.Values(3300), Sample: "L-22", Stems: num(22), Spots: num(11), CutCM: num(10),
	}))
	s.say(2, 8, 20, tobias, "", &fields.Fed{Lot: "bench-hay", Herd: "yearlings", From: s.day(2), Kg: num(420)})
}
