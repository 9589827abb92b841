package journal

import (
	"errors"
	"io"
	"path/filepath"
	"testing"
	"time"

	"rimegate/fields"
)

// A program that is told to end leaves no unfinished file.
func TestAbandonRemovesUnfinishedFiles(t *testing.T) {
	dir := t.TempDir()
	defer func() { underWay.ending, underWay.stored = false, false }()
	underWay.stored = false
	err := NewFile(filepath.Join(dir, "text"), func(w io.Writer) error {
		if _, err := io.WriteString(w, "half"); err != nil {
			return err
		}
		if was, _ := filepath.Glob(filepath.Join(dir, ".*")); len(was) != 1 {
			t.Errorf("unfinished: %v", was)
		}
		if Abandon() {
			t.Error("something was stored")
		}
		if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) != 0 {
			t.Errorf("left: %v", left)
		}
		return errors.New("the end")
	})
	if err == nil || taken(filepath.Join(dir, "text")) {
		t.Errorf("%v", err)
	}
}

// It waits for a step that is under way, lets none begin after it, and knows of a commit.
func TestAbandonWaitsForACommit(t *testing.T) {
	s := New(filepath.Join(t.TempDir(), "farm.journal"))
	if err := s.Create(); err != nil {
		t.Fatal(err)
	}
	defer func() { underWay.ending, underWay.stored = false, false }()
	underWay.stored = false
	committing, goOn := make(chan bool), make(chan bool)
	s.Trace = func(step string) {
		if step == "committing" {
			committing <- true
			<-goOn
		}
	}
	done := make(chan error)
	go func() { _, err := s.Append([]fields.Entry{sighting("x")}); done <- err }()
	<-committing
	abandoned := make(chan bool)
	go func() { abandoned <- Abandon() }()
	select {
	case <-abandoned:
		t.Fatal("a commit was cut in half")
	case <-time.After(50 * time.Millisecond):
	}
	close(goOn)
	if err := <-done; err != nil {
		t.Error(err)
	}
	if !<-abandoned {
		t.Error("nobody knows that it was stored")
	}
	began := make(chan bool, 1)
	go func() { begin()(); began <- true }()
	select {
	case <-began:
		t.Error("a step began after the end")
	case <-time.After(50 * time.Millisecond):
	}
	underWay.L.Lock()
	underWay.ending = false
	underWay.L.Unlock()
	underWay.Broadcast()
	<-began
}
