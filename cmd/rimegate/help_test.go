package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"rimegate/hazard/board"
)

// everyCommand calls f with each command that help shows, and its words.
func everyCommand(t *testing.T, f func(words []string, c *cli.Command)) {
	t.Helper()
	n := 0
	var walk func(words []string, commands []*cli.Command)
	walk = func(words []string, commands []*cli.Command) {
		for _, c := range commands {
			if c.Hidden {
				continue
			}
			n++
			own := append(append([]string{}, words...), c.Name)
			f(own, c)
			walk(own, c.Subcommands)
		}
	}
	walk(nil, newApp(&program{out: &bytes.Buffer{}, err: &bytes.Buffer{}, width: plainWidth}).Commands)
	if n < 60 {
		t.Fatalf("only %d commands were looked at", n)
	}
}

func helpOf(t *testing.T, words ...string) string {
	t.Helper()
	var out, errOut bytes.Buffer
	if status := run(append(append([]string{"rimegate"}, words...), "--help"), strings.NewReader(""), &out, &errOut); status != 0 || errOut.Len() > 0 {
		t.Fatalf("%v --help: status %d, %s", words, status, errOut.String())
	}
	return out.String()
}

var aFlag = regexp.MustCompile(`(?:^|\s)--([a-z0-9-]+)`)

// inQuotes is a text with words of another command in it: ahead --if "frost --low -3C".
var inQuotes = regexp.MustCompile(`"[^"]*"`)

// Every command's help shows an example of that very command, with flags it
// has, in lines that fit a terminal.
func TestEveryCommandShowsAnExample(t *testing.T) {
	everyCommand(t, func(words []string, c *cli.Command) {
		name := "rimegate " + strings.Join(words, " ")
		text := helpOf(t, words...)
		for _, l := range strings.Split(text, "\n") {
			if board.Width(l) > plainWidth {
				t.Errorf("%s: a line of help is %d wide: %s", name, board.Width(l), l)
			}
		}
		if len(words) == 1 && words[0] == "help" {
			return
		}
		_, about, _ := strings.Cut(text, "\n\n")
		_, about, _ = strings.Cut(about, "\n\n") // behind the form of the command itself
		at := strings.Index(about, "   "+name)
		if at < 0 {
			t.Errorf("%s: its help shows no example", name)
			return
		}
		if len(c.Subcommands) > 0 {
			return
		}
		has := map[string]bool{"journal": true, "by": true, "zone": true}
		for _, f := range c.Flags {
			for _, n := range f.Names() {
				has[n] = true
			}
		}
		for ; at >= 0; at = strings.Index(about, "   "+name) {
			about = about[at+3:]
			example := about
			for end := 0; ; { // up to a line that is not carried on
				i := strings.IndexByte(about[end:], '\n')
				if i < 0 {
					break
				}
				end += i
				if !strings.HasSuffix(about[:end], `\`) {
					example = about[:end]
					break
				}
				end++
			}
			for _, m := range aFlag.FindAllStringSubmatch(inQuotes.ReplaceAllString(example, ""), -1) {
				if !has[m[1]] {
					t.Errorf("%s: an example uses --%s, which it has not: %s", name, m[1], example)
				}
			}
			about = about[len(name):]
		}
	})
}

// Every command has a manual page, hidden ones too, that the page above it names;
// examples stand in it as they are typed, and roff has nothing to say against it.
func TestManualPages(t *testing.T) {
	dir := t.TempDir()
	if status, out, errOut := invoke(t, "man", "--out", dir); status != statusDone || out+errOut != "" {
		t.Fatal(status, out, errOut)
	}
	app := newApp(&program{out: &bytes.Buffer{}, err: &bytes.Buffer{}, width: plainWidth})
	pages := 0
	everyPage(app, func(words []string) {
		pages++
		name := manName(words)
		text, err := os.ReadFile(filepath.Join(dir, name+".1"))
		if err != nil {
			t.Fatal(err)
		}
		if _, out, _ := invoke(t, append([]string{"man"}, words...)...); out != string(text) {
			t.Errorf("%s: `man` prints another page than it writes", name)
		}
		if len(words) > 0 {
			above, err := os.ReadFile(filepath.Join(dir, manName(words[:len(words)-1])+".1"))
			if err != nil || !strings.Contains(string(above), ".BR "+roff(name)+" (1)\n") {
				t.Errorf("the page above %s does not name it (%v)", name, err)
			}
			tellsAll(t, app, words, string(text))
		}
	})
	if have, err := filepath.Glob(filepath.Join(dir, "*.1")); err != nil || len(have) != pages || pages < 80 {
		t.Errorf("%d pages of %d commands (%v)", len(have), pages, err)
	}
	if _, err := exec.LookPath("groff"); err != nil {
		t.Skip("groff is not here, so nobody reads the pages")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.1"))
	out, err := exec.Command("groff", append([]string{"-ww", "-man", "-z", "-Tutf8"}, files...)...).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("groff: %v\n%s", err, out)
	}
}

// tellsAll sees that a page says all of its command.
func tellsAll(t *testing.T, app *cli.App, words []string, page string) {
	t.Helper()
	name := manName(words)
	c, err := commandOf(app, words)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{".TH " + roff(strings.ToUpper(name)) + " 1 ", ".SH NAME\n" + roff(name) + ` \- ` + manWords(c.Usage)} {
		if !strings.Contains(page, part) {
			t.Errorf("%s: no %q", name, part)
		}
	}
	for _, f := range c.VisibleFlags() {
		if !strings.Contains(page, `\fB`+roff("--"+f.Names()[0])+`\fR`) {
			t.Errorf("%s: no --%s", name, f.Names()[0])
		}
	}
	for _, l := range strings.Split(c.Description, "\n") {
		if strings.HasPrefix(l, "   ") && !strings.Contains(page, "\n"+roff(fold(l, manWidth)[0][3:])+"\n") {
			t.Errorf("%s: an example is missing: %s", name, l)
		}
	}
}

func TestManSaysWhatIsWrong(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"man log forst", "did you mean `rimegate log frost`?"},
		{"man --out nowhere", `there is no folder "nowhere"`},
		{"man --out . log", "--out writes every page; leave out"},
	} {
		if status, out, errOut := invoke(t, strings.Fields(c.line)...); status != statusWords || out != "" || !strings.Contains(errOut, c.want) {
			t.Errorf("%s: status %d, %q, %q", c.line, status, out, errOut)
		}
	}
}

// Roff shows every character as it stands in the table.
func TestRoff(t *testing.T) {
	for in, want := range map[string]string{
		".TH is a 'word'": `\&.TH is a \(aqword\(aq`,
		`a\b -- "c" ~^`:   `a\eb \-\- \(dqc\(dq \(ti\(ha`,
		"-3 °C":           `\-3 \[u00B0]C`,
	} {
		if got := roff(in); got != want {
			t.Errorf("%q: %s, want %s", in, got, want)
		}
	}
	if got, want := manWords("say `rimegate today` twice"), `say \fBrimegate today\fR twice`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestFold(t *testing.T) {
	for _, c := range []struct {
		in    string
		width int
		want  string
	}{
		{"short", 80, "short"},
		{"   --low TEMP  lowest TEMP at plant height, with its unit", 40, "   --low TEMP  lowest TEMP at plant\n               height, with its unit"},
		{"   rimegate log frost --low -3C --night today north-slough", 40, "   rimegate log frost --low -3C \\\n      --night today north-slough"},
		{"   rimegate herd add --class sheep --note \"came in March\" ewes", 40, "   rimegate herd add --class sheep \\\n      --note \"came in March\" ewes"},
		{"A long line of plain words that wraps", 24, "A long line of plain\nwords that wraps"},
		{"   --a-very-long-flag VALUE  it means this and that", 40, "   --a-very-long-flag VALUE\n         it means this and that"},
	} {
		if got := strings.Join(fold(c.in, c.width), "\n"); got != c.want {
			t.Errorf("%q at %d:\n%s\nwant\n%s", c.in, c.width, got, c.want)
		}
	}
}
