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
	"cut.clear":          "ours: cutting and feeding are separate questions",
	"vet.none":           "the farm's journal: no incident, no veterinarian's word",
	"use.no-swath":       "the farm's journal: no swath lies there",
	"use.no-crop":        "the farm's journal: the last cut and the walks since",
}

// tablesRule is the id of answers from the nitrate tables.
const tablesRule = "nitrate.tables"

const oursNoNumber = "ours: no publication gives a number"

// Sources lists where a reason's rule comes from: publisher, title, year and
// URL of each publication; "ours: no publication gives a number" where the
// number is ours. It never returns an empty list.
func Sources(r *hazard.Reason, book *hazard.Rulebook) []string {
	var out []string
	add := func(x string) {
		if x == "" {
			return
		}
		for _, y := range out {
			if x == y {
				return
			}
		}
		out = append(out, x)
	}
	info := func(id string) bool {
		if book == nil {
			return false
		}
		in, ok := book.Info[id]
		if !ok {
			return false
		}
		switch in.Basis {
		case "ours":
			if own, ok := fixedSources[id]; ok {
				add(own)
			} else {
				add(oursNoNumber)
			}
		case "common-practice":
			add("common practice, no source for the number")
		}
		for i := range in.Sources {
			add(SourceLine(&in.Sources[i]))
		}
		return true
	}
	found := info(r.Rule)
	s := speaker{book: book}
	if t := s.table(r); t != nil {
		add(SourceLine(&t.Source))
		found = true
	} else if r.Rule == tablesRule && book != nil { // clear in every table: all were asked
		for i := range book.Tables {
			add(SourceLine(&book.Tables[i].Source))
			found = true
		}
	}
	if !found {
		add(fixedSources[r.Rule])
	}
	if book != nil && r.Species != "" {
		sp := book.Species[r.Species]
		if sp == nil {
			sp = book.Find(r.Species)
		}
		if sp != nil {
			switch r.Line {
			case hazard.LineShoots, hazard.LineTooShort, hazard.LineRainHeight, hazard.LineSwathShoots, hazard.LineNeverMeasured:
				if sp.Height >= 0 && sp.Height < hazard.NumRules {
					info(sp.Height.String())
				}
			case hazard.LineHorses, hazard.LineFlax, hazard.LineFlaxTest, hazard.LineCapped:
				for _, x := range sp.Sources {
					add(Clean(x))
				}
			}
		}
	}
	if s.table(r) == nil {
		add(Clean(r.Source))
	}
	if len(out) == 0 {
		add("no source is on record for " + Clean(r.Rule))
	}
	return out
}

// sources is Sources with each rule's publications worked out once.
func (s *speaker) sources(r *hazard.Reason) []string {
	key := sourceKey{r.Rule, r.Line, r.Species, r.Source, strings.Join(r.Names, "\x00")}
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
	names           string
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
