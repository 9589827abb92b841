package tui

import (
	"fmt"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"
)

// emptyTable is the yardstick: tview's own table of n rows and five empty
// columns, moved by one key and drawn at 80 by 24. Other figures are multiples
// of it, taken in the same run.
func emptyTable(b *testing.B, n int) float64 {
	scr := tcell.NewSimulationScreen("UTF-8")
	if err := scr.Init(); err != nil {
		b.Fatal(err)
	}
	scr.SetSize(80, 24)
	t := tview.NewTable().SetSelectable(true, false)
	for i := 0; i < n; i++ {
		for j := 0; j < 5; j++ {
			t.SetCell(i, j, tview.NewTableCell(""))
		}
	}
	t.SetRect(0, 0, 80, 24)
	h := t.InputHandler()
	down := tcell.NewEventKey(tcell.KeyDown, 0, tcell.ModNone)
	const runs = 300
	start := time.Now()
	for i := 0; i < runs; i++ {
		h(down, func(tview.Primitive) {})
		t.Draw(scr)
		scr.Show()
	}
	return float64(time.Since(start)) / runs
}

// BenchmarkKeyToScreen is one key on the morning list to the drawn screen.
func BenchmarkKeyToScreen(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprintf("paddocks=%d", n), func(b *testing.B) {
			d := newDesk(b, manyHolds(b, n), 80, 24)
			base := emptyTable(b, n)
			keys := events("Down", "Up")
			b.ResetTimer()
			start := time.Now()
			for i := 0; i < b.N; i++ {
				d.a.onKey(keys[i%2])
				d.a.view.Draw(d.scr)
				d.scr.Show()
			}
			b.ReportMetric(float64(time.Since(start))/float64(b.N)/base, "x-empty-table")
		})
	}
}

// BenchmarkOpening is from the answer of the farm to the first drawn list:
// what the screens add to reading and assessing.
func BenchmarkOpening(b *testing.B) {
	for _, n := range []int{10, 1000} {
		b.Run(fmt.Sprintf("paddocks=%d", n), func(b *testing.B) {
			d := newDesk(b, manyHolds(b, n), 80, 24)
			a := d.a.m.answer
			base := emptyTable(b, n)
			b.ResetTimer()
			start := time.Now()
			for i := 0; i < b.N; i++ {
				d.a.m.take(a)
				d.a.view.Draw(d.scr)
				d.scr.Show()
			}
			b.ReportMetric(float64(time.Since(start))/float64(b.N)/base, "x-empty-table")
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
		b.Run(p.name, func(b *testing.B) {
			base := emptyTable(b, 1000)
			keys := events("Down", "Up")
			b.ResetTimer()
			start := time.Now()
			for i := 0; i < b.N; i++ {
				d.a.onKey(keys[i%2])
				d.a.view.Draw(d.scr)
				d.scr.Show()
			}
			b.ReportMetric(float64(time.Since(start))/float64(b.N)/base, "x-empty-table")
		})
	}
}
