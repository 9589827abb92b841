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
	var rs []Reason
	for _, source := range order {
		f := latest[source]
		n := WaterN(f.Body.(*fields.Water))
		r := Reason{Line: LineWater, On: f.Date, Value: n, Need: NeedDecision, Entries: []string{f.ID}, Text: source}
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
