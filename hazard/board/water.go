package board

import (
	"cmp"
	"fmt"
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
	Days          int // for a season too; 0: a day alone
}

// NewWaterSheet adds up the nitrate of feed and water. It decides nothing: the
// flags that it shows beside the sums are the tables' own, and the answer of a
// paddock stands in its list.
func NewWaterSheet(a *hazard.Assessment, ask WaterAsk) Sheet {
	s := newSpeaker(a, UnitsOf(a.History))
	return func(t *text) {
		var r refs
		t.head(s.sheet(), "nitrate of water and feed")
		t.title("WATER TESTED")
		none := "None. Untested water adds nothing to the sums below, and that makes none of them safe."
		for _, src := range hazard.WaterSources(s.h, s.h.On) {
			w := src.Fact.Body.(*fields.Water)
			word, err := ration.JudgeWater(a.Book, hazard.WaterN(w))
			if err != nil || !concerns(src, s.h, ask) {
				continue
			}
			// A water below its line makes no stand clear.
			flag := provided(word.Flag != hazard.Clear, FlagWord(word.Flag)+": ")
			t.items(flag + Clean(w.Source) + ", sampled " + s.date(src.Fact.Date) + ": " + Clean(word.Text) + "; " + s.waterOf(src) + ".")
			none = ""
		}
		t.items(none)
		none = "No herd to work it out for: set one up with `rimegate herd add`, or name one with --herd."
		for _, g := range s.h.Herds {
			if ask.Herd == "" && (ask.Paddock == "" || g.In == ask.Paddock) || ask.Herd == g.HerdFacts.Herd {
				s.diet(t, &r, g, ask)
				none = ""
			}
		}
		if none != "" {
			t.title(none)
		}
		t.title("PUBLISHED LINES FOR STOCK WATER")
		for _, l := range ration.WaterLines() {
			t.items(mgL(l.NMgL) + ": " + Clean(l.Says) + r.mark(l.Source, ""))
		}
		t.para("", "  ", "Diet-equivalent: (g from feed + g from water) x 1000 / kg dry matter, ppm NO3-N. "+
			"The flags of paddocks and lots stand in `rimegate today`; this sum clears nothing.")
		r.print(t)
	}
}

func concerns(w hazard.WaterSource, h *fields.History, ask WaterAsk) bool {
	if g := h.Herd(ask.Herd); g != nil {
		return drinks(w, h, ask.Herd, cmp.Or(ask.Paddock, g.In))
	}
	return ask.Herd == "" && ask.Paddock == "" || drinks(w, h, ask.Herd, ask.Paddock)
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

// worstWater is the tested water of a herd with the most nitrate, and what is
// said of what it drinks.
func (s *speaker) worstWater(herd, in string) (w ration.Water, words string) {
	words = "UNTESTED: nobody tested the water this herd drinks, so nothing is added for it. Have it tested; nitrate of feed and water adds up"
	for _, src := range hazard.WaterSources(s.h, s.h.On) {
		b := src.Fact.Body.(*fields.Water)
		if n := hazard.WaterN(b); drinks(src, s.h, herd, in) && (!w.Tested || n > w.NMgL) {
			w.Tested, w.NMgL = true, n
			words = Clean(b.Source) + ", " + mgL(n) + ", sampled " + s.date(src.Fact.Date)
		}
	}
	return w, words
}

// grazed is the highest value of the latest nitrate result of a stand, ppm
// NO3-N on dry matter, 0 where there is none, and what is said of it.
func (s *speaker) grazed(in string) (n float64, tested bool, words string) {
	if in == "" {
		return 0, false, "not known where it grazes; only the water is counted"
	}
	var all []fields.Fact
	for _, r := range hazard.RecordsOf(s.h, s.book, in) {
		all = append(all, r.Nitrate...)
	}
	all = slices.DeleteFunc(all, func(f fields.Fact) bool { return math.IsInf(labN(f.Body.(*fields.Lab)), 1) })
	f, n, tested := latestNitrate(all)
	if !tested {
		return 0, false, "no nitrate result of " + paddockName(s.h, in) + "; only the water is counted, and what grows there comes on top"
	}
	return n, true, ppm(n) + " ppm NO3-N on dry matter in " + paddockName(s.h, in) + ", sampled " + s.date(f.Date)
}

// diet adds up feed and water for each class of a herd.
func (s *speaker) diet(t *text, r *refs, g *fields.Herd, ask WaterAsk) {
	var each []string
	if g.Head != nil {
		each = append(each, number(*g.Head, 0)+" head")
	}
	if g.WeightKg != nil {
		each = append(each, s.u.both(fields.Weight, *g.WeightKg)+" each")
	}
	in, where := cmp.Or(ask.Paddock, g.In), "nobody logged where it is"
	switch {
	case in == "":
	case in != g.In:
		where = "as if it stood in " + paddockName(s.h, in)
	default:
		where = "in " + paddockName(s.h, in) + " since " + s.date(g.Since)
	}
	id := g.HerdFacts.Herd
	t.title(strings.ToUpper(Clean(id)) + provided(each != nil, " ("+strings.Join(each, ", ")+")") + ", " + where)
	water, words := s.worstWater(id, in)
	t.para("  Water: ", "    ", words+".")
	feed, fed, words := s.grazed(in)
	t.para("  Feed: ", "    ", words+".")
	classes := herdClasses(g)
	if len(classes) == 0 {
		t.items("The herd has no class, so nothing can be worked out.")
	}
	all := herdTime{days: ask.Days, typed: ask.Litres > 0}
	for _, c := range classes {
		kg, how, src, err := intakeOf(g, c)
		var drinks string
		if err == nil {
			var source []hazard.Source
			water.Litres, drinks, source, err = litresOf(g, c, ask.Litres)
			src = append(src, source...)
		}
		if err != nil {
			t.items(c.Stock() + ": cannot be worked out: " + Clean(err.Error()) + ".")
			all.unknown = true
			continue
		}
		all.add(kg, water)
		marks := ""
		for _, s := range src {
			if m := r.mark(s, ""); !strings.Contains(marks, m) {
				marks += m
			}
		}
		t.items(fmt.Sprintf("%s: eats %s of dry matter a head a day (%s), drinks %s (%s)%s.",
			c.Stock(), s.u.weights(kg), how, s.u.litres(water.Litres), drinks, marks))
		diet := ration.DietOf(feed, kg, water)
		lo, hi := diet.Low, diet.High
		from, and := "feed not counted", "water not counted"
		if fed {
			from = ends(number(lo.FeedG, 1), number(hi.FeedG, 1)) + " g from feed"
		}
		if water.Tested {
			and = number(lo.WaterG, 1) + " g from water"
		}
		sum := ends(number(lo.Grams(), 1), number(hi.Grams(), 1))
		t.para("    ", "    ", "NO3-N a head a day: "+from+", "+and+provided(fed || water.Tested, ", "+sum+" g together")+".")
		says := s.book.JudgeNitrate(diet.Worst(), c)
		line := "Diet-equivalent " + ppm(lo.PPMN) + " ppm NO3-N" +
			provided(lo.KgDM != hi.KgDM, " at the low end of intake, "+ppm(hi.PPMN)+" at the high end")
		switch {
		case !fed && !water.Tested:
			line = "Neither feed nor water was tested: nothing can be said"
		case !fed:
			line += " from the water alone"
		case says.Flag == hazard.Clear:
			line += ": below every line of the tables" + provided(!water.Tested, ", the water left out")
		default:
			line += ": " + FlagWord(says.Flag) + " by the table " + Clean(says.Table) + " (" + clause(says.Words) + "), " +
				strings.Trim(shareWords(says.MaxShare), "()")
		}
		t.para("    ", "    ", line+".")
	}
	if ask.Days > 0 && len(classes) > 0 {
		t.items(all.says(s.u, g.Head, water.Tested))
	}
}

// herdTime is what a herd eats and drinks in some days, at most and at least, all of its
// head counted as of the class that takes the most, or the least.
type herdTime struct {
	days    int
	feed    ration.Range // kg dry matter a head a day
	litres  float64      // a head a day
	grams   float64      // NO3-N in them
	typed   bool         // the litres
	unknown bool         // of a class
}

func (x *herdTime) add(kg ration.Range, w ration.Water) {
	if x.feed.Low == 0 || kg.Low < x.feed.Low {
		x.feed.Low = kg.Low
	}
	x.feed.High, x.litres, x.grams = max(x.feed.High, kg.High), max(x.litres, w.Litres), max(x.grams, w.Grams())
}

func (x *herdTime) says(u Units, head *float64, tested bool) string {
	time := "In " + plural(x.days, "day")
	switch {
	case x.unknown:
		return time + ": cannot be worked out, see above."
	case head == nil:
		return time + ": not known, nobody said how many head; set it with `rimegate herd set --head`."
	}
	n := float64(x.days) * *head
	nitrate := "; its nitrate is not known"
	if tested {
		nitrate = ", with " + u.both(fields.Weight, x.grams*n/1000) + " of NO3-N in it"
	}
	low, high := u.heavy(x.feed.Low*n), u.heavy(x.feed.High*n)
	return time + " " + number(*head, 0) + " head drink at most " + u.litres(x.litres*n) + provided(!x.typed, ", each day counted as summer") + nitrate +
		"; they eat " + ends(low, high) + " of dry matter, " + aum(x.feed.High*n) + " AUM at most (" + aumMeans + ")."
}

// weightOf is a head's weight in kg, 0 where it is not known.
func weightOf(g *fields.Herd) float64 {
	if g.WeightKg == nil {
		return 0
	}
	return *g.WeightKg
}

// litresOf is what a head of a class drinks in a day, litres: as typed, else
// the most in summer as published.
func litresOf(g *fields.Herd, c hazard.Class, typed float64) (v float64, how string, src []hazard.Source, err error) {
	if typed > 0 {
		return typed, "as typed", nil, nil
	}
	v, row, err := ration.Litres(c, weightOf(g))
	return v, "summer, " + row.Kind, []hazard.Source{row.Source}, err
}

// intakeOf is what a head of a class eats: as the farm said it, else as
// published for its weight.
func intakeOf(g *fields.Herd, c hazard.Class) (kg ration.Range, how string, src []hazard.Source, err error) {
	if g.IntakePctBW == nil {
		kg, err = ration.Intake(c, weightOf(g))
		pct, low, high := ration.IntakePct(c)
		how = number(pct.Low, 2) + " to " + number(pct.High, 2) + " % of body weight, as published"
		return kg, how, []hazard.Source{low.Source, high.Source}, err
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
	gal := few(v/3.785411784) + " US gal"
	if u == US {
		return gal + " (" + number(v, 0) + " L)"
	}
	return number(v, 0) + " L (" + gal + ")"
}

// weights prints kilograms a head a day.
func (u Units) weights(kg ration.Range) string {
	one := func(kg float64) string {
		if u == US {
			return few(kg/0.45359237) + " lb (" + fields.Weight.In(kg, string(Metric)) + ")"
		}
		return u.both(fields.Weight, kg)
	}
	return ends(one(kg.Low), one(kg.High))
}

// few prints v as a whole number, one below ten with a decimal, of a thousand and more the
// three figures that feed and water are known by.
func few(v float64) string {
	p := 1.0
	if v >= 1000 {
		p = math.Pow(10, math.Floor(math.Log10(v))-2)
	}
	return number(math.Round(v/p)*p, asOne(v < 10))
}

// ends prints a range, one figure where both ends are the same.
func ends(low, high string) string {
	if low == high {
		return low
	}
	return low + " to " + high
}
