package board

import (
	"fmt"
	"io"
	"strconv"
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
	t.each("", filled(p.Words.Wrong, p.Words.Unreviewed)...)
	t.acts(p.Acts)
	t.each("", p.Loud...)
	p.herdLines(t)
	p.table(t, p.Words.Rows, p.Rows)
	p.table(t, p.Words.Feed, p.Feed)
	t.blank()
	t.each("", filled(p.Unread)...)
	t.each("", p.Rules...)
	t.each("", strings.Join(p.Foot, " "))
	known := p.Words.Known
	if line := p.Words.ReadBy + " ____________"; Width(known)+Width(line)+2 <= t.width {
		known += strings.Repeat(" ", t.width-Width(known)-Width(line)) + line
	}
	t.each("", known)
	return t.flush()
}

// acts is the box of what must be done first, nothing where there is nothing.
func (t *text) acts(acts []Act) {
	if len(acts) == 0 {
		return
	}
	rule := strings.Repeat("=", t.width)
	t.lines = append(t.lines, rule)
	for _, a := range acts {
		t.para(" ", "   ", a.Word+": "+a.What)
		t.para("   > ", "     ", a.To)
	}
	t.lines = append(t.lines, rule)
}

func (p *Page) herdLines(t *text) {
	if len(p.Stands) == 0 {
		return
	}
	t.blank()
	t.each("", p.Words.Herds)
	rows := make([][]string, len(p.Stands))
	for i, x := range p.Stands {
		rows[i] = []string{x.Name, x.Where, ""}
		if x.Flag != hazard.Unknown {
			rows[i][2] = p.Words.Word(x.Flag)
		}
	}
	widths := t.widths(mostName, rows...)
	for i, x := range p.Stands {
		t.grid(widths, rows[i], strings.Join(filled(provided(x.Who != "", "("+x.Who+")"), x.Says), " "))
	}
}

// table writes rows with a word in the column of each herd, and why.
func (p *Page) table(t *text, head string, rows []PageRow) {
	if len(rows) == 0 {
		return
	}
	heads, words := []string{head}, []string{""}
	for _, c := range p.Columns {
		head := c.Head
		if Width(head) > mostColumn {
			head = strings.ReplaceAll(head, "-", "- ")
		}
		heads, words = append(heads, head), append(words, strings.Repeat("W", max(Width(p.Words.NO), Width(p.Words.ASK), Width(p.Words.YES))))
	}
	all := [][]string{append([]string{""}, heads[1:]...), words}
	groups := alike(rows, func(r PageRow) string { return fmt.Sprint(r.Flags, r.MoveOut, r.Why) })
	for _, same := range groups {
		for _, r := range same[:min(len(same), groupFrom-1)] {
			if len(same) < groupFrom {
				all = append(all, []string{r.Name})
			}
		}
	}
	for _, w := range append(strings.Fields(head), strings.Repeat("W", Width(head)/2+2)) { // at most two lines or three
		all = append(all, []string{w})
	}
	widths := t.widths(mostColumn, all...)
	t.blank()
	t.grid(widths, heads, provided(t.room(widths) >= leastWhy, p.Words.Why))
	for _, same := range groups {
		if n := len(same); n >= groupFrom {
			names := strings.Join(texts(same, func(r PageRow) string { return whole(r.Name) }), ", ")
			same = []PageRow{{Name: strings.ReplaceAll(p.Words.These, "{n}", strconv.Itoa(n)), Flags: same[0].Flags, Why: strings.Join(filled(names, same[0].Why), ": ")}}
		}
		for _, r := range same {
			cells := []string{r.Name}
			for _, f := range r.Flags {
				cells = append(cells, p.Words.Word(f))
			}
			t.grid(widths, cells, r.Why)
		}
	}
}

// widths are those of columns: as wide as what stands in them, the first at most
// mostName, the others at most so many cells, all less where the line is short.
func (t *text) widths(most int, rows ...[]string) []int {
	var out []int
	for _, r := range rows {
		for i, c := range r {
			if i == len(out) {
				out = append(out, 1)
			}
			out[i] = max(out[i], min(Width(c), most))
			if i == 0 {
				out[0] = max(out[0], min(Width(c), mostName))
			}
		}
	}
	for t.room(out) < 0 {
		widest := 0
		for i, w := range out {
			if w > out[widest] {
				widest = i
			}
		}
		out[widest]--
	}
	return out
}

// room is what a grid of columns leaves of the line.
func (t *text) room(widths []int) int {
	left := t.width - gridGap
	for _, w := range widths {
		left -= w + gridGap
	}
	return left
}

const gridGap = 2

// grid writes cells side by side, each wrapped to its width, and last what takes the
// room that is left, or lines of its own where that is little.
func (t *text) grid(widths []int, cells []string, last string) {
	if t.room(widths) >= leastWhy {
		widths, cells, last = append(widths[:len(widths):len(widths)], t.room(widths)), append(cells, last), ""
	}
	at, lines, from := gridGap, 0, len(t.lines)
	columns, starts := make([][]string, len(cells)), make([]int, len(cells))
	for i, c := range cells {
		columns[i], starts[i] = Wrap(c, "", "", widths[i]), at
		at += widths[i] + gridGap
		lines = max(lines, len(columns[i]))
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
	t.para("      ", "      ", last)
	for i := range t.lines[from:] {
		t.lines[from+i] = strings.ReplaceAll(t.lines[from+i], inName, " ")
	}
}

// inName is a space inside a name that no line ends at: Strip 1 is not Strip 10. It is
// for private use, so that no clean text holds it.
const inName = "\ue000"

func whole(name string) string { return strings.ReplaceAll(name, " ", inName) }
