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
	"rimegate/hazard/rules"
)

// ComparedLand is a record and what the publications say of it.
type ComparedLand struct {
	Record hazard.Record
	Says   []rules.Row
}

// Comparison holds our own answer about a paddock or lot against every
// publication that gives a rule for it. It decides nothing.
type Comparison struct {
	*Explanation
	Own     []string // our answer, a line a use
	Lands   []ComparedLand
	Nitrate *NitrateSays // of the latest result, nil if there is none

	s *speaker
}

// NitrateSays is a nitrate result held against every table.
type NitrateSays struct {
	Text      string       `doc:"text"`            // the result in words
	OnlyTable string       `doc:"only_table,null"` // the one table the farm judges by, "" for all of them
	Tables    []TableGroup `doc:"tables"`
}

// TableGroup is what the nitrate tables say for classes they judge alike.
type TableGroup struct {
	Classes []hazard.Class `doc:"classes"`
	Says    []TableSay     `doc:"says"`
}

// TableSay is what one table says of a value.
type TableSay struct {
	Table    string        `doc:"table"`
	Flag     hazard.Flag   `doc:"flag"`
	MaxShare float64       `doc:"max_share_pct"`
	Value    float64       `doc:"value_ppm"` // as the table's own form
	Form     string        `doc:"form"`
	Edge     bool          `doc:"edge"` // right on a line
	Words    string        `doc:"words"`
	Source   hazard.Source `doc:"source"`
}

const comparedHow = "Publications count a printed range by its longer end here. None of them knows your field; " +
	"the vet, the lab and local advice come first."

// NewComparison compares a paddock or lot. every holds all embedded nitrate
// tables, whatever the farm has chosen.
func NewComparison(a *hazard.Assessment, id string, lands []ComparedLand, every *hazard.Rulebook) (*Comparison, error) {
	e, err := Why(a, id, Filter{})
	if err != nil {
		return nil, err
	}
	c := &Comparison{Explanation: e, Lands: lands, s: newSpeaker(a, UnitsOf(a.History))}
	for _, u := range e.Uses {
		for i := range u.Groups {
			if line := c.s.ownLine(u.Use, &u.Groups[i]); line != "" {
				c.Own = append(c.Own, line)
			}
		}
	}
	c.tables(every)
	return c, nil
}

// ownLine is our answer for one use: the flags of the two hazards that the
// publications speak of, each with its first reason.
func (s *speaker) ownLine(u hazard.Use, g *Group) string {
	var parts []string
	for i := range g.Hazards {
		h := &g.Hazards[i]
		if h.Hazard == hazard.Veterinary && h.Flag == hazard.Clear || len(h.Reasons) == 0 {
			continue
		}
		worst := slices.MaxFunc(h.Reasons, func(a, b ReasonWords) int { return cmp.Compare(a.Flag, b.Flag) })
		if worst.Rule == "use.no-swath" {
			return ""
		}
		part := HazardWord(h.Hazard) + " " + s.flagThrough(h.Flag, h.Through)
		if h.Flag != hazard.Clear {
			part += " - " + strings.TrimSuffix(worst.Text, ".")
		}
		parts = append(parts, part)
	}
	return sentence(u.String() + " (" + ClassWords(g.Classes) + "): " + strings.Join(parts, "; "))
}

// tables holds the latest nitrate result of the paddock or lot against every
// table, class by class; classes with equal answers stand together.
func (c *Comparison) tables(every *hazard.Rulebook) {
	var facts []fields.Fact
	for i := range c.Lands {
		facts = append(facts, c.Lands[i].Record.Nitrate...)
	}
	if len(c.Lands) == 0 {
		facts = c.s.h.OfLot(c.ID)
	}
	f, n, ok := latestNitrate(facts)
	if !ok {
		return
	}
	l := f.Body.(*fields.Lab)
	c.Nitrate = &NitrateSays{}
	if len(c.s.book.Tables) == 1 && len(every.Tables) > 1 {
		c.Nitrate.OnlyTable = c.s.book.Tables[0].ID
	}
	if math.IsInf(n, 1) {
		c.Nitrate.Text = "the result of " + c.s.date(f.Date) + " is as fed and its dry matter was not logged, so no table can be asked"
		return
	}
	ppmDM, _ := hazard.NitrateDM(l, slices.Max(l.Numbers()))
	by := "a lab"
	if word, ok := map[string]string{"strip": "test strip", "quick": "quick test"}[string(l.Method)]; ok {
		by = "a " + word + " (it can warn and never clears)"
	}
	c.Nitrate.Text = fmt.Sprintf("%s ppm NO3-N (%s ppm NO3) on dry matter, sampled %s, by %s",
		ppm(n), ppm(hazard.ConvertNitrate(n, "NO3-N", "NO3")), c.s.date(f.Date), by)
	if len(l.Values) > 1 {
		c.Nitrate.Text += fmt.Sprintf("; the highest of %d values", len(l.Values))
	}
	for _, cl := range hazard.Classes {
		var says []TableSay
		for _, x := range every.ByTable(ppmDM, l.Form, cl) {
			says = append(says, TableSay{x.Table, x.Flag, x.MaxShare, x.Value, string(x.Form), x.Edge, clause(x.Words), x.Source})
		}
		groups := &c.Nitrate.Tables
		i := slices.IndexFunc(*groups, func(g TableGroup) bool { return slices.Equal(g.Says, says) })
		if i < 0 {
			i = len(*groups)
			*groups = append(*groups, TableGroup{Says: says})
		}
		(*groups)[i].Classes = append((*groups)[i].Classes, cl)
	}
}

// latestNitrate is the latest nitrate result among facts, of one date the
// highest, and its value as labN has it.
func latestNitrate(facts []fields.Fact) (best fields.Fact, most float64, found bool) {
	for _, f := range facts {
		l, ok := f.Body.(*fields.Lab)
		if !ok || l.Analyte != "nitrate" {
			continue
		}
		if n := labN(l); !found || f.Date > best.Date || f.Date == best.Date && n > most {
			best, most, found = f, n, true
		}
	}
	return best, most, found
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
func (c *Comparison) says(r *hazard.Record, x *rules.Row) string {
	note := func(before string) string { return provided(x.Note != "", before+x.Note) }
	height := func(cm float64) string { return c.s.u.in(fields.Height, cm) }
	switch {
	case x.NoNumber:
		return "mentions it without a number"
	case x.CM > 0 && x.Allows && x.Question == rules.AskShoots:
		return "asks for " + height(x.CM) + "; " + height(r.ShootsCM) + " was measured on " + c.s.date(x.First)
	case x.CM > 0 && x.Allows:
		return "asks for " + height(x.CM) + "; " + height(r.HeightCM) + " was measured on " + c.s.date(x.First)
	case x.CM > 0:
		return "keeps off below " + height(x.CM) + note(": ")
	case x.First == hazard.NoEnd:
		return "keeps off, no date" + note(": ")
	}
	t := "allows since " + c.s.date(x.First)
	if !x.Allows {
		t = "keeps off; allows from " + c.s.date(x.First)
	}
	switch end := x.From.Add(x.Days); {
	case x.First == end:
		what := startWords[x.Question]
		if what == startWords[rules.AskFrost] && x.From == r.DryWalk && !slices.Contains(r.Triggers, x.From) {
			what = "it was found dry on "
		}
		t += " (" + plural(x.Days, "day") + " after " + what + c.s.date(x.From) + ")"
	case x.First < end:
		t += " (found dry that day)"
	}
	return t + note("; ")
}

// startWords names what the count of a question starts from.
var startWords = map[rules.Question]string{
	rules.AskFrost: "the frost of ", rules.AskChop: "the frost of ", rules.AskSilage: "the frost of ",
	rules.AskRain: "the rain of ", rules.AskSpray: "the spraying of ",
	rules.AskHayFeed: "the cut of ", rules.AskSilFeed: "the cut of ",
}

// record says what the publications' rules are held against.
func (c *Comparison) record(r *hazard.Record) string {
	froze, dead := "no frost on record since the stand began", "not confirmed dead"
	if n := len(r.Triggers); n > 0 {
		froze = "froze " + plural(n, "night") + ", last in the night of " + c.s.date(r.Triggers[n-1])
	}
	if r.Dead {
		dead = "confirmed dead by the walk of " + c.s.date(r.Base)
	}
	shoots := r.ShootsOn
	if r.ShootsCM <= 0 {
		shoots = fields.NoDate
	}
	out := []string{froze, dead}
	for _, x := range []struct {
		what string
		on   fields.Date
	}{
		{"found dry on ", r.DryWalk},
		{"shoots of " + c.s.u.in(fields.Height, r.ShootsCM) + " on ", shoots},
		{"shortest growth " + c.s.u.in(fields.Height, r.HeightCM) + " on ", r.HeightOn},
		{"drought running since ", r.Drought},
		{"rain ended a drought on ", r.RainOn},
		{"sprayed on ", r.Sprayed},
		{"cut for " + orNone(string(r.CutUse)) + " on ", r.CutOn},
	} {
		if x.on != fields.NoDate {
			out = append(out, x.what+c.s.date(x.on))
		}
	}
	return sentence(strings.Join(out, "; "))
}

func orNone(s string) string { return cmp.Or(Clean(s), "something") }

// Text writes the comparison at most width cells a line.
func (c *Comparison) Text(w io.Writer, width int) error {
	t := newText(w, width)
	t.para("", "  ", c.Name+", "+c.Farm+", "+c.On.Words()+": our answer beside what each publication would say")
	t.para("", "", provided(!c.Coming, "Good for this day only.")+
		provided(c.Coming, "A coming day: this holds if nothing else happens.")+" Known at "+c.KnownAt+".")
	t.para("Rules: ", "       ", c.Rulebook.String()+".")
	t.paras("", "  ", c.Relaxed)
	t.blank()
	t.para("", "", "OURS, which counts here")
	t.para("  ", "    ", sentence(c.s.usedUp(c.ID)))
	t.paras("  ", "    ", c.Own)
	for i := range c.Lands {
		t.land(c, &c.Lands[i])
	}
	t.blank()
	if n := c.Nitrate; n != nil {
		t.para("NITRATE: ", "  ", n.Text+".")
		if n.OnlyTable != "" {
			t.para("", "  ", "This farm judges by the table "+Clean(n.OnlyTable)+" alone; the others are shown for comparison.")
		}
		for i := range n.Tables {
			t.tables(&n.Tables[i], i == 0)
		}
		t.blank()
	} else if len(c.Lands) > 0 {
		t.para("", "  ", "No nitrate result for this stand, so no nitrate table can be asked.")
	}
	t.para("", "  ", comparedHow)
	return t.flush()
}

func (t *text) land(c *Comparison, l *ComparedLand) {
	t.blank()
	if len(c.Lands) > 1 {
		t.para("", "  ", "THE LAND THAT WAS "+paddockName(c.s.h, l.Record.Line[0])+" (the worst of its parts holds)")
	}
	t.para("On record: ", "  ", c.record(&l.Record))
	if len(l.Says) == 0 {
		t.para("", "  ", "No publication we have gives a rule for anything on this record.")
	}
	for i := range l.Says {
		x := &l.Says[i]
		if i == 0 || x.Question != l.Says[i-1].Question {
			t.title(strings.ToUpper(string(x.Question)))
		}
		mark := provided(x.Strictest, "STRICTEST: ") + provided(x.Laxest, "LAXEST: ")
		t.para("  - ", "    ", mark+orNone(x.Source.Publisher)+": "+c.says(&l.Record, x)+".")
		t.para("    it says: ", "      ", clause(x.Words))
		t.where(x.Source)
	}
}

// where prints a publication's title, year and address; its publisher stands
// above.
func (t *text) where(src hazard.Source) {
	src.Says, src.Publisher = "", ""
	t.whole("    source: ", "      ", SourceLine(&src))
}

func (t *text) tables(g *TableGroup, sources bool) {
	t.title("For " + ClassWords(g.Classes) + ":")
	if len(g.Says) == 0 {
		t.items("no table names them")
		return
	}
	worst, share := hazard.Clear, 100.0
	for _, x := range g.Says {
		worst, share = max(worst, x.Flag), min(share, x.MaxShare)
	}
	for _, x := range g.Says {
		strictest := x.Flag == worst && worst != hazard.Clear && x.MaxShare <= share
		t.para("  - ", "    ", fmt.Sprintf("%s %s%s: %s, table %s (%s ppm %s%s): %s.", FlagWord(x.Flag), shareWords(x.MaxShare),
			provided(strictest, " STRICTEST"), orNone(x.Source.Publisher), Clean(x.Table), ppm(x.Value), x.Form,
			provided(x.Edge, ", right on its line, which belongs to the worse band"), x.Words))
		if sources {
			t.where(x.Source)
		}
	}
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

type documentedAnswer struct {
	Use   hazard.Use   `doc:"use"`
	Class hazard.Class `doc:"class"`
	held
}

type documentedLand struct {
	Line   []string         `doc:"line"`
	Record string           `doc:"record"`
	Says   []documentedSays `doc:"says"`
}

type documentedSays struct {
	Question  rules.Question `doc:"question"`
	Source    hazard.Source  `doc:"source"`
	Allows    *bool          `doc:"allows"`
	First     fields.Date    `doc:"first"`
	From      fields.Date    `doc:"from"`
	Days      *int           `doc:"days"`
	HeightCM  float64        `doc:"height_cm,null"`
	Strictest bool           `doc:"strictest"`
	Laxest    bool           `doc:"laxest"`
	Text      string         `doc:"text"`
	Words     string         `doc:"words,null"`
}

// JSON is the comparison as a document of rimegate/compare/1.
func (c *Comparison) JSON() ([]byte, error) {
	doc := struct {
		Head
		Paddock string             `doc:"paddock,null"`
		Lot     string             `doc:"lot,null"`
		Name    string             `doc:"name"`
		Own     []documentedAnswer `doc:"own"`
		Lands   []documentedLand   `doc:"lands"`
		Nitrate *NitrateSays       `doc:"nitrate"`
		Warning string             `doc:"warning"`
	}{c.s.head(CompareSchemaName), c.ID, "", c.Name, nil, nil, c.Nitrate, comparedHow}
	uses := hazard.PaddockUses
	find := func(u hazard.Use, cl hazard.Class) *hazard.Verdict { return c.s.a.Paddock(c.ID).Verdict(u, cl) }
	if c.Lot {
		doc.Paddock, doc.Lot, uses = "", c.ID, []hazard.Use{hazard.Feed}
		find = func(_ hazard.Use, cl hazard.Class) *hazard.Verdict { return lotOf(c.s.a, c.ID).Verdict(cl) }
	}
	for _, u := range uses {
		for _, cl := range hazard.Classes {
			v := needed(find(u, cl), c.ID)
			doc.Own = append(doc.Own, documentedAnswer{v.Use, v.Class, *heldOf(v.Flag, v.Through)})
		}
	}
	for i := range c.Lands {
		l := &c.Lands[i]
		land := documentedLand{Line: l.Record.Line, Record: c.record(&l.Record)}
		for _, x := range l.Says {
			says := documentedSays{
				Question: x.Question, Source: x.Source, HeightCM: x.CM, Strictest: x.Strictest, Laxest: x.Laxest,
				Text: sentence(c.says(&l.Record, &x)), Words: clause(x.Words),
			}
			if !x.NoNumber {
				says.Allows = &x.Allows
			}
			if !x.NoNumber && x.CM <= 0 {
				says.First, says.From = x.First, x.From
				if x.From != fields.NoDate {
					says.Days = &x.Days
				}
			}
			land.Says = append(land.Says, says)
		}
		doc.Lands = append(doc.Lands, land)
	}
	return document(doc)
}
