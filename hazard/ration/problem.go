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
	MaxShare     *float64 // percent of the ration's dry matter
	MaxShareWhy  string   // who limits the share, such as a table's name
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

// ForClasses sets the ceiling to the lowest clear line in force among the classes
// and limits every feed to the smallest share the tables allow them; a share that
// somebody set lower stays. A feed the tables say not to feed to one of the classes
// gets the share 0: then no blend talks a table round.
func (p *Problem) ForClasses(book *hazard.Rulebook, classes ...hazard.Class) {
	p.CeilingPPMN = math.Inf(1)
	for _, c := range classes {
		if line, table := book.NitrateClearLine(c); line < p.CeilingPPMN {
			p.CeilingPPMN = line
			p.CeilingWhy = fmt.Sprintf("clear line for %s of the table %s", c.Stock(), table)
		}
		for i := range p.Feeds {
			f := &p.Feeds[i]
			share := book.JudgeNitrate(f.PPMN, c).MaxShare
			if share < 100 && (f.MaxShare == nil || share < *f.MaxShare) {
				f.MaxShare, f.MaxShareWhy = &share, fmt.Sprintf("the tables for %s", c.Stock())
			}
		}
	}
}

// belowLine keeps a mixture under its ceiling by a millionth: a value on a
// line belongs to the worse band.
const belowLine = 1e-6

// feedCeiling is the nitrate the feed may hold when the water has taken its
// part, at the low end of intake where that part is largest; below zero when
// the water alone is too much.
func (p *Problem) feedCeiling() float64 { return p.CeilingPPMN*(1-belowLine) - p.waterPPM() }

func (p *Problem) waterPPM() float64 { return p.Water.Grams() * 1000 / p.Intake.Low }

// risky reports a feed that may not be the whole ration.
func (p *Problem) risky(f *Feed) bool { return f.PPMN > p.feedCeiling() }

// eatenDM is the dry matter the herd eats in the days asked, at the high end of
// intake, kg.
func (p *Problem) eatenDM() float64 { return p.Intake.High * p.Head * float64(p.Days) }

// onHandDM returns the dry matter on hand, kg; ok is false when there is no limit.
func (f *Feed) onHandDM() (kg float64, ok bool) {
	if f.OnHandKg == nil {
		return 0, false
	}
	return DryMatter(*f.OnHandKg, f.DMPct)
}

// costDM is the cost of a kg of dry matter; ok is false when it is not known.
func (f *Feed) costDM() (cost float64, ok bool) {
	if f.CostPerTonne == nil || !(f.DMPct > 0) {
		return 0, false
	}
	return *f.CostPerTonne / 1000 / (f.DMPct / 100), true
}

// faults are what is wrong with a problem, one sentence each.
type faults []error

func (f *faults) when(bad bool, format string, a ...any) {
	if bad {
		*f = append(*f, fmt.Errorf(format, a...))
	}
}

// within reports a number from lo to hi; what was not said is none.
func within(v *float64, lo, hi float64) bool { return v != nil && *v >= lo && *v <= hi }

// check returns every fault of the problem, one sentence each.
func (p *Problem) check() error {
	const most = 1e300
	var say faults
	say.when(len(p.Feeds) == 0, "a blend needs at least one feed with a nitrate result")
	say.when(!(p.Intake.Low > 0) || !within(&p.Intake.High, p.Intake.Low, most),
		"a blend needs what a head eats in a day, kg dry matter, low and high end")
	say.when(!(p.CeilingPPMN > 0) || p.CeilingPPMN > most,
		"a blend needs the nitrate line the diet must stay below, in ppm NO3-N on dry matter")
	say.when(p.Water.Tested && !(p.Water.Litres >= 0 && p.Water.NMgL >= 0 && p.Water.Grams() < 1e6),
		"the water's litres and nitrate are numbers from zero up")
	say.when(!within(&p.Head, 0, most) || p.Days < 0 || p.Days > 3660,
		"head and days are numbers from zero up, days 3660 at most")
	names := map[string]bool{}
	for i := range p.Feeds {
		name := p.Feeds[i].Name
		say.when(strings.TrimSpace(name) == "", "feed %d has no name", i+1)
		say.when(names[name], "two feeds are called %s; give each its own name", quoted(name))
		names[name] = true
		p.Feeds[i].check(p, &say)
	}
	for _, floor := range p.floors() {
		say.when(floor.least != nil && !within(floor.least, 0, 100), "the least %s lies between 0 and 100 %%", floor.what)
	}
	return errors.Join(say...)
}

func (f *Feed) check(p *Problem, say *faults) {
	name, dry := quoted(f.Name), within(&f.DMPct, math.SmallestNonzeroFloat64, 100)
	say.when(math.IsNaN(f.PPMN), "%s has no nitrate result; an untested feed is no safe feed: have it tested", name)
	say.when(f.PPMN < 0 || f.PPMN > 1e6, "the nitrate of %s lies between 0 and 1,000,000 ppm", name)
	say.when(f.DMPct != 0 && !dry, "the dry matter of %s lies between 1 and 100 %%", name)
	if f.OnHandKg != nil {
		say.when(!within(f.OnHandKg, 0, 1e9), "the amount on hand of %s is a number of kg from zero up", name)
		say.when(!dry, "the dry matter of %s is not known, so what is on hand of it cannot be counted; type it, like --dm LOT=84%%", name)
		say.when(p.Days > 0 && !(p.Head > 0), "how long %s lasts depends on the head; type how many animals eat", name)
	}
	if p.Aim == LeastCost {
		say.when(f.CostPerTonne == nil,
			"the cost of %s is not known; type it for a tonne as fed, or ask for the most of the risky feed instead", name)
		say.when(f.CostPerTonne != nil && !within(f.CostPerTonne, -1e9, 1e9), "the cost of %s is not a number", name)
		say.when(f.CostPerTonne != nil && !dry,
			"the dry matter of %s is not known, so its cost cannot be compared; type it, like --dm LOT=84%%", name)
	}
	share := func(what string, v *float64) {
		say.when(v != nil && !within(v, 0, 100), "the %s of %s lies between 0 and 100 %%", what, name)
	}
	for _, floor := range p.floors() {
		v := floor.of(f)
		say.when(v == nil && floor.least != nil,
			"the %s of %s is not known, but a least %[1]s is asked for; type it in percent of dry matter", floor.what, name)
		share(floor.what, v)
	}
	share("largest share", f.MaxShare)
}

// floor is the least of something that a mixture must hold, nil if not asked.
type floor struct {
	limit Limit
	what  string
	least *float64
	of    func(*Feed) *float64
}

func (p *Problem) floors() []floor {
	return []floor{
		{LimitEnergy, "energy (TDN)", p.MinTDNPct, func(f *Feed) *float64 { return f.TDNPct }},
		{LimitProtein, "protein", p.MinProteinPct, func(f *Feed) *float64 { return f.ProteinPct }},
	}
}

// Limit is what a mixture is held to.
type Limit uint8

// Limits.
const (
	LimitNitrate Limit = iota // the ceiling of the whole diet
	LimitEnergy               // least TDN
	LimitProtein              // least protein
	LimitAmount               // a feed's amount on hand for the days
	LimitShare                // a feed's largest share
)

var limitWords = [...]string{"nitrate", "energy", "protein", "amount", "largest share"}

func (l Limit) String() string { return limitWords[l] }

// Coefficients are fixed-point numbers: nitrate in 1/1024 ppm, percentages in
// 1/2^20, costs a kg in 1/2^30, shares in 1/2^40. Nitrate is rounded to the strict side, everything
// else to the lenient one: a mixture must not fail on the last bit of 88.3 %.
const (
	bitsPPM   = 10
	bitsPct   = 20
	bitsCost  = 30
	bitsShare = 40
	oneShare  = 1 << bitsShare
)

func fixed(v float64, bits int, round func(float64) float64) int64 {
	const most = 1 << 60
	return int64(max(-most, min(most, round(math.Ldexp(v, bits)))))
}

// limit is one row of the programme with its meaning.
type limit struct {
	Bound
	row
	unit float64 // what one is in the fixed point of the row
	size int64   // what giving way is measured against, in the same
	is   float64 // the limit as it stands
	// moved says what the limit would have to be if it gave way by so much.
	moved func(by float64) (needs float64, text string)
}

// limits lists what holds the shares x (they sum to 1).
func (p *Problem) limits() []limit {
	out := []limit{{
		Bound: Bound{LimitNitrate, ""}, unit: 1 << bitsPPM, size: max(1, fixed(p.CeilingPPMN, bitsPPM, math.Floor)), is: p.CeilingPPMN,
		row: row{p.nitrate(), atMost, fixed(p.feedCeiling(), bitsPPM, math.Floor)},
		moved: func(by float64) (float64, string) {
			needs := p.feedCeiling() + by + p.waterPPM()
			text := fmt.Sprintf("the least nitrate these feeds can make is %s ppm NO3-N with the water, and it must stay below %s",
				number(needs, 1), number(p.CeilingPPMN, 1))
			if p.feedCeiling() <= 0 {
				text += " (the water alone is too much)"
			}
			return needs, text
		},
	}}
	for _, l := range p.floors() {
		if l.least == nil || *l.least <= 0 {
			continue
		}
		least := fixed(*l.least, bitsPct, math.Floor) - 1
		coef := p.each(func(f *Feed) int64 { return fixed(*l.of(f), bitsPct, math.Round) })
		out = append(out, limit{
			Bound: Bound{l.limit, ""}, unit: 1 << bitsPct, size: max(least, 1), is: *l.least, row: row{coef, atLeast, least},
			moved: func(by float64) (float64, string) {
				return *l.least - by, fmt.Sprintf("the most %s the other limits leave is %s %%, and %s %% are asked for",
					l.what, number(*l.least-by, 2), number(*l.least, 2))
			},
		})
	}
	for i := range p.Feeds {
		f := &p.Feeds[i]
		share := func(kind Limit, most, is float64, moved func(by float64) (float64, string)) {
			if most >= 1 {
				return
			}
			r := row{make([]int64, i+1), atMost, fixed(most, bitsShare, math.Ceil)}
			r.coef[i] = oneShare
			size := r.rhs
			if size == 0 { // a share of 0 or a feed that is not there: against the whole ration
				size = oneShare
			}
			out = append(out, limit{Bound{kind, f.Name}, r, oneShare, size, is, moved})
		}
		if kg, ok := f.onHandDM(); ok && p.Days > 0 {
			share(LimitAmount, kg/p.eatenDM(), *f.OnHandKg, func(by float64) (float64, string) {
				more, _ := AsFed(by*p.eatenDM(), f.DMPct)
				return *f.OnHandKg + more, fmt.Sprintf("%s kg more of %s would be needed for %d days",
					number(math.Ceil(more), 0), quoted(f.Name), p.Days)
			})
		}
		if f.MaxShare != nil {
			share(LimitShare, *f.MaxShare/100, *f.MaxShare, func(by float64) (float64, string) {
				why := ""
				if f.MaxShareWhy != "" {
					why = " (" + f.MaxShareWhy + ")"
				}
				needs := *f.MaxShare + by*100
				return needs, fmt.Sprintf("%s may be %s %% of the dry matter at most%s, and the other limits need %s %%",
					quoted(f.Name), number(*f.MaxShare, 1), why, number(needs, 1))
			})
		}
	}
	return out
}

// each returns a coefficient a feed.
func (p *Problem) each(of func(*Feed) int64) []int64 {
	out := make([]int64, len(p.Feeds))
	for i := range out {
		out[i] = of(&p.Feeds[i])
	}
	return out
}

func (p *Problem) nitrate() []int64 {
	return p.each(func(f *Feed) int64 { return fixed(f.PPMN, bitsPPM, math.Ceil) })
}

// whole is the row that makes the shares one ration.
func (p *Problem) whole() row { return row{p.each(func(*Feed) int64 { return 1 }), equals, 1} }

// objectives, in order: the aim, then the smallest share of the hottest feeds,
// then the least nitrate; to use up as much as may be, the costs come last.
func (p *Problem) objectives() [][]int64 {
	if p.Aim == MostRisky {
		return [][]int64{p.hottest(-1), p.nitrate(), p.costs()}
	}
	return [][]int64{p.costs(), p.hottest(1), p.nitrate()}
}

// hottest counts the risky feeds or, when none is and they are to be used up, the
// feeds of the highest nitrate.
func (p *Problem) hottest(each int64) []int64 {
	over, most := p.feedCeiling(), 0.0
	for i := range p.Feeds {
		most = max(most, p.Feeds[i].PPMN)
	}
	if p.Aim == MostRisky && most <= over {
		over = math.Nextafter(most, -1)
	}
	return p.each(func(f *Feed) int64 {
		if f.PPMN > over {
			return each
		}
		return 0
	})
}

// costs are the feeds' costs of dry matter; nothing when one of them is not known.
func (p *Problem) costs() []int64 {
	known := true
	out := p.each(func(f *Feed) int64 {
		cost, ok := f.costDM()
		known = known && ok
		return fixed(cost, bitsCost, math.Round)
	})
	if !known {
		return nil
	}
	return out
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
