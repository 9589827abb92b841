package board

import (
	"strings"
	"testing"

	"rimegate/hazard"
)

// Stock put on land on hold, and feed on hold given, are said at once.
func TestAlarms(t *testing.T) {
	grazed := func(paddock, herd, state string) string {
		return line(20, "grazed", `"paddock":"`+paddock+`","state":"`+state+`","herd":"`+herd+`"`)
	}
	for _, c := range []struct{ entry, want string }{
		{grazed("north-slough", "pairs", "in"), "MOVE OUT NOW: pairs in North Slough: HOLD through Fri 25 Sep. Froze Fri 11 Sep"},
		{grazed("home-quarter", "pairs", "in"), "ASK FIRST: pairs went into Home Quarter: CAUTION. "},
		{grazed("creek", "pairs", "in"), ""},
		{grazed("north-slough", "pairs", "out"), ""},
		{line(20, "fed", `"lot":"bales-1","herd":"steers","from":"2026-09-11"`), "STOP FEEDING NOW: bales-1 to steers: HOLD through Sun 25 Oct. "},
		{line(20, "fed", `"lot":"bales-1","herd":"steers","from":"2026-09-01","to":"2026-09-10"`), ""},
		{line(20, "fed", `"lot":"bales-1","herd":"steers","from":"2026-09-11","mixed":true`), "STOP FEEDING NOW unless the mix was worked out and agreed to: bales-1 to steers"},
	} {
		got := strings.Join(Alarms(farmAssessment(t), farmAssessment(t, c.entry), entries(t, c.entry)), "\n")
		if c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s\n got %q\nwant %q", c.entry, got, c.want)
		}
	}
}

// Stock and feed that were there already are named where a hold begins, and where what
// was logged speaks of their paddock or lot.
func TestAlarmsOfWhatWasThere(t *testing.T) {
	soft := farmAssessment(t)
	for i := range soft.Paddocks {
		for j := range soft.Paddocks[i].Verdicts {
			v := &soft.Paddocks[i].Verdicts[j]
			*v = verdict(v.Use, v.Class, one(lineReasons[hazard.LineNone]), one(untried))
		}
	}
	frost := func(paddock string) string {
		return line(22, "frost", `"paddocks":["`+paddock+`"],"night":"2026-09-11","low_c":-3`)
	}
	fed := line(21, "fed", `"lot":"bales-1","herd":"steers","from":"2026-09-08"`)
	lab := line(22, "sampled", `"lot":"bales-1","sample":"B-1"`)
	const out, stop = "MOVE OUT NOW: pairs in North Slough: HOLD", "STOP FEEDING NOW: bales-1 to steers: HOLD"
	for _, c := range []struct {
		what   string
		before *hazard.Assessment
		was    []string
		now    string
		want   string
	}{
		{"a hold begins, whatever was logged", soft, nil, frost("creek"), out},
		{"it was on hold, and its paddock is spoken of", farmAssessment(t), nil, frost("north-slough"), out},
		{"it was on hold, and another paddock is spoken of", farmAssessment(t), nil, frost("creek"), ""},
		{"feed on hold is spoken of", farmAssessment(t, fed), []string{fed}, lab, stop},
		{"feed on hold is not spoken of", farmAssessment(t, fed), []string{fed}, frost("creek"), ""},
	} {
		got := strings.Join(Alarms(c.before, farmAssessment(t, append(c.was, c.now)...), entries(t, c.now)), "\n")
		if c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.what, got, c.want)
		}
	}
}

// Of stock logged into a paddock on a past day what held then is said where it was worse,
// and where they stand there no more; never beside a worse word of today.
func TestAsOf(t *testing.T) {
	in := line(20, "grazed", `"paddock":"north-slough","state":"in","herd":"pairs"`)
	gone := line(21, "grazed", `"paddock":"north-slough","state":"out","herd":"pairs"`)
	e := &entries(t, in)[0]
	held, soft := farmAssessment(t, in), farmAssessment(t, in)
	for i := range soft.Paddocks {
		for j := range soft.Paddocks[i].Verdicts {
			v := &soft.Paddocks[i].Verdicts[j]
			*v = verdict(v.Use, v.Class, one(lineReasons[hazard.LineNone]), one(untried))
		}
	}
	const no = "As of Fri 11 Sep: NO for pairs in North Slough: HOLD through Fri 25 Sep. Froze"
	for what, c := range map[string]struct {
		then, now *hazard.Assessment
		says      string
	}{
		"worse then":                {held, soft, no},
		"gone since":                {held, farmAssessment(t, in, gone), no},
		"as bad":                    {held, held, ""},
		"softer then":               {soft, held, ""},
		"never there by the record": {farmAssessment(t, in, gone), held, ""},
	} {
		if got := AsOf(c.then, c.now, e); !strings.HasPrefix(got, c.says) || c.says == "" && got != "" {
			t.Errorf("%s: %q", what, got)
		}
	}
	if got := AsOf(held, soft, &entries(t, gone)[0]); got != "" {
		t.Errorf("of stock that came out: %q", got)
	}
}

// Feed on hold that is being fed stands on top of the list and of the lot's
// own page until it is over.
func TestStopFeedingStandsOnTop(t *testing.T) {
	straw := line(19, "lot", `"lot":"straw","lot_kind":"hay","made_on":"2026-08-01"`)
	fed := line(20, "fed", `"lot":"bales-1","herd":"steers","from":"2026-09-08"`)
	const stop = "STOP FEEDING NOW: bales-1 to steers"
	has := func(extra ...string) bool {
		t.Helper()
		a := farmAssessment(t, extra...)
		e, err := Why(a, "bales-1", Filter{})
		if err != nil {
			t.Fatal(err)
		}
		on := contains(Today(a, Filter{}).MoveOut, stop)
		if on != contains(e.MoveOut, stop) || on != strings.HasPrefix(listText(t, Today(a, Filter{}), 80), "MOVE OUT NOW: pairs in North Slough\n"+stop+"\n") {
			t.Errorf("the list and the lot's page differ: %v", on)
		}
		return on
	}
	if !has(fed) {
		t.Error("feed on hold is fed, and the list does not say so")
	}
	for what, later := range map[string]string{
		"its last day passed":      line(21, "fed", `"lot":"bales-1","herd":"steers","from":"2026-09-08","to":"2026-09-10"`),
		"another feed came for it": line(21, "fed", `"lot":"straw","herd":"steers","from":"2026-09-10"`),
	} {
		if has(straw, fed, later) {
			t.Errorf("%s, and still it is to be stopped", what)
		}
	}
	if !has(straw, fed, line(21, "fed", `"lot":"straw","herd":"pairs","from":"2026-09-10"`)) {
		t.Error("another herd's feed ended it")
	}
}

func TestUnmoved(t *testing.T) {
	a := farmAssessment(t)
	rain := entries(t, line(20, "rain", `"paddocks":["north-slough","creek"],"mm":12`))
	if got, want := Unmoved(a, rain, nil), "To graze, unchanged: North Slough is HOLD through Fri 25 Sep; Creek Grass is CLEAR."; got != want {
		t.Errorf("got %q\nwant %q", got, want)
	}
	if got := Unmoved(a, rain, []Change{{ID: "north-slough", Uses: []hazard.Use{hazard.Graze}}}); strings.Contains(got, "North Slough") || !strings.Contains(got, "Creek Grass") {
		t.Errorf("what moved is called unchanged: %q", got)
	}
	if got := Unmoved(a, entries(t, line(21, "water", `"source":"well","value":10,"form":"NO3","unit":"ppm","sampled_on":"2026-09-01","paddocks":["creek"]`)), nil); got != "" {
		t.Errorf("of a well's water it says %q", got)
	}
	if got := Unmoved(a, nil, nil); got != "" {
		t.Errorf("of no entry it says %q", got)
	}
}
