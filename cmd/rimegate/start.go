package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"golang.org/x/term"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// runStart sets the farm up: in the screens on a terminal, else by plain questions.
func runStart(r *request) error {
	template, plain := r.c.Bool("template"), r.c.Bool("plain")
	from, isFrom := given(r.c, "from")
	switch {
	case template && (plain || isFrom), plain && isFrom:
		return usagef("--plain, --from and --template exclude each other; give one")
	case r.c.Bool("dry-run") && !isFrom:
		return usagef("--dry-run goes with --from: questions store what is answered")
	case template:
		return farm.Template(r.out)
	case isFrom:
		return r.startFrom(from)
	}
	r.patience.end() // whoever is asked takes the time they need, and Ctrl-C leaves the asking
	if in, ok := r.in.(*os.File); ok && r.terminal && term.IsTerminal(int(in.Fd())) && !plain {
		return runScreens(r.program, r.c, true)
	}
	if err := r.open(); err != nil {
		return err
	}
	s, err := r.farm.Start()
	if err != nil {
		return err
	}
	d := &dialogue{request: r, start: s, lines: make(chan string)}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	d.ctx = ctx
	go d.read()
	return d.run()
}

// startFrom sets the farm up from a file, all of it or nothing.
func (r *request) startFrom(name string) error {
	if err := r.open(); err != nil {
		return err
	}
	in, err := r.opened(name, "--from: ")
	if err != nil {
		return err
	}
	defer in.Close()
	dry, fresh := r.c.Bool("dry-run"), !r.farm.Store().Exists()
	l, err := r.farm.SetUpFrom(in, dry)
	var ps fields.Problems
	if errors.As(err, &ps) {
		for i := range ps {
			ps[i].What = strings.TrimPrefix(ps[i].What, "--")
		}
		r.note(quoted(name) + " is not taken: " + counted(len(ps), "mistake", "mistakes"))
	}
	if err != nil {
		return err
	}
	if dry {
		return r.logged(l)
	}
	if fresh {
		fmt.Fprintln(r.out, "A new journal is started: "+board.Clean(r.farm.Store().Path))
	}
	r.readBack(l)
	if r.view, err = r.farm.View(farm.Question{}); err != nil {
		return err
	}
	return r.firstPage()
}

// firstPage is the page, and what would turn most of it green.
func (r *request) firstPage() error {
	fmt.Fprintln(r.out)
	if err := board.NewPage(r.view.Assess(), board.Filter{}, nil).Text(r.out, r.width); err != nil {
		return err
	}
	fmt.Fprintln(r.out)
	r.view.GreenText(r.out, r.width)
	return nil
}

// runFarmExport writes the set-up as a file for start --from.
func runFarmExport(r *request) error {
	if r.c.NArg() > 1 {
		return usagef("`rimegate farm export` takes one file, or none for standard output")
	}
	path := r.c.Args().First()
	if r.c.NArg() == 0 || path == "-" {
		return r.view.Export(r.out)
	}
	if err := folderOf(path); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := r.view.Export(&b); err != nil {
		return err
	}
	if err := farm.ReplaceOwn(path, b.Bytes(), farm.OurSetUp); err != nil {
		return notOurs(err)
	}
	r.say("Wrote %s: `rimegate start --from %s` sets the same farm up in an empty journal.", path, path)
	return nil
}

// dialogue asks one question a line and reads one answer a line.
type dialogue struct {
	*request
	start *farm.Start
	ctx   context.Context
	lines chan string // closed at the end of the input
	kind  fields.Kind // of which was asked last
	done  []answered
}

// answered is a part that was stored, to come back to.
type answered struct {
	part *form.Part
	log  *farm.Logged
}

func (d *dialogue) read() {
	defer close(d.lines)
	in := bufio.NewScanner(d.in)
	in.Buffer(nil, maxInput)
	for in.Scan() {
		select {
		case d.lines <- in.Text():
		case <-d.ctx.Done():
			return
		}
	}
}

// word is what a person says of the asking itself.
type word int

const (
	replied word = iota
	nothing
	skip
	back
	quit
)

// control are the words that are no answers; in quotes they are.
var control = map[string]word{"": nothing, "skip": skip, "back": back, "quit": quit}

// line is the next line of the input.
func (d *dialogue) line() (string, word) {
	select {
	case text, ok := <-d.lines:
		if !ok {
			return "", quit
		}
		text = strings.TrimSpace(text)
		if w, ok := control[strings.ToLower(text)]; ok {
			return "", w
		}
		if n := len(text); n > 2 && text[0] == '"' && text[n-1] == '"' {
			text = text[1 : n-1]
		}
		return text, replied
	case <-d.ctx.Done():
		return "", quit
	}
}

func (d *dialogue) run() error {
	d.say("Setting up a farm: one question a line. An empty line takes what is offered, or leaves it open. " +
		"Type ? for more, back for the question before, skip to leave one open, quit to leave; " +
		"what is answered is kept, and `rimegate start` goes on.")
	for {
		p := d.start.Next()
		if p == nil && d.start.Again() {
			d.say("What was left open, once more:")
			d.kind = ""
			continue
		}
		if p == nil {
			return d.end()
		}
		switch w, err := d.part(p); {
		case err != nil:
			return err
		case w == quit:
			return d.end()
		case w == back:
			if err := d.undo(); err != nil {
				return err
			}
		}
	}
}

// undo goes back to the part before.
func (d *dialogue) undo() error {
	n := len(d.done)
	if n == 0 {
		d.say("That is the first question.")
		return nil
	}
	last := d.done[n-1]
	d.done = d.done[:n-1]
	if err := d.start.Undo(last.part, last.log); err != nil {
		return err
	}
	w, err := d.part(last.part)
	if err == nil && w == back {
		return d.undo()
	}
	return err
}

// part asks what is open of one thing, and stores it.
func (d *dialogue) part(p *form.Part) (word, error) {
	if d.kind != p.Kind.Kind {
		d.kind = p.Kind.Kind
		fmt.Fprintln(d.out)
		d.say("%s", p.Lead)
	}
	said := form.Said{}
	for i := 0; ; {
		for ; i < len(p.Ask); i++ {
			f := p.Ask[i]
			if len(said[f.Name]) > 0 || f.Name == "new_stand" && said["on"] == nil {
				continue
			}
			switch w := d.question(p, f, said); {
			case w == quit:
				return quit, d.leave(p, said)
			case w == back && i == 0:
				return back, nil
			case w == back:
				i -= 2
				delete(said, p.Ask[i+1].Name)
			case w != replied && i == 0 && (p.More() || len(p.Ask) == 1 || p.Kind.Kind == fields.KindSown):
				d.start.Pass(p, w == skip || !p.More())
				return nothing, nil
			}
		}
		if len(said) == 0 {
			d.start.Pass(p, true)
			return nothing, nil
		}
		l, err := d.start.Store(p, said)
		if err == nil {
			d.stored(p, l)
			return replied, nil
		}
		if i = d.blame(p, err); i < 0 {
			return quit, err
		}
		delete(said, p.Ask[i].Name)
	}
}

// blame says why a part was refused, and returns which of its questions is asked again;
// negative where none is to blame.
func (d *dialogue) blame(p *form.Part, err error) int {
	var ps fields.Problems
	if !errors.As(err, &ps) {
		return -1
	}
	at := 0
	for _, x := range ps {
		if i := slices.IndexFunc(p.Ask, func(f *form.Field) bool { return f.Name == x.Field }); i >= 0 {
			at, x.Field = i, strings.Trim(p.Ask[i].Label, " ?")
		}
		d.say("%s.", x.Error())
	}
	return at
}

// stored reads a part back.
func (d *dialogue) stored(p *form.Part, l *farm.Logged) {
	d.done = append(d.done, answered{p, l})
	d.readBack(l)
}

// readBack says what was stored, without what it changes: the page follows.
func (r *request) readBack(l *farm.Logged) {
	for i := range l.Entries {
		r.para("Stored: ", "  ", board.EntryEcho(&l.Entries[i], l.After.History, board.UnitsOf(l.After.History)))
	}
	for _, n := range l.Notes {
		r.para("! ", "  ", n)
	}
}

// leave stores what was answered of a part that is left in the middle, as far as it
// says something whole.
func (d *dialogue) leave(p *form.Part, said form.Said) error {
	if len(said) == 0 {
		return nil
	}
	if said["zone"] == nil && !d.start.Began() {
		if zone, _ := d.start.Offer(p, p.Field("zone"), said); zone != "" {
			said["zone"] = []string{zone}
			d.say("The time zone was not answered: %s is taken, as this computer has it.", zone)
		}
	}
	l, err := d.start.Store(p, said)
	var ps fields.Problems
	switch {
	case err == nil:
		d.stored(p, l)
	case errors.As(err, &ps):
		d.say("Not stored, since it is not whole: %s.", ps[0].Error())
	default:
		return err
	}
	return nil
}

// question asks for one field until it is answered, or left.
func (d *dialogue) question(p *form.Part, f *form.Field, said form.Said) word {
	offer, why := d.start.Offer(p, f, said)
	ask := d.asking(p, f, offer, why)
	for {
		d.para("", "  ", ask)
		text, w := d.line()
		switch {
		case text == "?":
			d.explain(f)
			continue
		case w == nothing && offer != "":
			text = offer
		case w != replied:
			return w
		}
		said[f.Name] = []string{text}
		err := d.start.Check(p, f, said)
		if err == nil {
			return replied
		}
		delete(said, f.Name)
		d.blame(p, asProblems(err))
	}
}

func asProblems(err error) error {
	var one fields.Problem
	if errors.As(err, &one) {
		return fields.Problems{one}
	}
	return err
}

// asking is a question in one line: what, why, what to type, and what an empty line
// stands for.
func (d *dialogue) asking(p *form.Part, f *form.Field, offer, why string) string {
	what := strings.Trim(f.Label, " ?")
	if f.Type == form.One {
		what = strings.TrimSuffix(what, "s")
	}
	switch {
	case p.ID != "":
		what = d.start.Called(p) + ": " + what
	case p.More() && f == p.Ask[0] && !strings.EqualFold(p.Title, what):
		what = upperFirst(p.Title) + ": " + what
	}
	var how []string
	if !f.OfPaddocks() { // of screens
		how = append(how, f.Hint)
	}
	if list := d.start.Choices(f); len(list) > 0 && f.Type != form.Classes {
		how = append(how, "One of "+words(list))
	}
	ask := what + "? "
	for _, t := range append([]string{f.Why}, how...) {
		ask += upperFirst(t) + ". "
	}
	ask = strings.TrimSpace(ask)
	switch {
	case offer != "" && why != "":
		ask += " Enter: " + offer + ", " + why + "."
	case offer != "":
		ask += " Enter: " + offer + "."
	case f.Type == form.Name && f.Of == "station" && len(d.start.View.History.Stations) == 1:
		only := d.start.View.History.Stations[0]
		ask += " Enter: none, then every night counts as not read; " + only.Station + " for " + only.Name + "."
	case p.More() && f == p.Ask[0]:
		ask += " Enter: no more."
	}
	return ask
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// explain says more of a question.
func (d *dialogue) explain(f *form.Field) {
	d.say("%s.", upperFirst(strings.ReplaceAll(f.Use, "`", "")))
	switch {
	case f.Name == "zone":
		d.say("A part of a name lists those that hold it, such as regina. Names in %s:", "CA and US")
		var names []string
		for _, country := range []string{"CA", "US"} {
			for _, z := range form.Zones(country) {
				if z.Country == country {
					names = append(names, z.Name)
				}
			}
		}
		d.para("  ", "  ", words(names))
	case f.Type == form.Mix:
		d.say("`rimegate rules species` lists the plants by name.")
	}
}

// end shows the first page, and what to do next.
func (d *dialogue) end() error {
	if !d.start.Began() {
		d.say("Nothing is stored: a farm begins with its name and time zone.")
		return nil
	}
	d.view = d.start.View
	if err := d.firstPage(); err != nil {
		return err
	}
	if d.start.Next() != nil {
		d.say("Not all is answered: `rimegate start` goes on where this ended.")
	}
	return nil
}
