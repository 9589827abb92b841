package board

import (
	"strings"

	"rimegate/hazard"
)

// fixedSources says where reasons come from that are no number of the
// rulebook.
var fixedSources = map[string]string{
	"incident":           "the farm's journal: an incident",
	"vet.keep-off":       "the farm's journal: a veterinarian's word",
	"vet.may-graze":      "the farm's journal: a veterinarian's word",
	"species.unknown":    "ours: no publication rates this plant, so it is taken for dangerous",
	"species.horses":     "ours: the species table names the plant as harmful to horses",
	"species.flax":       "ours: the species table treats flax apart",
	"height.unmeasured":  "ours: what was not measured is not clear",
	"shoots":             "ours: shoots below the minimum height are held",
	"night.unread":       "ours: a night nobody read is not a night without frost",
	"forecast":           "ours: a forecast can only make an answer worse",
	"wilted":             "ours: what was last found wilted is held",
	"species.none":       "the species table: what is said of each plant",
	"species.unlisted":   "ours: nothing is known of what grows there",
	"species.unchecked":  "ours: a paddock never sown needs a walk that checks its weeds every year",
	"species.not-listed": "ours: a plant no source speaks of needs a walk that checks the weeds",
	"species.green-cap":  "the species table: what is said of the plant",
	"prussic.all":        "every rule on prussic acid in the rulebook",
	"chop.frosted":       "ours: chopped feed of a frosted stand is asked about first",
	"swath.dry":          "ours: a swath is dry when two walks found it so",
	"swath.stubble":      "ours: what grows back in the stubble is looked at",
	"nitrate.low":        "the species table: what is said of each plant",
	"nitrate.weedy":      "the species table: what is said of the weed; how much of it is too much is ours",
	"night.light":        "ours: a light frost counts until a walk finds no damage, which all publications name as the cause",
	"walk.not-dry":       "ours: a stand is dead when it is killed and dry",
	"cut.clear":          "ours: cutting and feeding are separate questions",
	"vet.none":           "the farm's journal: no incident, no veterinarian's word",
	"use.no-swath":       "the farm's journal: no swath lies there",
	"use.no-crop":        "the farm's journal: the last cut and the walks since",
}

// tablesRule is the id of answers from the nitrate tables.
const tablesRule = "nitrate.tables"

const oursNoNumber = "ours: no publication gives a number"

// Sources lists where a reason's rule comes from: publisher, title, year and
// URL of each publication and what it says; "ours: ..." where the number or
// the choice is ours. It never returns an empty list.
func Sources(r *hazard.Reason, book *hazard.Rulebook) []string {
	c := citer{book: book}
	s := speaker{book: book}
	table := s.table(r)
	switch {
	case r.Line == hazard.LineNitrateLotUntested:
		c.add("ours: stored feed is never clear of nitrate without a result of its own")
	case r.Line == hazard.LineNitrateLotThin:
		c.rule(hazard.NitrateSampleBales.String())
	case r.Line == hazard.LineNitrateLotSpread:
		c.rule(hazard.NitrateBaleSpread.String())
	case table == nil: // a table that decided stands for itself below
		c.rule(r.Rule)
	}
	if table != nil {
		c.add(SourceLine(&table.Source))
	} else if book == nil || len(c.out) == 0 {
		c.add(Clean(says(r).Source))
	}
	if len(c.out) == 0 && r.Rule == tablesRule && book != nil { // clear in every table: all were asked
		for i := range book.Tables {
			c.add(SourceLine(&book.Tables[i].Source))
		}
	}
	if len(c.out) == 0 {
		c.add(fixedSources[r.Rule])
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

// rule adds what the rulebook has on record for a rule.
func (c *citer) rule(id string) {
	if c.book == nil {
		return
	}
	in, ok := c.book.Info[id]
	if !ok {
		return
	}
	switch in.Basis {
	case "ours":
		if own := fixedSources[id]; own != "" {
			c.add(own)
		} else {
			c.add(oursNoNumber)
		}
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
	if c.book == nil || r.Species == "" {
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
			c.rule(sp.Height.String())
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

// sources is Sources with each rule's publications worked out once.
func (s *speaker) sources(r *hazard.Reason) []string {
	key := sourceKey{r.Rule, r.Line, r.Species, says(r).Source, says(r).Table}
	if got, ok := s.cited[key]; ok {
		return got
	}
	got := Sources(r, s.book)
	if s.cited == nil {
		s.cited = map[sourceKey][]string{}
	}
	s.cited[key] = got
	return got
}

// sourceKey is all that Sources looks at.
type sourceKey struct {
	rule            string
	line            hazard.Line
	species, source string
	table           string
}

// SourceLine prints one publication: publisher, title (year), URL.
func SourceLine(s *hazard.Source) string {
	var parts []string
	if p := Clean(s.Publisher); p != "" {
		parts = append(parts, p)
	}
	t := Clean(s.Title)
	if s.Year > 0 {
		t = strings.TrimSpace(t + " (" + exact(float64(s.Year)) + ")")
	}
	if t != "" {
		parts = append(parts, t)
	}
	if u := Clean(s.URL); u != "" {
		parts = append(parts, u)
	}
	t = strings.Join(parts, ", ")
	if says := clause(s.Says); says != "" {
		t += " - says: " + says
	}
	return t
}
