package board

import (
	"io"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Names of the documents of the coming days, the moves and the comparison;
// schema/*.schema.json describe them.
const (
	AheadSchemaName   = "rimegate/ahead/1"
	MovesSchemaName   = "rimegate/moves/1"
	CompareSchemaName = "rimegate/compare/1"
)

// noTurnIn stands in each answer about coming days.
const noTurnIn = "A day ahead is never good for turning in: read that morning's list."

// Strip shows one use of every paddock day by day, if nothing else happens.
type Strip struct {
	sheet
	Use     hazard.Use     `doc:"use"`
	Classes []hazard.Class `doc:"classes"`
	Days    []fields.Date  `doc:"days"`    // the first is today
	If      []string       `doc:"assumed"` // in words; only in the document
	Rows    []StripRow     `doc:"paddocks"`
	Dated   []DatedChange  `doc:"changes"` // what assumed entries change, by the day it first shows
	Warning string         `doc:"warning"`
	Assumed bool           // whether anything is
	s       *speaker       // of the first day
}

// StripRow is a paddock for classes whose answers are alike on every day.
type StripRow struct {
	ID      string         `doc:"paddock"`
	Name    string         `doc:"name"`
	Classes []hazard.Class `doc:"classes"`
	All     bool           // these are all the classes asked about
	Flags   []hazard.Flag  `doc:"flags"`              // Unknown: it does not stand that day
	Was     []hazard.Flag  `doc:"flags_without,null"` // without the assumed entries; nil where nothing is assumed
	First   *ClearDay      `doc:"clear"`              // nil until it was worked out
	After   string         `doc:"after,null"`         // clear now: what takes it away, and what would keep it
}

// ClearDay is the earliest day on which a CLEAR could come, and what it still
// needs; On is NoDate if none of the days looked at can be clear.
type ClearDay struct {
	On      fields.Date `doc:"on"`
	Through fields.Date `doc:"through"`    // it comes by itself: the last day on which it stays so, NoDate if that is not seen
	Still   string      `doc:"still,null"` // the case it rests on, "" if none
	Needs   []Wanted    `doc:"needs"`
	Stuck   string      `doc:"stuck,null"` // no day: what stands in the way on the last day
	Text    string      `doc:"text"`       // ClearWords; only in the document
}

// Wanted is one piece of evidence that is still missing: to be had on a day
// from From through By.
type Wanted struct {
	What   string      `doc:"what"` // "walk it", ...
	From   fields.Date `doc:"from"`
	By     fields.Date `doc:"by"`
	Result fields.Date `doc:"result_by"` // when its result must be in, NoDate if it has none
}

// DatedChange is a change that first shows on a day.
type DatedChange struct {
	On fields.Date `doc:"on"`
	Change
	documentedChange
}

// documentedChange is a change as documents have it.
type documentedChange struct {
	Paddock    string         `doc:"paddock,null"`
	LotID      string         `doc:"lot,null"`
	AllUses    []hazard.Use   `doc:"uses"`
	AllClasses []hazard.Class `doc:"classes"`
	Before     *held          `doc:"was"`
	After      *held          `doc:"now"`
	Text       string         `doc:"text"`
}

// NewStrip lays out assessments of consecutive days, the first today's; with
// are the same days with assumed entries, nil if nothing is assumed.
func NewStrip(days, with []*hazard.Assessment, f Filter) *Strip {
	shown := days
	if with != nil {
		shown = with
	}
	first := newSpeaker(shown[0], UnitsOf(shown[0].History))
	st := &Strip{
		sheet: first.sheet(), Use: f.ListUse(), Classes: f.ListClasses(shown[0].History), Warning: noTurnIn, Assumed: with != nil, s: first,
	}
	for _, a := range shown {
		st.Days = append(st.Days, a.History.On)
	}
	for i := range shown[0].Paddocks {
		p := &shown[0].Paddocks[i]
		if !f.names(first.id(p)) {
			continue
		}
		at := map[string]int{}
		from := len(st.Rows)
		for _, c := range st.Classes {
			now, was := flagsOver(shown, first.id(p), st.Use, c), []hazard.Flag(nil)
			if with != nil {
				was = flagsOver(days, first.id(p), st.Use, c)
			}
			key := marks(now) + marks(was)
			j, ok := at[key]
			if !ok {
				j = len(st.Rows)
				at[key] = j
				st.Rows = append(st.Rows, StripRow{ID: first.id(p), Name: first.name(p), Flags: now, Was: was})
			}
			st.Rows[j].Classes = append(st.Rows[j].Classes, c)
		}
		for j := from; j < len(st.Rows); j++ {
			st.Rows[j].All = len(st.Rows[j].Classes) == len(st.Classes)
		}
	}
	if with != nil {
		said := map[string]bool{}
		for i := range with {
			for _, c := range Changes(days[i], with[i], f) {
				// A change is told once, on the day it first shows: while its answer
				// stays, only the day asked moves on.
				key := c.ID + "\x00" + c.now() + "\x00" + c.Why + "\x00" + ClassWords(c.Classes) + "\x00" + useList(c.Uses)
				if !said[key] {
					said[key] = true
					st.Dated = append(st.Dated, DatedChange{st.Days[i], c, c.document()})
				}
			}
		}
	}
	return st
}

func useList(us []hazard.Use) string {
	var out []string
	for _, u := range us {
		out = append(out, u.String())
	}
	return strings.Join(out, ",")
}

func flagsOver(days []*hazard.Assessment, id string, u hazard.Use, c hazard.Class) []hazard.Flag {
	out := make([]hazard.Flag, len(days))
	for i, a := range days {
		if p := a.Paddock(id); p != nil {
			out[i] = needed(p.Verdict(u, c), id).Flag
		}
	}
	return out
}

func (c *Change) document() documentedChange {
	out := documentedChange{
		Paddock: c.ID, AllUses: c.Uses, AllClasses: c.Classes,
		Before: heldOf(c.Was, c.WasThrough), After: heldOf(c.Now, c.NowThrough), Text: c.String(),
	}
	if c.Lot {
		out.Paddock, out.LotID = "", c.ID
	}
	return out
}

// JSON is the strip as a document of rimegate/ahead/1; assumed are the words of
// the entries that were assumed.
func (st *Strip) JSON(assumed []string) ([]byte, error) {
	st.If = assumed
	for i := range st.Rows {
		if c := st.Rows[i].First; c != nil {
			c.Text = c.ClearWords(st.Days[0])
		}
	}
	return document(struct {
		Head
		Strip
	}{st.s.head(AheadSchemaName), *st})
}

// Mark is the sign of a flag in the strip: # is NO, ? is ASK FIRST, + is YES; a
// day on which the paddock does not stand is a blank.
func Mark(f hazard.Flag) string { return [...]string{" ", "+", "?", "#"}[f] }

func marks(fs []hazard.Flag) string {
	var b strings.Builder
	for _, f := range fs {
		b.WriteString(Mark(f))
	}
	return b.String()
}

// ClearWords puts a clear day into one sentence.
func (c *ClearDay) ClearWords(today fields.Date) string {
	switch {
	case c == nil:
		return ""
	case c.On == fields.NoDate:
		return strings.TrimSpace("No CLEAR can come on the days shown. " + sentence(c.Stuck))
	case len(c.Needs) == 0:
		t := "CLEAR from " + c.On.Beside(today) + provided(c.Through != fields.NoDate, " through "+c.Through.Beside(today))
		if c.Through == c.On {
			t = "CLEAR on " + c.On.Beside(today) + " alone"
		}
		return t + " if nothing else happens" + provided(c.Still != "", ", and "+c.Still) + "."
	}
	t := "CLEAR on " + c.On.Beside(today) + " at the earliest"
	if c.On == today {
		t = "CLEAR today at the earliest"
	}
	var needs []string
	for _, n := range c.Needs {
		needs = append(needs, n.words(today))
	}
	return t + provided(c.Still != "", ", "+c.Still) + ". It needs: " + strings.Join(needs, "; ") + "."
}

func (n *Wanted) words(today fields.Date) string {
	t := n.What
	switch {
	case n.By == fields.NoDate:
	case n.From == n.By && n.By == today:
		t += " today"
	case n.From == n.By:
		t += " on " + n.By.Beside(today)
	case n.From <= today:
		t += " by " + n.By.Beside(today)
	default:
		t += " on or after " + n.From.Beside(today) + ", by " + n.By.Beside(today)
	}
	return t + provided(n.Result != fields.NoDate, ", its result in by "+n.Result.Beside(today))
}

// nameColumn is the width a name beside the strip may always have.
const nameColumn = 22

// Text writes the strip as plain text of at most width cells a line.
func (st *Strip) Text(w io.Writer, width int) error {
	t := newText(w, width)
	width = t.width
	n := len(st.Days) - 1
	t.para("", "", st.Farm+", the next "+plural(n, "day")+", "+useWords(st.Use)+", for "+ClassWords(st.Classes)+".")
	what := "If nothing else happens: no frost, no new shoots, no new entry."
	if st.Assumed {
		what = "Only with what you assumed. NOTHING IS STORED."
	}
	t.para("", "", what+" Known at "+st.KnownAt+".")
	t.paras("", "  ", st.s.exchangeNotices())
	t.para("", "", "# is NO, ? is ASK FIRST, + is YES. "+noTurnIn)
	t.blank()
	col := len("Oct ")
	for i := range st.Rows {
		col = max(col, min(max(nameColumn, width-2-len(st.Days)), Width(st.Rows[i].label(" "))))
	}
	col += 2
	per := max(7, min(len(st.Days), width-col))
	for from := 0; from < len(st.Days); from += per {
		to := min(len(st.Days), from+per)
		ruler(t, col, st.Days[from:to])
		for i := range st.Rows {
			r := &st.Rows[i]
			t.lines = append(t.lines, pad(Cut(r.label(" "), col-2), col)+marks(r.Flags[from:to]))
			if r.Was != nil && marks(r.Was[from:to]) != marks(r.Flags[from:to]) {
				t.lines = append(t.lines, pad("  was", col)+marks(r.Was[from:to]))
			}
		}
		t.blank()
	}
	if len(st.Rows) == 0 {
		t.para("", "", "No paddock fits that.")
	}
	st.clearDays(t)
	if st.Assumed {
		if len(st.Dated) == 0 {
			t.para("", "", "No answer would change on these days.")
		}
		for i := range st.Dated {
			d := &st.Dated[i]
			if i == 0 || st.Dated[i-1].On != d.On {
				t.title("From " + d.On.Beside(st.On) + ":")
			}
			t.items(d.Change.String())
		}
	}
	return t.flush()
}

// clearDays tells each row's clear day, once where it is that of all of a paddock's rows.
func (st *Strip) clearDays(t *text) {
	for i := 0; i < len(st.Rows); {
		r := &st.Rows[i]
		text, name := st.words(r), r.label(", ")
		j := i + 1
		for j < len(st.Rows) && st.Rows[j].ID == r.ID && st.words(&st.Rows[j]) == text {
			j++
		}
		if j-i > 1 && (i == 0 || st.Rows[i-1].ID != r.ID) && (j == len(st.Rows) || st.Rows[j].ID != r.ID) {
			name = r.Name // the same for all its classes
		} else {
			j = i + 1
		}
		if text != "" {
			t.para("", "  ", name+": "+text)
		}
		i = j
	}
}

func (st *Strip) words(r *StripRow) string {
	return strings.TrimSpace(r.First.ClearWords(st.Days[0]) + " " + r.After)
}

// label is the row's name, with its classes where they are not all.
func (r *StripRow) label(between string) string {
	return r.Name + provided(!r.All, between+ClassWords(r.Classes))
}

// ruler writes the month over its first day shown, then the day of the month in
// two lines.
func ruler(t *text, col int, days []fields.Date) {
	month, tens, units := strings.Repeat(" ", col), strings.Repeat(" ", col), strings.Repeat(" ", col)
	for i, d := range days {
		_, m, dom := d.Civil()
		if (i == 0 || dom == 1) && Width(month) <= col+i {
			month += strings.Repeat(" ", col+i-Width(month)) + m.String()[:3]
		}
		ten := " "
		if dom%10 == 0 || dom == 1 || i == 0 {
			ten = strconv.Itoa(dom / 10)
		}
		if ten == "0" {
			ten = " "
		}
		tens += ten
		units += strconv.Itoa(dom % 10)
	}
	for _, l := range []string{month, tens, units} {
		t.lines = append(t.lines, strings.TrimRight(l, " "))
	}
}

// AtLeast prints a minimum height in cm in the farm's unit, rounded up to what
// a person can measure and pass with.
func AtLeast(cm float64, u Units) string { return u.atLeast(cm) }
