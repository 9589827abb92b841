package hazard

import "rimegate/fields"

// Line names the line of the contract an answer stands on. Each has its own
// words in hazard/board; the engine only fills in numbers.
type Line uint8

// Lines of the answer tables.
const (
	LineNone Line = iota

	// Clear and general.
	LineNoP          // no cyanogenic species listed: clear
	LineAllPassed    // every line was looked at and none applies: clear
	LineNotAssessed  // the use or hazard is not assessed yet: caution
	LineUnlisted     // unlisted pasture: caution
	LineNeverChecked // never sown, no weeds-checked walk in 365 days: caution
	LineNotListedHCN // species no source speaks of, not weeds-checked: caution
	LineUnknown      // unknown species: caution
	LineNoSwath      // no swath lies there: hold
	LineNoCrop       // nothing to cut: hold

	// Prussic acid.
	LineClock           // frost clock running
	LineDryWait         // wait after the base of the kill
	LineShoots          // shoots below the minimum
	LineNeverMeasured   // live, never measured since ...
	LineTooShort        // live, last measured below the minimum
	LineOldHeight       // live, measured too long ago
	LineDrought         // drought running
	LineRainWait        // rain that ended a drought
	LineRainHeight      // live, no minimum height since that rain
	LineHail            // hail wait
	LineTrampled        // trampling wait
	LineSprayed         // spray wait
	LineWilted          // last recorded wilted
	LineFrosted         // live and frosted
	LineDamaged         // live, a walk found frost damage
	LineNotDry          // frosted, and the last walk that said so found it not dry
	LineCapped          // live and capped for its habit
	LinePossible        // possible night standing
	LineUnreadNights    // unread nights of the last 14
	LineForecastCaution // forecast at or below the possible line
	LineForecastHold    // forecast at or below the trigger, past noon
	LineOldWalk         // dead: last clean walk too old
	LineHCNHold         // HCN result at or above the hold line
	LineHCNCaution      // HCN result in the caution band
	LineHCNUnfit        // dried or quick sample of green material, or as-fed without DM
	LineFlax            // flax not confirmed dead
	LineFlaxTest        // dead flax without an HCN result
	LineHorses          // horses with a sorghum-genus, foxtail millet or unknown species

	// Other uses.
	LineChopFrosted  // green-chop: frost fell on the live stand
	LineChopWait     // cut-silage: wait after the last clock night
	LineCutUnknown   // cut-hay: unknown species
	LineCutClear     // clear to CUT; feeding is a separate question
	LineSwathNotDry  // no dry base
	LineSwathOldWalk // swath walk too old
	LineSwathStubble // no clean stubble walk
	LineSwathShoots  // shoots of the stubble
	LineSwathClock   // the swath's clock
	LineCure         // hay: cure wait
	LineEnsile       // silage, baleage: ensiling wait
	LineSuspect      // suspect lot: caution until an HCN result
	LineLotClear     // lot not suspect and its wait served

	// Nitrate.
	LineNitrateUntested
	LineNitrateWait
	LineNitrateDrought
	LineNitrateInsideWait
	LineNitrateOvertaken
	LineNitrateAged
	LineNitrateNights
	LineNitrateTable
	LineNitrateClears
	LineNitrateLow
	LineNitrateLowUnsure
	LineNitrateOpen  // a light frost on a hardy stand that no walk has borne
	LineNitrateFresh // nitrogen so fresh that no low stand is clear
	LineNitrateWeedy // weeds that gather nitrate in perennial sod
	LineNitrateCutNow
	LineNitratePeak
	LineNitrateCutRain
	LineNitrateCutBar
	LineNitrateLotUntested
	LineNitrateLotTable
	LineNitrateLotSpread
	LineNitrateLotThin
	LineWater // nitrate of the stock water

	// Veterinary.
	LineIncident
	LineKeepOff
	LineMayGraze
	LineVetNone // no incident or veterinary word stands: clear
	LineLotIncident

	NumLines // how many lines there are, LineNone included
)

// Reason is one answer with what it stands on. Its words are made when asked
// for, by hazard/board; in here are only ids and numbers.
type Reason struct {
	Line    Line
	Rule    string // rule id of the rulebook, or a fixed id such as "incident"
	Flag    Flag
	Through fields.Date // holds: last day, included; NoEnd if no day ends it; NoDate otherwise
	Need    Need

	On       fields.Date   // the dated event it rests on, NoDate if none
	Since    fields.Date   // second date, where the line has one
	Nights   []fields.Date // unread nights named
	Entries  []string      // entry ids it fired on
	Value    float64       // measured value, in inside units
	Water    float64       // ppm NO3-N on dry matter that the stock water adds to Value
	Limit    float64       // the rule's value it was held against
	Days     int           // days counted
	Species  string        // species it speaks of
	Names    []string      // species list or tables
	Text     string        // a person's words or a table's name, raw
	Source   string        // source beside the rulebook's, if the line has one
	Share    float64       // largest share of ration, percent; 0 where the line has none
	HasShare bool

	// SoftBy is the may-graze entry that turned this hold into caution.
	// Why is, for a suspect lot, the line that made it suspect.
	Why Line
	// SoftBy marks the hold a may-graze turned into caution.
	SoftBy *Softening
	// WasThrough is the through-date before a may-graze softened the hold.
	WasThrough fields.Date
	// undated holds rest on no dated event: no may-graze softens them.
	undated bool
}

// Softening is a vet's may-graze at work on a hold.
type Softening struct {
	Entry, Who, Because string
	Until               fields.Date
}

// HazardAnswer is the answer for one hazard.
type HazardAnswer struct {
	Hazard  Hazard
	Flag    Flag
	Through fields.Date
	Reasons []Reason // worst first
	// MaxShare is the largest share of the ration, percent, that the nitrate
	// answer allows; -1 where no share is decided.
	MaxShare float64
}

// Verdict is the answer for one use and class.
type Verdict struct {
	Use     Use
	Class   Class
	Flag    Flag
	Through fields.Date // holds only: the latest of the holds; NoEnd = no date
	Need    Need
	Hazards [3]HazardAnswer
	// Bloat is, of grazing and green-chop, the last frost, a few days old at most, on
	// plants that bloat stock after one; NoDate for none. It moves no flag.
	Bloat fields.Date
	// FeedFrom is, for lots, the first day the waits allow feeding.
	FeedFrom fields.Date
}

// Through reports the through-date and whether there is one.
func (v *Verdict) ThroughDate() (d fields.Date, ok bool) {
	if v.Flag != Hold || v.Through == NoEnd {
		return fields.NoDate, false
	}
	return v.Through, true
}

// Data stamps: how far the evidence reaches.
type DataThrough struct {
	Night fields.Date // last night read (reading, frost or statement)
	Walk  fields.Date
	Lab   fields.Date
}

// PaddockAnswer is everything decided about one paddock.
type PaddockAnswer struct {
	Paddock  *fields.Paddock
	Inside   []fields.Stay // stock standing in it
	Verdicts []Verdict     // by use, then class
	Data     DataThrough
	Species  []string // the species the answer rests on, by id (or as written, if unknown)
	Stand    StandState
	Tasks    []Task
}

// StandState says how the engine reads the stand, for people and tasks.
type StandState struct {
	Start      fields.Date
	Unlisted   bool
	Dead       bool
	Base       fields.Date // base of the confirmed kill
	LastClock  fields.Date // last night that set the frost clock
	ClockEnd   fields.Date // last day of the frost clock, NoDate if none ever ran
	MinHeight  float64     // cm, 0 if no species has a minimum
	LastHeight float64
	HeightOn   fields.Date
	HasP       bool
}

// Task is the one act that would lift something.
type Task struct {
	What string // walk, sample, night, measure, vet
	By   fields.Date
	Line Line
	Text string // filled by hazard/board
}

// LotAnswer is everything decided about one lot.
type LotAnswer struct {
	Lot            string
	Facts          fields.LotFacts
	Verdicts       []Verdict // by class
	Suspect        bool
	ByFrostAlone   bool // suspect only by frosts on tall growth: clear after its wait
	Data           DataThrough
	SiloGasThrough fields.Date // silo-gas DANGER line for people, NoDate if none
}

// Assessment is everything decided for one day and moment.
type Assessment struct {
	History  *fields.History
	Book     *Rulebook
	Paddocks []PaddockAnswer // in id order
	Lots     []LotAnswer     // in id order
	Notices  []Notice
	Data     DataThrough // the oldest over the paddocks
}

// Verdict returns the paddock's verdict for use and class, or nil.
func (p *PaddockAnswer) Verdict(u Use, c Class) *Verdict {
	for i := range p.Verdicts {
		if p.Verdicts[i].Use == u && p.Verdicts[i].Class == c {
			return &p.Verdicts[i]
		}
	}
	return nil
}

// Verdict returns the lot's verdict for class, or nil.
func (l *LotAnswer) Verdict(c Class) *Verdict {
	for i := range l.Verdicts {
		if l.Verdicts[i].Class == c {
			return &l.Verdicts[i]
		}
	}
	return nil
}
