// Package report takes apart one aviation weather report, METAR or SPECI
// (WMO FM-15 and FM-16), as far as its temperatures and wind go.
//
// Body groups: WMO-No. 306, Manual on Codes. The United States remarks in tenths
// of a degree, with the vectors that the tests use: United States Air Force
// Manual 15-111, "Surface weather observations", 2019,
// https://weather.rtaf.mi.th/wx/wx_new/Section%20Website/E-Book/other/AFMAN%2015-111/files/basic-html/page125.html
package report

import "strings"

// Report is what one report says.
type Report struct {
	Station        string
	Day, Hour, Min int
	Nil            bool // the report says that there is none
	HasTemp        bool
	TempC          float64 // in tenths where the remarks give them, else whole degrees
	Tenths         bool
	Below          bool // M00: between -0.5 and 0 °C
	Missing        bool // the group says that there is no temperature
	HasDew         bool
	DewC           float64
	HasWind        bool
	WindMS         float64
	Min6, Min24    *float64 // lowest of the last 6 and 24 hours in °C
	Contradictory  bool     // body and remarks differ by more than rounding
	Forecast       bool     // a TAF, which is a forecast and no report
	Recognised     bool     // station, day and time were found
}

// Parse takes a report apart. Words that are not understood are passed over: a
// report has many that do not concern temperature.
func Parse(text string) Report {
	var r Report
	var few [48]string
	words := split(strings.TrimSuffix(strings.TrimSpace(text), "="), few[:0])
	i := 0
	for i < len(words) {
		switch words[i] {
		case "METAR", "SPECI", "COR", "AMD":
			i++
			continue
		case "TAF":
			r.Forecast = true
			return r
		}
		break
	}
	if i+1 >= len(words) || !isStation(words[i]) {
		return r
	}
	r.Station = words[i]
	i++
	if words[i] == "NIL" {
		r.Nil = true
		return r
	}
	if !r.time(words[i]) {
		return r
	}
	i++
	r.Recognised = true
	remarks := false
	var bodyTemp float64
	bodySet, bodyBelow := false, false
	for ; i < len(words); i++ {
		w := words[i]
		switch {
		case w == "RMK":
			remarks = true
		case remarks:
			r.remark(w)
		case w == "NIL":
			r.Nil = true
		case isPeriod(w): // valid period: a forecast without its word
			r.Forecast = true
			return r
		case w == "TEMPO" || w == "BECMG" || w == "NOSIG":
			// the trend that follows is a forecast
			for i+1 < len(words) && words[i+1] != "RMK" {
				i++
			}
		case !r.HasWind && r.wind(w):
		case !bodySet && !r.Missing:
			if t, neg, d, dneg, ok, none := tempGroup(w); ok {
				if none {
					r.Missing = true
					break
				}
				bodySet = true
				bodyTemp, bodyBelow = signed(t, neg), neg && t == 0
				if d >= 0 {
					r.HasDew, r.DewC = true, signed(d, dneg)
				}
			}
		}
	}
	switch {
	case r.HasTemp: // from the T group
		if bodySet && (bodyTemp-r.TempC > 1.0 || r.TempC-bodyTemp > 1.0) {
			r.Contradictory = true
		}
	case bodySet && bodyBelow:
		r.Below = true
	case bodySet:
		r.HasTemp, r.TempC = true, bodyTemp
	}
	if bodySet {
		r.Missing = false
	}
	return r
}

// split is strings.Fields for single bytes, into a given slice.
func split(s string, dst []string) []string {
	for {
		for len(s) > 0 && s[0] <= ' ' {
			s = s[1:]
		}
		if s == "" {
			return dst
		}
		i := 0
		for i < len(s) && s[i] > ' ' {
			i++
		}
		dst = append(dst, s[:i])
		s = s[i:]
	}
}

func signed(v int, neg bool) float64 {
	if neg {
		return -float64(v)
	}
	return float64(v)
}

func isStation(w string) bool {
	if len(w) != 4 || w[0] < 'A' || w[0] > 'Z' {
		return false
	}
	for i := 1; i < 4; i++ {
		if !(w[i] >= 'A' && w[i] <= 'Z' || w[i] >= '0' && w[i] <= '9') {
			return false
		}
	}
	return w != "AUTO"
}

func number(s string) int {
	n := 0
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return -1
		}
		n = n*10 + int(s[i]-'0')
	}
	if s == "" {
		return -1
	}
	return n
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

// tempGroup reads TT/TdTd, where M stands for minus, // for a missing value, and
// the dew point may be left out.
func tempGroup(w string) (t int, neg bool, d int, dneg, ok, none bool) {
	slash := strings.IndexByte(w, '/')
	if slash < 0 || len(w) > 7 {
		return
	}
	left, right := w[:slash], w[slash+1:]
	if w == "/////" || w == "XX/XX" || w == "//" { // // / //
		return 0, false, -1, false, w == "/////" || w == "XX/XX", true
	}
	if t, neg, ok = twoDigits(left); !ok {
		return 0, false, -1, false, false, false
	}
	d = -1
	switch right {
	case "", "//", "XX":
	default:
		var dok bool
		if d, dneg, dok = twoDigits(right); !dok {
			return 0, false, -1, false, false, false
		}
	}
	return t, neg, d, dneg, true, false
}

func twoDigits(s string) (v int, neg, ok bool) {
	if strings.HasPrefix(s, "M") {
		neg, s = true, s[1:]
	}
	if len(s) != 2 {
		return 0, false, false
	}
	v = number(s)
	return v, neg, v >= 0
}

// tenths reads a sign digit and three digits: 1012 is -1.2 °C.
func tenths(s string) (float64, bool) {
	v := number(s[1:])
	if len(s) != 4 || v < 0 || s[0] != '0' && s[0] != '1' {
		return 0, false
	}
	c := float64(v) / 10
	if s[0] == '1' {
		c = -c
	}
	return c + 0, true // no minus zero
}

func (r *Report) remark(w string) {
	switch {
	case (len(w) == 9 || len(w) == 5) && w[0] == 'T':
		t, ok := tenths(w[1:5])
		if !ok {
			return
		}
		r.HasTemp, r.TempC, r.Tenths, r.Below = true, t, true, false
		if len(w) == 9 {
			if d, ok := tenths(w[5:]); ok {
				r.HasDew, r.DewC = true, d
			}
		}
	case len(w) == 5 && w[0] == '2':
		// Reported at the six-hourly hours only; elsewhere such a group is none.
		if c, ok := tenths(w[1:]); ok && r.sixHourly() {
			r.Min6 = &c
		}
	case len(w) == 9 && w[0] == '4':
		if _, ok := tenths(w[1:5]); !ok {
			return
		}
		if c, ok := tenths(w[5:]); ok {
			r.Min24 = &c
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
	var per float64
	switch {
	case strings.HasSuffix(w, "KT"):
		per, w = 1852.0/3600, w[:len(w)-2]
	case strings.HasSuffix(w, "MPS"):
		per, w = 1, w[:len(w)-3]
	case strings.HasSuffix(w, "KMH"):
		per, w = 1/3.6, w[:len(w)-3]
	default:
		return false
	}
	if len(w) < 5 || number(w[:3]) < 0 && w[:3] != "VRB" {
		return false
	}
	speed, _, _ := strings.Cut(w[3:], "G")
	v := number(speed)
	if v < 0 || len(speed) > 3 {
		return false
	}
	r.HasWind, r.WindMS = true, float64(v)*per
	return true
}
