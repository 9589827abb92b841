package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/urfave/cli/v2"
	"go.etcd.io/bbolt"
)

// asked are the words that a shell is told for a line, of which the last is open.
func asked(t *testing.T, words ...string) []string {
	t.Helper()
	status, out, errOut := invoke(t, append([]string{completionFlag}, words...)...)
	if status != statusDone || errOut != "" {
		t.Fatalf("%q: status %d, %q", words, status, errOut)
	}
	var list []string
	for _, l := range strings.Split(strings.TrimSuffix(out, "\n"), "\n") {
		word, _, _ := strings.Cut(l, "\t")
		list = append(list, word)
	}
	return list
}

func TestCompletion(t *testing.T) {
	smallFarm(t)
	must(t, "log", "round", "--name", "walk the regrowth", "--every", "FREQ=WEEKLY", "--paddocks", "creek")
	for _, c := range []struct{ line, want string }{
		{"tod", "today"},
		{"log moo", ""},
		{"log mov", "moved"},
		{"log frost --ni", "--night"},
		{"log frost creek --ni", ""}, // a flag there would be refused
		{"log frost cre", "creek"},
		{"log frost creek,nor", "creek,north-slough"},
		{"log frost --low -3C --night today cre", "creek"},
		{"log frost --note today cre", "creek"},
		{"log frost --note=today cre", "creek"},
		{"log walk --killed pa", "part"},
		{"log walk --killed=pa", "--killed=part"},
		{"log walk --alive oats,field-p", "oats,field-pea"},
		{"log done --round wa", "walk the regrowth"},
		{"why cre", "creek"},
		{"herd set pa", "pairs"},
		{"herd add ", ""},
		{"log moved --to cre", "creek"},
		{"today --herd pa", "pairs"},
		{"rules show prussic.frost.dr", "prussic.frost.dry_wait"},
		{"help log fro", "frost"},
		{"help cookb", "cookbook"},
		{"help cookbook frost", "frost-morning"},
		{"help contract 4.9", "4.9"},
		{"man paddock of", "offset"},
		{"completion ", "bash zsh fish"},
		{"journal copy ", ":files"},
		{"--journal ", ":files"},
		{"import --watch ", ":files"},
		{"--journal nowhere.journal log frost cre", ""},
		{"--journal=nowhere.journal log walk --alive field-p", "field-pea"}, // a plant is of no journal
		{"log frost --low ", ""},
		{"nosuch ", ""},
		{"log frost --nosuch=", ""},
	} {
		line := strings.Split(c.line, " ")
		got := asked(t, line...)
		if strings.HasPrefix(c.line, "nosuch") {
			continue // the list of commands is as good as nothing
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%q: %q, want %q", c.line, got, c.want)
		}
	}
}

func must(t *testing.T, args ...string) {
	t.Helper()
	if status, _, errOut := invoke(t, args...); status != statusDone {
		t.Fatalf("%v: %s", args, errOut)
	}
}

// Every field that names something, or has choices, is completed by what it says in
// the table: there is no second list.
func TestEveryChoiceIsCompleted(t *testing.T) {
	smallFarm(t)
	n := 0
	for name, c := range leaves(t) {
		for _, f := range c.Flags {
			g, ok := f.(*cli.GenericFlag)
			if !ok || g.Value.(*typedText).field == nil {
				continue
			}
			field := g.Value.(*typedText).field
			if len(field.Choices) == 0 {
				continue
			}
			n++
			got := asked(t, append(strings.Fields(name), "--"+field.Flag, "")...)
			for _, w := range field.Choices {
				if !slices.Contains(got, w) {
					t.Errorf("%s --%s: no %s in %q", name, field.Flag, w, got)
				}
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d flags with choices", n)
	}
}

// A journal that another program holds keeps no key press waiting, and one that is
// damaged is no matter for a TAB.
func TestCompletionIsQuickAndSilent(t *testing.T) {
	path, before := smallFarm(t)
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	if got := asked(t, "why", ""); !slices.Equal(got, []string{""}) {
		t.Errorf("of a locked journal: %q", got)
	}
	if took := time.Since(start); took > lockPatience+2*time.Second {
		t.Errorf("a TAB waited %v for a locked journal", took)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, before[100:], 0o600); err != nil {
		t.Fatal(err)
	}
	if got := asked(t, "why", ""); !slices.Equal(got, []string{""}) {
		t.Errorf("of a damaged journal: %q", got)
	}
}

// hostile are texts that would do something if a shell took them for its own.
var hostile = []string{
	"$(touch %s)", "`touch %s`", "a\"; touch %s; \"", "a'; touch %s; '", "x;touch %s", "x|touch %s", "\\$(touch %s)", "~+*?[!1]{a,b} $(touch %s)",
	"-- $(touch %s)", "é${HOME:-$(touch %s)}",
}

// inShell runs a shell, in which `rimegate` is this program: TestMain sees to that.
func inShell(t *testing.T, shell string, env []string, args ...string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("shells take their time")
	}
	exe, err := exec.LookPath(shell)
	if err != nil {
		t.Skipf("%s is not here", shell)
	}
	cmd := exec.Command(exe, args...)
	cmd.Env = append(append(os.Environ(), "LC_ALL=C.UTF-8", "HOME="+t.TempDir()), env...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", shell, err, out)
	}
	return string(out)
}

// hostileFarm has rounds, paddocks and lots with names meant for a shell.
func hostileFarm(t *testing.T) (mark string, rounds []string) {
	t.Helper()
	smallFarm(t)
	mark = filepath.Join(t.TempDir(), "done")
	for i, h := range hostile {
		name := fmt.Sprintf(h, mark)
		rounds = append(rounds, name)
		must(t, "log", "round", "--name", name, "--every", "FREQ=WEEKLY")
		must(t, "paddock", "add", "--name", fmt.Sprint(name, " ", i), fmt.Sprintf("bad-%d", i))
	}
	return mark, rounds
}

func unharmed(t *testing.T, mark string) {
	t.Helper()
	if _, err := os.Stat(mark); err == nil {
		t.Fatal("completing a line ran a command out of a name")
	}
}

// bashReplies completes a line in bash as a TAB at its end does; it prints what would
// be inserted, and what a shell then makes of it.
const bashReplies = `
source <(rimegate completion bash) || exit 1
COMP_LINE="$1" COMP_POINT=${#1}
shift
COMP_WORDS=("$@") COMP_CWORD=$(($# - 1))
_rimegate 2>/dev/null
for r in "${COMPREPLY[@]}"; do printf '%s\n' "$r"; done
`

func TestCompletionInBash(t *testing.T) {
	mark, rounds := hostileFarm(t)
	reply := func(words ...string) []string {
		out := inShell(t, "bash", nil, append([]string{"--norc", "-c", bashReplies, "bash", strings.Join(words, " ")}, words...)...)
		return strings.Split(strings.TrimSuffix(out, "\n"), "\n")
	}
	for _, c := range []struct {
		words []string
		want  string
	}{
		{[]string{"rimegate", "tod"}, "today"},
		{[]string{"rimegate", "log", "walk", "--killed", "=", "pa"}, "part"},
		{[]string{"rimegate", "log", "walk", "--killed", "="}, "all part none unknown"},
		{[]string{"rimegate", "log", "frost", "--night", "17-Sep", "creek,nor"}, "creek,north-slough"},
		{[]string{"rimegate", "--journal", `"` + os.Getenv("RIMEGATE_JOURNAL") + `"`, "why", "nor"}, "north-slough"},
		{[]string{"rimegate", "why", `"nor`}, "north-slough"},
	} {
		if got := reply(c.words...); strings.Join(got, " ") != c.want {
			t.Errorf("%q: %q, want %q", c.words, got, c.want)
		}
	}
	// What is inserted is taken by the shell for the very name.
	got := reply("rimegate", "log", "done", "--round", "")
	if len(got) != len(rounds) {
		t.Errorf("%d of %d rounds: %q", len(got), len(rounds), got)
	}
	said := inShell(t, "bash", nil, "--norc", "-c", "printf '%s\\n' "+strings.Join(got, " "))
	for _, name := range rounds {
		if !strings.Contains("\n"+said, "\n"+name+"\n") {
			t.Errorf("%q is not what bash makes of %q", name, got)
		}
	}
	for _, open := range []string{`"`, `'`} {
		for _, word := range reply("rimegate", "log", "done", "--round", open) {
			inShell(t, "bash", nil, "--norc", "-c", "printf '%s\\n' "+open+word+open)
		}
	}
	reply("rimegate", "why", "")
	unharmed(t, mark)
}

func TestCompletionInFish(t *testing.T) {
	mark, rounds := hostileFarm(t)
	line := func(l string) string {
		return inShell(t, "fish", nil, "--no-config", "-c", "rimegate completion fish | source; complete -C "+fishQuoted(l))
	}
	for l, want := range map[string]string{
		"rimegate tod":                         "today\t",
		"rimegate log walk --killed pa":        "part",
		"rimegate log walk --killed=pa":        "--killed=part",
		"rimegate log frost creek,nor":         "creek,north-slough\t",
		`rimegate why "nor`:                    "north-slough\t",
		"rimegate --journal nowhere why nor":   "",
		"rimegate --journal=nowhere rules sho": "show\t",
	} {
		if got := line(l); !strings.HasPrefix(got, want) || want == "" && got != "" {
			t.Errorf("%s: %q, want %q", l, got, want)
		}
	}
	got := line("rimegate log done --round ")
	for _, name := range rounds {
		if !strings.Contains("\n"+got, "\n"+name+"\n") {
			t.Errorf("%q is not in %q", name, got)
		}
	}
	line("rimegate why ")
	unharmed(t, mark)
}

func fishQuoted(s string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(s) + "'"
}

// zshDriver types a line into an interactive zsh with TAB behind it and prints the
// line as it then stands, unquoted.
const zshDriver = `
zmodload zsh/zpty
zpty z zsh -f -i
zpty -w z 'PS1= PS2= RPS1=; unsetopt prompt_sp; fpath=('"$ZFUNC"' $fpath); autoload -U compinit; compinit -u -D; zstyle ":completion:*" menu no; setopt no_list_beep; show() { print -r -- "LINE<${BUFFER}>"; BUFFER=; }; zle -N show; bindkey "^T" show; print ready'
zpty -r -m z out '*ready*ready*' || exit 1
for line in "$@"; do
  zpty -w -n z "$line"$'\t'
  sleep 1
  zpty -w -n z $'\x14'
  zpty -r -m z out '*LINE<*>*' || exit 1
  print -r -- "${${out##*LINE<}%%>[^>]#}"
done
zpty -d z
`

func TestCompletionInZsh(t *testing.T) {
	mark, _ := hostileFarm(t)
	zfunc := t.TempDir()
	script, err := completionScripts.ReadFile("completion/rimegate.zsh")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(zfunc, "_rimegate"), script, 0o600); err != nil {
		t.Fatal(err)
	}
	out := inShell(t, "zsh", []string{"ZFUNC=" + zfunc}, "-f", "-o", "extendedglob", "-c", zshDriver, "zsh",
		"rimegate tod", "rimegate log walk --killed pa", "rimegate log frost creek,nor", "rimegate log done --round x\\|", "rimegate why bad-")
	lines := strings.Split(out, "\n")
	for i, want := range []string{
		"rimegate today ", "rimegate log walk --killed part ", "rimegate log frost creek,north-slough ",
		`rimegate log done --round x\|touch\ ` + mark + " ", "rimegate why bad-",
	} {
		if i >= len(lines) || lines[i] != want {
			t.Errorf("line %d of %q, want %q", i+1, out, want)
		}
	}
	unharmed(t, mark)
}
