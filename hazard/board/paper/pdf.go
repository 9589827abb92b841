package paper

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// Size is a size of sheet.
type Size string

// Sizes of sheets.
const (
	Letter Size = "Letter"
	A4     Size = "A4"
)

// SizeFor is the size of sheet that a farm's printer holds: Letter where the farm
// reads US units or its zone is in a part of the Americas that prints on it.
func SizeFor(h *fields.History) Size {
	zone := h.Loc.String()
	in := func(prefix string) bool { return strings.HasPrefix(zone, prefix) }
	switch {
	case board.UnitsOf(h) == board.US, slices.ContainsFunc([]string{"US/", "Canada/", "Mexico/"}, in):
		return Letter
	case !in("America/") || slices.ContainsFunc(a4Zones, in):
		return A4
	}
	return Letter
}

// a4Zones are those of the Americas where A4 is the rule.
var a4Zones = []string{
	"America/Argentina/", "America/Buenos_Aires", "America/Montevideo", "America/Asuncion", "America/Lima",
	"America/Guayaquil", "America/Sao_Paulo", "America/Bahia", "America/Fortaleza", "America/Recife", "America/Manaus",
	"America/Cuiaba", "America/Campo_Grande", "America/Porto_Velho", "America/Belem", "America/Nuuk",
}

// face is a font at a size in points.
type face struct {
	family string
	pt     float64
}

const (
	regular = "go"
	bold    = "gobold"
	mono    = "gomono"
)

// fonts are the Go fonts: Latin, Greek and Cyrillic, free to embed.
var fonts = map[string][]byte{regular: goregular.TTF, bold: gobold.TTF, mono: gomono.TTF}

// glyphs knows which characters the fonts have; the three have the same.
var glyphs = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic(err) // it came with the program
	}
	return f
})

const (
	mmPerPt = 25.4 / 72
	leading = 1.28 // of a line, in sizes of its font
	margin  = 14.0 // mm
	footer  = 9.0  // mm above the lower margin, for the page number
)

// pdf is a document that is written down the page. Lengths are mm.
type pdf struct {
	doc         *fpdf.Fpdf
	left, width float64 // of what is written on
	top, bottom float64
	y           float64 // the next line's upper edge
	foot        string
	pageOf      string // "page {n} of {of}" in the document's language
	header      func() // what stands on top of every page
	onPage      func() // what stands below it where a table goes on
}

// newPDF begins a document of one language with its first page. Made is the date in
// it, and the only thing in it that is not what was written: the same is the same bytes.
// Foot stands at the foot of every page, beside its number.
func newPDF(size Size, lang, title, foot string, made time.Time) *pdf {
	doc := fpdf.New("P", "mm", string(size), "")
	doc.SetCreationDate(made.UTC())
	doc.SetModificationDate(made.UTC())
	doc.SetCatalogSort(true)
	doc.SetProducer("rimegate", false)
	doc.SetTitle(shown(title), true)
	doc.SetLang(lang)
	doc.SetAutoPageBreak(false, 0)
	for _, family := range []string{regular, bold, mono} { // clones: the library writes into what it is given
		doc.AddUTF8FontFromBytes(family, "", slices.Clone(fonts[family]))
	}
	w, h := doc.GetPageSize()
	d := &pdf{doc: doc, left: margin, width: w - 2*margin, top: margin, bottom: h - margin - footer, foot: shown(foot), pageOf: "page {n} of {of}"}
	d.page()
	return d
}

func (d *pdf) page() {
	d.doc.AddPage()
	d.heading()
	if d.onPage != nil {
		d.onPage()
	}
}

// heading writes the header: what is written on begins below it.
func (d *pdf) heading() {
	d.y = margin
	if d.header != nil {
		d.header()
	}
	d.top = d.y
}

// need begins a new page if less than h is left on this one.
func (d *pdf) need(h float64) {
	if d.y+h > d.bottom+0.01 && d.y > d.top {
		d.page()
	}
}

func (d *pdf) use(f face) float64 {
	d.doc.SetFont(f.family, "", f.pt)
	return f.pt * mmPerPt * leading
}

// shown is a text in characters the fonts have: another is written by its number, so
// that nothing a person wrote goes missing in silence.
func shown(s string) string {
	var buf sfnt.Buffer
	has := func(r rune) bool {
		i, err := glyphs().GlyphIndex(&buf, r)
		return err == nil && i != 0 && r <= 0xffff
	}
	if !strings.ContainsFunc(s, func(r rune) bool { return r >= utf8.RuneSelf }) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if has(r) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "[U+%04X]", r)
		}
	}
	return b.String()
}

// wrap divides a text into lines at most w wide in the font in use. A word that is
// wider is divided.
func (d *pdf) wrap(s string, w float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(shown(s)) {
		if x := strings.TrimLeft(line+" "+word, " "); d.doc.GetStringWidth(x) <= w {
			line = x
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for d.doc.GetStringWidth(word) > w {
			n := d.fits(word, w)
			lines = append(lines, word[:n])
			word = word[n:]
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fits is how many bytes of a word, whole characters and one at least, are at most w wide.
func (d *pdf) fits(word string, w float64) int {
	at := 0
	for i, r := range word {
		if i > 0 && d.doc.GetStringWidth(word[:i+utf8.RuneLen(r)]) > w {
			break
		}
		at = i + utf8.RuneLen(r)
	}
	return at
}

// para writes a paragraph, indented by some mm.
func (d *pdf) para(f face, indent float64, s string) {
	d.row(cell{face: f, at: indent, texts: []string{s}})
}

// cell is paragraphs in a row, one in bold first, and those behind the first text smaller:
// at mm from the left edge, width mm wide, 0 for all that is left.
type cell struct {
	face
	at, width float64
	strong    string
	texts     []string
	flag      hazard.Flag // drawn around a sheet's word; none elsewhere
}

// laid is a line of a cell.
type laid struct {
	face
	x    float64
	text string
	in   *cell // what is drawn around it
}

func (d *pdf) lay(c cell) (lines []laid) {
	w := c.width
	if w == 0 {
		w = d.width - c.at
	}
	add := func(f face, t string) {
		d.use(f)
		for _, l := range d.wrap(t, w) {
			lines = append(lines, laid{f, d.left + c.at, l, &c})
		}
	}
	add(face{bold, c.pt}, c.strong)
	for i, t := range c.texts {
		add(face{c.family, c.pt - min(1, float64(i))}, t)
	}
	return lines
}

// beside are the lines of cells beside each other, and the height of each.
func (d *pdf) beside(cells []cell) (lines [][]laid, heights []float64, height float64) {
	for _, c := range cells {
		for i, l := range d.lay(c) {
			if i == len(lines) {
				lines, heights = append(lines, nil), append(heights, 0)
			}
			lines[i], heights[i] = append(lines[i], l), max(heights[i], l.pt*mmPerPt*leading)
		}
	}
	for _, h := range heights {
		height += h
	}
	return lines, heights, height
}

// row writes cells beside each other. It never goes over from one page to the next,
// unless it is longer than a page.
func (d *pdf) row(cells ...cell) {
	lines, heights, height := d.beside(cells)
	if height <= d.bottom-d.top {
		d.need(height)
	}
	for i, ls := range lines {
		d.need(heights[i])
		for _, l := range ls {
			d.use(l.face)
			if l.in.flag != hazard.Unknown {
				d.shape(l, heights[i])
			}
			d.doc.Text(l.x, d.y+heights[i]/leading, l.text) // on one line, whatever its size
			d.doc.SetTextColor(0, 0, 0)
		}
		d.y += heights[i]
	}
}

// gap leaves some mm free, not at the top of a page.
func (d *pdf) gap(mm float64) {
	if d.y > d.top {
		d.y += mm
	}
}

// rule draws a line across the page.
func (d *pdf) rule(thick float64) {
	d.need(thick + 1)
	d.doc.SetLineWidth(thick)
	d.doc.Line(d.left, d.y+0.5, d.left+d.width, d.y+0.5)
	d.y += 1 + thick
}

// title begins a part, never at the foot of a page.
func (d *pdf) title(s string) {
	d.onPage = nil
	d.gap(4)
	d.need(18)
	d.para(face{bold, 11}, 0, s)
	d.rule(0.4)
}

// write numbers the pages and writes the document.
func (d *pdf) write(w io.Writer) error {
	n := d.doc.PageCount()
	for i := 1; i <= n; i++ {
		d.doc.SetPage(i)
		d.use(face{regular, 8})
		y := d.bottom + footer - 2
		number := strings.NewReplacer("{n}", strconv.Itoa(i), "{of}", strconv.Itoa(n)).Replace(d.pageOf)
		at := d.left + d.width - d.doc.GetStringWidth(number)
		d.doc.Text(at, y, number)
		if ls := d.wrap(d.foot, at-d.left-4); len(ls) > 0 {
			d.doc.Text(d.left, y, ls[0])
		}
	}
	return d.doc.Output(w)
}
