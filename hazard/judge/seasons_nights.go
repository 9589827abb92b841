package judge

import (
	"math"
	"time"

	"rimegate/fields"
)

// weather makes true nightly lows: an autumn, a spring, a mild or a cold season
// with snaps, or one of light frosts.
func (m *maker) weather() {
	n := int(m.s.End-m.s.Start) + lead + 30
	from, to := 12.0, -4.0
	switch m.r.IntN(6) {
	case 3:
		from, to = 5, -3
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
				if m.chance(0.4) {
					f.LowC = num(pick(m, m.lowOn(n), -5, -4.9, -5.1, -1, 0.5))
				}
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
				m.addAt(n, at, &fields.NoFrost{Paddocks: []string{p.id}, From: from, To: n, Basis: fields.NoFrostBasis(basis)})
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
	if m.chance(0.05) {
		m.parts(n, b)
		return
	}
	at := n.At(6+m.r.IntN(4), m.r.IntN(60), m.s.Zone)
	switch {
	case m.chance(0.02):
		at = (n - 1).At(22, 0, m.s.Zone)
	case m.chance(0.06):
		at = at.AddDate(0, 0, 1+m.r.IntN(10))
	}
	m.addAt(n, at, b)
}

// parts writes a night that was read in parts, from one logger or two files:
// together they may cover it, or fall short by a minute.
func (m *maker) parts(n date, b *fields.Reading) {
	at := func(h, min int) time.Time {
		if h >= 12 {
			return (n - 1).At(h, min, m.s.Zone)
		}
		return n.At(h, min, m.s.Zone)
	}
	from := pick(m, at(16, 0), at(18, 0), at(18, 30), at(19, 0), at(19, 1))
	to := pick(m, at(7, 59), at(8, 0), at(8, 15), at(8, 40), at(9, 0), at(9, 20), at(11, 0))
	mid := pick(m, at(21, 0), at(0, 30), at(4, 0))
	gap := pick(m, 0, 0, -time.Hour, time.Hour, 2*time.Hour+5*time.Minute, 2*time.Hour+6*time.Minute)
	spans := []fields.Span{{From: from, To: mid}, {From: mid.Add(gap), To: to}}
	b.Covers = pick(m, nil, yesno(false))
	if m.chance(0.3) {
		b.Spans = spans
		m.addAt(n, n.At(9, m.r.IntN(60), m.s.Zone), b)
		return
	}
	for i, s := range spans {
		part := *b
		part.Spans = []fields.Span{s}
		if i == 1 {
			part.Source = "the other file"
			if b.LowC != nil && m.chance(0.5) {
				part.LowC = num(*b.LowC + 1)
			}
			if b.LowC != nil && m.chance(0.1) {
				part.LowC, part.BelowZero = nil, yesno(*b.LowC <= 0)
			}
			if m.chance(0.2) {
				return // never emptied
			}
		}
		m.addAt(n, n.At(9, m.r.IntN(60), m.s.Zone), &part)
	}
}
