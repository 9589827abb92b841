package fields

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Fact is an entry that counts, with its event date in the farm's zone.
type Fact struct {
	*Entry
	Date Date
}

// View says which part of the journal a History may know: entries recorded by
// KnownAt (zero: all) and dated On or earlier. KnownAt is also the moment the
// question is asked.
type View struct {
	On      Date
	KnownAt time.Time
}

// History is a fold over the entries of a journal as far as a View allows. It
// holds no clock and never changes once folded; answers derived from it do not
// depend on the order in which the entries arrived.
//
// What counts (domain: "Which entries count"): entries not struck, recorded by
// KnownAt and dated On or earlier; besides, `seen` of any date, since what was
// found later was there before, forecasts for the night after On, and frosts and
// readings of that night written down before it ended. A strike
// counts from when it was recorded, whatever day was asked about: a mistake is
// a mistake on every day.
type History struct {
	View
	Loc     *time.Location
	ZoneSet bool // a farm entry named the zone; UTC otherwise
	Farm    Farm // merged field by field

	Exchange *Exchange // with the farm's other seats; nil if this one shares nothing, or a past moment is asked about

	Facts  []Fact          // everything that counts, by date, then id
	Struck map[string]Fact // id of the struck entry -> the strike

	Paddocks []*Paddock // by id; retired ones (split or joined away) too
	Stations []*StationFacts
	Herds    []*Herd

	byPaddock map[string][]Fact
	land      map[string]*Land
	byLot     map[string][]Fact
	lots      []string          // that a lot entry describes, by id
	byStation map[string][]Fact // readings and forecasts
	readings  map[string][]ReadingFact
	forecasts map[string][]ForecastFact
	water     []WaterFact
	paddocks  map[string]*Paddock
	stations  map[string]*StationFacts
	heights   map[string][]since[float64] // of a station
	herds     map[string]*Herd
	watch     []since[[]Watch] // several only if entries of one date disagree
	noEntries []Fact           // struck or not counting: for listings only
	next      Date             // the first day on which more counts than on the day asked, NoDate for none
	supposed  *supposed        // see Suppose
	stays     []Stay
	reshapes  []reshape // in order
	staysIn   map[string][]Stay
	atFeed    map[string][]Fact // by lot: incidents of animals that had been fed it
}

// Exchange is how a seat stands with the farm's other seats.
type Exchange struct {
	Now    time.Time
	Last   time.Time // when all was exchanged, zero if nobody knows
	Unread int       // entries of others that this program cannot read
	Aside  int       // that came with another content than ours and do not count
}

// exchangeDays is how long a seat may go without the others' entries if the farm does not
// say: a page is good for its day only.
const exchangeDays = 1

// ExchangeOverdue reports that a seat has gone without the others' entries for longer than
// the farm allows.
func (h *History) ExchangeOverdue() bool {
	days := float64(exchangeDays)
	if h.Farm.ExchangeDays != nil {
		days = *h.Farm.ExchangeDays
	}
	x := h.Exchange
	return x != nil && (x.Last.IsZero() || x.Now.Sub(x.Last) > time.Duration(days*24*float64(time.Hour)))
}

// Paddock is a piece of land with its merged facts.
type Paddock struct {
	ID      string
	Name    string
	AreaHa  *float64
	Bounds  string
	Parents []string // paddocks it was split from or joined from
	Retired Date     // the day it was split or joined away, NoDate while it stands
	Known   bool     // a paddock entry names it (others may only mention it)

	settings nightSettings
	apart    []apart
}

// since is what holds from a date on; the earliest reaches back too.
type since[T any] struct {
	from Date
	is   T
}

// say notes what holds from d on, by date. Where entries of one date disagree, both
// says what counts.
func say[T any](list []since[T], d Date, is T, both func(a, b T) T) []since[T] {
	i, found := slices.BinarySearchFunc(list, d, func(s since[T], d Date) int { return int(s.from - d) })
	if found {
		list[i].is = both(list[i].is, is)
		return list
	}
	return slices.Insert(list, i, since[T]{d, is})
}

// heldOn is what holds on d, the zero value if nobody ever said.
func heldOn[T any](list []since[T], d Date) (is T) {
	for i, s := range list {
		if i == 0 || s.from <= d {
			is = s.is
		}
	}
	return is
}

// nightSettings are what the entries of a paddock say about nights; of one date the
// colder answer holds.
type nightSettings struct {
	stations []since[[]string]
	offsetC  []since[float64]
	lowLying []since[bool]
}

func (n *nightSettings) station(d Date, ids []string) { n.stations = say(n.stations, d, ids, unite) }

func (n *nightSettings) offset(d Date, c float64) {
	n.offsetC = say(n.offsetC, d, c, func(a, b float64) float64 { return min(a, b) })
}

func (n *nightSettings) low(d Date, yes bool) {
	n.lowLying = say(n.lowLying, d, yes, func(a, b bool) bool { return a || b })
}

// NightSetting is what holds for one paddock and one night.
type NightSetting struct {
	Stations []string // usually one; several if entries of one date disagree
	OffsetC  float64  // at or below 0
	LowLying bool
}

// Herd is a group of stock with its merged facts and whereabouts.
type Herd struct {
	HerdFacts
	In    string // paddock it stands in, "" if none known
	Since Date   // since when
}

// Fold builds the history of a journal as far as v allows. Entries may come in
// any order; the same id twice counts once.
func Fold(entries []Entry, v View) *History {
	h := &History{
		View: v, Loc: time.UTC, Struck: map[string]Fact{},
		byPaddock: map[string][]Fact{}, land: map[string]*Land{}, byLot: map[string][]Fact{}, byStation: map[string][]Fact{}, readings: map[string][]ReadingFact{}, forecasts: map[string][]ForecastFact{},
		paddocks: map[string]*Paddock{}, stations: map[string]*StationFacts{}, heights: map[string][]since[float64]{}, herds: map[string]*Herd{},
	}
	known := byID(entries, v.KnownAt)
	h.findZone(known)
	all := make([]Fact, 0, len(known))
	for _, e := range known {
		all = append(all, Fact{e, e.EventDate(h.Loc)})
	}
	sortByDate(all)
	for _, f := range all {
		if s, ok := f.Body.(*Strike); ok && s.Entry != "" {
			if _, twice := h.Struck[s.Entry]; !twice {
				h.Struck[s.Entry] = f
			}
		}
	}
	h.strikeBatches(all)
	var later []Fact
	h.Facts = make([]Fact, 0, len(all))
	for _, f := range all {
		if _, strike := f.Body.(*Strike); strike { // a strike of a strike has no effect
			if f.Date <= v.On {
				h.Facts = append(h.Facts, f)
			} else {
				h.comes(f.Date)
			}
			continue
		}
		if _, struck := h.Struck[f.ID]; struck {
			h.noEntries = append(h.noEntries, f)
			continue
		}
		if f.Date > v.On && f.Kind() != KindSeen && !(f.Kind() == KindForecast && f.Date == v.On+1) && !f.ofTonight(v.On, h.Loc) {
			later = append(later, f)
			h.comes(f.Date)
			continue
		}
		h.Facts = append(h.Facts, f)
	}
	for _, f := range h.Facts {
		h.take(f)
	}
	for _, f := range later {
		h.takeSetting(f)
	}
	h.finish()
	return h
}

// byID lists the entries recorded by a moment by id, each id once.
func byID(entries []Entry, knownAt time.Time) []*Entry {
	known := make([]*Entry, 0, len(entries))
	inOrder := true
	for i := range entries {
		if e := &entries[i]; knownAt.IsZero() || !e.Recorded.After(knownAt) {
			inOrder = inOrder && (len(known) == 0 || known[len(known)-1].ID < e.ID)
			known = append(known, e)
		}
	}
	if !inOrder { // a journal keeps them so
		slices.SortStableFunc(known, func(a, b *Entry) int { return strings.Compare(a.ID, b.ID) })
		known = slices.CompactFunc(known, func(a, b *Entry) bool { return a.ID == b.ID })
	}
	return known
}

// takeSetting takes what an entry dated after the day asked says of nights: the
// first such entry holds for the nights before it too, whatever day is asked.
func (h *History) takeSetting(f Fact) {
	switch b := f.Body.(type) {
	case *Farm:
		h.setWatch(f.Date, b.FrostWatch)
		if h.Farm.Lat == nil || h.Farm.Lon == nil {
			h.Farm.Lat, h.Farm.Lon = b.Lat, b.Lon
		}
	case *PaddockFacts:
		if p := h.paddocks[b.Paddock]; p != nil {
			p.set(f.Date, b)
		}
	case *StationFacts:
		h.setHeight(f.Date, b)
	}
}

// strikeBatches strikes what each struck batch brought and what was recorded by
// then; strikes among it stay.
func (h *History) strikeBatches(all []Fact) {
	batches := map[string][]Fact{}
	for _, f := range all {
		if s, ok := f.Body.(*Strike); ok && s.Batch != "" {
			batches[s.Batch] = append(batches[s.Batch], f)
		}
	}
	if len(batches) == 0 {
		return
	}
	for _, f := range all {
		if f.Batch == "" || f.Kind() == KindStrike {
			continue
		}
		for _, s := range batches[f.Batch] {
			if _, twice := h.Struck[f.ID]; !twice && !f.Recorded.After(s.Recorded) {
				h.Struck[f.ID] = s
			}
		}
	}
}

// ofTonight reports a frost or reading of the night that follows day d, written
// down while it was still d: the night begins at noon, and who sees ice in the
// evening must not wait for midnight to be heard.
func (f Fact) ofTonight(d Date, loc *time.Location) bool {
	return f.Date == d+1 && (f.Kind() == KindFrost || f.Kind() == KindReading) && DateOf(f.Recorded, loc) <= d
}

// OfTonight reports whether f tells of the night after day d and was written
// down by the end of d, farm time.
func (h *History) OfTonight(f Fact, d Date) bool { return f.ofTonight(d, h.Loc) }

// SortFacts sorts by date, then id: the only order answers may rest on.
func SortFacts(fs []Fact) {
	slices.SortFunc(fs, func(a, b Fact) int {
		if a.Date != b.Date {
			return cmp.Compare(a.Date, b.Date)
		}
		return strings.Compare(a.ID, b.ID)
	})
}

// sortByDate is SortFacts for facts that are in order of their ids: they need only be dealt
// out to their days.
func sortByDate(fs []Fact) {
	if len(fs) == 0 {
		return
	}
	first, last := fs[0].Date, fs[0].Date
	for _, f := range fs {
		first, last = min(first, f.Date), max(last, f.Date)
	}
	if int(last-first) > 100*366 { // a date that cannot be, or none
		SortFacts(fs)
		return
	}
	next := make([]int, last-first+2) // where the next fact of each day goes
	for _, f := range fs {
		next[f.Date-first+1]++
	}
	for i := range next[1:] {
		next[i+1] += next[i]
	}
	for _, f := range slices.Clone(fs) {
		fs[next[f.Date-first]] = f
		next[f.Date-first]++
	}
}

// findZone takes the zone of the last farm entry. It must be known before
// event dates are: a farm entry's own date is read in its own zone.
func (h *History) findZone(known []*Entry) {
	struck := map[string]bool{}
	batches := map[string]time.Time{} // batch -> when it was struck last
	for _, e := range known {
		if s, ok := e.Body.(*Strike); ok {
			struck[s.Entry] = true
			if s.Batch != "" && e.Recorded.After(batches[s.Batch]) {
				batches[s.Batch] = e.Recorded
			}
		}
	}
	var best *Entry
	var bestDate Date
	for _, e := range known {
		f, ok := e.Body.(*Farm)
		if !ok || struck[e.ID] {
			continue
		}
		if at, ok := batches[e.Batch]; ok && !e.Recorded.After(at) {
			continue
		}
		loc, err := LoadZone(f.Zone)
		if err != nil {
			continue
		}
		d := e.EventDate(loc)
		later := best == nil || d > bestDate || d == bestDate && e.ID > best.ID
		if h.On != NoDate && best != nil && bestDate > h.On {
			// Dated by the day asked, else the earliest, which reaches back.
			later = d <= h.On || d < bestDate || d == bestDate && e.ID > best.ID
		} else if h.On != NoDate && best != nil && d > h.On {
			later = false
		}
		if later {
			best, bestDate = e, d
			h.Loc, h.ZoneSet = loc, true
		}
	}
}

func (h *History) take(f Fact) {
	for _, p := range f.Paddocks() {
		h.byPaddock[p] = append(h.byPaddock[p], f)
		h.paddock(p)
		if h.land[p] == nil {
			h.land[p] = &Land{}
		}
		h.land[p].take(f)
	}
	if l := f.Lot(); l != "" {
		h.byLot[l] = append(h.byLot[l], f)
	}
	switch b := f.Body.(type) {
	case *Farm:
		h.mergeFarm(f.Date, b)
	case *PaddockFacts:
		h.mergePaddock(f.Date, b)
	case *Split:
		h.reshape(f.Date, b.From, b.Into)
		for _, id := range b.From {
			p := h.paddock(id)
			p.apart = append(p.apart, apart{from: f.Date, into: b.Into})
		}
	case *Join:
		h.reshape(f.Date, b.From, b.Into)
	case *StationFacts:
		h.mergeStation(f.Date, b)
	case *HerdFacts:
		h.mergeHerd(b)
	case *Reading:
		if b.Station != "" {
			h.byStation[b.Station] = append(h.byStation[b.Station], f)
			h.readings[b.Station] = append(h.readings[b.Station], ReadingFact{f, b})
		}
	case *Water:
		h.water = append(h.water, WaterFact{f, b})
	case *Forecast:
		if b.Station != "" {
			h.byStation[b.Station] = append(h.byStation[b.Station], f)
			h.forecasts[b.Station] = append(h.forecasts[b.Station], ForecastFact{f, b})
		}
	}
}

func (h *History) paddock(id string) *Paddock {
	p, ok := h.paddocks[id]
	if !ok {
		p = &Paddock{ID: id, Name: id}
		h.paddocks[id] = p
		h.Paddocks = append(h.Paddocks, p)
	}
	return p
}

func (h *History) mergeFarm(d Date, b *Farm) {
	f := &h.Farm
	setText(&f.Name, b.Name)
	setText(&f.Zone, b.Zone)
	setText(&f.Units, b.Units)
	setText(&f.NitrateTable, b.NitrateTable)
	setNum(&f.Lat, b.Lat)
	setNum(&f.Lon, b.Lon)
	setNum(&f.ElevationM, b.ElevationM)
	setNum(&f.ShareDays, b.ShareDays)
	setNum(&f.ExchangeDays, b.ExchangeDays)
	if b.Contacts != nil {
		c := Contacts{}
		if f.Contacts != nil {
			c = *f.Contacts
		}
		setText(&c.Manager, b.Contacts.Manager)
		setText(&c.Backup, b.Contacts.Backup)
		setText(&c.Vet, b.Contacts.Vet)
		f.Contacts = &c
	}
	if b.FrostWatch != nil {
		f.FrostWatch = b.FrostWatch
	}
	h.setWatch(d, b.FrostWatch)
}

func (h *History) setWatch(d Date, w *Watch) {
	if w != nil { // of one date: watch the nights of both
		h.watch = say(h.watch, d, []Watch{*w}, func(a, b []Watch) []Watch { return slices.Concat(a, b) })
	}
}

func (h *History) mergePaddock(d Date, b *PaddockFacts) {
	p := h.paddock(b.Paddock)
	p.Known = true
	setText(&p.Name, b.Name)
	setText(&p.Bounds, b.Bounds)
	setNum(&p.AreaHa, b.AreaHa)
	p.set(d, b)
}

// set takes what a paddock entry says about nights from its date on.
func (p *Paddock) set(d Date, b *PaddockFacts) {
	if b.Station != "" {
		p.settings.station(d, []string{b.Station})
	}
	if b.OffsetC != nil {
		p.settings.offset(d, *b.OffsetC)
	}
	if b.LowLying != nil {
		p.settings.low(d, *b.LowLying)
	}
}

func (h *History) reshape(d Date, from, into []string) {
	h.reshapes = append(h.reshapes, reshape{d, from, into})
	for _, id := range from {
		p := h.paddock(id)
		if p.Retired == NoDate {
			p.Retired = d
		}
	}
	for _, id := range into {
		p := h.paddock(id)
		p.Retired = NoDate // fences come and go: an old name may stand again
		p.standsAgain(d, from)
		for _, f := range from {
			if !slices.Contains(p.Parents, f) {
				p.Parents = append(p.Parents, f)
			}
		}
	}
}

func (h *History) mergeStation(d Date, b *StationFacts) {
	s, ok := h.stations[b.Station]
	if !ok {
		s = &StationFacts{Station: b.Station}
		h.stations[b.Station] = s
		h.Stations = append(h.Stations, s)
	}
	setText(&s.Name, b.Name)
	setNum(&s.Lat, b.Lat)
	setNum(&s.Lon, b.Lon)
	setNum(&s.ElevationM, b.ElevationM)
	setNum(&s.HeightM, b.HeightM)
	h.setHeight(d, b)
}

func (h *History) setHeight(d Date, b *StationFacts) {
	if b.HeightM != nil {
		h.heights[b.Station] = say(h.heights[b.Station], d, *b.HeightM, func(a, b float64) float64 { return max(a, b) })
	}
}

// StationHeight is the height, m above ground, at which a station's thermometer
// hung in the night of d: what its last entry dated by then says, the earliest
// reaching back; of one date the larger. ok is false if nobody said.
func (h *History) StationHeight(station string, d Date) (m float64, ok bool) {
	return heldOn(h.heights[station], d), len(h.heights[station]) > 0
}

func (h *History) mergeHerd(b *HerdFacts) {
	g, ok := h.herds[b.Herd]
	if !ok {
		g = &Herd{HerdFacts: HerdFacts{Herd: b.Herd}}
		h.herds[b.Herd] = g
		h.Herds = append(h.Herds, g)
	}
	if len(b.Classes) > 0 {
		g.Classes = b.Classes
	}
	setNum(&g.Head, b.Head)
	setNum(&g.WeightKg, b.WeightKg)
	setNum(&g.IntakePctBW, b.IntakePctBW)
}

func (h *History) finish() {
	slices.SortFunc(h.Paddocks, func(a, b *Paddock) int { return CompareNames(a.ID, b.ID) })
	slices.SortFunc(h.Stations, func(a, b *StationFacts) int { return CompareNames(a.Station, b.Station) })
	slices.SortFunc(h.Herds, func(a, b *Herd) int { return CompareNames(a.HerdFacts.Herd, b.HerdFacts.Herd) })
	for id, fs := range h.byLot {
		if slices.ContainsFunc(fs, func(f Fact) bool { return f.Kind() == KindLot }) {
			h.lots = append(h.lots, id)
		}
	}
	slices.SortFunc(h.lots, CompareNames)
	h.stays, h.staysIn = staysOf(h.Facts), map[string][]Stay{}
	for _, s := range h.stays {
		h.staysIn[s.Paddock] = append(h.staysIn[s.Paddock], s)
	}
	h.findAtFeed()
	for _, g := range h.Herds {
		for _, s := range h.stays {
			if s.Herd == g.Herd && s.Out == NoDate {
				g.In, g.Since = s.Paddock, s.In
			}
		}
	}
}

func setText(dst *string, v string) {
	if v != "" {
		*dst = v
	}
}

func setNum(dst **float64, v *float64) {
	if v != nil {
		*dst = v
	}
}

// Paddock returns the paddock with the id, or nil.
func (h *History) Paddock(id string) *Paddock { return h.paddocks[id] }

// Station returns the station with the id, or nil.
func (h *History) Station(id string) *StationFacts { return h.stations[id] }

// Herd returns the herd with the id, or nil.
func (h *History) Herd(id string) *Herd { return h.herds[id] }

// OnFile returns what entries of a kind that sets something up say together of the
// thing with that id as of On; of the farm whatever the id. It is nil if none does.
func (h *History) OnFile(k Kind, id string) Body {
	switch k {
	case KindFarm:
		if h.ZoneSet {
			return &h.Farm
		}
	case KindPaddock:
		if p := h.paddocks[id]; p != nil && p.Known {
			return h.PaddockFacts(p)
		}
	case KindStation:
		if s := h.stations[id]; s != nil {
			return s
		}
	case KindHerd:
		if g := h.herds[id]; g != nil {
			return &g.HerdFacts
		}
	case KindLot:
		if l := h.LotOf(id); l.Lot != "" {
			return &l.LotFacts
		}
	}
	return nil
}

// PaddockFacts is what a paddock is as of On in one entry. Of land joined of several pasts
// it has the coldest offset, is low-lying if one of them is, and names a thermometer only
// if all name that one.
func (h *History) PaddockFacts(p *Paddock) *PaddockFacts {
	b := &PaddockFacts{Paddock: p.ID, Name: p.Name, AreaHa: p.AreaHa, Bounds: p.Bounds}
	var read []string
	for i, line := range h.Lines(p.ID) {
		s := h.NightSetting(line, h.On)
		switch {
		case i == 0:
			read = s.Stations
		case !slices.Equal(read, s.Stations):
			read = nil
		}
		if s.OffsetC != 0 && (b.OffsetC == nil || s.OffsetC < *b.OffsetC) {
			b.OffsetC = &s.OffsetC
		}
		if len(h.settingsOf(line).lowLying) > 0 && (b.LowLying == nil || s.LowLying) { // a no was said too
			b.LowLying = &s.LowLying
		}
	}
	if len(read) == 1 {
		b.Station = read[0]
	}
	return b
}

// OfPaddock returns the facts that name the paddock itself, in order.
func (h *History) OfPaddock(id string) []Fact {
	if s := h.supposed; s != nil && s.paddock == id {
		return s.facts
	}
	return h.byPaddock[id]
}

// OfLot returns the facts that name the lot, in order.
func (h *History) OfLot(id string) []Fact { return h.byLot[id] }

// Water returns every result of stock water, in order.
func (h *History) Water() []WaterFact { return h.water }

// OfStation returns the readings and forecasts of a station, in order.
func (h *History) OfStation(id string) []Fact { return h.byStation[id] }

// StruckFacts returns the struck entries the view knows, in order.
func (h *History) StruckFacts() []Fact { return h.noEntries }

// Standing returns the paddocks that exist on the day asked, by id.
func (h *History) Standing() []*Paddock {
	var out []*Paddock
	for _, p := range h.Paddocks {
		if p.Retired == NoDate {
			out = append(out, p)
		}
	}
	return out
}

// Lots returns the ids of the lots that a lot entry describes, in order of id.
func (h *History) Lots() []string { return slices.Clip(h.lots) }

// LotsLeft are the Lots but those that are used up.
func (h *History) LotsLeft() []string {
	return slices.DeleteFunc(slices.Clone(h.lots), func(id string) bool {
		_, gone := h.UsedUp(id)
		return gone
	})
}

// Watched reports whether the night of d lies in the frost watch that held
// then. Without any watch said, the whole year is watched.
func (h *History) Watched(d Date) bool {
	if len(h.watch) == 0 {
		return true
	}
	return slices.ContainsFunc(heldOn(h.watch, d), func(w Watch) bool { return w.Covers(d) })
}

// NarrowedWatch returns the watch in force on the day asked if it leaves part
// of the year out, else nil.
func (h *History) NarrowedWatch() *Watch {
	var narrowed *Watch
	for _, w := range heldOn(h.watch, h.On) {
		if w.WholeYear() {
			return nil
		}
		narrowed = &w
	}
	return narrowed
}

// Lines returns the lines of a paddock: each is the set of paddocks whose
// entries are one history of its land. A paddock that was never reshaped has
// one line, itself. A part of a split has its parent's lines with itself
// added; a joined paddock has the lines of each of its parents.
func (h *History) Lines(id string) [][]string { return h.lines(id, map[string]bool{}) }

func (h *History) lines(id string, under map[string]bool) [][]string {
	p := h.paddocks[id]
	if p == nil || len(p.Parents) == 0 || under[id] {
		return [][]string{{id}}
	}
	under[id] = true
	defer delete(under, id)
	var out [][]string
	for _, parent := range p.Parents {
		for _, l := range h.lines(parent, under) {
			line := append(append([]string{}, l...), id)
			out = append(out, line)
		}
	}
	return out
}

// LineFacts returns the facts that name any paddock of the line, in order,
// each once.
func (h *History) LineFacts(line []string) []Fact {
	if len(line) == 1 {
		return h.OfPaddock(line[0])
	}
	var out []Fact
	seen := map[string]bool{}
	for _, p := range line {
		for _, f := range h.OfPaddock(p) {
			if !seen[f.ID] {
				seen[f.ID] = true
				out = append(out, f)
			}
		}
	}
	SortFacts(out)
	return out
}

// NightSetting returns station, offset and low ground of a line for the night
// of d: each as said last by d in an entry of any paddock of the line; the
// earliest entry reaches back. A part of a split keeps what its parent's
// thermometer said before the split.
func (h *History) NightSetting(line []string, d Date) NightSetting { return h.NightSettings(line)(d) }

// NightSettings is NightSetting for many nights.
func (h *History) NightSettings(line []string) func(d Date) NightSetting {
	n := h.settingsOf(line)
	return func(d Date) NightSetting {
		return NightSetting{Stations: heldOn(n.stations, d), OffsetC: heldOn(n.offsetC, d), LowLying: heldOn(n.lowLying, d)}
	}
}

// settingsOf pools what the paddocks of a line say about nights.
func (h *History) settingsOf(line []string) (n nightSettings) {
	for _, id := range line {
		p := h.paddocks[id]
		if p == nil {
			continue
		}
		if len(line) == 1 {
			return p.settings
		}
		for _, s := range p.settings.stations {
			n.station(s.from, s.is)
		}
		for _, s := range p.settings.offsetC {
			n.offset(s.from, s.is)
		}
		for _, s := range p.settings.lowLying {
			n.low(s.from, s.is)
		}
	}
	return n
}

// StationsOf returns every station that any paddock of the line ever named.
func (h *History) StationsOf(line []string) (out []string) {
	for _, id := range line {
		if p := h.paddocks[id]; p != nil {
			for _, s := range p.settings.stations {
				out = unite(out, s.is)
			}
		}
	}
	return out
}

// ReadingsOf returns the station's readings of the night of d.
func (h *History) ReadingsOf(station string, d Date) []ReadingFact {
	return h.StationReadings(station, d, d)
}

// StationReadings returns the station's readings of the nights from a day to another.
func (h *History) StationReadings(station string, from, to Date) []ReadingFact {
	return Between(h.readings[station], from, to)
}

// ForecastsOf returns the station's forecasts for the night of d.
func (h *History) ForecastsOf(station string, d Date) []ForecastFact {
	return Between(h.forecasts[station], d, d)
}
