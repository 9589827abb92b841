package farm

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"rimegate/hazard/board"
)

// lookKey folds a name to what an eye at the gate takes in: compatibility forms,
// capitals, marks over letters, spaces, hyphens and signs that show nothing
// make no difference, nor does 0 from O or 1 from l and I. Letters of other
// alphabets that look like Latin ones are not known here; mixed with Latin ones
// they are refused by oddSign.
func lookKey(s string) string {
	var b strings.Builder
	for _, r := range cases.Fold().String(norm.NFKD.String(s)) {
		switch {
		case r == '0':
			r = 'o'
		case r == '1', r == 'i':
			r = 'l'
		case !unicode.IsLetter(r) && !unicode.IsDigit(r) || hidden(r):
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// hidden reports signs that no screen or sheet shows.
func hidden(r rune) bool {
	return r != ' ' && !unicode.IsPrint(r) || r == '\u2800' || unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}

// sharers are alphabets that share words; any other two in one name are there to
// be mistaken for each other, or by a slip.
var sharers = []string{"Han", "Hangul", "Hiragana", "Katakana", "Bopomofo"}

// oddSign says what in a name nobody at the gate could see, "" if nothing.
func oddSign(s string) string {
	if strings.IndexFunc(s, func(r rune) bool { return r < ' ' || r > '~' }) < 0 {
		return "" // one alphabet, and every sign of it is seen
	}
	alphabets := map[string]bool{}
	for _, r := range s {
		if hidden(r) {
			return fmt.Sprintf("has a character nobody can see (%U)", r)
		}
		if !unicode.IsLetter(r) {
			continue
		}
		for name, table := range unicode.Scripts {
			if name != "Common" && name != "Inherited" && unicode.Is(table, r) {
				alphabets[name] = true
			}
		}
	}
	var list []string
	for name := range alphabets {
		if !slices.Contains(sharers, name) {
			list = append(list, name)
		}
	}
	if len(list) > 1 {
		slices.Sort(list)
		return "mixes alphabets whose letters look alike (" + strings.Join(list, ", ") + ")"
	}
	return ""
}

// namesake refuses a new thing, or a new name of one, that nobody could tell
// from another on a list: whoever stands at the gate knows only the name on it.
func (c *checker) namesake(what, id, name string, have []named) {
	have = append(append([]named{}, have...), c.fresh[what]...)
	c.fresh[what] = append(c.fresh[what], named{id, name})
	was := slices.IndexFunc(have, func(n named) bool { return n.id == id })
	alike := func(x, y string) bool {
		k := lookKey(x)
		return k != "" && k == lookKey(y)
	}
	for _, n := range have {
		field, typed := "", ""
		switch {
		case n.id == id:
		case was < 0 && (alike(id, n.id) || alike(id, n.name)):
			field, typed = what, id
		case name != "" && (was < 0 || have[was].name != name) && (alike(name, n.name) || alike(name, n.id)):
			field, typed = "name", board.Clean(name)
		}
		if field == "" {
			continue
		}
		first, way := board.Clean(n.id), "rimegate "+what+" set"
		if n.name != "" && n.name != n.id {
			first += " (" + board.Clean(n.name) + ")"
		}
		short := "short "
		if field == "name" {
			short = ""
		}
		c.refuse(field, fmt.Sprintf("%q cannot be told from the %s %s", typed, what, first), "choose another "+short+"name, or change that one with `"+way+"`")
		return
	}
}
