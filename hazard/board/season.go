package board

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
)

// Season is a paddock's season for a picture: what each day was answered, how cold its
// nights were, how high it stood, and what happened.
type Season struct {
	Days      []SeasonDay
	Heights   []SeasonHeight
	Marks     []SeasonMark
	MinHeight float64 // cm, 0 where no plant has a minimum
	Units     Units
}

// SeasonDay is one day and the night that ended on it.
type SeasonDay struct {
	On              fields.Date
	Flag            hazard.Flag // Unknown: not asked about
	HasLow          bool
	LowC            float64 // at the plants
	Froze, Possible bool
	Unread          bool
}

// SeasonHeight is the shortest growth that a walk measured, cm.
type SeasonHeight struct {
	On fields.Date
	CM float64
}

// SeasonMark is something that happened, by a letter of SeasonLetters.
type SeasonMark struct {
	On     fields.Date
	Letter string
}

// SeasonLetters say what the letters of a picture mean, in order.
var SeasonLetters = []struct{ Letter, Means string }{
	{"I", "animal down or dead"},
	{"V", "veterinarian's word"},
	{"L", "laboratory sample"},
	{"S", "stock moved in or out"},
	{"W", "walked"},
	{"C", "cut"},
	{"N", "nitrogen spread"},
	{"D", "drought"},
	{"H", "hail, spray or trampling"},
}

var seasonLetters = map[fields.Kind]string{
	fields.KindIncident: "I", fields.KindVet: "V", fields.KindLab: "L", fields.KindGrazed: "S", fields.KindWalk: "W",
	fields.KindCut: "C", fields.KindNitrogen: "N", fields.KindDrought: "D", fields.KindHail: "H", fields.KindSprayed: "H",
	fields.KindTrampled: "H",
}

// season is the picture before any day is answered.
func (r *recorder) season() Season {
	s := Season{Units: r.end.u}
	if r.q.Land == nil {
		return s
	}
	for i := range r.end.a.Paddocks {
		s.MinHeight = r.end.a.Paddocks[i].Stand.MinHeight
	}
	for _, n := range r.nightRows() {
		s.Days = append(s.Days, SeasonDay{
			On: n.Night, HasLow: n.HasLow, LowC: n.LowC, Froze: n.Trigger, Possible: n.Possible, Unread: n.Unread,
		})
	}
	for _, f := range r.all.Facts {
		if f.Date < r.q.From || f.Date > r.q.To || !r.q.About(&f) {
			continue
		}
		if b, ok := f.Body.(*fields.Walk); ok && b.ShortestCM != nil {
			s.Heights = append(s.Heights, SeasonHeight{f.Date, *b.ShortestCM})
		}
		m := SeasonMark{f.Date, seasonLetters[f.Kind()]}
		if m.Letter != "" && !slices.Contains(s.Marks, m) {
			s.Marks = append(s.Marks, m)
		}
	}
	return s
}

func (s *Season) answer(on fields.Date, f hazard.Flag) {
	if i := slices.IndexFunc(s.Days, func(d SeasonDay) bool { return d.On == on }); i >= 0 {
		s.Days[i].Flag = f
	}
}
