package tui

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// The screens are tview's: its application runs them and its primitives draw and
// take keys. tcell beneath it is for styles and keys only.
func TestTheScreensAreDrawnWithTview(t *testing.T) {
	names, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	used := 0
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, imp := range f.Imports {
			if imp.Path.Value == `"github.com/rivo/tview"` {
				used++
			}
		}
	}
	if used == 0 {
		t.Error("no file of the screens uses tview")
	}
}
