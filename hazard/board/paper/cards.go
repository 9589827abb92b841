package paper

import (
	"io"

	"rimegate/hazard/board"
)

// longestName is the most cells of a paddock's name that stand on its card.
const longestName = 80

// CardsPDF writes a card for each gate: four to a sheet, two in large type.
func CardsPDF(w io.Writer, p *board.Page, look Look) error {
	s := newSheet(p, look)
	d := newPDF(look.Size, s.Words.Lang, s.Title, "", s.made())
	d.pageOf = s.Words.PageOf
	across, left, width, top, bottom := 2, d.left, d.width, d.top, d.bottom
	if look.Large {
		across = 1
	}
	const down, padding = 2, 5.0
	cardWidth, height := width/float64(across), (bottom-top)/down
	for n := range s.Cards {
		at := n % (across * down)
		if n > 0 && at == 0 {
			d.page()
		}
		x, y := left+float64(at%across)*cardWidth, top+float64(at/across)*height
		d.doc.SetLineWidth(0.2)
		d.doc.SetDashPattern([]float64{2, 2}, 0)
		d.doc.Rect(x, y, cardWidth, height, "D")
		d.doc.SetDashPattern(nil, 0)
		d.left, d.width = x+padding, cardWidth-2*padding
		cells := s.fitted(d, &s.Cards[n], height-2*padding)
		d.top, d.y, d.bottom = y+padding, y+padding, y+height
		for _, row := range cells {
			d.row(row...)
		}
		d.top, d.bottom = top, bottom
	}
	d.left, d.width = left, width
	return d.write(w)
}

// fitted are the rows of a card in the largest type in which it is whole.
func (s *sheet) fitted(d *pdf, c *card, height float64) [][]cell {
	var rows [][]cell
	for scale := 1.5; scale > 0.35; scale -= 0.05 {
		rows = s.card(d, c, scale)
		total := 0.0
		for _, row := range rows {
			_, _, h := d.beside(row)
			total += h
		}
		if total <= height {
			break
		}
	}
	return rows
}

// card is what stands on a card, row by row.
func (s *sheet) card(d *pdf, c *card, scale float64) [][]cell {
	pt := 11 * scale
	if s.Large {
		pt *= 1.4
	}
	one := func(family string, size float64, text string) []cell {
		return []cell{{face: face{family, size}, texts: []string{text}}}
	}
	rows := [][]cell{
		one(regular, pt, s.Words.Farm), one(bold, pt*1.1, s.Words.Date),
		one(bold, pt*2.6, board.Cut(c.Name, longestName)),
	}
	for i, r := range c.Rows {
		if i > 0 {
			rows = append(rows, one(bold, pt*1.3, board.Cut(r.Name, longestName)))
		}
		word := s.wordWidth(d, pt*2)
		for j, f := range r.Flags {
			rows = append(rows, []cell{
				s.flagged(f, pt*2, 0.8, word),
				{face: face{bold, pt * 1.5}, at: word + between, texts: []string{s.Columns[j].Head}},
			})
		}
		if r.Off != "" {
			rows = append(rows, one(bold, pt*1.3, r.Off))
		}
		rows = append(rows, one(regular, pt*1.1, r.Why))
	}
	for _, x := range c.Here {
		if x.Says != "" {
			rows = append(rows, one(bold, pt*1.1, x.Name+": "+x.Says))
		}
	}
	for _, x := range s.Under() {
		rows = append(rows, one(regular, pt*0.9, x))
	}
	return rows
}
