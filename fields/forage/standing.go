// Package forage answers how much a herd eats and for how long a paddock feeds
// it: animal units, demand, standing feed as measured on walks, and head-days.
//
// What was not measured is said to be unknown, never guessed. Inside, weights
// are kg of dry matter, areas ha, heights cm. The package imports fields and
// the standard library only; it knows no flags.
package forage

import (
	"fmt"

	"rimegate/fields"
)

// Standing is the feed that stands in a paddock, as far as a walk measured it.
type Standing struct {
	Why    string      // what is missing; "" when it is known
	KgDMHa float64     // as measured, kg dry matter per ha, all of it down to the ground
	On     fields.Date // day of that walk; growth since then is not counted
	// Eaten is what stock inside since then ate at the high end of their demand,
	// the days of measuring, turn-in and turn-out counted in full. Of stock still
	// inside the day itself is not counted: it is the first that the rest must feed.
	Eaten float64
	KgDM  float64 // kg dry matter that stood in the paddock when it was measured
}

// StandingFeed returns the feed standing in a paddock on the history's day: the
// last measurement of kg_dm_ha (the smallest of one date) times the area, and
// what stock ate of it since. It is unknown without a measurement or an area, after a
// cut on or after the day of the measurement, and when stock whose demand is
// not known were inside since. What was eaten in a paddock before it was split
// is taken off each of its parts in full. demand gives a herd's demand.
//
// Of a joined paddock each former paddock's line is looked at; the smallest
// measurement and the most that was eaten count, and one that is unknown makes the
// whole unknown.
func StandingFeed(h *fields.History, paddock string, demand func(herd string) Demand) Standing {
	p := h.Paddock(paddock)
	if p == nil {
		return Standing{Why: fmt.Sprintf("there is no paddock %q", paddock)}
	}
	var least Standing
	for i, line := range h.Lines(paddock) {
		s := measured(h, line)
		if s.Why == "" && p.AreaHa == nil {
			s.Why = "its area is not logged; set it with `rimegate paddock set --area`"
		}
		if s.Why == "" {
			s.cut(h, line)
		}
		if s.Why == "" {
			s.graze(h, line, demand)
		}
		if s.Why != "" {
			return s
		}
		s.KgDM = s.KgDMHa * *p.AreaHa
		eaten := max(s.Eaten, least.Eaten)
		if i == 0 || s.KgDM < least.KgDM {
			least = s
		}
		least.Eaten = eaten
	}
	return least
}

// measured finds the last measurement of a line.
func measured(h *fields.History, line []string) Standing {
	s := Standing{Why: "standing feed never measured; walk it and log it with --standing"}
	for _, f := range h.LineFacts(line) {
		w, ok := f.Body.(*fields.Walk)
		if !ok || w.KgDMHa == nil || w.Part == "swath" || f.Date > h.On {
			continue
		}
		if s.Why != "" || f.Date > s.On || f.Date == s.On && *w.KgDMHa < s.KgDMHa {
			s = Standing{KgDMHa: *w.KgDMHa, On: f.Date}
		}
	}
	return s
}

// cut looks for a cut that made the measurement old.
func (s *Standing) cut(h *fields.History, line []string) {
	for _, f := range h.LineFacts(line) {
		if f.Kind() == fields.KindCut && f.Date >= s.On && f.Date <= h.On {
			s.Why = fmt.Sprintf("measured %s and cut %s; walk it again", s.On.Words(), f.Date.Words())
			return
		}
	}
}

// graze adds up what stock ate since the measurement.
func (s *Standing) graze(h *fields.History, line []string, demand func(string) Demand) {
	for _, id := range line {
		for _, stay := range h.StaysOf(id) {
			from, to := max(stay.In, s.On), h.On-1
			if stay.Out != fields.NoDate {
				to = min(h.On, stay.Out)
			}
			if stay.Out != fields.NoDate && to < from { // gone before the walk
				continue
			}
			if stay.Herd == "" {
				s.Why = fmt.Sprintf("measured %s, and grazed since by an unknown number; walk it again", s.On.Words())
				return
			}
			d := demand(stay.Herd)
			if d.Why != "" {
				s.Why = fmt.Sprintf("measured %s and grazed since; %s, or walk it again", s.On.Words(), d.Why)
				return
			}
			s.Eaten += d.PerDay.High * float64(max(0, to.Sub(from)+1))
		}
	}
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

// Grazing is how feed shall be grazed.
type Grazing struct {
	UtilisationPct float64 // share of the standing feed that is eaten; 0: DefaultUtilisation
	LeaveCM        float64 // stubble to leave; 0: none kept
}

// Usable returns how much of the standing feed may still be eaten, kg dry matter:
//
//	usable = kg measured x (1 - leave/height) x utilisation / 100 - kg eaten since
//
// What was eaten is part of the share that may be: taken off before the share, it would
// count at a quarter, and a plan made anew each day would never come to its end.
// heightCM is the height of the stand, 0 if not known; why says what is missing. The
// part below the stubble is taken in proportion to its height. Stands are denser at
// the base, so this counts a little too much as usable; the utilisation, which is not
// raised for it, makes up for that (ours).
func (s *Standing) Usable(g Grazing, heightCM float64) (kg float64, why string) {
	share, above := g.UtilisationPct, 1.0
	if share == 0 {
		share = DefaultUtilisation
	}
	switch {
	case s.Why != "":
		return 0, s.Why
	case !(share > 0 && share <= 100):
		return 0, "utilisation is a percentage from above 0 to 100"
	case !(g.LeaveCM >= 0) || !(heightCM >= 0):
		return 0, "heights are numbers from zero up"
	case g.LeaveCM > 0 && heightCM == 0:
		return 0, "stubble is to be left, but the height is not known; walk it and log the height"
	case g.LeaveCM > 0:
		above = max(0, 1-g.LeaveCM/heightCM)
	}
	return max(0, s.KgDM*above*share/100-s.Eaten), ""
}
