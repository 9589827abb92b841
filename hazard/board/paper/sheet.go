package paper

import (
	"bytes"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Look is how a sheet is printed.
type Look struct {
	Size  Size
	Large bool // for reading without glasses
}

// Ours reports a page of the program's own, HTML or PDF, that tomorrow's may take the
// place of: a record never is one.
func Ours(b []byte) bool { return printed(b) && !isRecord(b) }

// OurRecord reports a record that the program printed.
func OurRecord(b []byte) bool { return printed(b) && isRecord(b) }

func isRecord(b []byte) bool {
	return bytes.Contains(b, []byte(plainBegins)) || bytes.Contains(b, []byte("/Type /EmbeddedFile"))
}

func printed(b []byte) bool {
	const mark = `<meta name="generator" content="rimegate">`
	return bytes.HasPrefix(b, []byte("<!DOCTYPE html>")) && bytes.Contains(b[:min(len(b), 512)], []byte(mark)) ||
		bytes.HasPrefix(b, []byte("%PDF-")) && bytes.Contains(b, []byte("/Producer (rimegate)"))
}

// sheet is a page of the morning as its templates see it.
type sheet struct {
	*board.Page
	Look
	Title string
	Cards []card
	Files []string // that lie beside it
}

// card is a gate: the answers for its paddock, and for the swath in it.
type card struct {
	Name string
	Rows []board.PageRow
	Here []board.Whereabouts // who stands there
}

func newSheet(p *board.Page, look Look) *sheet {
	s := &sheet{Page: p, Look: look, Title: p.Words.Farm + ", " + p.Words.Date}
	at := map[string]int{}
	for _, r := range p.Rows {
		i, known := at[r.ID]
		if !known {
			i = len(s.Cards)
			at[r.ID] = i
			s.Cards = append(s.Cards, card{Name: r.Name})
		}
		s.Cards[i].Rows = append(s.Cards[i].Rows, r)
	}
	for _, x := range p.Stands {
		if i, known := at[x.ID]; known {
			s.Cards[i].Here = append(s.Cards[i].Here, x)
		}
	}
	return s
}

// mark is a flag's word with its shape.
type mark struct{ Class, Shape, Word string }

// Mark is a flag as it stands on the page: never a word or a shape alone.
func (s *sheet) Mark(f hazard.Flag) mark {
	m := map[hazard.Flag]mark{
		hazard.Hold: {"no", "■", ""}, hazard.Caution: {"ask", "▲", ""}, hazard.Clear: {"yes", "○", ""},
	}[f]
	if f != hazard.Unknown {
		m.Word = s.Words.Word(f)
	}
	return m
}

// answers are the rows of one question.
type answers struct {
	*sheet
	Question string
	Rows     []board.PageRow
}

// Answers are what a table of the page is made of.
func (s *sheet) Answers(question string, rows []board.PageRow) answers {
	return answers{s, question, rows}
}

// Under stands at the foot of each card: whom to call, and what the card is good for.
func (s *sheet) Under() []string {
	out := slices.Clone(s.Apart)
	for _, x := range []string{s.Rule(hazard.Caution), s.Words.Wrong, s.Words.Unreviewed, s.Words.Good + ". " + s.Words.Known} {
		if x != "" {
			out = append(out, x)
		}
	}
	return out
}

// SheetHTML writes the morning's page as a page of one file.
func SheetHTML(w io.Writer, p *board.Page, look Look) error {
	return newSheet(p, look).html(w, "sheet.html")
}

// IndexHTML is SheetHTML with the names of files that lie beside it.
func IndexHTML(w io.Writer, p *board.Page, look Look, files []string) error {
	s := newSheet(p, look)
	s.Files = files
	return s.html(w, "sheet.html")
}

// CardsHTML writes a card for each gate as a page of one file.
func CardsHTML(w io.Writer, p *board.Page, look Look) error {
	return newSheet(p, look).html(w, "cards.html")
}

func (s *sheet) html(w io.Writer, page string) error {
	css := sheetStyle()
	if s.Large {
		if len(s.Columns) > 3 { // too wide for a sheet: as on a phone
			css = template.CSS(strings.ReplaceAll(string(css), "@media (max-width: 40rem)", "@media all"))
		}
		css += template.CSS("html { font-size: 150%; }\n@media print { body { font-size: 15pt; } }\n")
	}
	return writeHTML(w, css, s.Words.Lang, s.Title, page, s)
}

// made is the moment of a sheet: when it was known, the day itself where all counts.
func (s *sheet) made() time.Time {
	if s.Known != nil {
		return *s.Known
	}
	return s.On.At(0, 0, time.UTC)
}

// smallest and base are sizes of a sheet's type in points: it is set smaller only to
// get on one page, and never below what can be read at arm's length.
const (
	base     = 10.0
	biggest  = 12.0
	smallest = 8.0
	large    = 15.0
)

// SheetPDF writes the morning's page as a PDF: on one sheet where it fits.
func SheetPDF(w io.Writer, p *board.Page, look Look) error {
	s := newSheet(p, look)
	if look.Large {
		return s.pdf(large).write(w)
	}
	if s.pdf(smallest).doc.PageCount() > 1 {
		return s.pdf(base).write(w)
	}
	for pt := biggest; ; pt-- {
		if d := s.pdf(pt); d.doc.PageCount() == 1 {
			return d.write(w)
		}
	}
}

func (s *sheet) pdf(pt float64) *pdf {
	d := newPDF(s.Size, s.Words.Lang, s.Title, s.Words.ReadBy+strings.Repeat(" ___________", 3), s.made())
	d.pageOf = s.Words.PageOf
	d.header = func() { s.head(d, pt) }
	d.heading()
	for _, a := range s.Acts {
		d.boxed(cell{face: face{bold, pt + 1}, texts: []string{a.Word + ": " + a.What}},
			cell{face: face{regular, pt + 0.5}, texts: []string{a.To}})
	}
	for _, x := range s.Loud {
		d.para(face{bold, pt - 1}, 0, x)
	}
	s.stands(d, pt)
	s.table(d, pt, s.Words.Rows, s.Rows)
	s.table(d, pt, s.Words.Feed, s.Feed)
	d.onPage = nil
	d.gap(2)
	if s.Unread != "" {
		d.para(face{bold, pt}, 0, s.Unread)
	}
	for _, x := range s.Rules {
		d.para(face{regular, pt}, 0, x)
	}
	for _, x := range s.Foot {
		d.para(face{regular, pt - 1}, 0, x)
	}
	return d
}

// head is on top of each page: whose and which day's it is, and what counts on
// another day.
func (s *sheet) head(d *pdf, pt float64) {
	half := d.width / 2
	d.row(cell{face: face{bold, pt + 3}, width: half - 2, texts: []string{s.Words.Farm}},
		cell{face: face{bold, pt + 3}, at: half, texts: []string{s.Words.Date}})
	d.row(cell{face: face{bold, pt}, width: half - 2, texts: []string{s.Words.Good}},
		cell{face: face{regular, pt}, at: half, texts: []string{s.Words.Known}})
	for _, x := range []string{s.Words.Wrong, s.Words.Unreviewed} {
		d.para(face{regular, pt - 1}, 0, x)
	}
	d.rule(0.6)
}

// inset is how far a box stands around its text, mm.
const inset = 2.0

// boxed writes paragraphs in one box, each a cell from edge to edge.
func (d *pdf) boxed(paras ...cell) {
	height := 2 * inset
	for i := range paras {
		paras[i].at, paras[i].width = inset, d.width-2*inset
		_, _, h := d.beside(paras[i : i+1])
		height += h
	}
	d.gap(1)
	d.need(height)
	top := d.y
	whole := d.y+height <= d.bottom+0.01
	d.y += inset
	for _, c := range paras {
		d.row(c)
	}
	d.y += inset
	if whole { // else it is longer than a page
		d.doc.SetLineWidth(0.8)
		d.doc.Rect(d.left, top, d.width, d.y-top, "D")
	}
	d.gap(1)
}

// shape draws what stands around a flag's word: a full block, a frame, nothing.
func (d *pdf) shape(l laid, h float64) {
	const around = 0.8
	x, w := l.x-around, d.doc.GetStringWidth(l.text)+2*around
	switch l.in.flag {
	case hazard.Hold:
		d.doc.SetFillColor(0, 0, 0)
		d.doc.Rect(x, d.y+0.2, w, h-0.4, "F")
		d.doc.SetTextColor(255, 255, 255)
	case hazard.Caution:
		d.doc.SetLineWidth(0.3)
		d.doc.Rect(x, d.y+0.2, w, h-0.4, "D")
	}
}

// flagged is a cell with a flag's word; Unknown has none.
func (s *sheet) flagged(f hazard.Flag, pt, at, width float64) cell {
	c := cell{face: face{bold, pt}, at: at, width: width, flag: f}
	if f != hazard.Unknown {
		c.texts = []string{s.Mark(f).Word}
	}
	return c
}

// between are mm between the columns of a table.
const between = 3.0

// wordWidth is how wide a column of flags must be.
func (s *sheet) wordWidth(d *pdf, pt float64) float64 {
	d.use(face{bold, pt})
	w := 0.0
	for _, f := range []hazard.Flag{hazard.Hold, hazard.Caution, hazard.Clear} {
		w = max(w, d.doc.GetStringWidth(s.Mark(f).Word))
	}
	return w + 0.5
}

// columnWidth is how wide a column of a table must be: no word of a herd's name is
// divided that is not much longer than a flag's.
func (s *sheet) columnWidth(d *pdf, pt float64) float64 {
	w := s.wordWidth(d, pt)
	most := max(w, d.width*0.45/float64(max(len(s.Columns), 2)))
	d.use(face{bold, pt})
	for _, c := range s.Columns {
		for _, x := range strings.Fields(shown(columnHead(&c))) {
			if own := d.doc.GetStringWidth(x) + 0.1; own <= most {
				w = max(w, own)
			}
		}
	}
	return w
}

// columnHead is a column's head: a word in it that is far too long stands whole among
// the herds.
func columnHead(c *board.Column) string {
	words := strings.Fields(c.Head)
	for i, w := range words {
		words[i] = board.Cut(w, 20)
	}
	return strings.Join(words, " ")
}

// stands are the herds and where they stand.
func (s *sheet) stands(d *pdf, pt float64) {
	if len(s.Stands) == 0 {
		return
	}
	d.part(pt, cell{face: face{bold, pt}, texts: []string{s.Words.Herds}})
	name, where, word := d.width*0.16, d.width*0.22, s.wordWidth(d, pt)
	for _, x := range s.Stands {
		says := x.Says
		if x.Who != "" {
			says = "(" + x.Who + ") " + says
		}
		d.lined([]cell{
			{face: face{bold, pt}, width: name, texts: []string{x.Name}},
			{face: face{regular, pt}, at: name + between, width: where, texts: []string{x.Where}},
			s.flagged(x.Flag, pt, name+where+2*between, word),
			{face: face{regular, pt - 0.5}, at: name + where + word + 3*between, texts: []string{says}},
		})
	}
}

// part begins a table with its head, which stands on each page that it goes on on.
func (d *pdf) part(pt float64, head ...cell) {
	d.onPage = nil
	d.gap(2)
	d.need(4 * pt * mmPerPt * leading)
	d.onPage = func() {
		d.row(head...)
		d.rule(0.4)
	}
	d.onPage()
}

// lined are rows that stay together, with a thin line under them.
func (d *pdf) lined(rows ...[]cell) {
	height := 1.0
	for _, cells := range rows {
		_, _, h := d.beside(cells)
		height += h
	}
	d.need(min(height, d.bottom-d.top))
	for _, cells := range rows {
		d.row(cells...)
	}
	d.doc.SetLineWidth(0.1)
	d.doc.Line(d.left, d.y+0.4, d.left+d.width, d.y+0.4)
	d.y += 0.8
}

// leastWhy is the least width in which a reason stands beside the flags, of the page's:
// in less it stands below them.
const leastWhy = 0.25

// table is a flag for each herd and why.
func (s *sheet) table(d *pdf, pt float64, question string, rows []board.PageRow) {
	if len(rows) == 0 {
		return
	}
	n := float64(len(s.Columns))
	name, word, flag := d.width*0.2, s.columnWidth(d, pt), pt
	if room := (d.width-name)/n - between; word > room { // many herds: smaller, never off the page
		flag *= room / word
		word = room
	}
	head := []cell{{face: face{bold, flag}, width: name, texts: []string{question}}}
	at := name + between
	starts := make([]float64, len(s.Columns))
	for i, c := range s.Columns {
		starts[i] = at
		head = append(head, cell{face: face{bold, flag}, at: at, width: word, texts: []string{columnHead(&c)}})
		at += word + between
	}
	beside := d.width-at >= d.width*leastWhy
	if beside {
		head = append(head, cell{face: face{bold, flag}, at: at, texts: []string{s.Words.Why}})
	}
	d.part(pt, head...)
	for _, r := range rows {
		cells := []cell{{face: face{bold, pt}, width: name, texts: []string{r.Name}}}
		for i, f := range r.Flags {
			cells = append(cells, s.flagged(f, flag, starts[i], word))
		}
		why := cell{face: face{regular, pt - 0.5}, at: at, texts: []string{r.Why}}
		if beside {
			d.lined(append(cells, why))
			continue
		}
		why.at = 2 * between
		d.lined(cells, []cell{why})
	}
}
