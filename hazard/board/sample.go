package board

import (
	"fmt"
	"io"
	"math"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/ration"
)

// SampleSheet says how to take one sample of a paddock or lot, what to write on
// its bag, and what earlier results tell of how many more are wanted. It
// decides nothing: a limit of a mean never clears a lot.
type SampleSheet struct {
	sheet
	ID, Name string
	Lot      bool
	Plan     ration.Plan
	Now      []string // what the answer of today wants of a sample
	Count    string   // the plan in one sentence
	Bag      []string
	Log      string // the command that logs the sample as sent
	Results  []string
}

// SampleAsk is what a person asks of a sampling plan. Analyte is nitrate or
// hcn; WidthPPM is the half-width wanted, ppm NO3-N on dry matter, 0 for a
// fifth of the mean.
type SampleAsk struct {
	Analyte  string
	WidthPPM float64
}

// NewSampleSheet makes the sheet of a paddock or lot.
func NewSampleSheet(a *hazard.Assessment, id string, ask SampleAsk) (*SampleSheet, error) {
	e, err := Why(a, id, Filter{})
	if err != nil {
		return nil, err
	}
	s := newSpeaker(a, UnitsOf(a.History))
	x := &SampleSheet{sheet: s.sheet(), ID: id, Name: e.Name, Lot: e.Lot}
	bales := 0
	if e.Lot {
		l := lotOf(a, id)
		if l.Facts.Bales != nil {
			bales = int(*l.Facts.Bales)
		}
		x.Plan, err = ration.LotPlan(a.Book, ask.Analyte, string(l.Facts.LotKind), bales)
	} else {
		x.Plan, err = ration.StandingPlan(a.Book, ask.Analyte)
	}
	if err != nil {
		return nil, err
	}
	x.now(s, a, e)
	x.bag(bales)
	if ask.Analyte == "nitrate" {
		x.results(s, a, ask.WidthPPM, bales)
	} else {
		x.Results = []string{"Prussic acid changes within hours and from plant to plant: no number of samples makes a mean of it that counts."}
	}
	return x, nil
}

// now is what stands in the answer of today about samples of this kind.
func (x *SampleSheet) now(s *speaker, a *hazard.Assessment, e *Explanation) {
	want := hazard.Nitrate
	if x.Plan.Analyte == "hcn" {
		want = hazard.PrussicAcid
	}
	var reasons []hazard.Reason
	if e.Lot {
		l := lotOf(a, x.ID)
		for i := range l.Verdicts {
			reasons = append(reasons, l.Verdicts[i].Hazards[want].Reasons...)
		}
	} else if p := paddockOf(a, x.ID); p != nil {
		for _, c := range FarmClasses(a.History) {
			if v := p.Verdict(hazard.Graze, c); v != nil {
				reasons = append(reasons, v.Hazards[want].Reasons...)
			}
		}
	}
	told := map[string]bool{} // a wait is told once, whatever it does to each class
	for i := range reasons {
		if _, task := s.act(&reasons[i]); task != taskSample {
			continue
		}
		key := reasons[i].Rule + reasons[i].On.String()
		if told[key] {
			continue
		}
		told[key] = true
		line := s.short(&reasons[i], hazard.Graze)
		if end := reasons[i].Stress.Ends; end != fields.NoDate && end != hazard.NoEnd {
			line = sentence(line) + " Through " + end.Words() + " no result makes it better than ASK FIRST."
		}
		if !contains(x.Now, line) {
			x.Now = append(x.Now, line)
		}
	}
}

// bag is what belongs on the label, and the count and the command with it.
func (x *SampleSheet) bag(bales int) {
	from, at := x.Name, " "+Clean(x.ID)
	if id := Clean(x.ID); id != from && !x.Lot {
		from += " (" + id + ")"
	}
	wanted := "prussic acid (HCN) in ppm on dry matter, with the dry matter in %"
	if x.Plan.Analyte == "nitrate" {
		wanted = "nitrate, told as NO3-N or NO3 (which?), in ppm or %, on dry matter, with the dry matter in %"
	}
	count, label, flags := x.counts(bales)
	if x.Lot {
		at, flags = "", " --lot "+Clean(x.ID)+flags
	}
	x.Count = count
	x.Bag = append([]string{
		"farm: " + x.Farm, "from: " + from, "taken: " + x.On.Words() + ", at __:__, by ____________",
		"sample: a name of your own, also in the journal: ____________",
	}, append(label, "wanted: "+wanted)...)
	x.Log = "rimegate log sampled --sample NAME --lab LABORATORY" + flags + at
}

// counts is what is to be taken: in one sentence, for the label, and as flags.
func (x *SampleSheet) counts(bales int) (sentence string, label []string, flags string) {
	p, cut := &x.Plan, x.cut()
	switch {
	case !x.Lot && p.Analyte == "nitrate":
		return fmt.Sprintf("Take %d stems or more from %d spots or more, cut at %s or lower.", p.Stems, p.Spots, cut),
			[]string{fmt.Sprintf("stems: ____ (%d or more), spots: ____ (%d or more)", p.Stems, p.Spots), "cut at: ____ (" + cut + " or lower)"},
			fmt.Sprintf(" --stems %d --spots %d --cut %s", p.Stems, p.Spots, strings.ReplaceAll(cut, " ", ""))
	case !x.Lot:
		return fmt.Sprintf("Take %d plants or more.", p.Stems),
			[]string{"plants: ____, state: sealed / frozen / dried"}, fmt.Sprintf(" --stems %d", p.Stems)
	case p.Bales > 0:
		of := provided(bales > 0, fmt.Sprintf(" of %d", bales))
		return fmt.Sprintf("Core %d bales or more, %d cores in all.", p.Bales, p.Cores),
			[]string{fmt.Sprintf("bales cored: ____%s (%d or more), cores: ____", of, p.Bales)},
			fmt.Sprintf(" --bales-cored %d --cores %d", p.Bales, p.Cores)
	}
	return fmt.Sprintf("Take %d cores or more.", p.Cores),
		[]string{fmt.Sprintf("cores: ____ (%d or more)", p.Cores)}, fmt.Sprintf(" --cores %d", p.Cores)
}

// results is what earlier laboratory results tell.
func (x *SampleSheet) results(s *speaker, a *hazard.Assessment, width float64, bales int) {
	single, composite, on := x.earlier(s.h, a.Book)
	values, what := single, "results of single bales"
	if !x.Lot {
		what = "values of the sampling of " + on.Words()
	} else if len(single) < 2 && len(composite) > 0 {
		values, what = composite, "composite results"
	}
	if len(values) == 0 {
		x.Results = append(x.Results, "No laboratory result yet that can be counted on: how far results stray here is not known. In one field 23 round bales strayed by "+
			number(ration.OneFieldCVPct, 0)+" % of their mean; one field is no survey.")
		if n, ok := ration.SamplesFor(ration.OneFieldCVPct, 20); ok {
			x.Results = append(x.Results, fmt.Sprintf("With that spread, %d samples one by one would tell the mean within a fifth at 95 %%.", n))
		}
		return
	}
	m, err := ration.SpreadOf(values)
	if err != nil {
		return
	}
	line := "Earlier: " + plural(m.N, "value") + " (" + what + "), mean " + ppm(m.Mean) + " ppm NO3-N on dry matter, highest " + ppm(m.Highest)
	if m.N > 1 {
		line += "; the mean lies within " + ppm(m.HalfWidth) + " ppm of that at 95 %"
	}
	x.Results = append(x.Results, line+".")
	half, asked := width, "as asked"
	if half == 0 {
		half, asked = m.Mean/5, "a fifth of the mean"
	}
	more, err := ration.MoreSamples(values, half)
	switch {
	case err != nil:
		x.Results = append(x.Results, "How many more are wanted cannot be told: "+err.Error()+".")
	case more == 0:
		x.Results = append(x.Results, "For a mean within "+ppm(half)+" ppm ("+asked+") at 95 % these are enough.")
	default:
		x.Results = append(x.Results, "For a mean within "+ppm(half)+" ppm ("+asked+") at 95 % about "+plural(more, "more sample")+" would be wanted, if they stray as these do.")
	}
	if x.Lot {
		x.worst(a, single, bales)
	}
}

// worst is the chance that no untested bale reaches the clear line.
func (x *SampleSheet) worst(a *hazard.Assessment, single []float64, bales int) {
	line, table, class := clearLine(a)
	if math.IsInf(line, 1) || bales == 0 {
		if bales == 0 && x.Plan.Bales > 0 {
			x.Results = append(x.Results, "How many bales the lot has was not said, so nothing can be told of the worst one.")
		}
		return
	}
	at := ppm(line) + " ppm NO3-N, the clear line for " + class.String() + " (table " + Clean(table) + ")"
	if len(single) == 0 {
		x.Results = append(x.Results, "The worst bale against "+at+": cannot be told; a composite tells the mean of its bales and nothing of the hottest. Have 3 or more bales tested one by one.")
		return
	}
	w, err := ration.ChanceOfWorst(single, bales, line)
	switch {
	case err != nil:
		x.Results = append(x.Results, sentence(Clean(err.Error())))
	case !w.Known:
		x.Results = append(x.Results, "The worst bale against "+at+": cannot be told; "+w.Why+".")
	default:
		x.Results = append(x.Results, fmt.Sprintf("The chance that one of the %s untested bales is at or above %s: %s; %s.", number(float64(w.Untested), 0), at, chance(1-w.Below), w.Words))
	}
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
func (x *SampleSheet) earlier(h *fields.History, book *hazard.Rulebook) (single, composite []float64, on fields.Date) {
	var facts []fields.Fact
	if x.Lot {
		facts = h.OfLot(x.ID)
	} else {
		for _, r := range hazard.RecordsOf(h, book, x.ID) {
			facts = append(facts, r.Nitrate...)
		}
	}
	for _, f := range facts {
		l, ok := f.Body.(*fields.Lab)
		if !ok || l.Analyte != "nitrate" || l.Method != "lab" {
			continue
		}
		if !x.Lot && f.Date > on {
			single, on = nil, f.Date
		}
		if !x.Lot && f.Date < on {
			continue
		}
		var vs []float64
		for _, v := range l.Numbers() {
			if p, ok := hazard.NitrateDM(l, v); ok {
				vs = append(vs, hazard.ConvertNitrate(p, l.Form, "NO3-N"))
			}
		}
		if !x.Lot || len(l.Values) > 1 || l.BalesCored != nil && *l.BalesCored == 1 {
			single = append(single, vs...)
		} else {
			composite = append(composite, vs...)
		}
	}
	return single, composite, on
}

// Text writes the sheet at most width cells a line.
func (x *SampleSheet) Text(w io.Writer, width int) error {
	t := newText(w, width)
	var r refs
	what := "nitrate"
	if x.Plan.Analyte == "hcn" {
		what = "prussic acid (HCN)"
	}
	t.para("", "  ", x.Name+", "+x.Farm+", "+x.On.Words()+": a sample for "+what)
	t.para("", "", "Known at "+x.KnownAt+".")
	t.paras("Today's answer: ", "  ", x.Now)
	t.title(x.Count)
	t.title("HOW")
	for i, s := range x.Plan.Steps {
		t.para(fmt.Sprintf("%3d. ", i+1), "     ", Clean(s.Text)+r.mark(s.Source, s.Basis))
	}
	for _, c := range x.Plan.Conflicts {
		t.title("PUBLICATIONS DISAGREE: " + Clean(c.Question))
		for _, s := range c.Says {
			t.para("  - ", "    ", Clean(s.Text)+r.mark(s.Source, s.Basis))
		}
		t.para("  ", "  ", Clean(c.Do))
	}
	t.title("ON THE BAG")
	t.items(x.Bag...)
	t.para("", "  ", "When it is sent: "+x.Log)
	t.title("WHAT RESULTS SO FAR TELL")
	t.items(x.Results...)
	t.items("Limits of means never clear a lot or a stand: the highest value of a sampling decides. They serve mixed rations and plans like this one.")
	r.print(t)
	return t.flush()
}

// cut is the height of the cut: whole inches for who measures in them, since 4
// inches pass for 10 cm.
func (x *SampleSheet) cut() string {
	if x.u == US {
		return number(math.Round(x.Plan.MaxCutCM/2.54), 0) + " in"
	}
	return x.u.in(fields.Height, x.Plan.MaxCutCM)
}
