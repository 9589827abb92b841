package board

import (
	"rimegate/fields"
	"rimegate/hazard"
)

func (s *speaker) prussicCause(r *hazard.Reason) string {
	listed := s.listed(r)
	switch r.Line {
	case hazard.LineClock:
		return s.clock(r, "Froze")
	case hazard.LineDryWait:
		return "Killed and dry" + since(r.On) + s.waits(r)
	case hazard.LineShoots:
		return "New shoots of " + s.below(r) + s.found(r.On)
	case hazard.LineNeverMeasured:
		return "Growing, and the shortest growth was never measured" + since(r.Began, r.On)
	case hazard.LineTooShort:
		return "The shortest growth is " + s.below(r) + s.found(r.On)
	case hazard.LineOldHeight:
		t := "The shortest growth was last measured" + when(r.On)
		if ago := s.ago(r.On); ago != "" {
			t += ", " + ago
		}
		return t + "; a height counts for " + plural(s.days(hazard.HeightLife, 7), "day")
	case hazard.LineDrought:
		return "Drought" + since(r.Began, r.On) + ", and no rain has ended it"
	case hazard.LineRainWait:
		return "Rain ended the drought" + when(r.On) + s.waits(r)
	case hazard.LineRainHeight:
		t := "Growing, and the minimum height"
		if r.Limit > 0 {
			t += " of " + s.u.atLeast(r.Limit)
		}
		return t + " was not measured since the rain that ended the drought" + when(r.On)
	case hazard.LineHail:
		return "Hail" + when(r.On) + s.waits(r) + " (no publication gives a number; the frost wait is used)"
	case hazard.LineTrampled:
		return "Trampled" + when(r.On) + s.waits(r) + " (no publication gives a number; the frost wait is used)"
	case hazard.LineSprayed:
		return "Sprayed" + when(r.On) + s.waits(r) + " (publications say several weeks; the number is ours)"
	case hazard.LineWilted:
		return "Found wilted" + when(r.On) + ", and no walk since then says otherwise"
	case hazard.LineFrosted:
		return "Frosted" + when(r.On) + " and not confirmed dead: what lives on can stay poisonous"
	case hazard.LineDamaged:
		return "The walk" + s.ofDate(r.On) + " found frost damage, and the stand is not confirmed dead"
	case hazard.LineNotDry:
		return "The walk" + s.ofDate(r.On) + " found it not dry: a kill is confirmed only when it is dry too"
	case hazard.LineCapped:
		if listed == "" {
			listed = "A plant here"
		}
		return listed + " while green: never better than ask first"
	case hazard.LinePossible:
		return s.possible(r)
	case hazard.LineUnreadNights:
		return s.unread(r)
	case hazard.LineForecastCaution, hazard.LineForecastHold:
		t := "Forecast low of " + s.u.temp(r.Value) + ", for the night" + s.ofDate(r.On)
		if r.Line == hazard.LineForecastHold {
			return t + ": freezing"
		}
		if s.dark(r.On) {
			return t + ": it may freeze where plants stand, so out now"
		}
		return t + ": it may freeze where plants stand, so out before dark" + when(before(r.On))
	case hazard.LineOldWalk:
		return "Dead, but the last clean walk was" + when(r.On) + s.agedOut(r)
	case hazard.LineHCNHold:
		return s.hcn(r, "at or above the hold line of ")
	case hazard.LineHCNCaution:
		return s.hcn(r, "at or above the caution line of ")
	case hazard.LineHCNUnfit:
		return "The HCN result" + s.ofDate(r.On) + " cannot clear anything: the sample was dried, a quick test, or as-fed without dry matter"
	case hazard.LineFlax:
		return "Flax not confirmed dead"
	case hazard.LineFlaxTest:
		return "Flax, even dead, wants an HCN result, and there is none that clears it"
	case hazard.LineHorses:
		if listed == "" {
			listed = "a plant here"
		}
		return "Horses never on " + listed
	}
	return ""
}

// clock puts the frost clock into words: the frost, the nights nobody read and
// the count of days from the last of them.
func (s *speaker) clock(r *hazard.Reason, froze string) string {
	frost, last := r.On, r.On
	if n := len(r.Nights); n > 0 {
		last = max(last, r.Nights[n-1])
		for _, d := range []fields.Date{r.Frost, r.On} {
			if d != fields.NoDate && d < r.Nights[0] {
				frost = d
				break
			}
		}
		if frost >= r.Nights[0] {
			frost = fields.NoDate
		}
		t := "Cannot tell: no reading for " + nights(r.Nights)
		if frost != fields.NoDate {
			t = froze + " " + frost.Words() + "; cannot tell since then: no reading for " + nights(r.Nights)
		}
		days := s.span(&hazard.Reason{On: last, Through: r.Through, SoftBy: r.SoftBy, Days: r.Days})
		if days > 0 {
			t += "; " + plural(days, "day") + " from " + last.Words()
		}
		return t
	}
	t := froze
	if frost != fields.NoDate {
		t += " " + frost.Words()
	}
	return t + s.waits(r)
}

func (s *speaker) possible(r *hazard.Reason) string {
	ds := r.Nights
	if len(ds) == 0 && r.On != fields.NoDate {
		ds = []fields.Date{r.On}
	}
	t := "It may have frozen where plants stand"
	if len(ds) > 0 {
		t += " in " + nights(ds)
	}
	if r.Limit == 0 {
		return t
	}
	if !r.Measured {
		return t + ": no low is known, only that the thermometer stayed above zero"
	}
	v, l := s.u.temp(r.Value), s.u.temp(r.Limit)
	if len(ds) == 1 {
		return t + ": low " + v + ", at or below " + l
	}
	return t + ": lows down to " + v + ", at or below " + l
}

func (s *speaker) unread(r *hazard.Reason) string {
	ds := r.Nights
	if len(ds) == 0 && r.On != fields.NoDate {
		ds = []fields.Date{r.On}
	}
	switch {
	case len(ds) == 0:
		return "Cannot tell: a night has no reading"
	case len(ds) == 1 && ds[0] == s.on:
		return "Cannot tell: last night (" + ds[0].Words() + ") is not in yet"
	}
	return "Cannot tell: no reading for " + nights(ds)
}

func (s *speaker) hcn(r *hazard.Reason, line string) string {
	basis := "on dry matter"
	if r.Of == hazard.HCNAsIs {
		basis = "as is"
	}
	t := "HCN " + ppm(r.Value) + " ppm " + basis
	if r.Limit > 0 {
		v, l := ppmAgainst(r.Value, r.Limit)
		t = "HCN " + v + " ppm " + basis + ", " + line + l + " ppm"
	}
	if r.On != fields.NoDate {
		t += ", sampled " + r.On.Words()
	}
	return t
}
