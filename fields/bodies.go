package fields

import "time"

// Struct tags read by the codec:
//
//	json:"name"   name in the journal
//	need:"*"      required; need:"word" one of the fields with that word is
//	one:"a|b"     the words allowed
//	lo:"" hi:""   bounds of what is possible (not of what is likely)
//	ref:"id"      a short name of what the field is named after: letters, digits, - _ . only
//	when:"*"      the date of the entry's fact

// Farm states facts about the farm.
type Farm struct {
	bare
	Name         string    `json:"name" need:"*"`
	Zone         string    `json:"zone" need:"*"` // IANA name, such as America/Regina
	Lat          *float64  `json:"lat" lo:"-90" hi:"90"`
	Lon          *float64  `json:"lon" lo:"-180" hi:"180"`
	ElevationM   *float64  `json:"elevation_m" lo:"-500" hi:"6000"`
	Units        string    `json:"units" one:"metric|us"`
	FrostWatch   *Watch    `json:"frost_watch"`
	NitrateTable string    `json:"nitrate_table"`
	ShareDays    *float64  `json:"share_days" lo:"0" hi:"365"`
	ExchangeDays *float64  `json:"exchange_days" lo:"0" hi:"365"` // how long a seat may go without the others' entries
	Contacts     *Contacts `json:"contacts"`
}

// Contacts says whom to call.
type Contacts struct {
	Manager string `json:"manager,omitempty"`
	Backup  string `json:"backup,omitempty"`
	Vet     string `json:"vet,omitempty"`
}

// Override sets a rule of the rulebook to another value.
type Override struct {
	bare
	Rule    string     `json:"rule" need:"*"`
	Value   *RuleValue `json:"value" need:"*"`
	Because string     `json:"because" need:"*"`
	Source  string     `json:"source"`
	Until   Date       `json:"until"`
}

// RuleValue is a number, or a word for rules that name a table.
type RuleValue struct {
	Number *float64
	Word   string
}

// MarshalJSON writes the number or the word.
func (v *RuleValue) MarshalJSON() ([]byte, error) {
	if v.Number != nil {
		return appendValue(nil, v.Number), nil
	}
	return appendValue(nil, v.Word), nil
}

// PaddockFacts adds or changes a paddock.
type PaddockFacts struct {
	bare
	Paddock  string   `json:"paddock" need:"*" ref:"id"`
	Name     string   `json:"name" need:"*"`
	AreaHa   *float64 `json:"area_ha" lo:"0" hi:"1000000"`
	Station  string   `json:"station" ref:"id"`
	OffsetC  *float64 `json:"offset_c" lo:"-25" hi:"25"` // above 0 is refused by the codec with its own words
	LowLying *bool    `json:"low_lying"`
	Bounds   string   `json:"bounds"`
}

// Split and Join change the shape of the land.
type Split struct {
	bare
	From []string `json:"from" need:"*" ref:"id"`
	Into []string `json:"into" need:"*" ref:"id"`
}

// Join makes one paddock of several.
type Join struct {
	bare
	From []string `json:"from" need:"*" ref:"id"`
	Into []string `json:"into" need:"*" ref:"id"`
}

// SpeciesShare is one species of a sowing and its share of the seed, in percent.
type SpeciesShare struct {
	Species string   `json:"species"`
	Share   *float64 `json:"share,omitempty"`
}

// Sown adds species to a stand, or starts a new stand.
type Sown struct {
	bare
	Paddock  string         `json:"paddock" need:"*" ref:"id"`
	Species  []SpeciesShare `json:"species" need:"*"`
	NewStand *bool          `json:"new_stand"`
	Ended    Ended          `json:"ended" one:"tilled|sprayed|winter-killed"`
}

// Seen states species found growing.
type Seen struct {
	bare
	Paddock string   `json:"paddock" need:"*" ref:"id"`
	Species []string `json:"species" need:"*"`
	Where   string   `json:"where"`
	Extent  Extent   `json:"extent" one:"trace|patches|common"` // trace: scattered, under 5 % of the stand
}

// StationFacts adds or changes a thermometer.
type StationFacts struct {
	bare
	Station    string   `json:"station" need:"*" ref:"id"`
	Name       string   `json:"name" need:"*"`
	Lat        *float64 `json:"lat" lo:"-90" hi:"90"`
	Lon        *float64 `json:"lon" lo:"-180" hi:"180"`
	ElevationM *float64 `json:"elevation_m" lo:"-500" hi:"6000"`
	HeightM    *float64 `json:"height_m" lo:"0" hi:"100"`
}

// Reading is what a thermometer said of a night.
type Reading struct {
	bare
	Station        string   `json:"station" need:"place" ref:"id"`
	Paddock        string   `json:"paddock" need:"place" ref:"id"`
	Night          Date     `json:"night" need:"*" when:"*"`
	LowC           *float64 `json:"low_c" need:"low" lo:"-90" hi:"60"`
	BelowZero      *bool    `json:"below_zero" need:"low"`
	Covers         *bool    `json:"covers"` // false: only part of the night was read
	Spans          []Span   `json:"spans"`  // the parts of the night that were read
	HoursBelow0    *float64 `json:"hours_below_0" lo:"0" hi:"25"`
	HoursBelowKill *float64 `json:"hours_below_kill" lo:"0" hi:"25"`
	Source         string   `json:"source"`
}

// HoursBelow is how long a thermometer is said to have been below zero, h; 0 where nobody said.
func (b *Reading) HoursBelow() float64 {
	most := 0.0
	for _, h := range []*float64{b.HoursBelow0, b.HoursBelowKill} {
		if h != nil {
			most = max(most, *h)
		}
	}
	return most
}

// Forecast is a forecast low of a coming night.
type Forecast struct {
	bare
	Station string    `json:"station" need:"place" ref:"id"`
	Paddock string    `json:"paddock" need:"place" ref:"id"`
	Night   Date      `json:"night" need:"*" when:"*"`
	LowC    *float64  `json:"low_c" need:"*" lo:"-90" hi:"60"`
	Issued  time.Time `json:"issued" need:"*"`
	Source  string    `json:"source"`
}

// NoFrost is a signed statement that nights already over had no frost.
type NoFrost struct {
	bare
	Paddocks []string     `json:"paddocks" need:"*" ref:"id"`
	From     Date         `json:"from" need:"*" when:"*"`
	To       Date         `json:"to" need:"*"`
	Basis    NoFrostBasis `json:"basis" need:"*" one:"thermometer-in-paddock|other-thermometer|looked-at-dawn"`
}

// Frost is a person's frost; it counts whatever a thermometer said.
type Frost struct {
	bare
	Paddocks []string  `json:"paddocks" need:"*" ref:"id"`
	Night    Date      `json:"night" need:"night" when:"*"`
	EndedAt  time.Time `json:"ended_at" need:"night"`
	LowC     *float64  `json:"low_c" lo:"-90" hi:"60"`
	Seen     string    `json:"seen"`
}

// Walk is what a person found who walked the stand or the swath.
type Walk struct {
	bare
	Paddock      string   `json:"paddock" need:"*" ref:"id"`
	Part         Part     `json:"part" one:"stand|swath"`
	Killed       Killed   `json:"killed" one:"all|part|none|unknown"`
	FrostDamage  Damage   `json:"frost_damage" one:"none|tips|part|all|unknown"`
	DamageNight  Date     `json:"damage_night"`
	Dry          *bool    `json:"dry"`
	ShootsCM     *float64 `json:"shoots_cm" lo:"0" hi:"1000"` // 0: looked, found none
	ShortestCM   *float64 `json:"shortest_cm" lo:"0" hi:"1000"`
	Alive        []string `json:"alive"`
	Absent       []string `json:"absent"`
	Wilted       *bool    `json:"wilted"`
	StressFree   *bool    `json:"stress_free"`
	WeedsChecked *bool    `json:"weeds_checked"`
	KgDMHa       *float64 `json:"kg_dm_ha" lo:"0" hi:"100000"`
}

// Drought states that a drought started or ended.
type Drought struct {
	bare
	Paddocks []string     `json:"paddocks" need:"*" ref:"id"`
	State    DroughtState `json:"state" need:"*" one:"start|end"`
	RainMM   *float64     `json:"rain_mm" lo:"0" hi:"2000"`
}

// Rain is the rain log.
type Rain struct {
	bare
	Paddocks []string `json:"paddocks" need:"*" ref:"id"`
	MM       *float64 `json:"mm" need:"*" lo:"0" hi:"2000"`
}

// Hail, Trampled and Sprayed are damage to the stand.
type Hail struct {
	bare
	Paddocks []string `json:"paddocks" need:"*" ref:"id"`
	Product  string   `json:"product"`
}

// Trampled is damage by stock, wheels or people.
type Trampled struct {
	bare
	Paddocks []string `json:"paddocks" need:"*" ref:"id"`
	Product  string   `json:"product"`
}

// Sprayed is a herbicide or other spray on the stand.
type Sprayed struct {
	bare
	Paddocks []string `json:"paddocks" need:"*" ref:"id"`
	Product  string   `json:"product"`
}

// Nitrogen is fertiliser or manure.
type Nitrogen struct {
	bare
	Paddocks []string `json:"paddocks" need:"*" ref:"id"`
	KgNHa    *float64 `json:"kg_n_ha" need:"rate" lo:"0" hi:"2000"`
	// RateUnknown says that nobody knows the rate, as of manure.
	RateUnknown *bool  `json:"rate_unknown" need:"rate"`
	Form        string `json:"form"`
}

// Cut is a cut for one of the uses.
type Cut struct {
	bare
	Paddock  string   `json:"paddock" need:"*" ref:"id"`
	Use      CutUse   `json:"use" need:"*" one:"hay|silage|swath|green-chop"`
	HeightCM *float64 `json:"height_cm" lo:"0" hi:"300"`
	Lot      string   `json:"lot" ref:"id"`
}

// Grazed is stock in or out of a paddock.
type Grazed struct {
	bare
	Paddock   string   `json:"paddock" need:"*" ref:"id"`
	State     Move     `json:"state" need:"*" one:"in|out"`
	Herd      string   `json:"herd" ref:"id"`
	LeftCM    *float64 `json:"left_cm" lo:"0" hi:"1000"`
	SwathLeft *bool    `json:"swath_left"`
}

// LotFacts adds or changes a lot of stored feed. In the flat JSON object the
// word "kind" is the entry's own, so the lot's is written "lot_kind".
type LotFacts struct {
	bare
	Lot     string   `json:"lot" need:"*" ref:"id"`
	LotKind LotKind  `json:"lot_kind" need:"*" one:"hay|silage|baleage|bought"`
	MadeOn  Date     `json:"made_on" need:"*" when:"*"`
	From    []string `json:"from" ref:"id"`
	CutOn   Date     `json:"cut_on"`
	Bales   *float64 `json:"bales" lo:"0" hi:"1000000"`
	Tonnes  *float64 `json:"tonnes" lo:"0" hi:"1000000"`
	DMPct   *float64 `json:"dm_pct" lo:"1" hi:"100"`
	Species []string `json:"species"`
	Seller  string   `json:"seller"`
}

// Sampled states that a sample was sent and its result is awaited.
type Sampled struct {
	bare
	Paddock    string   `json:"paddock" need:"place" ref:"id"`
	Lot        string   `json:"lot" need:"place" ref:"id"`
	Sample     string   `json:"sample" need:"*"`
	Lab        string   `json:"lab"`
	Stems      *float64 `json:"stems" lo:"0" hi:"100000"`
	Spots      *float64 `json:"spots" lo:"0" hi:"100000"`
	BalesCored *float64 `json:"bales_cored" lo:"0" hi:"100000"`
	Cores      *float64 `json:"cores" lo:"0" hi:"100000"`
	CutCM      *float64 `json:"cut_cm" lo:"0" hi:"300"`
}

// Lab is a result for nitrate or HCN.
type Lab struct {
	bare
	Paddock     string      `json:"paddock" need:"place" ref:"id"`
	Lot         string      `json:"lot" need:"place" ref:"id"`
	SampledOn   Date        `json:"sampled_on" need:"*" when:"*"`
	Analyte     Analyte     `json:"analyte" need:"*" one:"nitrate|hcn"`
	Values      []Value     `json:"values" need:"*" lo:"0" hi:"1000000"`
	Form        Form        `json:"form" one:"NO3|NO3-N|KNO3|NaNO3"` // required for nitrate
	Unit        Unit        `json:"unit" need:"*" one:"ppm|mg/kg|g/kg|%"`
	Basis       LabBasis    `json:"basis" need:"*" one:"dm|as-fed"`
	Method      Method      `json:"method" need:"*" one:"lab|strip|quick"`
	DMPct       *float64    `json:"dm_pct" lo:"1" hi:"100"`
	Sample      string      `json:"sample"`
	Stems       *float64    `json:"stems" lo:"0" hi:"100000"`
	Spots       *float64    `json:"spots" lo:"0" hi:"100000"`
	BalesCored  *float64    `json:"bales_cored" lo:"0" hi:"100000"`
	Cores       *float64    `json:"cores" lo:"0" hi:"100000"`
	CutCM       *float64    `json:"cut_cm" lo:"0" hi:"300"`
	SampleState SampleState `json:"sample_state" one:"sealed|frozen|dried|unknown"`
	FileSHA256  string      `json:"file_sha256"`
}

// Value is one value of a laboratory result.
type Value struct {
	N float64
	// Below marks "not detected": N is the limit, and the value is judged as it.
	Below bool
}

// Values makes a list of plain values.
func Values(ns ...float64) []Value {
	out := make([]Value, len(ns))
	for i, n := range ns {
		out[i].N = n
	}
	return out
}

// MarshalJSON writes a number, or {"below": limit}.
func (v Value) MarshalJSON() ([]byte, error) {
	if v.Below {
		return append(append([]byte(`{"below":`), appendValue(nil, &v.N)...), '}'), nil
	}
	return appendValue(nil, &v.N), nil
}

// Numbers returns the values of a result, a limit for what was not detected.
func (l *Lab) Numbers() []float64 {
	out := make([]float64, len(l.Values))
	for i, v := range l.Values {
		out[i] = v.N
	}
	return out
}

// Span is a stretch of time that a thermometer was read in.
type Span struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Water is a nitrate result of stock water.
type Water struct {
	bare
	Source    string   `json:"source" need:"*"`
	SampledOn Date     `json:"sampled_on" need:"*" when:"*"`
	Value     *float64 `json:"value" need:"*" lo:"0" hi:"100000"`
	Form      Form     `json:"form" need:"*" one:"NO3|NO3-N"`
	Unit      Unit     `json:"unit" need:"*" one:"mg/L|ppm"`
	Paddocks  []string `json:"paddocks" ref:"id"`
	Herds     []string `json:"herds" ref:"id"`
}

// Fed states what was fed; it lifts nothing.
type Fed struct {
	bare
	Lot   string   `json:"lot" need:"*" ref:"id"`
	Herd  string   `json:"herd" need:"*" ref:"id"`
	From  Date     `json:"from" need:"*" when:"*"`
	To    Date     `json:"to"`
	Kg    *float64 `json:"kg" lo:"0" hi:"100000000"`
	Mixed *bool    `json:"mixed"`
}

// UsedUp says that nothing is left of a lot: fed, sold, hauled off or spoiled.
type UsedUp struct {
	bare
	Lot string `json:"lot" need:"*" ref:"id"`
}

// HerdFacts adds or changes a group of stock.
type HerdFacts struct {
	bare
	Herd        string   `json:"herd" need:"*" ref:"id"`
	Classes     []string `json:"classes" need:"*" one:"bred-cattle|young-cattle|open-cattle|sheep|goats|horses"`
	Head        *float64 `json:"head" need:"*" lo:"0" hi:"1000000"`
	WeightKg    *float64 `json:"weight_kg" lo:"1" hi:"2000"`
	IntakePctBW *float64 `json:"intake_pct_bw" lo:"0.1" hi:"10"`
}

// Incident is an animal sick or dead.
type Incident struct {
	bare
	Paddock string   `json:"paddock" need:"place" ref:"id"`
	Lot     string   `json:"lot" need:"place" ref:"id"`
	Herd    string   `json:"herd" ref:"id"`
	Down    *float64 `json:"down" lo:"0" hi:"1000000"`
	Dead    *float64 `json:"dead" lo:"0" hi:"1000000"`
	What    string   `json:"what"`
}

// Vet is a veterinarian's word. No classes or uses named means all.
type Vet struct {
	bare
	Paddock string   `json:"paddock" need:"place" ref:"id"`
	Lot     string   `json:"lot" need:"place" ref:"id"`
	Advice  Advice   `json:"advice" need:"*" one:"keep-off|may-graze"`
	Who     string   `json:"who" need:"*"`
	Because string   `json:"because" need:"*"`
	Until   Date     `json:"until"` // required for may-graze
	Classes []string `json:"classes" one:"bred-cattle|young-cattle|open-cattle|sheep|goats|horses"`
	Uses    []string `json:"uses" one:"graze|green-chop|swath-graze|cut-hay|cut-silage|feed"`
}

// Round is a recurring check; it starts `on`.
type Round struct {
	bare
	Name     string   `json:"name" need:"*"`
	RRule    string   `json:"rrule" need:"*"` // RFC 5545 recurrence rule, daily or coarser
	Paddocks []string `json:"paddocks" ref:"id"`
	What     string   `json:"what"`
}

// Done states that a round or task was carried out.
type Done struct {
	bare
	Round string `json:"round" need:"what"`
	Task  string `json:"task" need:"what"`
}

// Read states that the signer has read the day's sheet.
type Read struct{ bare }

// Strike says that the named entry no longer counts, or that none of the
// entries does that an import brought and that were recorded up to the strike.
type Strike struct {
	bare
	Entry   string `json:"entry" need:"what"`
	Batch   string `json:"batch" need:"what"`
	Because string `json:"because" need:"*"`
}
