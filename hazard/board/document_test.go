package board

import (
	"slices"
	"testing"

	"rimegate/hazard"
	"rimegate/hazard/moves"
	"rimegate/hazard/rules"
)

func list(t *testing.T, v any) []any {
	t.Helper()
	l, ok := v.([]any)
	if !ok {
		t.Fatalf("%v is no list", v)
	}
	return l
}

func TestAheadJSON(t *testing.T) {
	s := compiled(t, AheadSchema)
	days := coming(t, "2026-09-12", 16)
	bred := hazard.BredCattle
	st := NewStrip(days, nil, Filter{Class: &bred})
	st.Rows[0].First = &ClearDay{On: day("2026-09-26"), Needs: []Wanted{{What: "walk it", From: day("2026-09-24"), By: day("2026-09-26"), Result: day("2026-09-26")}}}
	st.Rows[1].First = &ClearDay{Stuck: "it froze"}
	text, err := st.JSON(nil)
	if err != nil {
		t.Fatal(err)
	}
	doc := validate(t, s, text)
	rows := list(t, doc["paddocks"])
	if len(rows) != len(days[0].Paddocks) || len(list(t, doc["days"])) != 17 || len(list(t, doc["changes"])) != 0 {
		t.Errorf("%d rows, %v", len(rows), doc["days"])
	}
	for i, r := range rows {
		for d, f := range list(t, r.(map[string]any)["flags"]) {
			if want := st.Rows[i].Flags[d].String(); f != want {
				t.Errorf("%s on %s is %v, want %s", st.Rows[i].ID, st.Days[d], f, want)
			}
		}
	}
	first := rows[0].(map[string]any)["clear"].(map[string]any)
	if first["on"] != "2026-09-26" || first["text"] != st.Rows[0].First.ClearWords(days[0].History.On) {
		t.Errorf("the clear day is %v", first)
	}

	frost := line(850, "frost", `"paddocks":["north-slough"],"night":"2026-09-15"`)
	text, err = NewStrip(days, coming(t, "2026-09-12", 16, frost), Filter{}).JSON([]string{"Frost: \x1b[31mnight"})
	if err != nil {
		t.Fatal(err)
	}
	doc = validate(t, s, text)
	if len(list(t, doc["changes"])) == 0 || list(t, doc["assumed"])[0] != "Frost: night" {
		t.Errorf("an assumed frost: %v, %v", doc["assumed"], doc["changes"])
	}
	for _, r := range list(t, doc["paddocks"]) {
		if len(list(t, r.(map[string]any)["flags_without"])) != 17 {
			t.Error("the flags without the assumed frost are left out")
		}
	}
}

func TestMovesJSON(t *testing.T) {
	s := compiled(t, MovesSchema)
	walk := line(860, "walk", `"paddock":"creek","kg_dm_ha":2000,"frost_damage":"none","weeds_checked":true,"stress_free":true`)
	days := coming(t, "2026-09-10", 9, walk)
	for _, set := range []moves.Settings{{}, {UtilisationPct: 30, LeaveCM: 20}} {
		m := NewMoves(moves.Weigh(days, set), days)
		for i := range m.S.Mobs {
			m.Opens(i, 0, &ClearDay{On: day("2026-09-15")})
		}
		text, err := m.JSON()
		if err != nil {
			t.Fatal(err)
		}
		doc := validate(t, s, text)
		herds := list(t, doc["herds"])
		if len(herds) != len(m.S.Mobs) || len(list(t, doc["paddocks"])) != len(m.S.Grounds) {
			t.Fatalf("%d herds, %d paddocks", len(herds), len(list(t, doc["paddocks"])))
		}
		for i, x := range herds {
			h := x.(map[string]any)
			planned := 0
			for _, p := range list(t, h["plan"]) {
				st := p.(map[string]any)
				planned += day(st["to"].(string)).Sub(day(st["from"].(string))) + 1
			}
			if m.S.Mobs[i].Known() != (planned == len(days)) {
				t.Errorf("%v: %d of %d days are planned", h["herds"], planned, len(days))
			}
			for _, p := range list(t, h["today"]) {
				id := p.(map[string]any)["paddock"]
				for q := range m.S.Grounds {
					if m.S.Grounds[q].ID == id && m.S.Stands[i][q].Flags[0] != hazard.Clear {
						t.Errorf("%v is offered and is %v", id, m.S.Stands[i][q].Flags[0])
					}
				}
			}
		}
	}
	// A herd of which it is not known what it eats is said, and nothing is
	// planned for it.
	bare := NewMoves(moves.Weigh(days, moves.Settings{}), days)
	bare.S.Mobs[0].Why = "how many head is not known"
	text, err := bare.JSON()
	if err != nil {
		t.Fatal(err)
	}
	found := slices.ContainsFunc(list(t, validate(t, s, text)["herds"]), func(x any) bool {
		h := x.(map[string]any)
		return h["missing"] != nil && h["gap"] == nil && len(list(t, h["plan"])) == 0
	})
	if !found {
		t.Errorf("no herd is said to be unknown: %s", text)
	}
}

func TestCompareJSON(t *testing.T) {
	s := compiled(t, CompareSchema)
	a := season(t, "2026-09-12", 12)
	src := hazard.Source{Publisher: "Invented Station", Title: "Frost", Year: 2001, URL: "https://example.org/frost"}
	land := ComparedLand{Record: hazard.Record{Line: []string{"north-slough"}, Triggers: dates("2026-09-11")}, Says: []rules.Row{
		{Source: src, Question: "graze after the frost", From: day("2026-09-11"), Days: 7, First: day("2026-09-18"), Words: "a week", Strictest: true},
		{Source: src, Question: "graze after the frost", First: hazard.NoEnd, Note: "it asks for a killing frost first"},
		{Source: src, Question: "graze after the frost", NoNumber: true},
		{Source: src, Question: "graze at this height", CM: 61, First: day("2026-09-06"), Allows: true},
	}}
	for _, c := range []struct {
		id    string
		lands []ComparedLand
		own   int
	}{{"north-slough", []ComparedLand{land}, 30}, {"home-quarter", nil, 30}, {"brome-26", nil, 6}} {
		x, err := NewComparison(a, c.id, c.lands, rules.Default())
		if err != nil {
			t.Fatal(err)
		}
		text, err := x.JSON()
		if err != nil {
			t.Fatal(err)
		}
		doc := validate(t, s, text)
		if n := len(list(t, doc["own"])); n != c.own {
			t.Errorf("%s: %d answers of ours, want %d", c.id, n, c.own)
		}
		if (doc["lot"] == nil) != (c.id != "brome-26") || (doc["paddock"] == nil) != (c.id == "brome-26") {
			t.Errorf("%s: paddock %v, lot %v", c.id, doc["paddock"], doc["lot"])
		}
		for _, l := range list(t, doc["lands"]) {
			says := list(t, l.(map[string]any)["says"])
			for _, y := range says {
				say := y.(map[string]any)
				if say["allows"] == nil != (say["text"] == "Mentions it without a number.") {
					t.Errorf("%v", say)
				}
			}
			if len(says) != len(land.Says) {
				t.Errorf("%d publications, want %d", len(says), len(land.Says))
			}
		}
	}
}
