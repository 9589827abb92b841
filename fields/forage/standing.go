package forage

import (
	"fmt"
	"math"
	"strconv"

	"rimegate/fields"
)

// Standing is the feed that stands in a paddock, as far as a walk measured it.
type Standing struct {
	Paddock string
	Known   bool
	Why     string // what is missing, when it is not known

	KgDMHa float64     // as measured, kg dry matter per ha, all of it down to the ground
	On     fields.Date // day of that walk
	Entry  string      // id of that walk
	AgeDay int         // days since it; growth since then is not counted
	AreaHa float64
	// Eaten is what stock inside since then ate at the high end of their demand,
	// the days of measuring, turn-in and turn-out counted in full.
	Eaten float64
	KgDM  float64 // what is left, kg dry matter in the paddock
}

// StandingFeed returns the feed standing in a paddock on the history's day: the
// last measurement of kg_dm_ha (the smallest of one date) times the area, less
// what stock ate since. It is unknown without a measurement or an area, after a
// cut on or after the day of the measurement, and when stock whose demand is
// not known were inside since. What was eaten in a paddock before it was split
// is taken off each of its parts in full. demand gives a herd's demand; nil: none is known.
//
// Of a joined paddock each former paddock's line is looked at; the smallest
// counts, and one that is unknown makes the whole unknown.
func StandingFeed(h *fields.History, paddock string, demand func(herd string) Demand) Standing {
	p := h.Paddock(paddock)
	if p == nil {
		return Standing{Paddock: paddock, Why: fmt.Sprintf("there is no paddock %q", paddock)}
	}
	var least Standing
	for i, line := range h.Lines(paddock) {
		s := standingOf(h, p, line, demand)
		if !s.Known {
			return s
		}
		if i == 0 || s.KgDM < least.KgDM {
			least = s
		}
	}
	return least
}

func standingOf(h *fields.History, p *fields.Paddock, line []string, demand func(string) Demand) Standing {
	s := Standing{Paddock: p.ID}
	facts := h.LineFacts(line)
	found := false
	for _, f := range facts {
		w, ok := f.Body.(*fields.Walk)
		if !ok || w.KgDMHa == nil || w.Part == "swath" || f.Date > h.On {
			continue
		}
		if !found || f.Date > s.On || f.Date == s.On && *w.KgDMHa < s.KgDMHa {
			s.KgDMHa, s.On, s.Entry, found = *w.KgDMHa, f.Date, f.ID, true
		}
	}
	if !found {
		s.Why = "the standing feed was never measured; walk it and log kg of dry matter per ha"
		return s
	}
	s.AgeDay = h.On.Sub(s.On)
	if p.AreaHa == nil {
		s.Why = "the paddock's area is not known; set it with its paddock entry"
		return s
	}
	s.AreaHa = *p.AreaHa
	for _, f := range facts {
		if f.Kind() == fields.KindCut && f.Date >= s.On && f.Date <= h.On {
			s.Why = fmt.Sprintf("measured %s and cut %s; walk it again", s.On.Words(), f.Date.Words())
			return s
		}
	}
	for _, id := range line {
		for _, stay := range h.StaysOf(id) {
			from, to := max(stay.In, s.On), h.On
			if stay.Out != fields.NoDate {
				to = min(to, stay.Out)
			}
			if to < from { // gone before the walk
				continue
			}
			if demand == nil || stay.Herd == "" {
				s.Why = fmt.Sprintf("measured %s, and stock of unknown number grazed it since; walk it again", s.On.Words())
				return s
			}
			d := demand(stay.Herd)
			if !d.Known {
				s.Why = fmt.Sprintf("measured %s and grazed since; %s, or walk it again", s.On.Words(), d.Why)
				return s
			}
			s.Eaten += d.PerDay.High * float64(to.Sub(from)+1)
		}
	}
	s.KgDM = max(0, s.KgDMHa*s.AreaHa-s.Eaten)
	s.Known = true
	return s
}

// Utilisation is a published share of standing feed that stock really eat; the
// rest is trampled, fouled or must stay.
type Utilisation struct {
	Pct    float64
	What   string
	Source Source
}

// Utilisations are the published figures read, the cautious one first. Larger
// ones for short rotations and strips go round in the trade; no publication of
// them was read, so they are not offered.
var Utilisations = []Utilisation{
	{25, "season-long grazing", Source{
		"Kansas State University (Fick), via Drovers", "Use stocking rate calculations to aid grassland management", 0,
		"https://www.drovers.com/news/use-stocking-rate-calculations-aid-grassland-management",
	}},
	{30, "continuous grazing, about", Source{
		"University of Georgia", "Forage allotment: grazing efficiency", 0,
		"http://caes2.caes.uga.edu/sustainag/grazing/forageallot/grazeffic.html",
	}},
}

// DefaultUtilisation is used when nobody says another, percent.
const DefaultUtilisation = 25

// Grazing is how a paddock shall be grazed.
type Grazing struct {
	UtilisationPct float64 // 0: DefaultUtilisation
	LeaveCM        float64 // stubble to leave; 0: no height is kept
	HeightCM       float64 // height of the stand; needed when a stubble is kept
}

// Budget is how long standing feed lasts.
type Budget struct {
	Known    bool
	Why      string
	UsableKg float64 // kg dry matter that will be eaten
	// HeadDays are days of one head, rounded down, at the high end of demand
	// (the one to plan with) and at the low end.
	HeadDays, HeadDaysAtMost int
	Notes                    []string
}

// HeadDays works out a budget for stock that eat perHead kg of dry matter a
// head a day:
//
//	usable    = kg standing x (1 - leave/height) x utilisation / 100
//	head-days = floor(usable / kg a head a day)
//
// The part below the stubble is taken in proportion to its height. Stands are
// denser at the base, so this counts a little too much as usable; the
// utilisation, which is not raised for it, makes up for that (ours).
func HeadDays(s Standing, g Grazing, perHead Range) Budget {
	var b Budget
	if !s.Known {
		b.Why = s.Why
		return b
	}
	if !perHead.ok() {
		b.Why = "what a head eats is not known"
		return b
	}
	u := g.UtilisationPct
	if u == 0 {
		u = DefaultUtilisation
	}
	if !(u > 0 && u <= 100) {
		b.Why = "utilisation is a percentage from above 0 to 100"
		return b
	}
	if !(g.LeaveCM >= 0) || !(g.HeightCM >= 0) {
		b.Why = "heights are numbers from zero up"
		return b
	}
	above := 1.0
	if g.LeaveCM > 0 {
		if g.HeightCM == 0 {
			b.Why = "a stubble shall stay, but the stand's height is not known; walk it and log the height"
			return b
		}
		above = max(0, 1-g.LeaveCM/g.HeightCM)
	}
	b.UsableKg = s.KgDM * above * u / 100
	b.HeadDays = whole(b.UsableKg / perHead.High)
	b.HeadDaysAtMost = whole(b.UsableKg / perHead.Low)
	b.Known = true
	highest := Utilisations[len(Utilisations)-1].Pct
	if u > highest {
		b.Notes = append(b.Notes, fmt.Sprintf("utilisation of %s %% is above every published figure read (%s %%)", number(u, 0), number(highest, 0)))
	}
	if s.AgeDay > 0 {
		b.Notes = append(b.Notes, fmt.Sprintf("measured %d days ago; growth and loss since then are not counted", s.AgeDay))
	}
	return b
}

// Days returns the whole days a herd of so many head can stand on a budget;
// ok is false when the budget is unknown or there is no head.
func (b Budget) Days(head float64) (days int, ok bool) {
	if !b.Known || !(head > 0) {
		return 0, false
	}
	return whole(float64(b.HeadDays) / head), true
}

// whole rounds down; a hair under a whole number from the last bits counts as
// that number.
func whole(v float64) int { return int(math.Floor(v * (1 + 1e-12))) }

// number prints v with at most places decimals.
func number(v float64, places int) string {
	p := math.Pow(10, float64(places))
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}
