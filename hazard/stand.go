package hazard

import (
	"slices"
	"sort"
	"strings"

	"rimegate/fields"
)

// plant is one species of a stand or lot, as far as the record and the table know it.
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

// nitrate is the plant's habit; what the table does not know is unknown.
func (p *plant) nitrate() NitrateHabit {
	if p.row == nil {
		return NitrateUnknown
	}
	return p.row.Nitrate
}

// cyanogenic reports a plant of P (§5.4).
func (p *plant) cyanogenic() bool { return p.habit().Cyanogenic() }

// capped reports a plant that is caution at best while it is green (§5.4).
func (p *plant) capped() bool {
	return p.row != nil && p.cyanogenic() && (p.row.GreenCap || p.row.Habit == HabitAlways)
}

func (p *plant) unknown() bool { return p.habit() == HabitUnknown }

// harmsHorses reports a plant that harms them whatever the frost.
func (p *plant) harmsHorses() bool { return p.unknown() || p.row.Sorghum || p.row.HorsesOff }

// plants is what stands on a line of land, or what a lot holds.
type plants []plant

// any returns the first plant for which is holds, nil for none.
func (ps plants) any(is func(*plant) bool) *plant {
	for i := range ps {
		if is(&ps[i]) {
			return &ps[i]
		}
	}
	return nil
}

func (ps plants) have(name string) bool {
	return ps.any(func(p *plant) bool { return p.name == name }) != nil
}

// line answers for the first plant for which is holds.
func (ps plants) line(line Line, is func(*plant) bool) []Reason {
	p := ps.any(is)
	if p == nil {
		return nil
	}
	return say(line, Reason{Species: p.name})
}

func (ps plants) hasP() bool { return ps.any((*plant).cyanogenic) != nil }

func (ps plants) names() []string {
	var out []string
	for i := range ps {
		out = append(out, ps[i].name)
	}
	return out
}

// stand is what grows on a line of land and since when.
type stand struct {
	plants
	start     fields.Date   // nights and walks count from here; NoDate: no limit
	newStand  fields.Date   // newest sowing with new_stand, NoDate if none
	sownFirst fields.Date   // first sowing of the present stand
	anew      fields.Date   // the day it was sown anew, NoDate for land that has always stood
	starts    []fields.Date // of this and each stand before it
	unlisted  bool          // never sown and nothing seen
	minHeight float64       // cm; 0: no species has a minimum
	tallest   plant         // the one whose minimum governs
	// The last sowing and the last sighting, of any date, of a P species, those that
	// were since named absent too.
	lastPSown, lastPSeen fields.Date
	// Of the P species that have a minimum height: the latest of their first
	// records, and their last sowing. A height says nothing of a plant that has none.
	firstTall, lastTallSown fields.Date
	// gone is the last new stand whose old growth was tilled under or winter-killed.
	gone fields.Date
}

// always reports land that has always stood (§5.3).
func (s *stand) always() bool { return s.anew == fields.NoDate }

func (s *stand) unlistedLine() []Reason {
	if !s.unlisted {
		return nil
	}
	return say(LineUnlisted, Reason{})
}

// unknownPlant names a sowing that named no species.
const unknownPlant = "unknown"

// sighting is one record of a plant: a sowing, or that it was found.
type sighting struct {
	name  string
	date  fields.Date
	sown  bool
	stand int // which of the land's stands it belongs to
}

// findStand reads sowings and sightings (§5.1 to §5.3). The land's time is cut into
// stands by the sowings with new_stand.
func (g *ground) findStand() stand {
	var s stand
	starts := []fields.Date{fields.NoDate}
	for _, f := range g.Sown {
		if !yes(f.NewStand) {
			continue
		}
		if f.Date != s.newStand {
			starts = append(starts, f.Date)
		}
		s.newStand = f.Date
		if f.Ended == fields.EndedTilled || f.Ended == fields.EndedWinterKilled {
			s.gone = f.Date
		}
	}
	records := g.sightings(starts)
	s.unlisted = len(records) == 0
	starts[0] = firstStart(g.Sown, records)
	s.anew, s.starts = starts[len(starts)-1], starts
	s.start, s.sownFirst = s.anew, s.newStand
	if s.newStand == fields.NoDate && len(g.Sown) > 0 {
		s.sownFirst = g.Sown[0].Date
	}
	slices.SortStableFunc(records, func(a, b sighting) int { return strings.Compare(a.name, b.name) })
	for len(records) > 0 {
		n := 1
		for n < len(records) && records[n].name == records[0].name {
			n++
		}
		g.addPlant(&s, records[:n], starts)
		records = records[n:]
	}
	return s
}

// startedBy is the start of the land's stand of a day, NoDate if it has none by then.
func (s *stand) startedBy(d fields.Date) fields.Date {
	if at := s.starts[standOn(s.starts, d)]; at <= d {
		return at
	}
	return fields.NoDate
}

// standOn is which of the stands with the given starts stood on a day.
func standOn(starts []fields.Date, d fields.Date) int {
	return sort.Search(len(starts)-1, func(i int) bool { return starts[i+1] > d })
}

func (g *ground) sightings(starts []fields.Date) []sighting {
	var all []sighting
	add := func(written string, d fields.Date, sown bool) {
		all = append(all, sighting{g.nameOf(written), d, sown, standOn(starts, d)})
	}
	for _, f := range g.Sown {
		if len(f.Species) == 0 {
			add(unknownPlant, f.Date, true)
		}
		for _, sp := range f.Species {
			add(sp.Species, f.Date, true)
		}
	}
	for _, f := range g.Seen {
		for _, name := range f.Species {
			add(name, f.Date, false)
		}
	}
	for _, fs := range [][]fields.WalkFact{g.Walks, g.SwathWalks, g.foundAlive} {
		for _, f := range fs { // what a walk names alive was found growing
			for _, name := range f.Alive {
				add(name, f.Date, false)
			}
		}
	}
	return all
}

// addPlant adds the plant that the records speak of, unless it went with an older
// stand: cyanogenic ones stay until a walk names them absent (§5.2).
func (g *ground) addPlant(s *stand, records []sighting, starts []fields.Date) {
	p := plant{name: records[0].name, row: g.book.Species[records[0].name]}
	cyanogenic, current := p.cyanogenic(), len(starts)-1
	var sownNow fields.Date // its last sowing of the present stand
	foundNow := NoEnd       // its first record of it
	for _, r := range records {
		switch { // a sighting speaks against an earlier kill, whatever went since
		case cyanogenic && r.sown:
			s.lastPSown = max(s.lastPSown, r.date)
		case cyanogenic:
			s.lastPSeen = max(s.lastPSeen, r.date)
		}
		if r.stand < current && (!cyanogenic || g.namedAbsent(r, records, starts)) {
			continue
		}
		if p.last == fields.NoDate {
			p.first, p.start = r.date, starts[r.stand]
		}
		p.first, p.last, p.start = min(p.first, r.date), max(p.last, r.date), min(p.start, starts[r.stand])
		p.sown = p.sown || r.sown
		if r.stand == current {
			foundNow = min(foundNow, r.date)
			if r.sown {
				sownNow = max(sownNow, r.date)
			}
		}
	}
	if p.last == fields.NoDate {
		return
	}
	s.plants = append(s.plants, p)
	if cyanogenic {
		s.start = min(s.start, p.start)
	}
	if low := g.book.minimumOf(&p); low > 0 {
		if foundNow == NoEnd { // a walk that named it gone in between must not let a later height speak of less
			foundNow = p.first
		}
		if low > s.minHeight {
			s.minHeight, s.tallest = low, p
		}
		s.firstTall = max(s.firstTall, foundNow)
		s.lastTallSown = max(s.lastTallSown, sownNow) // the new stand itself voids what is older
	}
}

// firstStart is the start of the land's first stand (§5.3): the first sowing, NoDate
// where nothing was ever sown or a plant was found before it, or on its very day:
// such land has always stood, and every night known for it counts. Who tilled
// before sowing says so with new_stand.
func firstStart(sown []fields.SownFact, records []sighting) fields.Date {
	if len(sown) == 0 || slices.ContainsFunc(records, func(r sighting) bool {
		return !r.sown && r.date <= sown[0].Date && r.stand == 0
	}) {
		return fields.NoDate
	}
	return sown[0].Date
}

// namedAbsent reports that a walk, 7 days or more after the sowing that ended the stand
// of a record, named its plant gone, and that nobody found it again in the stand walked:
// volunteers need time to come up (§5.2).
func (g *ground) namedAbsent(r sighting, same []sighting, starts []fields.Date) bool {
	return slices.ContainsFunc(fields.Between(g.Walks, max(starts[r.stand+1]+7, r.date+1), g.listedBy), func(f fields.WalkFact) bool {
		return yes(f.WeedsChecked) && g.book.names(f.Absent, r.name) && !slices.ContainsFunc(same, func(o sighting) bool {
			return o.date >= f.Date && o.stand == standOn(starts, f.Date)
		})
	})
}

// nameOf returns the id the table gives a written name, or the folded
// name itself when the table does not know it.
func (b *Rulebook) nameOf(written string) string {
	if sp := b.Find(written); sp != nil {
		return sp.ID
	}
	return strings.TrimSpace(SpeciesKey(written))
}

// names reports whether a list of written names has the plant.
func (b *Rulebook) names(list []string, id string) bool {
	return slices.ContainsFunc(list, func(n string) bool { return b.nameOf(n) == id })
}

// minimumOf returns the plant's minimum height in cm, 0 if it has none (§5.5). An
// unknown plant takes the largest of the table.
func (b *Rulebook) minimumOf(p *plant) float64 {
	switch {
	case !p.cyanogenic():
		return 0
	case p.unknown():
		return b.LargestHeight()
	case p.row.Height < 0:
		return 0
	}
	return b.V[p.row.Height]
}

// LargestHeight returns the largest minimum height of any species, cm.
func (b *Rulebook) LargestHeight() float64 {
	return slices.Max(b.V[HeightSudangrass : HeightGrainSorghum+1])
}
