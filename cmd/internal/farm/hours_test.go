package farm

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/weather"
)

// How many hours it froze decides nothing. Every reading of the demo's season that
// froze is given the hours of the hardest freeze, every reading has reconstructed ones, and
// has them taken away: not one flag, date or reason of any day moves, and no kill is
// confirmed by them. Hours below zero of a low above it do move flags, as a low of -6 °C
// does, so the comparison can tell a difference.
func TestHoursOfFrostChangeNoFlag(t *testing.T) {
	at := time.Date(2026, 11, 11, 16, 0, 0, 0, time.UTC)
	f, err := Demo(t.TempDir(), func() time.Time { return at })
	if err != nil {
		t.Fatal(err)
	}
	v := view(t, f, Question{})
	readings, frosts := 0, 0
	with := func(change func(*fields.Reading)) []fields.Entry {
		out := append([]fields.Entry{}, v.Entries...)
		readings = 0
		for i := range out {
			if b, ok := out[i].Body.(*fields.Reading); ok {
				r := *b
				change(&r)
				out[i].Body = &r
				readings++
				if r.LowC != nil && *r.LowC <= 0 {
					frosts++
				}
			}
		}
		return out
	}
	day := 24.0
	ways := map[string][]fields.Entry{
		"none": with(func(r *fields.Reading) { r.HoursBelow0, r.HoursBelowKill, r.Source = nil, nil, "" }),
		"reconstructed": with(func(r *fields.Reading) {
			r.HoursBelow0, r.HoursBelowKill, r.Source = nil, nil, "x.csv; "+weather.Rebuilt{Below0: 24, BelowKill: 24}.Words()
		}),
		"measured": with(func(r *fields.Reading) {
			if r.LowC != nil && *r.LowC <= 0 {
				r.HoursBelow0, r.HoursBelowKill = &day, &day
			}
		}),
	}
	if readings < 20 || frosts == 0 {
		t.Fatalf("%d readings, %d of them frosts: the season proves nothing", readings, frosts)
	}
	answers := func(entries []fields.Entry, on fields.Date) ([]byte, *hazard.Assessment) {
		h := fields.Fold(entries, fields.View{On: on, KnownAt: at})
		a := hazard.Assess(h, v.Book)
		b, err := board.TodayJSON(a, board.Filter{})
		if err != nil {
			t.Fatal(err)
		}
		return b, a
	}
	days, dead := 0, 0
	for on := v.Today - 75; on <= v.Today+20; on += 2 {
		want, a := answers(v.Entries, on)
		for i := range a.Paddocks {
			if a.Paddocks[i].Stand.Dead {
				dead++
			}
		}
		for name, entries := range ways {
			if got, _ := answers(entries, on); !bytes.Equal(got, want) {
				t.Fatalf("%s: hours %s change the answer", on, name)
			}
		}
		days++
	}
	t.Logf("%d readings, %d days, %d confirmed kills among the answers", readings, days, dead)
	for name, cold := range map[string][]fields.Entry{
		"a low of -6 °C":   with(func(r *fields.Reading) { low := -6.0; r.LowC = &low }),
		"hours below zero": with(func(r *fields.Reading) { r.HoursBelow0 = &day }),
	} {
		moved := false
		for on := v.Today - 75; on <= v.Today && !moved; on += 5 {
			want, _ := answers(v.Entries, on)
			got, _ := answers(cold, on)
			moved = !bytes.Equal(got, want)
		}
		if !moved {
			t.Errorf("even %s in every reading changes nothing: the comparison is blind", name)
		}
	}
}

// Measured hours stand alone; of several the longest counts.
func TestNightHours(t *testing.T) {
	three, five := 3.0, 5.0
	rebuilt := "x.csv; " + weather.Rebuilt{Below0: 9, BelowKill: 4}.Words()
	v := &View{Entries: []fields.Entry{
		{ID: "a", Body: &fields.Reading{HoursBelow0: &three}},
		{ID: "b", Body: &fields.Reading{HoursBelow0: &five, Source: rebuilt}},
		{ID: "c", Body: &fields.Reading{Source: rebuilt}},
		{ID: "d", Body: &fields.Reading{Source: "typed by hand, 9 hours"}},
		{ID: "e", Body: &fields.Frost{}},
	}}
	if h := v.NightHours([]string{"a", "c"}); h.Rebuilt || *h.Below0 != 3 || h.BelowKill != nil {
		t.Errorf("measured beside reconstructed: %+v", h)
	}
	if h := v.NightHours([]string{"a", "b"}); h.Rebuilt || *h.Below0 != 5 {
		t.Errorf("two measured: %+v", h)
	}
	if h := v.NightHours([]string{"c", "d", "e"}); !h.Rebuilt || *h.Below0 != 9 || *h.BelowKill != 4 {
		t.Errorf("reconstructed: %+v", h)
	}
	if h := v.NightHours([]string{"d", "e", "nowhere"}); h.Any() || h.Rebuilt {
		t.Errorf("nothing known: %+v", h)
	}
}

// A night that stands in the journal is told again once its hours can be worked
// out, and only once.
func TestImportTellsHoursLater(t *testing.T) {
	f := smallFarm(t)
	low, covers := -3.0, true
	night := func(source string) []fields.Body {
		return []fields.Body{&fields.Reading{Station: "home", Night: date(t, "2026-10-05"), LowC: &low, Covers: &covers, Source: source}}
	}
	hours := "x.csv; " + weather.Rebuilt{Below0: 6.8, BelowKill: 2.2}.Words()
	for i, c := range []struct {
		source               string
		stored, same, retold int
	}{
		{"x.csv", 1, 0, 0},
		{"y.csv", 0, 1, 0},
		{hours, 1, 0, 1},
		{hours, 0, 1, 0},
		{strings.ReplaceAll(hours, "x.csv", "z.csv"), 0, 1, 0},
		{"x.csv", 0, 1, 0},
	} {
		l, err := view(t, f, Question{}).Import(night(c.source), "", false)
		if err != nil {
			t.Fatal(err)
		}
		if len(l.Entries) != c.stored || l.Same != c.same || l.Told != c.retold || l.Changed != 0 {
			t.Errorf("%d: stored %d same %d told %d changed %d, want %+v", i, len(l.Entries), l.Same, l.Told, l.Changed, c)
		}
	}
}
