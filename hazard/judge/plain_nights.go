package judge

import (
	"sync"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/weather"
)

// land is one line of a paddock: the paddocks whose entries are one history of
// its ground, and those entries.
type land struct {
	v        *view
	ids      []string
	facts    []fact
	settings []fact          // paddock entries of any date
	nights   map[date]*night // worked out once: nothing that counts can change
	evenings map[date]*night
	stands   map[[2]date]*stand // by day and knowledge, likewise
	walked   map[fields.Part][]walk
	old      map[string]bool // entries said under the name of land that had been split
	happened map[fields.Kind][]date
}

func (l *land) rule(k hazard.RuleKey) int { return l.v.book.Days(k) }

func (l *land) value(k hazard.RuleKey) float64 { return l.v.book.V[k] }

// night is what is known of one night.
type night struct {
	trigger  bool
	possible bool // a possible night, whether or not something has lifted it since
	covered  bool // readings or a statement cover it
	signed   bool // a thermometer-in-paddock statement covers it
	watched  bool
	midnight bool // it has come: 00:00 of its date is past
	ten      bool // 10:00 of its date is past

	person  bool     // a person's frost was logged
	damage  bool     // a walk names it as the night of damage
	unsaid  bool     // a person's frost, or a thermometer that said only "below zero"
	low     *float64 // the lowest low given, a station's with its offset
	plant   *float64 // the lowest low of a thermometer, taken down to the plants
	counted bool     // readings cover it, each with a number
}

// unread: inside the frost watch, has come, and nothing tells of it (§4.5).
func (n *night) unread() bool { return n.watched && n.midnight && !n.covered && !n.trigger }

// restarts reports whether an unread night can restart a running clock (§4.5).
func (n *night) restarts() bool { return n.unread() && n.ten }

// setting is what paddock entries say about the night of n: of each field what
// the last entry by then says; the first entry reaches back. Where entries of
// one date disagree, all stations count, the lowest offset, and low ground (§3.5).
func (l *land) setting(n date) (stations []string, offset float64, low bool) {
	pick := func(says func(*fields.PaddockFacts) bool) date {
		var first, last date
		for _, f := range l.settings {
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
	for _, f := range l.settings {
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
// It hangs where the last entry by the night says, the first reaching back (§4.4).
func (v *view) nearGround(id string, n date) bool {
	var first date
	for _, f := range v.settings {
		if b, ok := f.e.Body.(*fields.StationFacts); ok && b.Station == id && b.HeightM != nil && (first == 0 || f.d < first) {
			first = f.d
		}
	}
	var at date
	height := -1.0
	for _, f := range v.settings {
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
// said: all year (§4.6).
func (v *view) watched(n date) bool {
	var first, last date
	for _, f := range v.settings {
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
	for _, f := range v.settings {
		if b, ok := f.e.Body.(*fields.Farm); ok && b.FrostWatch != nil && f.d == last && b.FrostWatch.Covers(n) {
			return true
		}
	}
	return false
}

// possibleLine is the low at or below which the plants may have frozen (§4.4).
func (l *land) possibleLine(low bool) float64 {
	const slack = 0.05 // °C: 36 °F is 2.22, 40 °F is 4.44
	if low {
		return l.value(hazard.FrostPossibleLow) + slack
	}
	return l.value(hazard.FrostPossible) + slack
}

// night works out what is known of the night of n (§4.3, §4.4).
func (l *land) night(n date) *night {
	got, ok := l.nights[n]
	if !ok {
		got = l.nightAsOf(n, n+10000)
		l.nights[n] = got
	}
	return got
}

// tonight is what was written down of the night after day d by the end of d (§4.9).
func (l *land) tonight(d date) *night {
	got, ok := l.evenings[d]
	if !ok {
		got = l.nightAsOf(d+1, d)
		l.evenings[d] = got
	}
	return got
}

// nightAsOf is the night of n with the frosts and readings written down by the
// local date given (§4.1 to §4.5, §4.7).
func (l *land) nightAsOf(n, by date) *night {
	v := l.v
	out := &night{watched: v.watched(n)}
	out.midnight = !v.moment.Before(n.At(0, 0, v.loc))
	out.ten = !v.moment.Before(n.At(10, 0, v.loc))
	stations, offset, low := l.setting(n)
	line, trigger := l.possibleLine(low), l.value(hazard.FrostTrigger)
	lower := func(of **float64, c float64) {
		if *of == nil || c < **of {
			*of = &c
		}
	}
	// What was read, by station, "" for thermometers in the paddock.
	read := map[string][]fields.Span{}
	maybe, numbered := false, true
	for _, f := range v.read[n] {
		b := f.e.Body.(*fields.Reading)
		if v.localDate(f.e.Recorded) > by {
			continue
		}
		atStation, atPaddock := b.Station != "" && has(stations, b.Station), b.Paddock != "" && has(l.ids, b.Paddock)
		if !atStation && !atPaddock {
			continue
		}
		near := atStation && v.nearGround(b.Station, n)
		plantLevel := near && !atPaddock
		if b.BelowZero != nil && *b.BelowZero {
			out.trigger = true
			out.unsaid = out.unsaid || b.LowC == nil
		}
		for _, hours := range []*float64{b.HoursBelow0, b.HoursBelowKill} { // it froze, whatever its low says
			if hours != nil && *hours > 0 {
				out.trigger = true
				out.unsaid = out.unsaid || b.LowC == nil
			}
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
			lower(&out.low, lowest)
			if atStation && !near {
				lower(&out.plant, lowest-l.value(hazard.NitrateFrostScreenDrop))
			} else {
				lower(&out.plant, lowest)
			}
		} else {
			numbered = false
			// "Not below zero" leaves room down to the plants.
			maybe = maybe || b.BelowZero != nil && !*b.BelowZero && !plantLevel
		}
		var parts []fields.Span
		for _, p := range b.Spans { // it knew nothing of what came after it
			if p.To.After(f.e.Recorded) {
				p.To = f.e.Recorded
			}
			parts = append(parts, p)
		}
		over := v.localDate(f.e.Recorded) >= n
		if over && (yes(b.Covers) || b.Covers == nil && len(parts) == 0) {
			parts = append(parts, fields.Span{From: (n - 1).At(12, 0, v.loc), To: n.At(12, 0, v.loc)})
		}
		at := ""
		if atStation {
			at = b.Station
		}
		read[at] = append(read[at], parts...)
	}
	out.covered = v.covers(n, stations, read)
	out.counted = numbered && out.covered
	for _, f := range l.facts {
		switch b := f.e.Body.(type) {
		case *fields.Frost:
			if f.d == n && v.localDate(f.e.Recorded) <= by {
				out.trigger, out.person = true, true
				if b.LowC == nil {
					out.unsaid = true
				} else {
					lower(&out.low, *b.LowC)
				}
			}
		case *fields.Walk:
			if b.DamageNight == n {
				out.trigger, out.damage = true, true
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

// covers reports whether what was read covers the night of n: the thermometers
// in the paddock together with the station; where it is not known which of
// several stations counts, with each of them (§4.2).
func (v *view) covers(n date, stations []string, read map[string][]fields.Span) bool {
	if len(stations) == 0 {
		return v.whole(n, read[""])
	}
	for _, s := range stations {
		if !v.whole(n, append(append([]fields.Span{}, read[""]...), read[s]...)) {
			return false
		}
	}
	return true
}

// whole reports whether parts of the night of n, put together, begin by 19:00,
// leave no gap of more than two hours and five minutes, and end no earlier than
// 08:00 nor than sunrise on the farm, 11:00 at the latest (§4.2).
func (v *view) whole(n date, parts []fields.Span) bool {
	const gap = 2*time.Hour + 5*time.Minute
	if len(parts) == 0 {
		return false
	}
	to := (n - 1).At(18, 0, v.loc) // read up to here, as far as the gaps allow
	begun := false
	for moved := true; moved; {
		moved = false
		for _, p := range parts {
			allowed := to.Add(gap)
			if !begun {
				allowed = (n - 1).At(19, 0, v.loc)
			}
			if p.To.After(to) && !p.From.After(allowed) {
				to, begun, moved = p.To, true, true
			}
		}
	}
	end := n.At(11, 0, v.loc)
	if !begun || !to.Before(end) {
		return begun
	}
	if rise := v.sunrise(n); rise.Before(end) {
		end = n.At(8, 0, v.loc)
		if rise.After(end) {
			end = rise
		}
	}
	return !to.Before(end)
}

// sunrise is the farm's on a date; the zero time where nobody said where it
// lies, or where the sun does not rise (§4.2).
func (v *view) sunrise(n date) time.Time {
	lat := v.farmSays(func(b *fields.Farm) *float64 { return b.Lat })
	lon := v.farmSays(func(b *fields.Farm) *float64 { return b.Lon })
	if lat == nil || lon == nil {
		return time.Time{}
	}
	at := place{n, *lat, *lon, v.loc}
	if rise, ok := rises.Load(at); ok {
		return rise.(time.Time)
	}
	rise, _, _ := weather.Sun(n, *lat, *lon, v.loc)
	rises.Store(at, rise)
	return rise
}

type place struct {
	n        date
	lat, lon float64
	loc      *time.Location
}

var rises sync.Map // sunrises by place: the seasons have few places

// farmSays is what the last farm entry by the day asked says, else the earliest (§3.5).
func (v *view) farmSays(of func(*fields.Farm) *float64) *float64 {
	var got *fact
	for i := range v.settings {
		f := &v.settings[i]
		b, ok := f.e.Body.(*fields.Farm)
		if !ok || of(b) == nil {
			continue
		}
		switch {
		case got == nil:
			got = f
		case got.d == f.d:
			if f.e.ID > got.e.ID {
				got = f
			}
		case got.d > v.on:
			if f.d < got.d {
				got = f
			}
		case f.d <= v.on && f.d > got.d:
			got = f
		}
	}
	if got == nil {
		return nil
	}
	return of(got.e.Body.(*fields.Farm))
}

// forecast answers for day x: the worst of the forecasts for the nights of x
// and x+1. The hold comes once it is noon of the day before the night (§4.8).
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
