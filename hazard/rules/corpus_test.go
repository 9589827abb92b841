package rules

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"rimegate/hazard"
)

// bookFS is the embedded rulebook as files that a test may replace.
func bookFS(t testing.TB) fstest.MapFS {
	t.Helper()
	m := fstest.MapFS{}
	err := fs.WalkDir(files, ".", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := fs.ReadFile(files, path)
		m[path] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// speciesRows is the species table, sorted by id.
func speciesRows() []*hazard.Species {
	return slices.SortedFunc(maps.Values(Default().Species), func(a, b *hazard.Species) int { return strings.Compare(a.ID, b.ID) })
}

// badFiles says what every file of testdata/bad must be told about it, all at
// once: the place in the file and words of the sentence.
var badFiles = map[string][]string{
	"unknown-keys": {
		`4:1: unknown key "rule.vlaue"`,
		`9:21: unknown key`,
		`12:3: unknown key "rle"`,
	},
	"wrong-kinds": {
		`3:1: id wants a text in quotes, not a whole number`,
		`4:1: value wants a number, not a text`,
		`5:1: limit wants a number, not true or false`,
		`9:1: checked_on wants a date like 2026-10-01, not a text`,
		`11:21: says wants a text in quotes, not a whole number`,
	},
	"syntax":   {`4:9: `},
	"not-text": {`1:1: the file is not UTF-8 text`},
	"unknown-rule": {
		`3:1: there is no rule "prussic.frost.nap"`,
	},
	"rule-twice": {`3:1: rule "prussic.frost.wait" stands here a second time, first in cautious/frost.toml`},
	"missing-rules": {
		`rule prussic.walk.life.settled is missing`,
		`rule prussic.walk.life.perennial is missing`,
		`rule prussic.height.life is missing`,
		`rule prussic.height.grace is missing`,
	},
	"numbers": {
		`6:1: value 8.5 days cannot be`,
		`6:1: value 8.5 of prussic.walk.life lies beyond its limit 7 days`,
		`18:1: value 14 of prussic.walk.life.settled lies outside what is published (7 to 7 days) and its basis is not ours`,
		`32:1: value 7 of prussic.walk.life.perennial is not the strictest in print (5 days) and no why says why`,
		`43:3: value of prussic.height.life is missing`,
		`47:1: "fortnights" is no unit of a rule`,
		`48:1: stricter of prussic.height.life must be larger or smaller`,
		`49:1: basis "guess" is not one of published, common-practice, ours and memory`,
		`52:3: limit of prussic.height.grace is missing`,
		`52:3: prussic.height.grace is ours without a derivation in words`,
	},
	"sourceless": {
		`10:1: a published rule names no source: sources is missing`,
		`13:3: prussic.walk.life.settled is published, but no source gives a value`,
		`35:1: what is from memory is shipped as published`,
		`52:5: there is no source "nobody"`,
		`53:21: what is from memory is not shipped as published`,
		`54:3: source "ia-2024" does not say what it says: says is missing`,
		`57:3: prussic.height.grace is ours without a derivation in words`,
		`57:3: checked_on is missing`,
	},
	"words": {
		`7:1: nitrate.tables has a word, not a value`,
		`8:1: nitrate.tables has a word, not a limit`,
		`9:1: choices of nitrate.tables must be tables or fixed`,
		`11:1: nitrate.tables: the default "clemson" is not the strictest word "all"`,
		`16:3: word is missing`,
		`31:1: nitrate.standing.life has a number, not a word`,
	},
	"no-name": {`the rulebook has no version`},
	"fixed": {
		`5:1: a published rule names no source: sources is missing`,
		`9:1: there is no fixed reason "moonlight"`,
		`the fixed reason forecast is missing`,
	},
	"species": {
		`2:3: sudangrass is of the sorghum genus and not kept from horses`,
		`17:10: "piper" already names sudangrass`,
		`13:3: sorghum-sudangrass has the habit sorghum and no height rule`,
		`28:10: "grass" stands for plants of different danger: no species may take it`,
		`30:1: nitrate "plenty" is not one of yes, brassica, low, no, unknown`,
		`24:3: no source rates pearl-millet: levels is missing`,
		`37:1: oats is called unlisted, but a source rates it`,
		`39:13: there is no source "nobody"`,
		`46:1: "prussic.frost.wait" is no rule of a minimum height`,
		`46:1: elderberry has the habit minor, which knows no height`,
		`47:1: elderberry: a remembered rating may only make a plant more dangerous`,
		`48:1: elderberry: 4 °C cannot be a frost that a plant lives through`,
		`48:1: elderberry survives to 4 °C says no source: frost with kill_c or damage_c is missing`,
		`52:1: species "oats" stands here a second time`,
		`55:1: habit "sleepy" is not one of sorghum, perennial, always, flax, minor, none, unknown`,
		`56:1: oats: a plant of the sorghum genus has the habit sorghum, and no other plant has`,
		`68:1: teff is hardy without a temperature: survives_c and its frost sources are missing`,
		`78:1: rye survives to -20 °C, but a source gives 3 °C`,
		`81:3: source "ne-2004" does not say what it says: says is missing`,
		`81:25: rye: 3 °C cannot be a frost that a plant lives through`,
		`91:1: bluestem is a warm-season grass and cannot be hardy`,
		`103:1: clover: a frost temperature is given, so frost_unread cannot be`,
		`114:1: timothy is a perennial grass and not perennial`,
		`115:1: timothy survives to -9 °C, which no source gives`,
	},
	"everyday": {
		`37:1: cane fits fewer than two plants: give the name to the plant itself`,
		`43:1: linseed fits plants of the habit flax and others: leave the name out, so that it stays unknown`,
		`94:1: seed-flax fits plants of the habit flax and others: leave the name out, so that it stays unknown`,
		`46:1: species "flax" stands here a second time`,
		`53:1: sorghum fits perennials and annuals that make prussic acid: leave the name out, so that it stays unknown`,
		`58:23: there is no species "lichen"`,
		`58:33: "sudangrass" stands twice among the plants that moss fits`,
		`60:3: name is missing`,
		`64:3: id is missing`,
		`83:19: "sudan grass" already names sudangrass`,
		`83:10: "Grass" stands for plants of different danger: no species may take it`,
		`89:25: "almum" is an everyday name itself; name the plants`,
	},
	"table": {
		`1:1: source "zz" has no year; write year = 0 if the page shows none`,
		`5:1: url "nowhere" does not begin with http:// or https://`,
		`7:1: form "nitrate" is not one of NO3, NO3-N, KNO3, NaNO3`,
		`8:1: unit "percent" is not one of ppm, mg/kg, g/kg, %`,
		`17:1: bands are not in order: 900 does not come after 1000`,
		`23:1: the share grows from 50 to 75 as the nitrate does`,
		`27:1: share 0 and do_not go together`,
		`31:3: up_to is missing: only the last band has no upper edge`,
		`36:1: the last band has an upper edge: values above it would be in no band`,
		`35:3: share is missing: percent of the ration, 100 for no limit`,
	},
	"one-line": {
		`2:1: no table can be called "all"`,
		`13:3: a one-row table has one line: two bands, not 3`,
		`13:3: the lowest band is not clear`,
	},
	"publication": {
		`5:1: year 1066 cannot be`,
		`9:1: restart "maybe" is not one of yes, no, not said`,
		`12:1: after "rain" is not one of killing-frost, light-frost`,
		`13:1: use "sleeping" is not one of graze, green-chop`,
		`14:12: there is no species "moss"`,
		`16:1: up_to does not lie above days`,
		`17:1: a wait is never and a number at once`,
		`18:1: dry "perhaps" is not one of also, or, from`,
		`24:1: at_least says nothing without days`,
		`25:1: taller_cm -3 cm cannot be`,
		`26:1: words is missing`,
		`29:1: growth "tall" is not one of any, first, regrowth, shoots`,
		`28:3: a height says neither cm nor headed`,
		`30:1: up_to_cm does not lie above cm`,
	},
	// Faults of shape do not hide those of sense.
	"mixed": {
		`4:1: what is from memory is not shipped as published`,
		`7:1: checked_on wants a date like 2026-10-01, not a text`,
		`14:1: days wants a whole number, not a number`,
		`16:12: there is no species "sudangras"; take an id of species.toml`,
		`17:1: unknown key "wait.wrods"; the keys here are after, use, species, days, up_to`,
		`18:1: words is missing; write words = "..."`,
		`22:1: cm wants a number, not a text`,
		`23:12: there is no species "oat"`,
	},
	"mixed-rule": {
		`7:1: "fortnight" is no unit of a rule`,
		`9:1: limit wants a number, not a text`,
		`13:5: there is no source "nobody"`,
		`rule prussic.walk.life.settled is missing`,
	},
	"mixed-table": {
		`7:1: what is from memory is not shipped as published`,
		`9:1: unit "lb" is not one of ppm, mg/kg, g/kg, %`,
		`13:1: up_to wants a number, not a text`,
		`19:1: share 150 cannot be; it lies between 0 and 100 percent`,
		`23:1: share 0 and do_not go together`,
		`1:1: the row of other stock is missing`,
	},
	"empty-publication": {`the publication gives neither a wait nor a height`},
	"stray":             {`no file of a rulebook goes here; it belongs in cautious, tables or publications`},
}

// TestBadFiles reads each bad file in the place its first line names, the rest
// of the rulebook being sound.
func TestBadFiles(t *testing.T) {
	names, err := filepath.Glob("testdata/bad/*.toml")
	if err != nil || len(names) != len(badFiles) {
		t.Errorf("%d files in testdata/bad, %d in the table (%v)", len(names), len(badFiles), err)
	}
	for name, want := range badFiles {
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join("testdata", "bad", name+".toml"))
			if err != nil {
				t.Fatal(err)
			}
			head, _, _ := bytes.Cut(text, []byte("\n"))
			at, ok := strings.CutPrefix(string(head), "# at: ")
			if !ok {
				t.Fatalf("the first line must name the place, not %q", head)
			}
			fsys := bookFS(t)
			fsys[at] = &fstest.MapFile{Data: text}
			book, ps := load(fsys)
			if book != nil {
				t.Error("a broken rulebook was loaded")
			}
			var got strings.Builder
			for _, p := range ps {
				line := p.Error()
				fmt.Fprintln(&got, line)
				for _, leak := range []string{"struct", "float64", "Shape", "reflect", "interface"} {
					if strings.Contains(line, leak) {
						t.Errorf("%q speaks Go: %s", leak, line)
					}
				}
			}
			for _, w := range want {
				if !strings.Contains(got.String(), w) {
					t.Errorf("nothing says %q", w)
				}
			}
			if t.Failed() {
				t.Logf("said:\n%s", got.String())
			}
		})
	}
}

// TestEveryFaultIsTold breaks files at several places at once: all are told.
func TestEveryFaultIsTold(t *testing.T) {
	fsys := bookFS(t)
	for _, name := range []string{"table", "species", "numbers"} {
		text, err := os.ReadFile(filepath.Join("testdata", "bad", name+".toml"))
		if err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(string(text), "\n")
		fsys[strings.TrimPrefix(head, "# at: ")] = &fstest.MapFile{Data: text}
	}
	_, ps := load(fsys)
	in := map[string]int{}
	for _, p := range ps {
		in[p.File]++
	}
	for _, f := range []string{"tables/zz.toml", "species.toml", "cautious/walk.toml"} {
		if in[f] < 5 {
			t.Errorf("%s: %d faults told, at least 5 stand in it", f, in[f])
		}
	}
}

func TestEmptyAndUnreadable(t *testing.T) {
	if book, ps := load(fstest.MapFS{}); book != nil || len(ps) == 0 {
		t.Error("an empty folder was loaded")
	}
	if book, ps := load(os.DirFS("testdata/there-is-no-such-folder")); book != nil || len(ps) == 0 {
		t.Error("a folder that is not there was loaded")
	}
}
