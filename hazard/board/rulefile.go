package board

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// PublicationItems is all that a publication on prussic acid says: label and text.
func PublicationItems(p *rules.Publication) [][2]string {
	out := [][2]string{{"Source", SourceLine(&p.Source)}}
	for i := range p.Waits {
		out = append(out, [2]string{"Wait", waitWords(&p.Waits[i])})
	}
	for i := range p.Heights {
		out = append(out, [2]string{"Height", heightWords(&p.Heights[i])})
	}
	restart := map[string]string{"yes": "starts the count anew", "no": "does not start the count anew"}[p.Restart]
	out = append(out, [2]string{"New frost", restart})
	for _, n := range p.Notes {
		out = append(out, [2]string{"Note", clause(n)})
	}
	return append(out, [2]string{"Checked on", p.CheckedOn.Words()})
}

var dryWords = map[string]string{"also": ", and dry", "or": ", or dry", "from": " from when it is dry"}

func waitWords(w *rules.PublishedWait) string {
	n := "no number"
	switch {
	case w.Never:
		n = "not at all"
	case w.Days != nil && w.UpToDays != nil:
		n = strconv.Itoa(*w.Days) + " to " + plural(*w.UpToDays, "day")
	case w.Days != nil:
		n = provided(w.AtLeast, "at least ") + plural(*w.Days, "day")
	}
	height := func(v *float64) float64 {
		if v == nil {
			return 0
		}
		return *v
	}
	return "after " + w.After + ", to " + w.Use + whichPlants(w.Species) + ": " + n + dryWords[w.Dry] +
		provided(w.NeedsKill, ", only after a later killing frost") +
		provided(w.SafeBefore, ", only where it was tall enough before the frost") +
		provided(w.TallerCM != nil, ", only where it stood at least "+fields.Height.Both(height(w.TallerCM))) +
		provided(w.ShorterCM != nil, ", only where it stood below "+fields.Height.Both(height(w.ShorterCM))) +
		" (" + clause(w.Words) + ")"
}

func heightWords(h *rules.PublishedHeight) string {
	n := "once headed"
	switch {
	case h.CM != nil && h.UpToCM != nil:
		n = fields.Height.Both(*h.CM) + " to " + fields.Height.Both(*h.UpToCM)
	case h.CM != nil:
		n = fields.Height.Both(*h.CM) + provided(h.Headed, ", once headed")
	}
	return h.Growth + " growth" + whichPlants(h.Species) + ": " + n + " (" + clause(h.Words) + ")"
}

func whichPlants(ids []string) string {
	if len(ids) == 0 {
		return " (the sorghums)"
	}
	return " (" + strings.Join(ids, ", ") + ")"
}

// TableItems is all that a nitrate table says, rows that are alike together.
func TableItems(t *hazard.NitrateTableData) [][2]string {
	out := [][2]string{{"Source", SourceLine(&t.Source)}, {
		"Prints",
		string(t.Form) + " in " + t.Unit + " of dry matter" + provided(t.OneRow, ", one line"),
	}}
	for i, c := range hazard.Classes {
		var alike []hazard.Class
		for _, o := range hazard.Classes {
			if slices.Equal(t.Rows[o], t.Rows[c]) {
				alike = append(alike, o)
			}
		}
		if len(t.Rows[c]) == 0 || alike[0] != hazard.Classes[i] {
			continue
		}
		below := 0.0
		for _, b := range t.Rows[c] {
			out = append(out, [2]string{"Band", ClassWords(alike) + ": " + bandWords(t, b, below)})
			below = b.UpTo
		}
	}
	return out
}

func bandWords(t *hazard.NitrateTableData, b hazard.NitrateBand, below float64) string {
	in := func(v float64) string { return ppm(v) + " ppm " + string(t.Form) + " (" + ppm(v*t.ToN) + " NO3-N)" }
	edges := "from " + in(below)
	if !math.IsInf(b.UpTo, 1) {
		edges = "below " + in(b.UpTo)
	}
	flag, share := b.Says()
	return edges + ": " + FlagWord(flag) + " " + shareWords(share) + " (" + clause(b.Words) + ")"
}
