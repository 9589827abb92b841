package judge

import (
	"sort"
	"sync"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

type (
	date    = fields.Date
	species = hazard.Species
)

// fact is an entry that counts, with its event date, kind and paddocks.
type fact struct {
	e    *fields.Entry
	d    date
	kind fields.Kind
	on   []string
}

// reason is one answer of the plain engine.
type reason struct {
	line    hazard.Line
	flag    hazard.Flag
	through date // holds only
	event   date // the dated event a hold rests on; NoDate: none, so no may-graze softens it
	share   float64
	shared  bool
}

// Key names one answer.
type Key struct {
	Place  string // paddock or lot
	Lot    bool
	Use    hazard.Use
	Class  hazard.Class
	Hazard hazard.Hazard
}

// Cell is one answer: the flag, the last day of a hold (NoEnd for none, NoDate
// where the flag is no hold), the largest share (-1 for none decided) and the
// lines it rests on.
type Cell struct {
	Flag    hazard.Flag
	Through date
	Share   float64
	Lines   []hazard.Line
}

// Answers are all answers of one day.
type Answers map[Key]Cell

// view is what may be known on one day at one moment.
type view struct {
	book   *hazard.Rulebook
	loc    *time.Location
	on     date
	moment time.Time
	facts  []fact // everything that counts, by date; of one date in no order that matters
	lands  map[string][]*land
	read   map[date][]fact // the readings of each night
	stood  map[date]stock  // worked out once: nothing that counts can change
	first  date            // likewise: the earliest night that anything tells of, NoDate before it was asked
	kept   map[string][]string
	named  map[string]plant
	// settings are the entries of farm, paddocks, stations and herds of any date:
	// the earliest holds before its own date too.
	settings []fact
}

// Plain answers for every standing paddock and every lot on day on, with what
// was recorded by moment.
func Plain(entries []fields.Entry, on date, moment time.Time, book *hazard.Rulebook) Answers {
	if book.Later != nil {
		// A hold that is not over when the farm's own shorter wait is runs on (§13.5).
		now := *book
		now.Later = nil
		out, then := Plain(entries, on, moment, &now), Plain(entries, on, moment, book.Later)
		for k, c := range out {
			if d := then[k]; c.Flag == hazard.Hold && d.Flag == hazard.Hold && c.Through+1 >= book.LaterFrom && d.Through > c.Through {
				out[k] = d
			}
		}
		return out
	}
	v := look(entries, on, moment, book)
	out := make(Answers, 128)
	for _, id := range v.paddocks() {
		if v.gone(id) {
			continue
		}
		for _, l := range v.linesOf(id) {
			l.answer(id, out)
		}
	}
	for _, id := range v.lots() {
		if !v.usedUp(id) {
			v.answerLot(id, out)
		}
	}
	return out
}

// look gathers the entries that count: recorded by the moment, not struck,
// dated on or before the day; besides, what was seen on any date, and of the
// coming night the forecast and what had been met by the end of the day (§3.8, §4.8).
func look(entries []fields.Entry, on date, moment time.Time, book *hazard.Rulebook) *view {
	v := &view{
		book: book, on: on, moment: moment, loc: time.UTC, lands: map[string][]*land{},
		read: map[date][]fact{}, stood: map[date]stock{}, named: map[string]plant{},
		facts: make([]fact, 0, len(entries)),
	}
	known := make([]*fields.Entry, 0, len(entries))
	seen := make(map[string]bool, len(entries))
	struck := map[string]bool{}
	batches := map[string]time.Time{} // batch: when it was struck last
	for i := range entries {
		e := &entries[i]
		if e.Recorded.After(moment) || seen[e.ID] {
			continue
		}
		seen[e.ID] = true
		known = append(known, e)
		if s, ok := e.Body.(*fields.Strike); ok {
			struck[s.Entry] = true
			if s.Batch != "" && e.Recorded.After(batches[s.Batch]) {
				batches[s.Batch] = e.Recorded
			}
		}
	}
	for _, e := range known {
		if at, ok := batches[e.Batch]; ok && e.Batch != "" && !e.Recorded.After(at) {
			struck[e.ID] = true
		}
	}
	v.findZone(known, struck)
	for _, e := range known {
		_, strike := e.Body.(*fields.Strike)
		if strike || struck[e.ID] {
			continue
		}
		d := e.EventDate(v.loc)
		f := fact{e, d, e.Kind(), e.Paddocks()}
		switch e.Body.(type) {
		case *fields.Farm, *fields.PaddockFacts, *fields.StationFacts, *fields.HerdFacts:
			v.settings = append(v.settings, f)
		}
		ok := d <= on
		switch e.Body.(type) {
		case *fields.Seen:
			ok = true
		case *fields.Forecast:
			ok = d <= on+1
		case *fields.Frost, *fields.Reading:
			ok = d <= on || d == on+1 && v.localDate(e.Recorded) <= on
		}
		if ok {
			v.facts = append(v.facts, f)
		}
	}
	sort.SliceStable(v.facts, func(i, j int) bool { return v.facts[i].d < v.facts[j].d })
	for _, f := range v.facts {
		if b, ok := f.e.Body.(*fields.Reading); ok {
			v.read[b.Night] = append(v.read[b.Night], f)
		}
	}
	return v
}

// findZone takes the zone of the last farm entry dated by the day asked, else
// of the earliest (§3.5).
func (v *view) findZone(known []*fields.Entry, struck map[string]bool) {
	var best *fields.Entry
	var bestDate date
	for _, e := range known {
		f, ok := e.Body.(*fields.Farm)
		if !ok || struck[e.ID] {
			continue
		}
		loc := zoneOf(f.Zone)
		if loc == nil {
			continue
		}
		d := e.EventDate(loc)
		later := d > bestDate || d == bestDate && e.ID > best.ID
		if best != nil && bestDate > v.on { // only later ones so far: the earlier beats it
			later = d < bestDate || d == bestDate && e.ID > best.ID
		} else if best != nil && d > v.on {
			later = false
		}
		if best == nil || later {
			best, bestDate, v.loc = e, d, loc
		}
	}
}

func (v *view) localDate(t time.Time) date { return fields.DateOf(t, v.loc) }

// paddocks are all paddocks that any entry names.
func (v *view) paddocks() []string {
	set := map[string]bool{}
	for _, f := range v.facts {
		for _, p := range f.on {
			set[p] = true
		}
	}
	return sortedKeys(set)
}

var zones sync.Map // by name: to read one takes longer than to answer for a small farm

// zoneOf is the zone of a name, nil if there is none.
func zoneOf(name string) *time.Location {
	if loc, ok := zones.Load(name); ok {
		return loc.(*time.Location)
	}
	loc, err := fields.LoadZone(name)
	if err != nil {
		loc = nil
	}
	zones.Store(name, loc)
	return loc
}

// reshapes are the paddocks that a split or join ended, and those it made.
func (f fact) reshapes() (from, into []string) {
	switch b := f.e.Body.(type) {
	case *fields.Split:
		return b.From, b.Into
	case *fields.Join:
		return b.From, b.Into
	}
	return nil, nil
}

// gone reports whether a paddock was split or joined away and not made again since
// (§3.10).
func (v *view) gone(id string) bool {
	gone := false
	var last fact
	for _, f := range v.facts {
		from, into := f.reshapes()
		if !has(from, id) && !has(into, id) || last.e != nil && f.d == last.d && f.e.ID < last.e.ID {
			continue
		}
		gone, last = has(from, id), f
	}
	return gone
}

// lots are the lots that a lot entry describes (§11.1).
func (v *view) lots() []string {
	set := map[string]bool{}
	for _, f := range v.facts {
		if b, ok := f.e.Body.(*fields.LotFacts); ok {
			set[b.Lot] = true
		}
	}
	return sortedKeys(set)
}

// parents of a paddock: what it was split or joined from (§3.10).
func (v *view) parents(id string) []string {
	set := map[string]bool{}
	for _, f := range v.facts {
		if from, into := f.reshapes(); has(into, id) {
			for _, p := range from {
				set[p] = true
			}
		}
	}
	return sortedKeys(set)
}

// linesOf returns the histories of a paddock's land: one, or one per parent's
// line after a join (§3.10).
func (v *view) linesOf(id string) []*land {
	if ls, ok := v.lands[id]; ok {
		return ls
	}
	var out []*land
	for _, ids := range v.lineIDs(id, nil) {
		l := &land{
			v: v, ids: ids, nights: map[date]*night{}, evenings: map[date]*night{}, stands: map[[2]date]*stand{},
			walked: map[fields.Part][]walk{}, old: map[string]bool{}, happened: map[fields.Kind][]date{},
		}
		for _, f := range v.facts {
			for _, p := range f.on {
				if has(ids, p) {
					if v.ofSomePart(ids, p, f.d) {
						f = l.worstOf(f)
					}
					l.facts = append(l.facts, f)
					break
				}
			}
		}
		for _, f := range v.settings {
			if b, ok := f.e.Body.(*fields.PaddockFacts); ok && has(ids, b.Paddock) {
				l.settings = append(l.settings, f)
			}
		}
		out = append(out, l)
	}
	v.lands[id] = out
	return out
}

// ofSomePart: on day d the land of a paddock of a line had been split before it became the
// last of the line, so that what is said of it then is of no one part (§3.10).
func (v *view) ofSomePart(ids []string, paddock string, d date) bool {
	begin := 0
	for i, id := range ids {
		if id == paddock {
			begin = i
		}
	}
	for i := begin; i < len(ids); i++ {
		for _, f := range v.facts {
			b, ok := f.e.Body.(*fields.Split)
			if !ok || !has(b.From, ids[i]) || f.d > d {
				continue
			}
			again := v.madeAgain(ids[i], f)
			if again.e == nil || again.d > d {
				return true
			}
			// What is made of other land than all of the parts has but the name.
			for _, part := range b.Into {
				if i < len(ids)-1 && !has(shaped(again), part) {
					return true
				}
			}
		}
	}
	return false
}

// madeAgain is the first split or join after another that makes a paddock.
func (v *view) madeAgain(id string, after fact) (first fact) {
	for _, f := range v.facts {
		_, into := f.reshapes()
		before := func(a, b fact) bool { return a.d < b.d || a.d == b.d && a.e.ID < b.e.ID }
		if has(into, id) && before(after, f) && (first.e == nil || before(f, first)) {
			first = f
		}
	}
	return first
}

// shaped is what a split or join is made of.
func shaped(f fact) []string {
	if b, ok := f.e.Body.(*fields.Split); ok {
		return b.From
	}
	return f.e.Body.(*fields.Join).From
}

// worstOf is a walk or result without what is good in it (§3.10). Its heights and shoots
// stay, marked.
func (l *land) worstOf(f fact) fact {
	e := *f.e
	switch b := f.e.Body.(type) {
	case *fields.Walk:
		w := fields.Walk{
			Paddock: b.Paddock, Part: b.Part, Killed: b.Killed, FrostDamage: b.FrostDamage, DamageNight: b.DamageNight,
			ShortestCM: b.ShortestCM, Alive: b.Alive,
		}
		if b.FrostDamage == "none" {
			w.FrostDamage = ""
		}
		if len(b.Alive) == 0 {
			w.Alive = nil
		}
		if b.Dry != nil && !*b.Dry {
			w.Dry = b.Dry
		}
		if yes(b.Wilted) {
			w.Wilted = b.Wilted
		}
		if b.StressFree != nil && !*b.StressFree {
			w.StressFree = b.StressFree
		}
		if b.ShootsCM != nil && *b.ShootsCM > 0 {
			w.ShootsCM = b.ShootsCM
		}
		e.Body = &w
		l.old[e.ID] = true
	case *fields.Lab:
		r := *b
		r.Spots = nil
		if r.SampleState != "dried" {
			r.SampleState = "unknown"
		}
		e.Body = &r
	}
	f.e = &e
	return f
}

func (v *view) lineIDs(id string, above []string) [][]string {
	ps := v.parents(id)
	if len(ps) == 0 || has(above, id) {
		return [][]string{{id}}
	}
	var out [][]string
	for _, p := range ps {
		for _, ids := range v.lineIDs(p, append(above, id)) {
			out = append(out, append(append([]string{}, ids...), id))
		}
	}
	return out
}

// put merges one line's reasons into the answers: the worst holds, and of
// holds the latest (§13.1).
func put(out Answers, k Key, rs []reason) {
	c := cellOf(rs)
	if k.Hazard == hazard.Nitrate && c.Flag == hazard.Hold {
		c.Share = 0
	}
	old, ok := out[k]
	if !ok {
		out[k] = c
		return
	}
	if old.Flag > c.Flag {
		old, c = c, old
	}
	// c is the worse or equal one now.
	if old.Flag == c.Flag {
		c.Through = max(c.Through, old.Through)
	}
	c.Share = lessShare(c.Share, old.Share)
	c.Lines = append(c.Lines, old.Lines...)
	out[k] = c
}

func lessShare(a, b float64) float64 {
	if a < 0 {
		return b
	}
	if b < 0 {
		return a
	}
	return min(a, b)
}

func cellOf(rs []reason) Cell {
	c := Cell{Flag: hazard.Clear, Share: -1}
	for _, r := range rs {
		if r.flag == hazard.Hold && c.Flag < hazard.Hold {
			c.Through = r.through
		} else if r.flag == hazard.Hold {
			c.Through = max(c.Through, r.through)
		}
		c.Flag = max(c.Flag, r.flag)
		c.Lines = append(c.Lines, r.line)
		if r.shared {
			c.Share = lessShare(c.Share, r.share)
		}
	}
	return c
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
