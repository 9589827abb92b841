package main

import (
	"fmt"
	"runtime/debug"
	"strings"

	"rimegate/hazard/rules"
)

// version is what this binary was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v == "" || v == "(devel)" {
		v = "from source"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && !strings.Contains(v, s.Value) && len(s.Value) >= 12 && v == "from source" {
			v += " " + s.Value[:12]
		}
	}
	return v
}

func runVersion(r *request) error {
	b := rules.Default()
	fmt.Fprintf(r.out, "rimegate %s\nrulebook %s %s, digest %s\n", version(), b.Name, b.Version, b.Digest)
	return nil
}
