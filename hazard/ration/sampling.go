package ration

import (
	"fmt"
	"math"

	"rimegate/hazard"
)

// Plan says how to take one sample that counts.
type Plan struct {
	Analyte string // nitrate or hcn
	Of      string // stand, hay, baleage, silage

	// A standing sample.
	Stems    int
	Spots    int
	MaxCutCM float64 // cut at this height or lower, for grazing; 0: no height asked

	// A lot of stored feed.
	Bales int // bales to core; 0 for loose silage
	Cores int

	SampleFrom int // days after ensiling before a sample shows anything; 0: any time

	Steps     []Advice   // in the order of the work
	Conflicts []Conflict // where publications disagree
	Rules     []string   // rules of the rulebook the counts come from
}

// Advice is one sentence and where it comes from; without a source it is
// common practice or ours, which Basis then says.
type Advice struct {
	Text   string
	Source hazard.Source
	Basis  string // published, common-practice, ours
}

// Conflict is a question to which publications give opposite answers.
type Conflict struct {
	Question string
	Says     []Advice
	Do       string
}

func published(text string, s hazard.Source) Advice { return Advice{text, s, "published"} }
func ours(text string) Advice                       { return Advice{text, hazard.Source{}, "ours"} }
func common(text string) Advice                     { return Advice{text, hazard.Source{}, "common-practice"} }

// asTheLabSays is the answer to every conflict about packing.
const asTheLabSays = "Call the laboratory that will receive it and do what it says, before you cut."

// StandingPlan is the plan for a stand, for nitrate or HCN, with the counts of
// the rulebook. An analyte of another name is an error.
func StandingPlan(book *hazard.Rulebook, analyte string) (Plan, error) {
	switch analyte {
	case "nitrate":
		return standingNitrate(book), nil
	case "hcn":
		return standingHCN(), nil
	}
	return Plan{}, fmt.Errorf("a sample is for nitrate or for hcn, not for %s", quoted(analyte))
}

func standingNitrate(book *hazard.Rulebook) Plan {
	p := Plan{
		Analyte: "nitrate", Of: "stand",
		Stems: count(book.V[hazard.NitrateSampleStems]), Spots: count(book.V[hazard.NitrateSampleSpots]),
		MaxCutCM: book.V[hazard.NitrateSampleCutCM],
		Rules:    []string{hazard.NitrateSampleStems.String(), hazard.NitrateSampleSpots.String(), hazard.NitrateSampleCutCM.String()},
	}
	p.Steps = []Advice{
		ours("Sample after the last stress and after its wait: a result speaks only of what had happened before it, and in living plants it ages within days."),
		published("Take droughty patches, manured ground, field edges and pivot corners as samples of their own; do not mix them in.", srcWeakSpots),
		published(fmt.Sprintf("Walk a zigzag or both diagonals and take at least %d stems.", p.Stems), srcNDSample),
		published(fmt.Sprintf("Stop at %d spots or more, spread over all that will be grazed.", p.Spots), srcSDSpot),
		ours(fmt.Sprintf("Cut at %s cm or lower and write the height down: stock eat down to the base, where most of the nitrate is. For hay or silage cut at the mower's height as well, as another sample.", number(p.MaxCutCM, 0))),
		published("Keep the whole stem.", srcSDSpot),
		published("Bring together at least a pound (450 g).", srcKentucky),
		published("Chop it into pieces of 1 to 2 inches (3 to 5 cm), mix, quarter it down and fill a quart (1 L) bag.", srcAgvise),
		published("Keep moist samples on ice and bring them the same day, or freeze them.", srcKentucky),
		published("A colour test in the field only warns and never clears: in two studies its false all-clears ran to 5 and 6 in 100.", srcSpotErrors),
	}
	p.Conflicts = []Conflict{
		{
			"Cold or frozen?",
			[]Advice{
				published("ice it the same day, or freeze it", srcKentucky),
				published("freeze it, so that the nitrate holds", srcOntarioFreeze),
			},
			asTheLabSays,
		},
		{
			"What time of day?",
			[]Advice{
				published("at sunrise, when the plant holds most; an afternoon sample reads too low for morning grazing", srcSunriseTest),
				published("in the field no daily swing was found", srcDiurnal),
			},
			"Sample in the morning: it can only read too high.",
		},
	}
	return p
}

func standingHCN() Plan {
	p := Plan{Analyte: "hcn", Of: "stand", Stems: 15} // Servi-Tech, below
	p.Steps = []Advice{
		published("Ask the laboratory first; what they want differs.", srcKS302),
		published("Take 15 to 20 plants along a line through the field, at fixed paces.", srcServiTechHCN),
		published("Send 1 to 2 lb (0.5 to 1 kg) fresh, from all over the area that will be grazed.", srcOhioHCN),
		ours("Take regrowth, the shortest plants and low corners as a sample of their own: stock pick, and the worst plant decides."),
		published("Cut from late morning to early afternoon, near the day's peak.", srcServiTechHCN),
		published("Seal it in an airtight bag at once. What dries loses the gas and reads clean when it is not.", srcOhioHCN),
		ours("Write down how it arrived: sealed or frozen. A sample that dried can warn, never clear."),
	}
	p.Conflicts = []Conflict{
		freezeHCN(),
		{
			"Leaves or stems?",
			[]Advice{
				published("leaves, not stems", srcServiTechHCN),
				published("mainly stems, at random", srcOhioBoyles),
			},
			asTheLabSays,
		},
	}
	return p
}

func freezeHCN() Conflict {
	return Conflict{
		"Freeze it or not?",
		[]Advice{
			published("freeze it fast, send it on ice overnight", srcOhioHCN),
			published("do not freeze, dry or heat it; keep it in the refrigerator", srcServiTechHCN),
		},
		asTheLabSays,
	}
}

// BalesToCore returns how many bales of a lot make a sample: the larger of the
// rulebook's number and its percentage of the lot, at most all of them. With
// lot 0 the number of bales is not known and the number alone counts.
func BalesToCore(book *hazard.Rulebook, lot int) int {
	need := book.V[hazard.NitrateSampleBales]
	if lot <= 0 {
		return count(need)
	}
	return int(min(max(need, math.Ceil(float64(lot)*book.V[hazard.NitrateSampleBalesPct]/100)), float64(lot)))
}

// LotPlan is the plan for a lot of hay, baleage, silage or bought feed of so
// many bales (0: not known, or no bales). Other kinds and analytes are errors.
func LotPlan(book *hazard.Rulebook, analyte, kind string, bales int) (Plan, error) {
	if analyte != "nitrate" && analyte != "hcn" {
		return Plan{}, fmt.Errorf("a sample is for nitrate or for hcn, not for %s", quoted(analyte))
	}
	p := Plan{Analyte: analyte, Of: kind, Rules: []string{hazard.NitrateSampleBales.String(), hazard.NitrateSampleBalesPct.String()}}
	p.Bales = BalesToCore(book, bales)
	p.Cores = p.Bales
	switch kind {
	case "hay", "bought":
	case "baleage":
		p.SampleFrom = count(book.V[hazard.NitrateSilageFermentation])
	case "silage":
		p.Bales, p.Cores = 0, count(book.V[hazard.NitrateSampleBales])
		p.SampleFrom = count(book.V[hazard.NitrateSilageFermentation])
	default:
		return Plan{}, fmt.Errorf("a lot is hay, baleage, silage or bought, not %s", quoted(kind))
	}
	p.Steps = append(p.Steps, published("One lot is one field, one cutting, one ripeness, usually less than 100 tons; sample each lot by itself.", srcWard))
	if analyte == "nitrate" {
		p.Steps = append(p.Steps, published("A result of the standing crop does not do for stored feed: sample the lot itself.", srcExEx2034))
	}
	if p.SampleFrom > 0 {
		p.Steps = append(p.Steps, published(fmt.Sprintf("Wait %d days after wrapping or ensiling (in print 21 days at least): a sooner sample does not show what fermentation takes away.", p.SampleFrom), srcCSUStressed))
		p.Rules = append(p.Rules, hazard.NitrateSilageFermentation.String())
	}
	if p.Bales > 0 {
		p.Steps = append(p.Steps,
			published(fmt.Sprintf("Core %d bales; in print it is a fifth of the lot at least, up to two fifths.", p.Bales), srcKStateTests),
			common("Draw the bales at random from the whole stack, not only from its front; one deep core from each."))
	} else {
		p.Steps = append(p.Steps,
			common(fmt.Sprintf("Take %d cores or handfuls across the fresh face, top to bottom; nobody stands under the face.", p.Cores)),
			published("Stay out of the silo for three weeks after filling: the gas kills.", srcOntarioSilo))
	}
	if analyte == "nitrate" {
		p.Steps = append(p.Steps,
			published("Mix the cores, quarter them down and fill a quart (1 L) bag.", srcAgvise),
			ours("For feeding bales free choice ask for several bales one by one: the mean of all says nothing of the hottest."))
		return p, nil
	}
	p.Steps = append(p.Steps,
		published("Ask the laboratory first; what they want differs.", srcKS302),
		published("Seal the sample in an airtight bag at once.", srcOhioHCN))
	p.Conflicts = []Conflict{freezeHCN()}
	return p, nil
}

func count(v float64) int { return int(math.Ceil(v)) }
