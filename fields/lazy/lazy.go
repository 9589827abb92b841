// Package lazy makes things when they are first asked for, so that no command waits at
// its start for what it does not use.
package lazy

import (
	"regexp"
	"sync"
)

// Regexp is a regular expression that is compiled at its first use, which panics if it
// is none.
func Regexp(expr string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) })
}
