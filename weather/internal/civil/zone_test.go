package civil

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Zones with every kind of change: none at all, half an hour, a day left out,
// changes given up.
var names = []string{"America/Denver", "America/Regina", "America/St_Johns", "Europe/London", "Australia/Lord_Howe", "America/Sao_Paulo", "Pacific/Apia", "Africa/Casablanca", "UTC"}

func load(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Skip(err)
	}
	return loc
}

// Whatever was asked before, the answers are those of the standard library.
func TestAgainstStandard(t *testing.T) {
	for _, name := range names {
		loc := load(t, name)
		rapid.Check(t, func(t *rapid.T) {
			z := New(loc)
			at := rapid.Int64Range(-3_000_000_000, 8_000_000_000).Draw(t, "t")
			for _, step := range rapid.SliceOfN(rapid.Int64Range(-40*day, 40*day), 1, 40).Draw(t, "steps") {
				at += step
				_, want := time.Unix(at, 0).In(loc).Zone()
				if got := z.Offset(at); got != int64(want) {
					t.Fatalf("%s at %d: %d, want %d", name, at, got, want)
				}
				steady(t, &z, at/day)
			}
		})
	}
}

// On a steady day and the days beside it every local time is where plain
// subtraction puts it.
func steady(t *rapid.T, z *Zone, date int64) {
	off, ok := z.Steady(date)
	if !ok {
		return
	}
	for h := int64(-36); h <= 36; h++ {
		naive := date*day + h*3600
		u := time.Unix(naive, 0).UTC()
		want := time.Date(u.Year(), u.Month(), u.Day(), u.Hour(), 0, 0, 0, z.Location()).Unix()
		if naive-off != want {
			t.Fatalf("%v in %s: %d, want %d", u, z.Location(), naive-off, want)
		}
	}
}

// Most days are steady, or the shorter way would never be taken.
func TestMostDaysAreSteady(t *testing.T) {
	z, n := New(load(t, "America/Denver")), 0
	for d := int64(20000); d < 20000+365; d++ {
		if _, ok := z.Steady(d); ok {
			n++
		}
	}
	if n < 345 {
		t.Errorf("%d of 365", n)
	}
}
