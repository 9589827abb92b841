package metar

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
)

func TestAnchor(t *testing.T) {
	at := func(y, m, d, h, mi int) time.Time {
		return time.Date(y, time.Month(m), d, h, mi, 0, 0, time.UTC)
	}
	for _, c := range []struct {
		day, hour, min int
		received, want time.Time
		ok             bool
	}{
		{14, 10, 53, at(2025, 10, 14, 11, 0), at(2025, 10, 14, 10, 53), true},
		{14, 10, 53, at(2025, 10, 14, 9, 0), at(2025, 9, 14, 10, 53), true}, // nearly two hours ahead: the month before
		{14, 10, 53, at(2025, 10, 14, 10, 0), at(2025, 10, 14, 10, 53), true},
		{31, 23, 53, at(2025, 11, 1, 0, 5), at(2025, 10, 31, 23, 53), true},
		{31, 12, 0, at(2026, 3, 2, 0, 0), at(2026, 1, 31, 12, 0), true}, // February has none
		{1, 0, 0, at(2025, 12, 31, 23, 30), at(2026, 1, 1, 0, 0), true},
		{29, 6, 0, at(2026, 3, 5, 0, 0), at(2026, 1, 29, 6, 0), true},
	} {
		got, ok := Anchor(c.day, c.hour, c.min, c.received)
		if ok != c.ok || !got.Equal(c.want) {
			t.Errorf("day %d %02d:%02d received %v: %v %v", c.day, c.hour, c.min, c.received, got, ok)
		}
	}
	near, ok := Nearest(1, 0, 53, at(2025, 10, 31, 23, 53))
	if !ok || !near.Equal(at(2025, 11, 1, 0, 53)) {
		t.Errorf("%v", near)
	}
}

// The month that is remembered gives the answers of the calendar, whatever was
// asked before.
func TestMonthRemembered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m month
		near := rapid.Int64Range(-2_000_000_000, 7_000_000_000).Draw(t, "near")
		for _, step := range rapid.SliceOfN(rapid.Int64Range(-40*86400, 40*86400), 1, 50).Draw(t, "steps") {
			near += step
			at := time.Unix(near, 0).UTC()
			day, hour, minute := rapid.IntRange(1, 31).Draw(t, "day"), rapid.IntRange(0, 23).Draw(t, "hour"), rapid.IntRange(0, 59).Draw(t, "minute")
			got, ok := m.nearest(day, hour, minute, at)
			want, wok := Nearest(day, hour, minute, at)
			if ok != wok || got != want {
				t.Fatalf("%d %02d:%02d near %v: %v %v, want %v %v", day, hour, minute, at, got, ok, want, wok)
			}
		}
	})
}

// A text over a year's end, dated once, keeps its place.
func TestLongText(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("2025/12/20 00:53\n")
	at := time.Date(2025, 12, 20, 0, 53, 0, 0, time.UTC)
	for range 24 * 40 {
		b.WriteString(at.Format("KTST 021504Z 00000KT 10SM CLR M05/M08 A3001\n"))
		at = at.Add(time.Hour)
	}
	res, err := Read(strings.NewReader(b.String()), Options{Loc: loc})
	if err != nil {
		t.Fatal(err)
	}
	first, last := res.Observations[0].At, res.Observations[len(res.Observations)-1].At
	if res.Kept != 960 || !first.Equal(time.Date(2025, 12, 20, 0, 53, 0, 0, time.UTC)) || !last.Equal(at.Add(-time.Hour)) {
		t.Errorf("%d reports from %v to %v", res.Kept, first, last)
	}
}

// Reports dated on their own lines need no time of receipt.
func TestDatedLines(t *testing.T) {
	loc, err := fields.LoadZone("America/Denver")
	if err != nil {
		t.Fatal(err)
	}
	res, err := Read(strings.NewReader("202510141053 KTST 141053Z 00000KT 10SM CLR M00/M03 A3001\n2025-10-14T11:53Z KTST 141153Z 00000KT 10SM CLR 01/M03 A3001\n2025-10-14 12:53 METAR KTST 141253Z 00000KT 10SM CLR 02/M03 A3001\n"), Options{Loc: loc})
	if err != nil || len(res.Observations) != 3 {
		t.Fatalf("%+v %v", res, err)
	}
	o := res.Observations[0]
	if o.HasTemp || o.BelowZero == nil || !*o.BelowZero || !o.At.Equal(time.Date(2025, 10, 14, 10, 53, 0, 0, time.UTC)) {
		t.Errorf("M00: %+v", o)
	}
}
