package judge

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// Edit makes a history worse: it adds an entry, takes one away, or changes one.
type Edit struct {
	Kind   string
	Target string        // id of the entry taken away or changed, "" for an added one
	At     date          // the date of the entry taken away, changed or added
	Entry  *fields.Entry // what is added or what the target becomes; nil: taken away

	// may reports whether the edit makes this very history worse: some
	// worsenings depend on what else is written.
	may func([]fields.Entry) bool
	// passes reports answers the edit may change for the better: a species added
	// to a stand without any. It is told the history before the edit.
	passes func([]fields.Entry, Question, Key) bool
}

// Pass returns what Better asks: the answers of a history that the edit may
// change for the better.
func (e *Edit) Pass(es []fields.Entry, q Question) func(Key) bool {
	if e.passes == nil {
		return nil
	}
	known := map[Key]bool{} // by place
	return func(k Key) bool {
		place := Key{Place: k.Place, Lot: k.Lot}
		got, ok := known[place]
		if !ok {
			got = e.passes(es, q, place)
			known[place] = got
		}
		return got
	}
}

// Apply returns the worsened history; ok is false if the edit does not fit it.
func (e *Edit) Apply(es []fields.Entry) (out []fields.Entry, ok bool) {
	if e.may != nil && !e.may(es) {
		return nil, false
	}
	found := e.Target == ""
	for i := range es {
		if es[i].ID != e.Target {
			out = append(out, es[i])
			continue
		}
		found = true
		if e.Entry != nil {
			out = append(out, *e.Entry)
		}
	}
	if e.Target == "" {
		out = append(out, *e.Entry)
	}
	return out, found
}

// Worsenings are the kinds of edits, each a maker that returns nil where it
// finds nothing to make worse.
var Worsenings = []struct {
	Name string
	make func(*worsener) *Edit
}{
	{"add a frost", (*worsener).frost},
	{"add hail", (*worsener).hail},
	{"add a spray", (*worsener).spray},
	{"add trampling", (*worsener).trampling},
	{"add a drought start", (*worsener).drought},
	{"add nitrogen", (*worsener).nitrogen},
	{"add an incident", (*worsener).incident},
	{"add a keep-off", (*worsener).keepOff},
	{"add a forecast", (*worsener).forecast},
	{"add a species seen", (*worsener).seen},
	{"add a species sown", (*worsener).sown},
	{"add a strip or quick result", (*worsener).quick},
	{"lower a temperature", (*worsener).colder},
	{"lower a person's frost", (*worsener).colderFrost},
	{"lower a forecast", (*worsener).colderForecast},
	{"take a low away", (*worsener).lowUnsaid},
	{"a night read in part", (*worsener).partly},
	{"damage where there was none", (*worsener).hurt},
	{"a nitrogen rate unstated", (*worsener).rateUnsaid},
	{"a larger extent", (*worsener).wider},
	{"lower a shortest growth", (*worsener).shorter},
	{"shoots where there were none", (*worsener).shoots},
	{"no shoots becomes not said", (*worsener).unsaid},
	{"raise a lab value", (*worsener).higher},
	{"raise a water value", (*worsener).fouler},
	{"take away a warm reading", (*worsener).unread},
	{"take away a statement", (*worsener).unsigned},
	{"take away a good walk", (*worsener).unwalked},
}

type worsener struct {
	r    *rand.Rand
	s    *Season
	book *hazard.Rulebook
}

// Worsen returns a random edit that makes the season worse, nil if the kind
// drawn finds nothing.
func Worsen(r *rand.Rand, s *Season, book *hazard.Rulebook) *Edit {
	k := Worsenings[r.IntN(len(Worsenings))]
	e := k.make(&worsener{r, s, book})
	if e != nil {
		e.Kind = k.Name
		for i := range s.Entries {
			if s.Entries[i].ID == e.Target {
				e.At = s.Entries[i].EventDate(s.Zone)
			}
		}
		if e.Target == "" {
			e.At = e.Entry.EventDate(s.Zone)
		}
		if e.Entry != nil && len(fields.Check(e.Entry)) > 0 {
			panic("judge: " + k.Name + ": " + fields.Check(e.Entry).Error())
		}
	}
	return e
}

func (w *worsener) day() date {
	return w.s.Start - 20 + date(w.r.IntN(int(w.s.End-w.s.Start)+20))
}

func (w *worsener) add(d date, b fields.Body) *Edit {
	at := d.At(6+w.r.IntN(15), w.r.IntN(60), w.s.Zone)
	if w.r.IntN(5) == 0 {
		at = at.AddDate(0, 0, w.r.IntN(15))
	}
	e := &fields.Entry{ID: randomID(w.r), Recorded: at, By: "Ben", Body: b}
	if e.EventDate(w.s.Zone) == fields.NoDate {
		e.On = d
	}
	return &Edit{Entry: e}
}

// named returns a random paddock that the season names.
func (w *worsener) paddock() string {
	return w.place(func(e *fields.Entry) []string { return e.Paddocks() })
}

func (w *worsener) lot() string {
	return w.place(func(e *fields.Entry) []string {
		if b, ok := e.Body.(*fields.LotFacts); ok {
			return []string{b.Lot}
		}
		return nil
	})
}

func (w *worsener) station() string {
	return w.place(func(e *fields.Entry) []string {
		if b, ok := e.Body.(*fields.StationFacts); ok {
			return []string{b.Station}
		}
		return nil
	})
}

func (w *worsener) place(of func(*fields.Entry) []string) string {
	set := map[string]bool{}
	for i := range w.s.Entries {
		for _, id := range of(&w.s.Entries[i]) {
			set[id] = true
		}
	}
	ids := sortedKeys(set)
	if len(ids) == 0 {
		return ""
	}
	return ids[w.r.IntN(len(ids))]
}

// some returns a random entry for which ok holds, nil if there is none.
func (w *worsener) some(ok func(*fields.Entry) bool) *fields.Entry {
	var got []*fields.Entry
	for i := range w.s.Entries {
		if ok(&w.s.Entries[i]) {
			got = append(got, &w.s.Entries[i])
		}
	}
	if len(got) == 0 {
		return nil
	}
	return got[w.r.IntN(len(got))]
}

// change returns the edit that gives an entry another body.
func change(e *fields.Entry, b fields.Body) *Edit {
	n := *e
	n.Body = b
	return &Edit{Target: e.ID, Entry: &n}
}

func (w *worsener) frost() *Edit {
	d := w.day()
	f := &fields.Frost{Paddocks: []string{w.paddock()}, Night: d}
	if w.r.IntN(3) == 0 {
		f.Night, f.EndedAt = fields.NoDate, d.At(w.r.IntN(12), 30, w.s.Zone)
	}
	return w.add(d, f)
}

func (w *worsener) hail() *Edit {
	return w.add(w.day(), &fields.Hail{Paddocks: []string{w.paddock()}})
}

func (w *worsener) spray() *Edit {
	return w.add(w.day(), &fields.Sprayed{Paddocks: []string{w.paddock()}})
}

func (w *worsener) trampling() *Edit {
	return w.add(w.day(), &fields.Trampled{Paddocks: []string{w.paddock()}})
}

func (w *worsener) drought() *Edit {
	return w.add(w.day(), &fields.Drought{Paddocks: []string{w.paddock()}, State: "start"})
}

func (w *worsener) nitrogen() *Edit {
	return w.add(w.day(), &fields.Nitrogen{Paddocks: []string{w.paddock()}, KgNHa: num(float64(w.r.IntN(90)))})
}

func (w *worsener) incident() *Edit {
	b := &fields.Incident{Dead: num(1)}
	if w.r.IntN(3) == 0 {
		b.Lot = w.lot()
	}
	if b.Lot == "" {
		b.Paddock = w.paddock()
	}
	return w.add(w.day(), b)
}

func (w *worsener) keepOff() *Edit {
	d := w.day()
	b := &fields.Vet{Advice: "keep-off", Who: "Dr. Demo", Because: "an invented reason"}
	if w.r.IntN(3) == 0 {
		b.Lot = w.lot()
	}
	if b.Lot == "" {
		b.Paddock = w.paddock()
	}
	if w.r.IntN(2) == 0 {
		b.Until = d + date(w.r.IntN(30))
	}
	if w.r.IntN(3) == 0 {
		b.Classes = []string{hazard.Classes[w.r.IntN(6)].String()}
	}
	if w.r.IntN(3) == 0 {
		b.Uses = []string{hazard.Use(w.r.IntN(6)).String()}
	}
	return w.add(d, b)
}

func (w *worsener) forecast() *Edit {
	n := w.day()
	issued := (n - 1).At(w.r.IntN(24), 0, w.s.Zone)
	b := &fields.Forecast{Night: n, Issued: issued, LowC: num(math.Round(w.r.NormFloat64()*40) / 10)}
	if w.r.IntN(2) == 0 {
		b.Station = w.station()
	}
	if b.Station == "" {
		b.Paddock = w.paddock()
	}
	e := w.add(n, b)
	e.Entry.Recorded = issued.Add(10 * time.Minute)
	return e
}

// seen adds another species to a stand that has some: an earlier sighting of one
// that is known lets more walks speak of it.
func (w *worsener) seen() *Edit {
	p := w.paddock()
	name := weeds[w.r.IntN(len(weeds))]
	extent := []string{"", "trace", "patches", "common"}[w.r.IntN(4)]
	e := w.add(w.day(), &fields.Seen{Paddock: p, Species: []string{name}, Extent: fields.Extent(extent)})
	e.passes = w.noOther(name)
	e.may = func(es []fields.Entry) bool { return !w.found(es, name) && !w.sowed(es, name) }
	return e
}

// plants says of an edit that adds plants where it makes a history worse: another
// species, on a stand that has some.
func (w *worsener) plants(e *Edit) {
	var names []string
	switch b := e.Entry.Body.(type) {
	case *fields.Seen:
		names = b.Species
	case *fields.Sown:
		for _, s := range b.Species {
			names = append(names, s.Species)
		}
	default:
		return
	}
	e.passes = w.noOther(names...)
	e.may = func(es []fields.Entry) bool {
		return !slices.ContainsFunc(names, func(name string) bool { return w.found(es, name) || w.sowed(es, name) })
	}
}

// same reports two names of one plant.
func (w *worsener) same(a, b string) bool {
	x, y := w.book.Find(a), w.book.Find(b)
	return x != nil && y != nil && x.ID == y.ID || hazard.SpeciesKey(a) == hazard.SpeciesKey(b)
}

// found reports whether a plant was seen or found alive.
func (w *worsener) found(es []fields.Entry, name string) bool {
	is := func(other string) bool { return w.same(name, other) }
	for i := range es {
		switch b := es[i].Body.(type) {
		case *fields.Seen:
			if slices.ContainsFunc(b.Species, is) {
				return true
			}
		case *fields.Walk:
			if slices.ContainsFunc(b.Alive, is) {
				return true
			}
		}
	}
	return false
}

// sowed reports whether a plant was sown.
func (w *worsener) sowed(es []fields.Entry, name string) bool {
	for i := range es {
		if b, ok := es[i].Body.(*fields.Sown); ok {
			if slices.ContainsFunc(b.Species, func(s fields.SpeciesShare) bool { return w.same(name, s.Species) }) {
				return true
			}
		}
	}
	return false
}

// sown adds a species by a sowing, to a stand that was sown before.
func (w *worsener) sown() *Edit {
	prev := w.some(func(e *fields.Entry) bool { return e.Kind() == fields.KindSown })
	if prev == nil {
		return nil
	}
	b := prev.Body.(*fields.Sown)
	d := prev.EventDate(w.s.Zone) + date(w.r.IntN(60))
	from := [][][]string{mixes, turfs, hardies}[w.r.IntN(3)]
	mix := from[w.r.IntN(len(from))]
	e := w.add(d, &fields.Sown{Paddock: b.Paddock, Species: []fields.SpeciesShare{{Species: mix[0]}}})
	e.passes = w.noOther(mix[0])
	e.may = func(es []fields.Entry) bool { // known whenever the added one is
		known := false
		for i := range es {
			if k, ok := es[i].Body.(*fields.Strike); ok && (k.Entry == prev.ID || k.Batch != "" && k.Batch == prev.Batch) {
				return false
			}
			known = known || es[i].ID == prev.ID && !es[i].Recorded.After(e.Entry.Recorded)
		}
		return known && !w.found(es, mix[0])
	}
	return e
}

// noOther reports whether a place had no species to add one of these to, or is a lot that
// is said to hold it anyway (§14.3).
func (w *worsener) noOther(names ...string) func([]fields.Entry, Question, Key) bool {
	said := func(s string) bool {
		return slices.ContainsFunc(names, func(name string) bool { return w.same(name, s) })
	}
	return func(es []fields.Entry, q Question, k Key) bool {
		for i := range es {
			b, ok := es[i].Body.(*fields.LotFacts)
			if ok && k.Lot && b.Lot == k.Place && slices.ContainsFunc(b.Species, said) {
				return true
			}
		}
		return w.bare(es, q, k)
	}
}

// bare reports whether a place had no species to add another to on the day
// asked: none at all, or, where it was never sown or sown with perennial forbs
// alone, no perennial grass or legume: one of these makes sod of it, in which
// weeds count for less.
func (w *worsener) bare(es []fields.Entry, q Question, k Key) bool {
	v := look(es, q.On, q.Moment, w.book)
	none := func(s *stand) bool {
		if s.turf() {
			return false
		}
		annual := false
		for _, f := range s.l.upTo(s.x) {
			if b, ok := f.e.Body.(*fields.Sown); ok && f.d >= s.fresh {
				for _, sp := range b.Species {
					row := w.book.Find(sp.Species)
					annual = annual || row == nil || !row.Perennial
				}
				annual = annual || len(b.Species) == 0
			}
		}
		return !annual
	}
	if k.Lot {
		t := v.lot(k.Place)
		for _, l := range t.lands() {
			for _, s := range t.stands(l) {
				if none(s) {
					return true
				}
			}
		}
		return false
	}
	for _, l := range v.linesOf(k.Place) {
		s := l.standOn(q.On)
		if none(s) {
			return true
		}
		if sw, lies := s.swath(); lies && none(sw.before) {
			return true
		}
	}
	return false
}

func (w *worsener) quick() *Edit {
	m := &maker{r: w.r, book: w.book, s: w.s}
	d := w.day()
	b := fields.Lab{SampledOn: d}
	if w.r.IntN(3) == 0 {
		b.Lot = w.lot()
	}
	if b.Lot == "" {
		b.Paddock = w.paddock()
	}
	l := m.lab(b)
	l.Method = fields.Method(pick(m, "strip", "quick"))
	return w.add(d, l)
}

func (w *worsener) colder() *Edit {
	e := w.some(func(e *fields.Entry) bool { return e.Kind() == fields.KindReading })
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Reading)
	if b.LowC != nil {
		b.LowC = num(max(-60, math.Round((*b.LowC-w.r.Float64()*8)*10)/10))
		if *b.LowC <= 0 && b.BelowZero != nil {
			b.BelowZero = yesno(true)
		}
	} else {
		b.BelowZero = yesno(true)
	}
	return change(e, &b)
}

func (w *worsener) colderFrost() *Edit {
	e := w.some(func(e *fields.Entry) bool {
		b, ok := e.Body.(*fields.Frost)
		return ok && b.LowC != nil
	})
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Frost)
	b.LowC = num(max(-60, *b.LowC-w.r.Float64()*8))
	return change(e, &b)
}

// lowUnsaid takes the low from a frost, or from a reading that stays below zero.
func (w *worsener) lowUnsaid() *Edit {
	e := w.some(func(e *fields.Entry) bool {
		switch b := e.Body.(type) {
		case *fields.Frost:
			return b.LowC != nil
		case *fields.Reading:
			return b.LowC != nil && *b.LowC <= 0
		}
		return false
	})
	if e == nil {
		return nil
	}
	if f, ok := e.Body.(*fields.Frost); ok {
		b := *f
		b.LowC = nil
		return change(e, &b)
	}
	b := *e.Body.(*fields.Reading)
	b.LowC, b.BelowZero = nil, yesno(true)
	return change(e, &b)
}

// partly lets a night be read in part only, or in a smaller part.
func (w *worsener) partly() *Edit {
	e := w.some(func(e *fields.Entry) bool {
		b, ok := e.Body.(*fields.Reading)
		return ok && (len(b.Spans) > 0 || b.Covers == nil || *b.Covers)
	})
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Reading)
	b.Covers = yesno(false)
	switch {
	case len(b.Spans) > 1:
		b.Spans = b.Spans[:1]
	case len(b.Spans) == 1 && w.r.IntN(2) == 0:
		s := b.Spans[0]
		s.To = s.From.Add(s.To.Sub(s.From) / 2)
		b.Spans = []fields.Span{s}
	case len(b.Spans) == 1:
		b.Spans = nil
	case w.r.IntN(2) == 0:
		from := (b.Night - 1).At(12+w.r.IntN(12), 0, w.s.Zone)
		b.Spans = []fields.Span{{From: from, To: from.Add(time.Duration(1+w.r.IntN(16)) * time.Hour)}}
	}
	return change(e, &b)
}

func (w *worsener) hurt() *Edit {
	e, b := w.walk(func(b *fields.Walk) bool { return b.FrostDamage == "none" })
	if e == nil {
		return nil
	}
	b.FrostDamage = []fields.Damage{"tips", "part", "all"}[w.r.IntN(3)]
	return change(e, &b)
}

func (w *worsener) rateUnsaid() *Edit {
	e := w.some(func(e *fields.Entry) bool {
		b, ok := e.Body.(*fields.Nitrogen)
		return ok && b.KgNHa != nil
	})
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Nitrogen)
	b.KgNHa, b.RateUnknown = nil, yesno(true)
	return change(e, &b)
}

// wider makes the extent of a weed larger. Not said is no extent: it becomes
// more than any that counts beside it.
func (w *worsener) wider() *Edit {
	e := w.some(func(e *fields.Entry) bool {
		b, ok := e.Body.(*fields.Seen)
		return ok && b.Extent != "common"
	})
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Seen)
	if b.Extent == "trace" && w.r.IntN(2) == 0 {
		b.Extent = "patches"
	} else {
		b.Extent = "common"
	}
	return change(e, &b)
}

func (w *worsener) colderForecast() *Edit {
	e := w.some(func(e *fields.Entry) bool { return e.Kind() == fields.KindForecast })
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Forecast)
	b.LowC = num(max(-60, *b.LowC-w.r.Float64()*8))
	return change(e, &b)
}

func (w *worsener) walk(ok func(*fields.Walk) bool) (*fields.Entry, fields.Walk) {
	e := w.some(func(e *fields.Entry) bool {
		b, is := e.Body.(*fields.Walk)
		return is && ok(b)
	})
	if e == nil {
		return nil, fields.Walk{}
	}
	return e, *e.Body.(*fields.Walk)
}

func (w *worsener) shorter() *Edit {
	e, b := w.walk(func(b *fields.Walk) bool {
		return b.ShortestCM != nil && *b.ShortestCM > 0 && *b.ShortestCM <= hazard.TallestCM
	})
	if e == nil {
		return nil
	}
	b.ShortestCM = num(*b.ShortestCM * (0.05 + 0.95*w.r.Float64()))
	return change(e, &b)
}

func (w *worsener) shoots() *Edit {
	e, b := w.walk(func(b *fields.Walk) bool { return b.ShootsCM == nil || *b.ShootsCM == 0 })
	if e == nil {
		return nil
	}
	b.ShootsCM = num(1 + math.Round(w.r.Float64()*30)) // every minimum is larger
	return change(e, &b)
}

func (w *worsener) unsaid() *Edit {
	e, b := w.walk(func(b *fields.Walk) bool { return b.ShootsCM != nil && *b.ShootsCM == 0 })
	if e == nil {
		return nil
	}
	b.ShootsCM = nil
	return change(e, &b)
}

func (w *worsener) higher() *Edit {
	e := w.some(func(e *fields.Entry) bool { return e.Kind() == fields.KindLab })
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Lab)
	b.Values = append([]fields.Value{}, b.Values...)
	by := 1 + w.r.Float64()*[]float64{0.05, 1, 10}[w.r.IntN(3)]
	for i := range b.Values {
		b.Values[i].N *= by
		if b.Unit == "%" {
			b.Values[i].N = min(b.Values[i].N, 100)
		}
	}
	return change(e, &b)
}

func (w *worsener) fouler() *Edit {
	e := w.some(func(e *fields.Entry) bool { return e.Kind() == fields.KindWater })
	if e == nil {
		return nil
	}
	b := *e.Body.(*fields.Water)
	b.Value = num(*b.Value * (1 + w.r.Float64()*3))
	return change(e, &b)
}

func (w *worsener) takeAway(e *fields.Entry, may func([]fields.Entry) bool) *Edit {
	if e == nil {
		return nil
	}
	return &Edit{Target: e.ID, may: may}
}

// warm reports a reading that is neither a trigger nor possible for any paddock of the
// farm, whatever its offset and ground.
func (w *worsener) warm(e *fields.Entry, es []fields.Entry) bool {
	b, ok := e.Body.(*fields.Reading)
	if !ok || b.BelowZero != nil && *b.BelowZero || b.HoursBelow() > 0 {
		return false
	}
	line, offset, near := w.book.V[hazard.FrostPossible], 0.0, false
	for i := range es {
		switch x := es[i].Body.(type) {
		case *fields.PaddockFacts:
			if x.OffsetC != nil {
				offset = min(offset, *x.OffsetC)
			}
			if yes(x.LowLying) {
				line = w.book.V[hazard.FrostPossibleLow]
			}
		case *fields.StationFacts:
			near = near || x.Station == b.Station && x.HeightM != nil && *x.HeightM <= 0.3
		}
	}
	if b.Station != "" && near {
		line = w.book.V[hazard.FrostTrigger]
	}
	if b.LowC == nil {
		return b.Station != "" && near
	}
	return *b.LowC+offset > line+0.05 // the slack of a possible line
}

// unread takes a warm reading away.
func (w *worsener) unread() *Edit {
	e := w.some(func(e *fields.Entry) bool { return w.warm(e, w.s.Entries) })
	return w.takeAway(e, func(es []fields.Entry) bool { return w.warm(e, es) })
}

// goodNews says whether an entry of a history bears only good news, so that taking it
// away makes the history worse.
func (w *worsener) goodNews(id string) func([]fields.Entry) bool {
	return func(es []fields.Entry) bool {
		for i := range es {
			if es[i].ID == id {
				return es[i].Kind() == fields.KindNoFrost || w.warm(&es[i], es) || w.good(&es[i], es)
			}
		}
		return false
	}
}

func (w *worsener) unsigned() *Edit {
	return w.takeAway(w.some(func(e *fields.Entry) bool { return e.Kind() == fields.KindNoFrost }), nil)
}

func (w *worsener) unwalked() *Edit {
	e := w.some(func(e *fields.Entry) bool { return w.good(e, w.s.Entries) })
	return w.takeAway(e, func(es []fields.Entry) bool { return w.good(e, es) })
}

// good reports whether a walk bears only good news, so that taking it away
// makes the history worse.
func (w *worsener) good(e *fields.Entry, es []fields.Entry) bool {
	b, ok := e.Body.(*fields.Walk)
	if !ok || yes(b.Wilted) || len(b.Alive) > 0 || b.DamageNight != fields.NoDate || b.StressFree != nil && !*b.StressFree {
		return false
	}
	if b.ShortestCM != nil && *b.ShortestCM < w.largest() {
		return false
	}
	for i := range es { // of no one part it is no good news
		if s, ok := es[i].Body.(*fields.Split); ok && has(s.From, b.Paddock) {
			return false
		}
	}
	if b.Part == "swath" {
		return yes(b.Dry) && !damaged(walk{Walk: b})
	}
	if b.ShootsCM == nil || *b.ShootsCM != 0 {
		return false
	}
	day := e.EventDate(w.s.Zone)
	land := joined(es, b.Paddock)
	cleanBefore, greenAfter := false, false
	var since date // last cut, graze-out and measured height
	measured, hardy := false, false
	for i := range es {
		if es[i].ID == e.ID || !anyOf(es[i].Paddocks(), land) {
			continue
		}
		d := es[i].EventDate(w.s.Zone)
		switch o := es[i].Body.(type) {
		case *fields.Walk:
			hardy = hardy || w.hardyAmong(o.Alive)
			if o.Part == "swath" {
				continue
			}
			cleanBefore = cleanBefore || d <= day && looksClean(o)
			greenAfter = greenAfter || d >= day && w.looksGreen(o)
			if d <= day && o.ShortestCM != nil {
				measured, since = true, max(since, d)
			}
		case *fields.Cut:
			if d <= day {
				since = max(since, d)
			}
		case *fields.Grazed:
			if d <= day { // in elsewhere is out here
				since = max(since, d)
			}
		case *fields.Seen:
			hardy = hardy || w.hardyAmong(o.Species)
		case *fields.Sown:
			for _, s := range o.Species {
				hardy = hardy || w.hardyAmong([]string{s.Species})
			}
		}
	}
	if !looksClean(b) {
		return !damaged(walk{Walk: b}) && !cleanBefore
	}
	if greenAfter || hardy {
		return false
	}
	return !measured || w.frostKnown(e, es, land, since, day)
}

// frostKnown reports a trigger night later than a day, up to another, that was
// known when the walk was written down and that nothing takes back.
func (w *worsener) frostKnown(e *fields.Entry, es []fields.Entry, land []string, since, day date) bool {
	struck := map[string]bool{}
	for i := range es {
		if s, ok := es[i].Body.(*fields.Strike); ok {
			struck[s.Entry], struck[s.Batch] = true, true
		}
	}
	for i := range es {
		f, ok := es[i].Body.(*fields.Frost)
		if !ok || !anyOf(f.Paddocks, land) || es[i].Recorded.After(e.Recorded) || struck[es[i].ID] || es[i].Batch != "" && struck[es[i].Batch] {
			continue
		}
		if d := es[i].EventDate(w.s.Zone); d > since && d <= day && has(f.Paddocks, e.Body.(*fields.Walk).Paddock) {
			return true
		}
	}
	return false
}

// joined are the paddocks that splits and joins tie to one, itself included.
func joined(es []fields.Entry, paddock string) []string {
	out := []string{paddock}
	for grew := true; grew; {
		grew = false
		for i := range es {
			k := es[i].Kind()
			if k != fields.KindSplit && k != fields.KindJoin || !anyOf(es[i].Paddocks(), out) {
				continue
			}
			for _, p := range es[i].Paddocks() {
				if !has(out, p) {
					out, grew = append(out, p), true
				}
			}
		}
	}
	return out
}

func anyOf(list, of []string) bool {
	for _, s := range list {
		if has(of, s) {
			return true
		}
	}
	return false
}

// hardyAmong reports a plant that is hardy for nitrate, and whose walks decide
// on light frosts.
func (w *worsener) hardyAmong(names []string) bool {
	for _, n := range names {
		if row := w.book.Find(n); row != nil && row.Hardy {
			return true
		}
	}
	return false
}

func (w *worsener) largest() float64 {
	h := 0.0
	for _, row := range w.book.Species {
		if row.Height >= 0 {
			h = max(h, w.book.V[row.Height])
		}
	}
	return h
}

func looksClean(b *fields.Walk) bool {
	return b.Killed == "all" && yes(b.Dry) && b.ShootsCM != nil && *b.ShootsCM == 0 && yes(b.WeedsChecked)
}

func (w *worsener) looksGreen(b *fields.Walk) bool {
	v := &view{book: w.book, named: map[string]plant{}}
	s := &stand{l: &land{v: v}}
	return s.green(walk{Walk: b})
}

// Better lists the answers that a worsening made better: a flag nearer to
// clear, an earlier end of a hold, a larger share.
func Better(before, after Answers, passes func(Key) bool) []Difference {
	var out []Difference
	for k, a := range before {
		b, ok := after[k]
		if passes != nil && passes(k) {
			continue
		}
		if !ok { // nothing names the place any more, but no bad news takes a lot off the list
			if k.Lot {
				out = append(out, Difference{k, a, b})
			}
			continue
		}
		if b.Flag < a.Flag || a.Flag == hazard.Hold && b.Through < a.Through || b.Flag < hazard.Hold && grew(a.Share, b.Share) {
			out = append(out, Difference{k, a, b})
		}
	}
	return out
}

func grew(a, b float64) bool { return a >= 0 && (b < 0 || b > a+1e-9) }
