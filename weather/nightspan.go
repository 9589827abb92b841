package weather

import "rimegate/fields"

// nightSpan is where a night lies, in seconds since 1970: from noon to noon, and
// the dark part of it that must be read.
type nightSpan struct{ start, darkFrom, darkTo, end int64 }

const (
	hourSeconds = 3600
	daySeconds  = 24 * hourSeconds
)

// span returns where a night lies. The library works every instant out from the
// calendar; away from the changes of the clock it is a matter of adding up.
func (n *Nights) span(d fields.Date) nightSpan {
	off, ok := n.zone.Steady(int64(d))
	if !ok {
		start, end := fields.NightSpan(d, n.loc)
		from, to := darkPart(d, n.loc)
		return nightSpan{start.Unix(), from.Unix(), to.Unix(), end.Unix()}
	}
	midnight := int64(d)*daySeconds - off
	return nightSpan{
		midnight - 12*hourSeconds, midnight - (24-darkFrom)*hourSeconds,
		midnight + darkTo*hourSeconds, midnight + 12*hourSeconds,
	}
}

// nightOf is fields.NightOf for an instant in seconds since 1970.
func (n *Nights) nightOf(t int64) fields.Date {
	// The night that ends at noon of D begins twelve hours before D does.
	local := t + n.zone.Offset(t) + 12*hourSeconds
	d := local / daySeconds
	if local%daySeconds < 0 {
		d--
	}
	return fields.Date(d)
}
