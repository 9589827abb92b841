package formats

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"time"
)

// source writes an invented file of a format, row by row, without holding it.
type source struct {
	head []byte
	row  func(b []byte, i int) []byte
	n    int
	i    int
	left []byte
	buf  []byte
}

func (s *source) Read(p []byte) (int, error) {
	if len(s.left) == 0 {
		if len(s.head) > 0 {
			s.left, s.head = s.head, nil
		} else {
			if s.i >= s.n {
				return 0, io.EOF
			}
			s.buf = s.buf[:0]
			for k := 0; k < 200 && s.i < s.n; k++ {
				s.buf = s.row(s.buf, s.i)
				s.i++
			}
			s.left = s.buf
		}
	}
	n := copy(p, s.left)
	s.left = s.left[n:]
	return n, nil
}

var start = time.Date(1975, 1, 1, 6, 0, 0, 0, time.UTC)

// wave is an invented temperature in °C: a year and a day on top of each other.
func wave(i int) float64 {
	return math.Round((8-14*math.Cos(2*math.Pi*float64(i)/8766)+7*math.Sin(2*math.Pi*float64(i-9)/24))*10) / 10
}

// shape says how the standard library reads a generated table: its separator, and
// where a row has a time, of a layout, and a number. The zero value is JSON.
type shape struct {
	sep      rune
	at, temp int
	layout   string
}

// generated holds a generator of so many rows for each format.
func generated(name string, n int) (io.Reader, shape) {
	switch name {
	case "plaincsv":
		return &source{head: []byte("time,temp_c,humidity,wind\n"), n: n, row: func(b []byte, i int) []byte {
			t := start.Add(time.Duration(i) * time.Hour)
			return fmt.Appendf(b, "%s,%.1f,74,1.5\n", t.Format("2006-01-02 15:04"), wave(i))
		}}, shape{',', 0, 1, "2006-01-02 15:04"}
	case "ghcnh":
		return &source{head: []byte("STATION|Station_name|DATE|LATITUDE|LONGITUDE|ELEVATION|temperature|temperature_Measurement_Code|temperature_Quality_Code|temperature_Report_Type|temperature_Source_Code|temperature_Source_Station_ID|dew_point_temperature|dew_point_temperature_Quality_Code|wind_speed|wind_speed_Quality_Code\n"), n: n, row: func(b []byte, i int) []byte {
			t := start.Add(time.Duration(i) * time.Hour)
			return fmt.Appendf(b, "USW00099999|TESTVILLE|%s|40.1|-99.9|600.0|%.1f||1|FM15|335|72999|-4.0|1|1.5|1\n", t.Format("2006-01-02T15:04:05"), wave(i))
		}}, shape{'|', 2, 6, "2006-01-02T15:04:05"}
	case "eccc":
		return &source{head: []byte("\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time (LST)\",\"Year\",\"Month\",\"Day\",\"Time (LST)\",\"Temp (°C)\",\"Temp Flag\",\"Dew Point Temp (°C)\",\"Dew Point Temp Flag\",\"Rel Hum (%)\",\"Rel Hum Flag\",\"Wind Spd (km/h)\",\"Wind Spd Flag\",\"Weather\"\n"), n: n, row: func(b []byte, i int) []byte {
			t := start.Add(time.Duration(i) * time.Hour)
			return fmt.Appendf(b, "\"-120.45\",\"50.70\",\"X A\",\"1160000\",\"%s\",\"%d\",\"%02d\",\"%02d\",\"%s\",\"%.1f\",\"\",\"-4.0\",\"\",\"74\",\"\",\"9\",\"\",\"\"\n",
				t.Format("2006-01-02 15:04"), t.Year(), t.Month(), t.Day(), t.Format("15:04"), wave(i))
		}}, shape{',', 4, 9, "2006-01-02 15:04"}
	case "ghcnd":
		return &source{n: n, row: func(b []byte, i int) []byte {
			// Three quantities a day, one of them the minimum.
			t := start.AddDate(0, 0, i/3)
			el := [3]string{"TMAX", "TMIN", "PRCP"}[i%3]
			return fmt.Appendf(b, "USC00999999,%s,%s,%d,,,7,0700\n", t.Format("20060102"), el, int(wave(i*8)*10))
		}}, shape{',', 1, 3, "20060102"}
	case "metar":
		return &source{n: n, row: func(b []byte, i int) []byte {
			t := start.Add(time.Duration(i)*time.Hour - 7*time.Minute)
			c := wave(i)
			sign, s := 0, ""
			if c < 0 {
				sign, s = 1, "M"
			}
			return fmt.Appendf(b, "%s KTST %sZ AUTO 18003KT 10SM CLR %s%02.0f/M12 A3001 RMK AO2 SLP170 T%d%03.0f1120\n",
				t.Format("200601021504"), t.Format("021504"), s, math.Abs(c), sign, math.Abs(c)*10)
		}}, shape{' ', 0, 0, "200601021504"}
	case "nws":
		return &source{head: []byte(`{"type":"FeatureCollection","features":[`), n: n + 1, row: func(b []byte, i int) []byte {
			if i == n {
				return append(b, "]}"...)
			}
			if i > 0 {
				b = append(b, ",\n"...)
			}
			t := start.Add(time.Duration(i) * time.Hour)
			return fmt.Appendf(b, `{"type":"Feature","properties":{"station":"https://api.weather.gov/stations/KTST","timestamp":"%s","rawMessage":"","temperature":{"unitCode":"wmoUnit:degC","value":%.1f,"qualityControl":"V"},"dewpoint":{"unitCode":"wmoUnit:degC","value":-4,"qualityControl":"V"}}}`,
				t.Format(time.RFC3339), wave(i))
		}}, shape{}
	}
	return nil, shape{}
}

func generate(name string, n int) ([]byte, shape) {
	r, as := generated(name, n)
	var b bytes.Buffer
	_, _ = b.ReadFrom(r)
	return b.Bytes(), as
}
