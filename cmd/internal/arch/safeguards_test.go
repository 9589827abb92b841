package arch

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var breakSafeguards = flag.Bool("safeguards", false, "take each safeguard of SAFETY.md out and see its test fail")

// safetyRow is a row of SAFETY.md's tables of failures: its number, and the
// tests that hold it.
type safetyRow struct {
	id    string
	tests []string
}

var safetyCells = regexp.MustCompile("^\\| (F?[0-9]+) \\|.*\\| (`[^|]*`) \\|$")

func safetyRows(t *testing.T) (out []safetyRow) {
	t.Helper()
	text, err := os.ReadFile(root + "/SAFETY.md")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if m := safetyCells.FindStringSubmatch(strings.TrimSpace(line)); m != nil {
			out = append(out, safetyRow{m[1], strings.Fields(strings.ReplaceAll(m[2], "`", " "))})
		}
	}
	return out
}

// runOf is the package and the pattern that run a test of the table: a Go test,
// a script NAME.txtar, or a case of the engine; "" for what is not there.
func runOf(tests map[string]string, name string) (pkg, pattern string) {
	exists := func(path string) bool { _, err := os.Stat(filepath.Join(root, path)); return err == nil }
	script, isScript := strings.CutSuffix(name, ".txtar")
	switch {
	case tests[name] != "":
		return tests[name], "^" + name + "$"
	case isScript && exists("testdata/script/"+name):
		return "./cmd/rimegate", "^TestScript$/^" + script + "$"
	case exists("hazard/testdata/cases/" + name + ".case"):
		return "./hazard", "^TestCases$/^" + name + "$"
	}
	return "", ""
}

// goTests are the packages of all Go tests by the tests' names.
func goTests(t *testing.T, prefix string) map[string]string {
	t.Helper()
	decl := regexp.MustCompile(`(?m)^func (` + prefix + `\w+)\(\w+ \*testing\.[TF]\)`)
	out := map[string]string{}
	for dir := range packages(t) {
		names, _ := filepath.Glob(filepath.Join(root, dir, "*_test.go"))
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range decl.FindAllStringSubmatch(string(text), -1) {
				out[m[1]] = "./" + dir
			}
		}
	}
	return out
}

// TestSafeguards holds SAFETY.md's tables of failures to tests that are there, and
// each row to a safeguard in the code that can be taken out.
func TestSafeguards(t *testing.T) {
	rows, tests := safetyRows(t), goTests(t, "Test")
	thought := 0
	for i, r := range rows {
		if n, err := strconv.Atoi(r.id); err == nil {
			thought = n
		}
		if want := fmt.Sprint(i + 1); i < 25 && r.id != want || i >= 25 && r.id != fmt.Sprintf("F%d", i-24) {
			t.Errorf("row %d of SAFETY.md's failures is %s", i+1, r.id)
		}
		if !slices.ContainsFunc(safeguards, func(s safeguard) bool { return s.row == r.id }) {
			t.Errorf("%s: no safeguard can be taken out", r.id)
		}
		for _, name := range r.tests {
			if pkg, _ := runOf(tests, name); pkg == "" {
				t.Errorf("%s: there is no test, case or script %s", r.id, name)
			}
		}
	}
	if thought != 25 || len(rows) < 50 {
		t.Fatalf("%d rows, the last of those thought of is %d", len(rows), thought)
	}
	for _, s := range safeguards {
		text, err := os.ReadFile(filepath.Join(root, s.file))
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(text), s.is); n != 1 || s.is == s.put {
			t.Errorf("%s: %q stands %d times in %s", s.row, s.is, n, s.file)
		}
		if !slices.ContainsFunc(rows, func(r safetyRow) bool { return r.id == s.row && slices.Contains(r.tests, s.test) }) {
			t.Errorf("%s: SAFETY.md does not name %s", s.row, s.test)
		}
	}
	if *breakSafeguards && !t.Failed() {
		takeThemOut(t, tests)
	}
}

// takeThemOut runs each safeguard's test without it: the test must fail.
func takeThemOut(t *testing.T, tests map[string]string) {
	var ms []mutant
	for _, s := range safeguards {
		file, err := filepath.Abs(filepath.Join(root, s.file))
		if err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		at := strings.Index(string(text), s.is)
		ms = append(ms, mutant{file: file, from: at, to: at + len(s.is), put: s.put})
	}
	p := planted(t, ms)
	for i, s := range safeguards {
		pkg, pattern := runOf(tests, s.test)
		out, err := p.run(t, i, pkg, pattern)
		switch {
		case !p.live[i]:
			t.Errorf("%s: %q -> %q makes no program", s.row, s.is, s.put)
		case err == nil:
			t.Errorf("%s: %s does not notice %q -> %q", s.row, s.test, s.is, s.put)
		case !strings.Contains(out, "--- FAIL") && !strings.Contains(out, "panic:"):
			t.Errorf("%s: %q -> %q: %s", s.row, s.is, s.put, out)
		default:
			t.Logf("%s: %s notices", s.row, s.test)
		}
	}
}
