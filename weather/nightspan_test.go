package weather

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
)

// The sums of span and nightOf are what the calendar says, also on the days on
// which the clock changes.
func TestSpanAgainstCalendar(t *testing.T) {
	for _, name := range []string{"America/Winnipeg", "America/Regina", "America/St_Johns", "Europe/London", "Pacific/Auckland", "Pacific/Apia", "Australia/Lord_Howe"} {
		loc := zone(t, name)
		rapid.Check(t, func(t *rapid.T) {
			n := NewNights(loc, nil)
			at := rapid.Int64Range(-2_000_000_000, 7_000_000_000).Draw(t, "t")
			for _, step := range rapid.SliceOfN(rapid.Int64Range(-90_000, 90_000), 1, 400).Draw(t, "steps") {
				at += step
				d := n.nightOf(at)
				if want := fields.NightOf(time.Unix(at, 0), loc); d != want {
					t.Fatalf("%s: %d is of %s, want %s", name, at, d, want)
				}
				start, end := fields.NightSpan(d, loc)
				from, to := darkPart(d, loc)
				want := nightSpan{start.Unix(), from.Unix(), to.Unix(), end.Unix()}
				if got := n.span(d); got != want {
					t.Fatalf("%s, night of %s: %v, want %v", name, d, got, want)
				}
			}
		})
	}
}
