package tui

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden screens anew")

// golden compares a text with the file of that name under testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s differs (go test ./tui -update writes it anew):\n%s", path, d)
	}
}

// ways lead to every page, by keys from the opening screen.
var ways = []struct {
	name string
	keys []string
}{
	{"today", nil},
	{"green", []string{"y"}},
	{"today-lots", []string{"u*5"}},
	{"today-picked", []string{"Space*2", "c"}},
	{"herds", []string{"e"}},
	{"herd-moved", []string{"e", "s"}},
	{"find", []string{"/", "ho"}},
	{"why", []string{"Enter"}},
	{"why-more", []string{"Enter", "PgDn"}},
	{"history", []string{"h"}},
	{"strike", []string{"h", "x"}},
	{"night", []string{"n"}},
	{"nights", []string{"2", "Down"}},
	{"feed", []string{"3"}},
	{"feed-result", []string{"3", "Down"}},
	{"ahead", []string{"4"}},
	{"ahead-if", []string{"4", "Down*3", "Right*4", "i", "Enter", "-3C", "Enter"}},
	{"tasks", []string{"5"}},
	{"done", []string{"5", "Down", "Enter"}},
	{"moves", []string{"7"}},
	{"rules", []string{"6"}},
	{"rule", []string{"6", "Enter"}},
	{"help", []string{"?"}},
	{"menu", []string{"l"}},
	{"frost", []string{"Space*2", "f", "-3C"}},
	{"frost-refused", []string{"f", "-3", "Enter"}},
	{"frost-check", []string{"Space*2", "f", "-3C", "Enter"}},
	{"no-frost", []string{"0"}},
	{"pick", []string{"f", "Up*2", "Space", "Down", "Space"}},
	{"walk", []string{"w"}},
	{"walk-filled", []string{"w", "a", "Down", "y", "Down", "none", "Down", "y"}},
	{"grazed", []string{"s"}},
	{"lab", []string{"b"}},
	{"reading", []string{"r"}},
	{"seen", []string{"l", "End", "Up*8", "Enter"}},
	{"menu-end", []string{"l", "End"}},
	{"paddocks", []string{"l", "End", "Up", "Enter", "Down"}},
	{"paddock-new", []string{"l", "End", "Up", "Enter", "Home", "Enter", "Far Corner"}},
	{"paddock-change", []string{"l", "End", "Up", "Enter", "Down*2", "Enter"}},
	{"farm-change", []string{"l", "End", "Up*3", "Enter"}},
	{"herd-check", []string{"l", "End", "Enter", "Enter", "dry cows", "Tab", "cows", "Tab", "40", "Enter"}},
	{"import", []string{"l", "End", "Up*5", "Enter", "data/l", "Tab*2"}},
	{"import-check", []string{"l", "End", "Up*5", "Enter", "data/logger-1", "Tab", "Tab", "Right", "Enter"}},
	{"blend", []string{"l", "End", "Up*4", "Enter", "bench-hay", "Tab", "p", "Enter"}},
	{"lab-sheet", []string{"Space*3", "b", "yesterday", "Tab*2", "3000"}},
	{"take-back", []string{"w", "p", "Enter*2", "Ctrl-Z"}},
}

func TestEveryScreenAtThreeSizes(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {60, 20}, {120, 40}} {
		for _, s := range ways {
			name := fmt.Sprintf("%s-%dx%d", s.name, size[0], size[1])
			t.Run(name, func(t *testing.T) {
				d := newDesk(t, willowBend(t), size[0], size[1])
				d.press(s.keys...)
				d.draw()
				golden(t, name, shot(d))
			})
		}
	}
}

// The list without colours and with those made for every kind of eyes.
func TestTheListInEveryLook(t *testing.T) {
	for _, th := range []*Theme{Mono, Safe} {
		d := newDesk(t, willowBend(t), 80, 24)
		d.a.m.theme = th
		d.draw()
		golden(t, "today-"+strings.ReplaceAll(th.Name, " ", "-"), shot(d))
	}
}

func shot(d *desk) string {
	rows, styles := picture(d.scr)
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(r + "\n")
	}
	b.WriteString("----- styles\n")
	for i, s := range styles {
		if s != "" {
			fmt.Fprintf(&b, "%2d: %s\n", i+1, s)
		}
	}
	return b.String()
}
