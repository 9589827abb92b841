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
	var few [16]fields.Span
	sorted := append(few[:0], spans...)
	slices.SortFunc(sorted, func(a, b fields.Span) int { return a.From.Compare(b.From) })
	from, to := darkPart(d, loc)
	g := gapFinder{night: d, loc: loc, at: at, from: from.Unix(), to: to.Unix()}
	for i := range sorted {
		if f, t := sorted[i].From.Unix(), sorted[i].To.Unix(); t >= f {
			g.add(f, t)
		}
	}
	return g.covered()
}

// latestEnd is how long before the noon that ends a night the night may still have to
// be read: where the sun rises about noon, an hour before it is the last report.
const latestEnd = time.Hour

// gapFinder looks for a gap in the dark part of a night. Stretches are added in
// order of their beginning; one more never makes a gap.
type gapFinder struct {
	night    fields.Date
	loc      *time.Location
	at       *Place // of the farm, nil if not known
	from, to int64  // the dark part
	reach    int64  // end of what has been covered
	any      bool
	sunUp    int64 // the morning's sunrise, once looked up; 0: none
	sunSaid  bool
	// The first gap: between two instants, or before the first or after the last.
	gap        gapKind
	gapA, gap2 int64
}

type gapKind uint8

const (
	noGap gapKind = iota
	nothingRead
	beginsLate
	gapBetween
	endsEarly
)

func (g *gapFinder) add(from, to int64) {
	switch {
	case g.gap != noGap:
		return
	case from <= g.from+int64(endMargin/time.Second):
	case !g.any:
		g.gap, g.gapA = beginsLate, from
	case from-g.reach > int64(MaxGap/time.Second) && !g.done():
		g.gap, g.gapA, g.gap2 = gapBetween, g.reach, from
	}
	if !g.any || to > g.reach {
		g.reach = to
	}
	g.any = true
}

// done reports whether what has been read so far reaches the end of the night.
func (g *gapFinder) done() bool {
	return g.reach >= g.to-int64(endMargin/time.Second) && g.reach >= g.sunrise()
}

// sunrise is the sunrise that must have been read, 0 if there is none or the place is
// not known. It is worked out only for readings that end in the morning.
func (g *gapFinder) sunrise() int64 {
	latest := g.to + int64((12-darkTo)*time.Hour/time.Second) - int64(latestEnd/time.Second)
	if g.reach >= latest {
		return 0
	}
	if !g.sunSaid {
		g.sunSaid = true
		if g.at.valid() {
			if rise, _, day := Sun(g.night, g.at.Lat, g.at.Lon, g.loc); day == RisesAndSets {
				g.sunUp = min(rise.Unix(), latest)
			}
		}
	}
	return g.sunUp
}

func (g *gapFinder) covered() bool {
	switch {
	case g.gap != noGap:
	case !g.any:
		g.gap = nothingRead
	case !g.done():
		g.gap, g.gapA = endsEarly, g.reach
	}
	return g.gap == noGap
}

// why says in words where the gap is, once covered has been asked.
func (g *gapFinder) why() string {
	switch g.gap {
	case nothingRead:
		return "no reading that lies in this night alone"
	case beginsLate:
		return "first reading at " + g.clock(g.gapA)
	case gapBetween:
		return fmt.Sprintf("no reading between %s and %s", g.clock(g.gapA), g.clock(g.gap2))
	case endsEarly:
		s := "last reading at " + g.clock(g.gapA)
		if g.gapA >= g.to-int64(endMargin/time.Second) {
			s += ", before sunrise at " + g.clock(g.sunUp+59)
		}
		return s
	}
	return ""
}

func (g *gapFinder) clock(t int64) string { return time.Unix(t, 0).In(g.loc).Format("15:04") }

// stretch is a time in which a thermometer was read, in seconds since 1970.
type stretch struct{ from, to int64 }

func compareStretches(a, b stretch) int {
	return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
}

// spansOf joins stretches, in order of their beginning, to the parts of a night that
// were read: what lies no more than MaxGap apart is one part. A lone reading is a part
// of a second, since a part has a length.
func spansOf(all []stretch, loc *time.Location) []fields.Span {
	var out []fields.Span
	put := func(s stretch) {
		out = append(out, fields.Span{From: time.Unix(s.from, 0).In(loc), To: time.Unix(max(s.to, s.from+1), 0).In(loc)})
	}
	for i := 0; i < len(all); {
		s := all[i]
		for i++; i < len(all) && all[i].from-s.to <= int64(MaxGap/time.Second); i++ {
			s.to = max(s.to, all[i].to)
		}
		put(s)
	}
	return out
}

// JoinParts adds, for each night of one place that no reading covers but all of them
// together do, a night that covers, with the lowest of their lows. The rest stays as
// it is, in order.
func JoinParts(nights []NightLow, loc *time.Location, farm *Place) []NightLow {
	byNight := map[fields.Date][]int{}
	for i := range nights {
		byNight[nights[i].Night] = append(byNight[nights[i].Night], i)
	}
	out := make([]NightLow, 0, len(nights))
	for i := range nights {
		out = append(out, nights[i])
		group := byNight[nights[i].Night]
		if len(group) < 2 || group[len(group)-1] != i {
			continue
		}
		sum := NightLow{Night: nights[i].Night, Source: nights[i].Source}
		for _, k := range group {
			n := &nights[k]
			sum.Covers = sum.Covers || n.Covers
			sum.Spans = append(sum.Spans, n.Spans...)
			if n.LowC != nil && (sum.LowC == nil || *n.LowC < *sum.LowC) {
				sum.LowC = n.LowC
			}
			if n.BelowZero != nil && *n.BelowZero {
				sum.BelowZero = n.BelowZero
			}
		}
		if !sum.Covers && Covered(sum.Night, sum.Spans, loc, farm) {
			sum.Covers, sum.Spans = true, nil
			out = append(out, sum)
		}
	}
	return out
}
