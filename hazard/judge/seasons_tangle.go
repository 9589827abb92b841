package judge

import (
	"rimegate/fields"
)

// tangle writes a short season in which everything happens on one or two
// paddocks: what ordinary seasons bring together once in a thousand.
func (m *maker) tangle() {
	var ps []*plot
	for i := 0; i < 1+m.r.IntN(2); i++ {
		p := &plot{id: string(rune('a' + i)), from: m.s.Start - 10, mix: pick(m, mixes...)}
		if m.chance(0.3) {
			p.mix = pick(m, hardies...)
		}
		f := &fields.PaddockFacts{Paddock: p.id, Name: p.id}
		if m.chance(0.9) {
			p.station = pick(m, m.stations...)
			f.Station = p.station
		}
		m.add(p.from, f)
		if m.chance(0.2) {
			m.sod(p)
		} else if m.chance(0.6) {
			m.addSown(p, m.s.Start-date(m.r.IntN(20)), &fields.Sown{Paddock: p.id, Species: m.shares(p.mix)})
		}
		ps = append(ps, p)
	}
	if m.chance(0.1) {
		m.reshape(ps)
	}
	m.readings(ps)
	m.water(ps)
	for _, p := range ps {
		for k := 10 + m.r.IntN(25); k > 0; k-- {
			m.happen(p, m.day())
		}
	}
}

// pairs brings facts together: on the day of one another, or another as many
// days after it as something of it lasts.
func (m *maker) pairs() {
	n := len(m.s.Entries)
	for k := n/20 + m.r.IntN(8); k > 0; k-- {
		e := m.s.Entries[m.r.IntN(n)]
		ps := e.Paddocks()
		if len(ps) == 0 || e.Kind() == fields.KindReading && m.chance(0.7) {
			continue
		}
		p := &plot{id: pick(m, ps...), mix: pick(m, pick(m, mixes...), pick(m, turfs...), pick(m, hardies...))}
		if b, ok := e.Body.(*fields.Sown); ok && len(b.Species) > 0 {
			p.mix = []string{b.Species[0].Species}
		}
		d := e.EventDate(m.s.Zone)
		if m.chance(0.4) {
			d += pick(m, terms...)
		}
		if w, ok := e.Body.(*fields.Walk); ok && m.chance(0.4) { // another height that day
			again := *w
			again.ShortestCM = num(pick(m, 20.0, 50, 60.6, 61, 75.5, 76.2, 95))
			again.FrostDamage = pick(m, w.FrostDamage, "none", "tips")
			m.add(d, &again)
			continue
		}
		m.happen(p, d)
	}
}

// happen writes one thing of any kind.
func (m *maker) happen(p *plot, d date) {
	on := []string{p.id}
	switch m.r.IntN(27) {
	case 0:
		b := &fields.Sown{Paddock: p.id, Species: m.shares(pick(m, mixes...)), NewStand: yesno(m.chance(0.5))}
		if *b.NewStand {
			b.Ended = pick(m, "", fields.EndedTilled, fields.EndedSprayed)
		}
		m.addSown(p, d, b)
	case 1, 2:
		m.add(d, &fields.Seen{Paddock: p.id, Species: []string{pick(m, append(append([]string{}, weeds...), p.mix...)...)}, Extent: fields.Extent(pick(m, "", "trace", "patches", "common"))})
	case 3, 4, 5, 6, 7, 8, 9:
		m.add(d, m.anyWalk(p))
	case 10:
		m.add(d, &fields.Walk{Paddock: p.id, Part: "swath", Dry: yesno(m.chance(0.8))})
	case 11, 12:
		c := &fields.Cut{Paddock: p.id, Use: fields.CutUse(pick(m, "hay", "silage", "swath", "swath", "green-chop"))}
		if m.chance(0.3) { // into a lot of whatever else
			c.Lot = m.lotName(m.r.IntN(m.lots + 2))
		}
		m.add(d, c)
	case 13, 14:
		herd := pick(m, append([]string{""}, m.herds...)...)
		if m.moves[move{herd, d}] {
			herd = ""
		}
		m.moves[move{herd, d}] = true
		m.add(d, &fields.Grazed{Paddock: p.id, State: fields.Move(pick(m, "in", "out")), Herd: herd, SwathLeft: pick(m, nil, yesno(true)), LeftCM: pick(m, nil, nil, num(10), num(20), num(60))})
	case 15:
		m.add(d, &fields.Drought{Paddocks: on, State: fields.DroughtState(pick(m, "start", "end"))})
	case 16:
		m.add(d, pick[fields.Body](m, &fields.Hail{Paddocks: on}, &fields.Trampled{Paddocks: on}, &fields.Sprayed{Paddocks: on}))
	case 17:
		m.add(d, m.dose(p))
		if m.chance(0.3) {
			m.add(d, m.dose(p))
		}
	case 18, 19, 20:
		m.add(d+date(m.r.IntN(4)), m.lab(fields.Lab{Paddock: p.id, SampledOn: d}))
	case 21:
		m.add(d, m.vet(fields.Vet{Paddock: p.id}, d))
	case 22:
		if m.chance(0.4) {
			m.add(d, &fields.Incident{Paddock: p.id, Down: num(1)})
		}
	case 23:
		f := &fields.Frost{Paddocks: on, Night: d, LowC: pick(m, nil, num(-0.5), num(-1), num(-4.9), num(-5))}
		m.add(d, f)
	case 24:
		m.add(d+1, &fields.NoFrost{Paddocks: on, From: d - date(m.r.IntN(3)), To: d, Basis: fields.NoFrostBasis(pick(m, "thermometer-in-paddock", "looked-at-dawn"))})
	case 25:
		m.add(d, &fields.Reading{Paddock: p.id, Night: d, LowC: num(pick(m, -5.0, -4.9, -1, -0.9, 0, 0.1, 1.2, 1.3, 2.2, 2.3, 6)), HoursBelow0: pick(m, nil, nil, num(0), num(2))})
	default:
		m.lots++
		m.lot(p, m.lotName(m.lots), d, d+date(m.r.IntN(8)))
	}
}

func (m *maker) lotName(n int) string {
	return "lot" + string(rune('a'+n%26)) + string(rune('a'+n/26))
}

// anyWalk says anything a walk can say, clean walks more often than not.
func (m *maker) anyWalk(p *plot) *fields.Walk {
	w := &fields.Walk{
		Paddock: p.id, Killed: fields.Killed(pick(m, "", "all", "all", "part", "none", "unknown")),
		FrostDamage: fields.Damage(pick(m, "", "none", "none", "tips", "all", "unknown")),
	}
	if m.chance(0.35) { // clean
		w.Killed, w.FrostDamage, w.Dry, w.ShootsCM, w.WeedsChecked = "all", "", yesno(true), num(0), yesno(true)
		if m.chance(0.4) {
			w.Alive = []string{}
		}
		return w
	}
	if m.chance(0.5) {
		w.ShortestCM = num(pick(m, float64(40+m.r.IntN(60)), 60.96, 60.6, 61, 76.2, 75.5))
	}
	if m.chance(0.5) {
		w.ShootsCM = num(0)
	} else if m.chance(0.2) {
		w.ShootsCM = num(float64(1 + m.r.IntN(80)))
	}
	for _, b := range []**bool{&w.Dry, &w.WeedsChecked, &w.StressFree, &w.Wilted} {
		if m.chance(0.4) {
			*b = yesno(m.chance(0.7))
		}
	}
	if w.Wilted != nil && m.chance(0.7) {
		w.Wilted = yesno(false)
	}
	if m.chance(0.2) {
		w.Alive = append([]string{}, pick(m, p.mix, []string{}, []string{pick(m, weeds...)})...)
	}
	if m.chance(0.15) {
		w.Absent = append([]string{}, p.mix...)
	}
	return w
}
