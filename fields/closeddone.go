package fields

import (
	"math"
	"slices"
	"time"
)

// What was done in closed seasons (§3.11 of the contract): sowings, cuts, stays of stock and
// lots that are used up. Of each the last one of a paddock before its closed season is kept,
// for it still says what stands there, since when and where stock are.

// told is an entry of a kind that is decoded before it is known whether it is kept.
type told struct {
	mark
	e *Entry
}

// fedStock is whether animals fell sick in a paddock, which stock that stood there had been fed
// (§11.9), and whether some feeding has no last day.
type fedStock struct{ sick, fed, open bool }

// tell takes in what closeDone asks about.
func (s *Sieve) tell(e *Entry, m mark) {
	t := told{m, e}
	of := func(p *sievePlace) { p.told = append(p.told, t) }
	switch b := e.Body.(type) {
	case *Sown:
		of(s.land(b.Paddock))
	case *Cut:
		of(s.land(b.Paddock))
	case *Seen:
		of(s.land(b.Paddock))
	case *Walk:
		p := s.land(b.Paddock)
		if len(b.Alive)+len(b.Absent) > 0 || b.ShortestCM != nil && (b.Part == PartSwath || e.On == NoDate) {
			of(p)
		}
		if b.KgDMHa != nil {
			m.date = e.EventDate(time.UTC) - 1
			p.weighed = append(p.weighed, m)
		}
	case *LotFacts:
		m.date = b.MadeOn
		for _, id := range b.From {
			p := s.land(id)
			p.lots = append(p.lots, m)
		}
	case *Grazed:
		s.stock = append(s.stock, t)
	case *Incident:
		s.fed.sick = s.fed.sick || b.Paddock != ""
	case *Fed:
		s.fed.fed, s.fed.open = true, s.fed.open || b.To == NoDate
	}
}

// closeDone leaves out what was done in closed seasons and decides nothing any more.
func (s *Sieve) closeDone(counts func(*mark) bool, struck func(int32) bool) {
	for i := range s.places {
		s.places[i].since(s.day, counts)
	}
	for i := range s.lots {
		switch l := &s.lots[i]; {
		case s.closedLot(l):
			for _, t := range l.told {
				s.keep[t.n] = t.e.Kind() == KindCut // closed with its paddock's
			}
		case l.over: // the day it was cut may be asked about, which a cut of any of its land may tell
			for _, id := range l.from {
				s.land(id).cutsTell = true
			}
		}
	}
	for i := range s.places {
		p := &s.places[i]
		if p.keeps || len(p.told) == 0 {
			continue
		}
		slices.SortStableFunc(p.told, func(a, b told) int { return int(a.date - b.date) })
		if p.told[0].date == NoDate { // found on a day that nobody said
			continue
		}
		s.closeSowings(p, counts)
		s.closeCuts(p, counts)
	}
	s.closeStock(counts, struck)
}

// since finds the days from which what was done is kept: what was cut and eaten since the feed
// was weighed counts, whenever that was. The nights that are read begin with the first lot or cut.
func (p *sievePlace) since(day Date, counts func(*mark) bool) {
	p.done = p.from
	if last := lastOf(p.weighed, day-2, counts); last != nil {
		p.done = min(p.done, last.date)
	}
	for i := range p.lots {
		if m := &p.lots[i]; counts(m) && (p.lot == NoDate || m.date < p.lot) {
			p.lot = m.date
		}
	}
	if lastOf(p.cuts, p.from-1, counts) != nil {
		p.lot = NoDate
	}
}

// lastOf is the last of some marks up to a day that count, nil for none.
func lastOf(ms []mark, upTo Date, counts func(*mark) bool) (last *mark) {
	for i := range ms {
		if m := &ms[i]; m.date <= upTo && (last == nil || m.date > last.date) && counts(m) {
			last = m
		}
	}
	return last
}

// closedLot reports a lot of which nothing is left, and of which nothing bears on its land or
// its herds.
func (s *Sieve) closedLot(l *sieveLot) bool {
	if !l.over {
		return false
	}
	upTo := s.day - lookBack - slack
	var first Date // the last of the days on which the nights of its land begin to be read
	for _, id := range l.from {
		p := s.land(id)
		upTo, first = min(upTo, p.from), max(first, p.lot) // of land that keeps all there is none
	}
	for i := range l.told {
		e := l.told[i].e
		if b, ok := e.Body.(*LotFacts); ok && b.MadeOn <= first {
			return false
		}
		if _, fed := e.Body.(*Fed); fed && s.fed.open { // the next feeding of the herd ends it
			return false
		}
		ofLand := e.Kind() != KindCut && e.Kind() != KindLot && len(e.Paddocks()) > 0 // a result of both
		if d := e.EventDate(time.UTC); d == NoDate || d >= upTo || ofLand {
			return false
		}
	}
	return true
}

// absentAfter is how many days behind the sowing that ended a plant's stand a walk may name it
// gone (§5.2).
const absentAfter = 7

// closeSowings leaves out the sowings before the closed season of land that was sown anew each
// time, but for what a plant's first and last record and a walk's word of it rest on (§5.2).
func (s *Sieve) closeSowings(p *sievePlace, counts func(*mark) bool) {
	var sown []told
	var found []Date  // days on which plants were found, growing or gone, or sown among others
	var absent []Date // of them those on which some were gone
	for i := range p.told {
		t := &p.told[i]
		switch b := t.e.Body.(type) {
		case *Sown:
			if b.NewStand == nil || !*b.NewStand { // it belongs to what stood there
				if t.date < p.from {
					return
				}
				found = append(found, t.date)
			}
			if counts(&t.mark) {
				sown = append(sown, *t)
			}
		case *Walk:
			if found = append(found, t.date); len(b.Absent) > 0 {
				absent = append(absent, t.date)
			}
		case *Seen:
			found = append(found, t.date)
		}
	}
	keep := make([]bool, len(sown))
	// upTo is how many sowings there are by a day.
	upTo := func(d Date) int {
		n, _ := slices.BinarySearchFunc(sown, d+1, func(t told, d Date) int { return int(t.date - d) })
		return n
	}
	around := func(from, to Date) { // what stood on one day to another
		i := max(upTo(from)-1, 0)
		for i > 0 && sown[i-1].date == sown[i].date {
			i--
		}
		for ; i < upTo(to); i++ {
			keep[i] = true
		}
	}
	for _, d := range found {
		around(d-absentAfter, d)
	}
	around(s.day-longestWait-absentAfter, s.day) // of which a walk may tell yet
	for _, m := range p.walks {                  // a doubted height is told with its sowing
		if last := p.lastBefore(p.sown, m.date); last != NoDate && m.cm > growthLimit*float32(m.date-last) {
			around(m.date-1, m.date)
		}
	}
	names := map[string]bool{}
	fresh := func(b *Sown) (is bool) { // it names a plant that may outlive its stand for the first time
		if len(b.Species) == 0 {
			is, names[""] = !names[""], true
		}
		for _, x := range b.Species {
			if !names[x.Species] && !(s.ends != nil && s.ends(x.Species)) {
				is, names[x.Species] = true, true
			}
		}
		return is
	}
	for i := range sown {
		for ; len(absent) > 0 && absent[0] <= sown[i].date; absent = absent[1:] {
			clear(names)
		}
		keep[i] = fresh(sown[i].e.Body.(*Sown)) || keep[i]
	}
	clear(names)
	gone := false
	for i := upTo(p.from-1) - 1; i >= 0; i-- {
		b := sown[i].e.Body.(*Sown)
		keep[i] = fresh(b) || keep[i]
		if !gone && (b.Ended == EndedTilled || b.Ended == EndedWinterKilled) {
			gone, keep[i] = true, true
		}
	}
	for i := range sown {
		s.keep[sown[i].n] = keep[i] || sown[i].date >= p.from
	}
}

// closeCuts leaves out the cuts before the closed season but the last one, the last of the
// whole paddock and the last for swath.
func (s *Sieve) closeCuts(p *sievePlace, counts func(*mark) bool) {
	if p.cutsTell {
		return
	}
	last, whole, swath := false, false, false
	for i := range slices.Backward(p.told) {
		t := &p.told[i]
		if b, ok := t.e.Body.(*Cut); ok && t.date < p.done && counts(&t.mark) {
			crop := b.Use != CutGreenChop
			s.keep[t.n] = !last || crop && !whole || !swath && b.Use == CutSwath
			last, whole, swath = true, whole || crop, swath || b.Use == CutSwath
		}
	}
}

// closeStock leaves out the stays that ended before the closed season of their paddock, but the
// last one and each that left it shorter than every later one. What ends a stay that is kept is
// kept, with the stay that it begins, and so on until a herd was taken out.
func (s *Sieve) closeStock(counts func(*mark) bool, struck func(int32) bool) {
	if s.fed.sick && s.fed.fed {
		return
	}
	facts := make([]Fact, 0, len(s.stock))
	at := map[string]int32{} // of an id
	for i := range s.stock {
		t := &s.stock[i]
		switch {
		case struck(t.n):
		case !counts(&t.mark), t.date == NoDate:
			return
		default:
			facts = append(facts, Fact{t.e, t.date})
			at[t.e.ID] = t.n
		}
	}
	SortFacts(facts)
	stays := staysOf(facts)
	began := map[string]int{} // by what brought the stock in
	by := map[string][]int{}  // by paddock
	for i := range stays {
		if stays[i].InID != "" {
			began[stays[i].InID] = i
		}
		by[stays[i].Paddock] = append(by[stays[i].Paddock], i)
	}
	left := map[string]*float64{} // by what ended a stay: how short it left the land
	for _, f := range facts {
		if b := f.Body.(*Grazed); b.State == MoveOut {
			left[f.ID] = b.LeftCM
		}
	}
	keep := make([]bool, len(stays))
	keeps := func(i int) {
		for !keep[i] {
			keep[i] = true
			if n, on := began[stays[i].OutID]; on {
				i = n
			}
		}
	}
	for id, of := range by {
		p := s.land(id)
		slices.SortStableFunc(of, func(a, b int) int { return int(stays[b].Out - stays[a].Out) })
		last, short := true, math.Inf(1)
		for _, i := range of { // the latest first
			x := &stays[i]
			if x.Out == NoDate || x.Out >= p.done {
				keeps(i)
				continue
			}
			cm := left[x.OutID]
			if last || cm != nil && *cm < short {
				keeps(i)
			}
			if last = false; cm != nil {
				short = min(short, *cm)
			}
		}
	}
	kept, ends := map[string]bool{}, map[string]bool{} // what stays that are kept, and any, begin and end with
	for i := range stays {
		for _, id := range []string{stays[i].InID, stays[i].OutID} {
			kept[id], ends[id] = kept[id] || keep[i], true
		}
	}
	for _, f := range facts { // one of stock that were inside already goes with their stay
		p := s.land(f.Body.(*Grazed).Paddock)
		s.keep[at[f.ID]] = kept[f.ID] || !ends[f.ID] && f.Date >= p.done
	}
}
