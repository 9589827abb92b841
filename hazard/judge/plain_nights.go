package judge

import (
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// land is one line of a paddock: the paddocks whose entries are one history of
// its ground, and those entries.
type land struct {
	v        *view
	ids      []string
	facts    []fact
	nights   map[date]night // worked out once: nothing that counts can change
	evenings map[date]night
	stands   map[[2]date]*stand // by day and knowledge, likewise
}

func (l *land) rule(k hazard.RuleKey) int { return l.v.book.Days(k) }

func (l *land) value(k hazard.RuleKey) float64 { return l.v.book.V[k] }

// night is what is known of one night.
type night struct {
	trigger  bool
	possible bool // a possible night, whether or not something has lifted it since
	covered  bool // a reading or statement covers it
	signed   bool // a thermometer-in-paddock statement covers it
	watched  bool
	midnight bool // it has come: 00:00 of its date is past
	ten      bool // 10:00 of its date is past
}

// unread: inside the frost watch, has come, and nothing tells of it.
func (n night) unread() bool { return n.watched && n.midnight && !n.covered && !n.trigger }

// sets reports whether an unread night can restart a running clock.
func (n night) restarts() bool { return n.unread() && n.ten }

// setting is what paddock entries say about the night of n: of each field what
// the last entry by then says; the first entry reaches back. Where entries of
// one date disagree, all stations count, the lowest offset, and low ground.
func (l *land) setting(n date) (stations []string, offset float64, low bool) {
	pick := func(says func(*fields.PaddockFacts) bool) date {
		var first, last date
		for _, f := range l.facts {
			b, ok := f.e.Body.(*fields.PaddockFacts)
			if !ok || !says(b) {
				continue
			}
			if first == fields.NoDate || f.d < first {
				first = f.d
			}
			if f.d <= n && (last == fields.NoDate || f.d > last) {
				last = f.d
			}
		}
		if last != fields.NoDate {
			return last
		}
		return first
	}
	ds := pick(func(b *fields.PaddockFacts) bool { return b.Station != "" })
	do := pick(func(b *fields.PaddockFacts) bool { return b.OffsetC != nil })
	dl := pick(func(b *fields.PaddockFacts) bool { return b.LowLying != nil })
	said := false
	for _, f := range l.facts {
		b, ok := f.e.Body.(*fields.PaddockFacts)
		if !ok {
			continue
		}
		if f.d == ds && b.Station != "" && !has(stations, b.Station) {
			stations = append(stations, b.Station)
		}
		if f.d == do && b.OffsetC != nil && (!said || *b.OffsetC < offset) {
			offset, said = *b.OffsetC, true
		}
		if f.d == dl && b.LowLying != nil && *b.LowLying {
			low = true
		}
	}
	return stations, offset, low
}

// nearGround reports whether a station's thermometer hangs at 0.3 m or lower,
// where it feels what the plants feel.
// It hangs where the last entry by the night says, the first reaching back.
func (v *view) nearGround(id string, n date) bool {
	var first date
	for _, f := range v.facts {
		if b, ok := f.e.Body.(*fields.StationFacts); ok && b.Station == id && b.HeightM != nil && (first == 0 || f.d < first) {
			first = f.d
		}
	}
	var at date
	height := -1.0
	for _, f := range v.facts {
		b, ok := f.e.Body.(*fields.StationFacts)
		if !ok || b.Station != id || b.HeightM == nil || f.d > n && f.d != first {
			continue
		}
		if height < 0 || f.d > at || f.d == at && *b.HeightM > height {
			at, height = f.d, *b.HeightM
		}
	}
	return height >= 0 && height <= 0.3
}

// watched reports whether the night of n lies in the frost watch. No watch
// said: all year.
func (v *view) watched(n date) bool {
	var first, last date
	for _, f := range v.facts {
		b, ok := f.e.Body.(*fields.Farm)
		if !ok || b.FrostWatch == nil {
			continue
		}
		if first == fields.NoDate || f.d < first {
			first = f.d
		}
		if f.d <= n && (last == fields.NoDate || f.d > last) {
			last = f.d
		}
	}
	if first == fields.NoDate {
		return true
	}
	if last == fields.NoDate {
		last = first
	}
	for _, f := range v.facts {
		if b, ok := f.e.Body.(*fields.Farm); ok && b.FrostWatch != nil && f.d == last && b.FrostWatch.Covers(n) {
			return true
		}
	}
	return false
}

// possibleLine is the low at or below which the plants may have frozen.
func (l *land) possibleLine(low bool) float64 {
	const slack = 0.05 // °C: 36 °F is 2.22, 40 °F is 4.44
	if low {
		return l.value(hazard.FrostPossibleLow) + slack
	}
	return l.value(hazard.FrostPossible) + slack
}

// night works out what is known of the night of n.
func (l *land) night(n date) night {
	got, ok := l.nights[n]
	if !ok {
		got = l.nightAsOf(n, n+10000)
		l.nights[n] = got
	}
	return got
}

// tonight is what was written down of the night after day d by the end of d.
func (l *land) tonight(d date) night {
	got, ok := l.evenings[d]
	if !ok {
		got = l.nightAsOf(d+1, d)
		l.evenings[d] = got
	}
	return got
}

// nightAsOf is the night of n with the frosts and readings written down by the
// local date given.
func (l *land) nightAsOf(n, by date) night {
	v := l.v
	out := night{watched: v.watched(n)}
	out.midnight = !v.moment.Before(n.At(0, 0, v.loc))
	out.ten = !v.moment.Before(n.At(10, 0, v.loc))
	stations, offset, low := l.setting(n)
	line, trigger := l.possibleLine(low), l.value(hazard.FrostTrigger)
	coveredBy := map[string]bool{}
	own := false
	maybe := false
	for _, f := range v.facts {
		b, ok := f.e.Body.(*fields.Reading)
		if !ok || b.Night != n || v.localDate(f.e.Recorded) > by {
			continue
		}
		atStation, atPaddock := b.Station != "" && has(stations, b.Station), b.Paddock != "" && has(l.ids, b.Paddock)
		if !atStation && !atPaddock {
			continue
		}
		plantLevel := atStation && !atPaddock && v.nearGround(b.Station, n)
		if b.BelowZero != nil && *b.BelowZero {
			out.trigger = true
		}
		if b.LowC != nil {
			lowest := *b.LowC
			if atStation {
				lowest = min(lowest, *b.LowC+offset)
			}
			if lowest <= trigger {
				out.trigger = true
			}
			if !plantLevel && lowest <= line {
				maybe = true
			}
		} else if b.BelowZero != nil && !*b.BelowZero && !plantLevel {
			maybe = true // "not below zero" leaves room down to the plants
		}
		if (b.Covers == nil || *b.Covers) && v.localDate(f.e.Recorded) >= n {
			if atStation {
				coveredBy[b.Station] = true
			}
			own = own || atPaddock
		}
	}
	out.covered = own || len(stations) > 0
	if !own {
		for _, s := range stations {
			out.covered = out.covered && coveredBy[s]
		}
	}
	for _, f := range l.facts {
		switch b := f.e.Body.(type) {
		case *fields.Frost:
			if f.d == n && v.localDate(f.e.Recorded) <= by {
				out.trigger = true
			}
		case *fields.Walk:
			if b.DamageNight == n {
				out.trigger = true
			}
		case *fields.NoFrost:
			if b.From <= n && n <= b.To && v.localDate(f.e.Recorded) >= n {
				out.covered = true
				if b.Basis == "thermometer-in-paddock" {
					out.signed = true
				}
			}
		}
	}
	out.possible = maybe && !out.trigger
	return out
}

// forecast answers for day x: the worst of the forecasts for the nights of x
// and x+1. The hold comes once it is noon of the day before the night.
func (l *land) forecast(x date) (caution bool, holdThrough date) {
	for n := x; n <= x+1; n++ {
		if n <= l.v.on && l.night(n).covered {
			continue
		}
		stations, offset, low := l.setting(n)
		from := (n - 1).At(18, 0, l.v.loc)
		if l.v.moment.Before(from) {
			from = l.v.moment
		}
		from = from.Add(-24 * time.Hour)
		any, lowest := false, 0.0
		for _, f := range l.v.facts {
			b, ok := f.e.Body.(*fields.Forecast)
			if !ok || b.Night != n || b.LowC == nil || b.Issued.Before(from) {
				continue
			}
			at := *b.LowC
			switch {
			case b.Station != "" && has(stations, b.Station):
				at += offset
			case b.Paddock != "" && has(l.ids, b.Paddock):
			default:
				continue
			}
			if !any || at < lowest {
				any, lowest = true, at
			}
		}
		if !any {
			continue
		}
		if lowest <= max(l.possibleLine(low), l.value(hazard.FrostTrigger)) {
			caution = true
		}
		if lowest <= l.value(hazard.FrostTrigger) && !l.v.moment.Before((n-1).At(12, 0, l.v.loc)) {
			holdThrough = max(holdThrough, n)
		}
	}
	return caution, holdThrough
}
