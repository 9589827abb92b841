package hazard

import (
	"math"

	"rimegate/fields"
)

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
		s.Flag, s.MaxShare = band.flag()
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
