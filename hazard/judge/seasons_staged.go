package judge

import (
	"time"

	"rimegate/fields"
)

// stage writes one paddock whose nights were all read and warm, and on it one
// scene: the few facts between which a line of the contract is drawn, so that
// nothing else hides on which side of it they fall.
func (m *maker) stage() {
	m.s.End = m.s.Start + 45
	p := &plot{id: "a", from: m.s.Start - 10}
	d := m.s.Start + 12 + date(m.r.IntN(15))
	scene := pick(m, m.borneAhead, m.borneAhead, m.doses, m.doses, m.oldSod, m.weedGone, m.freshDose, m.drilledDead, m.winterMorning, m.tallLot, m.tallLot, m.neverSown)
	quiet := map[date]bool{} // nights the scene speaks of itself
	for _, n := range scene(p, d) {
		quiet[n] = true
	}
	for n := m.s.Start - 15; n <= m.s.End; n++ {
		if !quiet[n] {
			m.addAt(n, n.At(9, 30, m.s.Zone), &fields.Reading{Paddock: p.id, Night: n, LowC: num(12)})
		}
	}
	if m.chance(0.3) {
		m.happen(p, d+date(m.r.IntN(20)))
	}
}

func (m *maker) put(d date, body fields.Body) { m.addAt(d, d.At(9, 0, m.s.Zone), body) }

func (m *maker) sowOn(p *plot, d date, names ...string) {
	p.mix = names
	m.put(d, &fields.Sown{Paddock: p.id, Species: m.shares(names)})
}

// looked is a walk that found nothing wrong.
func (m *maker) looked(p *plot) *fields.Walk {
	return &fields.Walk{
		Paddock: p.id, FrostDamage: "none", Killed: "none", ShootsCM: num(0), ShortestCM: num(95), WeedsChecked: yesno(true), StressFree: yesno(true),
	}
}

// clean is a walk that found everything dead.
func (m *maker) clean(p *plot) *fields.Walk {
	return &fields.Walk{Paddock: p.id, Killed: "all", Dry: yesno(true), ShootsCM: num(0), WeedsChecked: yesno(true), Alive: []string{}}
}

// lowSample is a proper sampling, clear in every table.
func (m *maker) lowSample(p *plot, d date) {
	m.put(d, &fields.Lab{
		Paddock: p.id, SampledOn: d, Analyte: "nitrate", Values: fields.Values(50), Form: "NO3-N", Unit: "ppm",
		Basis: "dm", Method: "lab", Stems: num(30), Spots: num(12), CutCM: num(8),
	})
}

// borneAhead: a light or possible night some days after a walk found no damage.
func (m *maker) borneAhead(p *plot, d date) []date {
	m.sowOn(p, m.s.Start-30, pick(m, "oats", "rye", "turnip"))
	m.put(d, m.looked(p))
	n := d + date(m.r.IntN(6))
	r := &fields.Reading{Paddock: p.id, Night: n, LowC: num(pick(m, -1.0, -0.9, -1.1, -0.5, 0, 1.0, 1.2, 2))}
	if m.chance(0.4) { // in a screen, or low down
		m.put(m.s.Start-40, &fields.PaddockFacts{Paddock: p.id, Name: p.id, Station: "st1"})
		r.Station, r.Paddock, r.LowC = "st1", "", num(pick(m, 1.1, 1.2, 1.3, 2.2, -0.9, -1.0, 0))
	}
	if m.chance(0.3) {
		r.Covers = yesno(false)
	}
	m.addAt(n, n.At(9, 30, m.s.Zone), r)
	switch m.r.IntN(6) {
	case 0:
		m.put(n, &fields.Frost{Paddocks: []string{p.id}, Night: n, LowC: num(-0.5)})
	case 1:
		w := m.looked(p)
		w.FrostDamage = fields.Damage(pick(m, "tips", "unknown"))
		m.put(d+date(m.r.IntN(5)), w)
	case 2: // not the only one who read it
		m.put(n, &fields.NoFrost{Paddocks: []string{p.id}, From: n, To: n, Basis: "looked-at-dawn"})
	}
	m.lowSample(p, n-date(m.r.IntN(3)))
	return []date{n}
}

// doses: nitrogen on a grass around the totals from which it gathers.
func (m *maker) doses(p *plot, d date) []date {
	m.put(m.s.Start-30, &fields.Seen{Paddock: p.id, Species: []string{pick(m, "timothy", "alfalfa")}})
	total := pick(m, 55.0, 56, 67, 68, 112, 112, 112, 113)
	first := pick(m, total/2, min(total, 60), total)
	m.put(d-date(m.r.IntN(6)), &fields.Nitrogen{Paddocks: []string{p.id}, KgNHa: &first})
	if rest := total - first; rest > 0 {
		m.put(d-date(m.r.IntN(6)), &fields.Nitrogen{Paddocks: []string{p.id}, KgNHa: &rest})
	}
	switch m.r.IntN(4) {
	case 0:
		m.put(d, &fields.Hail{Paddocks: []string{p.id}})
	case 1:
		m.put(d-date(40+m.r.IntN(8)), &fields.Drought{Paddocks: []string{p.id}, State: "end"})
	case 2:
		m.put(d-date(3+m.r.IntN(6)), &fields.Cut{Paddock: p.id, Use: "hay"})
	}
	if m.chance(0.5) { // hard, as nobody said how cold: it matters to what gathers
		m.put(d+2, &fields.Frost{Paddocks: []string{p.id}, Night: d + 2})
	}
	m.put(d+date(5+m.r.IntN(20)), m.looked(p))
	return nil
}

// oldSod: grass sown a year ago, and a weed in it.
func (m *maker) oldSod(p *plot, d date) []date {
	m.sowOn(p, d-365, pick(m, "timothy", "smooth-brome", "alfalfa"))
	m.put(d-5, m.weed(p))
	m.put(d-date(m.r.IntN(8)), m.looked(p))
	if m.chance(0.3) {
		m.put(d-date(m.r.IntN(40)), &fields.Nitrogen{Paddocks: []string{p.id}, KgNHa: num(20)})
	}
	return nil
}

// weedGone: a weed seen and named absent about the same day.
func (m *maker) weedGone(p *plot, d date) []date {
	m.put(m.s.Start-30, &fields.Seen{Paddock: p.id, Species: []string{"timothy"}})
	s := m.weed(p)
	s.Extent = fields.Extent(pick(m, "", "patches", "common"))
	m.put(d, s)
	w := m.looked(p)
	w.Absent = append([]string{}, s.Species...)
	m.put(d+date(m.r.IntN(3))-1, w)
	if m.chance(0.3) {
		m.put(d+date(m.r.IntN(3)), &fields.Sprayed{Paddocks: []string{p.id}})
	}
	return nil
}

// freshDose: a sample that may live 28 days, and nitrogen a month before.
func (m *maker) freshDose(p *plot, d date) []date {
	m.sowOn(p, m.s.Start-60, pick(m, "oats", "timothy", "corn"))
	m.put(d-30+date(m.r.IntN(3)), &fields.Nitrogen{Paddocks: []string{p.id}, KgNHa: num(20)})
	m.lowSample(p, d-date(9+m.r.IntN(4)))
	m.put(d-date(m.r.IntN(3)), m.looked(p))
	return nil
}

// drilledDead: what was drilled into a dead stand may not be up yet.
func (m *maker) drilledDead(p *plot, d date) []date {
	m.sowOn(p, d-60, pick(m, "oats", "sudangrass"))
	m.sowOn(p, d-27-date(m.r.IntN(3)), pick(m, "rye", "oats"))
	m.put(d, m.clean(p))
	m.put(d+2, m.clean(p))
	m.lowSample(p, d+date(m.r.IntN(3)))
	return nil
}

// winterMorning: a night read until about sunrise.
func (m *maker) winterMorning(p *plot, d date) []date {
	name := m.s.Zone.String()
	lon := pick(m, -104.6, -110)
	if name == "Europe/Berlin" {
		lon = 13
	}
	m.put(m.s.Start-41, &fields.Farm{Name: "Demo", Zone: name, Lat: num(pick(m, 45.0, 58, 66)), Lon: &lon})
	m.sowOn(p, m.s.Start-30, "sudangrass")
	m.put(d, m.looked(p))
	for n := d - 5; n <= d; n++ {
		to := n.At(8, 0, m.s.Zone).Add(time.Duration(m.r.IntN(75)) * time.Minute)
		m.addAt(n, n.At(10, 0, m.s.Zone), &fields.Reading{Paddock: p.id, Night: n, LowC: num(9), Spans: []fields.Span{{From: (n - 1).At(18, 0, m.s.Zone), To: to}}})
	}
	return []date{d - 5, d - 4, d - 3, d - 2, d - 1, d}
}

// tallLot: hay or silage that met only frost, at the edges of its measurements.
func (m *maker) tallLot(p *plot, d date) []date {
	m.sowOn(p, m.s.Start-30, pick(m, "sudangrass", "sorghum-sudangrass"))
	w := m.looked(p)
	w.ShortestCM = num(pick(m, 95.0, 95, 60))
	m.put(d-pick(m, date(0), 2, 12, 13, 14, 15), w)
	frost := d - pick(m, date(-1), 0, 2, 3, 3, 4, 4, 6)
	m.put(frost, &fields.Frost{Paddocks: []string{p.id}, Night: frost})
	var gaps []date
	if m.chance(0.5) { // nobody read it: the clock runs on
		gaps = []date{frost + 1}
	}
	made := d + date(m.r.IntN(4))
	m.put(d, &fields.Cut{Paddock: p.id, Use: "silage", Lot: "lota"})
	m.put(made, &fields.LotFacts{Lot: "lota", LotKind: fields.LotKind(pick(m, "hay", "silage", "baleage")), MadeOn: made, From: []string{p.id}, Bales: num(40)})
	if m.chance(0.15) {
		m.put(d+date(m.r.IntN(5)), &fields.Seen{Paddock: p.id, Species: []string{pick(m, "johnsongrass", "tifton-85", "sudangrass")}})
	}
	return gaps
}

// neverSown: land of which the record begins in the middle of the fortnight.
func (m *maker) neverSown(p *plot, d date) []date {
	m.put(d, &fields.Seen{Paddock: p.id, Species: []string{pick(m, "sudangrass", "indiangrass")}})
	m.put(d, m.looked(p))
	var gaps []date
	for n := m.s.Start - 15; n < d-date(8+m.r.IntN(8)); n++ {
		gaps = append(gaps, n)
	}
	return gaps
}
