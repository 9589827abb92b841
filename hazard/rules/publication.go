package rules

import (
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"rimegate/fields"
	"rimegate/hazard"
)

// Publication is what one publication says of prussic acid. Adding one is
// adding a file to publications/.
type Publication struct {
	hazard.Source // Says is its rule in one sentence
	CheckedOn     fields.Date
	Restart       string // does a new frost start the count anew: yes, no, not said
	Waits         []PublishedWait
	Heights       []PublishedHeight
	Notes         []string
}

// PublishedWait is one wait as printed.
type PublishedWait struct {
	After      string   // one of WaitEvents
	Use        string   // graze, green-chop, swath-graze, cut-silage, feed-hay, feed-silage
	Species    []string // ids; none: the sorghums as a group
	Days       *int     // lower end of the printed range, nil: no number
	UpToDays   *int     // upper end, nil: Days is all
	AtLeast    bool     // "at least Days"
	Never      bool     // the publication says do not at all
	NeedsKill  bool     // counts only from a later killing frost
	SafeBefore bool     // only where the crop had its safe height before the frost
	Dry        string   // also: days and dry; or: days or dry; from: days from dryness; "": not said
	TallerCM   *float64 // only where it stood at least so tall when frosted
	ShorterCM  *float64 // only where it stood shorter when frosted
	Words      string
}

// Longest is the longer end of the printed wait in days; ok is false where the
// publication gives no number.
func (w PublishedWait) Longest() (days int, ok bool) {
	switch {
	case w.UpToDays != nil:
		return *w.UpToDays, true
	case w.Days != nil:
		return *w.Days, true
	}
	return 0, false
}

// PublishedHeight is one minimum height as printed.
type PublishedHeight struct {
	Species []string // ids; none: the sorghums as a group
	Growth  string   // any, first, regrowth, shoots
	CM      *float64 // lower end of the printed range, nil: no number
	UpToCM  *float64
	Headed  bool // only when headed
	Words   string
}

// Highest is the taller end of the printed height in cm; ok is false where the
// publication gives no number.
func (h PublishedHeight) Highest() (cm float64, ok bool) {
	switch {
	case h.UpToCM != nil:
		return *h.UpToCM, true
	case h.CM != nil:
		return *h.CM, true
	}
	return 0, false
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

// WaitEvents are what a published wait is counted from.
var WaitEvents = []string{"killing-frost", "light-frost", "frost", "shoots-killed", "drought-rain", "spray", "cutting", "baling", "ensiling"}

var (
	waitUses     = []string{"graze", "green-chop", "swath-graze", "cut-silage", "feed-hay", "feed-silage"}
	restartWords = []string{"yes", "no", "not said"}
	dryWords     = []string{"also", "or", "from"}
	growthWords  = []string{"any", "first", "regrowth", "shoots"}
)

type publicationFile struct {
	ID        string          `toml:"id"`
	Publisher string          `toml:"publisher"`
	Title     string          `toml:"title"`
	Year      *int            `toml:"year"`
	URL       string          `toml:"url"`
	CheckedOn *toml.LocalDate `toml:"checked_on"`
	Words     string          `toml:"words"`
	Restart   string          `toml:"restart"`
	Notes     []string        `toml:"notes"`
	Wait      []waitShape     `toml:"wait"`
	Height    []heightShape   `toml:"height"`
}

type waitShape struct {
	After      string   `toml:"after"`
	Use        string   `toml:"use"`
	Species    []string `toml:"species"`
	Days       *int     `toml:"days"`
	UpTo       *int     `toml:"up_to"`
	AtLeast    bool     `toml:"at_least"`
	Never      bool     `toml:"never"`
	NeedsKill  bool     `toml:"needs_kill"`
	SafeBefore bool     `toml:"safe_before"`
	Dry        string   `toml:"dry"`
	TallerCM   *float64 `toml:"taller_cm"`
	ShorterCM  *float64 `toml:"shorter_cm"`
	Words      string   `toml:"words"`
}

type heightShape struct {
	Species []string `toml:"species"`
	Growth  string   `toml:"growth"`
	CM      *float64 `toml:"cm"`
	UpToCM  *float64 `toml:"up_to_cm"`
	Headed  bool     `toml:"headed"`
	Words   string   `toml:"words"`
}

func (r *reader) readPublication(d *doc) {
	var f publicationFile
	if !d.decode(&f, &r.problems) {
		r.whole = false
		return
	}
	p := Publication{
		Source:    r.source(d, "", sourceShape{f.ID, f.Publisher, f.Title, f.Year, f.URL}, f.Words),
		CheckedOn: r.date(d, "", f.CheckedOn), Restart: f.Restart, Notes: f.Notes,
	}
	r.need(d, "", "words", f.Words)
	r.oneOf(d, "", "restart", f.Restart, restartWords)
	if len(f.Wait) == 0 && len(f.Height) == 0 {
		r.add(d, "", "the publication gives neither a wait nor a height")
	}
	for i := range f.Wait {
		s, path := &f.Wait[i], at("wait", i)
		p.Waits = append(p.Waits, PublishedWait{s.After, s.Use, s.Species, s.Days, s.UpTo, s.AtLeast, s.Never, s.NeedsKill, s.SafeBefore, s.Dry, s.TallerCM, s.ShorterCM, s.Words})
		r.checkWait(d, path, s)
	}
	for i := range f.Height {
		s, path := &f.Height[i], at("height", i)
		p.Heights = append(p.Heights, PublishedHeight{s.Species, s.Growth, s.CM, s.UpToCM, s.Headed, s.Words})
		r.oneOf(d, path, "growth", s.Growth, growthWords)
		r.need(d, path, "words", s.Words)
		r.centimetres(d, path, "cm", s.CM)
		r.centimetres(d, path, "up_to_cm", s.UpToCM)
		if s.CM == nil && !s.Headed {
			r.add(d, path, "a height says neither cm nor headed")
		}
		if s.UpToCM != nil && (s.CM == nil || *s.UpToCM <= *s.CM) {
			r.add(d, dot(path, "up_to_cm"), "up_to_cm does not lie above cm")
		}
		r.later(d, path, s.Species)
	}
	r.pubs = append(r.pubs, p)
}

func (r *reader) checkWait(d *doc, path string, s *waitShape) {
	r.oneOf(d, path, "after", s.After, WaitEvents)
	r.oneOf(d, path, "use", s.Use, waitUses)
	if s.Dry != "" {
		r.oneOf(d, path, "dry", s.Dry, dryWords)
	}
	r.need(d, path, "words", s.Words)
	days := func(key string, v *int) {
		if v != nil && (*v < 0 || *v > 3650) {
			r.add(d, dot(path, key), "%s %d cannot be", key, *v)
		}
	}
	days("days", s.Days)
	days("up_to", s.UpTo)
	if s.UpTo != nil && (s.Days == nil || *s.UpTo <= *s.Days) {
		r.add(d, dot(path, "up_to"), "up_to does not lie above days")
	}
	if s.Never && s.Days != nil {
		r.add(d, dot(path, "never"), "a wait is never and a number at once")
	}
	if s.AtLeast && s.Days == nil {
		r.add(d, dot(path, "at_least"), "at_least says nothing without days")
	}
	r.centimetres(d, path, "taller_cm", s.TallerCM)
	r.centimetres(d, path, "shorter_cm", s.ShorterCM)
	r.later(d, path, s.Species)
}

func (r *reader) oneOf(d *doc, path, key, word string, words []string) {
	if !slices.Contains(words, word) {
		r.add(d, dot(path, key), "%s %q is not one of %s", key, word, strings.Join(words, ", "))
	}
}

func (r *reader) centimetres(d *doc, path, key string, v *float64) {
	if v != nil && !units["cm"].holds(*v) {
		r.add(d, dot(path, key), "%s %s cm cannot be", key, number(*v))
	}
}

// named is a species a publication speaks of; the species table is read after
// the publications, as its ratings cite them.
type named struct {
	d        *doc
	path, id string
}

func (r *reader) later(d *doc, path string, ids []string) {
	for i, id := range ids {
		r.named = append(r.named, named{d, at(dot(path, "species"), i), id})
	}
}

func (r *reader) checkNamed() {
	for _, n := range r.named {
		if r.book.Species[n.id] == nil && r.whole {
			r.add(n.d, n.path, "there is no species %q", n.id)
		}
	}
}

// Publications returns them sorted by id.
func Publications() []Publication { return append([]Publication(nil), embeddedFiles().pubs...) }
