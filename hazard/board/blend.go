package board

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/ration"
)

// BlendAsk is a blend as a person asks for it: lots by id, figures by lot.
type BlendAsk struct {
	Feeds    []string
	Herd     string
	Days     int                // the feed must last; 0: not asked
	Cost     map[string]float64 // per tonne as fed
	TDN      map[string]float64 // percent of dry matter
	Protein  map[string]float64
	DM       map[string]float64 // percent dry matter, instead of the lot's own
	OnHandKg map[string]float64 // as fed, instead of the lot's own
	MinTDN   *float64
	MinProt  *float64
	Longest  string  // stretch this lot: as little of it as the limits allow
	UseUp    bool    // as much as may be of what is too hot by itself, whatever the prices
	Litres   float64 // a head a day; 0: as published
	StepKg   float64 // weigh a day's load in whole steps; 0: no load

	// A calculation by one published table or target instead of the clear line in force.
	Table  string // id, "" for none
	Target *fields.NitrateTarget
	Every  *hazard.Rulebook // all embedded tables, whatever the farm has chosen
}

// BlendSheet is a mixture in words. A blend clears no lot.
type BlendSheet struct {
	Sheet
	Problem ration.Problem
	None    *ration.Infeasible // no mixture meets every limit

	s     *speaker
	blend *ration.Blend
	load  *ration.Load
	water string
	lots  []string // each feed with where its nitrate comes from
	alone []string // each feed's own answer for the herd, which stays
	aim   string
	refs  refs
	by    *byLine // nil: by the line in force
}

// BlendRefused says, a sentence each, what must be settled before a blend can be
// worked out.
type BlendRefused []string

func (e BlendRefused) Error() string { return strings.Join(e, "\n") }

// NewBlendSheet works a blend out. The error is BlendRefused where a feed cannot
// be used.
func NewBlendSheet(a *hazard.Assessment, ask BlendAsk) (*BlendSheet, error) {
	x := &BlendSheet{s: newSpeaker(a, UnitsOf(a.History))}
	var wrong BlendRefused
	herd := Clean(ask.Herd)
	g := a.History.Herd(ask.Herd)
	if g == nil {
		return nil, BlendRefused{fmt.Sprintf("there is no herd %q", herd)}
	}
	classes := herdClasses(g)
	if len(classes) == 0 {
		wrong = append(wrong, "the herd "+herd+" has no class; set it with `rimegate herd set --class`")
	}
	p := &x.Problem
	p.Days, p.MinTDNPct, p.MinProteinPct, p.Intake = ask.Days, ask.MinTDN, ask.MinProt, ration.Range{Low: math.Inf(1)}
	if g.Head != nil {
		p.Head = *g.Head
	}
	for _, c := range classes {
		kg, _, src, err := intakeOf(g, c)
		if err != nil {
			wrong = append(wrong, err.Error())
			break
		}
		for _, r := range src {
			x.refs.mark(r, "")
		}
		p.Intake.Low, p.Intake.High = min(p.Intake.Low, kg.Low), max(p.Intake.High, kg.High)
	}
	// The worst tested water, at the most any of the classes drinks in summer.
	p.Water, x.water = x.s.worstWater(g.HerdFacts.Herd, g.In)
	tested := x.water
	for _, c := range classes {
		if !p.Water.Tested {
			break
		}
		litres, drinks, _, err := litresOf(g, c, ask.Litres)
		if err != nil {
			wrong = append(wrong, err.Error())
			break
		}
		if litres > p.Water.Litres {
			p.Water.Litres = litres
			x.water = tested + "; " + x.s.u.litres(litres) + " a head a day (" + drinks + ")"
		}
	}
	for _, id := range ask.Feeds {
		if err := x.feed(a, id, classes, &ask); err != nil {
			wrong = append(wrong, err.Error())
		}
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	if err := x.line(a.Book, classes, &ask); err != nil {
		return nil, BlendRefused{err.Error()}
	}
	if ask.Table == "" { // the one table's shares are what is asked about
		x.asListed(a, classes)
	}
	x.aim = "the lowest cost"
	priced := len(ask.Cost) > 0
	switch {
	case ask.Longest != "":
		x.aim = "to make " + Clean(ask.Longest) + " last: as little of it as the limits allow"
		none, one := 0.0, 1000.0
		for i := range p.Feeds { // the cheapest mixture is then the one with the least of that lot
			p.Feeds[i].CostPerTonne = &none
			if p.Feeds[i].Name == ask.Longest {
				p.Feeds[i].CostPerTonne = &one
			}
		}
	case ask.UseUp || !priced:
		x.aim, p.Aim = "to use up as much as possible of what is too hot by itself", ration.MostRisky
	}
	var err error
	if x.blend, err = ration.Solve(*p); err != nil && !errors.As(err, &x.None) {
		return nil, BlendRefused(strings.Split(err.Error(), "\n"))
	}
	if b := x.blend; b != nil {
		b.CostKnown = b.CostKnown && priced // else those were no prices
		if ask.StepKg > 0 && !(p.Head > 0) {
			return nil, BlendRefused{"a load needs the number of head; set it with `rimegate herd set --head`"}
		}
		if ask.StepKg > 0 {
			if x.load, err = b.Load(p.Head, p.Intake.High, ask.StepKg); err != nil {
				return nil, BlendRefused{err.Error()}
			}
		}
	}
	x.Sheet = func(t *text) {
		t.head(x.s.sheet(), "a blend for "+herd+" ("+number(p.Head, 0)+" head, "+ClassWords(classes)+")")
		t.blend(x)
	}
	return x, nil
}

// asListed limits every feed to the share that its own answer allows: there the tables
// count the stock's water at the most that any stock drink with their feed (§10.3).
func (x *BlendSheet) asListed(a *hazard.Assessment, classes []hazard.Class) {
	for i := range x.Problem.Feeds {
		f := &x.Problem.Feeds[i]
		for _, c := range classes {
			v := lotOf(a, f.Name).Verdict(c)
			if v == nil {
				continue
			}
			share := lotShare(v)
			if share >= 0 && share < 100 && (f.MaxShare == nil || share < *f.MaxShare) {
				f.MaxShare, f.MaxShareWhy = &share, "the tables with the water for "+c.Stock()
			}
		}
	}
}

// feed makes a lot a feed of the problem; what it lacks is the error.
func (x *BlendSheet) feed(a *hazard.Assessment, id string, classes []hazard.Class, ask *BlendAsk) error {
	name, l := Clean(id), lotOf(a, id)
	if l == nil {
		return fmt.Errorf("there is no lot %q", name)
	}
	flags := map[hazard.Flag][]hazard.Class{}
	for _, c := range classes {
		v := l.Verdict(c)
		if v == nil {
			continue
		}
		for _, h := range v.Hazards {
			if h.Hazard != hazard.Nitrate && h.Flag == hazard.Hold {
				through := ThroughWords(h.Flag, h.Through, a.History.On)
				if through == "no date" {
					through = "with no date"
				}
				return fmt.Errorf("%s is on HOLD for %s (%s) for %s: a blend thins nitrate and lifts nothing else",
					name, HazardWord(h.Hazard), through, c.Stock())
			}
		}
		flags[v.Flag] = append(flags[v.Flag], c)
	}
	var alone []string
	for _, f := range []hazard.Flag{hazard.Hold, hazard.Caution, hazard.Clear} {
		if len(flags[f]) > 0 {
			alone = append(alone, FlagWord(f)+" for "+ClassWords(flags[f]))
		}
	}
	f := ration.Feed{Name: id}
	if l.Facts.DMPct != nil {
		f.DMPct = *l.Facts.DMPct
	}
	values, against, err := lotNitrate(x.s.h, id, &f.DMPct)
	if err != nil {
		return err
	}
	v, how, err := ration.ForMixing(values)
	if err != nil {
		return err
	}
	if r, c := heldBeyond(l, classes); r != nil {
		return fmt.Errorf("%s is on HOLD for nitrate for %s, whatever the result: %s", name, c.Stock(), x.s.reason(r, hazard.Feed))
	}
	if against > v {
		v, how = against, "a strip or quick test read more than the lab, so "+ppm(against)+" is used"
	}
	f.PPMN = v
	if dm, ok := ask.DM[id]; ok {
		f.DMPct = dm
	}
	if _, gone := x.s.h.UsedUp(id); l.Facts.Tonnes != nil && !gone {
		kg := *l.Facts.Tonnes * 1000
		for _, x := range x.s.h.OfLot(id) {
			if b, ok := x.Body.(*fields.Fed); ok && b.Kg != nil {
				kg -= *b.Kg
			}
		}
		kg = max(kg, 0)
		f.OnHandKg = &kg
	}
	for _, o := range []struct {
		from map[string]float64
		to   **float64
	}{{ask.OnHandKg, &f.OnHandKg}, {ask.Cost, &f.CostPerTonne}, {ask.TDN, &f.TDNPct}, {ask.Protein, &f.ProteinPct}} {
		if v, ok := o.from[id]; ok {
			*o.to = &v
		}
	}
	x.Problem.Feeds = append(x.Problem.Feeds, f)
	x.lots = append(x.lots, name+": "+ppm(f.PPMN)+" ppm NO3-N on dry matter ("+how+")"+after("; ", x.s.usedUp(id)))
	x.alone = append(x.alone, strings.Join(alone, ", "))
	return nil
}

// heldBeyond is what holds a lot for a class under nitrate other than its result: a sample
// that is not enough, or the stock's water. No mixture answers that.
func heldBeyond(l *hazard.LotAnswer, classes []hazard.Class) (*hazard.Reason, hazard.Class) {
	for _, c := range classes {
		v := l.Verdict(c)
		if v == nil {
			continue
		}
		rs := v.Hazards[hazard.Nitrate].Reasons
		for i := range rs {
			if rs[i].Flag == hazard.Hold && rs[i].Line != hazard.LineNitrateLotTable {
				return &rs[i], c
			}
		}
	}
	return nil, 0
}

// lotNitrate is every laboratory value of a lot as ppm NO3-N on dry matter, and
// the highest of its strips and quick tests. A dry matter that a result tells
// is taken where none is known.
func lotNitrate(h *fields.History, id string, dm *float64) (values []float64, against float64, err error) {
	tests := 0
	for _, f := range h.OfLot(id) {
		l, ok := f.Body.(*fields.Lab)
		if !ok || l.Analyte != "nitrate" {
			continue
		}
		if l.DMPct != nil && *dm == 0 {
			*dm = *l.DMPct
		}
		for _, v := range l.Numbers() {
			p, ok := hazard.NitrateDM(l, v)
			if !ok {
				return nil, 0, fmt.Errorf("the nitrate of %s sampled %s is as fed: what is its dry matter? "+
					"Log the result again with --dm, like --dm 86%%", Clean(id), f.Date.Beside(h.On))
			}
			n := hazard.ConvertNitrate(p, l.Form, "NO3-N")
			if l.Method == "lab" {
				values = append(values, n)
			} else {
				tests, against = tests+1, max(against, n)
			}
		}
	}
	if len(values) > 0 {
		return values, against, nil
	}
	lacks, safe := "has no nitrate result", "; an untested feed is no safe feed"
	if tests > 0 {
		lacks, safe = "was only tested by strip or quick test, which can warn and never clears", ""
	}
	return nil, 0, fmt.Errorf("%s %s: what does a lab say? `rimegate sample %[1]s` shows how to take it%[3]s", Clean(id), lacks, safe)
}

// heavy prints a weight of feed in kg, from two tonnes on in tonnes.
func (u Units) heavy(kg float64) string {
	if kg >= 2000 {
		return u.both(fields.Tonnage, kg/1000)
	}
	return u.both(fields.Weight, kg)
}

func (t *text) blend(x *BlendSheet) {
	p, u := &x.Problem, x.s.u
	t.para("CAUTION: ", "  ", "animals may die of a blend that was weighed, mixed or tested wrong. "+
		"Ask a vet or a feed adviser before the first load. The flags of the lots stay what they are.")
	t.lax(x)
	t.title("FEEDS")
	for i := range p.Feeds {
		f, line := &p.Feeds[i], x.lots[i]
		if f.DMPct > 0 {
			line += ", " + number(f.DMPct, 1) + " % dry matter"
		}
		if f.OnHandKg != nil {
			line += ", " + u.heavy(*f.OnHandKg) + " on hand"
		}
		if f.MaxShare != nil {
			line += "; at most " + number(*f.MaxShare, 1) + " % by " + orNone(f.MaxShareWhy)
		}
		t.items(line + ". By itself: " + x.alone[i] + ".")
	}
	t.para("  Water: ", "    ", x.water+".")
	t.para("  Line: ", "    ", "the diet, feed and water together, stays below "+ppm(p.CeilingPPMN)+
		" ppm NO3-N on dry matter ("+Clean(p.CeilingWhy)+").")
	t.para("  Intake: ", "    ", u.weights(p.Intake)+" of dry matter a head a day.")
	if x.None != nil {
		t.infeasible(x.None)
	} else {
		t.mixture(x)
	}
	x.refs.print(t)
}

func (t *text) infeasible(e *ration.Infeasible) {
	t.title("NO BLEND: no mixture of these feeds meets every limit.")
	way := "Together these stop it:"
	if e.Each {
		way = "Each of these alone stops it:"
	}
	t.items(way)
	for _, s := range e.Limits {
		t.para("  - ", "    ", Clean(s.Text)+" ("+s.Limit.String()+").")
	}
	t.items(
		provided(e.MostDays > 0, "With what is on hand a mixture lasts "+plural(e.MostDays, "day")+"."),
		"Do not move the nitrate line: find feed lower in nitrate, or more of it.",
	)
}

// part says how much of one feed goes into the blend.
func (x *BlendSheet) part(i int) string {
	f, u := &x.blend.Parts[i], x.s.u
	if f.SharePct <= 0 {
		why := ""
		if m := x.Problem.Feeds[i].MaxShare; m != nil && *m <= 0 {
			why = ": " + orNone(x.Problem.Feeds[i].MaxShareWhy) + " say not to feed it"
		}
		return Clean(f.Feed) + ": none" + why + "."
	}
	weight := "; its dry matter is not known, so no weight as fed"
	if f.AsFedOK {
		weight = ", " + u.weights(f.KgAsFed) + " as fed"
	}
	if !math.IsInf(f.LastsDays, 1) {
		weight += "; lasts the herd " + plural(int(math.Floor(f.LastsDays)), "day")
	}
	return Clean(f.Feed) + ": " + number(f.SharePct, 1) + " % of the dry matter, " + u.weights(f.KgDM) + " dry" + weight +
		provided(f.Risky, "; TOO HOT BY ITSELF") + "."
}

// below prints a figure; one that rounds to the line it stays below says so.
func (x *BlendSheet) below(v float64) string {
	line := x.Problem.CeilingPPMN
	if v < line && ppm(v) == ppm(line) {
		return "just below " + ppm(v)
	}
	return ppm(v)
}

func (t *text) mixture(x *BlendSheet) {
	b, p := x.blend, &x.Problem
	t.title("THE BLEND, a head a day; aim: " + x.aim)
	for i := range b.Parts {
		t.items(x.part(i))
	}
	at := "; the line is "
	if ppm(max(b.Low.PPMN, b.High.PPMN)) == ppm(p.CeilingPPMN) {
		at = "; just below the line of "
	}
	left := "On hand for " + number(float64(b.HeadDays), 0) + " head-days of this mixture"
	if p.Head > 0 {
		left += ", " + plural(b.HeadDays/int(p.Head), "day") + " for " + number(p.Head, 0) + " head"
	}
	if b.HeadDaysKnown {
		left += ", " + aum(float64(b.HeadDays)*p.Intake.High) + " AUM (" + aumMeans + ")"
	}
	t.items(
		"Diet: "+ends(number(b.Low.Grams(), 1), number(b.High.Grams(), 1))+" g NO3-N a head a day, "+ppm(b.Low.PPMN)+" ppm"+
			provided(b.Low.PPMN != b.High.PPMN, " at the low end of intake, "+ppm(b.High.PPMN)+" at the high end")+at+ppm(p.CeilingPPMN)+".",
		provided(b.TDNPct > 0, "Energy: "+number(b.TDNPct, 1)+" % TDN of the dry matter."),
		provided(b.ProteinPct > 0, "Protein: "+number(b.ProteinPct, 1)+" % of the dry matter."),
		provided(b.CostKnown, "Cost: "+ends(number(b.CostLow, 2), number(b.CostHigh, 2))+" a head a day, in the money of the prices typed."),
		provided(b.HeadDaysKnown, left+"."),
	)
	for _, l := range b.Binding {
		t.items("Right at its limit: " + l.Limit.String() + provided(l.Feed != "", " of "+Clean(l.Feed)) + ".")
	}
	t.beside(x)
	if x.load != nil {
		t.title("A DAY'S LOAD for " + number(p.Head, 0) + " head at the high end of intake")
		for _, l := range x.load.Parts {
			t.items(provided(l.KgAsFed > 0, Clean(l.Feed)+": "+x.s.u.heavy(l.KgAsFed)+" as fed."))
		}
		t.items("In all " + x.s.u.heavy(x.load.KgFed) + " as fed, " + x.below(x.load.PerHead.PPMN) + " ppm NO3-N with the water.")
	}
	if len(b.StepUp) > 0 {
		t.title("STEP BY STEP (each step is a blend that stays below the line)")
		for _, s := range b.StepUp {
			t.items(Clean(s.Words(b.Parts)) + "; " + x.below(s.WorstPPMN) + " ppm with the water.")
		}
	}
	t.title("WITH EVERY BLEND")
	for _, n := range b.Notes {
		t.para("  - ", "    ", Clean(n.Text)+x.refs.mark(n.Source, ""))
	}
}
