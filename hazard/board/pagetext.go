package board

import (
	"fmt"
	"io"
	"strings"

	"rimegate/hazard"
)

// Widths of the page's table on a terminal, in cells.
const (
	mostName   = 18
	mostColumn = 9
	leastWhy   = 24

	groupFrom = 3 // so many rows that say the same become one
)

// Text writes the page as plain text of at most width cells a line (80 on an
// ordinary terminal, never less than 40). Long names wrap, no answer is ever cut.
func (p *Page) Text(w io.Writer, width int) error {
	t := newText(w, width)
	gap := t.width - Width(p.Words.Farm) - Width(p.Words.Date) - Width(p.Words.Good)
	if gap >= 4 {
		t.lines = append(t.lines, strings.ToUpper(p.Words.Farm)+strings.Repeat(" ", gap/2)+strings.ToUpper(p.Words.Date)+
			strings.Repeat(" ", gap-gap/2)+p.Words.Good)
	} else {
		t.each("", strings.ToUpper(p.Words.Farm)+"  "+strings.ToUpper(p.Words.Date)+"  "+p.Words.Good)
	}
	t.each("", p.Words.Wrong)
	rule := strings.Repeat("=", t.width)
	if len(p.Acts) > 0 {
		t.lines = append(t.lines, rule)
		for _, a := range p.Acts {
			t.para(" ", "   ", a.Word+": "+a.What)
			t.para("   > ", "     ", a.To)
		}
		t.lines = append(t.lines, rule)
	}
	t.each("", p.Loud...)
	p.herdLines(t)
	p.table(t, p.Words.Rows, p.Rows)
	p.table(t, p.Words.Feed, p.Feed)
	t.blank()
	t.each("", filled(p.Unread)...)
	t.each("", p.Rules...)
	t.each("", p.Foot...)
	known := p.Words.Known
	if line := p.Words.ReadBy + " ____________"; Width(known)+Width(line)+2 <= t.width {
		known += strings.Repeat(" ", t.width-Width(known)-Width(line)) + line
	}
	t.each("", known)
	return t.flush()
}

func (p *Page) herdLines(t *text) {
	if len(p.Stands) == 0 {
		return
	}
	t.blank()
	t.each("", p.Words.Herds)
	name, where, word := 0, 0, 0
	for _, x := range p.Stands {
		name, where = max(name, Width(x.Name)), max(where, Width(x.Where))
		if x.Flag != hazard.Unknown {
			word = max(word, Width(p.Words.Word(x.Flag)))
		}
	}
	widths := []int{min(name, mostName), min(where, mostName), word}
	for _, x := range p.Stands {
		flag := ""
		if x.Flag != hazard.Unknown {
			flag = p.Words.Word(x.Flag)
		}
		says := x.Says
		if x.Who != "" {
			says = strings.Join(filled("("+x.Who+")", says), " ")
		}
		t.grid(widths, []string{x.Name, x.Where, flag}, says)
	}
}

// table writes rows with a word in the column of each herd, and why.
func (p *Page) table(t *text, head string, rows []PageRow) {
	if len(rows) == 0 {
		return
	}
	widths := []int{0}
	for _, r := range rows {
		widths[0] = max(widths[0], Width(r.Name))
	}
	widths[0] = min(max(widths[0], Width(head)), mostName)
	heads := []string{head}
	word := max(Width(p.Words.NO), Width(p.Words.ASK), Width(p.Words.YES))
	for _, c := range p.Columns {
		widths = append(widths, min(max(Width(c.Head), word), mostColumn))
		heads = append(heads, c.Head)
	}
	left := t.width - 2
	for _, w := range widths {
		left -= w + 2
	}
	if head == p.Words.Rows && Width(head) > widths[0] && left >= leastWhy {
		heads[0] = head
	}
	t.blank()
	t.grid(widths, heads, provided(left >= leastWhy, p.Words.Why))
	for _, same := range alike(rows, func(r PageRow) string { return fmt.Sprint(r.Flags, r.MoveOut, r.Why) }) {
		r := same[0]
		cells := []string{r.Name}
		if len(same) >= groupFrom {
			t.para("  ", "    ", strings.Join(texts(same, func(r PageRow) string { return r.Name }), ", ")+":")
			cells[0], same = "", same[:1]
		}
		for _, f := range r.Flags {
			cells = append(cells, p.Words.Word(f))
		}
		for _, r := range same {
			if cells[0] != "" {
				cells[0] = r.Name
			}
			if left >= leastWhy {
				t.grid(widths, cells, r.Why)
				continue
			}
			t.grid(widths, cells, "")
			t.para("      ", "      ", r.Why)
		}
	}
}

// grid writes cells side by side, each wrapped to its width, and last what takes the
// room that is left.
func (t *text) grid(widths []int, cells []string, last string) {
	const gap = 2
	at, lines := gap, 0
	columns := make([][]string, 0, len(cells)+1)
	starts := make([]int, 0, len(cells)+1)
	for i, c := range cells {
		columns, starts = append(columns, Wrap(c, "", "", max(widths[i], 1))), append(starts, at)
		at += widths[i] + gap
	}
	columns, starts = append(columns, Wrap(last, "", "", max(t.width-at, 1))), append(starts, at)
	for _, c := range columns {
		lines = max(lines, len(c))
	}
	for n := range lines {
		var b strings.Builder
		cells := 0
		for i, c := range columns {
			if n >= len(c) || c[n] == "" {
				continue
			}
			b.WriteString(strings.Repeat(" ", starts[i]-cells))
			b.WriteString(c[n])
			cells = starts[i] + Width(c[n])
		}
		t.lines = append(t.lines, b.String())
	}
}
