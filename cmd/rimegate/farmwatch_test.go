package main

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

// yearsOfLows writes daily lows of seasons: mild from June to mid September, frost in
// the rest of the year, and what more says of single days, in °C or °F.
func yearsOfLows(t *testing.T, name string, from, to int, more map[string]float64, fahrenheit bool) {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "date,%s\n", map[bool]string{false: "low_c", true: "low_f"}[fahrenheit])
	for d := time.Date(from, 7, 24, 0, 0, 0, 0, time.UTC); d.Before(time.Date(to, 7, 24, 0, 0, 0, 0, time.UTC)); d = d.AddDate(0, 0, 1) {
		c := -3.0
		if k := int(d.Month())*100 + d.Day(); k >= 611 && k < 915 {
			c = 9
		}
		if v, ok := more[d.Format("2006-01-02")]; ok {
			c = v
		}
		if fahrenheit {
			c = c*9/5 + 32
		}
		fmt.Fprintf(&b, "%s,%.1f\n", d.Format("2006-01-02"), c)
	}
	if err := os.WriteFile(name, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestFarmWatchFromARecord(t *testing.T) {
	smallFarm(t)
	said := func(status int, args []string, want ...string) string {
		t.Helper()
		got, out, errOut := invoke(t, args...)
		text := strings.Join(strings.Fields(out+" "+errOut), " ")
		if got != status {
			t.Fatalf("%v: status %d, want %d\n%s", args, got, status, text)
		}
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%v: %q is not in\n%s", args, w, text)
			}
		}
		return text
	}
	exported := func() string {
		_, out, _ := invoke(t, "journal", "export")
		return out
	}
	before := exported()
	yearsOfLows(t, "short.csv", 1995, 2024, nil, false)
	yearsOfLows(t, "long.csv", 1990, 2024, nil, false)
	yearsOfLows(t, "lone.csv", 1990, 2024, map[string]float64{"2004-08-15": -18}, false)
	yearsOfLows(t, "hot.csv", 1990, 2024, map[string]float64{}, true)
	yearsOfLows(t, "july.csv", 1990, 2024, map[string]float64{"2004-07-20": 1, "2005-07-02": 1, "2006-06-20": 1, "2004-08-01": 1, "2005-08-20": 1, "2006-09-01": 1}, false)
	hot, err := os.ReadFile("hot.csv")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("hot.csv", []byte(strings.Replace(string(hot), "low_f", "low_c", 1)), 0o600); err != nil {
		t.Fatal(err)
	}

	said(statusRefused, []string{"farm", "watch"}, "--record: is missing; name the file")
	said(statusRefused, []string{"farm", "watch", "--record", "long.csv"}, "--station: is missing; the file does not name its station")
	said(statusRefused, []string{"farm", "watch", "--record", "short.csv", "--station", "Elk Creek"},
		"short.csv: 29 whole seasons from 24 July to 23 July", "needs at least 30; the frost watch stays as it was. Nothing was stored.")
	said(statusRefused, []string{"farm", "watch", "--record", "lone.csv", "--station", "Elk Creek"},
		"Sun 15 Aug 2004 is the earliest day at or below 2.2 °C (36 °F) by more than 21 days (then Sat 15 Sep 1990); if it is true, say so with --yes, else take it out of the file. Nothing was stored.")
	said(statusRefused, []string{"farm", "watch", "--record", "hot.csv", "--station", "Elk Creek"}, "fit °F well", "say --unit F")
	said(statusRefused, []string{"farm", "watch", "--record", "july.csv", "--station", "Elk Creek"}, "leaves no night of the year out", "stays as it was")
	if exported() != before {
		t.Fatal("what was refused is in the journal")
	}

	said(statusDone, []string{"farm", "watch", "--record", "long.csv", "--station", "Elk Creek"},
		"The record of Elk Creek: 34 whole seasons from 1990 to 2024.",
		"At or below 2.2 °C (36 °F), the line of your coldest paddock: earliest Sat 15 Sep 1990, latest Mon 10 Jun 1991. Before and after: never in 34 years, which allows up to 3 in 34.",
		"frost watch from 1 September through 24 June", "from the record of Elk Creek, 34 seasons from 1990 to 2024")
	if want := `"frost_watch":{"from":"09-01","to":"06-24","record":{"station":"Elk Creek","seasons":34,"from_year":1990,"to_year":2024,"lines":[{"line_c":2.2,"earliest":"09-15","latest":"06-10"},{"line_c":4.4,"earliest":"09-15","latest":"06-10"}]}}`; !strings.Contains(exported(), want) {
		t.Errorf("%s is not in\n%s", want, exported())
	}
	said(statusDone, []string{"farm"}, "from the record of Elk Creek, 34 seasons from 1990 to 2024")

	// A paddock two degrees colder than its thermometer needs the line of 4.2 °C.
	said(statusDone, []string{"paddock", "set", "--offset", "-2C", "north-slough"})
	said(statusDone, []string{"farm", "watch", "--record", "lone.csv", "--station", "Elk Creek", "--yes", "--dry-run"},
		"At or below 4.2 °C (39.6 °F), the line of your coldest paddock: earliest Sun 15 Aug 2004",
		"frost watch from 1 August through 24 June", "nothing is stored")
}
