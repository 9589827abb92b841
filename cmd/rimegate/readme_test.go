package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
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

// What README shows as printed is what these commands print, on the demo farm. The screen
// it shows is one of their goldens.
func TestReadmeShowsWhatIsPrinted(t *testing.T) {
	screen, err := os.ReadFile("../../tui/testdata/today-80x24.txt")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range strings.Split(strings.TrimSpace(strings.Split(string(screen), "----- styles")[0]), "\n") {
		if !strings.Contains(string(text), strings.TrimRight(l, " ")) {
			t.Errorf("README does not show the screen's line %q", l)
		}
	}
	shown := play(t, "../../README.md", plainWidth,
		"rimegate demo --dir .", "mv demo.journal farm.journal", "mv demo.journal.mark farm.journal.mark")
	if len(shown) < 3 {
		t.Errorf("README shows what %d commands print, want 3", len(shown))
	}
}

// Every command that a document names is there, with the flags it is named with.
func TestDocumentsNameWhatIsThere(t *testing.T) {
	var names []string
	for _, pattern := range []string{"../../*.md", "../../hazard/*.md", "docs/*.md", "docs/cookbook/*.md"} {
		more, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, more...)
	}
	app := newApp(&program{out: &bytes.Buffer{}, err: &bytes.Buffer{}, width: plainWidth})
	looked := 0
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		flat := strings.Join(strings.Fields(string(text)), " ")
		spans := regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(flat, -1)
		spans = append(spans, regexp.MustCompile("(?m)^    (rimegate .*)$").FindAllStringSubmatch(string(text), -1)...)
		for _, m := range spans {
			line, ours := strings.CutPrefix(m[1], "rimegate ")
			words := commandWord.FindAllString(inQuotes.ReplaceAllString(line, `"x"`), -1)
			commands, flags, under := app.Commands, app.Flags, "rimegate"
			for len(words) > 0 {
				i := slices.IndexFunc(commands, func(c *cli.Command) bool { return c.HasName(words[0]) })
				if i < 0 {
					break
				}
				under += " " + words[0]
				flags = slices.Concat(app.Flags, commands[i].Flags)
				commands, words = commands[i].Subcommands, words[1:]
			}
			if under == "rimegate" {
				if ours && len(words) > 0 && !strings.HasPrefix(words[0], "-") && words[0] != strings.ToUpper(words[0]) {
					t.Errorf("%s: `%s` names no command", name, m[1])
				}
				continue
			}
			looked++
			for _, w := range words {
				flag, isFlag := strings.CutPrefix(w, "--")
				flag, _, _ = strings.Cut(flag, "=")
				has := func(f cli.Flag) bool { return slices.Contains(f.Names(), flag) }
				if isFlag && flag != "help" && flag != "" && !slices.ContainsFunc(flags, has) {
					t.Errorf("%s: `%s`: `%s` has no flag --%s", name, m[1], under, flag)
				}
			}
		}
	}
	if looked < 80 {
		t.Errorf("only %d commands were looked at", looked)
	}
}
