package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// shell runs a shell script as an ordinary user, whoever runs the test, or as root of a
// world of its own, who may mount. It is skipped where neither can be.
func shell(t *testing.T, root bool, script string) (status int, out, said string) {
	t.Helper()
	c := exec.Command("sh", "-c", script)
	in := 1000
	if root {
		in = 0
	}
	c.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: in, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: in, HostID: os.Getgid(), Size: 1}},
	}
	var o, e bytes.Buffer
	c.Stdout, c.Stderr = &o, &e
	err := c.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Skip("no user of its own can be made here: ", err)
	}
	return c.ProcessState.ExitCode(), o.String(), e.String()
}

// oneSentence fails unless a command said one plain sentence with those words.
func oneSentence(t *testing.T, name, said string, words ...string) {
	t.Helper()
	if strings.Count(said, "\n") != 1 || !strings.HasPrefix(said, "rimegate: ") || !strings.HasSuffix(said, ".\n") {
		t.Errorf("%s: %q is not one sentence", name, said)
	}
	for _, w := range words {
		if !strings.Contains(said, w) {
			t.Errorf("%s: %q does not say %q", name, said, w)
		}
	}
}

const logRain = "rimegate log rain --amount 3mm --on yesterday creek"

// What may not be written or read is told in one sentence, and nothing is stored or lost.
func TestNoRights(t *testing.T) {
	const denied = " (permission denied)"
	for _, c := range []struct {
		name, before, command string
		status                int
		words                 []string
	}{
		{
			"a journal to be read only", "chmod 400 farm.journal", logRain,
			statusFailed,
			[]string{"cannot be opened for writing" + denied, "nothing was stored"},
		},
		{"a journal to be read only, read", "chmod 400 farm.journal", "rimegate today", statusDone, nil},
		{
			"a journal of somebody else", "chmod 000 farm.journal", "rimegate today",
			statusFailed,
			[]string{"could not be read" + denied},
		},
		{
			"a journal of somebody else, logged to", "chmod 000 farm.journal", logRain,
			statusFailed,
			[]string{"could not be read" + denied},
		},
		{
			"a folder to be read only", "chmod 500 .", logRain,
			statusFailed,
			[]string{"could not be written" + denied, "nothing was stored"},
		},
		{"a folder to be read only, read", "chmod 500 .", "rimegate today", statusDone, nil},
		{
			"a copy into it", "chmod 500 .", "rimegate journal copy copied",
			statusFailed,
			[]string{"could not be written" + denied},
		},
		{
			"an export into it", "chmod 500 .", "rimegate journal export text",
			statusFailed,
			[]string{"could not be written" + denied},
		},
		{
			"a journal begun in it", "rimegate journal export text >/dev/null; chmod 500 .",
			"rimegate --journal new.journal journal import text", statusFailed,
			[]string{"could not be made" + denied},
		},
		{
			"a folder nobody may enter", "mkdir in && cp farm.journal in/ && chmod 000 in",
			"rimegate --journal in/farm.journal today", statusFailed,
			[]string{"could not be read" + denied},
		},
		{"a mark that cannot be read", "chmod 000 farm.journal.mark", logRain, statusDone, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			path, sound := smallFarm(t)
			before := idsIn(t, path)
			const after = "chmod 700 . in 2>/dev/null; chmod 600 farm.journal*"
			status, _, said := shell(t, false, fmt.Sprintf("%s; %s </dev/null; s=$?; %s; exit $s", c.before, c.command, after))
			if status != c.status {
				t.Fatalf("status %d, want %d: %s", status, c.status, said)
			}
			if c.words != nil {
				oneSentence(t, c.name, said, c.words...)
			}
			if status != statusDone || c.command != logRain {
				if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, sound) {
					t.Error("the journal was changed", err)
				}
			} else if n := len(idsIn(t, path)); n != len(before)+1 {
				t.Errorf("%d entries, want %d", n, len(before)+1)
			}
			if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".rimegate-*")); len(left) > 0 {
				t.Error(left)
			}
		})
	}
}

// A disk that fills up while somebody logs: one sentence says what is wrong, what was
// acknowledged is there, no half file is left, and once there is room it goes on.
func TestDiskFullWhileLogging(t *testing.T) {
	path, _ := smallFarm(t)
	before := len(idsIn(t, path))
	kept := t.TempDir()
	status, out, said := shell(t, true, `
mkdir in && mount -t tmpfs -o size=140k none in || exit 99
cp farm.journal farm.journal.mark in/
export RIMEGATE_JOURNAL=$PWD/in/farm.journal
head -c 70000 /dev/zero >in/filler
note=$(head -c 7000 /dev/zero | tr '\0' x)
n=0
while rimegate log rain --amount 3mm --on yesterday --note $note creek >/dev/null 2>said; do
  n=$((n+1)); [ $n -lt 60 ] || exit 98
done
for c in copy export; do rimegate journal $c in/$c 2>said-$c >/dev/null; echo $c $?; done
ls -A in
rimegate journal check >/dev/null || exit 97
rm in/filler
rimegate log rain --amount 4mm --on yesterday creek >/dev/null || exit 96
echo $n acknowledged
cp in/farm.journal in/farm.journal.mark said said-copy said-export "`+kept+`/"
`)
	switch status {
	case 0:
	case 99:
		t.Skip("nothing can be mounted here: ", said)
	default:
		t.Fatalf("step %d failed: %s%s", status, out, said)
	}
	for name, words := range map[string]string{"said": "the journal ", "said-copy": "the copy ", "said-export": "export"} {
		text, err := os.ReadFile(filepath.Join(kept, name))
		if err != nil {
			t.Fatal(err)
		}
		oneSentence(t, name, string(text), words, "could not be written (no space left on device)")
	}
	if !strings.HasPrefix(out, "copy 1\nexport 1\nfarm.journal\nfarm.journal.mark\nfiller\n") {
		t.Errorf("%q", out)
	}
	var n int
	last := out[strings.LastIndex(strings.TrimSpace(out), "\n")+1:]
	if _, err := fmt.Sscanf(last, "%d acknowledged", &n); err != nil || n == 0 {
		t.Errorf("%v: %q", err, out)
	}
	if now := len(idsIn(t, filepath.Join(kept, "farm.journal"))); now != before+n+1 {
		t.Errorf("%d entries, want %d", now, before+n+1)
	}
	t.Logf("%d acknowledged before the disk was full", n)
}
