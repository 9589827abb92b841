package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"
)

// table is the yardstick: tview's own table of n rows and five empty columns, moved by
// one key and drawn at 80 by 24.
type table struct {
	scr tcell.SimulationScreen
	*tview.Table
}

func emptyTable(b *testing.B, n int) *table {
	t := &table{tcell.NewSimulationScreen("UTF-8"), tview.NewTable().SetSelectable(true, false)}
	if err := t.scr.Init(); err != nil {
		b.Fatal(err)
	}
	t.scr.SetSize(80, 24)
	for i := range n {
		for j := range 5 {
			t.SetCell(i, j, tview.NewTableCell(""))
		}
	}
	t.SetRect(0, 0, 80, 24)
	return t
}

func (t *table) key() {
	t.InputHandler()(tcell.NewEventKey(tcell.KeyDown, 0, tcell.ModNone), func(tview.Primitive) {})
	t.Draw(t.scr)
	t.scr.Show()
}

// against reports what act costs as a multiple of a key of an empty table of n rows. Both
// are taken in turns, and the fastest of each counts: a busy computer slows both.
func against(b *testing.B, n int, act func(i int)) {
	const turn = 20
	t := emptyTable(b, n)
	fastest := func(was time.Duration, do func(i int), times int) time.Duration {
		start := time.Now()
		for i := range times {
			do(i)
		}
		return min(was, time.Since(start)/time.Duration(times))
	}
	ours, base := time.Hour, time.Hour
	b.ResetTimer()
	for i := 0; i < b.N; i += turn {
		ours = fastest(ours, act, min(turn, b.N-i))
		b.StopTimer()
		base = fastest(base, func(int) { t.key() }, turn)
		b.StartTimer()
	}
	b.ReportMetric(float64(ours)/float64(base), "x-empty-table")
}

// BenchmarkKeyToScreen is one key on the morning list to the drawn screen.
func BenchmarkKeyToScreen(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprintf("paddocks=%d", n), func(b *testing.B) { newDesk(b, manyHolds(b, n), 80, 24).pressed(b, n) })
	}
}

func (d *desk) pressed(b *testing.B, n int) {
	keys := events("Down", "Up")
	against(b, n, func(i int) {
		d.a.onKey(keys[i%2])
		d.a.view.Draw(d.scr)
		d.scr.Show()
	})
}

// BenchmarkOpening is from the answer of the farm to the first drawn list:
// what the screens add to reading and assessing.
func BenchmarkOpening(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprintf("paddocks=%d", n), func(b *testing.B) {
			d := newDesk(b, manyHolds(b, n), 80, 24)
			a := d.a.m.answer
			against(b, n, func(int) {
				d.a.m.take(a)
				d.a.view.Draw(d.scr)
				d.scr.Show()
			})
		})
	}
}

// BenchmarkPages draws every page of a thousand paddocks.
func BenchmarkPages(b *testing.B) {
	d := newDesk(b, manyHolds(b, 1000), 80, 24)
	for _, p := range []struct{ name, key string }{{"nights", "2"}, {"feed", "3"}, {"ahead", "4"}, {"tasks", "5"}, {"why", "1Enter"}} {
		if p.key == "1Enter" {
			d.press("1", "Enter")
		} else {
			d.press(p.key)
		}
		b.Run(p.name, func(b *testing.B) { d.pressed(b, 1000) })
	}
}

// BenchmarkLongText shows what fits of a text at its end: of ten times the text ten times the work.
func BenchmarkLongText(b *testing.B) {
	for _, n := range []int{400, 4000} {
		x := input{text: strings.Repeat("ä狐👩‍👩‍👧 ", n)}
		x.cur = len(x.text)
		b.Run(fmt.Sprintf("words=%d", n), func(b *testing.B) {
			for b.Loop() {
				x.around(59)
			}
		})
	}
}
