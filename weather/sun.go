package weather

import (
	"math"
	"time"

	"rimegate/fields"
)

// horizonDeg is the zenith distance of the sun's centre at rise and set: 90° plus
// 34' of refraction and 16' of half its disc. NOAA, "General Solar Position
// Calculations", mirrored at http://www.jgiesen.de/astro/suncalc/calculations.htm
const horizonDeg = 90.833

// Sun returns sunrise and sunset of a date of loc at latitude and longitude in
// degrees, north and east positive; ok is false where the sun does not rise or does
// not set. Good to about a minute between the polar circles.
//
// Low-accuracy solar position of J. Meeus, Astronomical Algorithms, 2nd ed. 1998,
// ch. 25 and 28; the check values of its worked example (1992-10-13) are in the
// tests. The chapters' numbers were taken from memory and checked against those
// values.
func Sun(d fields.Date, lat, lon float64, loc *time.Location) (rise, set time.Time, ok bool) {
	y, m, dd := d.Civil()
	midnight := time.Date(y, m, dd, 0, 0, 0, 0, time.UTC)
	transit := func() time.Time {
		_, _, eq := solar(julian(midnight.Add(12 * time.Hour)))
		return midnight.Add(minutes(720 - 4*lon - eq))
	}
	// The day whose noon falls on d where the clock hangs: near the date line a
	// zone's date and the longitude's can differ.
	if got := fields.DateOf(transit(), loc); got != d {
		midnight = midnight.AddDate(0, 0, d.Sub(got))
	}
	event := func(sign float64) (time.Time, bool) {
		at := transit()
		for range 3 {
			_, decl, eq := solar(julian(at))
			h, ok := hourAngle(lat, decl)
			if !ok {
				return time.Time{}, false
			}
			at = midnight.Add(minutes(720 - 4*(lon+sign*h) - eq))
		}
		return at, true
	}
	rise, up := event(+1)
	set, down := event(-1)
	return rise.In(loc), set.In(loc), up && down
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

func julian(t time.Time) float64 { return float64(t.UnixMilli())/86_400_000 + 2440587.5 }

// hourAngle returns the sun's hour angle at rise, in degrees.
func hourAngle(lat, decl float64) (float64, bool) {
	phi, dec := rad(lat), rad(decl)
	c := math.Cos(rad(horizonDeg))/(math.Cos(phi)*math.Cos(dec)) - math.Tan(phi)*math.Tan(dec)
	if !(c >= -1 && c <= 1) {
		return 0, false
	}
	return deg(math.Acos(c)), true
}

func rad(d float64) float64 { return d * math.Pi / 180 }
func deg(r float64) float64 { return r * 180 / math.Pi }

// solar returns the sun's apparent longitude and declination in degrees and the
// equation of time in minutes for a Julian day.
func solar(jd float64) (longitude, declination, equation float64) {
	t := (jd - 2451545) / 36525
	l0 := math.Mod(280.46646+t*(36000.76983+t*0.0003032), 360)
	m := rad(357.52911 + t*(35999.05029-t*0.0001537))
	e := 0.016708634 - t*(0.000042037+t*0.0000001267)
	c := (1.914602-t*(0.004817+t*0.000014))*math.Sin(m) +
		(0.019993-t*0.000101)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	omega := rad(125.04 - 1934.136*t)
	longitude = math.Mod(l0+c-0.00569-0.00478*math.Sin(omega)+720, 360)
	eps0 := 23 + (26+(21.448-t*(46.8150+t*(0.00059-t*0.001813)))/60)/60
	eps := rad(eps0 + 0.00256*math.Cos(omega))
	declination = deg(math.Asin(math.Sin(eps) * math.Sin(rad(longitude))))
	y := math.Tan(eps/2) * math.Tan(eps/2)
	l := rad(l0)
	equation = 4 * deg(y*math.Sin(2*l)-2*e*math.Sin(m)+4*e*y*math.Sin(m)*math.Cos(2*l)-
		y*y*math.Sin(4*l)/2-1.25*e*e*math.Sin(2*m))
	return longitude, declination, equation
}
