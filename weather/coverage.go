package weather

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"rimegate/fields"
)

// Covered reports whether stretches of time in which a thermometer was read
// together cover the night of d: they begin by 19:00 of the evening before, leave no
// gap longer than MaxGap, and end no earlier than 08:00 nor before that morning's
// sunrise at the farm (at; nil: not known), 11:00 at the latest. They may come in any
// order, overlap, and reach beyond the night. On days without a sunrise 08:00 holds.
func Covered(d fields.Date, spans []fields.Span, loc *time.Location, at *Place) bool {
	var few [16]stretch
	read := few[:0]
	for i := range spans {
		if s := (stretch{spans[i].From.Unix(), spans[i].To.Unix()}); s.to >= s.from {
			read = append(read, s)
		}
	}
	return gapOf(d, join(read), loc, at).kind == noGap
}

// stretch is a time in which a thermometer was read, in seconds since 1970.
type stretch struct{ from, to int64 }

// join sorts stretches and joins, in place, what lies no more than MaxGap apart.
func join(all []stretch) []stretch {
	slices.SortFunc(all, func(a, b stretch) int { return cmp.Compare(a.from, b.from) })
	out := all[:0]
	for _, s := range all {
		if k := len(out) - 1; k >= 0 && s.from-out[k].to <= gapSeconds {
			out[k].to = max(out[k].to, s.to)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// gap is the first gap in the dark part of a night: between two instants, or before
// the first or after the last.
type gap struct {
	kind gapKind
	a, b int64
	rise int64 // the sunrise that was not read, 0: none
}

type gapKind uint8

const (
	noGap gapKind = iota
	nothingRead
	beginsLate
	gapBetween
	endsEarly
)

// gapOf looks for a gap in what was read of the dark part of a night, joined
// stretches in order.
func gapOf(d fields.Date, read []stretch, loc *time.Location, at *Place) gap {
	from, to := darkPart(d, loc)
	k := -1 // the last that begins in time
	for k+1 < len(read) && read[k+1].from <= from+endMargin {
		k++
	}
	switch {
	case len(read) == 0:
		return gap{kind: nothingRead}
	case k < 0:
		return gap{kind: beginsLate, a: read[0].from}
	}
	g := gap{kind: endsEarly, a: read[k].to}
	if g.a >= to-endMargin {
		if g.rise = sunriseAfter(g.a, d, to, loc, at); g.rise == 0 {
			return gap{}
		}
	}
	if k+1 < len(read) {
		g.kind, g.b = gapBetween, read[k+1].from
	}
	return g
}

// sunriseAfter is the sunrise of a morning, at the latest an hour before the noon
// that ends the night: where the sun rises about noon, that is the last report. 0 if
// it is not after the instant, there is none, or the place is not known.
func sunriseAfter(t int64, d fields.Date, darkEnd int64, loc *time.Location, at *Place) int64 {
	latest := darkEnd + (11-darkTo)*3600
	if t >= latest || !at.valid() {
		return 0
	}
	rise, _, ok := Sun(d, at.Lat, at.Lon, loc)
	if up := min(rise.Unix(), latest); ok && up > t {
		return up
	}
	return 0
}

// why says in words where the gap is.
func (g *gap) why(loc *time.Location) string {
	clock := func(t int64) string { return time.Unix(t, 0).In(loc).Format("15:04") }
	switch g.kind {
	case nothingRead:
		return "no reading that lies in this night alone"
	case beginsLate:
		return "first reading at " + clock(g.a)
	case gapBetween:
		return fmt.Sprintf("no reading between %s and %s", clock(g.a), clock(g.b))
	}
	s := "last reading at " + clock(g.a)
	if g.rise > 0 {
		s += ", before sunrise at " + clock(g.rise+59)
	}
	return s
}

// spansOf are the parts of a night that were read. A lone reading is a part of a
// second, since a part has a length.
func spansOf(read []stretch, loc *time.Location) []fields.Span {
	var out []fields.Span
	for _, s := range read {
		out = append(out, fields.Span{From: time.Unix(s.from, 0).In(loc), To: time.Unix(max(s.to, s.from+1), 0).In(loc)})
	}
	return out
}

// JoinParts adds, for each night of one place that no reading covers but all of them
// together do, a night that covers, with the lowest of their lows. The rest stays as
// it is, in order.
func JoinParts(nights []NightLow, loc *time.Location, farm *Place) []NightLow {
	byNight := map[fields.Date][]*NightLow{}
	for i := range nights {
		byNight[nights[i].Night] = append(byNight[nights[i].Night], &nights[i])
	}
	out := make([]NightLow, 0, len(nights))
	for i := range nights {
		out = append(out, nights[i])
		group := byNight[nights[i].Night]
		if len(group) < 2 || group[len(group)-1] != &nights[i] {
			continue
		}
		sum := NightLow{Night: nights[i].Night, Source: nights[i].Source, Covers: true}
		var spans []fields.Span
		covered := false
		for _, n := range group {
			covered = covered || n.Covers
			spans = append(spans, n.Spans...)
			if n.LowC != nil && (sum.LowC == nil || *n.LowC < *sum.LowC) {
				sum.LowC = n.LowC
			}
			sum.Below = sum.Below || n.Below
		}
		if !covered && Covered(sum.Night, spans, loc, farm) {
			out = append(out, sum)
		}
	}
	return out
}
