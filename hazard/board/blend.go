package board

import (
	"errors"
	"fmt"
	"io"
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
}

// BlendSheet is a mixture in words. A blend clears no lot.
type BlendSheet struct {
	sheet
	Herd    string
	Classes []hazard.Class
	Head    float64
	Feeds   []BlendFeed
	Problem ration.Problem
	Blend   *ration.Blend
	None    *ration.Infeasible // no mixture meets every limit
	Load    *ration.Load
	Water   string
	Aim     string
	refs    refs
}

// BlendFeed is a lot as taken into a blend.
type BlendFeed struct {
	Lot    string
	Result string // where its nitrate comes from
	Answer string // the lot's own answer for the herd, which stays
}

// BlendRefused says, a sentence each, what must be settled before a blend can be
// worked out.
type BlendRefused []string

func (e BlendRefused) Error() string { return strings.Join(e, "\n") }

// NewBlendSheet works a blend out. The error is BlendRefused where a feed cannot
// be used.
func NewBlendSheet(a *hazard.Assessment, ask BlendAsk) (*BlendSheet, error) {
	s := newSpeaker(a, UnitsOf(a.History))
	x := &BlendSheet{sheet: s.sheet(), Herd: Clean(ask.Herd)}
	var wrong BlendRefused
	refuse := func(format string, v ...any) { wrong = append(wrong, fmt.Sprintf(format, v...)) }
	g := a.History.Herd(ask.Herd)
	if g == nil {
		return nil, BlendRefused{fmt.Sprintf("there is no herd %q", Clean(ask.Herd))}
	}
	x.Classes = herdClasses(g)
	if len(x.Classes) == 0 {
		refuse("the herd %s has no class; set it with `rimegate herd set --class`", x.Herd)
	}
	if g.Head != nil {
		x.Head = *g.Head
	}
	p := &x.Problem
	p.Head, p.Days, p.MinTDNPct, p.MinProteinPct = x.Head, ask.Days, ask.MinTDN, ask.MinProt
	p.Intake = ration.Range{Low: math.Inf(1)}
	for _, c := range x.Classes {
		kg, _, src, err := intakeOf(g, c)
		if err != nil {
			refuse("%s", err)
			break
		}
		for _, r := range src {
			x.refs.mark(r, "")
		}
		p.Intake.Low, p.Intake.High = min(p.Intake.Low, kg.Low), max(p.Intake.High, kg.High)
	}
	if err := x.water(s, g, ask.Litres); err != nil {
		refuse("%s", err)
	}
	for _, id := range ask.Feeds {
		f, words, err := x.feed(s, a, id, ask)
		if err != nil {
			refuse("%s", err)
			continue
		}
		p.Feeds = append(p.Feeds, f)
		x.Feeds = append(x.Feeds, words)
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	p.ForClasses(a.Book, x.Classes...)
	x.Aim = "the lowest cost"
	priced := len(ask.Cost) > 0
	switch {
	case ask.Longest != "":
		x.Aim = "to make " + Clean(ask.Longest) + " last: as little of it as the limits allow"
		none, one := 0.0, 1000.0
		for i := range p.Feeds { // the cheapest mixture is then the one with the least of that lot
			p.Feeds[i].CostPerTonne = &none
			if p.Feeds[i].Name == ask.Longest {
				p.Feeds[i].CostPerTonne = &one
			}
		}
	case ask.UseUp || !priced:
		x.Aim = "to use up as much as may be of what is too hot by itself"
		p.Aim = ration.MostRisky
	}
	b, err := ration.Solve(*p)
	if err != nil && !errors.As(err, &x.None) {
		return nil, BlendRefused(strings.Split(err.Error(), "\n"))
	}
	x.Blend = b
	if b != nil && !priced {
		b.CostKnown = false // those were no prices
	}
	if b != nil && ask.StepKg > 0 {
		if !(x.Head > 0) {
			return nil, BlendRefused{"a load needs the number of head; set it with `rimegate herd set --head`"}
		}
		if x.Load, err = b.Load(x.Head, p.Intake.High, ask.StepKg); err != nil {
			return nil, BlendRefused{err.Error()}
		}
	}
	return x, nil
}

// water takes the worst tested water of the herd, at the most any of its
// classes drinks in summer.
func (x *BlendSheet) water(s *speaker, g *fields.Herd, litres float64) error {
	w := (&WaterSheet{sheet: x.sheet}).herd(s, g, WaterAsk{Litres: litres})
	x.Water = w.Water
	if !w.Tested {
		return nil
	}
	p := &x.Problem.Water
	*p, _ = s.worstWater(g.HerdFacts.Herd, g.In)
	for _, c := range w.Classes {
		if c.Fault != "" {
			return errors.New(c.Fault)
		}
		if c.Litres > p.Litres {
			p.Litres = c.Litres
			x.Water = w.Water + "; " + x.u.litres(c.Litres) + " a head a day (" + c.Drinks + ")"
		}
	}
	return nil
}

// feed makes a lot a feed of the problem; what it lacks is the error.
func (x *BlendSheet) feed(s *speaker, a *hazard.Assessment, id string, ask BlendAsk) (ration.Feed, BlendFeed, error) {
	f, words := ration.Feed{Name: id}, BlendFeed{Lot: Clean(id)}
	l := lotOf(a, id)
	if l == nil {
		return f, words, fmt.Errorf("there is no lot %q", Clean(id))
	}
	flags := map[hazard.Flag][]hazard.Class{}
	for _, c := range x.Classes {
		v := l.Verdict(c)
		if v == nil {
			continue
		}
		for _, h := range v.Hazards {
			if h.Hazard != hazard.Nitrate && h.Flag == hazard.Hold {
				through := ThroughWords(h.Flag, h.Through)
				if through == "no date" {
					through = "with no date"
				}
				return f, words, fmt.Errorf("%s is on HOLD for %s (%s) for %s: a blend thins nitrate and lifts nothing else", words.Lot, HazardWord(h.Hazard), through, c)
			}
		}
		flags[v.Flag] = append(flags[v.Flag], c)
	}
	var answers []string
	for _, f := range []hazard.Flag{hazard.Hold, hazard.Caution, hazard.Clear} {
		if len(flags[f]) > 0 {
			answers = append(answers, FlagWord(f)+" for "+classList(flags[f]))
		}
	}
	words.Answer = strings.Join(answers, ", ")
	if l.Facts.DMPct != nil {
		f.DMPct = *l.Facts.DMPct
	}
	values, against, err := lotNitrate(s.h, id, &f.DMPct)
	if err != nil {
		return f, words, err
	}
	v, how, err := ration.ForMixing(values)
	if err != nil {
		return f, words, err
	}
	f.PPMN, words.Result = v, how
	if against > v {
		f.PPMN, words.Result = against, "a strip or quick test read more than the laboratory, so "+ppm(against)+" is used"
	}
	if dm, ok := ask.DM[id]; ok {
		f.DMPct = dm
	}
	if l.Facts.Tonnes != nil {
		kg := *l.Facts.Tonnes * 1000
		for _, x := range s.h.OfLot(id) {
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
	return f, words, nil
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
				return nil, 0, fmt.Errorf("the nitrate of %s sampled %s is told as fed: what is its dry matter? Log the result again with --dm, like --dm 86%%", Clean(id), f.Date.Words())
			}
			n := hazard.ConvertNitrate(p, l.Form, "NO3-N")
			if l.Method == "lab" {
				values = append(values, n)
			} else {
				tests, against = tests+1, max(against, n)
			}
		}
	}
	switch {
	case len(values) == 0 && tests > 0:
		return nil, 0, fmt.Errorf("%s was only tested by strip or quick test, which can warn and never clears: what does a laboratory say? `rimegate sample %s` shows how to take it", Clean(id), Clean(id))
	case len(values) == 0:
		return nil, 0, fmt.Errorf("%s has no nitrate result: what does a laboratory say? `rimegate sample %s` shows how to take it; an untested feed is no safe feed", Clean(id), Clean(id))
	}
	return values, against, nil
}

// heavy prints a weight of feed in kg, from two tonnes on in tonnes.
func (u Units) heavy(kg float64) string {
	if kg >= 2000 {
		return u.both(fields.Tonnage, kg/1000)
	}
	return u.both(fields.Weight, kg)
}

// Text writes the sheet at most width cells a line.
func (x *BlendSheet) Text(w io.Writer, width int) error {
	t := newText(w, width)
	p := &x.Problem
	t.head(&x.sheet, "a blend for "+x.Herd+" ("+number(x.Head, 0)+" head, "+classList(x.Classes)+")")
	t.para("CAUTION: ", "  ", "animals may die of a blend that was weighed, mixed or tested wrong. Ask a veterinarian or a feed adviser before the first load. The flags of the lots stay what they are.")
	t.title("FEEDS")
	for i := range x.Feeds {
		f := &p.Feeds[i]
		line := x.Feeds[i].Lot + ": " + ppm(f.PPMN) + " ppm NO3-N on dry matter (" + x.Feeds[i].Result + ")"
		if f.DMPct > 0 {
			line += ", " + number(f.DMPct, 1) + " % dry matter"
		}
		if f.OnHandKg != nil {
			line += ", " + x.u.heavy(*f.OnHandKg) + " on hand"
		}
		if f.MaxShare != nil {
			line += "; at most " + number(*f.MaxShare, 1) + " % by " + orNone(f.MaxShareWhy)
		}
		t.items(line + ". By itself: " + x.Feeds[i].Answer + ".")
	}
	t.para("  Water: ", "    ", x.Water+".")
	t.para("  Line: ", "    ", "the diet, feed and water together, stays below "+ppm(p.CeilingPPMN)+" ppm NO3-N on dry matter ("+Clean(p.CeilingWhy)+").")
	t.para("  Intake: ", "    ", x.u.weights(p.Intake)+" of dry matter a head a day.")
	if x.None != nil {
		t.infeasible(x.None)
	} else {
		t.blend(x)
	}
	x.refs.print(t)
	return t.flush()
}

func (t *text) infeasible(e *ration.Infeasible) {
	t.title("NO BLEND: no mixture of these feeds meets every limit.")
	way := "Together these are in the way:"
	if e.Each {
		way = "Any one of these by itself is in the way:"
	}
	t.items(way)
	for _, s := range e.Limits {
		t.para("  - ", "    ", Clean(s.Text)+" ("+s.Limit.String()+").")
	}
	t.items(
		provided(e.MostDays > 0, "With what is on hand a mixture lasts "+plural(e.MostDays, "day")+"."),
		"The nitrate line is not to be moved: find a feed lower in nitrate, or more of it.",
	)
}

// part says how much of one feed goes into the blend.
func (x *BlendSheet) part(i int) string {
	f := &x.Blend.Parts[i]
	if f.SharePct <= 0 {
		why := ""
		if m := x.Problem.Feeds[i].MaxShare; m != nil && *m <= 0 {
			why = ": " + orNone(x.Problem.Feeds[i].MaxShareWhy) + " say not to feed it"
		}
		return Clean(f.Feed) + ": none" + why + "."
	}
	line := Clean(f.Feed) + ": " + number(f.SharePct, 1) + " % of the dry matter, " + x.u.weights(f.KgDM) + " dry"
	if f.AsFedOK {
		line += ", " + x.u.weights(f.KgAsFed) + " as fed"
	} else {
		line += "; its dry matter is not known, so no weight as fed"
	}
	if !math.IsInf(f.LastsDays, 1) {
		line += "; lasts the herd " + plural(int(math.Floor(f.LastsDays)), "day")
	}
	return line + provided(f.Risky, "; TOO HOT BY ITSELF") + "."
}

func (t *text) blend(x *BlendSheet) {
	b, p := x.Blend, &x.Problem
	t.title("THE BLEND, a head a day; aim: " + x.Aim)
	for i := range b.Parts {
		t.items(x.part(i))
	}
	diet := "Diet: " + number(b.Low.Grams(), 1)
	if b.Low.Grams() != b.High.Grams() {
		diet += " to " + number(b.High.Grams(), 1)
	}
	diet += " g NO3-N a head a day, " + ppm(b.Low.PPMN) + " ppm"
	if b.Low.PPMN != b.High.PPMN {
		diet += " at the low end of intake, " + ppm(b.High.PPMN) + " at the high end"
	}
	at := "; the line is "
	if ppm(max(b.Low.PPMN, b.High.PPMN)) == ppm(p.CeilingPPMN) {
		at = "; a hair below the line of "
	}
	left := "On hand for " + number(float64(b.HeadDays), 0) + " head-days of this mixture"
	if x.Head > 0 {
		left += ", " + plural(b.HeadDays/int(x.Head), "day") + " for " + number(x.Head, 0) + " head"
	}
	t.items(
		diet+at+ppm(p.CeilingPPMN)+".",
		provided(b.TDNPct > 0, "Energy: "+number(b.TDNPct, 1)+" % TDN of the dry matter."),
		provided(b.ProteinPct > 0, "Protein: "+number(b.ProteinPct, 1)+" % of the dry matter."),
		provided(b.CostKnown, "Cost: "+ends(number(b.CostLow, 2), number(b.CostHigh, 2))+" a head a day, in the money of the prices typed."),
		provided(b.HeadDaysKnown, left+"."),
	)
	for _, l := range b.Binding {
		t.items("Right at its limit: " + l.Limit.String() + provided(l.Feed != "", " of "+Clean(l.Feed)) + ".")
	}
	if x.Load != nil {
		t.title("A DAY'S LOAD for " + number(x.Head, 0) + " head at the high end of intake")
		for _, l := range x.Load.Parts {
			t.items(provided(l.KgAsFed > 0, Clean(l.Feed)+": "+x.u.heavy(l.KgAsFed)+" as fed."))
		}
		t.items("In all " + x.u.heavy(x.Load.KgFed) + " as fed, " + ppm(x.Load.PerHead.PPMN) + " ppm NO3-N with the water.")
	}
	if len(b.StepUp) > 0 {
		t.title("STEP BY STEP (each step is a blend that stays below the line)")
		for _, s := range b.StepUp {
			t.items(Clean(s.Words(b.Parts)) + "; " + ppm(s.WorstPPMN) + " ppm with the water.")
		}
	}
	t.title("WITH EVERY BLEND")
	for _, n := range b.Notes {
		t.para("  - ", "    ", Clean(n.Text)+x.refs.mark(n.Source, ""))
	}
}
