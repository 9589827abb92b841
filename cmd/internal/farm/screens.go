package farm

import (
	"fmt"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/moves"
	"rimegate/hazard/rules"
	"rimegate/tui"
)

// Screens is the farm as the screens see it.
type Screens struct{ f *Farm }

// ForScreens returns the farm as the screens see it.
func (f *Farm) ForScreens() *Screens { return &Screens{f} }

var _ tui.Farm = (*Screens)(nil)

// Revision changes whenever the journal does.
func (s *Screens) Revision() (uint64, error) { return s.f.store.Revision() }

// Read answers for today with everything known now.
func (s *Screens) Read() (*tui.Answer, error) {
	v, err := s.f.View(Question{})
	if err != nil {
		return nil, err
	}
	rounds := board.RoundsOn(v.Assess(), v.Rounds(), roundsWindow, board.Filter{}).Rounds
	return &tui.Answer{
		Assessment: v.Assess(), Today: v.Today, Now: v.Now, Revision: v.Revision,
		Rounds: rounds, Notes: v.Notes, Behind: v.Behind, Ask: v,
	}, nil
}

// How far the screens look back on rounds, and ahead for moves, in days.
const (
	roundsWindow = 14
	movesAhead   = 21
)

// Moves works out where each herd can stand.
func (s *Screens) Moves() (func(int) string, error) {
	v, err := s.f.View(Question{})
	if err != nil {
		return nil, err
	}
	m, err := v.Moves(movesAhead, moves.Settings{})
	if err != nil {
		return nil, err
	}
	return func(width int) string {
		var b strings.Builder
		_ = m.Text(&b, width) // a string takes every byte
		return b.String()
	}, nil
}

// Days answers for each of a run of days with everything known now, and what is assumed.
func (s *Screens) Days(
	from, to fields.Date, assumed []fields.Entry, each func(*hazard.Assessment) bool,
) ([]string, error) {
	v, err := s.f.View(Question{})
	if err != nil {
		return nil, err
	}
	assumed, notes, err := v.assume(assumed, to)
	if err != nil {
		return nil, err
	}
	for d := from; d <= to; d++ {
		if !each(v.with(assumed, Question{On: d}).Assess()) {
			break
		}
	}
	return notes, nil
}

// Log checks entries and stores them unless dryRun.
func (s *Screens) Log(entries []fields.Entry, dryRun bool) (*tui.Outcome, error) {
	// The screens show what would be asked before Enter stores it.
	l, err := s.f.Log(entries, dryRun, Sure{Names: true, Figures: true})
	if err != nil {
		return nil, err
	}
	if l.View.Behind != "" {
		l.Notes = append(l.Notes, "NOBODY KNOWS WHAT TODAY IS: "+l.View.Behind+". Set the clock right, or look at every day above.")
	}
	return &tui.Outcome{Entries: l.Entries, Notes: l.Notes, Before: l.Before, After: l.After}, nil
}

// Past returns the entries of a paddock's land or of a lot in words, in order.
func (s *Screens) Past(id string) ([]board.Past, error) { return s.f.Past(PastOf{ID: id}) }

// Rules returns the rulebook in words, with what this farm relaxed.
func (s *Screens) Rules() ([]tui.Rule, error) {
	v, err := s.f.View(Question{})
	if err != nil {
		return nil, err
	}
	relaxed := map[string]string{}
	for _, r := range v.Book.Relaxed {
		relaxed[r.Rule] = fmt.Sprintf("RELAXED on this farm: %s instead of %s, by %s, because: %s", r.Value, r.Default, r.By, r.Because)
	}
	var out []tui.Rule
	for _, d := range rules.Docs() {
		r := tui.Rule{ID: d.ID, Value: d.Says(), Title: d.Title, Relaxed: relaxed[d.ID]}
		for _, x := range RuleItems(&d) {
			r.More = append(r.More, x[0]+": "+x[1])
		}
		out = append(out, r)
	}
	return out, nil
}

// RuleItems are what a rule's page says of it besides its name and value: label
// and text.
func RuleItems(d *rules.Doc) [][2]string {
	checked := ""
	if d.CheckedOn != fields.NoDate {
		checked = d.CheckedOn.Words()
	}
	out := [][2]string{
		{"Laxest", d.SaysLimit()},
		{"Choices", strings.Join(d.Choices, ", ")},
		{"Stricter", d.Stricter},
		{"Governs", d.Governs},
		{"Basis", d.Basis},
		{"Checked on", checked},
		{"Derivation", d.Derivation},
		{"Why", d.Why},
	}
	for i := range d.Sources {
		out = append(out, [2]string{"Source", board.SourceLine(&d.Sources[i])})
	}
	if len(d.Sources) == 0 {
		out = append(out, [2]string{"Source", "none is published"})
	}
	return slices.DeleteFunc(out, func(x [2]string) bool { return x[1] == "" })
}
