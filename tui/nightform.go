package tui

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// inside stands among the stations for a thermometer that hangs in the paddock
// itself. No short name has a bracket.
const inside = "(inside)"

// thermometers are the farm's stations, the usual one of the paddocks first.
func (m *model) thermometers(places []string) (ids []string, names map[string]string) {
	h := m.answer.History
	names = map[string]string{}
	for _, s := range h.Stations {
		ids = append(ids, s.Station)
		names[s.Station] = s.Name
	}
	count := func(places []string) map[string]int {
		n := map[string]int{}
		for _, p := range places {
			for _, line := range h.Lines(p) {
				for _, s := range h.NightSetting(line, m.answer.Today).Stations {
					n[s]++
				}
			}
		}
		return n
	}
	n := count(places)
	if len(n) == 0 {
		n = count(m.standing())
	}
	slices.SortStableFunc(ids, func(a, b string) int { return n[b] - n[a] })
	return ids, names
}

// ofStation reports a form that asks which thermometer, and that another than
// one inside the paddock was chosen: its paddocks are those that name it.
func (f *form) ofStation() (asks, station bool) {
	x := f.named("station")
	return x != nil, x != nil && x.text != inside
}

// measured sees that a reading or forecast has one thermometer, and returns
// the paddocks that it is said of.
func (f *form) measured() []string {
	asks, station := f.ofStation()
	switch {
	case !asks:
		return f.places
	case f.named("station").text == "":
		f.blame(fields.Problem{Field: "station", What: "is missing", Type: "choose the thermometer that was read"})
	case station:
	case len(f.places) == 0:
		f.blame(fields.Problem{Field: "paddock", What: "is missing", Type: "pick the paddock with Space"})
	case f.spec.kind == fields.KindReading && len(f.places) > 1:
		f.blame(fields.Problem{Field: "paddock", What: counted(len(f.places), "paddock", "paddocks") + " are picked, and a thermometer hangs in one", Type: "pick that one"})
	default:
		return f.places
	}
	return nil
}

// onFile says of which paddocks and nights that a no-frost form names a frost
// is in the journal, "" if of none.
func (m *model) onFile(f *form) string {
	if f.spec.kind != fields.KindNoFrost {
		return ""
	}
	if f.fileOf == m.answer && f.fileAt == f.edits {
		return f.file
	}
	f.fileOf, f.fileAt, f.file = m.answer, f.edits, ""
	var span [2]fields.Date
	for i, name := range []string{"from", "to"} {
		d, err := fields.ParseDate(f.named(name).text, m.answer.Today)
		if err != nil {
			return ""
		}
		span[i] = d
	}
	var hits []string
	for _, p := range f.places {
		if d, what := m.answer.Ask.FrostOnFile(p, span[0], span[1]); d != fields.NoDate {
			hits = append(hits, m.name(p)+", night ending "+d.Words()+" ("+what+")")
		}
	}
	if n := len(hits); n > 0 {
		f.file = "A FROST IS ON FILE, and a frost beats any statement: " + strings.Join(hits[:min(n, 3)], "; ")
		if n > 3 {
			f.file += "; and " + counted(n-3, "more paddock", "more paddocks")
		}
		f.file += "."
	}
	return f.file
}

// goodNews names what a walk says that nobody can say of several paddocks at
// once, "" where all of it is bad news.
func (f *form) goodNews(obj map[string]any) string {
	bad := func(name string) bool {
		switch v := obj[name].(type) {
		case string:
			return name == "damage_night" || v == "part" || name == "frost_damage" && (v == "tips" || v == "all")
		case bool:
			return v == (name == "wilted")
		case []string:
			return name == "alive" && len(v) > 0
		}
		return false
	}
	for i := range f.fields {
		switch x := &f.fields[i]; x.name {
		case "paddock", "on", "note", "part", "cause", "cause_on":
		default:
			if obj[x.name] != nil && !bad(x.name) {
				return strings.TrimSpace(x.label) + " " + board.Clean(x.text)
			}
		}
	}
	return ""
}

// oneAtATime refuses several paddocks where each would be told what somebody
// found in one.
func (f *form) oneAtATime(obj map[string]any) {
	if len(f.places) < 2 {
		return
	}
	what, hint := "", "pick the one"
	switch f.spec.kind {
	case fields.KindWalk:
		if good := f.goodNews(obj); good != "" {
			what, hint = "\""+good+"\" is good news, and good news is said of one paddock at a time", "pick the one you walked; damage may be said of several"
		}
	case fields.KindLab, fields.KindSampled:
		if obj["lot"] == nil {
			what, hint = "a sample comes from one paddock", "pick that one"
		}
	case fields.KindGrazed:
		what = "stock move into or out of one paddock at a time"
	case fields.KindNoFrost:
		if obj["basis"] == "thermometer-in-paddock" {
			what, hint = "a thermometer hangs in one paddock", "pick that one, or say another basis"
		}
	}
	if what != "" {
		f.blame(fields.Problem{Field: "paddock", What: what, Type: hint})
	}
}

// namesEach reports a kind of which "all" is no name: whoever says that nothing
// froze names each paddock that was looked at.
func (k *kindSpec) namesEach() bool { return k.kind == fields.KindNoFrost }

const nameEach = "No frost is said of paddocks somebody looked at: pick them one by one."
