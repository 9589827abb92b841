package fields

import (
	"slices"
	"sort"
)

// Facts of one kind each, with the fields of their body.
type (
	SownFact struct {
		Fact
		*Sown
	}
	SeenFact struct {
		Fact
		*Seen
	}
	WalkFact struct {
		Fact
		*Walk
		OldName bool // nobody said which part of split land it is of: its figures count where they are bad
	}
	CutFact struct {
		Fact
		*Cut
	}
	GrazedFact struct {
		Fact
		*Grazed
	}
	FrostFact struct {
		Fact
		*Frost
	}
	NoFrostFact struct {
		Fact
		*NoFrost
	}
	ReadingFact struct {
		Fact
		*Reading
	}
	ForecastFact struct {
		Fact
		*Forecast
	}
	DroughtFact struct {
		Fact
		*Drought
	}
	NitrogenFact struct {
		Fact
		*Nitrogen
	}
	LabFact struct {
		Fact
		*Lab
	}
	WaterFact struct {
		Fact
		*Water
	}
	VetFact struct {
		Fact
		*Vet
	}
)

// Land is what counts of one line of land (see History.Lines), kind by kind, each by
// date, then id. Facts that decide nothing there are left out.
type Land struct {
	Sown       []SownFact
	Seen       []SeenFact
	Walks      []WalkFact // of the stand
	SwathWalks []WalkFact
	Damage     []WalkFact // those of both that name the night of the damage
	Cuts       []CutFact
	Grazed     []GrazedFact
	Frosts     []FrostFact
	NoFrosts   []NoFrostFact
	Readings   []ReadingFact // of thermometers in the land itself
	Forecasts  []ForecastFact
	Droughts   []DroughtFact
	Harm       []Fact // hail, trampling and spray
	Nitrogen   []NitrogenFact
	Labs       []LabFact // one that names a lot too is bad news or none
	Water      []WaterFact
	Lots       []Fact
	Incidents  []Fact
	Vets       []VetFact
}

func (l *Land) take(f Fact) {
	switch b := f.Body.(type) {
	case *Sown:
		l.Sown = append(l.Sown, SownFact{f, b})
	case *Seen:
		l.Seen = append(l.Seen, SeenFact{f, b})
	case *Walk:
		if b.Part == PartSwath {
			l.SwathWalks = append(l.SwathWalks, WalkFact{Fact: f, Walk: b})
		} else {
			l.Walks = append(l.Walks, WalkFact{Fact: f, Walk: b})
		}
		if b.DamageNight != NoDate {
			l.Damage = append(l.Damage, WalkFact{Fact: f, Walk: b})
		}
	case *Cut:
		l.Cuts = append(l.Cuts, CutFact{f, b})
	case *Grazed:
		l.Grazed = append(l.Grazed, GrazedFact{f, b})
	case *Frost:
		l.Frosts = append(l.Frosts, FrostFact{f, b})
	case *NoFrost:
		l.NoFrosts = append(l.NoFrosts, NoFrostFact{f, b})
	case *Reading:
		l.Readings = append(l.Readings, ReadingFact{f, b})
	case *Forecast:
		l.Forecasts = append(l.Forecasts, ForecastFact{f, b})
	case *Drought:
		l.Droughts = append(l.Droughts, DroughtFact{f, b})
	case *Hail, *Trampled, *Sprayed:
		l.Harm = append(l.Harm, f)
	case *Nitrogen:
		l.Nitrogen = append(l.Nitrogen, NitrogenFact{f, b})
	case *Lab:
		l.Labs = append(l.Labs, LabFact{f, b})
	case *Water:
		l.Water = append(l.Water, WaterFact{f, b})
	case *LotFacts:
		l.Lots = append(l.Lots, f)
	case *Incident:
		l.Incidents = append(l.Incidents, f)
	case *Vet:
		l.Vets = append(l.Vets, VetFact{f, b})
	}
}

// Land returns what counts of a line of land.
func (h *History) Land(line []string) *Land {
	split := slices.ContainsFunc(line, func(id string) bool { return h.paddocks[id] != nil && len(h.paddocks[id].apart) > 0 })
	if len(line) == 1 && !split && (h.supposed == nil || h.supposed.paddock != line[0]) {
		if l := h.land[line[0]]; l != nil {
			return l
		}
	}
	l := &Land{}
	for _, f := range h.LineFacts(line) {
		if split && (f.Kind() == KindWalk || f.Kind() == KindLab) && h.UnderOldName(line, f.Paddocks()[0], f.Date) {
			l.takeOldName(f)
		} else {
			l.take(f)
		}
	}
	return l
}

// Dated is a fact of any kind.
type Dated interface{ When() Date }

// When is the fact's date.
func (f Fact) When() Date { return f.Date }

// UpTo cuts facts in order of date after those dated d or earlier.
func UpTo[F Dated](fs []F, d Date) []F {
	n := sort.Search(len(fs), func(i int) bool { return fs[i].When() > d })
	return fs[:n:n]
}

// Between cuts the facts of some days out of those in order of date.
func Between[F Dated](fs []F, from, to Date) []F {
	fs = UpTo(fs, to)
	return fs[sort.Search(len(fs), func(i int) bool { return fs[i].When() >= from }):]
}

// Lot is a lot of stored feed: its entries merged, and what was said of it.
type Lot struct {
	LotFacts
	Labs      []LabFact
	Incidents []Fact
	MostBales *float64 // that were said of it since it was made: what was fed is part of what a sample is of
	counted   Date     // the day made that they were said with
	AtFeed    []Fact   // of them those of animals in a paddock that had been fed it
	Vets      []VetFact
}

// LotOf returns the lot with the id as its entries describe it together: plants and
// paddocks add up, also those of a cut that names it, and the latest day made counts, which
// is the longer wait.
func (h *History) LotOf(id string) Lot {
	var l Lot
	for _, f := range h.byLot[id] {
		switch b := f.Body.(type) {
		case *LotFacts:
			l.merge(b)
		case *Cut:
			l.From = unite(l.From, []string{b.Paddock})
		case *Lab:
			l.Labs = append(l.Labs, LabFact{f, b})
		case *Incident:
			l.Incidents = append(l.Incidents, f)
		case *Vet:
			l.Vets = append(l.Vets, VetFact{f, b})
		}
	}
	l.AtFeed = h.atFeed[id]
	l.Incidents = append(l.Incidents, l.AtFeed...)
	return l
}

// UsedUp returns who said that nothing is left of a lot on the day asked (§11.11 of the
// contract): the last to say it of a day before. ok is false where nobody did, or
// something said of the lot tells otherwise.
func (h *History) UsedUp(id string) (said Fact, ok bool) {
	for _, f := range h.byLot[id] {
		if f.Kind() == KindUsedUp && f.Date < h.On {
			said, ok = f, true
		}
	}
	if ok {
		_, there := h.LeftOf(id, said.Date)
		ok = !there
	}
	return said, ok
}

// LeftOf returns the last that tells of something left of a lot though nothing was said
// to be on d: anything said of it for a later day, and an incident or a keep-off of d.
func (h *History) LeftOf(id string, d Date) (last Fact, ok bool) {
	for _, f := range h.byLot[id] {
		day, from := f.Date, d+1
		switch b := f.Body.(type) {
		case *UsedUp:
			continue
		case *Fed:
			day = max(day, b.To)
		case *Incident:
			from = d
		case *Vet:
			if b.Advice == AdviceKeepOff {
				from = d
			}
		}
		if day >= from {
			last, ok = f, true
		}
	}
	return last, ok
}

// lotKinds are in order of what they ask for: of a lot that was called by several, the last.
var lotKinds = []LotKind{LotHay, LotSilage, LotBaleage, LotBought}

// StricterLotKind is the one of two kinds that asks for more.
func StricterLotKind(a, b LotKind) LotKind {
	if slices.Index(lotKinds, b) > slices.Index(lotKinds, a) {
		return b
	}
	return a
}

func (l *Lot) merge(b *LotFacts) {
	l.Lot, l.MadeOn = b.Lot, max(l.MadeOn, b.MadeOn)
	l.LotKind = StricterLotKind(l.LotKind, b.LotKind)
	l.From, l.Species = unite(l.From, b.From), unite(l.Species, b.Species)
	if b.CutOn != NoDate {
		l.CutOn = b.CutOn
	}
	setNum(&l.Bales, b.Bales)
	if b.Bales != nil && (b.MadeOn > l.counted || b.MadeOn == l.counted && *b.Bales > *l.MostBales) {
		l.MostBales, l.counted = b.Bales, b.MadeOn
	}
	setNum(&l.Tonnes, b.Tonnes)
	setNum(&l.DMPct, b.DMPct)
	setText(&l.Seller, b.Seller)
}

// unite adds the words of b that a lacks, without writing into a.
func unite(a, b []string) []string {
	for _, s := range b {
		if !slices.Contains(a, s) {
			a = append(a[:len(a):len(a)], s)
		}
	}
	return a
}
