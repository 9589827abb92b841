package hazard_test

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// Ways in which a tool of this kind can kill cattle, each with a test of its
// name. Most are cases under testdata/cases/failure-NN-...; here are those
// that a list of dates cannot say. Numbers left out concern imports and paper.

// TestEveryFailureIsCovered keeps the list whole.
func TestEveryFailureIsCovered(t *testing.T) {
	inGo := map[int]bool{3: true}
	for _, n := range []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 15, 16, 18, 19, 20, 21, 22, 23, 25} {
		files, err := filepath.Glob(filepath.Join("testdata", "cases", fmt.Sprintf("failure-%02d-*.case", n)))
		if err != nil || len(files) == 0 && !inGo[n] {
			t.Errorf("failure %d has neither a case nor a test", n)
		}
	}
}

// line is one entry in short.
type line struct {
	day  string
	kind string
	body string
}

// journalOf builds entries written down at 07:00 of their day, farm time.
func journalOf(t *testing.T, zone string, lines ...line) []fields.Entry {
	t.Helper()
	loc, err := fields.LoadZone(zone)
	if err != nil {
		t.Fatal(err)
	}
	var out []fields.Entry
	all := append([]line{{"2026-01-02", "farm", fmt.Sprintf(`{"name":"Case farm","zone":%q}`, zone)}}, lines...)
	for i, l := range all {
		d, err := fields.ParseISODate(l.day)
		if err != nil {
			t.Fatal(err)
		}
		at := d.At(7, 0, loc)
		e, err := caseEntry(l.kind, caseULID(at, i), at, d, l.body)
		if err != nil {
			t.Fatalf("%s %s: %v", l.kind, l.body, err)
		}
		out = append(out, *e)
	}
	return out
}

// assessAt asks at 12:00 of a day, farm time.
func assessAt(t *testing.T, entries []fields.Entry, day string) *hazard.Assessment {
	t.Helper()
	d, err := fields.ParseISODate(day)
	if err != nil {
		t.Fatal(err)
	}
	h := fields.Fold(entries, fields.View{On: d})
	h = fields.Fold(entries, fields.View{On: d, KnownAt: d.At(12, 0, h.Loc)})
	return hazard.Assess(h, rules.Default())
}

// Failure 1: whatever bare record a paddock has, no use that feeds stock reads
// CLEAR, for any class.
func TestFailure01NothingIsClearByDefault(t *testing.T) {
	for _, x := range []struct {
		name string
		rows []line
	}{
		{"only a name", []line{{"2026-06-01", "paddock", `{"paddock":"p","name":"New ground"}`}}},
		{"named with a warm station", []line{{"2026-06-01", "paddock", `{"paddock":"p","name":"P","station":"s"}`}, {"2026-06-30", "reading", `{"station":"s","low_c":15}`}}},
		{"only grazed", []line{{"2026-06-10", "grazed", `{"state":"in"}`}}},
		{"only a good walk", []line{{"2026-06-30", "walk", `{"weeds_checked":true,"stress_free":true,"frost_damage":"none","shoots_cm":0,"shortest_cm":100}`}}},
		{"only a good nitrate result", []line{{"2026-06-30", "lab", `{"analyte":"nitrate","values":[10],"form":"NO3","unit":"ppm","basis":"dm","method":"lab","stems":30,"spots":30,"cut_cm":5}`}}},
		{"only a good HCN result", []line{{"2026-06-30", "lab", `{"analyte":"hcn","values":[1],"unit":"ppm","basis":"dm","method":"lab","sample_state":"sealed"}`}}},
		{"only a no-frost statement", []line{{"2026-06-30", "no-frost", `{"from":"2026-06-01","to":"2026-06-30","basis":"thermometer-in-paddock"}`}}},
		{"sown without species", []line{{"2026-06-01", "sown", `{"species":[]}`}}},
		{"sown with a word nobody knows", []line{{"2026-06-01", "sown", `{"species":[{"species":"cover crop"}]}`}}},
		{"oats never walked", []line{{"2026-06-01", "sown", `{"species":[{"species":"oats"}]}`}}},
		{"brome seen, never checked", []line{{"2026-06-01", "seen", `{"species":["smooth brome"]}`}}},
		{"sorghum-sudan never walked", []line{{"2026-06-01", "sown", `{"species":[{"species":"sorghum-sudan"}]}`}}},
		{"swath never walked", []line{{"2026-06-01", "sown", `{"species":[{"species":"oats"}]}`}, {"2026-06-30", "cut", `{"use":"swath"}`}}},
		{"hay of oats, never tested", []line{{"2026-06-01", "sown", `{"species":[{"species":"oats"}]}`}, {"2026-06-20", "lot", `{"lot":"l","lot_kind":"hay","from":["p"]}`}}},
		{"bought hay", []line{{"2026-06-20", "lot", `{"lot":"l","lot_kind":"bought","species":["alfalfa"],"seller":"a neighbour"}`}}},
	} {
		t.Run(x.name, func(t *testing.T) {
			a := assessAt(t, journalOf(t, farmByDefault, x.rows...), "2026-07-01")
			asked := 0
			for _, p := range a.Paddocks {
				for _, v := range p.Verdicts {
					asked++
					if v.Flag == hazard.Clear && v.Use != hazard.CutHay && v.Use != hazard.CutSilage {
						t.Errorf("%s %s %s is clear", p.Paddock.ID, v.Use, v.Class)
					}
				}
			}
			for _, l := range a.Lots {
				for _, v := range l.Verdicts {
					asked++
					if v.Flag == hazard.Clear {
						t.Errorf("lot %s %s is clear", l.Lot, v.Class)
					}
				}
			}
			if asked == 0 {
				t.Error("nothing was answered")
			}
		})
	}
}

// Failure 1: a flag nobody decided can never be put into words.
func TestFailure01UnknownFlagIsNeverPrinted(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("the zero flag has a word")
		}
	}()
	_ = hazard.Flag(0).String()
}

// Failure 2: a bare nitrate number is refused with the question that settles
// it, and so is one whose basis or unit is left out.
func TestFailure02BareNitrateNumberIsRefused(t *testing.T) {
	whole := `{"id":"01J8ZZZZZZZZZZZZZZZZZZZZZZ","kind":"lab","recorded":"2026-09-04T07:00:00-06:00","by":"A. Person","paddock":"p","sampled_on":"2026-09-01","analyte":"nitrate","values":[3000],"form":"NO3","unit":"ppm","basis":"dm","method":"lab"}`
	if _, ps := fields.DecodeEntry([]byte(whole)); len(ps) != 0 {
		t.Fatalf("a whole entry is refused: %v", ps)
	}
	for _, x := range []struct{ drop, field, words string }{
		{`"form":"NO3",`, "form", "4.43"},
		{`"unit":"ppm",`, "unit", "missing"},
		{`"basis":"dm",`, "basis", "missing"},
		{`,"method":"lab"`, "method", "missing"},
	} {
		e, ps := fields.DecodeEntry([]byte(strings.Replace(whole, x.drop, "", 1)))
		if e != nil || !slices.ContainsFunc(ps, func(p fields.Problem) bool {
			return p.Field == x.field && strings.Contains(p.Error(), x.words)
		}) {
			t.Errorf("without %s: got %v, want a problem of field %s with %q", x.drop, ps, x.field, x.words)
		}
	}
	for _, form := range []string{"nitrate", "N", "no3", ""} {
		e, ps := fields.DecodeEntry([]byte(strings.Replace(whole, `"form":"NO3"`, fmt.Sprintf(`"form":%q`, form), 1)))
		if e != nil || len(ps) == 0 {
			t.Errorf("the form %q is taken", form)
		}
	}
}

// Failure 3: one sample in ppm, mg/kg, g/kg and percent gives one answer;
// numbers with a comma, with a unit or in quotes are refused, and so is more
// than 100 %.
func TestFailure03PercentAndPPM(t *testing.T) {
	book := rules.Default()
	for _, ppm := range []float64{2400, 2600, 4999, 5001, 9100} {
		want := askNitrate(t, book, "NO3", "ppm", ppm)
		for unit, v := range map[string]float64{"mg/kg": ppm, "g/kg": ppm / 1000, "%": ppm / 10000} {
			got := askNitrate(t, book, "NO3", unit, v)
			for _, c := range hazard.Classes {
				if got[c].Flag != want[c].Flag || got[c].MaxShare != want[c].MaxShare {
					t.Errorf("%g ppm as %g %s, %s: %s share %g, in ppm %s share %g", ppm, v, unit, c, got[c].Flag, got[c].MaxShare, want[c].Flag, want[c].MaxShare)
				}
			}
		}
	}
	clear, wrong := askNitrate(t, book, "NO3", "ppm", 0.24), askNitrate(t, book, "NO3", "%", 0.24)
	if clear[hazard.BredCattle].Flag != hazard.Clear || wrong[hazard.BredCattle].Flag != hazard.Clear {
		t.Error("0.24 ppm and 0.24 % are both below every line")
	}
	if askNitrate(t, book, "NO3", "%", 24)[hazard.Horses].Flag != hazard.Hold {
		t.Error("24 % is not held")
	}
	whole := `{"id":"01J8ZZZZZZZZZZZZZZZZZZZZZZ","kind":"lab","recorded":"2026-09-04T07:00:00-06:00","by":"A. Person","paddock":"p","sampled_on":"2026-09-01","analyte":"nitrate","values":[0.3],"form":"NO3","unit":"%","basis":"dm","method":"lab"}`
	for _, bad := range []string{`["0.3"]`, `["0,3"]`, `["0.3 %"]`, `[101]`, `[-1]`, `[]`, `[null]`} {
		e, ps := fields.DecodeEntry([]byte(strings.Replace(whole, "[0.3]", bad, 1)))
		if e != nil || !slices.ContainsFunc(ps, func(p fields.Problem) bool { return p.Field == "values" }) {
			t.Errorf("the values %s are taken: %v", bad, ps)
		}
	}
}

// Failure 5: in every zone, summer time or not, D0 of a frost is the local
// date of the night (noon to noon) that holds its last freezing hour, and the
// hold ends 14 days after it.
func TestFailure05FrostDateInEveryZone(t *testing.T) {
	zones := []string{"America/Regina", "America/Edmonton", "America/St_Johns", "America/Phoenix", "Europe/Berlin", "Australia/Lord_Howe", "Pacific/Auckland", "Asia/Kathmandu", "Pacific/Apia"}
	rapid.Check(t, func(r *rapid.T) {
		zone := rapid.SampledFrom(zones).Draw(r, "zone")
		loc, err := fields.LoadZone(zone)
		if err != nil {
			r.Fatal(err)
		}
		// Any minute of a year that holds both changes of the clock.
		ended := time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.IntRange(0, 300*24*60).Draw(r, "minute")) * time.Minute)
		local := ended.In(loc)
		y, m, d := local.Date()
		want := fields.MakeDate(y, m, d)
		if local.Hour() >= 12 {
			want++
		}
		asZone := rapid.SampledFrom([]*time.Location{time.UTC, loc}).Draw(r, "written in")
		entries := []fields.Entry{}
		add := func(kind string, on fields.Date, body string) {
			at := (want + 1).At(6, 0, loc)
			e, err := caseEntry(kind, caseULID(at, len(entries)), at, on, body)
			if err != nil {
				r.Fatal(err)
			}
			entries = append(entries, *e)
		}
		add("farm", want-30, fmt.Sprintf(`{"name":"f","zone":%q,"frost_watch":{"from":%q,"to":%q}}`, zone, "12-30", "12-31"))
		add("sown", want-30, `{"species":[{"species":"sudangrass"}]}`)
		add("walk", want-1, `{"shortest_cm":100,"shoots_cm":0}`)
		add("frost", want, fmt.Sprintf(`{"ended_at":%q}`, ended.In(asZone).Format(time.RFC3339)))
		for _, x := range []struct {
			on      fields.Date
			flag    hazard.Flag
			through fields.Date
		}{{want + 1, hazard.Hold, want + 14}, {want + 14, hazard.Hold, want + 14}, {want + 15, hazard.Caution, fields.NoDate}} {
			h := fields.Fold(entries, fields.View{On: x.on, KnownAt: x.on.At(12, 0, loc)})
			a, ok := hazard.AssessPaddock(h, rules.Default(), "p")
			if !ok {
				r.Fatal("no paddock")
			}
			got := a.Verdict(hazard.Graze, hazard.OpenCattle).Hazards[hazard.PrussicAcid]
			if got.Flag != x.flag || got.Through != x.through {
				r.Fatalf("frost ended %s (%s): on %s got %s, want %s", ended.Format(time.RFC3339), zone, x.on, flagWords(got.Flag, got.Through), flagWords(x.flag, x.through))
			}
		}
	})
}

// Failure 12: every everyday name of every sorghum in the table is held after
// a frost, however it is spelled, and every word it does not know is never
// clear and holds horses.
func TestFailure12EveryNameOfASorghumHolds(t *testing.T) {
	book := rules.Default()
	names := map[string]bool{}
	for _, a := range book.Aliases {
		if alias := a.Name; book.Species[a.Species].Sorghum {
			names[alias] = true
			names[strings.ToUpper(alias)] = true
			names[strings.ReplaceAll(alias, " ", "-")] = true
			names[" "+strings.ReplaceAll(alias, " ", "_")+" "] = true
		}
	}
	if len(names) < 100 {
		t.Fatalf("only %d names of sorghums", len(names))
	}
	ask := func(t *testing.T, name, day string) (prussic, horses hazard.HazardAnswer) {
		t.Helper()
		rows := []line{
			{"2026-06-01", "sown", fmt.Sprintf(`{"species":[{"species":%q,"share":1},{"species":"oats","share":99}]}`, name)},
			{"2026-09-10", "walk", `{"shortest_cm":100,"shoots_cm":0,"weeds_checked":true}`},
			{"2026-09-11", "no-frost", `{"from":"2026-08-20","to":"2026-09-11","basis":"thermometer-in-paddock"}`},
			{"2026-09-12", "frost", `{"low_c":-1}`},
		}
		p := assessAt(t, journalOf(t, farmByDefault, rows...), day).Paddocks[0]
		return p.Verdict(hazard.Graze, hazard.Sheep).Hazards[hazard.PrussicAcid], p.Verdict(hazard.Graze, hazard.Horses).Hazards[hazard.PrussicAcid]
	}
	frost := fields.MakeDate(2026, time.September, 12)
	for name := range names {
		got, horses := ask(t, name, "2026-09-12")
		if got.Flag != hazard.Hold || got.Through != frost+14 {
			t.Errorf("%q after a frost: %s", name, flagWords(got.Flag, got.Through))
		}
		if horses.Flag != hazard.Hold || horses.Through != hazard.NoEnd {
			t.Errorf("%q for horses: %s", name, flagWords(horses.Flag, horses.Through))
		}
	}
	for _, name := range []string{"cover crop", "native mix", "grass", "sorghum sp", "Sorghum bicolor x drummondii no 7", "???", "cocktail"} {
		if book.Find(name) != nil {
			t.Errorf("the table knows %q: choose another word", name)
			continue
		}
		got, horses := ask(t, name, "2026-09-11")
		if got.Flag != hazard.Caution {
			t.Errorf("%q, tall and never frosted: %s, want caution", name, flagWords(got.Flag, got.Through))
		}
		if horses.Flag != hazard.Hold {
			t.Errorf("%q for horses: %s", name, flagWords(horses.Flag, horses.Through))
		}
		if got, _ = ask(t, name, "2026-09-12"); got.Flag != hazard.Hold || got.Through != frost+14 {
			t.Errorf("%q after a frost: %s", name, flagWords(got.Flag, got.Through))
		}
	}
}

// Failure 15: the stamp says how old the newest night, walk and result are,
// and the farm's stamp is the oldest of its paddocks'.
func TestFailure15DataThroughStamps(t *testing.T) {
	rows := []line{
		{"2026-06-01", "sown", `{"paddock":"a","species":[{"species":"sudangrass"}]}`},
		{"2026-06-01", "sown", `{"paddock":"b","species":[{"species":"sudangrass"}]}`},
		{"2026-06-01", "sown", `{"paddock":"c","species":[{"species":"sudangrass"}]}`},
		{"2026-09-10", "reading", `{"paddock":"a","low_c":7}`},
		{"2026-09-11", "walk", `{"paddock":"a","shortest_cm":90}`},
		{"2026-09-14", "reading", `{"paddock":"b","low_c":7}`},
		{"2026-09-12", "lab", `{"paddock":"b","sampled_on":"2026-09-08","analyte":"nitrate","values":[100],"form":"NO3","unit":"ppm","basis":"dm","method":"strip"}`},
		{"2026-09-13", "reading", `{"paddock":"b","low_c":7,"covers":false,"night":"2026-09-15"}`},
	}
	a := assessAt(t, journalOf(t, farmByDefault, rows...), "2026-09-15")
	day := func(d int) fields.Date { return fields.MakeDate(2026, time.September, d) }
	want := []hazard.DataThrough{{Night: day(10), Walk: day(11)}, {Night: day(14), Lab: day(8)}, {}}
	for i, p := range a.Paddocks {
		if p.Data != want[i] {
			t.Errorf("paddock %s: %+v, want %+v", p.Paddock.ID, p.Data, want[i])
		}
	}
	if (a.Data != hazard.DataThrough{}) {
		t.Errorf("the farm's stamp is %+v, though paddock c has nothing", a.Data)
	}
}

// Failure 23: the conditions for hungry stock, water and what is not assessed
// are somebody else's words; that there is a list of hazards not assessed is
// the engine's.
func TestFailure23HazardsNotAssessedAreNamed(t *testing.T) {
	for _, want := range []string{"bloat", "sulfur", "photosensitisation", "ergot"} {
		if !slices.Contains(hazard.NotAssessed, want) {
			t.Errorf("%q is missing from the hazards not assessed", want)
		}
	}
}

// Failure 25: one id with two contents is an error that names both, and a
// struck incident or keep-off is printed for 14 days.
func TestFailure25StruckIncidentIsPrinted(t *testing.T) {
	rows := journalOf(t, farmByDefault,
		line{"2026-06-01", "sown", `{"species":[{"species":"oats"}]}`},
		line{"2026-07-01", "incident", `{"what":"one down"}`},
		line{"2026-07-01", "vet", `{"advice":"keep-off","who":"Dr. Case","because":"waiting"}`},
	)
	loc, err := fields.LoadZone(farmByDefault)
	if err != nil {
		t.Fatal(err)
	}
	day := fields.MakeDate(2026, time.July, 5)
	for i := 2; i <= 3; i++ {
		at := day.At(7, i, loc)
		e, err := caseEntry("strike", caseULID(at, i), at, day, fmt.Sprintf(`{"entry":%q,"because":"wrong paddock"}`, rows[i].ID))
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, *e)
	}
	for on, want := range map[string]int{"2026-07-04": 0, "2026-07-05": 2, "2026-07-19": 2, "2026-07-20": 0} {
		a := assessAt(t, rows, on)
		if len(a.Notices) != want {
			t.Errorf("on %s %d notices of what was struck, want %d", on, len(a.Notices), want)
		}
		vet := a.Paddocks[0].Verdict(hazard.Graze, hazard.Horses).Hazards[hazard.Veterinary]
		wantFlag := hazard.Clear
		if on == "2026-07-04" {
			wantFlag = hazard.Hold
		}
		if vet.Flag != wantFlag {
			t.Errorf("on %s the veterinary flag is %s, want %s", on, vet.Flag, wantFlag)
		}
	}
}

// Failure 25: the same id with other content is an error that names both lines.
func TestFailure25SameIDOtherContent(t *testing.T) {
	rows := journalOf(t, farmByDefault, line{"2026-09-12", "frost", `{"low_c":-1}`})
	first := string(fields.Encode(&rows[1]))
	other := strings.Replace(first, `"low_c":-1`, `"low_c":-2`, 1)
	if first == other {
		t.Fatal("the entries do not differ")
	}
	if es, err := fields.ReadJSONL(strings.NewReader(first + "\n" + first + "\n")); err != nil || len(es) != 1 {
		t.Errorf("the same entry twice: %d kept, %v", len(es), err)
	}
	_, err := fields.ReadJSONL(strings.NewReader(first + "\n" + other + "\n"))
	if err == nil || !strings.Contains(err.Error(), "line 2") || !strings.Contains(err.Error(), "line 1") {
		t.Errorf("other content under one id: %v", err)
	}
}

// The lines of height take the table's largest minimum for a plant nobody
// knows: 76 cm in the default rulebook (30 in, Iowa State Univ. Extension,
// Fall Frost and Forages, 18 Sep 2006, http://www.agronext.iastate.edu/showitem.php?id=22).
func TestLargestHeightIsThirtyInches(t *testing.T) {
	if got := rules.Default().LargestHeight(); math.Abs(got-76) > 1e-9 {
		t.Errorf("the largest minimum height is %g cm, want 76", got)
	}
}
