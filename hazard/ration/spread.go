package ration

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// Spread sums up results of one lot or stand. All values are of one form,
// unit and basis.
type Spread struct {
	N         int
	Mean      float64
	SD        float64 // sample standard deviation, n-1; 0 with one value
	Highest   float64
	HalfWidth float64 // two-sided 95 %: mean +- HalfWidth; +Inf with one value
	Upper     float64 // one-sided 95 %: the mean is below it; never below the mean
}

// SpreadOf sums up values; none, or one that is no number from zero up, is an
// error. The 95 % limits of the mean take the values as independent and roughly
// normal: mean +- t(0.975, n-1) SD / sqrt(n), and one-sided mean + t(0.95, n-1) SD /
// sqrt(n). They serve mixed rations and sampling plans; the highest value, not the
// mean, decides a flag.
func SpreadOf(values []float64) (Spread, error) {
	if len(values) == 0 {
		return Spread{}, errors.New("there is no result to sum up; enter at least one value")
	}
	s := Spread{N: len(values), HalfWidth: math.Inf(1), Upper: math.Inf(1)}
	for _, v := range values {
		if !(v >= 0) || math.IsInf(v, 0) {
			return Spread{}, fmt.Errorf("a result is a number from zero up, not %g", v)
		}
		s.Highest = max(s.Highest, v)
	}
	s.Mean, s.SD = meanSD(values)
	if s.N > 1 {
		se := s.SD / math.Sqrt(float64(s.N))
		s.HalfWidth = StudentT(0.975, s.N-1) * se
		s.Upper = s.Mean + max(0, StudentT(0.95, s.N-1)*se)
	}
	return s, nil
}

func meanSD(v []float64) (m, sd float64) {
	for _, x := range v {
		m += x / float64(len(v))
	}
	for _, x := range v {
		sd += (x - m) * (x - m)
	}
	return m, math.Sqrt(sd / max(1, float64(len(v)-1)))
}

// ForMixing returns the nitrate to use for a lot in a mixed ration: of several
// samplings the one-sided 95 % upper limit of their mean, of a single one its
// value, which how then says.
func ForMixing(values []float64) (v float64, how string, err error) {
	m, err := SpreadOf(values)
	if m.N <= 1 {
		return m.Mean, "one result: its value is used; how far the lot strays from it is not known", err
	}
	return m.Upper, fmt.Sprintf("mean %s of %d results; its upper 95 %% limit %s is used", number(m.Mean, 0), m.N, number(m.Upper, 0)), err
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
	n = 2 + sort.Search(mostSamples, func(i int) bool {
		return StudentT(0.975, i+1)*sd/math.Sqrt(float64(i+2)) <= halfWidth
	})
	return n, n <= mostSamples
}

// MoreSamples returns how many more samples would bring the mean of earlier
// results within halfWidth at 95 %, counting on their spread to stay; 0 when
// they do already. At least two different earlier values are needed.
func MoreSamples(values []float64, halfWidth float64) (more int, err error) {
	s, err := SpreadOf(values)
	if err != nil {
		return 0, err
	}
	if s.SD == 0 {
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
	switch w := (WorstBale{Untested: bales - s.N}); {
	case err != nil:
		return WorstBale{}, err
	case w.Untested < 0:
		return w, fmt.Errorf("the lot has %d bales but %d results; type the number of bales again", bales, s.N)
	case !(line > 0) || math.IsInf(line, 0):
		return w, errors.New("the line is a number above zero, like 1000 ppm")
	case s.Highest >= line*(1-edge):
		w.Known, w.Words = true, "a bale that was tested is at or above the line already"
		return w, nil
	case w.Untested == 0:
		w.Known, w.Below, w.Normal, w.LogNormal, w.Words = true, 1, 1, 1, "every bale was tested"
		return w, nil
	case s.N < fewestForSpread:
		w.Why = fmt.Sprintf("a composite or a bale or two tell the mean, not the worst bale; have %d or more bales tested one by one", fewestForSpread)
		return w, nil
	case s.SD == 0:
		w.Why = "all results are the same to the last digit, so they do not say how far bales stray"
		return w, nil
	}
	w := WorstBale{Known: true, Untested: bales - s.N}
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

// allBelow returns E[ Phi(a W - Z/sqrt(n))^k ].
func allBelow(a float64, n, k int) float64 {
	const step, reach = 0.25, 7.5
	return meanOverW(n-1, func(w float64) float64 {
		sum := 0.0
		for z := -reach; z <= reach; z += step {
			sum += math.Exp(-z*z/2) * math.Pow(phi(a*w-z/math.Sqrt(float64(n))), float64(k))
		}
		return sum * step / math.Sqrt(2*math.Pi)
	})
}

// StudentT returns the quantile of Student's t distribution with df degrees of
// freedom below which the fraction q (0.5 and more) lies. Its distribution function
// is E[ Phi(t W) ], found from the normal quantile up by Newton's steps.
func StudentT(q float64, df int) float64 {
	t := math.Sqrt2 * math.Erfinv(2*q-1)
	for range 100 {
		below := meanOverW(df, func(w float64) float64 { return phi(t * w) })
		slope := meanOverW(df, func(w float64) float64 { return w * math.Exp(-t*t*w*w/2) }) / math.Sqrt(2*math.Pi)
		step := (q - below) / slope
		t += step
		if math.Abs(step) < 1e-12*t {
			break
		}
	}
	return t
}

// meanOverW returns E[ f(W) ] for W = sqrt(chi2(df)/df) by the trapezoid rule over
// log W, whose density, df s - df exp(2s)/2 in the exponent, falls off fast enough at
// both ends for the rule to be exact to some 1e-12.
func meanOverW(df int, f func(w float64) float64) float64 {
	d := float64(df)
	sum, all := 0.0, 0.0
	reach, step := 6/math.Sqrt(d), 0.2/math.Sqrt(d)
	for s := -reach - 30/d; s <= reach; s += step {
		weight := math.Exp(d * (s - math.Expm1(2*s)/2))
		all += weight
		sum += weight * f(math.Exp(s))
	}
	return sum / all
}

// phi is the standard normal distribution function.
func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
