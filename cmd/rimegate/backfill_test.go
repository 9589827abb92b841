package main

import (
	"bytes"
	"encoding/csv"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
)

// sheetLines are lines of `log` that say each column of each kind once at least.
var sheetLines = []string{
	"frost --low -3C --night 2-Oct-2026 --seen white --note cold north-slough,creek",
	`frost --ended-at "2-Oct-2026 07:30" hills`,
	"no-frost --from 1-Sep-2026 --to 3-Sep-2026 --basis looked-at-dawn --note x creek,hills",
	"walk --on 4-Oct-2026 --killed part --not-dry --shoots 15cm --frost-damage tips --damage-night 3-Oct-2026 --shortest 60cm --wilted " +
		"--alive oats,peas --absent millet --stressed --part stand --standing 2500kg/ha --weeds-checked --note x creek",
	"walk --on 4-Oct-2026 --killed none --no-shoots --nothing-alive --stress-free hills",
	"walk --on 4-Oct-2026 --frost-damage part --cause hail --cause-on 1-Oct-2026 creek,hills",
	"grazed --in --herd pairs --on 4-Oct-2026 --note x creek",
	"grazed --out --left 25cm --swath-left --on 4-Oct-2026 creek",
	`lab --sampled 1-Sep-2026 --analyte nitrate --value "820; 910" --form NO3 --unit ppm --basis as-fed --dm 86% --method lab ` +
		"--sample 17 --stems 20 --spots 10 --cut 10cm --note x creek",
	"lab --lot old-hay --sampled 1-Sep-2026 --analyte hcn --value <100 --unit ppm --basis dm --method strip --bales-cored 20 --cores 21 " +
		"--sample-state dried",
	"incident --herd ewes --down 1 --dead 2 --what froth --on 1-Oct-2026 --note x creek",
	"incident --lot old-hay --on 1-Oct-2026",
	"reading --station home --night 2-Oct-2026 --low 1.5C --part --hours-below-0 1h --hours-below-kill 0.5h --source logger --note x",
	"reading --in-paddock --night 2-Oct-2026 --below-zero creek",
	`forecast --station home --night 8-Oct-2026 --low -1C --issued "5-Oct-2026 16:30" --source office --note x`,
	`forecast --night 8-Oct-2026 --low -1C --issued "5-Oct-2026 16:30" creek`,
	"drought --start --on 1-Aug-2026 --note x creek,hills",
	"drought --end --rain 30mm --on 20-Aug-2026 creek",
	"rain --amount 12mm --on 20-Aug-2026 --note x all",
	"hail --on 20-Aug-2026 --note x creek",
	"trampled --on 20-Aug-2026 --note x creek",
	"sprayed --product 2,4-D --on 20-Aug-2026 --note x creek",
	"nitrogen --rate 56kg/ha --form urea --on 12-Jul-2026 --note x creek",
	"nitrogen --rate-unknown --on 12-Jul-2026 hills",
	"cut --use hay --height 10cm --lot new-hay --on 8-Aug-2026 --note x creek",
	"sampled --sample 4711 --lab Northern --stems 20 --spots 10 --cut 10cm --on 8-Aug-2026 --note x creek",
	"sampled --lot old-hay --sample 4712 --bales-cored 20 --cores 20 --on 8-Aug-2026",
	"lot --kind hay --made 12-Aug-2026 --from creek --cut-on 8-Aug-2026 --bales 120 --tonnes 45t --dm 86% --species oats,peas " +
		"--seller Bo --note x creek-hay",
	"fed --lot old-hay --herd pairs --from 1-Sep-2026 --to 5-Sep-2026 --amount 500kg --mixed --note x",
	"used-up --on 6-Sep-2026 --note x old-hay",
	`water --source "east well" --value 24 --form NO3-N --unit mg/L --sampled 1-Sep-2026 --herds pairs,ewes --paddocks creek,hills --note x`,
	"vet --keep-off --who Lund --because seen --class cows --use graze,green-chop --on 1-Oct-2026 --note x creek",
	"vet --may-graze --who Lund --because tested --until 20-Oct-2026 --on 1-Oct-2026 --lot old-hay",
	"seen --species kochia,johnsongrass --where fence --extent trace --on 1-Oct-2026 --note x creek,hills",
	"done --round gates --on 1-Oct-2026 --note x",
	"done --task fence --on 1-Oct-2026",
	"sown --species oats:60,peas:40 --new-stand --ended tilled --on 5-Jun-2026 --note x creek",
	"sown --mix-not-known --on 5-Jun-2026 creek",
	"split --from creek --into creek-a,creek-b --on 1-Oct-2026 --note x",
	"join --from creek,hills --into both --on 1-Oct-2026 --note x",
	"round --name gates2 --every FREQ=WEEKLY;BYDAY=MO --what look --paddocks creek,hills --on 1-Oct-2026 --note x",
	"read --on 1-Oct-2026 --note x",
	"override --rule prussic.frost.wait --value 10 --because advised --source county --until 30-Nov-2026 --on 1-Oct-2026 --note x",
	"station --name Hill --height 1.5m --lat 50.2 --lon -105.3 --elevation 610m --on 1-Oct-2026 --note x hill",
	"paddock --name West --area 24ha --station home --offset -2C --low-lying --bounds road --on 1-Oct-2026 --note x west",
	"herd --class cows,calves --head 85 --weight 620kg --intake 2.5% --on 1-Oct-2026 --note x heifers",
}

// What a line of `log` says comes in from a sheet as the very same entries, kind by kind
// and column by column.
func TestSheetsSayWhatLogSays(t *testing.T) {
	v := sheetFarm(t)
	var made []fields.Entry
	var said form.Said
	do := func(makes maker) step {
		return func(r *request) (err error) {
			r.farm, r.view, said = v.Farm, v.View, whatWasSaid(r.c, r.flags)
			made, err = makes(r)
			return err
		}
	}
	filled := map[string]bool{"hail product": true, "trampled product": true} // no flag says it, a screen does
	for _, line := range sheetLines {
		words, err := splitWords(line)
		if err != nil {
			t.Fatal(err)
		}
		p := &program{}
		app := &cli.App{Name: "rimegate log", Writer: io.Discard, Commands: logCommands(p, form.Kinds(), do)}
		for _, kind := range []fields.Kind{fields.KindStation, fields.KindPaddock, fields.KindHerd} {
			app.Commands = append(app.Commands, command(p, form.Of(kind), do(logged)))
		}
		if err := app.Run(append([]string{app.Name}, words...)); err != nil {
			t.Errorf("%s: %v", line, err)
			continue
		}
		k := form.Sheet(words[0])
		row := []string{""}
		for _, f := range k.Columns() {
			sep := ", "
			if f.Type == form.Figures {
				sep = "; "
			}
			cell := strings.Join(said[f.Name], sep)
			row = append(row, cell)
			filled[words[0]+" "+f.Column()] = filled[words[0]+" "+f.Column()] || cell != ""
		}
		var file bytes.Buffer
		if err := csv.NewWriter(&file).WriteAll(append(k.Template(), row)); err != nil {
			t.Fatal(err)
		}
		text := file.Bytes()
		sheet, err := farm.ReadSheet("x.csv", &file, farm.SheetOptions{})
		if err != nil {
			t.Errorf("%s\n%s: %v", line, text, err)
			continue
		}
		out, err := v.View.Backfill(sheet, true, farm.Sure{Names: true, Figures: true})
		if err != nil {
			t.Errorf("%s\n%s: %v", line, text, err)
			continue
		}
		if got, want := bare(out.Entries), bare(made); !slices.Equal(got, want) || sheet.Passed != 3 {
			t.Errorf("%s\nthe sheet says %v\nlog says       %v", line, got, want)
		}
	}
	for _, k := range form.Sheets() {
		for _, f := range k.Columns() {
			if !filled[string(k.Kind)+" "+f.Column()] {
				t.Errorf("no line fills the column %s of %s", f.Column(), k.Kind)
			}
		}
	}
}

// bare are entries without who wrote them down, when and how.
func bare(entries []fields.Entry) []string {
	var out []string
	for _, e := range entries {
		e.ID, e.By, e.Batch, e.Recorded = "", "", "", time.Time{}
		out = append(out, string(fields.Encode(&e)))
	}
	return out
}

type openFarm struct {
	Farm *farm.Farm
	View *farm.View
}

// sheetFarm is the farm of the scripts with a lot and a round.
func sheetFarm(t *testing.T) openFarm {
	t.Helper()
	f := farm.Open(filepath.Join(t.TempDir(), "farm.journal"))
	f.By = "Maren"
	f.Clock = func() time.Time { return time.Date(2026, 10, 6, 12, 52, 0, 0, time.UTC) }
	text, err := os.ReadFile("../../testdata/script/farm.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	entries, _, err := journal.ReadText(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Store().Create(); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Store().Import(entries); err != nil {
		t.Fatal(err)
	}
	on := fields.MakeDate(2026, 6, 1)
	if _, err := f.Log([]fields.Entry{
		{On: on, Body: &fields.LotFacts{Lot: "old-hay", LotKind: "hay", MadeOn: on}},
		{On: on, Body: &fields.Round{Name: "gates", RRule: "FREQ=DAILY"}},
	}, false); err != nil {
		t.Fatal(err)
	}
	v, err := f.View(farm.Question{})
	if err != nil {
		t.Fatal(err)
	}
	return openFarm{f, v}
}
