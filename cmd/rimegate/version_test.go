package main

import (
	"bytes"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"

	"rimegate/hazard/rules"
)

// However the version is asked for, it says the same: also of the rulebook as the
// answers are made from it, though no rule is read for that.
func TestVersionSaysWhatIsLoaded(t *testing.T) {
	name, edition, digest := rules.Stamp()
	if b := rules.Default(); name != b.Name || edition != b.Version || digest != b.Digest {
		t.Fatalf("the stamp is %s %s %s, the rulebook %s %s %s", name, edition, digest, b.Name, b.Version, b.Digest)
	}
	want := "rimegate " + version() + " (commit "
	for _, args := range [][]string{{"--version"}, {"-v"}, {"version"}, {"--no-color", "--version"}, {"--no-color", "version"}} {
		status, out, errOut := invoke(t, args...)
		lines := strings.Split(out, "\n")
		if status != statusDone || errOut != "" || len(lines) != 3 || !strings.HasPrefix(lines[0], want) ||
			!strings.HasSuffix(lines[0], runtime.Version()+", "+runtime.GOOS+"/"+runtime.GOARCH+")") ||
			lines[1] != "rulebook "+name+" "+edition+", digest "+digest {
			t.Errorf("%v: status %d, %q, %q", args, status, out, errOut)
		}
	}
}

// Every command begins with what the variables of our packages take; the rulebook and the
// tables of commands are no part of it. (Of this package the tests' own are in it too.)
func TestLittleIsMadeAtTheStart(t *testing.T) {
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self, "--version")
	c.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	var trace bytes.Buffer
	c.Stderr = &trace
	if err := c.Run(); err != nil {
		t.Fatal(err)
	}
	const most = 55_000
	ours, all := 0, 0
	for _, m := range regexp.MustCompile(`(?m)^init rimegate/(\S+) @.* (\d+) bytes`).FindAllStringSubmatch(trace.String(), -1) {
		if n, _ := strconv.Atoi(m[2]); m[1] != "cmd/rimegate" {
			ours, all = ours+1, all+n
		}
	}
	if ours < 15 || all > most {
		t.Errorf("%d of our packages take %d bytes at the start, at most %d:\n%s", ours, all, most, trace.String())
	}
}

func TestBuilt(t *testing.T) {
	set := func(main string, pairs ...string) *debug.BuildInfo {
		b := &debug.BuildInfo{Main: debug.Module{Version: main}}
		for i := 0; i < len(pairs); i += 2 {
			b.Settings = append(b.Settings, debug.BuildSetting{Key: pairs[i], Value: pairs[i+1]})
		}
		return b
	}
	const hash = "51739f1b76e6e119bff4a0a03a55bf95b1f355ee"
	for _, c := range []struct {
		stamp           string
		info            *debug.BuildInfo
		version, commit string
	}{
		{"", nil, "from source", "unknown"},
		{"", set("(devel)"), "from source", "unknown"},
		{"", set("(devel)", "vcs.revision", hash, "vcs.modified", "false"), "from source 51739f1b76e6", "51739f1b76e6"},
		{"", set("v1.2.0", "vcs.revision", hash, "vcs.modified", "true"), "v1.2.0", "51739f1b76e6+changed"},
		{"1.2.0 0123456789ab", set("(devel)"), "1.2.0", "0123456789ab"},
	} {
		stamp = c.stamp
		if v, commit := built(c.info, c.info != nil); v != c.version || commit != c.commit {
			t.Errorf("%q, %v: %q and %q, want %q and %q", c.stamp, c.info, v, commit, c.version, c.commit)
		}
	}
	stamp = ""
}

// What the demo says to type is for the shell of the system.
func TestSettings(t *testing.T) {
	for _, c := range []struct{ system, value, set, unset string }{
		{"linux", "/mnt/it's/x", `export A='/mnt/it'\''s/x'`, "unset A"},
		{"darwin", "/mnt/x", "export A=/mnt/x", "unset A"},
		{"windows", `C:\it's\x`, `$env:A = 'C:\it''s\x'`, "Remove-Item Env:A"},
	} {
		if set, unset := settings(c.system, "A", c.value); set != c.set || unset != c.unset {
			t.Errorf("%s: %s and %s", c.system, set, unset)
		}
	}
}
