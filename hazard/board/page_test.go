package board

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/moves"
)

func pageText(t *testing.T, a *hazard.Assessment, f Filter, width int) string {
	t.Helper()
	var b strings.Builder
	if err := NewPage(a, f, nil).Text(&b, width); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// dated is a journal line of a day.
func onDayLine(n int, kind, on, rest string) string {
	l := strings.Replace(line(n, kind, rest), `"on":"2026-06-01"`, `"on":"`+on+`"`, 1)
	return strings.Replace(l, "2026-09-11T06:40", on+"T11:40", 1)
}

// grass is a pasture of smooth brome that a walk left clear, with kg of feed for a
// hectare where it was measured.
func grass(n int, id, kg string) []string {
	if kg != "" {
		kg = `,"kg_dm_ha":` + kg
	}
	return []string{
		onDayLine(n, "paddock", "2026-04-01", `"paddock":"`+id+`","name":"`+strings.ToUpper(id[:1])+id[1:]+`","area_ha":40,"station":"yard"`),
		onDayLine(n+1, "sown", "2010-05-01", `"paddock":"`+id+`","species":[{"species":"smooth brome"}],"new_stand":true`),
		onDayLine(n+2, "walk", "2026-09-10", `"paddock":"`+id+`","weeds_checked":true,"frost_damage":"none"`+kg),
	}
}

func joined(lists ...[]string) (out []string) {
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

// The page of a season as a person reads it, on wide and narrow terminals.
func TestPageGolden(t *testing.T) {
	a := season(t, "2026-09-11", 12, joined(grass(300, "hills", ""), grass(310, "sands", "1500"))...)
	for _, width := range []int{40, 80, 120} {
		golden(t, fmt.Sprintf("page-%d.txt", width), pageText(t, a, Filter{}, width))
	}
	for _, lang := range []string{"es", "fr"} {
		tongue, err := CatalogFor(lang)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := NewPage(a, Filter{}, tongue).Text(&b, 80); err != nil {
			t.Fatal(err)
		}
		golden(t, "page-"+lang+".txt", b.String())
	}
	coming := season(t, "2026-09-12", 12)
	coming.History.KnownAt = coming.History.KnownAt.AddDate(0, 0, -1)
	golden(t, "page-coming.txt", pageText(t, coming, Filter{}, 80))
}

// Where to: the free clear paddock with the most feed; without measured feed the
// first by name, said as such; never one where others stand, nor the same for two
// herds; and where there is none, what to do instead. The plan of the moves starts
// in the same place.
func TestWhereTo(t *testing.T) {
	yearlingsIn := func(id string) string {
		return onDayLine(350, "grazed", "2026-09-09", `"paddock":"`+id+`","state":"in","herd":"yearlings"`)
	}
	for _, c := range []struct {
		name  string
		extra []string
		want  []string
		place string // where the plan has the pairs today
	}{
		{
			"the most feed", joined(grass(300, "hills", "900"), grass(310, "sands", "1500"), grass(320, "aspen", "")),
			[]string{"SANDS, YES for them (feed for 10 days)"},
			"sands",
		},
		{
			"not measured", joined(grass(300, "hills", ""), grass(310, "sands", "")),
			[]string{"HILLS, YES for them (feed not measured)"},
			"",
		},
		{
			"no day's feed", joined(grass(300, "hills", "1")),
			[]string{"HILLS, YES for them (not a day's feed there: feed them too)"},
			"",
		},
		{
			"taken", joined(grass(300, "hills", "900"), []string{yearlingsIn("hills")}),
			[]string{"NO FREE CLEAR PADDOCK FOR THEM: out now, into a yard or corral", "Hills is YES but yearlings are there."},
			"",
		},
		{
			"two herds", joined(grass(300, "hills", "900"), grass(310, "sands", "1500"), []string{
				yearlingsIn("home-quarter"),
				onDayLine(360, "incident", "2026-09-11", `"paddock":"home-quarter","down":1`),
			}),
			[]string{"YEARLINGS out of HOME QUARTER: animal down 11 Sep.", "SANDS, YES", "HILLS, YES"},
			"",
		},
		{"none", nil, []string{"NO CLEAR PADDOCK FOR THEM"}, ""},
	} {
		a := season(t, "2026-09-11", 12, append(c.extra, onDayLine(370, "incident", "2026-09-11", `"paddock":"creek","down":1`))...)
		var acts []string
		for _, x := range NewPage(a, Filter{}, nil).Acts {
			acts = append(acts, x.Word+": "+x.What+" "+x.To)
		}
		text := strings.Join(acts, "\n")
		if !strings.Contains(text, "MOVE OUT NOW: PAIRS out of NORTH SLOUGH: frost 11 Sep.") || !strings.Contains(text, "Tell Ann 555-0101; nobody answers: do step 1") &&
			!strings.Contains(text, "Call Ann 555-0101; nobody answers: move") {
			t.Errorf("%s: %s", c.name, text)
		}
		for _, w := range c.want {
			if !strings.Contains(text, w) {
				t.Errorf("%s: no %q in %s", c.name, w, text)
			}
		}
		s := moves.Weigh([]*hazard.Assessment{a}, moves.Settings{})
		to := Refuges(a, s)
		s.Replan()
		if got := s.Stretches(&s.Plan, 0); c.place != "" && (got[0].Ground != to[0] || s.Grounds[got[0].Ground].ID != c.place) {
			t.Errorf("%s: the plan starts in %v, the page sends them to %d", c.name, got, to[0])
		}
	}
}

// No clear paddock is named to move to that is not clear any more once they are in.
func TestRefugeStaysClear(t *testing.T) {
	a := season(t, "2026-09-11", 12, append(grass(300, "hills", ""), onDayLine(370, "incident", "2026-09-11", `"paddock":"creek","down":1`))...)
	s := moves.Weigh([]*hazard.Assessment{a}, moves.Settings{})
	q := Refuges(a, s)[0]
	if q == moves.Nowhere || s.Grounds[q].ID != "hills" || !staysClear(a, s, 0, q) {
		t.Fatalf("the refuge is %d", q)
	}
	for i := range a.Paddocks { // a list that says more than the entries do
		if p := &a.Paddocks[i]; p.Paddock.ID == "home-quarter" {
			for j := range p.Verdicts {
				p.Verdicts[j] = verdict(p.Verdicts[j].Use, p.Verdicts[j].Class, one(noP), one(nLow))
			}
		}
	}
	s = moves.Weigh([]*hazard.Assessment{a}, moves.Settings{})
	if q := Refuges(a, s)[0]; s.Grounds[q].ID != "hills" {
		t.Errorf("sent to %s, which is a NO once they are in", s.Grounds[q].ID)
	}
}

// Stock that goes in where a swath lies stands on the swath too: such a paddock is no
// place to move to unless the swath is clear as well, and neither is it for the plan.
func TestRefugeHasNoBadSwath(t *testing.T) {
	a := season(t, "2026-09-11", 12, append(grass(300, "hills", "900"), onDayLine(370, "incident", "2026-09-11", `"paddock":"creek","down":1`))...)
	for i := range a.Paddocks {
		for j := range a.Paddocks[i].Verdicts {
			if v := &a.Paddocks[i].Verdicts[j]; a.Paddocks[i].Paddock.ID == "hills" && v.Use == hazard.SwathGraze {
				*v = verdict(v.Use, v.Class, one(froze), one(untried))
			}
		}
	}
	s := moves.Weigh([]*hazard.Assessment{a}, moves.Settings{})
	if q, known := Refuges(a, s)[0]; !known || q != moves.Nowhere {
		t.Errorf("sent to %d, where the swath is on hold", q)
	}
}

// Of stock that nobody named it is not said that no paddock is clear for it.
func TestUnnamedStockMovesToAYard(t *testing.T) {
	a := season(t, "2026-09-11", 12, onDayLine(300, "grazed", "2026-09-09", `"paddock":"home-quarter","state":"in"`),
		onDayLine(301, "incident", "2026-09-11", `"paddock":"home-quarter","down":1`))
	for _, x := range NewPage(a, Filter{}, nil).Acts {
		if x.Herd == "" && strings.HasPrefix(x.To, "Out now, into a yard or corral (never one that is a NO here): nobody logged which herd it is.") {
			return
		}
	}
	t.Error("nothing is said of the stock in Home Quarter")
}

// Twenty paddocks and three herds on a bad morning stay within 60 lines of 80 cells,
// an ordinary morning well below.
func TestPageFits(t *testing.T) {
	for _, c := range []struct {
		name  string
		dirty int // paddocks of sorghum
		most  int
	}{{"ordinary", 4, 55}, {"mixed", 10, 60}, {"all frosted", 20, 60}} {
		var extra []string
		for i := range 17 {
			id := fmt.Sprintf("field-%d", i+1)
			if i >= c.dirty {
				extra = append(extra, grass(300+10*i, id, "")...)
				continue
			}
			extra = append(extra, onDayLine(300+10*i, "paddock", "2026-04-01", `"paddock":"`+id+`","name":"Field `+fmt.Sprint(i+1)+`","station":"yard"`),
				onDayLine(301+10*i, "sown", "2026-06-05", `"paddock":"`+id+`","species":[{"species":"sorghum-sudangrass"}],"new_stand":true`))
			if i%3 > 0 {
				extra = append(extra, onDayLine(302+10*i, "walk", "2026-09-06", fmt.Sprintf(`"paddock":"%s","shortest_cm":%d,"shoots_cm":0,"wilted":false,"frost_damage":"none","weeds_checked":true`, id, 60+20*(i%3))))
			}
		}
		extra = append(extra, onDayLine(600, "herd", "2026-04-01", `"herd":"ewes","classes":["sheep"],"head":140`),
			onDayLine(601, "grazed", "2026-09-09", `"paddock":"field-17","state":"in","herd":"ewes"`),
			onDayLine(602, "farm", "2026-04-01", `"name":"Coulee Farm","zone":"America/Regina","contacts":{"backup":"Moss 555-0102"}`))
		text := pageText(t, season(t, "2026-09-11", 12, extra...), Filter{}, 80)
		lines := strings.Count(text, "\n")
		t.Logf("%s: %d lines, %d words", c.name, lines, len(strings.Fields(text)))
		if lines > c.most {
			t.Errorf("%s: %d lines:\n%s", c.name, lines, text)
		}
	}
}

// Until all three can be called the page says on top who cannot: a name alone has no
// number.
func TestPageSaysWhoHasNoNumber(t *testing.T) {
	a := farmAssessment(t)
	for _, c := range []struct {
		who  *fields.Contacts
		want string
	}{
		{nil, "NO NUMBER ON FILE: the manager, the backup, the vet. "},
		{&fields.Contacts{Manager: "Ann", Backup: "555-0102", Vet: "Dr Moss 555-0100"}, "NO NUMBER ON FILE: the manager. "},
		{&fields.Contacts{Manager: "Ann 555-0101", Backup: "Bo 555-0102"}, "NO NUMBER ON FILE: the vet. "},
		{&fields.Contacts{Manager: "Ann 555-0101", Backup: "Bo 555-0102", Vet: "Dr Moss 555-0100"}, ""},
	} {
		a.History.Farm.Contacts = c.who
		loud := append(NewPage(a, Filter{}, nil).Loud, "")[0]
		if c.want == "" && strings.Contains(loud, "NO NUMBER") || !strings.HasPrefix(loud, c.want) {
			t.Errorf("%+v: %q, not %q", c.who, loud, c.want)
		}
	}
}

// Why, until when and the step after it take about twelve words, whatever the line.
func TestPageWhyIsShort(t *testing.T) {
	a := farmAssessment(t)
	s := newSpeaker(a, Metric)
	s.page = true
	for l := hazard.LineNone + 1; l < hazard.NumLines; l++ {
		r, _ := lineReason(l)
		v := verdict(hazard.Graze, hazard.BredCattle, one(r), nil)
		text := s.pageWhy(&v)
		if n := len(strings.Fields(text)); n > 16 || r.Flag != hazard.Clear && (n == 0 || lines[l].step == "" && v.Through == hazard.NoEnd) {
			t.Errorf("line %d: %d words: %q", l, n, text)
		}
		if strings.Contains(text, "  ") || strings.HasSuffix(text, ": ") || strings.Contains(text, ": ,") {
			t.Errorf("line %d: %q", l, text)
		}
	}
}

// A night is named as not read only where reading it can change an answer.
func TestPageNamesNightsThatMatter(t *testing.T) {
	sorghum := joined(grass(300, "hills", ""), []string{
		onDayLine(310, "paddock", "2026-04-01", `"paddock":"bench","name":"The Bench","station":"yard"`),
		onDayLine(311, "sown", "2026-06-05", `"paddock":"bench","species":[{"species":"sorghum-sudangrass"}],"new_stand":true`),
		onDayLine(312, "walk", "2026-09-10", `"paddock":"bench","shortest_cm":120,"shoots_cm":0,"wilted":false,"frost_damage":"none","weeds_checked":true`),
		onDayLine(313, "lab", "2026-09-08", `"paddock":"bench","sampled_on":"2026-09-08","analyte":"nitrate","values":[300],"form":"NO3","unit":"ppm","basis":"dm","method":"lab","stems":24,"spots":12,"cut_cm":8`),
	})
	a := season(t, "2026-09-12", 12, sorghum...)
	if p := NewPage(a, Filter{}, nil); !strings.HasPrefix(p.Unread, "NOT READ LAST NIGHT: The Bench. Log the LOWEST of the night from thermometer Yard: 0 °C (32 °F) or colder") {
		t.Errorf("a night that matters: %q", p.Unread)
	}
	read := onDayLine(400, "reading", "2026-09-14", `"station":"yard","night":"2026-09-12","low_c":9`)
	read = strings.Replace(read, "2026-09-14T", "2026-09-12T", 1)
	if p := NewPage(season(t, "2026-09-12", 12, append(sorghum, read)...), Filter{}, nil); p.Unread != "" {
		t.Errorf("a night that was read: %q", p.Unread)
	}
	near := append(slices.Clone(sorghum), strings.Replace(read, `"low_c":9`, `"low_c":1`, 1),
		onDayLine(401, "no-frost", "2026-09-12", `"paddocks":["bench"],"from":"2026-09-01","to":"2026-09-11","basis":"looked-at-dawn"`))
	p := NewPage(season(t, "2026-09-12", 12, near...), Filter{}, nil)
	for _, r := range p.Rows {
		if r.ID == "bench" && (strings.Contains(r.Why, "thermometer") || !strings.Contains(r.Why, "may have frozen")) {
			t.Errorf("a night that was read and may have frozen: %q", r.Why)
		}
	}
	if p.Unread != "" {
		t.Errorf("a night that was read and may have frozen: %q", p.Unread)
	}
}

// Herds have a column each, on farms with many those of the same classes share one,
// and a class asked for is answered for the herds that have it.
func TestPageColumns(t *testing.T) {
	heads := func(p *Page) string {
		var out []string
		for _, c := range p.Columns {
			out = append(out, c.Head)
		}
		return strings.Join(out, "|")
	}
	if got := heads(NewPage(season(t, "2026-09-11", 12), Filter{}, nil)); got != "pairs|yearlings" {
		t.Errorf("columns %q", got)
	}
	sheep := hazard.Sheep
	if got := heads(NewPage(season(t, "2026-09-11", 12), Filter{Class: &sheep}, nil)); got != "sheep" {
		t.Errorf("columns for sheep %q", got)
	}
	bred := hazard.BredCattle
	if got := heads(NewPage(season(t, "2026-09-11", 12), Filter{Class: &bred}, nil)); got != "pairs" {
		t.Errorf("columns for bred cattle %q", got)
	}
	if got := heads(NewPage(season(t, "2026-09-11", 12), Filter{Classes: &[]hazard.Class{hazard.OpenCattle, hazard.Horses}}, nil)); got != "yearlings|horses" {
		t.Errorf("columns for a class that no herd has %q", got)
	}
	var extra []string
	for i, class := range []string{"sheep", "sheep", "goats", "horses", "open-cattle"} {
		extra = append(extra, onDayLine(300+i, "herd", "2026-04-01", fmt.Sprintf(`"herd":"h%d","classes":["%s"],"head":10`, i, class)))
	}
	if got := heads(NewPage(season(t, "2026-09-11", 12, extra...), Filter{}, nil)); got != "h0, h1|h2|h3|h4, yearlings|pairs" {
		t.Errorf("columns of many herds %q", got)
	}
}

// What must stop being fed and what silo gas does stand on top, and a lot that must
// be asked about says how much of it, for whom, from the least they eat.
func TestPageFeed(t *testing.T) {
	a := season(t, "2026-09-11", 12,
		onDayLine(300, "lot", "2026-08-01", `"lot":"truck","lot_kind":"bought","made_on":"2026-08-01","bales":40`),
		onDayLine(301, "fed", "2026-09-10", `"lot":"truck","herd":"pairs","from":"2026-09-10"`),
		onDayLine(302, "lot", "2026-07-01", `"lot":"bench","lot_kind":"hay","made_on":"2026-07-01","from":["creek"],"cut_on":"2026-06-25","bales":20,"dm_pct":80`),
		onDayLine(303, "lab", "2026-08-01", `"lot":"bench","sampled_on":"2026-08-01","analyte":"nitrate","values":[4200],"form":"NO3","unit":"ppm","basis":"dm","method":"lab","bales_cored":20,"cores":20`),
	)
	p := NewPage(a, Filter{}, nil)
	text := pageText(t, a, Filter{}, 200)
	if n := len(p.Acts); n != 2 || p.Acts[1].Word != "STOP FEEDING NOW" || !strings.HasPrefix(p.Acts[1].What, "TRUCK to PAIRS: never tested") {
		t.Errorf("acts %+v", p.Acts)
	}
	if !strings.Contains(text, "at most half the ration: ") || !strings.Contains(text, "kg a head a day") {
		t.Errorf("no share on the page:\n%s", text)
	}
}

// Whatever stands in a journal, a page is as wide as asked and holds no control
// character, and every row has a word for every column.
func TestHostilePage(t *testing.T) {
	for _, name := range hostileNames {
		a := farmAssessment(t)
		a.Paddocks[2].Paddock.Name, a.History.Farm.Name, a.Lots[0].Lot = name, name, name
		a.History.Herds[0].HerdFacts.Herd = name
		for _, width := range []int{40, 60, 80} {
			text := pageText(t, a, Filter{}, width)
			for _, x := range strings.Split(text, "\n") {
				if w := Width(x); w > width {
					t.Errorf("%d cells, want at most %d: %q", w, width, x)
				}
				if strings.ContainsAny(x, "\x1b\u202e\u009b\u0085\r\t") {
					t.Errorf("a control character: %q", x)
				}
			}
		}
		p := NewPage(a, Filter{}, nil)
		for _, r := range append(p.Rows, p.Feed...) {
			if len(r.Flags) != len(p.Columns) {
				t.Errorf("%d words for %d columns", len(r.Flags), len(p.Columns))
			}
		}
	}
}

// A flag that nobody decided never becomes a word.
func TestUndecidedPagePanics(t *testing.T) {
	a := farmAssessment(t)
	a.Paddocks[1].Verdicts[0].Flag = hazard.Unknown
	defer func() {
		if recover() == nil {
			t.Error("an undecided flag was printed")
		}
	}()
	NewPage(a, Filter{}, nil)
}
