package board

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"rimegate/hazard"
)

// text collects wrapped lines for one writer.
type text struct {
	w     io.Writer
	width int
	lines []string
}

func newText(w io.Writer, width int) *text { return &text{w: w, width: max(width, 40)} }

func (t *text) para(first, rest, s string) {
	if s == "" {
		return
	}
	t.lines = append(t.lines, Wrap(s, first, rest, t.width)...)
}

// whole is para for the rulebook's own text: a web address longer than a line
// stays in one piece, so that it can be copied.
func (t *text) whole(first, rest, s string) {
	const mark = "://"
	at := strings.Index(s, mark)
	if at < 0 {
		t.para(first, rest, s)
		return
	}
	start := strings.LastIndexByte(s[:at], ' ') + 1
	url, after, _ := strings.Cut(s[start:], " ")
	if Width(rest)+Width(url) <= t.width {
		t.para(first, rest, s)
		return
	}
	t.para(first, rest, s[:start])
	t.lines = append(t.lines, rest+url)
	t.para(rest, rest, after)
}

func (t *text) blank() {
	if n := len(t.lines); n > 0 && t.lines[n-1] != "" {
		t.lines = append(t.lines, "")
	}
}

func (t *text) flush() error {
	bw := bufio.NewWriter(t.w)
	for _, x := range t.lines {
		bw.WriteString(x)
		bw.WriteByte('\n')
	}
	return bw.Flush()
}

// refs numbers the publications of a text, each once.
type refs struct{ list []hazard.Source }

// mark is " [3]" for a publication, " (ours)" and the like where there is none.
func (r *refs) mark(s hazard.Source, basis string) string {
	if s.ID == "" && s.Publisher == "" && s.URL == "" {
		switch basis {
		case "common-practice":
			return " (common practice, no source)"
		case "ours":
			return " (ours)"
		}
		return ""
	}
	for i := range r.list {
		if r.list[i].ID == s.ID && r.list[i].URL == s.URL {
			return fmt.Sprintf(" [%d]", i+1)
		}
	}
	s.Says = ""
	r.list = append(r.list, s)
	return fmt.Sprintf(" [%d]", len(r.list))
}

// print lists the publications under their numbers.
func (r *refs) print(t *text) {
	if len(r.list) == 0 {
		return
	}
	t.blank()
	t.para("", "", "SOURCES")
	for i := range r.list {
		first := fmt.Sprintf("  [%d] ", i+1)
		t.whole(first, "      ", SourceLine(&r.list[i]))
	}
}
