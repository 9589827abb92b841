package farm

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/judge"
	"rimegate/hazard/rules"
)

const aheadDays = 12

// farmAt is the farm of a random season as known at 11:00 of a random day of
// it, without forecasts of nights to come. Past 10:00, because until then last
// night may still come in, and an unread night restarts a clock only then.
func farmAt(r *rand.Rand) (*Farm, []fields.Entry, time.Time) {
	s := judge.RandomSeason(r, rules.Default())
	today := s.Start.Add(r.IntN(s.End.Sub(s.Start) + 1))
	now := today.At(11, 0, s.Zone)
	var known []fields.Entry
	for _, e := range s.Entries {
		if fc, ok := e.Body.(*fields.Forecast); e.Recorded.After(now) || ok && fc.Night > today {
			continue
		}
		known = append(known, e)
	}
	return &Farm{Clock: func() time.Time { return now }, Zone: s.Zone}, known, now
}

func entryOf(id string, at time.Time, body fields.Body) fields.Entry {
	return fields.Entry{ID: id, Recorded: at, By: "Ada", Body: body}
}

func verdicts(a *hazard.Assessment) string {
	out := ""
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		for _, v := range p.Verdicts {
			out += fmt.Sprintln(p.Paddock.ID, v.Use, v.Class, v.Flag, v.Through)
		}
	}
	for i := range a.Lots {
		for _, v := range a.Lots[i].Verdicts {
			out += fmt.Sprintln("lot", a.Lots[i].Lot, v.Class, v.Flag, v.Through)
		}
	}
	return out
}

// What is said of a coming day is what the list says when that day comes and
// nothing happened, on one condition: the nights between are not unread. So it
// holds (a) while the frost watch does not cover them, and (b) in the watch if
// every paddock's thermometer read each of them and found it warm. (No forecast
// of a coming night is in either: a forecast counts until that night is read.)
func TestAheadIsWhatTodayWillSay(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(8, seed))
		f, known, now := farmAt(r)
		warm := seed%2 == 1
		v := f.refold(known, Question{})
		if !warm {
			out := fields.Watch{From: monthDay(v.Today.Add(-40)), To: monthDay(v.Today.Add(-1))}
			e := entryOf("7ZZZZZZZZZZZZZZZZZZZZZZZZZ", now, &fields.Farm{Name: "Demo", Zone: v.Loc.String(), FrostWatch: &out})
			e.On = v.Today
			known = append(known, e)
			v = f.refold(known, Question{})
		}
		a, err := v.Ahead(aheadDays, nil, Only{Classes: hazard.Classes})
		if err != nil {
			t.Fatal(err)
		}
		later := known
		for k := 0; k <= aheadDays; k++ {
			d := v.Today.Add(k)
			then := d.At(11, 0, v.Loc)
			if warm && k > 0 {
				for i, p := range v.History.Standing() {
					id := fmt.Sprintf("7ZZZZZZZZZZZZZZZZZZZ%03d%03d", k, i)
					later = append(later, entryOf(id, then.Add(-time.Hour), &fields.Reading{Paddock: p.ID, Night: d, LowC: num(16), Covers: is(true)}))
				}
			}
			g := &Farm{Clock: func() time.Time { return then }, Zone: f.Zone}
			if got, want := verdicts(a.Days[k]), verdicts(g.refold(later, Question{}).Assess()); got != want {
				t.Fatalf("seed %d, warm readings %v, %d days ahead: ahead says\n%s\ntoday says\n%s", seed, warm, k, got, want)
			}
		}
	}
}

func monthDay(d fields.Date) fields.MonthDay {
	_, m, day := d.Civil()
	return fields.MonthDay{Month: m, Day: day}
}

// The evidence named brings the CLEAR on the day named, and an entry that is
// assumed is stored nowhere and changes nothing of the answer without it.
func TestTheEarliestClearCanBeHad(t *testing.T) {
	named, plain := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(9, seed))
		f, known, _ := farmAt(r)
		v := f.refold(known, Question{})
		a, err := v.Ahead(aheadDays, nil, Only{Classes: hazard.Classes})
		if err != nil {
			t.Fatal(err)
		}
		strip := a.Strip(board.Filter{})
		for i := range strip.Rows {
			row := &strip.Rows[i]
			c := row.First
			if c == nil || c.On == fields.NoDate {
				continue
			}
			if len(c.Needs) == 0 {
				plain++
				if row.Flags[c.On.Sub(v.Today)] != hazard.Clear {
					t.Fatalf("seed %d: %s is not clear on %s as it stands", seed, row.ID, c.On)
				}
				continue
			}
			named++
			s := &search{ground: newGround(a, row.ID), row: row, use: hazard.Graze}
			least, ok := brought{}, false
			for _, dead := range []bool{false, true} {
				b := fromNeeds(c)
				if b.dead = dead; s.clear(c.On, b) {
					least, ok = b, true
				}
			}
			if !ok {
				t.Fatalf("seed %d: what %s needs does not clear it on %s: %+v", seed, row.ID, c.On, c.Needs)
			}
			// The whole farm's record says so too, not only what bears on the paddock.
			full := f.refold(append(append([]fields.Entry{}, known...), values(s.made(least))...), Question{On: c.On}).Assess()
			if !clearFor(full.Paddock(row.ID), hazard.Graze, row.Classes) {
				t.Fatalf("seed %d: with %+v the whole record does not clear %s on %s", seed, c.Needs, row.ID, c.On)
			}
			if without := (brought{dead: least.dead}); s.clear(c.On, without) {
				t.Fatalf("seed %d: %s needs none of %+v", seed, row.ID, c.Needs)
			}
			for _, n := range c.Needs {
				if n.By != fields.NoDate && (n.From > n.By || n.From < v.Today || n.By > c.On || n.Result > c.On) {
					t.Fatalf("seed %d: %s: days out of order: %+v", seed, row.ID, n)
				}
			}
		}
	}
	if named < 20 {
		t.Errorf("only %d rows asked for evidence (%d cleared by themselves); this test proves little", named, plain)
	}
}

// fromNeeds is the evidence as the words name it, each on its last day.
func fromNeeds(c *board.ClearDay) brought {
	var b brought
	for _, n := range c.Needs {
		switch {
		case n.By == fields.NoDate:
			b.on[lookedUp] = span(c.On, c.On)
		case n.What == "sample it for nitrate":
			b.on[sampledNitrate] = span(n.By, n.By)
		case n.What == "sample it for HCN, sealed or frozen":
			b.on[sampledAcid] = span(n.By, n.By)
		case b.on[walked] != (days{}):
			b.on[walked].also = n.By
		default:
			b.on[walked] = span(n.By, n.By)
		}
	}
	return b
}

// What bears on a paddock answers for it as the whole farm does.
func TestBearingIsEnough(t *testing.T) {
	fewer := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(9, seed))
		f, known, _ := farmAt(r)
		v := f.refold(known, Question{})
		for _, p := range v.History.Standing() {
			some := bearing(known, v.History, p.ID)
			fewer += len(known) - len(some)
			for k := -20; k <= aheadDays; k += 4 {
				fold := func(es []fields.Entry) *fields.History {
					return fields.Fold(es, fields.View{On: v.Today.Add(k), KnownAt: v.History.KnownAt})
				}
				all, there := hazard.AssessPaddock(fold(known), v.Book, p.ID)
				got, still := hazard.AssessPaddock(fold(some), v.Book, p.ID)
				if there != still || !reflect.DeepEqual(got.Verdicts, all.Verdicts) || !reflect.DeepEqual(got.Stand, all.Stand) {
					t.Fatalf("seed %d, %s, day %d: %v, of the whole farm %v", seed, p.ID, k, got.Verdicts, all.Verdicts)
				}
				for _, u := range hazard.PaddockUses { // and one use as all of them
					one, _ := hazard.AssessPaddock(fold(some), v.Book, p.ID, u)
					for _, c := range hazard.Classes {
						if !reflect.DeepEqual(one.Verdict(u, c), all.Verdict(u, c)) {
							t.Fatalf("seed %d, %s, day %d: %v of one use is not that of all", seed, p.ID, k, u)
						}
					}
				}
			}
		}
	}
	if fewer == 0 {
		t.Error("nothing was left out")
	}
}

func values(list []*fields.Entry) (out []fields.Entry) {
	for _, e := range list {
		out = append(out, *e)
	}
	return out
}

// sameButReasons reports equal answers, one of which may have no reasons.
func sameButReasons(v, w *hazard.Verdict) bool {
	if v.CannotBe() != w.CannotBe() {
		return false
	}
	bare := *w
	for i := range bare.Hazards {
		if v.Hazards[i].Reasons == nil {
			bare.Hazards[i].Reasons = nil
		}
	}
	all := func(v *hazard.Verdict) []any { return []any{v.Flag, v.Through, v.Need, v.Hazards, v.Bloat, v.FeedFrom} }
	return reflect.DeepEqual(all(v), all(&bare))
}

// The days ahead, and what is supposed of one paddock, are answered for as if everything had
// been folded and assessed anew.
func TestAheadIsWhatFoldingAnewSays(t *testing.T) {
	supposed, answers := 0, 0
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(19, seed))
		f, known, _ := farmAt(r)
		v := f.refold(known, Question{})
		uses := []hazard.Use{hazard.Graze, hazard.CutHay, hazard.SwathGraze}
		var classes []hazard.Class
		for _, i := range r.Perm(len(hazard.Classes))[:1+r.IntN(len(hazard.Classes))] {
			classes = append(classes, hazard.Classes[i])
		}
		a, err := v.Ahead(aheadDays, nil, Only{uses, classes})
		if err != nil {
			t.Fatal(err)
		}
		askers := map[string]*hazard.Asker{}
		for i, day := range a.Days {
			anew := f.refold(known, Question{On: v.Today.Add(i), KnownAt: v.History.KnownAt})
			all := anew.Assess()
			for j := range day.Paddocks {
				p, q := &day.Paddocks[j], &all.Paddocks[j]
				for _, u := range uses {
					for _, c := range classes {
						answers++
						if !sameButReasons(p.Verdict(u, c), q.Verdict(u, c)) {
							t.Fatalf("seed %d, %s, day %d: %v, anew %v", seed, p.Paddock.ID, i, p.Verdict(u, c), q.Verdict(u, c))
						}
					}
				}
				if !reflect.DeepEqual(p.Stand, q.Stand) {
					t.Fatalf("seed %d, %s, day %d: %v, anew %v", seed, p.Paddock.ID, i, p.Stand, q.Stand)
				}
				s := &search{ground: newGround(a, p.Paddock.ID), use: hazard.Graze}
				on := v.Today.Add(i)
				sampled := func() days { return span(v.Today, on.Add(-r.IntN(5))) }
				b := brought{r.IntN(3) == 0, [acts]days{sampledAcid: sampled(), sampledNitrate: sampled()}}
				if r.IntN(2) == 0 {
					b.on[lookedUp] = span(on, on)
				}
				made := s.made(b)
				if r.IntN(4) == 0 { // a frost that a walk dates tells of a night, which no other question may keep
					w := *s.made(brought{on: [acts]days{walked: span(on, on)}})[0]
					walk := *w.Body.(*fields.Walk)
					walk.FrostDamage, walk.DamageNight, w.ID, w.Body = "tips", on.Add(-r.IntN(40)), "~9", &walk
					made = append(made, &w)
				}
				if askers[s.id] == nil {
					askers[s.id] = &hazard.Asker{Classes: classes}
				}
				got, _ := askers[s.id].Assess(day.History.Suppose(s.id, made), day.Book, s.id, hazard.Graze)
				folded := anew.with(values(made), Question{On: on, KnownAt: v.History.KnownAt})
				want, _ := hazard.AssessPaddock(folded.History, day.Book, s.id, hazard.Graze)
				want.Verdicts = slices.DeleteFunc(want.Verdicts, func(v hazard.Verdict) bool {
					return !slices.Contains(classes, v.Class)
				})
				slices.SortFunc(got.Verdicts, func(a, b hazard.Verdict) int { return cmp.Compare(a.Class, b.Class) })
				if !reflect.DeepEqual(got.Verdicts, want.Verdicts) || !reflect.DeepEqual(got.Stand, want.Stand) {
					t.Fatalf("seed %d, %s, day %d with %v: %v, folded %v", seed, s.id, i, b, got.Verdicts, want.Verdicts)
				}
				supposed++
			}
		}
	}
	if supposed < 500 {
		t.Errorf("only %d times and %d answers; this test proves little", supposed, answers)
	}
}
