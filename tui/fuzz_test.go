package tui

import (
	"strings"
	"testing"
)

// FuzzKeys: whatever is typed or pasted, in whatever order, nothing fails, no control
// character reaches a cell, stock that must come out stays named, and nothing is stored
// but from the page that reads it back.
func FuzzKeys(f *testing.F) {
	keys := strings.Fields("Enter Esc Space Tab Shift-Tab Up Down Left Right PgUp PgDn Home End Backspace Delete Ctrl-U Ctrl-N Ctrl-R Ctrl-T Ctrl-Z Ctrl-O")
	f.Add([]byte("f\x80-3C\x80\x80"), "")
	f.Add([]byte("l\x85\x85\x80\x83\x83"), "\x1b[31mwhite\x1b[0m\nfrost [red]")
	f.Add([]byte("w\x83t\x80\x81 ?/\x80"), "\xff\u202e\x00\u009b")
	f.Add([]byte("0\x8080; <100\x80i\x81e3s"), strings.Repeat("x", 5000))
	f.Fuzz(func(t *testing.T, typed []byte, pasted string) {
		farm := willowBend(t)
		d := newDesk(t, farm, 80, 24)
		for i, b := range typed[:min(len(typed), 60)] {
			was, on := farm.logged, d.a.m.page
			key := string(rune(b))
			if b >= 0x80 {
				key = keys[int(b-0x80)%len(keys)]
			}
			if b != 0 && (b >= ' ' || b >= 0x80) && b != 0x7f {
				d.press(key)
			}
			if i == 4 && pasted != "" {
				d.a.onPaste(pasted)
				d.draw()
			}
			text := d.text()
			if strings.Contains(text, "could not be drawn") || strings.Contains(text, "That key failed") {
				t.Fatalf("after %q:\n%s", typed[:i+1], text)
			}
			if farm.logged != was && (on != pageCheck || key != "Enter") && key != "Ctrl-Z" {
				t.Fatalf("%q stored something on page %d", key, on)
			}
			if len(d.a.m.list.MoveOut) > 0 && !strings.Contains(text, "MOVE OUT NOW") {
				t.Fatalf("after %q nobody is told to move:\n%s", typed[:i+1], text)
			}
			cells, _, _ := d.scr.GetContents()
			for _, c := range cells {
				for _, r := range c.Runes {
					if r != 0 && (r < ' ' || r >= 0x7f && r < 0xa0 || r == '\u202e') {
						t.Fatalf("a cell holds %U", r)
					}
				}
			}
		}
	})
}
