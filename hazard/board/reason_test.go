package board

import (
	"fmt"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
)

// lineReasons is one reason of every line, filled as the engine fills it. A new
// line without a row here fails the test.
var lineReasons = map[hazard.Line]hazard.Reason{
	hazard.LineNoP:          {Rule: "species.none", Flag: hazard.Clear, Plants: []string{"oats", "field-peas"}},
	hazard.LineAllPassed:    {Rule: "prussic.all", Flag: hazard.Clear, Plants: []string{"sorghum-sudangrass"}, Proof: day("2026-09-09")},
	hazard.LineUnlisted:     {Rule: "species.unlisted", Flag: hazard.Caution, Need: hazard.NeedEvidence},
	hazard.LineNeverChecked: {Rule: "species.unchecked", Flag: hazard.Caution, Need: hazard.NeedEvidence, Days: 365},
	hazard.LineNotListedHCN: {Rule: "species.not-listed", Flag: hazard.Caution, Need: hazard.NeedEvidence, Species: "smooth-brome"},
	hazard.LineUnknown:      {Rule: "species.unknown", Flag: hazard.Caution, Need: hazard.NeedEvidence, Species: "super sweet 3"},
	hazard.LineNoSwath:      swathGone,
	hazard.LineNoCrop:       {Rule: "use.no-crop", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedEvidence, On: day("2026-08-30")},

	hazard.LineClock:           froze,
	hazard.LineDryWait:         {Rule: "prussic.frost.dry_wait", Flag: hazard.Hold, Through: day("2026-09-20"), Need: hazard.NeedTime, On: day("2026-09-13"), Days: 7},
	hazard.LineShoots:          {Rule: "shoots", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-09-10"), Figure: hazard.Figure{Of: hazard.HeightCM, Measured: true, Value: 15, Limit: 76}, Species: "sorghum-sudangrass"},
	hazard.LineNeverMeasured:   unmeasured,
	hazard.LineTooShort:        {Rule: "prussic.height.sorghum-sudangrass", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedEvidence, On: day("2026-09-08"), Figure: hazard.Figure{Of: hazard.HeightCM, Measured: true, Value: 75.6, Limit: 76}, Species: "sorghum-sudangrass"},
	hazard.LineOldHeight:       {Rule: "prussic.height.life", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-01"), Figure: hazard.Figure{Of: hazard.HeightCM, Measured: true, Value: 90, Limit: 76}, Days: 7},
	hazard.LineDrought:         {Rule: "prussic.drought.wait", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-08-01"), Began: day("2026-07-20")},
	hazard.LineRainWait:        {Rule: "prussic.drought.wait", Flag: hazard.Hold, Through: day("2026-09-15"), Need: hazard.NeedTime, On: day("2026-09-01"), Days: 14},
	hazard.LineRainHeight:      {Rule: "prussic.drought.wait", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedEvidence, On: day("2026-09-01"), Figure: hazard.Figure{Of: hazard.HeightCM, Limit: 76}, Species: "sorghum-sudangrass"},
	hazard.LineHail:            {Rule: "prussic.hail.wait", Flag: hazard.Hold, Through: day("2026-09-15"), Need: hazard.NeedTime, On: day("2026-09-01"), Days: 14},
	hazard.LineTrampled:        {Rule: "prussic.trampled.wait", Flag: hazard.Hold, Through: day("2026-09-15"), Need: hazard.NeedTime, On: day("2026-09-01"), Days: 14},
	hazard.LineSprayed:         {Rule: "prussic.spray.wait", Flag: hazard.Hold, Through: day("2026-09-29"), Need: hazard.NeedTime, On: day("2026-09-01"), Days: 28},
	hazard.LineWilted:          {Rule: "wilted", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedEvidence, On: day("2026-09-08")},
	hazard.LineFrosted:         {Rule: "prussic.frost.outgrown", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-01"), WalkOn: day("2026-09-04") + 28, Days: 28},
	hazard.LineNotDry:          {Rule: "walk.not-dry", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-08")},
	hazard.LineDamaged:         {Rule: "prussic.frost.outgrown", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-04"), WalkOn: day("2026-09-04") + 28, Days: 28},
	hazard.LineCapped:          {Rule: "species.green-cap", Flag: hazard.Caution, Need: hazard.NeedDecision, Species: "sorghum-sudangrass"},
	hazard.LinePossible:        {Rule: "prussic.frost.possible", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-10"), WalkOn: day("2026-09-12"), Figure: hazard.Figure{Of: hazard.LowC, Measured: true, Value: 1.5, Limit: 2.2}, Days: 14},
	hazard.LineUnreadNights:    {Rule: "night.unread", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-11"), Nights: []fields.Date{day("2026-09-05"), day("2026-09-06"), day("2026-09-07"), day("2026-09-11")}, Days: 14},
	hazard.LineForecastCaution: {Rule: "forecast", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-09-12"), Figure: hazard.Figure{Of: hazard.LowC, Measured: true, Value: 1.5, Limit: 2.2}},
	hazard.LineForecastHold:    {Rule: "forecast", Flag: hazard.Hold, Through: day("2026-09-12"), Need: hazard.NeedTime, On: day("2026-09-12"), Figure: hazard.Figure{Of: hazard.LowC, Measured: true, Value: -2}},
	hazard.LineOldWalk:         {Rule: "prussic.walk.life", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-05"), Days: 3},
	hazard.LineHCNHold:         {Rule: "prussic.hcn.hold", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-09-05"), Figure: hazard.Figure{Of: hazard.HCNDry, Measured: true, Value: 640, Limit: 500}},
	hazard.LineHCNCaution:      {Rule: "prussic.hcn.caution", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-05"), Figure: hazard.Figure{Of: hazard.HCNDry, Measured: true, Value: 240, Limit: 200}},
	hazard.LineHCNUnfit:        {Rule: "prussic.hcn.caution", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-05"), Figure: hazard.Figure{Of: hazard.HCNDry, Measured: true, Value: 40, Limit: 200}},
	hazard.LineFlax:            {Rule: "species.flax", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, Species: "flax"},
	hazard.LineFlaxTest:        {Rule: "species.flax", Flag: hazard.Caution, Need: hazard.NeedEvidence, Species: "flax", On: day("2026-09-05")},
	hazard.LineHorses:          horses,

	hazard.LineChopFrosted:  {Rule: "chop.frosted", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-09-05")},
	hazard.LineChopWait:     chopWait,
	hazard.LineCutUnknown:   {Rule: "species.unknown", Flag: hazard.Caution, Need: hazard.NeedEvidence, Species: "super sweet 3"},
	hazard.LineCutClear:     cutClear,
	hazard.LineSwathNotDry:  {Rule: "swath.dry", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-08-30"), Proof: day("2026-09-09")},
	hazard.LineSwathOldWalk: {Rule: "prussic.walk.life", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-05"), Days: 3},
	hazard.LineSwathStubble: {Rule: "swath.stubble", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-08-30")},
	hazard.LineSwathClock: {
		Rule: "prussic.frost.wait", Flag: hazard.Hold, Through: day("2026-09-24"), Need: hazard.NeedEvidence, On: day("2026-09-10"), Frost: day("2026-09-03"), Days: 14,
		Nights: []fields.Date{day("2026-09-09"), day("2026-09-10")},
	},
	hazard.LineCure:     {Rule: "prussic.hay.cure", Flag: hazard.Hold, Through: day("2026-09-13"), Need: hazard.NeedTime, On: day("2026-08-30"), Days: 14},
	hazard.LineEnsile:   {Rule: "prussic.silage.wait", Flag: hazard.Hold, Through: day("2026-10-25"), Need: hazard.NeedTime, On: day("2026-08-30"), Days: 56},
	hazard.LineSuspect:  {Rule: "prussic.hay.cure", Flag: hazard.Caution, Need: hazard.NeedEvidence, Why: hazard.Suspicion{Line: hazard.LineClock, On: day("2026-08-28")}, Bales: 24},
	hazard.LineLotClear: {Rule: "prussic.hay.cure", Flag: hazard.Clear, On: day("2026-08-01")},

	hazard.LineNitrateUntested:   untried,
	hazard.LineNitrateWait:       nWait,
	hazard.LineNitrateDrought:    {Rule: "nitrate.rain.wait", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-08-01")},
	hazard.LineNitrateInsideWait: {Rule: "nitrate.hail.wait", Flag: hazard.Caution, Need: hazard.NeedTime, On: day("2026-09-03"), Days: 14, Stress: hazard.Stress{Kind: hazard.StressHail, On: day("2026-09-03"), Ends: day("2026-09-03") + 14}},
	hazard.LineNitrateOvertaken:  {Rule: "nitrate.standing.life", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-01")},
	hazard.LineNitrateAged:       {Rule: "nitrate.standing.life", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-08-20"), Days: 10},
	hazard.LineNitrateNights:     {Rule: "night.unread", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-10"), Proof: day("2026-09-05"), Nights: []fields.Date{day("2026-09-10")}},
	hazard.LineNitrateTable: {
		Rule: "nitrate.tables", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-09-05"),
		Nitrate: &hazard.NitrateSays{Flag: hazard.Hold, Value: 3000, Limit: 2000, Table: "clemson", Source: "clemson", Words: "35 to 40 % of the ration, and not for pregnant stock"},
	},
	hazard.LineNitrateClears:      {Rule: "nitrate.tables", Flag: hazard.Clear, On: day("2026-09-05"), Nitrate: &hazard.NitrateSays{Flag: hazard.Clear, Value: 620, MaxShare: 100}},
	hazard.LineNitrateLow:         nLow,
	hazard.LineNitrateOpen:        {Rule: "night.light", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-10"), Nights: []fields.Date{day("2026-09-10")}, WalkOn: day("2026-09-12")},
	hazard.LineNitrateFresh:       {Rule: "nitrate.nitrogen.fresh", Flag: hazard.Caution, Need: hazard.NeedTime, On: day("2026-08-20"), Ends: day("2026-09-19"), Days: 30},
	hazard.LineNitrateWeedy:       {Rule: "nitrate.weedy", Flag: hazard.Caution, Need: hazard.NeedEvidence, Plants: []string{"kochia"}},
	hazard.LineNitrateLowUnsure:   {Rule: "nitrate.weeds.walk", Flag: hazard.Caution, Need: hazard.NeedEvidence, Plants: []string{"smooth-brome"}, Days: 28},
	hazard.LineNitrateCutNow:      cutNow,
	hazard.LineNitratePeak:        {Rule: "nitrate.frost.wait", Flag: hazard.Caution, Need: hazard.NeedTime, On: day("2026-09-05"), Days: 14, Stress: hazard.Stress{Kind: hazard.StressFrost, On: day("2026-09-05"), Ends: day("2026-09-05") + 14}},
	hazard.LineNitrateCutRain:     {Rule: "nitrate.rain.wait", Flag: hazard.Caution, Need: hazard.NeedTime, On: day("2026-09-01"), Days: 21, Stress: hazard.Stress{Kind: hazard.StressRain, On: day("2026-09-01"), Ends: day("2026-09-01") + 21}},
	hazard.LineNitrateCutBar:      {Rule: "nitrate.tables", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-09-05"), Nitrate: &hazard.NitrateSays{Flag: hazard.Hold, Value: 3000, Table: "clemson"}},
	hazard.LineNitrateLotUntested: {Rule: "nitrate.tables", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedEvidence, Untested: hazard.UntestedStress, Stress: hazard.Stress{Kind: hazard.StressFrost, On: day("2026-08-28")}, Bales: 24},
	hazard.LineNitrateLotTable: {
		Rule: "nitrate.tables", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-09-05"),
		Nitrate: &hazard.NitrateSays{Flag: hazard.Caution, Value: 1250, Limit: 1000, Table: "clemson", Source: "clemson", Words: "at most half of the ration for pregnant stock", MaxShare: 50},
	},
	hazard.LineNitrateLotSpread: {Rule: "nitrate.bale.spread", Flag: hazard.Caution, Need: hazard.NeedEvidence, On: day("2026-09-05"), Nitrate: &hazard.NitrateSays{Flag: hazard.Hold, Value: 1401.2, Composite: 620, Table: "clemson", MaxShare: 50}},
	hazard.LineWater:            {Rule: "nitrate.water.caution", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-07-09"), Figure: hazard.Figure{Of: hazard.WaterMgN, Measured: true, Value: 25, Limit: 22.6}, Water: "north well"},
	hazard.LineNitrateLotThin:   {Rule: "nitrate.tables", Flag: hazard.Caution, Need: hazard.NeedEvidence, Bales: 24},

	hazard.LineIncident:    {Rule: "incident", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-06-01"), Entries: []string{id(12)}},
	hazard.LineKeepOff:     {Rule: "vet.keep-off", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-06-01"), Entries: []string{id(13)}, Vet: &hazard.VetWord{Who: "Dr Moss", Because: "two samples pending"}},
	hazard.LineMayGraze:    {Rule: "vet.may-graze", Flag: hazard.Caution, Need: hazard.NeedDecision, On: day("2026-06-01"), Vet: &hazard.VetWord{Who: "Dr Moss", Because: "walked it", Until: day("2026-09-14")}},
	hazard.LineVetNone:     vetNone,
	hazard.LineFedIncident: {Rule: "incident", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-09-09"), Entries: []string{id(12)}},
	hazard.LineLotIncident: {Rule: "incident", Flag: hazard.Hold, Through: hazard.NoEnd, Need: hazard.NeedDecision, On: day("2026-09-09"), Lot: "bales-2", Entries: []string{id(12)}},
}

func lineReason(l hazard.Line) (hazard.Reason, bool) {
	r, ok := lineReasons[l]
	r.Line = l
	return r, ok
}

// Every line has words, what lifts it and sources; the golden file is what a
// person reads to judge them.
func TestWordsForEveryLine(t *testing.T) {
	a := farmAssessment(t)
	var all strings.Builder
	seen := map[string]hazard.Line{}
	for l := hazard.LineNone + 1; l < hazard.NumLines; l++ {
		r, ok := lineReason(l)
		if !ok {
			t.Errorf("line %d of hazard/answer.go has no example: add one to lineReasons", l)
			continue
		}
		s := newSpeaker(a, Metric)
		if row := &lines[l]; s.cause(&r) == "" || row.short == "" || len(strings.Fields(s.fill(row.short, &r))) > 12 {
			t.Errorf("%s: its row in lines.go lacks says, or short is not 1 to 12 words: %q", r.Rule, s.fill(row.short, &r))
		}
		metric, us := WordsFor(&r, hazard.Graze, a, Metric), WordsFor(&r, hazard.Graze, a, US)
		lifts := Lifts(&r, a, Metric)
		if other, twice := seen[metric]; twice {
			t.Errorf("lines %d and %d say the same: %s", other, l, metric)
		}
		seen[metric] = l
		if r.Flag == hazard.Clear && lifts != "" {
			t.Errorf("line %d is clear, but something lifts it: %s", l, lifts)
		}
		if r.Flag != hazard.Clear && lifts == "" {
			t.Errorf("%s: its row in lines.go does not say what lifts it", r.Rule)
		}
		src := s.sources(&r)
		if len(src) == 0 {
			t.Errorf("%s: its row in lines.go has no source", r.Rule)
		}
		fmt.Fprintf(&all, "%s %s\n  %s\n", r.Rule, r.Flag, metric)
		if us != metric {
			fmt.Fprintf(&all, "  us: %s\n", us)
		}
		if lifts != "" {
			fmt.Fprintf(&all, "  lifts: %s\n", lifts)
		}
		if usLifts := Lifts(&r, a, US); usLifts != lifts {
			fmt.Fprintf(&all, "  us lifts: %s\n", usLifts)
		}
		for _, s := range src {
			fmt.Fprintf(&all, "  source: %s\n", s)
		}
	}
	if len(lineReasons) != int(hazard.NumLines)-1 {
		t.Errorf("%d examples for %d lines", len(lineReasons), hazard.NumLines-1)
	}
	golden(t, "reasons.txt", all.String())
}

// A plant that makes a little prussic acid is not said to make none.
func TestWordsOfALittlePrussicAcid(t *testing.T) {
	a := farmAssessment(t)
	a.Book.Species["white-clover"] = &hazard.Species{ID: "white-clover", Name: "White clover", Habit: hazard.HabitMinor}
	r := hazard.Reason{Line: hazard.LineNoP, Rule: "species.none", Flag: hazard.Clear, Plants: []string{"oats", "white-clover"}}
	if w := WordsFor(&r, hazard.Graze, a, Metric); !strings.Contains(w, "No plant listed here makes more than a little prussic acid: oats and White clover") {
		t.Error(w)
	}
	r.Plants = []string{"oats"}
	if w := WordsFor(&r, hazard.Graze, a, Metric); !strings.Contains(w, "No plant listed here makes prussic acid: oats") {
		t.Error(w)
	}
}

// Every line makes a whole sentence for every use, softened or not.
func TestWordsForEveryUse(t *testing.T) {
	a := farmAssessment(t)
	for l := hazard.LineNone + 1; l < hazard.NumLines; l++ {
		full, _ := lineReason(l)
		soft := full
		soft.Flag, soft.Through = hazard.Caution, fields.NoDate
		soft.SoftBy = &hazard.Softening{VetWord: hazard.VetWord{Entry: id(11), Who: "Dr Moss", Because: "walked it.", Until: day("2026-09-14")}, Through: full.Through}
		for _, r := range []hazard.Reason{full, soft} {
			for _, use := range append(hazard.PaddockUses, hazard.Feed) {
				checkSentence(t, l, WordsFor(&r, use, a, Metric))
				if lifts := Lifts(&r, a, US); lifts != "" {
					checkSentence(t, l, lifts)
				}
			}
		}
		w := WordsFor(&soft, hazard.Graze, a, Metric)
		may := "grazed"
		if u := lines[l].use; u != hazard.Graze && u != hazard.SwathGraze {
			may = "used"
		}
		for _, want := range []string{"Dr Moss says it may be " + may + " through Mon 14 Sep, because: walked it.", "Without that word it is a hold"} {
			if !strings.Contains(w, want) {
				t.Errorf("line %d softened: %q lacks %q", l, w, want)
			}
		}
		if strings.Contains(w, "keep out") {
			t.Errorf("line %d softened still says keep out: %q", l, w)
		}
	}
}

func checkSentence(t *testing.T, l hazard.Line, w string) {
	t.Helper()
	if w == "" || strings.Contains(w, "  ") || strings.Contains(w, "%!") || strings.Contains(w, " ,") || strings.Contains(w, "..") ||
		!strings.HasSuffix(w, ".") || strings.Contains(w, "of no date") || strings.Contains(w, "on no date") || strings.Contains(strings.NewReplacer(", no date", "", "with no date", "").Replace(w), "no date") || strings.Contains(w, "5881580") {
		t.Errorf("line %d: %q is no clean sentence", l, w)
	}
	if c := w[:1]; strings.ToUpper(c) != c {
		t.Errorf("line %d: %q begins small", l, w)
	}
}

// The sentences the words were made for.
func TestWordsExactly(t *testing.T) {
	a := farmAssessment(t)
	n := []fields.Date{day("2026-09-16"), day("2026-09-17")}
	for _, c := range []struct {
		r    hazard.Reason
		use  hazard.Use
		want string
	}{
		{froze, hazard.Graze, "Froze Fri 11 Sep: off through Fri 25 Sep; another frost starts it again."},
		{froze, hazard.GreenChop, "Froze Fri 11 Sep: no chopping through Fri 25 Sep; another frost starts it again."},
		{
			hazard.Reason{Line: hazard.LineClock, Flag: hazard.Hold, On: n[1], Frost: day("2026-09-11"), Nights: n, Days: 14, Through: day("2026-10-01")},
			hazard.Graze,
			"Froze Fri 11 Sep; not read since, so counted as frost: the nights of Wed 16 Sep and Thu 17 Sep; off through Thu 1 Oct; another frost starts it again.",
		},
		{
			hazard.Reason{Line: hazard.LineUnreadNights, Flag: hazard.Caution, Nights: n},
			hazard.Graze,
			"Nobody read the thermometer for the nights of Wed 16 Sep and Thu 17 Sep.",
		},
		{
			hazard.Reason{Line: hazard.LineUnreadNights, Flag: hazard.Caution, Nights: []fields.Date{day("2026-09-11")}},
			hazard.Graze,
			"Last night (Fri 11 Sep) not read yet.",
		},
		{unmeasured, hazard.Graze, "Growing, and the shortest growth never measured since Mon 1 Jun: off, no date."},
		{swathGone, hazard.SwathGraze, "No swath here to graze."},
	} {
		if got := WordsFor(&c.r, c.use, a, Metric); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

// No night is lost when many are named.
func TestNightsNamesEveryNight(t *testing.T) {
	var ds []fields.Date
	for d := day("2026-09-01"); d <= day("2026-09-20"); d++ {
		if d%5 != 0 {
			ds = append(ds, d)
		}
	}
	s := &speaker{on: ds[0]}
	w := s.nights(ds)
	if !strings.Contains(w, " through ") {
		t.Errorf("no range in %q", w)
	}
	for _, part := range s.ranges(ds) {
		if !strings.Contains(w, part) {
			t.Errorf("%q lacks %q", w, part)
		}
	}
	n := 0
	for _, part := range s.ranges(ds) {
		from, to, isRange := strings.Cut(part, " through ")
		a, err := fields.ParseDate(from, ds[len(ds)-1])
		if err != nil {
			t.Fatal(err)
		}
		b := a
		if isRange {
			if b, err = fields.ParseDate(to, ds[len(ds)-1]); err != nil {
				t.Fatal(err)
			}
		}
		n += b.Sub(a) + 1
	}
	if n != len(ds) {
		t.Errorf("%d nights named, want %d: %s", n, len(ds), w)
	}
}
