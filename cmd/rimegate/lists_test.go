package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
)

// The list of what is kept of a large journal lies in the cache folder; nothing that is printed
// depends on it, and of a small journal there is none.
func TestListsLieInTheCacheFolder(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", cache)
	t.Setenv("RIMEGATE_NOW", "2026-12-03T08:00:00-06:00")
	xdg.Reload()
	t.Cleanup(xdg.Reload) // the environment is as it was by then
	path := filepath.Join(t.TempDir(), "farm.journal")
	store := farm.Open(path).Store()
	if err := store.Create(); err != nil {
		t.Fatal(err)
	}
	said := func(n int, year int, b fields.Body, note string) fields.Entry {
		at := time.Date(year, 6, 1+n%28, 12, 0, 0, 0, time.UTC)
		return fields.Entry{ID: fmt.Sprintf("0%025d", n), On: fields.DateOf(at, time.UTC), Recorded: at, By: "Ada", Note: note, Body: b}
	}
	if _, err := store.Import([]fields.Entry{
		said(0, 2010, &fields.Farm{Name: "Wide", Zone: "America/Regina"}, ""),
		said(1, 2010, &fields.PaddockFacts{Paddock: "a", Name: "a"}, ""),
	}); err != nil {
		t.Fatal(err)
	}
	today := func() string {
		var out, warn bytes.Buffer
		if status := run([]string{"rimegate", "--journal", path, "today"}, strings.NewReader(""), &out, &warn); status != 0 {
			t.Fatalf("status %d: %s", status, &warn)
		}
		return out.String()
	}
	lists := func() int {
		files, _ := os.ReadDir(filepath.Join(cache, "rimegate", "lists"))
		return len(files)
	}
	if today(); lists() != 0 {
		t.Errorf("a small journal has %d lists", lists())
	}
	var many []fields.Entry
	for n := range 5000 {
		many = append(many, said(n+2, 2010, &fields.Hail{Paddocks: []string{"a"}}, strings.Repeat("long ago ", 200)))
	}
	if _, err := store.Import(many); err != nil {
		t.Fatal(err)
	}
	first := today()
	if by := today(); by != first || lists() != 1 {
		t.Errorf("by one of %d lists the journal answers\n%s\nand without\n%s", lists(), by, first)
	}
	if err := os.RemoveAll(cache); err != nil {
		t.Fatal(err)
	}
	if again := today(); again != first || lists() != 1 {
		t.Errorf("%d lists; without a list the journal answers\n%s\nand at first\n%s", lists(), again, first)
	}
}
