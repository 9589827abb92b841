package journal

import (
	"errors"
	"syscall"
	"testing"
	"time"
)

// What another program is in the way of is tried again for a while, on the system
// where that happens; what fails for another reason is not.
func TestPatiently(t *testing.T) {
	held := &linkError{syscall.Errno(32)}
	for _, c := range []struct {
		name     string
		fails    int // times
		with     error
		inTheWay bool
		tries    int
		ok       bool
	}{
		{"free", 0, nil, true, 1, true},
		{"held for a moment", 3, held, true, 4, true},
		{"denied for a moment", 1, &linkError{syscall.Errno(5)}, true, 2, true},
		{"held for good", 99, held, true, 6, false},
		{"no room", 99, errors.New("no room"), true, 1, false},
		{"elsewhere the same numbers mean something else", 99, held, false, 1, false},
	} {
		tries := 0
		err := patiently(func() error {
			tries++
			if tries <= c.fails {
				return c.with
			}
			return nil
		}, c.inTheWay, 20*time.Millisecond)
		if tries != c.tries || (err == nil) != c.ok {
			t.Errorf("%s: %d tries, %v", c.name, tries, err)
		}
	}
}

type linkError struct{ err error }

func (e *linkError) Error() string { return "rename: " + e.err.Error() }
func (e *linkError) Unwrap() error { return e.err }
