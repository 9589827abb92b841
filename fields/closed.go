package fields

import (
	"bytes"
	"math"
	"slices"
	"strconv"
)

// What of closed seasons still counts (§3.11 of the contract): the one place that says which
// entries cannot change any answer on a day or later, so that a journal of decades need not be
// decoded and folded for the answers of today. In doubt an entry is kept. Only nights read,
// frosts, plain walks, nitrogen and rain, and what was done (closeddone.go), can be left out;
// every other kind is always kept.

const (
	// lookBack is two of the longest waits. Whatever looks back farther, as for a season's
	// nitrogen or for weeds, does not look behind the sowing anew.
	lookBack = 2*longestWait + 10
	lotBack  = 80 // before its cut a lot asks for the clock of the 14 days before, and the wait before them
	// longestWait is the most that an own number of the farm may be for these to hold: each is
	// some published days and one wait.
	longestWait = 60
	slack       = longestWait + 4 // a walk some days before a night may bear it
	// growthLimit is stand.growth.limit, cm a day: a height above it is printed for good (§5.10).
	growthLimit = 10
)

// Sieve finds the entries of a journal that can be left out. It is shown all of them, in the
// order of the journal.
type Sieve struct {
	day      Date
	recorded string // what was written down from this date on is kept
	keep     []bool // of each entry
	whole    bool   // nothing is left out
	batches  bool   // some import was struck
	struck   map[string]bool
	places   []sievePlace
	at       map[string]int // index of a place
	held     []heldEntry
	lots     []sieveLot
	lotAt    map[string]int32 // index of a lot
	plans    map[string]*plan // of the kinds that can be left out
	text     string           // the last date that was read, and what it is
	date     Date
	ends     func(plant string) bool
	stock    []told
	fed      fedStock
}

// heldEntry is an entry that may be left out, once for each of its places.
type heldEntry struct {
	n, place int32
	date     Date
}

// sievePlace is a paddock or a station.
type sievePlace struct {
	keeps    bool // nothing of it is left out
	named    bool // a station that a paddock names
	from     Date // what is dated earlier is left out: nothing of a paddock that keeps all
	read     Date // the first day on which an answer may read the land
	before   Date // a cut before that of a lot, since which a lot asks for stress
	sown     []mark
	walks    []mark
	frosts   []mark
	cuts     []mark
	stations []mark
	acid     Date   // the first HCN result
	told     []told // its sowings and cuts, and what was found growing or gone
	cutsTell bool   // all of its cuts are kept
	weighed  []mark // walks that say how much feed stands
	lots     []mark // that are made of it
	done     Date   // what was cut or grazed earlier is left out
	lot      Date   // the first lot, if no cut is dated before from
}

// mark is what one entry says of a place.
type mark struct {
	n     int32 // which entry
	date  Date
	cm    float32 // of a walk: its shortest growth
	batch bool    // an import brought it
	is    bool    // sown anew; a walk that found growth; a cut for swath
	chop  bool
	of    int32 // of a cut its lot, of a paddock its station, by index
}

type sieveLot struct {
	from []string
	days []Date
	used []mark
	last Date // of anything else said of it
	kept bool
	told []told
	over bool // nothing is left of it
}

// NewSieve makes a sieve of n entries for answers on a day of any zone or later; now is that
// moment's date in UTC. Ends reports a plant, as written, that is known to go with its stand
// (§5.2); nil knows none.
func NewSieve(now Date, n int, ends func(plant string) bool) *Sieve {
	s := &Sieve{
		ends: ends,
		day:  now - 1, recorded: (now - 2).String(), keep: make([]bool, n), held: make([]heldEntry, 0, n),
		plans:  map[string]*plan{},
		struck: map[string]bool{}, at: map[string]int{}, lotAt: map[string]int32{},
	}
	for _, b := range []Body{&Reading{}, &Walk{}, &Frost{}, &Nitrogen{}, &Rain{}} {
		s.plans[string(KindOf(b))] = planOf(b)
	}
	s.lot("") // the index 0, of cuts that name none
	return s
}

// LeavesClosed reports an entry that can be added, on a day, to what a Sieve of that day kept:
// it tells of late, and of nothing that decides what is closed.
func LeavesClosed(e *Entry, day Date) bool {
	from := day - longestWait
	switch b := e.Body.(type) {
	case *Frost:
		return b.Night >= from
	case *Reading:
		return b.Night >= from
	case *Forecast:
		return b.Night >= from
	case *NoFrost:
		return b.From >= from
	case *Walk:
		return e.On >= from && (b.DamageNight == NoDate || b.DamageNight >= from)
	case *Grazed: // it may be asked what held that day
		return e.On >= day
	case *Rain, *Nitrogen, *Hail, *Trampled, *Sprayed, *Drought, *Done, *Read:
		return e.On >= from
	}
	return false
}

// place is the index of a paddock, or of a station whose name begins with a zero byte.
func (s *Sieve) place(id []byte) int {
	i, ok := s.at[string(id)]
	if !ok {
		i = len(s.places)
		s.at[string(id)] = i
		s.places = append(s.places, sievePlace{read: s.day - 1, before: math.MaxInt32})
	}
	return i
}

func (s *Sieve) land(id string) *sievePlace { return &s.places[s.place([]byte(id))] }

// Take is shown the i-th entry as it is stored and reports whether it is kept whatever comes:
// then it is to be decoded and shown to Know. The others may be left out.
func (s *Sieve) Take(i int, stored []byte) (know bool) {
	k, ok := s.sketch(stored)
	if !ok {
		s.keep[i] = true
		return true
	}
	n := int32(i)
	hold := func(place int) { s.held = append(s.held, heldEntry{n, int32(place), k.date}) }
	m := mark{n: n, batch: k.batch, date: k.date, is: k.green, cm: float32(k.cm)}
	for p := range bytes.SplitSeq(k.paddocks, []byte{','}) {
		if len(p) < 3 {
			continue
		}
		i := s.place(p[1 : len(p)-1])
		hold(i)
		switch k.kind {
		case KindWalk:
			s.places[i].walks = append(s.places[i].walks, m)
		case KindFrost:
			s.places[i].frosts = append(s.places[i].frosts, m)
		}
	}
	if len(k.station) > 0 {
		i := s.place(append([]byte{0}, k.station...))
		hold(i)
		if k.froze {
			s.places[i].frosts = append(s.places[i].frosts, m)
		}
	}
	return false
}

// Know takes in the i-th entry.
func (s *Sieve) Know(i int, e *Entry) {
	m := mark{n: int32(i), batch: e.Batch != "", date: e.On}
	if l := e.Lot(); l != "" {
		s.knowLot(l, e, m)
	}
	s.tell(e, m)
	switch b := e.Body.(type) {
	case *Strike:
		s.struck[b.Entry] = true
		s.batches = s.batches || b.Batch != ""
	case *Override:
		s.whole = s.whole || b.Rule == "stand.growth.limit" || b.Value.Number != nil && *b.Value.Number > longestWait
	case *Split:
		s.reshaped(b.From, b.Into)
	case *Join:
		s.reshaped(b.From, b.Into)
	case *PaddockFacts:
		if b.Station != "" {
			m.of = int32(s.place([]byte("\x00" + b.Station)))
			p := s.land(b.Paddock)
			p.stations = append(p.stations, m)
		}
	case *Lab:
		if p := s.land(b.Paddock); b.Analyte == AnalyteHCN && (p.acid == NoDate || b.SampledOn < p.acid) {
			p.acid = b.SampledOn
		}
	case *Vet:
		if b.Advice == AdviceMayGraze && b.Until >= s.day-2 {
			s.land(b.Paddock).keeps = true
		}
	default:
		s.knowGrowth(e, m)
	}
}

// knowGrowth takes in what was done to a growth or found of it. Where its day is not said as a
// date, it marks none or keeps the land.
func (s *Sieve) knowGrowth(e *Entry, m mark) {
	switch b := e.Body.(type) {
	case *Sown:
		m.is = b.NewStand != nil && *b.NewStand
		p := s.land(b.Paddock)
		p.sown, p.keeps = append(p.sown, m), p.keeps || e.On == NoDate
	case *Walk:
		m.is = b.Killed == KilledNone || b.Killed == KilledPart
		if b.ShortestCM != nil {
			m.cm = float32(*b.ShortestCM)
		}
		if p := s.land(b.Paddock); b.Part != PartSwath && e.On != NoDate {
			p.walks = append(p.walks, m)
		}
	case *Frost:
		m.date = b.Night
		for _, id := range b.Paddocks {
			if p := s.land(id); b.EndedAt.IsZero() {
				p.frosts = append(p.frosts, m)
			}
		}
	case *Cut:
		m.is, m.chop, m.of = b.Use == CutSwath, b.Use == CutGreenChop, s.lot(b.Lot)
		p := s.land(b.Paddock)
		p.cuts, p.keeps = append(p.cuts, m), p.keeps || e.On == NoDate
		if b.Lot != "" {
			s.lots[m.of].from = append(s.lots[m.of].from, b.Paddock)
		}
	}
}

// reshaped keeps all of land that was split or joined, or made so.
func (s *Sieve) reshaped(lists ...[]string) {
	for _, id := range slices.Concat(lists...) {
		s.land(id).keeps = true
	}
}

// lot is the index of a lot.
func (s *Sieve) lot(id string) int32 {
	i, ok := s.lotAt[id]
	if !ok {
		i = int32(len(s.lots))
		s.lotAt[id] = i
		s.lots = append(s.lots, sieveLot{})
	}
	return i
}

func (s *Sieve) knowLot(id string, e *Entry, m mark) {
	l := &s.lots[s.lot(id)]
	l.told = append(l.told, told{m, e})
	switch b := e.Body.(type) {
	case *UsedUp:
		l.used = append(l.used, m)
		return
	case *LotFacts:
		l.from = append(l.from, b.From...)
		for _, d := range []Date{b.MadeOn, b.CutOn} {
			if d != NoDate {
				l.days = append(l.days, d)
			}
		}
		l.last = max(l.last, b.MadeOn)
	case *Incident, *Vet:
		l.kept = true
	case *Fed:
		l.last = max(l.last, b.From, b.To)
	case *Lab:
		l.last = max(l.last, b.SampledOn)
	default:
		l.last = max(l.last, e.On)
		l.kept = l.kept || e.On == NoDate
	}
}

// Keeps tells of each entry shown whether it is to be kept; id is its id.
func (s *Sieve) Keeps(id func(n int) []byte) []bool {
	struck := func(n int32) bool { return len(s.struck) > 0 && s.struck[string(id(int(n)))] }
	counts := func(m *mark) bool { return !(m.batch && s.batches) && !struck(m.n) }
	for i := range s.places {
		p := &s.places[i]
		for _, of := range []*[]mark{&p.sown, &p.cuts, &p.stations} {
			slices.SortFunc(*of, func(a, b mark) int { return int(a.date - b.date) })
		}
	}
	for i := range s.lots {
		s.closeLot(int32(i), counts)
	}
	for i := range s.places {
		p := &s.places[i]
		s.closePlace(p, counts)
		for _, m := range p.walks { // a doubted height is printed on every list
			if sown := p.lastBefore(p.sown, m.date); sown != NoDate && m.cm > growthLimit*float32(m.date-sown) {
				s.keep[m.n] = true
			}
		}
	}
	for i := range s.places {
		p := &s.places[i]
		for _, m := range p.stations { // one that no paddock names keeps all
			at := &s.places[m.of]
			if !at.named {
				at.named, at.keeps, at.from = true, false, p.from
			}
			at.keeps, at.from = at.keeps || p.keeps, min(at.from, p.from)
		}
	}
	for _, x := range s.held {
		p := &s.places[x.place]
		s.keep[x.n] = s.keep[x.n] || s.whole || p.keeps || x.date >= p.from
	}
	if !s.whole {
		s.closeDone(counts, struck)
	}
	return s.keep
}

// lastBefore is the date of the last of some marks, in order of date, before a day.
func (p *sievePlace) lastBefore(ms []mark, d Date) Date {
	for i := len(ms) - 1; i >= 0; i-- {
		if ms[i].date < d {
			return ms[i].date
		}
	}
	return NoDate
}

// closeLot has the land of a lot of which something may be left read as of its cut, and of the
// cut before that one.
func (s *Sieve) closeLot(id int32, counts func(*mark) bool) {
	l := &s.lots[id]
	for i := range l.used {
		if m := &l.used[i]; counts(m) && m.date > l.last && m.date < s.day-2 && !l.kept {
			l.over = true
			return
		}
	}
	// Where an entry was struck, or may be, the earliest cut that it may be counts.
	before := func(p *sievePlace, d Date) Date {
		last := NoDate
		for i := range p.cuts {
			if m := &p.cuts[i]; !m.chop && m.date < d && counts(m) {
				last = m.date
			}
		}
		return last
	}
	first := s.day
	for _, d := range l.days {
		first = min(first, d)
	}
	for _, from := range l.from {
		p := s.land(from)
		for _, m := range p.cuts {
			if m.of == id {
				first = min(first, m.date)
			}
		}
		for _, d := range l.days {
			if last := before(p, d+1); last != NoDate {
				first = min(first, last)
			}
		}
	}
	for _, from := range l.from {
		p := s.land(from)
		p.read = min(p.read, first-lotBack)
		last := before(p, first)
		p.before = min(p.before, last)
		p.keeps = p.keeps || last == NoDate // since it was sown, whenever that was
	}
}

// closePlace finds the day before which nothing of a paddock counts.
func (s *Sieve) closePlace(p *sievePlace, counts func(*mark) bool) {
	if p.keeps {
		return
	}
	last := func(ms []mark, upTo Date, is func(*mark) bool) (d Date) {
		for i := range ms {
			if m := &ms[i]; m.date > d && m.date <= upTo && is(m) && counts(m) {
				d = m.date
			}
		}
		return d
	}
	every := func(*mark) bool { return true }
	is := func(m *mark) bool { return m.is }
	if swath := last(p.cuts, s.day+2, is); swath != NoDate && swath >= last(p.sown, s.day+2, every) {
		p.read = min(p.read, swath) // it may lie there still
	}
	anew := last(p.sown, p.read, is)
	green := last(p.walks, p.read, is)
	frost := max(last(p.frosts, green, every), last(s.stationFrosts(p, counts), green, every))
	if anew == NoDate || green == NoDate || frost == NoDate {
		p.keeps = true
		return
	}
	p.from = min(anew, frost, p.read-lookBack, p.before)
	if p.acid != NoDate {
		p.from = min(p.from, p.acid)
	}
	cut := last(p.cuts, p.read, func(m *mark) bool { return !m.chop })
	if tall := last(p.walks, p.read, func(m *mark) bool { return m.cm > 0 }); cut != NoDate && tall < max(cut+1, p.from) {
		p.from = min(p.from, cut) // whether there is anything to cut
	}
	p.from -= slack
}

// stationFrosts are the frosts of the one station that a paddock ever named.
func (s *Sieve) stationFrosts(p *sievePlace, counts func(*mark) bool) []mark {
	for i := range p.stations {
		if m := &p.stations[i]; m.of != p.stations[0].of || !counts(m) {
			return nil
		}
	}
	if len(p.stations) == 0 {
		return nil
	}
	return s.places[p.stations[0].of].frosts
}

// sketch is what a stored entry that may be left out says of itself.
type sketch struct {
	kind     Kind
	date     Date
	paddocks []byte // in quotes, with commas between
	station  []byte
	green    bool    // a walk that found growth
	froze    bool    // a reading at or below 0 °C
	cm       float64 // of a walk: the shortest growth
	batch    bool
}

var (
	beginsID   = []byte(`{"id":"`)
	beginsKind = []byte(`","kind":"`)
	tail       = []string{"on", "at", "note", "batch"}
)

// sketch cuts an entry in the form of Encode. It is false for one that is always kept: of
// another kind, of another form, with a field that this program does not know, written
// down of late.
func (s *Sieve) sketch(text []byte) (k sketch, ok bool) {
	const kindAt = 7 + 26 + 10
	if len(text) < kindAt || !bytes.HasPrefix(text, beginsID) || !bytes.HasPrefix(text[kindAt-10:], beginsKind) {
		return k, false
	}
	n := bytes.IndexByte(text[kindAt:], '"')
	if n < 0 {
		return k, false
	}
	p := s.plans[string(text[kindAt:kindAt+n])]
	if p == nil {
		return k, false
	}
	k.kind = p.kind
	if bytes.IndexByte(text, '\\') >= 0 { // then every quote begins or ends a text
		return k, false
	}
	x := members{text: text, at: kindAt + n + 1}
	if name, value := x.next(); string(name) != "recorded" || len(value) < 12 || string(value[1:11]) >= s.recorded {
		return k, false
	}
	if name, _ := x.next(); string(name) != "by" {
		return k, false
	}
	i := 0 // fields come in the order of the plan, then the last ones of every entry
	for {
		name, value := x.next()
		if name == nil {
			return k, x.ended && k.date != NoDate
		}
		for i < len(p.fields) && p.fields[i].name != string(name) {
			i++
		}
		if i == len(p.fields) && !slices.Contains(tail, string(name)) || !s.read(&k, name, value) {
			return k, false
		}
	}
}

// read takes in a field; it is false if the entry is always kept for it.
func (s *Sieve) read(k *sketch, name, value []byte) bool {
	switch string(name) {
	case "night":
		k.date = s.dateOf(value)
		return k.date != NoDate
	case "on": // of a kind that has a day of its own it says nothing
		if k.date == NoDate {
			k.date = s.dateOf(value)
		}
		return k.date != NoDate
	case "paddock", "paddocks":
		k.paddocks = bytes.Trim(value, "[]")
	case "batch":
		k.batch = true
	case "station":
		k.station = bytes.Trim(value, `"`)
	case "low_c":
		c, err := strconv.ParseFloat(string(value), 64)
		k.froze = k.froze || err == nil && c <= 0
	case "below_zero":
		k.froze = k.froze || string(value) == "true"
	case "shortest_cm":
		c, err := strconv.ParseFloat(string(value), 64)
		k.cm = c
		return err == nil
	case "killed":
		k.green = string(value) == `"none"`
		return k.green || string(value) == `"unknown"`
	case "frost_damage":
		return string(value) == `"none"` || string(value) == `"unknown"`
	case "ended_at", "part", "damage_night", "shoots_cm", "alive", "absent", "wilted", "kg_dm_ha":
		return false
	}
	return true
}

// dateOf reads a date in quotes; many in a row are the same.
func (s *Sieve) dateOf(value []byte) Date {
	if len(value) != 12 {
		return NoDate
	}
	if string(value[1:11]) != s.text {
		s.text = string(value[1:11])
		s.date, _ = ParseISODate(s.text)
	}
	return s.date
}

// members cuts the fields of a JSON object without escapes and white space, one after the other.
type members struct {
	text  []byte
	at    int  // of the comma before the next one
	ended bool // at the end of the object, which is that of the text
}

// next returns a field's name and value, nil at the end or where the text has another form.
func (x *members) next() (name, value []byte) {
	t := x.text[min(x.at, len(x.text)):]
	if string(t) == "}" {
		x.ended = true
		return nil, nil
	}
	if len(t) < 4 || t[0] != ',' || t[1] != '"' {
		return nil, nil
	}
	n := bytes.IndexByte(t[2:], '"')
	if n < 0 || 4+n >= len(t) || t[3+n] != ':' {
		return nil, nil
	}
	name, value = t[2:2+n], t[4+n:]
	end := valueLen(value)
	if end < 0 {
		return nil, nil
	}
	x.at += 4 + n + end
	return name, value[:end]
}

// valueLen is the length of the value that a text without escapes begins with, -1 if it does
// not end.
func valueLen(t []byte) int {
	depth := 0
	for i := 0; i < len(t); i++ {
		switch t[i] {
		case '"':
			n := bytes.IndexByte(t[i+1:], '"')
			if n < 0 {
				return -1
			}
			if i += n + 1; depth == 0 {
				return i + 1
			}
		case '[', '{':
			depth++
		case ']', '}':
			if depth == 0 {
				return i
			}
			if depth--; depth == 0 {
				return i + 1
			}
		case ',':
			if depth == 0 {
				return i
			}
		}
	}
	return -1
}
