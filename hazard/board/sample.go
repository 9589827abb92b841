package board

import (
	"fmt"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/ration"
)

// SampleAsk is what a person asks of a sampling plan. Analyte is nitrate or
// hcn; WidthPPM is the half-width wanted, ppm NO3-N on dry matter, 0 for a
// fifth of the mean.
type SampleAsk struct {
	Analyte  string
	WidthPPM float64
}

// sampling is the taking of one sample of a paddock or lot.
type sampling struct {
	*speaker
	id   string
	lot  *hazard.LotAnswer // nil: of a paddock
	plan ration.Plan
}

// NewSampleSheet says how to take one sample of a paddock or lot, what to write
// on its bag, and what earlier results tell of how many more are wanted. It
// decides nothing: a limit of a mean never clears a lot.
func NewSampleSheet(a *hazard.Assessment, id string, ask SampleAsk) (Sheet, error) {
	e, err := Why(a, id, Filter{})
	if err != nil {
		return nil, err
	}
	x := &sampling{speaker: newSpeaker(a, UnitsOf(a.History)), id: id}
	if e.Lot {
		x.lot = lotOf(a, id)
		x.plan, err = ration.LotPlan(a.Book, ask.Analyte, string(x.lot.Facts.LotKind), x.bales())
	} else {
		x.plan, err = ration.StandingPlan(a.Book, ask.Analyte)
	}
	what, of := "nitrate", hazard.Nitrate
	if ask.Analyte == "hcn" {
		what, of = "prussic acid (HCN)", hazard.PrussicAcid
	}
	return func(t *text) {
		var r refs
		t.para("", "  ", e.Name+", "+e.Farm+", "+x.on.Words()+": a sample for "+what)
		t.para("", "", "Known at "+e.KnownAt+".")
		t.para("", "  ", sentence(x.usedUp(id)))
		t.paras("Today's answer: ", "  ", x.now(of))
		count, bag, flags := x.counts()
		t.title(count)
		t.title("HOW")
		for i, s := range x.plan.Steps {
			t.para(fmt.Sprintf("%3d. ", i+1), "     ", Clean(s.Text)+r.mark(s.Source, s.Basis))
		}
		for _, c := range x.plan.Conflicts {
			t.title("PUBLICATIONS DISAGREE: " + Clean(c.Question))
			for _, s := range c.Says {
				t.para("  - ", "    ", Clean(s.Text)+r.mark(s.Source, s.Basis))
			}
			t.para("  ", "  ", Clean(c.Do))
		}
		x.bag(t, e, count, bag, flags)
		t.title("WHAT RESULTS SO FAR TELL")
		if of == hazard.Nitrate {
			t.items(x.results(ask.WidthPPM)...)
		} else {
			t.items("Prussic acid changes within hours and from plant to plant: no number of samples makes a mean of it that counts.")
		}
		t.items("Limits of means never clear a lot or a stand: the highest value of a sampling decides. They serve mixed rations and plans like this one.")
		r.print(t)
	}, err
}

// bales is how many bales the lot has, 0 where that was not said.
func (x *sampling) bales() int {
	if x.lot == nil || x.lot.Facts.Bales == nil {
		return 0
	}
	return int(*x.lot.Facts.Bales)
}

// now is what stands in the answer of today about samples of this kind.
func (x *sampling) now(of hazard.Hazard) (out []string) {
	var reasons []hazard.Reason
	if x.lot != nil {
		for i := range x.lot.Verdicts {
			reasons = append(reasons, x.lot.Verdicts[i].Hazards[of].Reasons...)
		}
	} else if p := x.a.Paddock(x.id); p != nil {
		for _, c := range FarmClasses(x.h) {
			if v := p.Verdict(hazard.Graze, c); v != nil {
				reasons = append(reasons, v.Hazards[of].Reasons...)
			}
		}
	}
	told := map[string]bool{} // a wait is told once, whatever it does to each class
	for i := range reasons {
		key := reasons[i].Rule + reasons[i].On.String()
		if _, task := x.act(&reasons[i]); task != taskSample || told[key] {
			continue
		}
		told[key] = true
		line := x.short(&reasons[i], hazard.Graze)
		if end := reasons[i].Stress.Ends; end != fields.NoDate && end != hazard.NoEnd {
			line = sentence(line) + " Through " + x.date(end) + " no result makes it better than ASK FIRST."
		}
		if !contains(out, line) {
			out = append(out, line)
		}
	}
	return out
}

// bag is what belongs on the label, and the command that logs the sample as sent.
func (x *sampling) bag(t *text, e *Explanation, count string, counts []string, flags string) {
	from, at := e.Name, flags+" "+Clean(x.id)
	if x.lot != nil {
		at = " --lot " + Clean(x.id) + flags
	} else if id := Clean(x.id); id != from {
		from += " (" + id + ")"
	}
	wanted := "prussic acid (HCN) in ppm on dry matter, with the dry matter in %"
	if x.plan.Analyte == "nitrate" {
		wanted = "nitrate, told as NO3-N or NO3 (which?), in ppm or %, on dry matter, with the dry matter in %"
	}
	t.title("ON THE BAG")
	t.items("farm: "+e.Farm, "from: "+from, "taken: "+x.on.Words()+", at __:__, by ____________",
		"sample: a name of your own, also in the journal: ____________")
	t.items(counts...)
	t.items("wanted: " + wanted)
	t.para("", "  ", "When it is sent: rimegate log sampled --sample NAME --lab LAB"+at)
}

// counts is what is to be taken: in one sentence, for the label, and as flags.
func (x *sampling) counts() (sentence string, label []string, flags string) {
	p, cut := &x.plan, x.cut()
	switch {
	case x.lot == nil && p.Analyte == "nitrate":
		return fmt.Sprintf("Take %d stems or more from %d spots or more, cut at %s or lower.", p.Stems, p.Spots, cut),
			[]string{fmt.Sprintf("stems: ____ (%d or more), spots: ____ (%d or more)", p.Stems, p.Spots), "cut at: ____ (" + cut + " or lower)"},
			fmt.Sprintf(" --stems %d --spots %d --cut %s", p.Stems, p.Spots, strings.ReplaceAll(cut, " ", ""))
	case x.lot == nil:
		return fmt.Sprintf("Take %d plants or more.", p.Stems),
			[]string{"plants: ____, state: sealed / frozen / dried"}, fmt.Sprintf(" --stems %d", p.Stems)
	case p.Bales > 0:
		of := provided(x.bales() > 0, fmt.Sprintf(" of %d", x.bales()))
		return fmt.Sprintf("Core %d bales or more, %d cores in all.", p.Bales, p.Cores),
			[]string{fmt.Sprintf("bales cored: ____%s (%d or more), cores: ____", of, p.Bales)},
			fmt.Sprintf(" --bales-cored %d --cores %d", p.Bales, p.Cores)
	}
	return fmt.Sprintf("Take %d cores or more.", p.Cores),
		[]string{fmt.Sprintf("cores: ____ (%d or more)", p.Cores)}, fmt.Sprintf(" --cores %d", p.Cores)
}

func (x *sampling) cut() string { return x.u.cutAt(x.plan.MaxCutCM) }

// results is what earlier laboratory results tell. width is as in SampleAsk.
func (x *sampling) results(width float64) (out []string) {
	single, composite, on := x.earlier()
	values, what := single, "results of single bales"
	if x.lot == nil {
		what = "values of the sampling of " + x.date(on)
	} else if len(single) < 2 && len(composite) > 0 {
		values, what = composite, "composite results"
	}
	if len(values) == 0 {
		out = append(out, "No lab result yet that can be counted on: how far results stray here is not known. "+
			"In one field 23 round bales strayed by "+number(ration.OneFieldCVPct, 0)+" % of their mean; one field is no survey.")
		if n, ok := ration.SamplesFor(ration.OneFieldCVPct, 20); ok {
			out = append(out, fmt.Sprintf("With that spread, %d samples one by one would tell the mean within a fifth at 95 %%.", n))
		}
		return out
	}
	m, err := ration.SpreadOf(values)
	if err != nil {
		return nil
	}
	out = append(out, "Earlier: "+plural(m.N, "value")+" ("+what+"), mean "+ppm(m.Mean)+" ppm NO3-N on dry matter, highest "+ppm(m.Highest)+
		provided(m.N > 1, "; the mean lies within "+ppm(m.HalfWidth)+" ppm of that at 95 %")+".")
	half, asked := width, "as asked"
	if half == 0 {
		half, asked = m.Mean/5, "a fifth of the mean"
	}
	wanted := "For a mean within " + ppm(half) + " ppm (" + asked + ") at 95 % "
	switch more, err := ration.MoreSamples(values, half); {
	case err != nil:
		out = append(out, "How many more are wanted cannot be told: "+err.Error()+".")
	case more == 0:
		out = append(out, wanted+"these are enough.")
	default:
		out = append(out, wanted+"about "+plural(more, "more sample")+" would be wanted, if they stray as these do.")
	}
	if x.lot != nil {
		out = append(out, x.worst(single))
	}
	return out
}

// worst is the chance that no untested bale reaches the clear line.
func (x *sampling) worst(single []float64) string {
	line, table, class := clearLine(x.a)
	if x.bales() == 0 {
		return provided(x.plan.Bales > 0, "How many bales the lot has was not said, so nothing can be told of the worst one.")
	}
	if math.IsInf(line, 1) {
		return ""
	}
	at := ppm(line) + " ppm NO3-N, the clear line for " + class.Stock() + " (table " + Clean(table) + ")"
	unknown := "The worst bale against " + at + ": cannot be told; "
	if len(single) == 0 {
		return unknown + "a composite tells the mean of its bales and nothing of the hottest. Have 3 or more bales tested one by one."
	}
	w, err := ration.ChanceOfWorst(single, x.bales(), line)
	switch {
	case err != nil:
		return sentence(Clean(err.Error()))
	case !w.Known:
		return unknown + w.Why + "."
	}
	return fmt.Sprintf("The chance that one of the %s untested bales is at or above %s: %s; %s.",
		number(float64(w.Untested), 0), at, chance(1-w.Below), w.Words)
}

// clearLine is the lowest clear line among the classes of the farm's herds.
func clearLine(a *hazard.Assessment) (ppmN float64, table string, class hazard.Class) {
	ppmN = math.Inf(1)
	for _, c := range FarmClasses(a.History) {
		if l, t := a.Book.NitrateClearLine(c); l < ppmN {
			ppmN, table, class = l, t, c
		}
	}
	return ppmN, table, class
}

// chance prints a probability without pretending to more than it knows.
func chance(p float64) string {
	switch {
	case math.IsNaN(p):
		return "not known"
	case p <= 0.005:
		return "under 1 in 100"
	case p >= 0.995:
		return "over 99 in 100"
	}
	return "about " + number(p*100, 0) + " in 100"
}

// earlier gathers laboratory results as ppm NO3-N on dry matter: of a stand
// those of the latest sampling, since levels move from day to day; of a lot all
// of them, single bales apart from composites.
func (x *sampling) earlier() (single, composite []float64, on fields.Date) {
	var facts []fields.Fact
	if x.lot != nil {
		facts = x.h.OfLot(x.id)
	} else {
		for _, r := range hazard.RecordsOf(x.h, x.book, x.id) {
			facts = append(facts, r.Nitrate...)
		}
	}
	for _, f := range facts {
		l, ok := f.Body.(*fields.Lab)
		if !ok || l.Analyte != "nitrate" || l.Method != "lab" || x.lot == nil && f.Date < on {
			continue
		}
		if x.lot == nil && f.Date > on {
			single, on = nil, f.Date
		}
		to := &composite
		if x.lot == nil || len(l.Values) > 1 || l.BalesCored != nil && *l.BalesCored == 1 {
			to = &single
		}
		for _, v := range l.Numbers() {
			if p, ok := hazard.NitrateDM(l, v); ok {
				*to = append(*to, hazard.ConvertNitrate(p, l.Form, "NO3-N"))
			}
		}
	}
	return single, composite, on
}
