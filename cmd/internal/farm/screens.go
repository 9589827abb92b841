package farm

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/moves"
	"rimegate/hazard/rules"
	"rimegate/tui"
)

// Screens is the farm as the screens see it. One goroutine calls it.
type Screens struct {
	f    *Farm
	read bool // a journal was read: from then on one that is missing is a failure
}

// ForScreens returns the farm as the screens see it.
func (f *Farm) ForScreens() *Screens { return &Screens{f: f} }

var _ tui.Farm = (*Screens)(nil)

// Revision changes whenever the journal does.
func (s *Screens) Revision() (uint64, error) {
	rev, err := s.f.store.Revision()
	if s.begins(err) {
		return 0, nil
	}
	return rev, err
}

// begins reports that there is no journal yet, so that a farm can begin.
func (s *Screens) begins(err error) bool { return !s.read && errors.Is(err, journal.ErrMissing) }

// view is today's with everything known now, a blank one where there is no journal yet.
func (s *Screens) view() (v *View, fresh bool, err error) {
	v, err = s.f.Lately()
	if s.begins(err) {
		return s.f.Blank(), true, nil
	}
	s.read = s.read || err == nil
	return v, false, err
}

// Read answers for today with everything known now.
func (s *Screens) Read() (*tui.Answer, error) {
	v, fresh, err := s.view()
	if err != nil {
		return nil, err
	}
	begins := ""
	if fresh {
		begins = "There is no journal yet at " + board.Clean(s.f.store.Path) +
			"; storing this begins one. (`rimegate demo` shows an invented farm.)"
	}
	rounds := board.RoundsOn(v.Assess(), v.Rounds(), roundsWindow, board.Filter{}).Rounds
	offer := map[string]string{}
	if fresh {
		offer["frost_watch"] = allYear
		if zone := ComputerZone(); zone != "" {
			offer["zone"], offer["units"] = zone, unitsIn(zone)
		}
	}
	return &tui.Answer{
		Assessment: v.Assess(), Today: v.Today, Now: v.Now, Revision: v.Revision,
		Rounds: rounds, Notes: v.Notes, Behind: v.Behind, Begins: begins, Ask: v, Offer: offer,
	}, nil
}

// inWidth makes the words of an answer for a width.
func inWidth(text func(io.Writer, int) error) func(int) string {
	return func(width int) string {
		var b strings.Builder
		_ = text(&b, width) // a string takes every byte
		return b.String()
	}
}

// How far the screens look back on rounds, and ahead for moves, in days.
const (
	roundsWindow = 14
	movesAhead   = 21
)

// Moves works out where each herd can stand.
func (s *Screens) Moves() (func(int) string, error) {
	v, err := s.f.Lately()
	if err != nil {
		return nil, err
	}
	m, err := v.Moves(movesAhead, moves.Settings{})
	if err != nil {
		return nil, err
	}
	m.Below = true
	return inWidth(m.Text), nil
}

// Days answers for each of a run of days with everything known now, and what is assumed.
func (s *Screens) Days(
	from, to fields.Date, assumed []fields.Entry, each func(*hazard.Assessment) bool,
) ([]string, error) {
	v, err := s.f.Lately()
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

// Log checks entries and stores them unless dryRun. The forms asked about names of plants.
func (s *Screens) Log(entries []fields.Entry, dryRun, stands bool) (*tui.Outcome, error) {
	v, fresh, err := s.view()
	if err != nil {
		return nil, err
	}
	sure := Sure{Names: true, Dawns: stands, Figures: stands}
	if fresh {
		if v, err = s.f.begin(entries, dryRun, sure); err != nil {
			return nil, err
		}
	}
	l, err := v.Log(entries, dryRun, sure)
	if err != nil {
		return nil, err
	}
	return outcome(l), nil
}

// begin starts the journal that is not there yet, if the first entries are sound and
// it is no dry run. Days are told in the zone that they name.
func (f *Farm) begin(entries []fields.Entry, dryRun bool, sure Sure) (*View, error) {
	for i := range entries {
		if b, ok := entries[i].Body.(*fields.Farm); ok {
			if zone, err := fields.LoadZone(b.Zone); err == nil { // a wrong one is refused by the check
				f.Zone = zone
			}
		}
	}
	v := f.Blank()
	if dryRun {
		return v, nil
	}
	if _, err := v.Log(entries, true, sure); err != nil {
		return nil, err
	}
	if err := f.store.Create(); err != nil {
		return nil, err
	}
	return f.View(Question{})
}

func outcome(l *Logged) *tui.Outcome {
	if l.View.Behind != "" {
		l.Notes = append(l.Notes, "NOBODY KNOWS WHAT TODAY IS: "+l.View.Behind+". Set the clock right, or look at every day above.")
	}
	return &tui.Outcome{Entries: l.Entries, Notes: l.Notes, Before: l.Before, After: l.After}
}

// Import reads a file and says what it would bring; what was read is what is stored.
func (s *Screens) Import(said form.Said) (*tui.Outcome, error) {
	v, _, err := s.view()
	if err != nil {
		return nil, err
	}
	b := form.Of(form.Import).Read(said, form.Context{Now: v.Now, Behind: v.Behind, Farm: v})
	in := NewIntake(v, b)
	if err := b.Err(); err != nil {
		return nil, err
	}
	name := b.Text("file")
	file, err := openFile(name)
	if err != nil {
		return nil, fields.Problems{{Field: "file", What: err.Error()}}
	}
	defer file.Close()
	found, err := in.Read(v, filepath.Base(name), file)
	var wrong fields.Problem
	if errors.As(err, &wrong) {
		return nil, fields.Problems{wrong}
	}
	if err != nil {
		return nil, err
	}
	take := func(dryRun bool) (*tui.Outcome, error) {
		v, _, err := s.view()
		if err != nil {
			return nil, err
		}
		l, told, err := found.Import(v, dryRun)
		if err != nil {
			return nil, err
		}
		out := outcome(&l.Logged)
		out.Notes = nil // they are told
		for _, t := range slices.Concat(found.Told, told) {
			out.Told = append(out.Told, strings.TrimLeft(t.First, " ")+t.Text)
		}
		return out, nil
	}
	out, err := take(true)
	if err == nil {
		out.Store = func() (*tui.Outcome, error) { return take(false) }
	}
	return out, err
}

// Blend works a blend out.
func (s *Screens) Blend(said form.Said) (func(int) string, error) {
	v, _, err := s.view()
	if err != nil {
		return nil, err
	}
	x, err := v.Blend(form.Of(form.Blend).Read(said, form.Context{Now: v.Now, Behind: v.Behind, Farm: v}))
	if err != nil {
		return nil, err
	}
	return inWidth(x.Text), nil
}

// Files are the paths that begin as typed, hidden ones only if that is.
func (s *Screens) Files(typed string) ([]string, error) {
	dir, begins := filepath.Split(typed)
	list, err := os.ReadDir(cmp.Or(atHome(dir), "."))
	if err != nil {
		return nil, nil // the form says so when the file is to be read
	}
	var out []string
	for _, x := range list {
		name := x.Name()
		if !strings.HasPrefix(name, begins) || begins == "" && strings.HasPrefix(name, ".") {
			continue
		}
		if info, err := os.Stat(filepath.Join(cmp.Or(atHome(dir), "."), name)); err == nil && info.IsDir() {
			name += string(filepath.Separator)
		}
		out = append(out, dir+name)
	}
	return out, nil
}

// atHome is a path in which ~ stands for the person's own folder.
func atHome(path string) string {
	rest, ok := strings.CutPrefix(path, "~")
	home, err := os.UserHomeDir()
	if !ok || err != nil || rest != "" && !os.IsPathSeparator(rest[0]) {
		return path
	}
	return home + rest
}

// openFile opens a file that is one: reading anything else might never end.
func openFile(path string) (*os.File, error) {
	path = atHome(path)
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		return nil, errors.New("is no file; type where the file lies, like ~/Downloads/logger.csv")
	}
	var file *os.File
	if err == nil {
		file, err = os.Open(path)
	}
	var pe *os.PathError
	if errors.As(err, &pe) {
		err = fmt.Errorf("cannot be read (%w)", pe.Err)
	}
	return file, err
}

// Past returns the entries of a paddock's land or of a lot in words, in order.
func (s *Screens) Past(id string) ([]board.Past, error) { return s.f.Past(PastOf{ID: id}) }

// Rules returns the rulebook in words, with what this farm relaxed.
func (s *Screens) Rules() ([]tui.Rule, error) {
	v, err := s.f.Lately()
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

// RuleItems are what a rule's page says of it besides its name and value, all of it from
// the rulebook and the contract: label and text.
func RuleItems(d *rules.Doc) [][2]string {
	checked := ""
	if d.CheckedOn != fields.NoDate {
		checked = d.CheckedOn.Words()
	}
	out := [][2]string{
		{"Laxest", d.SaysLimit()},
		{"Stricter", d.Stricter},
		{"Governs", d.Governs},
	}
	for _, l := range hazard.ContractLines() {
		if slices.Contains(l.Rules, d.ID) {
			out = append(out, [2]string{"Answers", l.Says})
		}
	}
	contract := ""
	if s := hazard.ContractSections(d.ID); len(s) > 0 {
		contract = "§" + strings.Join(s, ", §") + " (`rimegate help contract " + s[0] + "`)"
	}
	mayBe, laxer := d.MayBe()
	if laxer != "" {
		r := hazard.Relaxed{Rule: d.ID, Default: d.Says(), Value: d.SaysValue(laxer), By: "NAME", Because: "REASON"}
		mayBe += "; `rimegate log override --rule " + d.ID + " --value " + laxer + ` --because "REASON"` + "` prints on every list: " +
			board.RelaxedLine(&r)
	}
	out = append(out, [][2]string{
		{"Contract", contract},
		{"Basis", d.Basis},
		{"Checked on", checked},
		{"Derivation", d.Derivation},
		{"Why", d.Why},
		{"To change", mayBe},
	}...)
	for i := range d.Sources {
		out = append(out, [2]string{"Source", board.SourceLine(&d.Sources[i])})
	}
	if len(d.Sources) == 0 {
		out = append(out, [2]string{"Source", "none is published"})
	}
	return slices.DeleteFunc(out, func(x [2]string) bool { return x[1] == "" })
}
