package form

import (
	"encoding/json"
	"maps"
	"strconv"
	"strings"
	"unicode"

	"rimegate/fields"
)

// ShortName is the short name that a person means by what was typed for it: a text
// with blanks, or the name on the gate where nothing was typed, gets hyphens for them.
func ShortName(typed, name string) string {
	words := strings.Fields(typed)
	switch len(words) {
	case 0:
		words = strings.Fields(name)
	case 1:
		return words[0]
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_.", r) {
			return unicode.ToLower(r)
		}
		return -1
	}, strings.Join(words, "-"))
}

// Typed is what stands in a body as a person would type it, in a system of units:
// the other way round from Entries.
func (k *Kind) Typed(b fields.Body, units string) Said {
	var values map[string]any
	if json.Unmarshal(fields.Encode(&fields.Entry{Body: b}), &values) != nil {
		return nil
	}
	if contacts, ok := values["contacts"].(map[string]any); ok {
		maps.Copy(values, contacts)
	}
	said := Said{}
	for i := range k.Fields {
		f := &k.Fields[i]
		if v, ok := values[f.Name]; ok {
			said[f.Name] = []string{f.typedAs(v, units)}
		}
	}
	return said
}

func (f *Field) typedAs(v any, units string) string {
	switch v := v.(type) {
	case float64:
		if f.Measure != nil {
			return f.Measure.Typed(v, units)
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case []any:
		var all []string
		for _, x := range v {
			all = append(all, f.typedAs(x, units))
		}
		return strings.Join(all, ", ")
	case map[string]any: // a species with its share, or a watch
		if name, ok := v["species"].(string); ok {
			if share, ok := v["share"].(float64); ok {
				name += ":" + strconv.FormatFloat(share, 'f', -1, 64)
			}
			return name
		}
		from, _ := v["from"].(string)
		to, _ := v["to"].(string)
		return from + ".." + to
	case string:
		return v
	}
	return ""
}
