package board

import (
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Catalog holds the texts of a page in another language by the English ones. {name}
// in them is filled in; what is missing stays English.
type Catalog map[string]string

// t is a text in the page's language.
func (s *speaker) t(english string) string {
	if t := s.tongue[english]; t != "" {
		return t
	}
	return english
}

// say is a text in the page's language with its parts filled in: name, value, name,
// value and so on.
func (s *speaker) say(english string, parts ...string) string {
	return fillWith(s.t(english), func(name string) string {
		for i := 0; i+1 < len(parts); i += 2 {
			if parts[i] == name {
				return parts[i+1]
			}
		}
		panic("board: nothing fills {" + name + "}")
	})
}

// join lists words: "a", "a and b", "a, b and c".
func (s *speaker) join(list []string) string {
	return listed(list, func(most, last string) string { return s.say("{list} and {last}", "list", most, "last", last) })
}

// either lists words: "a", "a or b", "a, b or c".
func (s *speaker) either(list []string) string {
	return listed(list, func(most, last string) string { return s.say("{list} or {last}", "list", most, "last", last) })
}

func listed(list []string, with func(most, last string) string) string {
	last := len(list) - 1
	if last < 1 {
		return strings.Join(list, "")
	}
	return with(strings.Join(list[:last], ", "), list[last])
}

// species are the everyday names of plants by id.
func (s *speaker) species(ids ...string) string {
	return s.join(texts(ids, func(id string) string { return s.t(speciesName(s.book, id)) }))
}

var (
	months = strings.Fields("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec")
	week   = strings.Fields("Sun Mon Tue Wed Thu Fri Sat")
)

// monthDay is "21 Nov", with the year where it is not near the day asked about.
func (s *speaker) monthDay(d fields.Date) string {
	y, m, day := d.Civil()
	t := s.say("{day} {month}", "day", strconv.Itoa(day), "month", s.t(months[m-1]))
	if n := s.on.Sub(d); n > 300 || n < -300 {
		t += " " + strconv.Itoa(y)
	}
	return t
}

// dayDate is "Sat 5 Dec".
func (s *speaker) dayDate(d fields.Date) string { return s.t(week[d.Weekday()]) + " " + s.monthDay(d) }

// longDate is "Friday 27 November 2026".
func (s *speaker) longDate(d fields.Date) string {
	y, m, day := d.Civil()
	return s.say("{weekday} {day} {month} {year}", "weekday", s.t(d.Weekday().String()), "day", strconv.Itoa(day),
		"month", s.t(m.String()), "year", strconv.Itoa(y))
}

// date is a day as the texts of a page, or the sentences of a list, have it, with
// its year where that is not the one asked about; "" where there is none.
func (s *speaker) date(d fields.Date) string {
	switch {
	case d == fields.NoDate || d == hazard.NoEnd:
		return ""
	case s.page:
		return s.dayDate(d)
	}
	return d.Beside(s.beside)
}
