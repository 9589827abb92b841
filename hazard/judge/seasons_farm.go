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
	place := map[string][2]float64{"America/Regina": {50.4, -104.6}, "America/Denver": {39.7, -105}, "Europe/Berlin": {52.5, 13.4}}[zone]
	switch m.r.IntN(4) {
	case 0:
		f.Lat, f.Lon = num(place[0]), num(place[1])
	case 1: // said later
		d := m.day()
		m.addAt(d, (m.s.Start-lead).At(9, 0, m.s.Zone), &fields.Farm{Name: "Demo", Zone: zone, Lat: num(place[0]), Lon: num(place[1])})
	}
	d := m.s.Start - lead
	m.addAt(d, d.At(8, 0, m.s.Zone), f)
	if m.chance(0.15) {
		w := pick(m, watch("08-01", "06-30"), watch("09-20", "05-01"))
		w.Record = pick(m, nil, &fields.WatchRecord{
			Station: "st1", Seasons: 30, FromYear: 1991, ToYear: 2020,
			Lines: []fields.WatchLine{{LineC: 2.2, Earliest: w.From, Latest: w.To}},
		})
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
		if m.chance(0.15) { // moved, or said later
			m.add(m.day(), &fields.StationFacts{Station: id, Name: id, HeightM: num(pick(m, 0.3, 0.31, 2.0))})
		}
	}
	for i := 0; i < 1+m.r.IntN(2); i++ {
		id := "herd" + string(rune('1'+i))
		m.herds = append(m.herds, id)
		m.addAt(d, d.At(8, 10, m.s.Zone), &fields.HerdFacts{Herd: id, Classes: []string{pick(m, "bred-cattle", "sheep")}, Head: num(40)})
		if m.chance(0.1) {
			m.add(m.day(), &fields.HerdFacts{Herd: id, Classes: []string{"open-cattle", "horses"}, Head: num(40)})
		}
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

// plot is a paddock while its season is written.
type plot struct {
	id      string
	from    date // first day it exists
	station string
	mix     []string
	sown    date // NoDate: never
	sowings []date
	hardy   bool // light frosts leave it undamaged
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
	if m.chance(0.1) { // set up in mid-season, for all that came before
		d := m.day()
		m.addAt(d, p.from.At(9, 0, m.s.Zone), f)
	} else {
		m.add(p.from, f)
	}
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

// lastSown is the last date on which anything was sown.
func (p *plot) lastSown() date { return latest(p.sowings) }

// turfs are what grows in perennial sod, hardies what light frosts leave
// undamaged; some of the names fit several plants.
var (
	turfs = [][]string{
		{"timothy"},
		{"smooth-brome", "alfalfa"},
		{"kentucky-bluegrass", "white-clover"},
		{"fescue"},
		{"alfalfa"},
		{"bermuda"},
		{"switchgrass", "big-bluestem"},
		{"orchardgrass", "clover"},
		{"dandelion", "plantain"},
		{"ryegrass", "clover"},
		{"perennial-ryegrass", "red-clover"},
	}
	hardies = [][]string{
		{"oats"},
		{"rye"},
		{"turnip", "oats"},
		{"triticale", "radish"},
		{"italian-ryegrass"},
		{"kale", "oats"},
		{"oats", "field-pea"},
		{"ryegrass", "clover"},
		{"barley", "alfalfa"},
		{"swede"},
		{"oats", "bermudagrass"},
		{"timothy", "smooth-brome"},
	}
)

// sod writes perennial sod: never sown, or sown a year before some day of the
// season, with weeds of any extent.
func (m *maker) sod(p *plot) {
	p.mix, p.hardy = pick(m, turfs...), true
	if m.chance(0.5) {
		m.add(p.from+date(m.r.IntN(60)), &fields.Seen{Paddock: p.id, Species: append([]string{}, p.mix...)})
	} else {
		p.sown = m.day() - 365 - date(m.r.IntN(3)*m.r.IntN(60))
		m.addSown(p, p.sown, &fields.Sown{Paddock: p.id, Species: m.shares(p.mix), NewStand: pick(m, nil, yesno(true))})
		if m.chance(0.15) { // drilled into it
			m.addSown(p, m.day()-date(m.r.IntN(2)*365), &fields.Sown{Paddock: p.id, Species: m.shares([]string{pick(m, "red-clover", "timothy", "oats")})})
		}
	}
	for m.chance(0.6) {
		m.add(m.s.Start-20+date(m.r.IntN(int(m.s.End-m.s.Start)+20)), m.weed(p))
	}
	for m.chance(0.4) {
		m.add(m.s.Start-20+date(m.r.IntN(100)), m.dose(p))
	}
	for m.chance(0.4) {
		m.add(m.day(), &fields.Walk{Paddock: p.id, WeedsChecked: yesno(true), Absent: []string{pick(m, sodWeeds...)}, ShootsCM: num(0)})
	}
}

var sodWeeds = []string{"kochia", "redroot-pigweed", "canada thistle", "dock", "volunteer canola", "what is this", "dandelion", "quackgrass", "johnsongrass", "oats"}

func (m *maker) weed(p *plot) *fields.Seen {
	return &fields.Seen{Paddock: p.id, Species: []string{pick(m, sodWeeds...)}, Extent: pick(m, fields.ExtentTrace, fields.ExtentTrace, fields.ExtentPatches, fields.ExtentCommon, "")}
}

// dose is nitrogen around the lines of the contract, or of an unstated rate.
func (m *maker) dose(p *plot) *fields.Nitrogen {
	n := &fields.Nitrogen{Paddocks: []string{p.id}, KgNHa: num(pick(m, 0.0, 10, 20, 27, 28, 30, 40, 55, 56, 57, 60, 66, 67, 68, 112))}
	if m.chance(0.08) {
		n.KgNHa, n.RateUnknown, n.Form = nil, yesno(true), "manure"
	}
	return n
}

// sow writes what grows: mostly one sowing, some paddocks never sown, some
// sown again.
func (m *maker) sow(p *plot) {
	if m.chance(0.22) {
		m.sod(p)
		return
	}
	p.mix = pick(m, mixes...)
	if m.chance(0.2) {
		p.mix, p.hardy = pick(m, hardies...), true
	}
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
		m.addSown(p, d, &fields.Sown{Paddock: p.id, Species: m.shares(mix), NewStand: yesno(true), Ended: pick(m, "", fields.EndedTilled, fields.EndedSprayed, fields.EndedWinterKilled)})
		if m.chance(0.6) {
			m.add(d+date(5+m.r.IntN(8)), &fields.Walk{Paddock: p.id, WeedsChecked: yesno(m.chance(0.9)), Absent: append([]string{}, p.mix...), ShootsCM: num(0)})
		}
		if m.chance(0.2) {
			m.addSown(p, d+date(10+m.r.IntN(30)), &fields.Sown{Paddock: p.id, Species: m.shares(pick(m, mixes...)), NewStand: yesno(true)})
		}
	}
	for m.chance(0.2) {
		m.add(m.s.Start-20+date(m.r.IntN(int(m.s.End-m.s.Start)+20)), &fields.Seen{Paddock: p.id, Species: []string{pick(m, weeds...)}, Where: "fence line", Extent: fields.Extent(pick(m, "", "trace"))})
	}
}

// reshape splits or joins land now and then.
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

// water writes results of stock water, of the paddocks and of herds.
func (m *maker) water(ps []*plot) {
	for m.chance(0.45) {
		w := &fields.Water{
			Source: pick(m, "well", "dugout", "trough"), SampledOn: m.day(), Unit: fields.Unit(pick(m, "mg/L", "ppm")),
			Form: fields.Form(pick(m, "NO3", "NO3-N")), Value: num(pick(m, 2.0, 5, 10, 20, 23, 40, 90, 99, 100, 101, 120, 440, 443)),
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

// strikes take some entries back, one by one or a whole import; a few strike a
// strike, which does nothing.
func (m *maker) strikes() {
	n := len(m.s.Entries)
	for m.chance(0.2) { // an import
		batch := randomID(m.r)
		share := pick(m, 0.02, 0.1, 0.5)
		for i := 0; i < n; i++ {
			if e := &m.s.Entries[i]; e.Batch == "" && e.Kind() != fields.KindFarm && e.Kind() != fields.KindStrike && m.chance(share) {
				e.Batch = batch
			}
		}
		if m.chance(0.7) {
			at := m.day().At(m.r.IntN(24), 0, m.s.Zone)
			m.addAt(fields.DateOf(at, m.s.Zone), at, &fields.Strike{Batch: batch, Because: "the wrong station"})
		}
	}
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
