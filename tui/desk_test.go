package tui

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
)

// desk is the screens without their loop: keys and jobs run one after the
// other, so that a picture is the same every time.
type desk struct {
	t    testing.TB
	a    *app
	w, h int
	scr  tcell.SimulationScreen
	keys int
}

func newDesk(t testing.TB, f Farm, w, h int) *desk {
	t.Helper()
	d := &desk{t: t, a: newApp(context.Background(), f, Options{Theme: Colour}), w: w, h: h, scr: tcell.NewSimulationScreen("UTF-8")}
	t.Cleanup(d.a.quit)
	if err := d.scr.Init(); err != nil {
		t.Fatal(err)
	}
	d.size(w, h)
	d.a.reload()
	d.draw() // the opening screen, before anything is read
	d.drain()
	d.draw()
	return d
}

func (d *desk) size(w, h int) {
	d.w, d.h = w, h
	d.scr.SetSize(w, h)
	d.a.view.SetRect(0, 0, w, h)
}

// drain does what the loader would.
func (d *desk) drain() {
	for {
		select {
		case j := <-d.a.jobs:
			apply, err := safely(j.run)
			d.a.finish(j, apply, err)
		default:
			return
		}
	}
}

func (d *desk) draw() {
	d.scr.Clear()
	d.a.view.Draw(d.scr)
	d.scr.Show()
}

// press types keys: names such as Enter, or text letter by letter. "Down*3" is
// three times Down.
func (d *desk) press(script ...string) *desk {
	d.t.Helper()
	for _, e := range events(script...) {
		d.keys++
		d.a.onKey(e)
		d.drain()
		d.draw()
	}
	return d
}

var named = map[string]tcell.Key{
	"Enter": tcell.KeyEnter, "Esc": tcell.KeyEscape, "Tab": tcell.KeyTab, "Shift-Tab": tcell.KeyBacktab, "Up": tcell.KeyUp, "Down": tcell.KeyDown,
	"Left": tcell.KeyLeft, "Right": tcell.KeyRight, "PgUp": tcell.KeyPgUp, "PgDn": tcell.KeyPgDn, "Home": tcell.KeyHome, "End": tcell.KeyEnd,
	"Backspace": tcell.KeyBackspace2, "Delete": tcell.KeyDelete, "Ctrl-U": tcell.KeyCtrlU, "Ctrl-N": tcell.KeyCtrlN, "Ctrl-O": tcell.KeyCtrlO, "Ctrl-C": tcell.KeyCtrlC,
	"Ctrl-Z": tcell.KeyCtrlZ,
	"Ctrl-R": tcell.KeyCtrlR, "Ctrl-T": tcell.KeyCtrlT,
}

func events(script ...string) []*tcell.EventKey {
	var out []*tcell.EventKey
	for _, s := range script {
		times := 1
		if name, n, ok := strings.Cut(s, "*"); ok && n != "" {
			if _, err := fmt.Sscan(n, &times); err == nil {
				s = name
			}
		}
		for ; times > 0; times-- {
			if k, ok := named[s]; ok {
				out = append(out, tcell.NewEventKey(k, 0, tcell.ModNone))
				continue
			}
			if s == "Space" {
				out = append(out, tcell.NewEventKey(tcell.KeyRune, ' ', tcell.ModNone))
				continue
			}
			for _, r := range s {
				out = append(out, tcell.NewEventKey(tcell.KeyRune, r, tcell.ModNone))
			}
		}
	}
	return out
}

// text is the screen as rows of text.
func (d *desk) text() string {
	rows, _ := picture(d.scr)
	return strings.Join(rows, "\n")
}

func (d *desk) sees(want ...string) *desk {
	d.t.Helper()
	for _, x := range want {
		if !strings.Contains(d.text(), x) {
			d.t.Fatalf("the screen does not say %q:\n%s", x, d.text())
		}
	}
	return d
}

// picture reads a screen: its rows with trailing blanks cut, and for each row
// the style words of what is not plain, so that a signal made of colour alone
// shows as a difference.
func picture(scr tcell.SimulationScreen) (rows, styles []string) {
	cells, w, h := scr.GetContents()
	for y := 0; y < h; y++ {
		var text strings.Builder
		var runs []string
		var run strings.Builder
		was := tcell.StyleDefault
		flush := func() {
			if s := strings.TrimSpace(run.String()); s != "" && was != tcell.StyleDefault {
				runs = append(runs, styleWords(was)+" \""+s+"\"")
			}
			run.Reset()
		}
		for x := 0; x < w; x++ {
			c := cells[y*w+x]
			s := string(c.Runes)
			if len(c.Runes) == 0 || c.Runes[0] == 0 {
				s = " "
			}
			if c.Style != was {
				flush()
				was = c.Style
			}
			text.WriteString(s)
			run.WriteString(s)
		}
		flush()
		rows = append(rows, strings.TrimRight(text.String(), " "))
		styles = append(styles, strings.Join(runs, ", "))
	}
	return rows, styles
}

func styleWords(s tcell.Style) string {
	fg, bg, at := s.Decompose()
	var out []string
	for _, x := range []struct {
		m tcell.AttrMask
		w string
	}{{tcell.AttrBold, "bold"}, {tcell.AttrReverse, "reverse"}, {tcell.AttrUnderline, "underline"}, {tcell.AttrDim, "dim"}} {
		if at&x.m != 0 {
			out = append(out, x.w)
		}
	}
	name := func(c tcell.Color) string {
		for n, known := range map[string]tcell.Color{"white": tcell.ColorWhite, "black": tcell.ColorBlack, "purple": tcell.ColorPurple, "yellow": tcell.ColorYellow, "teal": tcell.ColorTeal} {
			if c == known {
				return n
			}
		}
		return fmt.Sprintf("#%06x", c.Hex())
	}
	if fg != tcell.ColorDefault {
		out = append(out, name(fg))
	}
	if bg != tcell.ColorDefault {
		out = append(out, "on "+name(bg))
	}
	if len(out) == 0 {
		return "underline" // tcell keeps underlines apart from the mask
	}
	return strings.Join(out, " ")
}
