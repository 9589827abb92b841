package judge

import (
	"math"
	"math/rand/v2"
	"sort"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// Season is an invented farm with a season of entries.
type Season struct {
	Entries    []fields.Entry
	Start, End date
	Zone       *time.Location
	Style      Style
}

// Style is how well a farm keeps its records.
type Style int

// Styles, from a farm that writes little down to one that writes everything.
const (
	Neglected Style = iota
	Ordinary
	Tended
	Tangled // one or two paddocks where everything happens at once
)

func (s Style) String() string { return [...]string{"neglected", "ordinary", "tended", "tangled"}[s] }

// Question is a day and the moment at which it is asked.
type Question struct {
	On     date
	Moment time.Time
}

// maker writes one season.
type maker struct {
	r        *rand.Rand
	book     *hazard.Rulebook
	s        *Season
	low      []float64 // true nightly low by day of the season, from Start-40
	stations []string
	herds    []string
	lots     int
	moves    map[move]bool
	names    int
}

type move struct {
	herd string
	on   date
}

const lead = 40 // days of weather before the season's start

// RandomSeason invents a farm and a season.
func RandomSeason(r *rand.Rand, book *hazard.Rulebook) *Season {
	zones := []string{"America/Regina", "America/Denver", "America/Regina", "Europe/Berlin"}
	name := zones[r.IntN(len(zones))]
	loc, err := fields.LoadZone(name)
	if err != nil {
		panic(err)
	}
	m := &maker{moves: map[move]bool{}, r: r, book: book, s: &Season{Zone: loc, Style: Style(r.IntN(3))}}
	m.s.Start = fields.MakeDate(2025, time.Month(4+r.IntN(7)), 1+r.IntN(28))
	m.s.End = m.s.Start + date(60+r.IntN(91))
	if m.chance(0.3) {
		m.s.Style = Tangled
		m.s.End = m.s.Start + date(30+m.r.IntN(40))
	}
	m.weather()
	m.farm(name)
	if m.s.Style == Tangled {
		m.tangle()
		m.strikes()
		return m.s
	}
	n := 1 + r.IntN(4)
	var ps []*plot
	for i := 0; i < n; i++ {
		ps = append(ps, m.paddock(string(rune('a'+i))))
	}
	m.reshape(ps)
	m.readings(ps)
	for _, p := range ps {
		m.grow(p)
	}
	m.water(ps)
	m.strikes()
	return m.s
}

// RandomQuestion asks about a day of the season, or some weeks after it, at a
// moment of that day, of a later one, or before it.
func RandomQuestion(r *rand.Rand, s *Season) Question {
	q := Question{On: s.Start + date(r.IntN(int(s.End-s.Start)+15))}
	switch r.IntN(10) {
	case 0, 1:
		q.Moment = (q.On + date(r.IntN(60))).At(r.IntN(24), r.IntN(60), s.Zone)
	case 2:
		q.Moment = (q.On - date(r.IntN(6))).At(r.IntN(24), r.IntN(60), s.Zone)
	case 3:
		q.Moment = q.On.At([]int{0, 9, 10, 12, 18}[r.IntN(5)], 0, s.Zone)
	case 4:
		q.Moment = (s.End + 100).At(12, 0, s.Zone)
	default:
		q.Moment = q.On.At(5+r.IntN(17), r.IntN(60), s.Zone)
	}
	return q
}

func (m *maker) chance(p float64) bool { return m.r.Float64() < p }

// by picks a probability by the farm's style.
func (m *maker) by(neglected, ordinary, tended float64) bool {
	return m.chance([]float64{neglected, ordinary, tended, ordinary}[m.s.Style])
}

func pick[T any](m *maker, list ...T) T { return list[m.r.IntN(len(list))] }

func num(v float64) *float64 { return &v }

func yesno(v bool) *bool { return &v }

func (m *maker) day() date { return m.s.Start + date(m.r.IntN(int(m.s.End-m.s.Start)+1)) }

// weather makes true nightly lows: an autumn, a spring, a mild or a cold season
// with snaps.
func (m *maker) weather() {
	n := int(m.s.End-m.s.Start) + lead + 30
	from, to := 12.0, -4.0
	switch m.r.IntN(5) {
	case 0:
		from, to = 14, 6
	case 1:
		from, to = -3, 12
	case 2:
		from, to = 9, 9
	}
	noise := 1 + m.r.Float64()*3
	snap := 0.0
	for i := 0; i < n; i++ {
		if m.chance(0.03) {
			snap = -4 - m.r.Float64()*6
		}
		v := from + (to-from)*float64(i)/float64(n) + noise*m.r.NormFloat64() + snap
		snap *= 0.5
		m.low = append(m.low, math.Round(v*10)/10)
	}
}

func (m *maker) lowOn(d date) float64 {
	i := int(d-m.s.Start) + lead
	if i < 0 {
		i = 0
	}
	if i >= len(m.low) {
		i = len(m.low) - 1
	}
	return m.low[i]
}

const crockford = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

func randomID(r *rand.Rand) string {
	b := make([]byte, 26)
	b[0] = '0'
	for i := 1; i < len(b); i++ {
		b[i] = crockford[r.IntN(32)]
	}
	return string(b)
}

// add stores an entry of day d: mostly written down the same day, sometimes
// days later.
func (m *maker) add(d date, body fields.Body) *fields.Entry {
	at := d.At(6+m.r.IntN(15), m.r.IntN(60), m.s.Zone)
	if m.chance(0.08) {
		at = at.AddDate(0, 0, 1+m.r.IntN(12))
	}
	return m.addAt(d, at, body)
}

func (m *maker) addAt(d date, at time.Time, body fields.Body) *fields.Entry {
	e := fields.Entry{ID: randomID(m.r), Recorded: at, By: "Ada", Body: body}
	if e.EventDate(m.s.Zone) == fields.NoDate {
		e.On = d
	}
	m.s.Entries = append(m.s.Entries, e)
	return &m.s.Entries[len(m.s.Entries)-1]
}

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

// plot is a paddock while its season is written.
type plot struct {
	id      string
	from    date // first day it exists
	until   date // last day it exists
	station string
	mix     []string
	sown    date // NoDate: never
	sowings []date
}

func (m *maker) paddock(id string) *plot {
	p := &plot{id: id, from: m.s.Start - date(m.r.IntN(30)), until: m.s.End}
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
	{"sudangrass"}, {"sorghum-sudangrass"}, {"sorghum-sudangrass", "oats"}, {"sudangrass", "cowpea"},
	{"sudangrass", "turnip", "oats"}, {"forage-sorghum"}, {"grain-sorghum"}, {"johnsongrass", "bermudagrass"},
	{"indiangrass", "switchgrass"}, {"tifton-85"}, {"oats"}, {"oats", "field-pea"}, {"alfalfa"}, {"alfalfa", "smooth-brome"},
	{"crested-wheatgrass"}, {"foxtail-millet"}, {"pearl-millet", "sudangrass"}, {"flax"}, {"flax", "oats"},
	{"white-clover", "orchardgrass"}, {"sunflower"}, {"kale", "oats"}, {"columbus-grass"}, {"birdsfoot-trefoil", "timothy"},
	{"chokecherry", "smooth-brome"}, {"alfalfa"}, {"sudangrass"}, {"sorghum-sudangrass"}, {"mystery mix", "oats"},
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

// sow writes what grows: mostly one sowing, some paddocks never sown, some
// sown again.
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

// readings writes nights: readings with gaps, forecasts, frosts that people
// saw, statements.
func (m *maker) readings(ps []*plot) {
	from, to := m.s.Start-date(m.r.IntN(20)), m.s.End
	for _, st := range m.stations {
		shift := 0.0
		if len(m.stations) > 1 {
			shift = m.r.NormFloat64()
		}
		gap := 0
		for n := from; n <= to; n++ {
			if gap == 0 && m.by(0.08, 0.02, 0.004) {
				gap = 1 + m.r.IntN([]int{15, 6, 2, 4}[m.s.Style])
			}
			low := math.Round((m.lowOn(n)+shift)*10) / 10
			if m.chance(0.25) {
				issued := (n - 1).At(4+m.r.IntN(18), m.r.IntN(60), m.s.Zone)
				if m.chance(0.2) {
					issued = issued.AddDate(0, 0, -1)
				}
				m.addAt(n, issued.Add(time.Duration(m.r.IntN(90))*time.Minute), &fields.Forecast{Station: st, Night: n, Issued: issued, LowC: num(math.Round((low+m.r.NormFloat64()*2)*10) / 10)})
			}
			if gap > 0 {
				gap--
				continue
			}
			b := &fields.Reading{Station: st, Night: n}
			m.fill(b, low)
			m.reading(n, b)
		}
	}
	for _, p := range ps {
		for n := from; n <= to; n++ {
			if m.chance(0.015) || p.station == "" && m.by(0.3, 0.8, 0.98) {
				b := &fields.Reading{Paddock: p.id, Night: n}
				m.fill(b, m.lowOn(n))
				m.reading(n, b)
			}
			if m.chance(0.01) {
				issued := (n - 1).At(4+m.r.IntN(18), 0, m.s.Zone)
				m.addAt(n, issued, &fields.Forecast{Paddock: p.id, Night: n, Issued: issued, LowC: num(math.Round((m.lowOn(n)+m.r.NormFloat64())*10) / 10)})
			}
			if m.lowOn(n) <= 0.5 && m.by(0.2, 0.3, 0.5) || m.chance(0.004) {
				f := &fields.Frost{Paddocks: []string{p.id}, Night: n}
				if m.chance(0.3) {
					f.Night = fields.NoDate
					f.EndedAt = n.At(m.r.IntN(12), 0, m.s.Zone)
				}
				m.add(n, f)
			}
			if m.by(0.02, 0.03, 0.04) {
				from := n - date(m.r.IntN(6))
				basis := pick(m, "thermometer-in-paddock", "other-thermometer", "looked-at-dawn")
				at := n.At(5+m.r.IntN(12), 0, m.s.Zone)
				if m.chance(0.1) {
					at = at.AddDate(0, 0, -1)
				}
				m.addAt(n, at, &fields.NoFrost{Paddocks: []string{p.id}, From: from, To: n, Basis: basis})
			}
		}
	}
}

func (m *maker) fill(b *fields.Reading, low float64) {
	switch {
	case m.chance(0.05):
		b.BelowZero = yesno(low < 0)
	case m.chance(0.03):
		b.LowC, b.BelowZero = num(low), yesno(low <= 0)
	default:
		b.LowC = num(low)
		if m.chance(0.03) {
			b.LowC = num(pick(m, 2.2, 2.22, 2.3, 4.4, 4.44, 4.5, 0, 0.1)) // whole Fahrenheit, and edges
		}
	}
	if m.chance(0.03) {
		b.Covers = yesno(m.chance(0.2))
	}
}

func (m *maker) reading(n date, b *fields.Reading) {
	at := n.At(6+m.r.IntN(4), m.r.IntN(60), m.s.Zone)
	switch {
	case m.chance(0.02):
		at = (n - 1).At(22, 0, m.s.Zone)
	case m.chance(0.06):
		at = at.AddDate(0, 0, 1+m.r.IntN(10))
	}
	m.addAt(n, at, b)
}

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
		if low := m.lowOn(d); low < -2.5 && m.chance(0.5) && !dead {
			dead, deadSince = true, d
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
			c := &fields.Cut{Paddock: p.id, Use: use, HeightCM: num(10)}
			if use == "swath" && p.lastSown() > d && m.chance(0.8) { // nobody sows where a swath lies
				use = "hay"
				c.Use = use
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
			m.add(d, c)
			if lot != "" {
				m.lot(p, lot, d, made)
			}
			if use == "green-chop" {
				for k := 1; k < 6 && m.chance(0.7); k++ {
					m.add(d+date(k), &fields.Cut{Paddock: p.id, Use: use})
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
			w.FrostDamage = pick(m, "all", "part", "unknown")
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
		w.Killed = pick(m, "", "none", "none", "unknown")
		w.FrostDamage = pick(m, "", "none", "none", "none")
		if m.lowOn(d) < 0 || m.lowOn(d-1) < 0 || m.chance(0.02) {
			w.FrostDamage = pick(m, "none", "tips", "part", "all", "unknown")
			w.Killed = pick(m, "none", "part", "unknown")
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
		w.Killed = pick(m, "all", "part", "none", "unknown", "")
	}
	if m.chance(0.02) {
		w.Dry = yesno(m.chance(0.5))
	}
	if m.chance(0.02) {
		w.ShootsCM = nil
	}
	m.add(d, w)
}

func (m *maker) lot(p *plot, id string, cut, made date) {
	t := &fields.LotFacts{Lot: id, LotKind: pick(m, "hay", "hay", "silage", "baleage"), MadeOn: made, From: []string{p.id}}
	if m.chance(0.4) {
		t.CutOn = cut
	}
	if m.chance(0.3) {
		t.Species = append([]string{}, p.mix...)
	}
	if t.LotKind != "silage" {
		t.Bales = num(float64(5 + m.r.IntN(200)))
	}
	if m.chance(0.05) {
		t.From = nil
	}
	if m.chance(0.1) {
		t.LotKind, t.Seller = "bought", "neighbour"
	}
	m.add(made, t)
	for m.chance(0.5) {
		d := made + date(m.r.IntN(40))
		b := m.lab(fields.Lab{Lot: id, SampledOn: d})
		n := pick(m, 5, 20, 40)
		b.BalesCored, b.Cores = num(float64(n)), num(float64(n+m.r.IntN(2)*10))
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
		m.add(m.s.Start-10+date(m.r.IntN(60)), &fields.Nitrogen{Paddocks: on, KgNHa: num(float64(10 * m.r.IntN(9)))})
	}
	if m.chance(0.2) {
		m.add(m.day(), &fields.Rain{Paddocks: on, MM: num(12)})
	}
}

// care writes incidents and the vet's words.
func (m *maker) care(p *plot) {
	if m.chance(0.07) {
		m.add(m.day(), &fields.Incident{Paddock: p.id, Down: num(2)})
	}
	for m.chance(0.25) {
		d := m.day()
		m.add(d, m.vet(fields.Vet{Paddock: p.id}, d))
	}
}

func (m *maker) vet(v fields.Vet, d date) *fields.Vet {
	v.Who, v.Because = "Dr. Demo", "an invented reason"
	v.Advice = pick(m, "may-graze", "may-graze", "keep-off")
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

// water writes results of stock water, of the paddocks and of herds.
func (m *maker) water(ps []*plot) {
	for m.chance(0.35) {
		w := &fields.Water{Source: pick(m, "well", "dugout", "trough"), SampledOn: m.day(), Unit: pick(m, "mg/L", "ppm"),
			Form: pick(m, "NO3", "NO3-N"), Value: num(pick(m, 2.0, 5, 10, 20, 23, 40, 90, 99, 100, 101, 120, 440, 443))}
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

// sample takes samples of the stand now and then.
func (m *maker) sample(p *plot, d date) {
	if !m.chance(0.03) {
		return
	}
	b := m.lab(fields.Lab{Paddock: p.id, SampledOn: d})
	m.add(d+date(m.r.IntN(6)), b)
	if m.chance(0.3) {
		m.add(d, &fields.Sampled{Paddock: p.id, Sample: "s1", Stems: num(20)})
	}
}

func (m *maker) lab(b fields.Lab) *fields.Lab {
	b.Analyte = pick(m, "nitrate", "nitrate", "hcn")
	b.Method = pick(m, "lab", "lab", "lab", "lab", "strip", "quick")
	b.Basis = "dm"
	n := 1
	if m.chance(0.3) {
		n = 2 + m.r.IntN(3)
	}
	if b.Analyte == "hcn" {
		b.SampleState = pick(m, "sealed", "frozen", "sealed", "dried", "unknown", "")
		b.Unit = pick(m, "ppm", "mg/kg")
		for i := 0; i < n; i++ {
			b.Values = append(b.Values, pick(m, 20.0, 60, 150, 199, 200, 250, 450, 500, 700))
		}
		if m.chance(0.25) {
			b.Basis = "as-fed"
		}
		if m.chance(0.4) {
			b.DMPct = num(float64(18 + m.r.IntN(70)))
		}
		return &b
	}
	b.Form = pick(m, "NO3", "NO3-N", "NO3-N", "KNO3", "NaNO3")
	b.Unit = pick(m, "ppm", "mg/kg")
	for i := 0; i < n; i++ {
		v := pick(m, 50.0, 200, 400, 400, 900, 1000, 1200, 2500, 4400, 5000, 6000, 10000)
		b.Values = append(b.Values, v)
	}
	if m.chance(0.1) {
		b.Unit = "%"
		for i := range b.Values {
			b.Values[i] /= 10000
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

// strikes take some entries back; a few strike a strike, which does nothing.
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

// SortByID puts entries in a fixed order for printing.
func SortByID(es []fields.Entry, loc *time.Location) {
	sort.Slice(es, func(i, j int) bool {
		a, b := es[i].EventDate(loc), es[j].EventDate(loc)
		if a != b {
			return a < b
		}
		return es[i].ID < es[j].ID
	})
}

// tangle writes a short season in which everything happens on one or two
// paddocks: what ordinary seasons bring together once in a thousand.
func (m *maker) tangle() {
	var ps []*plot
	for i := 0; i < 1+m.r.IntN(2); i++ {
		p := &plot{id: string(rune('a' + i)), from: m.s.Start - 10, until: m.s.End, mix: pick(m, mixes...)}
		f := &fields.PaddockFacts{Paddock: p.id, Name: p.id}
		if m.chance(0.9) {
			p.station = pick(m, m.stations...)
			f.Station = p.station
		}
		m.add(p.from, f)
		if m.chance(0.6) {
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

// happen writes one thing of any kind.
func (m *maker) happen(p *plot, d date) {
	on := []string{p.id}
	switch m.r.IntN(24) {
	case 0:
		m.addSown(p, d, &fields.Sown{Paddock: p.id, Species: m.shares(pick(m, mixes...)), NewStand: yesno(m.chance(0.5))})
	case 1, 2:
		m.add(d, &fields.Seen{Paddock: p.id, Species: []string{pick(m, append(weeds, p.mix...)...)}})
	case 3, 4, 5, 6, 7, 8, 9:
		m.add(d, m.anyWalk(p))
	case 10:
		m.add(d, &fields.Walk{Paddock: p.id, Part: "swath", Dry: yesno(m.chance(0.8))})
	case 11, 12:
		m.add(d, &fields.Cut{Paddock: p.id, Use: pick(m, "hay", "silage", "swath", "swath", "green-chop")})
	case 13, 14:
		herd := pick(m, append([]string{""}, m.herds...)...)
		if m.moves[move{herd, d}] {
			herd = ""
		}
		m.moves[move{herd, d}] = true
		m.add(d, &fields.Grazed{Paddock: p.id, State: pick(m, "in", "out"), Herd: herd, SwathLeft: pick(m, nil, yesno(true))})
	case 15:
		m.add(d, &fields.Drought{Paddocks: on, State: pick(m, "start", "end")})
	case 16:
		m.add(d, pick[fields.Body](m, &fields.Hail{Paddocks: on}, &fields.Trampled{Paddocks: on}, &fields.Sprayed{Paddocks: on}))
	case 17:
		m.add(d, &fields.Nitrogen{Paddocks: on, KgNHa: num(float64(10 * m.r.IntN(9)))})
	case 18, 19, 20:
		m.add(d+date(m.r.IntN(4)), m.lab(fields.Lab{Paddock: p.id, SampledOn: d}))
	case 21:
		m.add(d, m.vet(fields.Vet{Paddock: p.id}, d))
	case 22:
		if m.chance(0.4) {
			m.add(d, &fields.Incident{Paddock: p.id, Down: num(1)})
		}
	default:
		m.lots++
		m.lot(p, "lot"+string(rune('a'+m.lots%26))+string(rune('a'+m.lots/26)), d, d+date(m.r.IntN(8)))
	}
}

// anyWalk says anything a walk can say, clean walks more often than not.
func (m *maker) anyWalk(p *plot) *fields.Walk {
	w := &fields.Walk{Paddock: p.id, Killed: pick(m, "", "all", "all", "part", "none", "unknown"),
		FrostDamage: pick(m, "", "none", "none", "tips", "all", "unknown")}
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
