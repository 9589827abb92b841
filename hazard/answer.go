package hazard

import (
	"cmp"

	"rimegate/fields"
)

// Line names the line of the contract an answer stands on. Each has its own
// words in hazard/board; the engine only fills in numbers.
type Line uint8

// Lines of the answer tables.
const (
	LineNone Line = iota

	// Clear and general.
	LineNoP          // §7.1 no cyanogenic species listed: clear
	LineAllPassed    // §7.2 every line was looked at and none applies: clear
	LineUnlisted     // §5.3 unlisted pasture: caution
	LineNeverChecked // §5.3 never sown, no weeds-checked walk in 365 days: caution
	LineNotListedHCN // §5.4 species no source speaks of, not weeds-checked: caution
	LineUnknown      // §5.4 unknown species: caution
	LineNoSwath      // §8.2 no swath lies there: hold
	LineNoCrop       // §8.4 nothing to cut: hold

	// Prussic acid.
	LineClock           // §4.9 frost clock running
	LineDryWait         // §6.4 wait after the base of the kill
	LineShoots          // §7.2 shoots below the minimum
	LineNeverMeasured   // §7.2 live, never measured since ...
	LineTooShort        // §7.2 live, last measured below the minimum
	LineOldHeight       // §7.2 live, measured too long ago
	LineDrought         // §7.2 drought running
	LineRainWait        // §7.2 rain that ended a drought
	LineRainHeight      // §7.2 live, no minimum height since that rain
	LineHail            // §7.2 hail wait
	LineTrampled        // §7.2 trampling wait
	LineSprayed         // §7.2 spray wait
	LineWilted          // §7.2 last recorded wilted
	LineFrosted         // §7.2 live and frosted
	LineDamaged         // §7.2 live, a walk found frost damage
	LineNotDry          // §7.2 frosted or dead, and the last walk that said so found it not dry
	LineCapped          // §5.4 live and capped for its habit
	LinePossible        // §4.4 possible night standing
	LineUnreadNights    // §7.2 unread nights of the last 14
	LineForecastCaution // §4.8 forecast at or below the possible line
	LineForecastHold    // §4.8 forecast at or below the trigger, past noon
	LineOldWalk         // §7.4 dead: last clean walk too old
	LineHCNHold         // §7.6 HCN result at or above the hold line
	LineHCNCaution      // §7.6 HCN result in the caution band
	LineHCNUnfit        // §7.6 dried or quick sample of green material, or as-fed without DM
	LineFlax            // §7.7 flax not confirmed dead
	LineFlaxTest        // §7.7 dead flax without an HCN result
	LineHorses          // §7.2 horses with a sorghum-genus, foxtail millet or unknown species

	// Other uses.
	LineChopFrosted  // §8.1 green-chop: frost fell on the live stand
	LineChopWait     // §8.4 cut-silage: wait after the last clock night
	LineCutUnknown   // §8.4 cut-hay: unknown species
	LineCutClear     // §8.4 clear to CUT; feeding is a separate question
	LineSwathNotDry  // §8.3 no dry base
	LineSwathOldWalk // §8.3 swath walk too old
	LineSwathStubble // §8.3 no clean stubble walk
	LineSwathClock   // §8.3 the swath's clock
	LineCure         // §11.2 hay: cure wait
	LineEnsile       // §11.2 silage, baleage: ensiling wait
	LineSuspect      // §11.3 suspect lot: caution until an HCN result
	LineLotClear     // §11.2 lot not suspect and its wait served

	// Nitrate.
	LineNitrateUntested    // §9.11
	LineNitrateWait        // §9.11
	LineNitrateDrought     // §9.14
	LineNitrateInsideWait  // §9.11
	LineNitrateOvertaken   // §9.10
	LineNitrateAged        // §9.9
	LineNitrateNights      // §9.11
	LineNitrateTable       // §9.11
	LineNitrateClears      // §9.11
	LineNitrateLow         // §9.12
	LineNitrateLowUnsure   // §9.12
	LineNitrateOpen        // §9.6 a light frost on a hardy stand that no walk has borne
	LineNitrateFresh       // §9.12 nitrogen so fresh that no low stand is clear
	LineNitrateWeedy       // §9.5 weeds that gather nitrate in perennial sod
	LineNitrateCutNow      // §9.14
	LineNitratePeak        // §9.14
	LineNitrateCutRain     // §9.14
	LineNitrateCutBar      // §9.14
	LineNitrateLotUntested // §11.7
	LineNitrateLotTable    // §11.7
	LineNitrateLotSpread   // §11.7
	LineNitrateLotThin     // §11.7
	LineWater              // §10.3 nitrate of the stock water

	// Veterinary.
	LineIncident    // §12.1
	LineKeepOff     // §12.1
	LineMayGraze    // §12.2
	LineVetNone     // §12.1 no incident or veterinary word stands: clear
	LineLotIncident // §11.9
	LineFedIncident // §11.9

	NumLines // how many lines there are, LineNone included
)

// told is what a line says wherever it applies: its rule id, its flag (a hold has no date
// unless it is given one), and whether a hold rests on no dated event.
var told = [NumLines]struct {
	Rule    string
	Flag    Flag
	Need    Need
	undated bool
}{
	LineNoP:                {Rule: "species.none", Flag: Clear},
	LineAllPassed:          {Rule: "prussic.all", Flag: Clear},
	LineUnlisted:           {Rule: "species.unlisted", Flag: Caution, Need: NeedEvidence},
	LineNeverChecked:       {Rule: "species.unchecked", Flag: Caution, Need: NeedEvidence},
	LineNotListedHCN:       {Rule: "species.not-listed", Flag: Caution, Need: NeedEvidence},
	LineUnknown:            {Rule: "species.unknown", Flag: Caution, Need: NeedEvidence},
	LineNoSwath:            {Rule: "use.no-swath", Flag: Hold, Need: NeedDecision, undated: true},
	LineNoCrop:             {Rule: "use.no-crop", Flag: Hold, Need: NeedEvidence, undated: true},
	LineShoots:             {Rule: "shoots", Flag: Hold, Need: NeedDecision},
	LineNeverMeasured:      {Rule: "height.unmeasured", Flag: Hold, Need: NeedEvidence, undated: true},
	LineTooShort:           {Flag: Hold, Need: NeedEvidence},
	LineOldHeight:          {Rule: HeightLife.String(), Flag: Caution, Need: NeedEvidence},
	LineDrought:            {Rule: DroughtWait.String(), Flag: Hold, Need: NeedDecision},
	LineRainHeight:         {Rule: DroughtWait.String(), Flag: Hold, Need: NeedEvidence},
	LineWilted:             {Rule: "wilted", Flag: Hold, Need: NeedEvidence},
	LineFrosted:            {Rule: FrostOutgrown.String(), Flag: Caution, Need: NeedEvidence},
	LineDamaged:            {Rule: FrostOutgrown.String(), Flag: Caution, Need: NeedEvidence},
	LineNotDry:             {Rule: "walk.not-dry", Flag: Caution, Need: NeedEvidence},
	LineCapped:             {Rule: "species.green-cap", Flag: Caution, Need: NeedDecision},
	LinePossible:           {Flag: Caution, Need: NeedEvidence},
	LineUnreadNights:       {Rule: "night.unread", Flag: Caution, Need: NeedEvidence},
	LineForecastCaution:    {Flag: Caution, Need: NeedDecision},
	LineForecastHold:       {Flag: Hold, Need: NeedTime},
	LineFlax:               {Rule: "species.flax", Flag: Hold, Need: NeedDecision, undated: true},
	LineFlaxTest:           {Rule: "species.flax", Flag: Caution, Need: NeedEvidence},
	LineHorses:             {Rule: "species.horses", Flag: Hold, Need: NeedDecision, undated: true},
	LineChopFrosted:        {Rule: "chop.frosted", Flag: Caution, Need: NeedDecision},
	LineCutUnknown:         {Rule: "species.unknown", Flag: Caution, Need: NeedEvidence},
	LineCutClear:           {Rule: "cut.clear", Flag: Clear},
	LineSwathNotDry:        {Rule: "swath.dry", Flag: Caution, Need: NeedEvidence},
	LineSwathStubble:       {Rule: "swath.stubble", Flag: Caution, Need: NeedEvidence},
	LineCure:               {Flag: Hold, Need: NeedTime, undated: true},
	LineEnsile:             {Flag: Hold, Need: NeedTime, undated: true},
	LineSuspect:            {Rule: HayCure.String(), Flag: Caution, Need: NeedEvidence},
	LineLotClear:           {Flag: Clear},
	LineNitrateUntested:    {Rule: NitrateStandingLife.String(), Flag: Caution, Need: NeedEvidence},
	LineNitrateOvertaken:   {Rule: NitrateStandingLife.String(), Flag: Caution, Need: NeedEvidence},
	LineNitrateAged:        {Rule: NitrateStandingLife.String(), Flag: Caution, Need: NeedEvidence},
	LineNitrateNights:      {Rule: "night.unread", Flag: Caution, Need: NeedEvidence},
	LineNitrateLow:         {Rule: "nitrate.low", Flag: Clear},
	LineNitrateLowUnsure:   {Flag: Caution, Need: NeedEvidence},
	LineNitrateOpen:        {Rule: "night.light", Flag: Caution, Need: NeedEvidence},
	LineNitrateFresh:       {Rule: NitrateFresh.String(), Flag: Caution, Need: NeedTime},
	LineNitrateWeedy:       {Rule: "nitrate.weedy", Flag: Caution, Need: NeedEvidence},
	LineNitrateCutNow:      {Rule: NitrateFrostWait.String(), Flag: Clear},
	LineNitrateLotUntested: {Rule: "nitrate.tables", Need: NeedEvidence, undated: true},
	LineNitrateLotThin:     {Rule: "nitrate.tables", Need: NeedEvidence, undated: true},
	LineWater:              {Need: NeedDecision, undated: true},
	LineIncident:           {Rule: "incident", Flag: Hold, Need: NeedDecision},
	LineFedIncident:        {Rule: "incident", Flag: Hold, Need: NeedDecision},
	LineKeepOff:            {Rule: "vet.keep-off", Flag: Hold, Need: NeedDecision},
	LineMayGraze:           {Rule: "vet.may-graze", Flag: Caution, Need: NeedDecision},
	LineVetNone:            {Rule: "vet.none", Flag: Clear},
}

// say is the answer of a line; what varies is given.
func say(line Line, r Reason) []Reason {
	t := &told[line]
	r.Line, r.Rule, r.Flag, r.Need = line, cmp.Or(r.Rule, t.Rule), cmp.Or(r.Flag, t.Flag), cmp.Or(r.Need, t.Need)
	if r.undated = r.undated || t.undated; r.Flag == Hold && r.Through == fields.NoDate {
		r.Through = NoEnd
	}
	return []Reason{r}
}

// Reason is one answer with what it stands on. Its words are made when asked
// for, by hazard/board; in here are only ids, dates and figures. A field that a
// line has nothing to say in is left out.
type Reason struct {
	Line    Line // small fields stand together: there are many reasons
	Flag    Flag
	Need    Need
	Through fields.Date // holds: last day, included; NoEnd if no day ends it; NoDate otherwise
	Rule    string      // rule id of the rulebook, or a fixed id such as "incident"

	On     fields.Date   // the newest dated event it rests on: a later may-graze softens it
	Began  fields.Date   // first day of what lasts: a drought, growth not measured since
	Frost  fields.Date   // last known frost of a clock that unread nights carried on
	Proof  fields.Date   // the walk or sample it asks more than, or rests on
	WalkOn fields.Date   // first day on which a walk can lift it
	Ends   fields.Date   // last day of a wait that is no hold
	Dosed  fields.Date   // last nitrogen, where it alone makes plants gather nitrate
	Nights []fields.Date // the nights it names
	Maybe  []fields.Date // those of them that were read and may have frozen all the same
	Days   int           // days that a wait runs, evidence counts or the rule looks back

	Figure             // what was measured and what it was held against
	Bales    float64   // bales to core, 0 where nobody said how many there are
	Pile     bool      // silage: there are no bales
	Damp     bool      // bought feed of which nobody said how dry it is
	undated  bool      // a hold that rests on no dated event: no may-graze softens it
	Species  string    // the one plant it speaks of
	Plants   []string  // all plants it speaks of
	Trace    []string  // weeds too thin to count
	Water    string    // name of the stock water, as written
	Lot      string    // the lot in which animals fell sick
	Entries  []string  // ids of the entries it fired on
	Stress   Stress    // what can have raised nitrate
	Why      Suspicion // what made a lot suspect of prussic acid
	Untested Untested  // what an untested lot is held for
	Nitrate  *NitrateSays
	Vet      *VetWord
	SoftBy   *Softening // a hold that a may-graze turned into caution
}

// HoldEnd is the last day of the hold, or of the hold it was before it was softened.
func (r *Reason) HoldEnd() fields.Date {
	if r.SoftBy != nil {
		return r.SoftBy.Through
	}
	return r.Through
}

// Quantity is what a figure is of, in the inside unit.
type Quantity uint8

// Quantities of figures.
const (
	NoFigure Quantity = iota
	HeightCM          // cm
	LowC              // °C
	HCNDry            // ppm HCN on dry matter
	HCNAsIs           // ppm HCN as is
	WaterMgN          // mg NO3-N per litre
)

// Figure is a value with the limit it was held against, both of one quantity.
type Figure struct {
	Of       Quantity
	Measured bool // there is a value; else only the limit is told
	Value    float64
	Limit    float64
}

func measured(of Quantity, value, limit float64) Figure { return Figure{of, true, value, limit} }

// NitrateSays is what the nitrate tables in force say of one value for one class of
// stock. Concentrations are ppm NO3-N on dry matter.
type NitrateSays struct {
	Flag      Flag
	MaxShare  float64 // largest share of the ration's dry matter, percent; 0: do not feed
	Table     string  // id of the table that decided, "" when every table says clear
	Source    string  // its publication
	Words     string  // its band in our words
	Value     float64
	Water     float64 // what the stock water adds to the value
	Limit     float64 // lower edge of the band
	Composite float64 // the composite's own value, where Value is its worst bale
}

// Suspicion is what made a lot suspect of prussic acid: the line of the answer that its
// stand would have had, LineNone for nothing, and the day.
type Suspicion struct {
	Line Line
	On   fields.Date
}

// StressKind is a kind of what can raise nitrate.
type StressKind uint8

// Kinds of stress.
const (
	NoStress StressKind = iota
	StressFrost
	StressHail
	StressTrampled
	StressSprayed
	StressDrought // its start
	StressRain    // that ended a drought
	StressNitrogen
)

// Stress is what can have raised nitrate, and the last day of its wait: NoEnd while
// it goes on, NoDate where it has none.
type Stress struct {
	Kind     StressKind
	On, Ends fields.Date
}

// Untested is why an untested lot is held for the tender classes.
type Untested uint8

// Why an untested lot is held.
const (
	UntestedPlain Untested = iota // it is not: nothing speaks against it
	UntestedBought
	UntestedPlants // an unknown plant, or plants not said
	UntestedBrassica
	UntestedOrigin
	UntestedStress // see Reason.Stress
	UntestedResult // a result of the stand
)

// VetWord is what a veterinarian said.
type VetWord struct {
	Entry, Who, Because string
	Until               fields.Date // last day, NoDate for none
	Over                bool        // a may-graze that bad news ended
}

// Softening is a may-graze at work on a hold.
type Softening struct {
	VetWord
	Through fields.Date // of the hold before
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
	cannotBe bool // CannotBe, of a verdict whose reasons were left out
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
func (p *PaddockAnswer) Verdict(u Use, c Class) *Verdict { return verdictIn(p.Verdicts, u, c) }

// Verdict returns the lot's verdict for class, or nil.
func (l *LotAnswer) Verdict(c Class) *Verdict { return verdictIn(l.Verdicts, Feed, c) }

func verdictIn(vs []Verdict, u Use, c Class) *Verdict {
	for i := range vs {
		if vs[i].Use == u && vs[i].Class == c {
			return &vs[i]
		}
	}
	return nil
}
