package hazard

import "rimegate/fields"

// WaterN returns a water result in mg NO3-N per litre; 1 ppm in water is
// 1 mg/L.
func WaterN(w *fields.Water) float64 {
	if w.Value == nil {
		return 0
	}
	return ConvertNitrate(*w.Value, w.Form, "NO3-N")
}

// waterLines answer for the nitrate of the stock water: of each source its
// latest result counts, of one date the highest. Water below the lines is
// still added to the feed wherever an intake is worked out.
func (g *ground) waterLines() []Reason {
	var rs []Reason
	for _, f := range g.latestWater() {
		n := WaterN(f.Body.(*fields.Water))
		r := Reason{Line: LineWater, On: f.Date, Value: n, Need: NeedDecision, Entries: []string{f.ID}, Text: f.Body.(*fields.Water).Source, undated: true}
		switch {
		case n >= g.book.V[NitrateWaterHold]*(1-edgeSlack):
			r.Rule, r.Flag, r.Through, r.Limit = g.rule(NitrateWaterHold), Hold, NoEnd, g.book.V[NitrateWaterHold]
		case n >= g.book.V[NitrateWaterCaution]*(1-edgeSlack):
			r.Rule, r.Flag, r.Limit = g.rule(NitrateWaterCaution), Caution, g.book.V[NitrateWaterCaution]
		default:
			continue
		}
		rs = append(rs, r)
	}
	return rs
}

// waterPPM is what the worst tested water adds to a feed, ppm NO3-N on dry
// matter: mg per litre times the litres drunk with a kg of dry matter in
// summer. Untested water adds nothing and is said elsewhere.
func (g *ground) waterPPM() float64 {
	var n float64
	for _, f := range g.latestWater() {
		n = max(n, WaterN(f.Body.(*fields.Water)))
	}
	return n * g.book.V[NitrateWaterLitres]
}

// latestWater returns the latest result of each source, of one date the
// highest.
func (g *ground) latestWater() []fields.Fact {
	latest := map[string]fields.Fact{}
	var order []string
	for _, f := range g.water {
		w := f.Body.(*fields.Water)
		was, ok := latest[w.Source]
		if !ok {
			order = append(order, w.Source)
		}
		if !ok || f.Date > was.Date || f.Date == was.Date && WaterN(w) > WaterN(was.Body.(*fields.Water)) {
			latest[w.Source] = f
		}
	}
	out := make([]fields.Fact, 0, len(order))
	for _, source := range order {
		out = append(out, latest[source])
	}
	return out
}
