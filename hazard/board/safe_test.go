package board

import (
	"encoding/csv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"North Slough", "North Slough"},
		{"  two  spaces\tand\na line\r\n ", "two spaces and a line"},
		{"\x1b[31mred\x1b[0m", "red"},
		{"\x1b]0;title\x07after", "after"},
		{"\x1b]8;;http://x\x1b\\link\x1b]8;;\x1b\\", "link"},
		{"\u009b2Jclear", "clear"},
		{"\x1bPdevice\x1b\\x", "x"},
		{"\x1b(Bcharset", "charset"},
		{"unfinished \x1b]0;x", "unfinished"},
		{"trailing \x1b", "trailing"},
		{"\u202egnp.exe\u202c", "gnp.exe"},
		{"\u2066a\u2069\u200e\u200f\u061c", "a"},
		{"zero\u200bwidth\ufeff\u00ad", "zerowidth"},
		{"a\u2028b\u2029c\u0085d\u00a0e\u3000f", "a b c d e f"},
		{"bell\x07 nul\x00 del\x7f", "bell nul del"},
		{"bad\xffbyte", "bad\ufffdbyte"},
		{"é and e\u0301", "é and e\u0301"},
		{"नमस्ते", "नमस्ते"},
		{"ক্ষ\u200dত", "ক্ষ\u200dত"},
		{"\u200dlone\u200d", "lone"},
		{"牧草地", "牧草地"},
		{"[red]tag[-]", "[red]tag[-]"},
		{"\u3164\u2800\uffa0", ""},
		{"tag\U000e0041\U000e007f", "tag"},
		{"\U000f0000private", "private"},
	} {
		if got := Clean(c.in); got != c.want {
			t.Errorf("Clean(%q) is %q, want %q", c.in, got, c.want)
		}
	}
	if n := strings.Count(Clean("e"+strings.Repeat("\u0301", 500)), "\u0301"); n != maxMarks {
		t.Errorf("%d marks in a row kept, want %d", n, maxMarks)
	}
}

// nasty draws text of everything that can hurt a terminal or a page.
func nasty(t *rapid.T) string {
	return strings.Join(rapid.SliceOfN(rapid.OneOf(
		rapid.SampledFrom([]string{"\x1b[", "\x1b]", "\x1b", "\x07", "\u009b", "\u009d", "\u202e", "\u2066", "\u200b", "\u200d", "\n", "\t", "\r", "=", "+", "-", "@", ";", ",", "\"", "'", "牧", "e\u0301", "👩‍🌾", "[red]", "\xff", "\x00", "31m", " "}),
		rapid.String(),
	), 0, 12).Draw(t, "parts"), "")
}

func TestCleanLeavesNothingHarmful(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Clean(nasty(t))
		if !utf8.ValidString(s) {
			t.Fatalf("%q is not UTF-8", s)
		}
		if s != strings.TrimSpace(s) || strings.Contains(s, "  ") {
			t.Fatalf("%q has loose spaces", s)
		}
		for _, r := range s {
			if r == '\u200c' || r == '\u200d' {
				continue
			}
			if unicode.Is(unicode.C, r) || r != ' ' && unicode.Is(unicode.Z, r) {
				t.Fatalf("%U is left in %q", r, s)
			}
		}
		if again := Clean(s); again != s {
			t.Fatalf("cleaning twice differs: %q, %q", s, again)
		}
	})
}

func TestCutAndWrapKeepTheWidth(t *testing.T) {
	if got := Cut("North Slough", 8); got != "North S~" {
		t.Errorf("Cut is %q", got)
	}
	if got := Cut("牧草地牧草地", 5); got != "牧草~" || Width(got) > 5 {
		t.Errorf("Cut of wide text is %q", got)
	}
	if got := Cut("North", 5); got != "North" {
		t.Errorf("Cut of a fitting text is %q", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := nasty(t)
		w := rapid.IntRange(0, 30).Draw(t, "cells")
		if got := Width(Cut(s, w)); got > w {
			t.Fatalf("Cut(%q, %d) takes %d cells", s, w, got)
		}
		width := rapid.IntRange(20, 60).Draw(t, "width")
		clean := Clean(s)
		lines := Wrap(clean, "ASK FIRST  ", "           ", width)
		for _, l := range lines {
			if Width(l) > width {
				t.Fatalf("%q takes %d cells of %d", l, Width(l), width)
			}
		}
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if got := squeeze(strings.TrimPrefix(strings.Join(lines, ""), "ASK FIRST")); got != squeeze(clean) {
			t.Fatalf("wrapping changed the text: %q, %q", got, squeeze(clean))
		}
	})
}

func TestWrapKeepsDatesWhole(t *testing.T) {
	s := "keep out through Fri 25 Sep (Sat 26 Sep is the first other day), leave 30 cm"
	for width := 20; width < 80; width++ {
		for _, l := range Wrap(s, "", "", width) {
			for _, bad := range []string{"Fri", "Sat", "(Sat", "30"} {
				if strings.HasSuffix(l, bad) {
					t.Errorf("width %d: a line ends with %q: %q", width, bad, l)
				}
			}
		}
	}
}

func TestCSVCell(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"North Slough", "North Slough"},
		{"=HYPERLINK(\"http://x\")", "'=HYPERLINK(\"http://x\")"},
		{"+1", "'+1"},
		{"-1", "'-1"},
		{"@SUM(A1)", "'@SUM(A1)"},
		{"＝1+1", "'＝1+1"},
		{"\t=1", "'=1"},
		{"\r=1", "'=1"},
		{" =1", "'=1"},
		{"'already", "''already"},
		{"x;=cmd", "x;'=cmd"},
		{"x; \"=cmd", "x; \"'=cmd"},
		{"a-b=c", "a-b=c"},
		{"\x1b[1m=1", "'=1"},
		{"", ""},
	} {
		if got := CSVCell(c.in); got != c.want {
			t.Errorf("CSVCell(%q) is %q, want %q", c.in, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := CSVCell(nasty(t))
		if s != "" && strings.ContainsAny(s[:1], "=+-@") {
			t.Fatalf("%q begins a formula", s)
		}
		var b strings.Builder
		w := csv.NewWriter(&b)
		w.Write([]string{s, "next"})
		w.Flush()
		if strings.Count(b.String(), "\n") != 1 {
			t.Fatalf("%q breaks its line", s)
		}
	})
}
