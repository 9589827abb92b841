package tui

import (
	"slices"
	"sync"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"
	"github.com/rivo/uniseg"

	"rimegate/hazard/board"
)

// view is the one primitive: it draws the model and takes what is pasted.
type view struct {
	*tview.Box
	a     *app
	begun chan struct{} // closed by the first Draw
	once  sync.Once
}

func newView(a *app) *view { return &view{Box: tview.NewBox(), a: a, begun: make(chan struct{})} }

// Draw draws the model. Every cell is set once and to what it shall be: a
// terminal is then sent only what changed, which matters over a slow line.
func (v *view) Draw(screen tcell.Screen) {
	v.once.Do(func() { close(v.begun) })
	_, _, w, h := v.GetRect()
	f := v.a.m.frame(w, h)
	for y := range h {
		var l line
		if y < len(f.lines) {
			l = f.lines[y]
		}
		drawLine(screen, v.a.m.theme, l, y, w)
	}
	if f.cy >= 0 && f.cy < h && f.cx < w {
		screen.ShowCursor(f.cx, f.cy)
	} else {
		screen.HideCursor()
	}
}

// PasteHandler takes pasted text as typed text.
func (v *view) PasteHandler() func(string, func(tview.Primitive)) {
	return v.WrapPasteHandler(func(s string, _ func(tview.Primitive)) { v.a.onPaste(s) })
}

// drawLine draws spans that fit, and blanks behind them.
func drawLine(screen tcell.Screen, t *Theme, l line, y, w int) {
	at := 0
	fill := func(to int, s tcell.Style) {
		for ; at < to && at < w; at++ {
			screen.SetContent(at, y, ' ', nil, s)
		}
	}
	for _, s := range l.spans {
		style := t.style(s.role, l.sel)
		text := s.text // letters before other letters are characters of their own: nearly all are
		for ; text != "" && ascii(text[0]) && (len(text) == 1 || ascii(text[1])); text = text[1:] {
			screen.SetContent(at, y, rune(text[0]), nil, style)
			at++
		}
		for g := uniseg.NewGraphemes(text); g.Next(); {
			n, rs := g.Width(), g.Runes()
			if n == 0 {
				continue
			}
			screen.SetContent(at, y, rs[0], rs[1:], style)
			at++
			fill(at+n-1, style)
		}
	}
	fill(w, tcell.StyleDefault)
}

func ascii(c byte) bool { return c >= ' ' && c <= '~' }

// cutTo shortens a line to w cells; the last cell says that it was cut.
func cutTo(l line, w int) line {
	for i, s := range l.spans {
		n := board.Width(s.text)
		if n > w {
			l.spans = append(slices.Clone(l.spans[:i]), col(s.role, s.text, w))
			break
		}
		w -= n
	}
	return l
}

// onMouse takes a click, which selects a row of a list, and the wheel. It is
// reached only after a person turned the mouse on.
func (a *app) onMouse(e *tcell.EventMouse, action tview.MouseAction) (*tcell.EventMouse, tview.MouseAction) {
	switch {
	case action == tview.MouseScrollUp:
		a.m.move(-1)
	case action == tview.MouseScrollDown:
		a.m.move(1)
	case action == tview.MouseLeftClick && a.m.page != pageForm:
		f := a.m.frame(a.m.w, a.m.h)
		if at := slices.IndexFunc(f.lines, func(l line) bool { return l.sel }); at >= 0 {
			_, y := e.Position()
			a.m.move(y - at)
		}
	default:
		return e, action
	}
	return nil, action // and the screen is drawn
}
