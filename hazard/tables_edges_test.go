package hazard_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// The published nitrate tables once more, written down by hand from the
// publications and not from the rulebook's files, so that a slip in either
// shows. Edges are in the printed form and unit. Per band: the answer for
// pregnant stock and for the rest. A printed range of shares takes its lower
// end; "ours" marks a share the publication does not print.
type handTable struct {
	source string
	form   string
	unit   string
	edges  []float64
	preg   []handBand // one more than edges
	other  []handBand
}

type handBand struct {
	flag  hazard.Flag
	share float64
}

var (
	free = handBand{hazard.Clear, 100}
	off  = handBand{hazard.Hold, 0}
)

// warn is a band with a caution word or a limited share.
func warn(share float64) handBand { return handBand{hazard.Caution, share} }

var handTables = map[string]handTable{
	"clemson": {
		source: "Clemson University, Agricultural Service Laboratory, Nitrate level, https://clemson.edu/public/regulatory/ag-srvc-lab/feed-forage/nitrate-level.html",
		form:   "NO3-N", unit: "ppm",
		edges: []float64{1000, 1500, 2000, 3500, 4000},
		preg:  []handBand{free, warn(50), warn(50), off, off, off},
		other: []handBand{free, free, warn(50), warn(35), warn(25), off},
	},
	"missouri-2020": {
		source: "University of Missouri Extension, Check forages for nitrates, 2020, https://extension2.missouri.edu/news/check-forages-for-nitrates-4678",
		form:   "NO3", unit: "%",
		edges: []float64{0.44, 0.66, 0.88, 1.54, 1.76},
		preg:  []handBand{free, warn(50), warn(50), warn(35), off, off},
		other: []handBand{free, free, warn(50), warn(35), warn(25), off},
	},
	"wisconsin": {
		source: "University of Wisconsin and others, as compiled by Dairyland Laboratories, Nitrates, https://dairylandlabs.com/nitrates",
		form:   "NO3-N", unit: "ppm",
		edges: []float64{1000, 2000, 4000},
		preg:  []handBand{free, warn(50), warn(50), off},
		other: []handBand{free, warn(100), warn(50), off},
	},
	"manitoba": { // 0.6 to 0.9 %: "not sole feed", half is ours
		source: "Manitoba Agriculture, Utilizing High Nitrate Feeds Safely, http://petroleum.gov.mb.ca/agriculture/crops/crop-management/forages/print,utilizing-high-nitrate-feeds-safely.html",
		form:   "NO3", unit: "%",
		edges: []float64{0.3, 0.6, 0.9},
		preg:  []handBand{free, warn(50), warn(50), off},
		other: []handBand{free, warn(100), warn(50), off},
	},
	"k-state": { // 6000 to 9000: "potentially toxic", half is ours
		source: "Kansas State University, Agronomy eUpdate 602, Nitrate toxicity in drought-stressed forages, https://eupdate.agronomy.ksu.edu/article/nitrate-toxicity-in-drought-stressed-forages-602-1",
		form:   "NO3", unit: "ppm",
		edges: []float64{3000, 6000, 9000},
		preg:  []handBand{free, warn(50), warn(50), off},
		other: []handBand{free, warn(100), warn(50), off},
	},
	"guelph-ahl": { // printed 5000-9999 and 10,000-17,000: the gap is the worse band's
		source: "University of Guelph, Animal Health Laboratory, AHL Newsletter 2019;23(3):9, https://uoguelph.ca/ahl/node/9097",
		form:   "NO3", unit: "ppm",
		edges: []float64{5000, 9999, 17000},
		preg:  []handBand{free, warn(50), off, off},
		other: []handBand{free, free, warn(35), off},
	},
	"tennessee": {
		source: "University of Tennessee (Mason), via Progressive Forage, Southeast: Nitrates, do they dissipate?, https://agproud.com/articles/59808-southeast-nitrates-do-they-dissipate",
		form:   "NO3", unit: "ppm",
		edges: []float64{2500, 5000},
		preg:  []handBand{free, warn(50), warn(25)},
		other: []handBand{free, warn(100), warn(25)},
	},
	"colorado-line": { // printed also as 1150 N and 8150 KNO3, rounded: not used
		source: "Colorado State University Extension, Strategies to minimize nitrate levels in stressed corn, http://extension.colostate.edu/disaster-web-sites/strategies-to-minimize-nitrate-levels-in-stressed-corn",
		form:   "NO3", unit: "ppm",
		edges: []float64{5000},
		preg:  []handBand{free, warn(100)},
		other: []handBand{free, warn(100)},
	},
	"k-state-bci-line": { // "not for pregnant": no line for the rest
		source: "Kansas State University, Beef Cattle Institute, Nitrate poisoning, 2024, https://ksubci.org/2024/05/24/nitrate-poisoning",
		form:   "NO3", unit: "%",
		edges: []float64{0.5},
		preg:  []handBand{free, off},
		other: []handBand{free, free},
	},
	"north-carolina-line": { // higher rows not read in full
		source: "NC Cooperative Extension, Sampson County, via Clinton NC, Nitrate toxicity, https://www.clintonnc.com/news/56288/nitrate-toxicity",
		form:   "NO3", unit: "%",
		edges: []float64{0.25},
		preg:  []handBand{free, warn(50)},
		other: []handBand{free, warn(50)},
	},
}

// Atomic weights N 14.007, O 15.999, K 39.0983, Na 22.98977 (IUPAC, abridged).
var handMolar = map[string]float64{"NO3-N": 14.007, "NO3": 62.004, "KNO3": 101.1023, "NaNO3": 84.99377}

// pregnantRow are the classes judged as pregnant cattle; the rest as open.
func pregnantRow(c hazard.Class) bool {
	return c == hazard.BredCattle || c == hazard.YoungCattle || c == hazard.Sheep || c == hazard.Goats
}

// at returns the band of a value in the table's own form and unit; a value on
// an edge belongs to the worse band.
func (h handTable) at(v float64, c hazard.Class) handBand {
	i := 0
	for i < len(h.edges) && v >= h.edges[i]*(1-1e-9) {
		i++
	}
	if pregnantRow(c) {
		return h.preg[i]
	}
	return h.other[i]
}

// askNitrate puts one laboratory value of a proper sampling on an unstressed
// stand of oats, outside the frost watch, and returns the nitrate answers by
// class: nothing but the value can decide them.
func askNitrate(t *testing.T, book *hazard.Rulebook, form, unit string, v float64) map[hazard.Class]hazard.HazardAnswer {
	t.Helper()
	loc, err := fields.LoadZone(farmByDefault)
	if err != nil {
		t.Fatal(err)
	}
	day := fields.MakeDate(2026, time.July, 10)
	var entries []fields.Entry
	for i, l := range []struct{ kind, body string }{
		{"farm", `{"name":"Case farm","zone":"America/Regina","frost_watch":{"from":"12-01","to":"12-02"}}`},
		{"sown", `{"on":"2026-06-01","species":[{"species":"oats"}]}`},
		{"lab", fmt.Sprintf(`{"sampled_on":"2026-07-09","analyte":"nitrate","values":[%v],"form":%q,"unit":%q,"basis":"dm","method":"lab","stems":20,"spots":10,"cut_cm":10}`, v, form, unit)},
	} {
		at := day.At(7, i, loc)
		e, err := caseEntry(l.kind, caseULID(at, i), at, day, l.body)
		if err != nil {
			t.Fatal(err)
		}
		entries = append(entries, *e)
	}
	h := fields.Fold(entries, fields.View{On: day, KnownAt: day.At(12, 0, loc)})
	a := hazard.Assess(h, book)
	out := map[hazard.Class]hazard.HazardAnswer{}
	for _, c := range hazard.Classes {
		out[c] = a.Paddocks[0].Verdict(hazard.Graze, c).Hazards[hazard.Nitrate]
	}
	return out
}

func onlyTable(book *hazard.Rulebook, id string) *hazard.Rulebook {
	one := *book
	i := slices.IndexFunc(book.Tables, func(t hazard.NitrateTableData) bool { return t.ID == id })
	one.Tables = book.Tables[i : i+1]
	return &one
}

func sameBand(got hazard.HazardAnswer, want handBand) bool {
	return got.Flag == want.flag && got.MaxShare == want.share && (got.Flag != hazard.Hold || got.Through == hazard.NoEnd)
}

func TestEveryEmbeddedTableIsWrittenByHand(t *testing.T) {
	book := rules.Default()
	if len(book.Tables) != len(handTables) {
		t.Errorf("%d tables are embedded, %d written by hand", len(book.Tables), len(handTables))
	}
	for _, tab := range book.Tables {
		h, ok := handTables[tab.ID]
		if !ok {
			t.Errorf("table %s is not written by hand", tab.ID)
			continue
		}
		if string(tab.Form) != h.form || tab.Unit != h.unit {
			t.Errorf("table %s prints %s in %s, by hand %s in %s", tab.ID, tab.Form, tab.Unit, h.form, h.unit)
		}
	}
}

// Every band edge of every table from both sides, on the edge itself and
// within the tolerance below it, for every class, with that table alone.
func TestTableEdges(t *testing.T) {
	for id, h := range handTables {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			book := onlyTable(rules.Default(), id)
			for i, edge := range h.edges {
				for _, v := range []struct {
					value float64
					band  int
				}{
					{edge * (1 - 1e-6), i},
					{edge * (1 - 1e-10), i + 1},
					{edge, i + 1},
					{edge * (1 + 1e-6), i + 1},
				} {
					got := askNitrate(t, book, h.form, h.unit, v.value)
					for _, c := range hazard.Classes {
						want := h.other[v.band]
						if pregnantRow(c) {
							want = h.preg[v.band]
						}
						if !sameBand(got[c], want) {
							t.Errorf("%.10g %s %s, %s: got %s share %g, want %s share %g (%s)", v.value, h.unit, h.form, c, got[c].Flag, got[c].MaxShare, want.flag, want.share, h.source)
						}
					}
				}
			}
		})
	}
}

// The same edges with the result printed in another form: conversion is by
// atomic weights, never by a publication's rounded factor. 0.23 for 0.2259
// would move an edge by 1.8 %, 4.4 for 4.4266 by 0.6 %.
func TestTableEdgesInOtherForms(t *testing.T) {
	for id, h := range handTables {
		t.Run(id, func(t *testing.T) {
			t.Parallel()
			book := onlyTable(rules.Default(), id)
			per := 1.0
			if h.unit == "%" {
				per = 10000
			}
			for _, form := range []string{"NO3-N", "NO3", "KNO3", "NaNO3"} {
				if form == h.form {
					continue
				}
				for i, edge := range h.edges {
					on := edge * per * handMolar[form] / handMolar[h.form]
					for band, v := range map[int]float64{i: on * (1 - 1e-4), i + 1: on * (1 + 1e-4)} {
						got := askNitrate(t, book, form, "ppm", v)
						for _, c := range []hazard.Class{hazard.BredCattle, hazard.OpenCattle} {
							want := h.other[band]
							if pregnantRow(c) {
								want = h.preg[band]
							}
							if !sameBand(got[c], want) {
								t.Errorf("%.6g ppm %s, %s: got %s share %g, want %s share %g (%s)", v, form, c, got[c].Flag, got[c].MaxShare, want.flag, want.share, h.source)
							}
						}
					}
				}
			}
		})
	}
}

// With all tables together the strictest flag and the smallest share hold, on
// both sides of every edge of any of them.
func TestAllTablesTogether(t *testing.T) {
	book := rules.Default()
	for id, h := range handTables {
		per := 1.0
		if h.unit == "%" {
			per = 10000
		}
		for _, edge := range h.edges {
			for _, side := range []float64{1 - 1e-5, 1 + 1e-5} {
				no3 := edge * per * side * handMolar["NO3"] / handMolar[h.form]
				got := askNitrate(t, book, "NO3", "ppm", no3)
				for _, c := range hazard.Classes {
					want := free
					for _, o := range handTables {
						operPPM := 1.0
						if o.unit == "%" {
							operPPM = 10000
						}
						b := o.at(no3*handMolar[o.form]/handMolar["NO3"]/operPPM, c)
						want.flag = max(want.flag, b.flag)
						want.share = math.Min(want.share, b.share)
					}
					if !sameBand(got[c], want) {
						t.Errorf("beside the edge %g of %s, %.8g ppm NO3, %s: got %s share %g, want %s share %g", edge, id, no3, c, got[c].Flag, got[c].MaxShare, want.flag, want.share)
					}
				}
			}
		}
	}
}

// The line below which every table agrees, worked out by hand: 0.25 % NO3
// (North Carolina) is 2500 ppm NO3 (Tennessee) is 564.76 ppm NO3-N; for
// pregnant stock 0.5 % NO3 (K-State BCI), 1129.5 ppm NO3-N, is the first hold;
// for open stock 0.9 % NO3 (Manitoba) is 9000 ppm (K-State), 2033.2 ppm NO3-N.
func TestTheStrictestLines(t *testing.T) {
	book := rules.Default()
	for _, x := range []struct {
		n     float64
		class hazard.Class
		want  handBand
	}{
		{564.7, hazard.BredCattle, free},
		{564.8, hazard.BredCattle, warn(50)},
		{564.7, hazard.Horses, free},
		{564.8, hazard.Horses, warn(50)},
		{1129.4, hazard.BredCattle, warn(50)},
		{1129.7, hazard.BredCattle, off},
		{1129.4, hazard.OpenCattle, warn(50)},
		{1129.7, hazard.OpenCattle, warn(25)},
		{2033.0, hazard.OpenCattle, warn(25)},
		{2033.3, hazard.OpenCattle, off},
		{2033.3, hazard.Goats, off},
	} {
		got := askNitrate(t, book, "NO3-N", "ppm", x.n)[x.class]
		if !sameBand(got, x.want) {
			t.Errorf("%g ppm NO3-N, %s: got %s share %g, want %s share %g", x.n, x.class, got.Flag, got.MaxShare, x.want.flag, x.want.share)
		}
	}
}

// Published conversions. Univ. of Wisconsin (Undersander et al.), Nitrate
// Poisoning in Cattle, Sheep and Goats, http://www.uwex.edu/ces/forage/pubs/nitrate.htm:
// 0.44 % NO3 is 0.1 % NO3-N. Colorado State University Extension (address
// above): 5000 ppm NO3 is printed as 1150 ppm N and 8150 ppm KNO3, rounded.
func TestPublishedConversions(t *testing.T) {
	for _, x := range []struct {
		v            float64
		from, to     string
		exact, print float64
		within       float64 // of the printed figure, relative
	}{
		{0.44, "NO3", "NO3-N", 0.099398, 0.1, 0.01},
		{5000, "NO3", "NO3-N", 1129.52, 1150, 0.02},
		{5000, "NO3", "KNO3", 8152.88, 8150, 0.001},
		{1, "NO3-N", "NO3", 4.42664, 4.43, 0.001},
		{1, "NO3-N", "KNO3", 7.21798, 7.22, 0.001},
		{1, "NO3-N", "NaNO3", 6.06795, 6.07, 0.001},
	} {
		got := hazard.ConvertNitrate(x.v, fields.Form(x.from), fields.Form(x.to))
		if math.Abs(got/x.exact-1) > 1e-5 {
			t.Errorf("%g %s is %g %s, by atomic weights %g", x.v, x.from, got, x.to, x.exact)
		}
		if math.Abs(got/x.print-1) > x.within {
			t.Errorf("%g %s is %g %s, printed as %g", x.v, x.from, got, x.to, x.print)
		}
	}
	if !math.IsNaN(hazard.ConvertNitrate(1, "nitrate", "NO3")) {
		t.Error("an unnamed form is converted")
	}
}
