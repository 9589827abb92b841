package weather

import "math"

// DewPoint returns the dew point in °C from air temperature in °C and relative
// humidity in percent. It is NaN for a humidity that is not above 0.
//
// Saturation vapour pressure after Tetens as in FAO Irrigation and Drainage Paper
// 56 (Allen et al. 1998), ch. 3 eq. 11, http://www.fao.org/docrep/X0490E/x0490e07.htm ,
// inverted as in University of Arizona AZMET, "Dewpoint formulas",
// https://cales.arizona.edu/azmet/dewpoint.html
func DewPoint(tempC, humidityPct float64) float64 {
	if !(humidityPct > 0) {
		return math.NaN()
	}
	b := (math.Log(min(humidityPct, 100)/100) + 17.27*tempC/(237.3+tempC)) / 17.27
	return 237.3 * b / (1 - b)
}
