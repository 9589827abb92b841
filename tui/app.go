package tui

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// Options say how the screens look and behave.
type Options struct {
	Theme *Theme        // Colour if nil
	Poll  time.Duration // how often the journal is looked at; 2 s if 0
	SetUp bool          // go on setting the farm up, as far as anything is open

	screen tcell.Screen // for tests
}

// CrashError says that the screens failed. The terminal is as it was before.
type CrashError struct {
	What  string
	Typed []string // what stood in unsaved forms
}

func (e *CrashError) Error() string { return "the screens failed (" + e.What + ")" }

// app runs the screens: it holds everything that is not state. The loop of tview
// alone touches the model; what runs beside it comes back through post.
type app struct {
	m     *model
	farm  Farm
	tv    *tview.Application
	view  *view
	ctx   context.Context
	quit  context.CancelFunc
	jobs  chan job
	wait  sync.WaitGroup
	crash atomic.Pointer[CrashError]

	setUp   bool      // go on setting the farm up
	read    time.Time // when the list was read
	loading bool
	again   bool             // the journal changed while it was being read
	key     string           // the one that is being dealt with
	panicky func(key string) // for tests: may panic where a bug would
}

// job is something that may wait for the disk, and what its result does to the
// model. Only apply and fail run in the loop.
type job struct {
	what string
	run  func() (apply func(), err error)
	fail func(error) // nil: the error is told
}

// refreshAfter is how old a list may get while nobody writes anything: days
// turn, and so do the hours at which nights are over.
const refreshAfter = time.Minute

// Run shows the screens until the person leaves or ctx ends. Whatever happens,
// the terminal is put back in order. The error is nil, a *CrashError, or says
// why there is no terminal to draw on.
func Run(ctx context.Context, f Farm, o Options) error {
	return newApp(ctx, f, o).run(o)
}

func newApp(ctx context.Context, f Farm, o Options) *app {
	if o.Theme == nil {
		o.Theme = Colour
	}
	a := &app{m: newModel(o.Theme), farm: f, tv: tview.NewApplication(), jobs: make(chan job, 64), setUp: o.SetUp}
	a.ctx, a.quit = context.WithCancel(ctx)
	a.view = newView(a)
	a.tv.SetInputCapture(func(e *tcell.EventKey) *tcell.EventKey {
		a.onKey(e) // all of them: the library would end the screens at a Ctrl-C without asking
		return nil
	})
	a.tv.SetMouseCapture(a.onMouse).SetRoot(a.view, true).EnablePaste(true)
	if o.screen != nil {
		a.tv.SetScreen(o.screen)
	}
	return a
}

func (a *app) run(o Options) (err error) {
	if o.Poll == 0 {
		o.Poll = 2 * time.Second
	}
	a.spawn(func() { a.loader(o.Poll) })
	over := make(chan struct{})
	a.spawn(func() { // ending the context ends the loop, even one not begun yet
		<-a.ctx.Done()
		select {
		case <-a.view.begun: // before that, there is nothing that Stop could stop
			a.tv.Stop()
		case <-over:
		}
	})
	a.reload()
	defer func() {
		a.crashed(recover()) // tview has put the terminal in order
		a.quit()
		close(over)
		a.wait.Wait()
		if c := a.crash.Load(); c != nil {
			c.Typed = a.m.unsaved()
			err = c
		}
	}()
	return a.tv.Run()
}

// crashed notes a panic; r is nil if there was none.
func (a *app) crashed(r any) {
	if r != nil {
		a.crash.CompareAndSwap(nil, &CrashError{What: fmt.Sprint(r)})
		a.quit()
	}
}

// spawn runs f beside the loop. A panic there would leave the terminal raw, so
// it is caught, the loop is stopped and Run reports it.
func (a *app) spawn(f func()) {
	a.wait.Add(1)
	go func() {
		defer a.wait.Done()
		defer func() { a.crashed(recover()) }()
		f()
	}()
}

// post runs f in the loop and draws. It gives up when the screens end: the
// loop's own queue would be waited for for ever then.
func (a *app) post(f func()) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		a.tv.QueueUpdateDraw(func() {
			if a.ctx.Err() == nil {
				f()
			}
		})
	}()
	select {
	case <-done:
	case <-a.ctx.Done():
	}
}

func (a *app) start(j job) {
	select {
	case a.jobs <- j:
		if a.m.busy == "" {
			a.m.busy = j.what
		}
	default:
		a.m.wrong("The program is behind with its work; try again in a moment.")
	}
}

// fetch is the job that gets something for the model.
func fetch[T any](a *app, what string, get func() (T, error), put func(T)) {
	a.start(job{what: what, run: func() (func(), error) {
		x, err := get()
		return func() { put(x) }, err
	}})
}

func (a *app) finish(j job, apply func(), err error) {
	a.m.busy = ""
	switch {
	case err == nil:
		apply()
	case j.fail != nil:
		j.fail(err)
	default:
		a.m.wrong(sentence(err))
	}
}

// loader is the one goroutine that waits for disks and locks. It also looks
// whether another seat wrote something.
func (a *app) loader(every time.Duration) {
	look := time.NewTicker(every)
	defer look.Stop()
	for {
		select {
		case <-a.ctx.Done():
			return
		case j := <-a.jobs:
			apply, err := safely(j.run)
			a.post(func() { a.finish(j, apply, err) })
		case <-look.C:
			rev, err := a.farm.Revision()
			a.post(func() {
				switch m := a.m; {
				case err != nil:
					m.stale = sentence(err)
				case m.answer == nil, m.stale != "", rev != m.answer.Revision, time.Since(a.read) > refreshAfter:
					a.reload()
				}
			})
		}
	}
}

// safely makes an error of a panic: a list that cannot be read must not take
// the last one, or a half-typed form, down with it.
func safely(run func() (func(), error)) (apply func(), err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the program failed at it (%v); please report what you did", r)
		}
	}()
	return run()
}

// reload reads the journal anew; one reading at a time.
func (a *app) reload() {
	if a.again = a.loading; a.loading {
		return
	}
	a.loading = true
	a.start(job{
		what: "reading the journal",
		run: func() (func(), error) {
			ans, err := a.farm.Read()
			return func() { a.loaded(ans, nil) }, err
		},
		fail: func(err error) { a.loaded(nil, err) },
	})
}

// loaded takes in a reading, or says why there is none.
func (a *app) loaded(ans *Answer, err error) {
	if a.loading = false; a.again {
		a.reload()
	}
	switch {
	case err == nil:
		a.read = time.Now()
		a.m.take(ans)
		a.follow()
		a.offer()
	case a.m.answer != nil:
		a.m.stale = sentence(err)
	default:
		a.m.wrong(sentence(err))
	}
}

// follow asks for what the current page shows beside the list.
func (a *app) follow() {
	if need := screens[a.m.page].need; need != nil && a.m.answer != nil {
		need(a)
	}
}

func sentence(err error) string {
	s := err.Error()
	var ps fields.Problems
	if errors.As(err, &ps) {
		s = strings.Join(idsOf(ps, func(p *fields.Problem) string {
			return fields.Problem{Line: p.Line, What: p.What, Type: p.Type}.Error()
		}), "; ")
	}
	if s = board.Clean(strings.ReplaceAll(s, "\n", "; ")); s != "" && !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
		s += "."
	}
	return upper(s)
}

// leave ends the screens; unsaved forms are asked about once.
func (a *app) leave() {
	if len(a.m.unsaved()) == 0 || a.m.leaving {
		a.quit()
		return
	}
	a.m.leaving = true
	words := "A form is not saved (l shows which). The same key again leaves without it."
	if a.m.page == pageForm {
		words = "A form is not saved. Ctrl-C again leaves without it."
	}
	a.m.wrong(words)
}

// LookAt chooses the theme by the terminal and the user's word against colour.
func LookAt(colour bool) *Theme {
	if !colour || os.Getenv("NO_COLOR") != "" {
		return Mono
	}
	return Colour
}
