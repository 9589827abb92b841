package tui

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard/board"
)

// blankID stands in for the id that storing gives.
const blankID = "00000000000000000000000000"

// entries makes entries of what was typed, through the journal's own strict
// decoder. What cannot be read is marked at its field.
func (f *form) entries(m *model) []fields.Entry {
	if !m.answer.ZoneSet {
		f.err = "The farm has no name and time zone yet, so no day can be told: type `rimegate farm set` first."
		return nil
	}
	obj := map[string]any{"kind": string(f.spec.kind), "id": blankID, "by": "-", "recorded": m.answer.Now.Format(time.RFC3339Nano)}
	for k, v := range f.fixed {
		obj[k] = v
	}
	extra := map[string]string{}
	places := ""
	for i := range f.fields {
		x := &f.fields[i]
		if x.typ == tPlaces {
			places = x.name
			continue
		}
		text := strings.TrimSpace(x.text)
		if text == "" {
			continue
		}
		if x.name == "cause" {
			extra["cause"] = text
			continue
		}
		if x.name == "station" && text == inside {
			continue
		}
		v, err := x.value(m)
		if err != nil {
			x.err = sentence(err)
			continue
		}
		if x.name != "absent" { // what is gone need not be told apart
			if x.err = f.whichPlant(m, v); x.err != "" {
				continue
			}
		}
		if x.err = f.whichPoint(x, text); x.err != "" {
			continue
		}
		if x.name == "cause_on" {
			extra["cause_on"] = v.(string)
			continue
		}
		obj[x.name] = v
	}
	f.fill(m, obj)
	f.oneAtATime(obj)
	picked := f.measured()
	if f.spec.kind == fields.KindStrike {
		obj["on"] = m.answer.Today.String()
	}
	var out []fields.Entry
	switch {
	case places == "", len(picked) == 0, obj["lot"] != nil && places == "paddock" && f.spec.kind != fields.KindCut:
		out = f.decode(obj, out)
	case places == "paddock":
		for _, p := range picked {
			o := map[string]any{}
			for k, v := range obj {
				o[k] = v
			}
			o["paddock"] = p
			out = f.decode(o, out)
		}
	default:
		obj[places] = picked
		out = f.decode(obj, out)
	}
	if f.spec.kind == fields.KindWalk && !f.anyErr() {
		out = f.explain(m, out, extra)
	}
	return out
}

func (f *form) anyErr() bool {
	return f.err != "" || slices.ContainsFunc(f.fields, func(x field) bool { return x.err != "" })
}

// fill adds what follows from the rest and nobody has to type.
func (f *form) fill(m *model, obj map[string]any) {
	switch f.spec.kind {
	case fields.KindForecast:
		if obj["issued"] == nil {
			obj["issued"] = m.answer.Now.Format(time.RFC3339)
		}
	case fields.KindFrost:
		if obj["night"] == nil && obj["ended_at"] == nil && m.answer.Now.Hour() >= evening {
			f.blame(fields.Problem{Field: "night", What: "is missing, and it is evening", Type: "type today for last night, tomorrow for the night that has begun"})
		}
	case fields.KindReading:
		if obj["night"] == nil && m.answer.Now.Hour() >= evening {
			f.blame(fields.Problem{Field: "night", What: "is missing, and it is evening", Type: "type today for last night, tomorrow for the night that has begun"})
		}
	}
}

// decode adds the entry of one object, or marks what is wrong with it.
func (f *form) decode(obj map[string]any, out []fields.Entry) []fields.Entry {
	text, err := json.Marshal(obj)
	if err != nil {
		f.err = sentence(err)
		return out
	}
	e, ps := fields.DecodeEntry(text)
	for _, p := range ps {
		if x := f.named(p.Field); x != nil && x.err != "" {
			continue // it could not be read in the first place
		}
		if asks, _ := f.ofStation(); asks && (p.Field == "station" || p.Field == "paddock") {
			continue // it was asked for already
		}
		if p.Field == "on" && f.named("on") == nil && len(ps) > 1 {
			continue // the kind takes its day from a field that is missing too
		}
		if p.What == "is missing" {
			p.Type = f.missing(p.Field, p.Type)
		}
		f.blame(p)
	}
	if len(ps) > 0 {
		return out
	}
	e.ID, e.By, e.Recorded = "", "", time.Time{}
	return append(out, *e)
}

func (f *form) named(name string) *field {
	for i := range f.fields {
		if f.fields[i].name == name {
			return &f.fields[i]
		}
	}
	return nil
}

// missing says what to type into a field that is needed.
func (f *form) missing(name, hint string) string {
	x := f.named(name)
	switch {
	case x == nil:
		return hint
	case x.typ == tPlaces && f.named("lot") != nil:
		return "pick a paddock with Space, or choose a lot"
	case x.typ == tPlaces && f.named("station") != nil:
		return "pick a paddock with Space, or choose a thermometer"
	case x.typ == tPlaces:
		return "pick with Space"
	case x.typ == tName && f.named("paddock") != nil:
		return "choose it, or pick a paddock"
	case len(x.choices) > 0:
		return "choose with Left and Right"
	case x.hint != "":
		return x.hint
	}
	return "type it"
}

// value reads what was typed as the journal wants it.
func (x *field) value(m *model) (any, error) {
	text := strings.TrimSpace(x.text)
	today := m.answer.Today
	switch x.typ {
	case tYesNo:
		return text == "yes", nil
	case tDate, tAhead:
		parse := fields.ParseDate
		if x.typ == tAhead {
			parse = fields.ParseComing
		}
		d, err := parse(text, today)
		if err == nil && m.answer.Behind != "" && fields.IsRelative(text) {
			err = fields.Problem{What: "today is in doubt: " + m.answer.Behind, Type: "set the clock right, or type the day in full, like 17-Sep-2026"}
		}
		return d.String(), err
	case tMoment:
		t, err := m.answer.Ask.Moment(text)
		return t.Format(time.RFC3339), err
	case tQuantity:
		if x.name == "shoots_cm" && slices.Contains([]string{"none", "no", "0"}, strings.ToLower(text)) {
			return 0.0, nil
		}
		return x.measure.Parse(text)
	case tCount:
		return fields.ParseCount(text)
	case tNumber:
		return fields.ParseNumber(text)
	case tNumbers:
		return fields.ParseFigures(text)
	case tWords:
		if x.name == "alive" && slices.Contains([]string{"nothing", "none"}, strings.ToLower(text)) {
			return []string{}, nil
		}
		return words(text), nil
	case tMix:
		return mix(text)
	}
	return text, nil
}

// whichPlant asks about an everyday name that fits several plants, once: after
// that it is stored as typed, and the worst of them counts.
func (f *form) whichPlant(m *model, v any) string {
	var names []string
	switch v := v.(type) {
	case []string:
		names = v
	case []fields.SpeciesShare:
		for _, s := range v {
			names = append(names, s.Species)
		}
	}
	for _, n := range names {
		if fits := m.answer.Ask.Fits(n); len(fits) > 0 && f.askOnce(n) {
			return board.Clean(`"` + n + `" can be ` + strings.Join(fits[:len(fits)-1], ", ") + " or " + fits[len(fits)-1] + ". Type which; Enter again if nobody knows, and the worst of them counts.")
		}
	}
	return ""
}

// whichPoint asks about a reported figure such as 3.000, of which nobody can tell
// what its point is, once.
func (f *form) whichPoint(x *field, text string) string {
	if x.typ != tNumbers && (x.typ != tNumber || x.name != "value") || !fields.ThousandsPoint(text) {
		return ""
	}
	if u := f.named("unit"); u != nil && (u.text == "%" || u.text == "g/kg") || !f.askOnce(text) {
		return ""
	}
	return board.Clean(`"` + text + `" has three digits behind a point, which parts thousands in some countries. Type thousands without a sign (3000); Enter again if the point is a decimal one.`)
}

// askOnce reports whether a typed text is asked about for the first time.
func (f *form) askOnce(text string) bool {
	if f.asked[text] {
		return false
	}
	if f.asked == nil {
		f.asked = map[string]bool{}
	}
	f.asked[text] = true
	return true
}

func words(s string) []string { return fields.SplitList([]string{s}) }

// mix reads species with shares: "oats:60, field peas:40".
func mix(s string) (any, error) {
	out := []fields.SpeciesShare{}
	for _, part := range words(s) {
		x, err := fields.ParseShare(part)
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// harmKinds are the kinds of entry behind other causes of damage.
var harmKinds = map[string]fields.Kind{"hail": fields.KindHail, "spray": fields.KindSprayed, "drought": fields.KindDrought}

// explain sees that damage found by a walk has a night or another cause, and
// adds the entry for a cause that nobody has logged yet.
func (f *form) explain(m *model, walks []fields.Entry, extra map[string]string) []fields.Entry {
	cause := extra["cause"]
	out := walks
	var hit []string
	for i := range walks {
		e := &walks[i]
		w := e.Body.(*fields.Walk)
		if w.Killed == "all" && w.ShootsCM != nil && *w.ShootsCM > 0 {
			f.blame(fields.Problem{Field: "killed", What: "all are killed, and yet there are shoots", Type: "say part if anything grows"})
			return nil
		}
		if cause != "" && w.DamageNight != fields.NoDate {
			f.blame(fields.Problem{Field: "cause", What: "a night and another cause are both given", Type: "give one of the two"})
			return nil
		}
		if cause != "" && !w.FoundDamage() {
			f.blame(fields.Problem{Field: "cause", What: "a cause is given, but no damage", Type: "say what you found under killed or frost damage"})
			return nil
		}
		switch {
		case cause == "dont-know":
			w.DamageNight = e.On
		case cause == "ripe":
			e.Note = strings.TrimPrefix(e.Note+"; ripe, not frost", "; ")
		case harmKinds[cause] != "":
			if !m.answer.Ask.HarmSince(w.Paddock, harmKinds[cause], e.On) {
				hit = append(hit, w.Paddock)
			}
		case m.answer.Ask.Unexplained(w.Paddock, w, e.On):
			f.blame(fields.Problem{Field: "damage_night", What: "you found damage in " + board.Clean(m.name(w.Paddock)) + " that no recorded night explains", Type: "say which night did it, or choose another cause below"})
			return nil
		}
	}
	if len(hit) == 0 {
		return out
	}
	e := fields.Entry{On: walks[0].On}
	if d, err := fields.ParseISODate(extra["cause_on"]); err == nil {
		e.On = d
	}
	switch cause {
	case "hail":
		e.Body = &fields.Hail{Paddocks: hit}
	case "spray":
		e.Body = &fields.Sprayed{Paddocks: hit}
	case "drought":
		e.Body = &fields.Drought{Paddocks: hit, State: "start"}
	}
	return append(out, e)
}

// echo says in words how a field was understood, "" where the text says it.
func (x *field) echo(m *model) string {
	text := strings.TrimSpace(x.text)
	if text == "" || x.err != "" {
		return ""
	}
	today := m.answer.Today
	switch x.typ {
	case tDate, tAhead:
		parse := fields.ParseDate
		if x.typ == tAhead {
			parse = fields.ParseComing
		}
		d, err := parse(text, today)
		if err != nil {
			return ""
		}
		if x.name == "night" || x.name == "damage_night" {
			return "from noon " + (d - 1).Short() + " to noon " + d.Words()
		}
		return d.Words()
	case tQuantity:
		v, err := x.value(m)
		if err != nil {
			return ""
		}
		if x.name == "shoots_cm" && v.(float64) == 0 {
			return "looked, found none"
		}
		return x.measure.Both(v.(float64))
	case tMoment:
		t, err := m.answer.Ask.Moment(text)
		if err != nil {
			return ""
		}
		return fields.DateOf(t, t.Location()).Words() + " " + t.Format("15:04")
	}
	return ""
}
