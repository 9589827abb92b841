package judge

import (
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard/rules"
)

var (
	oldPairsFlag  = flag.Int("closed-pairs", 150, "every so many-th pair of old deeds is tried with and without what closed seasons say; 1 for all")
	oldThreesFlag = flag.Int("closed-threes", 400, "so many threes of old deeds, drawn by chance")
)

// deed is something that somebody did, found or said on a farm, with all that belongs to it.
type deed struct {
	name string
	on   date
	say  func(w *oldWorld, on date)
}

// oldWorld is a farm of three paddocks on which every year something is sown, frosted and found
// green, with some deeds more.
type oldWorld struct{ all []fields.Entry }

func (w *oldWorld) tell(on date, b fields.Body) string {
	e := fields.Entry{ID: fmt.Sprintf("0%025d", len(w.all)), On: on, Recorded: on.At(12, 0, time.UTC), By: "Ada", Body: b}
	w.all = append(w.all, e)
	return e.ID
}

// worldOf makes the farm with some deeds, told in order.
func worldOf(mix int, deeds ...deed) []fields.Entry {
	w := &oldWorld{}
	first := fields.MakeDate(2012, 5, 1)
	w.tell(first, &fields.Farm{Name: "Demo", Zone: "America/Regina"})
	for _, herd := range []string{"cows", "bulls"} {
		w.tell(first, &fields.HerdFacts{Herd: herd, Classes: []string{"bred-cattle"}, Head: num(40), WeightKg: num(600)})
	}
	for i, p := range []string{"a", "b"} {
		w.tell(first, &fields.PaddockFacts{Paddock: p, Name: p, AreaHa: num(10)})
		for y := 2012; y <= 2025; y++ {
			plant := []string{"sudangrass", "oats", []string{"sudangrass", "oats", "alfalfa"}[y%3]}[(mix+i)%3]
			w.tell(fields.MakeDate(y, 5, 20), &fields.Sown{Paddock: p, NewStand: yesno(true), Species: []fields.SpeciesShare{{Species: plant}}})
			w.tell(fields.MakeDate(y, 9, 12), &fields.Frost{Paddocks: []string{p}, Night: fields.MakeDate(y, 9, 12), LowC: num(-2)})
			w.tell(fields.MakeDate(y, 9, 25), &fields.Walk{Paddock: p, Killed: "none", ShortestCM: num(80)})
		}
	}
	for _, d := range deeds {
		d.say(w, d.on)
	}
	return w.all
}

// oldDeeds are all kinds of deeds at some days.
func oldDeeds() (out []deed) {
	one := func(b func(on date) fields.Body) func(*oldWorld, date) {
		return func(w *oldWorld, on date) { w.tell(on, b(on)) }
	}
	walk := func(x fields.Walk) func(*oldWorld, date) {
		return one(func(date) fields.Body { y := x; y.Paddock = "a"; return &y })
	}
	sown := func(anew *bool, ended fields.Ended, species ...string) func(*oldWorld, date) {
		return one(func(date) fields.Body {
			s := &fields.Sown{Paddock: "a", NewStand: anew, Ended: ended}
			for _, x := range species {
				s.Species = append(s.Species, fields.SpeciesShare{Species: x})
			}
			return s
		})
	}
	cut := func(use fields.CutUse) func(*oldWorld, date) {
		return one(func(date) fields.Body { return &fields.Cut{Paddock: "a", Use: use} })
	}
	grazed := func(p, state, herd string, left *float64, swath *bool) func(*oldWorld, date) {
		return one(func(date) fields.Body {
			return &fields.Grazed{Paddock: p, State: fields.Move(state), Herd: herd, LeftCM: left, SwathLeft: swath}
		})
	}
	lot := func(name string, use fields.CutUse, from []string, fed, open, gone bool) func(*oldWorld, date) {
		return func(w *oldWorld, on date) {
			id := fmt.Sprint(name, on)
			w.tell(on, &fields.Cut{Paddock: from[0], Use: use})
			w.tell(on+5, &fields.LotFacts{Lot: id, LotKind: "hay", MadeOn: on + 5, From: from})
			if fed {
				to := on + 60
				if open {
					to = fields.NoDate
				}
				w.tell(on+40, &fields.Fed{Lot: id, Herd: "cows", From: on + 40, To: to})
			}
			if gone {
				w.tell(on+90, &fields.UsedUp{Lot: id})
			}
		}
	}
	lab := func(x fields.Lab, v float64) func(*oldWorld, date) {
		return one(func(on date) fields.Body {
			y := x
			y.Paddock, y.SampledOn, y.Values, y.Unit, y.Basis, y.Method = "a", on, fields.Values(v), "ppm", "dm", "lab"
			return &y
		})
	}
	ab, a := []string{"a", "b"}, []string{"a"}
	kinds := map[string]func(*oldWorld, date){
		"sown among what stands":    sown(nil, "", "sudangrass"),
		"sown after tillage":        sown(yesno(true), fields.EndedTilled, "oats"),
		"sown anew":                 sown(yesno(true), "", "sudangrass"),
		"sown after a spray":        sown(yesno(true), fields.EndedSprayed, "oats", "sudangrass"),
		"sown, nobody said what":    sown(yesno(true), ""),
		"named gone":                walk(fields.Walk{WeedsChecked: yesno(true), Absent: []string{"sudangrass"}}),
		"found alive":               walk(fields.Walk{WeedsChecked: yesno(true), Alive: []string{"johnsongrass"}}),
		"shoots":                    walk(fields.Walk{ShootsCM: num(5)}),
		"damage":                    walk(fields.Walk{FrostDamage: "part"}),
		"wilted":                    walk(fields.Walk{Wilted: yesno(true)}),
		"dead":                      walk(fields.Walk{Killed: "all", Dry: yesno(true), ShootsCM: num(0), WeedsChecked: yesno(true)}),
		"weighed":                   walk(fields.Walk{KgDMHa: num(4000)}),
		"short":                     walk(fields.Walk{ShortestCM: num(10)}),
		"doubted":                   walk(fields.Walk{ShortestCM: num(400)}),
		"dry swath":                 walk(fields.Walk{Part: fields.PartSwath, Dry: yesno(true)}),
		"tall swath":                walk(fields.Walk{Part: fields.PartSwath, ShortestCM: num(400)}),
		"seen":                      one(func(date) fields.Body { return &fields.Seen{Paddock: "a", Species: []string{"sudangrass", "kochia"}} }),
		"hay":                       cut("hay"),
		"swath":                     cut("swath"),
		"chop":                      cut("green-chop"),
		"cows in":                   grazed("a", "in", "cows", nil, nil),
		"cows out, short":           grazed("a", "out", "cows", num(10), nil),
		"cows out":                  grazed("a", "out", "cows", num(40), yesno(true)),
		"cows to b":                 grazed("b", "in", "cows", nil, nil),
		"bulls in":                  grazed("a", "in", "bulls", nil, nil),
		"stock in":                  grazed("a", "in", "", nil, nil),
		"all out":                   grazed("a", "out", "", nil, nil),
		"hay, all fed":              lot("fed", "hay", a, true, false, true),
		"hay, fed without end":      lot("open", "hay", a, true, true, true),
		"hay, gone":                 lot("gone", "hay", a, false, false, true),
		"hay of both, gone":         lot("both", "hay", ab, true, false, true),
		"hay of both, left":         lot("left", "hay", ab, false, false, false),
		"hay left, fed without end": lot("opened", "hay", a, true, true, false),
		"baled swath, gone":         lot("baled", "swath", a, false, false, true),
		"sick in a":                 one(func(date) fields.Body { return &fields.Incident{Paddock: "a"} }),
		"sick cows in b":            one(func(date) fields.Body { return &fields.Incident{Paddock: "b", Herd: "cows"} }),
		"may graze": one(func(on date) fields.Body {
			return &fields.Vet{Paddock: "a", Advice: "may-graze", Who: "vet", Because: "seen", Until: on + 60}
		}),
		"may graze for years": one(func(date) fields.Body {
			return &fields.Vet{Paddock: "a", Advice: "may-graze", Who: "vet", Because: "seen", Until: fields.MakeDate(2026, 5, 1)}
		}),
		"keep off": one(func(date) fields.Body {
			return &fields.Vet{Paddock: "a", Advice: "keep-off", Who: "vet", Because: "seen"}
		}),
		"much nitrate":   lab(fields.Lab{Analyte: "nitrate", Form: "NO3"}, 9000),
		"little nitrate": lab(fields.Lab{Analyte: "nitrate", Form: "NO3", Stems: num(20), Spots: num(10), CutCM: num(8)}, 500),
		"much HCN":       lab(fields.Lab{Analyte: "hcn", SampleState: "sealed"}, 900),
		"little HCN":     lab(fields.Lab{Analyte: "hcn", SampleState: "sealed"}, 20),
		"hail":           one(func(date) fields.Body { return &fields.Hail{Paddocks: a} }),
		"drought":        one(func(date) fields.Body { return &fields.Drought{Paddocks: a, State: "start"} }),
		"rain ends it":   one(func(date) fields.Body { return &fields.Drought{Paddocks: a, State: "end"} }),
		"frost":          one(func(on date) fields.Body { return &fields.Frost{Paddocks: a, Night: on} }),
		"read":           one(func(on date) fields.Body { return &fields.Reading{Paddock: "a", Night: on, LowC: num(1)} }),
		"no frost": one(func(on date) fields.Body {
			return &fields.NoFrost{Paddocks: a, From: on - 5, To: on, Basis: "thermometer-in-paddock"}
		}),
		"split": one(func(date) fields.Body { return &fields.Split{From: a, Into: []string{"a1", "a2"}} }),
		"the last was a slip": func(w *oldWorld, on date) {
			w.tell(on, &fields.Strike{Entry: w.all[len(w.all)-1].ID, Because: "a slip"})
		},
	}
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		for _, on := range []date{
			fields.MakeDate(2016, 7, 20), fields.MakeDate(2019, 5, 20), fields.MakeDate(2019, 9, 28), fields.MakeDate(2022, 8, 5), fields.MakeDate(2025, 7, 20),
		} {
			out = append(out, deed{name, on, kinds[name]})
		}
	}
	return out
}

// With any two old deeds on a farm, and many threes, what a Sieve leaves out changes no answer.
func TestClosedPairs(t *testing.T) {
	deeds, book := oldDeeds(), rules.Default()
	day := fields.MakeDate(2025, 10, 20)
	var tried, left atomic.Int64
	try := func(mix int, ds ...deed) {
		known, kept, _, _ := keptOf(worldOf(mix, ds...), day)
		tried.Add(1)
		left.Add(int64(len(known) - len(kept)))
		for _, on := range []date{day - 1, day, day + 3, day + 250} {
			if why := unlike(known, kept, on, book); why != "" {
				var names string
				for _, d := range ds {
					names += fmt.Sprintf("%s on %s; ", d.name, d.on)
				}
				t.Errorf("mix %d, %sasked about %s: %s", mix, names, on, why)
				return
			}
		}
	}
	work := make(chan func(), 64)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for f := range work {
				if !t.Failed() {
					f()
				}
			}
		})
	}
	all := len(deeds) * len(deeds)
	for i := range fewer(all / *oldPairsFlag) {
		n := i * all / fewer(all / *oldPairsFlag)
		work <- func() { try(n/7%3, deeds[n/len(deeds)], deeds[n%len(deeds)]) }
	}
	r := rand.New(rand.NewPCG(*seedFlag, 5))
	for range fewer(*oldThreesFlag) {
		mix, ds := r.IntN(3), []deed{deeds[r.IntN(len(deeds))], deeds[r.IntN(len(deeds))], deeds[r.IntN(len(deeds))]}
		work <- func() { try(mix, ds...) }
	}
	close(work)
	wait.Wait()
	t.Logf("%d deeds, %d farms tried, %d entries left out of each", len(deeds), tried.Load(), left.Load()/max(1, tried.Load()))
}
