package forage

// Source is where a figure was read.
type Source struct {
	Publisher string
	Title     string
	Year      int // 0: the page shows none
	URL       string
}

// UnitDay is the feed of one animal unit, kg dry matter a day (11.79). A unit is a cow
// of 1000 lb, dry or with a calf of up to six months, that eats about 26 lb (the
// definition rounds it to 12 kg) of oven-dry forage a day: Society for Range
// Management, glossary, animal unit, no year,
// https://rangelandsgateway.org/taxonomy/term/24233; 1000 lb x 2.6 %, 780 lb in 30
// days: NRCS National Range and Pasture Handbook, via eXtension, Animal units, 2015,
// https://articles.extension.org/pages/33665/animal-units . A pound is 0.45359237 kg.
const UnitDay = 26 * 0.45359237

// Table is one published list of animal-unit equivalents.
type Table struct {
	ID     string
	Source Source
	Rows   []Unit
}

// Unit is what one head of a kind counts for.
type Unit struct {
	Kind    string
	Classes []string // classes of stock, as in the journal
	AU      float64
}

var (
	bredCattle  = []string{"bred-cattle"}
	youngCattle = []string{"young-cattle"}
	openCattle  = []string{"open-cattle"}
	sheep       = []string{"sheep"}
	goats       = []string{"goats"}
	horses      = []string{"horses"}
	cows        = []string{"bred-cattle", "open-cattle"}
)

// Tables are the published equivalents, the widely used one first. They
// disagree: a pair is 1.00 in the first and 1.35 in the second. Every demand
// worked out from them carries both ends and names its table.
var Tables = []Table{
	{
		"nrcs",
		Source{"USDA Natural Resources Conservation Service, National Range and Pasture Handbook, via eXtension", "Animal units", 2015, "https://articles.extension.org/pages/33665/animal-units"},
		[]Unit{
			{"cow with calf", bredCattle, 1.00},
			{"cow, dry", cows, 0.92},
			{"bull, mature", openCattle, 1.35},
			{"cattle, 1 year", []string{"young-cattle", "open-cattle"}, 0.60},
			{"cattle, 2 years", cows, 0.80},
			{"horse, mature", horses, 1.25},
			{"sheep, mature", sheep, 0.20},
			{"lamb, 1 year", sheep, 0.15},
			{"goat, mature", goats, 0.15},
			{"kid, 1 year", goats, 0.10},
		},
	},
	{
		"vallentine",
		Source{"Vallentine 1990, p. 279, via Rangelands Gateway", "Animal Units", 0, "https://rangelandsgateway.org/inventorymonitoring/animalunits"},
		[]Unit{
			{"cow and calf pair", bredCattle, 1.35},
			{"mature cow, not in milk", cows, 1.0},
			{"pregnant heifer, over 18 months", bredCattle, 1.0},
			{"mature bull, over 24 months", openCattle, 1.5},
			{"young bull, 18 to 24 months", openCattle, 1.15},
			{"yearling, 18 to 24 months", openCattle, 0.9},
			{"yearling, 15 to 18 months", openCattle, 0.8},
			{"yearling, 12 to 15 months", openCattle, 0.7},
			{"calf, weaned to 12 months", youngCattle, 0.6},
			{"calf, weaned at 8 months", youngCattle, 0.5},
		},
	},
	{
		"manitoba",
		Source{"Manitoba Agriculture", "Page bjb00s17 (animal units)", 0, "http://www.gov.mb.ca/agriculture/crops/forages/bjb00s17.html"},
		[]Unit{
			{"cow of 1500 lb", cows, 1.50},
			{"heifer of 700 lb", youngCattle, 0.80},
			{"steer of 700 lb", youngCattle, 0.85},
			{"bull of 1700 lb", openCattle, 1.40},
			{"horse of 1300 lb", horses, 1.20},
			{"sheep of 120 lb", sheep, 0.20},
		},
	},
	{
		"texas",
		Source{"Texas animal unit equivalent chart", "Animal unit equivalents: domestic livestock, native wildlife, exotic wildlife", 0, "https://docslib.org/download/5250279/animal-unit-equivalent-chart-texas-domestic-livestock-native-wildlife-and-exotic-wildlife"},
		[]Unit{
			{"beef cow of 1000 lb", cows, 1.00},
			{"horse of 1100 lb", horses, 1.27},
			{"ewe of 130 lb", sheep, 0.18},
			{"Spanish nanny of 90 lb", goats, 0.16},
			{"Boer-cross nanny of 125 lb", goats, 0.19},
			{"Angora nanny of 70 lb", goats, 0.12},
		},
	},
}
