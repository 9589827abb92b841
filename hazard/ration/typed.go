package ration

import (
	"math"
	"strconv"
	"strings"
)

// tidy folds what people and laboratories type to plain lower-case text:
// subscripts, dashes, unusual spaces and the micro sign.
func tidy(s string) string {
	r := strings.NewReplacer(
		"₃", "3", "⁻", "-", "−", "-", "–", "-", "—", "-", "‑", "-",
		"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ", "\n", " ", "\r", " ",
		"µ", "u", "μ", "u", "’", "'", "·", " ",
	)
	return strings.TrimSpace(strings.ToLower(r.Replace(s)))
}

// typedNumber is a number as typed. "1,200" has two readings: as a decimal and
// as a thousand.
type typedNumber struct {
	text      string
	value     float64
	thousand  float64 // the other reading, if both
	ambiguous bool
}

// takeNumber reads a number from the front of tidy text and returns what
// follows. Decimal point and decimal comma are both read; groups of three
// digits may be parted by a comma, point, space or apostrophe. ok is false
// when no single number stands there.
func takeNumber(s string) (n typedNumber, rest string, ok bool) {
	i := 0
	for i < len(s) {
		c := s[i]
		if c >= '0' && c <= '9' || c == '.' || c == ',' {
			i++
			continue
		}
		if (c == ' ' || c == '\'') && i > 0 && digit(s[i-1]) && groupAt(s, i+1) {
			i++
			continue
		}
		break
	}
	run := s[:i]
	for len(run) > 0 && (run[len(run)-1] == '.' || run[len(run)-1] == ',') {
		run = run[:len(run)-1] // the end of a sentence or of a list
	}
	rest = s[len(run):]
	if !strings.ContainsAny(run, "0123456789") {
		return n, s, false
	}
	n.text = run
	dots, commas := strings.Count(run, "."), strings.Count(run, ",")
	spaced := strings.ContainsAny(run, " '")
	plain := strings.NewReplacer(" ", "", "'", "").Replace(run)
	if spaced && !goodGroups(run, " '") {
		return n, s, false
	}
	switch {
	case dots == 0 && commas == 0:
		n.value = parse(plain)
	case dots > 0 && commas > 0: // the last mark is the decimal one
		dec, grp := ".", ","
		if strings.LastIndex(plain, ",") > strings.LastIndex(plain, ".") {
			dec, grp = ",", "."
		}
		whole, frac, _ := strings.Cut(plain, dec)
		if strings.Contains(frac, dec) || spaced || !goodGroups(whole, grp) {
			return n, s, false
		}
		n.value = parse(strings.ReplaceAll(whole, grp, "") + "." + frac)
	case dots+commas > 1: // one kind of mark, several times: thousands
		mark := "."
		if commas > 0 {
			mark = ","
		}
		if spaced || !goodGroups(plain, mark) {
			return n, s, false
		}
		n.value = parse(strings.ReplaceAll(plain, mark, ""))
	default: // one mark
		at := strings.IndexAny(plain, ".,")
		whole, frac := plain[:at], plain[at+1:]
		n.value = parse(whole + "." + frac)
		if len(frac) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && !spaced {
			n.ambiguous, n.thousand = true, parse(whole+frac)
		}
	}
	if math.IsNaN(n.value) || math.IsInf(n.value, 0) {
		return n, s, false
	}
	return n, rest, true
}

func parse(s string) float64 {
	if strings.HasPrefix(s, ".") {
		s = "0" + s
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// groupAt reports exactly three digits at i, with no fourth.
func groupAt(s string, i int) bool {
	return i+3 <= len(s) && digit(s[i]) && digit(s[i+1]) && digit(s[i+2]) && (i+3 == len(s) || !digit(s[i+3]))
}

// goodGroups reports that the whole part of a number is one group of one to
// three digits followed by groups of three.
func goodGroups(s, marks string) bool {
	if i := strings.IndexAny(s, ".,"); i >= 0 && !strings.ContainsAny(marks, ".,") {
		s = s[:i]
	}
	parts := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(marks, r) })
	if len(parts) == 0 || len(parts) != 1+countAny(s, marks) {
		return false
	}
	for i, p := range parts {
		if i == 0 && (len(p) < 1 || len(p) > 3) || i > 0 && len(p) != 3 {
			return false
		}
	}
	return true
}

func countAny(s, marks string) int {
	n := 0
	for _, r := range s {
		if strings.ContainsRune(marks, r) {
			n++
		}
	}
	return n
}

// phrase is a word or words with one meaning.
type phrase struct{ text, means string }

// Meanings that are no form, unit or basis but must not be passed over.
const (
	unsureNitrate = "?nitrate"
	unsureN       = "?n"
	saysNitrite   = "!nitrite"
	saysWater     = "!water"
	saysPPB       = "!ppb"
	saysAirDry    = "!air-dry"
	saysNothing   = ""
)

// formPhrases, unitPhrases, basisPhrases, longest first where one begins
// another (takePhrase looks for the longest anyway).
var formPhrases = []phrase{
	{"no3-n", FormN},
	{"no3--n", FormN},
	{"no3n", FormN},
	{"no3 n", FormN},
	{"no3- n", FormN},
	{"no3 - n", FormN},
	{"no3 as n", FormN},
	{"no3 (as n)", FormN},
	{"n-no3", FormN},
	{"n as no3", FormN},
	{"nitrate-n", FormN},
	{"nitrate - n", FormN},
	{"nitrate n", FormN},
	{"nitrate-nitrogen", FormN},
	{"nitrate nitrogen", FormN},
	{"nitrate as n", FormN},
	{"nitrate (as n)", FormN},
	{"nitrates as n", FormN},
	{"nitrate as nitrogen", FormN},
	{"nitrate nitrogen (no3-n)", FormN},
	{"nitrate-nitrogen (no3-n)", FormN},
	{"nitrate-n (no3-n)", FormN},
	{"no3", FormNO3},
	{"no3-", FormNO3},
	{"nitrate ion", FormNO3},
	{"nitrate as no3", FormNO3},
	{"nitrate (no3)", FormNO3},
	{"nitrate (no3-)", FormNO3},
	{"nitrates (no3)", FormNO3},
	{"nitrate no3", FormNO3},
	{"kno3", FormKNO3},
	{"potassium nitrate", FormKNO3},
	{"potassium nitrate (kno3)", FormKNO3},
	{"nitrate as kno3", FormKNO3},
	{"nitrate (kno3)", FormKNO3},
	{"nano3", FormNaNO3},
	{"sodium nitrate", FormNaNO3},
	{"sodium nitrate (nano3)", FormNaNO3},
	{"nitrate as nano3", FormNaNO3},
	{"nitrate (nano3)", FormNaNO3},
	{"nitrate", unsureNitrate},
	{"nitrates", unsureNitrate},
	{"n", unsureN},
	{"nitrogen", unsureN},
	{"nitrite", saysNitrite},
	{"no2", saysNitrite},
	{"no2-n", saysNitrite},
	{"nitrite-n", saysNitrite},
}

var unitPhrases = []phrase{
	{"ppm", UnitPPM},
	{"mg/kg", UnitMgKg},
	{"mg / kg", UnitMgKg},
	{"mg kg-1", UnitMgKg},
	{"mg per kg", UnitMgKg},
	{"ug/g", UnitMgKg},
	{"mcg/g", UnitMgKg},
	{"g/kg", UnitGKg},
	{"g / kg", UnitGKg},
	{"g kg-1", UnitGKg},
	{"g per kg", UnitGKg},
	{"%", UnitPercent},
	{"percent", UnitPercent},
	{"per cent", UnitPercent},
	{"pct", UnitPercent},
	{"g/100g", UnitPercent},
	{"g/100 g", UnitPercent},
	{"mg/l", saysWater},
	{"mg/litre", saysWater},
	{"mg/liter", saysWater},
	{"ppb", saysPPB},
	{"ug/kg", saysPPB},
}

var basisPhrases = []phrase{
	{"dm", BasisDM},
	{"dm basis", BasisDM},
	{"dmb", BasisDM},
	{"dry matter", BasisDM},
	{"dry-matter", BasisDM},
	{"dry matter basis", BasisDM},
	{"dry basis", BasisDM},
	{"dry weight", BasisDM},
	{"100% dry matter", BasisDM},
	{"100 % dry matter", BasisDM},
	{"100% dm", BasisDM},
	{"100 % dm", BasisDM},
	{"moisture-free", BasisDM},
	{"moisture free", BasisDM},
	{"as-fed", BasisAsFed},
	{"as fed", BasisAsFed},
	{"as fed basis", BasisAsFed},
	{"as-received", BasisAsFed},
	{"as received", BasisAsFed},
	{"as sampled", BasisAsFed},
	{"as-is", BasisAsFed},
	{"as is", BasisAsFed},
	{"fresh", BasisAsFed},
	{"fresh weight", BasisAsFed},
	{"wet", BasisAsFed},
	{"wet weight", BasisAsFed},
	{"wet basis", BasisAsFed},
	{"air-dry", saysAirDry},
	{"air dry", saysAirDry},
	{"air dried", saysAirDry},
}

var fillers = []phrase{
	{"on", saysNothing},
	{"on a", saysNothing},
	{"of", saysNothing},
	{"in", saysNothing},
	{"the", saysNothing},
	{"a", saysNothing},
	{"basis", saysNothing},
}

// takePhrase finds the longest phrase at the front of s that ends at a word's
// end.
func takePhrase(s string, lists ...[]phrase) (p phrase, list int, rest string, ok bool) {
	for li, l := range lists {
		for _, q := range l {
			if len(q.text) > len(p.text) && strings.HasPrefix(s, q.text) && wordEnds(s, len(q.text)) {
				p, list, ok = q, li, true
			}
		}
	}
	return p, list, s[len(p.text):], ok
}

// wordEnds: a phrase that ends in a letter or digit must not be followed by
// one, or by a hyphen and a letter ("no3-n" is not "no3").
func wordEnds(s string, i int) bool {
	if i >= len(s) || s[i-1] == '%' || s[i-1] == ')' {
		return true
	}
	if wordByte(s[i]) || s[i] >= 0x80 {
		return false
	}
	return s[i] != '-' || i+1 >= len(s) || !wordByte(s[i+1])
}

func wordByte(c byte) bool { return c >= 'a' && c <= 'z' || digit(c) }
