package arch

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// plant is the program with many changes planted in it, none of which works until
// RIMEGATE_MUTANT names it: every test is built once, however many changes are tried. The
// files themselves stay untouched; the go command reads others in their place.
type plant struct {
	overlay string
	live    []bool            // the changes that still make a program
	dirs    map[string]string // packages by their folders
	bins    map[string]string // their tests, built
}

const chosen = `package %s

import (
	"os"
	"strconv"
)

var mutantNow, _ = strconv.Atoi(os.Getenv("RIMEGATE_MUTANT"))
`

func planted(t *testing.T, ms []mutant) *plant {
	t.Helper()
	p := &plant{live: make([]bool, len(ms)), dirs: map[string]string{}, bins: map[string]string{}}
	for path, x := range packages(t) {
		p.dirs[x.Dir] = "./" + path
	}
	byFile := map[string][]int{}
	for i, m := range ms {
		p.live[i] = true
		byFile[m.file] = append(byFile[m.file], i)
	}
	dir := t.TempDir()
	p.overlay = filepath.Join(dir, "overlay.json")
	for range 20 { // a change that makes no program is taken out
		replace, spans := map[string]string{}, map[string][]span{}
		for file, list := range byFile {
			text, at, pkg := p.plantFile(t, file, ms, list)
			name := filepath.Join(dir, strconv.Itoa(len(replace))+".go")
			write(t, name, text)
			replace[file], spans[filepath.Base(name)] = name, at
			name = filepath.Join(dir, "chosen"+strconv.Itoa(len(replace))+".go")
			write(t, name, fmt.Sprintf(chosen, pkg))
			replace[filepath.Join(filepath.Dir(file), "zz_chosen.go")] = name
		}
		list, err := json.Marshal(map[string]map[string]string{"Replace": replace})
		if err != nil {
			t.Fatal(err)
		}
		write(t, p.overlay, string(list))
		out, err := p.command("build", "-gcflags=-e", "./...").CombinedOutput()
		if err == nil {
			return p
		}
		took := false
		for _, m := range faultAt.FindAllStringSubmatch(string(out), -1) {
			line, _ := strconv.Atoi(m[2])
			for _, s := range spans[filepath.Base(m[1])] {
				if s.from <= line && line <= s.to && p.live[s.mutant] {
					p.live[s.mutant], took = false, true
				}
			}
		}
		if !took {
			t.Fatalf("%s", out)
		}
	}
	t.Fatal("the program cannot be built with changes in it")
	return nil
}

var faultAt = regexp.MustCompile(`(?m)^(\S+\.go):(\d+):`)

// span are the lines in which a change is planted.
type span struct{ mutant, from, to int }

// plantFile is a file in which each function with changes begins with its own body once
// for each of them, changed.
func (p *plant) plantFile(t *testing.T, file string, ms []mutant, list []int) (text string, at []span, pkg string) {
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, file, src, 0)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	done, planted := 0, map[int]bool{}
	for _, d := range f.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil || labelled(fn) {
			continue
		}
		first, last := set.Position(fn.Body.Lbrace).Offset+1, set.Position(fn.Body.Rbrace).Offset
		for _, i := range list {
			m := ms[i]
			if m.from < first || m.to > last || !p.live[i] {
				continue
			}
			b.Write(src[done:first])
			done = first
			from := strings.Count(b.String(), "\n") + 1
			fmt.Fprintf(&b, "\nif mutantNow == %d {\n%s%s%s\n", i+1, src[first:m.from], m.put, src[m.to:last])
			if fn.Type.Results == nil {
				b.WriteString("return\n")
			}
			b.WriteString("}\n")
			at = append(at, span{i, from, strings.Count(b.String(), "\n") + 1})
			planted[i] = true
		}
	}
	b.Write(src[done:])
	for _, i := range list {
		p.live[i] = planted[i]
	}
	return b.String(), at, f.Name.Name
}

// labelled reports a function with a label, which cannot stand there twice.
func labelled(fn *ast.FuncDecl) (has bool) {
	ast.Inspect(fn, func(n ast.Node) bool {
		_, is := n.(*ast.LabeledStmt)
		has = has || is
		return true
	})
	return has
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func (p *plant) command(verb string, args ...string) *exec.Cmd {
	cmd := exec.Command("go", append([]string{verb, "-overlay", p.overlay}, args...)...)
	cmd.Dir = root
	return cmd
}

// run runs tests of a package with one change at work, none for i < 0.
func (p *plant) run(t *testing.T, i int, pkg, pattern string, flags ...string) (string, error) {
	t.Helper()
	if p.bins[pkg] == "" {
		bin, err := filepath.Abs(filepath.Join(filepath.Dir(p.overlay), strings.NewReplacer("/", "_", ".", "").Replace(pkg)+".test"))
		if err != nil {
			t.Fatal(err)
		}
		if out, err := p.command("test", "-vet=off", "-c", "-o", bin, pkg).CombinedOutput(); err != nil {
			t.Fatalf("%s: %s", pkg, out)
		}
		p.bins[pkg] = bin
	}
	cmd := exec.Command(p.bins[pkg], append(flags, "-test.failfast", "-test.timeout=30m", "-test.run="+pattern)...)
	cmd.Dir = filepath.Join(root, pkg)
	cmd.Env = append(slices.Clone(os.Environ()), "RIMEGATE_MUTANT="+strconv.Itoa(i+1))
	out, err := cmd.CombinedOutput()
	return string(out), err
}
