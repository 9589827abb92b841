package tui

import (
	"slices"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// TODAY is the morning's page: what must be done at once and where to, and each
// paddock's answer under the name of each herd.
func TestTodayIsThePage(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-9), &fields.HerdFacts{Herd: "mares", Classes: []string{"horses"}, Head: num(4)})
	d := newDesk(t, farm, 200, 40)
	page := board.NewPage(d.a.m.answer.Assessment, board.Filter{}, nil)
	rows := strings.Split(d.text(), "\n")
	head := rows[slices.IndexFunc(rows, func(r string) bool { return strings.HasPrefix(r, "  PADDOCK") })]
	for _, r := range page.Rows {
		at := slices.IndexFunc(rows, func(x string) bool { return strings.HasPrefix(x[min(2, len(x)):], r.Name+" ") })
		if at < 0 {
			t.Fatalf("%s is not on the page:\n%s", r.Name, d.text())
		}
		for i, c := range page.Columns {
			from := strings.Index(head, c.Head)
			if want := board.Mark(r.Flags[i]) + " " + page.Words.Word(r.Flags[i]); from < 0 || !strings.HasPrefix(rows[at][from:], want) {
				t.Errorf("%s for %s is not %q: %q", r.Name, c.Head, want, rows[at])
			}
		}
		if !strings.Contains(rows[at], r.Why) {
			t.Errorf("%s does not say why: %q", r.Name, rows[at])
		}
	}
	text := strings.Join(strings.Fields(d.text()), " ")
	for _, a := range page.Acts {
		if !strings.Contains(text, a.Word+": "+a.What+" > "+a.To) {
			t.Errorf("%q is not in the box:\n%s", a, d.text())
		}
	}
	d.press("Enter").sees("WHY: Creek")
}

// Acts that have no room in the box are counted.
func TestActsWithoutRoomAreCounted(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	for _, p := range []string{"north-slough", "bench", "strip"} {
		b.add(farm.today().Add(-2), &fields.Grazed{Paddock: p, State: "in"})
	}
	d := newDesk(t, farm, 80, 24).sees("MOVE OUT NOW: PAIRS out of CREEK", "MOVE OUT NOW: STOCK out of CORRAL STRIP")
	d.size(60, 13)
	d.draw()
	d.sees("MOVE OUT NOW", "3 more acts NOW: see the top of 5 TO DO")
}

// A herd is asked about by its name; on a farm without herds a class is.
func TestTheHerdAskedAbout(t *testing.T) {
	farm := willowBend(t)
	d := newDesk(t, farm, 80, 24).sees("for all: ewes, pairs (c)").press("c").sees("for ewes (c)", "  PADDOCK      ewes  WHY")
	d.press("u").sees("MAY IT BE CHOPPED FOR THEM? (u)  for ewes (c)").press("c").sees("for pairs (c)").press("c").sees("for all: ewes, pairs")
	d.press("u*5").sees("MAY THEY GO IN?")
	// A herd that is gone is not asked about any more.
	d.press("c")
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today(), &fields.HerdFacts{Herd: "ewes", Classes: []string{"sheep"}, Head: num(0)})
	d.a.reload()
	d.drain()
	d.draw()
	d.sees("for all: pairs (c)")
	d = newDesk(t, manyHolds(t, 3), 80, 24).press("c").sees("for bred-cattle (c)")
	for range len(hazard.Classes) - 1 {
		d.press("c")
	}
	d.press("c").sees("for all: ")
}

// The herds and where they stand are one key away; a herd is moved from there.
func TestTheHerdsAndWhereTheyStand(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today().Add(-9), &fields.HerdFacts{Herd: "mares", Classes: []string{"horses"}, Head: num(4)})
	d := newDesk(t, farm, 80, 24).press("e").sees("HERDS", "> pairs Creek      # NO", "move out now", "ewes  East Hills + YES", "nobody has logged where they stand")
	d.press("Enter").sees("WHY: Creek").press("Esc").sees("HERDS")
	d.keys = 0
	d.press("s").sees("Pick paddocks", "> [ ] # NO  The Bench", "[ ] + YES East Hills")
	d.press("Enter").sees("LOG: stock moved", "Paddocks           The Bench", "[in]", "[pairs]")
	d.press("Enter").sees("CHECK AND SAVE", "pairs into The Bench").press("Enter").sees("Stored: 1 entry (stock moved).", "HERDS")
	if b := last(farm).Body.(*fields.Grazed); b.Herd != "pairs" || b.Paddock != "bench" || b.State != "in" || d.keys > 4 {
		t.Errorf("with %d keys %+v is stored", d.keys, b)
	}
}

// The column of names is no wider than the names; the room goes to the reasons.
func TestReasonsGetTheRoom(t *testing.T) {
	for _, w := range []int{80, 120, 200} {
		d := newDesk(t, willowBend(t), w, 40)
		d.sees("> Creek        # NO  # NO  growing")
		d.press("4").sees("> Creek        #  #")
		d.press("3").sees("> bench-hay ? ASK ? ASK nitrate")
	}
	// A window without room for the herds says the worst of them.
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	for _, h := range []string{"a", "b", "c"} {
		b.add(farm.today().Add(-9), &fields.HerdFacts{Herd: h, Classes: []string{"horses"}, Head: num(4)})
	}
	newDesk(t, farm, 40, 24).sees("Creek", "# NO ").press("/", "hills").sees("East Hills")
}

// Of a result the number stands first.
func TestAResultsNumberStandsFirst(t *testing.T) {
	farm := willowBend(t)
	b := &builder{t: t, f: farm, seq: 9000}
	b.add(farm.today(), &fields.Sampled{Paddock: "creek", Sample: "4711"})
	d := newDesk(t, farm, 60, 20).press("3")
	d.sees("\n  sample sent                    Creek", "\n  1,450 ppm NO3 on dry matter    Home Quart~ Sun 4 Oct", "\n  24 mg/L NO3-N                  east well")
	for _, x := range d.a.m.fed().results {
		if board.ResultFigure(x.Entry, d.a.m.answer.History) == "" {
			t.Errorf("%s has no figure", x.Kind())
		}
	}
}
