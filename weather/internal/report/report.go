// Package report takes apart one aviation weather report, METAR or SPECI
// (WMO FM-15 and FM-16), as far as its temperatures and wind go.
//
// Body groups: WMO-No. 306, Manual on Codes. The United States remarks in tenths
// of a degree, with the vectors that the tests use: United States Air Force
// Manual 15-111, "Surface weather observations", 2019,
// https://weather.rtaf.mi.th/wx/wx_new/Section%20Website/E-Book/other/AFMAN%2015-111/files/basic-html/page125.html
package report

import (
	"math"
	"slices"
	"strings"
	"time"

	"rimegate/weather"
	"rimegate/weather/internal/table"
)

// Report is what one report says; pointers are nil for what it does not say.
type Report struct {
	Station        string
	Day, Hour, Min int
	Recognised     bool     // station, day and time were found
	Nil            bool     // the report says that there is none
	Forecast       bool     // a TAF, which is a forecast and no report
	TempC          *float64 // in tenths where the remarks give them, else whole degrees
	Tenths         bool
	Below          bool // M00: between -0.5 and 0 °C
	DewC           *float64
	WindMS         *float64
	Min6, Min24    *float64 // lowest of the last 6 and 24 hours in °C
	Contradicts    *float64 // temperature of the body, if that of the remarks differs by more than rounding
}

// Observation is what the report says of its own moment.
func (r *Report) Observation(at time.Time) weather.Observation {
	o := weather.Observation{At: at, Below: r.Below, DewC: r.DewC, WindMS: r.WindMS}
	if o.HasTemp = r.TempC != nil; o.HasTemp {
		o.TempC = *r.TempC
	}
	return o
}

// Lows are the minima of the last 6 and 24 hours.
func (r *Report) Lows() []table.Low {
	return []table.Low{{Hours: 6, C: r.Min6, What: "6-hour minimum"}, {Hours: 24, C: r.Min24, What: "24-hour minimum"}}
}

// leads are the words that may stand before a report.
var leads = []string{"METAR", "SPECI", "COR", "AMD"}

// Parse takes a report apart. Words that are not understood are passed over: a
// report has many that do not concern temperature.
func Parse(text string) (r Report) {
	var room [48]string // for the words of most reports
	words := room[:0]
	for w := range strings.FieldsSeq(strings.TrimSuffix(strings.TrimSpace(text), "=")) {
		words = append(words, w)
	}
	if i := slices.IndexFunc(words, func(w string) bool { return !slices.Contains(leads, w) }); i > 0 {
		words = words[i:]
	}
	if r.Forecast = len(words) > 0 && words[0] == "TAF"; r.Forecast || len(words) < 2 || !isStation(words[0]) {
		return r
	}
	r.Station, r.Nil = words[0], words[1] == "NIL"
	if r.Recognised = !r.Nil && r.time(words[1]); !r.Recognised {
		return r
	}
	words = words[2:]
	var remarks []string
	if i := slices.Index(words, "RMK"); i >= 0 {
		words, remarks = words[:i], words[i+1:]
	}
	if i := slices.IndexFunc(words, isTrend); i >= 0 {
		words = words[:i]
	}
	grouped := false
	for _, w := range words {
		switch {
		case w == "NIL":
			r.Nil = true
		case isPeriod(w): // a forecast without its word
			r.Forecast = true
			return r
		case r.WindMS == nil && r.wind(w) || grouped:
		default:
			if grouped = r.temperatures(w); grouped {
				r.Below = strings.HasPrefix(w, "M00")
			}
		}
	}
	body := r.TempC
	for _, w := range remarks {
		r.remark(w)
	}
	switch {
	case r.Tenths:
		r.Below = false
		if body != nil && math.Abs(*body-*r.TempC) > 1 {
			r.Contradicts = body
		}
	case r.Below:
		r.TempC = nil
	}
	return r
}

// isTrend tells the words that begin a trend, which is a forecast.
func isTrend(w string) bool { return w == "TEMPO" || w == "BECMG" || w == "NOSIG" }

func isStation(w string) bool {
	for _, c := range w {
		if !(c >= 'A' && c <= 'Z' || c >= '0' && c <= '9') {
			return false
		}
	}
	return len(w) == 4 && w[0] >= 'A' && w != "AUTO"
}

// number reads digits and nothing else; -1 for anything else.
func number(s string) int {
	v := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return -1
		}
		v = v*10 + int(s[i]-'0')
	}
	if s == "" || len(s) > 9 { // no group has so many
		return -1
	}
	return v
}

func (r *Report) time(w string) bool {
	if len(w) != 7 || w[6] != 'Z' {
		return false
	}
	r.Day, r.Hour, r.Min = number(w[:2]), number(w[2:4]), number(w[4:6])
	return r.Day >= 1 && r.Day <= 31 && r.Hour >= 0 && r.Hour <= 23 && r.Min >= 0 && r.Min <= 59
}

// isPeriod recognises the valid period of a forecast, 1412/1512 or 141212.
func isPeriod(w string) bool {
	return len(w) == 9 && w[4] == '/' && number(w[:4]) >= 0 && number(w[5:]) >= 0 || len(w) == 6 && number(w) >= 0
}

// temperatures reads TT/TdTd, where M stands for minus, // for a missing value, and
// the dew point may be left out.
func (r *Report) temperatures(w string) bool {
	if w == "/////" || w == "XX/XX" {
		return true
	}
	left, right, ok := strings.Cut(w, "/")
	if !ok {
		return false
	}
	t, dew := degrees(left), degrees(right)
	if t == nil || dew == nil && right != "" && right != "//" && right != "XX" {
		return false
	}
	r.TempC, r.DewC = t, dew
	return true
}

// degrees reads two digits, M before them for minus.
func degrees(s string) *float64 {
	digits, minus := strings.CutPrefix(s, "M")
	v := number(digits)
	if len(digits) != 2 || v < 0 {
		return nil
	}
	return signed(float64(v), minus)
}

// tenths reads a sign digit and three digits: 1012 is -1.2 °C.
func tenths(s string) *float64 {
	v := number(s)
	if len(s) != 4 || v < 0 || v >= 2000 {
		return nil
	}
	return signed(float64(v%1000)/10, v >= 1000)
}

func signed(c float64, minus bool) *float64 {
	if minus && c != 0 { // no minus zero
		c = -c
	}
	return &c
}

func (r *Report) remark(w string) {
	switch {
	case (len(w) == 9 || len(w) == 5) && w[0] == 'T':
		t := tenths(w[1:5])
		if t == nil {
			return
		}
		r.TempC, r.Tenths = t, true
		if dew := tenths(w[5:]); dew != nil {
			r.DewC = dew
		}
	case len(w) == 5 && w[0] == '2':
		// Reported at the six-hourly hours only; elsewhere such a group is none.
		if c := tenths(w[1:]); c != nil && r.sixHourly() {
			r.Min6 = c
		}
	case len(w) == 9 && w[0] == '4' && tenths(w[1:5]) != nil:
		if c := tenths(w[5:]); c != nil {
			r.Min24 = c
		}
	}
}

// sixHourly reports whether the report is that of 00, 06, 12 or 18 UTC, made up
// to twenty minutes before it.
func (r *Report) sixHourly() bool {
	m := r.Hour*60 + r.Min + 20
	return m%360 <= 40
}

// wind reads dddffKT, dddffGggKT, VRBffKT, and the same in MPS and KMH.
func (r *Report) wind(w string) bool {
	for _, unit := range []struct {
		end string
		ms  float64
	}{{"KT", 1852.0 / 3600}, {"MPS", 1}, {"KMH", 1 / 3.6}} {
		body, ok := strings.CutSuffix(w, unit.end)
		if !ok || len(body) < 5 || number(body[:3]) < 0 && body[:3] != "VRB" {
			continue
		}
		speed, _, _ := strings.Cut(body[3:], "G")
		if v := number(speed); v >= 0 && len(speed) <= 3 {
			ms := float64(v) * unit.ms
			r.WindMS = &ms
			return true
		}
	}
	return false
}
