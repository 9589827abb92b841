package ration

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spread sums up results of one lot or stand. All values are of one form,
// unit and basis.
type Spread struct {
	N       int
	Mean    float64
	SD      float64 // sample standard deviation, n-1; 0 with one value
	CVPct   float64 // SD over mean, percent
	Highest float64
}

// SpreadOf sums up values; none, or one that is no number from zero up, is an
// error.
func SpreadOf(values []float64) (Spread, error) {
	if len(values) == 0 {
		return Spread{}, errors.New("there is no result to sum up; enter at least one value")
	}
	s := Spread{N: len(values)}
	for _, v := range values {
		if !(v >= 0) || math.IsInf(v, 0) {
			return Spread{}, fmt.Errorf("a result is a number from zero up, not %g", v)
		}
		s.Mean += v / float64(s.N)
		s.Highest = max(s.Highest, v)
	}
	if s.N > 1 {
		sum := 0.0
		for _, v := range values {
			sum += (v - s.Mean) * (v - s.Mean)
		}
		s.SD = math.Sqrt(sum / float64(s.N-1))
	}
	if s.Mean > 0 {
		s.CVPct = s.SD / s.Mean * 100
	}
	return s, nil
}

// StudentT returns the quantile of Student's t distribution with df degrees of
// freedom below which the fraction q lies.
func StudentT(q float64, df int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.Quantile(q)
}

// MeanLimit is what a mean of several results may really be.
type MeanLimit struct {
	Spread
	HalfWidth float64 // two-sided 95 %: mean +- HalfWidth; +Inf with one value
	Upper     float64 // one-sided 95 %: the mean is below it; never below the mean
}

// LimitOfMean returns the 95 % limits of the mean of independent, roughly
// normal values: mean +- t(0.975, n-1) SD / sqrt(n), and one-sided
// mean + t(0.95, n-1) SD / sqrt(n). They serve mixed rations and sampling plans;
// the highest value, not the mean, decides a flag.
func LimitOfMean(values []float64) (MeanLimit, error) {
	s, err := SpreadOf(values)
	if err != nil {
		return MeanLimit{}, err
	}
	m := MeanLimit{Spread: s, HalfWidth: math.Inf(1), Upper: math.Inf(1)}
	if s.N > 1 {
		se := s.SD / math.Sqrt(float64(s.N))
		m.HalfWidth = StudentT(0.975, s.N-1) * se
		m.Upper = s.Mean + max(0, StudentT(0.95, s.N-1)*se)
	}
	return m, nil
}

// ForMixing returns the nitrate to use for a lot in a mixed ration: of several
// samplings the one-sided 95 % upper limit of their mean, of a single one its
// value, which how then says.
func ForMixing(values []float64) (v float64, how string, err error) {
	m, err := LimitOfMean(values)
	if err != nil {
		return 0, "", err
	}
	if m.N == 1 {
		return m.Mean, "one result: its value is used; how far the lot strays from it is not known", nil
	}
	return m.Upper, fmt.Sprintf("mean %s of %d results; its upper 95 %% limit %s is used", number(m.Mean, 0), m.N, number(m.Upper, 0)), nil
}

// mostSamples ends the search for a sample size.
const mostSamples = 100000

// SamplesFor returns how many samples in all give a mean within halfWidth
// (same unit as sd) at 95 %, the smallest n >= 2 with
// t(0.975, n-1) sd / sqrt(n) <= halfWidth: n stands on both sides, so it is
// searched for. ok is false without a spread or beyond 100,000.
func SamplesFor(sd, halfWidth float64) (n int, ok bool) {
	if !(sd > 0) || !(halfWidth > 0) || math.IsInf(sd, 0) {
		return 0, false
	}
	enough := func(n int) bool {
		return StudentT(0.975, n-1)*sd/math.Sqrt(float64(n)) <= halfWidth
	}
	lo, hi := 1, 2 // lo is too few
	for !enough(hi) {
		lo, hi = hi, hi*2
		if hi > mostSamples {
			return 0, false
		}
	}
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if enough(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}

// MoreSamples returns how many more samples would bring the mean of earlier
// results within halfWidth at 95 %, counting on their spread to stay; 0 when
// they do already. At least two different earlier values are needed.
func MoreSamples(values []float64, halfWidth float64) (more int, err error) {
	s, err := SpreadOf(values)
	if err != nil {
		return 0, err
	}
	if s.N < 2 || s.SD == 0 {
		return 0, errors.New("how far results stray is not known from these; at least two different results are needed")
	}
	n, ok := SamplesFor(s.SD, halfWidth)
	if !ok {
		return 0, errors.New("no number of samples gives that width; type a wider one, like 300 ppm")
	}
	return max(0, n-s.N), nil
}

// OneFieldCVPct is the spread of bales of one field to plan with before there
// are results: 23 round bales of sudangrass ran from 1525 to 6250 ppm as fed,
// mean 2764 (Kansas State University, Testing methods for nitrates in forages,
// no year, https://m.farms.com/news/testing-methods-for-nitrates-in-forages-185101.aspx).
// The publication prints no standard deviation; this one is ours, range over
// 3.858 (the expected range of 23 normal values in standard deviations), 44.3 %
// of the mean. One field is no survey.
const OneFieldCVPct = (6250.0 - 1525.0) / 3.858 / 2764.0 * 100

// WorstBale is the chance that no bale of a lot reaches a line.
type WorstBale struct {
	// Known is false when the results cannot tell; Why then says what is missing.
	Known bool
	Why   string
	// Below is the smaller of the two chances below: all bales under the line.
	Below     float64
	Normal    float64 // values of bales taken as normal
	LogNormal float64 // their logarithms taken as normal; NaN if a value is 0
	Untested  int     // bales without a result of their own
	Words     string  // assumption, in words
}

// fewestForSpread is the fewest bales a spread is read from: with two, the
// degrees of freedom are one and the answer says nothing.
const fewestForSpread = 3

// ChanceOfWorst returns the chance that the worst of a lot's bales stays below
// line, from results of single bales (values, same unit as line) drawn at
// random from its bales. It is the predictive distribution of the untested
// bales: with mean m and standard deviation s of n values,
//
//	P = E[ Phi((line - m) W / s - Z / sqrt(n)) ^ k ],  k bales untested,
//
// W = sqrt(chi2(n-1)/(n-1)), Z standard normal; for k = 1 that is the t
// distribution of (line - m) / (s sqrt(1 + 1/n)). Taken once with the values
// and once with their logarithms as normal; the smaller chance counts. It
// answers "is a bale hot?", it clears nothing and decides no flag.
func ChanceOfWorst(values []float64, bales int, line float64) (WorstBale, error) {
	s, err := SpreadOf(values)
	if err != nil {
		return WorstBale{}, err
	}
	if bales < s.N {
		return WorstBale{}, fmt.Errorf("the lot has %d bales but %d results; type the number of bales again", bales, s.N)
	}
	if !(line > 0) || math.IsInf(line, 0) {
		return WorstBale{}, errors.New("the line is a number above zero, like 1000 ppm")
	}
	w := WorstBale{Untested: bales - s.N}
	if s.Highest >= line*(1-edge) {
		w.Known, w.Words = true, "a bale that was tested is at or above the line already"
		return w, nil
	}
	if w.Untested == 0 {
		w.Known, w.Below, w.Normal, w.LogNormal, w.Words = true, 1, 1, 1, "every bale was tested"
		return w, nil
	}
	switch {
	case s.N < fewestForSpread:
		w.Why = fmt.Sprintf("a composite or a bale or two tell the mean, not the worst bale; have %d or more bales tested one by one", fewestForSpread)
		return w, nil
	case s.SD == 0:
		w.Why = "all results are the same to the last digit, so they do not say how far bales stray"
		return w, nil
	}
	w.Known = true
	w.Normal = allBelow((line-s.Mean)/s.SD, s.N, w.Untested)
	logs := make([]float64, len(values))
	for i, v := range values {
		logs[i] = math.Log(v)
	}
	lm, lsd := meanSD(logs)
	if math.IsInf(lm, 0) || !(lsd > 0) {
		w.LogNormal, w.Below = math.NaN(), w.Normal
		w.Words = "assumes that the tested bales were drawn at random and that bales are normal about one mean"
		return w, nil
	}
	w.LogNormal = allBelow((math.Log(line)-lm)/lsd, s.N, w.Untested)
	w.Below = min(w.Normal, w.LogNormal)
	w.Words = "assumes that the tested bales were drawn at random and that bales, or their logarithms, are normal about one mean; the smaller of the two chances is shown"
	return w, nil
}

func meanSD(v []float64) (m, sd float64) {
	for _, x := range v {
		m += x / float64(len(v))
	}
	for _, x := range v {
		sd += (x - m) * (x - m)
	}
	return m, math.Sqrt(sd / float64(len(v)-1))
}

// allBelow returns E[ Phi(a W - Z/sqrt(n))^k ] by Gauss-Legendre quadrature
// over W and Z.
func allBelow(a float64, n, k int) float64 {
	const nodes, tail, reach = 96, 1e-10, 7.5
	chi := distuv.ChiSquared{K: float64(n - 1)}
	df := float64(n - 1)
	lo, hi := math.Sqrt(chi.Quantile(tail)/df), math.Sqrt(chi.Quantile(1-tail)/df)
	rootN := math.Sqrt(float64(n))
	total := quad.Fixed(func(w float64) float64 {
		density := chi.Prob(w*w*df) * 2 * w * df
		return density * quad.Fixed(func(z float64) float64 {
			return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * math.Pow(phi(a*w-z/rootN), float64(k))
		}, -reach, reach, nodes, quad.Legendre{}, 0)
	}, lo, hi, nodes, quad.Legendre{}, 0)
	return min(1, max(0, total))
}

// phi is the standard normal distribution function.
func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
