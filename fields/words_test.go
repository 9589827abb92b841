package fields

import (
	"go/ast"
	"go/parser"
	"go/token"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Every class of the codec is a word that means itself, and no word means anything else.
func TestWordsForStock(t *testing.T) {
	var classes []string
	for _, f := range FieldsOf(KindHerd) {
		if f.Name == "classes" {
			classes = f.Choices
		}
	}
	for _, c := range classes {
		if got := ClassesMeant(c); !slices.Equal(got, []string{c}) {
			t.Errorf("%s means %v", c, got)
		}
	}
	seen := map[string]bool{}
	for _, row := range stockWords {
		for _, c := range strings.Fields(strings.ReplaceAll(row.classes, "+", " ")) {
			if !slices.Contains(classes, c) {
				t.Errorf("%q is no class", c)
			}
		}
		for _, w := range strings.Fields(row.words) {
			if seen[w] {
				t.Errorf("%q stands in two rows", w)
			}
			seen[w] = true
		}
	}
	for word, want := range map[string]string{
		"Calves": "young-cattle", "bull calves": "young-cattle", "cow-calf pairs": "bred-cattle young-cattle", "COW": "bred-cattle open-cattle",
		"cows with calves": "bred-cattle young-cattle", "ewes and does": "sheep goats", "cows with camels": "",
		"heifers": "bred-cattle young-cattle open-cattle", "does": "goats", "ponies": "horses", "camels": "", "": "", "s": "",
	} {
		if got := strings.Join(ClassesMeant(word), " "); got != want {
			t.Errorf("%q means %q, want %q", word, got, want)
		}
	}
}

// Each word that the codec lets into a typed field is a constant of that type, and
// each constant is let in somewhere.
func TestWordsAreConstants(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "words.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	consts := map[string][]string{} // type -> its words
	for _, d := range f.Decls {
		if g, ok := d.(*ast.GenDecl); ok && g.Tok == token.CONST {
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				w, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
				if err != nil {
					t.Fatal(err)
				}
				typ := v.Type.(*ast.Ident).Name
				consts[typ] = append(consts[typ], w)
			}
		}
	}
	let := map[string]bool{}
	for _, k := range Kinds() {
		for _, p := range planOf(NewBody(k)).fields {
			typ := p.typ.Name()
			if p.typ.Kind() != reflect.String || p.typ == reflect.TypeFor[string]() {
				if len(p.choices) > 0 && p.typ.Kind() == reflect.String && p.name != "units" {
					t.Errorf("%s.%s holds words without a type", k, p.name)
				}
				continue
			}
			for _, w := range p.choices {
				let[typ+" "+w] = true
				if !slices.Contains(consts[typ], w) {
					t.Errorf("%s.%s may be %q, which is no %s", k, p.name, w, typ)
				}
			}
		}
	}
	for typ, ws := range consts {
		for _, w := range ws {
			if !let[typ+" "+w] {
				t.Errorf("no field may be the %s %q", typ, w)
			}
		}
	}
	if len(let) < 50 {
		t.Fatalf("only %d words", len(let))
	}
}

// A word that leaves open which class it means is told apart from one that means both.
func TestMayMean(t *testing.T) {
	for word, want := range map[string]string{
		"cows": "bred-cattle open-cattle", "pairs": "", "cows with calves": "", "ewes": "", "ewes and steers": "young-cattle open-cattle", "camels": "",
	} {
		if got := strings.Join(MayMean(word), " "); got != want {
			t.Errorf("%q may mean %q, want %q", word, got, want)
		}
	}
}

func TestCutHead(t *testing.T) {
	for text, want := range map[string]string{
		"85 cows with calves": "85|cows with calves", " 60 head of yearlings": "60|yearlings", "cows": "|cows", "85": "|85", "2.5 cows": "|2.5 cows",
	} {
		if head, rest := CutHead(text); head+"|"+rest != want {
			t.Errorf("%q is %q %q, want %q", text, head, rest, want)
		}
	}
}
