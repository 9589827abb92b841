package board

import (
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// EntryEcho is EntryWords as an entry is read back before it is stored: behind
// what was said stands, in sentences, what was left out and how it is taken.
func EntryEcho(e *fields.Entry, h *fields.History, u Units) string {
	taken := (&entrySpeaker{h: h, u: u}).taken(e)
	if len(taken) == 0 {
		return EntryWords(e, h, u)
	}
	return EntryWords(e, h, u) + ". " + strings.Join(taken, ". ") + "."
}

// taken is how the entry is understood where it says nothing itself.
func (t *entrySpeaker) taken(e *fields.Entry) []string {
	one := func(says bool, words string) []string { return slices.Repeat([]string{words}, asOne(says)) }
	switch b := e.Body.(type) {
	case *fields.Reading:
		return append(one(b.Covers == nil && len(b.Spans) == 0, "Taken as the low of the whole night"),
			t.counts(b)...)
	case *fields.NoFrost:
		if b.Basis != "thermometer-in-paddock" {
			return []string{"It covers nights nobody read; a nearly frosty one stays that, and a frost on file beats it"}
		}
		return append(one(len(b.Paddocks) > 1, "It means a thermometer stood at plant height in each of the "+
			strconv.Itoa(len(b.Paddocks))+" paddocks"),
			"It covers nearly frosty nights too; any frost on file beats it")
	case *fields.Frost:
		return one(b.LowC == nil, "You did not say how cold: taken as a hard frost")
	case *fields.PaddockFacts:
		return one(b.Station != "" && !t.saidLow(b), "Not said whether it lies low: taken as not low")
	case *fields.Sown:
		return one(b.NewStand == nil && t.grown(b.Paddock, e.ID), "Taken as added to what grows there; if "+
			"that is gone, say --new-stand")
	case *fields.Seen:
		return one(b.Extent == "", "You did not say how much: taken as patches")
	case *fields.Walk:
		return append(one(b.Part == "", "Taken as a walk of the stand"), one(b.DamageNight != fields.NoDate && b.DamageNight == e.On,
			"The night before the walk stands for one that nobody knows: the longest wait")...)
	case *fields.Nitrogen:
		return one(b.KgNHa == nil, "Taken as more than every line allows")
	case *fields.Fed:
		return one(b.To == fields.NoDate, "It runs until something later is logged for the herd")
	case *fields.Lab:
		x := t.improper(b)
		return one(x != "", x)
	}
	return nil
}

// StillCounts says which plants of an older stand go on counting behind a sowing with
// new_stand (§5.2), "" if none does.
func StillCounts(after *hazard.Assessment, e *fields.Entry) string {
	b, ok := e.Body.(*fields.Sown)
	if !ok || b.NewStand == nil || !*b.NewStand {
		return ""
	}
	s := newSpeaker(after, UnitsOf(after.History))
	var old []string
	for _, p := range s.paddocks(Filter{Paddock: b.Paddock}) {
		for _, id := range p.paddock.Species {
			sown := slices.ContainsFunc(b.Species, func(x fields.SpeciesShare) bool { return s.book.Means(x.Species, id) })
			if !sown && (s.book.Species[id] == nil || s.book.Species[id].Habit.Cyanogenic()) {
				old = append(old, id)
			}
		}
	}
	if len(old) == 0 {
		return ""
	}
	return s.species(old...) + " of the older stand still counts in " + paddockName(s.h, b.Paddock) + ": it can come up again. " +
		"A week or more after the sowing, once it would show, look for it and log it gone: rimegate log walk --weeds-checked --absent " +
		quoted(strings.Join(old, ",")) + " " + Clean(b.Paddock)
}

// saidLow reports that a paddock was ever said to lie low, or not to.
func (t *entrySpeaker) saidLow(b *fields.PaddockFacts) bool {
	on, _ := t.h.OnFile(fields.KindPaddock, b.Paddock).(*fields.PaddockFacts)
	return b.LowLying != nil || on != nil && on.LowLying != nil
}

// grown reports that something was sown or seen in a paddock before this entry.
func (t *entrySpeaker) grown(paddock, id string) bool {
	return slices.ContainsFunc(t.h.OfPaddock(paddock), func(f fields.Fact) bool {
		unstored := strings.HasPrefix(f.ID, "~") // this very entry, as a trial
		return !unstored && f.ID != id && (f.Kind() == fields.KindSown || f.Kind() == fields.KindSeen)
	})
}

// improper says what of the sampling a nitrate result must say to clear a thing.
func (t *entrySpeaker) improper(b *fields.Lab) string {
	if b.Analyte != "nitrate" || b.Method != "lab" {
		if b.Method == "strip" || b.Method == "quick" {
			return "A strip or quick test warns and clears nothing"
		}
		return ""
	}
	type asked struct {
		v    *float64
		what string
	}
	needs := []asked{{b.Stems, "stems"}, {b.Spots, "spots"}, {b.CutCM, "cutting height"}}
	if b.Lot != "" {
		needs = []asked{{b.BalesCored, "bales cored"}, {b.Cores, "cores"}}
		if lot := t.h.LotOf(b.Lot); lot.LotKind == fields.LotSilage { // its bales are not counted (§11.8)
			needs = needs[1:]
		}
	}
	var lacks []string
	for _, n := range needs {
		if n.v == nil {
			lacks = append(lacks, n.what)
		}
	}
	if len(lacks) == 0 {
		return ""
	}
	return "Without its " + join(lacks) + " it can warn and clears nothing"
}

// counts says for which paddocks a reading counts, and as what.
func (t *entrySpeaker) counts(b *fields.Reading) []string {
	if b.Station == "" {
		return []string{"Taken as a thermometer in the paddock itself, at plant height: it counts only there, as read"}
	}
	colder := "Plants that stand lower than the thermometer may be colder"
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
