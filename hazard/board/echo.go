package board

import (
	"strings"

	"rimegate/fields"
)

// EntryEcho is EntryWords as an entry is read back before it is stored: behind
// what was said stands, in sentences, what was left out and how it is taken.
func EntryEcho(e *fields.Entry, h *fields.History, u Units) string {
	taken := (&teller{h: h, u: u}).taken(e)
	if len(taken) == 0 {
		return EntryWords(e, h, u)
	}
	return EntryWords(e, h, u) + ". " + strings.Join(taken, ". ") + "."
}

// taken is how the entry is understood where it says nothing itself.
func (t *teller) taken(e *fields.Entry) []string {
	var out []string
	add := func(s ...string) { out = append(out, strings.Join(s, "")) }
	switch b := e.Body.(type) {
	case *fields.Reading:
		if b.Covers == nil && len(b.Spans) == 0 {
			add("It is taken as the lowest of the whole night")
		}
		out = append(out, t.counts(b)...)
	case *fields.NoFrost:
		if b.Basis == "thermometer-in-paddock" {
			if n := len(b.Paddocks); n > 1 {
				add("It says that a thermometer stood at plant height in each of the ", number(float64(n), 0), " paddocks")
			}
			add("It speaks for nights that were nearly frosty too; a frost that anybody or anything recorded stands above it")
		} else {
			add("It speaks for nights that nobody read; one that was nearly frosty stays so, and a recorded frost stands above it")
		}
	case *fields.Frost:
		if b.LowC == nil {
			add("How cold it got is not said: it is taken as a hard frost")
		}
	case *fields.Sown:
		if b.NewStand == nil && t.h != nil {
			for _, f := range t.h.OfPaddock(b.Paddock) {
				unstored := strings.HasPrefix(f.ID, "~") // this very entry, as a trial
				if !unstored && f.ID != e.ID && (f.Kind() == fields.KindSown || f.Kind() == fields.KindSeen) {
					add("It is taken as added to what grows there; if that is gone, say --new-stand")
					break
				}
			}
		}
	case *fields.Seen:
		if b.Extent == "" {
			add("How much of the stand it is is not said: it is taken as patches")
		}
	case *fields.Walk:
		if b.Part == "" {
			add("It is taken as a walk of the stand")
		}
	case *fields.Nitrogen:
		if b.KgNHa == nil {
			add("Its rate is taken as above every line")
		}
	case *fields.Fed:
		if b.To == fields.NoDate {
			add("It goes on until something later is logged for the herd")
		}
	case *fields.Lab:
		if x := t.improper(b); x != "" {
			add(x)
		}
	}
	return out
}

// improper says what of the sampling a nitrate result must say to clear a thing.
func (t *teller) improper(b *fields.Lab) string {
	if b.Analyte != "nitrate" || b.Method != "lab" {
		if b.Method == "strip" || b.Method == "quick" {
			return "A strip or a quick test warns and clears nothing"
		}
		return ""
	}
	var lacks []string
	need := func(v *float64, what string) {
		if v == nil {
			lacks = append(lacks, what)
		}
	}
	if b.Lot != "" {
		need(b.BalesCored, "bales cored")
		need(b.Cores, "cores")
	} else {
		need(b.Stems, "stems")
		need(b.Spots, "spots")
		need(b.CutCM, "cutting height")
	}
	if len(lacks) == 0 {
		return ""
	}
	return "Without its " + join(lacks) + " it can warn and clears nothing"
}

// counts says for which paddocks a reading counts, and as what.
func (t *teller) counts(b *fields.Reading) []string {
	if b.Station == "" {
		return []string{"The thermometer is taken to have stood in the paddock itself, at plant height: it counts there alone, as read"}
	}
	colder := "Plants that stand lower than the thermometer may be colder"
	if t.h == nil {
		return []string{colder}
	}
	var order []float64
	names := map[float64][]string{}
	for _, p := range t.h.Standing() {
		for _, line := range t.h.Lines(p.ID) {
			s := t.h.NightSetting(line, b.Night)
			if !contains(s.Stations, b.Station) {
				continue
			}
			if names[s.OffsetC] == nil {
				order = append(order, s.OffsetC)
			}
			if n := paddockName(t.h, p.ID); !contains(names[s.OffsetC], n) {
				names[s.OffsetC] = append(names[s.OffsetC], n)
			}
		}
	}
	if len(order) == 0 {
		return []string{"NO PADDOCK NAMES THIS THERMOMETER, so it counts for none: `rimegate paddock set --station`"}
	}
	var parts []string
	for _, o := range order {
		x := "for " + join(fewNames(names[o])) + " as read"
		if o != 0 {
			x = "for " + join(fewNames(names[o])) + " with " + t.u.in(fields.Difference, -o) + " taken off"
			if b.LowC != nil {
				x += " (" + t.u.temp(*b.LowC+o) + ")"
			}
		}
		parts = append(parts, x)
	}
	return []string{"It counts " + join(parts), colder}
}

// fewNames keeps a list of names short enough to be read.
func fewNames(names []string) []string {
	const most = 6
	if len(names) <= most {
		return names
	}
	return append(append([]string{}, names[:most]...), plural(len(names)-most, "more paddock"))
}
