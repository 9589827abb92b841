package rules

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"sort"
)

//go:embed cautious/*.toml sources.toml species.toml fixed.toml tables/*.toml publications/*.toml
var files embed.FS

// digestOf is the first 12 hexadecimal digits of the SHA-256 over all files,
// path and content, in path order.
func digestOf(docs []*doc) string {
	sorted := append([]*doc(nil), docs...)
	sort.Slice(sorted, func(i, j int) bool { return sorted[i].name < sorted[j].name })
	h := sha256.New()
	for _, d := range sorted {
		fmt.Fprintf(h, "%s\x00%d\x00", d.name, len(d.text))
		h.Write(d.text)
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

// readDocs reads every TOML file of a rulebook.
func readDocs(fsys fs.FS) ([]*doc, []Problem) {
	var docs []*doc
	var ps []Problem
	err := fs.WalkDir(fsys, ".", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || len(path) < 5 || path[len(path)-5:] != ".toml" {
			return err
		}
		text, err := fs.ReadFile(fsys, path)
		if err != nil {
			ps = append(ps, Problem{File: path, What: "cannot be read: " + err.Error()})
			return nil
		}
		docs = append(docs, &doc{name: path, text: text})
		return nil
	})
	if err != nil {
		ps = append(ps, Problem{What: "the rulebook cannot be read: " + err.Error()})
	}
	return docs, ps
}
