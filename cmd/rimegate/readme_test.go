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

// What README tells a person to type for a farm of their own and for last year's records
// does what it says, in its order, from nothing.
func TestReadmeCommandsWork(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, own, ok := strings.Cut(string(text), "## Your own farm")
	own, _, ok2 := strings.Cut(own, "## Install")
	if !ok || !ok2 {
		t.Fatal("README has no part on one's own farm any more")
	}
	t.Chdir(t.TempDir())
	t.Setenv("RIMEGATE_JOURNAL", "farm.journal")
	t.Setenv("RIMEGATE_BY", "Maren")
	p := &played{t: t, name: "README.md", shown: map[string]string{}}
	p.clock("2026-10-06 06:52")
	// What a person answers, and writes into the files that they are given to fill in.
	answers := map[string]string{"rimegate start": "Tallgrass Place\namerica/regina\n\n\n\n\nquit\n", "rimegate start --plain": "quit\n"}
	filled := map[string]*strings.Replacer{
		"my-farm.toml": strings.NewReplacer("\nname = \"\"", "\nname = \"Tallgrass Place\"", "\nzone = \"\"", "\nzone = \"America/Regina\"",
			"\n# [[paddock]]", "\n[[paddock]]\nname = \"Creek\""),
		"walks.csv": strings.NewReplacer("\n# needed?", "\n,Creek,4-Oct-2025,none\n# needed?"),
	}
	ran := 0
	for _, l := range strings.Split(own, "\n") {
		l, ok := strings.CutPrefix(l, "    ")
		if !ok {
			continue
		}
		l, _, _ = strings.Cut(l, "  #")
		p.in = answers[strings.TrimSpace(l)]
		p.run(strings.TrimSpace(l), plainWidth)
		if _, file, ok := strings.Cut(l, "> "); ok {
			file = strings.TrimSpace(file)
			b, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, []byte(filled[file].Replace(string(b))), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		ran++
	}
	if ran < 9 {
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
			words := commandWord().FindAllString(inQuotes.ReplaceAllString(line, `"x"`), -1)
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
