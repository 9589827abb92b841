package judge

import (
	"rimegate/fields"
	"rimegate/hazard"
)

// word is a veterinary entry with its date.
type word struct {
	d date
	*fields.Vet
}

// §12.1.
func (w word) touches(use hazard.Use, class hazard.Class) bool {
	return (len(w.Uses) == 0 || has(w.Uses, use.String())) && (len(w.Classes) == 0 || has(w.Classes, class.String()))
}

// care is what bears on one place from the veterinary side.
type care struct {
	words     []word
	incidents []date
}

// §12.1.
func (l *land) care(x date) care {
	var c care
	for _, f := range l.upTo(x) {
		switch b := f.e.Body.(type) {
		case *fields.Vet:
			if has(l.ids, b.Paddock) {
				c.words = append(c.words, word{f.d, b})
			}
		case *fields.Incident:
			if has(l.ids, b.Paddock) {
				c.incidents = append(c.incidents, f.d)
			}
		}
	}
	return c
}

// closed reports whether a may-graze later than d, and by x, names class and use (§12.1).
func (c care) closed(d, x date, use hazard.Use, class hazard.Class) bool {
	for _, w := range c.words {
		if w.Advice == "may-graze" && w.d > d && w.d <= x && w.touches(use, class) {
			return true
		}
	}
	return false
}

// reasons are the veterinary answers for one use and class on day x (§12.1, §12.2).
func (c care) reasons(x date, use hazard.Use, class hazard.Class) []reason {
	var out []reason
	for _, d := range c.incidents {
		if !c.closed(d, x, use, class) {
			out = append(out, hold(hazard.LineIncident, noEnd, fields.NoDate))
		}
	}
	for _, w := range c.words {
		if !w.touches(use, class) {
			continue
		}
		if w.Advice == "keep-off" && !c.closed(w.d, x, use, class) {
			switch {
			case w.Until == fields.NoDate:
				out = append(out, hold(hazard.LineKeepOff, noEnd, fields.NoDate))
			case x <= w.Until:
				out = append(out, hold(hazard.LineKeepOff, w.Until, fields.NoDate))
			}
		}
		if w.Advice == "may-graze" && x <= w.Until {
			out = append(out, caution(hazard.LineMayGraze))
		}
	}
	return out
}

// soften turns holds that rest on an event before a may-graze in effect into
// cautions. ends are dates of what ends a may-graze's effect when it falls on
// the day of the may-graze or later (§12.2, §12.3).
func (c care) soften(rs []reason, x date, use hazard.Use, class hazard.Class, ends []date) []reason {
	out := append([]reason{}, rs...)
	for _, w := range c.words {
		if w.Advice != "may-graze" || !w.touches(use, class) || x > w.Until {
			continue
		}
		over := false
		for _, d := range ends {
			over = over || d >= w.d
		}
		for _, d := range c.incidents {
			over = over || d >= w.d
		}
		for _, k := range c.words {
			over = over || k.Advice == "keep-off" && k.d >= w.d && k.touches(use, class)
		}
		if over {
			continue
		}
		for i := range out {
			if out[i].flag == hazard.Hold && out[i].event != fields.NoDate && out[i].event < w.d {
				out[i].flag, out[i].through = hazard.Caution, fields.NoDate
			}
		}
	}
	return out
}

// mayGrazeEnds are the dates of everything on the land that ends a may-graze's
// effect, by the day asked (§12.3).
func (s *stand) mayGrazeEnds(class hazard.Class) []date {
	l, x := s.l, s.x
	var out []date
	for n := l.firstNight(); n <= x; n++ {
		if l.night(n).trigger {
			out = append(out, n)
		}
	}
	if l.tonight(x).trigger {
		out = append(out, x+1)
	}
	if s.lastClock != fields.NoDate {
		out = append(out, s.lastClock)
	}
	if w, lies := s.swathUnder(true); lies && w.before.cyan {
		if _, last := s.swathClock(w); last != fields.NoDate {
			out = append(out, last)
		}
	}
	for _, k := range []fields.Kind{fields.KindHail, fields.KindTrampled, fields.KindSprayed, fields.KindDrought} {
		out = append(out, l.events(k, x)...)
	}
	for _, w := range l.walks("stand", x) {
		if w.ShootsCM != nil && *w.ShootsCM > 0 {
			out = append(out, w.d)
		}
	}
	for _, r := range l.hcn(x) {
		if unfit(l.v.book, r) {
			out = append(out, r.d)
		}
	}
	for _, r := range l.nitrates(x) {
		if r.worst(l.v, class).flag != hazard.Clear {
			out = append(out, r.d)
		}
	}
	return out
}

// unfit: by itself, whatever the stand, an HCN result that is not low or not
// trustworthy (§12.3).
func unfit(book *hazard.Rulebook, r result) bool {
	f, _ := level(book, r.Lab)
	return f != hazard.Clear || r.Method != "lab" || r.SampleState == "dried"
}

// answer gives this line's answers for paddock id (§13.1).
func (l *land) answer(id string, out Answers) {
	s := l.standOn(l.v.on)
	c := l.care(s.x)
	// Of prussic acid only horses have an answer of their own; of nitrate a
	// chop is judged as grazing, and the two cuts alike for all classes.
	cattle, horses := s.prussics(hazard.BredCattle), s.prussics(hazard.Horses)
	cut := s.nitrate(hazard.CutHay, hazard.BredCattle)
	for _, class := range hazard.Classes {
		ends := s.mayGrazeEnds(class)
		graze, swath := s.nitrate(hazard.Graze, class), s.nitrate(hazard.SwathGraze, class)
		for _, use := range hazard.PaddockUses {
			prussic, nitrate := cattle[use], graze
			if class == hazard.Horses {
				prussic = horses[use]
			}
			switch use {
			case hazard.SwathGraze:
				nitrate = swath
			case hazard.CutHay, hazard.CutSilage:
				nitrate = cut
			}
			key := Key{Place: id, Use: use, Class: class}
			key.Hazard = hazard.PrussicAcid
			put(out, key, c.soften(prussic, s.x, use, class, ends))
			key.Hazard = hazard.Nitrate
			put(out, key, c.soften(nitrate, s.x, use, class, ends))
			key.Hazard = hazard.Veterinary
			put(out, key, c.reasons(s.x, use, class))
		}
	}
}

// prussics are the prussic-acid answers by use (§7, §8).
func (s *stand) prussics(class hazard.Class) map[hazard.Use][]reason {
	return map[hazard.Use][]reason{
		hazard.Graze:      s.prussicStanding(hazard.Graze, class),
		hazard.GreenChop:  s.prussicStanding(hazard.GreenChop, class),
		hazard.SwathGraze: s.prussicSwath(class),
		hazard.CutHay:     s.prussicCut(hazard.CutHay),
		hazard.CutSilage:  s.prussicCut(hazard.CutSilage),
	}
}
