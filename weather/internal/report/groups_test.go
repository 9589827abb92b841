package report

import (
	"regexp"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

var (
	tempForm = regexp.MustCompile(`^(M?)([0-9]{2})/(?:(M?)([0-9]{2})|//|XX|)$`)
	windForm = regexp.MustCompile(`^(?:[0-9]{3}|VRB)([0-9]{1,3})(?:G.*)?(KT|MPS|KMH)$`)
)

func draw(t *rapid.T) string {
	return rapid.OneOf(
		rapid.StringMatching(`M?[0-9]{1,2}/(M?[0-9]{1,2}|//?|XX?)?`),
		rapid.StringMatching(`([0-9]{2,4}|VRB)[0-9]{0,4}(G[0-9]{0,3})?(KT|MPS|KMH|SM|)`),
		rapid.StringOfN(rapid.SampledFrom([]rune("M0123456789/XKTGVRBPSH")), 0, 11, -1),
		rapid.SampledFrom([]string{"/////", "XX/XX", "//", "///", "////", "M/", "/", "M", "1//", "M1/4SM", "10SM"}),
	).Draw(t, "word")
}

// The temperature group is read as the written form says, and nothing else is.
func TestTempGroupAgainstForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := draw(t)
		var r Report
		ok := r.temperatures(w)
		m := tempForm.FindStringSubmatch(w)
		if missing := w == "/////" || w == "XX/XX"; ok != (m != nil || missing) || ok && (r.TempC == nil) != missing {
			t.Fatalf("%q: ok %v, %+v", w, ok, r)
		}
		if m == nil {
			return
		}
		number := func(minus, digits string) float64 {
			v, _ := strconv.Atoi(digits)
			if minus != "" {
				v = -v
			}
			return float64(v)
		}
		if *r.TempC != number(m[1], m[2]) || (r.DewC == nil) != (m[4] == "") || m[4] != "" && *r.DewC != number(m[3], m[4]) {
			t.Fatalf("%q: %v %v", w, *r.TempC, r.DewC)
		}
	})
}

// And so is the wind.
func TestWindAgainstForm(t *testing.T) {
	per := map[string]float64{"KT": 1852.0 / 3600, "MPS": 1, "KMH": 1 / 3.6}
	rapid.Check(t, func(t *rapid.T) {
		w := draw(t)
		var r Report
		ok := r.wind(w)
		m := windForm.FindStringSubmatch(w)
		if m != nil && len(w)-len(m[2]) < 5 {
			m = nil // one digit of speed and no gust
		}
		if ok != (m != nil) || (r.WindMS != nil) != ok {
			t.Fatalf("%q: %v", w, ok)
		}
		if m != nil {
			v, _ := strconv.Atoi(m[1])
			if *r.WindMS != float64(v)*per[m[2]] {
				t.Fatalf("%q: %v", w, *r.WindMS)
			}
		}
	})
}
