package fields

import "reflect"

// Texts calls each for every text of the entry's body, by the name of its field
// in the journal: texts, lists of them, and the species of a sowing. sort says of
// what the text is the short name (paddock, station, herd or lot), "" if of none.
func (e *Entry) Texts(each func(field, sort, text string)) {
	v := reflect.ValueOf(e.Body).Elem()
	for _, p := range planOf(e.Body).fields {
		f := v.Field(p.index)
		say := func(text string) {
			if text != "" {
				each(p.name, p.of, text)
			}
		}
		switch shares, mix := f.Interface().([]SpeciesShare); {
		case f.Kind() == reflect.String:
			say(f.String())
		case mix:
			for _, s := range shares {
				say(s.Species)
			}
		case f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.String:
			for j := range f.Len() {
				say(f.Index(j).String())
			}
		}
	}
}
