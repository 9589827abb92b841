package board

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"rimegate/fields"
	"rimegate/hazard"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares got with testdata/name, or writes it with -update.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; run the tests once with -update and read what was written", err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("%s differs (-want +got; -update writes it anew, read what changed):\n%s", path, d)
	}
}

func day(s string) fields.Date {
	d, err := fields.ParseISODate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func entries(t testing.TB, lines ...string) []fields.Entry {
	t.Helper()
	es, err := fields.ReadJSONL(strings.NewReader(strings.Join(lines, "\n")))
	if err != nil {
		t.Fatal(err)
	}
	return es
}

// line is a journal line with an id made of a number.
func line(n int, kind, rest string) string {
	id := "01J8ZZZZZZZZZZZZZZZZZZ0000"
	digits := "0123456789"
	b := []byte(id)
	for i := 25; n > 0; i-- {
		b[i] = digits[n%10]
		n /= 10
	}
	return `{"id":"` + string(b) + `","kind":"` + kind + `","recorded":"2026-09-11T06:40:00-06:00","by":"Ann","on":"2026-06-01",` + rest + `}`
}

func id(n int) string {
	s := line(n, "x", "")
	return s[7 : 7+26]
}

// farmLines is an invented farm with three paddocks and two herds.
func farmLines() []string {
	return []string{
		line(1, "farm", `"name":"Coulee Farm","zone":"America/Regina","units":"metric","contacts":{"manager":"Ann 555-0101","vet":"Dr Moss 555-0100"}`),
		line(2, "paddock", `"paddock":"north-slough","name":"North Slough","station":"yard"`),
		line(3, "paddock", `"paddock":"home-quarter","name":"Home Quarter","station":"yard"`),
		line(4, "paddock", `"paddock":"creek","name":"Creek Grass","station":"yard"`),
		line(5, "station", `"station":"yard","name":"Yard"`),
		line(6, "herd", `"herd":"pairs","classes":["bred-cattle"],"head":40`),
		line(7, "herd", `"herd":"steers","classes":["open-cattle"],"head":25`),
		line(8, "frost", `"paddocks":["north-slough"],"night":"2026-09-11","low_c":-3`),
		line(9, "grazed", `"paddock":"north-slough","state":"in","herd":"pairs"`),
		line(10, "walk", `"paddock":"creek","weeds_checked":true`),
		line(11, "vet", `"paddock":"home-quarter","advice":"may-graze","who":"Dr Moss","because":"walked it with the manager","until":"2026-09-14"`),
		line(12, "incident", `"paddock":"north-slough","down":2,"dead":1,"what":"found at the trough"`),
		line(13, "vet", `"paddock":"home-quarter","advice":"keep-off","who":"Dr Moss","because":"two samples pending"`),
	}
}

func farmHistory(t testing.TB, extra ...string) *fields.History {
	t.Helper()
	at := time.Date(2026, 9, 11, 12, 52, 0, 0, time.UTC)
	return fields.Fold(entries(t, append(farmLines(), extra...)...), fields.View{On: day("2026-09-11"), KnownAt: at})
}

// closeVerdict derives a verdict from its reasons, as the engine does.
func closeVerdict(v *hazard.Verdict) {
	for i := range v.Hazards {
		h := &v.Hazards[i]
		h.Hazard, h.MaxShare = hazard.Hazard(i), -1
		for _, r := range h.Reasons {
			h.Flag = max(h.Flag, r.Flag)
			if r.Flag == hazard.Hold {
				h.Through = max(h.Through, r.Through)
			}
		}
		v.Flag = max(v.Flag, h.Flag)
		if h.Flag == hazard.Hold {
			v.Through = max(v.Through, h.Through)
		}
	}
	for _, h := range v.Hazards {
		for _, r := range h.Reasons {
			if r.Flag == v.Flag {
				v.Need = max(v.Need, r.Need)
			}
		}
	}
}

var vetNone = hazard.Reason{Line: hazard.LineVetNone, Rule: "vet.none", Flag: hazard.Clear}

// verdict is a verdict made by hand.
func verdict(u hazard.Use, c hazard.Class, prussic, nitrate []hazard.Reason, vet ...hazard.Reason) hazard.Verdict {
	if len(vet) == 0 {
		vet = []hazard.Reason{vetNone}
	}
	v := hazard.Verdict{Use: u, Class: c}
	v.Hazards[0].Reasons, v.Hazards[1].Reasons, v.Hazards[2].Reasons = prussic, nitrate, vet
	closeVerdict(&v)
	return v
}

func one(r hazard.Reason) []hazard.Reason { return []hazard.Reason{r} }

// Reasons that the engine gives, made by hand.
var (
	froze = hazard.Reason{
		Line: hazard.LineClock, Rule: "prussic.frost.wait", Flag: hazard.Hold, Through: day("2026-09-25"), Need: hazard.NeedTime,
		On: day("2026-09-11"), Frost: day("2026-09-11"), Days: 14, Entries: []string{id(8)},
	}
	unmeasured = hazard.Reason{
		Line: hazard.LineNeverMeasured, Rule: "height.unmeasured", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedEvidence,
		Began: day("2026-06-01"), Figure: hazard.Figure{Of: hazard.HeightCM, Limit: 76}, Species: "sorghum-sudangrass",
	}
	horses    = hazard.Reason{Line: hazard.LineHorses, Rule: "species.horses", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, Species: "sorghum-sudangrass"}
	swathGone = hazard.Reason{Line: hazard.LineNoSwath, Rule: "use.no-swath", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision}
	noP       = hazard.Reason{Line: hazard.LineNoP, Rule: "species.none", Flag: hazard.Clear, Plants: []string{"oats", "field-peas"}}
	untried   = hazard.Reason{Line: hazard.LineNitrateUntested, Rule: "nitrate.standing.life", Flag: hazard.Caution, Need: hazard.NeedEvidence, Plants: []string{"oats"}}
	nWait     = hazard.Reason{
		Line: hazard.LineNitrateWait, Rule: "nitrate.frost.wait", Flag: hazard.Hold, Through: day("2026-09-25"), Need: hazard.NeedTime,
		On: day("2026-09-11"), Days: 14, Stress: hazard.Stress{Kind: hazard.StressFrost, On: day("2026-09-11"), Ends: day("2026-09-11") + 14}, Entries: []string{id(8)},
	}
	nLow     = hazard.Reason{Line: hazard.LineNitrateLow, Rule: "nitrate.low", Flag: hazard.Clear, Plants: []string{"smooth-brome"}}
	cutClear = hazard.Reason{Line: hazard.LineCutClear, Rule: "cut.clear", Flag: hazard.Clear}
	chopWait = hazard.Reason{
		Line: hazard.LineChopWait, Rule: "prussic.chop.wait", Flag: hazard.Hold, Through: day("2026-09-18"), Need: hazard.NeedTime,
		On: day("2026-09-11"), Frost: day("2026-09-11"), Days: 7, Entries: []string{id(8)},
	}
	cutNow = hazard.Reason{Line: hazard.LineNitrateCutNow, Rule: "nitrate.frost.wait", Flag: hazard.Clear, On: day("2026-09-11")}
)

func paddockAnswer(h *fields.History, id string, of func(u hazard.Use, c hazard.Class) hazard.Verdict) hazard.PaddockAnswer {
	p := hazard.PaddockAnswer{
		Paddock: h.Paddock(id), Inside: h.Inside([]string{id}),
		Data: hazard.DataThrough{Night: h.On, Walk: day("2026-09-01")},
	}
	for _, u := range hazard.PaddockUses {
		for _, c := range hazard.Classes {
			p.Verdicts = append(p.Verdicts, of(u, c))
		}
	}
	return p
}

// testBook is a small rulebook made by hand; the numbers are those of the
// default one.
func testBook() *hazard.Rulebook {
	b := &hazard.Rulebook{
		Name: "cautious", Version: "1.0.0", Digest: "0123456789abcdef0123456789abcdef",
		Species: map[string]*hazard.Species{
			"oats":               {ID: "oats", Name: "oats", Habit: hazard.HabitNone, Height: -1, Nitrate: hazard.NitrateYes},
			"field-peas":         {ID: "field-peas", Name: "field peas", Habit: hazard.HabitNone, Height: -1, Nitrate: hazard.NitrateLow},
			"smooth-brome":       {ID: "smooth-brome", Name: "smooth brome", Habit: hazard.HabitNone, Height: -1, Nitrate: hazard.NitrateLow},
			"sorghum-sudangrass": {ID: "sorghum-sudangrass", Name: "sorghum-sudangrass", Habit: hazard.HabitSorghum, Height: hazard.HeightSorghumSudangrass, Sources: []string{"invented"}},
		},
		Info:   map[string]hazard.RuleInfo{},
		Tables: []hazard.NitrateTableData{{ID: "clemson", Source: hazard.Source{ID: "clemson", Publisher: "Clemson University", Title: "Nitrate level", URL: "https://clemson.edu/public/regulatory/ag-srvc-lab/feed-forage/nitrate-level.html"}}},
	}
	for k, v := range map[hazard.RuleKey]float64{
		hazard.FrostTrigger: 0, hazard.FrostPossible: 2.2, hazard.FrostWait: 14, hazard.FrostKillWalkAfter: 2, hazard.FrostOutgrown: 28,
		hazard.HeightLife: 7, hazard.NitratePeakFrom: 4, hazard.NitratePeakTo: 7, hazard.NitrateSampleStems: 20, hazard.NitrateSampleSpots: 10,
		hazard.NitrateSampleCutCM: 10, hazard.NitrateSampleBales: 20, hazard.NitrateSampleBalesPct: 20, hazard.NitrateBaleSpread: 2.26, hazard.NitrateCutLeave: 30,
	} {
		b.V[k] = v
	}
	b.Info["prussic.frost.wait"] = hazard.RuleInfo{
		ID: "prussic.frost.wait", Title: "Wait after a frost", Unit: "days", Basis: "published",
		Sources: []hazard.Source{
			// The two rows stand in for the rulebook's own list.
			{Publisher: "University of Tennessee Extension", Title: "Beware of frosted sorghums", URL: "https://www.stockdales.com/ask-an-expert/beware-of-frosted-sorghums/", Says: "two weeks after a frost that does not kill"},
			{Publisher: "Kansas State University", Title: "Managing forages after a hard freeze", URL: "https://eupdate.agronomy.ksu.edu/article/managing-forages-after-a-hard-freeze-566-2", Says: "10 to 14 days without another frost"},
		},
	}
	b.Info["species.horses"] = hazard.RuleInfo{ID: "species.horses", Basis: "published", Sources: []hazard.Source{{ID: "invented", Publisher: "Invented Station", Title: "Horses and sorghum", Year: 2010, Says: "no stage is safe"}}}
	b.Info["prussic.hail.wait"] = hazard.RuleInfo{ID: "prussic.hail.wait", Basis: "ours"}
	return b
}

// farmAssessment is a morning made by hand: North Slough frosted with the pairs
// inside, Home Quarter untested, Creek Grass clear.
func farmAssessment(t testing.TB, extra ...string) *hazard.Assessment {
	t.Helper()
	h := farmHistory(t, extra...)
	a := &hazard.Assessment{History: h, Book: testBook(), Data: hazard.DataThrough{Night: h.On, Walk: day("2026-09-01")}}
	cut := func(u hazard.Use, c hazard.Class, silage, nitrate hazard.Reason) hazard.Verdict {
		if u == hazard.CutSilage {
			return verdict(u, c, one(silage), one(nitrate))
		}
		return verdict(u, c, one(cutClear), one(nitrate))
	}
	north := paddockAnswer(h, "north-slough", func(u hazard.Use, c hazard.Class) hazard.Verdict {
		switch u {
		case hazard.CutHay, hazard.CutSilage:
			return cut(u, c, chopWait, cutNow)
		case hazard.SwathGraze:
			return verdict(u, c, one(swathGone), one(swathGone))
		}
		prussic := one(froze)
		if c == hazard.Horses {
			prussic = []hazard.Reason{horses, froze}
		}
		nitrate := one(nWait)
		if c == hazard.OpenCattle || c == hazard.Horses {
			w := nWait
			w.Line, w.Flag, w.Through = hazard.LineNitrateInsideWait, hazard.Caution, fields.NoDate
			nitrate = []hazard.Reason{w, untried}
		}
		return verdict(u, c, prussic, nitrate)
	})
	north.Species = []string{"sorghum-sudangrass", "oats"}
	north.Stand = hazard.StandState{Start: day("2026-06-01"), HasP: true, MinHeight: 76, LastHeight: 90, HeightOn: day("2026-09-08"), LastClock: day("2026-09-11"), ClockEnd: day("2026-09-25")}
	home := paddockAnswer(h, "home-quarter", func(u hazard.Use, c hazard.Class) hazard.Verdict {
		switch u {
		case hazard.CutHay, hazard.CutSilage:
			return cut(u, c, cutClear, cutClear)
		case hazard.SwathGraze:
			return verdict(u, c, one(swathGone), one(swathGone))
		}
		n := untried
		if c == hazard.OpenCattle {
			n = hazard.Reason{Line: hazard.LineNitrateClears, Rule: "nitrate.tables", Flag: hazard.Clear, On: day("2026-09-08"), Nitrate: &hazard.NitrateSays{Flag: hazard.Clear, Value: 620, MaxShare: 100}}
		}
		return verdict(u, c, one(noP), one(n))
	})
	home.Species = []string{"oats", "field-peas"}
	creek := paddockAnswer(h, "creek", func(u hazard.Use, c hazard.Class) hazard.Verdict {
		switch u {
		case hazard.CutHay, hazard.CutSilage:
			return cut(u, c, cutClear, cutClear)
		case hazard.SwathGraze:
			return verdict(u, c, one(swathGone), one(swathGone))
		}
		clear := noP
		clear.Plants = []string{"smooth-brome"}
		return verdict(u, c, one(clear), one(nLow))
	})
	creek.Species = []string{"smooth-brome"}
	a.Paddocks = []hazard.PaddockAnswer{creek, home, north}

	lot := hazard.LotAnswer{
		Lot: "bales-1", Suspect: true, SiloGasThrough: day("2026-09-20"), Data: hazard.DataThrough{Lab: day("2026-09-05")},
		Facts: fields.LotFacts{Lot: "bales-1", LotKind: "baleage", MadeOn: day("2026-08-30"), From: []string{"north-slough"}, Species: []string{"sorghum-sudangrass"}},
	}
	ensile := hazard.Reason{Line: hazard.LineEnsile, Rule: "prussic.silage.wait", Flag: hazard.Hold, Through: day("2026-10-25"), Need: hazard.NeedTime, On: day("2026-08-30"), Days: 56}
	suspect := hazard.Reason{Line: hazard.LineSuspect, Rule: "prussic.hay.cure", Flag: hazard.Caution, Need: hazard.NeedEvidence, Why: hazard.Suspicion{Line: hazard.LineUnreadNights, On: day("2026-08-28")}, Bales: 20}
	half := hazard.Reason{
		Line: hazard.LineNitrateLotTable, Rule: "nitrate.tables", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-09-05"),
		Nitrate: &hazard.NitrateSays{Flag: hazard.Caution, Value: 1250, Limit: 1000, Table: "clemson", Source: "clemson", Words: "at most half of the ration for pregnant stock", MaxShare: 50},
	}
	for _, c := range hazard.Classes {
		v := verdict(hazard.Feed, c, []hazard.Reason{ensile, suspect}, one(half))
		v.Hazards[hazard.Nitrate].MaxShare = 50
		v.FeedFrom = day("2026-10-26")
		lot.Verdicts = append(lot.Verdicts, v)
	}
	a.Lots = []hazard.LotAnswer{lot}
	return a
}
