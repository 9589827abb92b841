package board

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimegate/hazard"
	"rimegate/weather"
)

func tonightText(t *testing.T, x Sheet) string {
	t.Helper()
	var b strings.Builder
	if err := x.Text(&b, 80); err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(b.String(), "\n") {
		if Width(l) > 80 {
			t.Errorf("a line of %d cells: %s", Width(l), l)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// castAndRead is a past night: a forecast and what was read, °C.
func castAndRead(n int, night string, cast, read float64) []string {
	return []string{
		line(n, "forecast", fmt.Sprintf(`"station":"yard","night":%q,"low_c":%v,"issued":"%sT00:00:00-06:00"`, night, cast, night)),
		line(n+1, "reading", fmt.Sprintf(`"station":"yard","night":%q,"low_c":%v`, night, read)),
	}
}

// Eight forecasts missed by 0 and 2 °C in turn: 1 °C too cold on average, so a
// forecast of -1 °C stands for 0 °C, and half of such nights reach 0 °C.
func TestTonightChanceFromPastForecasts(t *testing.T) {
	var extra []string
	for i := 0; i < 8; i++ {
		extra = append(extra, castAndRead(70+2*i, fmt.Sprintf("2026-08-%02d", 10+i), 8, 8+float64(i%2)*2)...)
	}
	tonight := line(99, "forecast", `"station":"yard","night":"2026-09-12","low_c":-1,"issued":"2026-09-11T05:00:00-06:00"`)
	a := farmAssessment(t, append(extra, tonight)...)
	text := tonightText(t, NewTonight(a, day("2026-09-12"), nil, Filter{}))
	for _, want := range []string{
		"the night of Sat 12 Sep 2026 (from noon on Fri 11 Sep)",
		"North Slough: -1 °C (30.2 °F), about 50 in 100 that it reaches 0 °C (32 °F); a living stand that makes prussic acid; inside: pairs.",
		"Forecasts so far, Yard: 8 past forecasts with a reading: 1 °C warmer than forecast on average, straying by 1.1 °C.",
		"A forecast warns and never clears",
		"Sunset is not known",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	// Seven are too few to tell a chance from.
	a = farmAssessment(t, append(extra[:14], tonight)...)
	text = tonightText(t, NewTonight(a, day("2026-09-12"), nil, Filter{}))
	if strings.Contains(text, "in 100 that it reaches") || !strings.Contains(text, "7 past forecasts with a reading; a chance needs at least 8") {
		t.Errorf("%s", text)
	}
}

// Who has to be out is the engine's answer; it stands on top, with the hour of
// sunset where the farm's place is known.
func TestTonightMovesStockOutOfLivingStands(t *testing.T) {
	place := line(90, "farm", `"name":"Coulee Farm","zone":"America/Regina","lat":50.4,"lon":-105.5`)
	tonight := line(99, "forecast", `"station":"yard","night":"2026-09-12","low_c":1,"issued":"2026-09-11T05:00:00-06:00"`)
	a := farmAssessment(t, place, tonight)
	// On hold they come out now, in the words of every list, whatever the night brings.
	text := tonightText(t, NewTonight(a, day("2026-09-12"), nil, Filter{}))
	acts := NewPage(a, Filter{}, nil).Acts
	if len(acts) != 1 || !strings.HasPrefix(strings.TrimLeft(text, "= "), acts[0].Word+": "+acts[0].What+" > "+acts[0].To+" =") ||
		!strings.Contains(text, "On HOLD: stock out now; read the") {
		t.Errorf("%s", text)
	}
	// Asked of another herd the same stands on top, and of paddocks only its own.
	elsewhere := farmAssessment(t, place, tonight, line(98, "grazed", `"paddock":"creek","state":"in","herd":"steers"`))
	text = tonightText(t, NewTonight(elsewhere, day("2026-09-12"), nil, Filter{Herd: "steers"}))
	if !strings.HasPrefix(strings.TrimLeft(text, "= "), acts[0].Word) || strings.Contains(text, "inside: pairs") ||
		!strings.Contains(text, "For steers, in Creek Grass.") || !strings.Contains(text, "inside: steers") {
		t.Errorf("%s", text)
	}
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		if p.Paddock.ID != "north-slough" {
			continue
		}
		for j := range p.Verdicts {
			if v := &p.Verdicts[j]; v.Use == hazard.Graze {
				v.Flag = hazard.Caution
				v.Hazards[hazard.PrussicAcid].Reasons = append(v.Hazards[hazard.PrussicAcid].Reasons,
					hazard.Reason{Line: hazard.LineForecastCaution, Rule: "forecast", Flag: hazard.Caution, On: day("2026-09-12"), Figure: hazard.Figure{Of: hazard.LowC, Measured: true, Value: 1}})
			}
		}
	}
	text = tonightText(t, NewTonight(a, day("2026-09-12"), nil, Filter{}))
	// Sunset at 50.4 N 105.5 W on 11 September, farm time UTC-6, is near 19:25.
	if !strings.HasPrefix(text, "OUT BEFORE DARK: pairs out of North Slough before sunset, 19:") {
		t.Errorf("%s", text)
	}
	if strings.Contains(text, "OUT BEFORE DARK: pairs out of Home") || !strings.Contains(text, "Stock out before sunset; read the thermometer in the morning.") {
		t.Errorf("%s", text)
	}
	// After it nothing is offered that should have been done before.
	for _, at := range []string{"2026-09-11T19:40:00-06:00", "2026-09-12T02:00:00-06:00"} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		a.History.KnownAt = when
		text = tonightText(t, NewTonight(a, day("2026-09-12"), nil, Filter{}))
		if !strings.HasPrefix(text, "OUT NOW, IT IS DARK: pairs out of North Slough Coulee") || !strings.Contains(text, "Stock out now, it is dark; read the") ||
			!strings.Contains(text, "The sun set at 19:") || strings.Contains(text, "before sunset") || strings.Contains(strings.ToLower(text), "before dark") || strings.Contains(text, "from sunset on") {
			t.Errorf("%s: %s", at, text)
		}
		r := hazard.Reason{Line: hazard.LineForecastCaution, On: day("2026-09-12")}
		s := newSpeaker(a, Metric)
		act, _ := s.act(&r)
		why := s.cause(&r)
		if strings.Contains(act+why, "before dark") || !strings.Contains(act, "out now") || !strings.Contains(why, "out now") {
			t.Errorf("%s: %s; %s", at, act, why)
		}
	}
}

// The own forecast says what it rests on and what it holds for.
func TestTonightOwnForecast(t *testing.T) {
	tonight := line(99, "forecast", `"station":"yard","night":"2026-09-12","low_c":-2,"issued":"2026-09-11T05:00:00-06:00"`)
	a := farmAssessment(t, tonight)
	own := &OwnForecast{Station: "yard", T0C: 4, DewC: -2, Model: weather.MinimumModel{B1: 1, B2: 0, B3: -6, N: 23, LeaveOneOut: 2, Method: "joint"}}
	text := tonightText(t, NewTonight(a, day("2026-09-12"), own, Filter{}))
	for _, want := range []string{
		"Own forecast for yard: -2 °C (28.4 °F), eight of ten such nights between -4.6 °C (23.7 °F) and 0.6 °C (33.1 °F); learned from 23 calm, clear nights (joint fit; each of them forecast from the others, the error is 2 °C, root mean square). It holds for a calm, clear night only.",
		"about 84 in 100 that it reaches 0 °C (32 °F)", // normal, one spread above
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}
