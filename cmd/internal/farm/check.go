package farm

import (
	"fmt"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
	"rimegate/hazard/rules"
	"rimegate/weather"
)

// checker looks at entries about to be logged, one after the other, in the
// light of the journal: whether they can be, whether they name what the farm
// has, and what must be said aloud about them. Import and merge do not pass
// through here: what another seat wrote down is kept and listed by
// `journal check`.
type checker struct {
	v        *View
	sure     Sure
	problems fields.Problems
	notes    []string
	asked    map[string]bool // names asked about already
	fresh    struct {        // set up by the same batch
		paddocks, stations, herds, lots map[string]bool
		names                           map[string][]named // by sort of thing
	}
	struck  map[string]bool
	content map[string]*fields.Entry // what stands already, by content
}

func newChecker(v *View) *checker {
	c := &checker{v: v, struck: map[string]bool{}, asked: map[string]bool{}}
	c.fresh.paddocks, c.fresh.stations = map[string]bool{}, map[string]bool{}
	c.fresh.herds, c.fresh.lots = map[string]bool{}, map[string]bool{}
	c.fresh.names = map[string][]named{}
	return c
}

func (c *checker) refuse(field, what, hint string) {
	c.problems = append(c.problems, fields.Problem{Field: field, What: what, Type: hint})
}

func (c *checker) note(format string, args ...any) {
	c.notes = append(c.notes, fmt.Sprintf(format, args...))
}

func (c *checker) entry(e *fields.Entry) {
	if ps := fields.Check(e); len(ps) > 0 {
		c.problems = append(c.problems, ps...)
		return
	}
	c.dates(e)
	c.visibleNames(e)
	c.places(e)
	c.body(e)
	c.twice(e)
}

// overAt is the farm hour before which nobody can say of the night that ends
// today that it had no frost: the coldest hour is about sunrise.
const overAt = 6

// dates refuses facts dated after the day they are written down. Forecasts
// are about coming nights; a night that has begun may be spoken of.
func (c *checker) dates(e *fields.Entry) {
	at := e.Recorded.In(c.v.Loc)
	day := fields.DateOf(e.Recorded, c.v.Loc)
	d := e.EventDate(c.v.Loc)
	late := func(field string, d fields.Date) {
		c.refuse(field, fmt.Sprintf("%s has not come yet (today is %s)", d.Words(), day.Words()), "log it when it has happened")
	}
	if !e.At.IsZero() && e.At.After(e.Recorded.Add(clockSlack)) {
		c.refuse("at", clockWords(e.At.In(c.v.Loc))+" has not come yet", "log it when it has happened")
	}
	switch b := e.Body.(type) {
	case *fields.Forecast:
		if b.Issued.After(e.Recorded.Add(clockSlack)) {
			c.refuse("issued", clockWords(b.Issued.In(c.v.Loc))+" has not come yet", "say when the forecast was made")
		}
		if b.Night > day.Add(30) {
			c.refuse("night", fmt.Sprintf("%s is more than 30 days ahead", b.Night.Words()), "check the date")
		}
		return
	case *fields.Frost:
		if !b.EndedAt.IsZero() && b.EndedAt.After(e.Recorded.Add(clockSlack)) {
			c.refuse("ended_at", clockWords(b.EndedAt.In(c.v.Loc))+" has not come yet", "log it when it is over, or leave the hour out")
			return
		}
		if d <= fields.NightOf(e.Recorded, c.v.Loc) { // a night that has begun may be spoken of
			return
		}
	case *fields.Reading:
		if d <= fields.NightOf(e.Recorded, c.v.Loc) {
			return
		}
	case *fields.NoFrost:
		if b.To > day {
			late("to", b.To)
			return
		}
		if b.To == day && at.Hour() < overAt {
			c.refuse("to", fmt.Sprintf("the night of %s is not over: the coldest hour is about sunrise", b.To.Words()), fmt.Sprintf("say it after %02d:00", overAt))
		}
		return
	case *fields.Fed:
		if b.To > day {
			late("to", b.To)
			return
		}
	case *fields.Round: // a round may start next week
		return
	}
	if d > day {
		field := "on"
		switch e.Body.(type) {
		case *fields.Frost, *fields.Reading:
			field = "night"
		case *fields.Lab, *fields.Water:
			field = "sampled_on"
		case *fields.LotFacts:
			field = "made_on"
		case *fields.Fed:
			field = "from"
		}
		late(field, d)
	}
}

// places refuses names the farm does not have and takes in those the entry
// sets up.
func (c *checker) places(e *fields.Entry) {
	paddock := func(field, id string) {
		if !c.fresh.paddocks[id] {
			_, err := c.v.Paddock(id)
			if err == nil && c.v.History.Paddock(id) == nil {
				err = &UnknownError{What: "paddock", Typed: id, Close: alike(id, c.v.names.paddocks)}
			}
			c.refuseErr(field, err)
			if p := c.v.History.Paddock(id); p != nil && p.Retired != fields.NoDate {
				c.note("%s changed its shape on %s: this counts for all it became", board.Clean(p.Name), p.Retired.Words())
			}
		}
	}
	station := func(id string) {
		if id != "" && !c.fresh.stations[id] && c.v.History.Station(id) == nil {
			_, err := c.v.Station(id)
			c.refuseErr("station", err)
		}
	}
	herd := func(field, id string) {
		if id != "" && !c.fresh.herds[id] && c.v.History.Herd(id) == nil {
			_, err := c.v.Herd(id)
			c.refuseErr(field, err)
		}
	}
	lot := func(id string) {
		if id != "" && !c.fresh.lots[id] {
			_, err := c.v.Lot(id)
			c.refuseErr("lot", err)
		}
	}
	switch b := e.Body.(type) {
	case *fields.PaddockFacts:
		if strings.EqualFold(b.Paddock, AllPaddocks) {
			c.refuse("paddock", fmt.Sprintf("%q means every paddock", b.Paddock), "choose another short name")
		}
		if _, err := c.v.Lot(b.Paddock); err == nil {
			c.refuse("paddock", fmt.Sprintf("%q is the name of a lot of feed", b.Paddock), "choose another short name")
		}
		c.namesake("paddock", b.Paddock, b.Name, c.gates())
		c.fresh.paddocks[b.Paddock] = true
		station(b.Station)
		return
	case *fields.StationFacts:
		c.namesake("station", b.Station, b.Name, c.v.names.stations)
		c.fresh.stations[b.Station] = true
		return
	case *fields.HerdFacts:
		c.namesake("herd", b.Herd, "", c.v.names.herds)
		c.fresh.herds[b.Herd] = true
		return
	case *fields.LotFacts:
		if c.v.History.Paddock(b.Lot) != nil {
			c.refuse("lot", fmt.Sprintf("%q is the name of a paddock", b.Lot), "choose another short name")
		}
		c.namesake("lot", b.Lot, "", c.v.names.lots)
		c.fresh.lots[b.Lot] = true
	case *fields.Split, *fields.Join:
		c.reshape(e)
		return
	case *fields.Reading:
		station(b.Station)
	case *fields.Forecast:
		station(b.Station)
	case *fields.Grazed:
		herd("herd", b.Herd)
	case *fields.Incident:
		herd("herd", b.Herd)
		lot(b.Lot)
	case *fields.Fed:
		herd("herd", b.Herd)
		lot(b.Lot)
	case *fields.Water:
		for _, g := range b.Herds {
			herd("herds", g)
		}
	case *fields.Sampled:
		lot(b.Lot)
	case *fields.Lab:
		lot(b.Lot)
	case *fields.Vet:
		lot(b.Lot)
	case *fields.Cut:
		if b.Lot != "" {
			if !c.fresh.lots[b.Lot] {
				c.namesake("lot", b.Lot, "", c.v.names.lots)
			}
			if _, err := c.v.Lot(b.Lot); err != nil && !c.fresh.lots[b.Lot] {
				c.note("the lot %s is not described yet: say what became of the cut with `rimegate lot add`", board.Clean(b.Lot))
			}
		}
	}
	field := "paddocks"
	if len(e.Paddocks()) == 1 {
		field = "paddock"
	}
	for _, p := range e.Paddocks() {
		paddock(field, p)
	}
}

// gates are the paddocks that stand, by short name and by the name on the gate;
// one that entries only mention has no gate yet.
func (c *checker) gates() []named {
	var out []named
	for _, p := range c.v.History.Standing() {
		if p.Known || len(p.Parents) > 0 {
			out = append(out, named{p.ID, p.Name})
		}
	}
	return out
}

func (c *checker) refuseErr(field string, err error) {
	if err != nil {
		c.refuse(field, err.Error(), "")
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
			_, err := c.v.Paddock(id)
			c.refuseErr("from", err)
		case p.Retired != fields.NoDate:
			c.refuse("from", fmt.Sprintf("the paddock %s changed its shape on %s already", id, p.Retired.Words()), "name the paddocks it became")
		}
	}
	for _, id := range into {
		if c.v.History.Paddock(id) != nil {
			c.refuse("into", fmt.Sprintf("the paddock %s is there already", id), "give the new land a new short name")
		}
		c.namesake("paddock", id, "", c.gates())
		if strings.EqualFold(id, AllPaddocks) {
			c.refuse("into", fmt.Sprintf("%q means every paddock", id), "choose another short name")
		}
		c.fresh.paddocks[id] = true
	}
}

// warmest is the lowest temperature, °C, above which "frost" is taken for a
// slip of the unit. Ground frost comes with screen readings of a few degrees.
const warmest = 8

func (c *checker) body(e *fields.Entry) {
	switch b := e.Body.(type) {
	case *fields.Frost:
		if b.LowC != nil && *b.LowC > warmest {
			c.refuse("low_c", fmt.Sprintf("a low of %s is no frost", fields.Temperature.Both(*b.LowC)), "check the unit: C or F")
		} else if b.LowC != nil && *b.LowC > 0 {
			c.note("A LOW OF %s IS ABOVE FREEZING, and yet it is logged as a frost and counts as one. If a minus is missing, strike this entry and log it again.", fields.Temperature.Both(*b.LowC))
		}
	case *fields.Reading:
		if e.Batch == "" { // a file was looked at as a whole
			c.reading(e, b)
		}
	case *fields.NoFrost:
		for _, p := range b.Paddocks {
			if d, what := c.v.FrostOnFile(p, b.From, b.To); d != fields.NoDate {
				c.refuse("paddocks", fmt.Sprintf("no frost cannot be said of the night of %s in %s: %s, and a frost stands above any statement", d.Words(), board.Clean(p), what),
					"leave that night out, or strike the entry first if it is wrong")
			}
		}
	case *fields.Sown:
		if len(b.Species) == 0 {
			c.note("A SOWING WITHOUT SPECIES counts as an unknown plant: never better than CAUTION.")
		}
		for _, s := range b.Species {
			c.species("species", s.Species)
		}
		for _, was := range c.v.History.OfPaddock(b.Paddock) { // a correction leaves the wrong one standing
			if was.Kind() == fields.KindSown && was.Date == e.EventDate(c.v.Loc) && contentKey(was.Entry) != contentKey(e) {
				c.note("another sowing of that day stands in the journal (%s), and both count; if this one corrects it, strike that one", was.ID)
			}
		}
		total := 0.0
		for _, s := range b.Species {
			if s.Share != nil {
				total += *s.Share
			}
		}
		if total > 100.5 {
			c.refuse("species", fmt.Sprintf("the shares add up to %v %%", total), "they are percent of the seed, at most 100 together")
		}
	case *fields.Seen:
		for _, s := range b.Species {
			c.species("species", s)
		}
	case *fields.Walk:
		if b.Silent() && e.Note == "" {
			c.refuse("", "the walk says nothing of what was found", "say one thing at the least: what was killed, new shoots, the shortest growth, the weeds")
		}
		for _, s := range b.Alive {
			if !c.grows(b.Paddock, s) { // what is on record as said was asked about then
				c.species("alive", s)
			}
		}
		for _, s := range b.Absent {
			c.unknown(s)
		}
		if b.ShortestCM != nil {
			c.height(e, b)
		}
	case *fields.Lab:
		c.figures(b)
	case *fields.LotFacts:
		for _, s := range b.Species {
			c.species("species", s)
		}
		if b.CutOn > b.MadeOn {
			c.refuse("cut_on", fmt.Sprintf("%s is after %s, the day the lot was made", b.CutOn.Words(), b.MadeOn.Words()), "")
		}
	case *fields.Farm:
		if b.NitrateTable != "" {
			c.refuseErr("nitrate_table", rules.CheckNitrateTable(b.NitrateTable))
		}
		if was := c.v.History.Farm.Zone; was != "" && b.Zone != was {
			c.note("THE FARM'S TIME ZONE CHANGES from %s to %s: days told by an hour are read anew", board.Clean(was), board.Clean(b.Zone))
		}
	case *fields.Override:
		if err := rules.CheckOverride(b); err != nil {
			c.refuse("value", err.Error(), "")
		}
	case *fields.Strike:
		if b.Batch != "" {
			c.strikeBatch(e, b)
		} else {
			c.strike(b)
		}
	case *fields.Round, *fields.Done:
		c.round(e)
	}
}

// reading refuses a low said of all of a night that is not over, since what it has
// not seen would count as read, and asks about one that is warm enough to be °F.
func (c *checker) reading(e *fields.Entry, b *fields.Reading) {
	at := e.Recorded.In(c.v.Loc)
	if (b.Covers == nil || *b.Covers) && len(b.Spans) == 0 && !at.Before(b.Night.At(0, 0, c.v.Loc).Add(-12*time.Hour)) && at.Before(b.Night.At(overAt, 0, c.v.Loc)) {
		c.refuse("covers", fmt.Sprintf("the night of %s is not over: the coldest hour is about sunrise", b.Night.Words()),
			fmt.Sprintf("say that only part of it was read, or log the lowest after %02d:00", overAt))
	}
	low := []weather.NightLow{{Night: b.Night, LowC: b.LowC, Covers: true}}
	d, odd := weather.DoubtUnit(low, false, c.v.Place(b.Station), c.v.LowsBeside(b.Station, b.Paddock))
	switch {
	case !odd:
	case c.sure.Figures:
		c.note("%s: it is kept as said.", d.Words())
	default:
		c.refuse("low_c", d.Words(), "check the unit: C or F; add --as-read if the thermometer showed it")
	}
}

// species looks at the name of a plant that is said to be there: an unknown one
// is said aloud, an everyday name that fits several plants is asked about.
func (c *checker) species(field, name string) {
	c.unknown(name)
	row := c.v.Book.Find(name)
	if row == nil || len(row.Fits) == 0 || c.asked[row.ID] {
		return
	}
	c.asked[row.ID] = true
	var fits []string
	for _, id := range row.Fits {
		fits = append(fits, c.v.Book.Species[id].Name)
	}
	what := fmt.Sprintf("%q may be %s", board.Clean(name), orList(fits))
	if c.sure.Names {
		c.note("%s: it is kept as said, and of each habit the worst among them is taken. If you know which it is, name that one.", what)
		return
	}
	c.refuse(field, what, "name the one it is, or add --as-said if nobody knows: then the worst among them is taken")
}

// grows reports whether the record of the paddock names the plant already, by
// this or another of its names.
func (c *checker) grows(paddock, name string) bool {
	row := c.v.Book.Find(name)
	for _, line := range c.v.History.Lines(paddock) {
		for _, f := range c.v.History.LineFacts(line) {
			var names []string
			switch b := f.Body.(type) {
			case *fields.Sown:
				for _, s := range b.Species {
					names = append(names, s.Species)
				}
			case *fields.Seen:
				names = b.Species
			}
			for _, n := range names {
				if row != nil && c.v.Book.Find(n) == row {
					return true
				}
			}
		}
	}
	return false
}

func (c *checker) unknown(name string) {
	if w := c.v.SpeciesWarning(name); w != "" {
		c.notes = append(c.notes, w)
	}
}

// height refuses a growth that the day of the sowing cannot explain.
func (c *checker) height(e *fields.Entry, b *fields.Walk) {
	d := e.EventDate(c.v.Loc)
	sown, ok := hazard.GrewTooFast(c.v.History, c.v.Book, b.Paddock, d, *b.ShortestCM)
	if !ok {
		return
	}
	u := string(c.v.Units())
	c.refuse("shortest_cm", fmt.Sprintf("%s on %s cannot be of a stand sown anew on %s: it would have grown more than %s a day, so one of the two is wrong",
		fields.Height.In(*b.ShortestCM, u), d.Words(), sown.Words(), fields.Height.In(c.v.Book.V[hazard.StandGrowthLimit], u)),
		"check the height and its unit, or strike the sowing and log it with its right day")
}

// figures asks about laboratory figures that fit another unit better.
func (c *checker) figures(b *fields.Lab) {
	for _, v := range b.Values {
		what := board.UnlikelyUnit(string(b.Analyte), v.N, string(b.Unit))
		switch {
		case what == "":
			continue
		case c.sure.Figures:
			c.note("%s: it is kept as said.", what)
		default:
			c.refuse("unit", what, "look on the report for the unit, or add --as-printed if it says so")
		}
		return
	}
}

func (c *checker) strike(b *fields.Strike) {
	for i := range c.v.Entries {
		e := &c.v.Entries[i]
		if e.ID == b.Entry && e.Kind() == fields.KindStrike {
			c.refuse("entry", "a strike cannot be struck", "log the struck fact anew instead")
			return
		}
	}
	if s, ok := c.v.History.Struck[b.Entry]; ok {
		c.refuse("entry", fmt.Sprintf("the entry was struck already by %s (%s)", board.Clean(s.By), board.Clean(s.Body.(*fields.Strike).Because)), "")
		return
	}
	if c.struck[b.Entry] {
		c.refuse("entry", "the entry is named twice", "")
	}
	c.struck[b.Entry] = true
	for i := range c.v.Entries {
		if c.v.Entries[i].ID == b.Entry {
			return
		}
	}
	c.refuse("entry", fmt.Sprintf("there is no entry %q", board.Clean(b.Entry)), "`rimegate history` shows every entry with its id")
}

// twice says that the same fact stands in the journal already. It is kept all
// the same: two people may well say the same thing, and bad news told twice
// harms nobody. Nitrogen told twice would count twice, so it is worth a word.
func (c *checker) twice(e *fields.Entry) {
	if e.Kind() == fields.KindRead || e.Kind() == fields.KindStrike {
		return
	}
	if c.content == nil {
		c.content = make(map[string]*fields.Entry, len(c.v.Entries))
		for i := range c.v.Entries {
			if _, struck := c.v.History.Struck[c.v.Entries[i].ID]; !struck {
				c.content[contentKey(&c.v.Entries[i])] = &c.v.Entries[i]
			}
		}
	}
	if was := c.content[contentKey(e)]; was != nil {
		c.note("the same stands in the journal already (%s by %s, recorded %s); strike one of the two if this was a slip",
			was.ID, board.Clean(was.By), clockWords(was.Recorded.In(c.v.Loc)))
	}
}

// contentKey is what an entry states, without who wrote it down, when and with what.
func contentKey(e *fields.Entry) string {
	x := *e
	x.ID, x.By, x.Note, x.Batch, x.Recorded = "", "", "", "", time.Time{}
	return string(fields.Encode(&x))
}
