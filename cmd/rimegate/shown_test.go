package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write anew what is kept of what the program prints")

// A played document is one that shows commands with what they print, four cells in:
//
//	$ rimegate today
//	what it prints, "..." where it is cut short
//
// Directives to the test stand in asides, which no reader sees:
//
//	<!-- clock 2026-10-06 06:52 -->     what time it is from here on
//	<!-- given rimegate ... -->         a command that is not shown
//	<!-- file NAME                      a file of the folder in which commands run,
//	its lines -->                       up to the end of the aside
//	<!-- keep NAME -->                  the shown lines that follow, no command, become that file
//	<!-- journal NAME -->               the journal from here on
//	<!-- spoil FILE -->                 a bad disk changes some bytes of a file
//	<!-- status 3 -->                   what the next command ends with, if not 0
//	<!-- until TEXT -->                 cuts what it prints short before a line with the text
type played struct {
	t      *testing.T
	name   string
	out    []string          // the document as it should be
	status int               // what the next command should end with
	until  string            // where what it prints is cut short
	shown  map[string]string // the id of the program -> the one shown
	typed  []string          // the commands shown, in order
	in     string            // what is typed into a command
}

// cookbookWidth leaves room for the four cells by which recipes are set in.
const cookbookWidth = plainWidth - 4

var directive = regexp.MustCompile(`(?s)^<!-- (\w+) ?(.*?)\s*-->$`)

// printedLine is a line of what a command prints.
var printedLine = regexp.MustCompile(`^(?:$|    (?:[^$]|\$[^ ]))`)

// play runs a document in an empty folder and compares it with what was printed, or
// writes it anew. It returns the commands that it shows.
func play(t *testing.T, name string, width int, given ...string) []string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	farm, err := os.ReadFile("../../testdata/script/farm.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	name, err = filepath.Abs(name)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	t.Setenv("XDG_DATA_HOME", "data")
	t.Setenv("RIMEGATE_BY", "Maren")
	t.Setenv("RIMEGATE_JOURNAL", "farm.journal")
	if err := os.WriteFile("farm.jsonl", farm, 0o600); err != nil {
		t.Fatal(err)
	}
	p := &played{t: t, name: name, shown: map[string]string{}}
	p.clock("2026-10-06 06:52")
	for _, g := range given {
		p.run(g, width)
	}
	lines := strings.Split(string(text), "\n")
	for i := 0; i < len(lines); i++ {
		l := lines[i]
		p.out = append(p.out, l)
		if strings.HasPrefix(l, "<!-- ") {
			aside := l
			for !strings.HasSuffix(aside, "-->") {
				i++
				p.out = append(p.out, lines[i])
				aside += "\n" + lines[i]
			}
			p.direct(aside, lines[i+1:], width)
		}
		line, ok := strings.CutPrefix(l, "    $ ")
		if !ok {
			continue
		}
		for strings.HasSuffix(line, `\`) {
			i++
			p.out = append(p.out, lines[i])
			line = strings.TrimSuffix(line, `\`) + strings.TrimSpace(lines[i])
		}
		p.typed = append(p.typed, line)
		end := i + 1
		for end < len(lines) && printedLine.MatchString(lines[end]) {
			end++
		}
		for lines[end-1] == "" && end > i+1 {
			end--
		}
		p.show(line, lines[i+1:end], width)
		i = end - 1
	}
	got := strings.Join(p.out, "\n")
	if diff := cmp.Diff(string(text), got); diff != "" {
		if !*update {
			t.Errorf("%s differs from what is printed (-shown +printed; -update writes it anew):\n%s", name, diff)
		} else if err := os.WriteFile(name, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return p.typed
}

// block is what of these lines is set in, up to the first that is not or is typed.
func block(lines []string) string {
	var out []string
	for _, l := range lines {
		body, in := strings.CutPrefix(l, "    ")
		if !in && l != "" || strings.HasPrefix(body, "$ ") {
			break
		}
		out = append(out, body)
	}
	return strings.TrimSpace(strings.Join(out, "\n")) + "\n"
}

// show adds what a command prints, cut short where the document cuts it.
func (p *played) show(line string, shown []string, width int) {
	p.t.Helper()
	all := strings.TrimRight(p.run(line, width), "\n")
	if all == "" {
		return
	}
	printed := strings.Split(all, "\n")
	cut := len(shown) > 0 && strings.TrimSpace(shown[len(shown)-1]) == "..."
	if p.until != "" {
		before, _, found := strings.Cut(all, p.until)
		if !found {
			p.t.Errorf("%s: %s\ndoes not print %q: %s", p.name, line, p.until, all)
		}
		before = strings.TrimRight(before[:strings.LastIndex(before, "\n")+1], "\n")
		printed = append(strings.Split(before, "\n"), "...")
		p.until = ""
	} else if cut && len(shown) <= len(printed) {
		printed = append(printed[:len(shown)-1:len(shown)-1], "...")
	}
	for _, l := range printed {
		if l != "" {
			l = "    " + l
		}
		p.out = append(p.out, l)
	}
}

// run runs a command line and returns what it printed, in made-up ids.
func (p *played) run(line string, width int) string {
	p.t.Helper()
	for is, shown := range p.shown {
		line = strings.ReplaceAll(line, shown, is)
	}
	args := commandWord().FindAllString(line, -1)
	for i := range args {
		args[i] = strings.NewReplacer(`"`, "", `'`, "").Replace(args[i])
	}
	var out bytes.Buffer
	status := statusDone
	file := ""
	if i := slices.Index(args, ">"); i > 0 {
		args, file = args[:i], args[i+1]
	}
	switch args[0] {
	case "rimegate":
		status = runWide(width, width, args, strings.NewReader(p.in), &out, &out)
	case "mv": // of README and recipes, where a person would use what their computer has
		if err := os.Rename(args[1], args[2]); err != nil {
			p.t.Fatal(err)
		}
	default:
		p.t.Fatalf("%s: %q is no command that a document can show", p.name, line)
	}
	if status != p.status {
		p.t.Errorf("%s: %s\nends with status %d, want %d: %s", p.name, line, status, p.status, out.String())
	}
	p.status = statusDone
	if file != "" {
		if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
			p.t.Fatal(err)
		}
		return ""
	}
	return anID.ReplaceAllStringFunc(out.String(), func(id string) string {
		if p.shown[id] == "" {
			p.shown[id] = fmt.Sprintf("01K6XQ4T5Q0V3N7R8S9T0V1W%02d", len(p.shown)+1)
		}
		return p.shown[id]
	})
}

func (p *played) clock(at string) {
	if _, err := time.Parse("2006-01-02 15:04", at); err != nil {
		p.t.Fatalf("%s: %v", p.name, err)
	}
	p.t.Setenv("RIMEGATE_NOW", strings.Replace(at, " ", "T", 1)+":00-06:00")
}

// direct does what an aside says, with the lines behind it.
func (p *played) direct(aside string, behind []string, width int) {
	p.t.Helper()
	m := directive.FindStringSubmatch(aside)
	if m == nil {
		p.t.Fatalf("%s: %q is no directive", p.name, aside)
	}
	switch m[1] {
	case "clock":
		p.clock(m[2])
	case "given":
		p.run(m[2], width)
	case "journal":
		p.t.Setenv("RIMEGATE_JOURNAL", m[2])
	case "keep":
		if err := os.WriteFile(m[2], []byte(block(behind)), 0o600); err != nil {
			p.t.Fatal(err)
		}
	case "until":
		p.until = m[2]
	case "status":
		if _, err := fmt.Sscan(m[2], &p.status); err != nil {
			p.t.Fatalf("%s: %v", p.name, err)
		}
	case "file":
		name, body, _ := strings.Cut(m[2], "\n")
		if err := os.WriteFile(name, []byte(body+"\n"), 0o600); err != nil {
			p.t.Fatal(err)
		}
	case "spoil":
		b, err := os.ReadFile(m[2])
		if err != nil {
			p.t.Fatal(err)
		}
		b = bytes.ReplaceAll(b, []byte("sorghum-sudangrass"), []byte("perennial-ryegrass"))
		if err := os.WriteFile(m[2], b, 0o600); err != nil {
			p.t.Fatal(err)
		}
	default:
		p.t.Fatalf("%s: %q is no directive", p.name, aside)
	}
}

// Every recipe of the cookbook is typed as it stands, and prints what it shows.
func TestCookbook(t *testing.T) {
	recipes, err := filepath.Glob("docs/cookbook/*.md")
	if err != nil || len(recipes) < 12 {
		t.Fatalf("%d recipes: %v", len(recipes), err)
	}
	for _, name := range recipes {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".md"), func(t *testing.T) {
			if len(play(t, name, cookbookWidth)) == 0 {
				t.Error("it shows no command")
			}
		})
	}
}
