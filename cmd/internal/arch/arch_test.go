package arch

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"maps"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// pkg is what `go list` says of a package; test files are not in Imports.
type pkg struct {
	ImportPath string
	Imports    []string
	Dir        string
	GoFiles    []string
}

const module = "rimegate"

// packages lists the module's packages by path without the module's name.
func packages(t *testing.T) map[string]pkg {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps=false", "-json=ImportPath,Dir,Imports,GoFiles", module+"/...")
	text, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %s", exit.Stderr)
		}
		t.Fatal(err)
	}
	out := map[string]pkg{}
	dec := json.NewDecoder(strings.NewReader(string(text)))
	for {
		var p pkg
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		out[strings.TrimPrefix(p.ImportPath, module+"/")] = p
	}
	for _, must := range []string{"fields", "fields/journal", "weather", "hazard", "hazard/rules", "hazard/board", "cmd/internal/farm", "cmd/rimegate"} {
		if len(out[must].GoFiles) == 0 {
			t.Fatalf("go list does not know the package %s; this test would prove nothing", must)
		}
	}
	// Helpers of tests are no part of the program: internal packages that nothing
	// in it imports.
	for path, p := range out {
		used := slices.ContainsFunc(slices.Collect(maps.Values(out)), func(q pkg) bool { return slices.Contains(q.Imports, p.ImportPath) })
		if strings.Contains(path, "/internal/") && !used && !within(path, "cmd") {
			delete(out, path)
		}
	}
	return out
}

// within reports whether path is the folder or lies under it.
func within(path, folder string) bool {
	return path == folder || strings.HasPrefix(path, folder+"/")
}

// Libraries that one package alone may import, so that there is one place to
// look when they fail, or are changed for another.
func TestEachLibraryHasOneDoor(t *testing.T) {
	doors := map[string][]string{
		"go.etcd.io/bbolt":                {"fields/journal"},
		"github.com/oklog/ulid":           {"fields/journal"},
		"github.com/nats-io/nats.go":      {"fields/share"},
		"github.com/nats-io/nats-server":  {}, // tests only
		"github.com/nats-io/jwt":          {},
		"github.com/nats-io/nkeys":        {},
		"github.com/teambition/rrule-go":  {"fields/calendar"},
		"github.com/emersion/go-ical":     {"fields/calendar"},
		"github.com/arran4/golang-ical":   {"fields/calendar"},
		"codeberg.org/go-pdf/fpdf":        {"hazard/board/paper"},
		"github.com/pelletier/go-toml":    {"hazard/rules", "cmd/internal/farm"},
		"github.com/rivo/tview":           {"tui"},
		"github.com/gdamore/tcell":        {"tui"},
		"github.com/urfave/cli":           {"cmd/rimegate"},
		"github.com/adrg/xdg":             {"cmd/rimegate"},
		"gonum.org/v1/gonum":              {}, // tests only
		"golang.org/x/text":               {"cmd/internal/farm", "hazard/board"},
		"golang.org/x/term":               {"cmd/rimegate"},
		"golang.org/x/sys":                {"cmd/rimegate"},
		"golang.org/x/image":              {"hazard/board/paper"},
		"github.com/rivo/uniseg":          {"hazard/board", "tui"},
		"github.com/santhosh-tekuri":      {}, // tests only
		"github.com/rogpeppe/go-internal": {},
		"pgregory.net/rapid":              {},
		"github.com/google/go-cmp":        {},
	}
	for path, p := range packages(t) {
		for _, imp := range p.Imports {
			for lib, allowed := range doors {
				if within(imp, lib) && !slices.ContainsFunc(allowed, func(a string) bool { return within(path, a) }) {
					t.Errorf("%s imports %s, which only %v may", path, imp, allowed)
				}
			}
		}
	}
}

// The second engine and what tests are made with are no part of the program.
func TestTestCodeIsNotShipped(t *testing.T) {
	text, err := exec.Command("go", "list", "-deps", module+"/cmd/rimegate").Output()
	if err != nil {
		t.Fatal(err)
	}
	shipped := strings.Fields(string(text))
	for path := range packages(t) {
		if path != "cmd/internal/arch" && path != "hazard/judge" && !slices.Contains(shipped, module+"/"+path) {
			t.Errorf("the program does not use %s", path)
		}
	}
	for _, p := range shipped {
		for _, only := range []string{"hazard/judge", "internal/anyentry", "nats-server"} {
			if strings.HasSuffix(p, only) || strings.Contains(p, only+"/") {
				t.Errorf("the program is built with %s, which is for tests", p)
			}
		}
	}
}

// The rooms of the house, and which of our own packages each may import. A
// package not listed here has no room yet: say where it belongs.
func TestRoomsOpenOnlyIntoTheirOwn(t *testing.T) {
	rooms := []struct {
		room string // folder, its packages included unless one of them is listed
		may  []string
	}{
		{"fields/lazy", nil},
		{"fields", nil},
		{"fields/journal", []string{"fields"}},
		{"fields/share", []string{"fields", "fields/journal"}},
		{"fields/calendar", []string{"fields"}},
		{"fields/form", []string{"fields"}},
		{"fields/forage", []string{"fields"}},
		{"weather", []string{"fields", "weather"}},
		{"hazard", []string{"fields", "weather"}},
		{"hazard/judge", []string{"fields", "weather", "hazard"}},
		{"hazard/rules", []string{"fields", "hazard"}},
		{"hazard/ration", []string{"fields", "fields/forage", "hazard", "hazard/rules"}},
		{"hazard/moves", []string{"fields", "fields/forage", "hazard", "hazard/ration"}},
		{"hazard/board", []string{"fields", "fields/forage", "fields/calendar", "weather", "hazard", "hazard/ration", "hazard/rules", "hazard/moves", "hazard/board"}},
		{"hazard/board/paper", []string{"fields", "hazard", "hazard/board"}},
		{"tui", []string{"fields", "fields/form", "hazard", "hazard/board", "tui"}},
		{"cmd/internal/arch", nil},
		{"cmd/internal", []string{"fields", "weather", "hazard", "tui", "cmd/internal"}},
		{"cmd/rimegate", []string{"fields", "weather", "hazard", "tui", "cmd"}},
	}
	ours := packages(t)
	for path, p := range ours {
		room, found := "", false
		var may []string
		for _, r := range rooms {
			if within(path, r.room) && len(r.room) > len(room) {
				room, may, found = r.room, r.may, true
			}
		}
		if !found {
			t.Errorf("%s has no room: add it to rooms here and to the table in DEVELOPERS.md", path)
			continue
		}
		for _, imp := range p.Imports {
			if !within(imp, module) {
				continue
			}
			imp = strings.TrimPrefix(imp, module+"/")
			ok := imp == "fields/lazy" || slices.ContainsFunc(may, func(a string) bool {
				switch a {
				case "fields", "hazard", "hazard/board":
					// The room itself, without its inner rooms, unless the command sits
					// on top of everything.
					return imp == a || strings.HasPrefix(path, "cmd/") && within(imp, a)
				}
				return within(imp, a)
			})
			if !ok {
				t.Errorf("%s imports %s; its room %s may import %v", path, imp, room, may)
			}
		}
	}
}

// The core decides from what it is given: it knows no file, no network and no
// terminal. (It uses time for dates and instants; that it never asks for the
// time is tested below.)
func TestTheCoreIsPure(t *testing.T) {
	outside := []string{"os", "io/ioutil", "net", "os/exec", "os/user", "os/signal", "path/filepath", "syscall", "log", "log/slog", "embed", "flag", "plugin"}
	for path, p := range packages(t) {
		core := path == "fields" || path == "fields/forage" || path == "hazard" || within(path, "weather") ||
			within(path, "hazard/judge") || within(path, "hazard/ration") || within(path, "hazard/board")
		if !core {
			continue
		}
		for _, imp := range p.Imports {
			// The contract, JSON schemas, templates and tables of publications travel with the program.
			if imp == "embed" && (path == "hazard" || within(path, "hazard/board") || path == "hazard/ration" || path == "fields/forage") {
				continue
			}
			if slices.Contains(outside, imp) || strings.HasPrefix(imp, "net/") {
				t.Errorf("%s imports %s", path, imp)
			}
		}
	}
}

// One clock: the command's main, handed down, and the default a Farm is opened
// with. The journal counts how long it waits for a lock. Everything else is
// told what time it is, but for how long a command has been at work.
func TestNobodyElseAsksForTheTime(t *testing.T) {
	allowed := map[string]bool{
		"cmd/rimegate/main.go": true, "cmd/rimegate/patience.go": true, "cmd/internal/farm" + "/farm.go": true, "fields/journal/open.go": true,
	}
	asked := map[string]bool{}
	for path, p := range packages(t) {
		if within(path, "tui") {
			continue // refreshes and key presses have a clock of their own
		}
		for _, name := range p.GoFiles {
			file := path + "/" + name
			f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				sel, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				x, ok := sel.X.(*ast.Ident)
				if ok && x.Name == "time" && slices.Contains([]string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}, sel.Sel.Name) {
					asked[file] = true
					if !allowed[file] {
						t.Errorf("%s uses time.%s", file, sel.Sel.Name)
					}
				}
				return true
			})
		}
	}
	for file := range allowed {
		if !asked[file] {
			t.Errorf("%s no longer asks for the time; take it off the list", file)
		}
	}
}

// Every command begins with what stands in variables of packages: nothing slow is made there.
func TestNothingSlowIsMadeAtTheStart(t *testing.T) {
	for path, p := range packages(t) {
		if path == "fields/lazy" || within(path, "hazard/judge") || within(path, "testdata") {
			continue
		}
		for _, name := range p.GoFiles {
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range file.Decls {
				if g, ok := d.(*ast.GenDecl); !ok || g.Tok != token.VAR {
					continue
				}
				ast.Inspect(d, func(n ast.Node) bool {
					switch n := n.(type) {
					case *ast.FuncLit: // made when it is called
						return false
					case *ast.SelectorExpr:
						if x, ok := n.X.(*ast.Ident); ok && (x.Name == "regexp" && strings.HasPrefix(n.Sel.Name, "MustCompile") || x.Name == "template" && n.Sel.Name == "Must") {
							t.Errorf("%s/%s: %s.%s at the start of every command; see package lazy", path, name, x.Name, n.Sel.Name)
						}
					}
					return true
				})
			}
		}
	}
}
