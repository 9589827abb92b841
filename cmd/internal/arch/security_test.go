package arch

import (
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var linter = flag.String("security", "", "`PROGRAM` of gosec, to look through shipped code")

// triaged is what the security linter names and why it stays, by rule, folder, file and line.
func triaged(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile("testdata/security.tsv")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		parts := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(parts) != 5 || parts[4] == "" {
			t.Fatalf("%q has not rule, folder, file, line and reason", line)
		}
		out[strings.Join(parts[:4], "\t")] = parts[4]
	}
	return out
}

// TestTriaged holds the list of what stays to lines that are there.
func TestTriaged(t *testing.T) {
	for finding := range triaged(t) {
		parts := strings.Split(finding, "\t")
		text, err := os.ReadFile(filepath.Join(root, parts[1], parts[2]))
		if err != nil || !strings.Contains(string(text), parts[3]) {
			t.Errorf("%s: %q does not stand in %s any more, %v", parts[1], parts[3], parts[2], err)
		}
	}
}

// shipped are a package and all of ours that it stands on.
func shipped(ours map[string]pkg, from string) (out []string) {
	out = []string{from}
	for i := 0; i < len(out); i++ {
		for _, path := range ours[out[i]].Imports {
			if dir, own := strings.CutPrefix(path, module+"/"); own && !slices.Contains(out, dir) {
				out = append(out, dir)
			}
		}
	}
	return out
}

// TestShipped holds what the linter looks through to the program, without the second engine.
func TestShipped(t *testing.T) {
	got := shipped(packages(t), "cmd/rimegate")
	for _, dir := range []string{"cmd/internal/farm", "fields/journal", "fields/share", "hazard", "tui", "weather/metar"} {
		if !slices.Contains(got, dir) {
			t.Errorf("%s is not among %q", dir, got)
		}
	}
	if slices.Contains(got, "hazard/judge") {
		t.Error("the second engine is shipped")
	}
}

// TestSecurityLinter looks for findings that nobody has looked at; package by package,
// since all at once take the linter hours.
func TestSecurityLinter(t *testing.T) {
	if *linter == "" {
		t.Skip("needs -security PROGRAM")
	}
	known := triaged(t)
	for _, dir := range shipped(packages(t), "cmd/rimegate") {
		name := filepath.Join(t.TempDir(), "found.json")
		cmd := exec.Command(*linter, "-quiet", "-no-fail", "-tests=false", "-fmt=json", "-out", name, "./"+dir)
		cmd.Dir = root
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v %s", dir, err, out)
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		var found struct {
			Issues []struct {
				Rule string `json:"rule_id"`
				File string
				Line string
				Code string
				Why  string `json:"details"`
			}
		}
		if err == nil {
			if err := json.Unmarshal(text, &found); err != nil {
				t.Fatal(err)
			}
		}
		for _, x := range found.Issues {
			first, _, _ := strings.Cut(x.Line, "-")
			lines := strings.Split(x.Code, "\n")
			at := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, first+": ") })
			key := strings.Join([]string{x.Rule, dir, filepath.Base(x.File), ""}, "\t")
			if at >= 0 {
				key += strings.TrimSpace(strings.TrimPrefix(lines[at], first+": "))
			}
			if known[key] == "" {
				t.Errorf("%s (%s)", key, x.Why)
			}
		}
	}
}
