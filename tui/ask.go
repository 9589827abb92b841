package tui

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
)

// asks are the forms whose Enter asks the farm for something else than the check of
// entries.
var asks = map[fields.Kind]func(*app, *draft){form.Import: (*app).readFile, form.Blend: (*app).blend}

// unsaved reports a form in which something was typed that is to be stored.
func (f *draft) unsaved() bool {
	return f.dirty && f.kind.Kind != form.Blend && f.onto == fields.NoDate
}

// answers is what the farm answers to a form, once it does; a form that was changed
// meanwhile is not answered.
func answers[T any](a *app, f *draft, what string, ask func() (T, error), then func(T)) {
	f.waiting = true
	edits := f.edits
	a.start(job{
		what: what,
		run: func() (func(), error) {
			x, err := ask()
			return func() {
				f.waiting = false
				if f.edits != edits {
					a.m.tell("The form was changed meanwhile: Enter asks again.")
				} else if a.m.form == f && a.m.page == pageForm {
					then(x)
				}
			}, err
		},
		fail: func(err error) { f.refused(a.m, err) },
	})
}

// readFile has the farm read a file and say what it would bring.
func (a *app) readFile(f *draft) {
	said := f.said()
	answers(a, f, "reading the file", func() (*Outcome, error) { return a.farm.Import(said) }, func(out *Outcome) {
		f.out = out
		a.m.open(pageCheck)
	})
}

// blend has the farm work a blend out. It is an answer, and nothing is stored.
func (a *app) blend(f *draft) {
	said := f.said()
	ask := func() (func(int) string, error) { return a.farm.Blend(said) }
	answers(a, f, "working the blend out", ask, func(words func(int) string) {
		a.m.told = words
		a.m.open(pageBlend)
	})
}

func (m *model) blendText(p *prose) {
	if m.told != nil {
		p.told(m.told(max(p.w-1, minWidth)), func(string, int) role { return plain })
	}
}

// tab completes the name of a file, and else goes to the next field.
func (a *app) tab() {
	f := a.m.form
	x := f.cursor()
	if x.Type != form.File || a.key != "Tab" || x.text == "" {
		f.step(1)
		return
	}
	typed := x.text
	fetch(a, "looking for the file", func() ([]string, error) { return a.farm.Files(typed) }, func(paths []string) {
		if a.m.form != f || f.cursor() != x || x.text != typed {
			return
		}
		switch more := common(paths); {
		case len(paths) == 0:
			a.m.wrong("No file begins like that.")
		case len(more) > len(typed):
			x.cur = len(x.text)
			x.insert(more[len(typed):])
			f.changed()
		case len(paths) == 1:
			f.step(1)
		default:
			a.m.tell(strings.Join(idsOf(paths, func(p *string) string { return lastName(*p) }), ", "))
		}
	})
}

// common is how far texts are the same.
func common(texts []string) string {
	if len(texts) == 0 {
		return ""
	}
	first, last := slices.Min(texts), slices.Max(texts)
	n := 0
	for _, r := range first {
		if !strings.HasPrefix(last[n:], string(r)) {
			break
		}
		n += len(string(r))
	}
	return first[:n]
}

// lastName is the last part of a path.
func lastName(path string) string {
	i := strings.LastIndexAny(strings.TrimRight(path, `/\`), `/\`)
	return path[i+1:]
}
