package board

import (
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
)

// EntryWords says in one line what an entry states: the echo before it is
// stored and its line wherever it is named later. Every field that was said is
// in it, with its unit. The history gives names and the farm's zone.
func EntryWords(e *fields.Entry, h *fields.History, u Units) string {
	return (&entrySpeaker{h: h, u: u}).tell(e)
}

// EntryLine is EntryWords with who signed it and when it was written down.
func EntryLine(e *fields.Entry, h *fields.History, u Units) string {
	t := EntryWords(e, h, u) + after(", signed ", e.Signer())
	if !e.Recorded.IsZero() {
		t += ", logged " + instant(e.Recorded, h)
	}
	return t
}

// ResultFigure is the number of a result as it was printed; a sample that was sent
// has none.
func ResultFigure(e *fields.Entry, h *fields.History) string {
	t := &entrySpeaker{h: h, u: UnitsOf(h)}
	pattern := map[fields.Kind]string{
		fields.KindLab: "{*values}", fields.KindWater: "{value 2} {unit} {form}", fields.KindSampled: "sample sent",
	}[e.Kind()]
	out, _ := fill(pattern, func(name string) (string, bool) { w := t.field(e, name); return w, w != "" })
	return out
}

// Past is one entry of the journal's past in words.
type Past struct {
	*fields.Entry
	Date   fields.Date
	Words  string
	Struck string // who struck it, when and why; "" if it counts
}

// NewPast puts an entry into words. strike is the one that struck it, nil if none did.
func NewPast(f fields.Fact, strike *fields.Fact, h *fields.History) Past {
	p := Past{Entry: f.Entry, Date: f.Date, Words: EntryLine(f.Entry, h, UnitsOf(h))}
	if strike != nil {
		b := strike.Body.(*fields.Strike)
		with := ""
		if b.Batch != "" {
			with = " with its whole import"
		}
		p.Struck = "by " + Clean(strike.Signer()) + " on " + strike.Date.Beside(h.On) + with + ": " + Clean(b.Because)
	}
	return p
}

// Parts of the words of several kinds.
const (
	onDate   = "{date}"
	inGround = "{paddock at}"
	ofLot    = "lot {lot}"
	inAll    = "{paddocks at}"
	withDM   = "{dm_pct 1} % dry matter"
	harmful  = "{product}"
	latitude = "latitude {lat 5}°"
	longwise = "longitude {lon 5}°"
	aboveSea = "{elevation_m elevation} above the sea"
	lowOf    = "low {low_c temp}"
	sourceOf = "source: {source}"
	because  = "because: {because}"
	stems    = "{stems n stem}"
	spots    = "from {spots n spot}"
	cored    = "{bales_cored n bale} cored"
	cores    = "{cores n core}"
	cutAt    = "cut at {cut_cm height}"
)

// entryWords are what an entry of each kind states: its name, then a part for
// each field. {field} is the field as it stands in the journal, {field form} in
// a form of value; a part whose field was not said is left out, or what stands
// behind || takes its place.
var entryWords = map[fields.Kind][]string{
	fields.KindFarm: {
		"Farm", "{name}", onDate, "time zone {zone}", latitude, longwise, aboveSea, "units {units}", "{frost_watch}",
		"nitrate table {nitrate_table}", "{share_days n day} of feed asked for",
		"{exchange_days n day} without the other seats' entries at most", "{contacts}",
	},
	fields.KindOverride: {
		"Rule set", "{rule}", "value {value}", onDate, "through {until}", sourceOf,
		because,
	},
	fields.KindPaddock: {
		"Paddock", "{name} ({paddock})", onDate, "{area_ha area}", "read at {station station}", "{offset_c offset}",
		"{low_lying yes=low-lying|no=not low-lying}", "bounds: {bounds}",
	},
	fields.KindSplit: {"Split", onDate, "{from at} split into {into at}"},
	fields.KindJoin:  {"Join", onDate, "{from at} joined into {into at}"},
	fields.KindSown: {
		"Sown", inGround, onDate, "{species} || {species none=no species named: what grows here counts as unknown}",
		"{new_stand yes=a new stand|no=added to the stand that is there}",
		"the old stand ended {ended}",
	},
	fields.KindSeen: {
		"Seen growing", inGround, onDate, "{species}",
		"{extent trace=a trace (scattered, under 5 % of the stand)|patches=in patches|common=common all over}",
		"where: {where}",
	},
	fields.KindStation: {
		"Thermometer", "{name} ({station})", onDate, latitude, longwise, aboveSea, "{height_m aboveground} above " +
			"the ground",
	},
	fields.KindReading: {
		"Reading", "{night night}", lowOf, "{below_zero yes=below freezing|no=not below freezing}",
		"{covers yes=the whole night was read|no=only part of the night was read}", "{spans}",
		"{hours_below_0 2} h below {*zero}",
		"{hours_below_kill 2} h below the killing line", "{station station} and {paddock at} || {station station} " +
			"|| a thermometer in {paddock at}",
		sourceOf,
	},
	fields.KindForecast: {
		"Forecast", "{night night}", lowOf, "{station station} and {paddock at} || {station station} || {paddock at}",
		"issued {issued}", sourceOf,
	},
	fields.KindNoFrost: {
		"No frost", "{*nights}",
		"by {basis thermometer-in-paddock=a thermometer in the paddock|other-thermometer=a thermometer " +
			"elsewhere|looked-at-dawn=a look at dawn}",
		inAll,
	},
	fields.KindFrost: {"Frost", "{*ended}", lowOf, "seen: {seen}", inAll},
	fields.KindWalk: {
		"Walk", inGround, onDate, "the {part}", "killed: {killed}", "frost damage: {frost_damage}",
		"from the {damage_night night}",
		"{dry yes=dry|no=not dry}", "{shoots_cm shoots}", "shortest growth {shortest_cm height}",
		"still green: {alive} || {alive none=nothing still green}", "gone: {absent} || {absent none=none named as " +
			"gone}",
		"{wilted yes=wilted|no=not wilted}", "{stress_free yes=free of stress|no=under stress}",
		"{weeds_checked yes=weeds checked|no=weeds not checked}", "feed {kg_dm_ha perarea} of dry matter",
	},
	fields.KindDrought:  {"Drought {state start=started|end=ended}", onDate, "after rain of {rain_mm rain}", inAll},
	fields.KindRain:     {"Rain", onDate, "{mm rain}", inAll},
	fields.KindHail:     {"Hail", onDate, harmful, inAll},
	fields.KindTrampled: {"Trampled", onDate, harmful, inAll},
	fields.KindSprayed:  {"Sprayed", onDate, harmful, inAll},
	fields.KindNitrogen: {
		"Nitrogen spread", onDate, "{kg_n_ha nitrogen} of nitrogen",
		"{rate_unknown yes=nobody knows the rate|no=the rate is known}",
		"as {form}", inAll,
	},
	fields.KindCut: {"Cut for {use}", inGround, onDate, "at {height_cm height}", ofLot},
	fields.KindGrazed: {
		"Stock moved", onDate, "{herd} {state in=into|out=out of} {paddock at} || stock {state in=into|out=out " +
			"of} {paddock at}",
		"{left_cm height} left standing || {state out=what they left standing not logged}",
		"{swath_left yes=swath left lying|no=no swath left}",
	},
	fields.KindLot: {
		"Lot", "{lot}", "{lot_kind}", "made {made_on}", "from {from at}", "cut {cut_on}", "{bales n bale}",
		"{tonnes tonnage}", withDM,
		"of {species} || {species none=no species named}", "sold by {seller}",
	},
	fields.KindSampled: {
		"Sample sent, no result yet", inGround, ofLot, onDate, "sample {sample}", "sent to {lab}", stems, spots, cored,
		cores, cutAt,
	},
	fields.KindLab: {
		"{analyte nitrate=Nitrate|hcn=HCN} result", inGround, ofLot, "sampled " +
			"{sampled_on}", "{*values}", withDM, "{*read}",
		"{method lab=lab|strip=test strip|quick=quick test}", "sample " +
			"{sample}", stems, spots, cored, cores, cutAt,
		"sample state {sample_state}", "file {*file}",
	},
	fields.KindWater: {
		"Water result", "{source}", "sampled {sampled_on}", "{value 2} {unit} {form}", "{*water}", "drunk in " +
			"{paddocks at}",
		"drunk by {herds}",
	},
	fields.KindFed: {
		"Fed", "lot {lot} to {herd}", "{*days}", "{kg weight}",
		"{mixed yes=mixed into the ration|no=not mixed}",
	},
	fields.KindUsedUp: {"Used up, nothing left", ofLot, onDate},
	fields.KindHerd: {
		"Herd", "{herd}", onDate, "{head 0} head", "{classes class}", "{weight_kg weight} each",
		"eating {intake_pct_bw 2} % of body weight a day",
	},
	fields.KindIncident: {"Incident", inGround, ofLot, onDate, "{down 0} down", "{dead 0} dead", "herd " +
		"{herd}", "{what}"},
	fields.KindVet: {
		"Vet says {advice keep-off=keep off|may-graze=may graze}", inGround, ofLot, onDate,
		"through {until} || no last day", "for {classes class} || for every class", "to {uses} || for " +
			"every use",
		"said by {who}", because,
	},
	fields.KindRound: {"Round", "{name}", "from {*on}", "rule {rrule}", "{what}", inAll},
	fields.KindDone:  {"Done", "round {round}", "{task}", onDate},
	fields.KindRead:  {"Sheet read", onDate},
	fields.KindStrike: {"Strike", onDate, "all that the import {batch} brought no longer counts || {*struck} no " +
		"longer counts", because},
}

// entryForms are the forms of a number, a place or a night.
var entryForms = map[string]func(t *entrySpeaker, v any) string{
	"temp":    func(t *entrySpeaker, v any) string { return t.u.temp(v.(float64)) },
	"night":   func(t *entrySpeaker, v any) string { return t.night(v.(fields.Date)) },
	"station": func(t *entrySpeaker, v any) string { return "thermometer " + stationWords(t.h, v.(string)) },
	"at": func(t *entrySpeaker, v any) string {
		if id, ok := v.(string); ok {
			return paddockName(t.h, id)
		}
		return gateNames(t.h, v.([]string))
	},
	"offset": func(t *entrySpeaker, v any) string {
		if v.(float64) == 0 {
			return "as cold as its thermometer says"
		}
		return t.u.both(fields.Difference, -v.(float64)) + " colder than its thermometer"
	},
	"class": func(_ *entrySpeaker, v any) string {
		var cs []hazard.Class
		for _, word := range v.([]string) {
			if c, ok := hazard.ParseClass(word); ok {
				cs = append(cs, c)
			}
		}
		return ClassWords(cs)
	},
	"shoots": func(t *entrySpeaker, v any) string {
		if v.(float64) == 0 {
			return "no new shoots"
		}
		return "new shoots " + t.u.in(fields.Height, v.(float64))
	},
}

// entryParts are the parts that are more than a field; "" leaves them out.
var entryParts = map[string]func(*entrySpeaker, *fields.Entry) string{
	"date":  (*entrySpeaker).date,
	"*on":   func(t *entrySpeaker, e *fields.Entry) string { return t.day(e.EventDate(t.h.Loc)) },
	"*zero": func(t *entrySpeaker, _ *fields.Entry) string { return t.u.temp(0) },
	"*nights": func(t *entrySpeaker, e *fields.Entry) string {
		b := e.Body.(*fields.NoFrost)
		if b.From == b.To {
			return t.night(b.From)
		}
		return "nights ending " + t.day(b.From) + " through " + t.day(b.To)
	},
	"*ended": func(t *entrySpeaker, e *fields.Entry) string {
		b, d := e.Body.(*fields.Frost), e.EventDate(t.h.Loc)
		x := t.night(d)
		if b.EndedAt.IsZero() {
			return x
		}
		x += ", last freezing hour ended " + instant(b.EndedAt, t.h)
		return x + provided(b.Night != d && b.Night != fields.NoDate, ", the night given was "+t.day(b.Night)+", the later one counts")
	},
	"*values": labValues,
	"*read":   labRead,
	"*file": func(_ *entrySpeaker, e *fields.Entry) string {
		f := Clean(e.Body.(*fields.Lab).FileSHA256)
		if len(f) > 12 {
			f = f[:12] + "..."
		}
		return f
	},
	"*water": func(_ *entrySpeaker, e *fields.Entry) string {
		b := e.Body.(*fields.Water)
		switch {
		case b.Value == nil:
			return ""
		case b.Form == "NO3":
			return "read as " + number(hazard.ConvertNitrate(*b.Value, "NO3", "NO3-N"), 2) + " mg NO3-N per litre"
		}
		return "that is " + number(hazard.ConvertNitrate(*b.Value, "NO3-N", "NO3"), 1) + " mg NO3 per litre"
	},
	"*days": func(t *entrySpeaker, e *fields.Entry) string {
		b := e.Body.(*fields.Fed)
		if b.From == b.To {
			return t.day(b.From)
		}
		return "from " + t.day(b.From) + provided(b.To != fields.NoDate, " through "+t.day(b.To))
	},
}

// entrySpeaker writes entries in a farm's names, zone and units.
type entrySpeaker struct {
	h     *fields.History
	u     Units
	depth int // a strike tells the entry it strikes, once
}

// tell writes one entry as "Kind: part, part, part".
func (t *entrySpeaker) tell(e *fields.Entry) string {
	var parts []string
	for _, x := range entryWords[e.Kind()] {
		p, said := fill(x, func(name string) (string, bool) {
			w := t.field(e, name)
			return w, w != ""
		})
		if said || len(parts) == 0 {
			parts = append(parts, p)
		}
	}
	text := parts[0]
	if len(parts) > 1 {
		text += ": " + strings.Join(parts[1:], ", ")
	}
	if n := Clean(e.Note); n != "" {
		text += `; note: "` + n + `"`
	}
	return text
}

// field is a field in words, "" where it was not said.
func (t *entrySpeaker) field(e *fields.Entry, name string) string {
	if name == "*struck" { // told by these tables again
		return t.struck(e)
	}
	if f := entryParts[name]; f != nil {
		return f(t, e)
	}
	name, form, _ := strings.Cut(name, " ")
	v := valueOf(e.Body, name)
	if none, ok := strings.CutPrefix(form, "none="); ok {
		list := reflect.ValueOf(v)
		return provided(v != nil && list.Len() == 0, none)
	}
	if v == nil || v == "" || v == fields.NoDate {
		return ""
	}
	if f := entryForms[form]; f != nil {
		return f(t, v)
	}
	switch x := v.(type) {
	case float64:
		return t.counted(x, form)
	case bool:
		return chosen(form, map[bool]string{true: "yes", false: "no"}[x])
	case string:
		return chosen(form, x)
	case fields.Date:
		return t.day(x)
	case time.Time:
		return instant(x, t.h)
	case []string:
		return join(texts(x, Clean))
	case []fields.SpeciesShare:
		return strings.Join(texts(x, func(s fields.SpeciesShare) string {
			if s.Share == nil {
				return Clean(s.Species)
			}
			return Clean(s.Species) + " " + number(*s.Share, 1) + " %"
		}), ", ")
	case []fields.Span:
		return strings.Join(texts(x, func(s fields.Span) string {
			return "read from " + instant(s.From, t.h) + " to " + instant(s.To, t.h)
		}), ", ")
	case fields.RuleValue:
		if x.Number != nil {
			return exact(*x.Number)
		}
		return Clean(x.Word)
	case fields.Contacts:
		return strings.Join(contacts(&x), ", ")
	case fields.Watch:
		if x.WholeYear() {
			return "frost watch all year"
		}
		words := "frost watch from " + new(speaker).dayOfYear(x.From) + " through " + new(speaker).dayOfYear(x.To)
		if r := x.Record; r != nil {
			words += ", from the record of " + Clean(r.Station) + ", " + plural(r.Seasons, "season") + " from " +
				strconv.Itoa(r.FromYear) + " to " + strconv.Itoa(r.ToYear)
		}
		return words
	}
	panic("board: no words for the field " + name)
}

// counted is a number in the farm's unit, with as many decimals as form says, or as
// many of a thing: "n bale" makes "1 bale", "20 bales".
func (t *entrySpeaker) counted(x float64, form string) string {
	switch m := fields.Measures[form]; m {
	case nil:
	case fields.Tonnage, fields.NitrogenRate: // people mean two things by a ton and by "40"
		return t.u.both(m, x)
	default:
		return t.u.in(m, x)
	}
	if one, ok := strings.CutPrefix(form, "n "); ok {
		return number(x, 1) + " " + one + provided(x != 1, "s")
	}
	places, err := strconv.Atoi(form)
	if err != nil {
		panic("board: no form of a number " + form)
	}
	return number(x, places)
}

// chosen is what a choice reads as: "word=words|word=words", itself where there
// are none.
func chosen(choices, x string) string {
	for _, c := range strings.Split(choices, "|") {
		if word, says, ok := strings.Cut(c, "="); ok && word == x {
			return says
		}
	}
	if choices != "" {
		return ""
	}
	return Clean(x)
}

// valueOf is what a body says in a field of the journal, nil for nothing.
func valueOf(b fields.Body, name string) any {
	v := reflect.ValueOf(b).Elem()
	for i := range v.NumField() {
		if tag, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ","); tag != name {
			continue
		}
		f := v.Field(i)
		switch {
		case f.Kind() == reflect.String:
			return f.String() // words of a type of their own too
		case f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.String && !f.IsNil():
			list := make([]string, f.Len())
			for j := range list {
				list[j] = f.Index(j).String()
			}
			return list
		case (f.Kind() == reflect.Pointer || f.Kind() == reflect.Slice) && f.IsNil():
			return nil
		case f.Kind() == reflect.Pointer:
			return f.Elem().Interface()
		}
		return f.Interface()
	}
	panic("board: no field " + name + " in an entry of kind " + string(fields.KindOf(b)))
}

// nightWords spells a night out: it belongs to the day on which it ends.
func (t *entrySpeaker) night(d fields.Date) string {
	return "night ending " + t.day(d) + " (from noon " + (d - 1).Short() + " to noon " + d.Short() + ")"
}

// day is a day, with its year where that is not the one asked about.
func (t *entrySpeaker) day(d fields.Date) string { return d.Beside(t.h.On) }

// instant prints a moment in farm time: "Fri 11 Sep 06:52".
func instant(t time.Time, h *fields.History) string {
	return moment(t, h, fields.DateOf(t, h.Loc).Beside(h.On))
}

// datedInstant is instant with its year, for what is kept.
func datedInstant(t time.Time, h *fields.History) string {
	return moment(t, h, fields.DateOf(t, h.Loc).Words())
}

func moment(t time.Time, h *fields.History, day string) string {
	text := day + " " + t.In(h.Loc).Format("15:04")
	if !h.ZoneSet {
		text += " UTC"
	}
	return text
}

// date is the entry's own date, in the farm's zone.
func (t *entrySpeaker) date(e *fields.Entry) string {
	d := e.EventDate(t.h.Loc)
	switch {
	case e.At.IsZero() && d == fields.NoDate:
		return ""
	case e.At.IsZero():
		return t.day(d)
	case d != fields.DateOf(e.At, t.h.Loc) && d != fields.NoDate:
		return t.day(d) + " (" + instant(e.At, t.h) + ")"
	}
	return instant(e.At, t.h)
}

// struck is the entry that a strike names, with what it states.
func (t *entrySpeaker) struck(e *fields.Entry) string {
	id := e.Body.(*fields.Strike).Entry
	out := Clean(id)
	for _, fs := range [][]fields.Fact{t.h.Facts, t.h.StruckFacts()} {
		for _, f := range fs {
			if f.ID == id && t.depth == 0 && f.Kind() != fields.KindStrike {
				return out + " (" + (&entrySpeaker{h: t.h, u: t.u, depth: 1}).tell(f.Entry) + ")"
			}
		}
	}
	return out
}

// labValues echoes the values as printed.
func labValues(_ *entrySpeaker, e *fields.Entry) string {
	b := e.Body.(*fields.Lab)
	vals := texts(b.Values, func(v fields.Value) string {
		x := grouped(exact(v.N)) // as typed: a rounded figure is another one
		if v.Below {
			return "below " + x + " (not detected)"
		}
		return x
	})
	x := join(vals) + " " + string(b.Unit)
	if b.Form != "" {
		x += " " + string(b.Form)
	}
	if b.Analyte == "hcn" {
		x += " HCN"
	}
	return x + map[string]string{"dm": " on dry matter", "as-fed": " as fed"}[string(b.Basis)]
}

// labRead is what they are judged as: a factor of 4.43 lies between NO3-N and
// NO3.
func labRead(_ *entrySpeaker, e *fields.Entry) string {
	b := e.Body.(*fields.Lab)
	in, ok := onDryMatter(b)
	switch {
	case !ok:
		return "not on dry matter: log the dry matter to have it judged in full"
	case b.Analyte == "hcn":
		return "read as " + ppm(in) + " ppm HCN on dry matter"
	}
	return "read as " + nitrateFigure(in)
}

// UnlikelyUnit says of a laboratory's figure that another unit fits it better,
// "" if its own does. The bounds are ours, to ask at and not to judge by: nitrate
// from 10 ppm to 10 %, HCN from 1 ppm to 1 %.
func UnlikelyUnit(analyte string, v float64, unit string) string {
	perUnit, ok := map[string]float64{"ppm": 1, "mg/kg": 1, "g/kg": 1000, "%": 10000}[unit]
	if !ok {
		return ""
	}
	if v == 0 {
		return "0 " + unit + " can only mean not detected, and that is below the lab's limit: type it, " +
			"like \"<100\""
	}
	least, most := 10.0, 100_000.0
	if analyte == "hcn" {
		least, most = 1, 10_000
	}
	figure := grouped(exact(v)) + " " + unit
	switch in := v * perUnit; {
	case in < least:
		t := figure + " is very little for such a result"
		if perUnit == 1 {
			t += ": as % it would be " + number(v*10000, 0) + " ppm, as g/kg " + number(v*1000, 0) + " ppm"
		}
		return t
	case in > most:
		return figure + " is more than a plant holds: it would be " + number(in, 0) + " ppm"
	}
	return ""
}

// onDryMatter is the highest value as ppm on dry matter, nitrate as NO3-N.
func onDryMatter(b *fields.Lab) (float64, bool) {
	most := 0.0
	for _, v := range b.Numbers() {
		most = max(most, v)
	}
	dm, ok := hazard.NitrateDM(b, most) // unit and basis alone, whatever the analyte
	if ok && b.Analyte == "nitrate" {
		dm = hazard.ConvertNitrate(dm, b.Form, "NO3-N")
	}
	return dm, ok && !math.IsNaN(dm)
}
