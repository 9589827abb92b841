// Scale writes the entries of a large invented farm as JSON Lines, for measuring:
//
//	go run ./testdata/scale -paddocks 300 -seasons 30 | rimegate journal import -
//
// Each season every paddock is sown, fed, walked, frosted, grazed or cut for hay that is
// tested, and said to be used up on the first of May; a thermometer for every fifteen
// paddocks is read each night from September to January. The same flags give the same
// text, whatever the day.
package main

import (
	"bufio"
	"crypto/sha256"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"time"
)

var (
	paddocks = flag.Int("paddocks", 300, "how many `PADDOCKS`")
	seasons  = flag.Int("seasons", 1, "how many `SEASONS`, the last one that of -year")
	year     = flag.Int("year", 2026, "the `YEAR` of the last season")
	shuffle  = flag.Bool("shuffle", false, "in no order")
)

func main() {
	flag.Parse()
	w := bufio.NewWriterSize(os.Stdout, 1<<20)
	defer w.Flush()
	f := farm{draw: rand.New(rand.NewPCG(1, 2))}
	f.setUp(time.Date(*year-*seasons+1, 5, 1, 12, 0, 0, 0, time.UTC))
	for y := *year - *seasons + 1; y <= *year; y++ {
		f.season(y)
	}
	if *shuffle {
		f.draw.Shuffle(len(f.lines), func(i, j int) { f.lines[i], f.lines[j] = f.lines[j], f.lines[i] })
	}
	for _, l := range f.lines {
		fmt.Fprintln(w, l)
	}
}

type farm struct {
	draw  *rand.Rand
	lines []string
	hay   []string // lots of the season
}

type body = map[string]any

// log writes one entry, recorded at noon of the day, with an id of that moment.
func (f *farm) log(kind string, at time.Time, b body) {
	const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
	at = at.Add(time.Duration(len(f.lines)%40000) * time.Millisecond)
	sum := sha256.Sum256(fmt.Append(nil, len(f.lines), kind))
	ms := at.UnixMilli()
	id := make([]byte, 26)
	for i := 9; i >= 0; i-- {
		id[i] = alphabet[ms&31]
		ms >>= 5
	}
	for i := 10; i < 26; i++ {
		id[i] = alphabet[sum[i]&31]
	}
	b["id"], b["kind"], b["recorded"], b["by"] = string(id), kind, at.Format(time.RFC3339), "Maren"
	text, err := json.Marshal(b)
	if err != nil {
		panic(err)
	}
	f.lines = append(f.lines, string(text))
}

func day(t time.Time) string { return t.Format(time.DateOnly) }

func paddock(i int) string { return fmt.Sprintf("p%05d", i) }

func station(i int) string { return fmt.Sprintf("s%04d", i/15) }

func (f *farm) setUp(at time.Time) {
	on := day(at)
	f.log("farm", at, body{
		"on": on, "name": "Wide Valley", "zone": "America/Regina", "units": "metric",
		"contacts": body{"manager": "Maren 555-0101"}, "frost_watch": body{"from": "08-15", "to": "06-15"},
	})
	for i := 0; i < *paddocks; i += 15 {
		f.log("station", at, body{"on": on, "station": station(i), "name": strings.ToUpper(station(i)), "height_m": 1.5})
	}
	for i := range *paddocks {
		f.log("paddock", at, body{"on": on, "paddock": paddock(i), "name": fmt.Sprint("Paddock ", i), "area_ha": 20, "station": station(i)})
	}
	for i := 0; i < *paddocks; i += 30 {
		f.log("herd", at, body{"on": on, "herd": fmt.Sprint("herd", i/30), "classes": []string{"bred-cattle"}, "head": 80, "weight_kg": 600})
	}
}

var mixes = [][]string{{"sorghum-sudangrass", "oats"}, {"forage sorghum"}, {"oats", "field pea"}, {"pearl millet", "turnip"}, {"barley"}}

func (f *farm) season(y int) {
	date := func(m time.Month, d int) time.Time { return time.Date(y, m, d, 18, 0, 0, 0, time.UTC) }
	for _, lot := range f.hay { // of the season before
		gone := date(5, 1)
		f.log("used-up", gone, body{"on": day(gone), "lot": lot})
	}
	f.hay = nil
	for i := range *paddocks {
		id := paddock(i)
		var species []body
		for _, s := range mixes[(i+y)%len(mixes)] {
			species = append(species, body{"species": s})
		}
		d := date(6, 5+i%20)
		f.log("sown", d, body{"on": day(d), "paddock": id, "species": species, "new_stand": true, "ended": "tilled"})
		f.log("nitrogen", d, body{"on": day(d), "paddocks": []string{id}, "kg_n_ha": 30 + 10*(i%5), "form": "urea"})
		for _, at := range []time.Time{date(8, 10), date(9, 5), date(9, 28), date(10, 12), date(10, 25)} {
			f.log("walk", at, body{
				"on": day(at), "paddock": id, "shortest_cm": 60 + f.draw.IntN(60), "frost_damage": "none",
				"killed": "none", "weeds_checked": true, "stress_free": true,
			})
		}
		for _, at := range []time.Time{date(9, 18), date(10, 2)} {
			if f.draw.IntN(2) == 0 {
				f.log("frost", at, body{"paddocks": []string{id}, "night": day(at), "low_c": -1 - f.draw.IntN(4)})
			}
		}
		if f.draw.IntN(3) == 0 {
			at := date(8, 1+f.draw.IntN(28))
			f.log("rain", at, body{"on": day(at), "paddocks": []string{id}, "mm": 12})
		}
		herd := fmt.Sprint("herd", i/30)
		if i%30 < 20 {
			in, out := date(10, 20), date(10, 28)
			f.log("grazed", in, body{"on": day(in), "paddock": id, "state": "in", "herd": herd})
			f.log("grazed", out, body{"on": day(out), "paddock": id, "state": "out", "herd": herd})
		} else {
			cut, made, lab := date(9, 8), date(9, 13), date(10, 1)
			lot := fmt.Sprintf("hay-%d-%s", y, id)
			f.hay = append(f.hay, lot)
			f.log("cut", cut, body{"on": day(cut), "paddock": id, "use": "hay", "height_cm": 15, "lot": lot})
			f.log("lot", made, body{"on": day(made), "lot": lot, "lot_kind": "hay", "made_on": day(made), "from": []string{id}, "cut_on": day(cut), "bales": 60})
			f.log("lab", lab, body{
				"lot": lot, "sampled_on": day(lab), "analyte": "nitrate", "values": []int{800 + f.draw.IntN(6000)},
				"form": "NO3", "unit": "ppm", "basis": "dm", "method": "lab", "bales_cored": 20, "cores": 20,
			})
		}
	}
	for i := 0; i < *paddocks; i += 15 {
		for n := range 150 {
			at := date(9, 1).AddDate(0, 0, n)
			if at.Year() > *year {
				break
			}
			low := 12 - float64(n)*0.2 + float64(f.draw.IntN(80))/10 - 4
			f.log("reading", at.Add(-4*time.Hour), body{"station": station(i), "night": day(at), "low_c": float64(int(low*10)) / 10, "covers": true, "source": "logger"})
		}
	}
}
