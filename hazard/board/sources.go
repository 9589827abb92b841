package board

import (
	"strings"

	"rimegate/hazard"
)

// tablesRule is the id of answers from the nitrate tables.
const tablesRule = "nitrate.tables"

const oursNoNumber = "ours: no publication gives a number"

// sources lists where a reason's rule comes from: publisher, title, year and
// URL of each publication and what it says; "ours: ..." where the number or the
// choice is ours. It is never empty; each rule's is worked out once.
func (s *speaker) sources(r *hazard.Reason) []string {
	key := sourceKey{r.Rule, r.Line, r.Species, says(r).Source, says(r).Table}
	got, ok := s.cited[key]
	if !ok {
		got = s.sourcesOf(r)
		s.cited[key] = got
	}
	return got
}

// sourceKey is all that sources look at.
type sourceKey struct {
	rule                   string
	line                   hazard.Line
	species, source, table string
}

func (s *speaker) sourcesOf(r *hazard.Reason) []string {
	c := citer{book: s.book}
	own, table := lines[r.Line].source, s.table(says(r))
	switch {
	case r.Line == hazard.LineNitrateLotUntested: // no table decided
	case r.Line == hazard.LineNitrateLotThin:
		c.rule(hazard.NitrateSampleBales.String(), own)
	case r.Line == hazard.LineNitrateLotSpread:
		c.rule(hazard.NitrateBaleSpread.String(), own)
	case table == nil: // a table that decided stands for itself below
		c.rule(r.Rule, own)
	}
	switch {
	case table != nil:
		c.add(SourceLine(&table.Source))
	case len(c.out) > 0:
	case says(r).Source != "":
		c.add(Clean(says(r).Source))
	case own != "":
		c.add(own)
	case r.Rule == tablesRule: // clear in every table: all were asked
		for i := range s.book.Tables {
			c.add(SourceLine(&s.book.Tables[i].Source))
		}
	}
	c.species(r)
	if len(c.out) == 0 {
		c.add("no source is on record for " + Clean(r.Rule))
	}
	return c.out
}

// citer gathers sources, each once.
type citer struct {
	book *hazard.Rulebook
	out  []string
}

func (c *citer) add(x string) {
	if x != "" && !contains(c.out, x) {
		c.out = append(c.out, x)
	}
}

// rule adds what the rulebook has on record for a rule; own is what is said of
// one without a publication.
func (c *citer) rule(id, own string) {
	in, ok := c.book.Info[id]
	if !ok {
		return
	}
	switch in.Basis {
	case "ours":
		c.add(or(own, oursNoNumber))
	case "common-practice":
		c.add("common practice, no source for the number")
	}
	for i := range in.Sources {
		c.add(SourceLine(&in.Sources[i]))
	}
}

// species adds what stands behind the plant a reason speaks of: its minimum
// height, or its row in the species table.
func (c *citer) species(r *hazard.Reason) {
	if r.Species == "" {
		return
	}
	sp := c.book.Species[r.Species]
	if sp == nil {
		if sp = c.book.Find(r.Species); sp == nil {
			return
		}
	}
	switch r.Line {
	case hazard.LineShoots, hazard.LineTooShort, hazard.LineRainHeight, hazard.LineNeverMeasured:
		if sp.Height >= 0 && sp.Height < hazard.NumRules {
			c.rule(sp.Height.String(), "")
		}
	case hazard.LineCapped:
		for _, x := range sp.Sources {
			c.publication(x)
		}
	}
}

// publication adds a publication by its id, if some rule cites it: the rulebook
// keeps publications beside the rules that rest on them.
func (c *citer) publication(id string) {
	for _, in := range c.book.Info {
		for i := range in.Sources {
			if in.Sources[i].ID == id {
				p := in.Sources[i]
				p.Says = "" // that was said of the other rule
				c.add(SourceLine(&p))
				return
			}
		}
	}
}

// SourceLine prints one publication: publisher, title (year), URL.
func SourceLine(s *hazard.Source) string {
	year := ""
	if s.Year > 0 {
		year = "(" + exact(float64(s.Year)) + ")"
	}
	title := strings.TrimSpace(Clean(s.Title) + " " + year)
	t := strings.TrimPrefix(Clean(s.Publisher)+after(", ", title)+after(", ", s.URL), ", ")
	if says := clause(s.Says); says != "" {
		t += " - says: " + says
	}
	return t
}
