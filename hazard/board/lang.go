package board

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strings"

	"golang.org/x/text/language"

	"rimegate/fields"
)

//go:embed lang/*.txt
var catalogues embed.FS

// tongues are the languages of a page, English first.
var tongues = []language.Tag{language.English, language.Spanish, language.French}

// CatalogFor is the catalogue of a language by its tag, such as "es", "es-MX" or
// "fr_CA": nil for English. It is read only here, when a page asks for it.
func CatalogFor(tag string) (Catalog, error) {
	tag, _, _ = strings.Cut(strings.TrimSpace(tag), ".") // fr_CA.UTF-8
	asked, err := language.Parse(tag)
	_, at, sure := language.NewMatcher(tongues).Match(asked)
	if err != nil || sure == language.No {
		return nil, fields.Problem{What: fmt.Sprintf("the page is not made in %q", Clean(tag)), Type: "type en, es or fr"}
	}
	if at == 0 {
		return nil, nil
	}
	name := path.Join("lang", tongues[at].String()+".txt")
	text, err := catalogues.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return readCatalog(name, string(text), nil)
}

// readCatalog reads a catalogue: an English text, on the next line its translation,
// empty lines and lines that begin with # between them. It refuses a text that
// stands there twice, that is not known (nil: each is), or whose translation is
// missing or has other parts.
func readCatalog(name, text string, known func(english string) bool) (Catalog, error) {
	c := Catalog{}
	lines := strings.Split(text, "\n")
	for i := 0; i < len(lines); i++ {
		english := strings.TrimSpace(lines[i])
		if english == "" || strings.HasPrefix(english, "#") {
			continue
		}
		line := i + 1
		bad := func(what string) error { return fmt.Errorf("%s, line %d: %q %s", name, line, english, what) }
		switch {
		case c[english] != "":
			return nil, bad("stands here a second time")
		case known != nil && !known(english):
			return nil, bad("is no text of the page")
		case i+1 == len(lines) || strings.TrimSpace(lines[i+1]) == "" || strings.HasPrefix(lines[i+1], "#"):
			return nil, bad("has no translation on the next line")
		}
		i++
		c[english] = strings.TrimSpace(lines[i])
		if want, got := partsOf(english), partsOf(c[english]); !slices.Equal(want, got) {
			return nil, bad(fmt.Sprintf("has the parts %v, its translation %v", want, got))
		}
	}
	return c, nil
}

// partsOf are the names of a template's parts in order of the alphabet, each
// alternative by itself.
func partsOf(template string) []string {
	var all []string
	for n, alternative := range strings.Split(template, " || ") {
		var names []string
		fillWith(alternative, func(name string) string {
			names = append(names, fmt.Sprintf("%d:%s", n+1, name))
			return ""
		})
		slices.Sort(names)
		all = append(all, slices.Compact(names)...)
	}
	return all
}
