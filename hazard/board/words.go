package board

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// FlagWord is the flag as a word for people who know it: HOLD, CAUTION, CLEAR.
// It panics on a flag that was never decided.
func FlagWord(f hazard.Flag) string { return strings.ToUpper(f.String()) }

// PaperWord is the flag as whoever opens the gate reads it: NO, ASK FIRST,
// YES. "Caution" is the mildest word on every safety sign a worker has seen;
// here it can kill, so the sheet says what to do instead.
func PaperWord(f hazard.Flag) string {
	switch f {
	case hazard.Hold:
		return "NO"
	case hazard.Caution:
		return "ASK FIRST"
	case hazard.Clear:
		return "YES"
	}
	panic("board: a flag that was never decided")
}

// HazardWord is the hazard's printed name.
func HazardWord(h hazard.Hazard) string {
	return [...]string{"prussic acid", "nitrate", "veterinary"}[h]
}

// ThroughWords says until when a flag holds, as seen from the day asked about:
// "through Fri 25 Sep", "no date", or "" where the flag is no hold.
func ThroughWords(f hazard.Flag, through, on fields.Date) string {
	switch {
	case f != hazard.Hold:
		return ""
	case through == hazard.NoEnd || through == fields.NoDate:
		return "no date"
	}
	return "through " + through.Beside(on)
}

// join lists words in English.
func join(list []string) string { return new(speaker).join(list) }

// plural is "1 day", "14 days".
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + one + "s"
}

// nights names nights: "the night of Thu 17 Sep", "the nights of Wed 16 Sep and
// Thu 17 Sep"; three and more in a row become "Mon 14 Sep through Thu 17 Sep".
// Every night is named or lies in a named range.
func (s *speaker) nights(ds []fields.Date) string {
	if len(ds) == 1 {
		return "the night of " + s.date(ds[0])
	}
	return "the nights of " + join(s.ranges(ds))
}

func (s *speaker) ranges(ds []fields.Date) []string {
	var out []string
	for i := 0; i < len(ds); {
		j := i
		for j+1 < len(ds) && ds[j+1] == ds[j]+1 {
			j++
		}
		switch {
		case j-i >= 2:
			out = append(out, s.date(ds[i])+" through "+s.date(ds[j]))
		case j > i:
			out = append(out, s.date(ds[i]), s.date(ds[j]))
		default:
			out = append(out, s.date(ds[i]))
		}
		i = j + 1
	}
	return out
}

// paddockName is the name on the gate, the id where there is none.
func paddockName(h *fields.History, id string) string {
	if p := h.Paddock(id); p != nil {
		return or(Clean(p.Name), Clean(id))
	}
	return Clean(id)
}

// gateNames lists paddocks by the name on the gate; other ids stay as they are.
func gateNames(h *fields.History, ids []string) string {
	return join(texts(ids, func(id string) string { return paddockName(h, id) }))
}

// speciesName is the everyday name of a species id, or what the person wrote.
func speciesName(b *hazard.Rulebook, id string) string {
	if s := speciesRow(b, id); s != nil && s.Name != "" {
		return Clean(s.Name)
	}
	return Clean(id)
}

// speciesRow returns the table's row of an id or a typed name, nil if it has none.
func speciesRow(b *hazard.Rulebook, id string) *hazard.Species {
	if s := b.Species[id]; s != nil {
		return s
	}
	return b.Find(id)
}

// texts puts each of a list into words.
func texts[T any](list []T, words func(T) string) []string {
	out := make([]string, len(list))
	for i, x := range list {
		out[i] = words(x)
	}
	return out
}

// fill puts parts into a template, {name} by {name}: into the first of its
// alternatives, between " || ", all of whose parts are said, or into the last.
func fill(template string, part func(name string) (text string, said bool)) (text string, said bool) {
	for more := true; more && !said; {
		var b strings.Builder
		var t string
		t, template, more = strings.Cut(template, " || ")
		said = true
		for {
			head, rest, open := strings.Cut(t, "{")
			b.WriteString(head)
			if !open {
				break
			}
			name, tail, _ := strings.Cut(rest, "}")
			w, ok := part(name)
			b.WriteString(w)
			t, said = tail, said && ok
		}
		text = b.String()
	}
	return text, said
}

// ClassWords lists classes: "cows and bred heifers, sheep", "all stock".
func ClassWords(cs []hazard.Class) string {
	if len(cs) == len(hazard.Classes) {
		return "all stock"
	}
	return strings.Join(texts(cs, hazard.Class.Stock), ", ")
}

// fillWith is fill, where {before|name|behind} is left out if the part is "".
func fillWith(template string, part func(name string) string) string {
	text, _ := fill(template, func(name string) (string, bool) {
		before, rest, optional := strings.Cut(name, "|")
		if !optional {
			before, rest = "", name
		}
		name, behind, _ := strings.Cut(rest, "|")
		if w := part(name); w != "" {
			return before + w + behind, true
		}
		return "", optional
	})
	return text
}

// sentence gives a clause its capital letter and full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	if c := s[0]; c >= 'a' && c <= 'z' {
		s = string(c-'a'+'A') + s[1:]
	}
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") && !strings.HasSuffix(s, "!") {
		s += "."
	}
	return s
}

func contains(list []string, x string) bool { return slices.Contains(list, x) }

func cleanAll(list []string) []string { return texts(list, Clean) }
