package hazard

import (
	"slices"
	"strings"

	"rimegate/fields"
)

// WaterN returns a water result in mg NO3-N per litre; 1 ppm in water is
// 1 mg/L.
func WaterN(w *fields.Water) float64 {
	if w.Value == nil {
		return 0
	}
	return ConvertNitrate(*w.Value, w.Form, "NO3-N")
}

// source is one place where stock drink: its latest result, of one date the
// highest, and the classes that drink it.
type source struct {
	fact    fields.Fact
	classes []Class // nil: every class
}

func (s *source) drunkBy(c Class) bool { return s.classes == nil || slices.Contains(s.classes, c) }

// sourceKey folds a source's name: "Dugout 2" and "dugout 2" are one.
func sourceKey(w *fields.Water) string {
	return strings.Join(strings.Fields(strings.ToLower(w.Source)), " ")
}

// latestWater returns the latest result of every source up to a day, of one date
// the highest.
func latestWater(h *fields.History, upTo fields.Date) map[string]fields.Fact {
	var latest map[string]fields.Fact
	for _, f := range h.Water() {
		if f.Date > upTo {
			break
		}
		w := f.Body.(*fields.Water)
		key := sourceKey(w)
		was, ok := latest[key]
		if ok && f.Date == was.Date && WaterN(w) <= WaterN(was.Body.(*fields.Water)) {
			continue
		}
		if latest == nil {
			latest = map[string]fields.Fact{}
		}
		latest[key] = f
	}
	return latest
}

// sources are the places that stock on this line of land drink from: its own, for
// every class, and those of the herds standing in it, for the herd's classes.
func (g *ground) sources() []source {
	if !g.sourcesFound {
		g.drinks, g.sourcesFound = g.findSources(), true
	}
	return g.drinks
}

func (g *ground) findSources() []source {
	latest := latestWater(g.h, g.x)
	if len(latest) == 0 {
		return nil
	}
	out := ownSources(g.water, latest, nil, g.x)
	for _, s := range g.stays {
		if s.Out == fields.NoDate && s.Herd != "" {
			out = append(out, ownSources(g.h.WaterOf(s.Herd), latest, classesOf(g.h, s.Herd), g.x)...)
		}
	}
	return out
}

// ownSources are the sources that results dated up to a day name, each with its
// latest result, whatever that one names.
func ownSources(named []fields.Fact, latest map[string]fields.Fact, classes []Class, upTo fields.Date) []source {
	var out []source
	seen := map[string]bool{}
	for _, f := range named {
		key := sourceKey(f.Body.(*fields.Water))
		if f.Date <= upTo && !seen[key] {
			seen[key] = true
			out = append(out, source{latest[key], classes})
		}
	}
	return out
}

// classesOf are a herd's classes, nil (any) if nobody said or named it.
func classesOf(h *fields.History, herd string) []Class {
	g := h.Herd(herd)
	if g == nil {
		return nil
	}
	var out []Class
	for _, w := range g.Classes {
		if c, ok := ParseClass(w); ok {
			out = append(out, c)
		}
	}
	return out
}

// lotSources are the places that the herds of the farm drink from, wherever they
// stand: a lot may be fed to any of them.
func lotSources(h *fields.History) []source {
	latest := latestWater(h, h.On)
	if len(latest) == 0 {
		return nil
	}
	var out []source
	herds := map[string]bool{}
	for _, f := range h.Water() {
		for _, id := range f.Body.(*fields.Water).Herds {
			if !herds[id] {
				herds[id] = true
				out = append(out, ownSources(h.WaterOf(id), latest, classesOf(h, id), h.On)...)
			}
		}
	}
	for _, s := range h.Stays() {
		if s.Out != fields.NoDate {
			continue
		}
		for _, line := range h.Lines(s.Paddock) {
			var water []fields.Fact
			for _, f := range h.LineFacts(line) {
				if f.Kind() == fields.KindWater {
					water = append(water, f)
				}
			}
			out = append(out, ownSources(water, latest, classesOf(h, s.Herd), h.On)...)
		}
	}
	return out
}

// waterReason is what a source's result says by itself; ok is false below the
// lines. Water below them is still added to the feed.
func (b *Rulebook) waterReason(f fields.Fact) (r Reason, ok bool) {
	w := f.Body.(*fields.Water)
	r = Reason{Line: LineWater, On: f.Date, Figure: measured(WaterMgN, WaterN(w), 0), Need: NeedDecision, Entries: []string{f.ID}, Water: w.Source, undated: true}
	switch {
	case r.Value >= b.V[NitrateWaterHold]*(1-edgeSlack):
		r.Rule, r.Flag, r.Through, r.Limit = NitrateWaterHold.String(), Hold, NoEnd, b.V[NitrateWaterHold]
	case r.Value >= b.V[NitrateWaterCaution]*(1-edgeSlack):
		r.Rule, r.Flag, r.Limit = NitrateWaterCaution.String(), Caution, b.V[NitrateWaterCaution]
	default:
		return Reason{}, false
	}
	return r, true
}

// waterLines answer for the nitrate of the water that a class drinks.
func (b *Rulebook) waterLines(sources []source, c Class) []Reason {
	var rs []Reason
	for i := range sources {
		if r, ok := b.waterReason(sources[i].fact); ok && sources[i].drunkBy(c) {
			rs = append(rs, r)
		}
	}
	return rs
}

// waterPPM is what the worst tested water of a class adds to a feed, ppm NO3-N on
// dry matter: mg per litre times the litres drunk with a kg of dry matter in
// summer. Untested water adds nothing and is said elsewhere.
func (b *Rulebook) waterPPM(sources []source, c Class) float64 {
	var n float64
	for i := range sources {
		if sources[i].drunkBy(c) {
			n = max(n, WaterN(sources[i].fact.Body.(*fields.Water)))
		}
	}
	return n * b.V[NitrateWaterLitres]
}

// WaterSource is one place where stock drink: its latest result, of one date the
// highest, and every paddock and herd that any of its results names.
type WaterSource struct {
	Fact            fields.Fact
	Paddocks, Herds []string
}

// WaterSources are the sources tested up to a day, in the order in which they were
// first tested.
func WaterSources(h *fields.History, upTo fields.Date) []WaterSource {
	latest := latestWater(h, upTo)
	var out []WaterSource
	at := map[string]int{}
	for _, f := range h.Water() {
		if f.Date > upTo {
			break
		}
		w := f.Body.(*fields.Water)
		key := sourceKey(w)
		i, seen := at[key]
		if !seen {
			i = len(out)
			at[key] = i
			out = append(out, WaterSource{Fact: latest[key]})
		}
		out[i].Paddocks = unite(out[i].Paddocks, w.Paddocks)
		out[i].Herds = unite(out[i].Herds, w.Herds)
	}
	return out
}

func unite(to, from []string) []string {
	for _, s := range from {
		if !slices.Contains(to, s) {
			to = append(to, s)
		}
	}
	return to
}

// badWater is a notice for each source at or above a line, worst first: it stands
// on every list by itself, wherever its herd is.
func badWater(h *fields.History, b *Rulebook) []Notice {
	var out []Notice
	for _, s := range WaterSources(h, h.On) {
		if r, ok := b.waterReason(s.Fact); ok {
			out = append(out, Notice{Kind: NoticeWater, Entry: s.Fact.ID, By: s.Fact.By, On: s.Fact.Date, Water: &r, Drinks: slices.Concat(s.Paddocks, s.Herds)})
		}
	}
	slices.SortStableFunc(out, func(a, b Notice) int { return int(b.Water.Flag) - int(a.Water.Flag) })
	return out
}
