package board

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// byLine is a blend worked out by one published table or a target that somebody named.
type byLine struct {
	words   string  // whose line it is
	own     float64 // the strictest clear line of every table for the herd, ppm NO3-N
	ownBy   string
	classes []hazard.Class
	every   *hazard.Rulebook
}

// line sets the line of the blend: the clear line in force, or what was asked for. Of a
// table its shares count too; under a target the shares of the tables in force stay.
func (x *BlendSheet) line(book *hazard.Rulebook, classes []hazard.Class, ask *BlendAsk) error {
	p := &x.Problem
	if ask.Table == "" && ask.Target == nil {
		p.ForClasses(book, classes...)
		return nil
	}
	strict := *p
	strict.Feeds = slices.Clone(p.Feeds)
	strict.ForClasses(ask.Every, classes...)
	x.by = &byLine{own: strict.CeilingPPMN, ownBy: strict.CeilingWhy, classes: classes, every: ask.Every}
	var whose []string
	if ask.Table != "" {
		i := slices.IndexFunc(ask.Every.Tables, func(t hazard.NitrateTableData) bool { return t.ID == ask.Table })
		if i < 0 {
			return noTable(ask.Every, ask.Table)
		}
		one := *ask.Every
		one.Tables = ask.Every.Tables[i : i+1]
		for _, c := range classes {
			if len(one.Tables[0].Rows[c]) == 0 {
				return fmt.Errorf("the table %s has no row for %s", ask.Table, c.Stock())
			}
		}
		book = &one
		whose = append(whose, "the table "+ask.Table+" alone"+x.refs.mark(one.Tables[0].Source, ""))
	}
	p.ForClasses(book, classes...)
	if t := ask.Target; t != nil {
		n, how, err := x.targetN(t)
		if err != nil {
			return err
		}
		whose = append(whose, "the target "+t.String()+how)
		if ask.Table == "" || n < p.CeilingPPMN {
			p.CeilingPPMN, p.CeilingWhy = n, "the target "+t.String()+how
		}
	}
	x.by.words = strings.Join(whose, " and ")
	return nil
}

func noTable(every *hazard.Rulebook, id string) error {
	var ids []string
	for i := range every.Tables {
		ids = append(ids, every.Tables[i].ID)
	}
	return fmt.Errorf("there is no nitrate table %q; name one of %s", Clean(id), strings.Join(ids, ", "))
}

// targetN is a target as ppm NO3-N on dry matter. One that is said as fed is taken with
// the dry matter of the driest feed, which makes it the strictest it can mean.
func (x *BlendSheet) targetN(t *fields.NitrateTarget) (ppmN float64, how string, err error) {
	l := &fields.Lab{Form: t.Form, Unit: t.Unit, Basis: "dm"}
	v, _ := hazard.NitrateDM(l, t.Value)
	if t.AsFed {
		dm := 0.0
		for i := range x.Problem.Feeds {
			f := &x.Problem.Feeds[i]
			if !(f.DMPct > 0) {
				return 0, "", errors.New("a target as fed needs the dry matter of every feed, and that of " + Clean(f.Name) +
					" is not known; type --dm, or the target on dry matter")
			}
			dm = max(dm, f.DMPct)
		}
		v, how = v/(dm/100), ", taken with the driest feed, "+number(dm, 1)+" % dry matter"
	}
	return hazard.ConvertNitrate(v, t.Form, "NO3-N"), how, nil
}

// lax says aloud that a line is less strict than the published tables together.
func (t *text) lax(x *BlendSheet) {
	if x.by == nil {
		return
	}
	t.para("A CALCULATION ", "  ", "by "+x.by.words+". It clears nothing: every flag stays what it is.")
	if p := &x.Problem; p.CeilingPPMN > x.by.own {
		t.para("LESS STRICT: ", "  ", "this line, "+ppm(p.CeilingPPMN)+" ppm NO3-N, lies above "+ppm(x.by.own)+" ppm, the "+
			Clean(x.by.ownBy)+". A vet or feed adviser decides, not this sum.")
	}
}

// beside says what the tables say of the mixture and of the shares in it, classes that
// they judge alike together.
func (t *text) beside(x *BlendSheet) {
	if x.by == nil {
		return
	}
	t.title("BESIDE IT, what every published table says of this diet")
	worst := max(x.blend.Low.PPMN, x.blend.High.PPMN)
	var lines []string
	of := map[string][]hazard.Class{}
	say := func(c hazard.Class, line string) {
		if of[line] == nil {
			lines = append(lines, line)
		}
		of[line] = append(of[line], c)
	}
	for _, c := range x.by.classes {
		for _, s := range x.by.every.ByTable(worst, "NO3-N", c) {
			if s.Flag != hazard.Clear {
				say(c, s.Table+x.refs.mark(s.Source, "")+": "+FlagWord(s.Flag)+" "+shareWords(s.MaxShare)+": "+clause(s.Words))
			}
		}
		for i := range x.blend.Parts {
			if line := x.shareBeside(i, c); line != "" {
				say(c, line)
			}
		}
	}
	for _, l := range lines {
		t.items(l + " (" + ClassWords(of[l]) + ").")
	}
	if len(lines) == 0 {
		t.items("All of them call it clear for " + ClassWords(x.by.classes) + ".")
	}
}

// shareBeside says which table allows least of a lot, if that is less than its share.
func (x *BlendSheet) shareBeside(i int, c hazard.Class) string {
	part := &x.blend.Parts[i]
	least, by := 100.0, ""
	for _, s := range x.by.every.ByTable(x.Problem.Feeds[i].PPMN, "NO3-N", c) {
		if s.MaxShare < least {
			least, by = s.MaxShare, s.Table
		}
	}
	const rounding = 1e-6
	if part.SharePct <= least+rounding {
		return ""
	}
	return by + ": at most " + number(least, 1) + " % of " + Clean(part.Feed) + ", which makes " + number(part.SharePct, 1) + " % of it"
}
