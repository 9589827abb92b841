package form

import (
	"strings"
	"time"

	"rimegate/fields"
)

// Echo says in words how a text is read at a moment in farm time on a farm, "" where the
// text itself says it or cannot be read.
func (f *Field) Echo(text string, now time.Time, farm Farm) string {
	text = strings.TrimSpace(text)
	today := fields.DateOf(now, now.Location())
	parse := fields.ParseDate
	switch f.Type {
	case Ahead:
		parse = fields.ParseComing
		fallthrough
	case Date:
		d, err := parse(text, today)
		switch {
		case err != nil:
			return ""
		case f.Name == "night" || f.Name == "damage_night":
			return "from noon " + (d - 1).Short() + " to noon " + d.Words()
		}
		return d.Words()
	case Classes:
		return strings.Join(f.taken([]string{text}, farm), "; ")
	case Quantity:
		if f.isNone(text) {
			return "looked, found none"
		}
		if v, err := f.Measure.ParseIn(text, unitsOf(farm)); err == nil {
			return f.Measure.Both(v)
		}
	case Moment:
		if t, err := fields.ParseMoment(text, today, now.Location()); err == nil {
			return fields.DateOf(t, now.Location()).Words() + " " + t.Format("15:04")
		}
	}
	return ""
}
