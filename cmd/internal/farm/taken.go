package farm

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
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
	info, err := os.Lstat(t.path)
	if errors.Is(err, fs.ErrNotExist) {
		return t, nil
	}
	if err == nil && !info.Mode().IsRegular() { // a pipe would wait for ever, a link lead elsewhere
		err = &fs.PathError{Op: "open", Path: t.path, Err: errors.New("it is not a file of the ordinary kind")}
	}
	if err != nil {
		return nil, err
	}
	in, err := os.Open(t.path)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	sc := bufio.NewScanner(in)
	for sc.Scan() { // a line cut off by a power failure is passed over: its file is taken again
		w := strings.Fields(sc.Text())
		if len(w) >= 2 && len(w[0]) == 2*sha256.Size {
			t.done[w[0]] = true
		}
	}
	return t, sc.Err()
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
	if e := out.Close(); err == nil {
		err = e
	}
	if err == nil {
		t.done[hash] = true
	}
	return err
}

// Arrived is a file of a watched folder.
type Arrived struct {
	Path, Name, Hash string
	state            string
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
		low := strings.ToLower(name)
		if strings.HasPrefix(name, ".") || strings.HasSuffix(low, ".tmp") || strings.HasSuffix(low, ".part") || strings.HasSuffix(low, ".crdownload") || strings.HasSuffix(low, "~") {
			continue
		}
		path := filepath.Join(dir, name)
		info, err := os.Stat(path)
		if err != nil || !info.Mode().IsRegular() {
			continue // gone again, or no file
		}
		a := Arrived{Path: path, Name: name, state: fmt.Sprint(info.Size(), info.ModTime().UnixNano())}
		now[name] = a.state
		if before != nil && before[name] != a.state {
			continue
		}
		if a.Hash, err = hashOf(path); err != nil {
			continue // not readable yet; the next look will tell
		}
		ready = append(ready, a)
	}
	sort.Slice(ready, func(i, j int) bool { return ready[i].Name < ready[j].Name })
	return ready, now, nil
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
