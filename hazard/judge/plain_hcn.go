package judge

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// edge is how near below a line a value already counts as on it: rounding in
// conversions must never help.
const edge = 1 - 1e-9

// inPPM is a value of a result in ppm as reported (not yet on dry matter) (§9.1).
func inPPM(v float64, unit fields.Unit) float64 {
	switch unit {
	case "g/kg":
		return v * 1000
	case "%":
		return v * 10000
	}
	return v
}

// highest is the highest value of a sampling, in ppm as reported (§9.1).
func highest(b *fields.Lab) float64 {
	top := 0.0
	for _, v := range b.Numbers() {
		top = max(top, inPPM(v, b.Unit))
	}
	return top
}

type result struct {
	d date
	*fields.Lab
}

// labs are the results of an analyte dated by x.
func labs(fs []fact, analyte fields.Analyte, x date, of func(*fields.Lab) bool) []result {
	var out []result
	for _, f := range fs {
		if b, ok := f.e.Body.(*fields.Lab); ok && b.Analyte == analyte && f.d <= x && of(b) {
			out = append(out, result{f.d, b})
		}
	}
	return out
}

// §7.6.
func (l *land) hcn(x date) []result {
	return labs(l.facts, "hcn", x, func(b *fields.Lab) bool { return has(l.ids, b.Paddock) })
}

// level is what the value alone says: hold, caution or clear, and whether it
// is known on dry matter (§7.6).
func level(book *hazard.Rulebook, b *fields.Lab) (f hazard.Flag, onDM bool) {
	v := highest(b)
	asIs, dm := -1.0, -1.0
	if b.Basis == "dm" {
		dm = v
		if b.DMPct != nil {
			asIs = v * *b.DMPct / 100
		}
	} else {
		asIs = v
		if b.DMPct != nil {
			dm = v / (*b.DMPct / 100)
		}
	}
	switch {
	case asIs >= book.V[hazard.HCNHoldAsIs]*edge || dm >= book.V[hazard.HCNHoldDM]*edge:
		return hazard.Hold, dm >= 0
	case dm >= book.V[hazard.HCNCautionDM]*edge || dm < 0:
		return hazard.Caution, dm >= 0
	}
	return hazard.Clear, true
}

// lifting reports whether a result of the stand lifts earlier ones: a
// laboratory's, of a sealed or frozen sample, below the caution line, and not
// of a day that could hide what came (§7.6).
func (l *land) lifting(r result, x date) bool {
	if r.Lot != "" || !lowLab(l.v.book, r) || l.night(r.d).trigger || l.inDrought(r.d, x) {
		return false
	}
	for _, k := range []fields.Kind{fields.KindHail, fields.KindTrampled, fields.KindSprayed} {
		for _, d := range l.events(k, x) {
			if d == r.d {
				return false
			}
		}
	}
	return true
}

// §7.6.
func lowLab(book *hazard.Rulebook, r result) bool {
	f, _ := level(book, r.Lab)
	return r.Method == "lab" && (r.SampleState == "sealed" || r.SampleState == "frozen") && f == hazard.Clear
}

// hcnWord is what one result of the stand says by itself, whatever came later (§7.6).
func (s *stand) hcnWord(r result) (hazard.Flag, hazard.Line) {
	f, _ := level(s.l.v.book, r.Lab)
	if f == hazard.Hold {
		return f, hazard.LineHCNHold
	}
	if f == hazard.Caution {
		return f, hazard.LineHCNCaution
	}
	green := !(s.deadAll && s.baseAll <= r.d)
	if (r.SampleState == "dried" || r.Method != "lab") && green {
		return hazard.Caution, hazard.LineHCNUnfit
	}
	return hazard.Clear, hazard.LineNone
}

// hcnLines answers for bad results: each until a cut or graze-out of a later
// date, or a lifting result of a later date. For a swath (cut on the date
// given) only what happened to the growth before that cut counts (§7.6, §5.8).
func (s *stand) hcnLines(swathCut date) []reason {
	l := s.l
	var over []date
	for _, f := range l.upTo(s.x) {
		if b, ok := f.e.Body.(*fields.Cut); ok && b.Use != "green-chop" { // a chop takes a strip
			over = append(over, f.d)
		}
	}
	over = append(over, l.grazedOff(s.x)...)
	rs := l.hcn(s.x)
	var out []reason
	for _, r := range rs {
		flag, line := s.hcnWord(r)
		if flag == hazard.Clear {
			continue
		}
		at := s // what lies in a swath is what grew on the day of its cut
		if swathCut != fields.NoDate {
			at = l.standAs(swathCut, s.know)
		}
		done := r.d < s.gone || r.d < at.fresh && r.d < at.start
		for _, d := range over {
			if d > r.d && (swathCut == fields.NoDate || d < swathCut) {
				done = true
			}
		}
		for _, q := range rs {
			if q.d > r.d && l.lifting(q, s.x) {
				done = true
			}
		}
		if done {
			continue
		}
		if flag == hazard.Hold {
			out = append(out, hold(line, noEnd, r.d))
		} else {
			out = append(out, caution(line))
		}
	}
	return out
}
