package rules

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimegate/fields"
)

var checkDay = fields.MakeDate(2026, 11, 28)

// TestCheckSaysWhatLoadSays checks every bad file as a file of the user's: the same
// faults, under the user's name for it.
func TestCheckSaysWhatLoadSays(t *testing.T) {
	for name := range badFiles {
		text, err := os.ReadFile(filepath.Join("testdata", "bad", name+".toml"))
		if err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(string(text), "\n")
		place := strings.TrimPrefix(head, "# at: ")
		if kindAt(place) < 0 {
			continue
		}
		user := "/home/dana/" + place
		c := Check([]File{{user, string(text)}}, checkDay)[0]
		var said []string
		for _, p := range c.Problems {
			said = append(said, strings.TrimPrefix(p.Error(), user+":"))
			if p.File == place {
				t.Errorf("%s: %s names the rulebook's file, not the user's", name, p)
			}
		}
		all := strings.Join(said, "\n")
		for _, w := range badFiles[name] {
			if !strings.Contains(all, w) {
				t.Errorf("%s: nothing says %q of\n%s", name, w, all)
			}
		}
		if c.Publication != nil || c.Table != nil || len(c.Rules)+len(c.Species) > 0 {
			t.Errorf("%s: a broken file still says something", name)
		}
	}
}

// TestCheckKinds tells what each file of the rulebook is, where it lies and elsewhere,
// and finds no fault in any.
func TestCheckKinds(t *testing.T) {
	var all []File
	err := fs.WalkDir(files, ".", func(place string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := fs.ReadFile(files, place)
		if err != nil {
			return err
		}
		all = append(all, File{"hazard/rules/" + place, string(text)})
		want := kindAt(place)
		for _, name := range []string{"hazard/rules/" + place, "../x/" + place, "draft.toml"} {
			if kind, _ := placeOf(File{name, string(text)}); kind != want {
				t.Errorf("%s as %s: kind %d, not %d", place, name, kind, want)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range Check(all, checkDay) {
		said := c.Publication != nil || c.Table != nil || len(c.Rules)+len(c.Species) > 0 ||
			strings.HasSuffix(c.Name, "sources.toml") || strings.HasSuffix(c.Name, "rulebook.toml")
		if len(c.Problems) > 0 || !said {
			t.Errorf("%s, %s: %v", c.Name, c.Kind, c.Problems)
		}
	}
	for _, text := range []string{"", "a = 1\n", "not toml at all"} {
		c := Check([]File{{"draft.toml", text}}, checkDay)[0]
		if len(c.Problems) == 0 || !strings.Contains(c.Problems[0].What, "nothing tells what kind") {
			t.Errorf("%q: %v", text, c.Problems)
		}
	}
}

const goodDraft = `id = "zz-2020"
publisher = "University of Zz"
title = "Frost"
year = 2020
url = "https://example.org/frost"
checked_on = 2026-11-25
words = "Two weeks after any frost."
restart = "yes"

[[wait]]
after = "frost"
use = "graze"
days = 14
words = "two weeks"

[[height]]
growth = "any"
cm = 76
words = "30 in"
`

// TestCheckGoodDraft finds nothing in a file that is as cautious as the rulebook, and
// says what is in it.
func TestCheckGoodDraft(t *testing.T) {
	c := Check([]File{{"zz-2020.toml", goodDraft}}, checkDay)[0]
	if len(c.Problems)+len(c.Doubts) > 0 {
		t.Errorf("%v, %v", c.Problems, c.Doubts)
	}
	if c.Publication == nil || c.Publication.ID != "zz-2020" || len(c.Publication.Waits) != 1 {
		t.Errorf("it says %+v", c.Publication)
	}
	if _, err := Draft(File{"zz-2020.toml", goodDraft}, checkDay); err != nil {
		t.Error(err)
	}
	for _, p := range Publications() {
		if p.ID == "zz-2020" {
			t.Error("a draft went into the rulebook")
		}
	}
}

// TestCheckDoubts: each change of a sound file raises one question or fault, with words of it.
func TestCheckDoubts(t *testing.T) {
	frost, err := fs.ReadFile(files, "cautious/frost.toml")
	if err != nil {
		t.Fatal(err)
	}
	species, err := fs.ReadFile(files, "species.toml")
	if err != nil {
		t.Fatal(err)
	}
	table, err := fs.ReadFile(files, "tables/tennessee.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name, file, text, old, new, want string
		fault                            bool
	}{
		{
			"height gone", "zz-2020.toml", goodDraft, goodDraft[strings.Index(goodDraft, "[[height]]"):], "",
			"1:1: it gives a wait after frost and no height", false,
		},
		{
			"shorter wait", "zz-2020.toml", goodDraft, "days = 14", "days = 5",
			"13:1: 5 days is less cautious than prussic.frost.wait (14 days)", false,
		},
		{
			"lower height", "zz-2020.toml", goodDraft, "cm = 76", "cm = 46",
			"18:1: 46 cm is less cautious than prussic.height.sorghum-sudangrass (76 cm)", false,
		},
		{
			"taller", "zz-2020.toml", goodDraft, "cm = 76", "cm = 91",
			"18:1: 91 cm is more than prussic.height.sorghum-sudangrass", false,
		},
		{"no days", "zz-2020.toml", goodDraft, "days = 14\n", "", "10:3: a wait without days", false},
		{"no restart", "zz-2020.toml", goodDraft, `"yes"`, `"no"`, "8:1: a new frost does not start the count anew", false},
		{"other name", "draft.toml", goodDraft, "", "", "call it zz-2020.toml", false},
		{"no year", "zz-2020.toml", goodDraft, "year = 2020", "year = 0", "4:1: year 0", false},
		{"reprint", "zz-2020.toml", goodDraft, "of Zz", "of Zz, via a paper", "2:1: it was read in a reprint", false},
		{"tomorrow", "zz-2020.toml", goodDraft, "2026-11-25", "2026-11-29", "6:1: checked_on lies ahead of today", false},
		{
			"unread", "zz-2020.toml", goodDraft, "any frost.", "any frost; the rest was not read.",
			"7:1: words says that something was not read", false,
		},
		{
			"from memory", "zz-2020.toml", goodDraft, "any frost.", "any frost, from memory.",
			"7:1: what is from memory is not shipped", true,
		},
		{
			"no source at all", "zz-2020.toml", goodDraft, "url = \"https://example.org/frost\"\n", "",
			`1:1: url is missing; write url = "..."`, true,
		},
		{
			"an id twice", "zz-2020.toml", goodDraft, "zz-2020", "ia-2024",
			`source "ia-2024" stands here a second time, first in publications/ia-2024.toml`, true,
		},
		{"date form", "zz-2020.toml", goodDraft, "2026-11-25", "11/25/26", "6:1", true},
		{
			"value", "cautious/frost.toml", string(frost), "value = 14\n", "value = 12\nwhy = \"ripe\"\n",
			"12 days is less cautious than the rulebook's 14 days", false,
		},
		{
			"limit", "cautious/frost.toml", string(frost), "limit = 10", "limit = 7",
			"the limit 7 days is less cautious than the rulebook's 10 days", false,
		},
		{
			"a rule elsewhere", "wait.toml", ruleNamed(string(frost), "prussic.frost.wait"), "", "",
			`rule "prussic.frost.wait" takes the place of the one in cautious/frost.toml`, false,
		},
		{
			"nitrate", "species.toml", string(species), "nitrate = \"yes\"", "nitrate = \"low\"",
			"the rulebook has nitrate yes for sudangrass, which is more cautious", false,
		},
		{"a name", "species.toml", string(species), `"piper", `, "", `the name "piper" of the rulebook is gone`, false},
		{"a laxer line", "my-line.toml", table2(string(table)), "", "", "is less cautious than the table", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			text := tc.text
			if tc.old != "" {
				text = strings.Replace(text, tc.old, tc.new, 1)
			}
			if tc.old != "" && text == tc.text {
				t.Fatalf("%q is not in the file", tc.old)
			}
			c := Check([]File{{tc.file, text}}, checkDay)[0]
			said := c.Doubts
			if tc.fault {
				said = c.Problems
			} else if len(c.Problems) > 0 {
				t.Errorf("faults: %v", c.Problems)
			}
			var all strings.Builder
			for _, p := range said {
				all.WriteString(p.Error() + "\n")
			}
			if !strings.Contains(all.String(), tc.want) {
				t.Errorf("nothing says %q of\n%s%v", tc.want, all.String(), c.Problems)
			}
		})
	}
}

// ruleNamed cuts one rule out of a file.
func ruleNamed(text, id string) string {
	for _, part := range strings.SplitAfter(text, "\n\n") {
		if strings.Contains(part, `id = "`+id+`"`) && strings.HasPrefix(part, "[[rule]]") {
			return part
		}
	}
	return ""
}

// table2 is a table with another id and a line of its clear band that no other is laxer than.
func table2(text string) string {
	text = strings.Replace(text, `id = "tennessee"`, `id = "my-line"`, 1)
	return strings.Replace(text, "up_to = 2500", "up_to = 4900", 1)
}

// TestCheckTogether: a file may cite what another of the same call brings.
func TestCheckTogether(t *testing.T) {
	frost, err := fs.ReadFile(files, "cautious/frost.toml")
	if err != nil {
		t.Fatal(err)
	}
	cites := strings.Replace(string(frost), `id = "ar-baxter-2016"`, `id = "zz-paper"`, 1)
	source := "[[source]]\nid = \"zz-paper\"\n" +
		"publisher = \"Zz\"\ntitle = \"T\"\nyear = 2020\nurl = \"https://example.org\"\n"
	alone := Check([]File{{"cautious/frost.toml", cites}}, checkDay)
	if len(alone[0].Problems) != 1 || !strings.Contains(alone[0].Problems[0].What,
		`there is no source "zz-paper"; give it a [[source]]`) {
		t.Errorf("alone: %v", alone[0].Problems)
	}
	both := Check([]File{{"cautious/frost.toml", cites}, {"more.toml", source}}, checkDay)
	if len(both[0].Problems)+len(both[1].Problems) > 0 {
		t.Errorf("together: %v, %v", both[0].Problems, both[1].Problems)
	}
	if len(both[0].Rules) == 0 {
		t.Error("a sound file says nothing")
	}
	twice := Check([]File{{"a/zz-2020.toml", goodDraft}, {"b/zz-2020.toml", goodDraft}}, checkDay)
	if len(twice[1].Problems) != 1 || !strings.Contains(twice[1].Problems[0].What, "same place as a/zz-2020.toml") {
		t.Errorf("twice: %v", twice[1].Problems)
	}
}
