package board

import (
	"cmp"
	"io"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/hazard"
)

// Errand is a task of the record with the paddock it is for.
type Errand struct {
	ID, Name string
	Task
}

// Errands gathers the tasks of every paddock, the earliest first. One that is
// overdue is due on the day asked.
func Errands(a *hazard.Assessment, f Filter) []Errand {
	s := newSpeaker(a, UnitsOf(a.History))
	var out []Errand
	for i := range a.Paddocks {
		p := &a.Paddocks[i]
		if !f.names(s.id(p)) {
			continue
		}
		for _, t := range s.tasks(p) {
			t.By = max(t.By, s.on)
			out = append(out, Errand{s.id(p), s.name(p), t})
		}
	}
	for i := range a.Lots {
		id := a.Lots[i].Lot
		if !f.names(id) {
			continue
		}
		for _, t := range awaited(s.h.OfLot(id)) {
			t.By = max(t.By, s.on)
			out = append(out, Errand{id, Clean(id), t})
		}
	}
	slices.SortStableFunc(out, func(a, b Errand) int { return cmp.Or(a.By.Sub(b.By), strings.Compare(a.Name, b.Name)) })
	return out
}

// RoundList says which recurring checks are due, missed and coming, and which
// errands follow from the record.
type RoundList struct {
	On      fields.Date
	Window  int // days looked back
	Rounds  []RoundRow
	Errands []Errand
}

// RoundRow is one round. Its texts are clean.
type RoundRow struct {
	Name, What, Where string
	Rule              string
	Refused           string // why its rule cannot be read
	Starts            fields.Date
	calendar.State
}

// MaxWindow is the most days a list of rounds looks back.
const MaxWindow = 730

// RoundsOn makes the list for the day of the assessment, looking window days
// back. The filter's paddock keeps the rounds and errands that concern it.
func RoundsOn(a *hazard.Assessment, rounds []*calendar.Round, window int, f Filter) *RoundList {
	s := newSpeaker(a, UnitsOf(a.History))
	l := &RoundList{On: s.on, Window: window, Errands: Errands(a, f)}
	for _, r := range rounds {
		if f.Paddock != "" && !contains(r.Paddocks, f.Paddock) {
			continue
		}
		row := RoundRow{Name: Clean(r.Name), What: Clean(r.What), Where: gateNames(s.h, r.Paddocks), Starts: r.Start, State: r.On(s.on, window)}
		if r.Err != nil {
			row.Refused = Clean(r.Err.Error())
		} else {
			row.Rule = r.Rule.String()
		}
		l.Rounds = append(l.Rounds, row)
	}
	return l
}

// Text writes the list as plain text of at most width cells a line. It returns
// the writer's error.
func (l *RoundList) Text(w io.Writer, width int) error {
	t := newText(w, width)
	t.para("", "", "Rounds on "+l.On.Words()+", looking back "+plural(l.Window, "day")+". A round is a reminder: doing it, or not, changes no flag.")
	t.blank()
	if len(l.Rounds) == 0 {
		t.para("", "", `No round is set up. One is made with: rimegate log round --name "walk the regrowth" --every "FREQ=WEEKLY;BYDAY=MO,TH"`)
	}
	for i := range l.Rounds {
		t.round(&l.Rounds[i], l.On)
	}
	t.blank()
	if len(l.Errands) == 0 {
		t.para("", "", "No errand follows from the record.")
		return t.flush()
	}
	t.para("", "", "Errands that follow from the record:")
	for i := range l.Errands {
		e := &l.Errands[i]
		t.para("by "+e.By.Short()+"  ", "               ", e.Name+": "+e.Text)
	}
	return t.flush()
}

func (t *text) round(r *RoundRow, on fields.Date) {
	const rest = "           "
	due := r.Due != fields.NoDate
	word := "OK"
	switch {
	case r.Refused != "":
		word = "UNREADABLE"
	case due:
		word = "DUE"
	case r.Starts > on:
		word = "TO COME"
	case r.Next == fields.NoDate:
		word = "OVER"
	}
	head := r.Name + provided(r.Where != "", " ("+r.Where+")")
	switch {
	case r.Due == on:
		head += ": due today"
	case due:
		head += ": due since " + r.Due.Words()
	}
	t.para(pad(word, len(rest)), rest, head+".")
	t.para(rest, rest, sentence(r.What))
	if r.Refused != "" {
		t.para(rest, rest, sentence("this round's rule cannot be read: "+r.Refused)+" Strike it and log it anew.")
		return
	}
	if n := len(r.Missed); n > 0 {
		shown := r.Missed[max(0, n-5):]
		earlier := provided(n > len(shown), ", and "+plural(n-len(shown), "earlier day"))
		t.para(rest, rest, sentence("Missed: "+join(ranges(shown))+earlier))
	}
	if n := len(r.Done); n > 0 {
		t.para(rest, rest, sentence("done: "+plural(n, "time")+" of "+plural(n+len(r.Missed)+asOne(due), "day")+", last on "+r.Last.Words()))
	}
	t.para(rest, rest, provided(r.Next != fields.NoDate, "Next: "+r.Next.Words()+" ("+r.Rule+")."))
	t.para(rest, rest, provided(due, "When done: rimegate log done --round "+quoted(r.Name)))
}

func asOne(b bool) int {
	if b {
		return 1
	}
	return 0
}

// quoted puts a name in double quotes for a command line, the signs that a
// shell would take for its own escaped.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`"`, `\"`, `\`, `\\`, `$`, `\$`, "`", "\\`").Replace(s) + `"`
}
