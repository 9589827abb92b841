package ration_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"rimegate/hazard/ration"
)

// Upper critical values of Student's t at 0.05, 0.025, 0.005: NIST/SEMATECH
// e-Handbook of Statistical Methods, section 1.3.6.7.2,
// https://www.itl.nist.gov/div898/handbook/eda/section3/eda3672.htm (read in a
// reprint as "Table 8", https://pdfcoffee.com/student-t-distribution-table-pdf-free.html).
var tTable = map[int][3]float64{
	1: {6.314, 12.706, 63.657}, 2: {2.920, 4.303, 9.925}, 3: {2.353, 3.182, 5.841},
	4: {2.132, 2.776, 4.604}, 5: {2.015, 2.571, 4.032}, 6: {1.943, 2.447, 3.707},
	7: {1.895, 2.365, 3.499}, 8: {1.860, 2.306, 3.355}, 9: {1.833, 2.262, 3.250},
	10: {1.812, 2.228, 3.169}, 11: {1.796, 2.201, 3.106}, 12: {1.782, 2.179, 3.055},
	15: {1.753, 2.131, 2.947}, 19: {1.729, 2.093, 2.861}, 20: {1.725, 2.086, 2.845},
	22: {1.717, 2.074, 2.819}, 25: {1.708, 2.060, 2.787}, 29: {1.699, 2.045, 2.756},
	30: {1.697, 2.042, 2.750}, 40: {1.684, 2.021, 2.704}, 60: {1.671, 2.000, 2.660},
	100: {1.660, 1.984, 2.626},
}

// Two-sided 95 % points, two decimals: NIST Technical Note 1297, Guidelines for
// Evaluating and Expressing the Uncertainty of NIST Measurement Results, table
// B.1, https://www.nist.gov/physical-measurement-laboratory/nist-tn-1297-guidelines-appendix-b-table-b1
var tTable1297 = map[int]float64{
	1: 12.71, 2: 4.30, 3: 3.18, 4: 2.78, 5: 2.57, 6: 2.45, 7: 2.36, 8: 2.31, 9: 2.26, 10: 2.23,
	13: 2.16, 14: 2.14, 16: 2.12, 17: 2.11, 18: 2.10, 35: 2.03, 45: 2.01, 50: 2.01,
}

func TestStudentTAgainstPrintedTables(t *testing.T) {
	for df, row := range tTable {
		for i, q := range []float64{0.95, 0.975, 0.995} {
			near(t, "t", ration.StudentT(q, df), row[i], 0.00051)
		}
	}
	for df, want := range tTable1297 {
		near(t, "t", ration.StudentT(0.975, df), want, 0.0051)
	}
}

// The same quantiles by Simpson's rule over the density, after x = tan(u).
func TestStudentTAgainstIntegration(t *testing.T) {
	for _, df := range []int{1, 2, 3, 5, 9, 22, 75, 500} {
		for _, q := range []float64{0.95, 0.975, 0.995} {
			x := ration.StudentT(q, df)
			near(t, "area", 0.5+tArea(x, df), q, 1e-9)
		}
	}
}

// tArea is the area under Student's density from 0 to x.
func tArea(x float64, df int) float64 {
	nu := float64(df)
	a, _ := math.Lgamma((nu + 1) / 2)
	b, _ := math.Lgamma(nu / 2)
	c := math.Exp(a-b) / math.Sqrt(nu*math.Pi)
	f := func(u float64) float64 {
		x, cos := math.Tan(u), math.Cos(u)
		return c * math.Pow(1+x*x/nu, -(nu+1)/2) / (cos * cos)
	}
	const n = 20000
	h := math.Atan(x) / n
	sum := f(0) + f(math.Atan(x))
	for i := 1; i < n; i++ {
		w := 4.0
		if i%2 == 0 {
			w = 2
		}
		sum += w * f(float64(i)*h)
	}
	return sum * h / 3
}

func TestSampleSizes(t *testing.T) {
	// Derived from the range of 23 bales (Kansas State,
	// https://m.farms.com/news/testing-methods-for-nitrates-in-forages-185101.aspx:
	// mean 2764, 1525 to 6250 ppm as fed) over 3.858: a CV of 44.3 %.
	near(t, "CV", ration.OneFieldCVPct, 44.3, 0.05)
	// Derived with 1.96 for t: 76, 19, 9, 5 samples for 10, 20, 30, 40 % of the
	// mean. With t itself it is never fewer, and few more.
	for _, c := range []struct {
		pct    float64
		normal int
	}{{10, 76}, {20, 19}, {30, 9}, {40, 5}} {
		if got := int(math.Ceil(math.Pow(1.96*ration.OneFieldCVPct/c.pct, 2))); got != c.normal {
			t.Errorf("normal approximation for %g %%: %d, want %d", c.pct, got, c.normal)
		}
		n, ok := ration.SamplesFor(ration.OneFieldCVPct, c.pct)
		if !ok || n < c.normal || n > c.normal+3 {
			t.Errorf("%g %%: %d samples, the normal approximation has %d", c.pct, n, c.normal)
		}
	}
	if _, ok := ration.SamplesFor(0, 10); ok {
		t.Error("a sample size without a spread")
	}
	if _, ok := ration.SamplesFor(1e6, 1e-3); ok {
		t.Error("a sample size beyond all bounds")
	}
}

// The size found is the smallest: one less is too few.
func TestSampleSizeIsTheSmallest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sd := rapid.Float64Range(1, 5000).Draw(t, "sd")
		e := sd * rapid.Float64Range(0.05, 10).Draw(t, "width over sd")
		n, ok := ration.SamplesFor(sd, e)
		if !ok {
			t.Fatal("no size")
		}
		width := func(n int) float64 { return ration.StudentT(0.975, n-1) * sd / math.Sqrt(float64(n)) }
		if width(n) > e {
			t.Fatalf("%d samples give %g, wanted %g", n, width(n), e)
		}
		if n > 2 && width(n-1) <= e {
			t.Fatalf("%d samples would have been enough", n-1)
		}
	})
}

func TestMoreSamples(t *testing.T) {
	values := []float64{900, 1500, 1200, 2100}
	more, err := ration.MoreSamples(values, 300)
	if err != nil {
		t.Fatal(err)
	}
	s, _ := ration.SpreadOf(values)
	n, _ := ration.SamplesFor(s.SD, 300)
	if more != n-4 || more <= 0 {
		t.Errorf("%d more, %d in all", more, n)
	}
	if more, err = ration.MoreSamples(values, 5000); err != nil || more != 0 {
		t.Errorf("%d more: %v", more, err)
	}
	for _, v := range [][]float64{nil, {900}, {900, 900}, {900, math.NaN()}, {900, -1}} {
		if _, err := ration.MoreSamples(v, 300); err == nil {
			t.Errorf("%v: no error", v)
		}
	}
}

func TestLimitOfMean(t *testing.T) {
	// Mean 10, n 4: t(0.975,3) = 3.182, t(0.95,3) = 2.353 (NIST/SEMATECH, above).
	v := []float64{8, 9.0, 11, 12}
	m, err := ration.SpreadOf(v)
	if err != nil {
		t.Fatal(err)
	}
	sd := math.Sqrt(10.0 / 3)
	near(t, "half-width", m.HalfWidth, 3.182*sd/2, 0.001)
	near(t, "upper", m.Upper, 10+2.353*sd/2, 0.001)
	one, err := ration.SpreadOf([]float64{900})
	if err != nil || !math.IsInf(one.Upper, 1) || one.Mean != 900 {
		t.Errorf("%+v %v", one, err)
	}
	x, how, err := ration.ForMixing([]float64{900})
	if err != nil || x != 900 || !strings.Contains(how, "one result") {
		t.Errorf("%g %q %v", x, how, err)
	}
}

// A mean's limit is never below the mean, and grows with the spread.
func TestLimitIsNeverBelowTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(0, 1e5), 1, 12).Draw(t, "values")
		m, err := ration.SpreadOf(v)
		if err != nil {
			t.Fatal(err)
		}
		x, _, err := ration.ForMixing(v)
		if err != nil || m.Upper < m.Mean || x < m.Mean {
			t.Fatalf("%+v, for mixing %g, %v", m, x, err)
		}
	})
}

func TestChanceOfWorst(t *testing.T) {
	values := []float64{700, 900, 800, 1000, 850}
	s, _ := ration.SpreadOf(values)
	// One bale left: the t distribution itself.
	w, err := ration.ChanceOfWorst(values, 6, 1200)
	if err != nil || !w.Known {
		t.Fatal(w, err)
	}
	x := (1200 - s.Mean) / (s.SD * math.Sqrt(1+1.0/5))
	near(t, "normal, one bale", w.Normal, 0.5+tArea(x, 4), 1e-6)
	var logs []float64
	for _, v := range values {
		logs = append(logs, math.Log(v))
	}
	ls := 0.0
	lm := 0.0
	for _, v := range logs {
		lm += v / 5
	}
	for _, v := range logs {
		ls += (v - lm) * (v - lm) / 4
	}
	x = (math.Log(1200) - lm) / math.Sqrt(ls*1.2)
	near(t, "lognormal, one bale", w.LogNormal, 0.5+tArea(x, 4), 1e-6)
	if w.Below != min(w.Normal, w.LogNormal) {
		t.Errorf("%+v", w)
	}

	// Forty bales left: against drawn parameters and drawn worst bales.
	w, err = ration.ChanceOfWorst(values, 45, 1500)
	if err != nil || w.Untested != 40 {
		t.Fatal(w, err)
	}
	src := rand.New(rand.NewPCG(67, 71))
	chi := distuv.ChiSquared{K: 4, Src: src}
	normal := distuv.Normal{Mu: 0, Sigma: 1, Src: src}
	const draws = 200000
	below := 0
	for k := 0; k < draws; k++ {
		sigma := s.SD / math.Sqrt(chi.Rand()/4)
		mu := s.Mean + sigma/math.Sqrt(5)*normal.Rand()
		// The worst of 40 has the distribution function Phi^40: draw it directly.
		worst := mu + sigma*normal.Quantile(math.Pow(src.Float64(), 1.0/40))
		if worst < 1500 {
			below++
		}
	}
	p := float64(below) / draws
	near(t, "forty bales", w.Normal, p, 5*math.Sqrt(p*(1-p)/draws))
}

func TestChanceOfWorstSaysWhenItCannotTell(t *testing.T) {
	for _, v := range [][]float64{{900}, {900, 950}, {900, 900, 900}} {
		w, err := ration.ChanceOfWorst(v, 40, 1200)
		if err != nil || w.Known || w.Why == "" || w.Below != 0 {
			t.Errorf("%v: %+v %v", v, w, err)
		}
	}
	// A bale at the line decides, however many are fine.
	w, err := ration.ChanceOfWorst([]float64{500, 600, 1200}, 40, 1200)
	if err != nil || !w.Known || w.Below != 0 {
		t.Errorf("%+v %v", w, err)
	}
	if w, err = ration.ChanceOfWorst([]float64{500, 600, 700}, 3, 1200); err != nil || w.Below != 1 {
		t.Errorf("%+v %v", w, err)
	}
	if w, err = ration.ChanceOfWorst([]float64{0, 600, 700}, 30, 1200); err != nil || !math.IsNaN(w.LogNormal) || w.Below != w.Normal {
		t.Errorf("%+v %v", w, err)
	}
	if _, err = ration.ChanceOfWorst([]float64{500, 600, 700}, 2, 1200); err == nil {
		t.Error("more results than bales")
	}
	if _, err = ration.ChanceOfWorst([]float64{500, 600, 700}, 9, math.Inf(1)); err == nil {
		t.Error("no line")
	}
}

// More bales never help, nor does a lower line.
func TestChanceOfWorstIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(100, 3000), 3, 8).Draw(t, "values")
		bales := rapid.IntRange(len(v)+1, 200).Draw(t, "bales")
		line := rapid.Float64Range(200, 9000).Draw(t, "line")
		a, err := ration.ChanceOfWorst(v, bales, line)
		if err != nil {
			t.Fatal(err)
		}
		if a.Below < 0 || a.Below > 1 {
			t.Fatalf("%+v", a)
		}
		b, _ := ration.ChanceOfWorst(v, bales*2, line)
		c, _ := ration.ChanceOfWorst(v, bales, line*0.9)
		if b.Below > a.Below+1e-6 || c.Below > a.Below+1e-6 {
			t.Fatalf("%+v; twice the bales %+v; lower line %+v", a, b, c)
		}
	})
}

func BenchmarkChanceOfWorst(b *testing.B) {
	v := []float64{700, 900, 800, 1000, 850}
	for b.Loop() {
		_, _ = ration.ChanceOfWorst(v, 45, 1500)
	}
}
