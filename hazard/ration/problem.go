package ration

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"rimegate/hazard"
)

// Feed is one feed a ration may hold.
type Feed struct {
	Name  string
	PPMN  float64 // ppm NO3-N on dry matter; NaN: not tested, which is refused
	DMPct float64 // percent dry matter as fed; 0: not known, and then no as-fed weights

	OnHandKg     *float64 // kg as fed; nil: not said, no limit is kept
	CostPerTonne *float64 // per 1,000 kg as fed, in any money
	TDNPct       *float64 // total digestible nutrients, percent of dry matter
	ProteinPct   *float64 // crude protein, percent of dry matter

	MinShare *float64 // percent of the ration's dry matter
	MaxShare *float64
	// MaxShareWhy says who limits the share, such as a table's name.
	MaxShareWhy string
}

// Aim is what a blend is wanted for.
type Aim uint8

// Aims of a blend.
const (
	LeastCost Aim = iota // lowest cost a kg of dry matter
	MostRisky            // as much as may be of the feeds that are too hot by themselves
)

// Problem is a ration to be found: one mixture for a group of stock, told in
// shares of dry matter, that holds at both ends of their intake.
type Problem struct {
	Feeds  []Feed
	Intake Range   // kg dry matter a head a day
	Head   float64 // animals; needed when amounts on hand count
	Days   int     // days the feed must last; 0: not asked
	Water  Water

	// CeilingPPMN is the line the diet must stay below, ppm NO3-N on dry matter,
	// feed and water together.
	CeilingPPMN float64
	CeilingWhy  string

	MinTDNPct     *float64
	MinProteinPct *float64

	Aim Aim
}

// belowLine keeps a mixture under its ceiling by a millionth: a value on a
// line belongs to the worse band.
const belowLine = 1e-6

// ForClasses sets the ceiling and the feeds' largest shares from the tables in
// force: AimBelow and LimitShares together.
func (p *Problem) ForClasses(book *hazard.Rulebook, classes ...hazard.Class) {
	p.AimBelow(book, classes...)
	p.LimitShares(book, classes...)
}

// AimBelow sets the ceiling to the lowest clear line in force among the
// classes.
func (p *Problem) AimBelow(book *hazard.Rulebook, classes ...hazard.Class) {
	p.CeilingPPMN = math.Inf(1)
	for _, c := range classes {
		if line, table := book.NitrateClearLine(c); line < p.CeilingPPMN {
			p.CeilingPPMN = line
			p.CeilingWhy = fmt.Sprintf("clear line for %s of the table %s", c, table)
		}
	}
}

// LimitShares limits every feed to the smallest share the tables in force allow
// the classes of it; a share that somebody set lower stays. A feed the tables
// say not to feed to one of the classes gets the share 0: then no blend talks a
// table round. Without LimitShares such a feed may be diluted as long as the
// whole diet stays below the ceiling, as Manitoba and Colorado State describe.
func (p *Problem) LimitShares(book *hazard.Rulebook, classes ...hazard.Class) {
	for i := range p.Feeds {
		f := &p.Feeds[i]
		for _, c := range classes {
			says := book.JudgeNitrate(f.PPMN, c)
			if says.MaxShare < 100 && (f.MaxShare == nil || says.MaxShare < *f.MaxShare) {
				share := says.MaxShare
				f.MaxShare = &share
				f.MaxShareWhy = fmt.Sprintf("the tables for %s", c)
			}
		}
	}
}

// feedCeiling is the nitrate the feed may hold when the water has taken its
// part, at the low end of intake where that part is largest; below zero when
// the water alone is too much.
func (p *Problem) feedCeiling() float64 {
	return p.CeilingPPMN*(1-belowLine) - p.waterPPM()
}

func (p *Problem) waterPPM() float64 { return p.Water.Grams() * 1000 / p.Intake.Low }

// risky reports a feed that may not be the whole ration.
func (p *Problem) risky(f *Feed) bool { return f.PPMN > p.feedCeiling() }

// hottest are the risky feeds or, when none is, the feeds of the highest
// nitrate: those an aim of using up is about.
func (p *Problem) hottest() []bool {
	out := make([]bool, len(p.Feeds))
	found, most := false, 0.0
	for i := range p.Feeds {
		out[i] = p.risky(&p.Feeds[i])
		found = found || out[i]
		most = max(most, p.Feeds[i].PPMN)
	}
	if !found && p.Aim == MostRisky {
		for i := range p.Feeds {
			out[i] = p.Feeds[i].PPMN == most
		}
	}
	return out
}

// onHandDM returns the dry matter on hand, kg; ok is false when there is no
// limit.
func (f *Feed) onHandDM() (kg float64, ok bool) {
	if f.OnHandKg == nil {
		return 0, false
	}
	kg, ok = DryMatter(*f.OnHandKg, f.DMPct)
	return kg, ok
}

// costDM is the cost of a kg of dry matter.
func (f *Feed) costDM() float64 {
	if f.CostPerTonne == nil {
		return 0
	}
	return *f.CostPerTonne / 1000 / (f.DMPct / 100)
}

// check returns every fault of the problem, one sentence each.
func (p *Problem) check() error {
	var bad []error
	say := func(format string, a ...any) { bad = append(bad, fmt.Errorf(format, a...)) }
	if len(p.Feeds) == 0 {
		say("a blend needs at least one feed with a nitrate result")
	}
	if !(p.Intake.Low > 0) || !(p.Intake.High >= p.Intake.Low) || math.IsInf(p.Intake.High, 0) {
		say("a blend needs what a head eats in a day, kg dry matter, low and high end")
	}
	if !(p.CeilingPPMN > 0) || math.IsInf(p.CeilingPPMN, 0) {
		say("a blend needs the nitrate line the diet must stay below, in ppm NO3-N on dry matter")
	}
	if p.Water.Tested && !(p.Water.Litres >= 0 && p.Water.NMgL >= 0 && p.Water.Grams() < 1e6) {
		say("the water's litres and nitrate are numbers from zero up")
	}
	if p.Head < 0 || math.IsNaN(p.Head) || math.IsInf(p.Head, 0) || p.Days < 0 || p.Days > 3660 {
		say("head and days are numbers from zero up, days 3660 at most")
	}
	names := map[string]bool{}
	for i := range p.Feeds {
		f := &p.Feeds[i]
		name := quoted(f.Name)
		if strings.TrimSpace(f.Name) == "" {
			say("feed %d has no name", i+1)
		} else if names[f.Name] {
			say("two feeds are called %s; give each its own name", name)
		}
		names[f.Name] = true
		switch {
		case math.IsNaN(f.PPMN):
			say("%s has no nitrate result; an untested feed is no safe feed: have it tested", name)
		case f.PPMN < 0 || f.PPMN > 1e6:
			say("the nitrate of %s lies between 0 and 1,000,000 ppm", name)
		}
		knowsDM := f.DMPct > 0 && f.DMPct <= 100
		if f.DMPct != 0 && !knowsDM {
			say("the dry matter of %s lies between 1 and 100 %%", name)
		}
		if f.OnHandKg != nil {
			if !(*f.OnHandKg >= 0 && *f.OnHandKg <= 1e9) {
				say("the amount on hand of %s is a number of kg from zero up", name)
			}
			if !knowsDM {
				say("the dry matter of %s is not known, so its %s kg cannot be counted; type it, like 88 %%", name, number(*f.OnHandKg, 0))
			}
			if p.Days > 0 && !(p.Head > 0) {
				say("how long %s lasts depends on the head; type how many animals eat", name)
			}
		}
		if p.Aim == LeastCost {
			switch {
			case f.CostPerTonne == nil:
				say("the cost of %s is not known; type it for a tonne as fed, or ask for the most of the risky feed instead", name)
			case !(math.Abs(*f.CostPerTonne) <= 1e9):
				say("the cost of %s is not a number", name)
			case !knowsDM:
				say("the dry matter of %s is not known, so its cost cannot be compared; type it, like 88 %%", name)
			}
		}
		for _, s := range []struct {
			what string
			v    *float64
			need bool
		}{
			{"energy (TDN)", f.TDNPct, p.MinTDNPct != nil},
			{"protein", f.ProteinPct, p.MinProteinPct != nil},
			{"least share", f.MinShare, false},
			{"largest share", f.MaxShare, false},
		} {
			if s.v == nil && s.need {
				say("the %s of %s is not known, but a least %s is asked for; type it in percent of dry matter", s.what, name, s.what)
			}
			if s.v != nil && !(*s.v >= 0 && *s.v <= 100) {
				say("the %s of %s lies between 0 and 100 %%", s.what, name)
			}
		}
	}
	for _, s := range []struct {
		what string
		v    *float64
	}{{"energy (TDN)", p.MinTDNPct}, {"protein", p.MinProteinPct}} {
		if s.v != nil && !(*s.v >= 0 && *s.v <= 100) {
			say("the least %s lies between 0 and 100 %%", s.what)
		}
	}
	return errors.Join(bad...)
}

// quoted puts a person's text into a sentence: control characters escaped,
// long texts cut.
func quoted(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "..."
	}
	return strconv.Quote(s)
}
