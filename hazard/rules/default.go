package rules

import (
	"strings"
	"sync"

	"rimegate/hazard"
)

// embedded is the rulebook in this binary, in its compiled form: all but the
// publications' own rules.
var embedded = sync.OnceValue(func() *bound {
	b := fromCompiled()
	remember(b)
	return b
})

// embeddedFiles is the same rulebook, read from the files.
var embeddedFiles = sync.OnceValue(func() *bound {
	b, ps := load(files)
	if len(ps) > 0 {
		// The tests load the same bytes: a binary that built has none.
		lines := make([]string, len(ps))
		for i, p := range ps {
			lines[i] = p.Error()
		}
		panic("rules: the embedded rulebook is broken:\n" + strings.Join(lines, "\n"))
	}
	return b
})

// Default returns the embedded rulebook "cautious". It is shared and must not
// be changed; With makes a changed one.
func Default() *hazard.Rulebook { return embedded().book }

// loaded are the rulebooks read so far, by digest: With needs the limits, which
// the engine's rulebook does not carry.
var loaded sync.Map

func remember(b *bound) { loaded.LoadOrStore(b.book.Digest, b) }

func boundOf(book *hazard.Rulebook) *bound {
	if b, ok := loaded.Load(book.Digest); ok {
		return b.(*bound)
	}
	return embedded()
}
