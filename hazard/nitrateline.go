package hazard

import "math"

// NitrateSays is what the nitrate tables in force say of one value for one
// class of stock.
type NitrateSays struct {
	Flag     Flag
	MaxShare float64 // largest share of the ration's dry matter, percent; 0: do not feed
	Table    string  // id of the table that decided, "" when every table says clear
	Words    string  // that table's band in our words
}

// JudgeNitrate holds ppm NO3-N on dry matter against every table in force for
// a class: strictest flag, smallest share. A value on an edge belongs to the
// worse band.
func (b *Rulebook) JudgeNitrate(ppmN float64, c Class) NitrateSays {
	a := b.judgeNitrate(ppmN, "NO3-N", c)
	return NitrateSays{Flag: a.flag, MaxShare: a.share, Table: a.table, Words: a.band}
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
			if flag, _ := band.flag(); flag != Clear {
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
