package farm

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
	"rimegate/hazard/board"
)

// Start sets a farm up, one part after the other. Each part is stored when it is
// answered: the journal is all that a later sitting needs to go on.
type Start struct {
	View *View // of the journal as it stands, a blank one where there is none

	farm   *Farm
	passed map[string]bool // parts not to be asked again
	open   map[string]bool // of these, where something was left out
	stood  map[string]bool // texts that were asked about once
	again  bool            // what was left out is asked a second time
	called string          // what a herd was called while its classes were told
}

// Start begins to set the farm up, or goes on with it.
func (f *Farm) Start() (*Start, error) {
	s := &Start{farm: f, passed: map[string]bool{}, open: map[string]bool{}, stood: map[string]bool{}}
	return s, s.read()
}

func (s *Start) read() (err error) {
	s.View, err = s.farm.View(Question{})
	if errors.Is(err, journal.ErrMissing) {
		s.View, err = s.farm.Blank(), nil
	}
	return err
}

// Began reports whether the farm has its name and time zone.
func (s *Start) Began() bool { return s.View.History.ZoneSet }

// Next is the part to be asked next, nil if there is none.
func (s *Start) Next() *form.Part {
	for _, p := range form.Parts(s.View.History) {
		if !s.passed[p.Key()] {
			return &p
		}
	}
	return nil
}

// Pass leaves a part: it is not asked again, but once at the end where it is open.
func (s *Start) Pass(p *form.Part, open bool) {
	s.passed[p.Key()] = true
	if open && !p.More() {
		s.open[p.Key()] = true
	}
}

// Again has what was left out asked once more, and reports whether there is any.
func (s *Start) Again() bool {
	if s.again {
		return false
	}
	s.again = true
	any := false
	for _, p := range form.Parts(s.View.History) {
		if s.open[p.Key()] {
			any = true
			delete(s.passed, p.Key())
		}
	}
	return any
}

// context is what the answers to a part are read in.
func (s *Start) context(p *form.Part, said form.Said) form.Context {
	now := s.View.Now
	if zone, err := form.ParseZone(strings.Join(said["zone"], "")); err == nil && !s.Began() {
		if loc, err := fields.LoadZone(zone); err == nil { // days are told in it
			now = now.In(loc)
		}
	}
	return form.Context{
		Now: now, Behind: s.View.Behind, Farm: s.View, Was: s.View.History.OnFile(p.Kind.Kind, p.ID),
		Stands: s.stands,
	}
}

// stands reports that a text was asked about before: who says it again stands by it.
func (s *Start) stands(text string) bool {
	was := s.stood[text]
	s.stood[text] = true
	return was
}

// Check reads one answer by itself; what it means is in said. The error is what to say
// before it is asked again: of a doubt only the first time.
func (s *Start) Check(p *form.Part, f *form.Field, said form.Said) error {
	text := strings.Join(said[f.Name], ", ")
	one := form.Said{f.Name: said[f.Name]}
	var ps fields.Problems
	if errors.As(p.Read(one, s.context(p, said)).Err(), &ps) {
		for i := range ps { // of screens, where the text still stands in its line
			ps[i].What = strings.ReplaceAll(ps[i].What, "Enter again", "type it again")
			ps[i].Type = strings.ReplaceAll(ps[i].Type, "Enter again", "type it again")
		}
		return ps
	}
	switch f.Type {
	case form.Classes:
		head, text := fields.CutHead(text)
		s.called = cmp.Or(s.called, text)
		for _, word := range fields.SplitList([]string{text}) {
			if can := fields.MayMean(word); can != nil && !s.stands(word) {
				return fields.Problem{
					What: fmt.Sprintf("%q can be %s", word, orList(can)),
					Type: "type which, or type it again to keep all of it, and the strictest answer counts",
				}
			}
		}
		s.called = text
		if head != "" { // only of an answer that stands
			said["head"], said[f.Name] = []string{head}, []string{text}
		}
	case form.Mix:
		for _, name := range form.WithoutShares(said[f.Name]) {
			if s.View.Book.Find(name) == nil && !s.stands("unknown "+name) {
				hint := "type it again to keep it, or another"
				if like := alike(name, allSpecies(s.View.Book)); len(like) > 0 {
					hint = "did you mean " + orList(like) + "? Type it again to keep it, or another"
				}
				return fields.Problem{
					What: fmt.Sprintf("%q is no plant in the table, so it counts as a dangerous unknown one, never a YES", name),
					Type: hint,
				}
			}
		}
	}
	return nil
}

// Offer is what an empty answer stands for, and why; "" where it leaves the question
// open. It is the weakest claim, or what is on file.
func (s *Start) Offer(p *form.Part, f *form.Field, said form.Said) (text, why string) {
	if was := s.View.History.OnFile(p.Kind.Kind, p.ID); was != nil {
		if on := p.Typed(was, string(s.View.Units()))[f.Name]; on != nil {
			return strings.Join(on, ", "), "as it is on file"
		}
	}
	switch {
	case f.Name == "zone":
		return ComputerZone(), "as this computer has it"
	case f.Name == "units":
		zone := cmp.Or(strings.Join(said["zone"], ""), s.View.History.Farm.Zone)
		if zone, err := form.ParseZone(zone); err == nil {
			return unitsIn(zone), "as people have them there"
		}
	case f.Type == "watch":
		return allYear, "every night needs a reading"
	case f.Type == form.New:
		return form.ShortName(strings.ToLower(strings.Join(said["name"], "")), s.called), ""
	}
	return "", ""
}

// allYear is the frost watch that leaves no night out: the weakest claim.
const allYear = "all-year"

// unitsIn is the system of units that people use in the country of a zone.
func unitsIn(zone string) string {
	if form.ZoneOf(zone).Country == "US" {
		return string(board.US)
	}
	return string(board.Metric)
}

// Store stores what was answered of a part. With a problem nothing is stored.
func (s *Start) Store(p *form.Part, said form.Said) (*Logged, error) {
	s.called = ""
	made, ps := p.Entries(said, s.context(p, said))
	if err := ps.Err(); err != nil {
		return nil, err
	}
	if err := isNew(s.View.History, p.ID, made); err != nil {
		return nil, err
	}
	sure := Sure{Names: true} // they were asked about
	v := s.View
	if !s.farm.store.Exists() {
		var err error
		if v, err = s.farm.begin(made, false, sure); err != nil {
			return nil, err
		}
	}
	l, err := v.Log(made, false, sure)
	if err != nil {
		return nil, err
	}
	if id := idOf(l.Entries[0].Body); p.More() { // what was left out of it was just asked
		done := form.Part{Kind: p.Kind, ID: id}
		s.Pass(&done, true)
	} else {
		s.Pass(p, true)
	}
	return l, s.read()
}

// Undo strikes what a part stored and asks it anew. What is said of the farm is said
// otherwise instead.
func (s *Start) Undo(p *form.Part, l *Logged) error {
	var strikes []fields.Entry
	for _, e := range l.Entries {
		if e.Kind() != fields.KindFarm {
			strikes = append(strikes, fields.Entry{
				On: s.View.Today, Body: &fields.Strike{Entry: e.ID, Because: "answered otherwise while the farm was set up"},
			})
		}
	}
	delete(s.passed, p.Key())
	if len(strikes) == 0 {
		return nil
	}
	if _, err := s.View.Log(strikes, false); err != nil {
		return err
	}
	return s.read()
}

// idOf is the short name of what an entry sets up, "" if it sets up none.
func idOf(b fields.Body) string {
	switch b := b.(type) {
	case *fields.PaddockFacts:
		return b.Paddock
	case *fields.StationFacts:
		return b.Station
	case *fields.HerdFacts:
		return b.Herd
	}
	return ""
}

// isNew refuses to set up what is on file already, unless it is what the entries change.
func isNew(h *fields.History, changes string, entries []fields.Entry) error {
	for _, e := range entries {
		if id := idOf(e.Body); id != "" && id != changes && h.OnFile(e.Kind(), id) != nil {
			field := "name"
			if e.Kind() == fields.KindHerd {
				field = string(e.Kind())
			}
			return fields.Problems{{Field: field, What: fmt.Sprintf("%q is there already", id), Type: "choose another name"}}
		}
	}
	return nil
}

// ComputerZone is the time zone that this computer is set to, "" where it does not say
// one that a farm can lie in.
func ComputerZone() string {
	link, _ := filepath.EvalSymlinks("/etc/localtime")
	_, linked, _ := strings.Cut(filepath.ToSlash(link), "zoneinfo/")
	file, _ := os.ReadFile("/etc/timezone")
	for _, name := range []string{os.Getenv("TZ"), linked, strings.TrimSpace(string(file)), time.Local.String()} {
		name, err := form.ParseZone(strings.TrimPrefix(name, ":"))
		if err == nil && form.ZoneOf(name).Country != "" {
			return name
		}
	}
	return ""
}

// Called is what people call the thing that a part is of.
func (s *Start) Called(p *form.Part) string {
	name := p.ID
	if x := s.View.History.Paddock(p.ID); x != nil && p.Kind.Kind != fields.KindGrazed {
		name = x.Name
	}
	return board.Clean(name)
}

// Choices are the words among which a question lets choose.
func (s *Start) Choices(f *form.Field) []string {
	h := s.View.History
	switch {
	case f.OfPaddocks():
		var ids []string
		for _, g := range s.View.gates() {
			ids = append(ids, g.id)
		}
		return ids
	case f.Type == form.Name && f.Of == "station":
		var ids []string
		for _, x := range h.Stations {
			ids = append(ids, x.Station)
		}
		return ids
	}
	return slices.Clone(f.Choices)
}
