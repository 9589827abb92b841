package rules

import (
	"math"
	"testing"

	"rimegate/hazard"
)

// bandOf is a plain reading of a table: the band a value lies in, an edge
// belonging to the worse band.
func bandOf(bands []hazard.NitrateBand, v float64) hazard.NitrateBand {
	for _, b := range bands {
		if v < b.UpTo {
			return b
		}
	}
	return hazard.NitrateBand{}
}

func flagOf(b hazard.NitrateBand) hazard.Flag {
	flag, _ := b.Says()
	return flag
}

func tableOf(t *testing.T, id string) *hazard.NitrateTableData {
	t.Helper()
	for i := range Default().Tables {
		if Default().Tables[i].ID == id {
			return &Default().Tables[i]
		}
	}
	t.Fatalf("there is no table %q", id)
	return nil
}

// TestTables checks both sides of every line of the published tables, in the
// printed unit.
func TestTables(t *testing.T) {
	const clear, caution, hold = hazard.Clear, hazard.Caution, hazard.Hold
	type step struct {
		upTo  float64 // upper edge in the printed unit, 0 for none
		preg  hazard.Flag
		pregS float64
		other hazard.Flag
		othS  float64
	}
	inf := math.Inf(1)
	for id, tc := range map[string]struct {
		form, unit string
		per        float64 // ppm in one printed unit
		steps      []step
	}{
		// Clemson University, Agricultural Service Laboratory, Nitrate level,
		// https://clemson.edu/public/regulatory/ag-srvc-lab/feed-forage/nitrate-level.html
		"clemson": {"NO3-N", "ppm", 1, []step{
			{1000, clear, 100, clear, 100},
			{1500, caution, 50, clear, 100},
			{2000, caution, 50, caution, 50},
			{3500, hold, 0, caution, 35},
			{4000, hold, 0, caution, 25},
			{inf, hold, 0, hold, 0},
		}},
		// University of Missouri Extension 2020, Check forages for nitrates,
		// https://extension2.missouri.edu/news/check-forages-for-nitrates-4678
		"missouri-2020": {"NO3", "%", 1e4, []step{
			{0.44, clear, 100, clear, 100},
			{0.66, caution, 50, clear, 100},
			{0.88, caution, 50, caution, 50},
			{1.54, caution, 35, caution, 35},
			{1.76, hold, 0, caution, 25},
			{inf, hold, 0, hold, 0},
		}},
		// University of Wisconsin and others, https://dairylandlabs.com/nitrates
		"wisconsin": {"NO3-N", "ppm", 1, []step{
			{1000, clear, 100, clear, 100}, {2000, caution, 50, caution, 100}, {4000, caution, 50, caution, 50}, {inf, hold, 0, hold, 0},
		}},
		// Manitoba Agriculture, Utilizing High Nitrate Feeds Safely,
		// http://petroleum.gov.mb.ca/agriculture/crops/crop-management/forages/print,utilizing-high-nitrate-feeds-safely.html
		"manitoba": {"NO3", "%", 1e4, []step{
			{0.3, clear, 100, clear, 100}, {0.6, caution, 50, caution, 100}, {0.9, caution, 50, caution, 50}, {inf, hold, 0, hold, 0},
		}},
		// Kansas State University eUpdate 602,
		// https://eupdate.agronomy.ksu.edu/article/nitrate-toxicity-in-drought-stressed-forages-602-1
		"k-state": {"NO3", "ppm", 1, []step{
			{3000, clear, 100, clear, 100}, {6000, caution, 50, caution, 100}, {9000, caution, 50, caution, 50}, {inf, hold, 0, hold, 0},
		}},
		// University of Guelph, AHL Newsletter 2019;23(3):9, https://uoguelph.ca/ahl/node/9097
		"guelph-ahl": {"NO3", "ppm", 1, []step{
			{5000, clear, 100, clear, 100}, {9999, caution, 50, clear, 100}, {17000, hold, 0, caution, 35}, {inf, hold, 0, hold, 0},
		}},
		// University of Tennessee, Nitrates, do they dissipate?,
		// https://agproud.com/articles/59808-southeast-nitrates-do-they-dissipate
		"tennessee": {"NO3", "ppm", 1, []step{
			{2500, clear, 100, clear, 100}, {5000, caution, 50, caution, 100}, {inf, caution, 25, caution, 25},
		}},
		// Colorado State University, one line,
		// http://extension.colostate.edu/disaster-web-sites/strategies-to-minimize-nitrate-levels-in-stressed-corn
		"colorado-line": {"NO3", "ppm", 1, []step{
			{5000, clear, 100, clear, 100}, {inf, caution, 100, caution, 100},
		}},
		// NC Cooperative Extension, one line, https://www.clintonnc.com/news/56288/nitrate-toxicity
		"north-carolina-line": {"NO3", "%", 1e4, []step{
			{0.25, clear, 100, clear, 100}, {inf, caution, 50, caution, 50},
		}},
		// K-State Beef Cattle Institute 2024, one line for pregnant cattle,
		// https://ksubci.org/2024/05/24/nitrate-poisoning
		"k-state-bci-line": {"NO3", "%", 1e4, []step{
			{0.5, clear, 100, 0, 0}, {inf, hold, 0, 0, 0},
		}},
	} {
		tab := tableOf(t, id)
		if string(tab.Form) != tc.form || tab.Unit != tc.unit {
			t.Errorf("%s prints %s %s, want %s %s", id, tab.Unit, tab.Form, tc.unit, tc.form)
		}
		for _, c := range hazard.Classes {
			preg := c == hazard.BredCattle || c == hazard.YoungCattle || c == hazard.Sheep || c == hazard.Goats
			row, ok := tab.Rows[c]
			if wantRow := preg || tc.steps[0].other != hazard.Unknown; ok != wantRow {
				t.Errorf("%s: %s has a row: %v, want %v", id, c, ok, wantRow)
				continue
			} else if !ok {
				continue
			}
			at := func(printed float64, want step) {
				t.Helper()
				flag, share := want.other, want.othS
				if preg {
					flag, share = want.preg, want.pregS
				}
				b := bandOf(row, printed*tc.per)
				if got := flagOf(b); got != flag || b.MaxShare != share {
					t.Errorf("%s, %s, %v %s: %v share %v, want %v share %v", id, c, printed, tc.unit, got, b.MaxShare, flag, share)
				}
			}
			lower := 0.0
			for i, s := range tc.steps {
				at(lower, s) // an edge belongs to the worse band
				upper := s.upTo
				if math.IsInf(upper, 1) {
					upper = lower * 20
				}
				at((lower+upper)/2, s)
				at(upper*(1-1e-6), s)
				lower = s.upTo
				if i == len(tc.steps)-1 && len(row) != len(tc.steps) {
					t.Errorf("%s, %s: %d bands, want %d", id, c, len(row), len(tc.steps))
				}
			}
		}
	}
	if n := len(Default().Tables); n != 10 {
		t.Errorf("%d tables, want the 10 above", n)
	}
}

// TestTablesAgreeWithThemselves: within a row nothing gets better as the value
// rises, and pregnant stock is never better off than other stock.
func TestTablesAgreeWithThemselves(t *testing.T) {
	for _, tab := range Default().Tables {
		preg, other := tab.Rows[hazard.BredCattle], tab.Rows[hazard.OpenCattle]
		var edges []float64
		for _, row := range [][]hazard.NitrateBand{preg, other} {
			for _, b := range row {
				if !math.IsInf(b.UpTo, 1) {
					edges = append(edges, b.UpTo-1, b.UpTo, b.UpTo+1)
				}
			}
		}
		for _, v := range edges {
			p := bandOf(preg, v)
			if other == nil {
				continue
			}
			if o := bandOf(other, v); flagOf(o) > flagOf(p) || o.MaxShare < p.MaxShare {
				t.Errorf("%s at %v: pregnant %v %v, other %v %v", tab.ID, v, flagOf(p), p.MaxShare, flagOf(o), o.MaxShare)
			}
		}
		for c, row := range tab.Rows {
			for i := 1; i < len(row); i++ {
				if flagOf(row[i]) < flagOf(row[i-1]) || row[i].MaxShare > row[i-1].MaxShare || row[i].UpTo <= row[i-1].UpTo {
					t.Errorf("%s, %s: band %d is better than the one below it", tab.ID, c, i)
				}
			}
		}
	}
}

// TestFactors checks the conversion against published worked values.
func TestFactors(t *testing.T) {
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if math.Abs(got-want) > tol {
			t.Errorf("%s = %v, want %v", what, got, want)
		}
	}
	// Molar masses by the abridged IUPAC/CIAAW weights: NO3 62.004, N 14.007.
	near("NO3-N in NO3", toN["NO3"], 14.007/62.004, 1e-12)
	near("NO3-N in KNO3", toN["KNO3"], 0.138543, 1e-6)
	near("NO3-N in NaNO3", toN["NaNO3"], 0.164800, 1e-6)
	// University of Wisconsin, Nitrate Poisoning in Cattle, Sheep and Goats:
	// 0.44 % NO3 is 0.1 % NO3-N (rounded in print; exactly 994 ppm).
	near("0.44 % NO3", 4400*toN["NO3"], 994, 0.5)
	// Colorado State prints 5000 ppm NO3 = 1150 ppm NO3-N (rounded up; exactly
	// 1129.5) = 8150 ppm KNO3 (exactly 8152.9).
	near("5000 ppm NO3", 5000*toN["NO3"], 1129.5, 0.05)
	near("5000 ppm NO3 as KNO3", 5000*toN["NO3"]/toN["KNO3"], 8152.9, 0.1)
	for _, tab := range Default().Tables {
		if tab.ToN != toN[string(tab.Form)] || tab.ToN == 0 {
			t.Errorf("%s: factor %v for %s", tab.ID, tab.ToN, tab.Form)
		}
	}
	// Edges stand as printed, not 6600.000000000001.
	if got := tableOf(t, "missouri-2020").Rows[hazard.BredCattle][1].UpTo; got != 6600 {
		t.Errorf("0.66 %% is %v ppm", got)
	}
}

// TestGuelphCase: forage sorghum of 40,000 ppm nitrate killed 3 of 60 heifers
// (Guelph AHL 2019); it is hold in every full table but Tennessee's, which
// knows no do-not-feed.
func TestGuelphCase(t *testing.T) {
	const ppmN = 40000 * atomN / massNO3
	for _, tab := range Default().Tables {
		for _, c := range hazard.Classes {
			row, ok := tab.Rows[c]
			if !ok {
				continue
			}
			got := flagOf(bandOf(row, ppmN/tab.ToN))
			soft := tab.ID == "tennessee" || tab.ID == "colorado-line" || tab.ID == "north-carolina-line"
			if want := hazard.Hold; !soft && got != want || soft && got != hazard.Caution {
				t.Errorf("%s, %s: %v", tab.ID, c, got)
			}
		}
	}
}
