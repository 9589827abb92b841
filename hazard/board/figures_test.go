package board

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rimegate/fields"
)

var numeral = regexp.MustCompile(`[0-9]*\.?[0-9]+|[0-9]+\.`)

// FuzzFigures: whatever is typed as a laboratory's figures, it is refused or
// taken as exactly the numerals that stand in it, and read back as them.
func FuzzFigures(f *testing.F) {
	for _, s := range []string{
		"3000", "820, 910, 640", "820; 910", "<100", "ND<100", "nd 100", "3,000, 3,200", "3, 000", "3,000;1", "0,9", ".5", "5.", "00.5", "1,.5", "nd", "< ",
		"0.00005", "123456789012345", "820,\u2009910", "820,\u200b910", "1e3", "N.D. < 0.1; 7", "1 2", "-3", "1;;2", "9,", ",9", "1\n,2", "1, 2\x00",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := fields.ParseFigures(text)
		if err != nil {
			return
		}
		for i := 1; i < len(text); i++ {
			if text[i-1] == ',' && text[i] >= '0' && text[i] <= '9' {
				t.Fatalf("%q has a comma before a digit and is taken as %v", text, got)
			}
		}
		typed := numeral.FindAllString(text, -1)
		if len(typed) != len(got) {
			t.Fatalf("%q is taken as %v", text, got)
		}
		parts := slices.DeleteFunc(strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' }), func(s string) bool { return strings.TrimSpace(s) == "" })
		for i, v := range got {
			if canonical(typed[i]) != exact(v.N) {
				t.Fatalf("%q: %s is taken as %v", text, typed[i], v)
			}
			if below := strings.ContainsAny(parts[i], "<nN"); below != v.Below {
				t.Fatalf("%q: %q is taken as %v", text, parts[i], v)
			}
		}
		words := (&entrySpeaker{}).tell(&fields.Entry{Body: &fields.Lab{Analyte: "hcn", Values: got, Unit: "ppm", Basis: "dm"}})
		_, words, _ = strings.Cut(words, ": ")
		words, _, _ = strings.Cut(words, " ppm HCN")
		var back []fields.Value
		for _, part := range regexp.MustCompile(`(below )?([0-9][0-9,]*(?:\.[0-9]+)?)`).FindAllStringSubmatch(words, -1) {
			n, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSuffix(part[2], ","), ",", ""), 64)
			if err != nil {
				t.Fatalf("%q in %q", part[2], words)
			}
			back = append(back, fields.Value{N: n, Below: part[1] != ""})
		}
		if !slices.Equal(back, got) {
			t.Fatalf("%q is taken as %v and read back as %q", text, got, words)
		}
	})
}

// canonical is a numeral without needless zeros.
func canonical(s string) string {
	whole, frac, _ := strings.Cut(s, ".")
	frac = strings.TrimRight(frac, "0")
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if frac != "" {
		whole += "." + frac
	}
	return whole
}
