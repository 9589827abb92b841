package main

import (
	"fmt"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/adrg/xdg"

	"rimegate/cmd/internal/farm"
	"rimegate/hazard/board"
)

func runDemo(r *request) error {
	if _, ok := given(r.c, "journal"); ok {
		return usagef("the demo keeps a journal of its own; leave out --journal, or choose its folder with --dir")
	}
	dir, ok := value(r.c, "dir")
	if !ok {
		dir = filepath.Join(xdg.CacheHome, "rimegate")
	}
	if strings.TrimSpace(dir) == "" {
		return usagef("--dir needs a folder")
	}
	if err := r.open(); err != nil { // for --no-color
		return err
	}
	f, err := farm.Demo(dir, r.clock)
	if err != nil {
		return err
	}
	v, err := f.View(farm.Question{})
	if err != nil {
		return err
	}
	page := board.NewPage(v.Assess(), board.Filter{}, nil)
	if err := r.painted(func(w writer) error { return page.Text(w, r.width) }); err != nil {
		return err
	}
	path, err := filepath.Abs(f.Store().Path) // it is typed in any folder
	if err != nil {
		return err
	}
	path = board.Clean(path)
	set, unset := settings(runtime.GOOS, "RIMEGATE_JOURNAL", path)
	fmt.Fprintf(r.out, `
This farm is invented. Its journal is
  %s
Go on with:
  %s
  rimegate why bench
  rimegate log frost --dry-run --low -2C --night today creek
  rimegate history north-slough
  rimegate nights --paddock north-slough
Your own farm begins with:
  %s
  rimegate start
Not installed? For rimegate type ./rimegate after `+"`make build`"+`, or go run ./cmd/rimegate
`, path, set, unset)
	return nil
}

// settings are the words that set a variable and take it back, in the shell that a
// system's people have: PowerShell on Windows.
func settings(system, name, value string) (set, unset string) {
	if system == "windows" {
		return "$env:" + name + " = '" + strings.ReplaceAll(value, "'", "''") + "'", "Remove-Item Env:" + name
	}
	return "export " + name + "=" + shellWord(value), "unset " + name
}

// shellWord quotes a path for a POSIX shell.
func shellWord(s string) string {
	if s != "" && strings.IndexFunc(s, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("/._-+", r))
	}) < 0 {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
