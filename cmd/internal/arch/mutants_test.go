package arch

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	mutants     = flag.Int("mutants", 0, "single-token changes to try; 0 for none")
	mutantSeed  = flag.Uint64("mutant-seed", 1, "which changes are drawn")
	mutantRooms = flag.String("mutant-rooms", "hazard,weather,fields,fields/form,fields/forage,fields/calendar", "packages that are changed, with commas")
)

// mutant is one change of one token.
type mutant struct {
	file     string // absolute
	from, to int    // bytes that go
	put      string
	at       token.Position
	old      string
}

func (m mutant) String() string {
	return fmt.Sprintf("%s:%d:%d: %s -> %s", filepath.Base(m.file), m.at.Line, m.at.Column, m.old, m.put)
}

// swaps are what a token becomes: the slip of a hand, not a new program.
var swaps = map[token.Token]token.Token{
	token.LSS: token.LEQ, token.LEQ: token.LSS, token.GTR: token.GEQ, token.GEQ: token.GTR,
	token.EQL: token.NEQ, token.NEQ: token.EQL, token.LAND: token.LOR, token.LOR: token.LAND,
	token.ADD: token.SUB, token.SUB: token.ADD, token.MUL: token.QUO, token.QUO: token.MUL,
}

// mutantsOf are all changes of a file's functions that this trial knows.
func mutantsOf(t *testing.T, name string) []mutant {
	t.Helper()
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, name, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []mutant
	add := func(pos token.Pos, old, put string) {
		at := set.Position(pos)
		out = append(out, mutant{file: name, from: at.Offset, to: at.Offset + len(old), put: put, at: at, old: old})
	}
	for _, d := range f.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil {
			continue
		}
		ast.Inspect(fn.Body, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BinaryExpr:
				if other, ok := swaps[n.Op]; ok {
					add(n.OpPos, n.Op.String(), other.String())
				}
			case *ast.UnaryExpr:
				if n.Op == token.NOT {
					add(n.OpPos, "!", "")
				}
			case *ast.BasicLit:
				if v, err := strconv.Atoi(n.Value); n.Kind == token.INT && err == nil {
					add(n.ValuePos, n.Value, strconv.Itoa(v+1))
				}
			case *ast.Ident:
				switch n.Name {
				case "true":
					add(n.NamePos, n.Name, "false")
				case "false":
					add(n.NamePos, n.Name, "true")
				case "min":
					add(n.NamePos, n.Name, "max")
				case "max":
					add(n.NamePos, n.Name, "min")
				}
			case *ast.BranchStmt:
				switch {
				case n.Label != nil:
				case n.Tok == token.CONTINUE:
					add(n.TokPos, "continue", "break")
				case n.Tok == token.BREAK:
					add(n.TokPos, "break", "continue")
				}
			}
			return true
		})
	}
	return out
}

// TestMutants changes one token at a time and runs the ordinary tests: a change
// that none of them notices is a rule that nothing holds. `make mutants` runs it;
// survivors are printed to be explained or held by a new test.
func TestMutants(t *testing.T) {
	if *mutants == 0 {
		t.Skip("run by make mutants")
	}
	ours := packages(t)
	var all []mutant
	for _, room := range strings.Split(*mutantRooms, ",") {
		p, ok := ours[room]
		if !ok {
			t.Fatalf("there is no package %s", room)
		}
		for _, name := range p.GoFiles {
			all = append(all, mutantsOf(t, filepath.Join(p.Dir, name))...)
		}
	}
	if len(all) < *mutants {
		t.Fatalf("only %d changes can be made", len(all))
	}
	possible := len(all)
	r := rand.New(rand.NewPCG(*mutantSeed, 40))
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	all = all[:*mutants]
	p := planted(t, all)
	for _, pkg := range readers {
		if out, err := p.run(t, -1, pkg, ".", "-test.short"); err != nil {
			t.Fatalf("%s fails unchanged: %s", pkg, out)
		}
	}
	killed, tried := 0, 0
	for i, m := range all {
		if !p.live[i] {
			continue // no program any more
		}
		tried++
		by := p.killer(t, i, m)
		if by == "" {
			t.Logf("SURVIVES %v", m)
			continue
		}
		killed++
		t.Logf("killed by %-16s %v", by, m)
	}
	t.Logf("%d of %d killed (seed %d, %d changes possible)", killed, tried, *mutantSeed, possible)
	if killed*20 < tried*17 {
		t.Errorf("fewer than 17 of 20 are noticed")
	}
}

// killer is the first package whose ordinary tests fail, "" for none: its own, then what
// stands on it; the short ones of all of them first. A test that never ends counts as one that fails.
func (p *plant) killer(t *testing.T, i int, m mutant) string {
	order := slices.Compact(append([]string{p.dirs[filepath.Dir(m.file)]}, readers...))
	for _, flags := range [][]string{{"-test.short"}, nil} {
		for _, pkg := range order {
			if out, err := p.run(t, i, pkg, ".", flags...); err != nil && !strings.Contains(out, "no tests to run") {
				return pkg
			}
		}
	}
	return ""
}

// readers are the packages whose tests read what the changed ones say.
var readers = []string{
	"./fields", "./weather", "./weather/formats", "./hazard", "./hazard/judge", "./hazard/board", "./cmd/internal/farm", "./cmd/rimegate",
}
