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
	return ConvertNitrate(*w.Value, w.Form, fields.FormN)
}

// WaterSource is one place where stock drink (§10.1): its latest result, of one date
// the highest, and every paddock and herd that any of its results names.
type WaterSource struct {
	Fact            fields.WaterFact
	Paddocks, Herds []string
}

// WaterSources are the sources tested up to a day, in the order in which they were
// first tested.
func WaterSources(h *fields.History, upTo fields.Date) []WaterSource {
	var out []WaterSource
	at := map[string]int{}
	for _, f := range fields.UpTo(h.Water(), upTo) {
		key := strings.Join(strings.Fields(strings.ToLower(f.Source)), " ") // "Dugout 2" and "dugout 2" are one
		i, seen := at[key]
		if !seen {
			i = len(out)
			at[key] = i
			out = append(out, WaterSource{Fact: f})
		}
		s := &out[i]
		if f.Date > s.Fact.Date || WaterN(f.Water) > WaterN(s.Fact.Water) {
			s.Fact = f
		}
		s.Paddocks, s.Herds = unite(s.Paddocks, f.Paddocks), unite(s.Herds, f.Herds)
	}
	return out
}

// unite adds the words of a list that another lacks.
func unite(to, from []string) []string {
	for _, s := range from {
		if !slices.Contains(to, s) {
			to = append(to, s)
		}
	}
	return to
}

// source is a result of the water that some classes drink.
type source struct {
	fields.WaterFact
	classes []Class // nil: every class
}

func (s *source) drunkBy(c Class) bool { return s.classes == nil || slices.Contains(s.classes, c) }

// onLine reports a source of a line of land.
func (w *WaterSource) onLine(line []string) bool {
	return slices.ContainsFunc(w.Paddocks, func(p string) bool { return slices.Contains(line, p) })
}

// sources are the places that stock on this line of land drink from (§10.2): its own, for
// every class, and those of the herds standing in it, for the herd's classes.
func (g *ground) sources() []source {
	if g.sourcesFound {
		return g.drinks
	}
	g.sourcesFound = true
	tested := WaterSources(g.h, g.x)
	for _, w := range tested {
		if w.onLine(g.line) {
			g.drinks = append(g.drinks, source{w.Fact, nil})
		}
	}
	for _, s := range g.stays {
		for _, w := range tested {
			if s.Out == fields.NoDate && s.Herd != "" && slices.Contains(w.Herds, s.Herd) {
				g.drinks = append(g.drinks, source{w.Fact, classesOf(g.h, s.Herd)})
			}
		}
	}
	return g.drinks
}

// lotSources are the places that the herds of the farm drink from, wherever they
// stand: a lot may be fed to any of them.
func lotSources(h *fields.History) []source {
	var out []source
	for _, w := range WaterSources(h, h.On) {
		for _, id := range w.Herds {
			out = append(out, source{w.Fact, classesOf(h, id)})
		}
		for _, s := range h.Stays() {
			if s.Out == fields.NoDate && slices.ContainsFunc(h.Lines(s.Paddock), w.onLine) {
				out = append(out, source{w.Fact, classesOf(h, s.Herd)})
			}
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

// waterReason is what a source's result says by itself (§10.3); ok is false below the
// lines. Water below them is still added to the feed.
func (b *Rulebook) waterReason(f fields.WaterFact) (r Reason, ok bool) {
	n, k, flag := WaterN(f.Water), NitrateWaterHold, Hold
	if n < b.V[k]*(1-edgeSlack) {
		k, flag = NitrateWaterCaution, Caution
	}
	if ok = n >= b.V[k]*(1-edgeSlack); !ok {
		return r, false
	}
	return say(LineWater, Reason{
		Rule: k.String(), Flag: flag, On: f.Date, Entries: []string{f.ID}, Water: f.Source,
		Figure: measured(WaterMgN, n, b.V[k]),
	})[0], true
}

// waterLines answer for the nitrate of the water that a class drinks.
func (b *Rulebook) waterLines(sources []source, c Class) []Reason {
	var rs []Reason
	for i := range sources {
		if r, ok := b.waterReason(sources[i].WaterFact); ok && sources[i].drunkBy(c) {
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
			n = max(n, WaterN(sources[i].Water))
		}
	}
	return n * b.V[NitrateWaterLitres]
}

// badWater is a notice for each source at or above a line, worst first: it stands
// on every list by itself, wherever its herd is.
func badWater(h *fields.History, b *Rulebook) []Notice {
	var out []Notice
	for _, s := range WaterSources(h, h.On) {
		if r, ok := b.waterReason(s.Fact); ok {
			out = append(out, Notice{
				Kind: NoticeWater, Entry: s.Fact.ID, By: s.Fact.Signer(), On: s.Fact.Date, Water: &r,
				Drinks: slices.Concat(s.Paddocks, s.Herds),
			})
		}
	}
	slices.SortStableFunc(out, func(a, b Notice) int { return int(b.Water.Flag) - int(a.Water.Flag) })
	return out
}
