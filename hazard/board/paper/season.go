package paper

import (
	"math"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// The picture of a season, in points of its own.
const (
	seasonWide  = 720.0
	seasonLeft  = 62.0
	seasonRight = seasonWide - 10
	small       = 10.5 // size of its texts
)

// seasonDrawing draws one season.
type seasonDrawing struct {
	drawing
	s    *board.Season
	day  float64 // width of a day
	from fields.Date
	y    float64 // how far down it is drawn
}

// drawSeason draws the answers by day, the lows by night with the freezing line, the
// heights, and what happened. It is empty of a lot.
func drawSeason(s *board.Season, name string) *drawing {
	if len(s.Days) == 0 {
		return &drawing{}
	}
	from, to := s.Days[0].On, s.Days[len(s.Days)-1].On
	d := &seasonDrawing{
		drawing: drawing{title: "The season of " + name + ", " + from.Words() + " through " + to.Words(), w: seasonWide},
		s:       s, from: from, day: (seasonRight - seasonLeft) / float64(len(s.Days)), y: 16,
	}
	d.desc = d.describe()
	d.text(0, 12, small+1, "start", d.title)
	d.answers()
	d.nights()
	d.heights()
	d.marks()
	d.months()
	d.legend()
	d.h = d.y
	return &d.drawing
}

// x is the middle of a day.
func (d *seasonDrawing) x(on fields.Date) float64 {
	return seasonLeft + (float64(on.Sub(d.from))+0.5)*d.day
}

func (d *seasonDrawing) label(y float64, s string) { d.text(seasonLeft-6, y, small, "end", s) }

// answers is a band by day: NO a high black bar, ASK FIRST a grey one of half the
// height, YES a low white one.
func (d *seasonDrawing) answers() {
	const high = 22.0
	top := d.y + 6
	d.label(top+high/2+4, "Answer")
	for i := 0; i < len(d.s.Days); {
		j, f := i, d.s.Days[i].Flag
		for j+1 < len(d.s.Days) && d.s.Days[j+1].Flag == f {
			j++
		}
		x, w := seasonLeft+float64(i)*d.day, float64(j-i+1)*d.day
		if f != hazard.Unknown {
			h := high * map[hazard.Flag]float64{hazard.Hold: 1, hazard.Caution: 0.65, hazard.Clear: 0.65}[f]
			fill := map[hazard.Flag]string{hazard.Hold: "black", hazard.Caution: "grey", hazard.Clear: "white"}[f]
			d.box(x, top+high-h, w, h, fill)
			word := strings.TrimSuffix(board.PaperWord(f), " FIRST")
			if w > 7*float64(len(word)) {
				d.text(x+w/2, top+high-h/2+3.5, small-0.5, "middle", word)
				if f == hazard.Hold {
					d.shapes[len(d.shapes)-1].fill = "white"
				}
			}
		}
		i = j + 1
	}
	d.y = top + high
}

// scale is a panel with values up its side.
type scale struct{ top, height, low, high float64 }

func (s scale) at(v float64) float64 { return s.top + s.height*(s.high-v)/(s.high-s.low) }

// nights are the lows, with the freezing line.
func (d *seasonDrawing) nights() {
	low, high := 0.0, 0.0
	for i := range d.s.Days {
		if n := &d.s.Days[i]; n.HasLow {
			low, high = min(low, n.LowC), max(high, n.LowC)
		}
	}
	s := scale{d.y + 14, 130, math.Floor(low/5)*5 - 1, math.Ceil(high/5)*5 + 1}
	d.box(seasonLeft, s.top, seasonRight-seasonLeft, s.height, "white")
	for _, c := range d.ticks(s) {
		d.line(seasonLeft, s.at(c), seasonRight, s.at(c), 0.3, dashed)
		if math.Abs(s.at(c)-s.at(0)) > small {
			d.label(s.at(c)+3.5, fields.Temperature.In(c, string(d.s.Units)))
		}
	}
	d.line(seasonLeft, s.at(0), seasonRight, s.at(0), 1.4, "")
	d.label(s.at(0)+3.5, fields.Temperature.In(0, string(d.s.Units)))
	d.text(seasonLeft+4, s.at(0)-3, small-1, "start", "freezing")
	for i := range d.s.Days {
		n := &d.s.Days[i]
		x := d.x(n.On)
		if i > 0 && n.HasLow && d.s.Days[i-1].HasLow {
			d.line(d.x(n.On-1), s.at(d.s.Days[i-1].LowC), x, s.at(n.LowC), 0.8, "")
		}
		y := s.at(0)
		if n.HasLow {
			y = s.at(n.LowC)
		}
		switch {
		case n.Froze:
			d.cross(x, y)
		case n.Possible && n.HasLow:
			d.circle(x, y, 2.4, "white")
		}
	}
	d.unread(s.top + s.height - 6)
	d.y = s.top + s.height
}

// unread draws the nights that nobody read: a question mark, and a line along several.
func (d *seasonDrawing) unread(y float64) {
	for i := 0; i < len(d.s.Days); i++ {
		j := i
		for j < len(d.s.Days) && d.s.Days[j].Unread && !d.s.Days[j].Froze {
			j++
		}
		if j == i {
			continue
		}
		from, to := d.x(d.s.Days[i].On), d.x(d.s.Days[j-1].On)
		mid := (from + to) / 2
		if to-from > 12 {
			d.line(from, y, mid-5, y, 1, "")
			d.line(mid+5, y, to, y, 1, "")
		}
		d.text(mid, y+3.5, small, "middle", "?")
		i = j
	}
}

// ticks are the round temperatures on a scale, in °C: every 5 °C, or every 10 °F.
func (d *seasonDrawing) ticks(s scale) (out []float64) {
	step, shift := 5.0, 0.0
	if d.s.Units == board.US {
		step, shift = 10/1.8, 32/1.8
	}
	for n := math.Ceil((s.low + shift) / step); n*step-shift <= s.high; n++ {
		out = append(out, n*step-shift)
	}
	return out
}

func (d *seasonDrawing) cross(x, y float64) {
	d.line(x-3.5, y-3.5, x+3.5, y+3.5, 1.6, "")
	d.line(x-3.5, y+3.5, x+3.5, y-3.5, 1.6, "")
}

// heights are what walks measured, with the least that is safe.
func (d *seasonDrawing) heights() {
	if len(d.s.Heights) == 0 {
		return
	}
	most := d.s.MinHeight
	for _, h := range d.s.Heights {
		most = max(most, h.CM)
	}
	s := scale{d.y + 12, 74, 0, most * 1.25}
	d.box(seasonLeft, s.top, seasonRight-seasonLeft, s.height, "white")
	d.label(s.top+14, "Height")
	d.label(s.at(0), fields.Height.In(0, string(d.s.Units)))
	if m := d.s.MinHeight; m > 0 {
		d.line(seasonLeft, s.at(m), seasonRight, s.at(m), 0.8, dashed)
		d.label(s.at(m)+3.5, fields.Height.In(m, string(d.s.Units)))
		d.text(seasonLeft+4, s.at(m)-3, small-1, "start", "minimum height")
	}
	for _, h := range d.s.Heights {
		x, y := d.x(h.On), s.at(h.CM)
		d.line(x, s.at(0), x, y, 1, "")
		d.box(x-2.5, y-2.5, 5, 5, "black")
		anchor, by := "start", 5.0
		if x > seasonRight-60 {
			anchor, by = "end", -5
		}
		d.text(x+by, y+3.5, small-1, anchor, fields.Height.In(h.CM, string(d.s.Units)))
	}
	d.y = s.top + s.height
}

// marks are letters of what happened, those of one day under each other.
func (d *seasonDrawing) marks() {
	const row = 12.0
	top, rows := d.y+14, 1
	taken := map[int]float64{} // by row: up to where it is written
	for _, m := range d.s.Marks {
		x, n := d.x(m.On), 0
		for taken[n] > x-4.5 {
			n++
		}
		taken[n] = x + 4.5
		rows = max(rows, n+1)
		d.text(x, top+float64(n)*row, small, "middle", m.Letter)
	}
	d.label(top, "Events")
	d.y = top + float64(rows-1)*row + 4
}

// months are the axis of days.
func (d *seasonDrawing) months() {
	d.line(seasonLeft, d.y, seasonRight, d.y, 0.8, "")
	last := -100.0
	for i := range d.s.Days {
		_, month, of := d.s.Days[i].On.Civil()
		x := seasonLeft + float64(i)*d.day
		if of == 1 || i == 0 {
			d.line(x, d.y, x, d.y+6, 0.8, "")
			if x-last > 58 || of == 1 && x-last > 36 {
				d.text(x+2, d.y+12, small, "start", strconv.Itoa(of)+" "+month.String()[:3])
				last = x
			}
		}
	}
	d.y += 18
}

// legend says what the shapes and letters mean.
func (d *seasonDrawing) legend() {
	x, y := 0.0, d.y+12
	put := func(width float64, draw func(x, y float64), s string) {
		w := width + 5.6*float64(len(s)) + 14
		if x+w > seasonWide {
			x, y = 0, y+14
		}
		draw(x, y)
		d.text(x+width, y, small, "start", s)
		x += w
	}
	put(12, func(x, y float64) { d.cross(x+5, y-3.5) }, "froze")
	put(12, func(x, y float64) { d.circle(x+5, y-3.5, 2.4, "white") }, "may have frozen")
	put(13, func(x, y float64) { d.text(x+5, y, small, "middle", "?") }, "not read")
	put(12, func(x, y float64) { d.box(x+2.5, y-6, 5, 5, "black") }, "shortest growth measured")
	for _, l := range board.SeasonLetters {
		for _, m := range d.s.Marks {
			if m.Letter == l.Letter {
				put(13, func(x, y float64) { d.text(x+5, y, small, "middle", l.Letter) }, l.Means)
				break
			}
		}
	}
	d.y = y + 6
}

// describe tells the picture in words.
func (d *seasonDrawing) describe() string {
	var n [hazard.Hold + 1]int
	var froze []string
	unread := 0
	for i := range d.s.Days {
		x := &d.s.Days[i]
		n[x.Flag]++
		if x.Froze {
			froze = append(froze, x.On.Words())
		}
		if x.Unread {
			unread++
		}
	}
	t := strconv.Itoa(n[hazard.Hold]) + " days NO, " + strconv.Itoa(n[hazard.Caution]) + " ASK FIRST, " +
		strconv.Itoa(n[hazard.Clear]) + " YES."
	if len(froze) > 0 {
		t += " Froze: " + strings.Join(froze, ", ") + "."
	}
	t += " Nights not read: " + strconv.Itoa(unread) + "."
	for _, h := range d.s.Heights {
		t += " " + h.On.Words() + ": " + fields.Height.In(h.CM, string(d.s.Units)) + " high."
	}
	return t
}
