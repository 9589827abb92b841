package board

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

// samples are entries of every kind with every field said.
var samples = map[fields.Kind]string{
	"farm":     `"name":"Coulee Farm","zone":"America/Regina","lat":50.1,"lon":-105.2,"elevation_m":610,"units":"metric","frost_watch":{"from":"08-15","to":"06-15"},"nitrate_table":"clemson","share_days":21,"exchange_days":3,"contacts":{"manager":"Ann 555-0101","backup":"Bo 555-0102","vet":"Dr Moss 555-0100"}`,
	"override": `"rule":"prussic.frost.wait","value":10,"because":"our agronomist says so","source":"a county page","until":"2026-10-31"`,
	"paddock":  `"paddock":"west","name":"West Flat","area_ha":24.5,"station":"yard","offset_c":-1.5,"low_lying":true,"bounds":"road to creek"`,
	"split":    `"from":["creek"],"into":["creek-a","creek-b"]`,
	"join":     `"from":["creek","home-quarter"],"into":["both"]`,
	"sown":     `"paddock":"north-slough","species":[{"species":"sorghum-sudan","share":60},{"species":"oats"}],"new_stand":true,"ended":"tilled"`,
	"seen":     `"paddock":"creek","species":["johnsongrass"],"where":"fence line","extent":"trace"`,
	"station":  `"station":"hill","name":"Hill Top","lat":50.2,"lon":-105.3,"elevation_m":650,"height_m":1.5`,
	"reading":  `"station":"yard","paddock":"creek","night":"2026-09-11","low_c":-3,"below_zero":true,"covers":false,"spans":[{"from":"2026-09-10T20:00:00-06:00","to":"2026-09-11T02:30:00-06:00"}],"hours_below_0":4.5,"hours_below_kill":1,"source":"logger file"`,
	"forecast": `"station":"yard","paddock":"creek","night":"2026-09-12","low_c":1.5,"issued":"2026-09-11T16:00:00-06:00","source":"national service"`,
	"no-frost": `"paddocks":["creek","home-quarter"],"from":"2026-09-08","to":"2026-09-10","basis":"looked-at-dawn"`,
	"frost":    `"paddocks":["north-slough","creek"],"night":"2026-09-10","ended_at":"2026-09-11T07:15:00-06:00","low_c":-3,"seen":"white grass"`,
	"walk":     `"paddock":"north-slough","part":"stand","killed":"part","frost_damage":"tips","damage_night":"2026-09-10","dry":false,"shoots_cm":15,"shortest_cm":61,"alive":["oats"],"absent":["sudangrass"],"wilted":false,"stress_free":true,"weeds_checked":true,"kg_dm_ha":2500`,
	"drought":  `"paddocks":["creek"],"state":"end","rain_mm":30`,
	"rain":     `"paddocks":["creek"],"mm":12.5`,
	"hail":     `"paddocks":["creek"],"product":"pea size"`,
	"trampled": `"paddocks":["creek"],"product":"pipeline crew"`,
	"sprayed":  `"paddocks":["creek"],"product":"herbicide drift"`,
	"nitrogen": `"paddocks":["creek"],"kg_n_ha":56,"rate_unknown":false,"form":"urea"`,
	"cut":      `"paddock":"creek","use":"swath","height_cm":20,"lot":"bales-1"`,
	"grazed":   `"paddock":"creek","state":"out","herd":"pairs","left_cm":15,"swath_left":true`,
	"lot":      `"lot":"bales-1","lot_kind":"baleage","made_on":"2026-08-30","from":["north-slough"],"cut_on":"2026-08-28","bales":120,"tonnes":60,"dm_pct":55,"species":["sorghum-sudan"],"seller":"next farm"`,
	"sampled":  `"paddock":"creek","lot":"bales-1","sample":"S-17","lab":"county lab","stems":20,"spots":10,"bales_cored":20,"cores":21,"cut_cm":10`,
	"lab":      `"paddock":"creek","lot":"bales-1","sampled_on":"2026-09-05","analyte":"nitrate","values":[3000,2500],"form":"NO3","unit":"ppm","basis":"as-fed","method":"lab","dm_pct":86,"sample":"S-17","stems":20,"spots":10,"bales_cored":20,"cores":21,"cut_cm":10,"sample_state":"sealed","file_sha256":"00112233445566778899aabbccddeeff"`,
	"water":    `"source":"dugout","sampled_on":"2026-09-05","value":100,"form":"NO3","unit":"mg/L","paddocks":["creek"],"herds":["pairs"]`,
	"fed":      `"lot":"bales-1","herd":"pairs","from":"2026-09-01","to":"2026-09-05","kg":4000,"mixed":true`,
	"used-up":  `"lot":"bales-1"`,
	"herd":     `"herd":"heifers","classes":["bred-cattle","young-cattle"],"head":30,"weight_kg":450,"intake_pct_bw":2.6`,
	"incident": `"paddock":"creek","lot":"bales-1","herd":"pairs","down":2,"dead":1,"what":"staggering at the trough"`,
	"vet":      `"paddock":"creek","lot":"bales-1","advice":"may-graze","who":"Dr Moss","because":"walked it","until":"2026-09-20","classes":["bred-cattle"],"uses":["graze"]`,
	"round":    `"name":"gates","rrule":"FREQ=DAILY","paddocks":["creek"],"what":"look at the gates"`,
	"done":     `"round":"gates","task":"walk North Slough"`,
	"read":     ``,
	"strike":   `"entry":"` + id(8) + `","because":"wrong paddock"`,
}

func sampleEntry(t testing.TB, kind fields.Kind, body string) *fields.Entry {
	t.Helper()
	text := `{"id":"01J8ZZZZZZZZZZZZZZZZZZ9999","kind":"` + string(kind) + `","recorded":"2026-09-11T06:40:00-06:00","by":"Ann","on":"2026-09-11","note":"cold hands"`
	if body != "" {
		text += "," + body
	}
	e, ps := fields.DecodeEntry([]byte(text + "}"))
	if len(ps) > 0 {
		t.Fatalf("%s: %v", kind, ps)
	}
	return e
}

func TestEntryWordsForEveryKind(t *testing.T) {
	h := farmHistory(t)
	var all strings.Builder
	for _, k := range fields.Kinds() {
		body, ok := samples[k]
		if !ok {
			t.Errorf("kind %s has no sample: add one with each of its fields to samples", k)
			continue
		}
		e := sampleEntry(t, k, body)
		metric, us := EntryWords(e, h, Metric), EntryWords(e, h, US)
		fmt.Fprintf(&all, "%s\n  %s\n", k, metric)
		if us != metric {
			fmt.Fprintf(&all, "  us: %s\n", us)
		}
		if strings.HasPrefix(metric, "Entry of kind") {
			t.Errorf("kind %s has no words: add them to the table in entrywords.go", k)
		}
		if !strings.Contains(metric, "cold hands") {
			t.Errorf("kind %s loses its note", k)
		}
		if len(samples) != len(fields.Kinds()) {
			t.Errorf("%d samples for %d kinds", len(samples), len(fields.Kinds()))
		}
	}
	golden(t, "entries.txt", all.String())
}

// Every field that was said is echoed: leaving any one out changes the words.
func TestEntryWordsEchoEveryField(t *testing.T) {
	h := farmHistory(t)
	for _, k := range fields.Kinds() {
		var body map[string]json.RawMessage
		if err := json.Unmarshal([]byte("{"+samples[k]+"}"), &body); err != nil {
			t.Fatal(err)
		}
		full := EntryWords(sampleEntry(t, k, samples[k]), h, Metric)
		for _, f := range fields.FieldsOf(k) {
			if k == fields.KindStrike && f.Name == "batch" {
				// Never beside an entry: it has words of its own.
				got := EntryWords(sampleEntry(t, k, `"batch":"01J8ZZZZZZZZZZZZZZZZZZ7777","because":"wrong file"`), h, Metric)
				if !strings.Contains(got, "01J8ZZZZZZZZZZZZZZZZZZ7777") || !strings.Contains(got, "wrong file") {
					t.Errorf("%q", got)
				}
				continue
			}
			if _, ok := body[f.Name]; !ok {
				t.Errorf("the sample of %s lacks %s: add it to samples, and its words to entrywords.go", k, f.Name)
				continue
			}
			if f.Required {
				continue
			}
			var rest []string
			for name, v := range body {
				if name != f.Name {
					rest = append(rest, `"`+name+`":`+string(v))
				}
			}
			text := `{"id":"01J8ZZZZZZZZZZZZZZZZZZ9999","kind":"` + string(k) + `","recorded":"2026-09-11T06:40:00-06:00","by":"Ann","on":"2026-09-11","note":"cold hands",` + strings.Join(rest, ",") + "}"
			e, ps := fields.DecodeEntry([]byte(text))
			if len(ps) > 0 {
				continue // another field asks for this one
			}
			if got := EntryWords(e, h, Metric); got == full {
				t.Errorf("%s: %s is not echoed in %q: add its words to entrywords.go", k, f.Name, full)
			}
		}
	}
}

func TestEntryWordsExactly(t *testing.T) {
	h := farmHistory(t)
	for _, c := range []struct {
		kind       fields.Kind
		body, want string
		u          Units
	}{
		{
			"frost", `"paddocks":["north-slough","creek"],"night":"2026-09-11","low_c":-3`,
			`Frost: night ending Fri 11 Sep (from noon Thu 10 Sep to noon Fri 11 Sep), low -3 °C (26.6 °F), North Slough and Creek Grass; note: "cold hands"`, Metric,
		},
		{
			"frost", `"paddocks":["creek"],"ended_at":"2026-09-11T23:30:00-06:00","low_c":-3`,
			`Frost: night ending Sat 12 Sep (from noon Fri 11 Sep to noon Sat 12 Sep), last freezing hour ended Fri 11 Sep 23:30, low 26.6 °F (-3 °C), Creek Grass; note: "cold hands"`, US,
		},
		{
			"walk", `"paddock":"creek","killed":"all","dry":true,"shoots_cm":0,"alive":[],"weeds_checked":true`,
			`Walk: Creek Grass, Fri 11 Sep, killed: all, dry, no new shoots, nothing still green, weeds checked; note: "cold hands"`, Metric,
		},
		// 3000 ppm NO3 is 678 ppm NO3-N by atomic weights (14.007 / 62.004).
		{
			"lab", `"paddock":"creek","sampled_on":"2026-09-05","analyte":"nitrate","values":[3000],"form":"NO3","unit":"ppm","basis":"dm","method":"lab"`,
			`Nitrate result: Creek Grass, sampled Sat 5 Sep, 3,000 ppm NO3 on dry matter, read as 678 ppm NO3-N (3,000 ppm NO3) on dry matter, lab; note: "cold hands"`, Metric,
		},
		{
			"lab", `"paddock":"creek","sampled_on":"2026-09-05","analyte":"hcn","values":[100],"unit":"ppm","basis":"as-fed","method":"quick"`,
			`HCN result: Creek Grass, sampled Sat 5 Sep, 100 ppm HCN as fed, not on dry matter: log the dry matter to have it judged in full, quick test; note: "cold hands"`, Metric,
		},
		{
			"strike", `"entry":"` + id(8) + `","because":"wrong paddock"`,
			`Strike: Fri 11 Sep, ` + id(8) + ` (Frost: night ending Fri 11 Sep (from noon Thu 10 Sep to noon Fri 11 Sep), low -3 °C (26.6 °F), North Slough) no longer counts, because: wrong paddock; note: "cold hands"`, Metric,
		},
		{
			"paddock", `"paddock":"west","name":"West Flat","area_ha":24.2811,"offset_c":-1.5`,
			`Paddock: West Flat (west), Fri 11 Sep, 60 ac, 2.7 °F (1.5 °C) colder than its thermometer; note: "cold hands"`, US,
		},
	} {
		if got := EntryWords(sampleEntry(t, c.kind, c.body), h, c.u); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
	e := sampleEntry(t, "rain", `"paddocks":["creek"],"mm":12.5`)
	if got, want := EntryLine(e, h, Metric), `Rain: Fri 11 Sep, 12.5 mm, Creek Grass; note: "cold hands", signed Ann, logged Fri 11 Sep 06:40`; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestEntryWordsAreClean(t *testing.T) {
	bad := "\x1b[2Jx\u202ey\nz"
	quoted, _ := json.Marshal(bad)
	for k, body := range samples {
		var fs map[string]json.RawMessage
		json.Unmarshal([]byte("{"+body+"}"), &fs)
		for _, f := range fields.FieldsOf(k) {
			v, ok := fs[f.Name]
			if !ok || len(f.Choices) > 0 || v[0] != '"' {
				continue
			}
			one := map[string]json.RawMessage{}
			for n, x := range fs {
				one[n] = x
			}
			one[f.Name] = quoted
			b, _ := json.Marshal(one)
			e, ps := fields.DecodeEntry([]byte(`{"id":"01J8ZZZZZZZZZZZZZZZZZZ9999","kind":"` + string(k) + `","recorded":"2026-09-11T06:40:00-06:00","by":"Ann","on":"2026-09-11","note":` + string(quoted) + `,` + string(b[1:])))
			if len(ps) > 0 {
				continue // a short name or a date: the journal refuses it
			}
			w := EntryWords(e, farmHistory(t), Metric)
			if strings.ContainsAny(w, "\x1b\u202e\n") {
				t.Errorf("%s: %s is not cleaned: %q", k, f.Name, w)
			}
		}
	}
}

func TestInstantIsFarmTime(t *testing.T) {
	h := farmHistory(t)
	if got := instant(time.Date(2026, 9, 11, 12, 40, 0, 0, time.UTC), h); got != "Fri 11 Sep 06:40" {
		t.Errorf("instant is %q", got)
	}
	if got := instant(time.Date(2026, 9, 11, 12, 40, 0, 0, time.UTC), fields.Fold(nil, fields.View{})); got != "Fri 11 Sep 2026 12:40 UTC" {
		t.Errorf("instant without a farm is %q", got)
	}
}

// What an entry leaves out is read back as what it is taken for.
func TestEntryEcho(t *testing.T) {
	h := farmHistory(t)
	for _, c := range []struct {
		kind fields.Kind
		body string
		want []string
	}{
		{"reading", `"station":"yard","night":"2026-09-11","low_c":5`, []string{"Taken as the low of the whole night. It counts for ", " Plants that stand lower than the thermometer may be colder."}},
		{"reading", `"paddock":"creek","night":"2026-09-11","low_c":5`, []string{"a thermometer in Creek Grass", "in the paddock itself, at plant height: it counts only there"}},
		{"reading", `"station":"nowhere","night":"2026-09-11","low_c":5`, []string{"NO PADDOCK NAMES THIS THERMOMETER"}},
		{"no-frost", `"paddocks":["creek"],"from":"2026-09-10","to":"2026-09-10","basis":"looked-at-dawn"`, []string{"by a look at dawn", "a nearly frosty one stays that"}},
		{"paddock", `"paddock":"bottom","name":"Bottom","station":"yard"`, []string{". Not said whether it lies low: taken as not low."}},
		{"seen", `"paddock":"creek","species":["kochia"]`, []string{"taken as patches"}},
		{"nitrogen", `"paddocks":["creek"],"rate_unknown":true`, []string{"nobody knows the rate", "Taken as more than every line allows"}},
		{"walk", `"paddock":"creek","frost_damage":"part","part":"stand","damage_night":"2026-09-11"`, []string{"The night before the walk stands for one that nobody knows"}},
		{"frost", `"paddocks":["creek"],"night":"2026-09-11"`, []string{"taken as a hard frost"}},
		{"lab", `"paddock":"creek","sampled_on":"2026-09-05","analyte":"nitrate","values":[3000],"form":"NO3","unit":"ppm","basis":"dm","method":"lab","stems":20`, []string{"Without its spots and cutting height it can warn and clears nothing."}},
		{"lab", `"paddock":"creek","sampled_on":"2026-09-05","analyte":"nitrate","values":[3000],"form":"NO3","unit":"ppm","basis":"dm","method":"strip"`, []string{"A strip or quick test warns and clears nothing."}},
		{"lab", `"lot":"bales-1","sampled_on":"2026-09-05","analyte":"nitrate","values":[3000],"form":"NO3","unit":"ppm","basis":"dm","method":"lab","cores":20`, []string{"Without its bales cored it can warn and clears nothing."}},
	} {
		e := sampleEntry(t, c.kind, c.body)
		got := EntryEcho(e, h, Metric)
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q does not say %q", c.kind, got, w)
			}
		}
		if got == EntryWords(e, h, Metric) {
			t.Errorf("%s: nothing is said of what was left out", c.kind)
		}
	}
	low := sampleEntry(t, "paddock", `"paddock":"bottom","name":"Bottom","station":"yard","low_lying":false`)
	if EntryEcho(low, h, Metric) != EntryWords(low, h, Metric) {
		t.Error("a paddock said not to lie low is read back as one of which nobody said")
	}
	if e := sampleEntry(t, "rain", samples["rain"]); EntryEcho(e, h, Metric) != EntryWords(e, h, Metric) {
		t.Error("rain is taken for more than it says")
	}
}

func TestUnlikelyUnit(t *testing.T) {
	for _, c := range []struct {
		analyte string
		v       float64
		unit    string
		odd     bool
	}{
		{"nitrate", 0.52, "ppm", true},
		{"nitrate", 3, "mg/kg", true},
		{"nitrate", 10, "ppm", false},
		{"nitrate", 0, "ppm", true},
		{"hcn", 0, "%", true},
		{"nitrate", 3000, "ppm", false},
		{"nitrate", 0.52, "%", false},
		{"nitrate", 52, "%", true},
		{"nitrate", 5.2, "g/kg", false},
		{"nitrate", 520, "g/kg", true},
		{"hcn", 3, "ppm", false},
		{"hcn", 0.05, "ppm", true},
		{"hcn", 0.05, "%", false},
		{"hcn", 5, "%", true},
	} {
		if got := UnlikelyUnit(c.analyte, c.v, c.unit); (got != "") != c.odd {
			t.Errorf("%s %v %s: %q", c.analyte, c.v, c.unit, got)
		}
	}
}
