package farm

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/calendar"
	"rimegate/fields/journal"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
	"rimegate/weather"
)

// meaning is what this farm asks of the entries of one kind.
type meaning struct {
	// shown are the fields with names that people read at the gate or on a list;
	// nobody may be unable to see what they hold.
	shown string
	day   string // the field of its day, "on" if ""
	check func(*checker, *fields.Entry)
}

// meanings is the table of what is looked at besides what fields.Check refuses
// of any farm. A kind that is not in it has only its day and places.
var meanings = map[fields.Kind]meaning{
	fields.KindFarm:     {shown: "name", check: of((*checker).farm)},
	fields.KindOverride: {check: of((*checker).override)},
	fields.KindPaddock:  {shown: "paddock name", check: of((*checker).paddock)},
	fields.KindSplit:    {shown: "into", check: (*checker).reshape},
	fields.KindJoin:     {shown: "into", check: (*checker).reshape},
	fields.KindSown:     {shown: "species", check: of((*checker).sown)},
	fields.KindSeen:     {shown: "species", check: (*checker).plants},
	fields.KindStation:  {shown: "station name", check: of((*checker).station)},
	fields.KindReading:  {day: "night", check: of((*checker).reading)},
	fields.KindForecast: {check: of((*checker).forecast)},
	fields.KindNoFrost:  {day: "to", check: of((*checker).noFrost)},
	fields.KindDrought:  {check: of((*checker).drought)},
	fields.KindGrazed:   {check: of((*checker).grazed)},
	fields.KindFrost:    {day: "night", check: of((*checker).frost)},
	fields.KindWalk:     {shown: "alive absent", check: of((*checker).walk)},
	fields.KindCut:      {shown: "lot", check: of((*checker).cut)},
	fields.KindLot:      {shown: "lot species seller", day: "made_on", check: of((*checker).lot)},
	fields.KindSampled:  {shown: "sample", check: of((*checker).sampled)},
	fields.KindLab:      {shown: "sample", day: "sampled_on", check: of((*checker).lab)},
	fields.KindWater:    {shown: "source", day: "sampled_on"},
	fields.KindFed:      {day: "from", check: of((*checker).fed)},
	fields.KindUsedUp:   {check: of((*checker).usedUp)},
	fields.KindHerd:     {shown: "herd", check: of((*checker).herd)},
	fields.KindRound:    {shown: "name", check: of((*checker).round)},
	fields.KindDone:     {check: of((*checker).done)},
	fields.KindStrike:   {check: of((*checker).strike)},
}

// of makes a check of one kind's body a check of entries.
func of[B fields.Body](check func(*checker, *fields.Entry, B)) func(*checker, *fields.Entry) {
	return func(c *checker, e *fields.Entry) { check(c, e, e.Body.(B)) }
}

// checker looks at entries about to be logged, one after the other, in the
// light of the journal. Import and merge do not pass through here: what another
// seat wrote down is kept and listed by `journal check`.
type checker struct {
	v        *View
	sure     Sure
	assumed  bool // nothing is stored: its day may be to come
	rows     bool // of a sheet, which counts what is told twice
	problems fields.Problems
	notes    []string
	asked    map[string]bool    // plants asked about already
	fresh    map[string][]named // set up by the same batch, by sort of thing
	struck   map[string]bool    // by the same batch
}

func newChecker(v *View, sure ...Sure) *checker {
	c := &checker{v: v, asked: map[string]bool{}, fresh: map[string][]named{}, struck: map[string]bool{}}
	if len(sure) > 0 {
		c.sure = sure[0]
	}
	return c
}

// clone is a checker that goes on from here by itself.
func (c *checker) clone() *checker {
	x := *c
	x.asked, x.fresh, x.struck = maps.Clone(c.asked), maps.Clone(c.fresh), maps.Clone(c.struck)
	return &x
}

func (c *checker) refuse(field, what, hint string) {
	c.problems = append(c.problems, fields.Problem{Field: field, What: what, Type: hint})
}

func (c *checker) refuseErr(field string, err error) {
	if err != nil {
		c.refuse(field, err.Error(), "")
	}
}

func (c *checker) note(format string, args ...any) {
	c.notes = append(c.notes, fmt.Sprintf(format, args...))
}

// ask refuses what a person does not stand by yet, and notes what one does.
func (c *checker) ask(sure bool, field, what, kept, hint string) {
	if sure {
		c.note("%s: kept as logged%s.", what, kept)
	} else {
		c.problems = append(c.problems, fields.Problem{Field: field, What: what, Type: hint, Asked: true})
	}
}

func (c *checker) entry(e *fields.Entry) {
	if ps := fields.Check(e); len(ps) > 0 {
		c.problems = append(c.problems, ps...)
		return
	}
	m := meanings[e.Kind()]
	if !c.assumed {
		c.dates(e, m.day)
		shown := strings.Fields(m.shown)
		e.Texts(func(field, _, text string) {
			if odd := oddSign(text); odd != "" && slices.Contains(shown, field) {
				c.refuse(field, fmt.Sprintf("%q %s", text, odd), "type the name again, by hand")
			}
		})
	}
	c.places(e)
	if m.check != nil {
		m.check(c, e)
	}
	if !c.assumed && !c.rows {
		c.twice(e)
	}
}

// overAt is the farm hour before which nobody can say of the night that ends
// today that it had no frost: the coldest hour is about sunrise.
const overAt = 6

// dates refuses facts dated after the day they are written down.
func (c *checker) dates(e *fields.Entry, field string) {
	c.come("at", e.At, e, "log it when it has happened")
	if b, ok := e.Body.(*fields.Frost); ok && c.come("ended_at", b.EndedAt, e, "log it when it is over, or leave the hour out") {
		return
	}
	d, ahead := journal.DatedAhead(e, c.v.Loc)
	if !ahead {
		c.longAgo(e)
		return
	}
	if b, ok := e.Body.(*fields.Fed); ok && b.To != fields.NoDate {
		field = "to"
	}
	c.refuse(cmp.Or(field, "on"), fmt.Sprintf("%s has not come yet (today is %s)", d.Words(), fields.DateOf(e.Recorded, c.v.Loc).Words()), "log it when it has happened")
}

// yearAgo is from how many days back bad news is read back with its age (ours, no source): of
// a year that is one too low, as people write in January, nothing is left that counts.
const yearAgo = 300

// longAgo says how long ago bad news is, where the slip of a year would make it count for
// nothing.
func (c *checker) longAgo(e *fields.Entry) {
	switch e.Kind() {
	case fields.KindFrost, fields.KindHail, fields.KindTrampled, fields.KindSprayed, fields.KindDrought, fields.KindNitrogen, fields.KindIncident:
	default:
		return
	}
	d := e.EventDate(c.v.Loc)
	if days := fields.DateOf(e.Recorded, c.v.Loc).Sub(d); days >= yearAgo && !c.rows {
		c.note("%s IS %d DAYS AGO. If that year is a slip, strike this entry and log it again: as it stands it says nothing of this season.",
			strings.ToUpper(d.Words()), days)
	}
}

// come refuses a moment after the entry was written down.
func (c *checker) come(field string, t time.Time, e *fields.Entry, hint string) bool {
	late := t.After(e.Recorded.Add(ClockSlack))
	if late {
		c.refuse(field, clockWords(t.In(c.v.Loc))+" has not come yet", hint)
	}
	return late
}

// places refuses names the farm does not have. What the entry sets up itself, and
// what becomes of land, is for the check of its kind.
func (c *checker) places(e *fields.Entry) {
	kind := e.Kind()
	if kind == fields.KindSplit || kind == fields.KindJoin {
		return
	}
	e.Texts(func(field, what, id string) {
		isNew := string(kind) == what || kind == fields.KindCut && what == "lot"
		if what == "" || isNew || c.isFresh(what, id) {
			return
		}
		_, err := c.v.find(what, id)
		p := c.v.History.Paddock(id)
		if what == "paddock" {
			if err == nil && p == nil {
				err = &UnknownError{What: what, Typed: id, Close: alike(id, c.v.names[what], true)}
			}
			if field = "paddocks"; len(e.Paddocks()) == 1 {
				field = "paddock"
			}
		}
		c.refuseErr(field, err)
		switch {
		case what != "paddock" || p == nil || p.Retired == fields.NoDate:
		case (kind == fields.KindWalk || kind == fields.KindLab) && e.EventDate(c.v.Loc) >= p.Retired:
			c.refuse(field, fmt.Sprintf("%s changed its shape on %s, and nobody walked or sampled all it became at once",
				board.Clean(p.Name), p.Retired.Words()), "name the paddock that it is of: "+orList(c.v.History.Became(id, c.v.History.On)))
		default:
			c.note("%s changed its shape on %s: this counts for all it became", board.Clean(p.Name), p.Retired.Words())
		}
	})
}

// ofOnePart reports what a person finds in one place, so that it clears no part of land that
// had been split before (§3.10 of the contract).
func ofOnePart(f fields.Fact) bool { return f.Kind() == fields.KindWalk || f.Kind() == fields.KindLab }

// kindWord is what people call a walk or a result.
func kindWord(f fields.Fact) string {
	if f.Kind() == fields.KindLab {
		return "result"
	}
	return "walk"
}

func (c *checker) isFresh(what, id string) bool {
	return slices.ContainsFunc(c.fresh[what], func(n named) bool { return n.id == id })
}

func (c *checker) paddock(_ *fields.Entry, b *fields.PaddockFacts) {
	if _, err := c.v.find("lot", b.Paddock); err == nil {
		c.refuse("paddock", fmt.Sprintf("%q is the name of a lot of feed", b.Paddock), "choose another short name")
	}
	if was := c.v.History.Paddock(b.Paddock); was != nil && was.Name != "" && was.Name != b.Name {
		c.note("THE NAME ON THE GATE CHANGES from %s to %s: it is the same land, and all that is on file of %s stays its own. "+
			"Other land is added as a paddock of its own.", board.Clean(was.Name), board.Clean(b.Name), b.Paddock)
	}
	c.newPaddock("paddock", b.Paddock, b.Name)
}

func (c *checker) newPaddock(field, id, name string) {
	switch {
	case strings.EqualFold(id, AllPaddocks):
		c.refuse(field, fmt.Sprintf("%q means every paddock", id), "choose another short name")
	case strings.EqualFold(name, AllPaddocks):
		c.refuse("name", fmt.Sprintf("%q means every paddock", name), "choose another name")
	}
	c.namesake("paddock", id, name, c.v.gates())
}

func (c *checker) station(e *fields.Entry, b *fields.StationFacts) {
	c.longitude(e, b.Lon, "")
	c.namesake("station", b.Station, b.Name, c.v.names["station"])
}

func (c *checker) herd(_ *fields.Entry, b *fields.HerdFacts) {
	c.namesake("herd", b.Herd, "", c.v.names["herd"])
}

func (c *checker) lot(e *fields.Entry, b *fields.LotFacts) {
	c.noPaddock(b.Lot)
	c.namesake("lot", b.Lot, "", c.v.names["lot"])
	if f, gone := c.v.History.UsedUp(b.Lot); gone && b.MadeOn > f.Date {
		what := "%q was said to be used up on %s, and what was tested of it would count for this feed too"
		c.refuse("lot", fmt.Sprintf(what, b.Lot, f.Date.Words()), "choose another short name")
	}
	c.plants(e)
	was := c.v.History.LotOf(b.Lot)
	if b.Bales != nil && was.MostBales != nil && *b.Bales < *was.MostBales && b.MadeOn <= was.MadeOn {
		c.note("this lot was said to have %v bales: a sample must be of those, however many are left", *was.MostBales)
	}
	if was := was.LotKind; fields.StricterLotKind(b.LotKind, was) != b.LotKind {
		c.note("THIS LOT WAS CALLED %s, which still counts; if that was a slip, strike it", strings.ToUpper(string(was)))
	}
	if b.CutOn > b.MadeOn {
		c.refuse("cut_on", fmt.Sprintf("%s is after %s, the day the lot was made", b.CutOn.Words(), b.MadeOn.Words()), "")
	}
}

// noPaddock refuses a lot by the name of a paddock.
func (c *checker) noPaddock(lot string) {
	if c.v.History.Paddock(lot) != nil {
		c.refuse("lot", fmt.Sprintf("%q is the name of a paddock", lot), "choose another short name")
	}
}

// made refuses a day before the lot was made.
func (c *checker) made(field, lot string, d fields.Date) {
	if made := c.v.History.LotOf(lot).MadeOn; lot != "" && d < made {
		what := fmt.Sprintf("%s is before %s, the day %s was made", d.Words(), made.Words(), board.Clean(lot))
		c.refuse(field, what, "check the day")
	}
}

func (c *checker) usedUp(e *fields.Entry, b *fields.UsedUp) {
	c.made("on", b.Lot, e.EventDate(c.v.Loc))
}

func (c *checker) fed(e *fields.Entry, b *fields.Fed) {
	c.made("from", b.Lot, e.EventDate(c.v.Loc))
}

func (c *checker) sampled(e *fields.Entry, b *fields.Sampled) {
	c.made("on", b.Lot, e.EventDate(c.v.Loc))
}

func (c *checker) cut(_ *fields.Entry, b *fields.Cut) {
	if b.Lot == "" || c.isFresh("lot", b.Lot) {
		return
	}
	c.noPaddock(b.Lot)
	was := c.fresh["lot"]
	c.namesake("lot", b.Lot, "", c.v.names["lot"])
	c.fresh["lot"] = was // a cut describes no lot
	if _, err := c.v.find("lot", b.Lot); err != nil {
		c.note("lot %s is not set up yet: set it up with `rimegate lot add`", board.Clean(b.Lot))
	}
}

// reshape looks at a split or join: what it comes from must stand, what it
// makes must be new, so that no land ends up with the past of other land.
func (c *checker) reshape(e *fields.Entry) {
	var from, into []string
	switch b := e.Body.(type) {
	case *fields.Split:
		from, into = b.From, b.Into
	case *fields.Join:
		from, into = b.From, b.Into
	}
	for _, id := range from {
		p := c.v.History.Paddock(id)
		switch {
		case p == nil:
			_, err := c.v.find("paddock", id)
			c.refuseErr("from", err)
		case p.Retired != fields.NoDate:
			c.refuse("from", fmt.Sprintf("the paddock %s changed its shape on %s already", id, p.Retired.Words()), "name the paddocks it became")
		case e.Kind() == fields.KindSplit:
			for _, f := range c.v.History.OfPaddock(id) {
				if day := e.EventDate(c.v.Loc); ofOnePart(f) && f.Date >= day {
					c.note("THE %s of %s in %s clears no part from now on, only bad news of it counts: log it again of each part it is of",
						strings.ToUpper(kindWord(f)), f.Date.Words(), board.Clean(p.Name))
				}
			}
		}
	}
	for _, id := range into {
		if c.v.History.Paddock(id) != nil {
			c.refuse("into", fmt.Sprintf("the paddock %s is there already", id), "give the new land a new short name")
		}
		c.newPaddock("into", id, "")
	}
}

// warmest is the lowest temperature, °C, above which "frost" is taken for a
// slip of the unit. Ground frost comes with screen readings of a few degrees.
const warmest = 8

func (c *checker) frost(_ *fields.Entry, b *fields.Frost) {
	switch {
	case b.LowC == nil:
	case *b.LowC > warmest:
		c.refuse("low_c", fmt.Sprintf("a low of %s is not a frost", fields.Temperature.Both(*b.LowC)), "check the unit: C or F")
	case *b.LowC > 0:
		c.note("A LOW OF %s IS ABOVE FREEZING, and yet it is logged as a frost and counts as one. If the minus is missing, strike this entry and log it again.", fields.Temperature.Both(*b.LowC))
	}
}

// nightNotOver says why nobody can speak of all of a night yet.
func nightNotOver(d fields.Date) string {
	return fmt.Sprintf("the night of %s is not over: the coldest hour is around sunrise", d.Words())
}

// dawnsAtOnce is of how many nights in one go a look at dawn is believed without a
// question (ours, no source): nobody remembers the grass of two weeks.
const dawnsAtOnce = 3

func (c *checker) noFrost(e *fields.Entry, b *fields.NoFrost) {
	at := e.Recorded.In(c.v.Loc)
	if !c.assumed && b.To == fields.DateOf(at, c.v.Loc) && at.Hour() < overAt {
		c.refuse("to", nightNotOver(b.To), fmt.Sprintf("say it after %02d:00", overAt))
	}
	if n := b.To.Sub(b.From) + 1; b.Basis == fields.ByLookingAtDawn && n > dawnsAtOnce {
		what := fmt.Sprintf("no frost is said of %d nights in one go, by a look at dawn on each of these mornings", n)
		c.ask(c.sure.Dawns, "from", what, "", "name only the nights on which somebody looked; if it was done every morning, add --as-said")
	}
	for _, p := range b.Paddocks {
		if d, what := c.v.FrostOnFile(p, b.From, b.To); d != fields.NoDate {
			c.refuse("paddocks", fmt.Sprintf("no frost cannot be said of the night of %s in %s: %s, and a frost on file beats any statement", d.Words(), board.Clean(p), what),
				"leave out that night, or strike the frost first if it is wrong")
		}
	}
}

func (c *checker) forecast(e *fields.Entry, b *fields.Forecast) {
	if c.assumed {
		return
	}
	c.come("issued", b.Issued, e, "say when the forecast was made")
	if b.Night > fields.DateOf(e.Recorded, c.v.Loc).Add(30) {
		c.refuse("night", fmt.Sprintf("%s is more than 30 days ahead", b.Night.Words()), "check the date")
	}
}

// reading refuses a low said of all of a night that is not over, since what it has
// not seen would count as read, and asks about one that is warm enough to be °F. A
// file was looked at as a whole.
func (c *checker) reading(e *fields.Entry, b *fields.Reading) {
	if e.Batch != "" {
		return
	}
	if b.BelowZero != nil && *b.BelowZero && b.LowC != nil && *b.LowC > 0 {
		c.refuse("below_zero", fmt.Sprintf("a low of %s is not below freezing", fields.Temperature.Both(*b.LowC)), "leave out one of them")
	}
	if b.HoursBelow0 != nil && b.HoursBelowKill != nil && *b.HoursBelowKill > *b.HoursBelow0 {
		c.refuse("hours_below_kill", fmt.Sprintf("%v h at or below %s are more than the %v h at or below %s",
			*b.HoursBelowKill, fields.Temperature.Both(weather.KillC), *b.HoursBelow0, fields.Temperature.Both(0)), "check both")
	}
	c.hours("hours_below_0", b.HoursBelow0, b.LowC, 0)
	c.hours("hours_below_kill", b.HoursBelowKill, b.LowC, weather.KillC)
	at := e.Recorded.In(c.v.Loc)
	if !partRead(b) && len(b.Spans) == 0 && !at.Before(b.Night.At(0, 0, c.v.Loc).Add(-12*time.Hour)) && at.Before(b.Night.At(overAt, 0, c.v.Loc)) {
		c.refuse("covers", nightNotOver(b.Night), fmt.Sprintf("say that only part of it was read, or log the low after %02d:00", overAt))
	}
	low := []weather.NightLow{{Night: b.Night, LowC: b.LowC, Covers: true}}
	if d, odd := weather.DoubtUnit(low, false, c.v.Place(b.Station), c.v.LowsBeside(b.Station, b.Paddock)); odd {
		c.ask(c.sure.Figures, "low_c", d.Words(), "", "check the unit: C or F; add --as-read if the thermometer showed it")
	}
}

// hours refuses time at or below a line that the night's low did not reach.
func (c *checker) hours(field string, hours, lowC *float64, line float64) {
	if hours != nil && *hours > 0 && lowC != nil && !weather.AtOrBelow(*lowC, line) {
		c.refuse(field, fmt.Sprintf("a low of %s is not down to %s", fields.Temperature.Both(*lowC), fields.Temperature.Both(line)),
			"check the low and the hours")
	}
}

// drought refuses rain that fits what is said of the drought in no way.
func (c *checker) drought(_ *fields.Entry, b *fields.Drought) {
	switch {
	case b.RainMM == nil:
	case b.State == "start":
		c.refuse("rain_mm", "is the rain that ended a drought, and this says that one starts", "leave it out, or say that the drought ended")
	case *b.RainMM == 0:
		c.refuse("rain_mm", "is 0, and only rain ends a drought", "leave it out if nobody measured it")
	}
}

// grazed says aloud that nothing on file stood where stock came out: as a rule the paddock
// is the wrong one, and what they left standing is said of it.
func (c *checker) grazed(e *fields.Entry, b *fields.Grazed) {
	if b.State != "out" || c.rows {
		return
	}
	h, day := c.v.History, e.EventDate(c.v.Loc)
	var stands []string
	for _, s := range h.Stays() {
		there := slices.ContainsFunc(h.Lines(b.Paddock), func(line []string) bool { return slices.Contains(line, s.Paddock) })
		switch {
		case there && s.In <= day && (s.Out == fields.NoDate || s.Out >= day) && (b.Herd == "" || s.Herd == "" || s.Herd == b.Herd):
			return
		case s.Out == fields.NoDate && s.Herd == b.Herd && b.Herd != "":
			stands = append(stands, c.gate(s.Paddock))
		}
	}
	where := ""
	if len(stands) > 0 {
		where = "; on file " + board.Clean(b.Herd) + " stand in " + orList(stands)
	}
	c.note("NO STOCK IS ON FILE in %s that could come out on %s%s. Look whether it is the right paddock.",
		c.gate(b.Paddock), day.Words(), where)
}

// gate is a paddock's name on the gate, or its short name.
func (c *checker) gate(id string) string {
	if p := c.v.History.Paddock(id); p != nil && p.Name != "" {
		id = p.Name
	}
	return board.Clean(id)
}

func (c *checker) sown(e *fields.Entry, b *fields.Sown) {
	if len(b.Species) == 0 {
		c.note("A SOWING WITHOUT SPECIES counts as an unknown plant: never better than CAUTION.")
	}
	c.plants(e)
	for _, was := range c.v.History.OfPaddock(b.Paddock) { // a correction leaves the wrong one standing
		if was.Kind() == fields.KindSown && was.Date == e.EventDate(c.v.Loc) && stated(was.Entry, false) != stated(e, false) {
			c.note("another sowing of that day is on file (%s), and both count; if this one corrects it, strike that one", was.ID)
		}
	}
	total := 0.0
	for _, s := range b.Species {
		if s.Share != nil {
			total += *s.Share
		}
	}
	if total > 100.5 {
		c.refuse("species", fmt.Sprintf("the shares add up to %v %%", total), "they are percent of the seed, 100 at most")
	}
}

// plants looks at the plants that an entry says are there.
func (c *checker) plants(e *fields.Entry) {
	e.Texts(func(field, _, name string) {
		if field == "species" {
			c.species(field, name)
		}
	})
}

func (c *checker) walk(e *fields.Entry, b *fields.Walk) {
	if b.Silent() && e.Note == "" {
		c.refuse("", "the walk says nothing it found", "say at least one thing: killed, new shoots, the shortest growth or the weeds")
	}
	for _, s := range b.Alive {
		if !c.grows(b.Paddock, s) { // what is on record as said was asked about then
			c.species("alive", s)
		}
	}
	for _, s := range b.Absent {
		c.plant("absent", s)
	}
	u, d := string(c.v.Units()), e.EventDate(c.v.Loc)
	for _, x := range []struct {
		field string
		cm    *float64
	}{{"shoots_cm", b.ShootsCM}, {"shortest_cm", b.ShortestCM}} {
		if x.cm != nil && *x.cm > hazard.TallestCM {
			c.refuse(x.field, fmt.Sprintf("growth of %s is not believed: %s is the most that the shortest growth of a stand reaches",
				fields.Height.In(*x.cm, u), fields.Height.In(hazard.TallestCM, u)), "check the height and its unit")
		}
	}
	if b.ShortestCM == nil || *b.ShortestCM > hazard.TallestCM {
		return
	}
	c.regrowth(b, d)
	if sown, ok := hazard.GrewTooFast(c.v.History, c.v.Book, b.Paddock, d, *b.ShortestCM); ok {
		c.refuse("shortest_cm", fmt.Sprintf("%s on %s cannot be of a stand sown on %s: it would have grown more than %s a day, so one of them is wrong",
			fields.Height.In(*b.ShortestCM, u), d.Words(), sown.Words(), fields.Height.In(c.v.Book.V[hazard.StandGrowthLimit], u)),
			"check the height and its unit, or strike the sowing and log it with its right day")
	}
}

// leftByBar, cm, is what a cut whose height nobody said leaves at most (§5.10; ours).
const leftByBar = 30

// regrowth refuses a shortest growth that nothing reaches since the last cut.
func (c *checker) regrowth(b *fields.Walk, d fields.Date) {
	if b.Part == fields.PartSwath {
		return
	}
	for _, line := range c.v.History.Lines(b.Paddock) {
		cuts := fields.UpTo(c.v.History.Land(line).Cuts, d-1)
		cuts = slices.DeleteFunc(slices.Clone(cuts), func(f fields.CutFact) bool { return f.Use == fields.CutGreenChop })
		if len(cuts) == 0 {
			continue
		}
		cut, left := cuts[len(cuts)-1], float64(leftByBar)
		if cut.HeightCM != nil {
			left = *cut.HeightCM
		}
		a := c.v.Book.V[hazard.StandGrowthLimit]
		if *b.ShortestCM > left+a*float64(d.Sub(cut.Date))+hazard.HeightSlack {
			u := string(c.v.Units())
			c.refuse("shortest_cm", fmt.Sprintf("%s on %s cannot be of what was cut on %s: it would have grown more than %s a day, so one of them is wrong",
				fields.Height.In(*b.ShortestCM, u), d.Words(), cut.Date.Words(), fields.Height.In(a, u)),
				"measure the shortest growth of what was cut, or strike the cut and log it with its right day")
			return
		}
	}
}

// sampleDays is how far apart two uses of one sample number are asked about;
// laboratories begin their numbers anew each season.
const sampleDays = 60

// lab asks about laboratory figures that fit another unit better, and about a sample
// number that is on file for another place. What was sampled before a lot was made is not
// of the lot, and would clear it.
func (c *checker) lab(_ *fields.Entry, b *fields.Lab) {
	c.made("sampled_on", b.Lot, b.SampledOn)
	if what := c.elsewhere(b); what != "" {
		c.ask(c.sure.Figures, "sample", what, "", "look at the report whose sample it is, or add --as-printed if it says so")
	}
	for _, v := range b.Values {
		if what := board.UnlikelyUnit(string(b.Analyte), v.N, string(b.Unit)); what != "" {
			c.ask(c.sure.Figures, "unit", what, "", "look at the report for the unit, or add --as-printed if it says so")
			return
		}
	}
}

// elsewhere says where a result's sample number is on file, if not for its own place.
func (c *checker) elsewhere(b *fields.Lab) (what string) {
	if b.Sample == "" {
		return ""
	}
	for _, f := range c.v.History.Facts {
		var s fields.Sampled
		switch x := f.Body.(type) {
		case *fields.Sampled:
			s = *x
		case *fields.Lab:
			s.Sample, s.Paddock, s.Lot = x.Sample, x.Paddock, x.Lot
		}
		switch {
		case calendar.Key(s.Sample) != calendar.Key(b.Sample) || max(f.Date, b.SampledOn)-min(f.Date, b.SampledOn) > sampleDays:
		case s.Paddock == b.Paddock && s.Lot == b.Lot:
			return ""
		default:
			what = fmt.Sprintf("sample %s of %s is on file for %s", board.Clean(b.Sample), f.Date.Words(), board.Clean(s.Paddock+s.Lot))
		}
	}
	return what
}

// farthest is by how many hours a clock is off the sun at most; Xinjiang's is by three, and
// summer time is an hour.
const farthest = 5

// longitude refuses one where the sun stands nowhere near the hour of the farm's zone: as a
// rule its minus is missing, and sunset would be said wrong.
func (c *checker) longitude(e *fields.Entry, lon *float64, zone string) {
	zone = cmp.Or(zone, c.v.History.Farm.Zone)
	loc, err := fields.LoadZone(zone)
	if lon == nil || zone == "" || err != nil {
		return
	}
	_, offset := e.Recorded.In(loc).Zone()
	if off := math.Remainder(float64(offset)/3600-*lon/15, 24); math.Abs(off) > farthest {
		c.refuse("lon", fmt.Sprintf("%v lies far from where the clocks show the time of %s", *lon, loc),
			"check its sign (west is negative) and the zone")
	}
}

func (c *checker) farm(e *fields.Entry, b *fields.Farm) {
	if b.NitrateTable != "" {
		c.refuseErr("nitrate_table", rules.CheckNitrateTable(b.NitrateTable))
	}
	c.longitude(e, b.Lon, b.Zone)
	if was := c.v.History.Farm.Zone; was != "" && b.Zone != was {
		c.note("THE FARM'S TIME ZONE CHANGES from %s to %s: days taken from an hour are read again", board.Clean(was), board.Clean(b.Zone))
	}
}

func (c *checker) override(_ *fields.Entry, b *fields.Override) {
	c.refuseErr("value", rules.CheckOverride(b))
}

// round refuses a rule of days that cannot be worked out.
func (c *checker) round(e *fields.Entry, b *fields.Round) {
	rule, err := calendar.ParseRule(b.RRule)
	if err == nil {
		err = rule.Rare(e.EventDate(c.v.Loc))
	}
	c.refuseErr("rrule", err)
}

// done refuses what was done of a round that nobody set up.
func (c *checker) done(_ *fields.Entry, b *fields.Done) {
	var have []named
	for i := range c.v.Entries {
		if r, ok := c.v.Entries[i].Body.(*fields.Round); ok && !c.v.struck(&c.v.Entries[i]) {
			if calendar.Key(r.Name) == calendar.Key(b.Round) {
				return
			}
			have = append(have, named{id: board.Clean(r.Name)})
		}
	}
	if b.Round != "" {
		_, err := find("round", b.Round, "rimegate log round", have)
		c.refuseErr("round", err)
	}
}

// species looks at the name of a plant that is said to be there: an unknown one
// is said aloud, an everyday name that fits several plants is asked about.
func (c *checker) species(field, name string) {
	c.plant(field, name)
	row := c.v.Book.Find(name)
	fits := c.v.Fits(name)
	if len(fits) == 0 || c.asked[row.ID] {
		return
	}
	c.asked[row.ID] = true
	c.ask(c.sure.Names, field, fmt.Sprintf("%q may be %s", board.Clean(name), orList(fits)),
		", and the worst of them counts. If you know which it is, name that one",
		"name the one it is, or add --as-said if nobody knows: then the worst of them counts")
}

// grows reports whether the record of the paddock names the plant already, by
// this or another of its names.
func (c *checker) grows(paddock, name string) bool {
	row := c.v.Book.Find(name)
	found := false
	for _, line := range c.v.History.Lines(paddock) {
		for _, f := range c.v.History.LineFacts(line) {
			f.Texts(func(field, _, n string) {
				found = found || field == "species" && row != nil && c.v.Book.Find(n) == row
			})
		}
	}
	return found
}

// plant refuses a word that says there is none, and says aloud that a name is unknown.
func (c *checker) plant(field, name string) {
	switch hazard.SpeciesKey(name) {
	case "none", "nothing", "no weeds", "all", "everything", "n/a":
		c.refuse(field, fmt.Sprintf("%q is no plant", board.Clean(name)), "name the plants, or leave it out")
		return
	}
	if w := c.v.SpeciesWarning(name); w != "" {
		c.note("%s", w)
	}
}

// strike refuses the strike of what is not there, of a strike, and of what was
// struck already.
func (c *checker) strike(_ *fields.Entry, b *fields.Strike) {
	if b.Batch != "" {
		switch x := c.v.brought(b.Batch); {
		case x.Entries == 0:
			c.refuse("batch", fmt.Sprintf("there is no import %q", board.Clean(b.Batch)), "`rimegate history` shows the import of every entry that came by one")
		case len(x.left) == 0:
			c.refuse("batch", "all of that import is struck already", "")
		}
		return
	}
	i := slices.IndexFunc(c.v.Entries, func(e fields.Entry) bool { return e.ID == b.Entry })
	s, struck := c.v.History.Struck[b.Entry]
	switch {
	case i >= 0 && c.v.Entries[i].Kind() == fields.KindStrike:
		c.refuse("entry", "a strike cannot be struck", "log the struck fact again instead")
	case struck:
		c.refuse("entry", fmt.Sprintf("that entry was struck already by %s (%s)", board.Clean(s.By), board.Clean(s.Body.(*fields.Strike).Because)), "")
	case c.struck[b.Entry]:
		c.refuse("entry", "the entry is named twice", "")
	case i < 0:
		c.refuse("entry", fmt.Sprintf("there is no entry %q", board.Clean(b.Entry)), "`rimegate history` shows every entry with its id")
	}
	c.struck[b.Entry] = true
}

// twice says that the same fact stands in the journal already. It is kept all
// the same: two people may well say the same thing, and bad news told twice
// harms nobody. Nitrogen told twice would count twice, so it is worth a word.
func (c *checker) twice(e *fields.Entry) {
	if e.Kind() == fields.KindRead || e.Kind() == fields.KindStrike {
		return
	}
	was := c.v.about(e)
	for i := len(was) - 1; i >= 0; i-- {
		if stated(was[i], false) == stated(e, false) {
			c.note("this was logged already (%s by %s, logged %s); strike one of them if it is a slip",
				was[i].ID, board.Clean(was[i].By), clockWords(was[i].Recorded.In(c.v.Loc)))
			return
		}
	}
}

// ofNoPart are the paddocks of which a walk or result does not say that it is of them.
func (v *View) ofNoPart(f fields.Fact) (parts []string) {
	if !ofOnePart(f) || len(f.Paddocks()) == 0 {
		return nil
	}
	id := f.Paddocks()[0]
	for _, p := range v.History.Standing() {
		if slices.ContainsFunc(v.History.Lines(p.ID), func(line []string) bool {
			return slices.Contains(line, id) && v.History.UnderOldName(line, id, f.Date)
		}) {
			parts = append(parts, p.ID)
		}
	}
	return parts
}

// Check is the journal's own check with remarks on what its entries say of this
// farm: what an import or another seat brought that `log` would have refused.
func (f *Farm) Check() (journal.Report, error) {
	r, err := f.store.Check()
	if err != nil || !r.Whole() {
		return r, err
	}
	v, err := f.View(Question{})
	if err != nil {
		return r, err
	}
	for _, x := range v.History.Facts {
		if parts := v.ofNoPart(x); len(parts) > 0 {
			r.Findings = append(r.Findings, journal.Finding{Check: "land", Entry: x.ID, Text: fmt.Sprintf(
				"the %s of %s is of %s, which had been split: it clears none of %s, only bad news of it counts; if it is of one part, strike it and log it of that one",
				kindWord(x), x.Date.Words(), x.Paddocks()[0], strings.Join(parts, ", "))})
		}
		w, ok := x.Body.(*fields.Walk)
		if !ok {
			continue
		}
		for _, cm := range []*float64{w.ShortestCM, w.ShootsCM} {
			if cm != nil && *cm > hazard.TallestCM {
				r.Findings = append(r.Findings, journal.Finding{Check: "heights", Entry: x.ID, Text: fmt.Sprintf(
					"the walk of %s in %s found growth of %s, more than is believed: it measures nothing; strike it and log it again",
					x.Date.Words(), w.Paddock, fields.Height.Both(*cm))})
			}
		}
		if w.ShortestCM == nil || *w.ShortestCM > hazard.TallestCM {
			continue
		}
		if sown, ok := hazard.GrewTooFast(v.History, v.Book, w.Paddock, x.Date, *w.ShortestCM); ok {
			r.Findings = append(r.Findings, journal.Finding{Check: "heights", Entry: x.ID, Text: fmt.Sprintf(
				"the walk of %s in %s found %s at the shortest, too much for a stand sown on %s; one of them is wrong",
				x.Date.Words(), w.Paddock, fields.Height.Both(*w.ShortestCM), sown.Words())})
		}
	}
	return r, nil
}
