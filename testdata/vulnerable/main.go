// Command vulnerable looks for known vulnerabilities in what the program calls, where
// the public database cannot be reached: it makes one of the reports in the module
// golang.org/x/vulndb, which comes by the module proxy, and hands it to govulncheck.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"time"
)

// Versions that are tried together; a later database knows more.
const (
	scanner = "golang.org/x/vuln/cmd/govulncheck@v1.9.0"
	reports = "golang.org/x/vulndb@latest"
)

// report is what the index needs of an OSV report.
type report struct {
	ID       string    `json:"id"`
	Modified time.Time `json:"modified"`
	Aliases  []string  `json:"aliases,omitempty"`
	Affected []struct {
		Package struct {
			Name string `json:"name"`
		} `json:"package"`
		Ranges []struct {
			Events []struct {
				Fixed string `json:"fixed"`
			} `json:"events"`
		} `json:"ranges"`
	} `json:"affected"`
}

type (
	vuln struct {
		ID       string    `json:"id"`
		Modified time.Time `json:"modified"`
		Fixed    string    `json:"fixed,omitempty"`
		Aliases  []string  `json:"aliases,omitempty"`
	}
	module struct {
		Path  string `json:"path"`
		Vulns []vuln `json:"vulns"`
	}
)

func main() {
	status := 1
	err := run()
	if exit := (*exec.ExitError)(nil); errors.As(err, &exit) {
		status = exit.ExitCode() // 3: a vulnerability is called
	} else if err != nil {
		fmt.Fprintln(os.Stderr, err)
	} else {
		status = 0
	}
	os.Exit(status)
}

func run() error {
	dir, err := os.MkdirTemp("", "vulndb")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	get := exec.Command("go", "mod", "download", "-json", reports)
	get.Dir = dir // no requirement of ours
	text, err := get.Output()
	if err != nil {
		return fmt.Errorf("go mod download %s: %w\n%s", reports, err, text)
	}
	var from struct{ Dir, Version string }
	if err := json.Unmarshal(text, &from); err != nil {
		return err
	}
	n, err := database(filepath.Join(from.Dir, "data", "osv"), dir)
	if err != nil {
		return err
	}
	fmt.Printf("%d reports of %s\n", n, from.Version)
	check := exec.Command("go", append([]string{"run", scanner, "-db", "file://" + filepath.ToSlash(dir)}, "./...")...)
	if tool := os.Getenv("GOVULNCHECK"); tool != "" {
		check = exec.Command(tool, "-db", "file://"+filepath.ToSlash(dir), "./...")
	}
	check.Stdout, check.Stderr = os.Stdout, os.Stderr
	return check.Run()
}

// database writes the reports of a folder as govulncheck reads them
// (https://go.dev/doc/security/vuln/database, v1).
func database(from, to string) (n int, err error) {
	names, err := filepath.Glob(filepath.Join(from, "*.json"))
	if err != nil || len(names) < 1000 {
		return 0, fmt.Errorf("%d reports in %s: %w", len(names), from, err)
	}
	for _, d := range []string{"ID", "index"} {
		if err := os.Mkdir(filepath.Join(to, d), 0o700); err != nil {
			return 0, err
		}
	}
	modules, newest := map[string]*module{}, time.Time{}
	var all []vuln
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return 0, err
		}
		var r report
		if err := json.Unmarshal(text, &r); err != nil {
			return 0, fmt.Errorf("%s: %w", name, err)
		}
		if err := os.WriteFile(filepath.Join(to, "ID", r.ID+".json"), text, 0o600); err != nil {
			return 0, err
		}
		if r.Modified.After(newest) {
			newest = r.Modified
		}
		all = append(all, vuln{ID: r.ID, Modified: r.Modified, Aliases: r.Aliases})
		for _, a := range r.Affected {
			m := modules[a.Package.Name]
			if m == nil {
				m = &module{Path: a.Package.Name}
				modules[m.Path] = m
			}
			if i := slices.IndexFunc(m.Vulns, func(v vuln) bool { return v.ID == r.ID }); i < 0 {
				m.Vulns = append(m.Vulns, vuln{ID: r.ID, Modified: r.Modified})
			}
			for _, x := range a.Ranges {
				for _, e := range x.Events {
					if e.Fixed != "" {
						m.Vulns[len(m.Vulns)-1].Fixed = e.Fixed
					}
				}
			}
		}
	}
	var index []*module
	for _, path := range slices.Sorted(maps.Keys(modules)) {
		index = append(index, modules[path])
	}
	for name, x := range map[string]any{"db": map[string]time.Time{"modified": newest}, "modules": index, "vulns": all} {
		text, err := json.Marshal(x)
		if err != nil {
			return 0, err
		}
		if err := os.WriteFile(filepath.Join(to, "index", name+".json"), text, 0o600); err != nil {
			return 0, err
		}
	}
	return len(names), nil
}
