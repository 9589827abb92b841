package weather

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rimegate/fields"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := fields.LoadZone(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// NightsOf turns observations into nights.
func NightsOf(obs []Observation, loc *time.Location, farm *Place) []NightLow {
	return NightsFrom(obs, nil, loc, farm)
}

// NightsFrom is NightsOf with reported minima over stretches of time.
func NightsFrom(obs []Observation, spells []Spell, loc *time.Location, farm *Place) []NightLow {
	n := NewNights(loc, farm)
	for _, s := range spells {
		n.AddSpell(s)
	}
	for _, o := range obs {
		n.Add(o)
	}
	return n.Lows("")
}

// HoursAtOrBelow are the hours at or below a threshold between two instants, and the
// hours that lines between readings tell at all.
func HoursAtOrBelow(obs []Observation, threshold float64, from, to time.Time) (hours, read float64) {
	var pts []point
	for _, o := range obs {
		pts = append(pts, point{t: o.At.Unix(), c: o.TempC})
	}
	slices.SortFunc(pts, comparePoints)
	return hoursBelow(pts, threshold, from.Unix(), to.Unix()), hoursBelow(pts, math.Inf(1), from.Unix(), to.Unix())
}

// every gives readings of c(hours since from) at a step.
func every(from time.Time, hours float64, step time.Duration, c func(h float64) float64) []Observation {
	var out []Observation
	for at := from; at.Sub(from).Hours() <= hours; at = at.Add(step) {
		out = append(out, Observation{At: at, TempC: c(at.Sub(from).Hours()), HasTemp: true})
	}
	return out
}

func without(obs []Observation, loc *time.Location, drop ...string) []Observation {
	var out []Observation
	for _, o := range obs {
		keep := true
		for _, d := range drop {
			if o.At.In(loc).Format("15:04") == d {
				keep = false
			}
		}
		if keep {
			out = append(out, o)
		}
	}
	return out
}

func TestCoverage(t *testing.T) {
	loc := zone(t, "America/Regina")
	noon := time.Date(2026, 9, 16, 12, 0, 0, 0, loc)
	full := every(noon, 23, time.Hour, func(h float64) float64 { return 10 - h/2 })
	for _, c := range []struct {
		name   string
		obs    []Observation
		covers bool
		why    string
	}{
		{"every hour", full, true, ""},
		{"one report missing", without(full, loc, "02:00"), true, ""},
		{"two missing in a row", without(full, loc, "02:00", "03:00"), false, "no reading between 01:00 and 04:00"},
		{"two missing by day", without(full, loc, "14:00", "15:00", "16:00"), true, ""},
		{"a gap into the evening", without(full, loc, "17:00", "18:00", "19:00"), false, "no reading between 16:00 and 20:00"},
		{"from 19:00", full[7:], true, ""},
		{"from 20:00", full[8:], false, "first reading at 20:00"},
		{"to 08:00", full[:21], true, ""},
		{"to 07:00", full[:20], false, "last reading at 07:00"},
		{"one reading", full[12:13], false, "first reading at 00:00"},
	} {
		got := NightsOf(c.obs, loc, nil)
		if len(got) != 1 || got[0].Night != fields.MakeDate(2026, 9, 17) {
			t.Fatalf("%s: %+v", c.name, got)
		}
		n := got[0]
		if n.Covers != c.covers || n.Uncertain != c.why {
			t.Errorf("%s: covers %v, %q", c.name, n.Covers, n.Uncertain)
		}
		if (n.HoursBelow0 != nil) != c.covers {
			t.Errorf("%s: hours %v", c.name, n.HoursBelow0)
		}
		want := c.obs[len(c.obs)-1].TempC
		if *n.LowC != want {
			t.Errorf("%s: low %v, want %v", c.name, *n.LowC, want)
		}
	}
}

// A low of a partial night counts as evidence of frost all the same.
func TestPartialNightShowsFrost(t *testing.T) {
	loc := zone(t, "America/Regina")
	obs := every(time.Date(2026, 9, 17, 4, 0, 0, 0, loc), 1, time.Hour, func(float64) float64 { return -1.2 })
	rs := ToReadings(NightsOf(obs, loc, nil), "creek", "logger.csv")
	if len(rs) != 1 || *rs[0].LowC != -1.2 || *rs[0].Covers || rs[0].Station != "creek" {
		t.Fatalf("%+v", rs)
	}
	if want := "logger.csv; first reading at 04:00"; rs[0].Source != want {
		t.Errorf("source %q, want %q", rs[0].Source, want)
	}
}

// A night is cut at noon of the farm's clock; on the nights that the clock changes
// it is 23 or 25 hours long, and the hours below must not lose or gain one.
func TestNightAcrossClockChange(t *testing.T) {
	loc := zone(t, "America/Denver")
	for _, c := range []struct {
		night fields.Date
		hours float64
	}{{fields.MakeDate(2026, 3, 8), 23}, {fields.MakeDate(2026, 11, 1), 25}, {fields.MakeDate(2026, 11, 2), 24}} {
		start, _ := fields.NightSpan(c.night, loc)
		obs := every(start.Add(-time.Hour), c.hours+2, 30*time.Minute, func(float64) float64 { return -5 })
		for _, n := range NightsOf(obs, loc, nil) {
			if n.Night == c.night {
				near(t, n.Night.String(), *n.HoursBelow0, c.hours, 1e-9)
				near(t, n.Night.String(), *n.HoursBelowKill, c.hours, 1e-9)
			}
		}
	}
}

func TestHoursAtOrBelow(t *testing.T) {
	from := time.Date(2026, 9, 16, 18, 0, 0, 0, time.UTC)
	// Down 1 °C an hour from 5 to -5, then up again.
	obs := every(from, 20, time.Hour, func(h float64) float64 { return math.Abs(h-10) - 5 })
	h, read := HoursAtOrBelow(obs, 0, from, from.Add(20*time.Hour))
	near(t, "hours at or below 0", h, 10+2*Tolerance, 1e-9)
	near(t, "read", read, 20, 1e-9)
	h, _ = HoursAtOrBelow(obs, 0, from.Add(10*time.Hour), from.Add(12*time.Hour))
	near(t, "clipped", h, 2, 1e-9)
	h, read = HoursAtOrBelow([]Observation{obs[0], obs[10], obs[20]}, 0, from, from.Add(20*time.Hour))
	if h != 0 || read != 0 {
		t.Errorf("across gaps of ten hours %v of %v hours were guessed", h, read)
	}
	// 28 °F is -2.2 on one instrument and -2.22 on another: both are at the line,
	// 29 °F (-1.67) is not. 32 °F held for two hours counts in full.
	for c, want := range map[float64]float64{-2.2: 2, -2.22: 2, FtoC(28): 2, FtoC(29): 0, -2.1: 0} {
		h, _ := HoursAtOrBelow(every(from, 2, time.Hour, func(float64) float64 { return c }), KillC, from, from.Add(2*time.Hour))
		near(t, fmt.Sprint(c), h, want, 1e-9)
	}
	h, _ = HoursAtOrBelow(every(from, 2, time.Hour, func(float64) float64 { return FtoC(32) }), FreezingC, from, from.Add(2*time.Hour))
	near(t, "32 °F", h, 2, 1e-9)
}

// Signs without a number: M00 of a METAR, the flags of a climate archive.
func TestSigns(t *testing.T) {
	loc := zone(t, "America/Regina")
	noon := time.Date(2026, 9, 16, 12, 0, 0, 0, loc)
	obs := every(noon, 23, time.Hour, func(h float64) float64 { return 4 })
	obs[15] = Observation{At: obs[15].At, Below: true}
	n := NightsOf(obs, loc, nil)[0]
	if !n.Below || n.LowC != nil || !n.Covers {
		t.Errorf("above zero but for one sign: %+v", n)
	}
	if n.HoursBelow0 == nil || !(*n.HoursBelow0 > 0) || n.HoursBelowKill != nil {
		t.Errorf("hours %v %v", n.HoursBelow0, n.HoursBelowKill)
	}
	if r := ToReadings([]NightLow{n}, "s", "")[0]; r.BelowZero == nil || !*r.BelowZero || r.LowC != nil {
		t.Errorf("%+v", r)
	}
	obs[15] = Observation{At: obs[15].At}
	obs[16] = Observation{At: obs[16].At}
	n = NightsOf(obs, loc, nil)[0]
	if n.Below || n.Covers {
		t.Errorf("two readings that only say above zero: %+v", n)
	}
	only := []Observation{{At: obs[3].At}}
	if got := NightsOf(only, loc, nil); len(got) != 0 {
		t.Errorf("nothing is known, yet %+v", got)
	}
}

// Spells inside a night count and cover; one that reaches across noon counts only
// where the readings do not explain it.
func TestSpells(t *testing.T) {
	loc := zone(t, "America/Chicago")
	at := func(day, hour int) time.Time { return time.Date(2025, 10, day, hour, 0, 0, 0, loc) }
	six := []Spell{
		{From: at(14, 13), To: at(14, 19), MinC: 5},
		{From: at(14, 19), To: at(15, 1), MinC: 1},
		{From: at(15, 1), To: at(15, 7), MinC: -1.5},
		{From: at(15, 7), To: at(15, 12), MinC: -0.5},
	}
	n := NightsFrom(nil, six, loc, nil)
	if len(n) != 1 || *n[0].LowC != -1.5 || !n[0].Covers || n[0].HoursBelow0 != nil {
		t.Errorf("four minima of six hours: %+v", n)
	}
	n = NightsFrom(nil, six[:3], loc, nil)
	if n[0].Covers {
		t.Error("covered to 07:00 only")
	}
	var hours []Observation // but for those that one minimum of six hours speaks of
	for t := at(14, 12); t.Before(at(15, 12)); t = t.Add(time.Hour) {
		if !t.After(six[2].From) || !t.Before(six[2].To) {
			hours = append(hours, Observation{At: t, TempC: 1, HasTemp: true})
		}
	}
	for spells, covers := range map[int]bool{0: false, 1: true} {
		n = NightsFrom(hours, six[2:2+spells], loc, nil)
		if len(n) != 1 || n[0].Covers != covers {
			t.Errorf("hours with a hole and %d minima: %+v", spells, n)
		}
	}
	day := Spell{From: at(15, 0), To: at(16, 0), MinC: -1.5}
	n = NightsFrom(nil, append(six[:4:4], day), loc, nil)
	if len(n) != 1 || *n[0].LowC != -1.5 || n[0].Uncertain != "" {
		t.Errorf("explained by the night's own: %+v", n)
	}
	day.MinC = -4
	n = NightsFrom(nil, append(six[:4:4], day), loc, nil)
	if len(n) != 1 || *n[0].LowC != -4 || n[0].Uncertain == "" {
		t.Errorf("colder than the night's own: %+v", n)
	}
	if got := NightsFrom(nil, []Spell{{From: at(15, 5), To: at(15, 5), MinC: -9}}, loc, nil); len(got) != 0 {
		t.Errorf("a spell of no length: %+v", got)
	}
}

// Where a daily minimum goes, by when its 24 hours end.
func TestDailyMinima(t *testing.T) {
	d := fields.MakeDate(2026, 9, 17)
	mk := func(end float64, lows ...float64) []NightLow {
		var l DailyLows
		for i, c := range lows {
			if !math.IsNaN(c) {
				l.Add(Daily{Day: d.Add(i), MinC: c, HasC: true, EndHour: end})
			}
		}
		return l.Nights("x")
	}
	gap := math.NaN()
	for _, c := range []struct {
		name   string
		end    float64
		lows   []float64
		covers []bool // of the nights given
	}{
		{"morning observer", 7, []float64{5, -1, 3}, []bool{true, true, true}},
		{"evening observer", 17, []float64{5, -1, 3}, []bool{true, false, true}},
		{"calendar day", 24, []float64{5, -1, 3, 6}, []bool{false, true, false, true}},
		{"late evening", 22, []float64{5, 4, gap, 6}, []bool{false, true, false}},
		{"early morning", 26.5, []float64{5, 4}, []bool{false, true}},
		{"not said", EndUnknown, []float64{5, -1, 3, 6, 5}, []bool{false, false, false, true, true}},
	} {
		got := mk(c.end, c.lows...)
		if len(got) != len(c.covers) {
			t.Fatalf("%s: %d nights", c.name, len(got))
		}
		for i, n := range got {
			if n.Covers != c.covers[i] {
				t.Errorf("%s: night %d (low %.1f) covers %v, %q", c.name, i, *n.LowC, n.Covers, n.Uncertain)
			}
			if !n.Covers && n.Uncertain == "" {
				t.Errorf("%s: night %d does not say why it is not covered", c.name, i)
			}
		}
	}
	var l DailyLows
	l.Add(Daily{Day: d, MinC: 4, HasC: true, EndHour: 7})
	l.Add(Daily{Day: d, MinC: -2, HasC: true, EndHour: 7})
	l.Add(Daily{Day: d, MinC: -2, HasC: true, EndHour: 7})
	if n := l.Nights(""); len(n) != 1 || *n[0].LowC != -2 {
		t.Errorf("of two values for a date the colder counts: %+v", n)
	}
}

// TestCalendarDaysMissNoFrost takes the calendar-day lows and the nights' own lows
// of real stations: no frost night may read as covered and mild.
func TestCalendarDaysMissNoFrost(t *testing.T) {
	bySite := map[string][]measured{}
	for _, m := range loadNights(t) {
		bySite[m.site] = append(bySite[m.site], m)
	}
	frost, caught, uncovered, total := 0, 0, 0, 0
	for _, ms := range bySite {
		var l DailyLows
		truth := map[fields.Date]float64{}
		for _, m := range ms {
			l.Add(Daily{Day: m.evening + 1, MinC: m.calendar, HasC: true, EndHour: 24})
			truth[m.evening+1] = m.tmin
		}
		for _, n := range l.Nights("") {
			low := truth[n.Night]
			total++
			if !n.Covers {
				uncovered++
			}
			if low > 0 {
				continue
			}
			frost++
			switch {
			case *n.LowC <= 0:
				caught++
			case n.Covers:
				t.Errorf("%s: low of the night %.1f, of the calendar day %.1f, and it counts as read", n.Night, low, *n.LowC)
			}
		}
	}
	t.Logf("%d frost nights of %d: %d shown, %d left unread, none missed; %d nights unread in all", frost, total, caught, frost-caught, uncovered)
	if frost < 200 {
		t.Errorf("only %d frost nights", frost)
	}
}

// Whatever the order of the readings, and however often they are repeated, the
// nights are the same; taking readings away never covers a night nor warms it by
// anything but the readings gone.
func TestNightsAnyOrder(t *testing.T) {
	loc := zone(t, "America/Winnipeg")
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		r := rand.New(rand.NewPCG(seed, 1))
		obs := every(time.Date(2026, 10, 28, 9, 0, 0, 0, loc), 120, 20*time.Minute, func(h float64) float64 {
			return math.Round(10*(4-7*math.Sin(h/24*2*math.Pi)+2*r.Float64())) / 10
		})
		keep := rapid.IntRange(30, 100).Draw(t, "keep")
		var some []Observation
		for _, o := range obs {
			if r.IntN(100) < keep {
				some = append(some, o)
			}
		}
		want := NightsOf(some, loc, nil)
		mixed := append(append([]Observation{}, some...), some[:len(some)/3]...)
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		n := NewNights(loc, nil)
		for _, o := range mixed {
			n.Add(o)
		}
		if d := cmp.Diff(want, n.Lows("")); d != "" {
			t.Fatalf("shuffled:\n%s", d)
		}
		full := map[fields.Date]NightLow{}
		for _, x := range NightsOf(obs, loc, nil) {
			full[x.Night] = x
		}
		for _, x := range want {
			if x.Covers && !full[x.Night].Covers || x.LowC != nil && *x.LowC < *full[x.Night].LowC {
				t.Fatalf("fewer readings made more of the night of %s", x.Night)
			}
		}
	})
}

// A long stream in no order gives the nights of the same stream in order.
func TestNightsOfALongStreamInNoOrder(t *testing.T) {
	loc := zone(t, "America/Winnipeg")
	obs := every(time.Date(2020, 1, 1, 0, 0, 0, 0, loc), 24*400, time.Hour, func(h float64) float64 {
		return math.Round(10*(4-9*math.Sin(h/24*2*math.Pi)-6*math.Cos(h/8766*2*math.Pi))) / 10
	})
	want := NightsOf(obs, loc, nil)
	r := rand.New(rand.NewPCG(7, 7))
	r.Shuffle(len(obs), func(i, j int) { obs[i], obs[j] = obs[j], obs[i] })
	if d := cmp.Diff(want, NightsOf(obs, loc, nil)); d != "" || len(want) != 401 {
		t.Errorf("%d nights, shuffled:\n%s", len(want), d)
	}
}

// A thermometer that reads every second for a night and longer is taken as it is.
func TestNightsEverySecond(t *testing.T) {
	loc := zone(t, "America/Regina")
	n := NewNights(loc, nil)
	start := time.Date(2026, 9, 16, 12, 0, 0, 0, loc)
	for i := range 200_000 { // 24 hours, some of it twice
		s := i % 86_400
		n.Add(Observation{At: start.Add(time.Duration(s) * time.Second), TempC: 5 - 8*math.Sin(float64(s)/86_400*math.Pi), HasTemp: true})
	}
	got := n.Lows("")
	if len(got) != 1 || !got[0].Covers || n.doubled != 200_000-86_400 {
		t.Fatalf("%+v, %d doubled", got, n.doubled)
	}
	near(t, "low", *got[0].LowC, -3, 1e-6)
}

// A file of more readings than memory should hold is refused, not cut short.
func TestTooManyReadings(t *testing.T) {
	loc := zone(t, "America/Regina")
	n := NewNights(loc, nil)
	n.held = maxReadings - 1
	one := func(s Sink) (*Result, error) {
		s.Observe(Observation{At: time.Unix(0, 0), TempC: 4, HasTemp: true})
		return &Result{}, nil
	}
	if res, err := n.collect(one); err != nil || len(res.Nights) != 1 {
		t.Errorf("as many as may be: %v", err)
	}
	n.held = maxReadings
	_, err := n.collect(one)
	if err == nil || !strings.Contains(err.Error(), "cut it into years") {
		t.Errorf("%v", err)
	}
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"North  Slough":                   "North Slough",
		"\x1b[31mred\x1b[0m":              "[31mred [0m",
		"a\u202eb\u200bc\x00d\r\ne":       "a b c d e",
		"  edges \t":                      "edges",
		"\xff\xfe":                        "?",
		"Saint-Jérôme, °C":                "Saint-Jérôme, °C",
		"0123456789012345678901234567890": "0123456789...",
	} {
		n := 40
		if len(in) == 31 {
			n = 10
		}
		if got := Clean(in, n); got != want {
			t.Errorf("Clean(%q) = %q, want %q", in, got, want)
		}
	}
}

// A cold reading that failed its source's checks is no low, and no gap in a mild night
// either unless good readings beside it, or a minimum of its time, say so.
func TestFailedReadings(t *testing.T) {
	loc := zone(t, "America/Denver")
	at := func(h, m int) time.Time { return time.Date(2026, 10, 8, h, m, 0, 0, loc) }
	hourly := func(drop ...string) []Observation {
		return without(every(at(12, 53).AddDate(0, 0, -1), 22, time.Hour, func(float64) float64 { return 3 }), loc, drop...)
	}
	frost := append(hourly("05:53"), Observation{At: at(4, 20), TempC: -1, HasTemp: true})
	spell := Spell{From: at(2, 0), To: at(8, 0), MinC: 2.5}
	for _, c := range []struct {
		name   string
		obs    []Observation
		spells []Spell
		failed []Failed
		covers bool
		low    float64
	}{
		{"none", hourly("05:53"), nil, nil, true, 3},
		{"cold", hourly("05:53"), nil, []Failed{{at(5, 53), -2.8}}, false, 3},
		{"cold, beside good ones an hour off", hourly(), nil, []Failed{{at(5, 23), -2.8}}, true, 3},
		{"the same a minute more", hourly("05:53"), nil, []Failed{{at(5, 24), -2.8}}, false, 3},
		{"at the moment of a good one", hourly(), nil, []Failed{{at(5, 53), -2.8}}, true, 3},
		{"warm", hourly("05:53"), nil, []Failed{{at(5, 53), 2.3}}, true, 3},
		{"near frost", hourly("05:53"), nil, []Failed{{at(5, 53), 2.2}}, false, 3},
		{"no colder than the low", append(hourly("05:53"), Observation{At: at(4, 20), TempC: 1, HasTemp: true}), nil, []Failed{{at(5, 53), 1}}, true, 1},
		{"in a frost", frost, nil, []Failed{{at(5, 53), -2.8}}, true, -1},
		{"in a known minimum", hourly("05:53"), []Spell{spell}, []Failed{{at(5, 53), -2.8}}, true, 2.5},
		{"before a known minimum", hourly("01:53"), []Spell{spell}, []Failed{{at(1, 53), -2.8}}, false, 2.5},
		{"one refuted and one not", hourly("05:53"), nil, []Failed{{at(4, 53), -9}, {at(5, 53), 0}}, false, 3},
		{"in another night", hourly("05:53"), nil, []Failed{{at(12, 53), -2.8}}, true, 3},
		{"in daylight", hourly("09:53"), nil, []Failed{{at(9, 1), -2.8}}, true, 3},
		{"before the evening", hourly("17:53"), nil, []Failed{{at(17, 59).AddDate(0, 0, -1), -2.8}}, true, 3},
		{"in the evening", hourly("17:53"), nil, []Failed{{at(18, 0).AddDate(0, 0, -1), -2.8}}, false, 3},
		{"in the morning", hourly("08:53"), nil, []Failed{{at(9, 0), -2.8}}, false, 3},
	} {
		n := NewNights(loc, nil)
		for _, f := range c.failed {
			n.AddFailed(f)
		}
		for _, s := range c.spells {
			n.AddSpell(s)
		}
		for _, o := range c.obs {
			n.Add(o)
		}
		got := n.Lows("x")
		if len(got) != 1 || got[0].Covers != c.covers || *got[0].LowC != c.low {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		if failed := strings.Contains(got[0].Uncertain, "failed a check of its source"); failed == c.covers || got[0].Spans != nil || c.covers != (got[0].HoursBelow0 != nil) {
			t.Errorf("%s: %+v", c.name, got)
		}
		// Two such files of one night do not add up to a night that was read.
		if joined := JoinParts(append(got, got[0]), loc, nil); !c.covers && slices.ContainsFunc(joined, func(l NightLow) bool { return l.Covers }) {
			t.Errorf("%s: joined %+v", c.name, joined)
		}
	}
}
