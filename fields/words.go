package fields

import (
	"slices"
	"strings"
)

// The words that fields may hold, as they stand in the journal. A field left out is
// "", not said.

// Ended is how an old stand ended before the new one was sown.
type Ended string

// Extent is how much of a stand a plant takes.
type Extent string

// NoFrostBasis is what a no-frost statement rests on.
type NoFrostBasis string

// Part is what was walked.
type Part string

// Killed is how much of the stand a walk found dead.
type Killed string

// Damage is the frost damage that a walk found.
type Damage string

// DroughtState says whether a drought began or ended.
type DroughtState string

// CutUse is what a cut was for.
type CutUse string

// Move is the way that stock went.
type Move string

// LotKind is a kind of stored feed.
type LotKind string

// Analyte is what a laboratory looked for.
type Analyte string

// Form is the form that a nitrate figure is printed in.
type Form string

// Unit is the unit of a laboratory's figure.
type Unit string

// LabBasis is what a laboratory's figure is a part of.
type LabBasis string

// Method is how a sample was tested.
type Method string

// SampleState is how a sample came to the laboratory.
type SampleState string

// Advice is a veterinarian's.
type Advice string

// The words of each.
const (
	EndedTilled       Ended = "tilled"
	EndedSprayed      Ended = "sprayed"
	EndedWinterKilled Ended = "winter-killed"

	ExtentTrace   Extent = "trace" // scattered, under 5 % of the stand
	ExtentPatches Extent = "patches"
	ExtentCommon  Extent = "common"

	ByThermometerInPaddock NoFrostBasis = "thermometer-in-paddock"
	ByOtherThermometer     NoFrostBasis = "other-thermometer"
	ByLookingAtDawn        NoFrostBasis = "looked-at-dawn"

	PartStand Part = "stand" // also where it was not said
	PartSwath Part = "swath"

	KilledAll     Killed = "all"
	KilledPart    Killed = "part"
	KilledNone    Killed = "none"
	KilledUnknown Killed = "unknown"

	DamageNone    Damage = "none"
	DamageTips    Damage = "tips"
	DamagePart    Damage = "part"
	DamageAll     Damage = "all"
	DamageUnknown Damage = "unknown"

	DroughtStart DroughtState = "start"
	DroughtEnd   DroughtState = "end"

	CutHay       CutUse = "hay"
	CutSilage    CutUse = "silage"
	CutSwath     CutUse = "swath"
	CutGreenChop CutUse = "green-chop"

	MoveIn  Move = "in"
	MoveOut Move = "out"

	LotHay     LotKind = "hay"
	LotSilage  LotKind = "silage"
	LotBaleage LotKind = "baleage"
	LotBought  LotKind = "bought"

	AnalyteNitrate Analyte = "nitrate"
	AnalyteHCN     Analyte = "hcn"

	FormNO3   Form = "NO3"
	FormN     Form = "NO3-N"
	FormKNO3  Form = "KNO3"
	FormNaNO3 Form = "NaNO3"

	UnitPPM     Unit = "ppm"
	UnitMgKg    Unit = "mg/kg"
	UnitGKg     Unit = "g/kg"
	UnitPercent Unit = "%"
	UnitMgL     Unit = "mg/L" // of water

	BasisDM    LabBasis = "dm"
	BasisAsFed LabBasis = "as-fed"

	MethodLab   Method = "lab"
	MethodStrip Method = "strip"
	MethodQuick Method = "quick"

	SampleSealed  SampleState = "sealed"
	SampleFrozen  SampleState = "frozen"
	SampleDried   SampleState = "dried"
	SampleUnknown SampleState = "unknown"

	AdviceKeepOff  Advice = "keep-off"
	AdviceMayGraze Advice = "may-graze"
)

// stockWords are the words by which stock is called, in the singular, and every class
// that each can mean: a cow may be open, a heifer may be a calf or bred. Between two
// that are there both stands a plus: a pair is a cow and her calf.
var stockWords = []struct{ classes, words string }{
	{"bred-cattle", "bredcattle bredcow bredheifer"},
	{"young-cattle", "youngcattle calf calve bullcalf bullcalve steercalf steercalve heifercalf heifercalve weaner"},
	{"open-cattle", "opencattle bull"},
	{"bred-cattle+young-cattle", "pair cowcalf cowcalfpair cowswithcalve cowwithcalf"},
	{"bred-cattle open-cattle", "cow"},
	{"young-cattle open-cattle", "steer"},
	{"bred-cattle young-cattle open-cattle", "cattle heifer yearling stocker feeder"},
	{"sheep", "sheep ewe ram lamb"},
	{"goats", "goat doe kid nannie nanny billy billie"},
	{"sheep goats", "wether"},
	{"horses", "horse mare stallion gelding foal colt filly fillie pony ponie"},
}

// ClassesMeant returns every class that a word for stock can mean, whatever its
// capitals, spaces, hyphens and number; nil for a word that is none. Who is asked by it
// answers for the worst of them. Words joined by "and" or "with" mean all of each.
func ClassesMeant(word string) []string {
	if row := stockRow(word); row != "" {
		return strings.FieldsFunc(row, func(r rune) bool { return r == ' ' || r == '+' })
	}
	parts := strings.Split(joined.Replace(strings.ToLower(word)), ",")
	if len(parts) < 2 {
		return nil
	}
	var all []string
	for _, p := range parts {
		meant := ClassesMeant(p)
		if meant == nil {
			return nil
		}
		for _, c := range meant {
			if !slices.Contains(all, c) {
				all = append(all, c)
			}
		}
	}
	return all
}

// MayMean returns the classes among which a word for stock leaves it open which it
// means, nil where it says so.
func MayMean(word string) []string {
	for _, p := range append([]string{word}, strings.Split(joined.Replace(strings.ToLower(word)), ",")...) {
		switch either := strings.Fields(stockRow(p)); {
		case len(either) > 1:
			return either
		case len(either) == 1 && p == word:
			return nil
		}
	}
	return nil
}

// stockRow are the classes of a word in the table.
func stockRow(word string) string {
	bare := strings.NewReplacer("-", "", "_", "", " ", "").Replace(strings.ToLower(word))
	for _, x := range stockWords {
		for _, w := range strings.Fields(x.words) {
			if w == bare || w == strings.TrimSuffix(bare, "s") {
				return x.classes
			}
		}
	}
	return ""
}

var joined = strings.NewReplacer(" with ", ",", " and ", ",", "&", ",", "+", ",", "/", ",")

// CutHead cuts the number of head off a herd in everyday words: "85" and "cows with
// calves" of "85 head of cows with calves". There is none where no number stands first.
func CutHead(text string) (head, rest string) {
	head, rest, _ = strings.Cut(strings.TrimSpace(text), " ")
	if _, err := ParseCount(head); err != nil || strings.TrimSpace(rest) == "" {
		return "", text
	}
	rest = strings.TrimPrefix(strings.TrimSpace(rest), "head ")
	return head, strings.TrimSpace(strings.TrimPrefix(rest, "of "))
}
