package hazard_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// sections are citations of the contract, as in "§7.2".
var sections = regexp.MustCompile(`§[0-9]+(\.[0-9]+)?`)

// What cites the contract cites a section that is there, and the plain engine and
// the cases cite each section that decides something (chapters 4 to 12).
func TestCitedSectionsExist(t *testing.T) {
	exist, decides := map[string]bool{}, map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^###? (([0-9]+)(?:\.[0-9]+)?)`).FindAllStringSubmatch(contract(t), -1) {
		exist["§"+m[1]] = true
		if chapter, err := strconv.Atoi(m[2]); err == nil && m[1] != m[2] && chapter >= 4 && chapter <= 12 {
			decides["§"+m[1]] = true
		}
	}
	if len(decides) < 60 {
		t.Fatalf("only %d sections found; this test would prove nothing", len(decides))
	}
	for _, from := range []struct {
		files  string
		except map[string]bool // not decided there
	}{
		// Hours, bloat and silo gas move no flag; the questions of a log are none of the engine's.
		{
			"judge/plain*.go",
			map[string]bool{"§4.10": true, "§5.7": true, "§5.10": true, "§7.8": true, "§9.15": true, "§11.10": true},
		},
		// Which plant an everyday name means is the species table's, hazard/rules.
		{"[a-z]*.go", map[string]bool{"§4.10": true, "§5.7": true}},
		{"testdata/cases/*", map[string]bool{"§4.10": true, "§5.10": true, "§7.8": true, "§9.15": true, "§11.10": true}},
		{"CONTRACT.md", nil},
	} {
		cited := map[string]bool{}
		names, err := filepath.Glob(from.files)
		if err != nil || len(names) == 0 {
			t.Fatalf("no file %s: %v", from.files, err)
		}
		for _, name := range names {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range sections.FindAllString(string(text), -1) {
				cited[s] = true
				if !exist[s] {
					t.Errorf("%s cites %s, which the contract does not have", name, s)
				}
			}
		}
		for s := range decides {
			if from.except != nil && !cited[s] && !from.except[s] {
				t.Errorf("nothing in %s cites %s", from.files, s)
			}
		}
	}
}

// Each line names in its comment the section that appendix A gives for it.
func TestLinesCiteTheirSection(t *testing.T) {
	rows := regexp.MustCompile("(?m)^\\| `(Line\\w+)` \\| (§[0-9.]+) \\|").FindAllStringSubmatch(contract(t), -1)
	code, err := os.ReadFile("answer.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if !regexp.MustCompile(`(?m)^\t` + row[1] + ` +// ` + regexp.QuoteMeta(row[2]) + `\b`).Match(code) {
			t.Errorf("answer.go: the comment of %s must begin with %s, its section in appendix A", row[1], row[2])
		}
	}
	if len(rows) < 70 {
		t.Fatalf("only %d lines", len(rows))
	}
}
