package board

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/ration"
)

// WaterAsk is whose water is asked about: a herd, the stock on a paddock, or
// both "" for every herd. Litres a head a day are taken as typed where they are
// not 0.
type WaterAsk struct {
	Herd, Paddock string
	Litres        float64
}

// WaterSheet adds up the nitrate of feed and water. It decides nothing: the
// flags that it shows beside the sums are the tables' own, and the answer of a
// paddock stands in its list.
type WaterSheet struct {
	sheet
	Sources []WaterSource
	Herds   []WaterHerd
}

// WaterSource is the latest result of one water.
type WaterSource struct {
	Name  string
	On    fields.Date
	Word  ration.WaterWord
	Of    string // whose water it is, in words
	Entry string
}

// WaterHerd is the sum for one herd.
type WaterHerd struct {
	Name, Head, Where string
	Water, Feed       string // what was taken for each
	Tested            bool
	FeedPPM           float64 // ppm NO3-N on dry matter; NaN: no result
	Classes           []WaterClass
}

// WaterClass is the sum for one class of a herd. Fault says what is missing.
type WaterClass struct {
	Class  hazard.Class
	Fault  string
	Intake string // where the intake comes from
	Litres float64
	Drinks string // where the litres come from
	Diet   ration.Diet
	Says   hazard.NitrateSays
	src    []hazard.Source
}

// NewWaterSheet makes the sheet.
func NewWaterSheet(a *hazard.Assessment, ask WaterAsk) *WaterSheet {
	s := newSpeaker(a, UnitsOf(a.History))
	x := &WaterSheet{sheet: s.sheet()}
	h := a.History
	for _, src := range hazard.WaterSources(h, h.On) {
		if !concerns(src, h, ask) {
			continue
		}
		f, w := src.Fact, src.Fact.Body.(*fields.Water)
		word, err := ration.JudgeWater(a.Book, hazard.WaterN(w))
		if err != nil {
			continue
		}
		x.Sources = append(x.Sources, WaterSource{Name: Clean(w.Source), On: f.Date, Word: word, Of: s.waterOf(src), Entry: f.ID})
	}
	for _, g := range h.Herds {
		id := g.HerdFacts.Herd
		if ask.Herd != "" && id != ask.Herd || ask.Paddock != "" && ask.Herd == "" && g.In != ask.Paddock {
			continue
		}
		x.Herds = append(x.Herds, x.herd(s, g, ask))
	}
	return x
}

func concerns(w hazard.WaterSource, h *fields.History, ask WaterAsk) bool {
	g := h.Herd(ask.Herd)
	if g == nil {
		return ask.Herd == "" && ask.Paddock == "" || drinks(w, h, ask.Herd, ask.Paddock)
	}
	return drinks(w, h, ask.Herd, cmp.Or(ask.Paddock, g.In))
}

// drinks reports a water of a herd, or on the land where it stands, which what
// that was split or joined from belongs to.
func drinks(w hazard.WaterSource, h *fields.History, herd, in string) bool {
	if herd != "" && contains(w.Herds, herd) {
		return true
	}
	return in != "" && slices.ContainsFunc(h.Lines(in), func(line []string) bool {
		return slices.ContainsFunc(line, func(p string) bool { return contains(w.Paddocks, p) })
	})
}

func (s *speaker) waterOf(w hazard.WaterSource) string {
	var of []string
	for _, p := range w.Paddocks {
		of = append(of, paddockName(s.h, p))
	}
	for _, g := range w.Herds {
		of = append(of, "the herd "+Clean(g))
	}
	if len(of) == 0 {
		return "no paddock and no herd is named with it, so nothing rests on it"
	}
	return "water of " + join(of)
}

func (x *WaterSheet) herd(s *speaker, g *fields.Herd, ask WaterAsk) WaterHerd {
	id := g.HerdFacts.Herd
	out := WaterHerd{Name: Clean(id), FeedPPM: math.NaN()}
	if g.Head != nil {
		out.Head = number(*g.Head, 0) + " head"
	}
	if g.WeightKg != nil {
		out.Head = strings.TrimPrefix(out.Head+", "+x.u.both(fields.Weight, *g.WeightKg)+" each", ", ")
	}
	in := cmp.Or(ask.Paddock, g.In)
	switch {
	case in == "":
		out.Where = "nobody said where it stands"
	case in != g.In:
		out.Where = "as if it stood in " + paddockName(s.h, in)
	default:
		out.Where = "in " + paddockName(s.h, in) + " since " + g.Since.Words()
	}
	w, from := s.worstWater(id, in)
	out.Tested, out.Water = w.Tested, from
	if !w.Tested {
		out.Water = "UNTESTED: nobody tested the water this herd drinks, so nothing is added for it. Have it tested; nitrate of feed and water adds up"
	}
	x.feed(s, &out, in)
	for _, c := range herdClasses(g) {
		out.Classes = append(out.Classes, x.class(s, g, c, w, ask.Litres, out.FeedPPM))
	}
	return out
}

// worstWater is the tested water of a herd with the most nitrate, and which it is.
func (s *speaker) worstWater(herd, in string) (w ration.Water, from string) {
	for _, src := range hazard.WaterSources(s.h, s.h.On) {
		b := src.Fact.Body.(*fields.Water)
		if n := hazard.WaterN(b); drinks(src, s.h, herd, in) && (!w.Tested || n > w.NMgL) {
			w.Tested, w.NMgL = true, n
			from = Clean(b.Source) + ", " + mgL(n) + ", sampled " + src.Fact.Date.Words()
		}
	}
	return w, from
}

// feed takes the highest value of the latest nitrate result of the stand.
func (x *WaterSheet) feed(s *speaker, out *WaterHerd, in string) {
	if in == "" {
		out.Feed = "not known where it grazes; only the water is counted"
		return
	}
	on := fields.NoDate
	for _, r := range hazard.RecordsOf(s.h, s.book, in) {
		for _, f := range r.Nitrate {
			n := labN(f.Body.(*fields.Lab))
			if math.IsInf(n, 1) || f.Date < on {
				continue
			}
			if f.Date > on || n > out.FeedPPM {
				on, out.FeedPPM = f.Date, n
			}
		}
	}
	if on == fields.NoDate {
		out.Feed = "no nitrate result of " + paddockName(s.h, in) + "; only the water is counted, and what grows there comes on top"
		return
	}
	out.Feed = ppm(out.FeedPPM) + " ppm NO3-N on dry matter in " + paddockName(s.h, in) + ", sampled " + on.Words()
}

func (x *WaterSheet) class(s *speaker, g *fields.Herd, c hazard.Class, w ration.Water, litres, feed float64) WaterClass {
	out := WaterClass{Class: c, Litres: litres, Drinks: "as typed"}
	kg, how, src, err := intakeOf(g, c)
	if err == nil && litres <= 0 {
		var row ration.Row
		out.Litres, row, err = ration.Litres(c, weightOf(g))
		out.Drinks, src = "summer, "+row.Kind, append(src, row.Source)
	}
	if err != nil {
		return WaterClass{Class: c, Fault: err.Error()}
	}
	out.Intake, out.src = how, src
	w.Litres = out.Litres
	if math.IsNaN(feed) {
		feed = 0
	}
	out.Diet = ration.DietOf(feed, kg, w)
	out.Says = s.book.JudgeNitrate(out.Diet.Worst(), c)
	return out
}

// weightOf is a head's weight in kg, 0 where it is not known.
func weightOf(g *fields.Herd) float64 {
	if g.WeightKg == nil {
		return 0
	}
	return *g.WeightKg
}

// intakeOf is what a head of a class eats: as the farm said it, else as
// published for its weight.
func intakeOf(g *fields.Herd, c hazard.Class) (kg ration.Range, how string, src []hazard.Source, err error) {
	if g.IntakePctBW == nil {
		kg, err = ration.Intake(c, weightOf(g))
		pct, low, high := ration.IntakePct(c)
		return kg, number(pct.Low, 2) + " to " + number(pct.High, 2) + " % of body weight, as published", []hazard.Source{low.Source, high.Source}, err
	}
	kg, err = ration.IntakeSaid(*g.IntakePctBW, weightOf(g))
	how = number(*g.IntakePctBW, 2) + " % of body weight, as the farm says"
	if outer, outside := ration.IntakeOutside(c, *g.IntakePctBW); outside && err == nil {
		how += fmt.Sprintf(" (outside the published %s to %s %%: check it)", number(outer.Low, 2), number(outer.High, 2))
	}
	return kg, how, nil, err
}

// mgL prints nitrate in water in both forms, the inside one first.
func mgL(n float64) string {
	return number(n, 1) + " mg NO3-N per litre (" + number(hazard.ConvertNitrate(n, "NO3-N", "NO3"), 1) + " mg NO3)"
}

// litresWords prints litres, with US gallons (3.785411784 L) for who reads them.
func (u Units) litres(v float64) string {
	gal := number(v/3.785411784, 1) + " gal"
	if u == US {
		return gal + " (" + number(v, 0) + " L)"
	}
	return number(v, 0) + " L (" + gal + ")"
}

// ends prints a range, one figure where both ends are the same.
func ends(low, high string) string {
	if low == high {
		return low
	}
	return low + " to " + high
}

// Text writes the sheet at most width cells a line.
func (x *WaterSheet) Text(w io.Writer, width int) error {
	t := newText(w, width)
	var r refs
	t.head(&x.sheet, "nitrate of water and feed")
	t.title("WATER TESTED")
	if len(x.Sources) == 0 {
		t.items("None. Untested water adds nothing to the sums below, and that makes none of them safe.")
	}
	for i := range x.Sources {
		o := &x.Sources[i]
		// A water below its line makes no stand clear.
		word := provided(o.Word.Flag != hazard.Clear, FlagWord(o.Word.Flag)+": ")
		t.items(word + o.Name + ", sampled " + o.On.Words() + ": " + Clean(o.Word.Text) + "; " + o.Of + ".")
	}
	for i := range x.Herds {
		t.waterHerd(x, &x.Herds[i], &r)
	}
	if len(x.Herds) == 0 {
		t.title("No herd to work it out for: set one up with `rimegate herd add`, or name one with --herd.")
	}
	t.title("PUBLISHED LINES FOR STOCK WATER")
	for _, l := range ration.WaterLines() {
		t.items(mgL(l.NMgL) + ": " + Clean(l.Says) + r.mark(l.Source, ""))
	}
	t.para("", "  ", "Diet-equivalent: (g from feed + g from water) x 1000 / kg dry matter, ppm NO3-N. The flags of paddocks and lots stand in `rimegate today`; this sum clears nothing.")
	r.print(t)
	return t.flush()
}

func (t *text) waterHerd(x *WaterSheet, g *WaterHerd, r *refs) {
	t.title(strings.ToUpper(g.Name) + provided(g.Head != "", " ("+g.Head+")") + ", " + g.Where)
	t.para("  Water: ", "    ", g.Water+".")
	t.para("  Feed: ", "    ", g.Feed+".")
	untested := math.IsNaN(g.FeedPPM)
	for i := range g.Classes {
		c := &g.Classes[i]
		if c.Fault != "" {
			t.items(c.Class.String() + ": cannot be worked out: " + Clean(c.Fault) + ".")
			continue
		}
		marks := ""
		for _, s := range c.src {
			if m := r.mark(s, ""); !strings.Contains(marks, m) {
				marks += m
			}
		}
		lo, hi := c.Diet.Low, c.Diet.High
		t.items(fmt.Sprintf("%s: eats %s of dry matter a head a day (%s), drinks %s (%s)%s.",
			c.Class, x.u.weights(ration.Range{Low: lo.KgDM, High: hi.KgDM}), c.Intake, x.u.litres(c.Litres), c.Drinks, marks))
		from := ends(number(lo.FeedG, 1), number(hi.FeedG, 1)) + " g from feed"
		if untested {
			from = "feed not counted"
		}
		water := number(lo.WaterG, 1) + " g from water"
		if !g.Tested {
			water = "water not counted"
		}
		sum := ends(number(lo.Grams(), 1), number(hi.Grams(), 1))
		t.para("    ", "    ", "NO3-N a head a day: "+from+", "+water+", "+sum+" g together.")
		if untested && !g.Tested {
			t.para("    ", "    ", "Neither feed nor water was tested: nothing can be said.")
			continue
		}
		line := "Diet-equivalent " + ppm(lo.PPMN) + " ppm NO3-N" + intakeEnds(&c.Diet)
		switch {
		case untested:
			line += " from the water alone"
		case c.Says.Flag == hazard.Clear:
			line += ": below every line of the tables" + provided(!g.Tested, ", the water left out")
		default:
			line += ": " + FlagWord(c.Says.Flag) + " by the table " + Clean(c.Says.Table) + " (" + clause(c.Says.Words) + "), " + strings.Trim(shareWords(c.Says.MaxShare), "()")
		}
		t.para("    ", "    ", line+".")
	}
	if len(g.Classes) == 0 {
		t.items("The herd has no class, so nothing can be worked out.")
	}
}

// intakeEnds follows a diet's ppm at the low end of intake, where the high end
// makes another.
func intakeEnds(d *ration.Diet) string {
	if d.Low.KgDM == d.High.KgDM {
		return ""
	}
	return " at the low end of intake, " + ppm(d.High.PPMN) + " at the high end"
}

// weights prints kilograms a head a day.
func (u Units) weights(kg ration.Range) string {
	return ends(u.both(fields.Weight, kg.Low), u.both(fields.Weight, kg.High))
}
