package hazard

import (
	"slices"

	"rimegate/fields"
)

// What others ask of the record besides the answers: the questions of a log and of
// who plans ahead.

// Frost is a frost on file: its night, what tells of it and, of a station's reading,
// the offset of the paddock, °C.
type Frost struct {
	Night   fields.Date
	Fact    fields.Fact
	OffsetC float64
}

// FrostsOf returns what makes trigger nights (§4.3) of a paddock's land, from one
// night through another, in no order.
func FrostsOf(h *fields.History, book *Rulebook, paddock string, from, to fields.Date) []Frost {
	var out []Frost
	for _, line := range h.Lines(paddock) {
		out = append(out, frostsOf(h, book, line, from, to)...)
	}
	return out
}

func frostsOf(h *fields.History, book *Rulebook, line []string, from, to fields.Date) (out []Frost) {
	add := func(froze bool, night fields.Date, f fields.Fact, offset float64) {
		if froze && night >= from && night <= to {
			out = append(out, Frost{night, f, offset})
		}
	}
	for _, f := range h.LineFacts(line) {
		switch b := f.Body.(type) {
		case *fields.Reading:
			add(book.froze(b, 0), f.Date, f, 0)
		case *fields.Frost:
			add(true, f.Date, f, 0)
		case *fields.Walk:
			add(b.DamageNight != fields.NoDate, b.DamageNight, f, 0)
		}
	}
	for _, id := range h.StationsOf(line) {
		for _, f := range fields.Between(h.OfStation(id), from, to) {
			if s := h.NightSetting(line, f.Date); slices.Contains(s.Stations, id) {
				b, reads := f.Body.(*fields.Reading)
				add(reads && book.froze(b, s.OffsetC), f.Date, f, s.OffsetC)
			}
		}
	}
	return out
}

// froze reports a reading that makes its night a trigger, at a paddock's offset.
func (b *Rulebook) froze(r *fields.Reading, offset float64) bool {
	return yes(r.BelowZero) || r.HoursBelow() > 0 || r.LowC != nil && *r.LowC+offset <= b.V[FrostTrigger]
}

// Unexplained reports whether a walk of the paddock on a day found damage that no
// night explains (§7.8): on some line of its land no trigger night since the last
// walk that looked and found none, or since the stand was sown; or the night that the
// walk names is from before all that grows there was sown.
func Unexplained(h *fields.History, book *Rulebook, paddock string, w *fields.Walk, day fields.Date) bool {
	if !w.FoundDamage() || w.Part == fields.PartSwath {
		return false
	}
	if w.DamageNight != fields.NoDate {
		return !slices.ContainsFunc(h.Lines(paddock), func(line []string) bool {
			return w.DamageNight > sownBefore(h, line, day)
		})
	}
	for _, line := range h.Lines(paddock) {
		if len(frostsOf(h, book, line, unharmedSince(h, line, day)+1, day)) == 0 {
			return true
		}
	}
	return false
}

// HarmSince reports whether entries of a kind (hail, spray, drought) were logged for
// the paddock by a day, since it was last known to be unharmed.
func HarmSince(h *fields.History, paddock string, kind fields.Kind, day fields.Date) bool {
	for _, line := range h.Lines(paddock) {
		since := unharmedSince(h, line, day)
		for _, f := range h.LineFacts(line) {
			if f.Kind() == kind && f.Date > since && f.Date <= day {
				return true
			}
		}
	}
	return false
}

// unharmedSince is the last day before a day on which the stand was known to have no
// damage: a walk that said so, or the day it was sown (anew); NoDate for none.
func unharmedSince(h *fields.History, line []string, day fields.Date) fields.Date {
	since, sown := fields.NoDate, false
	for _, f := range h.LineFacts(line) {
		if f.Date >= day {
			break
		}
		switch b := f.Body.(type) {
		case *fields.Walk:
			if b.FrostDamage == fields.DamageNone && !b.FoundDamage() && b.Part != fields.PartSwath {
				since = f.Date
			}
		case *fields.Sown:
			if !sown || yes(b.NewStand) {
				since = f.Date
			}
			sown = true
		}
	}
	return since
}

// Rests reports whether the verdict has a reason on a line.
func (v *Verdict) Rests(l Line) bool {
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			if v.Hazards[i].Reasons[j].Line == l {
				return true
			}
		}
	}
	return false
}

// CannotBe reports a use that cannot be, since no swath or crop is there: no errand
// makes one.
func (v *Verdict) CannotBe() bool {
	return v.cannotBe || v.Rests(LineNoSwath) || v.Rests(LineNoCrop)
}

// Worst returns the reason that decides the verdict, of holds the one that ends last;
// nil for a clear one.
func (v *Verdict) Worst() *Reason {
	for i := range v.Hazards {
		for j := range v.Hazards[i].Reasons {
			r := &v.Hazards[i].Reasons[j]
			if v.Flag != Clear && r.Flag == v.Flag && (v.Flag != Hold || v.Hazards[i].Through == v.Through) {
				return r
			}
		}
	}
	return nil
}

// LastGreen is the last walk of the paddock that found growth, NoDate if none did.
func LastGreen(h *fields.History, book *Rulebook, paddock string) fields.Date {
	last := fields.NoDate
	r := newReader(h, book, nil)
	for _, line := range h.Lines(paddock) {
		g := r.on(line, h.On)
		for _, f := range g.Walks {
			if g.green(f.Walk) {
				last = max(last, f.Date)
			}
		}
	}
	return last
}
