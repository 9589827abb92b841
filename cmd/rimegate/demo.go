package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"
	"github.com/urfave/cli/v2"

	"rimegate/cmd/internal/farm"
	"rimegate/hazard/board"
)

func demoCommand(p *program) *cli.Command {
	return &cli.Command{
		Name:  "demo",
		Usage: "an invented farm to look around in",
		Description: strings.TrimSpace(`
Writes an invented farm with a season of entries into a journal of its own
and prints its morning list. Nobody's own journal is touched. Run again on
the same day it opens the demo as it stands, with what you tried on it; on a
later day the old demo is set aside and a fresh one written.

   rimegate demo
   rimegate demo --dir ~/rimegate-demo`),
		Flags: []cli.Flag{text("dir", "the `FOLDER` for the demo's journal (a folder for throw-away files if left out)")},
		Action: func(c *cli.Context) error {
			if _, ok := given(c, "journal"); ok {
				return usagef("the demo keeps a journal of its own; leave --journal away, or choose its folder with --dir")
			}
			dir, ok := value(c, "dir")
			if !ok {
				dir = filepath.Join(xdg.CacheHome, "rimegate")
			}
			if strings.TrimSpace(dir) == "" {
				return usagef("--dir needs a folder")
			}
			if _, err := p.open(c); err != nil { // for --no-color
				return err
			}
			f, err := farm.Demo(dir, p.clock)
			if err != nil {
				return err
			}
			v, err := f.View(question())
			if err != nil {
				return err
			}
			a := v.Assess()
			if err := p.painted(func(w writer) error { return board.Today(a, board.Filter{}).Text(w, p.width) }); err != nil {
				return err
			}
			path := board.Clean(f.Store().Path)
			fmt.Fprintf(p.out, `
This farm is invented. Its journal is
  %s
Go on with:
  export RIMEGATE_JOURNAL=%s
  rimegate why bench
  rimegate log frost --dry-run --low -2C --night today creek
  rimegate history north-slough
  rimegate nights --paddock north-slough
Your own farm begins with:
  unset RIMEGATE_JOURNAL
  rimegate farm set --name "NAME" --zone ZONE
`, path, shellWord(path))
			return nil
		},
	}
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
