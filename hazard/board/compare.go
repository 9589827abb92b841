package board

import (
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// PublishedSay is what one publication would say of one question about a
// record.
type PublishedSay struct {
	Source    hazard.Source
	Question  string // such as "graze after the frost"
	Allows    bool   // on the day asked
	NoNumber  bool   // it speaks of it and gives no number
	From      fields.Date
	Days      int
	First     fields.Date // first day it would allow; hazard.NoEnd: no date
	CM        float64     // height asked for, where heights are asked
	Words     string      // its rule in our words
	Note      string      // what the record lacks to follow it
	Strictest bool
	Laxest    bool
}

// ComparedLand is a record and what the publications say of it.
type ComparedLand struct {
	Record hazard.Record
	Says   []PublishedSay
}

// Comparison holds our own answer about a paddock or lot against every
// publication that gives a rule for it. It decides nothing.
type Comparison struct {
	Farm, ID, Name string
	On             fields.Date
	KnownAt        string
	Coming         bool
	Book           string
	Relaxed        []string
	Own            []string // our answer, a line a use
	Lands          []ComparedLand
	Result         string // the latest nitrate result in words, "" if there is none
	Tables         []TableGroup
	OneTable       string // the one table the farm judges by, "" for all of them

	s *speaker
}

// TableGroup is what the nitrate tables say for classes they judge alike.
type TableGroup struct {
	Classes []hazard.Class
	Says    []hazard.TableSay
}

// NewComparison compares a paddock or lot. every holds all embedded nitrate
// tables, whatever the farm has chosen.
func NewComparison(a *hazard.Assessment, id string, lands []ComparedLand, every *hazard.Rulebook) (*Comparison, error) {
	e, err := Why(a, id, Filter{})
	if err != nil {
		return nil, err
	}
	s := newSpeaker(a, UnitsOf(a.History))
	c := &Comparison{Farm: e.Farm, ID: id, Name: e.Name, On: e.On, KnownAt: e.KnownAt, Coming: e.Coming, Book: e.Rulebook.String(), Relaxed: e.Relaxed, Lands: lands, s: s}
	for _, u := range e.Uses {
		for i := range u.Groups {
			if line := ownLine(u.Use, &u.Groups[i]); line != "" {
				c.Own = append(c.Own, line)
			}
		}
	}
	for i := range c.Lands {
		sortSays(c.Lands[i].Says)
	}
	if len(a.Book.Tables) == 1 && len(every.Tables) > 1 {
		c.OneTable = a.Book.Tables[0].ID
	}
	c.tables(every)
	return c, nil
}

// ownLine is our answer for one use: the flags of the two hazards that the
// publications speak of, each with its first reason.
func ownLine(u hazard.Use, g *Group) string {
	t := u.String() + " (" + classList(g.Classes) + "): "
	first := true
	for i := range g.Hazards {
		h := &g.Hazards[i]
		if h.Hazard == hazard.Veterinary && h.Flag == hazard.Clear || len(h.Reasons) == 0 {
			continue
		}
		worst := &h.Reasons[0]
		for j := range h.Reasons {
			if h.Reasons[j].Flag > worst.Flag {
				worst = &h.Reasons[j]
			}
		}
		if worst.Rule == "use.no-swath" {
			return ""
		}
		if !first {
			t += "; "
		}
		first = false
		t += HazardWord(h.Hazard) + " " + flagThrough(h.Flag, h.Through)
		if h.Flag != hazard.Clear {
			t += " - " + strings.TrimSuffix(worst.Text, ".")
		}
	}
	return sentence(t)
}

// sortSays puts the strictest first within each question; what gives no number
// comes last.
func sortSays(says []PublishedSay) {
	order := map[string]int{}
	for i := range says {
		if _, ok := order[says[i].Question]; !ok {
			order[says[i].Question] = len(order)
		}
	}
	sort.SliceStable(says, func(i, j int) bool {
		a, b := &says[i], &says[j]
		switch {
		case a.Question != b.Question:
			return order[a.Question] < order[b.Question]
		case a.NoNumber != b.NoNumber:
			return b.NoNumber
		case a.CM != b.CM:
			return a.CM > b.CM
		}
		return a.First > b.First
	})
}

// tables holds the latest nitrate result of the paddock or lot against every
// table, class by class; classes with equal answers stand together.
func (c *Comparison) tables(every *hazard.Rulebook) {
	f, ok := c.latestNitrate()
	if !ok {
		return
	}
	l := f.Body.(*fields.Lab)
	most := math.Inf(-1)
	for _, v := range l.Numbers() {
		most = max(most, v)
	}
	ppmDM, ok := hazard.NitrateDM(l, most)
	if !ok {
		c.Result = "the result of " + f.Date.Words() + " is as fed and its dry matter was not said, so no table can be asked"
		return
	}
	n := hazard.ConvertNitrate(ppmDM, l.Form, "NO3-N")
	c.Result = fmt.Sprintf("%s ppm NO3-N (%s ppm NO3) on dry matter, sampled %s, by %s", ppm(n), ppm(hazard.ConvertNitrate(n, "NO3-N", "NO3")), f.Date.Words(), methodWords(l.Method))
	if len(l.Values) > 1 {
		c.Result += fmt.Sprintf("; the highest of %d values", len(l.Values))
	}
	for _, cl := range hazard.Classes {
		says := every.ByTable(ppmDM, l.Form, cl)
		placed := false
		for i := range c.Tables {
			if sameSays(c.Tables[i].Says, says) {
				c.Tables[i].Classes = append(c.Tables[i].Classes, cl)
				placed = true
				break
			}
		}
		if !placed {
			c.Tables = append(c.Tables, TableGroup{[]hazard.Class{cl}, says})
		}
	}
}

func methodWords(m string) string {
	switch m {
	case "strip":
		return "a test strip (it can warn and never clears)"
	case "quick":
		return "a quick test (it can warn and never clears)"
	}
	return "a laboratory"
}

func sameSays(a, b []hazard.TableSay) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// latestNitrate is the latest nitrate result of the land or lot, of one date
// the highest.
func (c *Comparison) latestNitrate() (fields.Fact, bool) {
	var facts []fields.Fact
	for i := range c.Lands {
		facts = append(facts, c.Lands[i].Record.Nitrate...)
	}
	if len(c.Lands) == 0 {
		for _, f := range c.s.h.OfLot(c.ID) {
			if l, ok := f.Body.(*fields.Lab); ok && l.Analyte == "nitrate" {
				facts = append(facts, f)
			}
		}
	}
	var best fields.Fact
	bestN, found := 0.0, false
	for _, f := range facts {
		n := labN(f.Body.(*fields.Lab))
		if !found || f.Date > best.Date || f.Date == best.Date && n > bestN {
			best, bestN, found = f, n, true
		}
	}
	return best, found
}

// labN is the highest value of a nitrate result as ppm NO3-N on dry matter,
// +Inf where it cannot be worked out.
func labN(l *fields.Lab) float64 {
	n := 0.0
	for _, v := range l.Numbers() {
		p, ok := hazard.NitrateDM(l, v)
		if !ok {
			return math.Inf(1)
		}
		n = max(n, hazard.ConvertNitrate(p, l.Form, "NO3-N"))
	}
	return n
}

// says puts a publication's answer into one clause.
func (c *Comparison) says(r *hazard.Record, x *PublishedSay) string {
	height := x.CM > 0
	switch {
	case x.NoNumber:
		return "speaks of it without a number"
	case height && x.Allows:
		cm := r.HeightCM
		if x.Question == askShoots {
			cm = r.ShootsCM
		}
		return "asks for " + c.s.u.in(fields.Height, x.CM) + "; " + c.s.u.in(fields.Height, cm) + " was measured on " + x.First.Words()
	case height:
		t := "keeps off below " + c.s.u.in(fields.Height, x.CM)
		if x.Note != "" {
			t += ": " + x.Note
		}
		return t
	case x.First == hazard.NoEnd:
		t := "keeps off, no date"
		if x.Note != "" {
			t += ": " + x.Note
		}
		return t
	}
	t := "allows since " + x.First.Words()
	if !x.Allows {
		t = "keeps off; allows from " + x.First.Words()
	}
	if x.First == x.From.Add(x.Days) {
		t += " (" + plural(x.Days, "day") + " after " + startWords(r, x) + ")"
	} else if x.First < x.From.Add(x.Days) {
		t += " (found dry that day)"
	}
	if x.Note != "" {
		t += "; " + x.Note
	}
	return t
}

// askShoots is the question about shoots; the others about heights are of the
// growth.
const askShoots = "graze over shoots"

// startWords names what a count starts from.
func startWords(r *hazard.Record, x *PublishedSay) string {
	what := "the frost of "
	switch {
	case x.From == r.DryWalk && !slices.Contains(r.Triggers, x.From) && strings.Contains(x.Question, "frost"):
		what = "it was found dry on "
	case strings.Contains(x.Question, "rain"):
		what = "the rain of "
	case strings.Contains(x.Question, "spray"):
		what = "the spraying of "
	case strings.HasPrefix(x.Question, "feed"):
		what = "the cut of "
	}
	return what + x.From.Words()
}

// record says what the publications' rules are held against.
func (c *Comparison) record(r *hazard.Record) string {
	var out []string
	add := func(d fields.Date, what string) {
		if d != fields.NoDate {
			out = append(out, what+d.Words())
		}
	}
	if n := len(r.Triggers); n > 0 {
		out = append(out, "froze "+plural(n, "night")+", last in the night of "+r.Triggers[n-1].Words())
	} else {
		out = append(out, "no frost on record since the stand began")
	}
	if r.Dead {
		add(r.Base, "confirmed dead by the walk of ")
	} else {
		out = append(out, "not confirmed dead")
	}
	add(r.DryWalk, "found dry on ")
	if r.ShootsCM > 0 {
		out = append(out, "shoots of "+c.s.u.in(fields.Height, r.ShootsCM)+" on "+r.ShootsOn.Words())
	}
	if r.HeightOn != fields.NoDate {
		out = append(out, "shortest growth "+c.s.u.in(fields.Height, r.HeightCM)+" on "+r.HeightOn.Words())
	}
	add(r.Drought, "drought running since ")
	add(r.RainOn, "rain ended a drought on ")
	add(r.Sprayed, "sprayed on ")
	add(r.CutOn, "cut for "+orNone(r.CutUse)+" on ")
	return sentence(strings.Join(out, "; "))
}

func orNone(s string) string {
	if s == "" {
		return "something"
	}
	return Clean(s)
}

// Text writes the comparison at most width cells a line.
func (c *Comparison) Text(w io.Writer, width int) error {
	t := newText(w, width)
	t.para("", "  ", c.Name+", "+c.Farm+", "+c.On.Words()+": our answer beside what each publication would say")
	good := "Good for this day only. Known at " + c.KnownAt + "."
	if c.Coming {
		good = "A coming day: this holds if nothing else happens. Known at " + c.KnownAt + "."
	}
	t.para("", "", good)
	t.para("Rules: ", "       ", c.Book+".")
	for _, x := range c.Relaxed {
		t.para("", "  ", x)
	}
	t.blank()
	t.para("", "", "OURS, which counts here")
	for _, x := range c.Own {
		t.para("  ", "    ", x)
	}
	for i := range c.Lands {
		l := &c.Lands[i]
		t.blank()
		if len(c.Lands) > 1 {
			t.para("", "  ", "THE LAND THAT WAS "+paddockName(c.s.h, l.Record.Line[0])+" (the worst of its parts holds)")
		}
		t.para("On record: ", "  ", c.record(&l.Record))
		if len(l.Says) == 0 {
			t.para("", "  ", "No publication read gives a rule for anything on this record.")
		}
		last := ""
		for j := range l.Says {
			x := &l.Says[j]
			if x.Question != last {
				t.blank()
				t.para("", "  ", strings.ToUpper(x.Question))
				last = x.Question
			}
			t.published(c, &l.Record, x)
		}
	}
	if c.Result != "" {
		t.blank()
		t.para("NITRATE: ", "  ", c.Result+".")
		if c.OneTable != "" {
			t.para("", "  ", "This farm judges by the table "+Clean(c.OneTable)+" alone; the others are shown for comparison.")
		}
		for i := range c.Tables {
			t.tables(&c.Tables[i], i == 0)
		}
	}
	t.blank()
	if len(c.Lands) > 0 && c.Result == "" {
		t.para("", "  ", "No nitrate result speaks of this stand, so no nitrate table can be asked.")
	}
	t.para("", "  ", "Publications count a printed range by its longer end here. None of them knows this field; a veterinarian, a laboratory and local advice come first.")
	return t.flush()
}

func (t *text) published(c *Comparison, r *hazard.Record, x *PublishedSay) {
	mark := ""
	switch {
	case x.Strictest:
		mark = "STRICTEST: "
	case x.Laxest:
		mark = "LAXEST: "
	}
	t.para("  - ", "    ", mark+orNone(x.Source.Publisher)+": "+c.says(r, x)+".")
	if says := clause(x.Words); says != "" {
		t.para("    it says: ", "      ", says)
	}
	t.where(&x.Source)
}

// where prints a publication's title, year and address; its publisher stands
// above.
func (t *text) where(s *hazard.Source) {
	src := *s
	src.Says, src.Publisher = "", ""
	t.whole("    source: ", "      ", SourceLine(&src))
}

func (t *text) tables(g *TableGroup, sources bool) {
	t.blank()
	t.para("", "  ", "For "+classList(g.Classes)+":")
	if len(g.Says) == 0 {
		t.para("  ", "    ", "no table names them")
		return
	}
	worst := worstSay(g.Says)
	share := 100.0
	for i := range g.Says {
		share = min(share, g.Says[i].MaxShare)
	}
	for i := range g.Says {
		x := &g.Says[i]
		mark := ""
		if x.Flag == worst && x.Flag != hazard.Clear {
			mark = " STRICTEST"
			if x.MaxShare > share {
				mark = ""
			}
		}
		v, edge := ppm(x.Value)+" ppm "+x.Form, ""
		if x.Edge {
			edge = ", right on its line, which belongs to the worse band"
		}
		t.para("  - ", "    ", FlagWord(x.Flag)+" "+shareWords(x.MaxShare)+mark+": "+orNone(x.Source.Publisher)+", table "+Clean(x.Table)+" ("+v+edge+"): "+clause(x.Words)+".")
		if sources {
			t.where(&x.Source)
		}
	}
}

func worstSay(says []hazard.TableSay) hazard.Flag {
	worst := hazard.Clear
	for i := range says {
		worst = max(worst, says[i].Flag)
	}
	return worst
}

// shareWords is the largest share of the ration a table allows.
func shareWords(share float64) string {
	switch {
	case share <= 0:
		return "(none of it)"
	case share >= 100:
		return "(no limit on its share)"
	}
	return "(at most " + number(share, 1) + " % of the ration)"
}
