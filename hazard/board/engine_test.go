package board

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/judge"
	"rimegate/hazard/rules"
)

// seasonLines is an invented September on an invented farm: sorghum-sudangrass
// with oats that froze on Fri 11 Sep with the pairs inside, oats and peas whose
// sample was clear before that frost, a brome pasture, and baleage of August.
func seasonLines() []string {
	var out []string
	n := 100
	add := func(kind, on, rest string) {
		n++
		l := line(n, kind, rest)
		l = strings.Replace(l, `"on":"2026-06-01"`, `"on":"`+on+`"`, 1)
		out = append(out, strings.Replace(l, "2026-09-11T06:40", on+"T11:40", 1))
	}
	add("farm", "2026-04-01", `"name":"Coulee Farm","zone":"America/Regina","frost_watch":{"from":"08-15","to":"06-15"},"contacts":{"manager":"Ann 555-0101","vet":"Dr Moss 555-0100"}`)
	add("station", "2026-04-01", `"station":"yard","name":"Yard","height_m":1.5`)
	add("paddock", "2026-04-01", `"paddock":"north-slough","name":"North Slough","area_ha":30,"station":"yard","low_lying":true`)
	add("paddock", "2026-04-01", `"paddock":"home-quarter","name":"Home Quarter","area_ha":60,"station":"yard"`)
	add("paddock", "2026-04-01", `"paddock":"creek","name":"Creek Grass","area_ha":40,"station":"yard"`)
	add("herd", "2026-04-01", `"herd":"pairs","classes":["bred-cattle"],"head":80,"weight_kg":620`)
	add("herd", "2026-04-01", `"herd":"yearlings","classes":["open-cattle"],"head":60,"weight_kg":380`)
	add("sown", "2026-06-05", `"paddock":"north-slough","species":[{"species":"sorghum-sudangrass","share":70},{"species":"oats","share":30}],"new_stand":true`)
	add("sown", "2026-06-01", `"paddock":"home-quarter","species":[{"species":"oats"},{"species":"field peas"}],"new_stand":true`)
	add("sown", "2010-05-01", `"paddock":"creek","species":[{"species":"smooth brome"}],"new_stand":true`)
	add("walk", "2026-09-01", `"paddock":"creek","weeds_checked":true,"frost_damage":"none"`)
	add("walk", "2026-09-06", `"paddock":"north-slough","shortest_cm":95,"shoots_cm":0,"wilted":false,"frost_damage":"none","weeds_checked":true`)
	add("grazed", "2026-09-08", `"paddock":"north-slough","state":"in","herd":"pairs"`)
	add("lab", "2026-09-04", `"paddock":"home-quarter","sampled_on":"2026-09-04","analyte":"nitrate","values":[2400],"form":"NO3","unit":"ppm","basis":"dm","method":"lab","stems":24,"spots":12,"cut_cm":8`)
	add("cut", "2026-08-20", `"paddock":"creek","use":"hay"`)
	add("lot", "2026-08-27", `"lot":"brome-26","lot_kind":"hay","made_on":"2026-08-27","from":["creek"],"cut_on":"2026-08-20","bales":90`)
	for d := day("2026-08-15"); d <= day("2026-09-10"); d++ {
		if d == day("2026-09-09") {
			continue // the logger was down
		}
		add("reading", d.String(), `"station":"yard","night":"`+d.String()+`","low_c":8`)
	}
	add("frost", "2026-09-11", `"paddocks":["north-slough","home-quarter","creek"],"night":"2026-09-11","low_c":-3,"seen":"white grass"`)
	return out
}

func season(t testing.TB, on string, hour int, extra ...string) *hazard.Assessment {
	t.Helper()
	d := day(on)
	loc, err := fields.LoadZone("America/Regina")
	if err != nil {
		t.Fatal(err)
	}
	h := fields.Fold(entries(t, append(seasonLines(), extra...)...), fields.View{On: d, KnownAt: d.At(hour, 0, loc)})
	return hazard.Assess(h, rules.Default())
}

// From journal lines to the sheet, through the engine and the real rulebook.
// The golden files say what a person reads; the checks below say what must
// hold whatever the words.
func TestSeasonEndToEnd(t *testing.T) {
	a := season(t, "2026-09-11", 12)
	l := Today(a, Filter{})
	golden(t, "season-80.txt", undigested(listText(t, l, 80), a))
	golden(t, "season-60.txt", undigested(listText(t, l, 60), a))
	graze, bred := hazard.Graze, hazard.BredCattle
	golden(t, "season-why-80.txt", undigested(whyText(t, a, "north-slough", Filter{Use: &graze, Class: &bred}, 80), a))
	golden(t, "season-why-lot-80.txt", undigested(whyText(t, a, "brome-26", Filter{Class: &bred}, 80), a))

	if len(l.MoveOut) != 1 || l.MoveOut[0] != "MOVE OUT NOW: pairs in North Slough" {
		t.Errorf("the pairs stand in frosted sorghum, but the first lines are %q", l.MoveOut)
	}
	north := l.Rows[0]
	if north.ID != "north-slough" || north.Flag != hazard.Hold || north.Through != Day(day("2026-09-25")) {
		t.Errorf("the first row is %s, %v through %s; want North Slough on hold through D0+14, Fri 25 Sep", north.ID, north.Flag, north.Through.Words(a.History.On))
	}
	text, err := TodayJSON(a, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	validate(t, schema(t), text)
}

// undigested takes the rulebook's version and digest out: they change with
// every number of the rulebook, the words need not.
func undigested(s string, a *hazard.Assessment) string {
	return strings.Replace(s, a.Book.Version+", digest "+a.Book.Digest[:12], "VERSION, digest DIGEST", 1)
}

// What changed when the frost was logged: the day before against the day.
func TestSeasonChanges(t *testing.T) {
	before, after := season(t, "2026-09-10", 12), season(t, "2026-09-11", 12)
	golden(t, "season-changes.txt", strings.Join(ChangeLines(Changes(before, after, Filter{})), "\n")+"\n")
}

// Every text of every form is whole, over three weeks of mornings.
func TestSeasonEveryMorning(t *testing.T) {
	s := schema(t)
	for d := day("2026-09-01"); d <= day("2026-09-30"); d += 4 {
		a := season(t, d.String(), 7)
		checkSheet(t, listText(t, Today(a, Filter{}), 80), 80, len(a.Paddocks)+len(a.Lots))
		for i := range a.Paddocks {
			for _, v := range a.Paddocks[i].Verdicts {
				for _, h := range v.Hazards {
					for j := range h.Reasons {
						r := &h.Reasons[j]
						checkSentence(t, r.Line, WordsFor(r, v.Use, a, Metric))
						if w := WordsFor(r, v.Use, a, Metric); strings.Contains(w, lines[hazard.LineNone].says) {
							t.Errorf("line %d of rule %s has no words", r.Line, r.Rule)
						}
						for _, src := range newSpeaker(a, Metric).sources(r) {
							if strings.HasPrefix(src, "no source is on record") {
								t.Errorf("%s on %s: %s", r.Rule, d, src)
							}
						}
					}
				}
			}
		}
		text, err := TodayJSON(a, Filter{})
		if err != nil {
			t.Fatal(err)
		}
		validate(t, s, text)
	}
}

// Whatever the engine says of random farms makes whole sentences with sources.
func TestWordsOfRandomSeasons(t *testing.T) {
	book, r := rules.Default(), rand.New(rand.NewPCG(1, 2))
	said := map[hazard.Line]bool{}
	for range 40 {
		season := judge.RandomSeason(r, book)
		q := judge.RandomQuestion(r, season)
		a := hazard.Assess(fields.Fold(season.Entries, fields.View{On: q.On, KnownAt: q.Moment}), book)
		s := newSpeaker(a, US)
		check := func(vs []hazard.Verdict) {
			for i := range vs {
				for _, h := range vs[i].Hazards {
					for j := range h.Reasons {
						x := &h.Reasons[j]
						said[x.Line] = true
						checkSentence(t, x.Line, s.reason(x, vs[i].Use))
						checkSentence(t, x.Line, sentence(s.fill(lines[x.Line].short, x)))
						if lifts := s.lifts(x); lifts != "" {
							checkSentence(t, x.Line, lifts)
						}
						if src := s.sources(x); strings.HasPrefix(src[0], "no source is on record") {
							t.Errorf("%s: %s", x.Rule, src)
						}
					}
				}
			}
		}
		for i := range a.Paddocks {
			check(a.Paddocks[i].Verdicts)
			for _, task := range s.tasks(&a.Paddocks[i]) {
				checkSentence(t, hazard.LineNone, task.Text)
			}
		}
		for i := range a.Lots {
			check(a.Lots[i].Verdicts)
		}
	}
	if len(said) < 50 {
		t.Errorf("only %d lines were said", len(said))
	}
}

func BenchmarkToday(b *testing.B) {
	a := season(b, "2026-09-11", 12)
	for _, c := range []struct {
		name string
		run  func()
	}{
		{"assess", func() { hazard.Assess(a.History, a.Book) }},
		{"page", func() { var w bytes.Buffer; NewPage(a, Filter{}, nil).Text(&w, 80) }},
		{"list", func() { var w bytes.Buffer; Today(a, Filter{}).Text(&w, 80) }},
		{"json", func() { TodayJSON(a, Filter{}) }},
		{"why", func() { Why(a, "north-slough", Filter{}) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			for range b.N {
				c.run()
			}
		})
	}
}

// A pile of silage has no bales to core.
func TestSilageHasNoBales(t *testing.T) {
	a := season(t, "2026-09-11", 12, line(900, "lot", `"lot":"pit","lot_kind":"silage","made_on":"2026-09-05","from":["home-quarter"]`))
	text := whyText(t, a, "pit", Filter{}, 200)
	if !strings.Contains(text, "ake 20 cores all over the pile") || strings.Contains(text, "bales") {
		t.Error(text)
	}
}

// Plants of an older stand that make prussic acid are named when a new stand is logged.
func TestStillCounts(t *testing.T) {
	sown := func(paddock, species, more string) string {
		return line(900, "sown", `"paddock":"`+paddock+`","species":[{"species":"`+species+`"}]`+more)
	}
	for _, c := range []struct{ entry, want string }{
		{sown("north-slough", "oats", `,"new_stand":true`), "Sorghum-sudangrass of the older stand still counts in North Slough: "},
		{sown("north-slough", "sorghum-sudangrass", `,"new_stand":true`), ""},
		{sown("north-slough", "oats", ``), ""},
		{sown("home-quarter", "barley", `,"new_stand":true`), ""},
	} {
		e := strings.Replace(c.entry, `"on":"2026-06-01"`, `"on":"2026-09-10"`, 1)
		got := StillCounts(season(t, "2026-09-11", 12, e), &entries(t, e)[0])
		if c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q", e, got)
		}
	}
}

// Bought feed of which nobody said how dry it is waits as silage does, and says so.
func TestBoughtHayIsNotCalledEnsiling(t *testing.T) {
	bought := func(dm string) string {
		a := season(t, "2026-09-11", 12, line(900, "lot", `"lot":"truck","lot_kind":"bought","made_on":"2026-09-05"`+dm))
		return whyText(t, a, "truck", Filter{}, 400)
	}
	if s := bought(""); !strings.Contains(s, "nobody said how dry it is") || !strings.Contains(s, "--dm 86%") || strings.Contains(s, "still ensiling") {
		t.Error(s)
	}
	if s := bought(`,"dm_pct":88`); strings.Contains(s, "how dry") || !strings.Contains(s, "cur") {
		t.Error(s)
	}
}
