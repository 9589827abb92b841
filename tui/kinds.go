package tui

import (
	"rimegate/fields"
)

// fieldType is how a field is filled in.
type fieldType uint8

const (
	tText fieldType = iota
	tPlaces
	tChoice
	tYesNo
	tName // one of the farm's lots, herds or stations
	tDate
	tAhead // a date that may lie ahead
	tMoment
	tQuantity
	tCount
	tNumber
	tNumbers
	tWords // several, with commas
	tMix   // species with shares
)

// look is how a field of the journal is asked for.
type look struct {
	label, hint string
	typ         fieldType
	measure     *fields.Measure
}

// looks is by name of the journal's field; one of "kind.name" goes first.
var looks = map[string]look{
	"paddocks":       {label: "Paddocks", typ: tPlaces, hint: "Space picks from the list"},
	"paddock":        {label: "Paddocks", typ: tPlaces, hint: "Space picks from the list; each gets an entry of its own"},
	"on":             {label: "Day", typ: tDate, hint: "today, yesterday or like 17-Sep"},
	"note":           {label: "Note", hint: "in your own words; decides nothing"},
	"night":          {label: "Night ending", typ: tDate, hint: "last night is today; tonight is tomorrow"},
	"reading.low_c":  {label: "Low", typ: tQuantity, measure: fields.Temperature, hint: "as that thermometer showed it, with its unit: -3C, 26F"},
	"forecast.low_c": {label: "Low", typ: tQuantity, measure: fields.Temperature, hint: "as forecast, with its unit: -3C, 26F"},
	"low_c":          {label: "Low", typ: tQuantity, measure: fields.Temperature, hint: "at plant height, with its unit: -3C, 26F"},
	"ended_at":       {label: "Frost ended at", typ: tMoment, hint: "when the last freezing hour ended, like 07:30, if known"},
	"seen":           {label: "What was seen", hint: "such as white frost in the hollow"},
	"from":           {label: "First night", typ: tDate, hint: "the day on which the first night ended"},
	"to":             {label: "Last night", typ: tDate, hint: "the day on which the last night ended"},
	"basis":          {label: "It rests on", typ: tChoice, hint: "what your word rests on; you sign it"},
	"part":           {label: "What was walked", typ: tChoice, hint: "the stand, or the swath lying on it"},
	"killed":         {label: "Killed?", typ: tChoice, hint: "of the plants that make prussic acid"},
	"frost_damage":   {label: "Frost damage?", typ: tChoice, hint: "on green growth; a damage counts as a frost"},
	"damage_night":   {label: "  which night", typ: tDate, hint: "the day on which the night ended that did it, if you know"},
	"cause":          {label: "  or other cause", typ: tChoice, hint: "of damage that no recorded night explains"},
	"cause_on":       {label: "  cause, day", typ: tDate, hint: "the day of the hail, spray or drought (the walk's own if empty)"},
	"dry":            {label: "Dry?", typ: tYesNo, hint: "the killed growth is dry"},
	"shoots_cm":      {label: "New shoots", typ: tQuantity, measure: fields.Height, hint: "their height with its unit; none if you looked and found none"},
	"shortest_cm":    {label: "Shortest green", typ: tQuantity, measure: fields.Height, hint: "where the growth is shortest, not on average: 80cm, 32in"},
	"alive":          {label: "Still green", typ: tWords, hint: "which plants, with commas; nothing if nothing at all is green"},
	"absent":         {label: "Plants gone", typ: tWords, hint: "plants of the mix that are no longer there"},
	"wilted":         {label: "Wilted?", typ: tYesNo, hint: "plants hang limp"},
	"stress_free":    {label: "Free of stress?", typ: tYesNo, hint: "it grows without any sign of stress"},
	"weeds_checked": {
		label: "Weeds checked?", typ: tYesNo, hint: "you looked for sorghum types, johnsongrass, volunteers, corners and fence lines",
	},
	"kg_dm_ha":         {label: "Standing feed", typ: tQuantity, measure: fields.PerArea, hint: "dry matter: 2500kg/ha or 2200lb/ac"},
	"state":            {label: "What happened", typ: tChoice},
	"rain_mm":          {label: "Rain that ended it", typ: tQuantity, measure: fields.RainDepth, hint: "12mm or 0.5in"},
	"mm":               {label: "Rain", typ: tQuantity, measure: fields.RainDepth, hint: "12mm or 0.5in"},
	"product":          {label: "What", hint: "the product, or what did it"},
	"kg_n_ha":          {label: "Nitrogen", typ: tQuantity, measure: fields.PerArea, hint: "as N, not as product: 56kg/ha or 50lb/ac"},
	"form":             {label: "As", typ: tChoice, hint: "as the report says; between NO3 and NO3-N lies a factor of 4.43"},
	"nitrogen.form":    {label: "As", hint: "urea, litter, slurry ..."},
	"use":              {label: "For", typ: tChoice},
	"height_cm":        {label: "Cut at", typ: tQuantity, measure: fields.Height, hint: "the stubble that stays: 10cm, 4in"},
	"lot":              {label: "Lot of feed", typ: tName, hint: "stored feed instead of a paddock"},
	"cut.lot":          {label: "Becomes lot", hint: "short name of the lot it becomes, if it has one"},
	"lot.lot":          {label: "Lot's short name", hint: "letters, digits, - and _, like bench-hay"},
	"fed.lot":          {label: "Lot of feed", typ: tName},
	"herd":             {label: "Herd", typ: tName, hint: "leave empty for stock of no herd"},
	"left_cm":          {label: "Left standing", typ: tQuantity, measure: fields.Height, hint: "after they left: 10cm, 4in"},
	"swath_left":       {label: "Swath left lying?", typ: tYesNo},
	"lot_kind":         {label: "Kind of feed", typ: tChoice},
	"made_on":          {label: "Made or bought on", typ: tDate, hint: "today, yesterday or like 17-Sep"},
	"lot.from":         {label: "From paddocks", typ: tPlaces, hint: "where it grew; nothing picked: not known"},
	"cut_on":           {label: "Cut on", typ: tDate, hint: "today, yesterday or like 17-Sep"},
	"bales":            {label: "Bales", typ: tCount},
	"tonnes":           {label: "Weight", typ: tQuantity, measure: fields.Tonnage, hint: "45t or 99000lb"},
	"dm_pct":           {label: "Dry matter", typ: tQuantity, measure: fields.Percentage, hint: "86%; needed for a result as fed"},
	"species":          {label: "Plants", typ: tWords, hint: "with commas"},
	"sown.species":     {label: "Plants sown", typ: tMix, hint: "with their share of the seed: oats:60, field peas:40"},
	"seller":           {label: "Sold by"},
	"sample":           {label: "Sample's number", hint: "as on the bag"},
	"lab":              {label: "Laboratory"},
	"stems":            {label: "Stems", typ: tCount, hint: "how many were taken"},
	"spots":            {label: "  from spots", typ: tCount, hint: "from how many places"},
	"bales_cored":      {label: "Bales cored", typ: tCount},
	"cores":            {label: "  cores in all", typ: tCount},
	"cut_cm":           {label: "Sample cut at", typ: tQuantity, measure: fields.Height, hint: "10cm or 4in"},
	"sampled_on":       {label: "Sampled on", typ: tDate, hint: "the day the sample was taken, like 17-Sep"},
	"analyte":          {label: "Tested for", typ: tChoice},
	"values":           {label: "Number reported", typ: tNumbers, hint: "as printed, without its unit and without a comma; <100 if not detected; of several samples: 820; 910"},
	"unit":             {label: "Unit", typ: tChoice, hint: "as the report says; 1 % is 10,000 ppm"},
	"lab.basis":        {label: "Of", typ: tChoice, hint: "dm: of the dry matter; as-fed: with its water"},
	"method":           {label: "By", typ: tChoice, hint: "a strip or a quick test alone clears nothing"},
	"sample_state":     {label: "Sample was", typ: tChoice, hint: "matters for hcn: a dried sample has lost it"},
	"file_sha256":      {label: "Report's checksum"},
	"source":           {label: "Source", hint: "where it comes from"},
	"water.source":     {label: "Well, dugout", hint: "the well, dugout or trough"},
	"value":            {label: "Number reported", typ: tNumber, hint: "as printed, without its unit"},
	"herds":            {label: "Herds drinking", typ: tWords, hint: "short names, with commas"},
	"fed.from":         {label: "First day", typ: tDate},
	"fed.to":           {label: "Last day", typ: tDate},
	"kg":               {label: "Weight", typ: tQuantity, measure: fields.Weight, hint: "500kg or 1100lb"},
	"mixed":            {label: "Mixed in?", typ: tYesNo, hint: "mixed evenly into other feed"},
	"down":             {label: "Down", typ: tCount, hint: "how many staggered or lay down"},
	"dead":             {label: "Dead", typ: tCount},
	"what":             {label: "What was seen"},
	"advice":           {label: "The vet says", typ: tChoice},
	"who":              {label: "Who said it", hint: "the veterinarian's name"},
	"because":          {label: "Because", hint: "the reason"},
	"until":            {label: "Through", typ: tAhead, hint: "last day, included; may-graze needs one"},
	"classes":          {label: "For classes", typ: tWords, hint: "bred-cattle, young-cattle ...; empty: all"},
	"uses":             {label: "For uses", typ: tWords, hint: "graze, green-chop ...; empty: all"},
	"where":            {label: "Where", hint: "such as along the creek"},
	"new_stand":        {label: "New stand?", typ: tYesNo, hint: "no: sown into what grows there"},
	"ended":            {label: "Old stand was", typ: tChoice},
	"station":          {label: "Thermometer", typ: tName, hint: "the one that was read; its paddocks take their offset from it"},
	"forecast.station": {label: "For thermometer", typ: tName, hint: "where the forecast is for; its paddocks take their offset from it"},
	"reading.paddock":  {label: "Inside paddock", typ: tPlaces, hint: "only for a thermometer that hangs inside it, at plant height"},
	"forecast.paddock": {label: "For paddocks", typ: tPlaces, hint: "only for a forecast of no thermometer's place"},
	"extent":           {label: "How much of it", typ: tChoice, hint: "trace: scattered, under 5 % of the stand; not said counts as patches"},
	"rate_unknown":     {label: "Rate not known?", typ: tYesNo, hint: "yes where nobody knows it, as of manure; it counts as above every rate"},
	"sown.on":          {label: "Day sown", typ: tDate, hint: "the day the seed went in, like 17-May"},
	"below_zero":       {label: "Below freezing?", typ: tYesNo, hint: "if the number is not known"},
	"covers":           {label: "Whole night?", typ: tYesNo, hint: "no: only part was read; a mild part shows nothing"},
	"hours_below_0":    {label: "Hours at 0 °C", typ: tQuantity, measure: fields.Hours, hint: "hours at or below 0 °C (32 °F): 3h"},
	"hours_below_kill": {label: "Hours at -2.2 °C", typ: tQuantity, measure: fields.Hours, hint: "hours at or below -2.2 °C (28 °F): 3h"},
	"forecast.night":   {label: "Night ending", typ: tAhead, hint: "tonight is tomorrow"},
	"round":            {label: "Round", typ: tName, hint: "the recurring check that was done"},
	"task":             {label: "Or an errand", hint: "what was done, in your own words"},
	"issued":           {label: "Forecast made", typ: tMoment, hint: "like 16:30 or yesterday 16:30; now if empty"},
}

// kindSpec is the form of one kind of entry.
type kindSpec struct {
	kind        fields.Kind
	title, says string
	order       []string          // fields in the order asked; nil: as the journal has them
	first       string            // the field that has the cursor first
	preset      map[string]string // typed for the person, to be seen and changed
	undated     bool              // the kind has a day of its own
}

// kinds are the forms in the order of the menu, the everyday ones first.
var kinds = []kindSpec{
	{kind: fields.KindFrost, title: "frost", says: "a frost that a person saw or measured", order: []string{"paddocks", "night", "low_c", "ended_at", "seen"}, first: "low_c", undated: true},
	{kind: fields.KindNoFrost, title: "no frost", says: "signed: nights already over had no frost", order: []string{"paddocks", "from", "to", "basis"}, first: "basis", preset: map[string]string{"from": "today", "to": "today"}, undated: true},
	{kind: fields.KindWalk, title: "walk", says: "what you found when you walked it", order: []string{
		"paddock", "on", "killed", "frost_damage", "damage_night", "cause", "cause_on", "dry", "shoots_cm", "shortest_cm", "weeds_checked", "wilted", "alive", "absent", "stress_free", "part", "kg_dm_ha",
	}, first: "killed"},
	{kind: fields.KindGrazed, title: "stock moved", says: "stock into a paddock, or out of it", order: []string{"paddock", "state", "herd", "on", "left_cm", "swath_left"}, first: "state"},
	{kind: fields.KindLab, title: "laboratory result", says: "a result for nitrate or prussic acid (hcn)", order: []string{
		"paddock", "lot", "sampled_on", "analyte", "values", "form", "unit", "basis", "dm_pct", "method", "sample", "stems", "spots", "cut_cm", "bales_cored", "cores", "sample_state",
	}, first: "sampled_on", undated: true},
	{kind: fields.KindIncident, title: "animal sick or dead", says: "locks the paddock until a veterinarian has spoken"},
	{kind: fields.KindReading, title: "thermometer reading", says: "what a thermometer said of a night", order: []string{"station", "paddock", "night", "low_c", "below_zero", "covers", "hours_below_0", "hours_below_kill", "source"}, first: "low_c", undated: true},
	{kind: fields.KindForecast, title: "forecast", says: "a forecast low of a coming night; it can only warn", preset: map[string]string{"night": "tomorrow"}, order: []string{"station", "paddock", "night", "low_c", "issued", "source"}, first: "low_c", undated: true},
	{kind: fields.KindDrought, title: "drought", says: "a drought started, or rain ended it", first: "state"},
	{kind: fields.KindRain, title: "rain", says: "the rain log", first: "mm"},
	{kind: fields.KindHail, title: "hail", says: "hail hit the stand"},
	{kind: fields.KindTrampled, title: "trampled", says: "broken down by stock, wheels or people"},
	{kind: fields.KindSprayed, title: "sprayed", says: "herbicide or other spray on the stand"},
	{kind: fields.KindNitrogen, title: "nitrogen", says: "fertiliser or manure", first: "kg_n_ha"},
	{kind: fields.KindCut, title: "cut", says: "cut for hay, silage, swath or chop", first: "use"},
	{kind: fields.KindSampled, title: "sample sent", says: "a sample went to the laboratory", first: "sample"},
	{kind: fields.KindLot, title: "lot of feed", says: "stored feed was made or bought", undated: true},
	{kind: fields.KindFed, title: "fed", says: "stored feed was fed", preset: map[string]string{"from": "today"}, undated: true},
	{kind: fields.KindWater, title: "water result", says: "a nitrate result of stock water", order: []string{"source", "value", "form", "unit", "sampled_on", "herds", "paddocks"}, undated: true},
	{kind: fields.KindVet, title: "veterinarian's word", says: "keep off, or may graze", order: []string{"paddock", "lot", "advice", "who", "because", "until", "classes", "uses", "on"}, first: "advice"},
	{kind: fields.KindSeen, title: "seen growing", says: "plants found growing, weeds and volunteers too", first: "species"},
	{kind: fields.KindDone, title: "done", says: "a round or an errand was done", order: []string{"round", "task", "on"}, first: "round"},
	{kind: fields.KindSown, title: "sown", says: "a mix was sown", first: "species", preset: map[string]string{"on": ""}},
}

// strikeSpec is not in the menu: it starts from an entry of the history.
var strikeSpec = kindSpec{kind: fields.KindStrike, title: "strike", says: "an entry was a mistake and no longer counts", order: []string{"because"}, undated: true}

func kindOf(k fields.Kind) *kindSpec {
	if k == fields.KindStrike {
		return &strikeSpec
	}
	for i := range kinds {
		if kinds[i].kind == k {
			return &kinds[i]
		}
	}
	return nil
}

// names are the fields of the form in order.
func (k *kindSpec) names() []string {
	out := append([]string{}, k.order...)
	if len(out) == 0 {
		for _, f := range fields.FieldsOf(k.kind) {
			out = append(out, f.Name)
		}
		if !k.undated {
			out = append(out, "on")
		}
	}
	if k.kind != fields.KindStrike {
		out = append(out, "note")
	}
	return out
}

// lookOf is how a field of a kind is asked for; a field nobody described is a
// text under its own name.
func lookOf(k fields.Kind, name string) look {
	if l, ok := looks[string(k)+"."+name]; ok {
		return l
	}
	if l, ok := looks[name]; ok {
		return l
	}
	return look{label: name}
}
