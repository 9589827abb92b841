package judge

import (
	"sort"

	"rimegate/fields"
	"rimegate/hazard"
)

// plant is one species present: its row of the table, nil if unknown.
type plant struct {
	id  string
	row *species
}

// §5.4.
func (p plant) habit() hazard.Habit {
	if p.row == nil {
		return hazard.HabitUnknown
	}
	return p.row.Habit
}

// §5.4.
func (p plant) unknown() bool { return p.habit() == hazard.HabitUnknown }

func (p plant) cyanogenic() bool { return p.habit().Cyanogenic() }

func (v *view) plant(name string) plant {
	p, ok := v.named[name]
	if !ok {
		p = plant{"? " + hazard.SpeciesKey(name), nil}
		if row := v.book.Find(name); row != nil {
			p = plant{row.ID, row}
		}
		v.named[name] = p
	}
	return p
}

// stand is what grows on a line of land on day x, as far as known.
type stand struct {
	l    *land
	x    date
	know date // walks up to this day tell what grew

	plants   []plant
	sown     bool
	first    date // first sowing
	fresh    date // newest sowing with new_stand, NoDate if none
	anew     date // start of the present stand; NoDate: the land has always stood
	start    date // of clocks and damage: the old stand's while one of its cyanogenic plants lingers
	begins   date // heights and weed checks are later than this (NoDate: no limit)
	unlisted bool

	cyan   bool    // P is not empty
	height float64 // largest minimum height, 0 if no plant has one

	dead  bool
	base  date
	clean []date // clean walks after the last green walk

	deadAll  bool // everything that grew is confirmed dead, not the cyanogenic plants alone
	baseAll  date
	cleanAll []date

	clockEnd  date // last day of the frost clock, NoDate if none ever ran
	lastClock date // last night that set it
	dayEnd    date // clockEnd without a frost of the night that follows

	cut, cutOther, out date // last cut, last cut but chops, last graze-out

	gone date // last new stand after which the old growth was gone

	named []record // all namings of plants, once they were asked for
}

// upTo returns the facts dated on or before x.
func (l *land) upTo(x date) []fact {
	n := sort.Search(len(l.facts), func(i int) bool { return l.facts[i].d > x })
	return l.facts[:n:n]
}

// walks returns the walks of a part dated on or before x (§6.1).
func (l *land) walks(part fields.Part, x date) []walk {
	all, ok := l.walked[part]
	if !ok {
		for _, f := range l.facts {
			if b, ok := f.e.Body.(*fields.Walk); ok && (b.Part == part || b.Part == "" && part == "stand") {
				all = append(all, walk{f.d, b, l.old[f.e.ID]})
			}
		}
		l.walked[part] = all
	}
	n := sort.Search(len(all), func(i int) bool { return all[i].d > x })
	return all[:n:n]
}

type walk struct {
	d date
	*fields.Walk
	old bool // said under the name of land that had been split (§3.10)
}

func yes(b *bool) bool { return b != nil && *b }

func (l *land) standOn(x date) *stand { return l.standAs(x, x) }

// standAs is the stand on day x with what walks up to day know found alive:
// what was found later was there before (§5.1).
func (l *land) standAs(x, know date) *stand {
	if s, ok := l.stands[[2]date{x, know}]; ok {
		return s
	}
	s := &stand{l: l, x: x, know: know}
	l.stands[[2]date{x, know}] = s
	s.sowings()
	s.list()
	s.resets()
	s.kill()
	s.clock()
	return s
}

type record struct {
	p    plant
	d    date
	sown bool
}

// records are all namings of plants: sowings by x, sightings of any date (§5.1).
func (s *stand) records() []record {
	if s.named == nil {
		s.named = append([]record{}, s.namings()...)
	}
	return s.named
}

func (s *stand) namings() []record {
	var out []record
	for _, f := range s.l.facts {
		switch b := f.e.Body.(type) {
		case *fields.Sown:
			if f.d > s.x {
				continue
			}
			for _, sp := range b.Species {
				out = append(out, record{s.l.v.plant(sp.Species), f.d, true})
			}
			if len(b.Species) == 0 {
				out = append(out, record{plant{"?", nil}, f.d, true})
			}
		case *fields.Seen:
			for _, name := range b.Species {
				out = append(out, record{s.l.v.plant(name), f.d, false})
			}
		case *fields.Walk: // what a walk finds alive grows there
			if f.d > s.know {
				continue
			}
			for _, name := range b.Alive {
				out = append(out, record{s.l.v.plant(name), f.d, false})
			}
		}
	}
	return out
}

// §5.1, §5.2.
func (s *stand) sowings() {
	for _, f := range s.l.upTo(s.x) {
		b, ok := f.e.Body.(*fields.Sown)
		if !ok {
			continue
		}
		if !s.sown || f.d < s.first {
			s.first = f.d
		}
		s.sown = true
		if yes(b.NewStand) {
			s.fresh = max(s.fresh, f.d)
			if b.Ended == "tilled" || b.Ended == "winter-killed" {
				s.gone = max(s.gone, f.d)
			}
		}
	}
	s.begins = s.fresh
	if s.sown && s.fresh == fields.NoDate {
		s.begins = s.first
	}
}

// startOf is the start of the stand that grew after the last new_stand sowing
// dated by d: that sowing, else the first one. Land never sown, or on which a
// plant was seen before its first sowing, has always stood: NoDate (§5.3).
func (s *stand) startOf(d date) date {
	var fresh date
	for _, f := range s.l.upTo(min(s.x, d)) {
		if b, ok := f.e.Body.(*fields.Sown); ok && yes(b.NewStand) {
			fresh = max(fresh, f.d)
		}
	}
	if fresh != fields.NoDate {
		return fresh
	}
	if !s.sown {
		return fields.NoDate
	}
	for _, r := range s.records() {
		if !r.sown && r.d <= s.first { // on one day: found first
			return fields.NoDate
		}
	}
	return s.first
}

// always reports land that has always stood (§5.3).
func (s *stand) always() bool { return s.anew == fields.NoDate }

// list finds the plants present and the start of the stand (§5.1 to §5.4).
func (s *stand) list() {
	s.anew = s.startOf(s.x)
	s.start = s.anew
	rs := s.records()
	add := func(p plant) {
		for _, q := range s.plants {
			if q.id == p.id {
				return
			}
		}
		s.plants = append(s.plants, p)
	}
	for _, r := range rs {
		if r.d >= s.fresh {
			add(r.p)
		}
	}
	for _, r := range rs {
		if r.d < s.fresh && r.p.cyanogenic() && s.lingers(r, rs) {
			add(r.p)
			if d := s.startOf(r.d); d < s.start {
				s.start = d
			}
		}
	}
	s.unlisted = !s.sown && len(s.plants) == 0
	for _, p := range s.plants {
		if !p.cyanogenic() {
			continue
		}
		s.cyan = true
		if p.unknown() {
			for _, row := range s.l.v.book.Species {
				if row.Height >= 0 {
					s.height = max(s.height, s.l.value(row.Height))
				}
			}
		} else if p.row.Height >= 0 {
			s.height = max(s.height, s.l.value(p.row.Height))
		}
	}
}

// lingers reports whether a cyanogenic plant of an old stand, recorded as r,
// is still there: no weeds-checked walk has named it absent, later than its
// records and at least 7 days after the sowing that ended its stand. Records
// that belong to a stand sown after that walk speak of that stand only (§5.2).
func (s *stand) lingers(r record, rs []record) bool {
	ended := s.nextStand(r.d)
	for _, w := range s.l.walks("stand", s.x) {
		if !yes(w.WeedsChecked) || w.d <= r.d || w.d < ended+7 {
			continue
		}
		gone := false
		for _, name := range w.Absent {
			gone = gone || s.l.v.plant(name).id == r.p.id
		}
		next := s.nextStand(w.d)
		for _, z := range rs {
			if z.p.id == r.p.id && z.d >= w.d && (next == fields.NoDate || z.d < next) {
				gone = false
			}
		}
		if gone {
			return false
		}
	}
	return true
}

// nextStand is the first new_stand sowing later than d, NoDate if none.
func (s *stand) nextStand(d date) date {
	var next date
	for _, f := range s.l.upTo(s.x) {
		if b, ok := f.e.Body.(*fields.Sown); ok && yes(b.NewStand) && f.d > d && (next == fields.NoDate || f.d < next) {
			next = f.d
		}
	}
	return next
}

// §5.8.
func (s *stand) resets() {
	for _, f := range s.l.upTo(s.x) {
		if b, ok := f.e.Body.(*fields.Cut); ok {
			s.cut = max(s.cut, f.d)
			if b.Use != "green-chop" {
				s.cutOther = max(s.cutOther, f.d)
			}
		}
	}
	for _, d := range s.l.grazeOuts(s.x) {
		s.out = max(s.out, d)
	}
}

// green reports whether a walk found growth (§6.2).
func (s *stand) green(w walk) bool {
	if w.Killed == "part" || w.Killed == "none" {
		return true
	}
	if w.ShootsCM != nil && *w.ShootsCM > 0 {
		return true
	}
	if w.ShortestCM != nil && w.Killed != "all" {
		return true
	}
	for _, name := range w.Alive {
		if s.l.v.plant(name).cyanogenic() {
			return true
		}
	}
	return false
}

// speaksOfAll reports whether a walk of day d can speak of every cyanogenic
// plant (of every plant, where none is cyanogenic): none was seen after it or
// sown on or after it (§6.4).
func (s *stand) speaksOf(d date, every bool) bool {
	for _, f := range s.l.facts {
		switch b := f.e.Body.(type) {
		case *fields.Seen:
			for _, name := range b.Species {
				if f.d > d && (every || s.l.v.plant(name).cyanogenic()) {
					return false
				}
			}
		case *fields.Walk: // found alive after the day the stand is judged for
			for _, name := range b.Alive {
				if f.d > s.x && f.d <= s.know && (every || s.l.v.plant(name).cyanogenic()) {
					return false
				}
			}
		case *fields.Sown:
			if f.d > s.x || f.d < d {
				continue
			}
			if every || len(b.Species) == 0 {
				return false
			}
			for _, sp := range b.Species {
				if s.l.v.plant(sp.Species).cyanogenic() {
					return false
				}
			}
		}
	}
	return true
}

// §6.4, §6.5.
func (s *stand) kill() {
	if s.unlisted {
		return
	}
	s.clean, s.base, s.dead = s.killOf(!s.cyan)
	s.cleanAll, s.baseAll, s.deadAll = s.killOf(true)
}

// killOf confirms the death of the cyanogenic plants, or of every plant: a
// clean walk with no trigger night just before it, or two clean walks some days
// apart. The earliest base counts (§6.4).
func (s *stand) killOf(every bool) (clean []date, base date, dead bool) {
	ws := s.l.walks("stand", s.x)
	var lastGreen date
	for _, w := range ws {
		if s.green(w) {
			lastGreen = max(lastGreen, w.d)
		}
	}
	for _, w := range ws {
		if w.Killed == "all" && yes(w.Dry) && w.ShootsCM != nil && *w.ShootsCM == 0 && yes(w.WeedsChecked) &&
			!s.green(w) && w.d > lastGreen && s.speaksOf(w.d, every) {
			clean = append(clean, w.d)
		}
	}
	after := date(s.l.rule(hazard.FrostKillWalkAfter))
	for _, c := range clean {
		calm := true
		for n := c - after + 1; n <= c; n++ {
			calm = calm && !s.l.night(n).trigger
		}
		again := false
		for _, c2 := range clean {
			again = again || c2 >= c+after
		}
		if (calm || again) && (!dead || c < base) {
			dead, base = true, c
		}
	}
	if dead && s.x.Sub(latest(clean)) > 180 { // another season may have grown
		dead, base = false, fields.NoDate
	}
	return clean, base, dead
}

// clock goes through the nights from the start to the base of the kill, else
// to x (§4.9).
func (s *stand) clock() {
	if !s.cyan {
		return
	}
	to := s.x
	if s.dead {
		to = min(to, s.base)
	}
	s.clockEnd, s.lastClock = s.l.runClock(s.from(), to, fields.NoDate, fields.NoDate)
	s.dayEnd = s.clockEnd
	if !s.dead && s.x+1 >= s.from() && s.l.tonight(s.x).trigger {
		s.clockEnd, s.lastClock = s.x+1+date(s.l.rule(hazard.FrostWait)), s.x+1
	}
}

// from is the first night that can count for the stand. Of land that has
// always stood it is the first of which anything tells: none before it sets a
// clock (§5.3).
func (s *stand) from() date {
	if s.start != fields.NoDate {
		return s.start
	}
	return s.l.firstNight()
}

// firstNight is the earliest night that anything tells of.
func (l *land) firstNight() date {
	if l.v.first != fields.NoDate {
		return l.v.first
	}
	first := l.v.on + 1
	for _, f := range l.v.facts {
		switch b := f.e.Body.(type) {
		case *fields.Reading, *fields.Frost:
			first = min(first, f.d)
		case *fields.Walk:
			if b.DamageNight != fields.NoDate {
				first = min(first, b.DamageNight)
			}
		}
	}
	l.v.first = first
	return first
}

// §4.9.
func (l *land) runClock(from, to, end, last date) (date, date) {
	wait := date(l.rule(hazard.FrostWait))
	for n := from; n <= to; n++ {
		nt := l.night(n)
		if nt.trigger || nt.restarts() && end != fields.NoDate && n <= end {
			end, last = n+wait, n
		}
	}
	return end, last
}

// stay is stock in a paddock.
type stay struct {
	paddock, herd string
	in, out       date
	swathLeft     bool
}

// stock is where it stands at the end of a day, and how it left.
type stock struct{ open, outs []stay }

// stays follows the stock of the farm through all days up to x (§3.9).
func (v *view) stays(x date) (open []stay, outs []stay) {
	got, ok := v.stood[x]
	if !ok {
		got.open, got.outs = v.follow(x)
		v.stood[x] = got
	}
	return got.open, got.outs
}

func (v *view) follow(x date) (open []stay, outs []stay) {
	var days []date
	for _, f := range v.facts {
		if _, ok := f.e.Body.(*fields.Grazed); ok && f.d <= x {
			days = append(days, f.d)
		}
	}
	for len(days) > 0 {
		d := days[0]
		for _, x := range days {
			d = min(d, x)
		}
		var ins, offs []*fields.Grazed
		rest := days[:0:0]
		for _, x := range days {
			if x != d {
				rest = append(rest, x)
			}
		}
		days = rest
		for _, f := range v.facts {
			if g, ok := f.e.Body.(*fields.Grazed); ok && f.d == d {
				if g.State == "in" {
					ins = append(ins, g)
				} else {
					offs = append(offs, g)
				}
			}
		}
		leave := func(which func(stay) bool, swath bool) bool {
			found := false
			kept := open[:0:0]
			for _, s := range open {
				if which(s) {
					s.out, s.swathLeft = d, swath
					outs = append(outs, s)
					found = true
				} else {
					kept = append(kept, s)
				}
			}
			open = kept
			return found
		}
		var late []*fields.Grazed
		for _, g := range offs {
			if !leave(func(s stay) bool { return s.paddock == g.Paddock && (g.Herd == "" || s.herd == g.Herd) }, yes(g.SwathLeft)) {
				late = append(late, g)
			}
		}
		for _, g := range ins {
			inside := false
			for _, s := range open {
				if s.paddock == g.Paddock && s.herd == g.Herd {
					inside = true
				}
			}
			if inside {
				continue
			}
			if g.Herd != "" {
				leave(func(s stay) bool { return s.herd == g.Herd }, false)
			}
			open = append(open, stay{paddock: g.Paddock, herd: g.Herd, in: d})
		}
		for _, g := range late {
			if !leave(func(s stay) bool { return s.paddock == g.Paddock && (g.Herd == "" || s.herd == g.Herd) }, yes(g.SwathLeft)) {
				outs = append(outs, stay{paddock: g.Paddock, herd: g.Herd, out: d, swathLeft: yes(g.SwathLeft)})
			}
		}
	}
	return open, outs
}

// §3.9.
func (l *land) grazeOuts(x date) []date {
	_, outs := l.v.stays(l.v.on)
	var ds []date
	for _, s := range outs {
		if s.out <= x && has(l.ids, s.paddock) {
			ds = append(ds, s.out)
		}
	}
	return ds
}

// grazedOff are the days by x on which stock went out and left 20 cm or less (§5.8).
func (l *land) grazedOff(x date) []date {
	var ds []date
	for _, f := range l.upTo(x) {
		if b, ok := f.e.Body.(*fields.Grazed); ok && b.State == "out" && b.LeftCM != nil && *b.LeftCM <= 20.32 && has(l.ids, b.Paddock) {
			ds = append(ds, f.d)
		}
	}
	return ds
}

// turnIn is the earliest day on which stock still inside came in (§7.5).
func (l *land) turnIn(x date) (date, bool) {
	open, _ := l.v.stays(x)
	var first date
	found := false
	for _, s := range open {
		if has(l.ids, s.paddock) && (!found || s.in < first) {
			first, found = s.in, true
		}
	}
	return first, found
}
