package farm

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A content is new once; a file that is still growing waits; what a program is
// still writing, hidden files and folders are passed over.
func TestArrivalsAndTaken(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("b.csv", "two")
	write("a.csv", "one")
	write(".hidden.csv", "x")
	write("c.csv.part", "x")
	if err := os.Mkdir(filepath.Join(dir, "old"), 0o700); err != nil {
		t.Fatal(err)
	}
	ready, now, err := Arrivals(dir, nil)
	if err != nil || len(ready) != 2 || ready[0].Name != "a.csv" || ready[1].Name != "b.csv" {
		t.Fatalf("%v %v", ready, err)
	}
	// The first look of a watch takes nothing: it must see a file lie still.
	if ready, _, _ := Arrivals(dir, map[string]string{}); len(ready) != 0 {
		t.Errorf("taken while it may still grow: %v", ready)
	}
	write("b.csv", "two and more")
	ready, _, _ = Arrivals(dir, now)
	if len(ready) != 1 || ready[0].Name != "a.csv" {
		t.Errorf("%v, want a.csv alone: b.csv has just grown", ready)
	}

	f := Open(filepath.Join(t.TempDir(), "farm.journal"))
	taken, err := f.Taken()
	if err != nil || taken.Has(ready[0].Hash) {
		t.Fatal(err)
	}
	if err := taken.Add(ready[0].Hash, "a\nb.csv", time.Now()); err != nil {
		t.Fatal(err)
	}
	// Half a line, as a power failure leaves it, does not matter.
	out, err := os.OpenFile(f.store.Path+".taken", os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	_, _ = out.WriteString("0123abc")
	out.Close()
	again, err := f.Taken()
	if err != nil || !again.Has(ready[0].Hash) || again.Has("0123abc") {
		t.Errorf("%v %v", again, err)
	}
	if _, _, err := Arrivals(filepath.Join(dir, "nowhere"), nil); err == nil {
		t.Error("a folder that is not there")
	}
}

// The memory of watched folders follows no link.
func TestTakenIsNoLink(t *testing.T) {
	dir := t.TempDir()
	f := Open(filepath.Join(dir, "farm.journal"))
	if err := os.Symlink(filepath.Join(dir, "elsewhere"), f.Store().Path+".taken"); err != nil {
		t.Skip(err)
	}
	if _, err := f.Taken(); err == nil || !strings.Contains(err.Error(), "a link to another file") {
		t.Errorf("%v", err)
	}
}
