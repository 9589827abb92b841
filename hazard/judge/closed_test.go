package judge

import (
	"cmp"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/fields/forage"
	"rimegate/hazard"
	"rimegate/hazard/moves"
	"rimegate/hazard/rules"
)

var closedFlag = flag.Int("closed", 40, "farms of several seasons that are answered with and without what closed seasons say")

// keptOf are the entries known on a day that a Sieve of the day keeps, and how many of each
// kind it saw and kept.
func keptOf(entries []fields.Entry, day date) (known, kept []fields.Entry, seen, left map[fields.Kind]int) {
	seen, left = map[fields.Kind]int{}, map[fields.Kind]int{}
	for i := range entries {
		if fields.DateOf(entries[i].Recorded, time.UTC) <= day {
			known = append(known, entries[i])
		}
	}
	slices.SortFunc(known, func(a, b fields.Entry) int { return strings.Compare(a.ID, b.ID) })
	known = slices.CompactFunc(known, func(a, b fields.Entry) bool { return a.ID == b.ID })
	sieve := fields.NewSieve(day, len(known), rules.Default().EndsWithStand)
	for i := range known {
		if sieve.Take(i, fields.Encode(&known[i])) {
			sieve.Know(i, &known[i])
		}
	}
	keep := sieve.Keeps(func(n int) []byte { return []byte(known[n].ID) })
	for i := range known {
		k := known[i].Kind()
		if seen[k]++; keep[i] {
			kept = append(kept, known[i])
		} else {
			left[k]++
		}
	}
	return known, kept, seen, left
}

// unlike says where the answers of a day differ with and without what was left out, "" if
// nowhere: flags, days, shares, reasons with their entries and figures, notices.
func unlike(known, kept []fields.Entry, on date, book *hazard.Rulebook) string {
	ask := func(es []fields.Entry) *hazard.Assessment {
		h := fields.Fold(es, fields.View{On: on})
		b, _ := rules.With(book, h.Facts, on)
		return hazard.Assess(h, b)
	}
	a, b := ask(known), ask(kept)
	for _, x := range []struct {
		what       string
		full, less any
	}{
		{"notices", a.Notices, b.Notices},
		{"lots", a.Lots, b.Lots},
		{"data", a.Data, b.Data},
		{"herds", a.History.Herds, b.History.Herds},
		{"stations", a.History.Stations, b.History.Stations},
		{"farm", a.History.Farm, b.History.Farm},
		{"feed", feedOf(a.History), feedOf(b.History)},
	} {
		if !reflect.DeepEqual(x.full, x.less) {
			return fmt.Sprintf("%s: %+v\nwithout: %+v", x.what, x.full, x.less)
		}
	}
	for i := range a.Paddocks {
		if !reflect.DeepEqual(a.Paddocks[i], b.Paddocks[i]) {
			return fmt.Sprintf("%+v\nwithout: %+v", a.Paddocks[i], b.Paddocks[i])
		}
	}
	return ""
}

// feedOf is the feed that stands in each paddock, which plans of moves rest on.
func feedOf(h *fields.History) (out []forage.Standing) {
	for _, p := range h.Standing() {
		out = append(out, forage.StandingFeed(h, p.ID, func(herd string) forage.Demand { return moves.Demand(cmp.Or(h.Herd(herd), &fields.Herd{})) }))
	}
	return out
}

// manySeasons invents a farm of several seasons. On most of its land a crop is sown anew
// each year, walked and frosted, as farms with many entries do; some years hold what a season
// of the other tests does, with its strikes, perennials, overrides and reshaped land.
func manySeasons(r *rand.Rand, book *hazard.Rulebook) *Season {
	zone := []string{"America/Regina", "America/Denver", "Europe/Berlin"}[r.IntN(3)]
	last := 2025
	first := last - 2 - r.IntN(6)
	if r.IntN(4) == 0 {
		first -= 8
	}
	s := &Season{Zone: zoneOf(zone), Start: fields.MakeDate(first, 5, 1), End: fields.MakeDate(last, 10, 25), Style: Ordinary}
	m := &maker{r: r, book: book, s: s, moves: map[move]bool{}, herds: []string{"herd1", "herd2"}}
	m.add(s.Start, &fields.Farm{Name: "Demo", Zone: zone, FrostWatch: pick(m, nil, &fields.Watch{
		From: fields.MonthDay{Month: 8, Day: 15}, To: fields.MonthDay{Month: 6, Day: 15},
	})})
	m.add(s.Start, &fields.HerdFacts{Herd: "herd1", Classes: []string{"bred-cattle"}, Head: num(40)})
	for _, p := range []string{"a", "b", "c", "d"} {
		m.add(s.Start, &fields.PaddockFacts{Paddock: p, Name: p, AreaHa: num(9), Station: pick(m, "st1", "st1", "st2", ""), OffsetC: pick(m, nil, num(-1))})
	}
	wild := r.IntN(3) == 0
	sows := pick(m, mixes, mixes, mixes[:1+r.IntN(2)], mixes[3:5]) // many farms sow the same each year
	for year := first; year <= last; year++ {
		if wild && r.IntN(4) == 0 || year == last && r.IntN(2) == 0 {
			next := randomSeason(r, book, zone, year)
			s.Entries = append(s.Entries, next.Entries...)
		}
		for _, p := range []string{"a", "b", "c"} {
			m.usualYear(p, year, sows)
		}
		if year == first || m.chance(0.1) {
			m.usualYear("d", year, sows)
		}
		m.nights(year)
		m.stock(year)
		if m.chance(0.25) {
			m.event(year)
		}
	}
	m.feedings()
	// Some lots are said to be used up, now and then of one of which more is said later.
	for _, e := range s.Entries {
		if b, ok := e.Body.(*fields.LotFacts); ok && r.IntN(5) > 0 {
			m.add(b.MadeOn+date(100+r.IntN(200)), &fields.UsedUp{Lot: b.Lot})
			if r.IntN(20) == 0 {
				on := b.MadeOn + date(300+r.IntN(400))
				m.add(on, &fields.Lab{
					Lot: b.Lot, SampledOn: on, Analyte: "nitrate", Values: fields.Values(900), Form: "NO3", Unit: "ppm", Basis: "dm", Method: "lab",
				})
			}
		}
	}
	// What closes a season may be struck, and what is old may be written down late.
	for range r.IntN(4) {
		e := s.Entries[r.IntN(len(s.Entries))]
		if e.Kind() == fields.KindFarm || e.Kind() == fields.KindStrike {
			continue
		}
		on := e.EventDate(s.Zone) + date(r.IntN(900))
		m.addAt(on, on.At(12, 0, s.Zone), &fields.Strike{Entry: e.ID, Because: "a slip"})
	}
	for range r.IntN(5) {
		if e := &s.Entries[r.IntN(len(s.Entries))]; e.Batch == "" {
			e.Recorded = e.Recorded.AddDate(0, r.IntN(30), 0)
		}
	}
	return s
}

// stock go about the land in a year: from one paddock to the next, out of it or not, named or
// not, on one day or another.
func (m *maker) stock(year int) {
	for range m.r.IntN(8) {
		on := fields.MakeDate(year, 6, 1) + date(m.r.IntN(200))
		herd := pick(m, "herd1", "herd2", "herd3", "")
		for range 1 + m.r.IntN(5) {
			p := pick(m, "a", "b", "c", "d")
			m.add(on, &fields.Grazed{Paddock: p, State: "in", Herd: herd, LeftCM: pick(m, nil, nil, num(9))})
			on += pick[date](m, 0, 1, 5, 20)
			if m.chance(0.3) {
				m.add(on, &fields.Grazed{
					Paddock: pick(m, p, p, p, "a", "b"), State: "out", Herd: pick(m, herd, herd, herd, ""),
					LeftCM: pick(m, nil, num(10), num(20), num(40)), SwathLeft: pick(m, nil, nil, yesno(true), yesno(false)),
				})
				on += pick[date](m, 0, 0, 1, 9)
			}
		}
		if m.chance(0.9) {
			m.add(on, &fields.Grazed{Paddock: pick(m, "a", "b", "c", "d"), State: "out", Herd: pick(m, herd, herd, "")})
		}
	}
}

// feedings of some lots to some herds, on some farms.
func (m *maker) feedings() {
	ends := m.chance(0.5)
	for _, e := range m.s.Entries {
		if b, ok := e.Body.(*fields.LotFacts); ok && m.chance(0.2) {
			from := b.MadeOn + date(20+m.r.IntN(200))
			to := pick(m, from, from+9)
			if !ends && m.chance(0.5) {
				to = fields.NoDate
			}
			m.add(from, &fields.Fed{Lot: b.Lot, Herd: pick(m, "herd1", "herd2", "herd3"), From: from, To: to})
		}
	}
}

// nights are read by both stations, some of them not, and forecast now and then.
func (m *maker) nights(year int) {
	from := fields.MakeDate(year, 8, 20)
	for _, id := range []string{"st1", "st2"} {
		if m.chance(0.2) {
			continue
		}
		for d := from; d < from+date(30+m.r.IntN(50)); d++ {
			low := 9 - float64(d-from)*0.15 + m.r.Float64()*8 - 4
			switch {
			case m.chance(0.15):
			case m.chance(0.04):
				m.add(d, &fields.Reading{Station: id, Night: d, BelowZero: yesno(low < 0)})
			case m.chance(0.03):
				m.add(d, &fields.Reading{Paddock: pick(m, "a", "b", "c"), Station: pick(m, "", id), Night: d, LowC: num(low)})
			default:
				m.add(d, &fields.Reading{Station: id, Night: d, LowC: num(math.Round(low*10) / 10), Covers: pick(m, nil, yesno(true), yesno(true), yesno(false))})
			}
			if m.chance(0.05) {
				m.addAt(d, (d-1).At(12, 0, m.s.Zone), &fields.Forecast{Station: id, Night: d, LowC: num(low), Issued: (d - 1).At(9, 0, m.s.Zone)})
			}
		}
	}
}

// event is something rarer, any of what decides what is closed or looks far back.
func (m *maker) event(year int) {
	on := fields.MakeDate(year, 6, 1) + date(m.r.IntN(150))
	p := pick(m, "a", "b", "c", "d")
	for _, b := range []fields.Body{
		&fields.Seen{Paddock: p, Species: []string{pick(m, weeds...)}},
		&fields.Hail{Paddocks: []string{p}},
		&fields.Sprayed{Paddocks: []string{p, "a"}},
		&fields.Drought{Paddocks: []string{p}, State: fields.DroughtState(pick(m, "start", "end"))},
		&fields.NoFrost{Paddocks: []string{p}, From: on - 9, To: on, Basis: fields.NoFrostBasis(pick(m, "thermometer-in-paddock", "looked-at-dawn"))},
		&fields.Walk{Paddock: p, FrostDamage: "part", DamageNight: on - date(m.r.IntN(5))},
		&fields.Walk{Paddock: p, Wilted: yesno(m.chance(0.5)), ShortestCM: num(300)},
		&fields.Walk{Paddock: p, Alive: []string{pick(m, weeds...)}, WeedsChecked: yesno(true)},
		&fields.Lab{Paddock: p, SampledOn: on, Analyte: "hcn", Values: fields.Values(pick(m, 50.0, 300, 700)), Unit: "ppm", Basis: "dm", Method: "lab", SampleState: "sealed"},
		&fields.Lab{Paddock: p, SampledOn: on, Analyte: "nitrate", Values: fields.Values(pick(m, 50.0, 900, 9000)), Form: "NO3", Unit: "ppm", Basis: "dm", Method: "lab", Stems: num(20), Spots: num(10), CutCM: num(8)},
		&fields.Vet{Paddock: p, Advice: "may-graze", Who: "vet", Because: "walked", Until: on + date(m.r.IntN(900))},
		&fields.Incident{Paddock: p, What: "down"},
		&fields.PaddockFacts{Paddock: p, Name: p, Station: pick(m, "st1", "st2"), OffsetC: pick(m, nil, num(-2))},
		&fields.StationFacts{Station: "st1", Name: "st1", HeightM: num(pick(m, 0.2, 2))},
		&fields.Split{From: []string{p}, Into: []string{p + "e", p + "w"}},
		&fields.Override{Rule: pick(m, "prussic.frost.wait", "nitrate.frost.wait"), Value: &fields.RuleValue{Number: num(pick(m, 20.0, 55, 90))}, Because: "to be safe"},
	} {
		if m.chance(0.1) {
			m.add(on, b)
		}
	}
}

// usualYear is one year of land on which a crop is sown.
func (m *maker) usualYear(p string, year int, mixes [][]string) {
	on := func(month, day int) date { return fields.MakeDate(year, time.Month(month), day) + date(m.r.IntN(20)) }
	sown := &fields.Sown{Paddock: p, NewStand: yesno(true), Ended: fields.Ended(pick(m, "tilled", "tilled", "", "sprayed", "winter-killed"))}
	for _, name := range pick(m, mixes...) {
		sown.Species = append(sown.Species, fields.SpeciesShare{Species: name})
	}
	if m.chance(0.9) {
		d := on(5, 20)
		m.add(d, sown)
		if m.chance(0.1) { // another of that day, or soon after
			m.add(d+pick[date](m, 0, 0, 6, 7), &fields.Sown{Paddock: p, NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: "oats"}}})
		}
	}
	if m.chance(0.03) { // among what stands
		m.add(on(6, 20), &fields.Sown{Paddock: p, Species: []fields.SpeciesShare{{Species: pick(m, weeds...)}}, NewStand: pick(m, nil, yesno(false), yesno(true))})
	}
	if m.chance(0.1) {
		m.add(on(5, 10)+date(m.r.IntN(60)), &fields.Walk{
			Paddock: p, WeedsChecked: yesno(true), Part: pick(m, "", fields.PartSwath), ShortestCM: pick(m, nil, num(300)),
			Absent: pick(m, nil, []string{pick(m, weeds...), pick(m, pick(m, mixes...)...)}), Alive: pick(m, nil, nil, []string{pick(m, weeds...)}),
		})
	}
	if m.chance(0.8) {
		m.add(on(6, 1), &fields.Nitrogen{Paddocks: []string{p}, KgNHa: num(float64(20 + m.r.IntN(70)))})
	}
	for _, at := range []date{on(7, 10), on(8, 1), on(8, 20), on(9, 10), on(9, 25), on(10, 10)} {
		w := &fields.Walk{Paddock: p}
		if m.chance(0.8) {
			w.ShortestCM = num(float64(m.r.IntN(150)))
			if m.chance(0.03) { // no stand grows so fast
				w.ShortestCM = num(999)
			}
		}
		if m.chance(0.85) {
			w.Killed = "none"
		}
		w.FrostDamage = fields.Damage(pick(m, "none", "none", "none", "", "unknown", "tips"))
		w.WeedsChecked, w.StressFree = pick(m, nil, yesno(true)), pick(m, nil, yesno(true), yesno(false))
		w.Dry = pick(m, nil, nil, yesno(false), yesno(true))
		if m.chance(0.01) {
			w.KgDMHa = num(4000)
		}
		if m.chance(0.06) {
			w.ShootsCM = num(pick(m, 0.0, 20, 90))
		}
		if m.chance(0.04) {
			w.Killed, w.FrostDamage, w.ShortestCM, w.ShootsCM, w.Dry, w.WeedsChecked = "all", "", nil, num(0), yesno(true), yesno(true)
		}
		if m.chance(0.05) {
			w.Absent = []string{"sudangrass", "sorghum-sudangrass", "forage-sorghum"}
		}
		if m.chance(0.8) {
			m.add(at, w)
		}
	}
	for _, at := range []date{on(9, 5), on(9, 20), on(10, 5)} {
		if m.chance(0.5) {
			m.add(at, &fields.Frost{Paddocks: []string{p}, Night: at, LowC: pick(m, nil, num(-1), num(-6))})
		}
		if m.chance(0.3) {
			m.add(at, &fields.Rain{Paddocks: []string{p}, MM: num(4)})
		}
	}
	if m.chance(0.2) {
		m.add(on(8, 1), &fields.Cut{Paddock: p, Use: "green-chop"})
	}
	switch m.r.IntN(4) {
	case 0:
		m.add(on(8, 10), &fields.Cut{Paddock: p, Use: fields.CutUse(pick(m, "hay", "silage", "swath", "green-chop"))})
	case 1:
		cut, lot := on(8, 10), fmt.Sprintf("lot-%s-%d", p, year)
		m.add(cut, &fields.Cut{Paddock: p, Use: "hay", Lot: pick(m, "", lot)})
		m.add(cut+4, &fields.LotFacts{Lot: lot, LotKind: fields.LotKind(pick(m, "hay", "silage")), MadeOn: cut + 4, From: []string{p}, CutOn: pick(m, fields.NoDate, cut), Bales: num(40)})
	case 2:
		in := on(8, 20)
		m.add(in, &fields.Grazed{Paddock: p, State: "in", Herd: "herd1"})
		m.add(in+9, &fields.Grazed{Paddock: p, State: "out", Herd: pick(m, "", "herd1"), LeftCM: pick(m, nil, num(10))})
	}
}

// late are entries that may be added on a day to what a Sieve of it kept.
func (m *maker) late(day date) (out []fields.Entry) {
	for range 4 {
		p, on := pick(m, "a", "b", "c", "d"), day-date(m.r.IntN(62))
		for _, b := range []fields.Body{
			&fields.Frost{Paddocks: []string{p}, Night: on, LowC: pick(m, nil, num(-3))},
			&fields.Reading{Station: "st1", Night: on, LowC: num(-1)},
			&fields.NoFrost{Paddocks: []string{p}, From: on, To: on + 9, Basis: "thermometer-in-paddock"},
			&fields.Walk{
				Paddock: p, Killed: pick[fields.Killed](m, "none", "all", ""), FrostDamage: pick[fields.Damage](m, "none", "part", ""), WeedsChecked: yesno(true), Dry: yesno(true),
				ShortestCM: pick(m, nil, num(0), num(90), num(400)), ShootsCM: pick(m, nil, num(0)), Part: pick(m, "", fields.PartSwath), KgDMHa: pick(m, nil, nil, num(3000)),
				Alive: pick(m, nil, []string{pick(m, weeds...)}), Absent: pick(m, nil, []string{"sudangrass", "oats", pick(m, weeds...)}),
			},
			&fields.Grazed{Paddock: p, Herd: pick(m, "", "herd1", "herd2"), State: pick[fields.Move](m, "in", "out"), LeftCM: pick(m, nil, num(10))},
			&fields.Hail{Paddocks: []string{p}},
			&fields.Drought{Paddocks: []string{p}, State: pick[fields.DroughtState](m, "start", "end")},
			&fields.Nitrogen{Paddocks: []string{p}, KgNHa: num(50)},
		} {
			e := fields.Entry{ID: randomID(m.r), Recorded: day.At(12, 0, m.s.Zone), By: "Ada", On: on, Body: b}
			if _, ok := b.(*fields.Grazed); ok {
				e.On = day + date(m.r.IntN(2))
			}
			if m.chance(0.2) && fields.LeavesClosed(&e, day) {
				out = append(out, e)
			}
		}
	}
	return out
}

// What a Sieve leaves out changes no answer of its day or a later one, nor do entries that are
// added to the rest.
func TestClosedSeasonsDecideNothing(t *testing.T) {
	book := rules.Default()
	var mu sync.Mutex
	seen, left, asked := map[fields.Kind]int{}, map[fields.Kind]int{}, 0
	n, next := fewer(*closedFlag), make(chan int)
	var wait sync.WaitGroup
	for range 2 {
		wait.Go(func() {
			for i := range next {
				r := rand.New(rand.NewPCG(*seedFlag, 77<<32+uint64(i)))
				s := manySeasons(r, book)
				for asks := 0; asks < 5 && !t.Failed(); asks++ { // who gave up must take the next ones all the same
					day := s.End - date(r.IntN(500)) + 30
					if e := &s.Entries[r.IntN(len(s.Entries))]; r.IntN(2) == 0 { // at the edge of what it says
						day = e.EventDate(s.Zone) + pick[date](&maker{r: r}, 365, 366, 364, 400, 401, 180, 181, 730) + terms[r.IntN(len(terms))]
						day = min(day, s.End+60)
					}
					known, kept, saw, out := keptOf(s.Entries, day)
					mu.Lock()
					add(seen, saw)
					add(left, out)
					asked++
					mu.Unlock()
					if r.IntN(2) == 0 {
						late := (&maker{r: r, s: s}).late(day)
						known, kept = append(known, late...), append(kept, late...)
					}
					for _, on := range []date{day - 1, day, day + 1 + date(r.IntN(30)), day + date(r.IntN(500))} {
						if why := unlike(known, kept, on, book); why != "" {
							t.Errorf("farm %d, kept on %s, asked about %s: %s", i, day, on, why)
							break
						}
					}
				}
			}
		})
	}
	for i := range n {
		if t.Failed() {
			break
		}
		next <- i
	}
	close(next)
	wait.Wait()
	for _, k := range slices.Sorted(maps.Keys(seen)) {
		t.Logf("%-10s %7d seen %7d left out", k, seen[k], left[k])
	}
	for _, k := range []fields.Kind{
		fields.KindReading, fields.KindWalk, fields.KindFrost, fields.KindNitrogen, fields.KindRain,
		fields.KindSown, fields.KindCut, fields.KindGrazed, fields.KindLot, fields.KindUsedUp,
	} {
		few := 20
		if k == fields.KindSown { // what sows a plant first or last is kept
			few = 200
		}
		if left[k]*few < seen[k] && asked >= 50 { // of a few farms nothing can be said
			t.Errorf("of %d %s entries in %d questions only %d were left out: these seasons try nothing", seen[k], k, asked, left[k])
		}
	}
}

func add(to, from map[fields.Kind]int) {
	for k, n := range from {
		to[k] += n
	}
}

// What looks back behind the usual marks of a closed season: each is a history of years of
// which some must be kept for it, so that a rule without it would answer otherwise.
func TestClosedEdges(t *testing.T) {
	day := fields.MakeDate(2025, 10, 20)
	untold := map[string]bool{}    // entries of no day but that on which they were written
	brought := map[string]string{} // by which import
	added := map[string]bool{}     // to what was kept
	for name, more := range map[string]func(say func(y, m, d int, b fields.Body) string){
		"a low HCN result of a night of frost lifts nothing": func(say func(y, m, d int, b fields.Body) string) {
			hcn := func(d date, v float64) *fields.Lab {
				return &fields.Lab{Paddock: "a", SampledOn: d, Analyte: "hcn", Values: fields.Values(v), Unit: "ppm", Basis: "dm", Method: "lab", SampleState: "sealed"}
			}
			say(2022, 9, 10, hcn(fields.MakeDate(2022, 9, 10), 700))
			say(2022, 9, 20, hcn(fields.MakeDate(2022, 9, 20), 20))
			say(2022, 9, 20, &fields.Frost{Paddocks: []string{"a"}, Night: fields.MakeDate(2022, 9, 20)})
		},
		"something grew since the last cut": func(say func(y, m, d int, b fields.Body) string) {
			say(2021, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2021, 9, 2, &fields.Walk{Paddock: "a", Killed: "none", ShortestCM: num(40)})
		},
		"a swath of years ago": func(say func(y, m, d int, b fields.Body) string) {
			say(2023, 8, 2, &fields.Cut{Paddock: "b", Use: "swath"})
			for i := range 12 {
				say(2023, 9, 2+i, &fields.Frost{Paddocks: []string{"b"}, Night: fields.MakeDate(2023, 9, 2+i)})
			}
			say(2024, 9, 5, &fields.Walk{Paddock: "b", Killed: "none"})
			say(2024, 9, 3, &fields.Frost{Paddocks: []string{"b"}, Night: fields.MakeDate(2024, 9, 3)})
		},
		"a may-graze of years ago": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 9, 12, &fields.Vet{Paddock: "a", Advice: "may-graze", Who: "vet", Because: "seen", Until: day + 30})
			say(2022, 9, 20, &fields.Frost{Paddocks: []string{"a"}, Night: fields.MakeDate(2022, 9, 20)})
		},
		"a farm that waits long": func(say func(y, m, d int, b fields.Body) string) {
			say(2020, 5, 3, &fields.Override{Rule: "prussic.frost.wait", Value: &fields.RuleValue{Number: num(900)}, Because: "careful"})
			say(2023, 11, 1, &fields.Reading{Paddock: "a", Night: fields.MakeDate(2023, 11, 1), LowC: num(1.5)})
		},
		"land split": func(say func(y, m, d int, b fields.Body) string) {
			say(2023, 6, 20, &fields.Split{From: []string{"a"}, Into: []string{"a1", "a2"}})
			say(2023, 8, 2, &fields.Cut{Paddock: "a1", Use: "hay"})
			say(2023, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2023, 8, 9), From: []string{"a1"}})
		},
		"a lot whose last cut was struck": func(say func(y, m, d int, b fields.Body) string) {
			say(2020, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2021, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			id := say(2025, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2025, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2025, 8, 9), From: []string{"a"}})
			say(2025, 8, 10, &fields.Strike{Entry: id, Because: "another paddock"})
		},
		"a lot said to be made later, which was struck": func(say func(y, m, d int, b fields.Body) string) {
			for y := 2020; y <= 2022; y++ {
				say(y, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			}
			say(2021, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2021, 8, 9), From: []string{"a"}})
			id := say(2022, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"a"}})
			say(2022, 8, 10, &fields.Strike{Entry: id, Because: "another lot"})
		},
		"a frost of today that also names a day of years ago": func(say func(y, m, d int, b fields.Body) string) {
			night := fields.MakeDate(2025, 10, 19)
			say(2022, 9, 1, &fields.Frost{Paddocks: []string{"a"}, Night: night})
			say(2022, 9, 1, &fields.Reading{Paddock: "a", Night: night, LowC: num(-3)})
		},
		"animals that fell sick of a lot of years ago that is used up": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			for _, lot := range []string{"old", "other"} {
				say(2022, 8, 9, &fields.LotFacts{Lot: lot, LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"a"}})
			}
			say(2022, 9, 1, &fields.Grazed{Paddock: "b", State: "in", Herd: "cows"})
			say(2022, 9, 3, &fields.Fed{Lot: "old", Herd: "cows", From: fields.MakeDate(2022, 9, 3)})
			say(2022, 9, 4, &fields.Incident{Paddock: "b"})
			say(2022, 9, 6, &fields.UsedUp{Lot: "old"})
			say(2022, 9, 7, &fields.Grazed{Paddock: "b", State: "out", Herd: "cows"})
		},
		"animals that fell sick where they stood years ago of a lot of other land": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2025, func(int) string { return "oats" })
			for _, lot := range []string{"old", "other"} {
				say(2022, 8, 9, &fields.LotFacts{Lot: lot, LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"a"}})
			}
			for y := 2022; y < 2025; y++ {
				say(y, 9, 1, &fields.Grazed{Paddock: "c", State: "in", Herd: "cows"})
				say(y, 9, 7, &fields.Grazed{Paddock: "c", State: "out", Herd: "cows"})
			}
			say(2022, 9, 3, &fields.Fed{Lot: "old", Herd: "cows", From: fields.MakeDate(2022, 9, 3), To: fields.MakeDate(2022, 9, 5)})
			say(2022, 9, 4, &fields.Incident{Paddock: "c"})
			say(2022, 9, 6, &fields.UsedUp{Lot: "old"})
		},
		"stock that moved on years ago and were taken out there": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2025, func(int) string { return "oats" })
			say(2022, 9, 1, &fields.Grazed{Paddock: "c", State: "in", Herd: "cows"})
			say(2022, 9, 5, &fields.Grazed{Paddock: "a", State: "in", Herd: "cows"})
			say(2022, 9, 8, &fields.Grazed{Paddock: "a", State: "out", Herd: "cows"})
			say(2023, 9, 1, &fields.Grazed{Paddock: "a", State: "in", Herd: "bulls"})
			say(2023, 9, 7, &fields.Grazed{Paddock: "a", State: "out", Herd: "bulls"})
		},
		"a swath that was baled and fed": func(say func(y, m, d int, b fields.Body) string) {
			say(2021, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2025, 8, 1, &fields.Cut{Paddock: "a", Use: "swath"})
			say(2025, 8, 10, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2025, 8, 10), From: []string{"a"}})
			say(2025, 9, 1, &fields.UsedUp{Lot: "old"})
		},
		"a swath of old grass that was baled and fed": func(say func(y, m, d int, b fields.Body) string) {
			say(2020, 5, 3, &fields.Seen{Paddock: "c", Species: []string{"bermudagrass"}})
			say(2022, 8, 1, &fields.Cut{Paddock: "c", Use: "swath"})
			say(2022, 8, 10, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 10), From: []string{"c"}})
			say(2022, 9, 1, &fields.UsedUp{Lot: "old"})
		},
		"a result of a lot of years ago and of its land": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"a"}})
			say(2022, 8, 20, &fields.Lab{
				Lot: "old", Paddock: "a", SampledOn: fields.MakeDate(2022, 8, 20), Analyte: "nitrate", Values: fields.Values(9000), Form: "NO3", Unit: "ppm", Basis: "dm", Method: "lab",
			})
			say(2022, 9, 1, &fields.UsedUp{Lot: "old"})
		},
		"a plant of years ago was gone on a day that nobody said": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2012, 2025, func(y int) string {
				if y == 2014 || y == 2015 {
					return "oats"
				}
				return "sudangrass"
			})
			untold[say(2014, 7, 20, &fields.Walk{Paddock: "c", WeedsChecked: yesno(true), Absent: []string{"sudangrass"}})] = true
		},
		"stock that an import brought in, of which another was struck": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2025, func(int) string { return "oats" })
			brought[say(2022, 9, 1, &fields.Grazed{Paddock: "c", State: "in", Herd: "cows"})] = "one"
			say(2022, 9, 7, &fields.Grazed{Paddock: "c", State: "out", Herd: "cows"})
			say(2022, 9, 8, &fields.Strike{Batch: "two", Because: "the wrong file"})
			say(2023, 9, 1, &fields.Grazed{Paddock: "c", State: "in", Herd: "bulls"})
			say(2023, 9, 7, &fields.Grazed{Paddock: "c", State: "out", Herd: "bulls"})
		},
		"a chop after the cut that took damaged growth": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 9, 26, &fields.Walk{Paddock: "a", FrostDamage: "part"})
			say(2022, 10, 1, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2023, 8, 1, &fields.Cut{Paddock: "a", Use: "green-chop"})
			say(2025, 7, 10, &fields.Walk{Paddock: "a", ShortestCM: num(90)})
		},
		"stock that moved on to stubble, after others had grazed damaged growth off": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 9, 26, &fields.Walk{Paddock: "a", FrostDamage: "part"})
			say(2022, 9, 28, &fields.Grazed{Paddock: "a", State: "in", Herd: "cows"})
			say(2022, 10, 1, &fields.Grazed{Paddock: "a", State: "out", Herd: "cows", LeftCM: num(15)})
			say(2023, 8, 1, &fields.Grazed{Paddock: "a", State: "in", Herd: "cows"})
			say(2023, 8, 5, &fields.Grazed{Paddock: "b", State: "in", Herd: "cows", LeftCM: num(10)})
			say(2023, 8, 9, &fields.Grazed{Paddock: "b", State: "out", Herd: "cows"})
			say(2024, 8, 1, &fields.Grazed{Paddock: "a", State: "in", Herd: "cows"})
			say(2024, 8, 9, &fields.Grazed{Paddock: "a", State: "out", Herd: "cows"})
		},
		"a doubted height of a day that nobody said": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2012, 2025, func(int) string { return "oats" })
			untold[say(2014, 5, 25, &fields.Walk{Paddock: "c", ShortestCM: num(300)})] = true
		},
		"a plant of years ago was sown twice on a day, and named gone": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2012, 2025, func(y int) string {
				if y == 2013 || y == 2014 {
					return "oats"
				}
				return "sudangrass"
			})
			for _, x := range []string{"sudangrass", "oats"} {
				say(2014, 5, 30, &fields.Sown{Paddock: "c", NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: x}}})
			}
			say(2014, 7, 20, &fields.Walk{Paddock: "c", WeedsChecked: yesno(true), Absent: []string{"sudangrass"}})
		},
		"a plant sown among what stood before a result": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2025, func(int) string { return "oats" })
			say(2023, 8, 14, &fields.Sown{Paddock: "c", Species: []fields.SpeciesShare{{Species: "tifton-85"}}})
			say(2023, 10, 8, &fields.Lab{
				Paddock: "c", SampledOn: fields.MakeDate(2023, 10, 8), Analyte: "hcn", Values: fields.Values(20), Unit: "ppm", Basis: "dm", Method: "lab", SampleState: "sealed",
			})
		},
		"a plant found in autumn on land sown since": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2024, func(int) string { return "oats" })
			say(2025, 9, 12, &fields.Frost{Paddocks: []string{"c"}, Night: fields.MakeDate(2025, 9, 12)})
			say(2025, 9, 25, &fields.Walk{Paddock: "c", Killed: "none"})
			say(2025, 10, 15, &fields.Sown{Paddock: "c", NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: "oats"}}})
			added[say(2025, 9, 15, &fields.Walk{Paddock: "c", Alive: []string{"sudangrass"}})] = true
		},
		"the last night that was read lies before the stand": func(say func(y, m, d int, b fields.Body) string) {
			say(2015, 5, 2, &fields.PaddockFacts{Paddock: "c", Name: "c"})
			for y := 2015; y <= 2025; y++ {
				say(y, 5, 20, &fields.Sown{Paddock: "c", NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: "oats"}}})
				if y < 2023 {
					say(y, 9, 12, &fields.Frost{Paddocks: []string{"c"}, Night: fields.MakeDate(y, 9, 12), LowC: num(-2)})
				}
				say(y, 9, 25, &fields.Walk{Paddock: "c", Killed: "none"})
			}
			say(2016, 8, 10, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2016, 8, 10), From: []string{"c"}})
			say(2016, 9, 1, &fields.UsedUp{Lot: "old"})
		},
		"feed that was measured years ago and grazed since": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 5, 2, &fields.PaddockFacts{Paddock: "a", Name: "a", AreaHa: num(10)})
			say(2022, 5, 2, &fields.HerdFacts{Herd: "cows", Classes: []string{"bred-cattle"}, Head: num(40), WeightKg: num(600), IntakePctBW: num(2.5)})
			say(2022, 7, 1, &fields.Walk{Paddock: "a", KgDMHa: num(4000)})
			for y := 2022; y <= 2024; y++ {
				say(y, 8, 1, &fields.Grazed{Paddock: "a", State: "in", Herd: "cows"})
				say(y, 8, 6, &fields.Grazed{Paddock: "a", State: "out", Herd: "cows"})
			}
			say(2025, 10, 20, &fields.Walk{Paddock: "a", KgDMHa: num(4000)})
		},
		"feed that was measured years ago and cut since": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 5, 2, &fields.PaddockFacts{Paddock: "a", Name: "a", AreaHa: num(10)})
			say(2022, 7, 1, &fields.Walk{Paddock: "a", KgDMHa: num(4000)})
			for y := 2022; y <= 2024; y++ {
				say(y, 8, 1, &fields.Cut{Paddock: "a", Use: "hay"})
			}
		},
		"a lot of split land": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2025, func(int) string { return "oats" })
			say(2022, 8, 1, &fields.Cut{Paddock: "c", Use: "swath"})
			say(2022, 8, 10, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 10), From: []string{"c"}})
			say(2022, 9, 1, &fields.UsedUp{Lot: "old"})
			say(2025, 7, 1, &fields.Split{From: []string{"c"}, Into: []string{"c1", "c2"}})
		},
		"another paddock's cut tells the day of a used-up lot that animals fell sick of": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2020, 2025, func(int) string { return "oats" })
			for y := 2022; y <= 2025; y++ {
				say(y, 8, 1, &fields.Cut{Paddock: "c", Use: "hay"})
			}
			say(2022, 8, 5, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2022, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"a", "c"}})
			say(2022, 8, 9, &fields.LotFacts{Lot: "other", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), CutOn: fields.MakeDate(2022, 8, 1), From: []string{"a"}})
			say(2022, 9, 3, &fields.Fed{Lot: "old", Herd: "cows", From: fields.MakeDate(2022, 9, 3), To: fields.MakeDate(2022, 9, 5)})
			say(2022, 9, 4, &fields.Incident{Paddock: "b", Herd: "cows"})
			say(2022, 9, 6, &fields.UsedUp{Lot: "old"})
		},
		"what grew again in years ago was tilled under": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2014, 2025, func(int) string { return "sudangrass" })
			say(2016, 9, 30, &fields.Walk{Paddock: "c", ShootsCM: num(5)})
			say(2017, 6, 20, &fields.Sown{Paddock: "c", NewStand: yesno(true), Ended: fields.EndedTilled, Species: []fields.SpeciesShare{{Species: "sudangrass"}}})
		},
		"a plant of years ago was gone and sown again": func(say func(y, m, d int, b fields.Body) string) {
			yearly(say, "c", 2012, 2025, func(y int) string {
				if y == 2014 || y == 2015 {
					return "oats"
				}
				return "sudangrass"
			})
			say(2014, 7, 20, &fields.Walk{Paddock: "c", WeedsChecked: yesno(true), Absent: []string{"sudangrass"}})
		},
		"a lot of years ago that is left": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 8, 2, &fields.Cut{Paddock: "a", Use: "hay"})
			say(2022, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"a"}})
		},
		"a lot of years ago that a cut of other land names": func(say func(y, m, d int, b fields.Body) string) {
			say(2022, 8, 1, &fields.Frost{Paddocks: []string{"a"}, Night: fields.MakeDate(2022, 8, 1)})
			say(2022, 8, 2, &fields.Cut{Paddock: "a", Use: "hay", Lot: "old"})
			say(2022, 8, 9, &fields.LotFacts{Lot: "old", LotKind: "hay", MadeOn: fields.MakeDate(2022, 8, 9), From: []string{"b"}})
		},
	} {
		t.Run(name, func(t *testing.T) {
			var all []fields.Entry
			say := func(y, m, d int, b fields.Body) string {
				on := fields.MakeDate(y, time.Month(m), d)
				e := fields.Entry{ID: fmt.Sprintf("0%025d", len(all)), Recorded: on.At(12, 0, time.UTC), By: "Ada", Body: b}
				e.On = on
				all = append(all, e)
				return e.ID
			}
			say(2020, 5, 1, &fields.Farm{Name: "Demo", Zone: "America/Regina"})
			for _, p := range []string{"a", "b"} {
				say(2020, 5, 2, &fields.PaddockFacts{Paddock: p, Name: p})
				for y := 2020; y <= 2025; y++ {
					if p == "a" || y < 2023 {
						say(y, 5, 20, &fields.Sown{Paddock: p, NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: "sudangrass"}}})
					}
					if p == "b" && y == 2023 {
						continue // a swath lies there
					}
					say(y, 9, 12, &fields.Frost{Paddocks: []string{p}, Night: fields.MakeDate(y, 9, 12), LowC: num(-2)})
					say(y, 9, 25, &fields.Walk{Paddock: p, Killed: "none"})
				}
			}
			more(say)
			for i := range all {
				e := &all[i]
				e.Batch = brought[e.ID]
				if untold[e.ID] {
					e.On, e.At = fields.NoDate, e.Recorded
				}
			}
			clear(untold)
			clear(brought)
			defer clear(added)
			var late []fields.Entry
			all = slices.DeleteFunc(all, func(e fields.Entry) bool {
				if added[e.ID] {
					late = append(late, e)
				}
				return added[e.ID]
			})
			known, kept, _, _ := keptOf(all, day)
			for i := range late {
				if !fields.LeavesClosed(&late[i], day) {
					t.Errorf("%s may not be added", fields.Encode(&late[i]))
				}
			}
			known, kept = append(known, late...), append(kept, late...)
			for _, on := range []date{day - 1, day, day + 1, day + 20, day + 300} {
				if why := unlike(known, kept, on, rules.Default()); why != "" {
					t.Errorf("asked about %s: %s", on, why)
				}
			}
			t.Logf("of %d entries %d are kept", len(known), len(kept))
		})
	}
}

// yearly sows, frosts and walks land each year.
func yearly(say func(y, m, d int, b fields.Body) string, p string, from, to int, species func(y int) string) {
	say(from, 5, 2, &fields.PaddockFacts{Paddock: p, Name: p})
	for y := from; y <= to; y++ {
		say(y, 5, 20, &fields.Sown{Paddock: p, NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: species(y)}}})
		say(y, 9, 12, &fields.Frost{Paddocks: []string{p}, Night: fields.MakeDate(y, 9, 12), LowC: num(-2)})
		say(y, 9, 25, &fields.Walk{Paddock: p, Killed: "none"})
	}
}

// A walk of a closed season is left out, but not one whose height the growth limit of the
// rulebook doubts: that is printed on every list.
func TestClosedSeasonsKeepDoubtedHeights(t *testing.T) {
	limit := rules.Default().V[hazard.StandGrowthLimit]
	for _, x := range []struct {
		cm   float64
		left int
	}{{10 * limit, 1}, {10*limit + 1, 0}} {
		r := rand.New(rand.NewPCG(1, 1))
		s := &Season{Zone: time.UTC, Start: fields.MakeDate(2018, 5, 1), End: fields.MakeDate(2025, 10, 25), Style: Ordinary}
		m := &maker{r: r, book: rules.Default(), s: s, moves: map[move]bool{}}
		m.add(s.Start, &fields.Farm{Name: "Demo", Zone: "UTC"})
		m.add(s.Start, &fields.PaddockFacts{Paddock: "a", Name: "a"})
		for year := 2018; year <= 2025; year++ {
			anew, sown := true, fields.MakeDate(year, 6, 10)
			m.add(sown, &fields.Sown{Paddock: "a", Species: []fields.SpeciesShare{{Species: "oats"}}, NewStand: &anew})
			if year == 2018 {
				m.add(sown+10, &fields.Walk{Paddock: "a", ShortestCM: &x.cm})
			}
			m.add(sown+20, &fields.Frost{Night: sown + 19, Paddocks: []string{"a"}})
			m.add(sown+30, &fields.Walk{Paddock: "a", Killed: fields.KilledNone})
		}
		_, _, seen, left := keptOf(s.Entries, fields.MakeDate(2025, 9, 1))
		if got := left[fields.KindWalk] - 7; got != x.left { // those of damage, of 2018 to 2024, are left out
			t.Errorf("%g cm ten days after sowing: %d of %d walks left out, want %d", x.cm, got, seen[fields.KindWalk], x.left)
		}
	}
}
