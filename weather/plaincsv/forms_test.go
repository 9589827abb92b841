package plaincsv

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
	"rimegate/weather"
)

func read(t *testing.T, file string, change func(*weather.Options)) *weather.Result {
	t.Helper()
	opt := weather.Options{Loc: zone(t, "America/Denver"), Clock: "local"}
	if change != nil {
		change(&opt)
	}
	res, err := readFile(file, opt)
	if err != nil {
		t.Fatalf("%v\n%s", err, file)
	}
	return res
}

// One instant and one temperature, written in many ways: 6 October 2026, 05:00 in
// Denver, -2.2 °C.
func TestManyForms(t *testing.T) {
	want := time.Date(2026, 10, 6, 11, 0, 0, 0, time.UTC)
	for name, file := range map[string]string{
		"plain":                   "time,temp_c\n2026-10-06 05:00,-2.2\n",
		"unit in brackets":        "Timestamp,Temp (C)\n2026-10-06T05:00,-2.2\n",
		"degree sign":             "datetime,Temperature [°C]\n2026-10-06 05:00:00,-2.2\n",
		"degree sign of Latin-1":  "datetime,Temperature (\xb0C)\n2026-10-06 05:00:00,-2.2\n",
		"one sign for both":       "datetime,T (℃)\n2026-10-06 05:00:00,-2.2\n",
		"joined on":               "datetime,airTempC\n2026-10-06 05:00:00,-2.2\n",
		"fahrenheit":              "datetime,TempF\n2026-10-06 05:00:00,28.04\n",
		"fahrenheit in words":     "datetime,Air temperature in degrees Fahrenheit\n2026-10-06 05:00:00,28.04\n",
		"zulu":                    "time,temp_c\n2026-10-06T11:00:00Z,-2.2\n",
		"offset":                  "time,temp_c\n2026-10-06T05:00:00-06:00,-2.2\n",
		"utc column":              "time_utc,temp_c\n2026-10-06 11:00,-2.2\n",
		"utc in brackets":         "Date time (UTC),temp_c\n2026-10-06 11:00,-2.2\n",
		"offset in the header":    "\"Date Time, GMT-05:00\",\"Temp, °C (SEN S/N: 1)\"\n2026-10-06 06:00,-2.2\n",
		"utc before local":        "local_time,timestamp_utc,temp_c\n2026-10-06 05:00,2026-10-06 11:00,-2.2\n",
		"zone column":             "time,tz,temp_c\n2026-10-06 11:00,UTC,-2.2\n",
		"zone letters":            "time,temp_c\n2026-10-06 05:00 MDT,-2.2\n",
		"date and time":           "Date,Time,temp_c\n2026-10-06,05:00,-2.2\n",
		"date and time of day":    "Date,Time,temp_c\n6-Oct-2026,5:00 AM,-2.2\n",
		"date and hour":           "date,hour,temp_c\n2026-10-06,5,-2.2\n",
		"parts":                   "year,month,day,hour,temp_c\n2026,10,6,5,-2.2\n",
		"month in letters":        "when,time,temp_c\n,\"Oct 6, 2026 5:00 AM\",-2.2\n",
		"american":                "date,time,temp_c\n10/06/2026,05:00,-2.2\n10/13/2026,05:00,NA\n",
		"day first":               "date,time,temp_c\n06.10.2026,05:00,-2.2\n13.10.2026,05:00,4\n",
		"semicolons and comma":    "time;temp_c\n2026-10-06 05:00;-2,2\n",
		"tabs":                    "time\ttemp_c\n2026-10-06 05:00\t-2.2\n",
		"bars":                    "time|temp_c\n2026-10-06 05:00|-2.2\n",
		"quotes":                  "\"time\",\"temp_c\"\n\"2026-10-06 05:00\",\"-2.2\"\n",
		"quotes, mark in front":   "\xef\xbb\xbf\"time\",\"temp_c\"\r\n\r\n\"2026-10-06 05:00\",\"-2.2\"\r\n",
		"empty before a quote":    "time\tnote\ttemp_c\n2026-10-06 05:00\t\t\"-2.2\"\n",
		"inches in a note":        "time,note,temp_c\n2026-10-06 05:00,5\" of snow,-2.2\n",
		"hour of a spreadsheet":   "date,hour,temp_c\n2026-10-06,5.0,-2.2\n",
		"unit beside":             "time,temp,unit\n2026-10-06 05:00,28.04,°F\n",
		"unit behind":             "time,temp\n2026-10-06 05:00,28.04 F\n",
		"unit behind, celsius":    "time,temp\n2026-10-06 05:00,-2.2°C\n",
		"minus sign of a printer": "time,temp_c\n2026-10-06 05:00,−2.2\n",
		"lines above":             "Logger 7\nnorth slough\n\ntime,temp_c\n2026-10-06 05:00,-2.2\n",
		"carriage returns":        "time,temp_c\r2026-10-06 05:00,-2.2\r",
		"mark in front":           "\xef\xbb\xbftime,temp_c\r\n2026-10-06 05:00,-2.2\r\n",
		"low of the interval":     "time,temp_c,low_c\n2026-10-06 05:00,-1.0,-2.2\n",
		"other temperatures":      "time,dew_point_c,wet_bulb_c,max_temp_c,soil_temp_c,temp_c\n2026-10-06 05:00,-9,-8,30,12,-2.2\n",
	} {
		says := false // the file itself says its zone
		switch name {
		case "zulu", "offset", "utc column", "utc in brackets", "offset in the header", "utc before local", "zone column", "zone letters":
			says = true
		}
		_, err := readFile(file, weather.Options{Loc: zone(t, "America/Denver")})
		if asked := err != nil && strings.Contains(err.Error(), "do not say their zone"); asked == says {
			t.Errorf("%s: asked for the zone: %v", name, asked)
		}
		res := read(t, file, func(o *weather.Options) {
			if says {
				o.Clock = ""
			}
		})
		if len(res.Observations) == 0 {
			t.Errorf("%s: nothing read: %+v", name, res)
			continue
		}
		o := res.Observations[0]
		if !o.At.Equal(want) || o.TempC != -2.2 || !o.HasTemp {
			t.Errorf("%s: %v, %v °C", name, o.At, o.TempC)
		}
		if res.Unit == "" {
			t.Errorf("%s: does not say the unit", name)
		}
	}
}

// The zone that a column's name says is that of its own stamps and of no others.
func TestZoneOfTheColumnRead(t *testing.T) {
	for _, file := range []string{
		"timestamp,time_utc,temp_c\n2026-10-06 05:00,11:00,-2.2\n",
		"time_utc,timestamp,temp_c\n11:00,2026-10-06 05:00,-2.2\n",
	} {
		if _, err := readFile(file, weather.Options{Loc: zone(t, "America/Denver")}); err == nil || !strings.Contains(err.Error(), "do not say their zone") {
			t.Errorf("%q: %v", file, err)
		}
		res := read(t, file, nil)
		if at := res.Observations[0].At; !at.Equal(time.Date(2026, 10, 6, 11, 0, 0, 0, time.UTC)) {
			t.Errorf("%q: %v", file, at)
		}
	}
}

func noted(t *testing.T, res *weather.Result, words string) {
	t.Helper()
	if !strings.Contains(strings.Join(res.Notes, "\n"), words) {
		t.Errorf("no note says %q: %q", words, res.Notes)
	}
}

func TestOptions(t *testing.T) {
	res := read(t, "time,temp\n2026-10-06 05:00,28\n", func(o *weather.Options) { o.Unit = "F" })
	if res.Observations[0].TempC != weather.FtoC(28) || !strings.Contains(res.Unit, "as you said") {
		t.Errorf("%+v", res)
	}
	res = read(t, "time,temp_c\n2026-10-06 05:00,28\n", func(o *weather.Options) { o.Unit = "F" })
	if res.Observations[0].TempC != weather.FtoC(28) {
		t.Errorf("%+v", res)
	}
	noted(t, res, "because you said so")
	res = read(t, "time,temp_c\n2026-07-06 05:00,2\n", func(o *weather.Options) { o.Clock = "standard" })
	if !res.Observations[0].At.Equal(time.Date(2026, 7, 6, 12, 0, 0, 0, time.UTC)) {
		t.Errorf("standard time: %v", res.Observations[0].At)
	}
	res = read(t, "time,temp_c\n2026-07-06 05:00,2\n", func(o *weather.Options) { o.Clock = "utc" })
	if !res.Observations[0].At.Equal(time.Date(2026, 7, 6, 5, 0, 0, 0, time.UTC)) {
		t.Errorf("UTC: %v", res.Observations[0].At)
	}
	for order, want := range map[string]fields.Date{"dmy": fields.MakeDate(2026, 10, 6), "mdy": fields.MakeDate(2026, 6, 10), "ymd": fields.MakeDate(2006, 10, 26)} {
		res = read(t, "night,low_c\n06/10/26,2\n", func(o *weather.Options) { o.DateOrder = order })
		if len(res.Nights) != 1 || res.Nights[0].Night != want {
			t.Errorf("%s: %+v", order, res.Nights)
		}
		noted(t, res, "as you said")
	}
}

// Rows wait until a day above 12 settles the order of day and month.
func TestDatesSettled(t *testing.T) {
	res := read(t, "date,time,temp_c\n06/10/26,05:00,1\n07/10/26,05:00,2\n13/10/26,05:00,3\n08/10/26,05:00,4\n", nil)
	if len(res.Observations) != 4 || !res.Observations[0].At.Equal(time.Date(2026, 10, 6, 11, 0, 0, 0, time.UTC)) {
		t.Errorf("%+v", res.Observations)
	}
	noted(t, res, `day, month, year: line 4 has "13/10/26"`)
	res = read(t, "night,low_c\n06/06/26,1\n07/07/26,2\n", nil)
	if len(res.Nights) != 2 {
		t.Errorf("%+v", res.Nights)
	}
	noted(t, res, "same read either way")
	// Once settled, a month that does not exist costs its row.
	res = read(t, "night,low_c\n10/13/26,1\n10/06/26,2\n44/06/26,2\n", nil)
	if res.Kept != 2 || res.Rejected != 1 {
		t.Errorf("%+v", res)
	}
}

func TestSigns(t *testing.T) {
	res := read(t, "time,temp_c\n2026-10-06 05:00,<0\n2026-10-06 06:00,<-3\n2026-10-06 07:00,<2\n", nil)
	if res.Kept != 2 || res.Rejected != 1 {
		t.Fatalf("%+v", res)
	}
	if o := res.Observations[0]; o.HasTemp || !o.Below {
		t.Errorf("<0: %+v", o)
	}
	if o := res.Observations[1]; !o.HasTemp || o.TempC != -3 {
		t.Errorf("<-3: %+v", o)
	}
}

func TestRepeatsAndClockChanges(t *testing.T) {
	res := read(t, "time,temp_c\n2026-11-01 00:30,3\n2026-11-01 01:30,2\n2026-11-01 01:30,1\n2026-11-01 02:30,0\n2026-11-01 02:30,0\n", nil)
	if len(res.Observations) != 4 || res.Doubled != 1 {
		t.Errorf("%+v", res)
	}
	noted(t, res, "hour that autumn shows twice")
	res = read(t, "time,temp_c\n2026-03-08 01:30,3\n2026-03-08 02:30,2\n2026-03-08 03:30,1\n", nil)
	noted(t, res, "the clock is standard")
	res = read(t, "time,temp_c\n2026-10-06 05:00,1\n2026-10-06 05:00,2\n", nil)
	if len(res.Observations) != 2 {
		t.Errorf("%+v", res.Observations)
	}
	noted(t, res, "coldest counts")
}

// The clock of a thermometer that nobody set: another zone's, read as such and said.
func TestClockOfAnotherZone(t *testing.T) {
	const file = "time,temp_c\n2026-10-06 05:00,1\n"
	for _, c := range []struct {
		clock, words string
		want         time.Time
	}{
		{"local", "local time of America/Denver", time.Date(2026, 10, 6, 11, 0, 0, 0, time.UTC)},
		{"standard", "standard time of America/Denver all year", time.Date(2026, 10, 6, 12, 0, 0, 0, time.UTC)},
		{"utc", "read as UTC", time.Date(2026, 10, 6, 5, 0, 0, 0, time.UTC)},
		{"America/New_York", "local time of America/New_York", time.Date(2026, 10, 6, 9, 0, 0, 0, time.UTC)},
	} {
		res := read(t, file, func(o *weather.Options) { o.Clock = c.clock })
		if !res.Observations[0].At.Equal(c.want) {
			t.Errorf("%s: %v, want %v", c.clock, res.Observations[0].At, c.want)
		}
		noted(t, res, c.words)
	}
	res := read(t, "Time (local),temp_c\n2026-10-06 05:00,1\n", func(o *weather.Options) { o.Clock = "" })
	noted(t, res, "local time of America/Denver")
	res = read(t, "time_utc,temp_c\n2026-10-06 05:00,1\n", nil)
	noted(t, res, "read as local because you said so")
}

// A code for "no value" is no reading, and is said.
func TestCodesForNoValue(t *testing.T) {
	res := read(t, "night,low_c\n2026-10-04,-88.8\n2026-10-05,99.9\n2026-10-06,-88.8\n2026-10-07,-4\n", nil)
	if res.Missing != 3 || len(res.Nights) != 1 || *res.Nights[0].LowC != -4 {
		t.Errorf("%d missing, nights %+v", res.Missing, res.Nights)
	}
	noted(t, res, "-88.8 is a code for \"no value\", not a temperature: 2 rows passed over")
	noted(t, res, "99.9 is a code")
}

func TestStations(t *testing.T) {
	const file = "site,time,temp_c\nCreek,2026-10-06 05:00,1\nBench,2026-10-06 05:00,5\nCreek,2026-10-06 06:00,0\nBench,2026-10-06 06:00,4\n"
	res := read(t, file, func(o *weather.Options) { o.Station = "bench" })
	if res.Station != "Bench" || len(res.Observations) != 2 || res.Observations[0].TempC != 5 || res.Skipped != 2 {
		t.Errorf("%+v", res)
	}
	one := "site,time,temp_c\nCreek \x1b[1m,2026-10-06 05:00,1\n"
	if res := read(t, one, nil); res.Station != "Creek [1m" {
		t.Errorf("%q", res.Station)
	}
}

func TestRowsWithDatesOnly(t *testing.T) {
	res := read(t, "date,temp_c\n2026-10-06,1\n2026-10-07,5\n2026-10-08,5\n", nil)
	for _, n := range res.Nights {
		if n.Covers || n.Uncertain == "" {
			t.Errorf("a temperature at no time of day covers a night: %+v", n)
		}
	}
	noted(t, res, "not called low or min")
	res = read(t, "night,temp_c\n2026-10-06,1\n", nil)
	if len(res.Nights) != 1 || !res.Nights[0].Covers {
		t.Errorf("%+v", res.Nights)
	}
}
