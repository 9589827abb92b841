package hazard

import (
	"math"
	"slices"

	"rimegate/fields"
)

// JudgeNitrate holds ppm NO3-N on dry matter against every table in force for
// a class (§9.2): strictest flag, smallest share. A value on an edge belongs to the
// worse band.
func (b *Rulebook) JudgeNitrate(ppmN float64, c Class) NitrateSays {
	a := NitrateSays{Flag: Clear, MaxShare: 100, Value: ppmN}
	for i := range b.Tables {
		t := &b.Tables[i]
		band, lower := t.band(ConvertNitrate(ppmN, "NO3-N", t.Form), c)
		if band == nil {
			continue
		}
		flag, share := band.Says()
		if flag > a.Flag || flag == a.Flag && share < a.MaxShare {
			a.Flag, a.Table, a.Words, a.Source = flag, t.ID, band.Words, t.Source.ID
			a.Limit = ConvertNitrate(lower, t.Form, "NO3-N")
		}
		a.MaxShare = min(a.MaxShare, share)
	}
	return a
}

// Says is the flag of a value in the band, and its largest share of the ration, percent.
func (n *NitrateBand) Says() (Flag, float64) {
	switch {
	case n.DoNot || n.MaxShare <= 0:
		return Hold, 0
	case n.MaxShare < 100 || n.Caution:
		return Caution, n.MaxShare
	}
	return Clear, 100
}

// labAnswer judges the highest value of a nitrate result together with what
// the stock's water adds to it, ppm NO3-N on dry matter.
func (b *Rulebook) labAnswer(l *fields.Lab, c Class, waterPPM float64) NitrateSays {
	ppm, ok := NitrateDM(l, slices.Max(l.Numbers()))
	if !ok { // as fed without dry matter: nothing it could clear
		return NitrateSays{Flag: Caution}
	}
	n := ConvertNitrate(ppm, l.Form, "NO3-N")
	a := b.JudgeNitrate(n+waterPPM, c)
	a.Value, a.Water = n, waterPPM
	return a
}

// NitrateClearLine returns the clear line in force for a class, ppm NO3-N on
// dry matter, with the id of the table that draws it: a value below the line is
// clear in every table, the line itself is not. It is +Inf when no table names
// the class or none of them ends its clear band.
func (b *Rulebook) NitrateClearLine(c Class) (ppmN float64, table string) {
	line := math.Inf(1)
	for i := range b.Tables {
		t := &b.Tables[i]
		lower := 0.0
		for j := range t.Rows[c] {
			band := &t.Rows[c][j]
			if flag, _ := band.Says(); flag != Clear {
				if v := ConvertNitrate(lower, t.Form, "NO3-N"); v < line {
					line, table = v, t.ID
				}
				break
			}
			lower = band.UpTo
		}
	}
	return line, table
}

// TableSay is what one published table says of one value for one class.
type TableSay struct {
	Table    string
	Source   Source
	Form     fields.Form // the form the table prints
	Value    float64     // the value in that form, ppm on dry matter
	From     float64     // the band's lower edge, ppm of the table's form
	UpTo     float64     // its upper edge; +Inf for the highest band
	Flag     Flag
	MaxShare float64 // largest share of the ration's dry matter, percent; 0: do not feed
	Words    string  // the band in our words
	Edge     bool    // the value lies on the lower edge and took the worse band
}

// ByTable holds a value (ppm of form on dry matter) against each table of the
// rulebook that has a row for the class, in the tables' order. The rulebook's
// own answer is the worst flag and the smallest share of them.
func (b *Rulebook) ByTable(ppm float64, form fields.Form, c Class) []TableSay {
	var out []TableSay
	for i := range b.Tables {
		t := &b.Tables[i]
		v := ConvertNitrate(ppm, form, t.Form)
		band, lower := t.band(v, c)
		if band == nil {
			continue
		}
		s := TableSay{Table: t.ID, Source: t.Source, Form: t.Form, Value: v, From: lower, UpTo: band.UpTo, Words: band.Words}
		s.Flag, s.MaxShare = band.Says()
		s.Edge = lower > 0 && math.Abs(v-lower) <= lower*edgeSlack
		out = append(out, s)
	}
	return out
}

// band returns the band a value of the table's own form lies in for a class,
// with its lower edge; nil if the table has no row for the class. A value on an
// edge belongs to the band above it, the worse one.
func (t *NitrateTableData) band(v float64, c Class) (band *NitrateBand, lower float64) {
	bands := t.Rows[c]
	for j := range bands {
		if j == len(bands)-1 || v < bands[j].UpTo*(1-edgeSlack) {
			return &bands[j], lower
		}
		lower = bands[j].UpTo
	}
	return nil, 0
}
