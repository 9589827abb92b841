package farm

import (
	"strings"
	"testing"
	"time"

	"rimegate/fields"
)

type sheetTest struct {
	*Farm
	entries int
}

// sheetFarm is a farm with two paddocks, a herd and a thermometer.
func sheetFarm(t testing.TB) *sheetTest {
	t.Helper()
	f := &sheetTest{Farm: Open(t.TempDir() + "/farm.journal")}
	f.By, f.Clock = "Maren", func() time.Time { return time.Date(2026, 10, 6, 12, 52, 0, 0, time.UTC) }
	if err := f.Store().Create(); err != nil {
		t.Fatal(err)
	}
	on := fields.MakeDate(2026, 6, 1)
	head := 85.0
	all := []fields.Entry{
		{On: on, Body: &fields.Farm{Name: "Coulee", Zone: "America/Regina"}},
		{On: on, Body: &fields.StationFacts{Station: "home", Name: "Yard"}},
		{On: on, Body: &fields.PaddockFacts{Paddock: "creek", Name: "Creek", Station: "home"}},
		{On: on, Body: &fields.PaddockFacts{Paddock: "hills", Name: "East Hills", Station: "home"}},
		{On: on, Body: &fields.HerdFacts{Herd: "pairs", Classes: []string{"bred-cattle"}, Head: &head}},
	}
	for _, e := range all {
		if _, err := f.Log([]fields.Entry{e}, false); err != nil {
			t.Fatal(err)
		}
	}
	f.entries = len(all)
	return f
}

// bring brings in a sheet.
func (f *sheetTest) bring(text string, opt SheetOptions, sure Sure) (*Backfilled, error) {
	s, err := ReadSheet("x.csv", strings.NewReader(text), opt)
	if err != nil {
		return nil, err
	}
	v, err := f.View(Question{})
	if err != nil {
		return nil, err
	}
	return v.Backfill(s, false, sure)
}

func (f *sheetTest) must(t *testing.T, text string) *Backfilled {
	t.Helper()
	out, err := f.bring(text, SheetOptions{}, Sure{})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// A file brought in twice brings nothing the second time; one that has grown brings what
// is new; what was struck comes in again; what another person says is an entry too.
func TestBackfillTwice(t *testing.T) {
	f := sheetFarm(t)
	const one = "rimegate log walk,paddock,on,killed,shortest\n,creek,1-Sep-2026,none,61cm\n"
	const two = one + ",creek,1-Sep-2026,none,61cm\n,hills,1-Sep-2026,none,61cm\n"
	first := f.must(t, one)
	if len(first.Entries) != 1 || !first.Stored || first.Entries[0].Batch != first.Batch || first.Batch == "" {
		t.Fatalf("%+v", first)
	}
	if again := f.must(t, one); len(again.Entries) != 0 || again.Stored || again.Same != 1 || again.Batch != "" {
		t.Fatalf("%+v", again)
	}
	if grown := f.must(t, two); len(grown.Entries) != 1 || grown.Same != 1 || grown.Twice != 1 {
		t.Fatalf("%+v", grown)
	}
	v, err := f.View(Question{})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := v.StrikeBatch(first.Batch, "wrong year", false); err != nil {
		t.Fatal(err)
	}
	if back := f.must(t, two); len(back.Entries) != 1 || back.Same != 1 {
		t.Fatalf("%+v", back)
	}
	f.By = "Tobias"
	if other := f.must(t, two); len(other.Entries) != 2 || other.Others != 2 || other.Same != 0 {
		t.Fatalf("%+v", other)
	}
}

// Nitrogen that a sheet tells twice counts twice, and no more when the sheet comes again.
func TestBackfillOfWhatAddsUp(t *testing.T) {
	f := sheetFarm(t)
	const row = ",creek,1-Jul-2026,50kg/ha\n"
	for _, same := range []int{0, 2} {
		out := f.must(t, "rimegate log nitrogen,paddocks,on,rate\n"+row+row)
		if len(out.Entries) != 2-same || out.Same != same || out.Twice != 0 {
			t.Fatalf("%+v", out)
		}
	}
}

// What `log` asks about is asked with its line and column, all of it at once, and the
// answer is a flag.
func TestBackfillAsks(t *testing.T) {
	f := sheetFarm(t)
	for _, c := range []struct {
		text string
		sure Sure
		want []string
	}{
		{
			"rimegate log lab,paddock,sampled,analyte,value,form,unit,basis,method\n" +
				",creek,1-Sep-2026,nitrate,0.52,NO3,ppm,dm,lab\n,creek,2-Sep-2026,nitrate,3.000,NO3,ppm,dm,lab\n",
			Sure{Figures: true},
			[]string{"x.csv line 2: unit: ", "--as-printed", "x.csv line 3: value: ", "has three digits behind a point"},
		},
		{
			"rimegate log sown,paddock,on,species\n,creek,1-Jun-2026,clover\n",
			Sure{Names: true},
			[]string{`x.csv line 2: species: "clover" may be `, "--as-said"},
		},
		{ // each low by itself, as it would be logged
			"rimegate log reading,station,night,low\n,home,1-Oct-2026,41C\n",
			Sure{Figures: true},
			[]string{"x.csv line 2: low: ", "--as-read"},
		},
		{
			"rimegate log walk,paddock,on,frost damage\n,creek,1-Sep-2026,part\n,hills,,part\n",
			Sure{Names: true, Figures: true},
			[]string{"x.csv line 2: damage-night: you found damage in creek that no recorded night explains", "x.csv line 3: on: is missing"},
		},
		{
			"rimegate log no-frost,paddocks,from,to,basis\n,creek,1-Sep-2026,,3\n",
			Sure{Names: true, Figures: true},
			[]string{"x.csv line 2: from: and to belong together; give the first and the last night", `x.csv line 2: basis: "3" is not one of them`},
		},
		{
			"rimegate log walk,paddock,on,killed\n,all,1-Sep-2026,none\n,\"creek, hills\",1-Sep-2026,none\n",
			Sure{Names: true, Figures: true},
			[]string{`line 2: paddock: "all" cannot be walked at once`, `line 3: paddock: "killed none" is good news, and good news is said of one paddock at a time`},
		},
		{
			"rimegate log reading,station,paddock,night,low\n,,creek,1-Oct-2026,3C\n,in-paddock,,1-Oct-2026,3C\n",
			Sure{Names: true, Figures: true},
			[]string{"line 2: station: is missing: say which thermometer was read", "line 3: paddock: is missing"},
		},
		{
			"rimegate paddock add,name,paddock\n,Creek,creek\n,Bench,bench\n,The Bench,bench\n,Becnh,b\n,east hills,e2\n",
			Sure{Names: true, Figures: true},
			[]string{"line 2: paddock: the paddock creek is there already and is said otherwise", "line 4: paddock: bench is in a row above too", "line 6: name: "},
		},
	} {
		_, err := f.bring(c.text, SheetOptions{}, Sure{})
		for _, want := range c.want {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v\nwant %s", c.text, err, want)
			}
		}
		if v, verr := f.View(Question{}); verr != nil || len(v.Entries) != f.entries {
			t.Fatalf("%s: something was stored", c.text)
		}
		_, err = f.bring(c.text, SheetOptions{}, c.sure)
		if stands := c.sure != (Sure{Names: true, Figures: true}); stands != (err == nil) {
			t.Errorf("%s: stood by, %v", c.text, err)
		}
		v, _ := f.View(Question{})
		f.entries = len(v.Entries)
	}
}

// A row is known from the moment it came in, whatever day it is of.
func TestBackfillIsKnownFromNowOn(t *testing.T) {
	f := sheetFarm(t)
	out := f.must(t, "rimegate log frost,paddocks,night,low\n,creek,1-Oct-2026,-4C\n")
	if now := f.Clock(); !out.Entries[0].Recorded.Equal(now) {
		t.Errorf("recorded %v, now %v", out.Entries[0].Recorded, now)
	}
	v, err := f.View(Question{KnownAt: f.Clock().Add(-time.Minute)})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(v.History.OfPaddock("creek")); n > 1 {
		t.Errorf("%d facts of creek are known a minute before the import", n)
	}
}

// A row may speak of what a row above it said, and is held to it.
func TestBackfillRowsSeeTheRowsAbove(t *testing.T) {
	const walks = "rimegate log walk,paddock,on,frost damage,damage night\n,creek,8-Sep-2026,part,7-Sep-2026\n,creek,10-Sep-2026,part,\n"
	f := sheetFarm(t)
	if out := f.must(t, walks); len(out.Entries) != 2 || out.Others != 0 {
		t.Errorf("%+v", out)
	}
	const splits = "rimegate log split,from,into,on\n,hills,\"h1, h2\",1-Sep-2026\n"
	if out := f.must(t, splits+",h1,\"h3, h4\",2-Sep-2026\n"); len(out.Entries) != 2 {
		t.Errorf("%+v", out)
	}
	f = sheetFarm(t)
	_, err := f.bring(splits+",hills,\"h3, h4\",2-Sep-2026\n", SheetOptions{}, Sure{})
	if err == nil || !strings.Contains(err.Error(), "line 3: from: the paddock hills changed its shape on Tue 1 Sep 2026 already") {
		t.Error(err)
	}
	_, err = f.bring("rimegate log sown,paddock,on,species\n,creek,1-Jun-2026,oats\n,creek,2-Jun-2026,clover\n,creek,3-Jun-2026,clover\n", SheetOptions{}, Sure{})
	if err == nil || !strings.Contains(err.Error(), "line 3: species: \"clover\" may be") {
		t.Error(err)
	}
}
