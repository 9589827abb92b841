package rules

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"rimegate/hazard"
)

func TestEmbeddedRulebookIsSound(t *testing.T) {
	_, ps := load(files)
	for _, p := range ps {
		t.Error(p)
	}
}

// TestDefaults holds every default and limit still: a changed number must be
// changed here too, on purpose.
func TestDefaults(t *testing.T) {
	type row struct {
		value, limit float64
		stricter     string
		basis        string
	}
	const larger, smaller = "larger", "smaller"
	const pub, ours = BasisPublished, BasisOurs
	want := map[hazard.RuleKey]row{
		hazard.FrostTrigger:              {0, 0, larger, pub},
		hazard.FrostPossible:             {2.2, 0.6, larger, pub},
		hazard.FrostPossibleLow:          {4.4, 2.2, larger, pub},
		hazard.FrostKillHint:             {-4.4, -2.2, smaller, pub},
		hazard.FrostKillHintHours:        {3, 2, larger, pub},
		hazard.FrostWait:                 {14, 10, larger, pub},
		hazard.FrostDryWait:              {0, 0, larger, pub},
		hazard.FrostKillWalkAfter:        {2, 2, larger, pub},
		hazard.FrostOutgrown:             {28, 28, larger, ours},
		hazard.WalkLife:                  {3, 7, smaller, ours},
		hazard.WalkLifeSettled:           {14, 14, smaller, ours},
		hazard.WalkLifePerennial:         {7, 7, smaller, ours},
		hazard.HeightLife:                {7, 14, smaller, ours},
		hazard.HeightGrace:               {7, 7, smaller, ours},
		hazard.HeightSudangrass:          {61, 46, larger, pub},
		hazard.HeightPerennial:           {61, 46, larger, ours},
		hazard.HeightSorghumSudangrass:   {76, 46, larger, pub},
		hazard.HeightForageSorghum:       {76, 61, larger, pub},
		hazard.HeightJohnsongrass:        {61, 46, larger, pub},
		hazard.HeightShattercane:         {61, 46, larger, pub},
		hazard.HeightColumbusGrass:       {61, 46, larger, pub},
		hazard.HeightGrainSorghum:        {61, 46, larger, pub},
		hazard.DroughtWait:               {14, 4, larger, pub},
		hazard.HailWait:                  {14, 14, larger, ours},
		hazard.TrampledWait:              {14, 14, larger, ours},
		hazard.SprayWait:                 {28, 21, larger, ours},
		hazard.ChopWait:                  {7, 3, larger, pub},
		hazard.HayCure:                   {14, 7, larger, pub},
		hazard.SilageWait:                {21, 14, larger, pub},
		hazard.SilageWaitSuspect:         {56, 21, larger, pub},
		hazard.LotHeightLife:             {14, 14, smaller, ours},
		hazard.LotChopAfterFrost:         {3, 3, larger, pub},
		hazard.StandGrowthLimit:          {10, 10, smaller, ours},
		hazard.BloatAfterFrost:           {5, 5, larger, pub},
		hazard.NitrateFrostHard:          {-5, -5, larger, ours},
		hazard.NitrateFrostBorne:         {-1, -1, larger, ours},
		hazard.NitrateFrostBorneDays:     {3, 3, smaller, ours},
		hazard.NitrateFrostScreenDrop:    {2.2, 2.2, larger, pub},
		hazard.NitrateDeadAfterSown:      {28, 28, larger, ours},
		hazard.NitrateLowDose:            {67, 67, smaller, pub},
		hazard.NitrateLowTotal:           {112, 112, smaller, ours},
		hazard.NitrateLowStressed:        {56, 56, smaller, pub},
		hazard.NitrateFresh:              {30, 30, larger, pub},
		hazard.NitrateNewSward:           {365, 365, larger, ours},
		hazard.NitrateWeedWalk:           {28, 28, smaller, ours},
		hazard.NitrateWeedWalkSod:        {90, 90, smaller, ours},
		hazard.NitrateWeedsTrace:         {5, 5, smaller, ours},
		hazard.HCNHoldDM:                 {500, 500, smaller, pub},
		hazard.HCNHoldAsIs:               {200, 200, smaller, pub},
		hazard.HCNCautionDM:              {200, 200, smaller, pub},
		hazard.NitrateStandingLife:       {28, 28, smaller, ours},
		hazard.NitrateStandingLifeInWait: {10, 10, smaller, ours},
		hazard.NitrateAfterWait:          {14, 14, larger, ours},
		hazard.NitrateRainWait:           {21, 7, larger, pub},
		hazard.NitrateFrostWait:          {14, 7, larger, pub},
		hazard.NitrateHailWait:           {14, 7, larger, pub},
		hazard.NitrateTrampledWait:       {14, 7, larger, ours},
		hazard.NitrateSprayWait:          {14, 7, larger, ours},
		hazard.NitratePeakFrom:           {4, 4, smaller, pub},
		hazard.NitratePeakTo:             {7, 7, larger, pub},
		hazard.NitrateNitrogenFlag:       {56, 56, smaller, pub},
		hazard.NitrateSilageCredit:       {0, 0, smaller, pub},
		hazard.NitrateSilageFermentation: {28, 28, larger, pub},
		hazard.NitrateWaterCaution:       {22.6, 100, smaller, pub},
		hazard.NitrateWaterHold:          {100, 300, smaller, pub},
		hazard.NitrateWaterLitres:        {8.8, 5.05, larger, pub},
		hazard.NitrateSampleStems:        {20, 20, larger, pub},
		hazard.NitrateSampleSpots:        {10, 5, larger, pub},
		hazard.NitrateSampleCutCM:        {10, 10, smaller, ours},
		hazard.NitrateSampleBales:        {20, 10, larger, pub},
		hazard.NitrateSampleBalesPct:     {20, 20, larger, pub},
		hazard.NitrateBaleSpread:         {2.26, 2.26, larger, ours},
		hazard.NitrateCutLeave:           {30, 8, larger, pub},
	}
	if len(want) != int(hazard.NumRules) {
		t.Fatalf("%d rules in the table, %d in the engine", len(want), hazard.NumRules)
	}
	book := Default()
	for k, w := range want {
		d, ok := DocOf(k.String())
		if !ok {
			t.Errorf("%s: no doc", k)
			continue
		}
		if got := (row{book.V[k], d.Limit, d.Stricter, d.Basis}); got != w {
			t.Errorf("%s: %v, want %v", k, got, w)
		}
		if d.Value != book.V[k] {
			t.Errorf("%s: the doc says %v, the engine has %v", k, d.Value, book.V[k])
		}
	}
	if book.Name != "cautious" || book.Version == "" || len(book.Digest) != 12 || len(book.Relaxed) != 0 {
		t.Errorf("the default calls itself %q %q %q, relaxed %v", book.Name, book.Version, book.Digest, book.Relaxed)
	}
}

// TestPublishedRanges checks the ends of what is in print, as the sheets of the
// publications were read.
func TestPublishedRanges(t *testing.T) {
	for id, want := range map[string][2]float64{
		"prussic.frost.wait":                {3, 14},  // Kentucky 2011 ... Missouri 2019, Tennessee 2000
		"prussic.frost.dry_wait":            {0, 14},  // ... Ball et al. 2016
		"prussic.frost.possible":            {0.6, 5}, // NWS 33 °F ... GRDC
		"prussic.frost.possible.low-lying":  {0.6, 5},
		"prussic.frost.kill_hint":           {-4.4, -2.2}, // Nebraska 24 °F, Illinois 28 °F
		"prussic.height.sudangrass":         {38, 61},     // 15-24 in
		"prussic.height.sorghum-sudangrass": {46, 76},     // 18-30 in
		"prussic.height.johnsongrass":       {46, 61},     // 18-24 in
		"prussic.drought.wait":              {4, 14},      // Arkansas, Texas
		"prussic.chop.wait":                 {3, 7},       // Ontario, a seed company
		"prussic.hay.cure":                  {7, 21},      // Illinois
		"prussic.silage.wait":               {14, 60},     // Illinois ... Manitoba
		"prussic.silage.wait.suspect":       {21, 60},     // Wisconsin ... Manitoba
		"bloat.after-frost":                 {1, 5},       // Ohio ... Nebraska
		"nitrate.nitrogen.low.dose":         {67, 168},    // Hojjati 1972, George 1973
		"nitrate.nitrogen.low.total":        {185, 550},   // Smith and Lutwick
		"nitrate.nitrogen.low.stressed":     {56, 67},     // Texas, Missouri
		"nitrate.nitrogen.fresh":            {21, 30},     // Western Australia, Hojjati 1972
		"nitrate.frost.hard":                {-6, 0},      // Alberta, Saskatchewan
		"nitrate.frost.screen-drop":         {0.6, 5},     // NWS, Australia
		"prussic.hcn.hold":                  {500, 1000},  // Kansas ... Penn State
		"nitrate.rain.wait":                 {3, 21},      // Penn State ... Ohio
		"nitrate.frost.wait":                {7, 14},      // Nebraska, Alberta
		"nitrate.silage.credit":             {0, 66},      // Ontario ... Michigan
		"nitrate.water.caution":             {22.6, 300},  // Beede ... South Dakota
		"nitrate.sample.bales":              {10, 20},     // Wyoming, Ward
		"nitrate.sample.bales.percent":      {20, 40},     // Kansas
		"nitrate.cut.leave":                 {8, 41},      // Kentucky 3 in ... Texas 16 in
	} {
		d, ok := DocOf(id)
		if !ok || len(d.Published) == 0 {
			t.Errorf("%s: nothing in print", id)
			continue
		}
		if got := [2]float64{d.Published[0], d.Published[len(d.Published)-1]}; got != want {
			t.Errorf("%s: in print from %v to %v, want %v", id, got[0], got[1], want)
		}
	}
}

// TestLimitIsOpenToFarms: a limit laxer than the default must be a value a farm
// can really set.
func TestLimitIsOpenToFarms(t *testing.T) {
	for _, d := range Docs() {
		if d.Fixed || d.Word != "" || d.Limit == d.Value {
			continue
		}
		if len(d.Published) > 0 && !slices.Contains(d.Published, d.Limit) && d.Basis != BasisOurs {
			// Two limits lie on a neighbouring rule's number; a farm then stops
			// at the next published value.
			if d.ID != "nitrate.hail.wait" {
				t.Errorf("%s: limit %v is in no publication", d.ID, d.Limit)
			}
		}
	}
}

func TestEveryRuleIsExplained(t *testing.T) {
	book := Default()
	ids := map[string]bool{}
	for _, d := range Docs() {
		if ids[d.ID] {
			t.Errorf("%s is listed twice", d.ID)
		}
		ids[d.ID] = true
		info, ok := book.Info[d.ID]
		if !ok || info.Title == "" || info.Basis == "" || info.ID != d.ID {
			t.Errorf("%s: the engine's info is %+v", d.ID, info)
		}
		if d.CheckedOn.IsZero() {
			t.Errorf("%s: never checked", d.ID)
		}
		if d.Basis == BasisPublished && len(d.Sources) == 0 {
			t.Errorf("%s: published without a source", d.ID)
		}
		if d.Basis == BasisOurs && !d.Fixed && d.Derivation == "" {
			t.Errorf("%s: ours without a derivation", d.ID)
		}
		if strings.Contains(d.Derivation+d.Why, "to be cited") {
			t.Errorf("%s: unfinished: %q", d.ID, d.Derivation+d.Why)
		}
		if d.Basis == BasisMemory {
			t.Errorf("%s: shipped from memory", d.ID)
		}
		for _, s := range d.Sources {
			if s.Says == "" {
				t.Errorf("%s: %s says nothing", d.ID, s.ID)
			}
		}
	}
	for k := hazard.RuleKey(0); k < hazard.NumRules; k++ {
		if !ids[k.String()] {
			t.Errorf("%s has no doc", k)
		}
	}
	for _, id := range []string{
		"incident", "vet.keep-off", "vet.may-graze", "species.unknown", "species.horses", "species.flax",
		"height.unmeasured", "shoots", "night.unread", "night.light", "nitrate.weedy", "forecast", "use.no-swath", "use.no-crop",
	} {
		if info := book.Info[id]; info.Title == "" || len(info.Sources) == 0 && info.Basis != BasisOurs && info.Basis != BasisCommon {
			t.Errorf("the fixed reason %s stands on %+v", id, info)
		}
	}
	if _, ok := DocOf("prussic.frost.nap"); ok {
		t.Error("a rule that is not there has a doc")
	}
}

// TestSources: every source names publisher, title and a real-looking address,
// is cited somewhere, and no rulebook text owns up to memory as print.
func TestSources(t *testing.T) {
	cited := map[string]bool{}
	for _, d := range Docs() {
		for _, s := range d.Sources {
			cited[s.ID] = true
		}
	}
	for _, sp := range speciesRows() {
		for _, id := range sp.Sources {
			cited[id] = true
		}
	}
	for _, p := range Publications() {
		cited[p.ID] = true
	}
	for i := range Default().Tables {
		cited[Default().Tables[i].ID] = true
	}
	byURL := map[string]string{}
	for _, s := range embedded().sources {
		id := s.ID
		if id == "" || s.Publisher == "" || s.Title == "" {
			t.Errorf("%s: %+v", id, s)
		}
		u, err := url.Parse(s.URL)
		if err != nil || u.Host == "" || !strings.Contains(u.Host, ".") {
			t.Errorf("%s: address %q", id, s.URL)
		}
		if !cited[id] {
			t.Errorf("%s is cited nowhere", id)
		}
		if was, twice := byURL[s.URL]; twice && s.ID != "colorado-line" && was != "colorado-line" {
			t.Errorf("%s and %s have the same address", id, was)
		}
		byURL[s.URL] = id
		if got, ok := SourceOf(id); !ok || got != s {
			t.Errorf("SourceOf(%q) = %+v, %v", id, got, ok)
		}
	}
}

func TestDocsAreCopies(t *testing.T) {
	Docs()[0].Title = "changed"
	if Docs()[0].Title == "changed" {
		t.Error("a caller can change the rulebook's docs")
	}
	Publications()[0].Publisher = "changed"
	if Publications()[0].Publisher == "changed" {
		t.Error("a caller can change the publications")
	}
}

func TestDocPrints(t *testing.T) {
	for id, want := range map[string][2]string{
		"prussic.frost.wait":      {"14 days", "10 days"},
		"prussic.frost.kill_hint": {"-4.4 °C", "-2.2 °C"},
		"nitrate.bale.spread":     {"2.26 times the mean", "2.26 times the mean"},
		"nitrate.tables":          {"all", ""},
		"incident":                {"", ""},
	} {
		d, _ := DocOf(id)
		if d.Says() != want[0] || d.SaysLimit() != want[1] {
			t.Errorf("%s prints %q and %q, want %q", id, d.Says(), d.SaysLimit(), want)
		}
	}
	if got := withUnit(1, "days"); got != "1 day" {
		t.Errorf("one day prints %q", got)
	}
}
