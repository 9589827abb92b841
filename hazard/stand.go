package hazard

import (
	"sort"
	"strings"

	"rimegate/fields"
)

// plant is one species of a stand, as far as the record and the table know it.
type plant struct {
	name  string      // id of the table, or the name as written
	row   *Species    // nil: the table does not know it
	first fields.Date // first record that still counts
	last  fields.Date // last record, sowings and sightings of any date
	start fields.Date // start of the earliest stand it belongs to
	sown  bool        // a sowing that still counts brought it
}

func (p *plant) habit() Habit {
	if p.row == nil {
		return HabitUnknown
	}
	return p.row.Habit
}

// capped reports a plant that is caution at best while it is green.
func (p *plant) capped() bool {
	return p.row != nil && p.habit().Cyanogenic() && (p.row.GreenCap || p.row.Habit == HabitAlways)
}

func (p *plant) unknown() bool { return p.habit() == HabitUnknown }

// stand is what grows on a line of land and since when.
type stand struct {
	start     fields.Date // nights and walks count from here; NoDate: no limit
	newStand  fields.Date // newest sowing with new_stand, NoDate if none
	sownFirst fields.Date // first sowing of the present stand
	anew      fields.Date // the day it was sown anew, NoDate for land that has always stood
	neverSown bool
	always    bool // it has always stood: never sown, or a plant was seen before the first sowing
	unlisted  bool // never sown and nothing seen
	plants    []plant
	minHeight float64     // cm; 0: no species has a minimum
	lastPSown fields.Date // last sowing that brought a P species
	lastPSeen fields.Date // last sighting of a P species, of any date
	// Of the P species that have a minimum height: the latest of their first
	// records, and their last sowing. A height says nothing of a plant that has none.
	firstTall, lastTallSown fields.Date
	// gone is the last new stand whose old growth was tilled under or winter-killed.
	gone fields.Date
}

func (s *stand) hasP() bool {
	for i := range s.plants {
		if s.plants[i].habit().Cyanogenic() {
			return true
		}
	}
	return false
}

func (s *stand) any(is func(*plant) bool) *plant {
	for i := range s.plants {
		if is(&s.plants[i]) {
			return &s.plants[i]
		}
	}
	return nil
}

func (s *stand) names() []string {
	out := make([]string, len(s.plants))
	for i := range s.plants {
		out[i] = s.plants[i].name
	}
	return out
}

// unknownPlant names a sowing that named no species.
const unknownPlant = "unknown"

type sighting struct {
	name    string
	date    fields.Date
	sown    bool
	segment int
}

// findStand reads sowings and sightings. The land's time is cut into stands by
// the sowings with new_stand; cyanogenic species of an older stand stay until
// a weeds-checked walk, 7 days or more after the sowing that ended their
// stand, names them absent.
func (g *ground) findStand() stand {
	var s stand
	var cutsAt []fields.Date // starts of new stands
	for _, f := range g.sown {
		if yes(f.Body.(*fields.Sown).NewStand) && (len(cutsAt) == 0 || cutsAt[len(cutsAt)-1] != f.Date) {
			cutsAt = append(cutsAt, f.Date)
		}
		if b := f.Body.(*fields.Sown); yes(b.NewStand) && (b.Ended == "tilled" || b.Ended == "winter-killed") {
			s.gone = max(s.gone, f.Date)
		}
	}
	segmentOf := func(d fields.Date) int {
		return sort.Search(len(cutsAt), func(i int) bool { return cutsAt[i] > d })
	}
	current := len(cutsAt)
	if current > 0 {
		s.newStand = cutsAt[current-1]
	}
	s.neverSown = len(g.sown) == 0

	var all []sighting
	for _, f := range g.sown {
		b := f.Body.(*fields.Sown)
		if len(b.Species) == 0 {
			all = append(all, sighting{unknownPlant, f.Date, true, segmentOf(f.Date)})
		}
		for _, sp := range b.Species {
			all = append(all, sighting{g.speciesName(sp.Species), f.Date, true, segmentOf(f.Date)})
		}
	}
	for _, f := range g.seen {
		for _, name := range f.Body.(*fields.Seen).Species {
			all = append(all, sighting{g.speciesName(name), f.Date, false, segmentOf(f.Date)})
		}
	}
	for _, fs := range [][]fields.Fact{g.walks, g.swathWalk, g.foundAlive} {
		for _, f := range fs { // what a walk names alive was found growing
			for _, name := range f.Body.(*fields.Walk).Alive {
				all = append(all, sighting{g.speciesName(name), f.Date, false, segmentOf(f.Date)})
			}
		}
	}
	s.unlisted = s.neverSown && len(all) == 0

	segStart := make([]fields.Date, len(cutsAt)+1)
	segStart[0] = firstStart(g.sown, all)
	copy(segStart[1:], cutsAt)
	s.start, s.anew = segStart[current], segStart[current]
	s.always = s.start == fields.NoDate
	if current == 0 {
		s.sownFirst = fields.NoDate
		if len(g.sown) > 0 {
			s.sownFirst = g.sown[0].Date
		}
	} else {
		s.sownFirst = s.newStand
	}

	byName := map[string][]sighting{}
	var order []string
	for _, r := range all {
		if _, ok := byName[r.name]; !ok {
			order = append(order, r.name)
		}
		byName[r.name] = append(byName[r.name], r)
	}
	sort.Strings(order)
	for _, name := range order {
		p := plant{name: name, row: g.book.Species[name]}
		present := false
		for _, r := range byName[name] {
			if r.segment < current {
				if !p.habit().Cyanogenic() || g.namedAbsent(r, byName[name], cutsAt, segmentOf) {
					continue
				}
			}
			if !present || r.date < p.first {
				p.first = r.date
			}
			if st := segStart[r.segment]; !present || st < p.start {
				p.start = st
			}
			present = true
			p.sown = p.sown || r.sown
			p.last = max(p.last, r.date)
			if p.habit().Cyanogenic() {
				if r.sown {
					s.lastPSown = max(s.lastPSown, r.date)
				} else {
					s.lastPSeen = max(s.lastPSeen, r.date)
				}
			}
		}
		if !present {
			continue
		}
		s.plants = append(s.plants, p)
		if p.habit().Cyanogenic() {
			s.start = min(s.start, p.start)
			low := g.minimumOf(&p)
			s.minHeight = max(s.minHeight, low)
			if low > 0 {
				s.firstTall = max(s.firstTall, firstFound(&p, byName[name], current))
				for _, r := range byName[name] {
					if r.sown && r.segment >= current { // the new stand itself voids what is older
						s.lastTallSown = max(s.lastTallSown, r.date)
					}
				}
			}
		}
	}
	return s
}

// firstFound is the first record of a plant: of the present stand, if it was
// found in that, else of the old one from which it lingers. A walk that named it
// gone in between must not let a later height speak of less.
func firstFound(p *plant, records []sighting, current int) fields.Date {
	var first fields.Date
	for _, r := range records {
		if r.segment >= current && (first == fields.NoDate || r.date < first) {
			first = r.date
		}
	}
	if first == fields.NoDate {
		return p.first
	}
	return first
}

// firstStart is the start of the land's first stand: the first sowing, NoDate
// where nothing was ever sown or a plant was found before it, or on its very day:
// such land has always stood, and every night known for it counts. Who tilled
// before sowing says so with new_stand.
func firstStart(sown []fields.Fact, records []sighting) fields.Date {
	if len(sown) == 0 {
		return fields.NoDate
	}
	first := sown[0].Date
	for _, r := range records {
		if !r.sown && r.date <= first && r.segment == 0 {
			return fields.NoDate
		}
	}
	return first
}

// namedAbsent reports whether the record r of an ended stand is cleared.
func (g *ground) namedAbsent(r sighting, same []sighting, cutsAt []fields.Date, segmentOf func(fields.Date) int) bool {
	ended := cutsAt[r.segment] // the sowing that ended r's stand
	for _, f := range g.walks {
		w := f.Body.(*fields.Walk)
		if f.Date > g.listedBy || f.Date < ended.Add(absentAfter) || f.Date <= r.date || !yes(w.WeedsChecked) || !g.names(w.Absent, r.name) {
			continue
		}
		again := false
		for _, o := range same {
			if o.date >= f.Date && o.segment == segmentOf(f.Date) {
				again = true // found again in the stand that was walked
			}
		}
		if !again {
			return true
		}
	}
	return false
}

// absentAfter is the days after a new sowing before a walk can say that a
// species of the old stand is gone: volunteers need time to come up.
const absentAfter = 7

// speciesName returns the id the table gives a written name, or the folded
// name itself when the table does not know it.
func (g *ground) speciesName(written string) string {
	if sp := g.book.Find(written); sp != nil {
		return sp.ID
	}
	return strings.TrimSpace(SpeciesKey(written))
}

func (g *ground) names(list []string, id string) bool {
	for _, n := range list {
		if g.speciesName(n) == id {
			return true
		}
	}
	return false
}

// minimumOf returns the plant's minimum height in cm, 0 if it has none. An
// unknown plant takes the largest of the table.
func (g *ground) minimumOf(p *plant) float64 {
	if p.unknown() {
		return g.book.LargestHeight()
	}
	if p.row.Height < 0 {
		return 0
	}
	return g.book.V[p.row.Height]
}

// LargestHeight returns the largest minimum height of any species, cm.
func (b *Rulebook) LargestHeight() float64 {
	var h float64
	for _, k := range []RuleKey{HeightSudangrass, HeightPerennial, HeightSorghumSudangrass, HeightForageSorghum, HeightJohnsongrass, HeightShattercane, HeightColumbusGrass, HeightGrainSorghum} {
		h = max(h, b.V[k])
	}
	return h
}
