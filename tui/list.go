package tui

import (
	"fmt"
	"slices"
	"strings"

	"rimegate/hazard/board"
)

// column is one column of a list; one without cells is not shown.
type column struct {
	head  string
	cells int
}

// list is a page of rows of which one is selected.
type list struct {
	ids    []string // of the rows in order
	about  []string // the paddock or lot behind each row; nil: rows have none
	above  []line   // in sight over the rows
	cols   []column
	row    func(i int) []span // a cell for each column; what is more stands behind as it is
	parts  map[int]string     // names of parts of the list, by their first row
	marked []string           // ids of rows with a star
	holds  []string           // names of the rows that are NO, "" of others; nil where rows are no answers
	foot   string             // under the rows
	detail func(*prose, int)  // of the selected row, and what else stands below
	keep   int                // rows kept for the detail; half of all if 0
	none   string             // said where there is no row
}

// lay lays out the list of the page in h rows; the selected row always shows.
func (m *model) lay(l *list, w, h int) []line {
	if l.row == nil || len(l.ids) == 0 {
		return append(l.above, wrapped(plain, 1, 1, l.none, w)...)
	}
	at := l.at(m.sel[m.page])
	detail := prose{w: w}
	if l.detail != nil {
		l.detail(&detail, at)
	}
	out := append(l.above, l.head()...)
	var order []int // the rows as they are shown; a part's name as its first row with the sign turned
	for i := range l.ids {
		if l.parts[i] != "" {
			order = append(order, -1-i)
		}
		order = append(order, i)
	}
	if l.keep == 0 {
		l.keep = max(h/2, 1)
	}
	room := h - len(out) - min(l.keep, len(detail.lines))
	foot := l.foot != "" || len(order) > room
	if foot {
		room--
	}
	from, to := window(len(order), slices.Index(order, at), max(1, room))
	for _, i := range order[from:to] {
		if i < 0 {
			out = append(out, row(keep(plain, " "), keep(heading, l.parts[-1-i])))
			continue
		}
		mark := []byte("  ")
		if i == at {
			mark[0] = '>'
		}
		if slices.Contains(l.marked, l.ids[i]) {
			mark[1] = '*'
		}
		r := l.line(keep(keycap, string(mark)), plain, l.row(i))
		r.sel = i == at
		out = append(out, r)
	}
	if foot {
		shown := slices.DeleteFunc(slices.Clone(order[from:to]), func(i int) bool { return i < 0 })
		out = append(out, l.under(shown[0], shown[len(shown)-1]+1, len(l.ids)))
	}
	if room := h - len(out); room > 0 {
		out = append(out, detail.cut(room, row(keep(dim, "   ... Enter shows all of it")))...)
	}
	return out
}

// at is the row of an id: the first where the id is not among the rows.
func (l *list) at(id string) int { return max(0, slices.Index(l.ids, id)) }

func (l *list) head() []line {
	if len(l.cols) == 0 || l.cols[0].head == "" {
		return nil
	}
	var heads []span
	for _, c := range l.cols {
		heads = append(heads, keep(heading, c.head))
	}
	return []line{l.line(keep(heading, "  "), heading, heads)}
}

// line is a row: its mark, and cells as wide as the columns.
func (l *list) line(mark span, between role, cells []span) line {
	out := line{spans: []span{mark}}
	for i, s := range cells {
		if i < len(l.cols) {
			if l.cols[i].cells <= 0 {
				continue
			}
			if len(out.spans) > 1 {
				out.spans = append(out.spans, keep(between, " "))
			}
			if board.Width(s.text) != l.cols[i].cells { // a flag keeps its blanks
				s = col(s.role, s.text, l.cols[i].cells)
			}
		}
		out.spans = append(out.spans, s)
	}
	return out
}

// window is the part of n rows that is shown in h rows around row at.
func window(n, at, h int) (from, to int) {
	from = max(0, min(at-h/2, n-h))
	return from, min(n, from+max(h, 0))
}

// under is the row below the rows: the NO rows out of sight, else which rows show.
func (l *list) under(from, to, n int) line {
	var names []string
	for i, name := range l.holds {
		if (i < from || i >= to) && name != "" {
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		words := fmt.Sprintf("%d more NO out of sight: %s", len(names), strings.Join(names, ", "))
		return row(keep(plain, " "), say(banner, words))
	}
	words := l.foot
	if to-from < n {
		words = strings.TrimLeft(strings.TrimSuffix(words, ".")+". ", ". ")
		words += fmt.Sprintf("Shown: %d to %d of %d.", from+1, to, n)
	}
	return row(keep(plain, " "), say(dim, words))
}

// widest is the room a column needs for texts, within bounds.
func widest(texts []string, least, most int) int {
	for _, t := range texts {
		if len(t) > least && least < most { // a cell takes a byte at least
			least = max(least, board.Width(board.Clean(t)))
		}
	}
	return min(least, most)
}

func idsOf[T, R any](rows []T, id func(*T) R) []R {
	out := make([]R, len(rows))
	for i := range rows {
		out[i] = id(&rows[i])
	}
	return out
}

func rowID(r *board.Row) string { return r.ID }
