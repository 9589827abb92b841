package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What README tells a grazier to type for a farm of their own does what it
// says, in its order, from nothing.
func TestReadmeCommandsWork(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, own, ok := strings.Cut(string(text), "## Your own farm\n")
	own, _, ok2 := strings.Cut(own, "`rimegate --help`")
	if !ok || !ok2 {
		t.Fatal("README has no part on one's own farm any more")
	}
	t.Setenv("RIMEGATE_JOURNAL", filepath.Join(t.TempDir(), "farm.journal"))
	t.Setenv("RIMEGATE_NOW", "2026-10-06T06:52:00-06:00")
	t.Setenv("RIMEGATE_BY", "Maren")
	ran := 0
	for _, l := range strings.Split(own, "\n") {
		l, ok := strings.CutPrefix(l, "    ")
		if !ok {
			continue
		}
		args := commandWord.FindAllString(l, -1)
		for i := range args {
			args[i] = strings.Trim(args[i], `"`)
		}
		var out, errOut bytes.Buffer
		if status := run(args, strings.NewReader(""), &out, &errOut); status != 0 {
			t.Fatalf("README says to type\n  %s\nand that ends with status %d: %s", l, status, errOut.String())
		}
		ran++
	}
	if ran < 5 {
		t.Fatalf("only %d commands were found", ran)
	}
}

// No document or help text shows a flag behind an argument: it would be refused.
func TestDocumentsPutFlagsFirst(t *testing.T) {
	wrong := regexp.MustCompile("(?:rimegate |`)(?:strike|station add|paddock add|why|log [a-z-]+) [A-Za-z][\\w-]* --")
	for _, name := range []string{"README.md", "SAFETY.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile("../../" + name)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range strings.Split(string(text), "\n") {
			if m := wrong.FindString(l); m != "" {
				t.Errorf("%s: %q puts a flag behind an argument", name, m)
			}
		}
	}
}

// What README shows as printed is what these commands print, on the demo farm: line by
// line, up to where "..." cuts it short. The screen it shows is one of their goldens.
func TestReadmeShowsWhatIsPrinted(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	t.Setenv("RIMEGATE_NOW", "2026-10-06T06:52:00-06:00")
	t.Setenv("RIMEGATE_BY", "Maren")
	print := func(args ...string) []string {
		var out, errOut bytes.Buffer
		if status := run(args, strings.NewReader(""), &out, &errOut); status != 0 {
			t.Fatalf("%q ends with status %d: %s", args, status, errOut.String())
		}
		return strings.Split(strings.TrimRight(out.String(), "\n"), "\n")
	}
	print("rimegate", "demo", "--dir", dir)
	t.Setenv("RIMEGATE_JOURNAL", filepath.Join(dir, "demo.journal"))
	shown := 0
	for _, block := range strings.Split(string(text), "\n    $ ")[1:] {
		lines := strings.Split(block, "\n")
		printed := print(strings.Fields(lines[0])...)
		shown++
		for i, want := range lines[1:] {
			want, indented := strings.CutPrefix(want, "    ")
			if want == "..." || !indented && want != "" || i >= len(printed) {
				break
			}
			if want != printed[i] {
				t.Errorf("README, %s, line %d:\n%q\nis printed as\n%q", lines[0], i+1, want, printed[i])
				break
			}
		}
	}
	if shown < 3 {
		t.Errorf("README shows what %d commands print, want 3", shown)
	}
	screen, err := os.ReadFile("../../tui/testdata/today-80x24.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(strings.TrimSpace(strings.Split(string(screen), "----- styles")[0]), "\n") {
		if !strings.Contains(string(text), strings.TrimRight(l, " ")) {
			t.Errorf("README does not show the screen's line %q", l)
		}
	}
}
