package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
)

// invoke runs the program in this process.
func invoke(t *testing.T, args ...string) (status int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(append([]string{"rimegate"}, args...), strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

// leaves are all commands that do something, each as its words.
func leaves(t *testing.T) map[string]*cli.Command {
	t.Helper()
	out := map[string]*cli.Command{}
	var walk func(prefix string, cs []*cli.Command)
	walk = func(prefix string, cs []*cli.Command) {
		for _, c := range cs {
			name := strings.TrimSpace(prefix + " " + c.Name)
			if len(c.Subcommands) > 0 {
				walk(name, c.Subcommands)
				continue
			}
			out[name] = c
		}
	}
	walk("", newApp(&program{out: &bytes.Buffer{}, err: &bytes.Buffer{}}).Commands)
	if len(out) < 50 {
		t.Fatalf("only %d commands found", len(out))
	}
	return out
}

// A line makes in full the command that it names and lists every other as it is.
func TestALineMakesItsOwnCommand(t *testing.T) {
	p := &program{out: &bytes.Buffer{}, err: &bytes.Buffer{}}
	all := leaves(t)
	shown := func(c *cli.Command) string {
		text := fmt.Sprint(c.Name, c.Usage, c.Hidden, c.HasName(c.Name), c.Description, c.ArgsUsage, c.CustomHelpTemplate, c.Action != nil)
		for _, f := range c.Flags {
			text += "\n" + f.String()
		}
		return text
	}
	var walk func(line []string, of string, was, is []*cli.Command)
	walk = func(line []string, of string, was, is []*cli.Command) {
		if len(is) != len(was) {
			t.Fatalf("%q: %s has %d commands, not %d", line, of, len(is), len(was))
		}
		for i, c := range is {
			name := strings.TrimSpace(of + " " + was[i].Name)
			if c.Name != was[i].Name || c.Usage != was[i].Usage || c.Hidden != was[i].Hidden {
				t.Errorf("%q: %s is listed as %s: %s", line, name, c.Name, c.Usage)
			}
			named := namedIn(line)(name)
			if named && shown(c) != shown(was[i]) {
				t.Errorf("%q: %s is\n%s\nnot\n%s", line, name, shown(c), shown(was[i]))
			}
			if len(c.Subcommands) == 0 && !named && (c.Action != nil || len(c.Flags) > 0) {
				t.Errorf("%q: %s, which nobody named, is made in full", line, name)
			}
			if named {
				walk(line, name, was[i].Subcommands, c.Subcommands)
			}
		}
	}
	whole := newApp(p).Commands
	for name := range all {
		line := append([]string{programName, "--by", "Maren"}, strings.Fields(name)...)
		walk(line, "", whole, appOf(p, namedIn(line)).Commands)
	}
	if at := testing.AllocsPerRun(3, func() { appOf(p, namedIn([]string{programName, "today"})) }); at > testing.AllocsPerRun(3, func() { newApp(p) })/4 {
		t.Errorf("the commands of a line take %v allocations", at)
	}
}

// smallFarm is a journal in a folder of its own; its bytes are returned.
func smallFarm(t *testing.T) (path string, bytes []byte) {
	t.Helper()
	dir := t.TempDir()
	path = filepath.Join(dir, "farm.journal")
	t.Setenv("RIMEGATE_JOURNAL", path)
	t.Setenv("RIMEGATE_BY", "Maren")
	t.Setenv("RIMEGATE_NOW", "2026-10-06T06:52:00-06:00")
	t.Chdir(dir)
	f, err := os.Open(filepath.Join(repo, "testdata", "script", "farm.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	entries, err := fields.ReadJSONL(f)
	if err != nil {
		t.Fatal(err)
	}
	s := journal.New(path)
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Import(entries); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return path, b
}

var repo = func() string {
	wd, err := os.Getwd()
	if err != nil {
		panic(err)
	}
	return filepath.Join(wd, "..", "..")
}()

// Every command, present and future, passes the guards: a flag behind an
// argument is refused with status 2, and TAB runs nothing.
func TestGuardsStandAroundEveryCommand(t *testing.T) {
	path, before := smallFarm(t)
	untouched := func(what string) {
		t.Helper()
		now, err := os.ReadFile(path)
		if err != nil || !bytes.Equal(now, before) {
			t.Fatalf("%s changed the journal (%v)", what, err)
		}
		left, err := os.ReadDir(filepath.Dir(path))
		if err != nil || len(left) != 2 { // the journal and its mark
			t.Fatalf("%s left files behind: %v %v", what, left, err)
		}
	}
	for name := range leaves(t) {
		words := strings.Fields(name)
		for _, tail := range [][]string{
			{"creek", "--dry-run"},
			{"creek", "--low", "-3C"},
			{"--", "-x"},
		} {
			status, out, errOut := invoke(t, append(append([]string{}, words...), tail...)...)
			if status != statusWords || out != "" || strings.Count(errOut, "\n") != 1 {
				t.Errorf("%s %v: status %d, out %q, err %q; want 2, nothing, one sentence", name, tail, status, out, errOut)
			}
			untouched(name)
		}
		for _, tail := range [][]string{
			{completionFlag},
			{"--", completionFlag},
			{"creek", completionFlag},
			{"--", "creek", completionFlag},
			{"--d", completionFlag},
			{"--", "creek", completionFlag, "creek"},
			{"--note", completionFlag, "creek"},
		} {
			mute(t, untouched, append(append([]string{}, words...), tail...))
		}
		for _, tail := range [][]string{{""}, {"creek"}, {"--"}, {"--d"}, {"--note="}, {"--note", ""}, {"--", "creek"}} {
			mute(t, untouched, append(append([]string{completionFlag}, words...), tail...))
		}
	}
}

// mute sees that a TAB prints words alone, each on its line.
func mute(t *testing.T, untouched func(string), args []string) {
	t.Helper()
	status, out, errOut := invoke(t, args...)
	if status != statusDone || errOut != "" || strings.Contains(out, "Logged") {
		t.Errorf("TAB in %v: status %d, out %q, err %q; want words alone", args, status, out, errOut)
	}
	for _, l := range strings.Split(out, "\n") {
		if word, _, _ := strings.Cut(l, "\t"); strings.Contains(word, " ") {
			t.Errorf("TAB in %v: %q is no word", args, l)
		}
	}
	untouched(strings.Join(args, " "))
}

// Every command explains itself: a usage line, and a sentence for each flag.
func TestHelpIsComplete(t *testing.T) {
	for name, c := range leaves(t) {
		status, out, errOut := invoke(t, append(strings.Fields(name), "--help")...)
		if status != statusDone || errOut != "" {
			t.Errorf("%s --help: status %d, %q", name, status, errOut)
		}
		if c.Usage == "" || !strings.Contains(out, c.Usage) || !strings.Contains(out, "rimegate "+name) || strings.Contains(out, "{{") {
			t.Errorf("%s --help says %q", name, out)
		}
		for _, f := range c.Flags {
			d, ok := f.(cli.DocGenerationFlag)
			if !ok || len(d.GetUsage()) < 4 {
				t.Errorf("%s: flag %v has no sentence", name, f.Names())
			}
			if !strings.Contains(out, "--"+f.Names()[0]) {
				t.Errorf("%s --help leaves out --%s", name, f.Names()[0])
			}
			if d.TakesValue() && !strings.Contains(d.GetUsage(), "`") {
				t.Errorf("%s: --%s does not say what to type", name, f.Names()[0])
			}
		}
	}
}

// The form of a kind covers the fields of the kind: whoever adds a field to a
// body must add a flag, or say here why not.
func TestFormsCoverTheirKinds(t *testing.T) {
	commands := leaves(t)
	without := map[string]string{
		"lab.file_sha256":   "a program's business",
		"hail.product":      "nothing is sprayed in a hail",
		"trampled.product":  "nor when trampled",
		"reading.covers":    "said by --part",
		"reading.spans":     "an import writes them",
		"reading.paddock":   "the argument",
		"forecast.paddock":  "the argument",
		"no-frost.paddocks": "the argument",
		"override.until":    "",
	}
	for _, k := range fields.Kinds() {
		name := "log " + string(k)
		switch k {
		case fields.KindFarm, fields.KindPaddock, fields.KindStation, fields.KindHerd:
			name = string(k) + " set"
		case fields.KindStrike:
			name = "strike"
		}
		c := commands[name]
		if c == nil {
			t.Errorf("no command for kind %s", k)
			continue
		}
		flags := map[string]bool{}
		for _, f := range c.Flags {
			flags[f.Names()[0]] = true
		}
		for _, f := range fields.FieldsOf(k) {
			if _, ok := without[string(k)+"."+f.Name]; ok {
				continue
			}
			if x := form.Of(k).Field(f.Name); x != nil && x.Type == form.Each && c.ArgsUsage != "" {
				continue
			}
			switch f.Name {
			case "paddock", "paddocks", "entry", string(k): // the argument
				if c.ArgsUsage != "" {
					continue
				}
			case "state", "advice": // a flag for each word
				for _, w := range f.Choices {
					if !flags[w] {
						t.Errorf("%s: no flag --%s", name, w)
					}
				}
				continue
			case "contacts":
				if !flags["manager"] || !flags["backup"] || !flags["vet"] {
					t.Errorf("%s: no flags for contacts", name)
				}
				continue
			}
			flag := form.FlagOf(f.Name)
			if x := form.Of(k).Field(f.Name); x != nil && x.Flag != "" {
				flag = x.Flag
			}
			if !flags[flag] {
				t.Errorf("%s: no flag --%s for %s", name, flag, f.Name)
			}
		}
	}
}

// Words are split as a shell splits them, quotes apart.
func TestSplitWords(t *testing.T) {
	for line, want := range map[string][]string{
		"":                                nil,
		"  frost  --low\t-3C  creek ":     {"frost", "--low", "-3C", "creek"},
		`seen --where "east fence" creek`: {"seen", "--where", "east fence", "creek"},
		`a ""  'b "c"' d"e f"g`:           {"a", "", `b "c"`, "de fg"},
		`it"'"s`:                          {"it's"},
	} {
		if got, err := splitWords(line); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q is split into %q (%v), want %q", line, got, err, want)
		}
	}
	if _, err := splitWords(`a "b`); err == nil {
		t.Error("an open quote passed")
	}
}
