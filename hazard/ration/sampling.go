package ration

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimegate/hazard"
)

// Plan says how to take one sample that counts.
type Plan struct {
	Analyte string // nitrate or hcn

	// A standing sample.
	Stems    int
	Spots    int
	MaxCutCM float64 // cut at this height or lower, for grazing; 0: no height asked

	// A lot of stored feed.
	Bales int // bales to core; 0 for loose silage
	Cores int

	Steps     []Advice   // in the order of the work
	Conflicts []Conflict // where publications disagree
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

// stepsCSV are the steps of all plans in the order of the work: the words that must
// all hold for a sample, the source (none: ours), and the text. Rows with a question
// say what a publication answers to it, and what to do since they disagree.
//
//go:embed steps.csv
var stepsCSV string

// StandingPlan is the plan for a stand, for nitrate or HCN, with the counts of
// the rulebook. An analyte of another name is an error.
func StandingPlan(book *hazard.Rulebook, analyte string) (Plan, error) {
	p := Plan{Analyte: analyte, Stems: 15} // Servi-Tech, for HCN
	if analyte == "nitrate" {
		p.Stems, p.Spots = count(book.V[hazard.NitrateSampleStems]), count(book.V[hazard.NitrateSampleSpots])
		p.MaxCutCM = book.V[hazard.NitrateSampleCutCM]
	}
	return p.with("stand", 0, "")
}

// LotPlan is the plan for a lot of hay, baleage, silage or bought feed of so
// many bales (0: not known, or no bales). Other kinds and analytes are errors.
func LotPlan(book *hazard.Rulebook, analyte, kind string, bales int) (Plan, error) {
	n := BalesToCore(book, bales)
	p := Plan{Analyte: analyte, Bales: n, Cores: n}
	wait := count(book.V[hazard.NitrateSilageFermentation])
	switch kind {
	case "hay", "bought":
		return p.with("lot", 0, "bales")
	case "baleage":
		return p.with("lot", wait, "bales wait")
	case "silage":
		p.Bales, p.Cores = 0, count(book.V[hazard.NitrateSampleBales])
		return p.with("lot", wait, "loose wait")
	}
	return Plan{}, fmt.Errorf("a lot is hay, baleage, silage or bought, not %s", quoted(kind))
}

// with gives the plan its steps: those whose words all hold.
func (p Plan) with(what string, wait int, more string) (Plan, error) {
	if p.Analyte != "nitrate" && p.Analyte != "hcn" {
		return Plan{}, fmt.Errorf("a sample is for nitrate or for hcn, not for %s", quoted(p.Analyte))
	}
	fill := strings.NewReplacer("{stems}", fmt.Sprint(p.Stems), "{spots}", fmt.Sprint(p.Spots), "{cut}", number(p.MaxCutCM, 0),
		"{bales}", fmt.Sprint(p.Bales), "{cores}", fmt.Sprint(p.Cores), "{wait}", fmt.Sprint(wait))
	holds := append(strings.Fields(more), what, p.Analyte)
	for _, r := range readCSV(stepsCSV) {
		if slices.ContainsFunc(strings.Fields(r[0]), func(w string) bool { return !slices.Contains(holds, w) }) {
			continue
		}
		a := Advice{Text: fill.Replace(r[2]), Basis: "ours"}
		switch r[1] {
		case "":
		case "practice":
			a.Basis = "common-practice"
		default:
			a.Source, a.Basis = source(r[1]), "published"
		}
		if r[3] == "" {
			p.Steps = append(p.Steps, a)
			continue
		}
		k := slices.IndexFunc(p.Conflicts, func(c Conflict) bool { return c.Question == r[3] })
		if k < 0 {
			k = len(p.Conflicts)
			p.Conflicts = append(p.Conflicts, Conflict{Question: r[3], Do: r[4]})
		}
		p.Conflicts[k].Says = append(p.Conflicts[k].Says, a)
	}
	return p, nil
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

func count(v float64) int { return int(math.Ceil(v)) }
