// Package report takes apart one aviation weather report, METAR or SPECI
// (WMO FM-15 and FM-16), as far as its temperatures and wind go.
//
// Body groups: WMO-No. 306, Manual on Codes. The United States remarks in tenths
// of a degree, with the vectors that the tests use: United States Air Force
// Manual 15-111, "Surface weather observations", 2019,
// https://weather.rtaf.mi.th/wx/wx_new/Section%20Website/E-Book/other/AFMAN%2015-111/files/basic-html/page125.html
package report

import "bytes"

// Report is what one report says.
type Report struct {
	Station        [4]byte
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
// report has many that do not concern temperature. Nothing is copied: files hold
// years of reports.
func Parse(text []byte) Report {
	var r Report
	rest := bytes.TrimSpace(text)
	if k := len(rest); k > 0 && rest[k-1] == '=' {
		rest = rest[:k-1]
	}
	var w []byte
	for {
		w, rest = word(rest)
		switch string(w) {
		case "METAR", "SPECI", "COR", "AMD":
			continue
		case "TAF":
			r.Forecast = true
			return r
		}
		break
	}
	next, rest := word(rest)
	if next == nil || !isStation(w) {
		return r
	}
	r.Station = [4]byte(w)
	if string(next) == "NIL" {
		r.Nil = true
		return r
	}
	if r.Recognised = r.time(next); !r.Recognised {
		return r
	}
	var b body
	for w, rest = word(rest); w != nil; w, rest = word(rest) {
		switch {
		case string(w) == "RMK":
			for w, rest = word(rest); w != nil; w, rest = word(rest) {
				r.remark(w)
			}
		case string(w) == "NIL":
			r.Nil = true
		case isPeriod(w): // valid period: a forecast without its word
			r.Forecast = true
			return r
		case string(w) == "TEMPO" || string(w) == "BECMG" || string(w) == "NOSIG":
			rest = trend(rest)
		case !r.HasWind && r.wind(w):
		case !b.set && !r.Missing:
			r.body(&b, w)
		}
	}
	r.settle(&b)
	return r
}

// body is the temperature of the report's body, in whole degrees.
type body struct {
	set, below bool
	c          float64
}

// body reads a word of the body as temperature and dew point, if it is.
func (r *Report) body(b *body, w []byte) {
	t, neg, d, dneg, ok, none := tempGroup(w)
	switch {
	case !ok:
	case none:
		r.Missing = true
	default:
		*b = body{set: true, below: neg && t == 0, c: signed(t, neg)}
		if d >= 0 {
			r.HasDew, r.DewC = true, signed(d, dneg)
		}
	}
}

// settle puts body and remarks together.
func (r *Report) settle(b *body) {
	switch {
	case r.HasTemp: // from the T group
		if b.set && (b.c-r.TempC > 1.0 || r.TempC-b.c > 1.0) {
			r.Contradictory = true
		}
	case b.set && b.below:
		r.Below = true
	case b.set:
		r.HasTemp, r.TempC = true, b.c
	}
	if b.set {
		r.Missing = false
	}
}

// trend passes over the words of a trend, which is a forecast.
func trend(s []byte) []byte {
	for {
		w, rest := word(s)
		if w == nil || string(w) == "RMK" {
			return s
		}
		s = rest
	}
}

// word parts the first word from the rest; nil if there is none. Blanks and control
// characters part words.
func word(s []byte) (w, rest []byte) {
	i := 0
	for i < len(s) && s[i] <= ' ' {
		i++
	}
	s = s[i:]
	for i, c := range s {
		if c <= ' ' {
			return s[:i], s[i:]
		}
	}
	if len(s) == 0 {
		return nil, nil
	}
	return s, nil
}

func signed(v int, neg bool) float64 {
	if neg {
		return -float64(v)
	}
	return float64(v)
}

func isStation(w []byte) bool {
	if len(w) != 4 || w[0] < 'A' || w[0] > 'Z' {
		return false
	}
	for i := 1; i < 4; i++ {
		if !(w[i] >= 'A' && w[i] <= 'Z' || w[i] >= '0' && w[i] <= '9') {
			return false
		}
	}
	return string(w) != "AUTO"
}

func number(s []byte) int {
	n := 0
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return -1
		}
		n = n*10 + int(s[i]-'0')
	}
	if len(s) == 0 {
		return -1
	}
	return n
}

func (r *Report) time(w []byte) bool {
	if len(w) != 7 || w[6] != 'Z' {
		return false
	}
	r.Day, r.Hour, r.Min = number(w[:2]), number(w[2:4]), number(w[4:6])
	return r.Day >= 1 && r.Day <= 31 && r.Hour >= 0 && r.Hour <= 23 && r.Min >= 0 && r.Min <= 59
}

// isPeriod recognises the valid period of a forecast, 1412/1512 or 141212.
func isPeriod(w []byte) bool {
	return len(w) == 9 && w[4] == '/' && number(w[:4]) >= 0 && number(w[5:]) >= 0 || len(w) == 6 && number(w) >= 0
}

// tempGroup reads TT/TdTd, where M stands for minus, // for a missing value, and
// the dew point may be left out.
func tempGroup(w []byte) (t int, neg bool, d int, dneg, ok, none bool) {
	slash := 2
	if len(w) > 0 && w[0] == 'M' {
		slash = 3
	}
	if len(w) <= slash || len(w) > 7 || w[slash] != '/' {
		return // most words
	}
	if string(w) == "/////" || string(w) == "XX/XX" {
		return 0, false, -1, false, true, true
	}
	if t, neg, ok = twoDigits(w[:slash]); !ok {
		return 0, false, -1, false, false, false
	}
	d = -1
	switch right := w[slash+1:]; string(right) {
	case "", "//", "XX":
	default:
		var dok bool
		if d, dneg, dok = twoDigits(right); !dok {
			return 0, false, -1, false, false, false
		}
	}
	return t, neg, d, dneg, true, false
}

func twoDigits(s []byte) (v int, neg, ok bool) {
	if len(s) > 0 && s[0] == 'M' {
		neg, s = true, s[1:]
	}
	if len(s) != 2 {
		return 0, false, false
	}
	v = number(s)
	return v, neg, v >= 0
}

// tenths reads a sign digit and three digits: 1012 is -1.2 °C.
func tenths(s []byte) (float64, bool) {
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

func (r *Report) remark(w []byte) {
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
func (r *Report) wind(w []byte) bool {
	if len(w) < 7 {
		return false
	}
	var per float64
	switch end := len(w) - 3; {
	case string(w[end+1:]) == "KT":
		per, w = 1852.0/3600, w[:end+1]
	case string(w[end:]) == "MPS":
		per, w = 1, w[:end]
	case string(w[end:]) == "KMH":
		per, w = 1/3.6, w[:end]
	default:
		return false
	}
	if len(w) < 5 || number(w[:3]) < 0 && string(w[:3]) != "VRB" {
		return false
	}
	v, n := 0, 0
	for w = w[3:]; n < len(w) && n < 3 && w[n] >= '0' && w[n] <= '9'; n++ {
		v = v*10 + int(w[n]-'0')
	}
	if n == 0 || n < len(w) && w[n] != 'G' {
		return false
	}
	r.HasWind, r.WindMS = true, float64(v)*per
	return true
}
