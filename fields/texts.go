package fields

import "reflect"

// Texts calls each for every text of the entry's body, by the name of its field
// in the journal: texts, lists of them, and the species of a sowing. ref tells
// the short names of paddocks, stations, herds and lots from other texts.
func (e *Entry) Texts(each func(field, text string, ref bool)) {
	v := reflect.ValueOf(e.Body).Elem()
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag
		say := func(text string) {
			if text != "" {
				each(tag.Get("json"), text, tag.Get("ref") == "id")
			}
		}
		if tag.Get("json") == "" {
			continue
		}
		switch x := v.Field(i).Interface().(type) {
		case string:
			say(x)
		case []string:
			for _, s := range x {
				say(s)
			}
		case []SpeciesShare:
			for _, s := range x {
				say(s.Species)
			}
		}
	}
}
