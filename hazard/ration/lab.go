package ration

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"rimegate/hazard"
)

// longestText is the longest text of one field that is looked at, in bytes.
const longestText = 200

// factorNO3 and factorKNO3 are how far a form read as another is off: grams of
// NO3 and of KNO3 per gram of their nitrogen, by atomic weights.
var (
	factorNO3  = hazard.ConvertNitrate(1, FormN, FormNO3)
	factorKNO3 = hazard.ConvertNitrate(1, FormN, FormKNO3)
)

// Lines of plausibility. They are ours: no publication draws them. The highest
// figures read in print stay below 2 % NO3-N: a laboratory's survey from below
// 100 to above 19,000 ppm NO3-N (Servi-Tech, Shreve, Management of nitrate and
// prussic acid in forage crops, no year, https://docslib.org/doc/5953257/),
// 40,000 ppm nitrate in silage that killed heifers (Univ. of Guelph Animal
// Health Laboratory, AHL Newsletter 23(3):9, 2019,
// https://uoguelph.ca/ahl/node/9097).
const (
	doubtNPPM    = 20000.0  // 2 % NO3-N on dry matter
	doubtPercent = 100000.0 // 10 % of the feed's weight, in ppm
	doubtPPM     = 1.0      // a ppm figure below it looks like a percentage
	doubtDM      = 5.0      // % dry matter
)

// Reading is a laboratory figure as understood.
type Reading struct {
	Figure
	// Below: the report says "less than" this value. The value itself is taken,
	// the most it can be.
	Below bool
	// PPMN is the figure as ppm NO3-N on dry matter. It is NaN while a question
	// keeps it from being known.
	PPMN float64
	// Echo says in words what was understood; "" while it is not.
	Echo string
}

// Question is something a person must settle before a figure can be used.
// Nothing is settled by guessing.
type Question struct {
	About string // value, form, unit, basis or dry matter
	// Doubt questions stand beside a figure that can be read but is not
	// plausible: the person says that it is so, or corrects it. All other
	// questions keep the figure from being read.
	Doubt   bool
	Factor  float64 // how many times a wrong answer is off; 0 where no factor says it
	Text    string  // one sentence: what, and what to type
	Choices []string
}

// Readable reports that none of the questions keeps the figure from being read.
func Readable(qs []Question) bool {
	for _, q := range qs {
		if !q.Doubt {
			return false
		}
	}
	return true
}

// ParseLab reads a laboratory's nitrate figure for feed as a person types it.
// value may hold form, unit and basis besides the number ("0,3 % NO3 DM");
// the other texts may be "". dm is the dry matter ("88 %") or the moisture
// ("12 % moisture").
//
// All questions are returned at once. With any that is no mere doubt the
// reading has PPMN NaN and no Echo.
func ParseLab(value, form, unit, basis, dm string) (Reading, []Question) {
	var p labParser
	p.r.PPMN = math.NaN()
	for _, f := range []struct{ about, text string }{{"value", value}, {"form", form}, {"unit", unit}, {"basis", basis}, {"dry matter", dm}} {
		if len(f.text) > longestText {
			p.ask(f.about, 0, fmt.Sprintf("the %s is longer than any laboratory prints; type it alone, like 3000 ppm NO3 DM", f.about))
		}
	}
	if len(p.qs) > 0 {
		return Reading{PPMN: math.NaN()}, p.qs
	}
	n, ok := p.value(value)
	if !ok {
		p.unitsOnly(value)
	}
	p.words(form, "form")
	p.words(unit, "unit")
	p.words(basis, "basis")
	p.dryMatter(dm)
	p.askMissing()
	if ok {
		ok = p.settleNumber(n)
	}
	if !ok || !Readable(p.qs) {
		return Reading{PPMN: math.NaN()}, p.qs
	}
	ppmN, err := p.r.Figure.PPMN()
	if err != nil || math.IsInf(ppmN, 0) { // not reached: every word was settled above
		p.ask("value", 0, "this figure cannot be read; type it like 3000 ppm NO3 DM")
		return Reading{PPMN: math.NaN()}, p.qs
	}
	p.r.PPMN = ppmN
	p.doubts()
	p.r.Echo = p.echo()
	return p.r, p.qs
}

type labParser struct {
	r  Reading
	qs []Question
	// what each of form, unit and basis was said to be, in the order of lists
	unsure map[string]string
	asked  map[string]bool
}

func (p *labParser) ask(about string, factor float64, text string, choices ...string) {
	if p.asked == nil {
		p.asked = map[string]bool{}
	}
	if p.asked[about] {
		return // one question a topic: answering it may settle the others
	}
	p.asked[about] = true
	p.qs = append(p.qs, Question{About: about, Factor: factor, Text: text, Choices: choices})
}

func (p *labParser) doubt(about string, factor float64, text string, choices ...string) {
	p.qs = append(p.qs, Question{About: about, Doubt: true, Factor: factor, Text: text, Choices: choices})
}

// value reads the number and whatever words follow it.
func (p *labParser) value(s string) (typedNumber, bool) {
	t := tidy(s)
	if t == "" {
		p.ask("value", 0, "no value is given; type the laboratory's number, like 3000")
		return typedNumber{}, false
	}
	above := false
	for _, w := range []string{"less than", "below", "under", "<=", "=<", "≤", "<"} {
		if strings.HasPrefix(t, w) {
			p.r.Below, t = true, strings.TrimSpace(t[len(w):])
			break
		}
	}
	for _, w := range []string{"more than", "greater than", "above", "over", ">=", "≥", ">"} {
		if strings.HasPrefix(t, w) {
			above, t = true, strings.TrimSpace(t[len(w):])
			break
		}
	}
	switch t {
	case "nd", "n.d.", "not detected", "none detected", "none", "trace", "bdl", "neg", "negative":
		p.ask("value", 0, fmt.Sprintf("%s says how little the method can see, not how much is there; type < and the laboratory's detection limit, like <100 ppm", quoted(s)))
		return typedNumber{}, false
	}
	if strings.HasPrefix(t, "-") || strings.HasPrefix(t, "+") {
		p.ask("value", 0, fmt.Sprintf("%s has a sign; a concentration has none: type it like 3000 ppm", quoted(s)))
		return typedNumber{}, false
	}
	n, rest, ok := takeNumber(t)
	if !ok {
		p.ask("value", 0, fmt.Sprintf("%s is not one number; type the value alone or with its unit, like 3000 ppm or 0.3 %%", quoted(s)))
		return n, false
	}
	rest = strings.TrimSpace(rest)
	if strings.HasPrefix(rest, "+") {
		above, rest = true, strings.TrimSpace(rest[1:])
	}
	if above {
		p.ask("value", 0, fmt.Sprintf("%s says only that it is more than that; ask the laboratory for the number itself", quoted(s)))
		return n, false
	}
	if c := rest; c != "" && (c[0] == '-' || c[0] == '/' || strings.HasPrefix(c, "to ")) {
		p.ask("value", 0, fmt.Sprintf("%s looks like more than one value; enter each value by itself, the highest decides", quoted(s)))
		return n, false
	}
	p.words(rest, "value")
	return n, true
}

// unitsOnly takes form, unit and basis out of a value that cannot be read, so
// that they are not asked for again.
func (p *labParser) unitsOnly(s string) {
	t := tidy(s)
	for {
		u := strings.TrimLeft(t, "0123456789.,'+-/<>=≤≥ ")
		u = strings.TrimPrefix(u, "to ")
		if u == t {
			break
		}
		t = u
	}
	if ph, list, rest, ok := takePhrase(t, formPhrases, unitPhrases, basisPhrases, fillers); ok {
		p.take(ph.means, list)
		p.words(rest, "value")
	}
}

// words reads form, unit and basis out of one typed field. Every field may
// hold any of them; what is said twice must agree.
func (p *labParser) words(s, field string) {
	t := tidy(s)
	for {
		t = strings.TrimLeft(t, " .,;:()[]")
		if t == "" {
			return
		}
		ph, list, rest, ok := takePhrase(t, formPhrases, unitPhrases, basisPhrases, fillers)
		if !ok {
			p.ask(field, 0, fmt.Sprintf("%s cannot be read in %s; forms are %s, units %s, bases dm or as-fed",
				quoted(firstWord(t)), quoted(s), strings.Join(Forms, ", "), strings.Join(Units, ", ")))
			return
		}
		t = rest
		p.take(ph.means, list)
	}
}

// quoted puts a person's text into a sentence: control characters escaped,
// long texts cut.
func quoted(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "..."
	}
	return strconv.Quote(s)
}

func firstWord(s string) string {
	if i := strings.IndexAny(s, " ,;:()[]"); i > 0 {
		return s[:i]
	}
	return s
}

func (p *labParser) take(means string, list int) {
	switch means {
	case saysNothing:
		return
	case saysNitrite:
		p.ask("form", 0, "this is nitrite, another substance than nitrate; enter the nitrate figure of the report")
		return
	case saysWater:
		p.ask("unit", 0, "mg per litre is a water figure; enter it as a water test, or type ppm, mg/kg, g/kg or % for feed", Units...)
		return
	case saysPPB:
		p.ask("unit", 1000, "no feed laboratory reports nitrate in parts per billion; ppm is 1,000 times that: ask the laboratory and type ppm, mg/kg, g/kg or %", Units...)
		return
	case saysAirDry:
		p.ask("basis", 0, "air-dry feed still holds some water: type as-fed and its dry matter, like 90%, or dm if the laboratory worked it out on dry matter", Bases...)
		return
	case unsureNitrate, unsureN:
		if p.unsure == nil {
			p.unsure = map[string]string{}
		}
		p.unsure["form"] = means
		return
	}
	dst, about, factor := &p.r.Form, "form", factorNO3
	switch list {
	case 1:
		dst, about, factor = &p.r.Unit, "unit", 10000
	case 2:
		dst, about, factor = &p.r.Basis, "basis", 0
	}
	switch {
	case *dst == "":
		*dst = means
	case about == "unit" && sameUnit(*dst, means), *dst == means:
	default:
		p.ask(about, factor, fmt.Sprintf("the %s is given as %s and as %s; type one of them", about, *dst, means), *dst, means)
	}
}

func sameUnit(a, b string) bool {
	x, _ := ppmPer(a)
	y, _ := ppmPer(b)
	return x == y
}

// dryMatter reads the dry matter or moisture.
func (p *labParser) dryMatter(s string) {
	t := tidy(s)
	if t == "" {
		return
	}
	bad := func() {
		p.ask("dry matter", 0, fmt.Sprintf("%s is no dry matter; type it as a percentage, like 88 %%, or as moisture, like 12 %% moisture", quoted(s)))
	}
	moisture := false
	for _, w := range []string{"moisture", "water", "dry matter", "dm"} {
		if strings.HasPrefix(t, w) {
			moisture = w == "moisture" || w == "water"
			t = strings.TrimSpace(strings.TrimLeft(t[len(w):], " :="))
			break
		}
	}
	n, rest, ok := takeNumber(t)
	if !ok {
		bad()
		return
	}
	rest = strings.Trim(rest, " ()")
	for _, w := range []string{"%", "percent", "pct"} {
		if strings.HasPrefix(rest, w) {
			rest = strings.Trim(rest[len(w):], " ()")
			break
		}
	}
	switch rest {
	case "", "dm", "dry matter":
	case "moisture", "water":
		moisture = true
	default:
		bad()
		return
	}
	v := n.value
	if moisture {
		v = 100 - v
	}
	switch {
	case !moisture && v > 0 && v <= 1:
		p.ask("dry matter", 100, fmt.Sprintf("dry matter %s: type %s %% if that is a fraction; a feed with %s %% dry matter cannot be", n.text, number(v*100, 2), number(v, 2)))
	case !(v >= 1 && v <= 100):
		p.ask("dry matter", 0, fmt.Sprintf("%s cannot be; dry matter lies between 1 and 100 %%: type it like 88 %%", quoted(s)))
	default:
		p.r.DMPct = v
		if v < doubtDM {
			p.doubt("dry matter", 0, fmt.Sprintf("dry matter of %s %% is less than any forage has; say that it is so, or correct it", number(v, 2)))
		}
	}
}

// askMissing asks for every part that nobody gave.
func (p *labParser) askMissing() {
	if p.r.Form == "" {
		what := "the number is given without its form"
		switch p.unsure["form"] {
		case unsureNitrate:
			what = `"nitrate" alone may be NO3 or NO3-N`
		case unsureN:
			what = `"N" alone may be nitrate nitrogen or all the nitrogen of the protein`
		}
		p.ask("form", factorNO3, fmt.Sprintf(
			"%s; find on the report NO3-N, NO3, KNO3 or NaNO3 and type it: NO3 and NO3-N differ %s times, KNO3 and NO3-N %s times",
			what, number(factorNO3, 2), number(factorKNO3, 2)), Forms...)
	}
	if p.r.Unit == "" {
		p.ask("unit", 10000, "the number is given without its unit; type ppm, mg/kg, g/kg or %: % and ppm differ 10,000 times", Units...)
	}
	if p.r.Basis == "" {
		p.ask("basis", basisFactor(p.r.DMPct), "the basis is not given; type dm or as-fed: hay of 88 % dry matter differs 1.1 times between them, silage of 35 % 2.9 times", Bases...)
	}
	if p.r.Basis == BasisAsFed && p.r.DMPct == 0 {
		p.ask("dry matter", 0, "an as-fed figure needs the feed's dry matter; type it, like 88 %: at 88 % the figure on dry matter is 1.1 times larger, at 35 % 2.9 times")
	}
}

func basisFactor(dm float64) float64 {
	if dm == 0 {
		return 0
	}
	return 100 / dm
}

// settleNumber takes the only reading of the number that can be, or asks.
func (p *labParser) settleNumber(n typedNumber) bool {
	per, ok := ppmPer(p.r.Unit)
	if !ok {
		return false // the unit was asked for
	}
	can := func(v float64) bool { return v*per <= 1e6 }
	v := n.value
	if n.ambiguous && can(n.thousand) {
		p.ask("value", 1000, fmt.Sprintf("%s can be read as %s or as %s; type it without the mark, like %s, or with a point and fewer decimals",
			quoted(n.text), number(n.value, 6), number(n.thousand, 6), number(n.thousand, 6)), number(n.value, 6), number(n.thousand, 6))
		return false
	}
	if !can(v) {
		p.ask("value", 0, fmt.Sprintf("%s %s cannot be: it is more than the whole feed; look at the unit and type it again", number(v, 6), p.r.Unit))
		return false
	}
	p.r.Value = v
	return true
}

// doubts asks about what can be read but hardly be.
func (p *labParser) doubts() {
	f := p.r.Figure
	per, _ := ppmPer(f.Unit)
	ppm := f.Value * per
	switch {
	case f.Value == 0 && !p.r.Below:
		p.doubt("value", 0, "no method finds exactly nothing; type < and the laboratory's detection limit, like <100 ppm, or say that the report shows zero")
	case f.Value > 0 && f.Value < doubtPPM && per == 1:
		p.doubt("unit", 10000, fmt.Sprintf("%s %s is next to nothing and looks like a percentage: %s %% would be %s ppm, 10,000 times as much; say which it is",
			number(f.Value, 6), f.Unit, number(f.Value, 6), number(f.Value*10000, 2)), UnitPPM, UnitPercent)
	}
	if ppm > doubtPercent {
		p.doubt("unit", 10000, fmt.Sprintf("%s %s would be more than 10 %% of the feed; ppm and %% differ 10,000 times, g/kg and %% 10 times: look at the unit, or say that it is so",
			number(f.Value, 6), f.Unit), Units...)
	}
	if p.r.PPMN > doubtNPPM {
		text := fmt.Sprintf("this is %s %% NO3-N on dry matter, above 2 %% hardly any forage on record lies; ", number(p.r.PPMN/10000, 2))
		if f.Form == FormN {
			text += fmt.Sprintf("if the report says NO3, not NO3-N, it is %s times less: say which it is", number(factorNO3, 2))
		} else {
			text += "look at value, unit and basis, or say that it is so"
		}
		p.doubt("form", factorNO3, text, Forms...)
	}
}

// echo says what was understood, in the report's own terms and ours.
func (p *labParser) echo() string {
	var b strings.Builder
	if p.r.Below {
		b.WriteString("less than ")
	}
	fmt.Fprintf(&b, "%s %s %s ", number(p.r.Value, 6), p.r.Unit, p.r.Form)
	if p.r.Basis == BasisDM {
		b.WriteString("on dry matter")
	} else {
		fmt.Fprintf(&b, "as fed at %s %% dry matter", number(p.r.DMPct, 2))
	}
	fmt.Fprintf(&b, " = %s ppm NO3-N on dry matter (%s ppm NO3)",
		number(p.r.PPMN, 1), number(hazard.ConvertNitrate(p.r.PPMN, FormN, FormNO3), 1))
	if p.r.Below {
		b.WriteString(" at most; that value is used")
	}
	return b.String()
}
