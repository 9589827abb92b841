package board

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"rimegate/hazard"
)

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	return compiled(t, TodaySchema)
}

func compiled(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource("today.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("today.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, text []byte) map[string]any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	if err := s.Validate(v); err != nil {
		t.Fatalf("%v", err)
	}
	return v.(map[string]any)
}

func TestTodayJSON(t *testing.T) {
	s := schema(t)
	a := farmAssessment(t, `{"id":"01J8ZZZZZZZZZZZZZZZZZZ0050","kind":"farm","recorded":"2026-09-11T06:40:00-06:00","by":"Ann","on":"2026-08-01","name":"Coulee Farm","zone":"America/Regina","frost_watch":{"from":"08-15","to":"06-15"}}`)
	a.Book.Relaxed = []hazard.Relaxed{{Rule: "prussic.frost.wait", Default: "14 d", Value: "10 d", Because: "so", By: "Ann", Until: day("2026-10-31"), Entry: id(3)}}
	a.Notices = []hazard.Notice{{Kind: "struck-incident", Paddock: "creek", Entry: id(12), By: "Ann", Because: "wrong paddock", On: day("2026-09-10"), Through: day("2026-09-24")}}
	text, err := TodayJSON(a, Filter{})
	if err != nil {
		t.Fatal(err)
	}
	doc := validate(t, s, text)
	bred := hazard.BredCattle
	small, err := TodayJSON(a, Filter{Class: &bred, Paddock: "north-slough"})
	if err != nil {
		t.Fatal(err)
	}
	validate(t, s, small)
	golden(t, "today.json", string(small))

	ps := doc["paddocks"].([]any)
	var order []string
	for _, p := range ps {
		m := p.(map[string]any)
		order = append(order, m["paddock"].(string))
		if n := len(m["verdicts"].([]any)); n != 30 {
			t.Errorf("%s has %d verdicts, want five uses and six classes", m["paddock"], n)
		}
	}
	if got := strings.Join(order, " "); got != "north-slough home-quarter creek" {
		t.Errorf("paddocks come as %q, want worst first", got)
	}
	if n := len(doc["rulebook"].(map[string]any)["relaxed"].([]any)); n != 2 {
		t.Errorf("%d relaxed lines, want the override and the narrowed frost watch", n)
	}
	if doc["known_at"] != "2026-09-11T06:52:00-06:00" {
		t.Errorf("known_at is %v, want farm time", doc["known_at"])
	}
}

// What the program prints of nights keeps to their schema, which refuses the two kinds of
// hours in one night.
func TestNightsSchema(t *testing.T) {
	s := compiled(t, NightsSchema)
	text, err := os.ReadFile(filepath.Join("testdata", "nights.json"))
	if err != nil {
		t.Fatal(err)
	}
	out := string(text)
	validate(t, s, text)
	for _, want := range []string{
		`"reconstructed_below_0": `, `"measured_below_0": 6.5`, `"hours": null`, `"low_c": null`,
		`"word": "not in yet"`, `"word": "FROZE"`,
	} {
		if !strings.Contains(out, want) {
			t.Errorf("%s is not in\n%s", want, out)
		}
	}
	for what, broken := range map[string]string{
		"both kinds of hours": strings.Replace(out, `"measured_below_0": 6.5`, `"measured_below_0": 6.5, "reconstructed_below_0": 6`, 1),
		"hours without error": strings.Replace(out, `"reconstructed_nine_in_ten_within_h_steady_cold"`, `"reconstructed_x"`, 1),
		"another word":        strings.Replace(out, "not in yet", "clear", 1),
	} {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(broken))
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(v) == nil {
			t.Errorf("the schema takes %s", what)
		}
	}
}

func TestJSONFilters(t *testing.T) {
	s := schema(t)
	a := farmAssessment(t)
	sheep, feed, chop := hazard.Sheep, hazard.Feed, hazard.GreenChop
	for _, c := range []struct {
		f              Filter
		paddocks, lots int
		verdicts       int
	}{
		{Filter{}, 3, 1, 30},
		{Filter{Class: &sheep}, 3, 1, 5},
		{Filter{Use: &chop}, 3, 0, 6},
		{Filter{Use: &chop, Class: &sheep, Paddock: "creek"}, 1, 0, 1},
		{Filter{Use: &feed}, 0, 1, 0},
		{Filter{Paddock: "bales-1"}, 0, 1, 0},
		{Filter{Paddock: "nowhere"}, 0, 0, 0},
	} {
		text, err := TodayJSON(a, c.f)
		if err != nil {
			t.Fatal(err)
		}
		doc := validate(t, s, text)
		ps, ls := doc["paddocks"].([]any), doc["lots"].([]any)
		if len(ps) != c.paddocks || len(ls) != c.lots {
			t.Errorf("%+v: %d paddocks and %d lots, want %d and %d", c.f, len(ps), len(ls), c.paddocks, c.lots)
		}
		for _, p := range ps {
			if n := len(p.(map[string]any)["verdicts"].([]any)); n != c.verdicts {
				t.Errorf("%+v: %d verdicts, want %d", c.f, n, c.verdicts)
			}
		}
	}
}

func TestWhyAndStreamJSON(t *testing.T) {
	s := schema(t)
	a := farmAssessment(t)
	for id, lots := range map[string]int{"creek": 0, "bales-1": 1} {
		text, err := WhyJSON(a, id, Filter{})
		if err != nil {
			t.Fatal(err)
		}
		doc := validate(t, s, text)
		if p, l := len(doc["paddocks"].([]any)), len(doc["lots"].([]any)); p != 1-lots || l != lots {
			t.Errorf("%s: %d paddocks, %d lots", id, p, l)
		}
	}
	if _, err := WhyJSON(a, "nowhere\x1b[2J", Filter{}); err == nil || strings.Contains(err.Error(), "\x1b") || !strings.Contains(err.Error(), "north-slough") {
		t.Errorf("an unknown id gives %v", err)
	}
	var b bytes.Buffer
	if err := StreamJSON(&b, a.History, a.Book, Filter{}); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	var got []string
	for _, l := range lines {
		doc := validate(t, s, []byte(l))
		ps := doc["paddocks"].([]any)
		if len(ps) != 1 {
			t.Fatalf("a line holds %d paddocks", len(ps))
		}
		got = append(got, ps[0].(map[string]any)["paddock"].(string))
	}
	if strings.Join(got, " ") != "creek home-quarter north-slough" {
		t.Errorf("the stream comes as %q, want order of id", got)
	}
	b.Reset()
	feed := hazard.Feed
	if err := stream(&b, a, Filter{Use: &feed}); err != nil || strings.Count(b.String(), "\n") != 1 {
		t.Errorf("asked of feeding: %v, %q", err, b.String())
	}
	if err := StreamJSON(full{}, a.History, a.Book, Filter{}); err == nil {
		t.Error("a failing writer is not told")
	}
}

// A stream holds few answers at a time: its lines are those of all of them held at once.
func TestStreamInTurnsIsTheStreamOfTheWhole(t *testing.T) {
	var more []string
	for i := range 300 { // three turns of two processors
		p := fmt.Sprintf("%03d", i)
		more = append(more, line(100+2*i, "paddock", `"paddock":"p`+p+`","name":"P`+p+`","station":"yard"`))
		if i%3 == 0 {
			more = append(more, line(101+2*i, "incident", `"paddock":"p`+p+`","down":1,"dead":0,"what":"stood at the gate of `+p+`"`))
		}
	}
	more = append(more, line(99, "lot", `"lot":"bales-1","lot_kind":"hay","from":["creek"],"made_on":"2026-08-12"`))
	h, book := farmHistory(t, more...), testBook()
	a := hazard.Assess(h, book)
	for name, f := range map[string]Filter{"all": {}, "one": {Paddock: "p007"}, "none": {Paddock: "nowhere"}, "feeding": {Use: new(hazard.Feed)}} {
		var plain, turns bytes.Buffer
		if err := errors.Join(stream(&plain, a, f), StreamJSON(&turns, h, book, f)); err != nil {
			t.Fatal(err)
		}
		if plain.Len() == 0 && name != "none" {
			t.Fatalf("%s: no line", name)
		}
		if !bytes.Equal(plain.Bytes(), turns.Bytes()) {
			t.Errorf("%s: the lines written in turns are others:\n%.2000s\nnot\n%.2000s", name, turns.String(), plain.String())
		}
	}
}

// What is put into words once for classes that are judged alike is what each would be told.
func TestAnswersOfEachClass(t *testing.T) {
	for name, a := range map[string]*hazard.Assessment{
		"quiet": farmAssessment(t),
		"sick":  farmAssessment(t, line(98, "incident", `"paddock":"creek","down":1,"dead":0,"what":"stood at the gate"`)),
	} {
		s, flags := newSpeaker(a, Metric), map[string]bool{}
		for _, p := range append(s.paddocks(Filter{}), s.lots(Filter{})...) {
			for _, u := range p.uses(Filter{}) {
				got := s.answersFor(&p, u, hazard.Classes)
				for i, c := range hazard.Classes {
					if d := cmp.Diff(s.answer(p.verdict(u, c), nil), got[i], cmp.AllowUnexported(ReasonWords{})); d != "" {
						t.Errorf("%s: %s, %v, %v (-by itself +among others):\n%s", name, p.id, u, c, d)
					}
					flags[fmt.Sprint(u, got[i].Flag)] = true
				}
			}
		}
		if len(flags) < 4 {
			t.Errorf("%s: only %v", name, flags)
		}
	}
}

// Only a copy is put into words for another: what looks alike may speak of other things.
func TestSameReasonsAreCopies(t *testing.T) {
	a := hazard.HazardAnswer{Flag: hazard.Hold, Reasons: []hazard.Reason{{Entries: []string{"one"}}}}
	b, copied := a, a
	if b.Reasons = []hazard.Reason{{Entries: []string{"two"}}}; sameReasons(&a, &b) || !sameReasons(&a, &copied) {
		t.Error("answers that look alike are taken for copies, or copies for none")
	}
	if copied.Through = a.Through + 1; sameReasons(&a, &copied) {
		t.Error("an answer of another last day is taken for a copy")
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, fmt.Errorf("no room") }

func TestJSONOfEveryLineAndHostileText(t *testing.T) {
	s := schema(t)
	a := farmAssessment(t)
	p := &a.Paddocks[0]
	for i := range p.Verdicts {
		v := &p.Verdicts[i]
		if v.Class != hazard.BredCattle {
			continue
		}
		var rs []hazard.Reason
		for l := hazard.LineNone + 1; l < hazard.NumLines; l++ {
			r, _ := lineReason(l)
			rs = append(rs, r)
		}
		*v = verdict(v.Use, v.Class, rs, one(untried))
	}
	for _, name := range hostileNames {
		p.Paddock.Name = name
		a.History.Farm.Name = name
		a.Notices = []hazard.Notice{{Kind: "struck-keep-off", Paddock: name, Lot: name, Entry: name, By: name, Because: name}}
		bred := hazard.BredCattle
		text, err := TodayJSON(a, Filter{Paddock: "creek", Class: &bred})
		if err != nil {
			t.Fatal(err)
		}
		validate(t, s, text)
	}
}

// The schema is strict: a document with anything more, less or contrary in it
// does not pass.
func TestSchemaRefuses(t *testing.T) {
	s := schema(t)
	text, err := TodayJSON(farmAssessment(t), Filter{Paddock: "north-slough"})
	if err != nil {
		t.Fatal(err)
	}
	validate(t, s, text)
	for name, spoil := range map[string]func(doc, verdict map[string]any){
		"an extra field":             func(doc, _ map[string]any) { doc["extra"] = 1 },
		"another schema":             func(doc, _ map[string]any) { doc["schema"] = "rimegate/today/2" },
		"a missing stamp":            func(doc, _ map[string]any) { delete(doc, "data_through") },
		"a flag that is none":        func(_, v map[string]any) { v["flag"] = "unknown" },
		"a date in numbers":          func(doc, _ map[string]any) { doc["on"] = "11/09/2026" },
		"a hold with conditions":     func(_, v map[string]any) { v["conditions"] = []any{"x"} },
		"a clear with a last day":    func(_, v map[string]any) { v["flag"], v["conditions"] = "clear", []any{"x"} },
		"a clear without conditions": func(_, v map[string]any) { v["flag"], v["through"] = "clear", nil },
		"a hazard too few":           func(_, v map[string]any) { v["hazards"] = v["hazards"].([]any)[:2] },
		"a paddock's use for no use": func(_, v map[string]any) { v["use"] = "feed" },
	} {
		doc := validate(t, s, text)
		spoil(doc, doc["paddocks"].([]any)[0].(map[string]any)["verdicts"].([]any)[0].(map[string]any))
		if s.Validate(doc) == nil {
			t.Errorf("the schema lets %s through", name)
		}
	}
}

func TestCSV(t *testing.T) {
	a := farmAssessment(t)
	a.Paddocks[2].Paddock.Name = "=HYPERLINK(\"http://x\")\n"
	var b bytes.Buffer
	if err := CSV(&b, a, Filter{}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := 1 + 3*30 + 6; len(rows) != want {
		t.Fatalf("%d rows, want %d", len(rows), want)
	}
	col := map[string]int{}
	for i, n := range rows[0] {
		col[n] = i
	}
	first := rows[1]
	for n, want := range map[string]string{
		"on": "2026-09-11", "what": "paddock", "id": "north-slough", "name": "'=HYPERLINK(\"http://x\")", "use": "graze", "class": "bred-cattle",
		"flag": "hold", "paper": "NO", "through": "2026-09-25", "needs": "time", "stock_inside": "pairs", "move_out": "yes", "night_read": "2026-09-11",
	} {
		if got := first[col[n]]; got != want {
			t.Errorf("%s is %q, want %q", n, got, want)
		}
	}
	for _, r := range rows[1:] {
		if r[col["flag"]] == "hold" == (r[col["through"]] == "") {
			t.Errorf("flag %q with last day %q", r[col["flag"]], r[col["through"]])
		}
		for i, x := range r {
			if x != "" && strings.ContainsAny(x[:1], "=+-@") {
				t.Errorf("column %s begins a formula: %q", rows[0][i], x)
			}
		}
	}
	last := rows[len(rows)-1]
	if last[col["what"]] != "lot" || last[col["feed_from"]] != "2026-10-26" || last[col["max_share_pct"]] != "50" {
		t.Errorf("the lot's row is %q", last)
	}
	if err := CSV(full{}, a, Filter{}); err == nil {
		t.Error("a failing writer is not told")
	}
}

func TestJSONIsOrdered(t *testing.T) {
	// Field order is part of what people diff: it must not depend on a map.
	a := farmAssessment(t)
	x, _ := TodayJSON(a, Filter{})
	for range 3 {
		y, _ := TodayJSON(farmAssessment(t), Filter{})
		if !bytes.Equal(x, y) {
			t.Fatal("two runs differ")
		}
	}
}
