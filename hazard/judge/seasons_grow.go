package judge

import (
	"math"

	"rimegate/fields"
)

// grow walks through a paddock's season: growth, death, walks, cuts, stock,
// damage, results, the vet.
func (m *maker) grow(p *plot) {
	m.damage(p)
	m.care(p)
	height := 5 + m.r.Float64()*70
	dead, deadSince := false, date(0)
	swath := date(0)
	inside := ""
	every := []float64{0.04, 0.16, 0.4}[m.s.Style]
	cutChance := pick(m, 0, 0.01, 0.02)
	grazes := m.chance(0.5)
	for d := m.s.Start; d <= m.s.End; d++ {
		if !dead {
			height += 1 + m.r.Float64()*2
		}
		kills := -2.5
		if p.hardy {
			kills = -9
		}
		low := m.lowOn(d)
		if low < kills && m.chance(0.5) && !dead {
			dead, deadSince = true, d
		}
		if p.hardy && low <= 1 && m.by(0.1, 0.3, 0.6) { // a look at what the frost did
			w := &fields.Walk{Paddock: p.id, FrostDamage: "none", ShootsCM: num(0), ShortestCM: num(math.Round(height)), WeedsChecked: yesno(m.chance(0.8))}
			if m.chance(0.12) {
				w.FrostDamage = fields.Damage(pick(m, "tips", "part", "none"))
				w.Killed = fields.Killed(pick(m, "part", "", ""))
			}
			if m.chance(0.5) {
				w.StressFree = yesno(true)
			}
			m.add(d+date(m.r.IntN(5)), w)
			if m.chance(0.3) {
				n := d + date(m.r.IntN(4))
				m.add(n+date(m.r.IntN(3)), &fields.Lab{
					Paddock: p.id, SampledOn: n, Analyte: "nitrate", Values: fields.Values(50), Form: "NO3-N", Unit: "ppm",
					Basis: "dm", Method: "lab", Stems: num(30), Spots: num(12), CutCM: num(8),
				})
			}
		}
		if dead && m.chance(0.01) {
			dead = false // shoots from the base
			height = 3 + m.r.Float64()*20
		}
		if m.chance(every) {
			m.walk(p, d, height, dead, deadSince)
		}
		if swath != fields.NoDate && m.by(0.03, 0.15, 0.4) {
			m.add(d, &fields.Walk{Paddock: p.id, Part: "swath", Dry: yesno(d > swath+2 && m.chance(0.9))})
		}
		if m.chance(cutChance) && height > 20 {
			use := pick(m, "hay", "silage", "swath", "green-chop", "hay", "swath")
			c := &fields.Cut{Paddock: p.id, Use: fields.CutUse(use), HeightCM: num(10)}
			if use == "swath" && p.lastSown() > d && m.chance(0.8) { // nobody sows where a swath lies
				use = "hay"
				c.Use = fields.CutUse(use)
			}
			made := d + date(m.r.IntN(10))
			lot := ""
			if use == "hay" || use == "silage" || use == "swath" && m.chance(0.2) {
				m.lots++
				lot = "lot" + string(rune('a'+m.lots%26)) + string(rune('a'+m.lots/26))
				if m.chance(0.6) {
					c.Lot = lot
				}
			}
			if m.by(0.2, 0.4, 0.7) { // measured before it was cut
				tall := max(height, float64(50+m.r.IntN(60)))
				m.add(d-pick(m, date(0), 1, 3, 7, 13, 14, 15), &fields.Walk{Paddock: p.id, ShortestCM: num(math.Round(tall)), ShootsCM: num(0)})
			}
			m.add(d, c)
			if lot != "" {
				m.lot(p, lot, d, made)
			}
			if use == "green-chop" {
				for k := 1; k < 6 && m.chance(0.7); k++ {
					m.add(d+date(k), &fields.Cut{Paddock: p.id, Use: fields.CutUse(use)})
				}
			}
			if use == "swath" {
				swath = d
			}
			height = 10
		}
		if grazes && m.chance(0.05) {
			herd := pick(m, append([]string{""}, m.herds...)...)
			if m.moves[move{herd, d}] { // one herd, one move a day
				herd = ""
			}
			m.moves[move{herd, d}] = true
			g := &fields.Grazed{Paddock: p.id, State: "in", Herd: herd}
			if inside != "" || m.chance(0.1) {
				g.State = "out"
				if m.chance(0.4) {
					g.SwathLeft = yesno(m.chance(0.8))
				}
				height = max(5, height-40)
				if m.chance(0.5) {
					g.LeftCM = num(math.Round(height))
				}
				inside = ""
			} else {
				inside = "in"
				if m.chance(0.7) && !dead { // a look before turn-in
					m.walk(p, d, height, dead, deadSince)
				}
			}
			m.add(d, g)
		}
		m.sample(p, d)
	}
}

// walk writes what someone found.
func (m *maker) walk(p *plot, d date, height float64, dead bool, since date) {
	w := &fields.Walk{Paddock: p.id}
	if m.chance(0.4) {
		w.Part = "stand"
	}
	if m.by(0.3, 0.6, 0.95) {
		w.WeedsChecked = yesno(m.chance(0.95))
	}
	if dead {
		w.Killed = "all"
		w.Dry = yesno(d > since+3 || m.chance(0.2))
		w.ShootsCM = num(0)
		if m.chance(0.06) {
			w.ShootsCM = num(1 + math.Round(m.r.Float64()*30))
		}
		if m.chance(0.5) {
			w.Alive = []string{}
			if m.chance(0.1) {
				w.Alive = []string{pick(m, "oats", "alfalfa", "kochia")}
			}
		}
		if m.chance(0.3) {
			w.FrostDamage = fields.Damage(pick(m, "all", "part", "unknown"))
		}
		if m.chance(0.1) {
			w.DamageNight = since
		}
		if m.chance(0.04) {
			w.ShortestCM = num(math.Round(height))
		}
	} else {
		if m.chance(0.7) {
			w.ShortestCM = num(math.Round(height * (0.8 + 0.2*m.r.Float64())))
		}
		if m.chance(0.6) {
			w.ShootsCM = num(0)
		} else if m.chance(0.1) {
			w.ShootsCM = num(1 + math.Round(m.r.Float64()*70))
		}
		w.Killed = fields.Killed(pick(m, "", "none", "none", "unknown"))
		w.FrostDamage = fields.Damage(pick(m, "", "none", "none", "none"))
		if bites := min(m.lowOn(d), m.lowOn(d-1)); bites < 0 && !p.hardy || bites < -5 || m.chance(0.02) {
			w.FrostDamage = fields.Damage(pick(m, "none", "tips", "part", "all", "unknown"))
			w.Killed = fields.Killed(pick(m, "none", "part", "unknown"))
			if m.chance(0.3) {
				w.DamageNight = d - date(m.r.IntN(3))
			}
		}
		if m.chance(0.15) {
			w.Alive = append([]string{}, p.mix...)
		}
		if m.by(0.1, 0.3, 0.6) {
			w.StressFree = yesno(m.chance(0.93))
		}
		if m.chance(0.1) {
			w.Wilted = yesno(m.chance(0.3))
		} else if m.by(0, 0.1, 0.3) {
			w.Wilted = yesno(false)
		}
	}
	if m.chance(0.02) {
		w.Killed = fields.Killed(pick(m, "all", "part", "none", "unknown", ""))
	}
	if m.chance(0.02) {
		w.Dry = yesno(m.chance(0.5))
	}
	if m.chance(0.02) {
		w.ShootsCM = nil
	}
	m.add(d, w)
}

// lot writes a lot of stored feed, its results, and what befell it.
func (m *maker) lot(p *plot, id string, cut, made date) {
	t := &fields.LotFacts{Lot: id, LotKind: fields.LotKind(pick(m, "hay", "hay", "silage", "baleage")), MadeOn: made, From: []string{p.id}}
	if m.chance(0.4) {
		t.CutOn = cut
	}
	if m.chance(0.3) {
		t.Species = append([]string{}, p.mix...)
	}
	if t.LotKind != "silage" {
		t.Bales = num(float64(5 + m.r.IntN(200)))
	}
	if m.chance(0.2) && t.Bales != nil {
		t.Bales = num(float64(1 + m.r.IntN(4)))
	}
	if m.chance(0.15) { // of several paddocks
		for _, o := range []string{"a", "b", "c"} {
			if o != p.id && m.chance(0.4) {
				t.From = append(t.From, o)
			}
		}
	}
	if m.chance(0.05) {
		t.From = nil
	}
	if m.chance(0.1) {
		t.LotKind, t.Seller = "bought", "neighbour"
	}
	if m.chance(0.2) {
		t.DMPct = num(pick(m, 35.0, 60, 86))
	}
	m.add(made, t)
	if m.chance(0.06) { // told again
		again := *t
		again.From, again.Species = []string{pick(m, "a", p.id)}, []string{pick(m, "oats", "sudangrass")}
		again.MadeOn += date(m.r.IntN(3))
		again.LotKind = pick(m, t.LotKind, "hay", "baleage", "bought")
		m.add(again.MadeOn, &again)
	}
	for m.chance(0.5) {
		d := made + date(m.r.IntN(40))
		b := m.lab(fields.Lab{Lot: id, SampledOn: d})
		n := pick(m, 5, 20, 20, 40)
		b.BalesCored, b.Cores = num(float64(n)), num(float64(n+m.r.IntN(2)*10))
		switch m.r.IntN(6) {
		case 0: // bale by bale
			b.BalesCored = num(float64(len(b.Values)))
		case 1: // nobody said how many
			b.BalesCored = nil
		}
		b.Stems, b.Spots, b.CutCM = nil, nil, nil
		m.add(d+date(m.r.IntN(6)), b)
	}
	if m.chance(0.12) {
		m.add(made+date(m.r.IntN(30)), &fields.Incident{Lot: id, Dead: num(1)})
	}
	if m.chance(0.1) {
		d := made + date(m.r.IntN(40))
		m.add(d, m.vet(fields.Vet{Lot: id}, d))
	}
	if m.chance(0.1) {
		m.add(made+3, &fields.Fed{Lot: id, Herd: pick(m, m.herds...), From: made + 3})
	}
	if t.Bales != nil && len(m.s.Entries)%5 == 0 { // told again: some were fed, or more were made
		m.add(made+9, &fields.LotFacts{Lot: id, LotKind: t.LotKind, MadeOn: made + date(len(m.s.Entries)%2), Bales: num(math.Ceil(*t.Bales / 3))})
	}
	m.usedUp(id, made)
}

func (m *maker) usedUp(lot string, made date) {
	for m.chance(0.15) {
		m.add(made+date(m.r.IntN(45)), &fields.UsedUp{Lot: lot})
	}
}

// damage writes drought, hail, trampling, spray, nitrogen and rain.
func (m *maker) damage(p *plot) {
	on := []string{p.id}
	if m.chance(0.25) {
		d := m.s.Start - 30 + date(m.r.IntN(int(m.s.End-m.s.Start)))
		m.add(d, &fields.Drought{Paddocks: on, State: "start"})
		if m.chance(0.8) {
			m.add(d+date(m.r.IntN(40)), &fields.Drought{Paddocks: on, State: "end", RainMM: num(30)})
		}
		if m.chance(0.2) {
			m.add(d+date(m.r.IntN(40)), &fields.Drought{Paddocks: on, State: "start"})
		}
	}
	if m.chance(0.05) {
		m.add(m.day(), &fields.Drought{Paddocks: on, State: "end"})
	}
	if m.chance(0.15) {
		m.add(m.day(), &fields.Hail{Paddocks: on})
	}
	if m.chance(0.08) {
		m.add(m.day(), &fields.Trampled{Paddocks: on})
	}
	if m.chance(0.08) {
		m.add(m.day(), &fields.Sprayed{Paddocks: on, Product: "something"})
	}
	for m.chance(0.3) {
		m.add(m.s.Start-10+date(m.r.IntN(60)), m.dose(p))
	}
	if m.chance(0.2) {
		m.add(m.day(), &fields.Rain{Paddocks: on, MM: num(12)})
	}
}

// care writes incidents and the vet's words.
func (m *maker) care(p *plot) {
	if m.chance(0.07) {
		m.add(m.day(), &fields.Incident{Paddock: p.id, Herd: []string{"", m.herds[0]}[len(m.s.Entries)%2], Down: num(2)})
	}
	for m.chance(0.25) {
		d := m.day()
		m.add(d, m.vet(fields.Vet{Paddock: p.id}, d))
	}
}

func (m *maker) vet(v fields.Vet, d date) *fields.Vet {
	v.Who, v.Because = "Dr. Demo", "an invented reason"
	v.Advice = fields.Advice(pick(m, "may-graze", "may-graze", "keep-off"))
	if v.Advice == "may-graze" || m.chance(0.6) {
		v.Until = d + date(m.r.IntN(60))
	}
	if m.chance(0.3) {
		v.Classes = []string{pick(m, "bred-cattle", "open-cattle", "horses")}
	}
	if m.chance(0.25) {
		v.Uses = []string{pick(m, "graze", "swath-graze", "cut-hay", "feed", "green-chop")}
	}
	return &v
}

// sample takes samples of the stand now and then.
func (m *maker) sample(p *plot, d date) {
	if !m.chance(0.03) && !(p.hardy && m.chance(0.05)) {
		return
	}
	b := m.lab(fields.Lab{Paddock: p.id, SampledOn: d})
	m.add(d+date(m.r.IntN(6)), b)
	if m.chance(0.3) {
		m.add(d, &fields.Sampled{Paddock: p.id, Sample: "s1", Stems: num(20)})
	}
}

func (m *maker) lab(b fields.Lab) *fields.Lab {
	b.Analyte = fields.Analyte(pick(m, "nitrate", "nitrate", "hcn"))
	b.Method = fields.Method(pick(m, "lab", "lab", "lab", "lab", "strip", "quick"))
	b.Basis = "dm"
	n := 1
	if m.chance(0.3) {
		n = 2 + m.r.IntN(3)
	}
	if b.Analyte == "hcn" {
		b.SampleState = fields.SampleState(pick(m, "sealed", "frozen", "sealed", "dried", "unknown", ""))
		b.Unit = fields.Unit(pick(m, "ppm", "mg/kg"))
		for i := 0; i < n; i++ {
			b.Values = append(b.Values, fields.Value{N: pick(m, 20.0, 60, 150, 199, 200, 250, 450, 500, 700), Below: m.chance(0.1)})
		}
		if m.chance(0.25) {
			b.Basis = "as-fed"
		}
		if m.chance(0.4) {
			b.DMPct = num(float64(18 + m.r.IntN(70)))
		}
		return &b
	}
	b.Form = fields.Form(pick(m, "NO3", "NO3-N", "NO3-N", "KNO3", "NaNO3"))
	b.Unit = fields.Unit(pick(m, "ppm", "mg/kg"))
	tame := m.chance(0.5)
	for i := 0; i < n; i++ {
		v := pick(m, 50.0, 200, 400, 400, 900, 1000, 1200, 2500, 4400, 5000, 6000, 10000)
		if tame {
			v = pick(m, 20.0, 50, 100, 200, 249, 250, 400, 500)
		}
		b.Values = append(b.Values, fields.Value{N: v, Below: m.chance(0.05)})
	}
	if m.chance(0.1) {
		b.Unit = "%"
		for i := range b.Values {
			b.Values[i].N /= 10000
		}
	}
	if m.chance(0.15) {
		b.Basis, b.DMPct = "as-fed", num(float64(18+m.r.IntN(70)))
	}
	if m.chance(0.85) {
		b.Stems, b.Spots = num(float64(pick(m, 10, 20, 30, 30))), num(float64(pick(m, 5, 10, 12, 12)))
	}
	if m.chance(0.85) {
		b.CutCM = num(pick(m, 5.0, 8, 10, 10, 10.16, 10.3, 15))
	}
	return &b
}
