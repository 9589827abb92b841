package hazard_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/rules"
)

// The contract is held against what the program has: who adds a rule, a line, a
// kind or a field must say it there, and who changes a number too.

func contract(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("CONTRACT.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// said are the words of a text that stand between backticks.
func said(text string) map[string]bool {
	out := map[string]bool{}
	for _, m := range regexp.MustCompile("`([^`\n]+)`").FindAllStringSubmatch(text, -1) {
		out[m[1]] = true
	}
	return out
}

// tableRows are the rows of the tables whose first cell is one word in backticks.
func tableRows(text string) map[string]string {
	out := map[string]string{}
	for _, line := range strings.Split(text, "\n") {
		if m := regexp.MustCompile("^\\| `([A-Za-z-]+)` \\|").FindStringSubmatch(line); m != nil {
			out[m[1]] += line
		}
	}
	return out
}

// Each "`rule.id` (value unit)" says the default of the embedded rulebook, and
// every rule is said so at least once.
func TestContractNumbers(t *testing.T) {
	text := contract(t)
	valued := map[string]bool{}
	for _, m := range regexp.MustCompile("`([a-z][a-z0-9_.-]*\\.[a-z0-9_.-]+)`\\s+\\(([^)]*)\\)").FindAllStringSubmatch(text, -1) {
		id, value := m[1], strings.Join(strings.Fields(m[2]), " ")
		doc, ok := rules.DocOf(id)
		if !ok || doc.Fixed { // what stands in brackets behind it is no value
			continue
		}
		if strings.HasPrefix(value, "§") {
			continue
		}
		want := doc.Word
		if key, numbered := hazard.RuleKeyOf(id); numbered {
			n := strconv.FormatFloat(rules.Default().V[key], 'f', -1, 64)
			want = n + " " + doc.Unit
		}
		if value != want {
			t.Errorf("CONTRACT.md says %s (%s); the rulebook has (%s)", id, value, want)
		}
		valued[id] = true
	}
	have := said(text)
	for _, doc := range rules.Docs() {
		switch {
		case !have[doc.ID]:
			t.Errorf("the rule %s stands nowhere in CONTRACT.md: say in its section what it does", doc.ID)
		case !doc.Fixed && !valued[doc.ID]:
			t.Errorf("CONTRACT.md never says the default of `%s`: write (VALUE UNIT) behind it once", doc.ID)
		}
	}
	known := reasonIDs(t)
	for _, doc := range rules.Docs() {
		known[doc.ID] = true
	}
	for id := range have {
		dotted := regexp.MustCompile(`^(prussic|nitrate|species|stand|bloat|height|night|water|use|vet|swath|chop|cut|walk)\.[a-z0-9_.-]+$`)
		if dotted.MatchString(id) && !known[id] {
			t.Errorf("CONTRACT.md names the rule %s, which is neither in rules/ nor in an answer", id)
		}
	}
}

// reasonIDs are the rule ids that the engine's answers name without a number:
// the constant texts of Reason.Rule.
func reasonIDs(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	each(t, func(f *ast.File) {
		ast.Inspect(f, func(n ast.Node) bool {
			kv, ok := n.(*ast.KeyValueExpr)
			if !ok {
				return true
			}
			key, ok := kv.Key.(*ast.Ident)
			lit, isText := kv.Value.(*ast.BasicLit)
			if ok && isText && key.Name == "Rule" && lit.Kind == token.STRING {
				s, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				out[s] = true
			}
			return true
		})
	})
	if len(out) < 15 {
		t.Fatalf("only %d ids found in the engine; this test would prove nothing", len(out))
	}
	return out
}

// each parses the engine's own files.
func each(t *testing.T, do func(*ast.File)) {
	t.Helper()
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		do(f)
	}
}

func TestContractReasons(t *testing.T) {
	_, appendix, found := strings.Cut(contract(t), "## Appendix B.")
	if !found {
		t.Fatal("there is no appendix B")
	}
	have := said(appendix)
	want := reasonIDs(t)
	for _, doc := range rules.Docs() {
		if doc.Fixed {
			want[doc.ID] = true
		} else {
			delete(want, doc.ID)
		}
	}
	for id := range want {
		if !have[id] {
			t.Errorf("the reason %s has no place in appendix B of CONTRACT.md: add it there", id)
		}
	}
	for id := range have {
		if !want[id] {
			t.Errorf("appendix B names %s, which no answer rests on", id)
		}
	}
}

// Every line of an answer has a row in appendix A: its section and a sentence.
func TestContractLines(t *testing.T) {
	_, appendix, _ := strings.Cut(contract(t), "## Appendix A.")
	appendix, _, _ = strings.Cut(appendix, "## Appendix B.")
	rows := tableRows(appendix)
	names := lineConstants(t)
	row := regexp.MustCompile("^\\| `Line[A-Za-z]+` \\| §[0-9]+\\.[0-9]+ \\| [A-Z][^|]{10,}\\. \\| (`[a-z0-9._-]+`(, )?)+ \\|$")
	for _, name := range names {
		if !row.MatchString(rows[name]) {
			t.Errorf("appendix A of CONTRACT.md lacks a row \"| `%s` | §N.N | Sentence. | `rule` |\"; it has %q", name, rows[name])
		}
		delete(rows, name)
	}
	for name := range rows {
		t.Errorf("appendix A has %s; the engine does not", name)
	}
}

// lineConstants are the names of the constants of type Line, in order.
func lineConstants(t *testing.T) []string {
	t.Helper()
	var names []string
	each(t, func(f *ast.File) {
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			var in []string
			ofLine := false
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				if typ, ok := v.Type.(*ast.Ident); ok && typ.Name == "Line" {
					ofLine = true
				}
				in = append(in, v.Names[0].Name)
			}
			if ofLine {
				names = append(names, in...)
			}
		}
	})
	if len(names) != int(hazard.NumLines)+1 || names[0] != "LineNone" || names[len(names)-1] != "NumLines" {
		t.Fatalf("%d constants of type Line found, of %d lines", len(names), hazard.NumLines)
	}
	return names[1 : len(names)-1]
}

// Every kind has a row with every field of it, starred if required, and the
// words a field may hold stand somewhere.
func TestContractKinds(t *testing.T) {
	text := contract(t)
	_, section, _ := strings.Cut(text, "### 3.6 ")
	section, _, _ = strings.Cut(section, "\n### ")
	rows := tableRows(section)
	for _, k := range fields.Kinds() {
		row, ok := rows[string(k)]
		delete(rows, string(k))
		if !ok {
			t.Errorf("the kind %s has no row in §3.6 of CONTRACT.md", k)
			continue
		}
		cell := strings.Split(row, "|")[2]
		named := map[string]bool{}
		groups := map[string][]string{}
		for _, f := range fields.FieldsOf(k) {
			named[f.Name] = true
			at := strings.Index(cell, "`"+f.Name+"`")
			if at < 0 {
				t.Errorf("the row of %s in §3.6 of CONTRACT.md does not name `%s`", k, f.Name)
				continue
			}
			if starred := strings.HasPrefix(cell[at+len(f.Name)+2:], "*"); starred != f.Required {
				t.Errorf("%s: the field %s is starred: %v; it is required: %v", k, f.Name, starred, f.Required)
			}
			if f.Group != "" {
				groups[f.Group] = append(groups[f.Group], "`"+f.Name+"`")
			}
			for _, w := range f.Choices {
				if !strings.Contains(cell, w) && !said(text)[w] {
					t.Errorf("%s: the field %s may be %s, which stands nowhere", k, f.Name, w)
				}
			}
		}
		for _, g := range groups {
			if !strings.Contains(cell, strings.Join(g, " / ")) {
				t.Errorf("%s: %v are not told as one of them required", k, g)
			}
		}
		for w := range said(cell) {
			if !named[w] {
				t.Errorf("the row of %s in §3.6 of CONTRACT.md names `%s`, which is no field of it", k, w)
			}
		}
	}
	for k := range rows {
		t.Errorf("§3.6 of CONTRACT.md has a row for %s, which is no kind", k)
	}
}

// Sections are numbered without a gap, and every § names one that is there.
func TestContractSections(t *testing.T) {
	text := contract(t)
	var chapters []string
	last := map[string]int{}
	there := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^(#{2,3}) ([0-9]+)(?:\.([0-9]+))?\.? `).FindAllStringSubmatch(text, -1) {
		if m[1] == "##" {
			chapters = append(chapters, m[2])
			if m[2] != strconv.Itoa(len(chapters)) {
				t.Errorf("chapter %s stands in place %d", m[2], len(chapters))
			}
			there[m[2]] = true
			continue
		}
		n, _ := strconv.Atoi(m[3])
		if len(chapters) == 0 || m[2] != chapters[len(chapters)-1] || n != last[m[2]]+1 {
			t.Errorf("section %s.%s is out of order", m[2], m[3])
		}
		last[m[2]] = n
		there[m[2]+"."+m[3]] = true
	}
	cited := regexp.MustCompile(`§([0-9]+(?:\.[0-9]+)?)`).FindAllStringSubmatch(text, -1)
	if len(cited) < 100 || len(there) < 80 {
		t.Fatalf("%d sections, cited %d times; this test would prove little", len(there), len(cited))
	}
	for _, m := range cited {
		if !there[m[1]] {
			t.Errorf("there is no §%s", m[1])
		}
	}
}

// The hazards that no list assesses, the classes and the uses are told.
func TestContractWords(t *testing.T) {
	text := contract(t)
	for _, w := range hazard.NotAssessed {
		for _, part := range strings.FieldsFunc(w, func(r rune) bool { return r == '(' || r == ')' }) {
			if part = strings.TrimSpace(part); part != "tetany" && !strings.Contains(strings.Join(strings.Fields(text), " "), part) {
				t.Errorf("%q is not named as not assessed", part)
			}
		}
	}
	have := said(text)
	var words []string
	for _, c := range hazard.Classes {
		words = append(words, c.String())
	}
	for _, u := range append(slices.Clone(hazard.PaddockUses), hazard.Feed) {
		words = append(words, u.String())
	}
	for _, h := range hazard.Hazards {
		words = append(words, h.String())
	}
	for _, f := range []hazard.Flag{hazard.Clear, hazard.Caution, hazard.Hold} {
		words = append(words, f.String())
	}
	for _, n := range []hazard.Need{hazard.NeedTime, hazard.NeedEvidence, hazard.NeedDecision} {
		words = append(words, n.String())
	}
	for _, w := range words {
		if !have[w] {
			t.Errorf("%s is told nowhere", w)
		}
	}
}
