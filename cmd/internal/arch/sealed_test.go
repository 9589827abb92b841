package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The program runs nothing, and nothing in it can open a connection but the client of a
// message server, which fields/share alone may import; with the tag noshare that is gone
// too. The one library that can start a process asks infocmp about a terminal that is in
// none of its tables; it hands over the name of the terminal and nothing else.
func TestNothingIsRunOrSent(t *testing.T) {
	const door, client = module + "/fields/share", "github.com/nats-io"
	runs := []string{"github.com/gdamore/tcell/v2/terminfo/dynamic"}
	for _, system := range []string{"linux", "darwin", "windows"} {
		for _, tags := range []string{"", "noshare"} {
			cmd := exec.Command("go", "list", "-deps", "-tags", tags, "-f",
				"{{if not .Standard}}{{.ImportPath}}: {{join .Imports \" \"}}{{end}}", module+"/cmd/rimegate")
			cmd.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
			text, err := cmd.Output()
			if err != nil {
				t.Fatal(err)
			}
			if strings.Count(string(text), "\n") < 30 {
				t.Fatalf("only these packages are in the program:\n%s", text)
			}
			for line := range strings.Lines(string(text)) {
				path, imports, _ := strings.Cut(strings.TrimSpace(line), ": ")
				sends := tags == "" && (path == door || within(path, client))
				for _, imp := range strings.Fields(imports) {
					switch {
					case imp == "net" && path == "golang.org/x/sys/windows": // for the type of an address
					case imp == "plugin", imp == "C", within(imp, client) && !sends, !sends && opens(imp),
						imp == "os/exec" && !slices.Contains(runs, path):
						t.Errorf("%s, tags %q: %s imports %s", system, tags, path, imp)
					}
				}
			}
		}
	}
}

// opens reports whether what imports a package of the library can open a connection.
func opens(imp string) bool {
	return imp == "net" || strings.HasPrefix(imp, "net/") && imp != "net/url" || imp == "crypto/tls" || imp == "log/syslog"
}

// calls visits the calls PACKAGE.FUNC of shipped files, with the file's name.
func calls(t *testing.T, visit func(file, name string, call *ast.CallExpr)) {
	t.Helper()
	for dir, p := range packages(t) {
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				call, ok := n.(*ast.CallExpr)
				if !ok {
					return true
				}
				if sel, ok := call.Fun.(*ast.SelectorExpr); ok {
					if x, ok := sel.X.(*ast.Ident); ok {
						visit(dir+"/"+name, x.Name+"."+sel.Sel.Name, call)
					}
				}
				return true
			})
		}
	}
}

// What is written is its owner's alone: files 0600, folders 0700; manual pages are for
// everybody.
func TestFilesAreTheirOwners(t *testing.T) {
	seen := 0
	calls(t, func(file, name string, call *ast.CallExpr) {
		want := "0o600"
		switch name {
		case "os.Create", "ioutil.WriteFile", "os.Chmod":
			t.Errorf("%s calls %s: make the file with 0o600", file, name)
			return
		case "os.Mkdir", "os.MkdirAll":
			want = "0o700"
		case "os.OpenFile", "os.WriteFile":
		default:
			return
		}
		seen++
		last, ok := call.Args[len(call.Args)-1].(*ast.BasicLit)
		switch {
		case file == "cmd/rimegate/man.go" && ok && last.Value == "0o644":
		case file == "fields/journal/open.go" && !ok: // hands on the mode that bbolt is opened with
		case !ok || last.Value != want:
			t.Errorf("%s: %s makes a file for others: say %s", file, name, want)
		}
	})
	if seen < 5 {
		t.Errorf("only %d calls were looked at", seen)
	}
}

// Everything read has a bound that is looked at before memory is taken: whole files only
// where their size was asked, and streams through a limit.
func TestEveryReadIsBounded(t *testing.T) {
	sized := map[string]string{
		useCases + "/rounds.go": "maxOrdinary", "fields/journal/mark.go": "maxMark", "fields/journal/salvage.go": "maxSalvage",
		useCases + "/start.go":     "timezone", // the computer's own, a line
		"fields/share/settings.go": "maxFile",
	}
	seen := 0
	calls(t, func(file, name string, call *ast.CallExpr) {
		switch name {
		case "os.ReadFile":
			text, err := os.ReadFile(filepath.Join(root, file))
			if err != nil {
				t.Fatal(err)
			}
			if bound := sized[file]; bound == "" || !strings.Contains(string(text), bound) {
				t.Errorf("%s reads a whole file whose size nobody asked", file)
			}
		case "io.ReadAll":
			inner, ok := call.Args[0].(*ast.CallExpr)
			if ok {
				sel, isSel := inner.Fun.(*ast.SelectorExpr)
				ok = isSel && sel.Sel.Name == "LimitReader"
			}
			if !ok {
				t.Errorf("%s reads to the end of what has no bound", file)
			}
		default:
			return
		}
		seen++
	})
	if seen < 8 {
		t.Errorf("only %d reads were looked at", seen)
	}
}

// parsers are the functions that read what people type or files hold, and the fuzz
// target that tries each.
var parsers = map[string]string{
	"fields.ReadJSONL": "FuzzReadJSONL", "fields.DecodeEntry": "FuzzReadJSONL", "fields.Parse": "FuzzTyped", "fields.ParseIn": "FuzzTyped",
	"fields.ParseNumber": "FuzzTyped", "fields.ParseCount": "FuzzTyped", "fields.ParseFigures": "FuzzFigures", "fields.ParseShare": "FuzzTyped",
	"fields.ParseNitrateTarget": "FuzzTyped", "fields.ParseComing": "FuzzTyped", "fields.ParseMoment": "FuzzTyped", "fields.ParseISODate": "FuzzTyped",
	"fields.ParseDate": "FuzzTyped", "fields.ParseMonthDay": "FuzzTyped", "fields/form.ParseZone": "FuzzZone", "fields/form.Read": "FuzzForm",
	"fields/calendar.ParseRule": "FuzzParseRule", "fields/journal.ReadText": "FuzzText", "fields/journal.Load": "FuzzFile",
	"fields/journal.LoadAt": "FuzzFile", "cmd/internal/farm.ReadSheet": "FuzzReadSheet", "cmd/internal/farm.SetUpFrom": "FuzzSetUp",
	"hazard/board.ReadRecord": "FuzzPlain", "hazard/board/paper.Plain": "FuzzPlain", "hazard/rules.Check": "FuzzCheck", "hazard/rules.Load": "FuzzLoad",
	"weather/formats.Read": "FuzzRead", "weather/formats.ReadNights": "FuzzRead", "weather/internal/report.Parse": "FuzzRead",
	"weather/internal/table.ParseStamp": "FuzzStampShortWay", "weather/internal/table.ParseOffset": "FuzzStampShortWay",
	"fields/calendar.Export": "FuzzPreviousExport", "tui.onKey": "FuzzKeys", "cmd/rimegate.splitWords": "FuzzWords",
	"fields/share.Read": "FuzzMessage",
}

// words are parsers of one word out of a table, whole or not at all.
var words = []string{"hazard.ParseUse", "hazard.ParseClass", "hazard.ParseHabit", "hazard.ParseNitrateHabit"}

// Every parser has a fuzz target, every target seeds that are kept, and CI and `make
// fuzz` find every target by the same line.
func TestEveryParserIsFuzzed(t *testing.T) {
	targets := goTests(t, "Fuzz")
	parses := regexp.MustCompile(`^(Parse|Read)[A-Z]?\w*$`)
	for dir, p := range packages(t) {
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range f.Decls {
				fn, ok := d.(*ast.FuncDecl)
				if !ok || !parses.MatchString(fn.Name.Name) || fn.Type.Params.NumFields() == 0 {
					continue
				}
				key := dir + "." + fn.Name.Name
				if parsers[key] == "" && !slices.Contains(words, key) && !slices.Contains([]string{
					"fields.ReadingsOf", "cmd/rimegate.Read", "cmd/internal/farm.Read", "cmd/internal/farm.ReadOut",
				}, key) {
					t.Errorf("say in this test which target fuzzes %s", key)
				}
			}
		}
	}
	for what, target := range parsers {
		if targets[target] == "" {
			t.Errorf("there is no %s, which fuzzes %s", target, what)
		}
	}
	for target, dir := range targets {
		kept, _ := filepath.Glob(filepath.Join(root, dir, "testdata", "fuzz", target, "*"))
		if len(kept) == 0 {
			t.Errorf("%s has no seeds kept in %s/testdata/fuzz", target, dir)
		}
		if len(kept) > 60 {
			t.Errorf("%s keeps %d seeds; keep few", target, len(kept))
		}
	}
	for _, file := range []string{".ci/run", "Makefile"} {
		text, err := os.ReadFile(filepath.Join(root, file))
		if err != nil {
			t.Fatal(err)
		}
		if file == ".ci/run" && !strings.Contains(string(text), `grep -rnE '^func Fuzz[A-Za-z0-9_]+' --include='*_test.go' .`) {
			t.Errorf("%s does not look for every fuzz target", file)
		}
	}
}

// A script that ends on a failing pipe looks at a whole output: grep -q and head leave at
// the first line they want, and the program before them may then fail to write the next.
func TestScriptsReadOutputToItsEnd(t *testing.T) {
	leaves := regexp.MustCompile(`\|\s*\\?\s*(grep\s+(-\w+\s+)*-\w*q|head\b)`)
	seen := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if filepath.Ext(path) != ".sh" && !strings.HasSuffix(filepath.ToSlash(path), ".ci/run") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil || !strings.Contains(string(text), "pipefail") {
			return err
		}
		seen++
		if found := leaves.FindString(string(text)); found != "" {
			t.Errorf("%s: %q may fail the program before it", path, found)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 5 {
		t.Errorf("only %d scripts were looked at", seen)
	}
}
