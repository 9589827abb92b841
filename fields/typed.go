package fields

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// What people type for more than one screen and command to read: numbers whose
// unit stands elsewhere, lists, coming days.

// ParseNumber reads a plain decimal number whose unit is said elsewhere, such
// as a laboratory's. A comma is refused: it is a decimal sign in one country
// and parts thousands in the next.
func ParseNumber(s string) (float64, error) {
	t := strings.TrimSpace(strings.ReplaceAll(s, "−", "-"))
	if strings.Contains(t, ",") {
		return 0, fmt.Errorf("%q has a comma; write decimals with a point and thousands without a sign", s)
	}
	for _, r := range t {
		if (r < '0' || r > '9') && r != '.' && r != '-' && r != '+' {
			return 0, fmt.Errorf("%q is not a plain number", s)
		}
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not a plain number", s)
	}
	return v, nil
}

// ParseNumbers reads the results of several samples: "820, 910, 640" or
// "820; 910". One comma between two runs of digits, as in "3,000" or "0,9", is
// refused: read as two results it would make 3 of a 3000 that kills.
func ParseNumbers(s string) ([]float64, error) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' })
	if len(parts) == 2 && strings.Contains(s, ",") && oneNumber(parts[0], parts[1]) {
		return nil, fmt.Errorf("%q can be one number or two results; type one without a comma (3000, 0.9), two with a space behind the comma, like \"820, 910\"", s)
	}
	var out []float64
	for _, p := range parts {
		if strings.TrimSpace(p) == "" {
			continue
		}
		v, err := ParseNumber(p)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	if len(out) == 0 {
		return nil, errors.New("no number is given")
	}
	return out, nil
}

// oneNumber reports whether "a,b" may be meant as a single number: thousands
// parted by a comma, or a decimal comma.
func oneNumber(a, b string) bool {
	whole, _, point := strings.Cut(b, ".")
	switch {
	case strings.HasSuffix(a, " ") || strings.HasPrefix(b, " "), strings.Contains(a, "."):
		return false
	case point:
		return len(whole) == 3
	}
	return len(whole) <= 3
}

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
	if has {
		n, err := ParseNumber(strings.TrimSuffix(strings.TrimSpace(share), "%"))
		if err != nil {
			return x, fmt.Errorf("%q has no share in percent behind the colon; type it like oats:60", s)
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
	next, err := ParseDate(s, today.Add(364))
	if err != nil {
		return NoDate, err
	}
	last, err := ParseDate(s, today)
	if err == nil && last == today {
		return today, nil
	}
	if yearless := err != nil || last != next; yearless && next.Sub(today) > maxUnsaid {
		return NoDate, fmt.Errorf("%q has passed this year, and the next is %s; type the year too", s, next.Words())
	}
	return next, nil
}

// FoundDamage reports whether a walk found frost damage or killed growth.
func (b *Walk) FoundDamage() bool {
	switch b.FrostDamage {
	case "tips", "part", "all":
		return true
	}
	return b.Killed == "all" || b.Killed == "part"
}

// Silent reports whether a walk says nothing of what was found.
func (b *Walk) Silent() bool {
	return b.Killed == "" && b.FrostDamage == "" && b.DamageNight == NoDate && b.Dry == nil && b.ShootsCM == nil && b.ShortestCM == nil &&
		b.Alive == nil && len(b.Absent) == 0 && b.Wilted == nil && b.StressFree == nil && b.WeedsChecked == nil && b.KgDMHa == nil
}
