package fields

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"rimegate/fields/lazy"
)

// What people type for more than one screen and command to read: numbers whose
// unit stands elsewhere, lists, coming days.

// ParseNumber reads a plain decimal number whose unit is said elsewhere, such
// as a laboratory's.
func ParseNumber(s string) (float64, error) {
	v, err := number(strings.TrimSpace(strings.ReplaceAll(s, "−", "-")))
	if err != nil {
		return 0, fmt.Errorf("%q %w", s, err)
	}
	return v, nil
}

// ParseCount reads a whole number of things, such as stems or head.
func ParseCount(s string) (float64, error) {
	v, err := ParseNumber(s)
	switch {
	case errors.Is(err, errComma):
		return 0, err
	case err != nil, v != math.Trunc(v), v < 0, v > math.MaxUint32, strings.ContainsAny(s, ".+-"):
		return 0, fmt.Errorf("%q is not a whole number; type it in digits, without a unit", s)
	}
	return v, nil
}

// What is wrong with a number, as a sentence goes on behind it.
var (
	errComma    = errors.New("has a comma; write decimals with a point and thousands without a sign")
	errNoNumber = errors.New("is not a plain number")
	errZeros    = fmt.Errorf("%w: it has a zero in front", errNoNumber)
)

// exactDigits is how many decimal digits a float64 always keeps.
const exactDigits = 15

// number reads every decimal number that a person types. A comma is refused
// here, for all of them: it is a decimal sign in one country and parts thousands
// in the next.
func number(t string) (float64, error) {
	if strings.Contains(t, ",") {
		return 0, errComma
	}
	unsigned := strings.TrimPrefix(strings.TrimPrefix(t, "-"), "+")
	digits := 0
	for _, r := range unsigned {
		if r >= '0' && r <= '9' {
			digits++
		} else if r != '.' {
			return 0, errNoNumber
		}
	}
	if digits > exactDigits {
		return 0, errNoNumber
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil {
		return 0, errNoNumber
	}
	return v, nil
}

// commaAsks is what to type instead of figures that can be read in two ways:
// read as two results, "3,000" would make 3 of a 3000 that kills.
const commaAsks = `%q has a comma that may part thousands, decimals or results; type each number without a comma (3000, 0.9) and a semicolon between results, like "820; 910"`

// NitrateTarget is a line of nitrate in feed as a publication prints it.
type NitrateTarget struct {
	Value float64
	Form  Form
	Unit  Unit // ppm, mg/kg, g/kg, %
	AsFed bool // else of dry matter
}

// String is the target as it was meant: "0.5 % NO3 of dry matter".
func (t NitrateTarget) String() string {
	basis := "of dry matter"
	if t.AsFed {
		basis = "as fed"
	}
	return strconv.FormatFloat(t.Value, 'f', -1, 64) + " " + string(t.Unit) + " " + string(t.Form) + " " + basis
}

const targetLike = `type it like "0.5 % NO3 dm" or "1130 ppm NO3-N dm"`

var (
	targetForms = map[string]Form{
		"no3": "NO3", "no3-n": "NO3-N", "no3n": "NO3-N", "nitrate-n": "NO3-N", "kno3": "KNO3", "nano3": "NaNO3",
	}
	targetUnits = map[string]Unit{"ppm": "ppm", "mg/kg": "mg/kg", "g/kg": "g/kg", "%": "%", "percent": "%"}
	targetBasis = map[string]bool{"dm": false, "dry": false, "drymatter": false, "as-fed": true, "asfed": true}
)

// ParseNitrateTarget reads a line of nitrate with its unit, form and basis in any order
// behind the number; what is missing is asked for, never assumed.
func ParseNitrateTarget(s string) (*NitrateTarget, error) {
	low := strings.NewReplacer("%", " % ", "dry matter", "drymatter", "as fed", "asfed", "dry basis", "dry", " of ", " ", " on ", " ").
		Replace(strings.ToLower(strings.TrimSpace(s)))
	i := strings.IndexFunc(low, func(r rune) bool { return (r < '0' || r > '9') && r != '.' && r != ',' })
	if i < 0 {
		i = len(low)
	}
	v, err := number(low[:i])
	if err != nil {
		return nil, fmt.Errorf("%q %w; %s", s, err, targetLike)
	}
	if !(v > 0) {
		return nil, fmt.Errorf("%q is no line: nothing lies below it; %s", s, targetLike)
	}
	t, basis := &NitrateTarget{Value: v}, false
	for _, w := range strings.Fields(low[i:]) {
		form, isForm := targetForms[w]
		unit, isUnit := targetUnits[w]
		fed, isBasis := targetBasis[w]
		switch {
		case isForm && t.Form == "":
			t.Form = form
		case isUnit && t.Unit == "":
			t.Unit = unit
		case isBasis && !basis:
			t.AsFed, basis = fed, true
		default:
			return nil, fmt.Errorf("%q: %q is not understood; %s", s, w, targetLike)
		}
	}
	if err := t.whole(s, basis); err != nil {
		return nil, err
	}
	return t, nil
}

// whole asks for what a target does not say.
func (t *NitrateTarget) whole(s string, basis bool) error {
	switch {
	case t.Unit == "":
		return fmt.Errorf("%q does not say its unit (ppm, mg/kg, g/kg or %%); %s", s, targetLike)
	case t.Form == "":
		return fmt.Errorf("%q does not say its form (NO3, NO3-N, KNO3 or NaNO3); %s", s, targetLike)
	case !basis:
		return fmt.Errorf("%q does not say of what; add dm for dry matter, or as-fed, like \"%s dm\"", s, strings.TrimSpace(s))
	case t.Unit == "%" && t.Value > 100 || t.Unit == "g/kg" && t.Value > 1000 || t.Value > 1e6:
		return fmt.Errorf("%q cannot be: it is more than all of the feed", s)
	}
	return nil
}

// notDetected are the words of a laboratory for a value below its limit.
var notDetected = []string{"not detected", "n.d.", "nd"}

// ParseFigures reads the results of a laboratory as they stand on its paper:
// "820, 910, 640", "820; 910", "<100" or "ND <100" for what was not detected
// above a limit. A comma between two digits is refused, and so is a figure with
// a zero in front, the second half of a "3, 000".
func ParseFigures(text string) ([]Value, error) {
	sep := ","
	if strings.Contains(text, ";") {
		sep = ";"
	}
	var out []Value
	for at, part := 0, ""; at <= len(text); at += len(part) + 1 {
		part, _, _ = strings.Cut(text[at:], sep)
		figure := strings.TrimSpace(part)
		if figure == "" {
			continue
		}
		v, err := parseFigure(figure)
		// Behind a comma that parts results stands a space that everyone sees.
		run := at > 0 && sep == "," && !strings.ContainsAny(part[:1], " \t\n")
		if errors.Is(err, errComma) || strings.Contains(text, ",") && (run || errors.Is(err, errZeros)) {
			return nil, fmt.Errorf(commaAsks, text)
		}
		if err != nil {
			return nil, fmt.Errorf("%q %w", figure, err)
		}
		out = append(out, v)
	}
	if len(out) == 0 {
		return nil, errors.New("no number is given")
	}
	return out, nil
}

func parseFigure(s string) (Value, error) {
	var v Value
	rest, word := strings.ToLower(s), false
	for _, w := range notDetected {
		if strings.HasPrefix(rest, w) {
			rest, word = rest[len(w):], true
			break
		}
	}
	limit, less := strings.CutPrefix(strings.TrimSpace(rest), "<")
	limit = strings.TrimSpace(limit)
	switch {
	case word && limit == "" && !less:
		return v, errors.New(`says not detected, but not below what; look at the report for the lab's limit and type it like "<100"`)
	case word && !less && rest == limit:
		return v, errNoNumber // "nd100": run together, it may be a sample's name
	}
	n, err := number(limit)
	switch {
	case err != nil:
		return v, err
	case strings.ContainsAny(limit, "+-"):
		return v, errNoNumber
	case len(limit) > 1 && limit[0] == '0' && isDigit(limit[1]):
		return v, errZeros
	case less || word:
		if n == 0 {
			return v, errors.New(`is below nothing; look at the report for the lab's limit and type it like "<100"`)
		}
		v.Below = true
	}
	v.N = n
	return v, nil
}

// ThousandsPoint reports a figure such as 3.000, whose point may part thousands.
func ThousandsPoint(s string) bool { return thousandsPoint().MatchString(s) }

var thousandsPoint = lazy.Regexp(`(?:^|[^0-9])[1-9][0-9]{0,2}\.[0-9]{3}(?:[^0-9]|$)`)

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// SplitList takes words apart at commas and drops empty parts.
func SplitList(typed []string) []string {
	var out []string
	for _, t := range typed {
		for _, p := range strings.Split(t, ",") {
			if p = strings.TrimSpace(p); p != "" {
				out = append(out, p)
			}
		}
	}
	return out
}

// ParseShare reads a species with its share of the seed in percent, if one is
// said: "oats:60", "cowpea".
func ParseShare(s string) (SpeciesShare, error) {
	name, share, has := strings.Cut(s, ":")
	x := SpeciesShare{Species: strings.TrimSpace(name)}
	if x.Species == "" {
		return x, fmt.Errorf("%q names no species; type it like oats:60", s)
	}
	if _, err := number(x.Species); err == nil {
		return x, fmt.Errorf("%q is a number, no species; a comma stands between species, and decimals have a point, like oats:60.5", s)
	}
	if has {
		n, err := ParseNumber(strings.TrimSuffix(strings.TrimSpace(share), "%"))
		if err != nil {
			return x, fmt.Errorf("%q has no share in percent behind the colon; type it like oats:60", s)
		}
		if err := shareProblem(n); err != nil {
			return x, err
		}
		x.Share = &n
	}
	return x, nil
}

// maxUnsaid is the most days that a coming day may lie ahead without its year:
// beyond it, a day that has just passed is the likelier meaning.
const maxUnsaid = 183

// ParseComing reads a day that may lie ahead: without a year it is the next
// such day, not the last one. A day of which the last is nearer than the next
// is refused without its year.
func ParseComing(s string, today Date) (Date, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "", "today", "yesterday", "tomorrow":
		return ParseDate(s, today)
	}
	next, yearless, err := parseDate(s, today.Add(364))
	if err != nil {
		return NoDate, err
	}
	if last, _, err := parseDate(s, today); err == nil && last == today {
		return today, nil
	}
	if yearless && next.Sub(today) > maxUnsaid {
		return NoDate, fmt.Errorf("%q has passed this year, and the next is %s; type the year too", s, next.Words())
	}
	return next, nil
}

// ParseMoment reads a day with an hour as a person types it, in farm time:
// "06:40" (today), "yesterday 22:10", "17-Sep-2026 06:40", "2026-09-17 06:40",
// or an instant with a zone such as 2026-09-17T06:40:00-06:00. A day without an
// hour is refused: a morning and an evening know different things.
func ParseMoment(s string, today Date, loc *time.Location) (time.Time, error) {
	t := strings.TrimSpace(s)
	if at, err := time.Parse(time.RFC3339, t); err == nil {
		return at.In(loc), nil
	}
	bad := fmt.Errorf("%q is not a day with an hour; type one like 06:40, \"yesterday 22:10\" or \"17-Sep-2026 06:40\"", s)
	day, hour := "", t
	if i := strings.LastIndexAny(t, " T"); i >= 0 {
		day, hour = strings.TrimSpace(t[:i]), t[i+1:]
	}
	clock, err := time.Parse("15:04", hour)
	if err != nil {
		return time.Time{}, bad
	}
	d := today
	if day != "" {
		if d, err = ParseDate(day, today); err != nil {
			return time.Time{}, err
		}
	}
	return d.At(clock.Hour(), clock.Minute(), loc), nil
}

// Frosted reports whether a walk found frost damage.
func (b *Walk) Frosted() bool {
	return b.FrostDamage == DamageTips || b.FrostDamage == DamagePart || b.FrostDamage == DamageAll
}

// FoundDamage reports whether a walk found frost damage or killed growth.
func (b *Walk) FoundDamage() bool {
	return b.Frosted() || b.Killed == KilledAll || b.Killed == KilledPart
}

// Silent reports whether a walk says nothing of what was found.
func (b *Walk) Silent() bool {
	return b.Killed == "" && b.FrostDamage == "" && b.DamageNight == NoDate && b.Dry == nil && b.ShootsCM == nil && b.ShortestCM == nil &&
		b.Alive == nil && len(b.Absent) == 0 && b.Wilted == nil && b.StressFree == nil && b.WeedsChecked == nil && b.KgDMHa == nil
}
