package main

import (
	"bytes"
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

// The manual page and the completion name every command.
func TestManAndCompletionNameEveryCommand(t *testing.T) {
	var man, errOut bytes.Buffer
	if status := run([]string{"rimegate", "man"}, strings.NewReader(""), &man, &errOut); status != 0 {
		t.Fatal(errOut.String())
	}
	page := strings.ReplaceAll(man.String(), `\-`, "-")
	everyCommand(t, func(words []string, c *cli.Command) {
		heading := ".SH "
		if len(words) > 1 {
			heading = ".SS "
		}
		if !strings.Contains(page, heading+c.Name+"\n") {
			t.Errorf("the manual page has no %q", heading+c.Name)
		}
		var out bytes.Buffer
		args := append(append([]string{"rimegate"}, words[:len(words)-1]...), completionFlag)
		if status := run(args, strings.NewReader(""), &out, &errOut); status != 0 || !strings.Contains("\n"+out.String(), "\n"+c.Name+"\n") {
			t.Errorf("%v does not offer %s: %s", args, c.Name, out.String())
		}
	})
	// Examples stand in the page as they are typed, each on its line.
	if !regexp.MustCompile(`(?m)^\.EX\n[^.]*\n +rimegate log drought --start bench,creek\n +rimegate log drought --end`).MatchString(page) {
		t.Error("the manual page runs examples together")
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
