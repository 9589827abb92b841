package rules

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/hazard"
)

func onDay(s string) fields.Date {
	d, err := fields.ParseISODate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func num(v float64) *fields.RuleValue { return &fields.RuleValue{Number: &v} }
func word(w string) *fields.RuleValue { return &fields.RuleValue{Word: w} }
func entryID(n int) string            { return fmt.Sprintf("01J%023d", n) }
func sign(n int, on string) fields.Fact {
	return fields.Fact{Entry: &fields.Entry{ID: entryID(n), By: "Wes Tolliver", Recorded: time.Unix(0, 0)}, Date: onDay(on)}
}

func set(n int, on, rule string, v *fields.RuleValue, until string) fields.Fact {
	f := sign(n, on)
	o := &fields.Override{Rule: rule, Value: v, Because: "the county agent's rule"}
	if until != "" {
		o.Until = onDay(until)
	}
	f.Body = o
	return f
}

func TestWith(t *testing.T) {
	book := Default()
	const wait = "prussic.frost.wait"
	for _, tc := range []struct {
		name    string
		facts   []fields.Fact
		want    float64
		relaxed string // value printed, "" for none
		refused int
	}{
		{name: "nothing set", want: 14},
		{name: "a published value", facts: []fields.Fact{set(1, "2026-09-01", wait, num(10), "")}, want: 10, relaxed: "10 days"},
		{name: "more cautious", facts: []fields.Fact{set(1, "2026-09-01", wait, num(21), "")}, want: 21},
		{name: "the default itself", facts: []fields.Fact{set(1, "2026-09-01", wait, num(14), "")}, want: 14},
		{name: "dated on the day", facts: []fields.Fact{set(1, "2026-10-01", wait, num(10), "")}, want: 10, relaxed: "10 days"},
		{name: "dated later", facts: []fields.Fact{set(1, "2026-10-02", wait, num(10), "")}, want: 14},
		{name: "last day", facts: []fields.Fact{set(1, "2026-09-01", wait, num(10), "2026-10-01")}, want: 10, relaxed: "10 days"},
		{name: "past its until", facts: []fields.Fact{set(1, "2026-09-01", wait, num(10), "2026-09-30")}, want: 14},
		{name: "the later date wins", facts: []fields.Fact{set(2, "2026-09-01", wait, num(10), ""), set(1, "2026-09-02", wait, num(21), "")}, want: 21},
		{name: "on one date the later id wins", facts: []fields.Fact{set(2, "2026-09-01", wait, num(21), ""), set(1, "2026-09-01", wait, num(10), "")}, want: 21},
		{name: "an expired one gives way", facts: []fields.Fact{set(1, "2026-09-01", wait, num(21), ""), set(2, "2026-09-05", wait, num(10), "2026-09-20")}, want: 21},
		{name: "beyond the limit", facts: []fields.Fact{set(1, "2026-09-01", wait, num(7), "")}, want: 14, refused: 1},
		{name: "not in print", facts: []fields.Fact{set(1, "2026-09-01", wait, num(12), "")}, want: 14, refused: 1},
		{name: "an impossible one does not hide a good one", facts: []fields.Fact{set(1, "2026-09-01", wait, num(21), ""), set(2, "2026-09-05", wait, num(1), "")}, want: 21, refused: 1},
		{name: "unknown rule", facts: []fields.Fact{set(1, "2026-09-01", "prussic.frost.nap", num(1), "")}, want: 14, refused: 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, refused := With(book, tc.facts, onDay("2026-10-01"))
			if v := got.V[hazard.FrostWait]; v != tc.want {
				t.Errorf("the wait is %v, want %v", v, tc.want)
			}
			if len(refused) != tc.refused {
				t.Errorf("refused %q, want %d", refused, tc.refused)
			}
			for _, r := range refused {
				if !strings.Contains(r, entryID(1)) && !strings.Contains(r, entryID(2)) {
					t.Errorf("%q does not name the entry", r)
				}
			}
			switch {
			case tc.relaxed == "" && len(got.Relaxed) != 0:
				t.Errorf("relaxed: %+v", got.Relaxed)
			case tc.relaxed != "":
				if len(got.Relaxed) != 1 {
					t.Fatalf("relaxed: %+v", got.Relaxed)
				}
				r := got.Relaxed[0]
				if r.Rule != wait || r.Value != tc.relaxed || r.Default != "14 days" || r.By != "Wes Tolliver" || r.Because == "" || r.Entry != entryID(1) {
					t.Errorf("relaxed: %+v", r)
				}
			}
			if book.V[hazard.FrostWait] != 14 || len(book.Relaxed) != 0 {
				t.Error("the default itself was changed")
			}
		})
	}
}

func TestOneTable(t *testing.T) {
	all := len(Default().Tables)
	facts := []fields.Fact{set(1, "2026-09-01", "nitrate.tables", word("clemson"), "")}
	got, refused := With(Default(), facts, onDay("2026-10-01"))
	if len(refused) != 0 || len(got.Tables) != 1 || got.Tables[0].ID != "clemson" {
		t.Fatalf("refused %q, tables %d", refused, len(got.Tables))
	}
	if len(got.Relaxed) != 1 || got.Relaxed[0].Value != "clemson" || got.Relaxed[0].Default != "all" {
		t.Errorf("relaxed: %+v", got.Relaxed)
	}
	if len(Default().Tables) != all {
		t.Error("the default lost its tables")
	}

	// The farm's own field does the same; a later "all" undoes it.
	farm := sign(2, "2026-09-02")
	farm.Body = &fields.Farm{Name: "Bar Nine", Zone: "America/Denver", NitrateTable: "tennessee"}
	got, _ = With(Default(), append(facts, farm), onDay("2026-10-01"))
	if len(got.Tables) != 1 || got.Tables[0].ID != "tennessee" || len(got.Relaxed) != 1 {
		t.Errorf("the farm's table: %d tables, relaxed %+v", len(got.Tables), got.Relaxed)
	}
	back := set(3, "2026-09-03", "nitrate.tables", word("all"), "")
	again, _ := With(Default(), append(facts, farm, back), onDay("2026-10-01"))
	if len(again.Tables) != all || len(again.Relaxed) != 0 {
		t.Errorf("all tables again: %d, relaxed %+v", len(again.Tables), again.Relaxed)
	}
	// Twice over, from an already cut book.
	if twice, _ := With(got, []fields.Fact{set(4, "2026-09-04", "nitrate.tables", word("manitoba"), "")}, onDay("2026-10-01")); len(twice.Tables) != 1 || twice.Tables[0].ID != "manitoba" || len(twice.Relaxed) != 1 {
		t.Errorf("from a cut book: %+v", twice.Relaxed)
	}

	// A line that can only tighten cannot stand alone, nor can a table nobody knows.
	for _, id := range []string{"north-carolina-line", "montana", ""} {
		if err := CheckNitrateTable(id); err == nil {
			t.Errorf("the table %q was accepted", id)
		}
		farm.Body = &fields.Farm{Name: "Bar Nine", Zone: "America/Denver", NitrateTable: id}
		if got, _ := With(Default(), []fields.Fact{farm}, onDay("2026-10-01")); len(got.Tables) != all {
			t.Errorf("the table %q cut the rulebook", id)
		}
	}
	if err := CheckNitrateTable("clemson"); err != nil {
		t.Error(err)
	}
}

func TestCheckOverride(t *testing.T) {
	for _, tc := range []struct {
		rule string
		v    *fields.RuleValue
		want string // words of the sentence, "" for allowed
	}{
		{"prussic.frost.wait", num(10), ""},
		{"prussic.frost.wait", num(15), ""},
		{"prussic.frost.wait", num(7), "prussic.frost.wait cannot be 7 days: the least cautious value allowed is 10 days (published: 3, 4, 5, 6, 7, 8, 10 and 14 days; a farm may set 10 or at least 14 days)"},
		{"prussic.frost.wait", num(12), "no publication gives it"},
		{"prussic.frost.wait", num(13.5), "write a whole number"},
		{"prussic.frost.wait", num(1e9), "possible are 0 to 3650 days"},
		{"prussic.frost.wait", num(-1), "cannot be -1 days"},
		{"prussic.frost.wait", word("two weeks"), "wants a number of days"},
		{"prussic.frost.wait", nil, "has no value; its default is 14 days"},
		{"prussic.frost.dry_wait", num(14), ""},
		{"prussic.frost.trigger", num(-1), "least cautious value allowed is 0 °C"},
		{"prussic.frost.possible", num(0.6), ""},
		{"prussic.frost.possible", num(3), ""},
		{"prussic.frost.possible", num(1), "no publication gives it"},
		{"prussic.walk.life", num(5), ""}, // nothing published: anything within the limit
		{"prussic.walk.life", num(8), "nothing is published; the default is 3 days"},
		{"prussic.walk.life", num(1), ""},
		{"prussic.height.sorghum-sudangrass", num(61), ""},
		{"prussic.height.sorghum-sudangrass", num(46), ""},
		{"prussic.height.sorghum-sudangrass", num(45), "least cautious value allowed is 46 cm"},
		{"prussic.height.forage-sorghum", num(46), "least cautious value allowed is 61 cm"},
		{"prussic.hcn.hold", num(600), "least cautious value allowed is 500 ppm HCN on dry matter"},
		{"prussic.hcn.hold", num(250), ""},
		{"nitrate.water.caution", num(100), ""},
		{"nitrate.water.caution", num(50), "no publication gives it"},
		{"nitrate.rain.wait", num(3), "least cautious value allowed is 7 days"},
		{"nitrate.rain.wait", num(14), ""},
		{"nitrate.silage.credit", num(20), "least cautious value allowed is 0 %"},
		{"nitrate.tables", word("manitoba"), ""},
		{"nitrate.tables", num(3), "wants a word"},
		{"nitrate.tables", word("montana"), "it is one of all, clemson"},
		{"nitrate.blend.target", word("0.5 %"), "cannot be set to another value than class-clear-line"},
		{"incident", num(1), "is no number"},
		{"nap", num(1), `there is no rule "nap"`},
	} {
		err := CheckOverride(&fields.Override{Rule: tc.rule, Value: tc.v})
		switch {
		case tc.want == "" && err != nil:
			t.Errorf("%s %+v: %v", tc.rule, tc.v, err)
		case tc.want != "" && err == nil:
			t.Errorf("%s %+v was accepted", tc.rule, tc.v)
		case tc.want != "" && !strings.Contains(err.Error(), tc.want):
			t.Errorf("%s: %q does not say %q", tc.rule, err, tc.want)
		case err != nil && strings.Contains(err.Error(), "\n"):
			t.Errorf("%s: more than one line: %q", tc.rule, err)
		}
	}
}

// TestWithNeverSlips: whatever is set, nothing goes beyond its limit, Relaxed
// names exactly the rules now laxer than the default, and the order in which
// the entries arrive does not matter.
func TestWithNeverSlips(t *testing.T) {
	docs := Docs()
	rapid.Check(t, func(t *rapid.T) {
		var facts []fields.Fact
		n := rapid.IntRange(0, 12).Draw(t, "overrides")
		for i := range n {
			d := docs[rapid.IntRange(0, len(docs)-1).Draw(t, "rule")]
			var v *fields.RuleValue
			switch {
			case len(d.Published) > 0 && rapid.Bool().Draw(t, "published"):
				v = num(rapid.SampledFrom(d.Published).Draw(t, "value"))
			case rapid.Bool().Draw(t, "near"):
				v = num(d.Value + float64(rapid.IntRange(-20, 20).Draw(t, "step")))
			default:
				v = num(rapid.Float64().Draw(t, "number"))
			}
			f := set(i, "2026-09-01", d.ID, v, "")
			f.Date += fields.Date(rapid.IntRange(0, 40).Draw(t, "day"))
			if rapid.Bool().Draw(t, "until") {
				f.Body.(*fields.Override).Until = f.Date + fields.Date(rapid.IntRange(0, 40).Draw(t, "for"))
			}
			facts = append(facts, f)
		}
		on := onDay("2026-09-20")
		got, refused := With(Default(), facts, on)
		relaxed := map[string]bool{}
		for _, r := range got.Relaxed {
			relaxed[r.Rule] = true
		}
		for _, d := range docs {
			k, ok := hazard.RuleKeyOf(d.ID)
			if !ok {
				continue
			}
			v := got.V[k]
			if d.laxer(v, d.Limit) {
				t.Fatalf("%s slipped to %v beyond %v", d.ID, v, d.Limit)
			}
			if d.laxer(v, d.Value) != relaxed[d.ID] {
				t.Fatalf("%s = %v: relaxed %v", d.ID, v, relaxed[d.ID])
			}
		}
		turned := make([]fields.Fact, 0, len(facts))
		for i := range facts {
			turned = append(turned, facts[len(facts)-1-i])
		}
		again, refusedAgain := With(Default(), turned, on)
		if got.V != again.V || fmt.Sprint(got.Relaxed) != fmt.Sprint(again.Relaxed) || fmt.Sprint(refused) != fmt.Sprint(refusedAgain) {
			t.Fatal("the order of arrival matters")
		}
	})
}
