package tui

import (
	"fmt"
	"sync"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"
	"github.com/rivo/uniseg"

	"rimegate/hazard/board"
)

// frame is one picture of the model.
type frame struct {
	lines  []line
	cx, cy int // the text cursor; cy < 0 for none
}

// view is the one primitive: it draws the model and hands keys on.
type view struct {
	*tview.Box
	m     *model
	key   func(*tcell.EventKey)
	paste func(string)
	click func(x, y int)
	wheel func(rows int)

	begun chan struct{} // closed by the first Draw
	once  sync.Once
}

func newView(m *model) *view {
	v := &view{Box: tview.NewBox(), m: m, begun: make(chan struct{})}
	v.SetBackgroundColor(tcell.ColorDefault)
	return v
}

// Draw draws the model. A failure in here must not take the list away from
// whoever stands before it: it is put into words instead.
func (v *view) Draw(screen tcell.Screen) {
	v.once.Do(func() { close(v.begun) })
	x, y, w, h := v.GetInnerRect()
	f := v.frame(w, h)
	// Every cell is set once and to what it shall be: a terminal is then sent
	// only what changed, which matters over a slow line.
	for i := 0; i < h; i++ {
		var l line
		if i < len(f.lines) {
			l = f.lines[i]
		}
		drawLine(screen, v.m.theme, l, x, y+i, w)
	}
	if f.cy >= 0 && f.cy < h && f.cx < w {
		screen.ShowCursor(x+f.cx, y+f.cy)
	} else {
		screen.HideCursor()
	}
}

func (v *view) frame(w, h int) (f frame) {
	defer func() {
		if r := recover(); r != nil {
			f = v.m.broken(fmt.Sprint(r), w)
		}
	}()
	v.m.w, v.m.h = w, h // how far a page is, keys must know
	return v.m.render(w, h)
}

// drawLine draws spans from x on, cut at w cells, never through a character,
// and blanks behind them.
func drawLine(screen tcell.Screen, t *Theme, l line, x, y, w int) {
	at := 0
	fill := func(to int, s tcell.Style) {
		for ; at < to && at < w; at++ {
			screen.SetContent(x+at, y, ' ', nil, s)
		}
	}
	for _, s := range l.spans {
		style := t.style(s.role, l.sel)
		rest, state := s.text, -1
		for rest != "" {
			var c string
			var n int
			c, rest, n, state = uniseg.FirstGraphemeClusterInString(rest, state)
			if n == 0 {
				continue
			}
			if at+n > w {
				fill(w, style)
				return
			}
			rs := []rune(c)
			screen.SetContent(x+at, y, rs[0], rs[1:], style)
			for i := 1; i < n; i++ {
				screen.SetContent(x+at+i, y, ' ', nil, style)
			}
			at += n
		}
	}
	fill(w, tcell.StyleDefault)
}

// InputHandler hands every key to the one function that knows them.
func (v *view) InputHandler() func(*tcell.EventKey, func(tview.Primitive)) {
	return v.WrapInputHandler(func(e *tcell.EventKey, _ func(tview.Primitive)) { v.key(e) })
}

// PasteHandler takes pasted text as typed text.
func (v *view) PasteHandler() func(string, func(tview.Primitive)) {
	return v.WrapPasteHandler(func(s string, _ func(tview.Primitive)) { v.paste(s) })
}

// MouseHandler is reached only after a person turned the mouse on.
func (v *view) MouseHandler() func(tview.MouseAction, *tcell.EventMouse, func(tview.Primitive)) (bool, tview.Primitive) {
	return v.WrapMouseHandler(func(a tview.MouseAction, e *tcell.EventMouse, _ func(tview.Primitive)) (bool, tview.Primitive) {
		x, y := e.Position()
		switch a {
		case tview.MouseLeftClick:
			v.click(x, y)
		case tview.MouseScrollUp:
			v.wheel(-1)
		case tview.MouseScrollDown:
			v.wheel(1)
		default:
			return false, nil
		}
		return true, nil
	})
}

// broken is what is shown where a screen cannot be drawn: why, and the flags.
func (m *model) broken(why string, w int) frame {
	w = max(w, 2)
	lines := wrapped(failure, 0, 0, "This screen could not be drawn ("+why+"). Esc goes back; nothing was lost.", w)
	return frame{lines: append(lines, m.holdNames(w)...), cy: -1}
}

// cutTo shortens a line to w cells; the last cell says that it was cut.
func cutTo(l line, w int) line {
	if l.width() <= w {
		return l
	}
	out := line{sel: l.sel}
	left := w
	for _, s := range l.spans {
		n := board.Width(s.text)
		if n > left {
			if left > 0 {
				out.spans = append(out.spans, col(s.role, s.text, left))
			}
			return out
		}
		out.spans = append(out.spans, s)
		left -= n
	}
	return out
}
