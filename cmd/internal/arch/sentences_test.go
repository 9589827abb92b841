package arch

import (
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the list of sentences anew")

// root is the module's folder as seen from here.
const root = "../../.."

// sentencesFile holds every sentence the program can say, so that they can be
// read in a row.
const sentencesFile = root + "/testdata/sentences.txt"

// unspoken are shipped folders whose texts reach nobody.
var unspoken = []string{"hazard/judge", "fields/internal"}

// wordTables are the files that hold texts for people apart from the code, with
// the keys whose texts those are.
var wordTables = []struct {
	glob string
	keys *regexp.Regexp
}{
	{"cmd/rimegate/commands.txt", regexp.MustCompile(`^\s*(?:says|use|missing|args|\|) ?(.*)`)},
	{"fields/form/forms.txt", regexp.MustCompile(`^\s*(?:use|label|hint|missing|says|word|title|args|menu|one|shown|\|) (.*)`)},
	{"hazard/rules/cautious/*.toml", regexp.MustCompile(`^(?:title|governs|why|derivation) = "(.*)"$`)},
	{"hazard/rules/fixed.toml", regexp.MustCompile(`^title = "(.*)"$`)},
	{"hazard/rules/tables/*.toml", regexp.MustCompile(`\bwords = "(.*?)"`)},
	{"hazard/rules/species.toml", regexp.MustCompile(`^notes? = "(.*)"$`)},
}

// forbidden are words of librarians and slips that were mended once, with what
// to say instead.
var forbidden = []struct{ pattern, instead string }{
	{`\bring (?:the|a|your|someone)\b|\bring them\b`, "call"},
	{`\bwritten down\b`, "logged"},
	{`\bleave .{0,20}\baway\b`, "leave out"},
	{`no source read`, "weeds never looked for, or: no publication rates it"},
	{`the words were wrong`, "usage error"},
	{`stands behind`, "put ... before ..."},
	{`is no word for`, "is not one of"},
	{`needs decision`, "call ..., walk it, wait"},
	{`lies a factor`, "NO3 is 4.43 times NO3-N"},
	{`\ba bare\b`, "without a unit"},
	{`\bnought\b`, "zero"},
	{`through and including`, "off through Sat 5 Dec"},
	{`every line on prussic acid`, "passed every prussic acid check"},
	{`cannot tell: no reading`, "nobody read the thermometer for ..."},
	{`suspect of prussic`, "suspect for prussic acid"},
	{`02-Jan`, "Sat 5 Dec, as fields.Date.Words has it"},
}

// TestSentences holds the list of what the program can say to the code, and the
// list to the words of a ranch.
func TestSentences(t *testing.T) {
	got := sentences(t)
	read := got // and what the program prints from documents, a paragraph a line
	for _, glob := range []string{"cmd/rimegate/docs/*.md", "cmd/rimegate/docs/cookbook/*.md"} {
		names, err := filepath.Glob(filepath.Join(root, glob))
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %v", glob, err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range strings.Split(string(text), "\n\n") {
				read += "\n" + strings.Join(strings.Fields(p), " ")
			}
		}
	}
	for _, line := range strings.Split(read, "\n") {
		if strings.HasPrefix(line, headed) {
			continue
		}
		for _, f := range forbidden {
			if regexp.MustCompile(`(?i)` + f.pattern).MatchString(line) {
				t.Errorf("%q: say %s", line, f.instead)
			}
		}
	}
	if *update {
		if err := os.WriteFile(sentencesFile, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, err := os.ReadFile(sentencesFile)
	if err != nil {
		t.Fatal(err)
	}
	if string(was) != got {
		t.Errorf("%s is out of date: go test ./cmd/internal/arch -run TestSentences -update", sentencesFile)
	}
}

// headed begins the line over the texts of one file: its folder and its name.
const headed = "== "

// sentences are the texts for people by file, each where it stands first. What
// is put in while the program runs is "…".
func sentences(t *testing.T) string {
	t.Helper()
	byFile := map[string][]string{}
	for dir, p := range packages(t) {
		if slices.ContainsFunc(unspoken, func(u string) bool { return within(dir, u) }) {
			continue
		}
		for _, name := range p.GoFiles {
			if !strings.HasSuffix(name, "_gen.go") {
				byFile[dir+"/"+name] = literals(t, filepath.Join(p.Dir, name))
			}
		}
	}
	for _, w := range wordTables {
		files, err := filepath.Glob(filepath.Join(root, w.glob))
		if err != nil || len(files) == 0 {
			t.Fatalf("no file %s: %v", w.glob, err)
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			name := strings.TrimPrefix(filepath.ToSlash(f), root+"/")
			for line := range strings.Lines(string(text)) {
				for _, m := range w.keys.FindAllStringSubmatch(strings.TrimRight(line, "\n"), -1) {
					byFile[name] = append(byFile[name], strings.TrimSpace(m[1]))
				}
			}
		}
	}
	var (
		out  strings.Builder
		seen = map[string]bool{"": true}
	)
	for _, name := range slices.Sorted(maps.Keys(byFile)) {
		head := headed + path.Base(path.Dir(name)) + ", " + path.Base(name) + "\n"
		for _, s := range byFile[name] {
			if !seen[s] {
				seen[s] = true
				out.WriteString(head + s + "\n")
				head = ""
			}
		}
	}
	return out.String()
}

// literals are the texts of a Go file that are more than one word, sums of
// them put together.
func literals(t *testing.T, path string) []string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	say := func(s string) {
		if speaks(s) {
			out = append(out, unprinted.Replace(s))
		}
	}
	var visit func(ast.Node) bool
	visit = func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field: // its tag is no text
			ast.Inspect(n.Type, visit)
			return false
		case *ast.BinaryExpr:
			if n.Op == token.ADD && hasText(n) {
				var text strings.Builder
				sum(n, &text, visit)
				say(strings.ReplaceAll(text.String(), "……", "…"))
				return false
			}
		case *ast.BasicLit:
			if n.Kind == token.STRING {
				say(unquote(n))
			}
		}
		return true
	}
	ast.Inspect(file, visit)
	return out
}

// sum writes a sum of texts, "…" for what is no literal; that is visited by itself.
func sum(e ast.Expr, text *strings.Builder, visit func(ast.Node) bool) {
	switch e := e.(type) {
	case *ast.BinaryExpr:
		if e.Op == token.ADD {
			sum(e.X, text, visit)
			sum(e.Y, text, visit)
			return
		}
	case *ast.BasicLit:
		if e.Kind == token.STRING {
			text.WriteString(unquote(e))
			return
		}
	}
	text.WriteString("…")
	ast.Inspect(e, visit)
}

func hasText(n *ast.BinaryExpr) bool {
	for _, e := range []ast.Expr{n.X, n.Y} {
		switch e := e.(type) {
		case *ast.BasicLit:
			if e.Kind == token.STRING {
				return true
			}
		case *ast.BinaryExpr:
			if e.Op == token.ADD && hasText(e) {
				return true
			}
		}
	}
	return false
}

func unquote(n *ast.BasicLit) string {
	s, err := strconv.Unquote(n.Value)
	if err != nil {
		return n.Value
	}
	return s
}

// unprinted spells out what would break a line, or make the list no text.
var unprinted = strings.NewReplacer("\n", `\n`, "\r", `\r`, "\t", `\t`, "\x00", `\x00`, "\x1b", `\x1b`)

var letters = regexp.MustCompile(`\pL\pL`)

// speaks tells texts for people from names, formats and keys: they hold a space
// and a word.
func speaks(s string) bool {
	return strings.Contains(s, " ") && letters.MatchString(s)
}
