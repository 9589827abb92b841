package main

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"

	"rimegate/hazard/rules"
)

// stamp is the version and the commit, set by the build of a release
// (package/build.sh). What the Go command writes by itself depends on how the
// folder was checked out.
var stamp string

// version is what this binary was built from.
func version() string { v, _ := built(debug.ReadBuildInfo()); return v }

// built is the version and the commit of a binary, told as far as it is known.
func built(info *debug.BuildInfo, ok bool) (version, commit string) {
	if v, c, stamped := strings.Cut(stamp, " "); stamped {
		return v, c
	}
	version, commit = "from source", "unknown"
	if !ok {
		return version, commit
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		version = v
	}
	changed := ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			commit = s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = "+changed"
		}
	}
	if version == "from source" && commit != "unknown" {
		version += " " + commit
	}
	return version, commit + changed
}

// askedForVersion reports a line that asks for the version and for nothing else.
func askedForVersion(args []string) bool {
	if len(args) != 2 {
		return false
	}
	switch args[1] {
	case "version", "--version", "-version", "-v":
		return true
	}
	return false
}

// printVersion is quick: it reads no rule.
func printVersion(out io.Writer) {
	v, commit := built(debug.ReadBuildInfo())
	book, edition, digest := rules.Stamp()
	fmt.Fprintf(out, "rimegate %s (commit %s, %s, %s/%s)\nrulebook %s %s, digest %s\n",
		v, commit, runtime.Version(), runtime.GOOS, runtime.GOARCH, book, edition, digest)
}

func runVersion(r *request) error {
	printVersion(r.out)
	return nil
}
