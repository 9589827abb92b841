package rules

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Publication is what one publication says of prussic acid. Adding one is
// adding a file to publications/.
type Publication struct {
	hazard.Source // Says is its rule in one sentence
	publicationShape
}

// publicationShape is what its file says beside its title.
type publicationShape struct {
	CheckedOn fields.Date `need:""`
	// Restart: does a new frost start the count anew?
	Restart string            `one:"yes,no,not said"`
	Waits   []PublishedWait   `toml:"wait"`
	Heights []PublishedHeight `toml:"height"`
	Notes   []string
}

// PublishedWait is one wait as printed.
type PublishedWait struct {
	After      string   `one:"killing-frost,light-frost,frost,shoots-killed,drought-rain,spray,cutting,baling,ensiling"`
	Use        string   `one:"graze,green-chop,swath-graze,cut-silage,feed-hay,feed-silage"`
	Species    []string // ids; none: the sorghums as a group
	Days       *int     `unit:"days"`              // lower end of the printed range, nil: no number
	UpToDays   *int     `toml:"up_to" unit:"days"` // upper end, nil: Days is all
	AtLeast    bool     // "at least Days"
	Never      bool     // the publication says do not at all
	NeedsKill  bool     // counts only from a later killing frost
	SafeBefore bool     // only where the crop had its safe height before the frost
	Dry        string   `one:",also,or,from"` // also: days and dry; or: days or dry; from: days from dryness; "": not said
	TallerCM   *float64 `unit:"cm"`           // only where it stood at least so tall when frosted
	ShorterCM  *float64 `unit:"cm"`           // only where it stood shorter when frosted
	Words      string   `need:""`
}

// PublishedHeight is one minimum height as printed.
type PublishedHeight struct {
	Species []string // ids; none: the sorghums as a group
	Growth  string   `one:"any,first,regrowth,shoots"`
	CM      *float64 `unit:"cm"` // lower end of the printed range, nil: no number
	UpToCM  *float64 `unit:"cm"`
	Headed  bool     // only when headed
	Words   string   `need:""`
}

// Longest is the longer end of the printed wait in days; ok is false where the
// publication gives no number.
func (w PublishedWait) Longest() (days int, ok bool) { return upper(w.Days, w.UpToDays) }

// Highest is the taller end of the printed height in cm; ok is false where the
// publication gives no number.
func (h PublishedHeight) Highest() (cm float64, ok bool) { return upper(h.CM, h.UpToCM) }

// upper is the upper end of a printed range; ok is false where there is none.
func upper[T any](lower, upper *T) (end T, ok bool) {
	if upper == nil {
		upper = lower
	}
	if upper == nil {
		return end, false
	}
	return *upper, true
}

// CoversSpecies reports whether a list of species ids speaks of the species: by
// name, or, where it names none, of every sorghum. It speaks of an everyday name
// that fits several plants if it speaks of one of them.
func CoversSpecies(ids []string, sp *hazard.Species) bool {
	if len(ids) == 0 {
		return sp.Habit == hazard.HabitSorghum
	}
	return slices.Contains(ids, sp.ID) || slices.ContainsFunc(sp.Fits, func(id string) bool { return slices.Contains(ids, id) })
}

func (r *reader) readPublication(s spot) {
	var f struct {
		published
		publicationShape
		Words string `need:""`
	}
	s.decode(&f)
	r.pubs = append(r.pubs, Publication{r.source(s, &f.published, f.Words), f.publicationShape})
	s.refuse(len(f.Waits) == 0 && len(f.Heights) == 0, "", "the publication gives neither a wait nor a height")
	for i := range f.Waits {
		w, at := &f.Waits[i], s.at("wait", i)
		at.refuse(!at.broken() && w.UpToDays != nil && (w.Days == nil || *w.UpToDays <= *w.Days), "up_to", "up_to does not lie above days")
		at.refuse(w.Never && w.Days != nil, "never", "a wait is never and a number at once")
		at.refuse(!at.broken() && w.AtLeast && w.Days == nil, "at_least", "at_least says nothing without days")
		r.later(at, w.Species)
	}
	for i := range f.Heights {
		h, at := &f.Heights[i], s.at("height", i)
		at.refuse(!at.broken() && h.CM == nil && !h.Headed, "", "a height says neither cm nor headed")
		at.refuse(h.UpToCM != nil && *h.UpToCM <= or(h.CM, 1e9), "up_to_cm", "up_to_cm does not lie above cm")
		r.later(at, h.Species)
	}
	s.wasRead(&f.published, "words", f.Words, "notes", strings.Join(f.Notes, " "))
	r.reviewPublication(s, &f.published, &f.publicationShape)
}

// named is a species a publication speaks of; the species table is read after
// the publications, as its ratings cite them.
type named struct {
	spot
	id string
}

func (r *reader) later(s spot, ids []string) {
	for i, id := range ids {
		at := s.at("species", i)
		at.node = &node{start: at.start}
		r.named = append(r.named, named{at, id})
	}
}
