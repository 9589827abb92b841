package board

import (
	"cmp"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Green is an act that many of a page's NO and ASK answers wait for.
type Green struct {
	Text       string      // the act, a sentence
	Form       fields.Kind // the entry that says it was done, "" if none does
	IDs, Names []string    // of the paddocks and lots it is for
	Answers    int         // how many answers of the page wait for it
	Alone      int         // of these, how many wait for nothing else

	by     fields.Date
	key    string        // which acts are one
	nights []fields.Date // to be looked up
}

// MostGreen is how many such acts are named, AllGreen what is said where none is needed.
const (
	MostGreen = 3
	AllGreen  = "Every answer of the page is a YES. It is good for today only."
)

// Words say the act, and how many of the page's open answers wait for it.
func (g *Green) Words(open int) []string {
	n := number(float64(open), 0)
	of := number(float64(g.Answers), 0) + " of the " + n + " NO and ASK answers wait for it"
	switch {
	case open == 1:
		of = "The one NO or ASK answer waits for it"
	case g.Answers == open:
		of = "All " + n + " NO and ASK answers wait for it"
	}
	return []string{
		strings.TrimSuffix(g.Text, ".") + ": " + join(g.Names) + ".",
		of + provided(g.Alone == g.Answers, ", and for nothing else") + ".",
	}
}

// Greens are the acts by which the page of a day turns green: what can be done that day
// before what has to wait, and of these first what most NO and ASK answers wait for. open is how many of its answers are no YES. What only
// time or another's word lifts is no act.
func Greens(a *hazard.Assessment, f Filter) (acts []Green, open int) {
	s := newSpeaker(a, UnitsOf(a.History))
	p := NewPage(a, f, nil)
	found := map[string]*Green{}
	for _, row := range slices.Concat(p.Rows, p.Feed) {
		x, err := s.subject(row.ID)
		if err != nil {
			continue
		}
		for i, c := range p.Columns {
			if row.Flags[i] == hazard.Clear {
				continue
			}
			open++
			waits := s.waitsFor(x.worstOf(row.Use, c.Classes))
			for key, g := range waits {
				if found[key] == nil {
					found[key] = &g
				}
				at := found[key]
				at.nights = append(at.nights, g.nights...)
				at.Answers++
				at.Alone += asOne(len(waits) == 1)
				at.by = min(at.by, g.by)
				if !slices.Contains(at.IDs, row.ID) {
					at.IDs, at.Names = append(at.IDs, row.ID), append(at.Names, x.name)
				}
			}
		}
	}
	for _, g := range found {
		if len(g.nights) > 0 {
			slices.Sort(g.nights)
			g.Text = sentence("look up the low for " + s.nights(slices.Compact(g.nights)) +
				" and log it, or sign that there was no frost")
		}
		acts = append(acts, *g)
	}
	slices.SortFunc(acts, func(x, y Green) int {
		return cmp.Or(asOne(x.by > s.on)-asOne(y.by > s.on), y.Answers-x.Answers, y.Alone-x.Alone, x.by.Sub(y.by), cmp.Compare(x.Text, y.Text))
	})
	return acts, open
}

// waitsFor are the acts that an answer waits for, by their words; nights to look up are
// one act.
func (s *speaker) waitsFor(v *hazard.Verdict) map[string]Green {
	out := map[string]Green{}
	for _, r := range reasonsOf(v) {
		text, what := s.act(r)
		if what == "" || r.SoftBy != nil || r.Flag == hazard.Clear {
			continue
		}
		g := Green{Text: sentence(text), Form: taskForms[what], by: s.on, key: text}
		if what == taskNight && len(r.Nights) > 0 {
			g.key = taskNight
			g.nights = append(slices.Clone(r.Nights), out[taskNight].nights...)
		}
		switch r.Line {
		case hazard.LineUnlisted:
			g.Form = fields.KindSown
		case hazard.LineWater:
			g.Form = fields.KindWater
		}
		if due := lines[r.Line].due; due != nil {
			g.by = due(s, r)
		}
		out[g.key] = g
	}
	return out
}
