package board

import (
	"math"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// EntryWords says in one line what an entry states: the echo before it is
// stored and its line wherever it is named later. Every field that was said is
// in it, with its unit. The history gives names and the farm's zone; it may be
// nil.
func EntryWords(e *fields.Entry, h *fields.History, u Units) string {
	return (&teller{h: h, u: u}).tell(e)
}

// EntryLine is EntryWords with who signed it and when it was written down.
func EntryLine(e *fields.Entry, h *fields.History, u Units) string {
	t := EntryWords(e, h, u)
	if by := Clean(e.By); by != "" {
		t += ", signed " + by
	}
	if !e.Recorded.IsZero() {
		t += ", written down " + instant(e.Recorded, h)
	}
	return t
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
		p.Struck = "by " + Clean(strike.By) + " on " + strike.Date.Words() + with + ": " + Clean(b.Because)
	}
	return p
}

// teller writes one entry as "Kind: part, part, part".
type teller struct {
	h     *fields.History
	u     Units
	parts []string
	depth int // a strike tells the entry it strikes, once
}

func (t *teller) add(s ...string) {
	if x := strings.Join(s, ""); x != "" {
		t.parts = append(t.parts, x)
	}
}

// say adds a person's words under a label.
func (t *teller) say(label, words string) {
	if w := Clean(words); w != "" {
		t.add(label, w)
	}
}

func (t *teller) num(label string, v *float64, places int, after string) {
	if v != nil {
		t.add(label, number(*v, places), after)
	}
}

// count adds a number of things: "1 bale", "20 bales".
func (t *teller) count(label string, v *float64, one, after string) {
	if v == nil {
		return
	}
	if *v != 1 {
		one += "s"
	}
	t.add(label, number(*v, 1), " ", one, after)
}

func (t *teller) in(label string, m *fields.Measure, v *float64, after string) {
	if v != nil {
		t.add(label, t.u.in(m, *v), after)
	}
}

func (t *teller) yesNo(v *bool, yes, no string) {
	if v == nil {
		return
	}
	if *v {
		t.add(yes)
	} else {
		t.add(no)
	}
}

func (t *teller) where(ids []string) {
	if len(ids) == 0 {
		return
	}
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = paddockName(t.h, id)
	}
	t.add(join(out))
}

// place is a paddock, a lot, or both.
func (t *teller) place(paddock, lot string) {
	if paddock != "" {
		t.add(paddockName(t.h, paddock))
	}
	if lot != "" {
		t.add("lot ", Clean(lot))
	}
}

func (t *teller) station(id string) string {
	if t.h != nil {
		if s := t.h.Station(id); s != nil {
			if n := Clean(s.Name); n != "" {
				return "thermometer " + n
			}
		}
	}
	return "thermometer " + Clean(id)
}

// nightWords spells a night out: it belongs to the day on which it ends.
func nightWords(d fields.Date) string {
	return "night ending " + d.Words() + " (from noon " + (d - 1).Short() + " to noon " + d.Short() + ")"
}

func (t *teller) tell(e *fields.Entry) string {
	label := t.body(e)
	text := label
	if len(t.parts) > 0 {
		text += ": " + strings.Join(t.parts, ", ")
	}
	if n := Clean(e.Note); n != "" {
		text += `; note: "` + n + `"`
	}
	return text
}

// date adds the entry's own date, in the farm's zone.
func (t *teller) date(e *fields.Entry) {
	switch {
	case !e.At.IsZero():
		d := e.EventDate(t.loc())
		at := fields.DateOf(e.At, t.loc())
		if d != at && d != fields.NoDate {
			t.add(d.Words(), " (", instant(e.At, t.h), ")")
		} else {
			t.add(instant(e.At, t.h))
		}
	case e.EventDate(t.loc()) != fields.NoDate:
		t.add(e.EventDate(t.loc()).Words())
	}
}

func (t *teller) species(ids []string, none string) {
	if ids == nil {
		return
	}
	if len(ids) == 0 {
		t.add(none)
		return
	}
	t.add(join(cleanAll(ids)))
}

func (t *teller) body(e *fields.Entry) string {
	switch b := e.Body.(type) {
	case *fields.Farm:
		t.farm(e, b)
		return "Farm"
	case *fields.Override:
		t.add(Clean(b.Rule))
		if b.Value != nil {
			if b.Value.Number != nil {
				t.add("value ", exact(*b.Value.Number))
			} else {
				t.say("value ", b.Value.Word)
			}
		}
		t.date(e)
		if b.Until != fields.NoDate {
			t.add("through and including ", b.Until.Words())
		}
		t.say("source: ", b.Source)
		t.say("because: ", b.Because)
		return "Rule set"
	case *fields.PaddockFacts:
		t.add(Clean(b.Name), " (", Clean(b.Paddock), ")")
		t.date(e)
		t.in("", fields.Area, b.AreaHa, "")
		if b.Station != "" {
			t.add("read at ", t.station(b.Station))
		}
		if b.OffsetC != nil {
			t.add(t.offset(*b.OffsetC))
		}
		t.yesNo(b.LowLying, "low-lying", "not low-lying")
		t.say("bounds: ", b.Bounds)
		return "Paddock"
	case *fields.Split:
		t.date(e)
		t.add(t.names(b.From), " split into ", t.names(b.Into))
		return "Split"
	case *fields.Join:
		t.date(e)
		t.add(t.names(b.From), " joined into ", t.names(b.Into))
		return "Join"
	case *fields.Sown:
		t.sown(e, b)
		return "Sown"
	case *fields.Seen:
		t.add(paddockName(t.h, b.Paddock))
		t.date(e)
		t.species(b.Species, "no plant named")
		t.add(map[string]string{"trace": "a trace (scattered, under 5 % of the stand)", "patches": "in patches", "common": "common all over"}[string(b.Extent)])
		t.say("where: ", b.Where)
		return "Seen growing"
	case *fields.StationFacts:
		t.add(Clean(b.Name), " (", Clean(b.Station), ")")
		t.date(e)
		t.num("latitude ", b.Lat, 5, "°")
		t.num("longitude ", b.Lon, 5, "°")
		t.in("", fields.Elevation, b.ElevationM, " above the sea")
		t.in("", fields.Elevation, b.HeightM, " above the ground")
		return "Thermometer"
	case *fields.Reading:
		t.reading(b)
		return "Reading"
	case *fields.Forecast:
		t.add(nightWords(b.Night))
		if b.LowC != nil {
			t.add("low ", t.u.temp(*b.LowC))
		}
		t.add(t.nightPlace(b.Station, b.Paddock, ""))
		t.add("issued ", instant(b.Issued, t.h))
		t.say("source: ", b.Source)
		return "Forecast"
	case *fields.NoFrost:
		if b.From == b.To {
			t.add(nightWords(b.From))
		} else {
			t.add("nights ending ", b.From.Words(), " through ", b.To.Words())
		}
		t.add("by ", map[string]string{
			"thermometer-in-paddock": "a thermometer in the paddock",
			"other-thermometer":      "a thermometer elsewhere", "looked-at-dawn": "a look at dawn",
		}[string(b.Basis)])
		t.where(b.Paddocks)
		return "No frost"
	case *fields.Frost:
		t.frost(e, b)
		return "Frost"
	case *fields.Walk:
		t.walk(e, b)
		return "Walk"
	case *fields.Drought:
		t.date(e)
		t.in("after rain of ", fields.RainDepth, b.RainMM, "")
		t.where(b.Paddocks)
		if b.State == "end" {
			return "Drought ended"
		}
		return "Drought started"
	case *fields.Rain:
		t.date(e)
		t.in("", fields.RainDepth, b.MM, "")
		t.where(b.Paddocks)
		return "Rain"
	case *fields.Hail:
		return t.harm(e, "Hail", b.Product, b.Paddocks)
	case *fields.Trampled:
		return t.harm(e, "Trampled", b.Product, b.Paddocks)
	case *fields.Sprayed:
		return t.harm(e, "Sprayed", b.Product, b.Paddocks)
	case *fields.Nitrogen:
		t.date(e)
		t.in("", fields.PerArea, b.KgNHa, " of nitrogen")
		t.yesNo(b.RateUnknown, "nobody knows the rate", "the rate is known")
		t.say("as ", b.Form)
		t.where(b.Paddocks)
		return "Nitrogen spread"
	case *fields.Cut:
		t.add(paddockName(t.h, b.Paddock))
		t.date(e)
		t.in("at ", fields.Height, b.HeightCM, "")
		if b.Lot != "" {
			t.add("lot ", Clean(b.Lot))
		}
		return "Cut for " + string(b.Use)
	case *fields.Grazed:
		t.date(e)
		herd := "stock"
		if b.Herd != "" {
			herd = Clean(b.Herd)
		}
		t.add(herd, map[string]string{"in": " into ", "out": " out of "}[string(b.State)], paddockName(t.h, b.Paddock))
		t.in("", fields.Height, b.LeftCM, " left standing")
		if b.State == "out" && b.LeftCM == nil {
			t.add("what they left standing not said")
		}
		t.yesNo(b.SwathLeft, "swath left lying", "no swath left")
		return "Stock moved"
	case *fields.LotFacts:
		t.lot(e, b)
		return "Lot"
	case *fields.Sampled:
		t.place(b.Paddock, b.Lot)
		t.date(e)
		t.say("sample ", b.Sample)
		t.say("sent to ", b.Lab)
		t.sampling(b.Stems, b.Spots, b.BalesCored, b.Cores, b.CutCM)
		return "Sample sent, result awaited"
	case *fields.Lab:
		t.lab(b)
		if b.Analyte == "hcn" {
			return "HCN result"
		}
		return "Nitrate result"
	case *fields.Water:
		t.water(b)
		return "Water result"
	case *fields.Fed:
		t.add("lot ", Clean(b.Lot), " to ", Clean(b.Herd))
		switch {
		case b.To == fields.NoDate:
			t.add("from ", b.From.Words())
		case b.To == b.From:
			t.add(b.From.Words())
		default:
			t.add("from ", b.From.Words(), " through ", b.To.Words())
		}
		t.in("", fields.Weight, b.Kg, "")
		t.yesNo(b.Mixed, "mixed into the ration", "not mixed")
		return "Fed"
	case *fields.HerdFacts:
		t.add(Clean(b.Herd))
		t.date(e)
		t.num("", b.Head, 0, " head")
		t.add(join(cleanAll(b.Classes)))
		t.in("", fields.Weight, b.WeightKg, " each")
		t.num("eating ", b.IntakePctBW, 2, " % of body weight a day")
		return "Herd"
	case *fields.Incident:
		t.place(b.Paddock, b.Lot)
		t.date(e)
		t.num("", b.Down, 0, " down")
		t.num("", b.Dead, 0, " dead")
		if b.Herd != "" {
			t.add("herd ", Clean(b.Herd))
		}
		t.say("", b.What)
		return "Incident"
	case *fields.Vet:
		t.vet(e, b)
		return map[string]string{"keep-off": "Veterinarian says keep off", "may-graze": "Veterinarian says may graze"}[string(b.Advice)]
	case *fields.Round:
		t.add(Clean(b.Name))
		t.add("from ", e.EventDate(t.loc()).Words())
		t.say("rule ", b.RRule)
		t.say("", b.What)
		t.where(b.Paddocks)
		return "Round"
	case *fields.Done:
		t.say("round ", b.Round)
		t.say("", b.Task)
		t.date(e)
		return "Done"
	case *fields.Read:
		t.date(e)
		return "Sheet read"
	case *fields.Strike:
		t.strike(e, b)
		return "Strike"
	}
	return "Entry of kind " + Clean(string(e.Kind()))
}

func (t *teller) names(ids []string) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = paddockName(t.h, id)
	}
	return join(out)
}

func (t *teller) offset(c float64) string {
	if c == 0 {
		return "as cold as its thermometer says"
	}
	return t.u.both(fields.Difference, -c) + " colder than its thermometer"
}

// nightPlace names a station, or a paddock behind the word in.
func (t *teller) nightPlace(station, paddock, in string) string {
	switch {
	case station != "" && paddock != "":
		return t.station(station) + " and " + paddockName(t.h, paddock)
	case station != "":
		return t.station(station)
	}
	return in + paddockName(t.h, paddock)
}

func (t *teller) farm(e *fields.Entry, b *fields.Farm) {
	t.say("", b.Name)
	t.date(e)
	t.say("time zone ", b.Zone)
	t.num("latitude ", b.Lat, 5, "°")
	t.num("longitude ", b.Lon, 5, "°")
	t.in("", fields.Elevation, b.ElevationM, " above the sea")
	t.say("units ", b.Units)
	if w := b.FrostWatch; w != nil {
		t.add("frost watch from ", monthDay(w.From), " through ", monthDay(w.To))
		if r := w.Record; r != nil {
			t.add("from the record of ", Clean(r.Station), ", ", plural(r.Seasons, "season"), " from "+strconv.Itoa(r.FromYear)+" to "+strconv.Itoa(r.ToYear))
		}
	}
	t.say("nitrate table ", b.NitrateTable)
	t.count("", b.ShareDays, "day", " of feed asked for")
	if b.Contacts != nil {
		t.add(strings.Join(contacts(b.Contacts), ", "))
	}
}

func (t *teller) sown(e *fields.Entry, b *fields.Sown) {
	t.add(paddockName(t.h, b.Paddock))
	t.date(e)
	if len(b.Species) == 0 {
		t.add("no species named: what grows here counts as unknown")
	}
	for _, s := range b.Species {
		x := Clean(s.Species)
		if s.Share != nil {
			x += " " + number(*s.Share, 1) + " %"
		}
		t.add(x)
	}
	t.yesNo(b.NewStand, "a new stand", "added to the stand that is there")
	t.say("the old stand ended ", string(b.Ended))
}

func (t *teller) reading(b *fields.Reading) {
	t.add(nightWords(b.Night))
	if b.LowC != nil {
		t.add("low ", t.u.temp(*b.LowC))
	}
	t.yesNo(b.BelowZero, "below zero", "not below zero")
	t.yesNo(b.Covers, "the whole night was read", "only part of the night was read")
	for _, s := range b.Spans {
		t.add("read from ", instant(s.From, t.h), " to ", instant(s.To, t.h))
	}
	t.num("", b.HoursBelow0, 2, " h below "+t.u.temp(0))
	t.num("", b.HoursBelowKill, 2, " h below the killing line")
	t.add(t.nightPlace(b.Station, b.Paddock, "a thermometer in "))
	t.say("source: ", b.Source)
}

func (t *teller) frost(e *fields.Entry, b *fields.Frost) {
	d := e.EventDate(t.loc())
	t.add(nightWords(d))
	if !b.EndedAt.IsZero() {
		t.add("last freezing hour ended ", instant(b.EndedAt, t.h))
		if b.Night != fields.NoDate && b.Night != d {
			t.add("the night given was ", b.Night.Words(), ", the later one counts")
		}
	}
	if b.LowC != nil {
		t.add("low ", t.u.temp(*b.LowC))
	}
	t.say("seen: ", b.Seen)
	t.where(b.Paddocks)
}

func (t *teller) walk(e *fields.Entry, b *fields.Walk) {
	t.add(paddockName(t.h, b.Paddock))
	t.date(e)
	switch b.Part {
	case "swath":
		t.add("the swath")
	case "stand":
		t.add("the stand")
	}
	if b.Killed != "" {
		t.add("killed: ", string(b.Killed))
	}
	if b.FrostDamage != "" {
		t.add("frost damage: ", string(b.FrostDamage))
	}
	if b.DamageNight != fields.NoDate {
		t.add("from the ", nightWords(b.DamageNight))
	}
	t.yesNo(b.Dry, "dry", "not dry")
	if b.ShootsCM != nil {
		if *b.ShootsCM == 0 {
			t.add("no new shoots")
		} else {
			t.in("new shoots ", fields.Height, b.ShootsCM, "")
		}
	}
	t.in("shortest growth ", fields.Height, b.ShortestCM, "")
	if b.Alive != nil {
		t.species(prefix("still green: ", b.Alive), "nothing still green")
	}
	if b.Absent != nil {
		t.species(prefix("gone: ", b.Absent), "none named as gone")
	}
	t.yesNo(b.Wilted, "wilted", "not wilted")
	t.yesNo(b.StressFree, "free of stress", "under stress")
	t.yesNo(b.WeedsChecked, "weeds checked", "weeds not checked")
	t.in("feed ", fields.PerArea, b.KgDMHa, " of dry matter")
}

func prefix(label string, list []string) []string {
	if len(list) == 0 {
		return list
	}
	out := append([]string{}, list...)
	out[0] = label + out[0]
	return out
}

func (t *teller) harm(e *fields.Entry, label, product string, paddocks []string) string {
	t.date(e)
	t.say("", product)
	t.where(paddocks)
	return label
}

func (t *teller) lot(e *fields.Entry, b *fields.LotFacts) {
	t.add(Clean(b.Lot))
	t.add(Clean(string(b.LotKind)))
	t.add("made ", b.MadeOn.Words())
	if len(b.From) > 0 {
		t.add("from ", t.names(b.From))
	}
	if b.CutOn != fields.NoDate {
		t.add("cut ", b.CutOn.Words())
	}
	t.count("", b.Bales, "bale", "")
	t.in("", fields.Tonnage, b.Tonnes, "")
	t.num("", b.DMPct, 1, " % dry matter")
	if b.Species != nil {
		t.species(prefix("of ", b.Species), "no species named")
	}
	t.say("sold by ", b.Seller)
}

func (t *teller) sampling(stems, spots, bales, cores, cut *float64) {
	t.count("", stems, "stem", "")
	t.count("from ", spots, "spot", "")
	t.count("", bales, "bale", " cored")
	t.count("", cores, "core", "")
	t.in("cut at ", fields.Height, cut, "")
}

// lab echoes the value as printed and, beside it, what it is judged as: a
// factor of 4.43 lies between NO3-N and NO3.
func (t *teller) lab(b *fields.Lab) {
	t.place(b.Paddock, b.Lot)
	t.add("sampled ", b.SampledOn.Words())
	vals := make([]string, len(b.Values))
	for i, v := range b.Values {
		vals[i] = grouped(exact(v.N)) // as typed: a rounded figure is another one
		if v.Below {
			vals[i] = "below " + vals[i] + " (not detected)"
		}
	}
	x := join(vals) + " " + string(b.Unit)
	if b.Form != "" {
		x += " " + string(b.Form)
	}
	if b.Analyte == "hcn" {
		x += " HCN"
	}
	basis := map[string]string{"dm": " on dry matter", "as-fed": " as fed"}[string(b.Basis)]
	t.add(x, basis)
	t.num("", b.DMPct, 1, " % dry matter")
	if in, ok := onDryMatter(b); ok {
		if b.Analyte == "hcn" {
			t.add("read as ", ppm(in), " ppm HCN on dry matter")
		} else {
			t.add("read as ", nitrateFigure(in))
		}
	} else {
		t.add("not on dry matter: say the dry matter to have it judged in full")
	}
	t.add(map[string]string{"lab": "laboratory", "strip": "test strip", "quick": "quick test"}[string(b.Method)])
	t.say("sample ", b.Sample)
	t.sampling(b.Stems, b.Spots, b.BalesCored, b.Cores, b.CutCM)
	if b.SampleState != "" {
		t.add("sample state ", string(b.SampleState))
	}
	if f := Clean(b.FileSHA256); f != "" {
		if len(f) > 12 {
			f = f[:12] + "..."
		}
		t.add("file ", f)
	}
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
		return "0 " + unit + " can only mean not detected, and that is below the laboratory's limit: type it, like \"<100\""
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

func (t *teller) water(b *fields.Water) {
	t.add(Clean(b.Source))
	t.add("sampled ", b.SampledOn.Words())
	if b.Value != nil {
		t.add(number(*b.Value, 2), " ", string(b.Unit), " ", string(b.Form))
		if b.Form == "NO3" {
			t.add("read as ", number(hazard.ConvertNitrate(*b.Value, "NO3", "NO3-N"), 2), " mg NO3-N per litre")
		} else {
			t.add("that is ", number(hazard.ConvertNitrate(*b.Value, "NO3-N", "NO3"), 1), " mg NO3 per litre")
		}
	}
	if len(b.Paddocks) > 0 {
		t.add("drunk in ", t.names(b.Paddocks))
	}
	if len(b.Herds) > 0 {
		t.add("drunk by ", join(cleanAll(b.Herds)))
	}
}

func (t *teller) vet(e *fields.Entry, b *fields.Vet) {
	t.place(b.Paddock, b.Lot)
	t.date(e)
	if b.Until != fields.NoDate {
		t.add("through and including ", b.Until.Words())
	} else {
		t.add("no last day")
	}
	if len(b.Classes) > 0 {
		t.add("for ", join(cleanAll(b.Classes)))
	} else {
		t.add("for every class")
	}
	if len(b.Uses) > 0 {
		t.add("to ", join(cleanAll(b.Uses)))
	} else {
		t.add("for every use")
	}
	t.say("said by ", b.Who)
	t.say("because: ", b.Because)
}

func (t *teller) strike(e *fields.Entry, b *fields.Strike) {
	t.date(e)
	if b.Batch != "" {
		t.add("all that the import ", Clean(b.Batch), " brought no longer counts")
		t.say("because: ", b.Because)
		return
	}
	target := Clean(b.Entry)
	if f, ok := t.find(b.Entry); ok && t.depth == 0 && f.Kind() != fields.KindStrike {
		target += " (" + (&teller{h: t.h, u: t.u, depth: 1}).tell(f) + ")"
	}
	t.add(target, " no longer counts")
	t.say("because: ", b.Because)
}

func (t *teller) find(id string) (*fields.Entry, bool) {
	if t.h == nil {
		return nil, false
	}
	for _, fs := range [][]fields.Fact{t.h.Facts, t.h.StruckFacts()} {
		for _, f := range fs {
			if f.ID == id {
				return f.Entry, true
			}
		}
	}
	return nil, false
}
