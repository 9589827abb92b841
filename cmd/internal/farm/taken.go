package farm

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rimegate/hazard/board"
)

// Taken remembers which files of a watched folder were taken, by content: a
// file copied under another name is not new, one that has grown is. It lies
// beside the journal, as plain lines, and can be thrown away: a file taken
// twice adds nothing to the journal.
type Taken struct {
	path string
	done map[string]bool // by hash
}

// Taken opens the memory of watched folders.
func (f *Farm) Taken() (*Taken, error) {
	t := &Taken{path: f.store.Path + ".taken", done: map[string]bool{}}
	text, err := readOrdinary(t.path)
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read: %w", t.path, err)
	}
	for line := range strings.Lines(string(text)) { // one cut off by a power failure is passed over: its file is taken again
		if w := strings.Fields(line); len(w) >= 2 && len(w[0]) == 2*sha256.Size {
			t.done[w[0]] = true
		}
	}
	return t, nil
}

// Has reports a content that was taken.
func (t *Taken) Has(hash string) bool { return t.done[hash] }

// Add remembers a content as taken.
func (t *Taken) Add(hash, name string, at time.Time) error {
	out, err := os.OpenFile(t.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "%s %s %s\n", hash, at.Format(time.RFC3339), board.Clean(name))
	if err = errors.Join(err, out.Close()); err == nil {
		t.done[hash] = true
	}
	return err
}

// Arrived is a file of a watched folder.
type Arrived struct {
	Path, Name, Hash string
}

// Arrivals lists the files of a folder by name, with the hash of their content.
// Hidden files and those that a program is still writing (by their names) are
// passed over. A file whose size or time differs from what it was in before is
// left for the next look; nil takes all as they are.
func Arrivals(dir string, before map[string]string) (ready []Arrived, now map[string]string, err error) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, err
	}
	now = map[string]string{}
	for _, e := range list {
		name := e.Name()
		unfinished := func(end string) bool { return strings.HasSuffix(strings.ToLower(name), end) }
		if strings.HasPrefix(name, ".") || slices.ContainsFunc([]string{".tmp", ".part", ".crdownload", "~"}, unfinished) {
			continue
		}
		path := filepath.Join(dir, name)
		info, err := os.Stat(path)
		if err != nil || !info.Mode().IsRegular() {
			continue // gone again, or no file
		}
		now[name] = fmt.Sprint(info.Size(), info.ModTime().UnixNano())
		if before != nil && before[name] != now[name] {
			continue
		}
		if hash, err := hashOf(path); err == nil { // not readable yet; the next look will tell
			ready = append(ready, Arrived{Path: path, Name: name, Hash: hash})
		}
	}
	return ready, now, nil // os.ReadDir sorts by name
}

func hashOf(path string) (string, error) {
	in, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer in.Close()
	h := sha256.New()
	if _, err := io.Copy(h, in); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
