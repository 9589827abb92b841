package paper

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// drawing is a picture of lines, boxes and texts in points of its own, that is written
// as SVG and as PDF. It is black, white and two greys: it reads the same on any printer,
// since shapes and letters tell what colours would.
type drawing struct {
	title, desc string // for who cannot see it
	w, h        float64
	shapes      []shape
}

// shape is a line, a box or a text.
type shape struct {
	kind       byte // 'l' line, 'b' box, 't' text, 'c' circle
	x, y, u, v float64
	fill       string  // of boxes and circles: white, grey or black; of lines: dashed
	size       float64 // of texts; of lines how thick
	text       string
	anchor     string // of texts: start, middle, end
}

func (d *drawing) line(x, y, u, v, thick float64, dash string) {
	d.shapes = append(d.shapes, shape{kind: 'l', x: x, y: y, u: u, v: v, size: thick, fill: dash})
}

func (d *drawing) box(x, y, w, h float64, fill string) {
	d.shapes = append(d.shapes, shape{kind: 'b', x: x, y: y, u: w, v: h, fill: fill})
}

func (d *drawing) circle(x, y, r float64, fill string) {
	d.shapes = append(d.shapes, shape{kind: 'c', x: x, y: y, u: r, fill: fill})
}

func (d *drawing) text(x, y, size float64, anchor, s string) {
	d.shapes = append(d.shapes, shape{kind: 't', x: x, y: y, size: size, anchor: anchor, text: s})
}

// dashed marks a line of dashes.
const dashed = "dashed"

var greys = map[string]int{"white": 255, "grey": 190, "black": 0}

// svg is the drawing as SVG in a figure, "" of an empty one.
func (d *drawing) svg() string {
	if len(d.shapes) == 0 {
		return ""
	}
	var b strings.Builder
	n := func(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }
	fmt.Fprintf(&b, "<figure class=\"picture\"><svg viewBox=\"0 0 %s %s\" role=\"img\" aria-labelledby=\"picture-title "+
		"picture-desc\" font-family=\"sans-serif\" stroke=\"none\">\n", n(d.w), n(d.h))
	fmt.Fprintf(&b, "<title id=\"picture-title\">%s</title>\n<desc id=\"picture-desc\">%s</desc>\n",
		html.EscapeString(d.title), html.EscapeString(d.desc))
	for _, s := range d.shapes {
		fill := fmt.Sprintf("rgb(%d,%d,%d)", greys[s.fill], greys[s.fill], greys[s.fill])
		switch s.kind {
		case 'l':
			dash := ""
			if s.fill == dashed {
				dash = ` stroke-dasharray="4 3"`
			}
			fmt.Fprintf(&b, "<line x1=\"%s\" y1=\"%s\" x2=\"%s\" y2=\"%s\" stroke=\"#000\" stroke-width=\"%s\"%s/>\n", n(s.x),
				n(s.y), n(s.u), n(s.v), n(s.size), dash)
		case 'b':
			fmt.Fprintf(&b, "<rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" fill=\"%s\" stroke=\"#000\" "+
				"stroke-width=\".5\"/>\n", n(s.x), n(s.y), n(s.u), n(s.v), fill)
		case 'c':
			fmt.Fprintf(&b, "<circle cx=\"%s\" cy=\"%s\" r=\"%s\" fill=\"%s\" stroke=\"#000\" stroke-width=\".8\"/>\n", n(s.x),
				n(s.y), n(s.u), fill)
		case 't':
			white := ""
			if s.fill == "white" {
				white = ` fill="#fff"`
			}
			fmt.Fprintf(&b, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" text-anchor=\"%s\"%s>%s</text>\n", n(s.x), n(s.y),
				n(s.size), s.anchor, white, html.EscapeString(s.text))
		}
	}
	b.WriteString("</svg></figure>\n")
	return b.String()
}

// season puts the drawing on the page, as wide as the page is written on.
func (d *pdf) season(x *drawing) {
	if len(x.shapes) == 0 {
		return
	}
	d.gap(2)
	k := d.width / x.w
	d.need(x.h * k)
	at := func(px, py float64) (float64, float64) { return d.left + px*k, d.y + py*k }
	for _, s := range x.shapes {
		px, py := at(s.x, s.y)
		grey := greys[s.fill]
		d.doc.SetFillColor(grey, grey, grey)
		d.doc.SetLineWidth(max(0.1, 0.5*k))
		switch s.kind {
		case 'l':
			u, v := at(s.u, s.v)
			d.doc.SetLineWidth(s.size * k)
			if s.fill == dashed {
				d.doc.SetDashPattern([]float64{4 * k, 3 * k}, 0)
			}
			d.doc.Line(px, py, u, v)
			d.doc.SetDashPattern(nil, 0)
		case 'b':
			d.doc.Rect(px, py, s.u*k, s.v*k, "FD")
		case 'c':
			d.doc.Circle(px, py, s.u*k, "FD")
		case 't':
			d.use(face{regular, s.size * k / mmPerPt})
			t := shown(s.text)
			px -= map[string]float64{"middle": 0.5, "end": 1}[s.anchor] * d.doc.GetStringWidth(t)
			if s.fill == "white" {
				d.doc.SetTextColor(255, 255, 255)
			}
			d.doc.Text(px, py, t)
			d.doc.SetTextColor(0, 0, 0)
		}
	}
	d.y += x.h * k
}
