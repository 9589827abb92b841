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
	add := func(id, name string, tasks []Task) {
		for _, t := range tasks {
			t.By, t.Form = max(t.By, s.on), cmp.Or(t.Form, taskForms[t.What])
			out = append(out, Errand{id, name, t})
		}
	}
	for i := range a.Paddocks {
		if p := &a.Paddocks[i]; f.names(s.id(p)) {
			add(s.id(p), s.name(p), s.tasks(p))
		}
	}
	for i := range a.Lots {
		if id := a.Lots[i].Lot; f.names(id) {
			add(id, Clean(id), s.awaited(s.h.OfLot(id)))
		}
	}
	slices.SortStableFunc(out, func(a, b Errand) int { return cmp.Or(a.By.Sub(b.By), fields.CompareNames(a.Name, b.Name)) })
	return out
}

// RoundList says which recurring checks are due, missed and coming, and which
// errands follow from the record.
type RoundList struct {
	On      fields.Date
	Window  int // days looked back
	Rounds  []RoundRow
	Errands []Errand
	apart   []string // see Head
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
	l := &RoundList{On: s.on, Window: window, Errands: Errands(a, f), apart: s.exchangeNotices()}
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
	t.para("", "", "Rounds on "+l.On.Words()+", looking back "+plural(l.Window, "day")+
		". A round is a reminder: doing it, or not, changes no flag.")
	t.paras("", "  ", l.apart)
	t.blank()
	t.para("", "", provided(len(l.Rounds) == 0,
		`No round set up. Set one up:  rimegate log round --name "walk the regrowth" --every "FREQ=WEEKLY;BYDAY=MO,TH"`))
	for i := range l.Rounds {
		t.round(&l.Rounds[i], l.On)
	}
	t.blank()
	t.para("", "", provided(len(l.Errands) == 0, "No errand comes out of the log.")+
		provided(len(l.Errands) > 0, "Errands that come out of the log:"))
	for _, e := range l.Errands {
		t.para("by "+e.By.Short()+"  ", "               ", e.Name+": "+e.Text)
	}
	return t.flush()
}

func (t *text) round(r *RoundRow, on fields.Date) {
	const rest = "           "
	word, due := "OK", ""
	switch {
	case r.Refused != "":
		word = "UNREADABLE"
	case r.Due != fields.NoDate:
		word, due = "DUE", ": due since "+r.Due.Beside(on)
	case r.Starts > on:
		word = "TO COME"
	case r.Next == fields.NoDate:
		word = "OVER"
	}
	if r.Due == on {
		due = ": due today"
	}
	t.para(pad(word, len(rest)), rest, r.Name+provided(r.Where != "", " ("+r.Where+")")+due+".")
	if r.Refused != "" {
		t.paras(rest, rest, []string{
			sentence(r.What), sentence("this round's rule cannot be read: "+r.Refused) + " Strike it and log it again.",
		})
		return
	}
	missed, done, open := len(r.Missed), len(r.Done), asOne(due != "")
	shown := min(missed, 5)
	t.paras(rest, rest, []string{
		sentence(r.What),
		provided(missed > 0, sentence("Missed: "+join((&speaker{on: on, beside: on}).ranges(r.Missed[missed-shown:]))+
			provided(missed > shown, ", and "+plural(missed-shown, "earlier day")))),
		provided(done > 0, sentence("done: "+plural(done, "time")+" of "+plural(done+missed+open, "day")+", last on "+r.Last.Beside(on))),
		provided(r.Next != fields.NoDate, "Next: "+r.Next.Beside(on)+" ("+r.Rule+")."),
		provided(due != "", "When done: rimegate log done --round "+quoted(r.Name)),
	})
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
