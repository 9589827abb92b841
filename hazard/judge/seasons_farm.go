package judge

import (
	"math"
	"time"

	"rimegate/fields"
)

func (m *maker) farm(zone string) {
	f := &fields.Farm{Name: "Demo", Zone: zone}
	if m.chance(0.5) {
		f.FrostWatch = &pick(m,
			[]fields.Watch{watch("08-15", "06-15")}, []fields.Watch{watch("09-01", "05-20")}, []fields.Watch{watch("07-01", "12-31")})[0]
	}
	if m.chance(0.2) && len(m.book.Tables) > 0 {
		f.NitrateTable = pick(m, m.book.Tables...).ID
	}
	d := m.s.Start - lead
	m.addAt(d, d.At(8, 0, m.s.Zone), f)
	if m.chance(0.1) {
		w := watch("08-01", "06-30")
		m.add(m.day(), &fields.Farm{Name: "Demo", Zone: zone, FrostWatch: &w})
	}
	for i := 0; i < 1+m.r.IntN(2); i++ {
		id := "st" + string(rune('1'+i))
		m.stations = append(m.stations, id)
		st := &fields.StationFacts{Station: id, Name: id}
		if m.chance(0.6) {
			st.HeightM = num(pick(m, 0.3, 1.5, 2.0, 0.1))
		}
		m.addAt(d, d.At(8, 5, m.s.Zone), st)
	}
	for i := 0; i < 1+m.r.IntN(2); i++ {
		id := "herd" + string(rune('1'+i))
		m.herds = append(m.herds, id)
		m.addAt(d, d.At(8, 10, m.s.Zone), &fields.HerdFacts{Herd: id, Classes: []string{pick(m, "bred-cattle", "sheep")}, Head: num(40)})
	}
}

func watch(from, to string) fields.Watch {
	a, err := fields.ParseMonthDay(from)
	if err != nil {
		panic(err)
	}
	b, err := fields.ParseMonthDay(to)
	if err != nil {
		panic(err)
	}
	return fields.Watch{From: a, To: b}
}

type plot struct {
	id      string
	from    date // first day it exists
	station string
	mix     []string
	sown    date // NoDate: never
	sowings []date
}

func (m *maker) paddock(id string) *plot {
	p := &plot{id: id, from: m.s.Start - date(m.r.IntN(30))}
	f := &fields.PaddockFacts{Paddock: id, Name: id}
	if m.chance(0.92) {
		p.station = pick(m, m.stations...)
		f.Station = p.station
	}
	if m.chance(0.4) {
		f.OffsetC = num(-math.Round(m.r.Float64()*30) / 10)
	}
	if m.chance(0.25) {
		f.LowLying = yesno(m.chance(0.7))
	}
	m.add(p.from, f)
	if m.chance(0.12) {
		d := m.day()
		m.add(d, &fields.PaddockFacts{Paddock: id, Name: id, Station: pick(m, m.stations...)})
		if m.chance(0.4) {
			m.add(d, &fields.PaddockFacts{Paddock: id, Name: id, Station: pick(m, m.stations...), OffsetC: num(-1.5)})
		}
	}
	if m.chance(0.08) {
		m.add(m.day(), &fields.PaddockFacts{Paddock: id, Name: id, OffsetC: num(-2), LowLying: yesno(true)})
	}
	m.sow(p)
	return p
}

var mixes = [][]string{
	{"sudangrass"},
	{"sorghum-sudangrass"},
	{"sorghum-sudangrass", "oats"},
	{"sudangrass", "cowpea"},
	{"sudangrass", "turnip", "oats"},
	{"forage-sorghum"},
	{"grain-sorghum"},
	{"johnsongrass", "bermudagrass"},
	{"indiangrass", "switchgrass"},
	{"tifton-85"},
	{"oats"},
	{"oats", "field-pea"},
	{"alfalfa"},
	{"alfalfa", "smooth-brome"},
	{"crested-wheatgrass"},
	{"foxtail-millet"},
	{"pearl-millet", "sudangrass"},
	{"flax"},
	{"flax", "oats"},
	{"white-clover", "orchardgrass"},
	{"sunflower"},
	{"kale", "oats"},
	{"columbus-grass"},
	{"birdsfoot-trefoil", "timothy"},
	{"chokecherry", "smooth-brome"},
	{"alfalfa"},
	{"sudangrass"},
	{"sorghum-sudangrass"},
	{"mystery mix", "oats"},
}

var weeds = []string{"johnsongrass", "shattercane", "chokecherry", "arrowgrass", "kochia", "foxtail-millet", "flax", "sudangrass", "redroot-pigweed", "quackgrass", "dandelion", "what is this", "oats", "dock", "elderberry", "volunteer canola"}

func (m *maker) addSown(p *plot, d date, b *fields.Sown) {
	p.sowings = append(p.sowings, d)
	m.add(d, b)
}

func (m *maker) shares(mix []string) []fields.SpeciesShare {
	out := []fields.SpeciesShare{}
	for _, s := range mix {
		x := fields.SpeciesShare{Species: s}
		if m.chance(0.3) {
			x.Share = num(float64(m.r.IntN(101)))
		}
		out = append(out, x)
	}
	return out
}

func (p *plot) lastSown() date { return latest(p.sowings) }

func (m *maker) sow(p *plot) {
	p.mix = pick(m, mixes...)
	if m.chance(0.85) {
		p.sown = m.s.Start - date(m.r.IntN(45)) + date(m.r.IntN(20))
		if m.chance(0.1) {
			p.sown -= date(m.r.IntN(300))
		}
		sown := &fields.Sown{Paddock: p.id, Species: m.shares(p.mix)}
		if m.chance(0.03) {
			sown.Species = []fields.SpeciesShare{}
		}
		if m.chance(0.25) {
			sown.NewStand = yesno(m.chance(0.8))
		}
		m.addSown(p, p.sown, sown)
	} else if m.chance(0.6) {
		m.add(p.from+date(m.r.IntN(60)), &fields.Seen{Paddock: p.id, Species: append([]string{}, p.mix...)})
	}
	if m.chance(0.12) {
		m.addSown(p, m.day(), &fields.Sown{Paddock: p.id, Species: m.shares([]string{pick(m, "oats", "sudangrass", "turnip", "alfalfa")})})
	}
	if m.chance(0.15) {
		d := m.day()
		mix := pick(m, mixes...)
		m.addSown(p, d, &fields.Sown{Paddock: p.id, Species: m.shares(mix), NewStand: yesno(true), Ended: pick(m, "", "tilled", "sprayed", "winter-killed")})
		if m.chance(0.6) {
			m.add(d+date(5+m.r.IntN(8)), &fields.Walk{Paddock: p.id, WeedsChecked: yesno(m.chance(0.9)), Absent: append([]string{}, p.mix...), ShootsCM: num(0)})
		}
		if m.chance(0.2) {
			m.addSown(p, d+date(10+m.r.IntN(30)), &fields.Sown{Paddock: p.id, Species: m.shares(pick(m, mixes...)), NewStand: yesno(true)})
		}
	}
	for m.chance(0.2) {
		m.add(m.s.Start-20+date(m.r.IntN(int(m.s.End-m.s.Start)+20)), &fields.Seen{Paddock: p.id, Species: []string{pick(m, weeds...)}, Where: "fence line"})
	}
}

func (m *maker) reshape(ps []*plot) {
	d := m.day()
	switch {
	case m.chance(0.07):
		p := pick(m, ps...)
		for _, id := range []string{p.id + "-east", p.id + "-west"} {
			f := &fields.PaddockFacts{Paddock: id, Name: id}
			if m.chance(0.5) {
				f.Station = pick(m, m.stations...)
			}
			if m.chance(0.3) {
				f.OffsetC = num(-1)
			}
			m.add(d, f)
		}
		m.add(d, &fields.Split{From: []string{p.id}, Into: []string{p.id + "-east", p.id + "-west"}})
		p.id = pick(m, p.id, p.id+"-east") // later entries name the parent or a part
	case len(ps) > 1 && m.chance(0.08):
		f := &fields.PaddockFacts{Paddock: "joined", Name: "joined"}
		if m.chance(0.5) {
			f.Station = pick(m, m.stations...)
		}
		m.add(d, f)
		m.add(d, &fields.Join{From: []string{ps[0].id, ps[1].id}, Into: []string{"joined"}})
		ps[1].id = pick(m, ps[1].id, "joined")
	}
}

func (m *maker) water(ps []*plot) {
	for m.chance(0.35) {
		w := &fields.Water{
			Source: pick(m, "well", "dugout", "trough"), SampledOn: m.day(), Unit: pick(m, "mg/L", "ppm"),
			Form: pick(m, "NO3", "NO3-N"), Value: num(pick(m, 2.0, 5, 10, 20, 23, 40, 90, 99, 100, 101, 120, 440, 443)),
		}
		for _, p := range ps {
			if m.chance(0.6) {
				w.Paddocks = append(w.Paddocks, p.id)
			}
		}
		if len(w.Paddocks) == 0 || m.chance(0.3) {
			w.Paddocks, w.Herds = nil, []string{pick(m, m.herds...)}
		}
		m.add(w.SampledOn, w)
	}
}

func (m *maker) strikes() {
	n := len(m.s.Entries)
	for i := 0; i < n; i++ {
		e := &m.s.Entries[i]
		if e.Kind() == fields.KindFarm || !m.chance(0.008) {
			continue
		}
		at := e.Recorded.Add(time.Duration(m.r.IntN(20*24)) * time.Hour)
		id := e.ID
		k := m.addAt(fields.DateOf(at, m.s.Zone), at, &fields.Strike{Entry: id, Because: "wrong paddock"})
		if m.chance(0.1) {
			sid := k.ID
			m.addAt(fields.DateOf(at, m.s.Zone), at.Add(time.Hour), &fields.Strike{Entry: sid, Because: "it was right"})
		}
	}
}
