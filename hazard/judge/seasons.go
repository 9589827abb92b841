package judge

import (
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
	Staged  // one paddock and one scene
)

func (s Style) String() string {
	return [...]string{"neglected", "ordinary", "tended", "tangled", "staged"}[s]
}

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
}

type move struct {
	herd string
	on   date
}

const lead = 40 // days of weather before the season's start

// RandomSeason invents a farm and a season; of one farm in twelve the seasons before it
// are told too.
func RandomSeason(r *rand.Rand, book *hazard.Rulebook) *Season {
	zones := []string{"America/Regina", "America/Denver", "America/Regina", "Europe/Berlin"}
	zone := zones[r.IntN(len(zones))]
	before := 0
	if r.IntN(12) == 0 {
		before = 1 + r.IntN(3)
	}
	s := randomSeason(r, book, zone, 2025-before)
	for year := 2026 - before; year <= 2025; year++ {
		next := randomSeason(r, book, zone, year)
		s.Entries, s.End, s.Style = append(s.Entries, next.Entries...), next.End, next.Style
	}
	return s
}

func randomSeason(r *rand.Rand, book *hazard.Rulebook, zone string, year int) *Season {
	loc := zoneOf(zone)
	m := &maker{moves: map[move]bool{}, r: r, book: book, s: &Season{Zone: loc, Style: Style(r.IntN(3))}}
	m.s.Start = fields.MakeDate(year, time.Month(4+r.IntN(7)), 1+r.IntN(28))
	m.s.End = m.s.Start + date(60+r.IntN(91))
	switch x := m.r.Float64(); {
	case x < 0.3:
		m.s.Style = Tangled
		m.s.End = m.s.Start + date(30+m.r.IntN(40))
	case x < 0.55:
		m.s.Style = Staged
	}
	m.weather()
	m.farm(zone)
	if m.s.Style == Staged {
		m.stage()
		return m.s
	}
	if m.s.Style == Tangled {
		m.tangle()
		m.pairs()
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
	m.pairs()
	m.strikes()
	return m.s
}

// terms are the waits, lives and limits of the contract in days, and the days
// beside them.
var terms = []date{0, 0, 1, 1, 2, 2, 3, 3, 4, 5, 6, 7, 7, 8, 9, 10, 10, 11, 13, 14, 14, 15, 16, 20, 21, 21, 22, 24, 25, 27, 28, 28, 29, 30, 30, 31, 35, 55, 56, 57, 89, 90, 91}

// RandomQuestion asks about a day of the season, or some weeks after it, at a
// moment of that day, of a later one, or before it.
func RandomQuestion(r *rand.Rand, s *Season) Question {
	q := Question{On: s.Start + date(r.IntN(int(s.End-s.Start)+15))}
	var about []*fields.Entry
	for i := range s.Entries {
		switch s.Entries[i].Kind() {
		case fields.KindReading, fields.KindFarm, fields.KindStation, fields.KindHerd:
		default:
			about = append(about, &s.Entries[i])
		}
	}
	if r.IntN(3) > 0 && len(about) > 0 { // about a fact: on its day, or when something of it ends
		e := about[r.IntN(len(about))]
		if on := e.EventDate(s.Zone) + terms[r.IntN(len(terms))]; on >= s.Start && on <= s.End+60 {
			q.On = on
		}
	}
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
	return m.chance([]float64{neglected, ordinary, tended, ordinary, tended}[m.s.Style])
}

func pick[T any](m *maker, list ...T) T { return list[m.r.IntN(len(list))] }

func num(v float64) *float64 { return &v }

func yesno(v bool) *bool { return &v }

func (m *maker) day() date { return m.s.Start + date(m.r.IntN(int(m.s.End-m.s.Start)+1)) }

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
